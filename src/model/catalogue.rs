//! Every quantity that a rule may name, by the entity type that has it.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use super::computable::Computable;
use super::references::{Reference, inverses};
use super::{EvalContext, Formula, Outcome, Type};
use crate::quantity::Dimension;
use crate::tables::{
    ADHESIVE, CELL, CLEARANCE_DRILL, CONNECTOR_FAMILY, DRILL, FINISH, MATERIAL, TAP_DRILL, THREAD, WIRE,
};
use crate::vocabulary::{EntityId, EntityType, Field, Id, Shape, Typed, Value};

/// A quantity that Rust works out: of which entity type it is, and what it is in Rust, the compiler knows.
///
/// ```
/// use holdpoint::{design::{Tube, tube}, model::{Computed, Formula}, quantity::Length};
/// static LENGTH: Computed<Tube, Length> = Computed {
///     name: "outside_length", doc: "", formula: Formula::expression("{length}"), source: "", words: &[],
///     compute: |ctx, id| ctx.get(id, tube::length),
/// };
/// ```
///
/// What the function returns is what is declared:
///
/// ```compile_fail,E0308
/// use holdpoint::{design::{Tube, tube}, model::{Computed, Formula}, quantity::Mass};
/// static MASS: Computed<Tube, Mass> = Computed {
///     name: "all_of_its_mass", doc: "", formula: Formula::expression("{length}"), source: "", words: &[],
///     compute: |ctx, id| ctx.get(id, tube::length),
/// };
/// ```
#[derive(Debug)]
pub struct Computed<E: 'static, T: 'static> {
    /// Its name in rules.
    pub name: &'static str,
    /// What it means.
    pub doc: &'static str,
    /// How it is worked out, in words and symbols.
    pub formula: Formula,
    /// Where the formula comes from; empty for plain geometry.
    pub source: &'static str,
    /// Of a word, the words that it is one of; else empty.
    pub words: &'static [&'static str],
    /// Works it out.
    pub compute: fn(&EvalContext<'_>, Id<E>) -> Outcome<T>,
}

/// A quantity that Rust works out, of any entity type and of any type of Rust.
pub trait AnyComputed: fmt::Debug + Sync {
    /// The entity type that has it.
    fn entity_type(&self) -> &'static EntityType;
    /// Its name in rules.
    fn name(&self) -> &'static str;
    /// What it means.
    fn doc(&self) -> &'static str;
    /// What it is.
    fn gives(&self) -> Type;
    /// How it is worked out, in words and symbols.
    fn formula(&self) -> &Formula;
    /// Where the formula comes from; empty for plain geometry.
    fn source(&self) -> &'static str;
    /// Works it out for an entity of its kind.
    ///
    /// # Errors
    /// When a value it needs is missing or refused.
    fn compute(&self, context: &EvalContext<'_>, id: EntityId) -> Outcome<Value>;
}

impl<E: Typed + fmt::Debug, T: Computable + fmt::Debug> AnyComputed for Computed<E, T> {
    fn entity_type(&self) -> &'static EntityType {
        E::TYPE
    }

    fn name(&self) -> &'static str {
        self.name
    }

    fn doc(&self) -> &'static str {
        self.doc
    }

    fn gives(&self) -> Type {
        T::gives(self.words)
    }

    fn formula(&self) -> &Formula {
        &self.formula
    }

    fn source(&self) -> &'static str {
        self.source
    }

    fn compute(&self, context: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
        (self.compute)(context, Id::trusted(id)).map(Computable::into_value)
    }
}

/// A quantity that a rule pack works out in words.
pub trait DerivedBody: fmt::Debug + Send + Sync {
    /// Works it out for an entity.
    ///
    /// # Errors
    /// When a value it needs is missing or refused.
    fn work_out(&self, context: &EvalContext<'_>, subject: EntityId) -> Outcome<Value>;
}

/// How a quantity of the catalogue is worked out.
#[derive(Clone, Debug)]
pub enum Body {
    /// In Rust.
    Rust(&'static dyn AnyComputed),
    /// In the words of a pack.
    Words(Arc<dyn DerivedBody>),
    /// As the entities that refer to it.
    Inverse(Vec<Reference>),
}

/// The lengths that are heights and distances of the flight.
const FAR: [&str; 23] = [
    "apogee",
    "lowest_apogee",
    "burnout_height",
    "apogee_upwind",
    "drift",
    "main_height",
    "lowest_main_height",
    "climb_lag",
    "apogee_lag",
    "rail_travel",
    "opening_height",
    "longest_drift",
    "landing_distance",
    "apogee_across",
    "apogee_offset",
    "drift_all_at_top",
    "drift_main_shut",
    "landing_distance_all_at_top",
    "landing_distance_main_shut",
    "straight_landing_distance",
    "unopened_distance",
    "straight_unopened_distance",
    "unopened_from_people",
];

/// A computed quantity of the catalogue.
#[derive(Clone, Debug)]
pub struct Entry {
    /// Its name.
    pub name: String,
    /// What it means.
    pub doc: String,
    /// What it is.
    pub gives: Type,
    /// How it is worked out, for a reader.
    pub formula: Formula,
    /// Where that comes from.
    pub source: String,
    /// Whether it is a height or a distance of the flight, and no size of a part.
    pub far: bool,
    /// How it is worked out.
    pub body: Body,
}

impl Entry {
    /// Whether it is a place along the rocket, measured aft from the nose tip. The name says so.
    #[must_use]
    pub fn is_place(&self) -> bool {
        const OTHERS: [&str; 6] = [
            "centre_of_pressure",
            "computed_centre_of_pressure",
            "balance_of_parts",
            "balance_without_motor",
            "balance_at_rail_exit",
            "balance_at_burnout",
        ];
        self.gives == Type::Quantity(Dimension::LENGTH)
            && (self.name.ends_with("_station") || OTHERS.contains(&self.name.as_str()))
    }

    /// Whether it is a moment of a force, which is printed in other units than an energy. The name says so.
    #[must_use]
    pub fn is_moment(&self) -> bool {
        self.gives == Type::Quantity(Dimension::ENERGY) && self.name.ends_with("_moment")
    }
}

/// What a name on a kind stands for.
#[derive(Clone, Copy, Debug)]
pub enum Named {
    /// A field as written.
    Field(u16, &'static Field),
    /// A computed quantity.
    Computed(u16, Type),
    /// The entity of that type which this one is written in.
    Holder(&'static EntityType),
}

/// Every kind and every quantity of it.
#[derive(Clone, Debug, Default)]
pub struct Catalogue {
    entity_types: Vec<&'static EntityType>,
    /// By the address of the type: looked up whenever a quantity is read.
    computed: BTreeMap<usize, Vec<Entry>>,
    /// By the address of what Rust works out: its number among those of its type.
    numbers: BTreeMap<usize, u16>,
    holders: BTreeMap<&'static str, Vec<&'static EntityType>>,
    /// Derived quantities of packs in which something is wrong, so that they are left out.
    left_out: Vec<(&'static EntityType, String)>,
}

/// What distinguishes a type from the others: each is a static of its own.
fn address(entity_type: &'static EntityType) -> usize {
    std::ptr::from_ref(entity_type).addr()
}

impl Catalogue {
    /// The types reachable from a root and from the tables, with the quantities that Rust works out.
    #[must_use]
    pub fn new(root: &'static EntityType, computed: &[&[&'static dyn AnyComputed]]) -> Self {
        let mut catalogue = Self::default();
        catalogue.visit(root);
        for table in [
            &THREAD,
            &DRILL,
            &TAP_DRILL,
            &CLEARANCE_DRILL,
            &MATERIAL,
            &CONNECTOR_FAMILY,
            &FINISH,
            &WIRE,
            &ADHESIVE,
            &CELL,
        ] {
            catalogue.visit(table);
        }
        for one in computed.iter().copied().flatten().copied() {
            let entries = catalogue.computed.entry(address(one.entity_type())).or_default();
            let number = u16::try_from(entries.len()).unwrap_or(u16::MAX);
            catalogue.numbers.insert(std::ptr::from_ref(one).cast::<()>().addr(), number);
            entries.push(Entry {
                name: one.name().to_owned(),
                doc: one.doc().trim().to_owned(),
                gives: one.gives(),
                formula: one.formula().clone(),
                source: one.source().to_owned(),
                far: FAR.contains(&one.name()),
                body: Body::Rust(one),
            });
        }
        for inverse in inverses(&catalogue.entity_types) {
            let condition = inverse.condition();
            catalogue.computed.entry(address(inverse.target)).or_default().push(Entry {
                doc: condition.replacen("every", "Every", 1) + ".",
                gives: Type::Entities(inverse.member()),
                formula: Formula::Condition(condition.replace('`', "").into()),
                far: false,
                source: String::new(),
                name: inverse.name,
                body: Body::Inverse(inverse.references),
            });
        }
        catalogue.find_holders(root);
        catalogue
    }

    fn visit(&mut self, entity_type: &'static EntityType) {
        if self.entity_types.contains(&entity_type) {
            return;
        }
        self.entity_types.push(entity_type);
        for field in entity_type.fields {
            match field.shape {
                Shape::One(k)
                | Shape::Measured(k)
                | Shape::Many(k)
                | Shape::List(k)
                | Shape::Refers(k)
                | Shape::RefersAll(k) => self.visit(k),
                _ => {}
            }
        }
    }

    /// For each kind, the types that hold it on every way from the root.
    fn find_holders(&mut self, root: &'static EntityType) {
        let parents = |entity_type: &'static EntityType| -> Vec<&'static EntityType> {
            self.entity_types
                .iter()
                .copied()
                .filter(|k| {
                    k.fields.iter().any(|f| match f.shape {
                        Shape::One(c) | Shape::Measured(c) | Shape::Many(c) | Shape::List(c) => {
                            c == entity_type
                        }
                        _ => false,
                    })
                })
                .collect()
        };
        fn above(
            entity_type: &'static EntityType,
            root: &'static EntityType,
            parents: &dyn Fn(&'static EntityType) -> Vec<&'static EntityType>,
            depth: u8,
        ) -> Vec<&'static EntityType> {
            if entity_type == root || depth == 0 {
                return Vec::new();
            }
            let mut common: Option<Vec<&'static EntityType>> = None;
            for parent in parents(entity_type) {
                let mut way = vec![parent];
                way.extend(above(parent, root, parents, depth - 1));
                common = Some(match common {
                    None => way,
                    Some(so_far) => so_far.into_iter().filter(|k| way.contains(k)).collect(),
                });
            }
            common.unwrap_or_default()
        }
        let found: Vec<(&'static str, Vec<&'static EntityType>)> =
            self.entity_types.iter().map(|k| (k.name, above(k, root, &parents, 12))).collect();
        self.holders = found.into_iter().collect();
    }

    /// Every kind.
    #[must_use]
    pub fn entity_types(&self) -> &[&'static EntityType] {
        &self.entity_types
    }

    /// A kind by its name.
    #[must_use]
    pub fn entity_type(&self, name: &str) -> Option<&'static EntityType> {
        self.entity_types.iter().copied().find(|k| k.name == name)
    }

    /// Whether a design can hold an entity of this type; a row of a table is no part of any.
    #[must_use]
    pub fn is_in_designs(&self, entity_type: &'static EntityType) -> bool {
        let root = self.entity_types.first().copied();
        root == Some(entity_type)
            || self.holders.get(entity_type.name).is_some_and(|above| above.iter().any(|k| Some(*k) == root))
    }

    /// What a name on a kind stands for.
    #[must_use]
    pub fn named(&self, entity_type: &'static EntityType, name: &str) -> Option<Named> {
        if let Some(slot) = entity_type.slot(name) {
            return entity_type.field(slot).map(|field| Named::Field(slot, field));
        }
        let computed = self.computed(entity_type).iter().position(|e| e.name == name);
        if let Some(at) = computed {
            let entry = self.computed(entity_type).get(at)?;
            return Some(Named::Computed(u16::try_from(at).ok()?, entry.gives));
        }
        let holder = self.holders.get(entity_type.name)?.iter().copied().find(|k| k.name == name)?;
        Some(Named::Holder(holder))
    }

    /// Every name on a kind.
    #[must_use]
    pub fn names(&self, entity_type: &'static EntityType) -> Vec<String> {
        let mut names: Vec<String> = entity_type.fields.iter().map(|f| f.name.to_owned()).collect();
        names.extend(self.computed(entity_type).iter().map(|e| e.name.clone()));
        names.extend(self.holders.get(entity_type.name).into_iter().flatten().map(|k| k.name.to_owned()));
        names
    }

    /// The computed quantities of a type, by number.
    #[must_use]
    pub fn computed(&self, entity_type: &'static EntityType) -> &[Entry] {
        self.computed.get(&address(entity_type)).map_or(&[], Vec::as_slice)
    }

    /// The number of a quantity that Rust works out.
    #[must_use]
    pub fn number<E: Typed, T>(&self, computed: &'static Computed<E, T>) -> Option<u16> {
        self.numbers.get(&std::ptr::from_ref(computed).addr()).copied()
    }

    /// Says that a quantity is left out, since something is wrong where it is worked out.
    pub fn leave_out(&mut self, entity_type: &'static EntityType, name: &str) {
        self.left_out.push((entity_type, name.to_owned()));
    }

    /// Whether a quantity is left out.
    #[must_use]
    pub fn is_left_out(&self, entity_type: &'static EntityType, name: &str) -> bool {
        self.left_out.iter().any(|(of, one)| *of == entity_type && one == name)
    }

    /// Adds a quantity worked out in words; false when the name is taken.
    pub fn add(&mut self, entity_type: &'static EntityType, entry: Entry) -> bool {
        if self.named(entity_type, &entry.name).is_some() {
            return false;
        }
        self.computed.entry(address(entity_type)).or_default().push(entry);
        true
    }
}

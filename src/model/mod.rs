//! The rocket as understood: stations on one axis, volumes, areas, forces; each computed once, and only when asked.

mod airflow;
mod ascent;
mod asking;
mod balance;
mod bays;
mod bonds;
mod breathing;
mod catalogue;
mod charges;
mod courses;
mod descent;
mod drill_list;
mod flutter;
mod hole_gaps;
mod holes;
mod in_hand;
mod joints;
mod load_path;
mod masses;
mod openings;
mod outcome;
mod packing;
mod parts_balance;
mod planform;
mod stations;

use std::cell::{Cell, OnceCell, RefCell};
use std::rc::Rc;
use std::sync::Arc;

pub use ascent::Flown;
pub use asking::Asking;
use asking::{counted, more_often};
use breathing::Breath;
pub use catalogue::{Body, Catalogue, Computed, Entry, Named, Type, Worded};
pub use drill_list::{DrilledPart, Mark};
pub use outcome::{Access, Gap, MissingKey, Outcome, Read, Refusal, both};

use crate::design::{Design, ROCKET};
use crate::quantity::{Quantity, System};
use crate::tables::Tables;
use crate::vocabulary::{Date, Entity, EntityId, Kind, Need, Shape, State, Value};

/// The quantities that Rust works out, by topic.
const COMPUTED: &[&[&Computed]] = &[
    stations::COMPUTED,
    in_hand::COMPUTED,
    joints::COMPUTED,
    holes::COMPUTED,
    hole_gaps::COMPUTED,
    bays::COMPUTED,
    breathing::COMPUTED,
    charges::COMPUTED,
    masses::COMPUTED,
    balance::COMPUTED,
    airflow::COMPUTED,
    ascent::COMPUTED,
    descent::COMPUTED,
    flutter::COMPUTED,
    parts_balance::COMPUTED,
    packing::COMPUTED,
    load_path::COMPUTED,
    bonds::COMPUTED,
    openings::COMPUTED,
];

/// The catalogue before any pack adds to it.
#[must_use]
pub fn catalogue() -> Catalogue {
    Catalogue::new(&ROCKET, COMPUTED)
}

/// A step on the way to a computed quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What it is.
    pub name: String,
    /// How it was worked out.
    pub formula: String,
    /// What it came to.
    pub value: Quantity,
}

/// A computed quantity with its working.
#[derive(Clone, Debug)]
pub struct Computation {
    /// What it came to, or why it is not known.
    pub value: Outcome<Value>,
    /// The quantities it was worked out from, in the order they were asked for.
    pub reads: Vec<Read>,
    /// Steps on the way.
    pub steps: Vec<Step>,
}

/// A value taken in place of the one written, to try another size within its tolerance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Override {
    /// The thing.
    pub entity: EntityId,
    /// The field.
    pub slot: u16,
    /// The value in SI; for a curve, what its ordinates are multiplied with.
    pub si: f64,
}

/// Is told what the conditions of rules and worded quantities come to: how trials know which ones they have settled.
pub trait Witness: std::fmt::Debug {
    /// A condition, by the key that its expression has for it, came out so.
    fn saw(&self, condition: usize, truth: bool);
}

/// What a design is evaluated in: every quantity there is, the tables, and the day. Nothing is evaluated without all three.
#[derive(Clone, Copy, Debug)]
pub struct Environment<'e> {
    /// The quantities that fields and rules may name.
    pub catalogue: &'e Catalogue,
    /// The rows that fields and rules may name.
    pub tables: &'e Tables,
    /// The day of the review. It is an input: nothing here looks at a clock.
    pub today: Date,
}

/// A design as understood.
#[derive(Debug)]
pub struct Model<'d> {
    design: &'d Design,
    environment: Environment<'d>,
    bases: Vec<u32>,
    cache: Vec<OnceCell<Rc<Computation>>>,
    busy: Vec<Cell<bool>>,
    overrides: Vec<Override>,
    flown: OnceCell<Rc<Flown>>,
    breaths: RefCell<Vec<(EntityId, Rc<Breath>)>>,
    witness: Option<&'d dyn Witness>,
    system: System,
}

impl<'d> Model<'d> {
    /// The model of a design; nothing is worked out yet.
    #[must_use]
    pub fn new(design: &'d Design, environment: Environment<'d>) -> Self {
        Self::with_overrides(design, environment, Vec::new())
    }

    /// The model of a design with some values taken at another size.
    #[must_use]
    pub fn with_overrides(
        design: &'d Design,
        environment: Environment<'d>,
        overrides: Vec<Override>,
    ) -> Self {
        let mut bases = Vec::new();
        let mut total = 0;
        for (_, entity) in design.store.all() {
            bases.push(total);
            total += u32::try_from(environment.catalogue.computed(entity.kind).len()).unwrap_or(0);
        }
        let cache = (0..total).map(|_| OnceCell::new()).collect();
        let busy = (0..total).map(|_| Cell::new(false)).collect();
        let system = habit(design);
        Self {
            design,
            environment,
            bases,
            cache,
            busy,
            overrides,
            flown: OnceCell::new(),
            breaths: RefCell::default(),
            witness: None,
            system,
        }
    }

    /// The same model, with someone to tell of every condition that is settled.
    #[must_use]
    pub fn seen_by(mut self, witness: Option<&'d dyn Witness>) -> Self {
        self.witness = witness;
        self
    }

    /// Who is told of conditions, where anyone is.
    #[must_use]
    pub fn witness(&self) -> Option<&'d dyn Witness> {
        self.witness
    }

    /// What it is evaluated in.
    #[must_use]
    pub fn environment(&self) -> Environment<'d> {
        self.environment
    }

    /// The day of the review.
    #[must_use]
    pub fn today(&self) -> Date {
        self.environment.today
    }

    /// The tables.
    #[must_use]
    pub fn tables(&self) -> &'d Tables {
        self.environment.tables
    }

    /// The design.
    #[must_use]
    pub fn design(&self) -> &'d Design {
        self.design
    }

    /// The catalogue.
    #[must_use]
    pub fn catalogue(&self) -> &'d Catalogue {
        self.environment.catalogue
    }

    /// A thing of the design, or a row of a table.
    #[must_use]
    pub fn entity(&self, id: EntityId) -> Option<&Entity> {
        if id.is_row() { self.tables().store().get(id) } else { self.design.store.get(id) }
    }

    /// The nearest thing of a kind that holds this one.
    #[must_use]
    pub fn holder(&self, id: EntityId, kind: &'static Kind) -> Option<EntityId> {
        let mut at = self.entity(id)?.parent;
        while let Some(id) = at {
            let entity = self.entity(id)?;
            if entity.kind == kind {
                return Some(id);
            }
            at = entity.parent;
        }
        None
    }

    /// A quantity of a thing.
    ///
    /// # Errors
    /// When it is missing or refused.
    pub fn read(&self, read: Read) -> Outcome<Value> {
        match read.access {
            Access::Field(slot) => self.field(read.entity, slot),
            Access::Computed(number) => self.computation(read.entity, number).map_or_else(
                || Err(Gap::refused("no such quantity", [])),
                |computation| computation.value.clone(),
            ),
        }
    }

    /// A field as written. An optional collection that is not written is empty.
    ///
    /// # Errors
    /// When nothing is written.
    pub fn field(&self, id: EntityId, slot: u16) -> Outcome<Value> {
        let Some(entity) = self.entity(id) else { return Err(Gap::missing(id, slot)) };
        let Some(field) = entity.kind.field(slot) else { return Err(Gap::missing(id, slot)) };
        let collection = matches!(field.shape, Shape::Many(_) | Shape::List(_) | Shape::RefersAll(_));
        match &entity.slot(slot).state {
            State::Known(Value::Quantity(quantity)) => {
                let over = self.overrides.iter().find(|o| o.entity == id && o.slot == slot);
                Ok(Value::Quantity(over.map_or(*quantity, |o| Quantity { si: o.si, ..*quantity })))
            }
            State::Known(Value::Curve(points)) => {
                let over = self.overrides.iter().find(|o| o.entity == id && o.slot == slot);
                Ok(Value::Curve(over.map_or_else(
                    || Arc::clone(points),
                    |o| points.iter().map(|(x, y)| (*x, Quantity { si: o.si * y.si, ..*y })).collect(),
                )))
            }
            State::Known(value) => Ok(value.clone()),
            State::None if collection => Ok(Value::Entities(Arc::from([]))),
            State::None => {
                let reason = format!("`{}` is none", field.name);
                Err(Gap::refused(reason, [Read { entity: id, access: Access::Field(slot) }]))
            }
            State::Absent if collection && field.need == Need::Optional => Ok(Value::Entities(Arc::from([]))),
            // A builder cannot write into a table: what a row lacks is no key to ask for.
            State::Absent if id.is_row() => Err(Gap::refused(
                format!("no {} is listed for {}", field.name.replace('_', " "), entity.name),
                [],
            )),
            State::Absent | State::Wrong => Err(Gap::missing(id, slot)),
        }
    }

    /// The distance tried in place of the one written in a position.
    pub(crate) fn distance(&self, id: EntityId, slot: u16) -> Option<f64> {
        self.overrides.iter().find(|o| o.entity == id && o.slot == slot).map(|o| o.si)
    }

    /// The computed ascent, once a quantity of it has been asked for.
    #[must_use]
    pub fn flown(&self) -> Option<Rc<Flown>> {
        self.flown.get().map(Rc::clone)
    }

    /// The breath of a bay, once it has been worked out.
    fn breath(&self, id: EntityId) -> Option<Rc<Breath>> {
        self.breaths.borrow().iter().find(|(known, _)| *known == id).map(|(_, breath)| Rc::clone(breath))
    }

    fn keep_breath(&self, id: EntityId, breath: Breath) -> Rc<Breath> {
        let breath = Rc::new(breath);
        self.breaths.borrow_mut().push((id, Rc::clone(&breath)));
        breath
    }

    pub(crate) fn keep(&self, flown: Flown) {
        // Worked out once: a second flight of the same model would be the same.
        let _ = self.flown.set(Rc::new(flown));
    }

    /// True for kinds that have a fore and an aft station.
    #[must_use]
    pub fn has_stations(kind: &'static Kind) -> bool {
        stations::has_stations(kind)
    }

    /// Whether a thing has a part or a value: false where none is written and none means none.
    ///
    /// # Errors
    /// When it must have one that is not written down.
    pub fn has(&self, id: EntityId, slot: u16) -> Outcome<bool> {
        let Some(entity) = self.entity(id) else { return Err(Gap::missing(id, slot)) };
        let need = entity.kind.field(slot).map_or(Need::Optional, |f| f.need);
        match &entity.slot(slot).state {
            State::Known(Value::Entities(all)) => Ok(!all.is_empty()),
            State::Known(Value::Truth(truth)) => Ok(*truth),
            State::Known(_) => Ok(true),
            State::None => Ok(false),
            State::Absent if need == Need::Optional => Ok(false),
            State::Absent | State::Wrong => Err(Gap::missing(id, slot)),
        }
    }

    fn asking(&self) -> Asking<'_> {
        Asking { model: self, reads: RefCell::default(), steps: RefCell::default(), seen: Cell::default() }
    }

    /// A computed quantity with its working; worked out on the first asking.
    #[must_use]
    pub fn computation(&self, id: EntityId, number: u16) -> Option<Rc<Computation>> {
        let kind = self.entity(id)?.kind;
        let entry = self.environment.catalogue.computed(kind).get(usize::from(number))?;
        let at = self.bases.get(id.index()).copied()? as usize + usize::from(number);
        let (cell, busy) = (self.cache.get(at)?, self.busy.get(at)?);
        if let Some(found) = cell.get() {
            return Some(Rc::clone(found));
        }
        if busy.get() {
            let gap = Gap::refused(format!("`{}` hangs on itself", entry.name), []);
            return Some(Rc::new(Computation { value: Err(gap), reads: Vec::new(), steps: Vec::new() }));
        }
        busy.set(true);
        let asking = self.asking();
        let mut value = match &entry.body {
            Body::Rust(computed) => (computed.compute)(&asking, id),
            Body::Words(words) => words.work_out(&asking, id),
        };
        if let Ok(Value::Quantity(quantity)) = &mut value
            && quantity.style.system == System::Unknown
            && quantity.style.unit.is_none()
        {
            quantity.style.system = asking.system();
        }
        busy.set(false);
        let computation =
            Computation { value, reads: asking.reads.into_inner(), steps: asking.steps.into_inner() };
        Some(Rc::clone(cell.get_or_init(|| Rc::new(computation))))
    }

    /// The fields as written that a quantity rests on, in the order they were asked for.
    #[must_use]
    pub fn leaves(&self, read: Read) -> Vec<Read> {
        let mut leaves = Vec::new();
        self.gather(read, &mut leaves, 0);
        leaves
    }

    fn gather(&self, read: Read, leaves: &mut Vec<Read>, depth: u8) {
        match read.access {
            Access::Field(_) => {
                if !leaves.contains(&read) {
                    leaves.push(read);
                }
            }
            Access::Computed(number) if depth < 32 => {
                if let Some(computation) = self.computation(read.entity, number) {
                    for inner in &computation.reads {
                        self.gather(*inner, leaves, depth + 1);
                    }
                }
            }
            Access::Computed(_) => {}
        }
    }
}

/// The system of units that a design is mostly written in.
fn habit(design: &Design) -> System {
    let mut seen = (0, 0);
    for (_, entity) in design.store.all() {
        for (slot, _) in entity.kind.fields.iter().enumerate() {
            let state = u16::try_from(slot).map(|slot| &entity.slot(slot).state);
            match state {
                Ok(State::Known(Value::Quantity(quantity))) => seen = counted(seen, quantity.style.system),
                Ok(State::Known(Value::Position(position))) => {
                    seen = counted(seen, position.distance.style.system);
                }
                _ => {}
            }
        }
    }
    more_often(seen).unwrap_or_default()
}

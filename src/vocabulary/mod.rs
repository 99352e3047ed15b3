//! The words a file may use: entity types, their fields, and one reader for all of them.
//!
//! A field is declared once, as one line of the [`entity_types!`](crate::entity_types) macro. From that line come its key in the
//! file, its doc, its dimension or shape, whether it is expected, its slot in the record, its name in
//! rules and its JSON Schema. Designs, rule packs and tables are all read this way.

mod collections;
mod curve;
mod identity;
mod keys;
mod measured;
mod position;
mod read;
mod references;
mod rows;
mod scalar;
mod schema;
mod store;
mod suggest;
mod typed;
mod value;
mod words;

pub use identity::EntityId;
pub use position::{Edge, Position};
pub use read::{NOT_KNOWN, Reading, read, read_table};
pub use rows::Rows;
pub(crate) use scalar::{due, read_scalar};
pub use schema::json_schema;
pub use store::{Entity, Slot, State, Stated, Store};
pub use suggest::suggest;
pub use typed::{AnyKey, Decode, Id, IdOf, Ids, Key, Typed};
pub use value::{Date, Value};
pub use words::{Words, possible_value};

use crate::quantity::Dimension;

/// An entity type: something that can be written down: a tube, a joint, a circuit, a rule.
#[derive(Debug)]
pub struct EntityType {
    /// Its name in rules and messages.
    pub name: &'static str,
    /// What it is.
    pub doc: &'static str,
    /// Its fields; the index of a field is its slot.
    pub fields: &'static [Field],
    /// Keys that mean something we do not cover yet, with what to say instead of misreading them.
    pub refused: &'static [Refused],
}

impl PartialEq for EntityType {
    fn eq(&self, other: &Self) -> bool {
        std::ptr::eq(self, other)
    }
}

impl EntityType {
    /// The slot of a field by its key.
    #[must_use]
    pub fn slot(&self, name: &str) -> Option<u16> {
        self.fields.iter().position(|f| f.name == name).and_then(|i| u16::try_from(i).ok())
    }

    /// The field in a slot.
    #[must_use]
    pub fn field(&self, slot: u16) -> Option<&'static Field> {
        self.fields.get(usize::from(slot))
    }

    /// The field that had a key in an earlier version, with its slot. Where the key is a word that YAML 1.1 reads as true or
    /// false, what a program of YAML 1.1 has made of it stands for it.
    #[must_use]
    pub fn renamed(&self, former: &str) -> Option<(u16, &'static Field)> {
        let fits = |old: &str| old == former || yaml_1_1_truth(old).is_some_and(|truth| truth == former);
        (0..).zip(self.fields).find(|(_, field)| field.formerly.is_some_and(fits))
    }

    /// What several are called: `tubes`, `switches`, `batteries`.
    #[must_use]
    pub fn plural(&self) -> String {
        let name = self.name;
        match name.strip_suffix('y') {
            Some(stem) if !stem.ends_with(['a', 'e', 'o', 'u']) => format!("{stem}ies"),
            _ if name.ends_with(['s', 'x']) || name.ends_with("ch") => format!("{name}es"),
            _ => format!("{name}s"),
        }
    }

    /// The doc as one trimmed line.
    #[must_use]
    pub fn about(&self) -> &'static str {
        self.doc.trim()
    }

    /// Its name with its article: `a tube`, `an altimeter`, `a set of fins`.
    #[must_use]
    pub fn with_article(&self) -> String {
        if self.name.ends_with('s') && !self.name.ends_with("ss") {
            return format!("a set of {}", self.name);
        }
        let article = if self.name.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
        format!("{article} {}", self.name)
    }
}

/// What a reader and writer of YAML 1.1 makes of a word that YAML 1.2 leaves alone.
fn yaml_1_1_truth(word: &str) -> Option<&'static str> {
    match word {
        "on" | "yes" | "y" => Some("true"),
        "off" | "no" | "n" => Some("false"),
        _ => None,
    }
}

/// One field of a type.
#[derive(Debug)]
pub struct Field {
    /// Its key in the file and its name in rules.
    pub name: &'static str,
    /// What it means.
    pub doc: &'static str,
    /// What its absence means.
    pub need: Need,
    /// What may be written there.
    pub shape: Shape,
    /// The key that files written for an earlier version have for it.
    pub formerly: Option<&'static str>,
    /// Of a reference, what those that refer to an entity are called there, where it is not the plural of their type.
    pub inverse: Option<&'static str>,
}

impl Field {
    /// The doc as one trimmed line.
    #[must_use]
    pub fn about(&self) -> &'static str {
        self.doc.trim()
    }
}

/// A part of whatever type: what the members of a collection of several types are.
pub static PART: EntityType =
    EntityType { name: "part", doc: "A part of whatever type.", fields: &[], refused: &[] };

/// What it means when a key is not there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// The value exists in the rocket but is not written down: rules that need it are unproven.
    Expected,
    /// Nothing there means there is none.
    Optional,
    /// The file cannot be read without it.
    Required,
    /// Never written: it comes with the entity itself, as holes come with the pins that stand in them.
    Implied,
}

/// A key that is understood and turned away by name.
#[derive(Debug)]
pub struct Refused {
    /// The key.
    pub name: &'static str,
    /// Why, and what to do instead.
    pub why: &'static str,
}

/// Which signs a value may have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// Above zero: a size.
    Positive,
    /// Zero or above.
    NotNegative,
    /// Any.
    Any,
}

/// What may be written in a field.
#[derive(Debug)]
pub enum Shape {
    /// A quantity with its unit.
    Measure(Dimension, Sign),
    /// A list of quantities of one dimension; one alone may stand without the list.
    Measures(Dimension, Sign),
    /// A plain number.
    Number(Sign),
    /// A whole number, at least this.
    Count(u32),
    /// `true` or `false`.
    Truth,
    /// Free text.
    Text,
    /// A list of texts.
    Texts,
    /// `YYYY-MM-DD`.
    Date,
    /// One of a fixed set of words.
    Word(&'static [&'static str]),
    /// A place measured with a tape: `2.25 in from aft`.
    Position,
    /// One entity, written as a map.
    One(&'static EntityType),
    /// What was measured of the measures that stand beside it, under the same names; it takes their place. The entity of
    /// this type stands for the measuring as a whole.
    Measured(&'static EntityType),
    /// Several entities by name, written as a map of maps.
    Many(&'static EntityType),
    /// Several entities without names, written as a list of maps.
    List(&'static EntityType),
    /// The same, where an item that is a word stands for the map of its first field alone.
    Listed(&'static EntityType),
    /// The name of another entity in the same file.
    Refers(&'static EntityType),
    /// A list of names of other entities in the same file.
    RefersAll(&'static EntityType),
    /// The name of a row in a table of the trade.
    Row(&'static EntityType),
    /// A list of `[x, y]` pairs.
    Curve(Dimension, Dimension),
    /// Anything; the reader keeps the place and looks no further.
    Raw,
}

/// The key of a field as it is spelled in files: Rust's own words are declared raw (`r#for`).
#[must_use]
pub const fn spelled(name: &'static str) -> &'static str {
    match name.as_bytes() {
        [b'r', b'#', ..] => name.split_at(2).1,
        _ => name,
    }
}

/// Declares kinds: one line a field. `expected`, `optional` and `required` say what absence means; `implied` is a part
/// that is never written and always there. After the shape, `formerly "on"` names the key that the field had before. A
/// reference is also read the other way round, under the plural of the type that has it: `inverse "parts"` gives another name.
/// The shape of a field says what Rust makes of it: `Measure(Length, Positive)` is a length, `One(Tube)` the identity of a tube,
/// `OneOf(Level)` a member of an enumeration that [`words!`](crate::words) declares.
#[macro_export]
macro_rules! entity_types {
    ($(
        $(#[doc = $doc:literal])+
        $entity_type:ident : $entity:ident as $module:ident = $name:literal {
            $( $(#[doc = $field_doc:literal])+ $need:ident $field:ident : $shape:ident $( ( $($argument:tt)* ) )?
                $( formerly $formerly:literal )? $( inverse $inverse:literal )?; )*
            $( refused $refused:literal : $why:literal; )*
        }
    )*) => { $(
        $(#[doc = $doc])+
        pub static $entity_type: $crate::vocabulary::EntityType = $crate::vocabulary::EntityType {
            name: $name,
            doc: concat!($($doc),+),
            fields: &[ $( $crate::vocabulary::Field {
                name: $crate::vocabulary::spelled(stringify!($field)),
                doc: concat!($($field_doc),+),
                need: $crate::entity_types!(@need $need),
                shape: $crate::entity_types!(@shape $shape $( $($argument)* )?),
                formerly: $crate::entity_types!(@name $( $formerly )?),
                inverse: $crate::entity_types!(@name $( $inverse )?),
            } ),* ],
            refused: &[ $( $crate::vocabulary::Refused { name: $refused, why: $why } ),* ],
        };

        $(#[doc = $doc])+
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        #[allow(unreachable_pub, reason = "some types are used in one place only")]
        pub enum $entity {}

        // Under the type's own name, so that the shapes of other fields name both by one word.
        #[doc(hidden)]
        #[allow(unused_imports, unreachable_pub, reason = "some types are no part of another")]
        pub use self::$entity_type as $entity;

        impl $crate::vocabulary::Typed for $entity {
            const TYPE: &'static $crate::vocabulary::EntityType = &$entity_type;
        }

        #[doc = concat!("The fields of `", $name, "`, by slot.")]
        #[allow(non_upper_case_globals, dead_code, unreachable_pub, reason = "a field is spelled in Rust as it is in the file")]
        pub mod $module {
            #[allow(unused_imports, reason = "the types of its fields, where it has any")]
            use super::*;

            #[allow(non_camel_case_types, clippy::upper_case_acronyms, reason = "a field is spelled in Rust as it is in the file")]
            enum Slot { $( $field ),* }
            $(
                $(#[doc = $field_doc])+
                pub const $field: $crate::vocabulary::Key<
                    super::$entity,
                    $crate::entity_types!(@value $shape $( $($argument)* )?),
                > = $crate::vocabulary::Key::in_slot(Slot::$field as u16);
            )*
        }
    )* };
    (@name) => { None };
    (@name $name:literal) => { Some($name) };

    (@need expected) => { $crate::vocabulary::Need::Expected };
    (@need optional) => { $crate::vocabulary::Need::Optional };
    (@need required) => { $crate::vocabulary::Need::Required };
    (@need implied) => { $crate::vocabulary::Need::Implied };

    (@shape Measure $quantity:ty, $sign:ident) => {
        $crate::vocabulary::Shape::Measure(
            <$quantity as $crate::quantity::Dimensional>::DIMENSION, $crate::vocabulary::Sign::$sign)
    };
    (@shape Measures $quantity:ty, $sign:ident) => {
        $crate::vocabulary::Shape::Measures(
            <$quantity as $crate::quantity::Dimensional>::DIMENSION, $crate::vocabulary::Sign::$sign)
    };
    (@shape Curve $x:ty, $y:ty) => {
        $crate::vocabulary::Shape::Curve(
            <$x as $crate::quantity::Dimensional>::DIMENSION, <$y as $crate::quantity::Dimensional>::DIMENSION)
    };
    (@shape Number $sign:ident) => { $crate::vocabulary::Shape::Number($crate::vocabulary::Sign::$sign) };
    (@shape Count $least:literal) => { $crate::vocabulary::Shape::Count($least) };
    (@shape OneOf $words:ty) => { $crate::vocabulary::Shape::Word(<$words>::WORDS) };
    (@shape Word $words:expr) => { $crate::vocabulary::Shape::Word($words) };
    (@shape $plain:ident) => { $crate::vocabulary::Shape::$plain };
    (@shape $reference:ident $($entity:tt)+) => { $crate::vocabulary::Shape::$reference(&$($entity)+) };

    (@value Measure $quantity:ty, $sign:ident) => { $quantity };
    (@value Measures $quantity:ty, $sign:ident) => { Vec<$quantity> };
    (@value Curve $x:ty, $y:ty) => { Vec<($x, $y)> };
    (@value Number $sign:ident) => { f64 };
    (@value Count $least:literal) => { u32 };
    (@value OneOf $words:ty) => { $words };
    (@value Word $words:expr) => { &'static str };
    (@value Truth) => { bool };
    (@value Text) => { std::sync::Arc<str> };
    (@value Texts) => { std::sync::Arc<[std::sync::Arc<str>]> };
    (@value Date) => { $crate::vocabulary::Date };
    (@value Position) => { $crate::vocabulary::Position };
    (@value Raw) => { $crate::text::NodeId };
    (@value Many $entity:ty) => { $crate::vocabulary::Ids<$entity> };
    (@value List $entity:ty) => { $crate::vocabulary::Ids<$entity> };
    (@value Listed $entity:ty) => { $crate::vocabulary::Ids<$entity> };
    (@value RefersAll $entity:ty) => { $crate::vocabulary::Ids<$entity> };
    (@value $one:ident $entity:ty) => { $crate::vocabulary::Id<$entity> };
}

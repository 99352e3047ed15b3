//! Entity types and their fields: what may be written of an entity, and what its absence means.

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

    /// Whether something else counts where the field says nothing: its doc says what.
    #[must_use]
    pub fn has_default(&self) -> bool {
        self.need == Need::Optional && self.doc.contains("where not said")
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

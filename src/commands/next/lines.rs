//! The lines that ask for values: each with what it is, an example, and the words that may stand there.

use std::collections::BTreeMap;

use super::outline::{Content, Item};
use crate::design::{Design, GRANTED};
use crate::quantity::System;
use crate::rules::HoldPoint;
use crate::tables::Tables;
use crate::vocabulary::{EntityType, Field, NOT_KNOWN, Rows as _, Shape, State, Value};
use crate::yaml::{Source, clean_line};

/// More words than this are not listed: the report names them where one is misspelled.
const MOST_WORDS: usize = 12;
/// Fields whose value follows from what was chosen or answered, and from nothing else.
const CHOSEN: &[&str] =
    &["parts_at", "opens_at", "channel", "diameter", "outer_diameter", "material", "units"];
/// A longer example is cut.
const LONGEST_EXAMPLE: usize = 48;

/// Designs in good order, from which examples of values are taken: in inches, and in millimetres.
const INCHES: &[&str] = &[include_str!("../../../examples/marsh-harrier.rocket.yaml")];
const MILLIMETRES: &[&str] = &[
    include_str!("../../../examples/sand-martin.rocket.yaml"),
    include_str!("../../../examples/bittern.rocket.yaml"),
];

/// Values as they are written in designs in good order, by the type of the part and the key, and by the name that the part has there.
#[derive(Debug, Default)]
pub(in crate::commands) struct Examples(BTreeMap<(&'static str, &'static str), Vec<(String, String)>>);

impl Examples {
    /// Examples for whoever writes in a system of units.
    pub(in crate::commands) fn of(system: System) -> Self {
        let mut all = Self::default();
        let (first, then) = match system {
            System::Imperial => (INCHES, MILLIMETRES),
            System::Metric | System::Unknown => (MILLIMETRES, INCHES),
        };
        for text in first.iter().chain(then) {
            let design = Design::read(Source::new("example", *text), Tables::built_in());
            for (_, entity) in design.store.all() {
                for (slot, field) in (0..).zip(entity.entity_type.fields) {
                    let slot = entity.slot(slot);
                    let (State::Known(value), Some(place)) = (&slot.state, slot.place) else { continue };
                    // A tolerance has no place in an example.
                    let written = match value {
                        Value::Quantity(quantity) if slot.tolerance.is_some() => quantity.to_string(),
                        _ => design.source.slice(place).split_whitespace().collect::<Vec<_>>().join(" "),
                    };
                    let known = all.0.entry((entity.entity_type.name, field.name)).or_default();
                    known.push((entity.name.to_string(), written));
                }
            }
        }
        all
    }

    /// What may stand in a field of a part of this name, after a colon or with `like`; empty where its name says all.
    fn hint(&self, entity_type: &'static EntityType, name: &str, field: &Field) -> String {
        let listed = |words: &[&str]| format!(": {}", words.join(", "));
        match field.shape {
            Shape::Word(words) => return listed(words),
            Shape::Truth => return ": true or false".to_owned(),
            Shape::Row(table) => {
                let names = Tables::built_in().names(table);
                if names.len() <= MOST_WORDS {
                    return format!(": {}", names.join(", "));
                }
            }
            _ => {}
        }
        // What is right for a vent of an altimeter bay is wrong for a relief hole.
        let known = self.0.get(&(entity_type.name, field.name)).map_or(&[][..], Vec::as_slice);
        let same = known.iter().find(|(of, _)| of == name).or_else(|| known.first());
        let Some((_, example)) = same else { return String::new() };
        let mut short: String = example.chars().take(LONGEST_EXAMPLE).collect();
        if short.len() < example.len() {
            short.push('…');
        }
        format!(", like {short}")
    }

    /// The remarks that a field may have, whatever its part is called.
    pub(super) fn remarks(&self, entity_type: &'static EntityType, field: &Field) -> Vec<String> {
        let known = self.0.get(&(entity_type.name, field.name)).map_or(&[][..], Vec::as_slice);
        let names = known.iter().map(|(name, _)| name.as_str()).chain([""]);
        names.map(|name| self.remark(entity_type, name, field)).collect()
    }

    /// What a value is, and what may stand there.
    pub(super) fn remark(&self, entity_type: &'static EntityType, name: &str, field: &Field) -> String {
        // What else there is to know of it follows in further sentences, which a line has no room for.
        let about = field.about().split(". ").next().unwrap_or_default();
        let about = about.split("; ").next().unwrap_or(about).trim_end_matches('.');
        let later = match (entity_type.name, field.name) {
            ("charge", "free_volume") => "; leave it unknown, and it is worked out from the rest",
            _ => "",
        };
        format!("{about}{}{later}", self.hint(entity_type, name, field))
    }
}

/// What the keys of a map are: fields of an entity, or names of entities.
#[derive(Clone, Copy)]
pub(super) enum Keys {
    Fields(&'static EntityType),
    Names(&'static EntityType),
}

/// What is written, line by line, and which values are asked for.
pub(super) struct Lines<'e> {
    pub(super) examples: &'e Examples,
    /// The step at hand: what is due later is left out.
    pub(super) step: HoldPoint,
    pub(super) lines: Vec<String>,
    pub(super) asked: usize,
    /// How many values are written that nobody was asked for.
    pub(super) granted: usize,
}

/// Whether a value of a field that an outline writes is one that a builder must look at: a name that leads from one part to another
/// is not, since the parts are there as well.
fn is_granted(field: &Field) -> bool {
    let leads_on = matches!(field.shape, Shape::Refers(_) | Shape::RefersAll(_)) && field.name != "glued";
    !leads_on && !CHOSEN.contains(&field.name)
}

impl Lines<'_> {
    /// Adds a key with all that is due under it, in a map of this name.
    pub(super) fn item(&mut self, keys: Keys, name: &str, item: &Item, depth: usize) {
        let indent = "  ".repeat(depth);
        let key = &item.key;
        let field = match keys {
            Keys::Fields(entity_type) => entity_type
                .slot(key)
                .and_then(|slot| entity_type.field(slot))
                .map(|field| (entity_type, field)),
            Keys::Names(_) => None,
        };
        match &item.content {
            Content::Value(value) => {
                let granted = field.is_some_and(|(_, field)| is_granted(field));
                self.granted += usize::from(granted);
                let mark = if granted { format!("   {GRANTED}") } else { String::new() };
                self.lines.push(format!("{indent}{key}: {value}{mark}"));
            }
            Content::Ask => {
                let remark = field.map(|(entity_type, field)| self.examples.remark(entity_type, name, field));
                self.lines.push(format!(
                    "{indent}{key}: {NOT_KNOWN}   # {}",
                    clean_line(&remark.unwrap_or_default())
                ));
                self.asked += 1;
            }
            Content::Part(children) => {
                self.lines.push(format!("{indent}{key}:"));
                let inner = match (keys, field.map(|(_, field)| &field.shape)) {
                    (Keys::Names(entity_type), _) => Keys::Fields(entity_type),
                    (_, Some(Shape::One(entity_type))) => Keys::Fields(entity_type),
                    (_, Some(Shape::Many(entity_type))) => Keys::Names(entity_type),
                    _ => return,
                };
                let step = self.step;
                for child in children.iter().filter(|child| child.due <= step) {
                    self.item(inner, key, child, depth + 1);
                }
            }
        }
    }
}

/// What is written of an item on one line, for a map in braces.
pub(super) fn on_one_line(content: &Content, step: HoldPoint) -> String {
    match content {
        Content::Value(value) => value.clone(),
        Content::Ask => NOT_KNOWN.to_owned(),
        Content::Part(children) => {
            let due = children.iter().filter(|child| child.due <= step);
            let inside: Vec<String> =
                due.map(|child| format!("{}: {}", child.key, on_one_line(&child.content, step))).collect();
            format!("{{{}}}", inside.join(", "))
        }
    }
}

/// How many values an item asks for.
pub(super) fn asks(content: &Content, step: HoldPoint) -> usize {
    match content {
        Content::Value(_) => 0,
        Content::Ask => 1,
        Content::Part(children) => {
            children.iter().filter(|child| child.due <= step).map(|child| asks(&child.content, step)).sum()
        }
    }
}

//! The values that the rules of a hold point read, and what each counts as.

use std::collections::BTreeMap;

use crate::design::IN_HAND;
use crate::model::{Access, Model, Read};
use crate::quantity::{Quantity, Tolerance};
use crate::review::places::{self, leaves};
use crate::review::{FindingPlace, PackApplicability, digest};
use crate::rules::{HoldPoint, Library, judge_nominal};
use crate::vocabulary::{EntityId, State, Value};
use crate::yaml::clean_line;

/// A value that the rules of a hold point read.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PassedValue {
    /// Its path in the design; or `every TYPE`, for the entities that rules of that type were asked of.
    pub key: String,
    /// As it is written, on one line; empty where nothing is.
    pub written: String,
    /// What it counts as, so that another way to write the same is no change.
    pub counts_as: CountsAs,
}

/// What a value counts as, in full or by its digest.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CountsAs {
    /// In full: as it is worked out now, and as the first form of a record keeps it.
    Whole(String),
    /// The beginning of its SHA-256, as a record keeps it.
    Digest(String),
}

impl CountsAs {
    /// The beginning of its SHA-256.
    pub(super) fn digest(&self) -> String {
        match self {
            Self::Whole(all) => digest(all.as_bytes()).chars().take(DIGITS).collect(),
            Self::Digest(digest) => digest.clone(),
        }
    }

    /// Whether both count as the same.
    pub(super) fn is_same(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Whole(one), Self::Whole(other)) => one == other,
            _ => self.digest() == other.digest(),
        }
    }

    /// The text that stands for it in the digest of a pass.
    pub(super) fn text(&self) -> &str {
        match self {
            Self::Whole(text) | Self::Digest(text) => text,
        }
    }
}

/// Of two values of the same key one in four thousand million is taken for the other.
const DIGITS: usize = 8;
/// What counts as a value that is not written down.
pub(super) const NOTHING: &str = "nothing";

/// What the key of a list of entities begins with.
pub(super) const EVERY: &str = "every ";
/// A longer text than this stands as its digest.
const LONGEST: usize = 120;

/// Every value that the rules of a hold point read of a design, in the order of their keys; the rules of packs that it was
/// not judged by left aside.
#[must_use]
pub fn values_of(
    model: &Model<'_>,
    library: &Library,
    packs: &[PackApplicability],
    point: HoldPoint,
) -> Vec<PassedValue> {
    let store = &model.design().store;
    let mut found: BTreeMap<String, PassedValue> = BTreeMap::new();
    let judged = |pack: &str| packs.iter().all(|p| p.judged || p.name != pack);
    for rule in
        library.rules.iter().filter(|r| r.before == point && judged(&r.pack) && !r.is_off(model.today()))
    {
        let every = every(model, rule.entity_type.name);
        found.insert(every.key.clone(), every);
        for subject in store.of_type(rule.entity_type) {
            for read in leaves(model, &judge_nominal(rule, model, subject)) {
                if let Access::Field(slot) = read.access {
                    let key = store.field_path(read.entity, slot);
                    found.entry(key.clone()).or_insert_with(|| value(model, read, key));
                }
            }
        }
    }
    found.into_values().collect()
}

/// The entities of a type, by their paths.
fn every(model: &Model<'_>, entity_type: &str) -> PassedValue {
    let store = &model.design().store;
    let all: Vec<String> = store
        .all()
        .filter(|(_, e)| e.entity_type.name == entity_type)
        .map(|(id, _)| store.path(id))
        .filter(|path| !path.is_empty())
        .collect();
    let written = if all.is_empty() { "none".to_owned() } else { shortened(&all.join(", ")) };
    PassedValue { key: format!("{EVERY}{entity_type}"), written, counts_as: CountsAs::Whole(all.join(", ")) }
}

pub(super) fn shortened(text: &str) -> String {
    let text = clean_line(text);
    let words: Vec<&str> = text.split_whitespace().collect();
    let line = words.join(" ");
    if line.chars().count() <= LONGEST {
        return line;
    }
    format!("{}…", line.chars().take(LONGEST).collect::<String>())
}

fn value(model: &Model<'_>, read: Read, key: String) -> PassedValue {
    let nothing = || not_written(key.clone());
    let (Some(entity), Access::Field(slot)) = (model.entity(read.entity), read.access) else {
        return nothing();
    };
    let slot = entity.slot(slot);
    let as_written =
        slot.place.map(|place| shortened(model.design().source.slice(place))).unwrap_or_default();
    let (written, counts_as) = match &slot.state {
        State::Absent => return nothing(),
        State::None => ("none".to_owned(), "none".to_owned()),
        State::Wrong => (as_written.clone(), format!("unreadable: {as_written}")),
        State::Known(value) => {
            let counts = counted(model, value, slot.tolerance);
            let written = match value {
                // A part is known by its name: its own values stand for themselves.
                Value::Entity(id) if !id.is_row() => counts.clone(),
                Value::Entities(_) => counts.clone(),
                _ => as_written,
            };
            (shortened(&written), counts)
        }
    };
    PassedValue { key, written, counts_as: CountsAs::Whole(counts_as) }
}

fn not_written(key: String) -> PassedValue {
    PassedValue { key, written: String::new(), counts_as: CountsAs::Whole(NOTHING.to_owned()) }
}

/// What a value counts as: the same for all ways to write it.
fn counted(model: &Model<'_>, value: &Value, tolerance: Option<Tolerance>) -> String {
    let store = &model.design().store;
    // Twelve digits: what two ways to write one measure differ by is far below.
    let si = |q: &Quantity| format!("{:.11e}", q.si);
    let path = |id: &EntityId| {
        if id.is_row() {
            model.entity(*id).map(|e| format!("{} {}", e.entity_type.name, e.name)).unwrap_or_default()
        } else {
            store.path(*id)
        }
    };
    let within =
        |t: Option<Tolerance>| t.map(|t| format!(" -{:.5e} +{:.5e}", t.minus, t.plus)).unwrap_or_default();
    match value {
        Value::Truth(truth) => truth.to_string(),
        Value::Text(text) => text.to_string(),
        Value::Texts(texts) => texts.join("; "),
        Value::Word(word) => (*word).to_owned(),
        Value::Quantity(quantity) => format!("{}{}", si(quantity), within(tolerance)),
        Value::Quantities(all) => all.iter().map(si).collect::<Vec<_>>().join("; "),
        Value::Date(date) => date.to_string(),
        Value::Position(at) => format!(
            "{} from {:?} of {}{}",
            si(&at.distance),
            at.edge,
            at.of.as_deref().unwrap_or("the body"),
            within(at.tolerance)
        ),
        Value::Entity(id) => path(id),
        Value::Entities(all) => all.iter().map(path).collect::<Vec<_>>().join(", "),
        Value::Curve(points) => {
            points.iter().map(|(x, y)| format!("{} {}", si(x), si(y))).collect::<Vec<_>>().join("; ")
        }
        Value::Raw(_) => "a part of the file".to_owned(),
    }
}

/// The value of a key as it is now, whether or not a rule still reads it.
pub(super) fn now(model: &Model<'_>, key: &str) -> PassedValue {
    if let Some(entity_type) = key.strip_prefix(EVERY) {
        return every(model, entity_type);
    }
    match found(model, key) {
        Some((entity, slot)) => value(model, Read { entity, access: Access::Field(slot) }, key.to_owned()),
        None => not_written(key.to_owned()),
    }
}

/// The entity and the slot of a key.
fn found(model: &Model<'_>, key: &str) -> Option<(EntityId, u16)> {
    let (path, name) = key.rsplit_once('.').unwrap_or(("", key));
    let store = &model.design().store;
    let (mut id, mut entity) = store.all().find(|(id, _)| store.path(*id) == path)?;
    // What was measured stands in the part's own slots.
    if entity.entity_type == &IN_HAND {
        id = entity.parent?;
        entity = store.get(id)?;
    }
    let slot =
        entity.entity_type.slot(name).or_else(|| entity.entity_type.renamed(name).map(|(slot, _)| slot));
    Some((id, slot?))
}

/// Where a key stands, or the nearest entity above it that is still there.
pub(super) fn place_of(model: &Model<'_>, key: &str) -> Option<(EntityId, FindingPlace)> {
    let store = &model.design().store;
    if let Some((id, slot)) = found(model, key) {
        return places::field_place(model, id, slot).map(|place| (id, place));
    }
    if let Some((id, _)) = store.all().find(|(id, _)| store.path(*id) == key) {
        return places::entity_place(model, id).map(|place| (id, place));
    }
    let mut path = key;
    while let Some((above, _)) = path.rsplit_once('.') {
        path = above;
        if let Some((id, _)) = store.all().find(|(id, _)| store.path(*id) == path) {
            return places::entity_place(model, id).map(|place| (id, place));
        }
    }
    places::entity_place(model, store.root()).map(|place| (store.root(), place))
}

//! From what was read to the bytes it was written in.

use crate::model::{Access, Model, Read, Unknown};
use crate::rules::{Judgement, Rule, Size, Variants, Verdict};
use crate::vocabulary::{EntityId, State, Value};
use crate::yaml::Span;

/// A place in the file that decided a finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FindingPlace {
    /// The path of the key.
    pub key: String,
    /// The bytes.
    pub span: Span,
    /// What the bytes say in the finding; the text of the bytes is part of it.
    pub label: String,
}

/// More places than this make a finding harder to read, not easier.
const MOST_PLACES: usize = 6;
/// How much a value is changed to see whether it matters.
const NUDGE: f64 = 1e-3;
/// Of many values that move a margin, those that move it less than this beside the one that moves it most are left out.
const LEAST_SHARE: f64 = 0.1;

/// The deciding places of a judgement; never empty for a design with anything in it.
pub(super) fn places(
    model: &Model<'_>,
    subject: EntityId,
    judgement: &Judgement,
    deciding: &[Read],
) -> Vec<FindingPlace> {
    let mut places: Vec<FindingPlace> = Vec::new();
    // What a reader is not shown is not put into words either.
    let mut add = |found: &dyn Fn() -> Option<FindingPlace>| {
        if places.len() < MOST_PLACES
            && let Some(place) = found()
            && !places.iter().any(|p| p.span == place.span)
        {
            places.push(place);
        }
    };
    // What is missing, or makes no sense together, is the whole of the matter: what else the rule read waits for it.
    let mut found_any = false;
    if judgement.verdict == Verdict::Unproven {
        let none = Unknown::default();
        let gap = judgement.gap.as_ref().unwrap_or(&none);
        for key in gap.keys() {
            found_any = true;
            add(&|| field_place(model, key.entity, key.slot));
        }
        for refusal in gap.refusals() {
            for read in refusal.reads.iter() {
                for leaf in model.leaves(*read).iter() {
                    found_any |= matches!(leaf.access, Access::Field(_)) && !leaf.entity.is_row();
                    add(&|| read_place(model, *leaf));
                }
            }
        }
    }
    if !found_any {
        for read in deciding {
            add(&|| read_place(model, *read));
        }
        for member in &judgement.trace.members {
            add(&|| entity_place(model, member.entity));
        }
    }
    if places.is_empty()
        && let Some(place) = entity_place(model, subject)
    {
        places.push(place);
    }
    places
}

/// The fields that decided a judgement: what the rule itself read, then those that its computed quantities rest on and
/// that move the margin when they change. The lengths of the sections before, say, shift both sides of a gap alike. Where
/// more fields move it than a reader takes in, those that move it most come first, and those that hardly do are left out.
pub(super) fn deciding(
    slopes: &Variants<'_>,
    rule: &Rule,
    subject: EntityId,
    judgement: &Judgement,
) -> Vec<Read> {
    let model = slopes.base();
    // What is compared with the nudged flights must be flown as they are.
    let slack = judgement.slack.and_then(|_| slopes.judged(rule, &[], subject).slack);
    let mut found: Vec<Read> = Vec::new();
    for read in judgement.trace.reads.iter().filter(|r| is_field(r) && !r.entity.is_row()) {
        if !found.contains(read) {
            found.push(*read);
        }
    }
    // References lead to the values that are compared.
    if found.len() > MOST_PLACES {
        found.sort_by_key(|read| matches!(model.read(*read), Ok(Value::Entity(entity)) if !entity.is_row()));
    }
    // What the rule names is the subject itself and parts of it: their values come first, and what they are made of counts.
    let root = model.design().store.root();
    let own = |entity: EntityId| subject != root && is_within(model, entity, subject);
    let named = |entity: EntityId| {
        own(entity) && (entity == subject || judgement.trace.reads.iter().any(|read| read.entity == entity))
    };
    let mut moving: Vec<Moving> = Vec::new();
    for read in leaves(model, judgement) {
        if found.contains(&read) || moving.iter().any(|known| known.read == read) {
            continue;
        }
        let moved = match (slack, nudged(model, read)) {
            (Some(slack), Some(size)) => {
                let after = slopes.judged(rule, &[size], subject).slack;
                let moved = after.map_or(f64::INFINITY, |after| (after - slack).abs());
                (moved > 1e-9 * slack.abs().max(1e-9)).then_some(moved)
            }
            // A word or a reference on the way decides nothing that the numbers beside it do not show; a list of angles
            // is numbers itself, the row of a table holds numbers, and a part that is said to be absent has none.
            (Some(_), None) => {
                let counts = matches!(model.read(read), Ok(Value::Quantities(_)))
                    || (named(read.entity) && (is_row(model, read) || is_none(model, read)));
                counts.then_some(f64::INFINITY)
            }
            (None, _) => Some(f64::INFINITY),
        };
        moving.extend(moved.map(|moved| Moving { read, moved, own: own(read.entity) }));
    }
    if found.len() + moving.len() > MOST_PLACES && slack.is_some() {
        moving.sort_by(|a, b| b.own.cmp(&a.own).then(b.moved.total_cmp(&a.moved)));
        let most = |own: bool| {
            let finite = moving.iter().filter(|one| one.own == own && one.moved.is_finite());
            finite.map(|one| one.moved).fold(0.0, f64::max)
        };
        let (least, least_own) = (LEAST_SHARE * most(false), LEAST_SHARE * most(true));
        moving.retain(|one| one.moved >= if one.own { least_own } else { least });
    }
    found.extend(moving.into_iter().map(|one| one.read));
    found
}

/// A field that moves a margin.
struct Moving {
    read: Read,
    /// How far, by a nudge of it; infinite where it cannot be nudged.
    moved: f64,
    /// Whether it is the subject's or a part's of it.
    own: bool,
}

/// Whether an entity is another one or a part of it.
fn is_within(model: &Model<'_>, mut entity: EntityId, whole: EntityId) -> bool {
    loop {
        if entity == whole {
            return true;
        }
        match model.entity(entity).and_then(|entity| entity.parent) {
            Some(parent) => entity = parent,
            None => return false,
        }
    }
}

/// Whether a field names the row of a table.
fn is_row(model: &Model<'_>, read: Read) -> bool {
    matches!(model.read(read), Ok(Value::Entity(row)) if row.is_row())
}

/// Whether a field says that there is none.
fn is_none(model: &Model<'_>, read: Read) -> bool {
    let Access::Field(slot) = read.access else { return false };
    model.entity(read.entity).is_some_and(|entity| matches!(entity.slot(slot).state, State::None))
}

/// A field's value a little larger than it is; a curve's ordinates alike.
fn nudged(model: &Model<'_>, read: Read) -> Option<Size> {
    let Access::Field(slot) = read.access else { return None };
    let si = match model.field(read.entity, slot).ok()? {
        Value::Quantity(quantity) => quantity.si + quantity.si.abs().max(1e-3) * NUDGE,
        Value::Position(position) => position.distance.si + position.distance.si.abs().max(1e-3) * NUDGE,
        Value::Curve(_) => 1.0 + NUDGE,
        _ => return None,
    };
    Some(Size { entity: read.entity, slot, si })
}

fn read_place(model: &Model<'_>, read: Read) -> Option<FindingPlace> {
    match read.access {
        Access::Field(slot) => field_place(model, read.entity, slot),
        Access::Computed(_) => None,
    }
}

/// The place of a field: its value where one is written, its key where the value spans lines, else the entity that lacks it.
pub(super) fn field_place(model: &Model<'_>, id: EntityId, slot: u16) -> Option<FindingPlace> {
    if id.is_row() {
        return None;
    }
    let design = model.design();
    let entity = model.entity(id)?;
    let field = entity.entity_type.field(slot)?;
    let key = design.store.field_path(id, slot);
    let written = entity.slot(slot);
    if let (Some(place), State::Known(_) | State::None | State::Wrong) = (written.place, &written.state) {
        let text = design.source.slice(place);
        if !place.is_empty() && !text.contains('\n') && text.chars().count() <= 80 {
            let label = match &written.state {
                State::Wrong => format!("{} cannot be read: {text}", field.name),
                _ => format!("{}: {text}", field.name),
            };
            return Some(FindingPlace { key, span: place, label });
        }
        let span = written.key?;
        let label = format!("{} of {}", design.source.slice(span), owner(model, id));
        return Some(FindingPlace { key, span, label });
    }
    if let Some(span) = written.key {
        return Some(FindingPlace {
            key,
            span,
            label: format!("{} has no value", design.source.slice(span)),
        });
    }
    let span = anchor(model, id)?;
    let text = design.source.slice(span);
    let owner = if id == design.store.root() { format!("this {text} file") } else { text.to_owned() };
    Some(FindingPlace { key, span, label: format!("{owner} has no `{}`", field.name) })
}

/// The key an entity stands under.
pub(super) fn entity_place(model: &Model<'_>, id: EntityId) -> Option<FindingPlace> {
    let span = anchor(model, id)?;
    let key = model.design().store.path(id);
    let words = model.design().source.slice(span);
    let label = if key.is_empty() {
        format!("{words}: the rocket as a whole")
    } else {
        format!("{words}, the {} in question", kind_name(model, id))
    };
    Some(FindingPlace { key, span, label })
}

fn anchor(model: &Model<'_>, id: EntityId) -> Option<Span> {
    model.entity(id).map(|e| e.key).filter(|s| !s.is_empty())
}

fn kind_name(model: &Model<'_>, id: EntityId) -> String {
    model.entity(id).map(|e| e.entity_type.name.replace('_', " ")).unwrap_or_default()
}

fn owner(model: &Model<'_>, id: EntityId) -> String {
    let path = model.design().store.path(id);
    if path.is_empty() { "the rocket".to_owned() } else { path }
}

/// The fields as written that a judgement read.
pub(super) fn leaves(model: &Model<'_>, judgement: &Judgement) -> Vec<Read> {
    let mut leaves = Vec::new();
    for read in &judgement.trace.reads {
        for leaf in model.leaves(*read).iter() {
            if !leaf.entity.is_row() && !leaves.contains(leaf) {
                leaves.push(*leaf);
            }
        }
    }
    leaves
}

/// True when a read is of a field as written.
pub(super) fn is_field(read: &Read) -> bool {
    matches!(read.access, Access::Field(_))
}

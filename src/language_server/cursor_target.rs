//! What of a design stands at a byte of its text.

use crate::design::Design;
use crate::vocabulary::{Entity, EntityId, Need, Shape};
use crate::yaml::{NodeId, Span};

/// What stands somewhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CursorTarget {
    /// The key or name that a part stands under.
    Part(EntityId),
    /// The key of a field.
    Key(EntityId, u16),
    /// The value of a field.
    Value(EntityId, u16),
}

fn holds(span: Span, offset: usize) -> bool {
    span.start as usize <= offset && offset <= span.end as usize
}

/// Whether an entity is written at all, under a key of its own.
fn has_key(design: &Design, entity: &Entity) -> bool {
    let field = entity
        .parent
        .and_then(|parent| design.store.get(parent))
        .and_then(|parent| parent.entity_type.field(entity.parent_slot));
    field.is_some_and(|field| field.need != Need::Implied && !matches!(field.shape, Shape::List(_)))
}

/// What stands at a byte.
#[must_use]
pub fn cursor_target_at(design: &Design, offset: usize) -> Option<CursorTarget> {
    let mut value = None;
    for (id, entity) in design.store.all() {
        if has_key(design, entity) && holds(entity.key, offset) {
            return Some(CursorTarget::Part(id));
        }
        for (slot, field) in (0..).zip(entity.entity_type.fields) {
            let written = entity.slot(slot);
            if written.key.is_some_and(|key| holds(key, offset)) {
                // A part that stands under the key comes later, and is what is meant.
                if !matches!(field.shape, Shape::One(_) | Shape::Measured(_)) {
                    return Some(CursorTarget::Key(id, slot));
                }
                value = Some(CursorTarget::Key(id, slot));
            }
            let holds_parts = matches!(
                field.shape,
                Shape::One(_) | Shape::Many(_) | Shape::List(_) | Shape::Measured(_) | Shape::Raw
            );
            if !holds_parts && written.place.is_some_and(|place| holds(place, offset)) {
                value = Some(CursorTarget::Value(id, slot));
            }
        }
    }
    value
}

/// The innermost part whose text holds a byte.
#[must_use]
pub fn part_at(design: &Design, offset: usize) -> Option<EntityId> {
    let parts = design.store.all().filter(|(_, entity)| {
        let whole = Span { start: entity.key.start, end: entity.span.end.max(entity.key.end) };
        entity.parent.is_none() || (has_key(design, entity) && holds(whole, offset))
    });
    // An inner part stands behind the one that holds it.
    parts.last().map(|(id, _)| id)
}

/// The nodes of a field that name other entities, each with the entity that is named.
pub(super) fn references_in(design: &Design, id: EntityId, slot: u16) -> Vec<(NodeId, EntityId)> {
    use crate::vocabulary::{State, Value};
    let (Some(entity), Some(tree)) = (design.store.get(id), &design.tree) else { return Vec::new() };
    let field = entity.entity_type.field(slot);
    let Some((field, node)) = field.zip(entity.slot(slot).node) else { return Vec::new() };
    if !matches!(field.shape, Shape::Refers(_) | Shape::RefersAll(_)) {
        return Vec::new();
    }
    match &entity.slot(slot).state {
        State::Known(Value::Entity(one)) => vec![(node, *one)],
        State::Known(Value::Entities(all)) => {
            tree.items(node).iter().copied().zip(all.iter().copied()).collect()
        }
        _ => Vec::new(),
    }
}

/// Every place of a design that names an entity, in the order of the file.
#[must_use]
pub fn references_to(design: &Design, target: EntityId) -> Vec<(NodeId, Span)> {
    let Some(tree) = &design.tree else { return Vec::new() };
    let mut found = Vec::new();
    for (id, entity) in design.store.all() {
        for slot in (0..).take(entity.entity_type.fields.len()) {
            let named = references_in(design, id, slot).into_iter().filter(|(_, named)| *named == target);
            found.extend(named.map(|(node, _)| (node, tree.span(node))));
        }
    }
    found.sort_by_key(|(_, span)| *span);
    found.dedup();
    found
}

/// The shortest name by which other parts of the file can refer to an entity: its own, or the end of its path where others of
/// its type have the same.
#[must_use]
pub fn reference_name(design: &Design, id: EntityId) -> String {
    let names = |id: EntityId| {
        let mut names: Vec<&str> = Vec::new();
        let mut at = Some(id);
        while let Some(entity) = at.and_then(|id| design.store.get(id)) {
            if entity.parent.is_some() {
                names.push(&entity.name);
            }
            at = entity.parent;
        }
        names
    };
    let Some(entity) = design.store.get(id) else { return String::new() };
    let own = names(id);
    let others: Vec<Vec<&str>> =
        design.store.of_type(entity.entity_type).filter(|other| *other != id).map(names).collect();
    let length = (1..=own.len())
        .find(|length| !others.iter().any(|other| other.get(..*length) == own.get(..*length)))
        .unwrap_or(own.len());
    own.get(..length).unwrap_or(&own).iter().rev().copied().collect::<Vec<_>>().join(".")
}

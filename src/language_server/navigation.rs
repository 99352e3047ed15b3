//! From a name to what it names, and back; a part renamed with every place that names it.

use super::cursor_target::{CursorTarget, cursor_target_at, references_in, references_to};
use crate::design::{Design, WAIVER, waiver};
use crate::rules::Library;
use crate::tables::Tables;
use crate::vocabulary::{EntityId, Shape, State, Value};
use crate::yaml::{Edit, Source, Span, apply, scalar_text};

/// The entity that is named at a byte: by its own key, by a reference, or as the part that a tape is laid along.
#[must_use]
pub fn entity_named_at(design: &Design, offset: usize) -> Option<EntityId> {
    match cursor_target_at(design, offset)? {
        CursorTarget::Part(id) => Some(id),
        CursorTarget::Key(..) => None,
        CursorTarget::Value(id, slot) => {
            let tree = design.tree.as_ref()?;
            let holds = |span: Span| span.start as usize <= offset && offset <= span.end as usize;
            let references = references_in(design, id, slot);
            let named = references.iter().find(|(node, _)| holds(tree.span(*node)));
            named.map(|(_, target)| *target).or_else(|| along(design, id, slot)).filter(|id| !id.is_row())
        }
    }
}

/// The part of its section that a place is measured along, where the place names one.
fn along(design: &Design, id: EntityId, slot: u16) -> Option<EntityId> {
    let State::Known(Value::Position(position)) = &design.store.get(id)?.slot(slot).state else {
        return None;
    };
    let name = position.of.as_deref()?;
    let mut section = id;
    while design.store.get(section)?.entity_type != &crate::design::SECTION {
        section = design.store.get(section)?.parent?;
    }
    let name = if name == "motor_tube" { "motor_mount" } else { name };
    let in_section = |id: EntityId| {
        let above = std::iter::successors(Some(id), |id| design.store.get(*id).and_then(|e| e.parent));
        above.skip(1).any(|id| id == section)
    };
    let found = design.store.all().find(|(id, entity)| &*entity.name == name && in_section(*id));
    found.map(|(id, _)| id)
}

/// The bytes of the key that an entity stands under.
#[must_use]
pub fn key_of(design: &Design, id: EntityId) -> Option<Span> {
    design.store.get(id).map(|entity| entity.key).filter(|key| !key.is_empty())
}

/// The rule that a waiver names at a byte, where it stands in a pack of the club's own.
pub(super) fn rule_named_at<'l>(
    design: &Design,
    library: &'l Library,
    offset: usize,
) -> Option<(&'l Source, Span)> {
    let CursorTarget::Value(id, slot) = cursor_target_at(design, offset)? else { return None };
    let entity = design.store.get(id)?;
    if entity.entity_type != &WAIVER || slot != waiver::rule.slot {
        return None;
    }
    let rule = library.rule(entity.text(waiver::rule)?)?;
    (!crate::rules::BUILT_IN.iter().any(|pack| pack.source().name() == rule.source.name()))
        .then_some((&*rule.source, rule.place))
}

/// The bytes of the name of a part, and the part, where its name is the author's own.
///
/// # Errors
/// Why what stands there cannot be renamed.
pub(super) fn renamable(design: &Design, offset: usize) -> Result<(EntityId, Span), String> {
    let id = entity_named_at(design, offset).ok_or("no part is named here")?;
    let entity = design.store.get(id).ok_or("no part is named here")?;
    let field = entity
        .parent
        .and_then(|parent| design.store.get(parent))
        .and_then(|parent| parent.entity_type.field(entity.parent_slot));
    if !field.is_some_and(|field| matches!(field.shape, Shape::Many(_))) {
        return Err(format!("`{}` is a key of the format, and no name of a part", entity.name));
    }
    if entity.shared {
        return Err("the part is shared through an alias or a merge key".to_owned());
    }
    let here = references_to(design, id).into_iter().map(|(_, span)| span);
    let places = here.chain([entity.key]);
    let at = places.into_iter().find(|span| span.start as usize <= offset && offset <= span.end as usize);
    Ok((id, at.unwrap_or(entity.key)))
}

/// The edits that give the part at a byte another name, wherever the file names it: its key, references, and waivers of it.
///
/// # Errors
/// Why it cannot be renamed; among them, that the file would not mean the same afterwards.
pub fn rename(design: &Design, tables: &Tables, offset: usize, name: &str) -> Result<Vec<Edit>, String> {
    let (id, _) = renamable(design, offset)?;
    let entity = design.store.get(id).ok_or("no part is named here")?;
    let tree = design.tree.as_ref().ok_or("the file is not YAML")?;
    if name.is_empty()
        || name.contains('.')
        || name.chars().count() > 80
        || name.chars().any(char::is_control)
    {
        return Err("a name is a word of at most 80 characters without dots".to_owned());
    }
    let is_taken = design.store.all().any(|(other, one)| {
        other != id
            && one.parent == entity.parent
            && one.parent_slot == entity.parent_slot
            && &*one.name == name
    });
    if is_taken {
        return Err(format!("`{name}` is the name of another one beside it"));
    }
    let mut edits = vec![Edit { span: entity.key, text: scalar_text(name) }];
    // A reference may be the end of the path of the part itself, or of a part inside it.
    for (other, _) in design.store.all() {
        let Some(depth) = depth_below(design, other, id) else { continue };
        for (node, span) in references_to(design, other) {
            let word = tree.scalar(node).map(|scalar| scalar.value.to_string()).unwrap_or_default();
            if let Some(text) = replaced(&word, &entity.name, depth, name) {
                edits.push(Edit { span, text: scalar_text(&text) });
            }
        }
    }
    edits.extend(waivers(design, id, name));
    edits.dedup();
    same_meaning(design, tables, &edits).map(|()| edits)
}

/// How many names stand behind that of a part on the way to another one in it; none where that is not in it.
fn depth_below(design: &Design, inner: EntityId, part: EntityId) -> Option<usize> {
    let mut above = std::iter::successors(Some(inner), |id| design.store.get(*id).and_then(|e| e.parent));
    above.position(|id| id == part)
}

/// A path in which the name that so many names stand behind is another one; none where it is not there.
fn replaced(path: &str, old: &str, depth: usize, name: &str) -> Option<String> {
    let mut names: Vec<&str> = path.split('.').collect();
    let at = names.len().checked_sub(depth + 1)?;
    let place = names.get_mut(at).filter(|word| **word == old)?;
    *place = name;
    Some(names.join("."))
}

/// The subjects of waivers that are the part or lie in it.
fn waivers(design: &Design, part: EntityId, name: &str) -> Vec<Edit> {
    let path = design.store.path(part);
    let Some((way, _)) = path.rsplit_once('.') else { return Vec::new() };
    let mut edits = Vec::new();
    for (_, entity) in design.store.all().filter(|(_, entity)| entity.entity_type == &WAIVER) {
        let (Some(subject), Some(span)) =
            (entity.text(waiver::subject), entity.slot(waiver::subject.slot).place)
        else {
            continue;
        };
        let about = design.store.all().map(|(id, _)| design.store.path(id)).find(|of| {
            let is_it = of == subject || of.ends_with(&format!(".{subject}"));
            is_it && (*of == path || of.starts_with(&format!("{path}.")))
        });
        let Some(about) = about else { continue };
        let renamed = format!("{way}.{name}{}", about.get(path.len()..).unwrap_or(""));
        let cut = about.split('.').count() - subject.split('.').count();
        let text = renamed.split('.').skip(cut).collect::<Vec<_>>().join(".");
        if text != subject {
            edits.push(Edit { span, text: scalar_text(&text) });
        }
    }
    edits
}

/// Whether a design with some edits has the same references, to the same parts.
fn same_meaning(design: &Design, tables: &Tables, edits: &[Edit]) -> Result<(), String> {
    let text = apply(design.source.text(), edits).map_err(|error| error.to_string())?;
    let after = Design::read(Source::new(design.source.name(), text), tables);
    let named = |design: &Design| -> Vec<EntityId> {
        let all = design.store.all();
        all.flat_map(|(id, entity)| {
            let slots = (0..).take(entity.entity_type.fields.len());
            slots.flat_map(move |slot| references_in(design, id, slot)).map(|(_, target)| target)
        })
        .collect()
    };
    if after.problems.len() > design.problems.len() || named(&after) != named(design) {
        return Err("with that name, other parts would mean another one than they do now".to_owned());
    }
    Ok(())
}

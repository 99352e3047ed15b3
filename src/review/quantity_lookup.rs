//! Quantities of a design by name.

use crate::model::{Access, Model, Named, Read};

/// The names of all quantities of a design.
#[must_use]
pub fn all_names(model: &Model<'_>) -> Vec<String> {
    let mut names = Vec::new();
    for (id, entity) in model.design().store.all() {
        for name in model.catalogue().names(entity.entity_type) {
            let path = model.design().store.path(id);
            names.push(if path.is_empty() { name } else { format!("{path}.{name}") });
        }
    }
    names
}

/// The quantities that a name stands for: by path, by the end of a path, or by a bare name.
#[must_use]
pub fn quantities_named(model: &Model<'_>, quantity: &str) -> Vec<Read> {
    let (way, name) = quantity.rsplit_once('.').unwrap_or(("", quantity));
    let mut found = Vec::new();
    for (id, entity) in model.design().store.all() {
        let path = model.design().store.path(id);
        // Rules name what belongs to the rocket as a whole by `rocket`.
        let whole = path.is_empty() && way == "rocket";
        let fits = way.is_empty() || whole || path == way || path.ends_with(&format!(".{way}"));
        if !fits {
            continue;
        }
        match model.catalogue().named(entity.entity_type, name) {
            Some(Named::Field(slot, _)) => found.push(Read { entity: id, access: Access::Field(slot) }),
            Some(Named::Computed(number, _)) => {
                found.push(Read { entity: id, access: Access::Computed(number) })
            }
            _ => {}
        }
    }
    // A bare name means what is worked out, where something is; else the field.
    if found.iter().any(|r| matches!(r.access, Access::Computed(_))) {
        found.retain(|r| matches!(r.access, Access::Computed(_)));
    }
    found
}

/// Of a path that leads on beyond what a design has, the part where it stops and the name that this part lacks.
#[must_use]
pub fn where_a_path_stops(model: &Model<'_>, quantity: &str) -> Option<(String, String)> {
    let steps: Vec<&str> = quantity.split('.').collect();
    let paths: Vec<String> =
        model.design().store.all().map(|(id, _)| model.design().store.path(id)).collect();
    let part = |length: usize| {
        let way = steps.get(..length)?.join(".");
        paths.iter().find(|path| **path == way || path.ends_with(&format!(".{way}")))
    };
    let whole = steps.len().checked_sub(1)?;
    // Where the part is there, its quantity is misspelled, and nothing is missing before it.
    if part(whole).is_some() {
        return None;
    }
    let stops = (1..whole).rev().find_map(|length| Some((part(length)?.clone(), length)));
    stops.and_then(|(part, length)| Some((part, (*steps.get(length)?).to_owned())))
}

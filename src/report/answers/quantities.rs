//! The list of what an expression may name: the fields of each type of part, what is worked out of it, and functions.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use serde_json::{Value, json};

use crate::language::functions;
use crate::model::{Catalogue, Type};
use crate::rules::Library;
use crate::vocabulary::{EntityType, Need};
use crate::yaml::{clean, clean_json};

/// What is said of a type of part that no expression reaches.
const FOR_FUNCTIONS: &str = "A row of a table, for functions: no expression names it";

/// What it means where a field is not written, in a word; none where it is expected, as most are.
const fn need(need: Need) -> Option<&'static str> {
    match need {
        Need::Expected => None,
        Need::Optional => Some("optional"),
        Need::Required => Some("required"),
        Need::Implied => Some("never written"),
    }
}

/// The types that an expression reaches: those of which a design holds some, and what leads on from them.
fn reached(catalogue: &Catalogue) -> BTreeSet<&'static str> {
    let mut all: BTreeSet<&'static str> = BTreeSet::new();
    let in_designs = catalogue.entity_types().iter().copied().filter(|one| catalogue.is_in_designs(one));
    let mut next: Vec<&'static EntityType> = in_designs.collect();
    while let Some(entity_type) = next.pop() {
        if !all.insert(entity_type.name) {
            continue;
        }
        let fields = entity_type.fields.iter().map(|field| Type::of(&field.shape));
        let computed = catalogue.computed(entity_type).iter().map(|entry| entry.gives);
        next.extend(fields.chain(computed).filter_map(|gives| match gives {
            Type::Entity(of) | Type::Entities(of) => Some(of),
            _ => None,
        }));
    }
    all
}

/// The quantities and functions that rules may name, in words.
#[must_use]
pub fn quantities_text(library: &Library) -> String {
    let mut text = String::new();
    let reached = reached(&library.catalogue);
    for entity_type in library.catalogue.entity_types() {
        let row =
            if reached.contains(entity_type.name) { String::new() } else { format!(" ({FOR_FUNCTIONS})") };
        let _ = writeln!(text, "{}: {}{row}", entity_type.name, entity_type.about());
        for field in entity_type.fields {
            let need = need(field.need).map(|word| format!(", {word}")).unwrap_or_default();
            let (name, gives) = (field.name, Type::of(&field.shape));
            let _ = writeln!(text, "  {name:<26} {} ({gives}{need})", field.about());
        }
        for entry in library.catalogue.computed(entity_type) {
            let _ = writeln!(text, "  {:<26} {} ({}, worked out)", entry.name, entry.doc, entry.gives);
        }
        text.push('\n');
    }
    let _ = writeln!(text, "functions");
    for function in functions() {
        let _ = writeln!(text, "  {}", function.doc);
    }
    clean(&text).into_owned()
}

/// The same as JSON.
#[must_use]
pub fn quantities_json(library: &Library) -> String {
    let reached = reached(&library.catalogue);
    let one = |entity_type: &'static EntityType| {
        let fields = entity_type.fields.iter().map(|field| {
            let gives = Type::of(&field.shape).to_string();
            json!({ "name": field.name, "doc": field.about(), "gives": gives, "need": need(field.need).unwrap_or("expected") })
        });
        let computed = library.catalogue.computed(entity_type).iter().map(|entry| {
            json!({ "name": entry.name, "doc": entry.doc, "gives": entry.gives.to_string(), "source": entry.source })
        });
        json!({
            "type": entity_type.name, "doc": entity_type.about(), "named": reached.contains(entity_type.name),
            "fields": fields.collect::<Vec<Value>>(), "worked_out": computed.collect::<Vec<Value>>(),
        })
    };
    let types: Vec<Value> = library.catalogue.entity_types().iter().copied().map(one).collect();
    let functions: Vec<Value> = functions().map(|function| json!({ "doc": function.doc })).collect();
    clean_json(format!("{:#}\n", json!({ "types": types, "functions": functions })))
}

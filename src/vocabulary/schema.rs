//! JSON Schema from the declarations, for editors that complete and check YAML.

use serde_json::{Map, Value as Json, json};

use super::{EntityType, NOT_KNOWN, Need, Rows, Shape};
use crate::quantity::units_of;

/// The JSON Schema (draft 2020-12) of files whose root is an entity of this type.
#[must_use]
pub fn json_schema(root: &'static EntityType, title: &str, rows: &dyn Rows) -> Json {
    let mut definitions = Map::new();
    define(root, rows, &mut definitions);
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": title,
        "$ref": format!("#/$defs/{}", root.name),
        "$defs": definitions,
    })
}

fn define(entity_type: &'static EntityType, rows: &dyn Rows, definitions: &mut Map<String, Json>) {
    if definitions.contains_key(entity_type.name) {
        return;
    }
    definitions.insert(entity_type.name.to_owned(), Json::Null);
    let mut properties = Map::new();
    let mut required = Vec::new();
    for field in entity_type.fields.iter().filter(|f| f.need != Need::Implied) {
        let mut schema = match field.shape {
            Shape::Measured(_) => measured(entity_type, rows, definitions),
            ref other => shape(other, rows, definitions),
        };
        if field.need != Need::Required && !takes_any_text(&field.shape) {
            schema = json!({ "anyOf": [schema, { "const": NOT_KNOWN }] });
        }
        if let Some(object) = schema.as_object_mut() {
            object.insert("description".to_owned(), Json::String(field.about().to_owned()));
        }
        properties.insert(field.name.to_owned(), schema);
        if field.need == Need::Required {
            required.push(field.name);
        }
    }
    let mut object = json!({
        "type": ["object", "null"],
        "description": entity_type.about(),
        "properties": properties,
        "additionalProperties": false,
    });
    if !required.is_empty()
        && let Some(map) = object.as_object_mut()
    {
        map.insert("required".to_owned(), json!(required));
    }
    definitions.insert(entity_type.name.to_owned(), object);
}

/// Whether the schema of a shape lets every text pass, so that it need not name the word for what is not measured yet.
fn takes_any_text(shape: &Shape) -> bool {
    match shape {
        Shape::Measures(..)
        | Shape::Measure(..)
        | Shape::Number(_)
        | Shape::Text
        | Shape::Refers(_)
        | Shape::Row(_)
        | Shape::Curve(..)
        | Shape::Measured(_)
        | Shape::Raw => true,
        Shape::Count(_)
        | Shape::Truth
        | Shape::Texts
        | Shape::Date
        | Shape::Word(_)
        | Shape::Position
        | Shape::One(_)
        | Shape::Many(_)
        | Shape::List(_)
        | Shape::Listed(_)
        | Shape::RefersAll(_) => false,
    }
}

/// The measures of a type once more, as they are by calliper and scales.
fn measured(entity_type: &'static EntityType, rows: &dyn Rows, definitions: &mut Map<String, Json>) -> Json {
    let measures = entity_type.fields.iter().filter(|f| matches!(f.shape, Shape::Measure(..)));
    let properties: Map<String, Json> =
        measures.map(|f| (f.name.to_owned(), shape(&f.shape, rows, definitions))).collect();
    json!({ "type": ["object", "null"], "properties": properties, "additionalProperties": false })
}

fn shape(shape: &Shape, rows: &dyn Rows, definitions: &mut Map<String, Json>) -> Json {
    let mut refer = |entity_type: &'static EntityType| {
        define(entity_type, rows, definitions);
        json!({ "$ref": format!("#/$defs/{}", entity_type.name) })
    };
    match shape {
        Shape::Measure(dimension, _) => {
            let units = units_of(*dimension);
            json!({ "type": "string", "examples": units.iter().take(3).map(|u| format!("1 {u}")).collect::<Vec<_>>() })
        }
        Shape::Measures(..) => {
            json!({ "anyOf": [{ "type": "array", "items": { "type": "string" } }, { "type": "string" }] })
        }
        Shape::Number(_) => json!({ "type": ["number", "string"] }),
        Shape::Count(least) => {
            json!({ "anyOf": [{ "type": "integer", "minimum": least }, { "const": "none" }] })
        }
        Shape::Truth => json!({ "type": "boolean" }),
        Shape::Text => json!({ "type": ["string", "number"] }),
        Shape::Texts => json!({ "type": "array", "items": { "type": ["string", "number"] } }),
        Shape::Date => json!({ "type": "string", "format": "date" }),
        Shape::Word(words) => json!({ "enum": words }),
        Shape::Position => json!({
            "type": "string",
            "pattern": "^(.+ (from|past)|flush with) (fore|aft)( of .+)?$",
            "examples": ["2.25 in from aft", "flush with fore"],
        }),
        Shape::One(entity_type) => json!({ "anyOf": [refer(entity_type), { "const": "none" }] }),
        Shape::Many(entity_type) => {
            json!({ "anyOf": [{ "type": ["object", "null"], "additionalProperties": refer(entity_type) }, { "const": "none" }] })
        }
        Shape::List(entity_type) => {
            json!({ "anyOf": [{ "type": "array", "items": refer(entity_type) }, { "const": "none" }] })
        }
        Shape::Listed(entity_type) => {
            let short = json!({ "type": ["string", "number"] });
            json!({ "type": "array", "items": { "anyOf": [refer(entity_type), short] } })
        }
        Shape::Refers(entity_type) => {
            json!({ "type": "string", "title": format!("the name of {}", entity_type.with_article()) })
        }
        Shape::RefersAll(entity_type) => {
            json!({ "type": "array", "items": { "type": "string", "title": format!("the name of {}", entity_type.with_article()) } })
        }
        Shape::Row(table) => json!({ "anyOf": [{ "enum": rows.names(table) }, { "type": "string" }] }),
        Shape::Curve(..) => json!({ "anyOf": [
            {
                "type": "array",
                "items": { "type": "array", "items": { "type": ["string", "number"] }, "minItems": 2, "maxItems": 2 },
            },
            { "type": "string", "title": "a table of two columns, its first line naming both units" },
        ] }),
        // What was measured is drawn up with the kind that it stands in.
        Shape::Measured(_) | Shape::Raw => json!({}),
    }
}

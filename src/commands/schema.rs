//! `holdpoint schema`: JSON Schemas of designs, packs, settings and reviews.

use super::Output;
use crate::design::ROCKET;
use crate::report::{compare_schema, review_schema};
use crate::rules::{PACK, SETTINGS};
use crate::tables::Tables;
use crate::vocabulary::json_schema;

/// What a schema is wanted of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SchemaOf {
    /// Design files.
    Design,
    /// Rule packs.
    Pack,
    /// The JSON report.
    Review,
    /// The JSON comparison.
    Compare,
    /// A club's settings.
    Settings,
}

/// Prints a JSON Schema.
#[must_use]
pub fn schema(of: SchemaOf) -> Output {
    let tables = Tables::built_in();
    let schema = match of {
        SchemaOf::Design => json_schema(&ROCKET, "A Holdpoint design", tables),
        SchemaOf::Pack => json_schema(&PACK, "A Holdpoint rule pack", tables),
        SchemaOf::Review => review_schema(),
        SchemaOf::Compare => compare_schema(),
        SchemaOf::Settings => json_schema(&SETTINGS, "Holdpoint settings", tables),
    };
    Output { report: format!("{schema:#}\n"), ..Output::default() }
}

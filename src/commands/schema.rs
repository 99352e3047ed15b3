//! `holdpoint schema`: JSON Schemas of designs, packs, settings and reviews.

use std::path::{Path, PathBuf};

use super::Output;
use super::settings::SettingsCache;
use crate::design::ROCKET;
use crate::report::{Style, compare_schema, problem_text, review_schema};
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

/// What `schema` is asked to do.
#[derive(Clone, Debug)]
pub struct SchemaOptions {
    /// What the schema is of.
    pub of: SchemaOf,
    /// More packs and tables.
    pub rules: Vec<PathBuf>,
    /// How text is drawn.
    pub style: Style,
}

/// Prints a JSON Schema. That of designs knows the rows of a club's tables: those of the settings that hold in the folder
/// of the run, and those that were named.
#[must_use]
pub fn schema(options: &SchemaOptions) -> Output {
    let mut problems = Vec::new();
    let mut output = Output::default();
    let mut settings_cache = SettingsCache::new(&options.rules);
    let force =
        (options.of == SchemaOf::Design).then(|| settings_cache.number(Path::new("-"), &mut problems));
    let force = force.and_then(|number| settings_cache.get(number));
    let tables: &Tables = force.map_or(Tables::built_in(), |force| &force.library.tables);
    let schema = match options.of {
        SchemaOf::Design => json_schema(&ROCKET, "A Holdpoint design", tables),
        SchemaOf::Pack => json_schema(&PACK, "A Holdpoint rule pack", tables),
        SchemaOf::Review => review_schema(),
        SchemaOf::Compare => compare_schema(),
        SchemaOf::Settings => json_schema(&SETTINGS, "Holdpoint settings", tables),
    };
    output.report = format!("{schema:#}\n");
    for (source, problem) in &problems {
        output.complaints.push_str(&problem_text(source, problem, options.style));
        output.code = 2;
    }
    output
}

//! `holdpoint schema`: JSON Schemas of designs, packs, settings and reviews.

use std::path::{Path, PathBuf};

use super::invocation::{Invocation, Output};
use super::settings::{RuleSources, SettingsCache};
use crate::design::ROCKET;
use crate::report::{compare_schema, review_schema};
use crate::rules::{PACK, SETTINGS};
use crate::tables::Tables;
use crate::vocabulary::json_schema;
use clap::Args;

crate::words! {
    /// What a schema is wanted of.
    pub enum SchemaOf {
        /// Design files.
        Design = "design",
        /// Rule packs.
        Pack = "pack",
        /// The JSON report.
        Review = "review",
        /// The JSON comparison.
        Compare = "compare",
        /// A club's settings.
        Settings = "settings",
    }
}

/// Print the JSON Schema of design files, rule packs, settings, or of a JSON report
#[derive(Args, Clone, Debug)]
pub struct SchemaOptions {
    /// What the schema is of
    #[arg(value_enum)]
    pub of: SchemaOf,
    /// Folders with tables of your own, whose rows designs may name; those of your settings count without
    #[arg(long, value_name = "PATH")]
    pub rules: Vec<PathBuf>,
}

/// Prints a JSON Schema. That of designs knows the rows of a club's tables: those of the settings that hold in the folder
/// of the run, and those that were named.
pub(super) fn schema(options: &SchemaOptions, invocation: &Invocation<'_>) -> Output {
    let style = invocation.style;
    let mut problems = Vec::new();
    let mut output = Output::default();
    let mut settings_cache = SettingsCache::new(&RuleSources { rules: options.rules.clone(), locked: None });
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
    output.complain(&problems, style);
    output
}

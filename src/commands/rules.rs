//! `holdpoint rules`: the rules in force by hold point, and the quantities they may name.

use std::path::PathBuf;

use clap::Args;

use super::inputs::library;
use super::invocation::{Invocation, Output};
use super::locks::locks_text;
use crate::report::{
    AnswerFormat, pack_page, quantities_json, quantities_text, rule_page, rules_json, rules_text,
};
use crate::vocabulary::suggest;
use crate::yaml::clean_line;

/// List the rules in force by the step that waits for them
#[derive(Args, Clone, Debug)]
pub struct RulesOptions {
    /// List the quantities and functions that rules may use instead
    #[arg(long)]
    pub quantities: bool,
    /// Print the rules as a page in Markdown, with why each matters
    #[arg(long, conflicts_with_all = ["quantities", "format"])]
    pub markdown: bool,
    /// Only this pack: its rules, and with --markdown a page of it with its quantities, limits and sources
    #[arg(long, value_name = "NAME", conflicts_with = "quantities")]
    pub pack: Option<String>,
    /// Print what a club's settings say under `packs`, so that the packs of --rules cannot change unseen
    #[arg(long, requires = "rules", conflicts_with_all = ["quantities", "markdown", "format", "pack"])]
    pub digest: bool,
    /// The form of the list
    #[arg(long, value_enum, default_value_t)]
    pub format: AnswerFormat,
    /// Rule packs of your own, besides the built-in ones
    #[arg(long, value_name = "PATH")]
    pub rules: Vec<PathBuf>,
}

/// Lists the rules in force.
pub(super) fn rules(options: &RulesOptions, invocation: &Invocation<'_>) -> Output {
    let style = invocation.style;
    let mut problems = Vec::new();
    let library = library(&options.rules, &mut problems);
    let only = options.pack.as_deref();
    let pack = only.and_then(|name| library.packs.iter().find(|pack| pack.name == name));
    let mut complaints = String::new();
    if let (Some(name), None) = (only, pack) {
        let near = suggest(name, library.packs.iter().map(|pack| pack.name.as_str()));
        let help = near.map(|near| format!("; did you mean `{near}`?")).unwrap_or_default();
        complaints = format!("no pack in force is named `{}`{help}\n", clean_line(name));
    }
    let report = match (options.quantities, options.format.is_json()) {
        _ if !complaints.is_empty() => String::new(),
        _ if options.digest => locks_text(&options.rules, &mut problems),
        _ if options.markdown => pack.map_or_else(|| rule_page(&library), |pack| pack_page(pack, &library)),
        (true, true) => quantities_json(&library),
        (true, false) => quantities_text(&library),
        (false, true) => rules_json(&library, only),
        (false, false) => rules_text(&library, only),
    };
    let code = if complaints.is_empty() { 0 } else { 2 };
    let mut output = Output { report, complaints, code };
    output.complain(&problems, style);
    output
}

//! `holdpoint rules`: the rules in force by hold point, and the quantities they may name.

use std::path::PathBuf;

use clap::Args;

use super::inputs::library;
use super::{Invocation, Output};
use crate::report::{AnswerFormat, quantities_text, rule_page, rules_json, rules_text};

/// List the rules in force by the step that waits for them
#[derive(Args, Clone, Debug)]
pub struct RulesOptions {
    /// List the quantities and functions that rules may use instead
    #[arg(long)]
    pub quantities: bool,
    /// Print the rules as a page in Markdown, with why each matters
    #[arg(long, conflicts_with_all = ["quantities", "format"])]
    pub markdown: bool,
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
    let report = match (options.quantities, options.format.is_json()) {
        _ if options.markdown => rule_page(&library),
        (true, _) => quantities_text(&library),
        (false, true) => rules_json(&library),
        (false, false) => rules_text(&library),
    };
    let mut output = Output { report, ..Output::default() };
    output.complain(&problems, style);
    output
}

//! `holdpoint rules`: the rules in force by hold point, and the quantities they may name.

use std::fmt::Write as _;
use std::path::PathBuf;

use clap::Args;
use serde_json::json;

use super::review::library;
use super::rule_page::rule_page;
use super::{Invocation, Output};
use crate::language::FUNCTIONS;
use crate::model::Type;
use crate::report::{AnswerFormat, problem_text};
use crate::rules::{HoldPoint, Library, OwnRule};
use crate::text::{clean, clean_json, clean_line};

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
        _ if options.markdown => clean(&rule_page(&library)).into_owned(),
        (true, _) => clean(&quantities(&library)).into_owned(),
        (false, true) => clean_json(rules_json(&library)),
        (false, false) => clean(&rules_text(&library)).into_owned(),
    };
    let mut output = Output { report, ..Output::default() };
    for (source, problem) in &problems {
        output.complaints.push_str(&problem_text(source, problem, style));
        output.code = 2;
    }
    output
}

fn rules_text(library: &Library) -> String {
    let mut text = String::new();
    for point in HoldPoint::ALL {
        let mine: Vec<_> = library.rules.iter().filter(|r| r.before == point).collect();
        if mine.is_empty() {
            continue;
        }
        let _ = writeln!(text, "before {point}");
        for rule in mine {
            let _ = writeln!(
                text,
                "  {:<34} {:<8} {}",
                clean_line(&rule.name),
                rule.level,
                clean_line(&rule.title)
            );
            let _ = writeln!(
                text,
                "  {:<34} {:<8} source: {}",
                "",
                clean_line(&rule.pack),
                clean_line(&rule.citation)
            );
        }
        text.push('\n');
    }
    text.push_str("of the program itself\n");
    for rule in OwnRule::ALL {
        let about = rule.about();
        let _ = writeln!(text, "  {rule:<34} {:<8} {}", about.level, about.title);
        let _ = writeln!(text, "  {:<34} {:<8} source: {}", "", about.pack, about.source);
    }
    let own = OwnRule::ALL.len();
    let _ = writeln!(
        text,
        "\n{} rules in {} packs, and {own} of the program itself",
        library.rules.len(),
        library.packs.len()
    );
    text
}

fn rules_json(library: &Library) -> String {
    let rules: Vec<serde_json::Value> = library
        .rules
        .iter()
        .map(|r| {
            json!({
                "rule": r.name, "pack": r.pack, "title": r.title, "before": r.before.name(), "level": r.level.name(),
                "for": r.entity_type.name, "when": r.when_text, "require": r.require_text, "why": r.why.trim(), "source": r.citation, "trials": r.trials().len(),
            })
        })
        .collect();
    let own = OwnRule::ALL.into_iter().map(|rule| {
        let about = rule.about();
        json!({
            "rule": rule.name(), "pack": about.pack, "title": about.title, "before": about.before.map(HoldPoint::name),
            "level": about.level.name(), "for": null, "when": null, "require": null, "why": about.why,
            "source": about.source, "trials": 0,
        })
    });
    let rules: Vec<serde_json::Value> = rules.into_iter().chain(own).collect();
    let packs: Vec<serde_json::Value> = library
        .packs
        .iter()
        .map(|p| {
            let limits: Vec<serde_json::Value> = p
                .limits
                .iter()
                .map(|l| json!({ "limit": l.name, "is": l.value.to_string(), "doc": l.doc, "source": l.citation }))
                .collect();
            json!({ "pack": p.name, "about": p.about, "limits": limits })
        })
        .collect();
    format!("{:#}\n", json!({ "rules": rules, "packs": packs }))
}

fn quantities(library: &Library) -> String {
    let mut text = String::new();
    for entity_type in library.catalogue.kinds() {
        let _ = writeln!(text, "{}: {}", entity_type.name, entity_type.about());
        for field in entity_type.fields {
            let _ = writeln!(text, "  {:<26} {} ({})", field.name, field.about(), Type::of(&field.shape));
        }
        for entry in library.catalogue.computed(entity_type) {
            let _ = writeln!(text, "  {:<26} {} ({}, worked out)", entry.name, entry.doc, entry.gives);
        }
        text.push('\n');
    }
    let _ = writeln!(text, "functions");
    for function in FUNCTIONS {
        let _ = writeln!(text, "  {}", function.doc);
    }
    text
}

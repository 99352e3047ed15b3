//! One rule on one design, subject by subject.

use std::fmt::Write as _;

use serde_json::json;

use super::rule::rule_text;
use super::spread::add_spread;
use crate::design::Design;
use crate::report::contract::Margin;
use crate::report::margin::margin_text;
use crate::review::{OnSubject, Spread};
use crate::rules::{Library, Rule, Verdict};
use crate::yaml::{clean, clean_json, clean_line};

/// A rule, and what it says of each of its subjects in a design.
#[must_use]
pub fn on_design_text(rule: &Rule, library: &Library, design: &Design, all: &[OnSubject]) -> String {
    let mut text = rule_text(rule, library);
    let _ = writeln!(text, "\non {}", clean_line(design.source.name()));
    if all.is_empty() {
        let _ = writeln!(text, "  the design has no {}", rule.entity_type.name.replace('_', " "));
    }
    for one in all {
        let subject = if one.subject.is_empty() { "the rocket" } else { one.subject.as_str() };
        let margin = one.margin.map(|margin| format!(", {}", margin_text(margin))).unwrap_or_default();
        let _ = writeln!(text, "\n  {}: {}{margin}", clean_line(subject), one.outcome);
        if let Some(message) = &one.message {
            let wrapped = textwrap::Options::new(100).initial_indent("    ").subsequent_indent("    ");
            let _ = writeln!(text, "{}", textwrap::fill(&clean_line(message), wrapped));
        }
        for place in &one.places {
            let line = design.source.position(place.span.start).line;
            let _ = writeln!(text, "    line {line:>3}  {}", clean_line(&place.label));
        }
        if one.outcome == Verdict::NotApplicable {
            let _ = writeln!(text, "    the rule does not apply to it");
        }
    }
    clean(&text).into_owned()
}

/// The same as JSON, and how sure the rule is where that is asked for.
#[must_use]
pub fn on_design_json(rule: &Rule, design: &Design, all: &[OnSubject], spread: Option<&Spread>) -> String {
    let subject = |one: &OnSubject| {
        let places: Vec<_> = one
            .places
            .iter()
            .map(|place| {
                let at = design.source.position(place.span.start);
                json!({"key": place.key, "line": at.line, "column": at.column, "label": place.label})
            })
            .collect();
        json!({
            "subject": one.subject, "outcome": one.outcome.name(), "message": one.message,
            "margin": one.margin.map(Margin::from), "places": places,
        })
    };
    let subjects: Vec<_> = all.iter().map(subject).collect();
    let mut document = json!({"rule": rule.name, "design": design.source.name(), "subjects": subjects});
    add_spread(&mut document, spread);
    clean_json(format!("{document:#}\n"))
}

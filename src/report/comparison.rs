//! Two reviews compared, as text and as the JSON contract `holdpoint-compare/1`.

use std::fmt::Write as _;

use serde_json::{Value as Json, json};

use super::text::margin_text;
use super::{Style, caution};
use crate::review::{Comparison, DesignReview, Finding, MarginChange, ValueAt};
use crate::rules::{HoldPoint, Level, Margin, Verdict};
use crate::text::{clean_json, clean_line, shorten};

/// The name and version of the contract.
pub const COMPARE_FORMAT: &str = "holdpoint-compare/1";

/// A value longer than this is cut in the text.
const LONGEST_VALUE: usize = 60;
/// So many margins are headline in the text on either side; the JSON has all.
const MOST_MARGINS: usize = 10;

/// A comparison as text.
#[must_use]
pub fn comparison_text(comparison: &Comparison<'_>, style: Style) -> String {
    let mut out = String::new();
    let name = |review: &DesignReview| clean_line(review.design.source.name()).into_owned();
    let _ = writeln!(out, "{} -> {}\n", name(comparison.old), name(comparison.new));
    values(&mut out, comparison, style);
    findings(&mut out, comparison, style);
    margins(&mut out, &comparison.margins);
    let _ = writeln!(out, "── hold points\n");
    for change in &comparison.hold_points {
        let word = |clear| if clear { "clear" } else { "HOLD" };
        let words = if change.was_clear == change.is_clear {
            format!("{}, as before", word(change.is_clear))
        } else {
            format!("{} -> {}", word(change.was_clear), word(change.is_clear))
        };
        let _ = writeln!(out, "  {:<9} {words}", change.point);
    }
    let _ = writeln!(
        out,
        "\n{} changed, {} new, {} gone, {} still there, {} moved\n",
        counted(comparison.values.len(), "value"),
        counted(comparison.appeared.len(), "finding"),
        comparison.gone.len(),
        comparison.still.len(),
        counted(comparison.margins.len(), "margin"),
    );
    out.push_str(caution());
    out
}

fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

fn values(out: &mut String, comparison: &Comparison<'_>, style: Style) {
    if comparison.values.is_empty() {
        let _ = writeln!(out, "Nothing is written otherwise in the design.\n");
        return;
    }
    let _ = writeln!(out, "── what was changed\n");
    for change in &comparison.values {
        let value = |at: &ValueAt| shorten(&clean_line(&at.text), LONGEST_VALUE).into_owned();
        let words = match (&change.old, &change.new) {
            (Some(old), Some(new)) => {
                format!("{} -> {} (line {}, was {})", value(old), value(new), new.line, old.line)
            }
            (None, Some(new)) => format!("now {} (line {})", value(new), new.line),
            (Some(old), None) => format!("no more; it was {} (line {})", value(old), old.line),
            (None, None) => continue,
        };
        line(out, "  ", &format!("{}: {words}", change.key), style);
    }
    out.push('\n');
}

fn line(out: &mut String, indent: &str, words: &str, style: Style) {
    let deeper = format!("{indent}    ");
    let options = textwrap::Options::new(style.width).initial_indent(indent).subsequent_indent(&deeper);
    out.push_str(&textwrap::fill(&clean_line(words), options));
    out.push('\n');
}

fn headline(finding: &Finding) -> String {
    let waived = if finding.waiver().is_some() { ", waived" } else { "" };
    format!("{} {} (before {}{waived}): {}", finding.level, finding.rule, finding.before, finding.message)
}

fn findings(out: &mut String, comparison: &Comparison<'_>, style: Style) {
    for (title, list) in
        [("new findings", &comparison.appeared), ("findings that are gone", &comparison.gone)]
    {
        if !list.is_empty() {
            let _ = writeln!(out, "── {title}\n");
            for finding in list {
                line(out, "  ", &headline(finding), style);
            }
            out.push('\n');
        }
    }
    if comparison.still.is_empty() {
        return;
    }
    let _ = writeln!(out, "── findings that are still there\n");
    for still in &comparison.still {
        let mut words = headline(still.new);
        if still.old.outcome != still.new.outcome {
            let _ = write!(words, " (it was {})", still.old.outcome.name());
        }
        line(out, "  ", &words, style);
    }
    out.push('\n');
}

fn margins(out: &mut String, margins: &[MarginChange]) {
    let shrank: Vec<&MarginChange> = margins.iter().filter(|m| m.growth() < 0.0).collect();
    let grew: Vec<&MarginChange> = margins.iter().filter(|m| m.growth() > 0.0).collect();
    for (title, list) in [("margins that shrank", shrank), ("margins that grew", grew)] {
        if list.is_empty() {
            continue;
        }
        let _ = writeln!(out, "── {title}, the narrowest first\n");
        for change in list.iter().take(MOST_MARGINS) {
            let subject = if change.subject.is_empty() { "the rocket" } else { &change.subject };
            let _ = writeln!(
                out,
                "  {} on {}: {} -> {}",
                clean_line(&change.rule),
                clean_line(subject),
                exact(change.old),
                exact(change.new)
            );
        }
        if list.len() > MOST_MARGINS {
            let _ = writeln!(out, "  and {} more (`--format json` has all)", list.len() - MOST_MARGINS);
        }
        out.push('\n');
    }
}

/// A margin as the review tells it, with one digit more where it is a ratio: small changes must show.
fn exact(margin: Margin) -> String {
    match margin {
        Margin::Ratio(ratio) => {
            let digits = if ratio.abs() < 1.0 { 1 } else { 0 };
            let side = if ratio < 0.0 { "short" } else { "to spare" };
            format!("{:.digits$} % {side}", ratio.abs() * 100.0)
        }
        Margin::Gap(_) => margin_text(margin),
    }
}

/// A comparison as JSON.
#[must_use]
pub fn comparison_json(comparison: &Comparison<'_>) -> String {
    let side = |review: &DesignReview| {
        json!({
            "path": review.design.source.name(), "digest": review.digest, "verdict": verdict(review.is_clear()),
        })
    };
    let at = |at: &Option<ValueAt>| match at {
        Some(at) => json!({ "text": at.text, "line": at.line }),
        None => Json::Null,
    };
    let values: Vec<Json> = comparison
        .values
        .iter()
        .map(|v| json!({ "key": v.key, "old": at(&v.old), "new": at(&v.new) }))
        .collect();
    let list = |findings: &[&Finding]| findings.iter().map(|f| finding(f, f.outcome)).collect::<Vec<_>>();
    let still: Vec<Json> = comparison.still.iter().map(|s| finding(s.new, s.old.outcome)).collect();
    let margins: Vec<Json> = comparison
        .margins
        .iter()
        .map(|m| json!({ "rule": m.rule, "subject": m.subject, "old": margin(m.old), "new": margin(m.new) }))
        .collect();
    let points: Vec<Json> = comparison
        .hold_points
        .iter()
        .map(|h| json!({ "name": h.point.name(), "old": verdict(h.was_clear), "new": verdict(h.is_clear) }))
        .collect();
    let document = json!({
        "format": COMPARE_FORMAT,
        "tool": { "name": "holdpoint", "version": env!("CARGO_PKG_VERSION") },
        "old": side(comparison.old),
        "new": side(comparison.new),
        "values": values,
        "findings": { "new": list(&comparison.appeared), "gone": list(&comparison.gone), "still": still },
        "margins": margins,
        "hold_points": points,
    });
    clean_json(format!("{document:#}\n"))
}

const fn verdict(clear: bool) -> &'static str {
    if clear { "clear" } else { "hold" }
}

fn finding(finding: &Finding, was: Verdict) -> Json {
    json!({
        "rule": finding.rule, "subject": finding.subject, "fingerprint": finding.fingerprint,
        "level": finding.level.name(), "before": finding.before.name(), "outcome": finding.outcome.name(),
        "was": was.name(), "waived": finding.waiver().is_some(), "message": finding.message,
    })
}

fn margin(margin: Margin) -> Json {
    match margin {
        Margin::Ratio(value) => json!({ "kind": "ratio", "value": value, "unit": "" }),
        Margin::Gap(gap) => {
            let (value, unit) = gap.value_and_unit();
            json!({ "kind": "gap", "value": value, "unit": unit })
        }
    }
}

/// The JSON Schema (draft 2020-12) of the contract.
#[must_use]
pub fn compare_schema() -> Json {
    let text = json!({ "type": "string" });
    let closed = |properties: Json| {
        let required: Vec<String> =
            properties.as_object().map(|o| o.keys().cloned().collect()).unwrap_or_default();
        json!({ "type": "object", "properties": properties, "required": required, "additionalProperties": false })
    };
    let list = |of: &str| json!({ "type": "array", "items": { "$ref": format!("#/$defs/{of}") } });
    let verdict = json!({ "enum": ["clear", "hold"] });
    let points = json!({ "enum": HoldPoint::WORDS });
    let outcome = json!({ "enum": ["broken", "unproven", "tight"] });
    let side = closed(json!({
        "path": text, "digest": { "type": "string", "pattern": "^[0-9a-f]{64}$" }, "verdict": verdict,
    }));
    let value = json!({ "anyOf": [
        closed(json!({ "text": text, "line": { "type": "integer", "minimum": 1 } })), { "type": "null" },
    ] });
    let mut schema = closed(json!({
        "format": { "const": COMPARE_FORMAT },
        "tool": closed(json!({ "name": text, "version": text })),
        "old": side, "new": side,
        "values": { "type": "array", "items": closed(json!({ "key": text, "old": value, "new": value })) },
        "findings": closed(json!({ "new": list("finding"), "gone": list("finding"), "still": list("finding") })),
        "margins": { "type": "array", "items": closed(json!({
            "rule": text, "subject": text, "old": { "$ref": "#/$defs/margin" }, "new": { "$ref": "#/$defs/margin" },
        })) },
        "hold_points": { "type": "array", "items": closed(json!({ "name": points, "old": verdict, "new": verdict })) },
    }));
    let definitions = json!({
        "finding": closed(json!({
            "rule": text, "subject": text, "fingerprint": { "type": "string", "pattern": "^[0-9a-f]{16}$" },
            "level": { "enum": Level::WORDS }, "before": points, "outcome": outcome,
            "was": { "enum": ["broken", "unproven", "tight"], "description": "the outcome in the old design, where it was there" },
            "waived": { "type": "boolean" }, "message": text,
        })),
        "margin": closed(json!({
            "kind": { "enum": ["ratio", "gap"] }, "value": { "type": "number" }, "unit": text,
        })),
    });
    if let Some(object) = schema.as_object_mut() {
        object.insert("$schema".to_owned(), json!("https://json-schema.org/draft/2020-12/schema"));
        object.insert("title".to_owned(), json!("A Holdpoint comparison"));
        object.insert("$defs".to_owned(), definitions);
    }
    schema
}

//! The JSON contract `holdpoint-review/1`: frozen structs of their own, so that inner changes cannot leak out.
//!
//! Byte offsets count from 0 in the file; lines and columns from 1, columns in Unicode characters.

use serde::Serialize;
use serde_json::{Value as Json, json};

use super::Review;
use crate::review::{Accounts, DesignReview, Finding, PackStanding};
use crate::rules::Margin;
use crate::text::{Source, Span, clean_json};

/// The name and version of the contract.
pub const REVIEW_FORMAT: &str = "holdpoint-review/1";

#[derive(Serialize)]
struct Document<'r> {
    format: &'static str,
    tool: Tool,
    designs: Vec<Design<'r>>,
    problems: Vec<Problem<'r>>,
}

#[derive(Serialize)]
struct Tool {
    name: &'static str,
    version: &'static str,
}

#[derive(Serialize)]
struct Design<'r> {
    path: &'r str,
    name: &'r str,
    digest: &'r str,
    settings: Option<&'r str>,
    verdict: &'static str,
    hold_points: Vec<HoldPoint>,
    findings: Vec<FindingOut<'r>>,
    counts: Counts,
    accounts: AccountsOut,
    codes: Vec<CodeOut<'r>>,
}

#[derive(Serialize)]
struct CodeOut<'r> {
    pack: &'r str,
    judged: bool,
    because: &'r str,
    asks: Vec<AskOut<'r>>,
}

#[derive(Serialize)]
struct AskOut<'r> {
    name: &'r str,
    ask: &'r str,
    moment: &'static str,
    source: &'r str,
}

#[derive(Serialize)]
struct HoldPoint {
    name: &'static str,
    verdict: &'static str,
}

#[derive(Serialize)]
struct FindingOut<'r> {
    rule: &'r str,
    pack: &'r str,
    outcome: &'static str,
    level: &'static str,
    before: &'static str,
    subject: &'r str,
    message: &'r str,
    places: Vec<Place<'r>>,
    margin: Option<MarginOut>,
    source: &'r str,
    fingerprint: &'r str,
    standing: &'static str,
    waived: Option<Waived<'r>>,
    remedies: Vec<RemedyOut<'r>>,
}

#[derive(Serialize)]
struct Place<'r> {
    path: &'r str,
    key: &'r str,
    line: u32,
    column: u32,
    end_line: u32,
    end_column: u32,
    start_byte: u32,
    end_byte: u32,
    label: &'r str,
}

#[derive(Serialize)]
struct MarginOut {
    kind: &'static str,
    value: f64,
    unit: String,
}

#[derive(Serialize)]
struct Waived<'r> {
    reason: &'r str,
    by: &'r str,
    until: &'r str,
}

#[derive(Serialize)]
struct RemedyOut<'r> {
    say: &'r str,
    tried: Option<&'static str>,
    edits: Vec<EditOut<'r>>,
}

#[derive(Serialize)]
struct EditOut<'r> {
    start_byte: u32,
    end_byte: u32,
    text: &'r str,
}

#[derive(Serialize)]
struct Counts {
    held: usize,
    broken: usize,
    unproven: usize,
    tight: usize,
    not_applicable: usize,
    waived: usize,
}

#[derive(Serialize)]
struct AccountsOut {
    shown: usize,
    waived: usize,
    baselined: usize,
    below: usize,
    total: usize,
}

#[derive(Serialize)]
struct Problem<'r> {
    path: &'r str,
    message: &'r str,
    help: Option<&'r str>,
    place: Option<Place<'r>>,
}

/// A review as JSON.
#[must_use]
pub fn json(review: &Review) -> String {
    let document = Document {
        format: REVIEW_FORMAT,
        tool: Tool { name: "holdpoint", version: env!("CARGO_PKG_VERSION") },
        designs: review.designs.iter().map(design).collect(),
        problems: review
            .problems
            .iter()
            .map(|(source, problem)| Problem {
                path: source.name(),
                message: &problem.message,
                help: problem.help.as_deref(),
                place: problem.span.map(|span| place(source, "", span, &problem.message)),
            })
            .collect(),
    };
    // Structs of texts and numbers always serialise; the fallback keeps the contract's shape all the same.
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_else(|error| {
        json!({ "format": REVIEW_FORMAT, "problems": [{ "message": error.to_string() }] }).to_string()
    });
    text.push('\n');
    clean_json(text)
}

fn verdict(clear: bool) -> &'static str {
    if clear { "clear" } else { "hold" }
}

fn design(review: &DesignReview) -> Design<'_> {
    Design {
        path: review.design.source.name(),
        name: review.design.name(),
        digest: &review.digest,
        settings: review.settings.as_deref(),
        verdict: verdict(review.is_clear()),
        hold_points: review
            .hold_points
            .iter()
            .map(|h| HoldPoint { name: h.point.name(), verdict: verdict(h.clear) })
            .collect(),
        findings: review.findings.iter().map(|f| finding(&review.design.source, f)).collect(),
        counts: Counts {
            held: review.counts.held,
            broken: review.counts.broken,
            unproven: review.counts.unproven,
            tight: review.counts.tight,
            not_applicable: review.counts.not_applicable,
            waived: review.counts.waived,
        },
        accounts: accounts(review.accounts()),
        codes: review.packs.iter().map(code).collect(),
    }
}

fn code(pack: &PackStanding) -> CodeOut<'_> {
    let asks = pack.asks.iter();
    let asks =
        asks.map(|ask| AskOut { name: &ask.name, ask: &ask.ask, moment: ask.moment, source: &ask.citation });
    CodeOut { pack: &pack.name, judged: pack.judged, because: &pack.because, asks: asks.collect() }
}

fn accounts(accounts: Accounts) -> AccountsOut {
    let Accounts { shown, waived, baselined, below, total } = accounts;
    AccountsOut { shown, waived, baselined, below, total }
}

fn finding<'r>(source: &'r Source, finding: &'r Finding) -> FindingOut<'r> {
    FindingOut {
        rule: &finding.rule,
        pack: &finding.pack,
        outcome: finding.outcome.name(),
        level: finding.level.name(),
        before: finding.before.name(),
        subject: &finding.subject,
        message: &finding.message,
        places: finding.places.iter().map(|p| place(source, &p.key, p.span, &p.label)).collect(),
        margin: finding.margin.map(|margin| match margin {
            Margin::Ratio(value) => MarginOut { kind: "ratio", value, unit: String::new() },
            Margin::Gap(gap) => {
                let (value, unit) = gap.value_and_unit();
                MarginOut { kind: "gap", value, unit }
            }
        }),
        source: &finding.source,
        fingerprint: &finding.fingerprint,
        standing: finding.standing.name(),
        waived: finding.waiver().map(|w| Waived { reason: &w.reason, by: &w.by, until: &w.until }),
        remedies: finding
            .remedies
            .iter()
            .map(|r| RemedyOut {
                say: &r.say,
                tried: r.tried.map(crate::review::Tried::name),
                edits: r
                    .edits
                    .iter()
                    .map(|e| EditOut { start_byte: e.span.start, end_byte: e.span.end, text: &e.text })
                    .collect(),
            })
            .collect(),
    }
}

fn place<'r>(source: &'r Source, key: &'r str, span: Span, label: &'r str) -> Place<'r> {
    let (start, end) = (source.position(span.start), source.position(span.end));
    Place {
        path: source.name(),
        key,
        line: start.line,
        column: start.column,
        end_line: end.line,
        end_column: end.column,
        start_byte: span.start,
        end_byte: span.end,
        label,
    }
}

/// The JSON Schema (draft 2020-12) of the contract.
#[must_use]
pub fn review_schema() -> Json {
    let text = json!({ "type": "string" });
    let count = json!({ "type": "integer", "minimum": 0 });
    let closed = |properties: Json| {
        let required: Vec<String> =
            properties.as_object().map(|o| o.keys().cloned().collect()).unwrap_or_default();
        json!({ "type": "object", "properties": properties, "required": required, "additionalProperties": false })
    };
    let list = |of: &str| json!({ "type": "array", "items": { "$ref": format!("#/$defs/{of}") } });
    let maybe = |of: &str| json!({ "anyOf": [{ "$ref": format!("#/$defs/{of}") }, { "type": "null" }] });
    let verdict = json!({ "enum": ["clear", "hold"] });
    let mut schema = closed(json!({
        "format": { "const": REVIEW_FORMAT },
        "tool": closed(json!({ "name": text, "version": text })),
        "designs": list("design"),
        "problems": list("problem"),
    }));
    let definitions = json!({
        "design": closed(json!({
            "path": text, "name": text,
            "digest": { "type": "string", "pattern": "^[0-9a-f]{64}$", "description": "SHA-256 of the file's bytes" },
            "settings": { "type": ["string", "null"], "description": "the settings file in force and what it changes, in words" },
            "verdict": verdict,
            "hold_points": { "type": "array", "items": closed(json!({
                "name": { "enum": ["parts", "bonding", "drilling", "wiring", "loading", "flight"] }, "verdict": verdict,
            })) },
            "findings": list("finding"),
            "counts": closed(json!({
                "held": count, "broken": count, "unproven": count, "tight": count, "not_applicable": count, "waived": count,
            })),
            "accounts": closed(json!({
                "shown": count, "waived": count, "baselined": count, "below": count, "total": count,
            })),
            "codes": { "type": "array", "description": "the packs that are not about every rocket", "items": closed(json!({
                "pack": text, "judged": { "type": "boolean" }, "because": text,
                "asks": { "type": "array", "description": "clauses that no design file can settle, for a person to tick", "items": closed(json!({
                    "name": text, "ask": text,
                    "moment": { "enum": ["before leaving home", "at the table", "at the pad", "after the flight"] },
                    "source": text,
                })) },
            })) },
        })),
        "finding": closed(json!({
            "rule": text, "pack": text,
            "outcome": { "enum": ["broken", "unproven", "tight"] },
            "level": { "enum": ["error", "warning", "note"] },
            "before": { "enum": ["parts", "bonding", "drilling", "wiring", "loading", "flight"] },
            "subject": { "type": "string", "description": "path of the thing; empty for the whole rocket" },
            "message": text, "places": list("place"), "margin": maybe("margin"), "source": text,
            "fingerprint": { "type": "string", "pattern": "^[0-9a-f]{16}$" },
            "standing": { "enum": ["shown", "waived", "baselined", "below"], "description": "baselined and below: counted, not drawn" },
            "waived": maybe("waived"), "remedies": list("remedy"),
        })),
        "place": closed(json!({
            "path": text, "key": text, "line": count, "column": count, "end_line": count, "end_column": count,
            "start_byte": count, "end_byte": count, "label": text,
        })),
        "margin": closed(json!({
            "kind": { "enum": ["ratio", "gap"], "description": "value over limit less one, or the gap itself" },
            "value": { "type": "number" }, "unit": text,
        })),
        "waived": closed(json!({ "reason": text, "by": text, "until": text })),
        "remedy": closed(json!({
            "say": text,
            "tried": { "enum": ["clears", "partly", "breaks", null], "description": "null: words only, nothing to try" },
            "edits": { "type": "array", "items": closed(json!({ "start_byte": count, "end_byte": count, "text": text })) },
        })),
        "problem": closed(json!({
            "path": text, "message": text, "help": { "type": ["string", "null"] }, "place": maybe("place"),
        })),
    });
    if let Some(object) = schema.as_object_mut() {
        object.insert("$schema".to_owned(), json!("https://json-schema.org/draft/2020-12/schema"));
        object.insert("title".to_owned(), json!("A Holdpoint review"));
        object.insert("$defs".to_owned(), definitions);
    }
    schema
}

//! The JSON contract `holdpoint-review/1`: every key is written here by name, so that inner changes cannot leak out.
//!
//! Byte offsets count from 0 in the file; lines and columns from 1, columns in Unicode characters.

use serde_json::{Value, json};

use super::form::{DESIGNS, PROBLEMS, Part, ReportForm, Totals};
use super::pretty::Pretty;
use crate::review::{DesignReview, Finding, PackApplicability, Remedy, Tried};
use crate::rules::{HoldPoint, Level, Library, Margin, Moment};
use crate::text::{Problem, Source, Span};

/// The name and version of the contract.
pub const REVIEW_FORMAT: &str = "holdpoint-review/1";

/// A review as JSON.
#[derive(Clone, Copy, Debug)]
pub struct Json;

impl ReportForm for Json {
    fn separator(&self) -> &'static str {
        ","
    }

    fn streams(&self) -> bool {
        true
    }

    fn problem(&self, source: &Source, problem: &Problem) -> Part {
        Part::of(Pretty::item(2, |p| {
            p.object(|p| {
                p.key("path").text(source.name());
                p.key("message").text(&problem.message);
                p.key("help").maybe(problem.help.as_deref());
                match problem.span {
                    Some(span) => place(p.key("place"), source, "", span, &problem.message),
                    None => p.key("place").null(),
                }
            });
        }))
    }

    fn design(&self, review: &DesignReview, _: &Library, _: usize) -> Part {
        Part::of(Pretty::item(2, |p| design(p, review)))
    }

    fn frame(&mut self, totals: Totals) -> String {
        let mut p = Pretty::at(0);
        p.object(|p| {
            p.key("format").text(REVIEW_FORMAT);
            p.key("tool").object(|p| {
                p.key("name").text("holdpoint");
                p.key("version").text(env!("CARGO_PKG_VERSION"));
            });
            p.key("designs").list_of(totals.designs == 0, DESIGNS);
            p.key("problems").list_of(totals.problems == 0, PROBLEMS);
        });
        p.into_text() + "\n"
    }
}

const fn verdict(clear: bool) -> &'static str {
    if clear { "clear" } else { "hold" }
}

fn design(p: &mut Pretty, review: &DesignReview) {
    p.object(|p| {
        p.key("path").text(review.design.source.name());
        p.key("name").text(review.design.name());
        p.key("digest").text(&review.digest);
        p.key("settings").maybe(review.settings.as_deref());
        p.key("verdict").text(verdict(review.is_clear()));
        p.key("hold_points").list(&review.hold_points, |p, state| {
            p.object(|p| {
                p.key("name").text(state.point.name());
                p.key("verdict").text(verdict(state.clear));
            });
        });
        p.key("findings").list(&review.findings, |p, one| finding(p, &review.design.source, one));
        let counts = review.counts;
        p.key("counts").object(|p| {
            p.key("held").count(counts.held);
            p.key("broken").count(counts.broken);
            p.key("unproven").count(counts.unproven);
            p.key("tight").count(counts.tight);
            p.key("not_applicable").count(counts.not_applicable);
            p.key("waived").count(counts.waived);
        });
        let accounts = review.accounts();
        p.key("accounts").object(|p| {
            p.key("shown").count(accounts.shown);
            p.key("waived").count(accounts.waived);
            p.key("baselined").count(accounts.baselined);
            p.key("below").count(accounts.below);
            p.key("total").count(accounts.total);
        });
        p.key("codes").list(&review.packs, code);
    });
}

fn code(p: &mut Pretty, pack: &PackApplicability) {
    p.object(|p| {
        p.key("pack").text(&pack.name);
        p.key("judged").truth(pack.judged);
        p.key("because").text(&pack.because);
        p.key("asks").list(&pack.asks, |p, ask| {
            p.object(|p| {
                p.key("name").text(&ask.name);
                p.key("ask").text(&ask.ask);
                p.key("moment").text(ask.moment.name());
                p.key("source").text(&ask.citation);
            });
        });
    });
}

fn finding(p: &mut Pretty, source: &Source, finding: &Finding) {
    p.object(|p| {
        p.key("rule").text(&finding.rule);
        p.key("pack").text(&finding.pack);
        p.key("outcome").text(finding.outcome.name());
        p.key("level").text(finding.level.name());
        p.key("before").text(finding.before.name());
        p.key("subject").text(&finding.subject);
        p.key("message").text(&finding.message);
        p.key("places").list(&finding.places, |p, at| place(p, source, &at.key, at.span, &at.label));
        match finding.margin {
            None => p.key("margin").null(),
            Some(of) => margin(p.key("margin"), of),
        }
        p.key("source").text(&finding.source);
        p.key("fingerprint").text(&finding.fingerprint);
        p.key("standing").text(finding.standing.name());
        match finding.waiver() {
            None => p.key("waived").null(),
            Some(waiver) => p.key("waived").object(|p| {
                p.key("reason").text(&waiver.reason);
                p.key("by").text(&waiver.by);
                p.key("until").text(&waiver.until);
            }),
        }
        p.key("remedies").list(&finding.remedies, remedy);
    });
}

fn margin(p: &mut Pretty, margin: Margin) {
    let (entity_type, value, unit) = match margin {
        Margin::Ratio(value) => ("ratio", value, String::new()),
        Margin::Gap(gap) => {
            let (value, unit) = gap.value_and_unit();
            ("gap", value, unit)
        }
    };
    p.object(|p| {
        p.key("kind").text(entity_type);
        p.key("value").number(value);
        p.key("unit").text(&unit);
    });
}

fn remedy(p: &mut Pretty, remedy: &Remedy) {
    p.object(|p| {
        p.key("say").text(&remedy.say);
        p.key("tried").maybe(remedy.tried.map(Tried::name));
        p.key("edits").list(&remedy.edits, |p, edit| {
            p.object(|p| {
                p.key("start_byte").count(edit.span.start as usize);
                p.key("end_byte").count(edit.span.end as usize);
                p.key("text").text(&edit.text);
            });
        });
    });
}

fn place(p: &mut Pretty, source: &Source, key: &str, span: Span, label: &str) {
    let (start, end) = (source.position(span.start), source.position(span.end));
    p.object(|p| {
        p.key("path").text(source.name());
        p.key("key").text(key);
        p.key("line").count(start.line as usize);
        p.key("column").count(start.column as usize);
        p.key("end_line").count(end.line as usize);
        p.key("end_column").count(end.column as usize);
        p.key("start_byte").count(span.start as usize);
        p.key("end_byte").count(span.end as usize);
        p.key("label").text(label);
    });
}

/// The JSON Schema (draft 2020-12) of the contract.
#[must_use]
pub fn review_schema() -> Value {
    let text = json!({ "type": "string" });
    let count = json!({ "type": "integer", "minimum": 0 });
    let closed = |properties: Value| {
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
                "name": { "enum": HoldPoint::WORDS }, "verdict": verdict,
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
                    "moment": { "enum": Moment::WORDS },
                    "source": text,
                })) },
            })) },
        })),
        "finding": closed(json!({
            "rule": text, "pack": text,
            "outcome": { "enum": ["broken", "unproven", "tight"] },
            "level": { "enum": Level::WORDS },
            "before": { "enum": HoldPoint::WORDS },
            "subject": { "type": "string", "description": "path of the part; empty for the whole rocket" },
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

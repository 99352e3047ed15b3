//! SARIF 2.1.0 (OASIS, Static Analysis Results Interchange Format), for programs that show findings beside the code.
//!
//! Lines and columns count from 1, columns in Unicode code points (`columnKind`), the end column one past the last
//! character; a byte order mark is no character. Paths are relative to `SRCROOT`, the folder of the run, which the log
//! leaves for the reader to settle, so that it says the same wherever it was written. A file elsewhere has its whole path.
//!
//! An unproven finding is of kind `fail` and not `open`: a result of another kind has no level by the standard, and what
//! is not proven holds.

use std::path::Path;

use serde_json::{Map, Value as Json, json};

use super::location::{from_base, uri};
use super::{Review, caution};
use crate::review::{DesignReview, Finding, Remedy, Standing, Tried};
use crate::rules::Margin;
use crate::text::{Problem, Source, Span, clean, clean_json};

/// The schema that a log says it follows.
const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// The rule of what could not be read.
const UNREADABLE: &str = "unreadable";

/// A review as a SARIF log. What is waived is left out, unless it is asked for: then it is there with its suppression.
#[must_use]
pub fn sarif(review: &Review, base: &Path, waived_too: bool) -> String {
    let mut log = Log { base, rules: Vec::new(), artifacts: Vec::new() };
    let mut results = Vec::new();
    for (source, problem) in &review.problems {
        results.push(log.unreadable(source, problem));
    }
    for design in &review.designs {
        log.artifact(&design.design.source, Some(&design.digest));
        for finding in &design.findings {
            let wanted = match finding.standing {
                Standing::Shown => true,
                Standing::Waived(_) => waived_too,
                Standing::Baselined | Standing::Below => false,
            };
            if wanted {
                results.push(log.result(design, finding));
            }
        }
    }
    let designs: Vec<Json> = review
        .designs
        .iter()
        .map(|design| {
            let accounts = design.accounts();
            json!({
                "path": from_base(design.design.source.name(), base),
                "verdict": if design.is_clear() { "clear" } else { "hold" },
                "shown": accounts.shown, "waived": accounts.waived, "baselined": accounts.baselined,
                "below": accounts.below, "total": accounts.total,
            })
        })
        .collect();
    let document = json!({
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [{
            "tool": { "driver": {
                "name": "Holdpoint",
                "semanticVersion": env!("CARGO_PKG_VERSION"),
                "version": env!("CARGO_PKG_VERSION"),
                "rules": log.rules,
            } },
            "invocations": [{ "executionSuccessful": review.problems.is_empty() && !review.designs.is_empty() }],
            "originalUriBaseIds": { "SRCROOT": { "description": { "text": "The folder that the review was run in." } } },
            "columnKind": "unicodeCodePoints",
            "artifacts": log.artifacts,
            "results": results,
            "properties": { "designs": designs, "caution": caution().trim().replace('\n', " ") },
        }],
    });
    clean_json(format!("{document:#}\n"))
}

/// What is gathered while results are written: rules and files, each once.
struct Log<'b> {
    base: &'b Path,
    rules: Vec<Json>,
    artifacts: Vec<Json>,
}

impl Log<'_> {
    fn location(&self, source: &Source) -> Json {
        let path = from_base(source.name(), self.base);
        if path.starts_with('/') {
            json!({ "uri": format!("file://{}", uri(&path)) })
        } else {
            json!({ "uri": uri(&path), "uriBaseId": "SRCROOT" })
        }
    }

    /// The number of a file in the log's list.
    fn artifact(&mut self, source: &Source, digest: Option<&str>) -> usize {
        let location = self.location(source);
        let known = self.artifacts.iter().position(|a| a.get("location") == Some(&location));
        let at = known.unwrap_or_else(|| {
            self.artifacts.push(json!({ "location": location }));
            self.artifacts.len() - 1
        });
        if let (Some(digest), Some(Json::Object(artifact))) = (digest, self.artifacts.get_mut(at)) {
            artifact.insert("hashes".to_owned(), json!({ "sha-256": digest }));
            artifact.insert("encoding".to_owned(), json!("UTF-8"));
            artifact.insert("sourceLanguage".to_owned(), json!("yaml"));
        }
        at
    }

    fn file(&mut self, source: &Source) -> Json {
        let mut location = self.location(source);
        let index = self.artifact(source, None);
        if let Json::Object(location) = &mut location {
            location.insert("index".to_owned(), json!(index));
        }
        location
    }

    fn place(&mut self, source: &Source, span: Option<Span>) -> Json {
        let file = self.file(source);
        match span {
            Some(span) => {
                let mut region = region(source, span);
                if let Json::Object(region) = &mut region {
                    region.insert("snippet".to_owned(), json!({ "text": source.slice(span) }));
                }
                json!({ "artifactLocation": file, "region": region })
            }
            // Readers that show files want a line, and there is none in particular.
            None => json!({ "artifactLocation": file, "region": { "startLine": 1 } }),
        }
    }

    /// The number of a rule in the driver's list.
    fn rule(&mut self, id: &str, make: impl FnOnce() -> Json) -> usize {
        let known = self.rules.iter().position(|r| r.get("id").and_then(Json::as_str) == Some(id));
        known.unwrap_or_else(|| {
            self.rules.push(make());
            self.rules.len() - 1
        })
    }

    fn unreadable(&mut self, source: &Source, problem: &Problem) -> Json {
        let index = self.rule(UNREADABLE, || {
            json!({
                "id": UNREADABLE,
                "shortDescription": { "text": "Every file that was named can be read and reviewed." },
                "fullDescription": { "text": "What cannot be read is not reviewed, and silence is not approval." },
                "help": { "text": "Mend what the message names, and run the review again." },
                "defaultConfiguration": { "level": "error" },
            })
        });
        let help = problem.help.as_deref().map(|h| format!("\n{h}")).unwrap_or_default();
        let mut location = json!({ "physicalLocation": self.place(source, problem.span) });
        if let Json::Object(location) = &mut location {
            location.insert("message".to_owned(), message(&problem.message));
        }
        json!({
            "ruleId": UNREADABLE,
            "ruleIndex": index,
            "level": "error",
            "message": message(&format!("{}{help}", problem.message)),
            "locations": [location],
            "partialFingerprints": { "message/v1": crate::review::digest(problem.message.as_bytes()) },
        })
    }

    fn result(&mut self, design: &DesignReview, finding: &Finding) -> Json {
        let source = &design.design.source;
        let index = self.rule(&finding.rule, || rule(finding));
        let mut locations = finding.places.iter().map(|place| {
            let mut location = json!({ "physicalLocation": self.place(source, Some(place.span)) });
            if let Json::Object(location) = &mut location {
                location.insert("message".to_owned(), message(&place.label));
                if !place.key.is_empty() {
                    location
                        .insert("logicalLocations".to_owned(), json!([{ "fullyQualifiedName": place.key }]));
                }
            }
            location
        });
        let first = locations.next();
        let mut others: Vec<Json> = locations.collect();
        for (number, other) in others.iter_mut().enumerate() {
            if let Json::Object(other) = other {
                other.insert("id".to_owned(), json!(number + 1));
            }
        }
        let first = first.unwrap_or_else(|| json!({ "physicalLocation": self.place(source, None) }));
        let mut result = Map::new();
        let mut put = |key: &str, value: Json| result.insert(key.to_owned(), value);
        put("ruleId", json!(finding.rule));
        put("ruleIndex", json!(index));
        put("level", json!(finding.level.name()));
        put("message", message(&words(finding)));
        put("locations", json!([first]));
        if !others.is_empty() {
            put("relatedLocations", Json::Array(others));
        }
        put("partialFingerprints", json!({ "ruleAndSubject/v1": finding.fingerprint }));
        let fixes: Vec<Json> = finding.remedies.iter().filter_map(|r| self.fix(source, r)).collect();
        if !fixes.is_empty() {
            put("fixes", Json::Array(fixes));
        }
        if let Some(waiver) = finding.waiver() {
            put(
                "suppressions",
                json!([{
                    "kind": if waiver.settings.is_some() { "external" } else { "inSource" }, "status": "accepted",
                    "justification": format!("{} ({}, until {})", waiver.reason, waiver.by, waiver.until),
                }]),
            );
        }
        put(
            "properties",
            json!({
                "before": finding.before.name(), "outcome": finding.outcome.name(), "pack": finding.pack,
                "subject": finding.subject, "margin": finding.margin.map(margin),
            }),
        );
        Json::Object(result)
    }

    /// A remedy that was tried on a copy, cleared its finding and broke nothing else.
    fn fix(&mut self, source: &Source, remedy: &Remedy) -> Option<Json> {
        if remedy.tried != Some(Tried::Clears) || remedy.edits.is_empty() {
            return None;
        }
        let replacements: Vec<Json> = remedy
            .edits
            .iter()
            .map(
                |e| json!({ "deletedRegion": region(source, e.span), "insertedContent": { "text": e.text } }),
            )
            .collect();
        Some(json!({
            "description": message(&remedy.say),
            "artifactChanges": [{ "artifactLocation": self.file(source), "replacements": replacements }],
        }))
    }
}

/// What a finding says: its message, and what would settle it.
fn words(finding: &Finding) -> String {
    let mut text = finding.message.clone();
    for remedy in &finding.remedies {
        let tried = if remedy.tried == Some(Tried::Clears) { " (tried on a copy: clears this)" } else { "" };
        text.push_str(&format!("\nchange: {}{tried}", remedy.say));
    }
    text
}

fn rule(finding: &Finding) -> Json {
    let help = format!(
        "{}\n\nwhy: {}\nsource: {}\nThe step that waits for it: {}.",
        finding.title, finding.why, finding.source, finding.before
    );
    json!({
        "id": finding.rule,
        "shortDescription": { "text": escaped(&finding.title) },
        "fullDescription": { "text": escaped(&finding.why) },
        "help": { "text": escaped(&help) },
        "defaultConfiguration": { "level": finding.level.name() },
        "properties": { "tags": [finding.pack, format!("before {}", finding.before)] },
    })
}

fn margin(margin: Margin) -> Json {
    match margin {
        Margin::Ratio(value) => json!({ "kind": "ratio", "value": value }),
        Margin::Gap(gap) => {
            let (value, unit) = gap.value_and_unit();
            json!({ "kind": "gap", "value": value, "unit": unit })
        }
    }
}

fn region(source: &Source, span: Span) -> Json {
    let (start, end) = (source.position(span.start), source.position(span.end));
    json!({
        "startLine": start.line, "startColumn": start.column, "endLine": end.line, "endColumn": end.column,
    })
}

fn message(text: &str) -> Json {
    json!({ "text": escaped(text) })
}

/// A plain text message (§3.11): its braces are doubled, for single ones stand for arguments; and what a file says
/// never becomes a link, which is a text in brackets before a target in parentheses.
fn escaped(text: &str) -> String {
    clean(text).replace('{', "{{").replace('}', "}}").replace("](", "] (")
}

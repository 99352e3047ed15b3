//! Two reviews compared, as the JSON contract `holdpoint-compare/1`: every key is a field of a struct here.

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

use super::contract::{Clearance, Margin, Outcome, TOOL, Tool, json_text, schema_of};
use crate::review::{self, DesignComparison, DesignReview};
use crate::rules::{HoldPoint, Level, Verdict};

/// The name and version of the contract.
pub const COMPARE_FORMAT: &str = "holdpoint-compare/1";

/// Two reviews compared.
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Document<'c> {
    #[schemars(extend("const" = COMPARE_FORMAT))]
    format: &'static str,
    tool: Tool,
    old: Side<'c>,
    new: Side<'c>,
    values: Vec<ValueChange<'c>>,
    findings: Findings<'c>,
    margins: Vec<MarginChange<'c>>,
    hold_points: Vec<HoldChange>,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "side")]
#[schemars(deny_unknown_fields)]
struct Side<'c> {
    path: &'c str,
    #[schemars(extend("pattern" = "^[0-9a-f]{64}$"))]
    digest: &'c str,
    verdict: Clearance,
}

/// a value that is written otherwise; null where it is not written
#[derive(Serialize, JsonSchema)]
#[serde(rename = "value_change")]
#[schemars(deny_unknown_fields)]
struct ValueChange<'c> {
    key: &'c str,
    old: Option<ValueAt<'c>>,
    new: Option<ValueAt<'c>>,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "value")]
#[schemars(deny_unknown_fields)]
struct ValueAt<'c> {
    text: &'c str,
    #[schemars(range(min = 1))]
    line: u32,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "findings")]
#[schemars(deny_unknown_fields)]
struct Findings<'c> {
    new: Vec<Finding<'c>>,
    gone: Vec<Finding<'c>>,
    still: Vec<Finding<'c>>,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "finding")]
#[schemars(deny_unknown_fields)]
struct Finding<'c> {
    rule: &'c str,
    subject: &'c str,
    #[schemars(extend("pattern" = "^[0-9a-f]{16}$"))]
    fingerprint: &'c str,
    level: Level,
    before: HoldPoint,
    outcome: Outcome,
    /// the outcome in the old design, where it was there
    was: Outcome,
    waived: bool,
    message: &'c str,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "margin_change")]
#[schemars(deny_unknown_fields)]
struct MarginChange<'c> {
    rule: &'c str,
    subject: &'c str,
    old: Margin,
    new: Margin,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "hold_change")]
#[schemars(deny_unknown_fields)]
struct HoldChange {
    name: HoldPoint,
    old: Clearance,
    new: Clearance,
}

impl<'c> Side<'c> {
    fn of(review: &'c DesignReview) -> Self {
        Self {
            path: review.design.source.name(),
            digest: &review.digest,
            verdict: Clearance::when(review.is_clear()),
        }
    }
}

impl<'c> ValueAt<'c> {
    fn of(at: &'c review::ValueAt) -> Self {
        Self { text: &at.text, line: at.line }
    }
}

impl<'c> Finding<'c> {
    fn of(finding: &'c review::Finding, was: Verdict) -> Self {
        Self {
            rule: &finding.rule,
            subject: &finding.subject,
            fingerprint: &finding.fingerprint,
            level: finding.level,
            before: finding.before,
            outcome: Outcome(finding.outcome),
            was: Outcome(was),
            waived: finding.waiver().is_some(),
            message: &finding.message,
        }
    }
}

/// A comparison as JSON.
#[must_use]
pub fn comparison_json(comparison: &DesignComparison<'_>) -> String {
    let values = comparison.values.iter().map(|value| ValueChange {
        key: &value.key,
        old: value.old.as_ref().map(ValueAt::of),
        new: value.new.as_ref().map(ValueAt::of),
    });
    let margins = comparison.margins.iter().map(|change| MarginChange {
        rule: &change.rule,
        subject: &change.subject,
        old: change.old.into(),
        new: change.new.into(),
    });
    let hold_points = comparison.hold_points.iter().map(|change| HoldChange {
        name: change.point,
        old: Clearance::when(change.was_clear),
        new: Clearance::when(change.is_clear),
    });
    let document = Document {
        format: COMPARE_FORMAT,
        tool: TOOL,
        old: Side::of(comparison.old),
        new: Side::of(comparison.new),
        values: values.collect(),
        findings: Findings {
            new: comparison.appeared.iter().map(|f| Finding::of(f, f.outcome)).collect(),
            gone: comparison.gone.iter().map(|f| Finding::of(f, f.outcome)).collect(),
            still: comparison.still.iter().map(|s| Finding::of(s.new, s.old.outcome)).collect(),
        },
        margins: margins.collect(),
        hold_points: hold_points.collect(),
    };
    json_text(&document, 0) + "\n"
}

/// The JSON Schema (draft 2020-12) of the contract.
#[must_use]
pub fn compare_schema() -> Value {
    schema_of::<Document<'_>>("A Holdpoint comparison")
}

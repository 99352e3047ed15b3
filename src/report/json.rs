//! The JSON contract `holdpoint-review/1`: every key is a field of a struct here, so that inner changes cannot leak out, and
//! the schema is that of these structs.
//!
//! Byte offsets count from 0 in the file; lines and columns from 1, columns in Unicode characters.

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

use super::contract::{Clearance, Margin, Outcome, TOOL, Tool, json_item, json_text, schema_of};
use super::form::{DESIGNS, PROBLEMS, Part, ReportForm, Totals};
use super::spread_json::Spread;
use crate::review::{self, DesignReview, DispositionName, PackApplicability, Tried};
use crate::rules::{self, DepartureKind, HoldPoint, Level, Library, Moment};
use crate::yaml::{self, Source, Span};

/// The name and version of the contract.
pub const REVIEW_FORMAT: &str = "holdpoint-review/1";

/// What a design and a finding commonly take: room that is made at once need not be moved as it fills.
const BYTES_A_DESIGN: usize = 8 << 10;
const BYTES_A_FINDING: usize = 5 << 8;

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

    fn problem(&self, source: &Source, problem: &yaml::Problem) -> Part {
        let problem = Problem {
            path: source.name(),
            message: &problem.message,
            help: problem.help.as_deref(),
            place: problem.span.map(|span| JsonPlace::of(source, "", span, &problem.message)),
        };
        Part::of(json_item(&problem, 2, 0))
    }

    fn design(&self, review: &DesignReview, _: &Library, _: usize) -> Part {
        let waiting = review::waiting(review.findings.iter().filter(|finding| finding.waiver().is_none()));
        let room = BYTES_A_DESIGN + BYTES_A_FINDING * review.findings.len();
        Part::of(json_item(&Design::of(review, &waiting), 2, room))
    }

    fn frame(&mut self, totals: Totals) -> String {
        let document =
            Document { format: REVIEW_FORMAT, tool: TOOL, designs: vec![DESIGNS], problems: vec![PROBLEMS] };
        let mut text = json_text(&document, 0) + "\n";
        // The parts bring the lines that they begin on; a list without parts is closed on its own line.
        for (mark, count) in [(DESIGNS, totals.designs), (PROBLEMS, totals.problems)] {
            let end = if count == 0 { "\n  " } else { "" };
            text = text.replace(&(json_item(&mark, 2, 0) + end), mark);
        }
        text
    }
}

/// A review: designs, and what could not be read.
#[derive(Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
struct Document<D, P> {
    #[schemars(extend("const" = REVIEW_FORMAT))]
    format: &'static str,
    tool: Tool,
    designs: Vec<D>,
    problems: Vec<P>,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "design")]
#[schemars(deny_unknown_fields)]
struct Design<'r> {
    path: &'r str,
    name: &'r str,
    /// SHA-256 of the file's bytes
    #[schemars(extend("pattern" = "^[0-9a-f]{64}$"))]
    digest: &'r str,
    /// the settings file in force and what it changes, in words
    settings: Option<&'r str>,
    /// what is not as the packs have it
    departures: Vec<Departure<'r>>,
    /// what is taken on the author's word
    on_word: Vec<OnWord<'r>>,
    /// the hold points that were passed, by the record beside the design
    passed: Vec<Passed<'r>>,
    verdict: Clearance,
    hold_points: Vec<HoldState>,
    /// what is not written down, the part that is asked for first first
    waiting: Vec<WaitingPart<'r>>,
    findings: Vec<Finding<'r>>,
    counts: Counts,
    #[serde(rename = "accounts")]
    totals: DispositionTotals,
    /// the packs that are not about every rocket
    codes: Vec<Code<'r>>,
    /// what is written and no rule in force spoke about, by steps in build order; null: only some of the rules were asked
    not_judged: Option<Vec<NotJudged<'r>>>,
    /// there where it was asked for
    #[serde(skip_serializing_if = "Option::is_none")]
    spread: Option<Spread<'r>>,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "not_judged")]
#[schemars(deny_unknown_fields)]
struct NotJudged<'r> {
    /// the first step whose rules are about such parts
    before: HoldPoint,
    /// paths: of a part where nothing of it was read, else of a value
    keys: &'r [String],
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "departure")]
#[schemars(deny_unknown_fields)]
struct Departure<'r> {
    kind: DepartureKind,
    /// a rule, a limit after its pack and a dot, or a settings file
    of: &'r str,
    /// what the pack says
    was: &'r str,
    /// what holds instead
    is: &'r str,
    reason: &'r str,
    by: Option<&'r str>,
    /// the last day
    until: Option<String>,
    /// the settings file
    path: &'r str,
    line: u32,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "on_word")]
#[schemars(deny_unknown_fields)]
struct OnWord<'r> {
    says: &'r str,
    place: JsonPlace<'r>,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "passed")]
#[schemars(deny_unknown_fields)]
struct Passed<'r> {
    hold_point: HoldPoint,
    date: String,
    by: &'r str,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "hold_point")]
#[schemars(deny_unknown_fields)]
struct HoldState {
    name: HoldPoint,
    verdict: Clearance,
    /// values that its rules wait for and that no step before it asks for
    missing: usize,
    /// findings that hold it and that no missing value explains
    to_settle: usize,
}

/// values of one part that rules wait for
#[derive(Serialize, JsonSchema)]
#[serde(rename = "waiting")]
#[schemars(deny_unknown_fields)]
struct WaitingPart<'r> {
    /// path of the part; empty for the whole rocket
    part: &'r str,
    values: Vec<WaitedFor<'r>>,
    /// how many rules wait for any of them
    rules: usize,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "value")]
#[schemars(deny_unknown_fields)]
struct WaitedFor<'r> {
    key: &'r str,
    /// the first step that asks for it
    before: HoldPoint,
    /// false: only rules that hold no step wait for it
    holds: bool,
    /// how many rules wait for it
    rules: usize,
}

/// how many outcomes of each sort there were; a waived finding is counted as waived only
#[derive(Serialize, JsonSchema)]
#[serde(rename = "counts")]
#[schemars(deny_unknown_fields)]
struct Counts {
    held: usize,
    broken: usize,
    unproven: usize,
    tight: usize,
    not_applicable: usize,
    waived: usize,
}

/// how many findings stand where
#[derive(Serialize, JsonSchema)]
#[serde(rename = "accounts")]
#[schemars(deny_unknown_fields)]
struct DispositionTotals {
    shown: usize,
    waived: usize,
    baselined: usize,
    below: usize,
    total: usize,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "code")]
#[schemars(deny_unknown_fields)]
struct Code<'r> {
    pack: &'r str,
    judged: bool,
    because: &'r str,
    /// clauses that no design file can settle, for a person to tick
    asks: Vec<Ask<'r>>,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "ask")]
#[schemars(deny_unknown_fields)]
struct Ask<'r> {
    name: &'r str,
    ask: &'r str,
    moment: Moment,
    source: &'r str,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "finding")]
#[schemars(deny_unknown_fields)]
struct Finding<'r> {
    rule: &'r str,
    pack: &'r str,
    outcome: Outcome,
    level: Level,
    before: HoldPoint,
    /// path of the part; empty for the whole rocket
    subject: &'r str,
    message: &'r str,
    places: Vec<JsonPlace<'r>>,
    margin: Option<Margin>,
    source: &'r str,
    #[schemars(extend("pattern" = "^[0-9a-f]{16}$"))]
    fingerprint: &'r str,
    /// baselined and below: counted, not drawn
    #[serde(rename = "standing")]
    disposition: DispositionName,
    waived: Option<Waived<'r>>,
    remedies: Vec<JsonRemedy<'r>>,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "waived")]
#[schemars(deny_unknown_fields)]
struct Waived<'r> {
    reason: &'r str,
    by: &'r str,
    until: &'r str,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "remedy")]
#[schemars(deny_unknown_fields)]
struct JsonRemedy<'r> {
    say: &'r str,
    /// null: words only, nothing to try
    tried: Option<Tried>,
    edits: Vec<Edit<'r>>,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "edit")]
#[schemars(deny_unknown_fields)]
struct Edit<'r> {
    start_byte: u32,
    end_byte: u32,
    text: &'r str,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "place")]
#[schemars(deny_unknown_fields)]
struct JsonPlace<'r> {
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

#[derive(Serialize, JsonSchema)]
#[serde(rename = "problem")]
#[schemars(deny_unknown_fields)]
struct Problem<'r> {
    path: &'r str,
    message: &'r str,
    help: Option<&'r str>,
    place: Option<JsonPlace<'r>>,
}

impl<'r> WaitingPart<'r> {
    fn of(part: &'r review::WaitingPart) -> Self {
        let value = |value: &'r review::WaitedFor| WaitedFor {
            key: &value.key,
            before: value.before,
            holds: value.holds,
            rules: value.rules.len(),
        };
        Self { part: &part.part, values: part.values.iter().map(value).collect(), rules: part.rules.len() }
    }
}

impl<'r> Design<'r> {
    fn of(review: &'r DesignReview, waiting: &'r [review::WaitingPart]) -> Self {
        let (counts, totals) = (review.counts, review.totals());
        let steps = review::progress(review, waiting);
        let hold_state = |(state, step): (&review::HoldState, review::StepProgress)| HoldState {
            name: state.point,
            verdict: Clearance::when(state.clear),
            missing: step.missing,
            to_settle: step.to_settle,
        };
        Self {
            path: review.design.source.name(),
            name: review.design.name(),
            digest: &review.digest,
            settings: review.settings.as_deref(),
            departures: review.departures.iter().map(Departure::of).collect(),
            on_word: review.on_word.iter().map(|one| OnWord::of(&review.design.source, one)).collect(),
            passed: review.passed.iter().map(Passed::of).collect(),
            verdict: Clearance::when(review.is_clear()),
            hold_points: review.hold_points.iter().zip(steps).map(hold_state).collect(),
            waiting: waiting.iter().map(WaitingPart::of).collect(),
            findings: review.findings.iter().map(|one| Finding::of(&review.design.source, one)).collect(),
            counts: Counts {
                held: counts.held,
                broken: counts.broken,
                unproven: counts.unproven,
                tight: counts.tight,
                not_applicable: counts.not_applicable,
                waived: counts.waived,
            },
            totals: DispositionTotals {
                shown: totals.shown,
                waived: totals.waived,
                baselined: totals.baselined,
                below: totals.below,
                total: totals.total,
            },
            codes: review.packs.iter().map(Code::of).collect(),
            not_judged: review.not_judged.as_ref().map(|steps| {
                steps.iter().map(|step| NotJudged { before: step.before, keys: &step.keys }).collect()
            }),
            spread: review.spread.as_ref().map(Spread::of),
        }
    }
}

impl<'r> Departure<'r> {
    fn of(one: &'r rules::Departure) -> Self {
        Self {
            kind: one.kind,
            of: &one.of,
            was: &one.was,
            is: &one.is,
            reason: &one.reason,
            by: one.by.as_deref(),
            until: one.until.map(|until| until.to_string()),
            path: one.at.source.name(),
            line: one.at.line(),
        }
    }
}

impl<'r> OnWord<'r> {
    fn of(source: &'r Source, one: &'r review::OnWord) -> Self {
        Self { says: &one.says, place: JsonPlace::of(source, &one.key, one.place.span, &one.place.label) }
    }
}

impl<'r> Passed<'r> {
    fn of(one: &'r review::Passed) -> Self {
        Self { hold_point: one.point, date: one.date.to_string(), by: &one.by }
    }
}

impl<'r> Code<'r> {
    fn of(pack: &'r PackApplicability) -> Self {
        let asks = pack.asks.iter().map(|ask| Ask {
            name: &ask.name,
            ask: &ask.ask,
            moment: ask.moment,
            source: &ask.citation,
        });
        Self { pack: &pack.name, judged: pack.judged, because: &pack.because, asks: asks.collect() }
    }
}

impl<'r> Finding<'r> {
    fn of(source: &'r Source, finding: &'r review::Finding) -> Self {
        Self {
            rule: &finding.rule,
            pack: &finding.pack,
            outcome: Outcome(finding.outcome),
            level: finding.level,
            before: finding.before,
            subject: &finding.subject,
            message: &finding.message,
            places: finding
                .places
                .iter()
                .map(|at| JsonPlace::of(source, &at.key, at.span, &at.label))
                .collect(),
            margin: finding.margin.map(Margin::from),
            source: &finding.source,
            fingerprint: &finding.fingerprint,
            disposition: finding.disposition.name(),
            waived: finding.waiver().map(|waiver| Waived {
                reason: &waiver.reason,
                by: &waiver.by,
                until: &waiver.until,
            }),
            remedies: finding.remedies.iter().map(JsonRemedy::of).collect(),
        }
    }
}

impl<'r> JsonRemedy<'r> {
    fn of(remedy: &'r review::TriedRemedy) -> Self {
        let edits = remedy.edits.iter().map(|edit| Edit {
            start_byte: edit.span.start,
            end_byte: edit.span.end,
            text: &edit.text,
        });
        Self { say: &remedy.say, tried: remedy.tried, edits: edits.collect() }
    }
}

impl<'r> JsonPlace<'r> {
    fn of(source: &'r Source, key: &'r str, span: Span, label: &'r str) -> Self {
        let (start, end) = (source.position(span.start), source.position(span.end));
        Self {
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
}

/// The JSON Schema (draft 2020-12) of the contract.
#[must_use]
pub fn review_schema() -> Value {
    schema_of::<Document<Design<'_>, Problem<'_>>>("A Holdpoint review")
}

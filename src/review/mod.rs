//! Rules over a model: outcomes, findings with their places, remedies that were tried, hold points.

mod baseline;
mod checklist;
mod compare;
mod disposition;
mod drill_sheet;
mod finding;
mod incremental;
mod judged;
mod margins;
mod mend;
mod named;
mod on_word;
mod one_rule;
mod packs;
mod passes;
mod places;
mod reach;
mod remedies;
mod remedy_effects;
mod spread;
mod switched_off;
mod totals;
mod waiting;
mod waivers;
mod working;

use std::sync::Arc;

use sha2::{Digest, Sha256};

pub use baseline::{BASELINE_FORMAT, Baseline, Compared};
pub use checklist::{ChecklistStep, steps};
pub use compare::{Comparison, HoldChange, MarginChange, Still, ValueAt, ValueChange, compare};
pub use disposition::{Disposition, DispositionName, WaiverUsed};
pub use drill_sheet::{DrillLine, drill_sheet, drill_words, hole_words};
pub use finding::{Finding, MissingValue, Remedy, Tried};
pub use incremental::{IncrementalReview, Reviewed, review, review_all};
pub use margins::stated;
pub use mend::{Changed, Choice, Mended, mend};
pub use named::{all_names, quantities_named};
pub use on_word::OnWord;
pub use one_rule::{OnSubject, on_design};
pub use packs::{PackApplicability, applicable_packs};
pub use passes::{
    CountsAs, PASS, PASSED_VALUE, PASSES, Pass, Passed, PassedValue, Passes, hold_to, values_of,
};
pub use places::Place;
pub use reach::NotJudged;
pub use remedy_effects::{TrialRemedy, remedy_problems, trial_remedies};
pub use spread::{Driver, Spread, SpreadInput, SpreadQuantity, SpreadRequest, SpreadRule, SpreadSource};
pub use totals::{DispositionCounts, FailOn, show_from};
pub use waiting::{
    Conflict, StepProgress, WaitedFor, WaitingPart, conflicts, is_in_conflict, is_waiting, progress, waiting,
    written,
};
pub use waivers::{Waiver, WaiverFrom, waivers_of};
pub use working::Working;

use crate::design::Design;
use crate::model::{Access, Model, Read};
use crate::rules::{Departure, HoldPoint, Judgement, Margin};
use crate::text::Problem;
use crate::vocabulary::Date;

/// What to review, and how far.
#[derive(Clone, Debug)]
pub struct Options {
    /// Only what must be settled before this step: the hold points up to it.
    pub before: Option<HoldPoint>,
    /// The day it is, for waivers and for rules that ask for `today`.
    pub today: Date,
    /// Try each remedy on a copy.
    pub try_remedies: bool,
    /// Packs that the club names, besides those that a design names under `codes`.
    pub codes: Vec<String>,
    /// Find out which values decided, for places and working. It takes a flight for each value that a finding rests on, and who
    /// only counts findings has no use for it.
    pub find_places: bool,
    /// Find out how the numbers came about. A report that prints no working has no use for it.
    pub find_working: bool,
    /// List the margins of what is held.
    pub find_margins: bool,
    /// List what no rule spoke about. It is known only where every rule in force is asked.
    pub find_not_judged: bool,
    /// How far the quantities and the rules spread with the values that they rest on.
    pub spread: Option<SpreadRequest>,
    /// The settings in force, in words for the report.
    pub settings: Option<String>,
    /// Settings nearer to the design that are left aside.
    pub ignored: Vec<Departure>,
    /// Waivers that are not written in the design.
    pub waivers: Vec<Waiver>,
    /// What a waiver must say besides what every waiver must, to hold: `subject`, `margin`; `settings` for one that stands there.
    pub waivers_need: Vec<String>,
}

impl Options {
    /// Everything, on a day.
    #[must_use]
    pub fn on(today: Date) -> Self {
        Self {
            before: None,
            today,
            try_remedies: true,
            find_places: true,
            find_working: true,
            find_margins: true,
            find_not_judged: true,
            spread: None,
            settings: None,
            ignored: Vec::new(),
            waivers: Vec::new(),
            waivers_need: Vec::new(),
            codes: Vec::new(),
        }
    }
}

/// How many outcomes of each sort there were. A waived finding is counted as waived only.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Held.
    pub held: usize,
    /// Broken.
    pub broken: usize,
    /// Unproven.
    pub unproven: usize,
    /// Tight.
    pub tight: usize,
    /// Not applicable.
    pub not_applicable: usize,
    /// Waived.
    pub waived: usize,
}

/// A step of the build and whether it may be taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HoldState {
    /// The step.
    pub point: HoldPoint,
    /// True when nothing holds it.
    pub clear: bool,
}

/// The margin of a rule on a subject that it holds for.
#[derive(Clone, Debug)]
pub struct MarginLine {
    /// The rule.
    pub rule: String,
    /// The subject's path.
    pub subject: String,
    /// How much there is to spare.
    pub margin: Margin,
    /// Whether it says only how parts fit one another or agree: sizes of parts, or what is checked before they are made. Such a margin
    /// is meant to be narrow.
    pub is_fit: bool,
}

/// The review of one design.
#[derive(Clone, Debug)]
pub struct DesignReview {
    /// The design.
    pub design: Arc<Design>,
    /// SHA-256 of the file's bytes, in hexadecimal.
    pub digest: String,
    /// The settings that it was reviewed by, and what they change, in words; `None` where there are none.
    pub settings: Option<String>,
    /// What is not as the packs have it: limits, levels, rules that are switched off, settings that are left aside.
    pub departures: Vec<Departure>,
    /// What it says that is taken on its author's word.
    pub on_word: Vec<OnWord>,
    /// The day it was reviewed on.
    pub today: Date,
    /// Findings, worst first within each hold point.
    pub findings: Vec<Finding>,
    /// The hold points that were asked about.
    pub hold_points: Vec<HoldState>,
    /// The hold points that were passed, by the record beside the design.
    pub passed: Vec<Passed>,
    /// How many outcomes of each sort.
    pub counts: Counts,
    /// Margins of what is held: shares of a limit, narrowest first, then gaps, narrowest first.
    pub margins: Vec<MarginLine>,
    /// What no rule in force spoke about, by steps in build order; `None` where it was not asked for, or only some of the rules were.
    pub not_judged: Option<Vec<NotJudged>>,
    /// How far its quantities and rules spread; `None` where it was not asked for.
    pub spread: Option<Spread>,
    /// The packs that are not about every rocket: whether each was judged, and why; what each asks of a person.
    pub packs: Vec<PackApplicability>,
}

impl DesignReview {
    /// True when nothing holds.
    #[must_use]
    pub fn is_clear(&self) -> bool {
        self.hold_points.iter().all(|h| h.clear) && self.design.problems.is_empty()
    }

    /// Puts the findings in order and says which hold points they hold.
    pub fn settle(&mut self) {
        self.findings.sort_by(|a, b| {
            (a.before, a.outcome, a.level, &a.subject, &a.rule)
                .cmp(&(b.before, b.outcome, b.level, &b.subject, &b.rule))
        });
        let readable = self.design.is_readable();
        for state in &mut self.hold_points {
            state.clear = readable && !self.findings.iter().any(|f| f.before == state.point && f.holds());
        }
    }

    /// How many findings stand where.
    #[must_use]
    pub fn totals(&self) -> DispositionCounts {
        DispositionCounts::of(&self.findings)
    }

    /// What is wrong with the file itself.
    #[must_use]
    pub fn problems(&self) -> &[Problem] {
        &self.design.problems
    }
}

/// SHA-256 in hexadecimal.
#[must_use]
pub fn digest(bytes: &[u8]) -> String {
    hexadecimal(&Sha256::digest(bytes))
}

fn hexadecimal(bytes: &[u8]) -> String {
    let digit = |value: u8| char::from_digit(u32::from(value), 16).unwrap_or_default();
    bytes.iter().flat_map(|byte| [digit(byte >> 4), digit(byte & 15)]).collect()
}

/// How a quantity was worked out: what it rests on first, itself last.
#[must_use]
pub fn working_of(model: &Model<'_>, read: Read) -> Vec<Working> {
    working::describe(model, read)
}

/// The fingerprint of a finding: the rule and the subject's path, so that it survives moved lines and changed values.
fn fingerprint(rule: &str, subject: &str) -> String {
    let mut hash = Sha256::new();
    for part in ["holdpoint\0", rule, "\0", subject] {
        hash.update(part.as_bytes());
    }
    hexadecimal(hash.finalize().first_chunk::<8>().map_or(&[], |first| first.as_slice()))
}

/// The fields as written that a judgement read.
fn leaves(model: &Model<'_>, judgement: &Judgement) -> Vec<Read> {
    let mut leaves = Vec::new();
    for read in &judgement.trace.reads {
        for leaf in model.leaves(*read).iter() {
            if !leaf.entity.is_row() && !leaves.contains(leaf) {
                leaves.push(*leaf);
            }
        }
    }
    leaves
}

/// True when a read is of a field as written.
fn is_field(read: &Read) -> bool {
    matches!(read.access, Access::Field(_))
}

//! What a review of one design came to.

use std::sync::Arc;

use super::finding::Finding;
use super::not_judged::NotJudged;
use super::packs::PackApplicability;
use super::passes::Passed;
use super::spread::Spread;
use super::unverified::OnWord;
use crate::design::Design;
use crate::rules::{Departure, HoldPoint, Margin};
use crate::vocabulary::Date;
use crate::yaml::Problem;

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
    /// Whether some pack or setting that should be in force could not be read.
    pub incomplete: bool,
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

    /// What is wrong with the file itself.
    #[must_use]
    pub fn problems(&self) -> &[Problem] {
        &self.design.problems
    }
}

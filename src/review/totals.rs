//! The totals of a report, so that nothing is lost between what was found and what is shown; and what makes a review fail.

use std::sync::LazyLock;

use clap::ValueEnum;
use clap::builder::PossibleValue;

use super::disposition::Disposition;
use super::{DesignReview, Finding};
use crate::rules::Level;
use crate::vocabulary::possible_value;

/// How many findings stand where. The parts always make up the total.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct DispositionCounts {
    /// Drawn.
    pub shown: usize,
    /// Covered by a waiver.
    pub waived: usize,
    /// Known from the baseline.
    pub baselined: usize,
    /// Less grave than what the reader asked to see.
    pub below: usize,
    /// All that was found.
    pub total: usize,
}

impl DispositionCounts {
    /// The totals of some findings.
    pub fn of<'f>(findings: impl IntoIterator<Item = &'f Finding>) -> Self {
        let mut totals = Self::default();
        for finding in findings {
            totals.total += 1;
            match finding.disposition {
                Disposition::Shown => totals.shown += 1,
                Disposition::Waived(_) => totals.waived += 1,
                Disposition::Baselined => totals.baselined += 1,
                Disposition::Below => totals.below += 1,
            }
        }
        totals
    }

    /// Those of these findings and of others.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self {
            shown: self.shown + other.shown,
            waived: self.waived + other.waived,
            baselined: self.baselined + other.baselined,
            below: self.below + other.below,
            total: self.total + other.total,
        }
    }

    /// In words, as each report for people ends: `5 findings: 3 shown, 1 waived, 0 in the baseline, 1 below the level shown`.
    #[must_use]
    pub fn in_words(&self) -> String {
        format!(
            "{} finding{}: {} shown, {} waived, {} in the baseline, {} below the level shown",
            self.total,
            if self.total == 1 { "" } else { "s" },
            self.shown,
            self.waived,
            self.baselined,
            self.below
        )
    }
}

/// What makes a review fail: exit code 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FailOn {
    /// A finding of this level, or a graver one.
    Level(Level),
    /// Nothing that is found in a design; what could not be reviewed still does.
    Never,
}

impl Default for FailOn {
    fn default() -> Self {
        Self::Level(Level::Error)
    }
}

/// Every way, in the order of the levels.
static ALL: LazyLock<Vec<FailOn>> =
    LazyLock::new(|| Level::ALL.into_iter().map(FailOn::Level).chain([FailOn::Never]).collect());

impl ValueEnum for FailOn {
    fn value_variants<'a>() -> &'a [Self] {
        &ALL
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        Some(match self {
            Self::Level(level) => possible_value(*level),
            Self::Never => PossibleValue::new("never").help("Only what could not be reviewed"),
        })
    }
}

impl FailOn {
    /// True when a finding makes the review fail: it is shown and grave enough.
    #[must_use]
    pub fn fails(self, finding: &Finding) -> bool {
        match self {
            Self::Level(level) => finding.is_shown() && finding.level <= level,
            Self::Never => false,
        }
    }

    /// The level to show when the reader asked for one: what fails is never hidden.
    #[must_use]
    pub fn shows(self, asked: Level) -> Level {
        match self {
            Self::Level(level) => asked.max(level),
            Self::Never => asked,
        }
    }
}

/// Puts what is less grave than a level below what is shown.
pub fn show_from(designs: &mut [DesignReview], level: Level) {
    for finding in designs.iter_mut().flat_map(|d| &mut d.findings) {
        if finding.is_shown() && finding.level > level {
            finding.disposition = Disposition::Below;
        }
    }
}

impl DesignReview {
    /// How many findings stand where.
    #[must_use]
    pub fn totals(&self) -> DispositionCounts {
        DispositionCounts::of(&self.findings)
    }
}

//! Where each finding stands in a report, and the accounts: nothing is lost between what was found and what is shown.

use std::sync::LazyLock;

use clap::ValueEnum;
use clap::builder::PossibleValue;

use super::{DesignReview, Finding};
use crate::rules::Level;
use crate::vocabulary::possible_value;

/// A waiver that covers a finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WaiverUsed {
    /// Why it is acceptable.
    pub reason: String,
    /// Who answers for it.
    pub by: String,
    /// The last day.
    pub until: String,
    /// The file and line of the settings that it stands in; `None` where it is in the design.
    pub settings: Option<String>,
}

/// Where a finding stands. Every finding stands in one of these, and each report accounts for all of them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Disposition {
    /// It is shown, and counts for the exit code.
    #[default]
    Shown,
    /// Someone answers for it: it is named with its waiver, and does not hold.
    Waived(WaiverUsed),
    /// The baseline has it: it is counted and not drawn. It still holds its step, for nobody has answered for it; only
    /// the exit code passes it over.
    Baselined,
    /// It is less grave than what the reader asked to see: it is counted and not drawn.
    Below,
}

crate::words! {
    /// Where a finding stands, without what it stands there by.
    pub enum Standing {
        /// It is shown.
        Shown = "shown",
        /// A waiver covers it.
        Waived = "waived",
        /// The baseline has it.
        Baselined = "baselined",
        /// It is less grave than what is shown.
        Below = "below",
    }
}

impl Disposition {
    /// Where it stands.
    #[must_use]
    pub const fn standing(&self) -> Standing {
        match self {
            Self::Shown => Standing::Shown,
            Self::Waived(_) => Standing::Waived,
            Self::Baselined => Standing::Baselined,
            Self::Below => Standing::Below,
        }
    }
}

impl Finding {
    /// True when a report draws it.
    #[must_use]
    pub fn is_shown(&self) -> bool {
        self.standing == Disposition::Shown
    }

    /// The waiver that covers it.
    #[must_use]
    pub const fn waiver(&self) -> Option<&WaiverUsed> {
        match &self.standing {
            Disposition::Waived(waiver) => Some(waiver),
            _ => None,
        }
    }

    /// True when the step may not be taken because of it.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.level == Level::Error && self.waiver().is_none()
    }
}

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
    /// The accounts of some findings.
    pub fn of<'f>(findings: impl IntoIterator<Item = &'f Finding>) -> Self {
        let mut accounts = Self::default();
        for finding in findings {
            accounts.total += 1;
            match finding.standing {
                Disposition::Shown => accounts.shown += 1,
                Disposition::Waived(_) => accounts.waived += 1,
                Disposition::Baselined => accounts.baselined += 1,
                Disposition::Below => accounts.below += 1,
            }
        }
        accounts
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
            finding.standing = Disposition::Below;
        }
    }
}

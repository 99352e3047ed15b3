//! Where each finding stands in a report, and how it compares with a baseline.

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
    pub enum DispositionName {
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
    pub const fn name(&self) -> DispositionName {
        match self {
            Self::Shown => DispositionName::Shown,
            Self::Waived(_) => DispositionName::Waived,
            Self::Baselined => DispositionName::Baselined,
            Self::Below => DispositionName::Below,
        }
    }
}

crate::words! {
    /// How a finding compares with a baseline.
    pub enum Compared {
        /// The baseline does not know it.
        New = "new",
        /// The baseline knows it, and it is no worse.
        Unchanged = "unchanged",
        /// The baseline knows it, and it is worse.
        Worse = "worse",
    }
}

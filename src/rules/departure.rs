//! What settings change of the rules as their packs have them: told by every report, so that none of it goes unseen.

use std::fmt;

use super::settings::SourceLocation;
use crate::vocabulary::Date;
use crate::yaml::clean_line;

crate::words! {
    /// What is changed.
    pub enum DepartureKind {
        /// A limit of a pack has another value.
        Limit = "limit",
        /// A rule is taken more or less gravely.
        Level = "level",
        /// A rule is switched off.
        Off = "off",
        /// Settings that lie nearer to the design are left aside, since the run is locked to others.
        Ignored = "ignored",
    }
}

/// Something that is not as the packs have it.
#[derive(Clone, Debug)]
pub struct Departure {
    /// What sort of change it is.
    pub kind: DepartureKind,
    /// What is changed: a rule, a limit after its pack and a dot, or a file.
    pub of: String,
    /// What the pack says; empty where nothing is said otherwise.
    pub was: String,
    /// What holds instead.
    pub is: String,
    /// Why, as the settings say it.
    pub reason: String,
    /// Who answers for it, where that is asked for.
    pub by: Option<String>,
    /// The last day, where there is one.
    pub until: Option<Date>,
    /// Where it is said.
    pub at: SourceLocation,
}

impl Departure {
    /// True on a day on which it holds.
    #[must_use]
    pub fn holds_on(&self, today: Date) -> bool {
        self.until.is_none_or(|until| today <= until)
    }
}

impl fmt::Display for Departure {
    /// In words, on one line, with nothing in it that could change how a terminal shows it.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { of, was, is, reason, .. } = self;
        let words = match self.kind {
            DepartureKind::Limit => format!("limit {of} is {is}, and its pack says {was}"),
            DepartureKind::Level => format!("rule {of} is of level {is}, and its pack says {was}"),
            DepartureKind::Off => {
                let until = self.until.map(|until| until.to_string()).unwrap_or_default();
                let by = self.by.as_deref().unwrap_or_default();
                format!("rule {of} is switched off until {until}, by {by}")
            }
            DepartureKind::Ignored => format!("settings {of} are ignored: the run is locked to {is}"),
        };
        let place = match self.kind {
            DepartureKind::Ignored => String::new(),
            _ => format!(" ({}: {reason})", self.at.in_words()),
        };
        out.write_str(&clean_line(&format!("{words}{place}")))
    }
}

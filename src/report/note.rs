//! What the part of a design brings for elsewhere in its report.

use super::total::Total;

/// What a part brings for elsewhere in the report.
#[derive(Debug, Default)]
pub(super) enum Note {
    /// Nothing.
    #[default]
    None,
    /// A line of the list of designs, and what the design adds to the total.
    Line(String, Total),
    /// A line of the list of designs, what the design adds to the total, and lines that are said once however many designs bring
    /// them.
    LineWith(String, Total, Vec<String>),
    /// What a design adds to the total.
    Total(Total),
    /// The name of a design, and its line in the list of designs.
    Named(String, String),
    /// Counts of cases.
    Tally(Tally),
    /// The rules and the file of the results.
    Log(LogNote),
}

/// What stands in one suite.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Tally {
    pub(super) tests: usize,
    pub(super) failures: usize,
    pub(super) errors: usize,
    pub(super) skipped: usize,
}

/// What the results of a part refer to, by numbers of the part's own until the whole log is known.
#[derive(Debug)]
pub(super) struct LogNote {
    /// The rules, each with its description for the driver's list.
    pub(super) rules: Vec<(String, String)>,
    /// Where the file is.
    pub(super) location: Location,
    /// The digest of the file, of a design that was read.
    pub(super) digest: Option<String>,
    /// The line of the design in the list of designs.
    pub(super) line: String,
    /// What is said of the run, once however many parts bring it: of what could not be reviewed, and of how the rules were set.
    pub(super) notifications: [Vec<String>; 2],
}

/// Where a file is.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Location {
    pub(super) uri: String,
    pub(super) in_base: bool,
}

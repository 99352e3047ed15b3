//! What a command is given besides its options, and what it gives back.

use clap::Command;

use super::files::Placed;
use super::report_writer::Printed;
use crate::design::Design;
use crate::report::{Style, problem_text};
use crate::vocabulary::Date;

/// What a run of a command is given besides its options.
pub struct Invocation<'r> {
    /// How text is drawn.
    pub style: Style,
    /// The day it is, where an option does not say.
    pub today: Date,
    /// Asks a person at the terminal; `None` for no answer, and where no person is.
    pub ask: fn(&str) -> Option<String>,
    /// What a report that comes piece by piece is printed to.
    pub out: &'r mut Printed,
    /// The declared command line, for completions and manual pages.
    pub command_line: fn() -> Command,
}

impl Invocation<'_> {
    /// The day that an option names, or the day it is.
    pub(super) fn day(&self, said: Option<Date>) -> Date {
        said.unwrap_or(self.today)
    }
}

/// What a command gives back: what to write, and how it ended.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Output {
    /// The report, for standard output; what `review` has printed already is no part of it.
    pub report: String,
    /// What went wrong with the tool itself, for standard error.
    pub complaints: String,
    /// 0 nothing holds, 1 something holds, 2 could not review.
    pub code: u8,
}

impl Output {
    /// A command that could not do its work.
    #[must_use]
    pub fn failed(complaint: impl Into<String>) -> Self {
        Self { report: String::new(), complaints: complaint.into(), code: 2 }
    }

    /// Takes in what is wrong with files: the exit code is 2.
    pub(super) fn complain(&mut self, problems: &[Placed], style: Style) {
        for (source, problem) in problems {
            self.complaints.push_str(&problem_text(source, problem, style));
            self.code = 2;
        }
    }

    /// Takes in what is wrong with a design as it is written.
    pub(super) fn complain_of(&mut self, design: &Design, style: Style) {
        for problem in &design.problems {
            self.complaints.push_str(&problem_text(&design.source, problem, style));
            self.code = 2;
        }
    }

    /// Takes in that the report could not be printed, so that a half one does not pass for a whole. A reader that went
    /// away has what it wanted, and is no error of ours.
    pub fn not_printed(&mut self, error: &std::io::Error) {
        if error.kind() != std::io::ErrorKind::BrokenPipe {
            self.complaints.push_str(&format!("standard output: not written: {error}\n"));
            self.code = 2;
        }
    }
}

//! What every form of a report does: it makes a part of each design by itself, and the frame that the parts stand in.
//!
//! Parts are made on any thread and put in order by whoever gathers them, so that no more than a few designs are held at
//! once. What hangs on the whole (totals, numbers of rules, titles) is gathered from small notes that parts bring along.

use super::note::Note;
use crate::review::DesignReview;
use crate::rules::Library;
use crate::yaml::{Problem, Source};

/// Where the parts of the problems stand in a frame. Text of files is cleaned of control characters in every form, so
/// that none of it passes for a mark.
pub(super) const PROBLEMS: &str = "\u{1}p";
/// Where the parts of the designs stand in a frame.
pub(super) const DESIGNS: &str = "\u{1}d";

/// The two lists that a report is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum List {
    /// What could not be read.
    Problems,
    /// The designs.
    Designs,
}

/// How much was put into the lists of a report.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Totals {
    /// Problems.
    pub problems: usize,
    /// Designs.
    pub designs: usize,
    /// True when some problem has a text in this report.
    pub problems_written: bool,
    /// True when some design has a text in this report.
    pub designs_written: bool,
}

/// What one design or one problem brings to a report.
#[derive(Debug, Default)]
pub struct Part {
    /// Its text in its list; empty for none.
    pub(super) text: String,
    /// What the rest of the report has to know of it.
    pub(super) note: Note,
}

impl Part {
    /// A part of a text alone.
    pub(super) fn of(text: String) -> Self {
        Self { text, note: Note::None }
    }

    /// Its text in its list.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }
}

/// A piece of a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Piece<'f> {
    /// Text of the frame itself.
    Text(&'f str),
    /// The parts of a list.
    Parts(List),
}

/// A form of a report.
pub trait ReportForm: Send + Sync {
    /// What stands between two parts of a list.
    fn separator(&self) -> &'static str {
        ""
    }

    /// True when the frame up to the designs hangs on nothing that comes later: they may be written as they come.
    fn streams(&self) -> bool {
        false
    }

    /// The part of a problem.
    fn problem(&self, source: &Source, problem: &Problem) -> Part;

    /// The part of a design, which was reviewed by a library and is the `place`th (from 1) of those in the report.
    fn design(&self, review: &DesignReview, library: &Library, place: usize) -> Part;

    /// Takes in what a part brings for elsewhere, and gives back its text. Called in the order of each list.
    fn take(&mut self, list: List, part: Part) -> String {
        let _ = list;
        part.text
    }

    /// The frame of a report whose parts were all taken in, with a mark where each list stands: see [`pieces`].
    fn frame(&mut self, totals: Totals) -> String;

    /// What stands for a mark within a part, in a form whose parts have marks; called after [`Self::frame`].
    fn at_mark(&self, mark: &str) -> Option<String> {
        let _ = mark;
        None
    }

    /// True when parts have marks, each between two characters U+0001.
    fn has_marks(&self) -> bool {
        false
    }
}

/// The pieces of a frame, in order.
#[must_use]
pub fn pieces(frame: &str) -> Vec<Piece<'_>> {
    let mut pieces = Vec::new();
    for (at, stretch) in frame.split('\u{1}').enumerate() {
        let list = match stretch.chars().next() {
            Some('p') if at > 0 => Some(List::Problems),
            Some('d') if at > 0 => Some(List::Designs),
            _ => None,
        };
        pieces.extend(list.map(Piece::Parts));
        pieces.push(Piece::Text(stretch.get(usize::from(list.is_some())..).unwrap_or(stretch)));
    }
    pieces
}

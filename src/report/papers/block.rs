//! What papers are made of, whatever form they have.

use maud::Markup;

use crate::report::tables::Table;

/// A piece of the papers.
pub(super) enum Block {
    /// A heading.
    Heading(String),
    /// A heading below one.
    Subheading(String),
    /// A paragraph.
    Words(String),
    /// A table.
    Table(Table),
    /// Entities to do, each to be ticked, with why.
    Tick(Vec<(String, String)>),
    /// A list.
    List(Vec<String>),
    /// A drawing, with what it is called where it cannot be shown.
    Drawing(Markup, String),
    /// Lines to sign on: who.
    Sign(Vec<String>),
    /// Empty rows to be filled in by hand: the headings, and how many.
    Empty(Vec<String>, usize),
    /// A drawing, with what it is called where it cannot be shown, and the table that stands beside it.
    Beside(Markup, String, Table),
}

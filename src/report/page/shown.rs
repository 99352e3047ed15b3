//! What pages and papers have in common: the drawing with its words, and tables.

use maud::{Markup, html};

use crate::report::drawing::{Drawing, Mark};
use crate::report::reading::{Cell, Reading};
use crate::report::tables::{Row, Table};

/// The drawing with what a reader must know of it.
pub(in crate::report) fn figure(sheet: Markup, aft_view: Markup, drawing: &Drawing) -> Markup {
    html! {
        figure class="sheet" {
            (sheet)
            (aft_view)
            figcaption {
                p {
                    "Nose to the left. Seen from aft, clock angles run clockwise from 0° at the top; the side that is seen "
                    "is 180° to 360°, and what lies on the far side is dotted. What is dashed is not known for sure."
                }
                @if let Mark::NotKnown(why) = &drawing.balance { p { "The balance point is not drawn: " (why) "." } }
                @if let Mark::NotKnown(why) = &drawing.pressure { p { "The centre of pressure is not drawn: " (why) "." } }
                @if !drawing.notes.is_empty() {
                    details { summary { "What the drawing takes for granted (" (drawing.notes.len()) ")" }
                        ul { @for note in &drawing.notes { li { (note) } } } }
                }
                @if !drawing.undrawn.is_empty() {
                    details { summary { "Not drawn (" (drawing.undrawn.len()) ")" }
                        ul { @for one in &drawing.undrawn { li { code { (one.path) } ": " (one.why) } } } }
                }
            }
        }
    }
}

/// The parts by their numbers in the drawing.
pub(in crate::report) fn parts_table(reading: Reading<'_>, drawing: &Drawing) -> Table {
    let rows = drawing
        .parts
        .iter()
        .enumerate()
        .map(|(place, part)| {
            [
                (place + 1).to_string(),
                part.what.clone(),
                reading.length(part.fore),
                reading.length(part.aft),
                part.size.clone(),
                reading.short_path(part.id),
            ]
            .into_iter()
            .map(Cell::Known)
            .collect::<Row>()
        })
        .collect();
    let head = ["no.", "part", "from", "to", "size", "in the file"].map(str::to_owned).to_vec();
    Table {
        title: "Parts".to_owned(),
        about: "Stations are measured aft from the nose tip.".to_owned(),
        head,
        rows,
    }
}

/// A table. With a prefix its rows are numbered anchors, `{prefix}at-N`, and `more` fills a last column.
pub(in crate::report) fn table(table: &Table, prefix: &str, more: &dyn Fn(usize) -> Markup) -> Markup {
    let anchored = !prefix.is_empty();
    html! {
        div class="scroll" { table {
            caption { (table.title) @if !table.about.is_empty() { span class="about" { " " (table.about) } } }
            @if !table.head.is_empty() {
                thead { tr {
                    @for words in &table.head { th { (words) } }
                    @if anchored { th { "findings" } }
                } }
            }
            tbody {
                @for (place, row) in table.rows.iter().enumerate() {
                    tr id=[anchored.then(|| format!("{prefix}at-{}", place + 1))] {
                        @for (column, value) in row.iter().enumerate() {
                            @if anchored && column == 0 {
                                td { a href={ "#" (prefix) "part-" (place + 1) } { (cell(value)) } }
                            } @else if column == 0 {
                                th scope="row" { (cell(value)) }
                            } @else {
                                // A measure is not broken between its number and its unit.
                                td class=[(value.to_string().len() < 16).then_some("measure")] { (cell(value)) }
                            }
                        }
                        @if anchored { td { (more(place + 1)) } }
                    }
                }
            }
        } }
    }
}

/// A cell of a table.
pub(super) fn cell(cell: &Cell) -> Markup {
    match cell {
        Cell::NotKnown(why) => html! { span class="unknown" title=(why) { "not known" } },
        known => html! { (known) },
    }
}

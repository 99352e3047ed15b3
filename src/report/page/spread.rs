//! How sure each number of a page is.

use maud::{Markup, html};

use super::Sheet;
use super::shown::table;
use crate::report::spread::{failing, groups, holding, title};
use crate::report::spread_tables::{areas, quantities, rules};
use crate::report::tables::Table;

impl Sheet<'_> {
    /// Percentiles, and how often rules do not hold, where a spread was asked for.
    pub(super) fn spread(&self) -> Markup {
        let Some(spread) = &self.review.spread else { return html! {} };
        let shown = |one: &Table| table(one, "", &|_| html! {});
        html! {
            section class="spread" {
                h2 { "How sure" }
                p { (title(spread)) "." }
                @if spread.inputs.is_empty() {
                    p { "Nothing that it rests on is uncertain." }
                } @else {
                    (shown(&quantities(spread)))
                    @if !spread.courses.areas.is_empty() { (shown(&areas(self.reading, spread))) }
                    @if failing(spread).next().is_some() { (shown(&rules(spread))) }
                    p { (holding(spread)) "." }
                    details {
                        summary { "What is uncertain, and how far" }
                        ul {
                            @for group in groups(spread) {
                                li { (group.off) ": " (group.values) " (" (group.source) ")" }
                            }
                        }
                    }
                }
            }
        }
    }
}

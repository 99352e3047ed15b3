//! How sure each number of a page is.

use maud::{Markup, html};

use super::Sheet;
use super::shown::table;
use crate::report::reading::Cell;
use crate::report::spread::{
    HEADS, drivers, failing, groups, holding, how_often, name_of, percentiles, rule_of, title, varying,
};
use crate::report::tables::Table;
use crate::review::Spread;

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

/// A table of words.
fn of_words(title: &'static str, about: String, head: &[&str], rows: Vec<Vec<String>>) -> Table {
    Table {
        title: title.to_owned(),
        about,
        head: head.iter().map(|words| (*words).to_owned()).collect(),
        rows: rows.into_iter().map(|row| row.into_iter().map(Cell::Known).collect()).collect(),
    }
}

fn quantities(spread: &Spread) -> Table {
    let rows = varying(spread).map(|one| {
        let bounds = one.bounds.map(|(least, most)| [least.rough(), most.rough()]);
        let [least, most] = bounds.unwrap_or_default();
        let [low, middle, high] = percentiles(one);
        vec![name_of(one), least, low, middle, high, most, drivers(&one.drivers)]
    });
    let [below, middle, above, goes_with] = HEADS;
    let about = format!(
        "bounds: the least and the most of {} flights drawn by chance; 95 in 100 lie beyond the one, and 95 within the other, each with a confidence of 95 %",
        spread.by_chance
    );
    let head = ["", "bound below", below, middle, above, "bound above", goes_with];
    of_words("Figures", about, &head, rows.collect())
}

fn rules(spread: &Spread) -> Table {
    let rows = failing(spread)
        .map(|rule| vec![rule_of(rule), how_often(rule, spread), drivers(&rule.drivers)])
        .collect();
    let [.., goes_with] = HEADS;
    of_words("Rules that are broken in some flights", String::new(), &["rule", "how often", goes_with], rows)
}

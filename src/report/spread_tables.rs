//! How sure each number is, as tables of a page and of papers.

use super::reading::{Cell, Reading};
use super::spread::{HEADS, area_words, drivers, failing, how_often, name_of, percentiles, rule_of, varying};
use super::tables::Table;
use crate::review::Spread;

/// A table of words.
fn of_words(title: &'static str, about: String, head: &[&str], rows: Vec<Vec<String>>) -> Table {
    Table {
        title: title.to_owned(),
        about,
        head: head.iter().map(|words| (*words).to_owned()).collect(),
        rows: rows.into_iter().map(|row| row.into_iter().map(Cell::Known).collect()).collect(),
    }
}

/// The percentiles of the quantities.
pub(super) fn quantities(spread: &Spread) -> Table {
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

/// The rules that do not hold in every flight.
pub(super) fn rules(spread: &Spread) -> Table {
    let rows = failing(spread)
        .map(|rule| vec![rule_of(rule), how_often(rule, spread), drivers(&rule.drivers)])
        .collect();
    let [.., goes_with] = HEADS;
    of_words("Rules that are broken in some flights", String::new(), &["rule", "how often", goes_with], rows)
}

/// Where nine in ten of the flights land.
pub(super) fn areas(reading: Reading<'_>, spread: &Spread) -> Table {
    let rows = spread.courses.areas.iter().map(|area| area_words(reading, area).to_vec()).collect();
    let about = "however they turn into the wind; each area is an ellipse".to_owned();
    let head = ["what opens", "middle", "long and wide", "longer axis", "from the pad, at most"];
    of_words("Where nine in ten land", about, &head, rows)
}

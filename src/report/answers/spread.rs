//! How sure one quantity, or one rule, is.

use std::fmt::Write as _;

use crate::report::spread::{drivers, groups, how_often, rule_of};
use crate::report::spread_json;
use crate::review::{Spread, SpreadQuantity};
use crate::yaml::clean;

/// From nothing to the fullest step.
const HEIGHTS: [char; 9] = [' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];

/// How sure a quantity or a rule is, in words.
#[must_use]
pub fn spread_answer(spread: &Spread) -> String {
    let mut out =
        format!("  how sure: {} flights, each uncertain value anywhere within its limits\n", spread.samples);
    let moves = |quantity: &SpreadQuantity| quantity.range.0.si < quantity.range.1.si || quantity.unknown > 0;
    if spread.rules.is_empty() && !spread.quantities.iter().any(moves) {
        out.push_str("    nothing that is uncertain moves it\n");
        return out;
    }
    for quantity in &spread.quantities {
        of_quantity(&mut out, quantity);
    }
    for rule in &spread.rules {
        let _ = writeln!(out, "    {}: {}", rule_of(rule), how_often(rule, spread));
        goes_with(&mut out, &drivers(&rule.drivers));
    }
    for group in groups(spread) {
        let _ = writeln!(out, "    may be off {}: {} ({})", group.off, group.values, group.source);
    }
    clean(&out).into_owned()
}

fn of_quantity(out: &mut String, quantity: &SpreadQuantity) {
    let _ = writeln!(
        out,
        "    1 in 20 below {}, half below {}, 1 in 20 above {}; {} as drawn",
        quantity.low.rough(),
        quantity.median.rough(),
        quantity.high.rough(),
        quantity.nominal.rough()
    );
    if quantity.range.0.si < quantity.range.1.si {
        let bars = bars(&quantity.histogram);
        let _ = writeln!(out, "    {} │{bars}│ {}", quantity.range.0.rough(), quantity.range.1.rough());
    }
    if quantity.unknown > 0 {
        let _ = writeln!(out, "    not known in {}", quantity.unknown);
    }
    goes_with(out, &drivers(&quantity.drivers));
}

fn goes_with(out: &mut String, words: &str) {
    if !words.is_empty() {
        let _ = writeln!(out, "    goes with {}", words.replace('\u{a0}', " "));
    }
}

/// A line of bars as high as the counts; a step with any sample is seen.
fn bars(counts: &[usize]) -> String {
    let most = counts.iter().copied().max().unwrap_or(0).max(1);
    let top = HEIGHTS.len() - 1;
    let bar = |count: &usize| HEIGHTS.get((count * top).div_ceil(most)).copied().unwrap_or(' ');
    counts.iter().map(bar).collect()
}

/// Adds it to a JSON document, where it is asked for.
pub(super) fn add_spread(document: &mut serde_json::Value, spread: Option<&Spread>) {
    if let (Some(spread), Some(document)) = (spread, document.as_object_mut()) {
        let value = serde_json::to_value(spread_json::Spread::of(spread)).unwrap_or_default();
        document.insert("spread".to_owned(), value);
    }
}

#[cfg(test)]
mod tests {
    use super::bars;

    #[test]
    fn bars_are_as_high_as_their_share_of_the_highest() {
        assert_eq!(bars(&[0, 1, 4, 8, 4, 1, 0]), " ▁▄█▄▁ ");
        assert_eq!(bars(&[0, 1, 1000]), " ▁█");
        assert_eq!(bars(&[]), "");
    }
}

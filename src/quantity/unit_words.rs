//! Units as builders write them: in two words, against the next number, and pounds where a force is meant.

use super::units::unit;
use super::{Dimension, Form, Measure, Quantity, Style, Tolerance};

/// The unit with which a text begins, as one word, and how many bytes of the text it takes.
pub(super) fn unit_word(text: &str) -> (String, usize) {
    let mut end = text.find(|c: char| c.is_whitespace() || c == '±').unwrap_or(text.len());
    // In `5'3"` the next number follows at once.
    if let Some(mark) = text.chars().next().filter(|c| matches!(c, '\'' | '"' | '′' | '″')) {
        end = mark.len_utf8();
    }
    let mut word = text.get(..end).unwrap_or("").to_owned();
    // `sq in`, `cubic inches` and `deg F` are two words for one unit.
    let around = match word.as_str() {
        "sq" | "sq." | "square" => Some(("", "²")),
        "cu" | "cu." | "cubic" => Some(("", "³")),
        "deg" | "degrees" | "°" => Some(("°", "")),
        _ => None,
    };
    if let Some((before, after)) = around {
        let more = text.get(end..).unwrap_or("");
        let next = more.trim_start();
        let next_end = next.find(char::is_whitespace).unwrap_or(next.len());
        let second = next.get(..next_end).unwrap_or("").trim_end_matches('.');
        let joined = format!("{before}{second}{after}");
        if unit(&joined).is_some() {
            word = joined;
            end += more.len() - next.len() + next_end;
        }
    }
    // A tolerance may be joined to the unit: `3.9in+0.02/-0.00`.
    let cut = word.find('+').unwrap_or(word.len());
    if cut < word.len() {
        word.truncate(cut);
        end = cut;
    }
    (word, end)
}

/// A strength of `1500 lb`, as it is printed on a cord, is one of 1500 pounds-force. Of other units of mass nobody can say
/// that a force is meant.
pub(super) fn pounds_force(measure: &Measure) -> Option<Measure> {
    let (pound, force) = (unit("lb")?, unit("lbf")?);
    let by = force.factor / pound.factor;
    let nominal = measure.nominal;
    let style = Style { unit: force.id, ..nominal.style };
    (nominal.style.unit == pound.id && nominal.style.form != Form::Compound).then(|| Measure {
        nominal: Quantity { si: nominal.si * by, dimension: Dimension::FORCE, style },
        tolerance: measure.tolerance.map(|t| Tolerance { minus: t.minus * by, plus: t.plus * by }),
    })
}

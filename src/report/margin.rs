//! A margin in words.

use crate::quantity::Quantity;
use crate::rules::Margin;

/// A margin in words.
pub(crate) fn margin_text(margin: Margin) -> String {
    match margin {
        Margin::Ratio(0.0) => "exactly on the limit".to_owned(),
        Margin::Ratio(ratio) => {
            let share = ratio.abs() * 100.0;
            let digits = usize::from(share < 1.0);
            format!("{share:.digits$} % {}", if ratio < 0.0 { "short" } else { "to spare" })
        }
        Margin::Gap(gap) if gap.si < 0.0 => format!("{} short", gap_text(gap.abs())),
        Margin::Gap(gap) => format!("{} to spare", gap_text(gap)),
    }
}

/// A gap in words. That of temperatures is in degrees, whose unit in a file tells a difference from a temperature.
fn gap_text(gap: Quantity) -> String {
    gap.to_string().replace("deltaC", "°C").replace("deltaF", "°F")
}

//! A margin in words.

use crate::rules::Margin;

/// A margin in words.
pub(crate) fn margin_text(margin: Margin) -> String {
    match margin {
        Margin::Ratio(0.0) => "none, exactly on the limit".to_owned(),
        Margin::Ratio(ratio) => {
            let share = ratio.abs() * 100.0;
            let digits = usize::from(share < 1.0);
            format!("{share:.digits$} % {}", if ratio < 0.0 { "short" } else { "to spare" })
        }
        Margin::Gap(gap) if gap.si < 0.0 => format!("{} short", gap.abs()),
        Margin::Gap(gap) => format!("{gap} to spare"),
    }
}

//! A margin as people write it down, and whether one that is found now is worse.

use crate::quantity::Quantity;
use crate::rules::Margin;

/// A margin as a waiver or a baseline states it, rounded to the side on which it holds.
#[must_use]
pub fn stated(margin: Margin) -> String {
    let down = |value: f64| {
        let places = if value.abs() < 0.01 { 1e7 } else { 1e4 };
        (value * places + 1e-6).floor() / places
    };
    match margin {
        Margin::Ratio(ratio) => down(ratio).to_string(),
        Margin::Gap(gap) => {
            let (value, unit) = gap.value_and_unit();
            if unit.is_empty() { down(value).to_string() } else { format!("{} {unit}", down(value)) }
        }
    }
}

/// True when a margin is of the same kind as one that was stated, and no worse beyond rounding.
pub(super) fn no_worse(then: Quantity, now: Margin) -> bool {
    let comparable = match now {
        Margin::Ratio(_) => then.dimension == Quantity::number(0.0).dimension,
        Margin::Gap(gap) => then.dimension == gap.dimension,
    };
    comparable && now.size() >= then.si - 1e-9 * then.si.abs().max(1e-3)
}

#[cfg(test)]
mod tests {
    use super::{Margin, stated};

    #[test]
    fn a_margin_is_stated_to_four_places_from_one_percent_up_and_to_seven_below() {
        for (ratio, words) in [
            (0.01, "0.01"),
            (0.012_345_6, "0.0123"),
            (0.009_999_96, "0.0099999"),
            (-0.01, "-0.01"),
            (-0.012_34, "-0.0124"),
        ] {
            assert_eq!(stated(Margin::Ratio(ratio)), words);
        }
        // At the boundary itself four places are enough, and the fifth is cut off.
        assert_eq!(stated(Margin::Ratio(0.010_05)), "0.01");
    }
}

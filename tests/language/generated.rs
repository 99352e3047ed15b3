//! Any expression: its value under Kleene's logic, and a place for every mistake.

use super::Three::{Missing, No, Yes};
use super::{ALL, Three, World, spelled};
use holdpoint::language::parse;
use proptest::prelude::*;

/// An expression with its value under Kleene's logic, worked out beside it.
fn truths() -> impl Strategy<Value = (String, Three)> {
    let leaf = prop_oneof![Just(No), Just(Missing), Just(Yes)].prop_map(|t| (spelled(t).to_owned(), t));
    let rank = |t: Three| ALL.iter().position(|x| *x == t).unwrap();
    leaf.prop_recursive(5, 16, 2, move |inner| {
        prop_oneof![
            inner.clone().prop_map(move |(s, t)| (format!("not ({s})"), ALL[2 - rank(t)])),
            (inner.clone(), inner.clone())
                .prop_map(move |((a, x), (b, y))| (format!("({a}) and ({b})"), ALL[rank(x).min(rank(y))])),
            (inner.clone(), inner)
                .prop_map(move |((a, x), (b, y))| (format!("({a}) or ({b})"), ALL[rank(x).max(rank(y))])),
        ]
    })
    .prop_filter("short enough", |(s, _)| s.len() < 2000)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_formula_follows_kleene((text, expected) in truths()) {
        prop_assert_eq!(World::new().truth(&text), expected, "{}", text);
    }

    #[test]
    fn any_words_give_a_tree_or_a_place(text in "[ a-z0-9.()<>=+*/^\"µ日,-]{0,60}") {
        if let Err(error) = parse(&text) {
            prop_assert!(text.get(error.range.clone()).is_some(), "{:?} in {:?}", error, text);
        }
    }

    #[test]
    fn any_words_of_the_language_give_a_value_or_a_place(
        words in proptest::collection::vec(
            prop_oneof![
                Just("every"), Just("s"), Just("of"), Just("rocket"), Just("."), Just("sections"), Just("has"),
                Just("and"), Just("not"), Just("("), Just(")"), Just("mass"), Just(">"), Just("1"), Just("kg"),
                Just("or"), Just("else"), Just("if"), Just("then"), Just("is"), Just("given"), Just("count"),
                Just("sum"), Just("over"), Just("where"), Just("true"), Just("-"), Just("^"), Just("flight"),
            ],
            0..20,
        )
    ) {
        let text = words.join(" ");
        if let Err(error) = World::new().try_run(&text, |_, e| e) {
            prop_assert!(text.get(error.range.clone()).is_some(), "{:?} in {:?}", error, text);
        }
    }

    #[test]
    fn sums_of_lengths_in_any_units_agree(a in 1u32..5000, b in 1u32..5000) {
        let world = World::new();
        let value = world.number(&format!("{a} mm + {b} in"));
        prop_assert!((value - (f64::from(a) * 0.001 + f64::from(b) * 0.0254)).abs() < 1e-9);
        let truth = world.truth(&format!("rocket.flight.rail + {a} mm < rocket.flight.rail + {b} mm"));
        prop_assert_eq!(truth == Yes, a < b);
    }
}

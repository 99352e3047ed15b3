//! The sweeps.

use std::panic::{AssertUnwindSafe, catch_unwind};

use holdpoint::engineering::sobol::{Chance, between_zero_and_one};
use rayon::prelude::*;

use super::edge::Edge;
use super::{airframe, flights, recovery, workshop};

pub(super) fn all() -> Vec<Edge> {
    [workshop::all(), recovery::all(), airframe::all(), flights::all()].into_iter().flatten().collect()
}

/// What no reader takes, and what it takes at most.
const EXTREMES: [f64; 21] = [
    f64::NAN,
    f64::INFINITY,
    f64::NEG_INFINITY,
    -0.0,
    0.0,
    f64::MIN_POSITIVE,
    1e-300,
    1e-30,
    1e-9,
    1e-3,
    1.0,
    1.2,
    5.0,
    6e3,
    1e9,
    1e15,
    1e300,
    f64::MAX,
    -1e-9,
    -1.0,
    -1e15,
];

/// About so many pairs are tried, the same ones each time; where the environment variable `EXTREMES` is set, all.
const MOST_PAIRS: usize = 1500;

/// Whether the reader takes a number of this size.
fn is_read(number: f64) -> bool {
    number == 0.0 || (1e-30..=1e15).contains(&number.abs())
}

/// Whether a function answers; otherwise what is wrong with its answer.
fn answers(edge: &Edge, numbers: &[f64]) -> Result<bool, String> {
    let answer = catch_unwind(AssertUnwindSafe(|| (edge.at)(numbers)));
    let Ok(answer) = answer else { return Err(format!("{} panics at {numbers:?}", edge.name)) };
    let is_meant = edge.checked || numbers.iter().copied().all(is_read);
    let is_endless = answer.iter().flatten().any(|number| !number.is_finite());
    match is_meant && is_endless {
        true => Err(format!("{} at {numbers:?} is {answer:?}", edge.name)),
        false => Ok(answer.is_some()),
    }
}

/// A row of numbers that look drawn by chance, between 0 and 1, the same each time.
struct Drawn {
    chance: Chance,
    place: u64,
}

impl Drawn {
    fn for_edge(edge: &Edge) -> Self {
        let seed =
            edge.name.bytes().fold(5_u64, |sum, byte| sum.wrapping_mul(31).wrapping_add(u64::from(byte)));
        Self { chance: Chance { seed }, place: 0 }
    }

    fn next(&mut self) -> f64 {
        self.place += 1;
        between_zero_and_one(self.chance.coordinate(self.place))
    }

    /// A number beside another: from a third of it to three times as much.
    fn beside(&mut self, ordinary: f64) -> f64 {
        ordinary * 9.0_f64.powf(self.next() - 0.5)
    }
}

/// Inputs out of all reason: each alone, each pair together at every pair of extremes, and many at once.
fn unreasonable(edge: &Edge) -> Vec<Vec<f64>> {
    let takes = edge.ordinary.len();
    let (mut all, mut pairs) = (Vec::new(), Vec::new());
    for one in 0..takes {
        for extreme in EXTREMES {
            for other in one..takes {
                for second in EXTREMES {
                    if other == one && !(second.total_cmp(&extreme).is_eq()) {
                        continue;
                    }
                    let mut numbers = edge.ordinary.to_vec();
                    (numbers[one], numbers[other]) = (extreme, second);
                    if other == one { all.push(numbers) } else { pairs.push(numbers) }
                }
            }
        }
    }
    let some = if std::env::var_os("EXTREMES").is_some() { 1 } else { pairs.len() / MOST_PAIRS + 1 };
    all.extend(pairs.into_iter().step_by(some));
    let mut drawn = Drawn::for_edge(edge);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place in a short list")]
    let mut many = || -> Vec<f64> {
        let one = |ordinary: &f64| match drawn.next() {
            share if share < 0.5 => EXTREMES[(drawn.next() * EXTREMES.len() as f64) as usize],
            _ => drawn.beside(*ordinary),
        };
        edge.ordinary.iter().map(one).collect()
    };
    all.extend(std::iter::repeat_with(&mut many).take(500));
    all
}

#[test]
fn every_function_answers_with_numbers_or_refuses() {
    let all = all();
    let run = |edge: &Edge| -> (usize, usize, Vec<String>) {
        assert!((edge.at)(edge.ordinary).is_some(), "{} refuses ordinary numbers", edge.name);
        let inputs = unreasonable(edge);
        let found: Vec<Result<bool, String>> = inputs.iter().map(|numbers| answers(edge, numbers)).collect();
        let refused = found.iter().filter(|one| **one == Ok(false)).count();
        (inputs.len(), refused, found.into_iter().filter_map(Result::err).take(3).collect())
    };
    let found: Vec<(usize, usize, Vec<String>)> = all.par_iter().map(run).collect();
    let faults: Vec<&String> = found.iter().flat_map(|(_, _, faults)| faults).collect();
    assert!(faults.is_empty(), "{} functions: {faults:#?}", found.iter().filter(|f| !f.2.is_empty()).count());
    let (asked, refused) = found.iter().fold((0, 0), |(a, r), (asked, refused, _)| (a + asked, r + refused));
    assert!(asked > 100_000 && refused > asked / 10 && refused < asked, "{asked} asked, {refused} refused");
}

/// The first number of an answer.
fn first(edge: &Edge, numbers: &[f64]) -> Option<f64> {
    (edge.at)(numbers)?.first().copied()
}

#[test]
fn an_answer_grows_and_falls_as_physics_does() {
    let run = |edge: &Edge| -> (usize, Vec<String>) {
        let mut drawn = Drawn::for_edge(edge);
        let (mut compared, mut faults) = (0, Vec::new());
        for (place, mark) in edge.marks.char_indices().filter(|(_, mark)| matches!(mark, '+' | '-')) {
            let before = compared;
            for _ in 0..60 {
                let marked = |(i, ordinary): (usize, &f64)| match edge.marks.as_bytes()[i] {
                    b'#' => *ordinary,
                    _ => drawn.beside(*ordinary),
                };
                let low: Vec<f64> = edge.ordinary.iter().enumerate().map(marked).collect();
                let mut high = low.clone();
                high[place] *= 1.0 + drawn.next();
                let Some((a, b)) = first(edge, &low).zip(first(edge, &high)) else { continue };
                compared += 1;
                let slack = 1e-9 * a.abs().max(b.abs());
                let holds = if mark == '+' { b >= a - slack } else { b <= a + slack };
                if !holds {
                    faults.push(format!(
                        "{}, number {place} ({mark}): {low:?} gives {a}, {} gives {b}",
                        edge.name, high[place]
                    ));
                }
            }
            assert!(compared > before, "{}, number {place}: nothing to compare", edge.name);
        }
        faults.truncate(2);
        (compared, faults)
    };
    let found: Vec<(usize, Vec<String>)> = all().par_iter().map(run).collect();
    let faults: Vec<&String> = found.iter().flat_map(|(_, faults)| faults).collect();
    assert!(faults.is_empty(), "{faults:#?}");
    let compared: usize = found.iter().map(|(compared, _)| compared).sum();
    assert!(compared > 5_000, "{compared}");
}

/// How much of a jump is left where two inputs lie as near as numbers can: halved until then.
fn jump(edge: &Edge, numbers: &[f64], place: usize, (mut low, mut high): (f64, f64)) -> Option<f64> {
    let at = |value: f64| {
        let mut numbers = numbers.to_vec();
        numbers[place] = value;
        first(edge, &numbers)
    };
    let (mut a, mut b) = (at(low)?, at(high)?);
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        let between = at(middle)?;
        if (between - a).abs() > (b - between).abs() {
            (high, b) = (middle, between);
        } else {
            (low, a) = (middle, between);
        }
    }
    Some((b - a).abs())
}

#[test]
fn an_answer_has_no_jump_but_where_its_source_has_one() {
    let run = |edge: &Edge| -> Vec<String> {
        let mut faults = Vec::new();
        let least = edge.least.max(1e-6 * first(edge, edge.ordinary).unwrap_or(0.0).abs());
        for (place, _) in edge.marks.char_indices().filter(|(_, mark)| *mark != '#') {
            let steps = 400;
            let at = |step: i32| edge.ordinary[place] * 100_f64.powf(f64::from(step) / f64::from(steps));
            let mut numbers = edge.ordinary.to_vec();
            let mut last: Option<f64> = None;
            for step in -steps..=steps {
                numbers[place] = at(step);
                let here = first(edge, &numbers);
                if let (Some(a), Some(b)) = (last, here) {
                    let size = a.abs().max(b.abs()).max(least);
                    let left = || jump(edge, edge.ordinary, place, (at(step - 1), at(step)));
                    // Each side of a jump may be off by as much as is said.
                    let is_jump = |left: &f64| *left > 2.0 * edge.accuracy * size;
                    if (b - a).abs() > 0.02 * size
                        && let Some(left) = left().filter(is_jump)
                    {
                        let (low, high) = (at(step - 1), at(step));
                        faults.push(format!(
                            "{}, number {place}, between {low} and {high}: {a}, {b}; a jump of {left}",
                            edge.name
                        ));
                    }
                }
                last = here;
            }
        }
        faults.truncate(2);
        faults
    };
    let faults: Vec<String> = all().par_iter().flat_map(run).collect();
    assert!(faults.is_empty(), "{faults:#?}");
}

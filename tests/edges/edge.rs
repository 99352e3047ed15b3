//! One function of the sweep: how it is asked, ordinary numbers for it, and what physics says of each of them.

use super::numbers::{Given, Taken};

/// What gives numbers for numbers, or refuses.
type Asking = dyn Fn(&[f64]) -> Option<Vec<f64>> + Send + Sync;

/// A function of numbers.
pub(super) struct Edge {
    /// Its module and name, as in the sources.
    pub(super) name: &'static str,
    /// Its answer, as numbers; none where it refuses.
    pub(super) at: Box<Asking>,
    /// Numbers that it answers.
    pub(super) ordinary: &'static [f64],
    /// A mark for each number: `+` where the first number of the answer grows with it, `-` where it falls, `.` where that hangs on the others,
    /// `#` where the answer goes in steps: a whole number, or a rule that has a jump by its source.
    pub(super) marks: &'static str,
    /// The share of itself to which an answer is known, and the smallest answer of which that is said.
    pub(super) accuracy: f64,
    pub(super) least: f64,
    /// Whether it may refuse. One that may not gives a number for whatever the reader takes.
    pub(super) checked: bool,
}

/// Functions of one to six arguments, each made of one number or more.
pub(super) trait Asked<Arguments> {
    type Answer: Given;

    fn ask(&self, numbers: &mut dyn Iterator<Item = f64>) -> Self::Answer;
}

macro_rules! asked {
    ($($argument:ident)*) => {
        impl<F: Fn($($argument),*) -> R, R: Given, $($argument: Taken),*> Asked<($($argument,)*)> for F {
            type Answer = R;

            fn ask(&self, numbers: &mut dyn Iterator<Item = f64>) -> R {
                self($($argument::taken(numbers)),*)
            }
        }
    };
}
asked!(A);
asked!(A B);
asked!(A B C);
asked!(A B C D);
asked!(A B C D E);

/// A function of the sweep.
pub(super) fn edge<Arguments, F: Asked<Arguments> + Send + Sync + 'static>(
    name: &'static str,
    ordinary: &'static [f64],
    marks: &'static str,
    function: F,
) -> Edge {
    assert_eq!(ordinary.len(), marks.len(), "{name}: a mark for each number");
    let at = move |numbers: &[f64]| {
        let mut left = numbers.iter().copied();
        let mut answer = Vec::new();
        let is_answer = function.ask(&mut left).give(&mut answer);
        assert!(left.next().is_none(), "{name} takes fewer numbers");
        is_answer.then_some(answer)
    };
    Edge { name, at: Box::new(at), ordinary, marks, accuracy: 1e-4, least: 0.0, checked: F::Answer::CHECKED }
}

impl Edge {
    /// The same where an answer is known to a share of itself, and to the same share of `least`.
    pub(super) fn known_to(self, accuracy: f64, least: f64) -> Self {
        Self { accuracy, least, ..self }
    }

    /// The same where no caller has other numbers than a reader takes.
    pub(super) fn of_read(self) -> Self {
        Self { checked: false, ..self }
    }
}

/// The answer of a function that its callers ask only within its range; none outside it.
pub(super) struct Within<T>(Option<T>);

impl<T: Given> Given for Within<T> {
    fn give(&self, to: &mut Vec<f64>) -> bool {
        self.0.as_ref().is_some_and(|answer| answer.give(to))
    }
}

/// What a function answers within its range.
pub(super) fn within<T>(is_asked: bool, answer: impl FnOnce() -> T) -> Within<T> {
    Within(is_asked.then(answer))
}

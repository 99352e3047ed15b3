//! The watch for the peaks of an ascent.

use super::super::{
    Unworkable,
    integrate::{self, AcceptedStep},
};
use super::flight::Peak;
use crate::quantity::{Length, Time};

/// More steps than any ascent takes; a drag law that is full of jumps could take more.
const MOST_STEPS: u32 = 20_000;
/// How many quantities are watched: speed, Mach number, dynamic pressure, acceleration, what an accelerometer feels, and by how much drag
/// outdoes thrust on each mass.
pub(super) const WATCHED: usize = 6;

/// The greatest value so far, with its time and height.
#[derive(Clone, Copy)]
pub(super) struct Greatest {
    pub(super) value: f64,
    time: f64,
    height: f64,
}

impl Greatest {
    const NONE: Self = Self { value: f64::NEG_INFINITY, time: 0.0, height: 0.0 };

    fn offer(&mut self, value: f64, time: f64, height: f64) {
        if value > self.value {
            *self = Self { value, time, height };
        }
    }

    pub(super) fn of<T>(self, from_si: impl Fn(f64) -> T) -> Peak<T> {
        Peak {
            value: from_si(self.value),
            time: Time::from_si(self.time),
            height: Length::from_si(self.height),
        }
    }
}

/// What is watched, at one moment.
#[derive(Clone, Copy)]
pub(super) struct Seen {
    pub(super) time: f64,
    pub(super) height: f64,
    pub(super) quantities: [f64; WATCHED],
}

/// What the watch asks about a state of N numbers.
pub(super) trait Sight<const N: usize> {
    /// All that is watched.
    fn seen(&self, t: f64, state: &[f64; N]) -> Seen;
    /// One of the quantities, with as little work as it takes.
    fn one(&self, quantity: usize, t: f64, state: &[f64; N]) -> f64;
    /// The height above the site.
    fn height(&self, state: &[f64; N]) -> f64;
}

/// Follows the ascent for its peaks.
pub(super) struct Watch {
    pub(super) greatest: [Greatest; WATCHED],
    /// What was seen at the end of the last step, as long as the next goes on from there without a jump.
    last: Option<Seen>,
    steps: u32,
}

impl Watch {
    pub(super) fn new() -> Self {
        Self { greatest: [Greatest::NONE; WATCHED], last: None, steps: 0 }
    }

    /// Takes note of a moment by itself.
    pub(super) fn see(&mut self, seen: &Seen) {
        for (greatest, value) in self.greatest.iter_mut().zip(seen.quantities) {
            greatest.offer(value, seen.time, seen.height);
        }
    }

    /// What was seen last does not hold at the start of the next step.
    pub(super) fn jump(&mut self) {
        self.last = None;
    }

    /// Watches afresh.
    pub(super) fn afresh(&mut self) {
        self.greatest = [Greatest::NONE; WATCHED];
    }

    /// Goes along one step as far as `until`. `last` is what is seen at its end.
    pub(super) fn follow<const N: usize>(
        &mut self,
        step: &AcceptedStep<N>,
        until: f64,
        last: Seen,
        sight: &impl Sight<N>,
    ) -> Result<(), Unworkable> {
        self.steps += 1;
        if self.steps > MOST_STEPS {
            return Err(Unworkable::because("the ascent takes too many steps; the drag may jump about"));
        }
        let here = |t: f64| sight.seen(t, &step.at(t));
        let (start, middle) = (step.start(), 0.5 * (step.start() + until));
        let first = self.last.unwrap_or_else(|| here(start));
        self.last = (until == step.end()).then_some(last);
        let half = here(middle);
        let probe = 1e-3 * (until - start);
        let (mut after, mut before) = (None, None);
        let quantities = first.quantities.into_iter().zip(half.quantities).zip(last.quantities);
        for (k, ((q0, q1), q2)) in quantities.enumerate() {
            let Some(greatest) = self.greatest.get_mut(k) else { continue };
            greatest.offer(q0, start, first.height);
            greatest.offer(q2, until, last.height);
            // A peak lies within the step where the middle is highest, or where the curve climbs from its higher end inward.
            let inward = |q: f64, t: f64, near: &mut Option<Seen>| {
                q >= greatest.value
                    && near.get_or_insert_with(|| here(t)).quantities.get(k).is_some_and(|near| *near > q)
            };
            // A middle that is far below what was seen before hides no new peak.
            let middle_highest = q1 >= q0 && q1 >= q2 && q1 > 0.9 * greatest.value;
            if middle_highest
                || inward(q0, start + probe, &mut after)
                || inward(q2, until - probe, &mut before)
            {
                let quantity = |t: f64| sight.one(k, t, &step.at(t));
                let (time, value) = integrate::peak(quantity, start, until);
                greatest.offer(value, time, sight.height(&step.at(time)));
            }
        }
        Ok(())
    }
}

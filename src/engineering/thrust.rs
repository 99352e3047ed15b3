//! The thrust curve of a motor, and the propellant that is left as it burns.

use super::{Unworkable, above_zero, finite, zero_or_more};
use crate::quantity::{Force, Impulse, Time};

/// How far the integral of a curve may lie from the impulse that is stated beside it, to which it is then scaled. Points read off a
/// printed curve are often two to four hundredths off (common practice); farther than this, the two belong to different motors.
pub const IMPULSE_AGREEMENT: f64 = 0.10;
/// A motor burns from the first moment at which its thrust is at this share of its peak to the last.
pub const BURN_SHARE: f64 = 0.05;

/// One straight line of a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Line {
    /// Its first and last time, s.
    pub(super) start: f64,
    pub(super) end: f64,
    /// Thrust at its start, N, and its change with time, N/s.
    thrust: f64,
    slope: f64,
    /// The part of the whole impulse that has been delivered at its start, and what turns N·s into such a part.
    spent: f64,
    share: f64,
    /// Whether it lies before burnout.
    pub(super) burning: bool,
}

impl Line {
    /// Thrust at a time within the line.
    pub(super) fn thrust(&self, t: f64) -> f64 {
        self.thrust + self.slope * (t - self.start)
    }

    /// Whether the thrust goes on from this line into the next without a jump.
    pub(super) fn joins(&self, next: &Self) -> bool {
        (self.thrust(self.end) - next.thrust).abs() <= 1e-12 * next.thrust
    }

    /// The part of the propellant that has been burnt at a time within the line.
    pub(super) fn spent(&self, t: f64) -> f64 {
        let dt = t - self.start;
        self.spent + self.share * dt * (self.thrust + 0.5 * self.slope * dt)
    }
}

/// Thrust F(t) of a motor from ignition at t = 0: straight lines between points, nothing after the last. Where the first
/// point is later than zero, the thrust rises in a straight line from nothing at ignition. Where the total impulse is stated, as it was
/// certified, every thrust is scaled so that the area under the lines is that impulse.
///
/// Burnout is when the thrust falls below 5 % of its peak for the last time; a tail beyond it still pushes. Propellant burns in proportion
/// to the impulse delivered: m_p(t) = m_p0 (1 − ∫₀ᵗ F / ∫F), as with a constant exhaust speed.
/// Source of the 5 %: the definition of burn time of NFPA 1125, as a motor maker's note quotes it.
#[derive(Clone, Debug, PartialEq)]
pub struct ThrustCurve {
    lines: Vec<Line>,
    ignition: f64,
    burnout: f64,
    impulse: f64,
    peak: f64,
}

/// The corners of a curve, from ignition on.
///
/// # Errors
/// Fewer than two points; a time that goes back; a time or a thrust below zero.
fn corners(points: &[(Time, Force)]) -> Result<Vec<(f64, f64)>, Unworkable> {
    if points.len() < 2 {
        return Err(Unworkable::because("a thrust curve needs at least two points"));
    }
    let mut found: Vec<(f64, f64)> = Vec::with_capacity(points.len() + 2);
    for (time, thrust) in points {
        let t = zero_or_more("a time of the thrust curve", time.si())?;
        let f = zero_or_more("a thrust of the thrust curve", thrust.si())?;
        match found.last() {
            // A curve that begins after ignition rises from nothing.
            None if t > 0.0 => found.push((0.0, 0.0)),
            Some((before, _)) if t < *before => {
                return Err(Unworkable::because("the times of the thrust curve go back"));
            }
            _ => {}
        }
        found.push((t, f));
    }
    Ok(found)
}

/// The area under the straight lines between corners.
fn area(corners: &[(f64, f64)]) -> Result<f64, Unworkable> {
    let lines = corners.iter().zip(corners.iter().skip(1));
    let sum = lines.map(|((t0, f0), (t1, f1))| 0.5 * (f0 + f1) * (t1 - t0)).sum();
    above_zero("the impulse of the thrust curve", finite("the impulse of the thrust curve", sum)?)
}

/// The area under the straight lines between the points of a curve as it is written, whatever impulse is stated beside it.
///
/// # Errors
/// As of [`ThrustCurve::new`] without a stated impulse.
pub fn drawn_impulse(points: &[(Time, Force)]) -> Result<Impulse, Unworkable> {
    area(&corners(points)?).map(Impulse::from_si)
}

/// The time at which a line between two corners passes a thrust.
fn passes((t0, f0): (f64, f64), (t1, f1): (f64, f64), thrust: f64) -> f64 {
    if f1 == f0 { t0 } else { t0 + (t1 - t0) * (thrust - f0) / (f1 - f0) }
}

impl ThrustCurve {
    /// From points of time and thrust, and the total impulse where one is stated. Two points at one time make a jump.
    ///
    /// # Errors
    /// Fewer than two points; a time that goes back; a time or a thrust below zero; no impulse at all; all but a twentieth of
    /// the thrust at one moment; an integral more than 10 % away from the stated impulse.
    pub fn new(points: &[(Time, Force)], stated: Option<Impulse>) -> Result<Self, Unworkable> {
        let mut corners = corners(points)?;
        let drawn = area(&corners)?;
        let impulse = match stated {
            None => drawn,
            Some(stated) => above_zero("the stated impulse", stated.si())?,
        };
        if (drawn / impulse - 1.0).abs() > IMPULSE_AGREEMENT {
            return Err(Unworkable::because(
                "the thrust curve and the stated impulse disagree by more than 10 %",
            ));
        }
        for (_, thrust) in &mut corners {
            *thrust *= impulse / drawn;
        }
        let peak = corners.iter().fold(0.0_f64, |most, (_, f)| most.max(*f));
        let least = BURN_SHARE * peak;
        let strong = |corner: &(f64, f64)| corner.1 >= least;
        let first = corners.iter().position(strong).unwrap_or(0);
        let last = corners.iter().rposition(strong).unwrap_or(0);
        let edge = |weak: Option<usize>, strong: usize| {
            let strong = corners.get(strong).copied().unwrap_or_default();
            weak.and_then(|weak| corners.get(weak)).map_or(strong.0, |weak| passes(*weak, strong, least))
        };
        let (ignition, burnout) = (edge(first.checked_sub(1), first), edge(Some(last + 1), last));
        above_zero("the burn time of the thrust curve", burnout - ignition)?;
        // A corner of its own, so that no step of a flight goes past burnout.
        if corners.get(last + 1).is_some_and(|(t, _)| burnout < *t) {
            corners.insert(last + 1, (burnout, least));
        }
        let mut lines = Vec::with_capacity(corners.len());
        let mut so_far = 0.0;
        for (&(start, thrust), &(end, next)) in corners.iter().zip(corners.iter().skip(1)) {
            if end > start {
                let slope = (next - thrust) / (end - start);
                let spent = so_far / impulse;
                let burning = end <= burnout;
                lines.push(Line { start, end, thrust, slope, spent, share: 1.0 / impulse, burning });
                so_far += 0.5 * (thrust + next) * (end - start);
            }
        }
        Ok(Self { lines, ignition, burnout, impulse, peak })
    }

    /// The same motor, stronger or weaker: every thrust times a factor, and so the impulse.
    ///
    /// # Errors
    /// A factor that is not above zero.
    pub fn scaled(mut self, factor: f64) -> Result<Self, Unworkable> {
        let factor = above_zero("the factor of the impulse", finite("the factor of the impulse", factor)?)?;
        for line in &mut self.lines {
            line.thrust *= factor;
            line.slope *= factor;
            line.share /= factor;
        }
        self.impulse = finite("the impulse of the thrust curve", self.impulse * factor)?;
        self.peak = finite("the peak of the thrust curve", self.peak * factor)?;
        Ok(self)
    }

    /// Total impulse ∫F dt.
    #[must_use]
    pub fn impulse(&self) -> Impulse {
        Impulse::from_si(self.impulse)
    }

    /// Time of burnout since ignition: the last at which the thrust is at 5 % of its peak.
    #[must_use]
    pub fn burnout(&self) -> Time {
        Time::from_si(self.burnout)
    }

    /// The greatest thrust.
    #[must_use]
    pub fn peak(&self) -> Force {
        Force::from_si(self.peak)
    }

    /// Burn time, from the first moment at which the thrust is at 5 % of its peak to the last.
    #[must_use]
    pub fn burn_time(&self) -> Time {
        Time::from_si(self.burnout - self.ignition)
    }

    /// Impulse over burn time.
    #[must_use]
    pub fn average(&self) -> Force {
        Force::from_si(self.impulse / (self.burnout - self.ignition))
    }

    /// The thrust at a time since ignition; nothing after the last point.
    #[must_use]
    pub fn at(&self, time: Time) -> Force {
        let t = time.si();
        let line = self.lines.iter().find(|line| (line.start..line.end).contains(&t));
        Force::from_si(line.map_or(0.0, |line| line.thrust(t)))
    }

    /// The share of the impulse delivered, and so of the propellant burnt, up to a time since ignition.
    #[must_use]
    pub fn share_until(&self, time: Time) -> f64 {
        let t = time.si();
        match self.lines.iter().find(|line| (line.start..line.end).contains(&t)) {
            Some(line) => line.spent(t),
            None if self.lines.last().is_some_and(|line| t >= line.end) => 1.0,
            None => 0.0,
        }
    }

    /// The straight lines in order.
    pub(super) fn lines(&self) -> &[Line] {
        &self.lines
    }
}

//! The thrust curve of a motor, and the propellant that is left as it burns.

use super::{Unworkable, above_zero, finite, zero_or_more};
use crate::quantity::{Force, Impulse, Time};

/// How far the integral of a curve may lie from the impulse that is stated beside it.
pub const IMPULSE_AGREEMENT: f64 = 0.02;

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

/// Thrust F(t) of a motor from ignition at t = 0: straight lines between points, nothing after the last, which is burnout. Where the first
/// point is later than zero, the thrust rises in a straight line from nothing at ignition.
///
/// Propellant burns in proportion to the impulse delivered: m_p(t) = m_p0 (1 − ∫₀ᵗ F / ∫F), as with a constant exhaust speed.
#[derive(Clone, Debug, PartialEq)]
pub struct ThrustCurve {
    lines: Vec<Line>,
    burnout: f64,
    impulse: f64,
    peak: f64,
}

impl ThrustCurve {
    /// From points of time and thrust, and the total impulse where one is stated. Two points at one time make a jump.
    ///
    /// Errors: fewer than two points; a time that goes back; a time or a thrust below zero; no impulse at all; an integral more
    /// than 2 % away from the stated impulse.
    pub fn new(points: &[(Time, Force)], stated: Option<Impulse>) -> Result<Self, Unworkable> {
        if points.len() < 2 {
            return Err(Unworkable::because("a thrust curve needs at least two points"));
        }
        let mut lines = Vec::with_capacity(points.len());
        let mut impulse = 0.0;
        let mut peak = 0.0_f64;
        let mut before: Option<(f64, f64)> = None;
        for (time, thrust) in points {
            let t = zero_or_more("a time of the thrust curve", time.si())?;
            let f = zero_or_more("a thrust of the thrust curve", thrust.si())?;
            // A curve that begins after ignition rises from nothing.
            let (t0, f0) = before.unwrap_or(if t > 0.0 { (0.0, 0.0) } else { (t, f) });
            if t < t0 {
                return Err(Unworkable::because("the times of the thrust curve go back"));
            }
            if t > t0 {
                let slope = (f - f0) / (t - t0);
                lines.push(Line { start: t0, end: t, thrust: f0, slope, spent: impulse, share: 0.0 });
                impulse += 0.5 * (f + f0) * (t - t0);
            }
            peak = peak.max(f);
            before = Some((t, f));
        }
        let burnout = before.map_or(0.0, |(t, _)| t);
        above_zero("the impulse of the thrust curve", finite("the impulse of the thrust curve", impulse)?)?;
        if let Some(stated) = stated {
            let stated = above_zero("the stated impulse", stated.si())?;
            if (impulse / stated - 1.0).abs() > IMPULSE_AGREEMENT {
                return Err(Unworkable::because(
                    "the thrust curve and the stated impulse disagree by more than 2 %",
                ));
            }
        }
        for line in &mut lines {
            line.spent /= impulse;
            line.share = 1.0 / impulse;
        }
        Ok(Self { lines, burnout, impulse, peak })
    }

    /// Total impulse ∫F dt.
    #[must_use]
    pub fn impulse(&self) -> Impulse {
        Impulse::from_si(self.impulse)
    }

    /// Time of burnout, the last point.
    #[must_use]
    pub fn burnout(&self) -> Time {
        Time::from_si(self.burnout)
    }

    /// The greatest thrust.
    #[must_use]
    pub fn peak(&self) -> Force {
        Force::from_si(self.peak)
    }

    /// Impulse over burn time.
    #[must_use]
    pub fn average(&self) -> Force {
        Force::from_si(self.impulse / self.burnout)
    }

    /// The thrust at a time since ignition; nothing after burnout.
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
            None if t >= self.burnout => 1.0,
            None => 0.0,
        }
    }

    /// The straight lines in order.
    pub(super) fn lines(&self) -> &[Line] {
        &self.lines
    }
}

//! Motors: class letters, what a thrust curve holds, and thrust against weight.

use super::{STANDARD_GRAVITY, Unworkable, above_zero, finite, zero_or_more};
use crate::quantity::{Force, Impulse, Mass, Time};

/// How far the integral of a curve may lie from the stated total impulse, as a share of it.
pub const AGREEMENT: f64 = 0.02;
/// The highest impulse of each class from 1/8A (up to 0.3125 N s) on: each twice the one before.
const CLASSES: [&str; 18] =
    ["1/8A", "1/4A", "1/2A", "A", "B", "C", "D", "E", "F", "G", "H", "I", "J", "K", "L", "M", "N", "O"];

/// Class of a motor by its total impulse: A up to 2.5 N s, each letter up to twice the one before, to O at 40 960 N s; 1/2A, 1/4A, 1/8A below A.
///
/// Errors: an impulse that is not above zero, or beyond O, which is more than a high-power rocket may carry. Source: table of motor classes
/// after NFPA 1125 (the standard itself from memory).
pub fn class(impulse: Impulse) -> Result<&'static str, Unworkable> {
    let it = above_zero("the total impulse", impulse.si())?;
    let mut most = 0.3125;
    for name in CLASSES {
        if it <= most {
            return Ok(name);
        }
        most *= 2.0;
    }
    Err(Unworkable::because("the total impulse is beyond class O"))
}

/// Level of certification that a total impulse asks of the flyer: 1 for H and I, 2 for J to L, 3 for M to O, none up to G.
///
/// A motor of class G can be high power for another reason (thrust, sparks, propellant mass), which the impulse does not show. Errors: those of
/// [`class`]. Source: the certification rules of the hobby's national associations.
pub fn certification_level(impulse: Impulse) -> Result<Option<u8>, Unworkable> {
    Ok(match class(impulse)? {
        "H" | "I" => Some(1),
        "J" | "K" | "L" => Some(2),
        "M" | "N" | "O" => Some(3),
        _ => None,
    })
}

/// A checked thrust curve: straight lines between its points, no thrust before the first and after the last.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve<'a> {
    points: &'a [(Time, Force)],
}

impl<'a> Curve<'a> {
    /// A curve from its points.
    ///
    /// Errors: fewer than two points, times that do not grow or begin before zero, a thrust below zero, no thrust at all. Source: the conventions of
    /// published thrust curves (common practice).
    pub fn new(points: &'a [(Time, Force)]) -> Result<Self, Unworkable> {
        let mut before: Option<Time> = None;
        for &(time, thrust) in points {
            zero_or_more("the time of a thrust point", time.si())?;
            zero_or_more("the thrust", thrust.si())?;
            if before.is_some_and(|earlier| earlier >= time) {
                return Err(Unworkable::because(
                    "the times of the thrust curve must grow from point to point",
                ));
            }
            before = Some(time);
        }
        if points.len() < 2 {
            return Err(Unworkable::because("a thrust curve has at least two points"));
        }
        let curve = Self { points };
        above_zero("the impulse of the thrust curve", curve.impulse().si())?;
        Ok(curve)
    }

    /// Total impulse: the area under the straight lines.
    #[must_use]
    pub fn impulse(&self) -> Impulse {
        Impulse::from_si(self.pieces().map(|(t0, f0, t1, f1)| (t1 - t0) * f64::midpoint(f0, f1)).sum())
    }

    /// Impulse delivered up to a time after ignition.
    #[must_use]
    pub fn impulse_until(&self, time: Time) -> Impulse {
        let until = time.si();
        let part = |(t0, f0, t1, f1): (f64, f64, f64, f64)| {
            let end = until.clamp(t0, t1);
            let thrust = f0 + (f1 - f0) * (end - t0) / (t1 - t0);
            (end - t0) * f64::midpoint(f0, thrust)
        };
        Impulse::from_si(self.pieces().map(part).sum())
    }

    /// Thrust at a time after ignition.
    #[must_use]
    pub fn thrust(&self, time: Time) -> Force {
        let at = time.si();
        let piece = self.pieces().find(|(t0, _, t1, _)| (*t0..=*t1).contains(&at));
        Force::from_si(piece.map_or(0.0, |(t0, f0, t1, f1)| f0 + (f1 - f0) * (at - t0) / (t1 - t0)))
    }

    /// Burnout: the time of the last point.
    #[must_use]
    pub fn burnout(&self) -> Time {
        self.points.last().map_or(Time::from_si(0.0), |(time, _)| *time)
    }

    /// The highest thrust.
    #[must_use]
    pub fn peak(&self) -> Force {
        Force::from_si(self.points.iter().map(|(_, thrust)| thrust.si()).fold(0.0, f64::max))
    }

    /// Average thrust from ignition to burnout: total impulse over the time of the last point.
    #[must_use]
    pub fn average(&self) -> Force {
        Force::from_si(self.impulse().si() / self.burnout().si())
    }

    /// The pieces between neighbouring points as (t₀, F₀, t₁, F₁).
    fn pieces(&self) -> impl Iterator<Item = (f64, f64, f64, f64)> + '_ {
        let later = self.points.iter().skip(1);
        self.points.iter().zip(later).map(|(a, b)| (a.0.si(), a.1.si(), b.0.si(), b.1.si()))
    }
}

/// How far a curve's impulse lies from the stated one, as a share of the stated one: positive where the curve holds more. They agree within
/// [`AGREEMENT`].
///
/// Errors: a stated impulse that is not above zero. Source: definition.
pub fn disagreement(curve: Impulse, stated: Impulse) -> Result<f64, Unworkable> {
    let said = above_zero("the stated total impulse", stated.si())?;
    finite(
        "the difference of the impulses",
        (zero_or_more("the impulse of the curve", curve.si())? - said) / said,
    )
}

/// Thrust over weight: F/(m g₀).
///
/// Use the average thrust, or that of the first moments, with the mass at lift-off. Errors: a thrust below zero, a mass that is not above zero. Source:
/// definition, with standard gravity.
pub fn thrust_to_weight(thrust: Force, lift_off: Mass) -> Result<f64, Unworkable> {
    let f = zero_or_more("the thrust", thrust.si())?;
    let m = above_zero("the mass at lift-off", lift_off.si())?;
    finite("the thrust to weight", f / (m * STANDARD_GRAVITY))
}

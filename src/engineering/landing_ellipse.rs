//! The area in which places over the ground lie: an ellipse that holds a share of them.

use super::{Unworkable, finite};
use crate::quantity::{Angle, Length};

/// A place: upwind of the pad, and to the right of that.
pub type GroundPoint = (Length, Length);

/// An ellipse over the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    /// Its middle.
    pub middle: GroundPoint,
    /// Half of its longer axis.
    pub long: Length,
    /// Half of its shorter axis.
    pub short: Length,
    /// The side to which the longer axis points, clockwise from upwind, from −90° to 90°.
    pub side: Angle,
}

impl Ellipse {
    /// How far its farthest place is from the pad.
    ///
    /// Accuracy: looked for at each degree, so short by less than a thousandth of the longer axis.
    #[must_use]
    pub fn farthest(&self) -> Length {
        let (sine, cosine) = libm::sincos(self.side.si());
        let at = |degree: u32| {
            let (b, a) = libm::sincos(f64::from(degree).to_radians());
            let (along, beside) = (self.long * a, self.short * b);
            let place = (
                self.middle.0 + along * cosine - beside * sine,
                self.middle.1 + along * sine + beside * cosine,
            );
            super::landing::distance(place.0, place.1)
        };
        (0..360).map(at).fold(Length::from_si(0.0), |most, one| if one > most { one } else { most })
    }
}

/// An axis of less than this share of the other is none.
const FLAT: f64 = 1e-6;

/// The smallest ellipse of the shape of the scatter that holds a share of groups of places, each group with all of its places. Its middle
/// is their mean, its axes are those of their covariance.
///
/// Of places by a normal distribution, one to a group, it comes to √(−2 ln(1 − share)) standard deviations along each axis.
///
/// Source: principal axes of a covariance; the share within an ellipse of the normal distribution of two variables (from memory).
///
/// # Errors
/// Fewer than three places; a place that is no number; a share that is not above zero and at most 1.
pub fn ellipse_of(groups: &[Vec<GroundPoint>], share: f64) -> Result<Ellipse, Unworkable> {
    let all: Vec<(f64, f64)> = groups.iter().flatten().map(|(x, y)| (x.si(), y.si())).collect();
    if all.len() < 3 {
        return Err(Unworkable::because("an area takes three places or more"));
    }
    if !(share > 0.0 && share <= 1.0) {
        return Err(Unworkable::because("a share lies between 0 and 1"));
    }
    let count = all.len() as f64;
    let mean = |of: &dyn Fn(&(f64, f64)) -> f64| all.iter().map(of).sum::<f64>() / count;
    let (mx, my) = (mean(&|p| p.0), mean(&|p| p.1));
    let xx = mean(&|p| (p.0 - mx).powi(2));
    let yy = mean(&|p| (p.1 - my).powi(2));
    let xy = mean(&|p| (p.0 - mx) * (p.1 - my));
    // Eigenvalues of the covariance, and the direction of the larger one.
    finite("the spread of the places", mx.abs() + my.abs() + xx + yy)?;
    let (half, apart) = (0.5 * (xx + yy), libm::hypot(0.5 * (xx - yy), xy));
    let (large, small) = ((half + apart).max(0.0).sqrt(), (half - apart).max(0.0).sqrt());
    let small = if small < FLAT * large { 0.0 } else { small };
    let turn = 0.5 * libm::atan2(2.0 * xy, xx - yy);
    let (sine, cosine) = libm::sincos(turn);
    let away = |(x, y): &GroundPoint| {
        let (dx, dy) = (x.si() - mx, y.si() - my);
        let by = |along: f64, size: f64| if size > 0.0 { along / size } else { 0.0 };
        libm::hypot(by(dx * cosine + dy * sine, large), by(dy * cosine - dx * sine, small))
    };
    let farthest = |group: &Vec<GroundPoint>| group.iter().map(away).fold(0.0, f64::max);
    let mut reach: Vec<f64> = groups.iter().filter(|group| !group.is_empty()).map(farthest).collect();
    reach.sort_by(f64::total_cmp);
    let least = (share * reach.len() as f64).ceil() as usize;
    let scale = reach.get(least.saturating_sub(1)).copied().unwrap_or(0.0);
    Ok(Ellipse {
        middle: (Length::from_si(mx), Length::from_si(my)),
        long: Length::from_si(scale * large),
        short: Length::from_si(scale * small),
        side: Angle::from_si(turn),
    })
}

//! Places on the field, from the pad: upwind of it, and to the right of that as seen from above.

use crate::quantity::{Angle, Length};

/// How far a place is from the pad.
///
/// Source: Pythagoras.
#[must_use]
pub fn distance(upwind: Length, across: Length) -> Length {
    Length::from_si(libm::hypot(upwind.si(), across.si()))
}

/// The place at a distance from the pad, on a side that is measured clockwise from where the wind comes from.
///
/// Source: plane geometry.
#[must_use]
pub fn against_wind(distance: Length, azimuth: Angle) -> (Length, Length) {
    let (sine, cosine) = libm::sincos(azimuth.si());
    (distance * cosine, distance * sine)
}

/// A place told from one wind, upwind and to the right of that, as told from another: `by` is how far clockwise the first comes from beside the
/// second.
///
/// Source: plane geometry.
#[must_use]
pub fn turned((upwind, across): (Length, Length), by: Angle) -> (Length, Length) {
    let (sine, cosine) = libm::sincos(by.si());
    (upwind * cosine - across * sine, upwind * sine + across * cosine)
}

/// The least distance of a place from a triangle, nothing for a place within it. The three corners may lie on one line.
///
/// Source: plane geometry.
#[must_use]
pub fn from_triangle(place: (Length, Length), corners: [(Length, Length); 3]) -> Length {
    let [a, b, c] = corners;
    let turns = [(a, b), (b, c), (c, a)].map(|(from, to)| {
        (to.0 - from.0).si() * (place.1 - from.1).si() - (to.1 - from.1).si() * (place.0 - from.0).si()
    });
    if turns.iter().all(|turn| *turn > 0.0) || turns.iter().all(|turn| *turn < 0.0) {
        return Length::from_si(0.0);
    }
    let sides = [from_line(place, a, b), from_line(place, b, c), from_line(place, c, a)];
    sides.into_iter().fold(Length::from_si(f64::INFINITY), |least, one| if one < least { one } else { least })
}

/// The least distance of a place from the straight line between two others.
fn from_line(place: (Length, Length), from: (Length, Length), to: (Length, Length)) -> Length {
    let along = ((to.0 - from.0).si(), (to.1 - from.1).si());
    let there = ((place.0 - from.0).si(), (place.1 - from.1).si());
    let length = along.0 * along.0 + along.1 * along.1;
    let share = if length > 0.0 { (there.0 * along.0 + there.1 * along.1) / length } else { 0.0 };
    let share = share.clamp(0.0, 1.0);
    distance(Length::from_si(there.0 - share * along.0), Length::from_si(there.1 - share * along.1))
}

//! Holes through the wall of the rocket, and what stands out of it.
//!
//! Clock angles are read from aft, clockwise. They count from the first fin, unless `fins.clock` puts it elsewhere.

use crate::quantity::Dimension as D;
use crate::vocabulary::{Shape, Sign};

crate::kinds! {
    /// Holes of one purpose at one place along the rocket. Nobody writes them: they come with the pins, screws, vents,
    /// rail buttons and switches that they are drilled for.
    HOLES as holes = "holes" {
    }

    /// The hole through which an arming switch is worked from outside.
    SWITCH_ACCESS as switch_access = "switch_access" {
        /// Where its centre is, on the section of the altimeter that the switch arms.
        expected at: Shape::Position;
        /// Its diameter.
        expected diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Its clock angle.
        expected clock: Shape::Measure(D::ANGLE, Sign::Any);
        /// The hole itself.
        implied holes: Shape::One(&HOLES);
    }

    /// Something that stands out of the body besides fins and rail buttons: a camera, a cover over cords, an aerial.
    PROTUBERANCE as protuberance = "protuberance" {
        /// Where its near end is.
        expected at: Shape::Position;
        /// Its length along the body.
        expected length: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Across it, as the air meets it.
        expected width: Shape::Measure(D::LENGTH, Sign::Positive);
        /// How far it stands off the body.
        expected height: Shape::Measure(D::LENGTH, Sign::Positive);
        /// The clock angle of its middle.
        expected clock: Shape::Measure(D::ANGLE, Sign::Any);
    }
}

//! Holes through the wall of the rocket, and what stands out of it.
//!
//! Clock angles are read from aft, clockwise. They count from the first fin, unless `fins.clock` puts it elsewhere.

use crate::quantity::{Angle, Length};

crate::entity_types! {
    /// Holes of one purpose at one place along the rocket. Nobody writes them: they come with the pins, screws, vents,
    /// rail buttons and switches that they are drilled for.
    HOLES: Holes as holes = "holes" {
    }

    /// The hole through which an arming switch is worked from outside.
    SWITCH_ACCESS: SwitchAccess as switch_access = "switch_access" {
        /// Where its centre is, on the section of the altimeter that the switch arms.
        expected at: Position;
        /// Its diameter.
        expected diameter: Measure(Length, Positive);
        /// Its clock angle.
        expected clock: Measure(Angle, Any);
        /// The hole itself.
        implied holes: One(Holes);
    }

    /// Something that stands out of the body besides fins and rail buttons: a camera, a cover over cords, an aerial.
    PROTUBERANCE: Protuberance as protuberance = "protuberance" {
        /// Where its near end is.
        expected at: Position;
        /// Its length along the body.
        expected length: Measure(Length, Positive);
        /// Across it, as the air meets it.
        expected width: Measure(Length, Positive);
        /// How far it stands off the body.
        expected height: Measure(Length, Positive);
        /// The clock angle of its middle.
        expected clock: Measure(Angle, Any);
    }
}

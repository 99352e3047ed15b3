//! The pad: who stands where, and in which order the last things are done.

use crate::quantity::{Angle, Length, Time};

crate::entity_types! {
    /// The pad, and the order of work on it.
    PAD: Pad as pad = "pad" {
        /// From the pad to the nearest people, the flyer and the crew at lift-off included.
        expected people_distance: Measure(Length, Positive);
        /// The side on which those people stand, seen from the pad, as an angle clockwise from where the wind comes from.
        optional people_azimuth: Measure(Angle, NotNegative);
        /// From the pad to the nearest person or property that has no part in the launch.
        optional uninvolved_distance: Measure(Length, Positive);
        /// The shortest way across the field.
        optional field_across: Measure(Length, Positive);
        /// The floor of the clouds above the ground.
        optional cloud_base: Measure(Length, Positive);
        /// Where the altimeters are switched on.
        optional armed: Word(&["upright on the rail", "lying on the rail", "at the table"]);
        /// When the motor's igniter goes in.
        expected igniter_goes_in: Word(&["last", "before the altimeters are armed", "before the rail"]);
        /// How long the rocket may have to wait on the pad, armed.
        optional wait: Measure(Time, Positive);
    }
}

//! Where the rocket is to fly, what it weighed, what was tested, and what is waived.

use super::{Charge, Joint, Pad};
use crate::quantity::{Angle, Length, Mass, Speed, Temperature};
use crate::tables::Thread;

crate::entity_types! {
    /// Where and how the rocket is to fly.
    FLIGHT: Flight as flight = "flight" {
        /// Length of the launch rail.
        expected rail: Measure(Length, Positive);
        /// Height of the field above sea level.
        expected site_elevation: Measure(Length, Any);
        /// How far the aft end of the rocket stands above the foot of the rail, where a stop holds it up.
        optional rail_stop: Measure(Length, NotNegative);
        /// Angle of the rail from the vertical; upright where not said.
        optional rail_angle: Measure(Angle, NotNegative);
        /// The side to which the rail leans, as an angle clockwise from where the wind comes from: 0° into the wind, 180° with it.
        optional rail_azimuth: Measure(Angle, NotNegative);
        /// The angle by which the wind has turned, clockwise as seen from above, since those sides were told; not at all where not said.
        optional wind_veer: Measure(Angle, Any);
        /// Air temperature at the field.
        expected temperature: Measure(Temperature, Any);
        /// Wind at the field.
        expected wind: Measure(Speed, NotNegative);
        /// How high above the ground that wind was measured; 10 m where not said, 2 m for a meter in the hand.
        optional wind_height: Measure(Length, Positive);
        /// The speed of the wind in the strongest gust at the field.
        optional gusts: Measure(Speed, NotNegative);
        /// The wind above the field as forecast: heights above the ground, rising, and the speed at each.
        optional winds_aloft: Curve(Length, Speed);
        /// The pad, and the order of work on it.
        expected pad: One(Pad);
        /// The highest the field allows, above the ground.
        optional ceiling: Measure(Length, Positive);
        /// How far from the pad the rocket may come down.
        expected recovery_radius: Measure(Length, Positive);
        /// The drag that it had on an earlier flight over the one that is computed or stated; 1 where not said. The ascent is worked out with it.
        optional drag_factor: Number(Positive);
        /// The highest point the flyer expects, above the ground, by a forecast of their own; compared with the computed one.
        optional predicted_apogee: Measure(Length, Positive);
    }

    /// The finished rocket on the scales.
    AS_BUILT: AsBuilt as as_built = "as_built" {
        /// When.
        expected date: Date formerly "on";
        /// The designation of the motor that was in.
        expected motor: Text;
        /// Mass ready to fly but without the motor; the motor's own is added where the rocket was not weighed with it.
        optional mass_without_motor: Measure(Mass, Positive);
        /// Mass ready to fly, with motor.
        optional mass_with_motor: Measure(Mass, Positive);
        /// Where it balances with the motor in, from the fore or the aft end of the whole rocket.
        expected balance_point: Position;
    }

    /// A charge fired on the ground.
    GROUND_TEST: GroundTest as ground_test = "ground_test" {
        /// When.
        expected date: Date formerly "on";
        /// The joint.
        expected joint: Refers(Joint);
        /// The charge whose holder and place it was fired from; `none` where it was the motor's own, or as much powder in its place.
        expected charge: Refers(Charge);
        /// Mass of powder fired.
        expected powder: Measure(Mass, Positive);
        /// Mass of gas in the cartridge that was pierced, where the charge is one.
        optional gas: Measure(Mass, Positive);
        /// How many shear pins were in; 0 for none.
        expected pins: Count(0);
        /// The thread of those pins; that of the joint's pins where not said.
        optional pin_thread: Row(Thread);
        /// Whether parachutes, cords and protectors were packed, and the sections as heavy, as for flight.
        expected packed_as_flown: Truth;
        /// What happened.
        expected result: Word(&["clean separation", "partial separation", "no separation", "damage"]);
    }

    /// A finding that someone answers for.
    WAIVER: Waiver as waiver = "waiver" {
        /// The rule.
        required rule: Text;
        /// The part it is waived for; every part where not said.
        optional subject: Text;
        /// Why it is acceptable.
        required reason: Text;
        /// Who answers for it.
        required by: Text;
        /// The last day it holds.
        required until: Date;
        /// The margin when it was waived, with its unit where it is a gap: it holds only while the margin is no worse.
        optional margin: Text;
    }
}

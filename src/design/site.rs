//! Where the rocket is to fly, what it weighed, what was tested, and what is waived.

use super::{CHARGE, JOINT, PAD};
use crate::quantity::Dimension as D;
use crate::vocabulary::{Shape, Sign};

crate::kinds! {
    /// Where and how the rocket is to fly.
    FLIGHT as flight = "flight" {
        /// Length of the launch rail.
        expected rail: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Height of the field above sea level.
        expected site_elevation: Shape::Measure(D::LENGTH, Sign::Any);
        /// How far the aft end of the rocket stands above the foot of the rail, where a stop holds it up.
        optional rail_stop: Shape::Measure(D::LENGTH, Sign::NotNegative);
        /// Angle of the rail from the vertical; upright where not said.
        optional rail_angle: Shape::Measure(D::ANGLE, Sign::NotNegative);
        /// Air temperature at the field.
        expected temperature: Shape::Measure(D::TEMPERATURE, Sign::Any);
        /// Wind at the field.
        expected wind: Shape::Measure(D::SPEED, Sign::NotNegative);
        /// The pad, and the order of work on it.
        expected pad: Shape::One(&PAD);
        /// The highest the field allows, above the ground.
        optional ceiling: Shape::Measure(D::LENGTH, Sign::Positive);
        /// How far from the pad the rocket may come down.
        expected recovery_radius: Shape::Measure(D::LENGTH, Sign::Positive);
        /// The highest point the flyer expects, above the ground, by a forecast of their own; compared with the computed one.
        optional predicted_apogee: Shape::Measure(D::LENGTH, Sign::Positive);
    }

    /// The finished rocket on the scales.
    AS_BUILT as as_built = "as_built" {
        /// When.
        expected on: Shape::Date;
        /// The designation of the motor that was in.
        expected motor: Shape::Text;
        /// Mass ready to fly but without the motor.
        optional mass_without_motor: Shape::Measure(D::MASS, Sign::Positive);
        /// Mass ready to fly, with motor.
        expected mass_with_motor: Shape::Measure(D::MASS, Sign::Positive);
        /// Where it balances with the motor in, from the fore or the aft end of the whole rocket.
        expected balance_point: Shape::Position;
    }

    /// A charge fired on the ground.
    GROUND_TEST as ground_test = "ground_test" {
        /// When.
        expected on: Shape::Date;
        /// The joint.
        expected joint: Shape::Refers(&JOINT);
        /// The charge whose holder and place it was fired from.
        expected charge: Shape::Refers(&CHARGE);
        /// Mass of powder fired.
        expected powder: Shape::Measure(D::MASS, Sign::Positive);
        /// How many shear pins were in; 0 for none.
        expected pins: Shape::Count(0);
        /// Whether parachutes, cords and protectors were packed, and the sections as heavy, as for flight.
        expected packed_as_flown: Shape::Truth;
        /// What happened.
        expected result: Shape::Word(&["clean separation", "partial separation", "no separation", "damage"]);
    }

    /// A finding that someone answers for.
    WAIVER as waiver = "waiver" {
        /// The rule.
        required rule: Shape::Text;
        /// The thing it is waived for; every thing where not said.
        optional subject: Shape::Text;
        /// Why it is acceptable.
        required reason: Shape::Text;
        /// Who answers for it.
        required by: Shape::Text;
        /// The last day it holds.
        required until: Shape::Date;
        /// The margin when it was waived, with its unit where it is a gap: it holds only while the margin is no worse.
        optional margin: Shape::Text;
    }
}

//! The motor mount and the motor.

use super::{ATTACHMENT, BEFORE_CLOSING, BOND, IN_HAND, TUBE};
use crate::quantity::Dimension as D;
use crate::tables::MATERIAL;
use crate::vocabulary::{Shape, Sign};

crate::kinds! {
    /// The motor mount: a tube, the rings that centre it, and what keeps the motor in.
    MOTOR_MOUNT as motor_mount = "motor_mount" {
        /// The motor tube; `none` where the motor slides into the body tube itself, as at minimum diameter.
        expected tube: Shape::One(&TUBE);
        /// Where the aft end of the motor tube is, on which the motor's thrust ring rests: `0.5 in past aft` where it stands out of the body.
        expected aft_end: Shape::Position;
        /// The centring rings.
        expected rings: Shape::Many(&RING);
        /// How its rings are glued to the motor tube and into the body: one of `bonds`.
        expected glued: Shape::Refers(&BOND);
        /// What is done before it is glued in.
        expected before_closing: Shape::One(&BEFORE_CLOSING);
        /// What keeps the motor from leaving at either end.
        expected retainer: Shape::One(&RETAINER);
        /// A plate at the aft end that takes the thrust.
        optional thrust_plate: Shape::One(&THRUST_PLATE);
    }

    /// A centring ring.
    RING as ring = "ring" {
        /// Where its near face is.
        expected at: Shape::Position;
        /// Its thickness.
        expected thickness: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Its outer diameter.
        expected outer_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// The diameter of its hole.
        expected inner_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// What it is made of.
        optional material: Shape::Row(&MATERIAL);
        /// Whether it carries the motor's thrust into the body.
        optional takes_thrust: Shape::Truth;
        /// What the recovery harness is fastened to.
        optional attach: Shape::One(&ATTACHMENT);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// What keeps the motor in its tube.
    RETAINER as retainer = "retainer" {
        /// What it is.
        expected kind: Shape::Word(&["screw cap", "flange", "snap ring", "clips", "hook", "bolted plate", "fore closure screw", "friction"]);
        /// The motor diameter it is made for.
        expected motor_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// How much of the motor tube it grips or is threaded onto; of what is screwed on, how deep its screws go.
        expected engagement: Shape::Measure(D::LENGTH, Sign::Positive);
        /// What fastens it to the rocket.
        expected bond: Shape::Word(&["epoxy", "high-temperature epoxy", "screws", "screws and epoxy", "built in", "nothing"]);
        /// How it is glued, where it is: one of `bonds`.
        optional glued: Shape::Refers(&BOND);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// A plate at the aft end that passes thrust from the motor into the body.
    THRUST_PLATE as thrust_plate = "thrust_plate" {
        /// Its thickness.
        optional thickness: Shape::Measure(D::LENGTH, Sign::Positive);
        /// What it is made of.
        optional material: Shape::Row(&MATERIAL);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// A certified motor.
    MOTOR as motor = "motor" {
        /// Its designation.
        expected designation: Shape::Text;
        /// Its diameter.
        expected diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Its length, from the aft closure's thrust ring to the fore end.
        expected length: Shape::Measure(D::LENGTH, Sign::Positive);
        /// The ring or lip by which it pushes on the motor tube.
        expected thrust_ring: Shape::Truth;
        /// Whether the fore closure is plugged, so that it has no ejection charge.
        expected plugged: Shape::Truth;
        /// The delay of its ejection charge, as set.
        optional delay: Shape::Measure(D::TIME, Sign::NotNegative);
        /// Total impulse.
        expected total_impulse: Shape::Measure(D::IMPULSE, Sign::Positive);
        /// Average thrust.
        expected average_thrust: Shape::Measure(D::FORCE, Sign::Positive);
        /// Highest thrust.
        optional peak_thrust: Shape::Measure(D::FORCE, Sign::Positive);
        /// Burn time.
        optional burn_time: Shape::Measure(D::TIME, Sign::Positive);
        /// Mass ready to fly.
        expected loaded_mass: Shape::Measure(D::MASS, Sign::Positive);
        /// Mass of its propellant: what the burn takes off the loaded mass.
        expected propellant_mass: Shape::Measure(D::MASS, Sign::Positive);
        /// Thrust against time, from ignition to burnout: pairs, or the two columns of a table as text with its units on top.
        expected thrust_curve: Shape::Curve(D::TIME, D::FORCE);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
        refused "count": "clusters of motors; describe a single motor";
    }
}

//! The motor mount and the motor.

use super::{Attachment, BeforeClosing, Bond, InHand, Tube};
use crate::quantity::{Force, Impulse, Length, Mass, Time};
use crate::tables::{Material, Thread};

crate::entity_types! {
    /// The motor mount: a tube, the rings that centre it, and what keeps the motor in.
    MOTOR_MOUNT: MotorMount as motor_mount = "motor_mount" {
        /// The motor tube; `none` where the motor slides into the body tube itself, as at minimum diameter.
        expected tube: One(Tube);
        /// Where the aft end of the motor tube is, on which the motor's thrust ring rests: `0.5 in past aft` where it stands out of the body; without a motor tube, where the aft end of the motor's case comes to lie, as `flush with aft`.
        expected aft_end: Position;
        /// The centring rings; there are none where there is no motor tube.
        expected rings: Many(Ring);
        /// How its rings are glued to the motor tube and into the body: one of `bonds`.
        expected glued: Refers(Bond) inverse "parts";
        /// What is done before it is glued in.
        expected before_closing: One(BeforeClosing);
        /// What keeps the motor from leaving at either end.
        expected retainer: One(Retainer);
        /// A plate at the aft end that takes the thrust.
        optional thrust_plate: One(ThrustPlate);
    }

    /// A centring ring.
    RING: Ring as ring = "ring" {
        /// Where its near face is.
        expected at: Position;
        /// Its thickness.
        expected thickness: Measure(Length, Positive);
        /// Its outer diameter.
        expected outer_diameter: Measure(Length, Positive);
        /// The diameter of its hole.
        expected inner_diameter: Measure(Length, Positive);
        /// What it is made of.
        optional material: Row(Material);
        /// Whether it carries the motor's thrust into the body.
        optional takes_thrust: Truth;
        /// The push of the motor tube against it that it bore in a test without a mark; it takes the place of the sum.
        optional proof_load: Measure(Force, Positive);
        /// What the recovery harness is fastened to.
        optional attach: One(Attachment);
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// What keeps the motor in its tube.
    RETAINER: Retainer as retainer = "retainer" {
        /// What it is.
        expected kind: Word(&["screw cap", "flange", "snap ring", "clips", "hook", "bolted plate", "fore closure screw", "friction"]);
        /// The motor diameter it is made for.
        expected motor_diameter: Measure(Length, Positive);
        /// How much of the motor tube it grips or is threaded onto; of what is screwed on, how deep its screws go.
        expected engagement: Measure(Length, Positive);
        /// The thread of the screw that goes into the motor's fore closure, where that holds it.
        optional thread: Row(Thread);
        /// What fastens it to the rocket; not needed where `glued` says the glue.
        optional bond: Word(&["epoxy", "high-temperature epoxy", "screws", "screws and epoxy", "built in", "nothing"]);
        /// How it is glued, where it is: one of `bonds`.
        optional glued: Refers(Bond) inverse "parts";
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// A plate at the aft end that passes thrust from the motor into the body.
    THRUST_PLATE: ThrustPlate as thrust_plate = "thrust_plate" {
        /// Its thickness.
        optional thickness: Measure(Length, Positive);
        /// What it is made of.
        optional material: Row(Material);
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// A certified motor.
    MOTOR: Motor as motor = "motor" {
        /// Its designation.
        expected designation: Text;
        /// Its diameter.
        expected diameter: Measure(Length, Positive);
        /// Its length, from the aft closure's thrust ring to the fore end.
        expected length: Measure(Length, Positive);
        /// Whether it has a ring or lip by which it pushes on the motor tube.
        expected thrust_ring: Truth;
        /// The thread in its fore closure, where a screw may hold it by that.
        optional closure_thread: Row(Thread);
        /// Whether the fore closure is plugged, so that it has no ejection charge.
        expected plugged: Truth;
        /// The sleeve in which it flies in a mount for larger motors; what it weighs is counted in `loaded_mass`.
        optional adapter: One(Adapter);
        /// The delay of its ejection charge, as set.
        optional delay: Measure(Time, NotNegative);
        /// The powder of its own ejection charge; what is usual for its diameter where not said.
        optional ejection_charge: Measure(Mass, Positive);
        /// Total impulse.
        expected total_impulse: Measure(Impulse, Positive);
        /// The impulse that it is taken to give over the certified one, where a lot is known to burn stronger or weaker; 1 where not said. The ascent is worked out with it.
        optional impulse_factor: Number(Positive);
        /// Average thrust.
        expected average_thrust: Measure(Force, Positive);
        /// Highest thrust.
        optional peak_thrust: Measure(Force, Positive);
        /// Burn time.
        optional burn_time: Measure(Time, Positive);
        /// Mass ready to fly.
        expected loaded_mass: Measure(Mass, Positive);
        /// Mass of its propellant: what the burn takes off the loaded mass.
        expected propellant_mass: Measure(Mass, Positive);
        /// Thrust against time, from ignition to burnout: pairs, or the two columns of a table as text with its units on top.
        expected thrust_curve: Curve(Time, Force);
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
        refused "count": "clusters of motors; describe a single motor";
    }

    /// A sleeve that lets a smaller motor fly in a mount for larger ones.
    ADAPTER: Adapter as adapter = "adapter" {
        /// The motor diameter it is made for.
        expected motor_diameter: Measure(Length, Positive);
        /// The motor diameter that it brings it to: that of the mount and its retainer.
        expected outer_diameter: Measure(Length, Positive);
        /// Whether it takes the motor's thrust ring and pushes on the end of the motor tube with one of its own.
        expected takes_thrust: Truth;
    }
}

//! Joints between sections: what holds them together until they part, and what keeps them together for good.

use super::{Bond, Holes, Section};
use crate::quantity::{Angle, Force, Length};
use crate::tables::{Material, Thread};

crate::entity_types! {
    /// Where two sections meet.
    JOINT: Joint as joint = "joint" {
        /// The two sections, the fore one first.
        expected between: RefersAll(Section);
        /// When it comes apart.
        expected parts_at: Word(&["apogee", "main", "motor ejection", "never"]);
        /// Shear pins that hold it until a charge fires.
        optional shear_pins: One(ShearPins);
        /// What else holds it. Write `none` if nothing does.
        expected held_by: One(Fastening);
        /// The last day on which its fit, its pins or its tubes were changed.
        optional changed_on: Date;
    }

    /// The shear pins of a joint.
    SHEAR_PINS: ShearPins as shear_pins = "shear_pins" {
        /// How many.
        expected count: Count(1);
        /// Their thread.
        expected thread: Row(Thread);
        /// What they are made of.
        expected material: Row(Material);
        /// Where along the outer tube they go through it and what slides into it; or `of coupler`, `of shoulder`.
        expected at: Position;
        /// How strong they are within the band of their material: 0 as weak as any, 1 as strong as any; anywhere in it where not said.
        optional strength_in_band: Number(NotNegative);
        /// What their threads go into in the inner tube.
        optional into: Word(&["tapped hole", "plain hole"]);
        /// The drill before the tap, or for the plain hole, where it is not the usual one for the thread.
        optional drill: Measure(Length, Positive);
        /// How they are spaced around the body: with equal gaps or not.
        optional spaced: Word(&["evenly", "unevenly"]);
        /// Their clock angles; that of the first is enough where they are spaced evenly.
        optional clock: Measures(Angle, Any);
        /// The holes that they go through.
        implied holes: One(Holes);
        /// Whether the sheared halves can fall out or are kept from jamming the joint.
        expected debris_falls_free: Truth;
        /// Why fewer than two will do, where it is so.
        optional because: Text;
    }

    /// What holds a joint besides shear pins.
    FASTENING: Fastening as fastening = "fastening" {
        /// What it is.
        expected kind: Word(&["machine screw", "rivet", "wood screw", "epoxy", "friction", "tape"]);
        /// How many.
        optional count: Count(1);
        /// The screws' thread.
        optional thread: Row(Thread);
        /// What the screws or rivets are made of.
        optional material: Row(Material);
        /// Where along the outer tube they go through both tubes; or `of coupler`, `of shoulder`.
        optional at: Position;
        /// What the screws or rivets go into in the inner tube.
        optional into: Word(&["tapped hole", "nut", "insert", "plain hole"]);
        /// The drill for the hole, where it is not the usual one for the thread: for a rivet, for an insert.
        optional drill: Measure(Length, Positive);
        /// How they are spaced around the body: with equal gaps or not.
        optional spaced: Word(&["evenly", "unevenly"]);
        /// Their clock angles; that of the first is enough where they are spaced evenly.
        optional clock: Measures(Angle, Any);
        /// The holes that they go through.
        implied holes: One(Holes);
        /// How the joint is glued, where it is: one of `bonds`.
        optional glued: Refers(Bond) inverse "parts";
        /// Whether its holes in paper or wood are hardened with thin glue.
        optional hardened: Truth;
        /// The pull along the rocket at which the whole joint lets go, where it was tested.
        optional breaks_at: Measure(Force, Positive);
    }
}

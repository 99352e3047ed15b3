//! Sections: what flies apart at the joints, and what each holds.

use super::{
    Altimeter, BoatTail, Bulkhead, Coupler, FinSlots, Fins, Lid, MotorMount, NoseCone, Protuberance,
    RailButton, Recorder, Rods, SwitchBand, Transition, Tube, Vent,
};
use crate::quantity::{Mass, Volume};
use crate::tables::{Material, Thread};

crate::entity_types! {
    /// A section: what stays together when the rocket comes apart at its joints.
    SECTION: Section as section = "section" {
        /// The nose cone.
        optional nose_cone: One(NoseCone);
        /// The body tube.
        optional tube: One(Tube);
        /// A coupler: the body of an altimeter bay, or glued into the end of the tube.
        optional coupler: One(Coupler);
        /// The ring of body tube around the middle of an altimeter bay.
        optional switch_band: One(SwitchBand);
        /// A change of diameter aft of the tube, or a section of its own.
        optional transition: One(Transition);
        /// A taper at the aft end.
        optional boat_tail: One(BoatTail);
        /// Bulkheads glued in.
        optional bulkheads: Many(Bulkhead);
        /// The lids of an altimeter bay.
        optional lids: Many(Lid);
        /// The threaded rods that hold the lids on.
        optional rods: One(Rods);
        /// Holes to the outside: static ports and relief holes. Write `none` if there are none.
        expected vents: Many(Vent);
        /// The altimeters in this section.
        optional altimeters: Many(Altimeter);
        /// Altimeters that only record, trackers, cameras: they fire nothing and need no charge.
        optional recorders: Many(Recorder);
        /// How much of the inside is filled by what is built in; what is left is air.
        optional filled: Measure(Volume, NotNegative);
        /// The room for parachutes and cords, as measured; worked out from tube, couplers and bulkheads where not said.
        optional packing_room: Measure(Volume, Positive);
        /// The last day on which something of it was changed that moves mass or the way it comes apart.
        optional changed_on: Date;
        /// Slots for the fins.
        optional fin_slots: One(FinSlots);
        /// The motor mount.
        optional motor_mount: One(MotorMount);
        /// The fins.
        optional fins: One(Fins);
        /// Rail buttons or guides.
        optional rail_buttons: Many(RailButton);
        /// Whatever else stands out of the body.
        optional protuberances: Many(Protuberance);
        /// The whole section's mass, without motor and parachutes.
        expected mass: Measure(Mass, Positive);
        /// What was added to it after it was weighed and is not counted in its mass: ballast, paint, glue.
        optional additions: Many(Addition);
        /// What the electronics are mounted on.
        optional sled: One(Sled);
        /// Where the section balances by itself, without motor and parachutes, from the ends of the whole section; worked out from its parts where not said.
        optional balance: Position;
    }

    /// Mass that was added to a section after it was weighed.
    ADDITION: Addition as addition = "addition" {
        /// What it is.
        expected kind: Word(&["ballast", "paint", "glue", "other"]);
        /// Its mass.
        expected mass: Measure(Mass, Positive);
        /// Where its middle is; in the middle of the section where not said.
        optional at: Position;
        /// What holds it, where it is ballast.
        optional held: Word(&["bolted", "screwed in", "bonded", "cast in", "tape", "nothing"]);
    }

    /// The sled of an altimeter bay: the board that altimeters and batteries are mounted on.
    SLED: Sled as sled = "sled" {
        /// What it is made of.
        expected material: Row(Material);
        /// What keeps it from sliding along the bay.
        expected held: Word(&["on the rods", "screws", "glue", "lids", "nothing"]);
        /// How the altimeters are fastened to it.
        expected mounted: Word(&["screws and standoffs", "screws", "zip ties", "hook and loop", "tape", "glue"]);
        /// Its mass with everything that is mounted on it.
        optional mass: Measure(Mass, Positive);
        /// How many screws hold it, where screws do.
        optional screws: Count(1);
        /// The thread of those screws.
        optional thread: Row(Thread);
        /// What those screws are made of; plain steel where not said.
        optional screws_of: Row(Material);
    }
}

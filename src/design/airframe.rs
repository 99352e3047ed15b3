//! Sections and what they are built of: tubes, couplers, bulkheads, rings, fins, joints.

use super::{ALTIMETER, BOND, HOLES, IN_HAND, MOTOR_MOUNT, PROTUBERANCE, RECORDER};
use crate::quantity::Dimension as D;
use crate::tables::{MATERIAL, THREAD};
use crate::vocabulary::{Shape, Sign};

crate::kinds! {
    /// A section: what stays together when the rocket comes apart at its joints.
    SECTION as section = "section" {
        /// The nose cone.
        optional nose_cone: Shape::One(&NOSE_CONE);
        /// The body tube.
        optional tube: Shape::One(&TUBE);
        /// A coupler: the body of an altimeter bay, or glued into the end of the tube.
        optional coupler: Shape::One(&COUPLER);
        /// The ring of body tube around the middle of an altimeter bay.
        optional switch_band: Shape::One(&SWITCH_BAND);
        /// A change of diameter aft of the tube, or a section of its own.
        optional transition: Shape::One(&TRANSITION);
        /// A taper at the aft end.
        optional boat_tail: Shape::One(&BOAT_TAIL);
        /// Bulkheads glued in.
        optional bulkheads: Shape::Many(&BULKHEAD);
        /// The lids of an altimeter bay.
        optional lids: Shape::Many(&LID);
        /// The threaded rods that hold the lids on.
        optional rods: Shape::One(&RODS);
        /// Holes to the outside: static ports and relief holes. Write `none` if there are none.
        expected vents: Shape::Many(&VENT);
        /// The altimeters in this section.
        optional altimeters: Shape::Many(&ALTIMETER);
        /// Altimeters that only record, trackers, cameras: they fire nothing and need no charge.
        optional recorders: Shape::Many(&RECORDER);
        /// How much of the inside is filled by what is built in; what is left is air.
        optional filled: Shape::Measure(D::VOLUME, Sign::NotNegative);
        /// The room for parachutes and cords, as measured; worked out from tube, couplers and bulkheads where not said.
        optional packing_room: Shape::Measure(D::VOLUME, Sign::Positive);
        /// The last day on which something of it was changed that moves mass or the way it comes apart.
        optional changed_on: Shape::Date;
        /// Slots for the fins.
        optional fin_slots: Shape::One(&FIN_SLOTS);
        /// The motor mount.
        optional motor_mount: Shape::One(&MOTOR_MOUNT);
        /// The fins.
        optional fins: Shape::One(&FINS);
        /// Rail buttons or guides.
        optional rail_buttons: Shape::Many(&RAIL_BUTTON);
        /// Whatever else stands out of the body.
        optional protuberances: Shape::Many(&PROTUBERANCE);
        /// The whole section's mass, without motor and parachutes.
        expected mass: Shape::Measure(D::MASS, Sign::Positive);
        /// Where the section balances by itself, without motor and parachutes; worked out from its parts where not said.
        optional balance: Shape::Position;
    }

    /// A nose cone.
    NOSE_CONE as nose_cone = "nose_cone" {
        /// Its outline; a parabola is the full one, which meets the body without a corner.
        expected shape: Shape::Word(&["cone", "tangent ogive", "ellipsoid", "parabola", "von karman", "other"]);
        /// Length from tip to base, without the shoulder.
        expected length: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Diameter of the base.
        expected outer_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Wall thickness.
        optional wall: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Material.
        optional material: Shape::Row(&MATERIAL);
        /// Mass.
        optional mass: Shape::Measure(D::MASS, Sign::Positive);
        /// The part that slides into the tube.
        expected shoulder: Shape::One(&SHOULDER);
        /// What the recovery harness is fastened to, where it is part of the cone itself.
        optional attach: Shape::One(&ATTACHMENT);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// A shoulder: the part of a nose cone or transition that slides into a tube.
    SHOULDER as shoulder = "shoulder" {
        /// Its length.
        expected length: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Its outer diameter.
        expected outer_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Wall thickness.
        optional wall: Shape::Measure(D::LENGTH, Sign::Positive);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// A round tube of the airframe or of the motor mount.
    TUBE as tube = "tube" {
        /// What it is made of.
        optional material: Shape::Row(&MATERIAL);
        /// The clock angle of its seam, of a tube that is rolled and closed along a line.
        optional seam: Shape::Measure(D::ANGLE, Sign::Any);
        /// Its length.
        expected length: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Its outer diameter.
        expected outer_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Its inner diameter.
        expected inner_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Its mass.
        optional mass: Shape::Measure(D::MASS, Sign::Positive);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// A tube that slides into body tubes and joins them.
    COUPLER as coupler = "coupler" {
        /// What it is made of.
        optional material: Shape::Row(&MATERIAL);
        /// Its length.
        expected length: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Its outer diameter.
        expected outer_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Its inner diameter.
        expected inner_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// The end of the section's tube that it is glued into; not for an altimeter bay, which is its own coupler.
        optional end: Shape::Word(&["fore", "aft"]);
        /// How far it stands out of that end.
        optional stands_out: Shape::Measure(D::LENGTH, Sign::Positive);
        /// How it is glued into that tube: one of `bonds`.
        optional glued: Shape::Refers(&BOND);
        /// Its mass.
        optional mass: Shape::Measure(D::MASS, Sign::Positive);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// The ring of body tube around an altimeter bay's coupler.
    SWITCH_BAND as switch_band = "switch_band" {
        /// Its length.
        expected length: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Where it sits on the coupler; in the middle where not said.
        optional at: Shape::Position;
        /// Its outer diameter.
        optional outer_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Its inner diameter, which goes over the coupler.
        optional inner_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// A change of diameter between two tubes.
    TRANSITION as transition = "transition" {
        /// Its length without shoulders.
        expected length: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Diameter at its fore end.
        expected fore_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Diameter at its aft end.
        expected aft_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// The shoulder that slides into the tube before it.
        optional fore_shoulder: Shape::One(&SHOULDER);
        /// The shoulder that slides into the tube behind it.
        optional aft_shoulder: Shape::One(&SHOULDER);
        /// Mass.
        optional mass: Shape::Measure(D::MASS, Sign::Positive);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// A taper at the aft end of the rocket.
    BOAT_TAIL as boat_tail = "boat_tail" {
        /// Its length.
        expected length: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Diameter at its aft end.
        expected aft_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Mass.
        optional mass: Shape::Measure(D::MASS, Sign::Positive);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// A bulkhead glued into a tube, coupler or shoulder.
    BULKHEAD as bulkhead = "bulkhead" {
        /// Where its near face is.
        expected at: Shape::Position;
        /// Its thickness.
        expected thickness: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Its diameter.
        optional outer_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// What it is made of.
        optional material: Shape::Row(&MATERIAL);
        /// What the recovery harness is fastened to.
        optional attach: Shape::One(&ATTACHMENT);
        /// How it is glued in: one of `bonds`; `none` where it is screwed.
        expected glued: Shape::Refers(&BOND);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// A lid of an altimeter bay.
    LID as lid = "lid" {
        /// Its thickness, inner and outer disc together.
        expected thickness: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Diameter of the disc that goes into the coupler.
        optional inner_disc: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Diameter of the disc that stands on the coupler's end.
        optional outer_disc: Shape::Measure(D::LENGTH, Sign::Positive);
        /// How far it stands into the coupler.
        optional recess: Shape::Measure(D::LENGTH, Sign::NotNegative);
        /// What it is made of.
        optional material: Shape::Row(&MATERIAL);
        /// What the recovery harness is fastened to.
        optional attach: Shape::One(&ATTACHMENT);
        /// Holes for wires, with how each is sealed from the charge's pressure.
        expected pass_throughs: Shape::Many(&PASS_THROUGH);
        /// Terminals on its outside, where igniters are connected.
        expected terminals: Shape::Many(&TERMINAL);
        /// Whether its outside says which end of the bay it is and which charge each terminal is for.
        expected labelled: Shape::Truth;
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// A hole through which wires pass.
    PASS_THROUGH as pass_through = "pass_through" {
        /// How it is sealed.
        expected sealed: Shape::Word(&["epoxy", "putty", "hot glue", "gland", "sealed connector", "not sealed"]);
        /// Its diameter.
        optional diameter: Shape::Measure(D::LENGTH, Sign::Positive);
    }

    /// A terminal where an igniter's leads are connected.
    TERMINAL as terminal = "terminal" {
        /// What kind it is.
        optional kind: Shape::Word(&["screw post", "screw block", "spring block", "lever nut", "solder"]);
        /// What keeps it from working loose.
        expected held: Shape::Word(&["lock washer", "lock nut", "threadlocker", "spring", "lever", "solder", "strain relief", "nothing"]);
    }

    /// What a recovery harness is fastened to.
    ATTACHMENT as attachment = "attachment" {
        /// What it is.
        expected kind: Shape::Word(&["forged eye bolt", "welded eye bolt", "forged eye nut", "u-bolt", "bent eye bolt", "cord loop", "moulded loop"]);
        /// Its thread.
        optional thread: Shape::Row(&THREAD);
        /// What keeps its nuts from turning.
        optional locked: Shape::Word(&["threadlocker", "lock nut", "epoxy", "nothing"]);
        /// How strong the threadlocker is, where there is one: `low` comes loose by hand tools, `high` only with heat.
        optional threadlocker: Shape::Word(&["low", "medium", "high"]);
        /// How much of its thread is in the nut, the insert or the tapped plate.
        optional engagement: Shape::Measure(D::LENGTH, Sign::Positive);
        /// A washer or backing plate under the nut.
        optional backing: Shape::Word(&["washer", "plate", "nothing"]);
        /// What it is made of; plain steel where not said.
        optional material: Shape::Row(&MATERIAL);
        /// The load at which it breaks, by its maker or by a test.
        optional breaks_at: Shape::Measure(D::FORCE, Sign::Positive);
        /// The load that its maker allows.
        optional working_load: Shape::Measure(D::FORCE, Sign::Positive);
    }

    /// The threaded rods of an altimeter bay.
    RODS as rods = "rods" {
        /// How many.
        expected count: Shape::Count(1);
        /// Their thread.
        optional thread: Shape::Row(&THREAD);
        /// Their length.
        expected length: Shape::Measure(D::LENGTH, Sign::Positive);
        /// What they are made of.
        optional material: Shape::Row(&MATERIAL);
        /// The nuts at both ends, which hold the lids on.
        expected nuts: Shape::Word(&["lock nuts", "nuts with threadlocker", "two nuts", "wing nuts", "plain nuts"]);
        /// Whether they stand evenly around the bay's axis.
        optional spaced: Shape::Word(&["evenly", "unevenly"]);
        /// Their clock angles; that of the first is enough where they are spaced evenly.
        optional clock: Shape::Measures(D::ANGLE, Sign::Any);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// Holes to the outside, all alike.
    VENT as vent = "vent" {
        /// How many.
        expected count: Shape::Count(1);
        /// Diameter of each.
        expected diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Where along the section their centres are.
        expected at: Shape::Position;
        /// Whether they are spaced evenly around the body.
        optional spaced: Shape::Word(&["evenly", "unevenly"]);
        /// Their clock angles; that of the first is enough where they are spaced evenly.
        optional clock: Shape::Measures(D::ANGLE, Sign::Any);
        /// Why fewer than three will do, where it is so.
        optional because: Shape::Text;
        /// The holes themselves.
        implied holes: Shape::One(&HOLES);
    }

    /// Slots in the body tube for the fins.
    FIN_SLOTS as fin_slots = "fin_slots" {
        /// How many.
        expected count: Shape::Count(1);
        /// Length along the body.
        expected length: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Width of each.
        expected width: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Where their aft ends are.
        expected aft_end: Shape::Position;
    }

    /// Fins, all alike.
    FINS as fins = "fins" {
        /// How many.
        expected count: Shape::Count(1);
        /// How they are mounted.
        optional mounted: Shape::Word(&["through the wall", "on the surface"]);
        /// What they are made of.
        optional material: Shape::Row(&MATERIAL);
        /// Length of the edge on the body.
        expected root_chord: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Length of the outer edge.
        expected tip_chord: Shape::Measure(D::LENGTH, Sign::NotNegative);
        /// From the body to the outer edge.
        expected span: Shape::Measure(D::LENGTH, Sign::Positive);
        /// How far the outer edge's leading corner lies behind the root's, along the body.
        expected sweep: Shape::Measure(D::LENGTH, Sign::Any);
        /// The leading edge of a fin that is no trapezoid, as pairs: how far out from the body, and how far aft of the root's leading corner.
        optional leading_edge: Shape::Curve(D::LENGTH, D::LENGTH);
        /// The trailing edge of a fin that is no trapezoid, as pairs like those of `leading_edge`.
        optional trailing_edge: Shape::Curve(D::LENGTH, D::LENGTH);
        /// Thickness.
        expected thickness: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Where the aft end of the root is on the body.
        expected aft_end: Shape::Position;
        /// The clock angle of the first; 0° where not said, so that the others count from it.
        optional clock: Shape::Measure(D::ANGLE, Sign::Any);
        /// The part that goes through the slot to the motor tube.
        optional tab: Shape::One(&FIN_TAB);
        /// How they are glued: one of `bonds`.
        expected glued: Shape::Refers(&BOND);
        /// Radius of the fillets outside.
        optional fillet_radius: Shape::Measure(D::LENGTH, Sign::NotNegative);
        /// Mass of all of them.
        optional mass: Shape::Measure(D::MASS, Sign::Positive);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// The tab of a fin: the part inside the body tube.
    FIN_TAB as fin_tab = "fin_tab" {
        /// Length along the body.
        expected length: Shape::Measure(D::LENGTH, Sign::Positive);
        /// How deep it reaches from the root edge.
        expected depth: Shape::Measure(D::LENGTH, Sign::Positive);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// A rail button or guide.
    RAIL_BUTTON as rail_button = "rail_button" {
        /// Where its centre is.
        expected at: Shape::Position;
        /// What its screw goes into, or that it is bonded to the outside of the wall.
        expected into: Shape::Word(&["ring", "bulkhead", "block", "weld nut", "bonded outside", "wall only"]);
        /// How it is glued, where it is bonded outside as a guide shaped to the body: one of `bonds`.
        optional glued: Shape::Refers(&BOND);
        /// Its thread.
        optional thread: Shape::Row(&THREAD);
        /// The drill for the hole in the wall, where it is not that of the thread.
        optional drill: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Its clock angle.
        optional clock: Shape::Measure(D::ANGLE, Sign::Any);
        /// The hole for its screw.
        implied holes: Shape::One(&HOLES);
        /// Across it, as the air meets it.
        optional width: Shape::Measure(D::LENGTH, Sign::Positive);
        /// How far it stands out of the body.
        optional height: Shape::Measure(D::LENGTH, Sign::Positive);
    }

    /// What the author knows of the drag, on the area of the largest outside diameter.
    DRAG as drag = "drag" {
        /// One drag coefficient for every speed.
        optional coefficient: Shape::Number(Sign::Positive);
        /// Drag coefficient against Mach number.
        optional against_mach: Shape::Curve(D::NUMBER, D::NUMBER);
        /// Drag coefficient against Mach number while the motor burns, where it is known apart.
        optional while_burning: Shape::Curve(D::NUMBER, D::NUMBER);
    }

    /// Where two sections meet.
    JOINT as joint = "joint" {
        /// The two sections, the fore one first.
        expected between: Shape::RefersAll(&SECTION);
        /// When it comes apart.
        expected parts_at: Shape::Word(&["apogee", "main", "motor ejection", "never"]);
        /// Shear pins that hold it until a charge fires.
        optional shear_pins: Shape::One(&SHEAR_PINS);
        /// What else holds it. Write `none` if nothing does.
        expected held_by: Shape::One(&FASTENING);
        /// The last day on which its fit, its pins or its tubes were changed.
        optional changed_on: Shape::Date;
    }

    /// The shear pins of a joint.
    SHEAR_PINS as shear_pins = "shear_pins" {
        /// How many.
        expected count: Shape::Count(1);
        /// Their thread.
        expected thread: Shape::Row(&THREAD);
        /// What they are made of.
        expected material: Shape::Row(&MATERIAL);
        /// Where along the outer tube they go through it and what slides into it.
        expected at: Shape::Position;
        /// What their threads go into in the inner tube.
        optional into: Shape::Word(&["tapped hole", "plain hole"]);
        /// The drill before the tap, or for the plain hole, where it is not the usual one for the thread.
        optional drill: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Whether they are spaced evenly around the body.
        optional spaced: Shape::Word(&["evenly", "unevenly"]);
        /// Their clock angles; that of the first is enough where they are spaced evenly.
        optional clock: Shape::Measures(D::ANGLE, Sign::Any);
        /// The holes that they go through.
        implied holes: Shape::One(&HOLES);
        /// Whether the sheared halves can fall out or are kept from jamming the joint.
        expected debris_falls_free: Shape::Truth;
        /// Why fewer than two will do, where it is so.
        optional because: Shape::Text;
    }

    /// What holds a joint besides shear pins.
    FASTENING as fastening = "fastening" {
        /// What it is.
        expected kind: Shape::Word(&["machine screw", "rivet", "wood screw", "epoxy", "friction", "tape"]);
        /// How many.
        optional count: Shape::Count(1);
        /// The screws' thread.
        optional thread: Shape::Row(&THREAD);
        /// What the screws or rivets are made of.
        optional material: Shape::Row(&MATERIAL);
        /// Where along the joint they go through both tubes.
        optional at: Shape::Position;
        /// What the screws or rivets go into in the inner tube.
        optional into: Shape::Word(&["tapped hole", "nut", "insert", "plain hole"]);
        /// The drill for the hole, where it is not the usual one for the thread: for a rivet, for an insert.
        optional drill: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Whether they are spaced evenly around the body.
        optional spaced: Shape::Word(&["evenly", "unevenly"]);
        /// Their clock angles; that of the first is enough where they are spaced evenly.
        optional clock: Shape::Measures(D::ANGLE, Sign::Any);
        /// The holes that they go through.
        implied holes: Shape::One(&HOLES);
        /// How the joint is glued, where it is: one of `bonds`.
        optional glued: Shape::Refers(&BOND);
        /// The pull along the rocket at which the whole joint lets go, where it was tested.
        optional breaks_at: Shape::Measure(D::FORCE, Sign::Positive);
    }
}

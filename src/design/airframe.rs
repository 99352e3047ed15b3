//! The parts that sections are built of: tubes, couplers, nose cones, bulkheads, lids, fins.

use super::{Bond, Holes, InHand};
use crate::quantity::{Angle, Force, Length, Mass, Pressure};
use crate::tables::{Material, Thread};

crate::entity_types! {
    /// A nose cone.
    NOSE_CONE: NoseCone as nose_cone = "nose_cone" {
        /// Its outline; a parabola is the full one, which meets the body without a corner. A secant ogive has an `arc`, a power series an `exponent`, a Haack nose other than von Kármán's a `parameter`.
        expected shape: Word(&["cone", "tangent ogive", "secant ogive", "ellipsoid", "parabola", "power", "von karman", "haack", "other"]);
        /// Radius of the arc of a secant ogive, longer than that of the tangent one.
        optional arc: Measure(Length, Positive);
        /// Exponent of a power series, above 0 and not above 1: 0.5 for the half power.
        optional exponent: Number(Positive);
        /// The parameter C of a Haack nose, to 2/3: 1/3 has the least drag for its length and volume.
        optional parameter: Number(Positive);
        /// Length from tip to base, without the shoulder.
        expected length: Measure(Length, Positive);
        /// Diameter of the base.
        expected outer_diameter: Measure(Length, Positive);
        /// Wall thickness.
        optional wall: Measure(Length, Positive);
        /// Material.
        optional material: Row(Material);
        /// Mass.
        optional mass: Measure(Mass, Positive);
        /// The part that slides into the tube.
        expected shoulder: One(Shoulder);
        /// What the recovery harness is fastened to, where it is part of the cone itself.
        optional attach: One(Attachment);
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// A shoulder: the part of a nose cone or transition that slides into a tube.
    SHOULDER: Shoulder as shoulder = "shoulder" {
        /// Its length.
        expected length: Measure(Length, Positive);
        /// Its outer diameter.
        expected outer_diameter: Measure(Length, Positive);
        /// Wall thickness.
        optional wall: Measure(Length, Positive);
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// A round tube of the airframe or of the motor mount.
    TUBE: Tube as tube = "tube" {
        /// What it is made of.
        optional material: Row(Material);
        /// The clock angle of its seam, of a tube that is rolled and closed along a line.
        optional seam: Measure(Angle, Any);
        /// Its length.
        expected length: Measure(Length, Positive);
        /// Its outer diameter.
        expected outer_diameter: Measure(Length, Positive);
        /// Its inner diameter.
        expected inner_diameter: Measure(Length, Positive);
        /// Its mass.
        optional mass: Measure(Mass, Positive);
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// A tube that slides into body tubes and joins them.
    COUPLER: Coupler as coupler = "coupler" {
        /// What it is made of.
        optional material: Row(Material);
        /// Its length.
        expected length: Measure(Length, Positive);
        /// Its outer diameter.
        expected outer_diameter: Measure(Length, Positive);
        /// Its inner diameter.
        expected inner_diameter: Measure(Length, Positive);
        /// The end of the section's tube that it is glued into; not for an altimeter bay, which is its own coupler.
        optional end: Word(&["fore", "aft"]);
        /// How far it stands out of that end.
        optional stands_out: Measure(Length, Positive);
        /// How it is glued into that tube: one of `bonds`.
        optional glued: Refers(Bond) inverse "parts";
        /// Its mass.
        optional mass: Measure(Mass, Positive);
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// The ring of body tube around an altimeter bay's coupler.
    SWITCH_BAND: SwitchBand as switch_band = "switch_band" {
        /// Its length.
        expected length: Measure(Length, Positive);
        /// Where it sits on the coupler; in the middle where not said.
        optional at: Position;
        /// Its outer diameter.
        optional outer_diameter: Measure(Length, Positive);
        /// Its inner diameter, which goes over the coupler.
        optional inner_diameter: Measure(Length, Positive);
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// A change of diameter between two tubes.
    TRANSITION: Transition as transition = "transition" {
        /// Its length without shoulders.
        expected length: Measure(Length, Positive);
        /// Diameter at its fore end.
        expected fore_diameter: Measure(Length, Positive);
        /// Diameter at its aft end.
        expected aft_diameter: Measure(Length, Positive);
        /// The shoulder that slides into the tube before it.
        optional fore_shoulder: One(Shoulder);
        /// The shoulder that slides into the tube behind it.
        optional aft_shoulder: One(Shoulder);
        /// Mass.
        optional mass: Measure(Mass, Positive);
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// A taper at the aft end of the rocket.
    BOAT_TAIL: BoatTail as boat_tail = "boat_tail" {
        /// Its length.
        expected length: Measure(Length, Positive);
        /// Diameter at its aft end.
        expected aft_diameter: Measure(Length, Positive);
        /// Mass.
        optional mass: Measure(Mass, Positive);
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// A bulkhead glued into a tube, coupler or shoulder.
    BULKHEAD: Bulkhead as bulkhead = "bulkhead" {
        /// Where its near face is.
        expected at: Position;
        /// Its thickness.
        expected thickness: Measure(Length, Positive);
        /// Its diameter.
        optional outer_diameter: Measure(Length, Positive);
        /// What it is made of.
        optional material: Row(Material);
        /// What the recovery harness is fastened to.
        optional attach: One(Attachment);
        /// The pull at its middle that it bore in a test without a mark; it takes the place of the sum.
        optional proof_load: Measure(Force, Positive);
        /// How it is glued in: one of `bonds`; `none` where it is screwed.
        expected glued: Refers(Bond) inverse "parts";
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// A lid of an altimeter bay.
    LID: Lid as lid = "lid" {
        /// Its thickness, inner and outer disc together.
        expected thickness: Measure(Length, Positive);
        /// Diameter of the disc that goes into the coupler.
        optional inner_disc: Measure(Length, Positive);
        /// Diameter of the disc that stands on the coupler's end.
        optional outer_disc: Measure(Length, Positive);
        /// How far it stands into the coupler.
        optional recess: Measure(Length, NotNegative);
        /// What it is made of.
        optional material: Row(Material);
        /// What the recovery harness is fastened to.
        optional attach: One(Attachment);
        /// The pull at its middle that it bore in a test without a mark; it takes the place of the sum.
        optional proof_load: Measure(Force, Positive);
        /// Holes for wires, with how each is sealed from the charge's pressure.
        expected pass_throughs: Many(PassThrough);
        /// Terminals on its outside, where igniters are connected.
        expected terminals: Many(Terminal);
        /// Whether its outside says which end of the bay it is and which charge each terminal is for.
        expected labelled: Truth;
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// A hole through which wires pass.
    PASS_THROUGH: PassThrough as pass_through = "pass_through" {
        /// How it is sealed.
        expected sealed: Word(&["epoxy", "putty", "hot glue", "gland", "sealed connector", "not sealed"]);
        /// Its diameter.
        optional diameter: Measure(Length, Positive);
        /// How far its middle stands from the middle of the lid.
        optional from_axis: Measure(Length, NotNegative);
        /// Its clock angle.
        optional clock: Measure(Angle, Any);
    }

    /// A terminal where an igniter's leads are connected.
    TERMINAL: Terminal as terminal = "terminal" {
        /// What kind it is.
        optional kind: Word(&["screw post", "screw block", "spring block", "lever nut", "solder"]);
        /// What keeps it from working loose.
        expected held: Word(&["lock washer", "lock nut", "threadlocker", "spring", "lever", "solder", "strain relief", "nothing"]);
    }

    /// What a recovery harness is fastened to.
    ATTACHMENT: Attachment as attachment = "attachment" {
        /// What it is.
        expected kind: Word(&["forged eye bolt", "welded eye bolt", "forged eye nut", "u-bolt", "bent eye bolt", "cord loop", "moulded loop"]);
        /// Its thread.
        optional thread: Row(Thread);
        /// What keeps its nuts from turning.
        optional locked: Word(&["threadlocker", "lock nut", "epoxy", "nothing"]);
        /// How strong the threadlocker is, where there is one: `low` comes loose by hand tools, `high` only with heat.
        optional threadlocker: Word(&["low", "medium", "high"]);
        /// How much of its thread is in the nut, the insert or the tapped plate.
        optional engagement: Measure(Length, Positive);
        /// A washer or backing plate under the nut.
        optional backing: Word(&["washer", "plate", "nothing"]);
        /// Diameter of that washer, or the shorter side of that plate; four diameters of the thread where not said.
        optional backing_diameter: Measure(Length, Positive);
        /// What its thread goes into, where it is not a nut.
        optional into: Word(&["nut", "insert", "tapped metal", "wood"]);
        /// What it is made of; plain steel where not said.
        optional material: Row(Material);
        /// The load at which it breaks, by its maker or by a test.
        optional breaks_at: Measure(Force, Positive);
        /// The load that its maker allows.
        optional working_load: Measure(Force, Positive);
        /// How far its middle stands from the axis of the rocket; in a lid or a bulkhead on the axis where not said.
        optional from_axis: Measure(Length, NotNegative);
        /// Its clock angle, where it stands beside the axis; of a U-bolt on the axis, that of one of its legs.
        optional clock: Measure(Angle, Any);
        /// Between the middles of the legs of a U-bolt.
        optional legs_apart: Measure(Length, Positive);
    }

    /// The threaded rods of an altimeter bay.
    RODS: Rods as rods = "rods" {
        /// How many.
        expected count: Count(1);
        /// Their thread.
        optional thread: Row(Thread);
        /// Their length.
        expected length: Measure(Length, Positive);
        /// Diameter of the circle around the bay's axis on which their middles stand.
        optional bolt_circle: Measure(Length, Positive);
        /// What they are made of.
        optional material: Row(Material);
        /// The nuts at both ends, which hold the lids on.
        expected nuts: Word(&["lock nuts", "nuts with threadlocker", "two nuts", "wing nuts", "plain nuts"]);
        /// How they stand around the bay's axis: with equal gaps or not.
        optional spaced: Word(&["evenly", "unevenly"]);
        /// Their clock angles; that of the first is enough where they are spaced evenly.
        optional clock: Measures(Angle, Any);
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// Holes to the outside, all alike.
    VENT: Vent as vent = "vent" {
        /// How many.
        expected count: Count(1);
        /// Diameter of each.
        expected diameter: Measure(Length, Positive);
        /// Where along the section their centres are.
        expected at: Position;
        /// How they are spaced around the body: with equal gaps or not.
        optional spaced: Word(&["evenly", "unevenly"]);
        /// Their clock angles; that of the first is enough where they are spaced evenly.
        optional clock: Measures(Angle, Any);
        /// Why fewer than three will do, where it is so.
        optional because: Text;
        /// The holes themselves.
        implied holes: One(Holes);
    }

    /// Slots in the body tube for the fins.
    FIN_SLOTS: FinSlots as fin_slots = "fin_slots" {
        /// How many.
        expected count: Count(1);
        /// Length along the body.
        expected length: Measure(Length, Positive);
        /// Width of each.
        expected width: Measure(Length, Positive);
        /// Where their aft ends are.
        expected aft_end: Position;
    }

    /// Fins, all alike.
    FINS: Fins as fins = "fins" {
        /// How many.
        expected count: Count(1);
        /// How they are mounted.
        optional mounted: Word(&["through the wall", "on the surface"]);
        /// What they are made of.
        optional material: Row(Material);
        /// Length of the edge on the body.
        expected root_chord: Measure(Length, Positive);
        /// Length of the outer edge.
        expected tip_chord: Measure(Length, NotNegative);
        /// From the body to the outer edge.
        expected span: Measure(Length, Positive);
        /// How far the outer edge's leading corner lies behind the root's, along the body.
        expected sweep: Measure(Length, Any);
        /// The leading edge of a fin that is no trapezoid, as pairs: how far out from the body, and how far aft of the root's leading corner.
        optional leading_edge: Curve(Length, Length);
        /// The trailing edge of a fin that is no trapezoid, as pairs like those of `leading_edge`.
        optional trailing_edge: Curve(Length, Length);
        /// Thickness.
        expected thickness: Measure(Length, Positive);
        /// How their edges are shaped: `tapered` is round in front and thin behind. Where not said they add no drag, so that height, speed and drift are rather too large than too small.
        optional edges: Word(&["square", "rounded", "tapered"]);
        /// Shear modulus of the sheet they are cut from, where it is known better than by its material: by its lay-up or by a test.
        optional shear_modulus: Measure(Pressure, Positive);
        /// Where that modulus comes from.
        optional shear_modulus_by: Text;
        /// Where the aft end of the root is on the body.
        expected aft_end: Position;
        /// The clock angle of the first; 0° where not said, so that the others count from it.
        optional clock: Measure(Angle, Any);
        /// The part that goes through the slot to the motor tube.
        optional tab: One(FinTab);
        /// How they are glued: one of `bonds`.
        expected glued: Refers(Bond) inverse "parts";
        /// The cloth that is laid over them after they are glued on: from the tip of one over the body to the tip of the next, or over the roots only.
        optional laid_over: Word(&["tip to tip", "roots", "nothing"]);
        /// How thick that cloth is on each side when it has hardened.
        optional laid_thickness: Measure(Length, Positive);
        /// What it is, as a laminate.
        optional laid_material: Row(Material);
        /// Radius of the fillets outside.
        optional fillet_radius: Measure(Length, NotNegative);
        /// Mass of all of them.
        optional mass: Measure(Mass, Positive);
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// The tab of a fin: the part inside the body tube.
    FIN_TAB: FinTab as fin_tab = "fin_tab" {
        /// Length along the body.
        expected length: Measure(Length, Positive);
        /// How deep it reaches from the root edge.
        expected depth: Measure(Length, Positive);
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// A rail button, a guide, or the lug of a launch rod.
    RAIL_BUTTON: RailButton as rail_button = "rail_button" {
        /// What it is; a button or guide of a rail where not said. A launch lug is a short tube on a rod.
        optional kind: Word(&["button", "guide", "launch lug"]);
        /// Where its centre is.
        expected at: Position;
        /// What its screw goes into, or that it is bonded to the outside of the wall.
        expected into: Word(&["ring", "bulkhead", "block", "weld nut", "bonded outside", "wall only"]);
        /// How it is glued, where it is bonded outside as a guide shaped to the body: one of `bonds`.
        optional glued: Refers(Bond) inverse "parts";
        /// Its thread.
        optional thread: Row(Thread);
        /// The drill for the hole in the wall, where it is not that of the thread.
        optional drill: Measure(Length, Positive);
        /// Its clock angle.
        optional clock: Measure(Angle, Any);
        /// The hole for its screw.
        implied holes: One(Holes);
        /// Across it, as the air meets it.
        optional width: Measure(Length, Positive);
        /// How far it stands out of the body.
        optional height: Measure(Length, Positive);
    }

    /// What the author knows of the drag, on the area of the largest outside diameter.
    DRAG: Drag as drag = "drag" {
        /// One drag coefficient for every speed.
        optional coefficient: Number(Positive);
        /// Drag coefficient against Mach number.
        optional against_mach: Curve(f64, f64);
        /// Drag coefficient against Mach number while the motor burns, where it is known apart.
        optional while_burning: Curve(f64, f64);
    }
}

//! Parachutes, harnesses and ejection charges.

use super::{InHand, Joint, Section};
use crate::quantity::{Area, Force, Length, Mass, Speed, Volume};
use crate::tables::Material;

crate::entity_types! {
    /// How the rocket comes down.
    RECOVERY: Recovery as recovery = "recovery" {
        /// The parachutes.
        expected parachutes: Many(Parachute);
        /// The cords between sections and parachutes.
        expected harnesses: Many(Harness);
        /// Ejection charges fired by altimeters; the motor's own is in `motor`.
        optional charges: Many(Charge);
        /// How fast the parted rocket came down on an earlier flight, before the last parachute opened.
        optional descends_at: One(KnownFall);
    }

    /// A rate of descent that was measured in flight.
    KNOWN_FALL: KnownFall as known_fall = "known_fall" {
        /// The rate, as read from the altimeter's record.
        expected rate: Measure(Speed, Positive);
        /// The day of that flight.
        expected date: Date;
    }

    /// A parachute or streamer.
    PARACHUTE: Parachute as parachute = "parachute" {
        /// The section it is packed in.
        expected packed_in: Refers(Section);
        /// When it comes out of its section; a `release` may hold it shut for longer.
        expected opens_at: Word(&["apogee", "main", "motor ejection"]);
        /// Diameter of the canopy laid flat.
        optional diameter: Measure(Length, Positive);
        /// Drag coefficient.
        expected drag_coefficient: Number(Positive);
        /// The area that the drag coefficient belongs to; the circle of `diameter` where not said.
        optional reference_area: Measure(Area, Positive);
        /// The room it takes when packed, with its protector.
        expected packed_volume: Measure(Volume, Positive);
        /// What keeps the charge's heat from it.
        expected protected_by: Word(&["blanket", "bag", "wadding", "piston", "nothing"]);
        /// The load that its lines, seams and bridle bear before something breaks.
        optional strength: Measure(Force, Positive);
        /// The fastest it can be moving when it opens, where that is known better than the program can work it out.
        optional speed_at_opening: Measure(Speed, Positive);
        /// Mass.
        expected mass: Measure(Mass, Positive);
        /// The harness it is tied to.
        expected hangs_on: Refers(Harness);
        /// How far from the fore end of that harness it is tied.
        expected hangs_at: Measure(Length, NotNegative);
        /// A device that keeps it shut in a bundle, after it is out, until it is low.
        optional release: One(Release);
        /// The last day on which it, its protector or the way it is folded was changed.
        optional changed_on: Date;
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// A device around the folded parachute that lets it open at a height of its own.
    RELEASE: Release as release = "release" {
        /// How high above the ground it lets go.
        expected height: Measure(Length, Positive);
        /// Whether it is tied on, so that it is not lost and does not fall on anyone.
        expected tethered: Truth;
        /// Whether it has let go on the ground of this parachute, folded as for flight.
        expected tried: Truth;
    }

    /// A recovery harness: the cord between two sections.
    HARNESS: Harness as harness = "harness" {
        /// Its length.
        expected length: Measure(Length, Positive);
        /// The room it takes when it is bundled.
        expected packed_volume: Measure(Volume, Positive);
        /// What it is made of.
        optional material: Row(Material);
        /// The load at which it breaks.
        expected strength: Measure(Force, Positive);
        /// What keeps the flash of the charge from it.
        optional protected_by: Word(&["sleeve", "blanket", "nothing"]);
        /// Its colour, or the mark by which it is told from the others.
        optional colour: Text;
        /// How its ends are made: a knot leaves about half of its strength.
        expected ends: Word(&["sewn loops", "knots"]);
        /// What joins it to parachutes and attachments: quick links, swivels, shackles.
        optional links: Many(Link);
        /// Its mass, where it is not counted in a section's.
        optional mass: Measure(Mass, Positive);
        /// The sections it ties together, the fore one first.
        expected between: RefersAll(Section);
        /// What was measured of it, which then counts.
        optional measured: Measured(InHand);
    }

    /// A part that joins cord, parachute and attachment.
    LINK: Link as link = "link" {
        /// What it is.
        expected kind: Word(&["quick link", "swivel", "shackle", "carabiner"]);
        /// The load at which it breaks, by its maker.
        optional breaks_at: Measure(Force, Positive);
        /// The load that is stamped on it or that its maker allows.
        optional working_load: Measure(Force, Positive);
    }

    /// An ejection charge fired by an altimeter: black powder, or a cartridge of gas.
    CHARGE: Charge as charge = "charge" {
        /// The joint it opens.
        expected joint: Refers(Joint);
        /// Mass of powder; beside a gas cartridge the little that drives its pin, which is not counted.
        expected powder: Measure(Mass, Positive);
        /// The gas cartridge that is pierced instead of powder being burnt.
        optional gas_cartridge: One(GasCartridge);
        /// Free volume that it fills, the room less what is packed in it; worked out where both are written.
        expected free_volume: Measure(Volume, Positive);
        /// The room that it opens, empty.
        optional room: Measure(Volume, Positive);
        /// What parachutes, cords and protectors take of that room.
        optional packed: Measure(Volume, NotNegative);
        /// Whether it is closed up tightly on all sides, so that its powder burns under its own pressure and does not scatter in thin air.
        optional contained: Truth;
        /// What holds its powder together against the igniter: a canister closed on all sides, a cup that is packed and taped over, the finger of a glove or a tube tied at both ends, a cup that is open, or nothing.
        optional chamber: Word(&["sealed canister", "taped cup", "tied tube", "open cup", "nothing"]);
        /// The charge it stands behind, when it is a backup.
        optional backs_up: Refers(Charge) inverse "backups";
        /// The last day on which its powder, its holder or its igniter was changed for another sort.
        optional changed_on: Date;
    }

    /// A cartridge of liquid gas that a pin pierces.
    GAS_CARTRIDGE: GasCartridge as gas_cartridge = "gas_cartridge" {
        /// The gas.
        expected gas: Word(&["carbon dioxide"]);
        /// Mass of gas in it, or in all of them where several are pierced together.
        expected mass: Measure(Mass, Positive);
    }
}

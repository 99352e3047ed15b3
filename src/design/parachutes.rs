//! Parachutes, harnesses and ejection charges.

use super::{IN_HAND, JOINT, SECTION};
use crate::quantity::Dimension as D;
use crate::tables::MATERIAL;
use crate::vocabulary::{Shape, Sign};

crate::kinds! {
    /// How the rocket comes down.
    RECOVERY as recovery = "recovery" {
        /// The parachutes.
        expected parachutes: Shape::Many(&PARACHUTE);
        /// The cords between sections and parachutes.
        expected harnesses: Shape::Many(&HARNESS);
        /// Ejection charges fired by altimeters; the motor's own is in `motor`.
        optional charges: Shape::Many(&CHARGE);
    }

    /// A parachute or streamer.
    PARACHUTE as parachute = "parachute" {
        /// The section it is packed in.
        expected packed_in: Shape::Refers(&SECTION);
        /// When it comes out of its section; a `release` may hold it shut for longer.
        expected opens_at: Shape::Word(&["apogee", "main", "motor ejection"]);
        /// Diameter of the canopy laid flat.
        optional diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Drag coefficient.
        expected drag_coefficient: Shape::Number(Sign::Positive);
        /// The area that the drag coefficient belongs to; the circle of `diameter` where not said.
        optional reference_area: Shape::Measure(D::AREA, Sign::Positive);
        /// The room it takes when packed, with its protector.
        expected packed_volume: Shape::Measure(D::VOLUME, Sign::Positive);
        /// What keeps the charge's heat from it.
        expected protected_by: Shape::Word(&["blanket", "bag", "wadding", "piston", "nothing"]);
        /// The load that its lines, seams and bridle bear before something breaks.
        optional strength: Shape::Measure(D::FORCE, Sign::Positive);
        /// The fastest it can be moving when it opens, where that is known better than the program can work it out.
        optional speed_at_opening: Shape::Measure(D::SPEED, Sign::Positive);
        /// Mass.
        expected mass: Shape::Measure(D::MASS, Sign::Positive);
        /// The harness it is tied to.
        expected hangs_on: Shape::Refers(&HARNESS);
        /// How far from the fore end of that harness it is tied.
        expected hangs_at: Shape::Measure(D::LENGTH, Sign::NotNegative);
        /// A device that keeps it shut in a bundle, after it is out, until it is low.
        optional release: Shape::One(&RELEASE);
        /// The last day on which it, its protector or the way it is folded was changed.
        optional changed_on: Shape::Date;
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// A device around the folded parachute that lets it open at a height of its own.
    RELEASE as release = "release" {
        /// How high above the ground it lets go.
        expected height: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Whether it is tied on, so that it is not lost and does not fall on anyone.
        expected tethered: Shape::Truth;
        /// Whether it has let go on the ground of this parachute, folded as for flight.
        expected tried: Shape::Truth;
    }

    /// A recovery harness: the cord between two sections.
    HARNESS as harness = "harness" {
        /// Its length.
        expected length: Shape::Measure(D::LENGTH, Sign::Positive);
        /// The room it takes when it is bundled.
        expected packed_volume: Shape::Measure(D::VOLUME, Sign::Positive);
        /// What it is made of.
        optional material: Shape::Row(&MATERIAL);
        /// The load at which it breaks.
        expected strength: Shape::Measure(D::FORCE, Sign::Positive);
        /// What keeps the flash of the charge from it.
        optional protected_by: Shape::Word(&["sleeve", "blanket", "nothing"]);
        /// How its ends are made: a knot leaves about half of its strength.
        expected ends: Shape::Word(&["sewn loops", "knots"]);
        /// What joins it to parachutes and attachments: quick links, swivels, shackles.
        optional links: Shape::Many(&LINK);
        /// Its mass, where it is not counted in a section's.
        optional mass: Shape::Measure(D::MASS, Sign::Positive);
        /// The sections it ties together, the fore one first.
        expected between: Shape::RefersAll(&SECTION);
        /// What was measured of it, which then counts.
        optional measured: Shape::Measured(&IN_HAND);
    }

    /// A part that joins cord, parachute and attachment.
    LINK as link = "link" {
        /// What it is.
        expected kind: Shape::Word(&["quick link", "swivel", "shackle", "carabiner"]);
        /// The load at which it breaks, by its maker.
        optional breaks_at: Shape::Measure(D::FORCE, Sign::Positive);
        /// The load that is stamped on it or that its maker allows.
        optional working_load: Shape::Measure(D::FORCE, Sign::Positive);
    }

    /// A black-powder ejection charge fired by an altimeter.
    CHARGE as charge = "charge" {
        /// The joint it opens.
        expected joint: Shape::Refers(&JOINT);
        /// Mass of powder.
        expected powder: Shape::Measure(D::MASS, Sign::Positive);
        /// Free volume that it fills: the bay less what is packed in it.
        expected free_volume: Shape::Measure(D::VOLUME, Sign::Positive);
        /// The charge it stands behind, when it is a backup.
        optional backs_up: Shape::Refers(&CHARGE);
        /// The last day on which its powder, its holder or its igniter was changed for another sort.
        optional changed_on: Shape::Date;
        refused "gas_cartridge": "gas cartridges instead of powder: the push of their gas is not worked out here, so no rule could vouch for the joint";
        refused "carbon_dioxide": "gas cartridges instead of powder: the push of their gas is not worked out here, so no rule could vouch for the joint";
    }
}

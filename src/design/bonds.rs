//! Glue: what is used, how it is done, and what must be inside before it closes.

use crate::quantity::{Length, Pressure, Temperature, Time};
use crate::tables::Adhesive;

crate::entity_types! {
    /// A way of gluing. Parts say under `glued` which it is, so that one may stand for many parts.
    BOND: Bond as bond = "bond" {
        /// The kind of adhesive.
        expected adhesive: Row(Adhesive);
        /// Whether both surfaces are roughened until they are dull all over.
        expected abraded: Truth;
        /// Whether both surfaces are wiped with a solvent and left untouched until they are glued.
        expected cleaned: Truth;
        /// How the two parts of the adhesive are measured out.
        expected mixed: Word(&["weighed", "by volume", "mixing nozzle", "by eye"]);
        /// The coldest that parts and room are while it hardens.
        expected temperature: Measure(Temperature, Any);
        /// How long it hardens before anything loads it.
        expected hardened: Measure(Time, Positive);
        /// The hottest it gets in use: a dark tube in the sun, a motor tube after the burn.
        expected hottest: Measure(Temperature, Any);
        /// Its glass transition as cured, by a data sheet; where not said, the table's kind of adhesive counts.
        optional glass_transition: Measure(Temperature, Any);
        /// The average shear stress at which test pieces of the same parts broke; where not said, the tables count.
        optional proven: Measure(Pressure, Positive);
        /// The radius of the fillets along its edges inside; they are counted only where they are written.
        optional fillet_radius: Measure(Length, Positive);
    }

    /// What is done before the motor mount is glued in and can no longer be reached.
    BEFORE_CLOSING: BeforeClosing as before_closing = "before_closing" {
        /// Whether the fins are tried in their slots with the mount in its place and dry.
        expected fins_dry_fitted: Truth;
        /// Whether glue is kept out of the fin slots and off the motor tube where the tabs will stand.
        expected slots_kept_clear: Truth;
        /// Whether the recovery cord is fastened and led past the rings.
        optional cord_led_through: Truth;
        /// Whether every nut, insert and block that a screw from outside will want is set.
        optional nuts_set: Truth;
    }
}

//! Tables of the trade: threads, drills, tap and clearance drills, materials, connector families, wires,
//! adhesives, finishes. Data in `rules/tables/`, a source for each group.

mod rows;

use crate::quantity::Dimension as D;
use crate::vocabulary::{Kind, Shape, Sign};

pub use rows::{Drill, Tables};

crate::kinds! {
    /// A published work, a practice or a memory that a fact rests on.
    SOURCE as source = "source" {
        /// The title of a published work.
        optional title: Shape::Text;
        /// Its number.
        optional number: Shape::Text;
        /// Its year or edition.
        optional year: Shape::Text;
        /// The clause.
        optional clause: Shape::Text;
        /// The page.
        optional page: Shape::Text;
        /// What else a reader should know of it.
        optional note: Shape::Text;
        /// What builders commonly do; no published source.
        optional common_practice: Shape::Text;
        /// A club's own decision.
        optional club: Shape::Text;
        /// Not looked up: to be confirmed before it is relied on.
        optional from_memory: Shape::Truth;
    }

    /// A screw thread.
    THREAD as thread = "thread" {
        /// Major diameter.
        expected major_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Distance from one thread to the next.
        expected pitch: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Basic pitch diameter.
        expected pitch_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Basic minor diameter of the internal thread.
        expected minor_diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Tensile stress area.
        expected stress_area: Shape::Measure(D::AREA, Sign::Positive);
        /// Area at the root of the thread, which a pin shears through.
        expected root_area: Shape::Measure(D::AREA, Sign::Positive);
        /// Other spellings.
        optional also: Shape::Texts;
    }

    /// A twist drill.
    DRILL as drill = "drill" {
        /// Its diameter.
        expected diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// The series it is sold in.
        expected series: Shape::Word(&["number", "letter", "fraction", "metric"]);
        /// Its size as it is asked for.
        expected size: Shape::Text;
        /// Other spellings.
        optional also: Shape::Texts;
    }

    /// The drill before a tap.
    TAP_DRILL as tap_drill = "tap_drill" {
        /// The thread.
        expected thread: Shape::Text;
        /// The drill's name in the table of drills.
        expected drill: Shape::Text;
        /// The drill's diameter.
        expected diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// How much of a full thread it leaves.
        expected percent_thread: Shape::Number(Sign::Positive);
        /// Other spellings.
        optional also: Shape::Texts;
    }

    /// The drill through which a screw of a thread passes.
    CLEARANCE_DRILL as clearance_drill = "clearance_drill" {
        /// The drill's diameter.
        expected diameter: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Other spellings.
        optional also: Shape::Texts;
    }

    /// What a part is made of.
    MATERIAL as material = "material" {
        /// Mass for each volume.
        expected density: Shape::Measure(D::DENSITY, Sign::Positive);
        /// Shear modulus, the low end.
        expected shear_modulus: Shape::Measure(D::PRESSURE, Sign::Positive);
        /// Shear strength, the low end of the band.
        expected shear_strength_low: Shape::Measure(D::PRESSURE, Sign::Positive);
        /// Shear strength, the high end of the band.
        expected shear_strength_high: Shape::Measure(D::PRESSURE, Sign::Positive);
        /// Tensile strength, the low end.
        expected tensile_strength: Shape::Measure(D::PRESSURE, Sign::Positive);
        /// Pressure with which a screw in a hole crushes it, the low end.
        expected bearing_strength: Shape::Measure(D::PRESSURE, Sign::Positive);
        /// Shear stress at which its surface gives way under glue, the low end.
        expected glue_line_strength: Shape::Measure(D::PRESSURE, Sign::Positive);
        /// The least difference of diameters with which a plug slides in a tube of it, damp and warm days counted.
        expected tightest_slide: Shape::Measure(D::LENGTH, Sign::Positive);
        /// The greatest difference of diameters with which a plug does not wobble in a tube of it.
        expected loosest_slide: Shape::Measure(D::LENGTH, Sign::Positive);
        /// The thinnest wall of tubes of it.
        expected thinnest_wall: Shape::Measure(D::LENGTH, Sign::Positive);
        /// The thickest wall of tubes of it.
        expected thickest_wall: Shape::Measure(D::LENGTH, Sign::Positive);
        /// Whether glue soaks into it.
        expected porous: Shape::Truth;
        /// Whether it is a metal.
        expected metal: Shape::Truth;
        /// Whether liquid threadlocker makes it crack under load.
        expected cracked_by_threadlocker: Shape::Truth;
        /// Whether heat melts it before it chars.
        expected melts: Shape::Truth;
        /// Whether a tracker's signal passes through it.
        expected transparent_to_radio: Shape::Truth;
        /// Other spellings.
        optional also: Shape::Texts;
    }

    /// How the outside of a rocket is finished.
    FINISH as finish = "finish" {
        /// Equivalent height of its roughness.
        expected roughness: Shape::Measure(D::LENGTH, Sign::NotNegative);
        /// Other spellings.
        optional also: Shape::Texts;
    }

    /// A kind of adhesive.
    ADHESIVE as adhesive = "adhesive" {
        /// Average shear stress that a good bond of strong parts bears, the low end.
        expected shear_strength: Shape::Measure(D::PRESSURE, Sign::Positive);
        /// Where it begins to go soft, the low end.
        expected softens_at: Shape::Measure(D::TEMPERATURE, Sign::Any);
        /// The coldest at which it hardens.
        expected coldest: Shape::Measure(D::TEMPERATURE, Sign::Any);
        /// How long it hardens before it may be loaded, at room temperature.
        expected hardens_in: Shape::Measure(D::TIME, Sign::Positive);
        /// Whether it is mixed of two parts.
        expected two_part: Shape::Truth;
        /// Whether it may hold what the flight depends on.
        expected structural: Shape::Truth;
        /// Whether it holds only what it soaks into.
        expected for_porous_only: Shape::Truth;
        /// Other spellings.
        optional also: Shape::Texts;
    }

    /// A family of electrical connections.
    CONNECTOR_FAMILY as connector_family = "connector_family" {
        /// What it is.
        expected doc: Shape::Text;
        /// Goes together in one way only.
        expected keyed: Shape::Truth;
        /// Parts only by a deliberate act.
        expected locking: Shape::Truth;
        /// Can be unplugged at all.
        expected separable: Shape::Truth;
        /// The open contacts it is made of, where families of other names have the same: they go on one another.
        optional contacts_of: Shape::Text;
        /// Other spellings.
        optional also: Shape::Texts;
    }

    /// A size of wire.
    WIRE as wire = "wire" {
        /// Cross-section of its copper.
        expected area: Shape::Measure(D::AREA, Sign::Positive);
        /// Other spellings.
        optional also: Shape::Texts;
    }
}

macro_rules! table_kinds {
    ($( $file:ident $group:ident $row:ident $name:literal )*) => { $(
        crate::kinds! {
            /// Rows of a table that share a source.
            $group as group = "group" {
                /// Where the rows come from.
                required source: Shape::One(&super::SOURCE);
                /// The rows by name.
                required rows: Shape::Many(&super::$row);
            }

            /// A table of the trade.
            $file as file = "table" {
                /// Its name.
                required table: Shape::Word(&[$name]);
                /// What it lists.
                required about: Shape::Text;
                /// Its rows, in groups that share a source.
                required groups: Shape::List(&$group);
            }
        }
    )* };
}

/// A table: the kinds of its rows and its file, and what is built in of it.
struct Table {
    name: &'static str,
    row: &'static Kind,
    file: &'static Kind,
    path: &'static str,
    text: &'static str,
    /// Its tree as the build script wrote it down.
    tree: &'static [u8],
}

macro_rules! tables {
    ($( $module:ident $row:ident $name:literal )*) => {
        $( #[allow(unreachable_pub, reason = "a table's own kinds are used here only")] mod $module {
            use crate::vocabulary::Shape;
            table_kinds! { FILE GROUP $row $name }
        } )*

        /// Every table.
        static TABLES: &[Table] = &[ $( Table {
            name: $name,
            row: &$row,
            file: &$module::FILE,
            path: concat!("rules/tables/", $name, ".yaml"),
            text: include_str!(concat!("../../rules/tables/", $name, ".yaml")),
            tree: include_bytes!(concat!(env!("OUT_DIR"), "/rules/tables/", $name, ".tree")),
        } ),* ];
    };
}

tables! {
    threads THREAD "threads"
    drills DRILL "drills"
    tap_drills TAP_DRILL "tap_drills"
    clearance_drills CLEARANCE_DRILL "clearance_drills"
    materials MATERIAL "materials"
    connectors CONNECTOR_FAMILY "connectors"
    finishes FINISH "finishes"
    wires WIRE "wires"
    adhesives ADHESIVE "adhesives"
}

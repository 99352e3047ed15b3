//! Tables of the trade: threads, drills, tap and clearance drills, materials, connector families, wires,
//! adhesives, finishes, cells. Data in `rules/tables/`, a source for each group.

mod rows;

use crate::quantity::{Area, Density, Length, Pressure, Resistance, Temperature, Time, Voltage};
use crate::vocabulary::EntityType;

pub use rows::{DrillSize, Tables};

crate::entity_types! {
    /// A published work, a practice or a memory that a fact rests on.
    SOURCE: Citation as source = "source" {
        /// The title of a published work.
        optional title: Text;
        /// Its number.
        optional number: Text;
        /// Its year or edition.
        optional year: Text;
        /// The clause.
        optional clause: Text;
        /// The page.
        optional page: Text;
        /// What else a reader should know of it.
        optional note: Text;
        /// What builders commonly do; no published source.
        optional common_practice: Text;
        /// A club's own decision.
        optional club: Text;
        /// Not looked up: to be confirmed before it is relied on.
        optional from_memory: Truth;
    }

    /// A screw thread.
    THREAD: Thread as thread = "thread" {
        /// Major diameter.
        expected major_diameter: Measure(Length, Positive);
        /// Distance from one thread to the next.
        expected pitch: Measure(Length, Positive);
        /// Basic pitch diameter.
        expected pitch_diameter: Measure(Length, Positive);
        /// Basic minor diameter of the internal thread.
        expected minor_diameter: Measure(Length, Positive);
        /// Tensile stress area.
        expected stress_area: Measure(Area, Positive);
        /// Area at the root of the thread, which a pin shears through.
        expected root_area: Measure(Area, Positive);
        /// Other spellings.
        optional also: Texts;
    }

    /// A twist drill.
    DRILL: Drill as drill = "drill" {
        /// Its diameter.
        expected diameter: Measure(Length, Positive);
        /// The series it is sold in.
        expected series: Word(&["number", "letter", "fraction", "metric"]);
        /// Its size as it is asked for.
        expected size: Text;
        /// Other spellings.
        optional also: Texts;
    }

    /// The drill before a tap.
    TAP_DRILL: TapDrill as tap_drill = "tap_drill" {
        /// The thread.
        expected thread: Text;
        /// The drill's name in the table of drills.
        expected drill: Text;
        /// The drill's diameter.
        expected diameter: Measure(Length, Positive);
        /// How much of a full thread it leaves.
        expected percent_thread: Number(Positive);
        /// Other spellings.
        optional also: Texts;
    }

    /// The drill through which a screw of a thread passes.
    CLEARANCE_DRILL: ClearanceDrill as clearance_drill = "clearance_drill" {
        /// The drill's diameter.
        expected diameter: Measure(Length, Positive);
        /// Other spellings.
        optional also: Texts;
    }

    /// What a part is made of.
    MATERIAL: Material as material = "material" {
        /// Mass for each volume.
        expected density: Measure(Density, Positive);
        /// Stiffness along a tube or a sheet of it (Young's modulus), the low end.
        expected elastic_modulus: Measure(Pressure, Positive);
        /// Stress along a tube of it that crushes its wall, the low end.
        expected crushing_strength: Measure(Pressure, Positive);
        /// Shear modulus, the low end.
        expected shear_modulus: Measure(Pressure, Positive);
        /// Shear strength, the low end of the band.
        expected shear_strength_low: Measure(Pressure, Positive);
        /// Shear strength, the high end of the band.
        expected shear_strength_high: Measure(Pressure, Positive);
        /// How much of its length a cord of it stretches by when it breaks, the low end.
        expected elongation_at_break: Number(Positive);
        /// Tensile strength, the low end.
        expected tensile_strength: Measure(Pressure, Positive);
        /// Pressure with which a screw in a hole crushes it, the low end.
        expected bearing_strength: Measure(Pressure, Positive);
        /// Bending strength of sheet in its weaker direction, the low end; of a metal what it bears without staying bent.
        expected bending_strength: Measure(Pressure, Positive);
        /// The heat at which it goes soft, the low end.
        expected softens_at: Measure(Temperature, Any);
        /// Whether fins of high-power rockets are made of it.
        expected for_fins: Truth;
        /// Shear stress at which its surface gives way under glue, the low end.
        expected glue_line_strength: Measure(Pressure, Positive);
        /// The least difference of diameters with which a plug slides in a tube of it, damp and warm days counted.
        expected tightest_slide: Measure(Length, Positive);
        /// The greatest difference of diameters with which a plug does not wobble in a tube of it.
        expected loosest_slide: Measure(Length, Positive);
        /// The thinnest wall of tubes of it.
        expected thinnest_wall: Measure(Length, Positive);
        /// The thickest wall of tubes of it.
        expected thickest_wall: Measure(Length, Positive);
        /// Whether glue soaks into it.
        expected porous: Truth;
        /// Whether it is a metal.
        expected metal: Truth;
        /// Whether liquid threadlocker makes it crack under load.
        expected cracked_by_threadlocker: Truth;
        /// Whether heat melts it before it chars.
        expected melts: Truth;
        /// Whether a tracker's signal passes through it.
        expected transparent_to_radio: Truth;
        /// Other spellings.
        optional also: Texts;
    }

    /// How the outside of a rocket is finished.
    FINISH: Finish as finish = "finish" {
        /// Equivalent height of its roughness.
        expected roughness: Measure(Length, NotNegative);
        /// Other spellings.
        optional also: Texts;
    }

    /// A kind of adhesive.
    ADHESIVE: Adhesive as adhesive = "adhesive" {
        /// Average shear stress that a good bond of strong parts bears, the low end.
        expected shear_strength: Measure(Pressure, Positive);
        /// Where it begins to go soft, the low end.
        expected softens_at: Measure(Temperature, Any);
        /// Where the best of its kind have gone soft.
        expected soft_by: Measure(Temperature, Any);
        /// The coldest at which it hardens.
        expected coldest: Measure(Temperature, Any);
        /// How long it hardens before it may be loaded, at room temperature.
        expected hardens_in: Measure(Time, Positive);
        /// Whether it is mixed of two parts.
        expected two_part: Truth;
        /// Whether it may hold what the flight depends on.
        expected structural: Truth;
        /// Whether it holds only what it soaks into.
        expected for_porous_only: Truth;
        /// Other spellings.
        optional also: Texts;
    }

    /// A family of electrical connections.
    CONNECTOR_FAMILY: ConnectorFamily as connector_family = "connector_family" {
        /// What it is.
        expected doc: Text;
        /// Whether it goes together in one way only.
        expected keyed: Truth;
        /// Whether it parts only by a deliberate act.
        expected locking: Truth;
        /// Whether it can be unplugged at all.
        expected separable: Truth;
        /// The open contacts it is made of, where families of other names have the same: they go on one another.
        optional contacts_of: Text;
        /// Other spellings.
        optional also: Texts;
    }

    /// A kind of cell that batteries are made of.
    CELL: Cell as cell = "cell" {
        /// Its nominal voltage.
        expected nominal: Measure(Voltage, Positive);
        /// Its voltage when it is full and nothing is drawn.
        expected full: Measure(Voltage, Positive);
        /// The part of its resistance that does not go with its size.
        expected least_resistance: Measure(Resistance, NotNegative);
        /// The part of its resistance that goes with its size: of a cell of 1 A·h, when it is fresh and warm.
        expected resistance_at_one_amp_hour: Measure(Resistance, NotNegative);
        /// Whether a pack of them burns when it is pierced.
        expected burns_when_pierced: Truth;
        /// Other spellings.
        optional also: Texts;
    }

    /// A size of wire.
    WIRE: Wire as wire = "wire" {
        /// Cross-section of its copper.
        expected area: Measure(Area, Positive);
        /// Other spellings.
        optional also: Texts;
    }
}

macro_rules! table_kinds {
    ($( $file:ident $group:ident $row:ident $name:literal )*) => { $(
        crate::entity_types! {
            /// Rows of a table that share a source.
            GROUP: $group as group = "group" {
                /// Where the rows come from.
                required source: One(crate::tables::Citation);
                /// The rows by name.
                required rows: Many(crate::tables::$row);
            }

            /// A table of the trade.
            FILE: $file as file = "table" {
                /// Its name.
                required table: Word(&[$name]);
                /// What it lists.
                required about: Text;
                /// Its rows, in groups that share a source.
                required groups: List($group);
            }
        }
    )* };
}

/// A table: the types of its rows and its file, and what is built in of it.
struct Table {
    name: &'static str,
    row: &'static EntityType,
    file: &'static EntityType,
    path: &'static str,
    text: &'static str,
    /// Its tree as the build script wrote it down.
    tree: &'static [u8],
}

macro_rules! tables {
    ($( $module:ident $row:ident $name:literal )*) => {
        $( #[allow(unreachable_pub, reason = "a table's own kinds are used here only")] mod $module {
            table_kinds! { File Group $row $name }
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
    threads Thread "threads"
    drills Drill "drills"
    tap_drills TapDrill "tap_drills"
    clearance_drills ClearanceDrill "clearance_drills"
    materials Material "materials"
    connectors ConnectorFamily "connectors"
    finishes Finish "finishes"
    wires Wire "wires"
    adhesives Adhesive "adhesives"
    cells Cell "cells"
}

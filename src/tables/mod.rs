//! Tables of the trade: threads, drills, tap and clearance drills, materials, connector families, wires,
//! adhesives, finishes. Data in `rules/tables/`, a source for each group.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use crate::quantity::Dimension as D;
use crate::text::{Parsed, Problem, Source, Tree};
use crate::vocabulary::{EntityId, Kind, Rows, Shape, Sign, State, Store, Value};

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

/// The text of a built-in table, and its tree as the build script wrote it down.
struct Text {
    file: &'static str,
    text: &'static str,
    tree: &'static [u8],
}

impl Text {
    fn source(&self) -> Source {
        Source::built_in(self.file, self.text)
    }

    /// Its tree; parsed where what was prepared cannot be read, as never happens.
    fn parsed(&self, source: &Source) -> Parsed {
        match Tree::prepared(self.text, self.tree) {
            Some(tree) => Parsed { tree: Some(tree), problems: Vec::new() },
            None => Tree::parse(source),
        }
    }
}

macro_rules! tables {
    ($( $module:ident $row:ident $name:literal )*) => {
        $( #[allow(unreachable_pub, reason = "a table's own kinds are used here only")] mod $module {
            use crate::vocabulary::Shape;
            table_kinds! { FILE GROUP $row $name }
        } )*

        /// Every table: its name, the kind of its rows, the kind of its file, its text.
        static FILES: &[(&str, &Kind, &Kind, Text)] = &[ $(
            ($name, &$row, &$module::FILE, Text {
                file: concat!("rules/tables/", $name, ".yaml"),
                text: include_str!(concat!("../../rules/tables/", $name, ".yaml")),
                tree: include_bytes!(concat!(env!("OUT_DIR"), "/rules/tables/", $name, ".tree")),
            })
        ),* ];
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

/// All rows of all tables.
#[derive(Debug, Default)]
pub struct Tables {
    store: Store,
    names: BTreeMap<(&'static str, String), EntityId>,
    problems: Vec<(&'static str, Problem)>,
}

static BUILT_IN: LazyLock<Tables> = LazyLock::new(Tables::load);

impl Tables {
    /// The tables built into the program.
    #[must_use]
    pub fn built_in() -> &'static Self {
        &BUILT_IN
    }

    fn load() -> Self {
        let mut tables = Self { store: Store::tables(), ..Self::default() };
        for (name, kind, file, text) in FILES {
            let source = text.source();
            let parsed = text.parsed(&source);
            tables.problems.extend(parsed.problems.into_iter().map(|p| (*name, p)));
            if let Some(tree) = parsed.tree {
                let reading = crate::vocabulary::read_table(file, &source, &tree);
                tables.problems.extend(reading.problems.into_iter().map(|p| (*name, p)));
                tables.store.absorb(reading.store);
            }
            let rows: Vec<EntityId> = tables.store.of_kind(kind).collect();
            for row in rows {
                let Some(entity) = tables.store.get(row) else { continue };
                tables.names.insert((kind.name, entity.name.to_string()), row);
                let also = kind.slot("also").map(|slot| &entity.slot(slot).state);
                if let Some(State::Known(Value::Texts(spellings))) = also {
                    for spelling in spellings.iter() {
                        tables.names.entry((kind.name, spelling.to_string())).or_insert(row);
                    }
                }
            }
        }
        tables
    }

    /// Everything that is wrong with the tables; none in a released program.
    #[must_use]
    pub fn problems(&self) -> &[(&'static str, Problem)] {
        &self.problems
    }

    /// The rows as things.
    #[must_use]
    pub fn store(&self) -> &Store {
        &self.store
    }

    /// The quantity in a field of a row.
    #[must_use]
    pub fn quantity(&self, row: EntityId, key: crate::vocabulary::Key) -> Option<crate::quantity::Quantity> {
        match &self.store.get(row)?.slot(key.slot).state {
            State::Known(Value::Quantity(quantity)) => Some(*quantity),
            _ => None,
        }
    }

    /// The drills of one series, smallest first.
    #[must_use]
    pub fn drills(&self, series: &[&str]) -> Vec<EntityId> {
        let mut drills: Vec<EntityId> = self
            .store
            .of_kind(&DRILL)
            .filter(|id| {
                let state = self.store.get(*id).map(|e| &e.slot(drill::series.slot).state);
                matches!(state, Some(State::Known(Value::Word(word))) if series.contains(word))
            })
            .collect();
        let size = |id: &EntityId| self.quantity(*id, drill::diameter).map_or(0.0, |q| q.si);
        drills.sort_by(|a, b| size(a).total_cmp(&size(b)));
        drills
    }
}

impl Rows for Tables {
    fn find(&self, table: &'static Kind, name: &str) -> Option<EntityId> {
        let found = self.names.get(&(table.name, name.to_owned()));
        // A word is the same word with a capital.
        found.or_else(|| self.names.get(&(table.name, name.to_lowercase()))).copied()
    }

    fn names(&self, table: &'static Kind) -> Vec<String> {
        self.store.of_kind(table).filter_map(|id| self.store.get(id)).map(|e| e.name.to_string()).collect()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test may panic")]
    use super::*;

    #[test]
    fn the_built_in_tables_are_in_order() {
        let tables = Tables::built_in();
        assert_eq!(tables.problems(), []);
        let thread = tables.find(&THREAD, "#2-56").unwrap();
        assert_eq!(tables.store().get(thread).unwrap().name.as_ref(), "2-56");
        assert_eq!(tables.quantity(thread, thread::major_diameter).unwrap().to_string(), "0.086 in");
        assert_eq!(tables.drills(&["fraction"]).len(), 64);
    }

    #[test]
    fn a_prepared_table_is_the_table_as_it_is_written() {
        for (name, _, _, text) in FILES {
            let parsed = Tree::parse(&text.source());
            assert_eq!(parsed.problems, [], "{name}");
            assert_eq!(Tree::prepared(text.text, text.tree), parsed.tree, "{name}");
        }
    }

    #[test]
    fn a_clearance_drill_is_sold_and_lets_its_thread_pass() {
        let tables = Tables::built_in();
        let sold: Vec<f64> = tables
            .drills(&["fraction", "number", "letter", "metric"])
            .into_iter()
            .filter_map(|id| tables.quantity(id, drill::diameter))
            .map(|q| q.si)
            .collect();
        for name in Rows::names(tables, &THREAD) {
            let thread = tables.find(&THREAD, &name).unwrap();
            let row = tables.find(&CLEARANCE_DRILL, &name).expect(&name);
            let major = tables.quantity(thread, thread::major_diameter).unwrap().si;
            let hole = tables.quantity(row, clearance_drill::diameter).unwrap().si;
            assert!(hole > major && hole < 1.11 * major, "{name}: {hole} for {major}");
            assert!(sold.iter().any(|s| (s - hole).abs() < 2.6e-6), "{name}: {hole} is no drill");
        }
    }
}

//! Tables of the trade: threads, drills, tap and clearance drills, materials, connector families, wires,
//! adhesives, finishes. Data in `rules/tables/`, a source for each group.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use crate::quantity::{Area, Density, Dimensional, Length, Pressure, Quantity, Styled, Temperature, Time};
use crate::text::{Parsed, Problem, Source, Tree};
use crate::vocabulary::{EntityId, EntityType, Id, IdOf, Key, Kind, Rows, State, Store, Value};

crate::kinds! {
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
        /// Shear modulus, the low end.
        expected shear_modulus: Measure(Pressure, Positive);
        /// Shear strength, the low end of the band.
        expected shear_strength_low: Measure(Pressure, Positive);
        /// Shear strength, the high end of the band.
        expected shear_strength_high: Measure(Pressure, Positive);
        /// Tensile strength, the low end.
        expected tensile_strength: Measure(Pressure, Positive);
        /// Pressure with which a screw in a hole crushes it, the low end.
        expected bearing_strength: Measure(Pressure, Positive);
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
        /// Goes together in one way only.
        expected keyed: Truth;
        /// Parts only by a deliberate act.
        expected locking: Truth;
        /// Can be unplugged at all.
        expected separable: Truth;
        /// The open contacts it is made of, where families of other names have the same: they go on one another.
        optional contacts_of: Text;
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
        crate::kinds! {
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
            table_kinds! { File Group $row $name }
        } )*

        /// Every table: its name, the kind of its rows, the kind of its file, its text.
        static FILES: &[(&str, &Kind, &Kind, Text)] = &[ $(
            ($name, $row::KIND, &$module::FILE, Text {
                file: concat!("rules/tables/", $name, ".yaml"),
                text: include_str!(concat!("../../rules/tables/", $name, ".yaml")),
                tree: include_bytes!(concat!(env!("OUT_DIR"), "/rules/tables/", $name, ".tree")),
            })
        ),* ];
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
    pub fn quantity<E: EntityType, T: Dimensional>(
        &self,
        row: impl IdOf<E>,
        key: Key<E, T>,
    ) -> Option<Quantity> {
        self.store.get(row.into())?.get_as(key).map(Styled::<T>::quantity)
    }

    /// The quantity in a field of a row, of a type that the compiler knows.
    #[must_use]
    pub fn styled<E: EntityType, T: Dimensional>(&self, row: Id<E>, key: Key<E, T>) -> Option<Styled<T>> {
        self.store.get(row.any())?.get_as(key)
    }

    /// A row by its name.
    #[must_use]
    pub fn row<E: EntityType>(&self, name: &str) -> Option<Id<E>> {
        self.find(E::KIND, name).map(Id::trusted)
    }

    /// The drills of one series, smallest first.
    #[must_use]
    pub fn drills(&self, series: &[&str]) -> Vec<EntityId> {
        let mut drills: Vec<EntityId> = self
            .store
            .of_kind(&DRILL)
            .filter(|id| {
                let word = self.store.get(*id).and_then(|e| e.get(drill::series));
                word.is_some_and(|word| series.contains(&word))
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

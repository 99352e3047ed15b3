//! The rows of all tables by name: those that are built in, and those of a club's own files.

use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock};

use super::{
    CLEARANCE_DRILL, DRILL, SOURCE, TABLES, TAP_DRILL, THREAD, Table, drill, source as cited, tap_drill,
};
use crate::quantity::{Dimensional, Length, Quantity, Styled};
use crate::vocabulary::{
    EntityId, EntityType, Id, IdOf, Key, Rows, State, Store, Typed, Value, read_table, suggest,
};
use crate::yaml::{Problem, Source, Span, Tree, in_order};

/// A problem with the file it is about.
type Placed = (Arc<Source>, Problem);

/// A drill of the tables.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrillSize {
    /// Its row.
    pub row: EntityId,
    /// The series it is sold in.
    pub series: &'static str,
    /// Its diameter.
    pub diameter: Quantity,
}

/// All rows of all tables. Those of a club stand behind the built-in ones, so that a row that is built in has the same
/// identity whatever a club adds.
#[derive(Clone, Debug, Default)]
pub struct Tables {
    store: Store,
    /// By the name of a table's kind: rows by their names and other spellings.
    names: BTreeMap<&'static str, BTreeMap<String, EntityId>>,
    /// The files, in their order, each with the number of entities after it was read.
    files: Vec<(Arc<Source>, usize)>,
    /// The drills, smallest first.
    drills: Vec<DrillSize>,
    problems: Vec<Placed>,
}

static BUILT_IN: LazyLock<Arc<Tables>> = LazyLock::new(|| Arc::new(Tables::load()));

/// A row as it is entered: its identity, its name, other spellings of it, each with its place.
type Named = (EntityId, Vec<(Arc<str>, Span)>);

impl Tables {
    /// The tables built into the program.
    #[must_use]
    pub fn built_in() -> &'static Arc<Self> {
        &BUILT_IN
    }

    fn load() -> Self {
        let mut tables = Self { store: Store::tables(), ..Self::default() };
        for table in TABLES {
            let source = Arc::new(Source::built_in(table.path, table.text));
            match Tree::prepared(table.text, table.tree) {
                Some(tree) => tables.add(table, source, &tree),
                // What was prepared can always be read.
                None => tables.parse(&source, |_, _| Ok(table)),
            }
        }
        tables.sort_drills();
        tables
    }

    /// Whether a source is the text of a table that is built in.
    #[must_use]
    pub fn has_built_in(source: &Source) -> bool {
        TABLES.iter().any(|table| table.text == source.text())
    }

    /// These tables with the rows of a club's own files; what is wrong with those is among [`Self::problems`].
    #[must_use]
    pub fn with(&self, files: Vec<Source>) -> Self {
        let mut tables = self.clone();
        let first = tables.store.all().count();
        for source in files {
            tables.parse(&Arc::new(source), table_of);
        }
        tables.check_sources(first);
        tables.check_drills(first);
        tables.sort_drills();
        tables
    }

    /// The files of a club's own, in their order.
    pub fn of_club(&self) -> impl Iterator<Item = &Arc<Source>> {
        self.files.iter().map(|(source, _)| source).skip(TABLES.len())
    }

    fn parse(
        &mut self,
        source: &Arc<Source>,
        table: impl Fn(&Source, &Tree) -> Result<&'static Table, Problem>,
    ) {
        let parsed = Tree::parse(source);
        self.report(source, parsed.problems);
        let Some(tree) = parsed.tree else { return };
        match table(source, &tree) {
            Ok(table) => self.add(table, Arc::clone(source), &tree),
            Err(problem) => self.report(source, vec![problem]),
        }
    }

    fn report(&mut self, source: &Arc<Source>, problems: Vec<Problem>) {
        self.problems.extend(in_order(problems).into_iter().map(|problem| (Arc::clone(source), problem)));
    }

    /// Adds the rows of a file.
    fn add(&mut self, table: &'static Table, source: Arc<Source>, tree: &Tree) {
        let reading = read_table(table.file, &source, tree);
        self.report(&source, reading.problems);
        let before = self.store.all().count();
        self.store.absorb(reading.store);
        self.files.push((Arc::clone(&source), self.store.all().count()));
        let also = table.row.slot("also");
        let rows = self.store.all().skip(before).filter(|(_, entity)| entity.entity_type == table.row);
        let rows: Vec<Named> = rows
            .map(|(id, entity)| {
                let mut names = vec![(Arc::clone(&entity.name), entity.key)];
                let slot = also.map(|also| entity.slot(also));
                if let Some(State::Known(Value::Texts(spellings))) = slot.map(|slot| &slot.state) {
                    let items = slot.and_then(|slot| slot.node).map_or(&[][..], |node| tree.items(node));
                    let places = items.iter().map(|item| tree.span(*item));
                    names.extend(spellings.iter().cloned().zip(places));
                }
                (id, names)
            })
            .collect();
        let mut clashes = Vec::new();
        for (id, names) in rows {
            for (name, place) in names {
                match self.find(table.row, &name).filter(|other| *other != id) {
                    Some(other) => clashes.push(self.clash(table, &name, (&source, place), other)),
                    None => {
                        self.names.entry(table.row.name).or_default().insert(name.to_string(), id);
                    }
                }
            }
        }
        self.report(&source, clashes);
    }

    /// The file that a row stands in.
    fn source_of(&self, row: EntityId) -> Option<&Arc<Source>> {
        self.files.iter().find(|(_, end)| row.index() < *end).map(|(source, _)| source)
    }

    /// Says that a name is taken, and by whom.
    fn clash(&self, table: &Table, name: &str, here: (&Arc<Source>, Span), other: EntityId) -> Problem {
        let message = format!("`{name}` names {} already", table.row.with_article());
        let help = "give the row a name of its own, or leave it out and name the one that there is";
        let (Some(taken), Some(entity)) = (self.source_of(other), self.store.get(other)) else {
            return Problem::at(here.1, message).help(help);
        };
        if Arc::ptr_eq(taken, here.0) {
            return Problem::at(here.1, message).help(help).related(entity.key, "this one".to_owned());
        }
        let line = taken.position(entity.key.start).line;
        let whose = if other.index() < self.built_in_count() { "built in, " } else { "" };
        Problem::at(here.1, format!("{message}: `{}` ({whose}{}, line {line})", entity.name, taken.name()))
            .help(help)
    }

    /// The number of entities that the built-in files hold.
    fn built_in_count(&self) -> usize {
        TABLES.len().checked_sub(1).and_then(|last| self.files.get(last)).map_or(usize::MAX, |(_, end)| *end)
    }

    /// Tells of sources of a club's groups that name none.
    fn check_sources(&mut self, first: usize) {
        let names_one =
            [cited::title.slot, cited::common_practice.slot, cited::club.slot, cited::from_memory.slot];
        let mut found = Vec::new();
        for (id, entity) in self.store.all().skip(first).filter(|(_, entity)| entity.entity_type == &SOURCE) {
            let named = names_one.iter().any(|slot| matches!(entity.slot(*slot).state, State::Known(_)));
            if !named {
                let problem =
                    Problem::at(entity.span, "this source names nothing that a reader could look up or ask")
                        .help(
                            "write a `title`, what is `common_practice`, the `club`, or `from_memory: true`",
                        );
                found.push((id, problem));
            }
        }
        self.tell_of(found);
    }

    /// Tells of a club's drills for threads that there are not, and of tap drills that are no drills: nothing would find them.
    fn check_drills(&mut self, first: usize) {
        let mut found = Vec::new();
        for (id, entity) in self.store.all().skip(first) {
            let mut due = |table: &'static EntityType, name: &str, place: Span| {
                if self.find(table, name).is_none() {
                    let near = suggest(name, self.rows(table)).map(|near| format!("did you mean `{near}`?"));
                    let message = format!("`{name}` is not {} in the tables", table.with_article());
                    found.push((id, Problem::at(place, message).maybe_help(near)));
                }
            };
            if entity.entity_type == &CLEARANCE_DRILL {
                due(&THREAD, &entity.name, entity.key);
            } else if entity.entity_type == &TAP_DRILL {
                for (key, table) in [(tap_drill::thread, &THREAD), (tap_drill::drill, &DRILL)] {
                    let slot = entity.slot(key.slot);
                    if let (State::Known(Value::Text(name)), Some(place)) = (&slot.state, slot.place) {
                        due(table, name, place);
                    }
                }
            }
        }
        self.tell_of(found);
    }

    fn tell_of(&mut self, found: Vec<(EntityId, Problem)>) {
        for (id, problem) in found {
            if let Some(source) = self.source_of(id).cloned() {
                self.report(&source, vec![problem]);
            }
        }
    }

    fn sort_drills(&mut self) {
        let mut drills: Vec<DrillSize> = self
            .store
            .all()
            .filter(|(_, entity)| entity.entity_type == &DRILL)
            .filter_map(|(row, entity)| {
                let diameter: Styled<Length> = entity.get_as(drill::diameter)?;
                Some(DrillSize { row, series: entity.get(drill::series)?, diameter: diameter.quantity() })
            })
            .collect();
        drills.sort_by(|a, b| a.diameter.si.total_cmp(&b.diameter.si));
        self.drills = drills;
    }

    /// Everything that is wrong with the tables, each with its file; none in those that are built in.
    #[must_use]
    pub fn problems(&self) -> &[(Arc<Source>, Problem)] {
        &self.problems
    }

    /// The rows as entities.
    #[must_use]
    pub fn store(&self) -> &Store {
        &self.store
    }

    /// The quantity in a field of a row.
    #[must_use]
    pub fn quantity<E: Typed, T: Dimensional>(&self, row: impl IdOf<E>, key: Key<E, T>) -> Option<Quantity> {
        self.store.get(row.into())?.get_as(key).map(Styled::<T>::quantity)
    }

    /// The quantity in a field of a row, of a type that the compiler knows.
    #[must_use]
    pub fn styled<E: Typed, T: Dimensional>(&self, row: Id<E>, key: Key<E, T>) -> Option<Styled<T>> {
        self.store.get(row.any())?.get_as(key)
    }

    /// A row by its name.
    #[must_use]
    pub fn row<E: Typed>(&self, name: &str) -> Option<Id<E>> {
        self.find(E::TYPE, name).map(Id::trusted)
    }

    /// The drills, smallest first.
    #[must_use]
    pub fn drills(&self) -> &[DrillSize] {
        &self.drills
    }

    fn rows(&self, table: &'static EntityType) -> impl Iterator<Item = &str> {
        self.store
            .all()
            .filter(move |(_, entity)| entity.entity_type == table)
            .map(|(_, entity)| &*entity.name)
    }
}

impl Rows for Tables {
    fn find(&self, table: &'static EntityType, name: &str) -> Option<EntityId> {
        let names = self.names.get(table.name)?;
        // A word is the same word with a capital.
        names.get(name).or_else(|| names.get(&name.to_lowercase())).copied()
    }

    fn names(&self, table: &'static EntityType) -> Vec<String> {
        self.rows(table).map(str::to_owned).collect()
    }
}

/// The table that a file of a club adds to.
fn table_of(_: &Source, tree: &Tree) -> Result<&'static Table, Problem> {
    let known: Vec<&str> = TABLES.iter().map(|table| table.name).collect();
    let help = format!("it is one of {}", known.join(", "));
    let Some(entry) = tree.get(tree.root(), "table") else {
        let message = "a table says which one it adds to: `table` is missing here";
        return Err(Problem::at(tree.span(tree.root()), message).help(help));
    };
    let name = tree.scalar(entry.value).map_or("", |scalar| &scalar.value);
    TABLES.iter().find(|table| table.name == name).ok_or_else(|| {
        let help =
            suggest(name, known.iter().copied()).map_or(help, |near| format!("did you mean `{near}`?"));
        Problem::at(tree.span(entry.value), format!("`{name}` is no table")).help(help)
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test may panic")]
    use super::super::{clearance_drill, thread};
    use super::*;

    #[test]
    fn the_built_in_tables_are_in_order() {
        let tables = Tables::built_in();
        assert!(tables.problems().is_empty(), "{:?}", tables.problems());
        let thread = tables.find(&THREAD, "#2-56").unwrap();
        assert_eq!(tables.store().get(thread).unwrap().name.as_ref(), "2-56");
        assert_eq!(tables.quantity(thread, thread::major_diameter).unwrap().to_string(), "0.086 in");
        assert_eq!(tables.drills().iter().filter(|d| d.series == "fraction").count(), 64);
    }

    #[test]
    fn a_prepared_table_is_the_table_as_it_is_written() {
        for table in TABLES {
            let parsed = Tree::parse(&Source::built_in(table.path, table.text));
            assert_eq!(parsed.problems, [], "{}", table.path);
            assert_eq!(Tree::prepared(table.text, table.tree), parsed.tree, "{}", table.path);
        }
    }

    #[test]
    fn a_clearance_drill_is_sold_and_lets_its_thread_pass() {
        let tables = Tables::built_in();
        let sold: Vec<f64> = tables.drills().iter().map(|drill| drill.diameter.si).collect();
        for name in Rows::names(&**tables, &THREAD) {
            let thread = tables.find(&THREAD, &name).unwrap();
            let row = tables.find(&CLEARANCE_DRILL, &name).expect(&name);
            let major = tables.quantity(thread, thread::major_diameter).unwrap().si;
            let hole = tables.quantity(row, clearance_drill::diameter).unwrap().si;
            assert!(hole > major && hole < 1.11 * major, "{name}: {hole} for {major}");
            assert!(sold.iter().any(|s| (s - hole).abs() < 2.6e-6), "{name}: {hole} is no drill");
        }
    }
}

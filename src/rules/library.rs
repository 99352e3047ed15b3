//! Packs compiled: the catalogue with their derived quantities, their rules checked.

use std::collections::HashMap;
use std::sync::Arc;

use super::active::{ActiveDerived, ActiveLimit, ActivePack, DerivedExpr, Rule};
use super::built_in::{BUILT_IN, BuiltIn};
use super::code::Applies;
use super::compile::{Compiler, ParsedPack, place};
use super::inspect::constant_problem;
use super::pack::{DERIVED, LIMIT, RULE, derived, limit, pack};
use super::trial::LaterTrials;
use super::{OwnRule, PACK, Settings};
use crate::language::{Constant, LanguageError};
use crate::model::{Body, Catalogue, DerivedBody, Entry, Environment, catalogue};
use crate::quantity::Quantity;
use crate::tables::Citation;
use crate::tables::{SOURCE, Tables, source as cited};
use crate::text::{Problem, Source, Tree, in_order};
use crate::vocabulary::{Date, Entity, Id, IdOf, Key, State, Store, Typed, read};

/// All packs, compiled.
#[derive(Clone, Debug)]
pub struct Library {
    /// Every quantity a rule may name.
    pub catalogue: Arc<Catalogue>,
    /// Every row that a design may name.
    pub tables: Arc<Tables>,
    /// The packs.
    pub packs: Vec<ActivePack>,
    /// The quantities that the packs work out in words, in the order of the packs.
    pub derived: Vec<ActiveDerived>,
    /// The rules, in the order of the packs.
    pub rules: Vec<Rule>,
    /// What is wrong with the packs, each with its file. Other packs and rules are not affected.
    pub problems: Vec<(Arc<Source>, Problem)>,
}

/// What comes into force beside what is built in.
#[derive(Clone, Debug, Default)]
pub struct More {
    /// Packs.
    pub packs: Vec<Source>,
    /// Tables.
    pub tables: Vec<Source>,
}

impl From<Vec<Source>> for More {
    fn from(packs: Vec<Source>) -> Self {
        Self { packs, tables: Vec::new() }
    }
}

impl Library {
    /// The packs built into the program.
    #[must_use]
    pub fn built_in() -> Self {
        Self::load(Vec::new())
    }

    /// The built-in packs and tables, and more.
    #[must_use]
    pub fn load(more: impl Into<More>) -> Self {
        Self::load_set(more, &Settings::default())
    }

    /// The built-in packs and tables, and more, with the limits and levels of a club's settings.
    #[must_use]
    pub fn load_set(more: impl Into<More>, settings: &Settings) -> Self {
        let More { packs, tables } = more.into();
        let own = BUILT_IN.iter().map(BuiltIn::source);
        Self::compile_set(own.chain(packs).collect(), tables, settings)
    }

    /// The built-in packs and tables, and more; a pack that bears the name of a built-in one takes its place.
    #[must_use]
    pub fn load_instead(more: impl Into<More>) -> Self {
        let More { packs, tables } = more.into();
        let names: Vec<String> = packs.iter().filter_map(pack_name).collect();
        let own = BUILT_IN
            .iter()
            .map(BuiltIn::source)
            .filter(|source| !pack_name(source).is_some_and(|name| names.contains(&name)));
        Self::compile_set(own.chain(packs).collect(), tables, &Settings::default())
    }

    /// What a design is evaluated in by these packs on a day.
    #[must_use]
    pub fn environment(&self, today: Date) -> Environment<'_> {
        Environment { catalogue: &self.catalogue, tables: &self.tables, today }
    }

    /// Compiles packs, in order; later packs may use the derived quantities of earlier ones.
    #[must_use]
    pub fn compile(sources: Vec<Source>) -> Self {
        Self::compile_set(sources, Vec::new(), &Settings::default())
    }

    fn compile_set(sources: Vec<Source>, tables: Vec<Source>, settings: &Settings) -> Self {
        let own = Tables::built_in();
        let tables = if tables.is_empty() { Arc::clone(own) } else { Arc::new(own.with(tables)) };
        let mut library = Self {
            catalogue: Arc::default(),
            problems: tables.problems().to_vec(),
            tables,
            packs: Vec::new(),
            derived: Vec::new(),
            rules: Vec::new(),
        };
        let mut opened = Vec::new();
        for source in sources {
            if let Some(pack) = library.open(Arc::new(source)) {
                opened.push(pack);
            }
        }
        library.set_limits(&mut opened, settings);
        let mut catalogue = catalogue();
        for pack in &opened {
            library.add_derived(pack, &mut catalogue);
        }
        library.catalogue = Arc::new(catalogue);
        let mut names = HashMap::new();
        for pack in opened.into_iter().map(Arc::new) {
            library.add_rules(&pack, &mut names);
            library.add_code(&pack);
        }
        library.set_levels(settings);
        library.check_codes(settings);
        library
    }

    /// The rule of a name.
    #[must_use]
    pub fn rule(&self, name: &str) -> Option<&Rule> {
        self.rules.iter().find(|r| r.name == name)
    }

    fn open(&mut self, source: Arc<Source>) -> Option<ParsedPack> {
        let built_in = BuiltIn::of(&source);
        let tree = match built_in.and_then(BuiltIn::tree) {
            Some(prepared) => prepared,
            None => {
                let parsed = Tree::parse(&source);
                let problems = in_order(parsed.problems).into_iter();
                self.problems.extend(problems.map(|p| (Arc::clone(&source), p)));
                parsed.tree?
            }
        };
        let reading = read(&PACK, &source, &tree, None);
        self.problems.extend(in_order(reading.problems).into_iter().map(|p| (Arc::clone(&source), p)));
        let store = reading.store;
        let root = store.get(store.root())?;
        let name = text(&store, store.root(), pack::pack).unwrap_or_default();
        if self.packs.iter().any(|p| p.name == name) {
            let span = root.slot(pack::pack.slot).place.unwrap_or_default();
            self.problems.push((
                Arc::clone(&source),
                Problem::at(span, format!("a pack named `{name}` is already in force")),
            ));
            return None;
        }
        let trials = built_in.map(|_| Arc::new(LaterTrials::of(&source)));
        let mut opened = ParsedPack {
            source,
            tree: Arc::new(tree),
            store,
            name: name.clone(),
            limits: Vec::new(),
            trials,
        };
        let mut limits = Vec::new();
        for id in opened.store.of_kind(&LIMIT) {
            let Some(entity) = opened.store.get(id) else { continue };
            let Some(is) = text(&opened.store, id, limit::is) else { continue };
            match Quantity::read(&is) {
                Ok(value) => limits.push(ActiveLimit {
                    name: entity.name.to_string(),
                    value,
                    doc: text(&opened.store, id, limit::doc).unwrap_or_default(),
                    citation: cite(&opened.store, id, limit::source),
                    place: entity.key,
                }),
                Err(error) => {
                    let node = entity.slot(limit::is.slot).node;
                    let error = LanguageError {
                        message: error.message,
                        range: error.range,
                        help: error.help,
                        also: None,
                    };
                    self.problems.push((Arc::clone(&opened.source), place(&opened, node, &error)));
                }
            }
        }
        opened.limits = limits.iter().map(|l| Constant { name: l.name.clone(), value: l.value }).collect();
        let about = text(&opened.store, opened.store.root(), pack::about).unwrap_or_default();
        let names_one = |entity: &Entity| {
            [cited::title.slot, cited::common_practice.slot, cited::club.slot]
                .iter()
                .any(|slot| matches!(entity.slot(*slot).state, State::Known(_)))
        };
        let sources = opened.store.of_kind(&SOURCE).filter_map(|id| opened.store.get(id));
        let unsourced = sources.filter(|source| !names_one(source)).map(|source| source.span).collect();
        self.packs.push(ActivePack {
            name,
            about,
            limits,
            applies: Applies::Always,
            asks: Vec::new(),
            source: Arc::clone(&opened.source),
            unsourced,
        });
        Some(opened)
    }

    fn add_derived(&mut self, opened: &ParsedPack, catalogue: &mut Catalogue) {
        for id in opened.store.of_kind(&DERIVED) {
            let Some(entity) = opened.store.get(id) else { continue };
            let mut compiler = Compiler { catalogue, opened, problems: Vec::new() };
            let found = compiler.kind_of(id, derived::of).and_then(|entity_type| {
                Some((entity_type, compiler.checked(id, derived::is, entity_type, None)?))
            });
            self.take(opened, compiler.problems);
            let Some((entity_type, checked)) = found else { continue };
            let gives = checked.gives;
            let body = Arc::new(DerivedExpr(checked));
            let is = opened.text(id, derived::is).unwrap_or_default();
            let entry = Entry {
                name: entity.name.to_string(),
                doc: opened.text(id, derived::doc).unwrap_or_default(),
                gives,
                formula: is.clone(),
                source: cite(&opened.store, id, derived::source),
                body: Body::Words(Arc::clone(&body) as Arc<dyn DerivedBody>),
            };
            let number = catalogue.computed(entity_type).len();
            if !catalogue.add(entity_type, entry) {
                let message = format!("{} already has `{}`", entity_type.with_article(), entity.name);
                self.take(opened, vec![Problem::at(entity.key, message)]);
                continue;
            }
            self.derived.push(ActiveDerived {
                name: entity.name.to_string(),
                pack: opened.name.clone(),
                entity_type,
                number: u16::try_from(number).unwrap_or(u16::MAX),
                text: is,
                body,
                written: opened.place(id, derived::is.slot),
                source: Arc::clone(&opened.source),
                place: entity.key,
            });
        }
    }

    /// Takes what is wrong with a pack.
    pub(super) fn take(&mut self, opened: &ParsedPack, problems: Vec<Problem>) {
        self.problems.extend(problems.into_iter().map(|problem| (Arc::clone(&opened.source), problem)));
    }

    /// Adds the rules of a pack; `names` are those that there are, each with its number.
    fn add_rules(&mut self, opened: &Arc<ParsedPack>, names: &mut HashMap<Arc<str>, usize>) {
        for id in opened.store.of_kind(&RULE) {
            let Some(entity) = opened.store.get(id) else { continue };
            if OwnRule::of(&entity.name).is_some() {
                let message = format!("`{}` is a rule of the program itself", entity.name);
                self.take(opened, vec![Problem::at(entity.key, message)]);
                continue;
            }
            if let Some(other) = names.get(&entity.name).and_then(|number| self.rules.get(*number)) {
                let message =
                    format!("a rule named `{}` already stands in pack `{}`", entity.name, other.pack);
                self.take(opened, vec![Problem::at(entity.key, message)]);
                continue;
            }
            let catalogue = Arc::clone(&self.catalogue);
            let mut compiler = Compiler { catalogue: &catalogue, opened, problems: Vec::new() };
            let rule = compiler.rule(id, (opened, &catalogue));
            let mut problems = compiler.problems;
            if let Some(rule) = rule.filter(|_| problems.is_empty()) {
                // The project's own tests have looked through the rules of built-in packs.
                if opened.trials.is_none() {
                    let fixed = rule.fixed().into_iter().filter(|(fixed, _)| !fixed.by_limit);
                    problems.extend(fixed.map(|(fixed, place)| constant_problem(&fixed, place)));
                }
                if problems.is_empty() {
                    names.insert(Arc::clone(&entity.name), self.rules.len());
                    self.rules.push(rule);
                }
            }
            self.take(opened, problems);
        }
    }
}

fn pack_name(source: &Source) -> Option<String> {
    let prepared = BuiltIn::of(source).and_then(BuiltIn::tree);
    let tree = prepared.or_else(|| Tree::parse(source).tree)?;
    let entry = tree.get(tree.root(), "pack")?;
    tree.scalar(entry.value).map(|s| s.value.to_string())
}

/// A field that is free text.
pub(super) fn text<E: Typed>(store: &Store, id: impl IdOf<E>, key: Key<E, Arc<str>>) -> Option<String> {
    store.value(id, key).map(|text| text.to_string())
}

/// The source of an entity of a pack, as a reader wants it.
pub(super) fn cite<E: Typed>(store: &Store, id: impl IdOf<E>, key: Key<E, Id<Citation>>) -> String {
    store.value(id, key).map(|source| citation(store, source)).unwrap_or_default()
}

/// A source in one line: the work with its number and place, or the practice; what is from memory says so.
#[must_use]
pub fn citation(store: &Store, id: impl IdOf<Citation>) -> String {
    let get = |key| text(store, id, key);
    let mut parts = Vec::new();
    let work: Vec<String> =
        [get(cited::title), get(cited::number), get(cited::year)].into_iter().flatten().collect();
    if !work.is_empty() {
        parts.push(work.join(", "));
    }
    parts.extend(get(cited::clause).map(|c| format!("clause {c}")));
    parts.extend(get(cited::page).map(|p| format!("page {p}")));
    parts.extend(get(cited::common_practice).map(|p| format!("common practice: {p}")));
    parts.extend(get(cited::club).map(|c| format!("club: {c}")));
    if store.value(id, cited::from_memory) == Some(true) {
        parts.push("from memory".to_owned());
    }
    parts.extend(get(cited::note));
    parts.join("; ")
}

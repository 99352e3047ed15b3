//! Packs compiled: the catalogue with their derived quantities, their rules checked.

use std::sync::Arc;

use super::built_in::{BUILT_IN, BuiltIn};
use super::code::Applies;
use super::in_force::{DerivedInForce, InWords, LimitInForce, PackInForce, Places, Rule};
use super::inspect::told;
use super::pack::{DERIVED, LIMIT, RULE, derived, limit, pack, remedy, rule};
use super::place::Place;
use super::trial::{LaterTrials, Trials, read_trials};
use super::{HoldPoint, Level, PACK, Settings};
use crate::design::ROCKET;
use crate::language::{Checked, Constant, LanguageError, Scope, Template, check, parse};
use crate::model::{Body, Catalogue, Entry, Environment, Type, Worded, catalogue};
use crate::quantity::Quantity;
use crate::tables::{SOURCE, Tables, source as cited};
use crate::text::{NodeId, Problem, Source, Tree, in_order};
use crate::vocabulary::{Date, Entity, EntityId, Kind, State, Store, Value, read, suggest};

/// All packs, compiled.
#[derive(Clone, Debug)]
pub struct Library {
    /// Every quantity a rule may name.
    pub catalogue: Catalogue,
    /// The packs.
    pub packs: Vec<PackInForce>,
    /// The quantities that the packs work out in words, in the order of the packs.
    pub derived: Vec<DerivedInForce>,
    /// The rules, in the order of the packs.
    pub rules: Vec<Rule>,
    /// What is wrong with the packs, each with its file. Other packs and rules are not affected.
    pub problems: Vec<(Arc<Source>, Problem)>,
}

/// A pack file read, before its expressions are checked.
pub(super) struct Opened {
    pub(super) source: Arc<Source>,
    tree: Arc<Tree>,
    pub(super) store: Store,
    name: String,
    pub(super) limits: Vec<Constant>,
    /// Of a built-in pack, which the project's own tests have looked through, its trials: read when they are asked for.
    trials: Option<Arc<LaterTrials>>,
}

impl Opened {
    /// The pack's name.
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    /// Where a text of one of its things stands.
    fn place(&self, id: EntityId, slot: u16) -> Place {
        let node = self.store.get(id).and_then(|e| e.slot(slot).node);
        node.map(|node| Place::of(&self.tree, &self.source, node)).unwrap_or_default()
    }
}

impl Library {
    /// The packs built into the program.
    #[must_use]
    pub fn built_in() -> Self {
        Self::load(Vec::new())
    }

    /// The built-in packs and more.
    #[must_use]
    pub fn load(more: Vec<Source>) -> Self {
        let own = BUILT_IN.iter().map(BuiltIn::source);
        Self::compile(own.chain(more).collect())
    }

    /// The built-in packs and more, with the limits and levels of a club's settings.
    #[must_use]
    pub fn load_set(more: Vec<Source>, settings: &Settings) -> Self {
        let own = BUILT_IN.iter().map(BuiltIn::source);
        Self::compile_set(own.chain(more).collect(), settings)
    }

    /// The built-in packs and more; one that bears the name of a built-in pack takes its place.
    #[must_use]
    pub fn load_instead(more: Vec<Source>) -> Self {
        let names: Vec<String> = more.iter().filter_map(pack_name).collect();
        let own = BUILT_IN
            .iter()
            .map(BuiltIn::source)
            .filter(|source| !pack_name(source).is_some_and(|name| names.contains(&name)));
        Self::compile(own.chain(more).collect())
    }

    /// What a design is evaluated in by these packs on a day.
    #[must_use]
    pub fn environment(&self, today: Date) -> Environment<'_> {
        Environment { catalogue: &self.catalogue, tables: Tables::built_in(), today }
    }

    /// Compiles packs, in order; later packs may use the derived quantities of earlier ones.
    #[must_use]
    pub fn compile(sources: Vec<Source>) -> Self {
        Self::compile_set(sources, &Settings::default())
    }

    fn compile_set(sources: Vec<Source>, settings: &Settings) -> Self {
        let mut library = Self {
            catalogue: catalogue(),
            packs: Vec::new(),
            derived: Vec::new(),
            rules: Vec::new(),
            problems: Vec::new(),
        };
        let mut opened = Vec::new();
        for source in sources {
            if let Some(pack) = library.open(Arc::new(source)) {
                opened.push(pack);
            }
        }
        library.set_limits(&mut opened, settings);
        for pack in &opened {
            library.add_derived(pack);
        }
        for pack in &opened {
            library.add_rules(pack);
            library.add_code(pack);
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

    fn open(&mut self, source: Arc<Source>) -> Option<Opened> {
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
        let name = text(&store, store.root(), pack::pack.slot).unwrap_or_default();
        if self.packs.iter().any(|p| p.name == name) {
            let span = root.slot(pack::pack.slot).place.unwrap_or_default();
            self.problems.push((
                Arc::clone(&source),
                Problem::at(span, format!("a pack named `{name}` is already in force")),
            ));
            return None;
        }
        let trials = built_in.map(|_| Arc::new(LaterTrials::of(&source)));
        let mut opened =
            Opened { source, tree: Arc::new(tree), store, name: name.clone(), limits: Vec::new(), trials };
        let mut limits = Vec::new();
        for id in opened.store.of_kind(&LIMIT) {
            let Some(entity) = opened.store.get(id) else { continue };
            let Some(is) = text(&opened.store, id, limit::is.slot) else { continue };
            match Quantity::read(&is) {
                Ok(value) => limits.push(LimitInForce {
                    name: entity.name.to_string(),
                    value,
                    doc: text(&opened.store, id, limit::doc.slot).unwrap_or_default(),
                    citation: cite(&opened.store, id, limit::source.slot),
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
                    self.problem(&opened, node, &error);
                }
            }
        }
        opened.limits = limits.iter().map(|l| Constant { name: l.name.clone(), value: l.value }).collect();
        let about = text(&opened.store, opened.store.root(), pack::about.slot).unwrap_or_default();
        let names_one = |entity: &Entity| {
            [cited::title.slot, cited::common_practice.slot, cited::club.slot]
                .iter()
                .any(|slot| matches!(entity.slot(*slot).state, State::Known(_)))
        };
        let sources = opened.store.of_kind(&SOURCE).filter_map(|id| opened.store.get(id));
        let unsourced = sources.filter(|source| !names_one(source)).map(|source| source.span).collect();
        self.packs.push(PackInForce {
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

    /// Reports an error inside a scalar of a pack, at its own bytes where it stands letter by letter in the file.
    pub(super) fn problem(&mut self, opened: &Opened, node: Option<NodeId>, error: &LanguageError) {
        let problem = place(opened, node, error);
        self.problems.push((Arc::clone(&opened.source), problem));
    }

    fn kind_of(&mut self, opened: &Opened, id: EntityId, slot: u16) -> Option<&'static Kind> {
        let word = text(&opened.store, id, slot)?;
        let found = self.catalogue.kind(&word);
        if found.is_none() {
            let near = suggest(&word, self.catalogue.kinds().iter().map(|k| k.name));
            let error = LanguageError {
                message: format!("`{word}` is no kind of thing"),
                range: 0..word.len(),
                help: near.map(|n| format!("did you mean `{n}`?")),
                also: None,
            };
            let node = opened.store.get(id).and_then(|e| e.slot(slot).node);
            self.problem(opened, node, &error);
        }
        found
    }

    fn add_derived(&mut self, opened: &Opened) {
        for id in opened.store.of_kind(&DERIVED) {
            let Some(entity) = opened.store.get(id) else { continue };
            let Some(kind) = self.kind_of(opened, id, derived::of.slot) else { continue };
            let Some(is) = text(&opened.store, id, derived::is.slot) else { continue };
            let node = entity.slot(derived::is.slot).node;
            let scope = Scope {
                catalogue: &self.catalogue,
                subject: Some((kind.name, kind)),
                root: &ROCKET,
                limits: &opened.limits,
            };
            let checked = match parse(&is).and_then(|tree| check(&tree, &scope)) {
                Ok(checked) => checked,
                Err(error) => {
                    self.problem(opened, node, &error);
                    continue;
                }
            };
            let gives = checked.gives;
            let body = Arc::new(InWords(checked));
            let entry = Entry {
                name: entity.name.to_string(),
                doc: text(&opened.store, id, derived::doc.slot).unwrap_or_default(),
                gives,
                formula: is.clone(),
                source: cite(&opened.store, id, derived::source.slot),
                body: Body::Words(Arc::clone(&body) as Arc<dyn Worded>),
            };
            let number = self.catalogue.computed(kind).len();
            if !self.catalogue.add(kind, entry) {
                let problem =
                    Problem::at(entity.key, format!("{} already has `{}`", kind.with_article(), entity.name));
                self.problems.push((Arc::clone(&opened.source), problem));
                continue;
            }
            self.derived.push(DerivedInForce {
                name: entity.name.to_string(),
                pack: opened.name.clone(),
                kind,
                number: u16::try_from(number).unwrap_or(u16::MAX),
                text: is,
                body,
                written: node.map(|n| Place::of(&opened.tree, &opened.source, n)).unwrap_or_default(),
                source: Arc::clone(&opened.source),
                place: entity.key,
            });
        }
    }

    fn add_rules(&mut self, opened: &Opened) {
        for id in opened.store.of_kind(&RULE) {
            let Some(entity) = opened.store.get(id) else { continue };
            if let Some(other) = self.rules.iter().find(|r| *r.name == *entity.name) {
                let problem = Problem::at(
                    entity.key,
                    format!("a rule named `{}` already stands in pack `{}`", entity.name, other.pack),
                );
                self.problems.push((Arc::clone(&opened.source), problem));
                continue;
            }
            let before = self.problems.len();
            let Some(rule) = self.rule_from(opened, id).filter(|_| self.problems.len() == before) else {
                continue;
            };
            if opened.trials.is_some() {
                self.rules.push(rule);
                continue;
            }
            let fixed: Vec<Problem> = rule
                .fixed()
                .into_iter()
                .filter(|(fixed, _)| !fixed.by_limit)
                .map(|(fixed, place)| told(&fixed, place))
                .collect();
            if fixed.is_empty() {
                self.rules.push(rule);
            }
            self.problems.extend(fixed.into_iter().map(|problem| (Arc::clone(&opened.source), problem)));
        }
    }

    /// Checks one expression of a rule; an error goes to the problems.
    pub(super) fn checked(
        &mut self,
        opened: &Opened,
        id: EntityId,
        slot: u16,
        kind: &'static Kind,
        due: Option<Type>,
    ) -> Option<Checked> {
        let words = text(&opened.store, id, slot)?;
        let node = opened.store.get(id).and_then(|e| e.slot(slot).node);
        let scope = Scope {
            catalogue: &self.catalogue,
            subject: Some((kind.name, kind)),
            root: &ROCKET,
            limits: &opened.limits,
        };
        let result = parse(&words).and_then(|tree| check(&tree, &scope)).and_then(|checked| match due {
            Some(due) if checked.gives != due => Err(LanguageError {
                message: format!("{due} is due here, and this is {}", checked.gives),
                range: checked.range.clone(),
                help: Some("a requirement is a comparison or a question".to_owned()),
                also: None,
            }),
            _ => Ok(checked),
        });
        match result {
            Ok(checked) => Some(checked),
            Err(error) => {
                self.problem(opened, node, &error);
                None
            }
        }
    }

    fn rule_from(&mut self, opened: &Opened, id: EntityId) -> Option<Rule> {
        let entity = opened.store.get(id)?;
        let kind = self.kind_of(opened, id, rule::r#for.slot)?;
        if !self.catalogue.is_in_designs(kind) {
            let message = format!("no design holds {}, so this rule is about nothing", kind.with_article());
            let at = entity.slot(rule::r#for.slot).place.unwrap_or(entity.key);
            let problem =
                Problem::at(at, message).help("it is a row of a table: write the rule for what refers to it");
            self.problems.push((Arc::clone(&opened.source), problem));
        }
        let has_when = entity.slot(rule::when.slot).state != State::Absent;
        let when = if has_when {
            Some(self.checked(opened, id, rule::when.slot, kind, Some(Type::Truth)))
        } else {
            None
        };
        let require = self.checked(opened, id, rule::require.slot, kind, Some(Type::Truth));
        let finding_text = text(&opened.store, id, rule::finding.slot)?;
        let scope = Scope {
            catalogue: &self.catalogue,
            subject: Some((kind.name, kind)),
            root: &ROCKET,
            limits: &opened.limits,
        };
        let finding = Template::read(&finding_text, &scope);
        let finding = match finding {
            Ok(finding) => Some(finding),
            Err(error) => {
                self.problem(opened, entity.slot(rule::finding.slot).node, &error);
                None
            }
        };
        let remedy = self.remedy_from(opened, id, kind);
        let places = Places {
            when: opened.place(id, rule::when.slot),
            require: opened.place(id, rule::require.slot),
            finding: opened.place(id, rule::finding.slot),
            change: match entity.slot(rule::remedy.slot).state {
                State::Known(Value::Entity(remedy)) => {
                    let to = opened.store.get(remedy).is_some_and(|e| e.slot(remedy::to.slot).node.is_some());
                    opened.place(remedy, if to { remedy::to.slot } else { remedy::by.slot })
                }
                _ => Place::default(),
            },
        };
        let trials = match &opened.trials {
            Some(later) => Trials::Later(Arc::clone(later)),
            None => match read_trials(&opened.store, &opened.tree, &opened.source, id) {
                Ok(trials) => Trials::Read(trials),
                Err(problem) => {
                    self.problems.push((Arc::clone(&opened.source), problem));
                    Trials::Read(Vec::new())
                }
            },
        };
        let word = |slot: u16| match opened.store.get(id).map(|e| &e.slot(slot).state) {
            Some(State::Known(Value::Word(word))) => Some(*word),
            _ => None,
        };
        Some(Rule {
            name: entity.name.to_string(),
            pack: opened.name.clone(),
            title: text(&opened.store, id, rule::title.slot)?,
            before: HoldPoint::of(word(rule::before.slot)?)?,
            kind,
            when: match when {
                Some(when) => Some(when?),
                None => None,
            },
            require: require?,
            require_text: text(&opened.store, id, rule::require.slot)?,
            when_text: text(&opened.store, id, rule::when.slot),
            level: Level::of(word(rule::level.slot)?),
            finding: finding?,
            why: text(&opened.store, id, rule::why.slot)?,
            citation: cite(&opened.store, id, rule::source.slot),
            remedy,
            trials,
            source: Arc::clone(&opened.source),
            place: entity.key,
            places,
        })
    }
}

fn pack_name(source: &Source) -> Option<String> {
    let tree = Tree::parse(source).tree?;
    let entry = tree.get(tree.root(), "pack")?;
    tree.scalar(entry.value).map(|s| s.value.to_string())
}

fn place(opened: &Opened, node: Option<NodeId>, error: &LanguageError) -> Problem {
    let Some(node) = node else { return Problem::of_file(error.message.clone()) };
    let place = Place::of(&opened.tree, &opened.source, node);
    let mut problem =
        Problem::at(place.span(&error.range), error.message.clone()).maybe_help(error.help.clone());
    if let Some((range, label)) = &error.also {
        problem = problem.related(place.span(range), label.clone());
    }
    problem
}

/// A field that is free text.
pub(super) fn text(store: &Store, id: EntityId, slot: u16) -> Option<String> {
    match &store.get(id)?.slot(slot).state {
        State::Known(Value::Text(text)) => Some(text.to_string()),
        _ => None,
    }
}

/// The source of a thing of a pack, as a reader wants it.
pub(super) fn cite(store: &Store, id: EntityId, slot: u16) -> String {
    match store.get(id).map(|e| &e.slot(slot).state) {
        Some(State::Known(Value::Entity(source))) => citation(store, *source),
        _ => String::new(),
    }
}

/// A source in one line: the work with its number and place, or the practice; what is from memory says so.
#[must_use]
pub fn citation(store: &Store, id: EntityId) -> String {
    let get = |slot: u16| text(store, id, slot);
    let mut parts = Vec::new();
    let work: Vec<String> = [get(cited::title.slot), get(cited::number.slot), get(cited::year.slot)]
        .into_iter()
        .flatten()
        .collect();
    if !work.is_empty() {
        parts.push(work.join(", "));
    }
    parts.extend(get(cited::clause.slot).map(|c| format!("clause {c}")));
    parts.extend(get(cited::page.slot).map(|p| format!("page {p}")));
    parts.extend(get(cited::common_practice.slot).map(|p| format!("common practice: {p}")));
    parts.extend(get(cited::club.slot).map(|c| format!("club: {c}")));
    let memory = store
        .get(id)
        .is_some_and(|e| e.slot(cited::from_memory.slot).state == State::Known(Value::Truth(true)));
    if memory {
        parts.push("from memory".to_owned());
    }
    parts.extend(get(cited::note.slot));
    parts.join("; ")
}

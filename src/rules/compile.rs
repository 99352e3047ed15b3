//! The expressions of one pack checked: its rules, what they say, and what they would change.

use std::sync::{Arc, OnceLock};

use super::Remedy;
use super::active::{Places, Rule};
use super::library::{cite, text};
use super::pack::{remedy, rule};
use super::place::Place;
use super::trial::{LaterTrials, Trials, read_trials};
use crate::design::ROCKET;
use crate::language::{Checked, Constant, LanguageError, Scope, Template, check, parse};
use crate::model::{Catalogue, Type};
use crate::text::{NodeId, Problem, Source, Tree};
use crate::vocabulary::{EntityId, EntityType, IdOf, Key, State, Store, Typed, suggest};

/// A pack file read, before its expressions are checked.
#[derive(Debug)]
pub(super) struct ParsedPack {
    pub(super) source: Arc<Source>,
    pub(super) tree: Arc<Tree>,
    pub(super) store: Store,
    pub(super) name: String,
    pub(super) limits: Vec<Constant>,
    /// Of a built-in pack, which the project's own tests have looked through, its trials: read when they are asked for.
    pub(super) trials: Option<Arc<LaterTrials>>,
}

impl ParsedPack {
    /// The pack's name.
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    /// A text of one of its entities.
    pub(super) fn text<E: Typed>(&self, id: impl IdOf<E>, key: Key<E, Arc<str>>) -> Option<String> {
        text(&self.store, id, key)
    }

    /// The node of a field of one of its entities.
    pub(super) fn node(&self, id: EntityId, slot: u16) -> Option<NodeId> {
        self.store.get(id).and_then(|e| e.slot(slot).node)
    }

    /// Where a text of one of its entities stands.
    pub(super) fn place(&self, id: EntityId, slot: u16) -> Place {
        self.node(id, slot).map(|node| Place::of(&self.tree, &self.source, node)).unwrap_or_default()
    }
}

/// Compiles the expressions of one pack.
pub(super) struct Compiler<'p> {
    /// Every quantity that they may name.
    pub(super) catalogue: &'p Catalogue,
    /// The pack.
    pub(super) opened: &'p ParsedPack,
    /// What is wrong with it.
    pub(super) problems: Vec<Problem>,
}

/// What a rule says when it is not kept, and what it would change.
#[derive(Clone, Debug, Default)]
pub(super) struct Messages {
    /// Its message.
    pub(super) finding: Template,
    /// Its remedy.
    pub(super) remedy: Option<Remedy>,
}

/// The words of a rule. Those of a built-in pack are compiled when they are first asked for: most rules are kept.
#[derive(Clone, Debug)]
pub(super) struct Words {
    messages: OnceLock<Messages>,
    later: Option<(Arc<ParsedPack>, Arc<Catalogue>, EntityId)>,
    entity_type: &'static EntityType,
}

impl Words {
    /// The words, compiled if they are not yet.
    pub(super) fn messages(&self) -> &Messages {
        self.messages.get_or_init(|| {
            let Some((opened, catalogue, rule)) = &self.later else { return Messages::default() };
            let mut compiler = Compiler { catalogue, opened, problems: Vec::new() };
            // A built-in pack has no mistakes: a test compiles all of its words.
            compiler.messages(*rule, self.entity_type).unwrap_or_default()
        })
    }
}

impl<'p> Compiler<'p> {
    /// Reports an error inside a scalar of a pack, at its own bytes where it stands letter by letter in the file.
    pub(super) fn problem(&mut self, node: Option<NodeId>, error: &LanguageError) {
        let problem = place(self.opened, node, error);
        self.problems.push(problem);
    }

    /// What the names in an expression about an entity type may stand for.
    pub(super) fn scope(&self, entity_type: &'static EntityType) -> Scope<'p> {
        Scope {
            catalogue: self.catalogue,
            subject: Some((entity_type.name, entity_type)),
            root: &ROCKET,
            limits: &self.opened.limits,
        }
    }

    pub(super) fn kind_of<E: Typed>(
        &mut self,
        id: EntityId,
        key: Key<E, Arc<str>>,
    ) -> Option<&'static EntityType> {
        let word = self.opened.text(id, key)?;
        let found = self.catalogue.entity_type(&word);
        if found.is_none() {
            let near = suggest(&word, self.catalogue.kinds().iter().map(|k| k.name));
            let error = LanguageError {
                message: format!("`{word}` is not a type of part"),
                range: 0..word.len(),
                help: near.map(|n| format!("did you mean `{n}`?")),
                also: None,
            };
            let node = self.opened.node(id, key.slot);
            self.problem(node, &error);
        }
        found
    }

    /// Checks one expression of a rule; an error goes to the problems.
    pub(super) fn checked<E: Typed>(
        &mut self,
        id: EntityId,
        key: Key<E, Arc<str>>,
        entity_type: &'static EntityType,
        due: Option<Type>,
    ) -> Option<Checked> {
        let words = self.opened.text(id, key)?;
        let node = self.opened.node(id, key.slot);
        let scope = self.scope(entity_type);
        let result = parse(&words).and_then(|tree| check(&tree, &scope)).and_then(|checked| match due {
            Some(due) if checked.gives != due => Err(LanguageError {
                message: format!("expected {due}, found {}", checked.gives),
                range: checked.range.clone(),
                help: Some("a requirement is a comparison or a question".to_owned()),
                also: None,
            }),
            _ => Ok(checked),
        });
        match result {
            Ok(checked) => Some(checked),
            Err(error) => {
                self.problem(node, &error);
                None
            }
        }
    }

    /// What a rule says and would change.
    fn messages(&mut self, id: EntityId, entity_type: &'static EntityType) -> Option<Messages> {
        let finding = match Template::read(&self.opened.text(id, rule::finding)?, &self.scope(entity_type)) {
            Ok(finding) => Some(finding),
            Err(error) => {
                self.problem(self.opened.node(id, rule::finding.slot), &error);
                None
            }
        };
        let remedy = self.remedy(id, entity_type);
        Some(Messages { finding: finding?, remedy })
    }

    /// A rule of the pack.
    pub(super) fn rule(&mut self, id: EntityId, shared: (&Arc<ParsedPack>, &Arc<Catalogue>)) -> Option<Rule> {
        let opened = self.opened;
        let entity = opened.store.get(id)?;
        let entity_type = self.kind_of(id, rule::r#for)?;
        if !self.catalogue.is_in_designs(entity_type) {
            let message =
                format!("no design holds {}, so this rule is about nothing", entity_type.with_article());
            let at = entity.slot(rule::r#for.slot).place.unwrap_or(entity.key);
            let help = "it is a row of a table: write the rule for what refers to it";
            self.problems.push(Problem::at(at, message).help(help));
        }
        let has_when = entity.slot(rule::when.slot).state != State::Absent;
        let when = has_when.then(|| self.checked(id, rule::when, entity_type, Some(Type::Truth)));
        let require = self.checked(id, rule::require, entity_type, Some(Type::Truth));
        let words = if opened.trials.is_some() {
            let later = Some((Arc::clone(shared.0), Arc::clone(shared.1), id));
            Some(Words { messages: OnceLock::new(), later, entity_type })
        } else {
            self.messages(id, entity_type).map(|messages| Words {
                messages: OnceLock::from(messages),
                later: None,
                entity_type,
            })
        };
        let places = Places {
            when: opened.place(id, rule::when.slot),
            require: opened.place(id, rule::require.slot),
            finding: opened.place(id, rule::finding.slot),
            change: entity.get(rule::remedy).map_or_else(Place::default, |remedy| {
                let to = opened.node(remedy.any(), remedy::to.slot).is_some();
                opened.place(remedy.any(), if to { remedy::to.slot } else { remedy::by.slot })
            }),
        };
        let trials = match &opened.trials {
            Some(later) => Trials::Later(Arc::clone(later)),
            None => match read_trials(&opened.store, &opened.tree, &opened.source, id) {
                Ok(trials) => Trials::Read(trials),
                Err(problem) => {
                    self.problems.push(problem);
                    Trials::Read(Vec::new())
                }
            },
        };
        Some(Rule {
            name: entity.name.to_string(),
            pack: opened.name.clone(),
            title: opened.text(id, rule::title)?,
            before: entity.get(rule::before)?,
            entity_type,
            when: match when {
                Some(when) => Some(when?),
                None => None,
            },
            require: require?,
            require_text: opened.text(id, rule::require)?,
            when_text: opened.text(id, rule::when),
            level: entity.get(rule::level)?,
            words: words?,
            why: opened.text(id, rule::why)?,
            citation: cite(&opened.store, id, rule::source),
            trials,
            source: Arc::clone(&opened.source),
            place: entity.key,
            places,
        })
    }
}

/// An error inside a scalar of a pack, at its own bytes where it stands letter by letter in the file.
pub(super) fn place(opened: &ParsedPack, node: Option<NodeId>, error: &LanguageError) -> Problem {
    let Some(node) = node else { return Problem::of_file(error.message.clone()) };
    let place = Place::of(&opened.tree, &opened.source, node);
    let mut problem =
        Problem::at(place.span(&error.range), error.message.clone()).maybe_help(error.help.clone());
    if let Some((range, label)) = &error.also {
        problem = problem.related(place.span(range), label.clone());
    }
    problem
}

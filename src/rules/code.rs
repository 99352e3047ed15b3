//! Packs that stand for a code, a law or a guide: which rockets they are about, and what they ask of a person.

use super::active::ActivePack;
use super::compile::{Compiler, ParsedPack};
use super::library::{Library, cite, text};
use super::pack::{ASK, Moment, ask, pack};
use crate::design::ROCKET;
use crate::language::Checked;
use crate::model::Type;
use crate::text::Problem;
use crate::vocabulary::{EntityId, Key, State, Typed, suggest};

/// The rockets that a pack is about.
#[derive(Clone, Debug)]
pub enum Applies {
    /// Every rocket.
    Always,
    /// Rockets for which a condition is true, besides those whose design or club names the pack.
    When {
        /// The condition, of the rocket.
        condition: Checked,
        /// The condition as written.
        words: String,
    },
    /// Rockets whose design or club names the pack, and no others.
    Named,
}

/// A clause that no design file can settle.
#[derive(Clone, Debug)]
pub struct Ask {
    /// Its name.
    pub name: String,
    /// What must be so, in a sentence that can be ticked.
    pub ask: String,
    /// When it is asked, by the groups of the field checklist.
    pub moment: Moment,
    /// The rockets that it is asked of.
    pub when: Option<Checked>,
    /// Where it comes from.
    pub citation: String,
}

impl ActivePack {
    /// The conditions that say which rockets it is about, and which it asks what of a person.
    pub(super) fn conditions(&self) -> impl Iterator<Item = &Checked> {
        let own = match &self.applies {
            Applies::When { condition, .. } => Some(condition),
            Applies::Always | Applies::Named => None,
        };
        own.into_iter().chain(self.asks.iter().filter_map(|ask| ask.when.as_ref()))
    }
}

impl Library {
    /// What to say of a name that is meant for a code and is no pack in force; nothing where it is one.
    #[must_use]
    pub fn unknown_code(&self, name: &str) -> Option<String> {
        if self.packs.iter().any(|pack| pack.name == name) {
            return None;
        }
        let codes = self.packs.iter().filter(|pack| !matches!(pack.applies, Applies::Always));
        let help = match suggest(name, codes.clone().map(|pack| pack.name.as_str())) {
            Some(near) => format!("did you mean `{near}`?"),
            None => {
                let known: Vec<&str> = codes.map(|pack| pack.name.as_str()).collect();
                format!("there are {}", known.join(", "))
            }
        };
        Some(format!("no pack in force is named `{name}`; {help}"))
    }

    /// Reads which rockets a pack is about, and what it asks of a person. A pack whose condition is wrong is judged
    /// for every rocket: that errs to the safe side, and the mistake is told besides.
    pub(super) fn add_code(&mut self, opened: &ParsedPack) {
        let root = opened.store.root();
        let applies = self.applies(opened);
        let mut asks = Vec::new();
        for id in opened.store.of_kind(&ASK) {
            let Some(entity) = opened.store.get(id) else { continue };
            let Some(moment) = entity.get(ask::moment) else { continue };
            let Some(words) = text(&opened.store, id, ask::ask) else { continue };
            let when = match entity.slot(ask::when.slot).state {
                State::Absent => None,
                // A clause whose condition is wrong is asked of everyone; the mistake is told besides.
                _ => self.condition(opened, id, ask::when),
            };
            asks.push(Ask {
                name: entity.name.to_string(),
                ask: words,
                moment,
                when,
                citation: cite(&opened.store, id, ask::source),
            });
        }
        let name = text(&opened.store, root, pack::pack).unwrap_or_default();
        if let Some(pack) = self.packs.iter_mut().find(|p| p.name == name) {
            pack.applies = applies;
            pack.asks = asks;
        }
    }

    /// Checks a condition on the rocket.
    fn condition<E: Typed>(
        &mut self,
        opened: &ParsedPack,
        id: EntityId,
        key: Key<E, std::sync::Arc<str>>,
    ) -> Option<Checked> {
        let mut compiler = Compiler { catalogue: &self.catalogue, opened, problems: Vec::new() };
        let checked = compiler.checked(id, key, &ROCKET, Some(Type::Truth));
        let problems = compiler.problems;
        self.take(opened, problems);
        checked
    }

    fn applies(&mut self, opened: &ParsedPack) -> Applies {
        let root = opened.store.root();
        let Some(entity) = opened.store.get(root) else { return Applies::Always };
        let named = entity.get(pack::only_when_named) == Some(true);
        let Some(words) = text(&opened.store, root, pack::applies_when) else {
            return if named { Applies::Named } else { Applies::Always };
        };
        if named {
            let place = entity.slot(pack::only_when_named.slot).place.unwrap_or_default();
            let problem = Problem::at(
                place,
                "a pack is judged either when a condition is true or only when it is named",
            )
            .help("leave one of `applies_when` and `only_when_named` out");
            self.problems.push((std::sync::Arc::clone(&opened.source), problem));
        }
        match self.condition(opened, root, pack::applies_when) {
            Some(condition) => Applies::When { condition, words },
            None => Applies::Always,
        }
    }
}

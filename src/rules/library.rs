//! What is in force: packs, rules, quantities and tables, as the compiler made them. Nothing changes them afterwards.

use std::sync::Arc;

use super::active::{ActiveDerived, ActivePack, Rule};
use super::code::Applies;
use super::departure::Departure;
use super::level::Level;
use super::own_rules::OwnRule;
use crate::model::{Catalogue, Environment};
use crate::tables::Tables;
use crate::vocabulary::{Date, suggest};
use crate::yaml::{Problem, Source};

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
    /// What settings change of all this, whether or not it still holds on a day.
    pub departures: Vec<Departure>,
    /// The rules of the program itself that settings take more or less gravely.
    pub own_levels: Vec<(OwnRule, Level)>,
    /// What is wrong with the packs, each with its file. Other packs and rules are not affected.
    pub problems: Vec<(Arc<Source>, Problem)>,
}

impl Library {
    /// What a design is evaluated in by these packs on a day.
    #[must_use]
    pub fn environment(&self, today: Date) -> Environment<'_> {
        Environment { catalogue: &self.catalogue, tables: &self.tables, today }
    }

    /// The rule of a name.
    #[must_use]
    pub fn rule(&self, name: &str) -> Option<&Rule> {
        self.rules.iter().find(|r| r.name == name)
    }

    /// How grave a rule of the program itself is here.
    #[must_use]
    pub fn own_level(&self, rule: OwnRule) -> Level {
        let set = self.own_levels.iter().find(|(known, _)| *known == rule);
        set.map_or(rule.about().level, |(_, level)| *level)
    }

    /// The rule in force, or the rule of the program itself, whose name is nearest to a misspelled one.
    #[must_use]
    pub fn nearest_rule(&self, name: &str) -> Option<&str> {
        suggest(name, self.rules.iter().map(|r| r.name.as_str()).chain(OwnRule::WORDS.iter().copied()))
    }

    /// What to say of a name that is meant for a rule of a pack and is none; with what to try instead.
    #[must_use]
    pub fn no_rule(&self, name: &str) -> (String, Option<String>) {
        no_rule(&self.rules, name)
    }

    /// What to say of a name that is meant for a code and is no pack in force; nothing where it is one.
    #[must_use]
    pub fn unknown_code(&self, name: &str) -> Option<String> {
        unknown_code(&self.packs, name)
    }

    /// What is wrong with the trials of built-in packs, each with its file; those of other packs are read with the pack.
    #[must_use]
    pub fn trial_problems(&self) -> Vec<(Arc<Source>, Problem)> {
        let mut problems: Vec<(Arc<Source>, Problem)> = Vec::new();
        for rule in &self.rules {
            if problems.iter().any(|(source, _)| source.name() == rule.source.name()) {
                continue;
            }
            problems.extend(rule.trials.problems().iter().map(|p| (Arc::clone(&rule.source), p.clone())));
        }
        problems
    }
}

pub(super) fn no_rule(rules: &[Rule], name: &str) -> (String, Option<String>) {
    if OwnRule::of(name).is_some() {
        return (format!("`{name}` is a rule of the program itself, and of no pack"), None);
    }
    let near = suggest(name, rules.iter().map(|r| r.name.as_str()));
    (format!("no rule is named `{name}`"), near.map(|near| format!("did you mean `{near}`?")))
}

pub(super) fn unknown_code(packs: &[ActivePack], name: &str) -> Option<String> {
    if packs.iter().any(|pack| pack.name == name) {
        return None;
    }
    let codes = packs.iter().filter(|pack| !matches!(pack.applies, Applies::Always));
    let help = match suggest(name, codes.clone().map(|pack| pack.name.as_str())) {
        Some(near) => format!("did you mean `{near}`?"),
        None => {
            let known: Vec<&str> = codes.map(|pack| pack.name.as_str()).collect();
            format!("there are {}", known.join(", "))
        }
    };
    Some(format!("no pack in force is named `{name}`; {help}"))
}

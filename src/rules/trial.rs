//! Trials as they are written: a specimen design with some values changed, and the outcome a rule must give on it.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use super::citation::text;
use super::pack::{PACK, RULE, RemedyEffect, rule, trial};
use super::verdict::Verdict;
use crate::vocabulary::{Date, EntityId, Store, read};
use crate::yaml::{NodeId, Problem, Source, Span, Tree, in_order};

/// The specimens built into the program: name and text.
static SPECIMENS: &[(&str, &str)] = &[
    ("dual_deployment", include_str!("../../rules/specimens/dual_deployment.rocket.yaml")),
    ("motor_ejection", include_str!("../../rules/specimens/motor_ejection.rocket.yaml")),
];

/// The day of a trial that names none: after everything that the specimens say was done.
pub const TRIAL_DAY: Date = Date::constant(2026, 6, 1);

/// A value that a trial writes into its specimen.
#[derive(Clone, Debug, PartialEq)]
pub struct TrialValue {
    /// The path of the field.
    pub path: String,
    /// The value, as YAML on one line.
    pub value: String,
    /// The bytes of the path in the rule file.
    pub path_at: Span,
    /// The bytes of the value there.
    pub value_at: Span,
}

/// A trial of a rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// The specimen's name.
    pub specimen: String,
    /// Values to write.
    pub with: Vec<TrialValue>,
    /// Paths to remove, each with its bytes in the rule file.
    pub without: Vec<(String, Span)>,
    /// The subject asked about, with the bytes of its name; any where not said.
    pub subject: Option<(String, Span)>,
    /// The day it is, for a rule that asks for `today`; [`TRIAL_DAY`] where the trial names none.
    pub today: Date,
    /// The outcome.
    pub expect: Verdict,
    /// What the rule's remedy does for it.
    pub remedy: Option<RemedyEffect>,
    /// Its bytes in the rule file.
    pub place: Span,
}

/// Trials as they were read.
#[derive(Clone, Debug, Default)]
pub(super) struct ReadTrials {
    /// Those that could be read.
    pub(super) trials: Vec<Trial>,
    /// Whether there are others, of which a mistake was told.
    pub(super) are_some_unread: bool,
}

/// The trials of a rule.
#[derive(Clone, Debug)]
pub(super) enum Trials {
    /// Read with the rest of their pack.
    Read(ReadTrials),
    /// Those of a built-in pack, of which most runs ask for none.
    Later(Arc<LaterTrials>),
}

impl Trials {
    /// The trials of the rule of this name.
    pub(super) fn of(&self, rule: &str) -> &[Trial] {
        match self {
            Self::Read(read) => &read.trials,
            Self::Later(pack) => pack.read().by_rule.get(rule).map_or(&[], |read| &read.trials),
        }
    }

    /// Whether the rule of this name has trials that could not be read.
    pub(super) fn are_some_unread(&self, rule: &str) -> bool {
        match self {
            Self::Read(read) => read.are_some_unread,
            Self::Later(pack) => pack.read().by_rule.get(rule).is_some_and(|read| read.are_some_unread),
        }
    }

    /// What is wrong with trials that are read later; those of other packs are read with the pack.
    pub(super) fn problems(&self) -> &[Problem] {
        match self {
            Self::Read(_) => &[],
            Self::Later(pack) => &pack.read().problems,
        }
    }
}

/// The trials of a built-in pack: its text is parsed when they are first asked for.
#[derive(Debug)]
pub(super) struct LaterTrials {
    source: Arc<Source>,
    read: OnceLock<PackTrials>,
}

/// The trials of a pack by the names of their rules, and what is wrong with them.
#[derive(Debug, Default)]
struct PackTrials {
    by_rule: BTreeMap<String, ReadTrials>,
    problems: Vec<Problem>,
}

impl LaterTrials {
    pub(super) fn of(source: &Arc<Source>) -> Self {
        Self { source: Arc::clone(source), read: OnceLock::new() }
    }

    fn read(&self) -> &PackTrials {
        self.read.get_or_init(|| {
            let parsed = Tree::parse(&self.source);
            let Some(tree) = parsed.tree else {
                return PackTrials { problems: parsed.problems, ..PackTrials::default() };
            };
            let reading = read(&PACK, &self.source, &tree, None);
            let wrong = places(&reading.problems);
            let mut all = PackTrials { problems: in_order(reading.problems), ..PackTrials::default() };
            for id in reading.store.of_type(&RULE) {
                let Some(entity) = reading.store.get(id) else { continue };
                match read_trials(&reading.store, &tree, &self.source, (id, &wrong)) {
                    Ok(trials) => {
                        all.by_rule.insert(entity.name.to_string(), trials);
                    }
                    Err(problem) => all.problems.push(problem),
                }
            }
            all
        })
    }
}

/// The specimens: name and text.
#[must_use]
pub fn specimens() -> &'static [(&'static str, &'static str)] {
    SPECIMENS
}

pub(super) fn read_trials(
    store: &Store,
    tree: &Tree,
    source: &Source,
    (rule_id, wrong): (EntityId, &[Span]),
) -> Result<ReadTrials, Problem> {
    let mut read = ReadTrials::default();
    let Some(all) = store.value(rule_id, rule::trials) else { return Ok(read) };
    for id in all.iter() {
        let Some(entity) = store.get(id.any()) else { continue };
        // What came of a trial that is read in part would be a second mistake after the first.
        let Span { start, end } = entity.span;
        if wrong.iter().any(|mistake| start <= mistake.start && mistake.end <= end) {
            read.are_some_unread = true;
            continue;
        }
        let Some(expect) = entity.get(trial::expect) else { continue };
        let mut with = Vec::new();
        if let Some(node) = entity.get(trial::with) {
            for entry in tree.entries(node) {
                let path = tree.scalar(entry.key).map(|s| s.value.to_string()).unwrap_or_default();
                with.push(TrialValue {
                    path,
                    value: one_line(tree, source, entry.value)?,
                    path_at: tree.span(entry.key),
                    value_at: tree.span(entry.value),
                });
            }
        }
        let mut without = Vec::new();
        if let Some(node) = entity.get(trial::without) {
            let nodes = if tree.is_list(node) { tree.items(node).to_vec() } else { vec![node] };
            let paths =
                nodes.iter().filter_map(|n| Some((tree.scalar(*n)?.value.to_string(), tree.span(*n))));
            without.extend(paths);
        }
        let specimen = text(store, id, trial::specimen).unwrap_or_else(|| "dual_deployment".to_owned());
        if !SPECIMENS.iter().any(|(name, _)| *name == specimen) {
            let span = entity.slot(trial::specimen.slot).place.unwrap_or(entity.span);
            let known: Vec<&str> = SPECIMENS.iter().map(|(n, _)| *n).collect();
            return Err(Problem::at(span, format!("no specimen is named `{specimen}`"))
                .help(format!("there are {}", known.join(", "))));
        }
        read.trials.push(Trial {
            specimen,
            with,
            without,
            subject: text(store, id, trial::subject)
                .map(|name| (name, entity.slot(trial::subject.slot).place.unwrap_or(entity.span))),
            today: entity.get(trial::today).unwrap_or(TRIAL_DAY),
            expect,
            remedy: entity.get(trial::remedy),
            place: entity.span,
        });
    }
    Ok(read)
}

/// The bytes of some mistakes.
pub(super) fn places(problems: &[Problem]) -> Vec<Span> {
    problems.iter().filter_map(|problem| problem.span).collect()
}

fn one_line(tree: &Tree, source: &Source, node: NodeId) -> Result<String, Problem> {
    let span = tree.span(node);
    let written = source.slice(span);
    let block = (tree.is_map(node) || tree.is_list(node)) && !tree.is_flow(node);
    if block || written.contains('\n') {
        return Err(Problem::at(span, "a trial's values stand on one line")
            .help("write maps in braces, lists in brackets"));
    }
    Ok(written.to_owned())
}

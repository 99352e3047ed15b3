//! Trials: a specimen design with some values changed, and the outcome a rule must give on it.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, OnceLock};

use rayon::prelude::*;

use super::Change;
use super::active::Rule;
use super::judge::judge;
use super::library::{Library, text};
use super::pack::Verdict;
use super::pack::{PACK, RULE, rule, trial};
use super::variants::Variants;
use crate::design::Design;
use crate::language::evaluate;
use crate::model::{CoverageRecorder, Model};
use crate::text::{
    NodeId, Problem, Source, Span, Tree, apply, in_order, insert_key, remove_entry, replace_value,
};
use crate::vocabulary::{Date, EntityId, Store, read, suggest};

/// The specimens built into the program: name and text.
static SPECIMENS: &[(&str, &str)] = &[
    ("dual_deployment", include_str!("../../rules/specimens/dual_deployment.rocket.yaml")),
    ("motor_ejection", include_str!("../../rules/specimens/motor_ejection.rocket.yaml")),
];

/// The day of a trial that names none: after everything that the specimens say was done.
pub const TRIAL_DAY: Date = Date::constant(2026, 6, 1);

/// A trial of a rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// The specimen's name.
    pub specimen: String,
    /// Values to write, by path, as YAML on one line.
    pub with: Vec<(String, String)>,
    /// Paths to remove.
    pub without: Vec<String>,
    /// The subject asked about; any where not said.
    pub subject: Option<String>,
    /// The day it is, for a rule that asks for `today`; [`TRIAL_DAY`] where the trial names none.
    pub today: Date,
    /// The outcome.
    pub expect: Verdict,
    /// Its bytes in the rule file.
    pub place: Span,
}

/// The trials of a rule.
#[derive(Clone, Debug)]
pub(super) enum Trials {
    /// Read with the rest of their pack.
    Read(Vec<Trial>),
    /// Those of a built-in pack, of which most runs ask for none.
    Later(Arc<LaterTrials>),
}

impl Trials {
    /// The trials of the rule of this name.
    pub(super) fn of(&self, rule: &str) -> &[Trial] {
        match self {
            Self::Read(trials) => trials,
            Self::Later(pack) => pack.read().by_rule.get(rule).map_or(&[], Vec::as_slice),
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
    by_rule: BTreeMap<String, Vec<Trial>>,
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
            let mut all = PackTrials { problems: in_order(reading.problems), ..PackTrials::default() };
            for id in reading.store.of_kind(&RULE) {
                let Some(entity) = reading.store.get(id) else { continue };
                match read_trials(&reading.store, &tree, &self.source, id) {
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

impl Library {
    /// What is wrong with the trials of built-in packs, each with its file; those of other packs are read with the pack.
    #[must_use]
    pub fn trial_problems(&self) -> Vec<(Arc<Source>, Problem)> {
        let mut problems: Vec<(Arc<Source>, Problem)> = Vec::new();
        for rule in &self.rules {
            let Trials::Later(pack) = &rule.trials else { continue };
            if problems.iter().any(|(source, _)| source.name() == rule.source.name()) {
                continue;
            }
            problems.extend(pack.read().problems.iter().map(|p| (Arc::clone(&rule.source), p.clone())));
        }
        problems
    }
}

/// What came of a trial.
#[derive(Clone, Debug)]
pub struct TrialResult {
    /// The rule's number in the library.
    pub rule: usize,
    /// The trial's number in the rule.
    pub trial: usize,
    /// The outcome, or why the trial could not be run.
    pub outcome: Result<Verdict, String>,
    /// Whether it is the one expected.
    pub as_expected: bool,
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
    rule_id: EntityId,
) -> Result<Vec<Trial>, Problem> {
    let Some(all) = store.value(rule_id, rule::trials) else { return Ok(Vec::new()) };
    let mut trials = Vec::new();
    for id in all.iter() {
        let Some(entity) = store.get(id.any()) else { continue };
        let Some(expect) = entity.get(trial::expect) else { continue };
        let mut with = Vec::new();
        if let Some(node) = entity.get(trial::with) {
            for entry in tree.entries(node) {
                let path = tree.scalar(entry.key).map(|s| s.value.to_string()).unwrap_or_default();
                with.push((path, one_line(tree, source, entry.value)?));
            }
        }
        let mut without = Vec::new();
        if let Some(node) = entity.get(trial::without) {
            let nodes = if tree.is_list(node) { tree.items(node).to_vec() } else { vec![node] };
            without.extend(nodes.iter().filter_map(|n| tree.scalar(*n)).map(|s| s.value.to_string()));
        }
        let specimen = text(store, id, trial::specimen).unwrap_or_else(|| "dual_deployment".to_owned());
        if !SPECIMENS.iter().any(|(name, _)| *name == specimen) {
            let span = entity.slot(trial::specimen.slot).place.unwrap_or(entity.span);
            let known: Vec<&str> = SPECIMENS.iter().map(|(n, _)| *n).collect();
            return Err(Problem::at(span, format!("no specimen is named `{specimen}`"))
                .help(format!("there are {}", known.join(", "))));
        }
        trials.push(Trial {
            specimen,
            with,
            without,
            subject: text(store, id, trial::subject),
            today: entity.get(trial::today).unwrap_or(TRIAL_DAY),
            expect,
            place: entity.span,
        });
    }
    Ok(trials)
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

/// The text of a specimen with a trial's changes made.
fn changed(trial: &Trial) -> Result<String, String> {
    let (_, start) = SPECIMENS.iter().find(|(name, _)| *name == trial.specimen).ok_or("no such specimen")?;
    let mut text = (*start).to_owned();
    for path in &trial.without {
        text = edited(&text, path, None)?;
    }
    for (path, value) in &trial.with {
        text = edited(&text, path, Some(value))?;
    }
    Ok(text)
}

/// The key of a map that a misspelled one may have meant, as the end of a message.
fn nearest(tree: &Tree, map: NodeId, key: &str) -> String {
    let keys = tree.entries(map).iter().filter_map(|e| tree.scalar(e.key)).map(|s| s.value.as_ref());
    suggest(key, keys).map(|near| format!("; did you mean `{near}`?")).unwrap_or_default()
}

/// The text with one value written or removed.
fn edited(text: &str, path: &str, value: Option<&str>) -> Result<String, String> {
    let source = Source::new("specimen", text);
    let tree = Tree::parse(&source).tree.ok_or("the specimen is not YAML")?;
    let keys: Vec<&str> = path.split('.').collect();
    let (last, way) = keys.split_last().ok_or("an empty path")?;
    // A path may leave out the group an entity stands in: `av_bay.vents` for `sections.av_bay.vents`.
    let mut map = tree.root();
    if let Some(first) = keys.first()
        && tree.get(map, first).is_none()
    {
        let groups = ["sections", "joints", "recovery", "wiring"];
        let found =
            groups.iter().filter_map(|g| tree.get(map, g)).find(|e| tree.get(e.value, first).is_some());
        if let Some(entry) = found {
            map = entry.value;
        }
    }
    for key in way {
        map = tree
            .get(map, key)
            .map(|e| e.value)
            .ok_or_else(|| format!("`{path}`: the specimen has no `{key}`{}", nearest(&tree, map, key)))?;
    }
    let edit = match (tree.get(map, last), value) {
        (Some(entry), Some(value)) => replace_value(&source, &tree, entry.value, value, false),
        (None, Some(value)) => insert_key(&source, &tree, map, last, value, false),
        (Some(_), None) => remove_entry(&source, &tree, map, last, false),
        (None, None) => {
            return Err(format!(
                "`{path}`: the specimen has no `{last}` to remove{}",
                nearest(&tree, map, last)
            ));
        }
    };
    edit.and_then(|edit| apply(text, &[edit])).map_err(|e| format!("`{path}`: {e}"))
}

/// What conditions came to, by their keys.
#[derive(Debug, Default)]
pub(super) struct Seen(RefCell<BTreeSet<(usize, bool)>>);

impl Seen {
    pub(super) fn into_inner(self) -> BTreeSet<(usize, bool)> {
        self.0.into_inner()
    }
}

impl CoverageRecorder for Seen {
    fn record(&self, condition: usize, truth: bool) {
        self.0.borrow_mut().insert((condition, truth));
    }
}

/// The outcome of a rule on a whole design, or on the entity that a trial names: the gravest of those it gives.
fn outcome_on(
    rule: &Rule,
    library: &Library,
    design: &Design,
    trial: &Trial,
    witness: Option<&dyn CoverageRecorder>,
) -> Result<Verdict, String> {
    let model = Model::new(design, library.environment(trial.today)).seen_by(witness);
    let variants = Variants::of(&model);
    let mut worst: Option<Verdict> = None;
    let mut asked = false;
    for subject in design.store.of_kind(rule.entity_type) {
        let path = design.store.path(subject);
        if trial.subject.as_deref().is_some_and(|name| path != name && !path.ends_with(&format!(".{name}"))) {
            continue;
        }
        asked = true;
        let verdict = judge(rule, &variants, subject).verdict;
        if verdict == Verdict::Broken && witness.is_some() {
            // What is said and offered of a broken rule has conditions of its own.
            let _ = rule.finding().fill(&model, subject);
            if let Some((_, Change::To(value) | Change::By(value))) =
                rule.remedy().and_then(|r| r.set.as_ref())
            {
                let _ = evaluate(value, &model, None, subject);
            }
        }
        worst = Some(worst.map_or(verdict, |w| w.min(verdict)));
    }
    match (worst, trial.subject.as_deref()) {
        (None, Some(name)) if !asked => {
            let paths: Vec<String> =
                design.store.of_kind(rule.entity_type).map(|id| design.store.path(id)).collect();
            let names = paths.iter().map(|path| path.rsplit('.').next().unwrap_or(path));
            let near = suggest(name, names.chain(paths.iter().map(String::as_str)));
            let near = near.map(|near| format!("; did you mean `{near}`?")).unwrap_or_default();
            Err(format!("the specimen has no {} `{name}`{near}", rule.entity_type.name))
        }
        (worst, _) => Ok(worst.unwrap_or(Verdict::NotApplicable)),
    }
}

/// Runs one trial of a rule, and tells a witness what the conditions of its expressions came to.
fn run_one(
    rule: &Rule,
    trial: &Trial,
    library: &Library,
    witness: Option<&dyn CoverageRecorder>,
) -> Result<Verdict, String> {
    let design =
        Design::read(Source::new(format!("specimen {}", trial.specimen), changed(trial)?), &library.tables);
    if let Some(problem) = design.problems.first() {
        let place = problem.span.map(|s| design.source.slice(s).to_owned()).unwrap_or_default();
        return Err(format!("the changed specimen cannot be read: {} (`{place}`)", problem.message));
    }
    outcome_on(rule, library, &design, trial, witness)
}

/// The trials of the rules that a filter lets through: the numbers of the rule and of the trial.
fn chosen(library: &Library, filter: &dyn Fn(&Rule) -> bool) -> Vec<(usize, usize)> {
    let rules = library.rules.iter().enumerate().filter(|(_, r)| filter(r));
    rules.flat_map(|(number, rule)| (0..rule.trials().len()).map(move |at| (number, at))).collect()
}

/// Runs the trials of the rules that a filter lets through, on all cores and in order.
#[must_use]
pub fn run_trials(library: &Library, filter: &dyn Fn(&Rule) -> bool) -> Vec<TrialResult> {
    run_with(library, filter, false).into_iter().map(|(result, _)| result).collect()
}

/// The same, and what each condition came to.
pub(super) fn run_with(
    library: &Library,
    filter: &dyn Fn(&Rule) -> bool,
    watched: bool,
) -> Vec<(TrialResult, Seen)> {
    let run = |&(number, at): &(usize, usize)| {
        let rule = library.rules.get(number)?;
        let trial = rule.trials().get(at)?;
        let seen = Seen::default();
        let outcome = run_one(rule, trial, library, watched.then_some(&seen as &dyn CoverageRecorder));
        let as_expected = outcome.as_ref() == Ok(&trial.expect);
        Some((TrialResult { rule: number, trial: at, outcome, as_expected }, seen))
    };
    chosen(library, filter).par_iter().filter_map(run).collect()
}

//! Trials: a specimen design with some values changed, and the outcome a rule must give on it.

use super::judge::{Verdict, judge, tolerances_hold};
use super::library::{Library, Rule, text};
use super::pack::{TRIAL, rule, trial};
use crate::design::Design;
use crate::model::Model;
use crate::text::{NodeId, Problem, Source, Span, Tree, apply, insert_key, remove_entry, replace_value};
use crate::vocabulary::{Date, EntityId, State, Store, Value};

/// The specimens built into the program: name and text.
static SPECIMENS: &[(&str, &str)] = &[
    ("dual_deployment", include_str!("../../rules/specimens/dual_deployment.rocket.yaml")),
    ("motor_ejection", include_str!("../../rules/specimens/motor_ejection.rocket.yaml")),
];

/// The outcome a trial expects.
pub type Expectation = Verdict;

/// A trial of a rule.
#[derive(Clone, Debug)]
pub struct Trial {
    /// The specimen's name.
    pub specimen: String,
    /// Values to write, by path, as YAML on one line.
    pub with: Vec<(String, String)>,
    /// Paths to remove.
    pub without: Vec<String>,
    /// The subject asked about; any where not said.
    pub on: Option<String>,
    /// The day it is, for a rule that asks for `today`.
    pub today: Option<Date>,
    /// The outcome.
    pub expect: Expectation,
    /// Its bytes in the rule file.
    pub place: Span,
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
    let all = match store.get(rule_id).map(|e| &e.slot(rule::trials.slot).state) {
        Some(State::Known(Value::Entities(all))) => all.clone(),
        _ => return Ok(Vec::new()),
    };
    let mut trials = Vec::new();
    for id in all.iter() {
        let Some(entity) = store.get(*id).filter(|e| e.kind == &TRIAL) else { continue };
        let node = |slot: u16| match entity.slot(slot).state {
            State::Known(Value::Raw(node)) => Some(node),
            _ => None,
        };
        let expect = match &entity.slot(trial::expect.slot).state {
            State::Known(Value::Word(word)) => match *word {
                "held" => Verdict::Held,
                "broken" => Verdict::Broken,
                "unproven" => Verdict::Unproven,
                "tight" => Verdict::Tight,
                _ => Verdict::NotApplicable,
            },
            _ => continue,
        };
        let mut with = Vec::new();
        if let Some(node) = node(trial::with.slot) {
            for entry in tree.entries(node) {
                let path = tree.scalar(entry.key).map(|s| s.value.clone()).unwrap_or_default();
                with.push((path, one_line(tree, source, entry.value)?));
            }
        }
        let mut without = Vec::new();
        if let Some(node) = node(trial::without.slot) {
            let nodes = if tree.is_list(node) { tree.items(node).to_vec() } else { vec![node] };
            without.extend(nodes.iter().filter_map(|n| tree.scalar(*n)).map(|s| s.value.clone()));
        }
        let specimen = text(store, *id, trial::specimen.slot).unwrap_or_else(|| "dual_deployment".to_owned());
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
            on: text(store, *id, trial::on.slot),
            today: match entity.slot(trial::today.slot).state {
                State::Known(Value::Date(day)) => Some(day),
                _ => None,
            },
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

/// The text with one value written or removed.
fn edited(text: &str, path: &str, value: Option<&str>) -> Result<String, String> {
    let source = Source::new("specimen", text);
    let tree = Tree::parse(&source).tree.ok_or("the specimen is not YAML")?;
    let keys: Vec<&str> = path.split('.').collect();
    let (last, way) = keys.split_last().ok_or("an empty path")?;
    // A path may leave out the group a thing stands in: `av_bay.vents` for `sections.av_bay.vents`.
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
            .ok_or_else(|| format!("`{path}`: the specimen has no `{key}`"))?;
    }
    let edit = match (tree.get(map, last), value) {
        (Some(entry), Some(value)) => replace_value(&source, &tree, entry.value, value, false),
        (None, Some(value)) => insert_key(&source, &tree, map, last, value, false),
        (Some(_), None) => remove_entry(&source, &tree, map, last, false),
        (None, None) => return Err(format!("`{path}`: the specimen has no `{last}` to remove")),
    };
    edit.and_then(|edit| apply(text, &[edit])).map_err(|e| format!("`{path}`: {e}"))
}

/// The outcome of a rule on a whole design, or on one thing of it: the gravest of those it gives.
pub(super) fn outcome_on(
    rule: &Rule,
    library: &Library,
    design: &Design,
    on: Option<&str>,
    today: Option<Date>,
) -> Result<Verdict, String> {
    let model = Model::new(design, &library.catalogue).on_day(today);
    let mut worst: Option<Verdict> = None;
    let mut asked = false;
    for subject in design.store.of_kind(rule.kind) {
        let path = design.store.path(subject);
        if on.is_some_and(|on| path != on && !path.ends_with(&format!(".{on}"))) {
            continue;
        }
        asked = true;
        let judgement = judge(rule, &model, subject);
        let mut verdict = judgement.verdict;
        if verdict == Verdict::Held && !tolerances_hold(rule, &model, subject, &judgement.trace) {
            verdict = Verdict::Tight;
        }
        worst = Some(worst.map_or(verdict, |w| w.min(verdict)));
    }
    match (worst, on) {
        (None, Some(on)) if !asked => Err(format!("the specimen has no {} `{on}`", rule.kind.name)),
        (worst, _) => Ok(worst.unwrap_or(Verdict::NotApplicable)),
    }
}

/// Runs the trials of the rules that a filter lets through.
#[must_use]
pub fn run_trials(library: &Library, filter: &dyn Fn(&Rule) -> bool) -> Vec<TrialResult> {
    let mut results = Vec::new();
    for (number, rule) in library.rules.iter().enumerate().filter(|(_, r)| filter(r)) {
        for (at, trial) in rule.trials.iter().enumerate() {
            let outcome = changed(trial).and_then(|text| {
                let design = Design::read(Source::new(format!("specimen {}", trial.specimen), text));
                if let Some(problem) = design.problems.first() {
                    let place = problem.span.map(|s| design.source.slice(s).to_owned()).unwrap_or_default();
                    return Err(format!(
                        "the changed specimen cannot be read: {} (`{place}`)",
                        problem.message
                    ));
                }
                outcome_on(rule, library, &design, trial.on.as_deref(), trial.today)
            });
            let as_expected = outcome.as_ref() == Ok(&trial.expect);
            results.push(TrialResult { rule: number, trial: at, outcome, as_expected });
        }
    }
    results
}

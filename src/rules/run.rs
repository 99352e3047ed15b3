//! Trials run.

use std::cell::RefCell;
use std::collections::BTreeSet;

use rayon::prelude::*;

use super::active::Rule;
use super::judge::judge;
use super::library::Library;
use super::nominal::Judgement;
use super::pack::Verdict;
use super::remedy::Change;
use super::trial::{Trial, specimens};
use super::trial_words::decided;
use super::variants::Variants;
use crate::design::Design;
use crate::language::evaluate;
use crate::model::{CoverageRecorder, Model, Unknown};
use crate::text::{NodeId, Source, Tree, apply, insert_key, remove_entry, replace_value};
use crate::vocabulary::{EntityId, suggest};

/// What came of a trial.
#[derive(Clone, Debug)]
pub struct TrialResult {
    /// The rule's number in the library.
    pub rule: usize,
    /// The trial's number in the rule.
    pub trial: usize,
    /// The outcome, or why the trial could not be run.
    pub outcome: Result<Verdict, String>,
    /// Of one that came out unproven, what is not known.
    pub unknown: Option<String>,
    /// Of one that came out otherwise than expected, the part that decided it and what the rule says of that part.
    pub decided: Option<String>,
    /// Whether it is the one expected.
    pub as_expected: bool,
}

/// The text of a specimen with a trial's changes made.
fn changed(trial: &Trial) -> Result<String, String> {
    let (_, start) =
        specimens().iter().find(|(name, _)| *name == trial.specimen).ok_or("no such specimen")?;
    let mut text = (*start).to_owned();
    for path in &trial.without {
        text = edited(&text, path, None)?;
    }
    for (path, value) in &trial.with {
        text = edited(&text, path, Some(value))?;
    }
    Ok(text)
}

/// The key of a map that a misspelled one may have meant, or the keys that there are, as the end of a message.
fn nearest(tree: &Tree, map: NodeId, key: &str) -> String {
    let keys: Vec<&str> =
        tree.entries(map).iter().filter_map(|e| tree.scalar(e.key)).map(|s| s.value.as_ref()).collect();
    if let Some(near) = suggest(key, keys.iter().copied()) {
        return format!("; did you mean `{near}`?");
    }
    let there: Vec<String> = keys.iter().take(MOST_NAMES).map(|name| format!("`{name}`")).collect();
    match (there.is_empty(), keys.len() > MOST_NAMES) {
        (true, _) => String::new(),
        (false, more) => format!("; it has {}{}", there.join(", "), if more { ", …" } else { "" }),
    }
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

/// So many names are listed where none is near to the one that is wrong.
const MOST_NAMES: usize = 8;

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
    coverage: Option<&dyn CoverageRecorder>,
) -> Result<(Verdict, Option<String>), String> {
    let model = Model::new(design, library.environment(trial.today)).with_coverage(coverage);
    let variants = Variants::of(&model).by(library);
    let mut worst: Option<(Verdict, Option<String>)> = None;
    let mut asked = false;
    for subject in trial.subjects(rule, design) {
        asked = true;
        let Judgement { verdict, gap, .. } = judge(rule, &variants, subject);
        if verdict == Verdict::Broken && coverage.is_some() {
            // What is said and offered of a broken rule has conditions of its own.
            let _ = rule.finding().fill(&model, subject, &[]);
            if let Some((_, Change::To(value) | Change::By(value))) =
                rule.remedy().and_then(|r| r.set.as_ref())
            {
                let _ = evaluate(value, &model, None, subject);
            }
        }
        if worst.as_ref().is_none_or(|(known, _)| verdict < *known) {
            worst = Some((
                verdict,
                gap.filter(|_| verdict == Verdict::Unproven).map(|gap| in_words(design, &gap)),
            ));
        }
    }
    match (worst, trial.subject.as_deref()) {
        (None, Some(name)) if !asked => {
            let paths: Vec<String> =
                design.store.of_type(rule.entity_type).map(|id| design.store.path(id)).collect();
            let names = paths.iter().map(|path| path.rsplit('.').next().unwrap_or(path));
            let near = suggest(name, names.chain(paths.iter().map(String::as_str)));
            let known =
                || match paths.iter().filter(|path| !path.is_empty()).take(MOST_NAMES).collect::<Vec<_>>() {
                    some if some.is_empty() => String::new(),
                    some => format!(
                        "; it has {}",
                        some.iter().map(|path| format!("`{path}`")).collect::<Vec<_>>().join(", ")
                    ),
                };
            let near = near.map_or_else(known, |near| format!("; did you mean `{near}`?"));
            Err(format!("the specimen has no {} `{name}`{near}", rule.entity_type.name))
        }
        (worst, _) => Ok(worst.unwrap_or((Verdict::NotApplicable, None))),
    }
}

/// What is not known, in words.
fn in_words(design: &Design, gap: &Unknown) -> String {
    let missing: Vec<String> =
        gap.keys().iter().map(|key| format!("`{}`", design.store.field_path(key.entity, key.slot))).collect();
    let mut reasons: Vec<String> = gap.refusals().iter().map(|refusal| refusal.reason.to_string()).collect();
    if !missing.is_empty() {
        reasons.insert(0, format!("not written down: {}", missing.join(", ")));
    }
    reasons.join("; ")
}

fn opens(text: &str) -> bool {
    text.starts_with(['{', '['])
}

impl Trial {
    /// The changed specimen.
    ///
    /// # Errors
    /// When a path of the trial leads nowhere, or the changed specimen cannot be read.
    pub fn design(&self, library: &Library) -> Result<Design, String> {
        let source = Source::new(format!("specimen {}", self.specimen), changed(self)?);
        let design = Design::read(source, &library.tables);
        match design.problems.first() {
            Some(problem) => {
                let place = problem.span.map(|s| design.source.slice(s).to_owned()).unwrap_or_default();
                let quoted =
                    |value: &str| value.starts_with(['"', '\'']) && value.get(1..).is_some_and(opens);
                let help = if self.with.iter().any(|(_, value)| quoted(value)) {
                    "; a map or a list stands there without quotes"
                } else {
                    ""
                };
                Err(format!("the changed specimen cannot be read: {} (`{place}`){help}", problem.message))
            }
            None => Ok(design),
        }
    }

    /// The subjects of a rule that it asks about.
    pub fn subjects<'t>(&'t self, rule: &Rule, design: &'t Design) -> impl Iterator<Item = EntityId> + 't {
        design.store.of_type(rule.entity_type).filter(|subject| {
            let path = design.store.path(*subject);
            self.subject.as_deref().is_none_or(|name| path == name || path.ends_with(&format!(".{name}")))
        })
    }
}

/// Runs one trial of a rule, and records with a coverage what the conditions of its expressions came to.
fn run_one(
    rule: &Rule,
    trial: &Trial,
    library: &Library,
    coverage: Option<&dyn CoverageRecorder>,
) -> Result<(Verdict, Option<String>), String> {
    let design = trial.design(library)?;
    outcome_on(rule, library, &design, trial, coverage)
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
        let (outcome, unknown) = match outcome {
            Ok((verdict, unknown)) => (Ok(verdict), unknown),
            Err(why) => (Err(why), None),
        };
        let as_expected = outcome.as_ref() == Ok(&trial.expect);
        let decided = if as_expected { None } else { decided(rule, trial, library) };
        Some((TrialResult { rule: number, trial: at, outcome, unknown, decided, as_expected }, seen))
    };
    chosen(library, filter).par_iter().filter_map(run).collect()
}

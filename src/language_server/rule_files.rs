//! Settings, packs and tables as they are written: what the compiler says of them, and what their trials come to.

use std::path::Path;

use lsp_types::Diagnostic;

use super::diagnostics::Placed;
use super::workspace::{Role, Workspace};
use crate::review::{remedy_problems, trial_remedies};
use crate::rules::{Level, TrialRun, inspect};
use crate::yaml::{Problem, Source};

/// What is wrong with a file of settings, a pack or a table.
pub(super) fn diagnostics(
    workspace: &impl Workspace,
    path: &Path,
    role: Role,
    source: Source,
    placed: Placed<'_>,
    with_trials: bool,
) -> Vec<Diagnostic> {
    let name = source.name().to_owned();
    let (library, problems) = workspace.library_with(path, role, source);
    let own = |source: &Source| source.name() == name;
    let mut found: Vec<(Level, Problem)> = Vec::new();
    for (source, problem) in &problems {
        if own(source) {
            found.push((Level::Error, problem.clone()));
        }
    }
    if role == Role::Pack {
        // A pack with mistakes has no conditions to inspect: its rules are not in force.
        let remarks = inspect(&library, &own).into_iter();
        found.extend(remarks.map(|remark| (remark.level, remark.problem)));
        if with_trials {
            let trials = TrialRun::of(&library, &own, false).problems();
            let remedies = trial_remedies(&library, &|rule| own(&rule.source));
            let remedies = remedy_problems(&library, &remedies);
            found.extend(trials.into_iter().chain(remedies).map(|(_, problem)| (Level::Error, problem)));
        }
    }
    let mut all: Vec<Diagnostic> = Vec::new();
    for (level, problem) in found {
        let made = placed.problem(&problem, level);
        if !all.contains(&made) {
            all.push(made);
        }
    }
    all
}

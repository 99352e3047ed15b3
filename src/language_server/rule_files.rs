//! Settings, packs and tables as they are written: what the compiler says of them, and what their trials come to.

use std::path::Path;

use lsp_types::Diagnostic;

use super::diagnostics::Placed;
use super::workspace::{Role, Workspace};
use crate::rules::{Level, TrialRun, Verdict, inspect};
use crate::text::{Problem, Source};

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
            let run = TrialRun::of(&library, &own, false);
            found.extend(trials(&run).into_iter().map(|problem| (Level::Error, problem)));
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

/// The trials that came out otherwise than expected, and the rules that lack some, each at its place.
fn trials(run: &TrialRun<'_>) -> Vec<Problem> {
    let mut problems = Vec::new();
    for result in run.failed() {
        let Some(rule) = run.library.rules.get(result.rule) else { continue };
        let Some(trial) = rule.trials().get(result.trial) else { continue };
        let message = match &result.outcome {
            Ok(verdict) => {
                let unknown = result.unknown.as_deref().map(|why| format!(" ({why})")).unwrap_or_default();
                format!("`{}` came out {verdict}{unknown}, and the trial expects {}", rule.name, trial.expect)
            }
            Err(why) => format!("a trial of `{}` could not be run: {why}", rule.name),
        };
        problems.push(Problem::at(trial.place, message));
    }
    for (rule, lacking) in &run.untried {
        let lacking: Vec<&str> = lacking.iter().copied().map(Verdict::name).collect();
        let message = format!("`{}` has no trial that comes out {}", rule.name, lacking.join(" or "));
        problems.push(Problem::at(rule.place, message));
    }
    problems
}

//! `holdpoint trial`: runs the trials of rule files.

use std::fmt::Write as _;
use std::path::PathBuf;

use super::{Output, is_built_in, open, rule_files};
use crate::report::{Style, problem_text};
use crate::rules::{Library, Rule, Verdict, run_trials};
use crate::text::clean_line;

/// What `trial` is asked to do.
#[derive(Clone, Debug, Default)]
pub struct TrialOptions {
    /// Rule files and folders; the built-in packs where none is given.
    pub paths: Vec<PathBuf>,
    /// How to draw.
    pub style: Style,
}

/// Runs the trials of rule files, and of nothing else.
#[must_use]
pub fn trial(options: &TrialOptions) -> Output {
    let mut output = Output::default();
    let (mut asked, mut extra) = (Vec::new(), Vec::new());
    for path in &options.paths {
        let files = rule_files(path);
        if files.is_empty() {
            let _ =
                writeln!(output.complaints, "{}: no rule files here", clean_line(&path.to_string_lossy()));
            output.code = 2;
        }
        for file in files {
            match open(&file) {
                Ok(source) if is_built_in(&source) => {
                    asked.extend(
                        crate::rules::BUILT_IN
                            .iter()
                            .filter(|(_, t)| *t == source.text())
                            .map(|(n, _)| (*n).to_owned()),
                    );
                }
                Ok(source) => {
                    // An edited copy of a built-in pack takes its place.
                    asked.push(source.name().to_owned());
                    extra.push(source);
                }
                Err((source, problem)) => {
                    output.complaints.push_str(&problem_text(&source, &problem, options.style));
                    output.code = 2;
                }
            }
        }
    }
    let library = Library::load_instead(extra);
    for (source, problem) in &library.problems {
        output.complaints.push_str(&problem_text(source, problem, options.style));
        output.code = 2;
    }
    let wanted =
        |rule: &Rule| options.paths.is_empty() || asked.iter().any(|name| name == rule.source.name());
    let results = run_trials(&library, &wanted);
    let mut failed = 0;
    for result in results.iter().filter(|r| !r.as_expected) {
        failed += 1;
        let Some(rule) = library.rules.get(result.rule) else { continue };
        let Some(trial) = rule.trials.get(result.trial) else { continue };
        let message = match &result.outcome {
            Ok(verdict) => format!(
                "`{}` came out {}, and the trial expects {}",
                rule.name,
                verdict.name(),
                trial.expect.name()
            ),
            Err(why) => format!("a trial of `{}` could not be run: {why}", rule.name),
        };
        let label = [(trial.place, "this trial".to_owned())];
        let diagram = crate::report::Diagram::new(&message, "error", &rule.source, &label, None);
        output.report.push_str(&diagram.draw(options.style));
    }
    let mut incomplete = 0;
    for rule in library.rules.iter().filter(|r| wanted(r)) {
        let lacking: Vec<&str> = [Verdict::Broken, Verdict::Held, Verdict::Unproven]
            .into_iter()
            .filter(|v| !rule.trials.iter().any(|t| t.expect == *v))
            .map(Verdict::name)
            .collect();
        if !lacking.is_empty() {
            incomplete += 1;
            let message = format!("`{}` has no trial that comes out {}", rule.name, lacking.join(" or "));
            let label = [(rule.place, "this rule".to_owned())];
            let diagram = crate::report::Diagram::new(
                &message,
                "error",
                &rule.source,
                &label,
                Some(
                    "a rule is tried on a design that breaks it, one that keeps it and one that lacks a value",
                ),
            );
            output.report.push_str(&diagram.draw(options.style));
        }
    }
    let rules = library.rules.iter().filter(|r| wanted(r)).count();
    let _ = writeln!(
        output.report,
        "{} trials of {rules} rules: {} as expected, {failed} not; {incomplete} rules lack a trial",
        results.len(),
        results.len() - failed,
    );
    if output.code == 0 {
        output.code = if rules == 0 { 2 } else { u8::from(failed + incomplete > 0) };
    }
    output
}

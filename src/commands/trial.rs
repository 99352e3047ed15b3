//! `holdpoint trial`: runs the trials of rule files.

use std::fmt::Write as _;
use std::path::PathBuf;

use super::{Invocation, Output, is_built_in, open, rule_files};
use crate::report::{Diagram, problem_text, remark_text};
use crate::rules::{BuiltIn, Coverage, Level, Library, More, Rule, Verdict, coverage, inspect, run_trials};
use crate::text::{Source, clean_line};
use clap::Args;

/// Run the trials of rule files
#[derive(Args, Clone, Debug)]
pub struct TrialOptions {
    /// Rule files or folders; the built-in packs where none is given
    pub paths: Vec<PathBuf>,
    /// Tell which conditions no trial has seen come out true, and which ones false
    #[arg(long)]
    pub coverage: bool,
}

/// Runs the trials of rule files, and of nothing else.
pub(super) fn trial(options: &TrialOptions, invocation: &Invocation<'_>) -> Output {
    let style = invocation.style;
    let mut output = Output::default();
    let (mut asked, mut extra) = (Vec::new(), More::default());
    for path in &options.paths {
        let files = rule_files(path);
        if files.is_empty() {
            let _ =
                writeln!(output.complaints, "{}: no rule files here", clean_line(&path.to_string_lossy()));
            output.code = 2;
        }
        for (file, table) in
            files.packs.into_iter().map(|f| (f, false)).chain(files.tables.into_iter().map(|f| (f, true)))
        {
            match open(&file) {
                Ok(source) if is_built_in(&source) => {
                    asked.extend(BuiltIn::of(&source).map(|pack| pack.name.to_owned()));
                }
                Ok(source) if table => extra.tables.push(source),
                Ok(source) => {
                    // An edited copy of a built-in pack takes its place.
                    asked.push(source.name().to_owned());
                    extra.packs.push(source);
                }
                Err((source, problem)) => {
                    output.complaints.push_str(&problem_text(&source, &problem, style));
                    output.code = 2;
                }
            }
        }
    }
    let library = Library::load_instead(extra);
    for (source, problem) in library.problems.iter().chain(&library.trial_problems()) {
        output.complaints.push_str(&problem_text(source, problem, style));
        output.code = 2;
    }
    let wanted =
        |rule: &Rule| options.paths.is_empty() || asked.iter().any(|name| name == rule.source.name());
    let (results, coverage) = if options.coverage {
        let (results, coverage) = coverage(&library, &wanted);
        (results, Some(coverage))
    } else {
        (run_trials(&library, &wanted), None)
    };
    let mut failed = 0;
    for result in results.iter().filter(|r| !r.as_expected) {
        failed += 1;
        let Some(rule) = library.rules.get(result.rule) else { continue };
        let Some(trial) = rule.trials().get(result.trial) else { continue };
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
        let diagram = Diagram::new(&message, Level::Error, &rule.source, &label, None);
        output.report.push_str(&diagram.draw(style));
    }
    let (mut errors, mut warnings) = (0, 0);
    let asked_for =
        |source: &Source| options.paths.is_empty() || asked.iter().any(|name| name == source.name());
    for remark in inspect(&library, &asked_for) {
        match remark.level {
            Level::Error => errors += 1,
            Level::Warning | Level::Note => warnings += 1,
        }
        let text = remark_text(&remark.source, &remark.problem, remark.level, style);
        output.report.push_str(&text);
    }
    let mut incomplete = 0;
    for rule in library.rules.iter().filter(|r| wanted(r)) {
        let lacking: Vec<&str> = [Verdict::Broken, Verdict::Held, Verdict::Unproven]
            .into_iter()
            .filter(|v| !rule.trials().iter().any(|t| t.expect == *v))
            .map(Verdict::name)
            .collect();
        if !lacking.is_empty() {
            incomplete += 1;
            let message = format!("`{}` has no trial that comes out {}", rule.name, lacking.join(" or "));
            let label = [(rule.place, "this rule".to_owned())];
            let diagram = Diagram::new(
                &message,
                Level::Error,
                &rule.source,
                &label,
                Some(
                    "a rule is tried on a design that breaks it, one that keeps it and one that lacks a value",
                ),
            );
            output.report.push_str(&diagram.draw(style));
        }
    }
    if let Some(coverage) = &coverage {
        output.report.push_str(&coverage_text(coverage));
    }
    let rules = library.rules.iter().filter(|r| wanted(r)).count();
    let _ = writeln!(
        output.report,
        "{} trials of {rules} rules: {} as expected, {failed} not; {incomplete} rules lack a trial",
        results.len(),
        results.len() - failed,
    );
    if errors + warnings > 0 {
        let _ = writeln!(output.report, "{errors} errors and {warnings} warnings in the packs themselves");
    }
    if let Some(coverage) = &coverage {
        let _ = writeln!(
            output.report,
            "{} of {} outcomes of {} conditions were seen: {:.1} %",
            coverage.seen,
            coverage.outcomes,
            coverage.outcomes / 2,
            coverage.percent()
        );
    }
    if output.code == 0 {
        output.code = if rules == 0 { 2 } else { u8::from(failed + incomplete + errors > 0) };
    }
    output
}

/// The longest condition that is shown whole, in characters.
const LONGEST: usize = 120;

/// What no trial has seen: a line a condition, with its place, under the rule or quantity it stands in.
fn coverage_text(coverage: &Coverage) -> String {
    let mut text = String::new();
    let mut owner = "";
    for lacking in &coverage.lacking {
        if lacking.owner != owner {
            owner = &lacking.owner;
            let _ = writeln!(text, "`{}` has conditions that no trial settles both ways", clean_line(owner));
        }
        let never = match (lacking.was_true, lacking.was_false) {
            (false, false) => "never asked",
            (false, true) => "never true",
            _ => "never false",
        };
        let at = lacking.source.position(lacking.place.start);
        let mut condition: String = lacking.condition.chars().take(LONGEST).collect();
        if condition.len() < lacking.condition.len() {
            condition.push('…');
        }
        let name = clean_line(lacking.source.name());
        let _ = writeln!(text, "  {name}:{}:{}: {never}: {}", at.line, at.column, clean_line(&condition));
    }
    text
}

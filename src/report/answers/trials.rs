//! What a run of trials came to.

use std::fmt::Write as _;

use crate::report::comparison::counted;
use crate::report::{Style, remark_text};
use crate::rules::{Coverage, Level, Rule, TrialRun};
use crate::yaml::{Problem, clean_line};

/// What a run of trials came to: each mistake under its lines, those of remedies first, and the counts. `unread`: something in the files
/// could not be read and is told apart from this.
#[must_use]
pub fn trials_text(run: &TrialRun<'_>, remedies: &[(&Rule, Problem)], unread: bool, style: Style) -> String {
    let mut text = String::new();
    let trials = run.problems();
    for (rule, problem) in remedies.iter().chain(&trials) {
        text.push_str(&remark_text(&rule.source, problem, Level::Error, style));
    }
    for remark in &run.remarks {
        text.push_str(&remark_text(&remark.source, &remark.problem, remark.level, style));
    }
    if let Some(coverage) = &run.coverage {
        text.push_str(&coverage_text(coverage));
    }
    let (trials, failed) = (run.results.len(), run.failed().count());
    let _ = writeln!(
        text,
        "{} of {}: {} as expected, {failed} not; {} a trial",
        counted(trials, "trial"),
        counted(run.rules.len(), "rule"),
        trials - failed,
        if run.untried.len() == 1 {
            "1 rule lacks".to_owned()
        } else {
            format!("{} rules lack", run.untried.len())
        },
    );
    if run.rules.is_empty() {
        let words = match unread {
            true => {
                "something is wrong with these files, as told beside this: no rule of them could be tried"
            }
            false => "these files have no rules that can be tried",
        };
        let _ = writeln!(text, "{words}");
    }
    if !remedies.is_empty() {
        let _ = writeln!(
            text,
            "{} not do what is expected",
            if remedies.len() == 1 {
                "1 remedy does".to_owned()
            } else {
                format!("{} remedies do", remedies.len())
            }
        );
    }
    let errors = run.errors();
    if !run.remarks.is_empty() {
        let warnings = run.remarks.len() - errors;
        let (errors, warnings) = (counted(errors, "error"), counted(warnings, "warning"));
        let _ = writeln!(text, "{errors} and {warnings} in the packs themselves");
    }
    if let Some(coverage) = run.coverage.as_ref().filter(|coverage| coverage.outcomes > 0) {
        let _ = writeln!(
            text,
            "{} of {} outcomes of {} conditions were seen: {:.1} %",
            coverage.seen,
            coverage.outcomes,
            coverage.outcomes / 2,
            coverage.percent()
        );
    }
    text
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

//! What a run of trials came to.

use std::fmt::Write as _;

use crate::report::{Diagram, Style, remark_text};
use crate::review::TrialRemedy;
use crate::rules::{Coverage, Level, Library, RemedyEffect, Rule, TrialRun, Verdict};
use crate::text::{Span, clean_line};

/// What a run of trials came to: each mistake under its lines, and the counts.
#[must_use]
pub fn trials_text(run: &TrialRun<'_>, style: Style) -> String {
    let mut text = String::new();
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
        let label = [(trial.place, "this trial".to_owned())];
        text.push_str(&Diagram::new(&message, Level::Error, &rule.source, &label, None).draw(style));
    }
    for remark in &run.remarks {
        text.push_str(&remark_text(&remark.source, &remark.problem, remark.level, style));
    }
    for (rule, lacking) in &run.untried {
        let lacking: Vec<&str> = lacking.iter().copied().map(Verdict::name).collect();
        let message = format!("`{}` has no trial that comes out {}", rule.name, lacking.join(" or "));
        let label = [(rule.place, "this rule".to_owned())];
        let help = "a rule is tried on a design that breaks it, one that keeps it and one that lacks a value";
        text.push_str(&Diagram::new(&message, Level::Error, &rule.source, &label, Some(help)).draw(style));
    }
    if let Some(coverage) = &run.coverage {
        text.push_str(&coverage_text(coverage));
    }
    let (trials, failed) = (run.results.len(), run.failed().count());
    let _ = writeln!(
        text,
        "{trials} trials of {} rules: {} as expected, {failed} not; {} rules lack a trial",
        run.rules.len(),
        trials - failed,
        run.untried.len()
    );
    let errors = run.errors();
    if !run.remarks.is_empty() {
        let warnings = run.remarks.len() - errors;
        let _ = writeln!(text, "{errors} errors and {warnings} warnings in the packs themselves");
    }
    if let Some(coverage) = &run.coverage {
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

/// What remedies do otherwise than the trials of their rules say, each under its lines, and how often. A remedy of which no trial says
/// anything must help with one of them at least.
#[must_use]
pub fn remedies_text(library: &Library, tried: &[TrialRemedy], style: Style) -> (String, usize) {
    let (mut text, mut count) = (String::new(), 0);
    let mut tell = |message: &str, rule: &Rule, label: (Span, String), help: Option<&str>| {
        count += 1;
        text.push_str(&Diagram::new(message, Level::Error, &rule.source, &[label], help).draw(style));
    };
    for (number, rule) in library.rules.iter().enumerate() {
        let of_rule: Vec<&TrialRemedy> = tried.iter().filter(|one| one.rule == number).collect();
        let mut expected = false;
        for one in &of_rule {
            let Some(trial) = rule.trials().get(one.trial) else { continue };
            let Some(effect) = trial.remedy else { continue };
            expected = true;
            if effect != one.effect {
                let message = format!(
                    "the remedy of `{}` does this here: {}, and the trial says {}",
                    rule.name,
                    one.effect.name(),
                    effect.name()
                );
                tell(&message, rule, (trial.place, "this trial".to_owned()), None);
            }
        }
        let idle = !of_rule.is_empty() && of_rule.iter().all(|one| one.effect == RemedyEffect::Nothing);
        if idle && !expected {
            let message = format!("the remedy of `{}` does nothing for any trial that breaks it", rule.name);
            let help = "mend the value that it sets; where it is right, write `remedy: none` into a trial";
            tell(&message, rule, (rule.place, "this rule".to_owned()), Some(help));
        }
    }
    (text, count)
}

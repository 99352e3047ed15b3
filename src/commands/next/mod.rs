//! `holdpoint next`: what the next step asks for is put into the file, and no more than that.

mod grow;
mod lines;
mod outline;
mod own_comments;
mod portion;

use std::fmt::Write as _;
use std::path::PathBuf;

use clap::Args;

use super::files::open;
use super::invocation::{Invocation, Output};
use super::settings::{RuleSources, SettingsCache};
use super::writing::replace;
use crate::design::Design;
use crate::model::Model;
use crate::quantity::{Length, System, unit_row};
use crate::report::{
    Style, difference_text, findings_text, known_so_far, problem_text, proposed, remarks_before,
    waiting_values,
};
use crate::review::{DesignReview, Finding, Options, WaitedFor, is_waiting, review, waiting};
use crate::rules::HoldPoint;
use crate::vocabulary::{Date, EntityId, Store};
use crate::yaml::{Source, clean_line};

pub(super) use crate::design::GRANTED;
pub(super) use grow::Growth;
pub(super) use lines::Examples;
pub(super) use outline::{Answers, in_order, outline};
pub(super) use portion::{Portion, portioned};

/// Put into a design what its next step asks for, each value with its meaning and an example
///
/// A few values are asked for at a time: write them in place of `unknown`, and run the command again. It shows what is wrong with them,
/// five findings at most, and asks for more once that is settled. Nothing else in the file is changed, but that its own remarks go once
/// their value is written.
///
/// Exit: 0 something was asked for, or nothing is left; 1 values of this step are still unknown, or a finding is to be settled; 2 the
/// file could not be read.
#[derive(Args, Clone, Debug)]
pub struct NextOptions {
    /// The design file
    #[arg(value_name = "FILE")]
    pub design: PathBuf,
    /// Show what would be added, and write nothing
    #[arg(long)]
    pub diff: bool,
    /// Go on although values are still unknown, or findings of this step are not settled
    #[arg(long)]
    pub anyway: bool,
    #[allow(missing_docs, reason = "the flags say what each is for")]
    #[command(flatten)]
    pub sources: RuleSources,
    /// The day it is, for rules that ask for it (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
}

/// So many findings are shown at a time.
const MOST_FINDINGS: usize = 5;

/// With no more values of a later step than this left unknown, it asks for more: some are only told by others.
const MOST_OPEN: usize = 5;

/// What is to be done next.
enum Stage {
    /// A step has keys that are not in the file; how many of its values are there and unknown.
    Asks(HoldPoint, Portion, usize),
    /// Findings that hold a step whose values are all written: their places in the list.
    Settles(HoldPoint, Vec<usize>),
    /// Values of a step are in the file and unknown: how many, and a line for each part.
    Waits(HoldPoint, usize, Vec<String>),
    /// Every step has its values.
    Done,
}

/// Adds what the next step asks for.
pub(super) fn next(options: &NextOptions, invocation: &Invocation<'_>) -> Output {
    let (style, today) = (invocation.style, invocation.day(options.today));
    let mut problems = Vec::new();
    let mut settings_cache = SettingsCache::new(&options.sources);
    let number = settings_cache.number(&options.design, &mut problems);
    let mut output = Output::default();
    output.complain(&problems, style);
    let Some(force) = settings_cache.get(number).filter(|_| problems.is_empty()) else { return output };
    let source = match open(&options.design) {
        Ok(source) => source,
        Err((source, problem)) => return Output::failed(problem_text(&source, &problem, style)),
    };
    let (name, text) = (source.name().to_owned(), source.text().to_owned());
    let shown = clean_line(&name).into_owned();
    let design = Design::read(source, &force.library.tables);
    if !design.problems.is_empty() || !design.is_readable() {
        output.complain_of(&design, style);
        let _ = writeln!(output.complaints, "{shown}: nothing was added: mend what cannot be read first");
        output.code = 2;
        return output;
    }
    let how = force.options(&options.design, &light(today));
    let outline = outline::outline_of(&design);
    let examples = Examples::of(system_of(&design, &Model::new(&design, force.library.environment(today))));
    let review_options = Options { try_remedies: true, find_places: true, find_margins: true, ..how.clone() };
    let reviewed = review(design, &force.library, &review_options);
    let outlines = Portion::EACH.map(|portion| portioned(&outline, portion));
    let growth = |step, portion| Growth {
        library: &force.library,
        options: &how,
        outline: outlines.get(portion as usize).map_or(&[], Vec::as_slice),
        examples: &examples,
        step,
        portion,
        reasons: true,
        open: 0,
    };
    let model = Model::new(&reviewed.design, force.library.environment(today));
    let (step, portion, open) = match stage(&reviewed, &model, &growth, options.anyway) {
        Stage::Done => {
            output.report = done(&shown, &reviewed);
            let tidied = own_comments::without_settled(&name, &text, &force.library);
            if tidied == text {
                return output;
            }
            if options.diff {
                output.report = difference_text(&reviewed.design.source, &Source::new(name, tidied), style);
            } else if let Err(why) = replace(&options.design, &text, &tidied) {
                return Output::failed(format!("{shown} is not written: {why}\n"));
            }
            return output;
        }
        Stage::Waits(point, count, lines) => {
            output.report = still_unknown(&shown, point, count, &lines);
            output.code = 1;
            return output;
        }
        Stage::Settles(point, places) => {
            let findings: Vec<&Finding> =
                places.iter().filter_map(|place| reviewed.findings.get(*place)).collect();
            output.report = to_settle(&shown, point, &reviewed, &findings, style);
            output.code = 1;
            return output;
        }
        Stage::Asks(step, portion, open) => (step, portion, open),
    };
    // What was said of the steps before is told once, as the next one begins.
    let begins = !growth(step, portion).structure(&reviewed.design).is_empty();
    let mut grown = Growth { open, ..growth(step, portion) }.grow(&name, &text);
    grown.text = own_comments::without_settled(&name, &grown.text, &force.library);
    for key in &grown.left_out {
        let _ = writeln!(
            output.complaints,
            "{shown}: write `{}` by hand: its map cannot be added to",
            clean_line(key)
        );
        output.code = 2;
    }
    if options.diff {
        output.report = difference_text(&reviewed.design.source, &Source::new(name, grown.text), style);
        return output;
    }
    if let Err(why) = replace(&options.design, &text, &grown.text) {
        return Output::failed(format!("{shown} is not written: {why}\n"));
    }
    output.report.push_str(&known_so_far(&reviewed, &force.library, style));
    if begins {
        output.report.push_str(&remarks_before(&reviewed, step, style));
    }
    output.report.push('\n');
    let after = match grown.left {
        0 => String::new(),
        left => format!("; {left} more come after them"),
    };
    let _ = match grown.asked {
        0 => writeln!(output.report, "{shown}: the parts that {step} asks for are put into the file"),
        1 => {
            writeln!(output.report, "{shown}: {step} asks for 1 value: write it in place of `unknown`{after}")
        }
        many => writeln!(
            output.report,
            "{shown}: {step} asks for {many} values: write each in place of `unknown`{after}"
        ),
    };
    output.report.push_str(&granted_line(grown.granted));
    output.report.push_str(&ways_on(&shown, step));
    output
}

/// How many values were written that nobody was asked for.
pub(super) fn granted_line(granted: usize) -> String {
    match granted {
        0 => String::new(),
        1 => format!("  1 value is written in as usual, and marked `{GRANTED}`\n"),
        many => format!("  {many} values are written in as usual, and marked `{GRANTED}`\n"),
    }
}

/// What to do with a file that asks for values of a step.
pub(super) fn ways_on(shown: &str, step: HoldPoint) -> String {
    let review = format!("holdpoint review --before {step} {shown}");
    let next = format!("holdpoint next {shown}");
    let width = review.chars().count();
    format!(
        "  {next:<width$}    once they are written: what is wrong with them, then what comes next\n  {review}    everything that is known, as often as you like\n"
    )
}

/// A review that only says what is missing.
pub(super) fn light(today: Date) -> Options {
    Options {
        try_remedies: false,
        find_places: false,
        find_working: false,
        find_margins: false,
        ..Options::on(today)
    }
}

/// The first step with something to ask for, with values that are still unknown, or with findings to settle.
fn stage<'g>(
    reviewed: &DesignReview,
    model: &Model<'_>,
    growth: &impl Fn(HoldPoint, Portion) -> Growth<'g>,
    anyway: bool,
) -> Stage {
    if reviewed.is_clear() {
        return Stage::Done;
    }
    let parts = waiting(reviewed.findings.iter().filter(|finding| finding.waiver().is_none()));
    let store = &reviewed.design.store;
    let is_written = |value: &WaitedFor| {
        store.get(value.entity).is_some_and(|entity| entity.slot(value.slot).key.is_some())
    };
    let first = Portion::EACH.map(|portion| (HoldPoint::Parts, portion));
    let later = HoldPoint::ALL.into_iter().filter(|point| *point > HoldPoint::Parts);
    for (point, portion) in first.into_iter().chain(later.map(|point| (point, Portion::All))) {
        let growth = growth(point, portion);
        let unasked = growth.unasked(reviewed);
        let asks = !unasked.is_empty();
        if !growth.structure(&reviewed.design).is_empty() || (asks && (anyway || point == HoldPoint::Parts)) {
            return Stage::Asks(point, portion, 0);
        }
        if anyway {
            continue;
        }
        let (mut count, mut lines) = (0, Vec::new());
        for part in &parts {
            let due = |value: &&WaitedFor| {
                value.holds_before(point) && ((portion == Portion::All && !asks) || is_written(value))
            };
            let values: Vec<&WaitedFor> = part.values.iter().filter(due).collect();
            count += values.len();
            if !values.is_empty() {
                lines.push(waiting_values(part, values));
                lines.extend(proposed(model, part).into_iter().map(|line| format!("  {line}")));
            }
        }
        if count > 0 && (!asks || count > MOST_OPEN) {
            return Stage::Waits(point, count, lines);
        }
        let holds = |finding: &Finding| {
            finding.holds()
                && finding.is_shown()
                && finding.before <= point
                && !is_waiting(finding)
                && !is_about_any(store, finding.subject_id, &unasked)
        };
        let open: Vec<usize> =
            reviewed.findings.iter().enumerate().filter(|(_, one)| holds(one)).map(|(at, _)| at).collect();
        if !open.is_empty() {
            return Stage::Settles(point, open);
        }
        if asks {
            return Stage::Asks(point, portion, count);
        }
    }
    Stage::Done
}

/// Whether a part has values that are still to be asked for, or is in one or around one that has: what is wrong with it may be nothing
/// but that they are not there yet.
fn is_about_any(store: &Store, subject: EntityId, unasked: &[WaitedFor]) -> bool {
    let around =
        |id: EntityId| std::iter::successors(Some(id), |at| store.get(*at).and_then(|entity| entity.parent));
    let root = store.root();
    unasked.iter().any(|value| {
        around(value.entity).any(|id| id == subject)
            || around(subject).any(|id| id == value.entity && id != root)
    })
}

/// A few findings, and how to go on.
fn to_settle(
    shown: &str,
    point: HoldPoint,
    reviewed: &DesignReview,
    findings: &[&Finding],
    style: Style,
) -> String {
    let some = findings.get(..MOST_FINDINGS).unwrap_or(findings);
    let mut text = match (findings.len(), some.len()) {
        (1, _) => format!("{shown}: 1 finding is to be settled for {point}\n\n"),
        (all, some) if all > some => {
            format!("{shown}: {all} findings are to be settled for {point}; here are the first {some}\n\n")
        }
        (all, _) => format!("{shown}: {all} findings are to be settled for {point}\n\n"),
    };
    text.push_str(&findings_text(reviewed, some, style));
    text.push_str(
        "Change the file, and run the command again; or go on to what comes then with `--anyway`.\n",
    );
    text
}

/// The system of units that a file is written in: by the lengths in it.
fn system_of(design: &Design, model: &Model<'_>) -> System {
    let shown = model.shown(Length::from_si(0.1).into());
    let written = design.store.all().any(|(_, entity)| entity.entity_type.name == "tube");
    shown.unit().filter(|_| written).map_or(System::Unknown, |unit| unit_row(unit).system)
}

fn still_unknown(shown: &str, point: HoldPoint, count: usize, lines: &[String]) -> String {
    let mut text = match count {
        1 => format!("{shown}: 1 value is still unknown, and {point} needs it:\n"),
        many => format!("{shown}: {many} values are still unknown, and {point} needs them:\n"),
    };
    for line in lines {
        let _ = writeln!(text, "  {line}");
    }
    text.push_str("Write them in, or go on to what comes then with `--anyway`.\n");
    text
}

fn done(shown: &str, reviewed: &DesignReview) -> String {
    let unknown = reviewed.findings.iter().filter(|f| f.holds() && is_waiting(f)).count();
    let broken = reviewed.findings.iter().filter(|f| f.holds() && !is_waiting(f)).count();
    let remarks = reviewed.findings.iter().filter(|f| f.is_shown() && !f.holds() && !is_waiting(f)).count();
    let mut text = format!("{shown}: nothing is left to ask for");
    if unknown > 0 {
        text.push_str("; what is `unknown` still holds");
    }
    let _ = match broken {
        0 if remarks == 1 => writeln!(text, "; 1 remark is to be read: holdpoint review {shown}"),
        0 if remarks > 1 => writeln!(text, "; {remarks} remarks are to be read: holdpoint review {shown}"),
        0 => writeln!(text),
        1 => writeln!(text, "; 1 finding is to be settled: holdpoint review {shown}"),
        many => writeln!(text, "; {many} findings are to be settled: holdpoint review {shown}"),
    };
    let unproven = reviewed.findings.iter().filter(|f| f.is_shown() && !f.holds() && is_waiting(f)).count();
    if unproven > 0 {
        let _ = writeln!(
            text,
            "{} for want of a value; the review lists what is not written down",
            match unproven {
                1 => "1 remark that would not hold cannot be judged".to_owned(),
                many => format!("{many} remarks that would not hold cannot be judged"),
            }
        );
    }
    let granted = crate::design::granted_lines(reviewed.design.source.text());
    if granted > 0 {
        let _ = writeln!(
            text,
            "{} still marked `{GRANTED}`: check each on the rocket, and take the mark out",
            match granted {
                1 => "1 line is".to_owned(),
                many => format!("{many} lines are"),
            }
        );
    }
    text
}

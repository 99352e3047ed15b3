//! `holdpoint checklist`: what the flyer of one rocket does on the day, and what the codes ask of a person.

use std::fmt::Write as _;
use std::path::PathBuf;

use super::settings::SettingsCache;
use super::{Output, open};
use crate::design::Design;
use crate::model::Model;
use crate::report::{Style, caution, problem_text};
use crate::review::{Moment, applicable_packs, steps};
use crate::text::clean_line;
use crate::vocabulary::Date;

/// What `checklist` is asked to do.
#[derive(Clone, Debug)]
pub struct ChecklistOptions {
    /// The design.
    pub path: PathBuf,
    /// More rule packs.
    pub rules: Vec<PathBuf>,
    /// Code packs that count whatever the design says.
    pub codes: Vec<String>,
    /// The day it is.
    pub today: Date,
    /// How text is drawn.
    pub style: Style,
}

/// The checklist of a design, with a box before each step. It judges nothing: a step that is printed is not one that is done.
#[must_use]
pub fn checklist(options: &ChecklistOptions) -> Output {
    let mut problems = Vec::new();
    let mut settings_cache = SettingsCache::new(&options.rules);
    let number = settings_cache.number(&options.path, &mut problems);
    if let Some(complaint) = settings_cache.unknown_codes(&options.codes) {
        return Output::failed(complaint);
    }
    let Some(force) = settings_cache.get(number) else { return Output::default() };
    let source = match open(&options.path) {
        Ok(source) => source,
        Err((source, problem)) => return Output::failed(problem_text(&source, &problem, options.style)),
    };
    let design = Design::read(source, &force.library.tables);
    let mut output = Output::default();
    let mistakes = design.problems.iter().map(|problem| problem_text(&design.source, problem, options.style));
    for complaint in
        problems.iter().map(|(source, problem)| problem_text(source, problem, options.style)).chain(mistakes)
    {
        output.complaints.push_str(&complaint);
        output.code = 2;
    }
    if !design.is_readable() {
        return output;
    }
    let model = Model::new(&design, force.library.environment(options.today));
    let packs = applicable_packs(&model, &force.library, &force.codes(&options.codes));
    let steps = steps(&model, &packs);
    let out = &mut output.report;
    let _ = writeln!(
        out,
        "{}: field checklist ({})",
        clean_line(design.name()),
        clean_line(design.source.name())
    );
    for moment in Moment::ALL {
        let mine: Vec<_> = steps.iter().filter(|step| step.group == moment).collect();
        if mine.is_empty() {
            continue;
        }
        let _ = writeln!(
            out,
            "\n── {moment} {}\n",
            "─".repeat(options.style.width.saturating_sub(4 + moment.to_string().len()))
        );
        for step in mine {
            let wrap = |first: &str, words: &str| {
                let how = textwrap::Options::new(options.style.width)
                    .initial_indent(first)
                    .subsequent_indent("      ");
                textwrap::fill(&clean_line(words), how)
            };
            let _ = writeln!(out, "{}", wrap("  [ ] ", &step.text));
            let _ = writeln!(out, "{}", wrap("      ", &step.why));
            if let Some(source) = &step.source {
                let _ = writeln!(out, "{}", wrap("      source: ", source));
            }
        }
    }
    for pack in packs.iter().filter(|pack| !pack.judged) {
        let _ =
            writeln!(out, "\nNothing of {} is asked: {}.", clean_line(&pack.name), clean_line(&pack.because));
    }
    out.push('\n');
    out.push_str(caution());
    output
}

//! The field checklist of a rocket, with a box before each step.

use std::fmt::Write as _;

use crate::design::Design;
use crate::report::{Style, caution};
use crate::review::{ChecklistStep, PackApplicability};
use crate::rules::Moment;
use crate::yaml::clean_line;

/// The steps of a rocket's day by when they are taken, and which packs ask for nothing.
#[must_use]
pub fn checklist_text(
    design: &Design,
    steps: &[ChecklistStep],
    packs: &[PackApplicability],
    style: Style,
) -> String {
    let mut out = String::new();
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
            "─".repeat(style.width.saturating_sub(4 + moment.to_string().len()))
        );
        for step in mine {
            let wrap = |first: &str, words: &str| {
                let how =
                    textwrap::Options::new(style.width).initial_indent(first).subsequent_indent("      ");
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
    out
}

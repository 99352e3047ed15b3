//! `holdpoint packet`: the papers of a design, and whether papers still belong to it.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use super::pass::hold_to_records;
use super::settings::SettingsCache;
use super::{Invocation, Output, open};
use crate::design::Design;
use crate::report::{Bound, PaperForm, Style, holds_text, papers, problem_text};
use crate::review::{DesignReview, Options, review};
use crate::rules::Library;
use crate::text::clean_line;
use crate::vocabulary::Date;
use clap::Args;

/// Write the papers of a design, or ask whether papers still belong to it
///
/// Summary, drawing, weights, stability, motor, recovery, drill sheet, wiring, ground tests, waivers, field checklist and
/// lines to sign on. They are bound to the bytes of the design and of the rules, and are not written while anything holds.
///
/// Exit: 0 written, or they still stand; 1 something holds, or they do not; 2 something could not be read.
#[derive(Args, Clone, Debug)]
pub struct PacketOptions {
    /// The design file
    pub design: PathBuf,
    /// Compare these papers with the design instead
    #[arg(long, value_name = "PAPERS")]
    pub verify: Option<PathBuf>,
    /// The form of the papers
    #[arg(long, value_enum, default_value_t)]
    pub format: PaperForm,
    /// Rule packs of your own, besides the built-in ones: files or folders
    #[arg(long, value_name = "PATH")]
    pub rules: Vec<PathBuf>,
    /// The day it is, for waivers and dates (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
}

/// Writes papers, or compares them with their design. Nothing is written while anything holds.
pub(super) fn packet(options: &PacketOptions, invocation: &Invocation<'_>) -> Output {
    let (style, today) = (invocation.style, invocation.day(options.today));
    let mut output = Output::default();
    let Some((library, reviewed)) = reviewed(&options.design, &options.rules, today, style, &mut output)
    else {
        return output;
    };
    match &options.verify {
        Some(path) => verify(path, &reviewed, &library, style, &mut output),
        None if reviewed.is_clear() => output.report = papers(&reviewed, &library, options.format),
        None => {
            let name = clean_line(reviewed.design.source.name()).into_owned();
            let _ = writeln!(output.complaints, "no papers for {name} while something holds:");
            output.complaints.push_str(&holds_text(&reviewed));
            output.code = 1;
        }
    }
    output
}

/// A design with its review, and the rules it was reviewed by. Where one cannot be had the output says so.
pub(super) fn reviewed(
    path: &Path,
    rules: &[PathBuf],
    today: Date,
    style: Style,
    output: &mut Output,
) -> Option<(Library, DesignReview)> {
    let mut problems = Vec::new();
    let mut settings_cache = SettingsCache::new(rules);
    let number = settings_cache.number(path, &mut problems);
    let force = settings_cache.get(number)?;
    let design = match open(path) {
        Ok(source) => Some(Design::read(source, &force.library.tables)),
        Err(placed) => {
            problems.push(placed);
            None
        }
    };
    for (source, problem) in &problems {
        output.complaints.push_str(&problem_text(source, problem, style));
    }
    for (design, problem) in design.iter().flat_map(|d| d.problems.iter().map(move |p| (d, p))) {
        output.complaints.push_str(&problem_text(&design.source, problem, style));
    }
    let Some(design) = design.filter(|d| problems.is_empty() && d.problems.is_empty() && d.is_readable())
    else {
        output.code = 2;
        return None;
    };
    let how = Options { try_remedies: false, ..Options::on(today) };
    let mut reviewed = review(design, &force.library, &force.options(path, &how));
    hold_to_records(std::slice::from_mut(&mut reviewed), &[&force.library], &mut problems);
    if problems.is_empty() {
        return Some((force.library.clone(), reviewed));
    }
    output.complain(&problems, style);
    None
}

fn verify(path: &Path, reviewed: &DesignReview, library: &Library, style: Style, output: &mut Output) {
    let text = match open(path) {
        Ok(source) => source,
        Err((source, problem)) => {
            output.complaints.push_str(&problem_text(&source, &problem, style));
            output.code = 2;
            return;
        }
    };
    let names =
        (clean_line(text.name()).into_owned(), clean_line(reviewed.design.source.name()).into_owned());
    let differs = Bound::of(reviewed, library).against(text.text());
    if differs.is_empty() && reviewed.is_clear() {
        let day = Bound::read(text.text()).map(|(bound, _)| bound.day).unwrap_or_default();
        let _ =
            writeln!(output.report, "{} of {day} are the papers of {}, and nothing holds", names.0, names.1);
        return;
    }
    let _ = writeln!(output.report, "{} do not stand for {} any more:", names.0, names.1);
    for one in differs {
        let _ = writeln!(output.report, "  {one}");
    }
    if !reviewed.is_clear() {
        let _ = writeln!(output.report, "  something holds now:");
        output.report.push_str(&holds_text(reviewed));
    }
    output.code = 1;
}

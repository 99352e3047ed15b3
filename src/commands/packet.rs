//! `holdpoint packet`: the papers of a design, and whether papers still belong to it.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use super::files::open;
use super::inputs::is_design;
use super::invocation::{Invocation, Output};
use super::records::{record_of, reviewed, stem_of};
use super::settings::RuleSources;
use super::spread_option::SpreadOption;
use super::writing::write_whole;
use crate::report::{Bound, PaperForm, Style, holds_text, papers, problem_text};
use crate::review::DesignReview;
use crate::rules::Library;
use crate::vocabulary::Date;
use crate::yaml::clean_line;
use clap::Args;

/// Write the papers of a design, or ask whether papers still belong to it
///
/// Summary, drawing, weights, stability, motor, recovery, drill sheet, wiring, ground tests, waivers, field checklist and
/// lines to sign on. They are bound to the bytes of the design and of the rules, and are not written while anything holds:
/// a file that `--output` names then stays as it is, while a shell that is told `> FILE` empties it in any case.
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
    /// Write them to this file, or into this folder under the design's name
    #[arg(long, value_name = "FILE_OR_FOLDER", conflicts_with = "verify")]
    pub output: Option<PathBuf>,
    #[allow(missing_docs, reason = "the flags say what each is for")]
    #[command(flatten)]
    pub sources: RuleSources,
    #[allow(missing_docs, reason = "the flag says what it is for")]
    #[command(flatten)]
    pub spread: SpreadOption,
    /// The day it is, for waivers and dates (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
}

/// Writes papers, or compares them with their design. Nothing is written while anything holds.
pub(super) fn packet(options: &PacketOptions, invocation: &Invocation<'_>) -> Output {
    let (style, today) = (invocation.style, invocation.day(options.today));
    let mut output = Output::default();
    let Some((library, reviewed)) =
        reviewed(&options.design, &options.sources, (today, options.spread), style, &mut output)
    else {
        return output;
    };
    match &options.verify {
        Some(path) => verify(path, &reviewed, &library, style, &mut output),
        None if reviewed.is_clear() => {
            let text = papers(&reviewed, &library, options.format);
            match &options.output {
                Some(place) => put(place, options, &text, &mut output),
                None => output.report = text,
            }
        }
        None => {
            let name = clean_line(reviewed.design.source.name()).into_owned();
            let _ = writeln!(output.complaints, "no papers for {name} while something holds:");
            output.complaints.push_str(&holds_text(&reviewed));
            output.code = 1;
        }
    }
    output
}

/// Writes papers to a file, or into a folder under the name of the design. Only papers are ever replaced.
fn put(place: &Path, options: &PacketOptions, text: &str, output: &mut Output) {
    let ending = match options.format {
        PaperForm::Html => "html",
        PaperForm::Markdown => "md",
    };
    let path = match place.is_dir() {
        true => place.join(format!("{}.papers.{ending}", stem_of(&options.design))),
        false => place.to_path_buf(),
    };
    let shown = clean_line(&path.to_string_lossy()).into_owned();
    match may_hold_papers(&path, &options.design)
        .and_then(|()| write_whole(&path, |out| out.write_all(text.as_bytes())))
    {
        Ok(()) => {
            let _ = writeln!(output.report, "the papers are written to {shown}");
        }
        Err(why) => {
            let _ = writeln!(output.complaints, "{shown}: not written: {}", clean_line(&why));
            output.code = 2;
        }
    }
}

/// Whether papers may go there: never over a design or its record, nor over what was written by somebody else.
fn may_hold_papers(path: &Path, design: &Path) -> Result<(), String> {
    let whole = |path: &Path| std::fs::canonicalize(path).ok();
    if is_design(path)
        || [design, &record_of(design)]
            .iter()
            .any(|one| whole(one).is_some_and(|one| whole(path) == Some(one)))
    {
        return Err("a design or its record has that name".to_owned());
    }
    match std::fs::metadata(path) {
        Ok(about) if about.is_file() && about.len() > 0 => {
            let old = open(path).map_err(|(_, problem)| problem.message)?;
            let papers = Bound::read(old.text()).map(|_| ());
            papers.map_err(|_| {
                "a file is there that is no papers: move it away, or choose another name".to_owned()
            })
        }
        _ => Ok(()),
    }
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

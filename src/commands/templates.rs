//! `holdpoint templates`: strips and outlines at true size, to drill and to cut by.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::Args;

use super::invocation::{Invocation, Output};
use super::records::{reviewed, stem_of};
use super::settings::RuleSources;
use super::spread_option::SpreadOption;
use super::writing::write_whole;
use crate::quantity::{Dimension, Length, Measure};
use crate::report::{MADE, Paper, TemplateFile, TemplateOptions, Templates, templates as draw};
use crate::vocabulary::Date;
use crate::yaml::clean_line;

/// Paper thicker than this goes around no tube, m.
const THICKEST: f64 = 0.003;

/// Draw templates at true size: strips to wrap around the tubes, and outlines of the flat parts
///
/// Strips show each hole, slot, fin, button and pin at its clock angle and station, with the drill, on sheets of paper with a scale
/// to check the print by. Fins, rings, bulkheads and lids are SVG in millimetres, a group for each cut, without the kerf. What cannot
/// be drawn is named with the keys that it needs.
///
/// Exit: 0 all is drawn and nothing holds up to drilling; 1 something is left out or holds, the rest is written; 2 something could
/// not be read or written.
#[derive(Args, Clone, Debug)]
pub struct TemplatesOptions {
    /// The design file
    pub design: PathBuf,
    /// The folder to write to; it is made where it is not there
    #[arg(long, value_name = "FOLDER")]
    pub output: PathBuf,
    /// The paper to print on
    #[arg(long, value_enum, default_value_t)]
    pub paper: Paper,
    /// How thick that paper is, with its unit; office paper of 80 g/m² is about 0.1 mm
    #[arg(long, value_name = "LENGTH", default_value = "0.1 mm")]
    pub paper_thickness: String,
    #[allow(missing_docs, reason = "the flags say what each is for")]
    #[command(flatten)]
    pub sources: RuleSources,
    /// The day it is, for the review that the sheets name (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
}

/// Writes the templates of a design to a folder.
pub(super) fn templates(options: &TemplatesOptions, invocation: &Invocation<'_>) -> Output {
    let thickness = match thickness(&options.paper_thickness) {
        Ok(thickness) => thickness,
        Err(why) => return Output::failed(format!("--paper-thickness: {why}\n")),
    };
    let (style, today) = (invocation.style, invocation.day(options.today));
    let mut output = Output::default();
    let Some((library, reviewed)) =
        reviewed(&options.design, &options.sources, (today, SpreadOption::default()), style, &mut output)
    else {
        return output;
    };
    let drawn = draw(&reviewed, &library, TemplateOptions { paper: options.paper, thickness });
    if let Err(why) = std::fs::create_dir_all(&options.output) {
        let folder = clean_line(&options.output.to_string_lossy()).into_owned();
        let _ = writeln!(output.complaints, "{folder} is no folder, and cannot be made: {why}");
        output.code = 2;
        return output;
    }
    let stem = stem_of(&options.design);
    let mut written = Vec::new();
    for file in drawn.print.iter().chain(&drawn.sheets).chain(&drawn.cuts) {
        let path = options.output.join(format!("{stem}.{}", file.name));
        match put(&path, file) {
            Ok(()) => written.push(path),
            Err(why) => {
                let path = clean_line(&path.to_string_lossy()).into_owned();
                let _ = writeln!(output.complaints, "{path}: not written: {}", clean_line(&why));
                output.code = 2;
            }
        }
    }
    output.report = summary(&drawn, &options.output, &stem, &written);
    let incomplete = drawn.holds || !drawn.left_out.is_empty();
    output.code = output.code.max(u8::from(incomplete));
    output
}

/// The thickness of the paper, if it is that of some paper.
fn thickness(text: &str) -> Result<Length, String> {
    match Measure::read(text.trim(), Dimension::LENGTH) {
        Ok(Measure { nominal, tolerance: None }) if (0.0..=THICKEST).contains(&nominal.si) => {
            Ok(Length::from_si(nominal.si))
        }
        Ok(_) => Err(format!("`{}` is the thickness of no paper: write it like `0.1 mm`", clean_line(text))),
        Err(problem) => Err(clean_line(&problem.message).into_owned()),
    }
}

/// Writes a file, in place of an older one of this program and of nothing else.
fn put(path: &Path, file: &TemplateFile) -> Result<(), String> {
    if std::fs::metadata(path).is_ok_and(|about| about.is_file() && about.len() > 0) && !is_ours(path) {
        return Err("a file is there that is no template: move it away, or choose another folder".to_owned());
    }
    write_whole(path, |out| out.write_all(file.text.as_bytes()))
}

/// Whether a file is a template that this program wrote.
fn is_ours(path: &Path) -> bool {
    let Ok(mut file) = std::fs::File::open(path) else { return false };
    let mut start = vec![0; 1024];
    let read = std::io::Read::read(&mut file, &mut start).unwrap_or(0);
    start.get(..read).is_some_and(|start| String::from_utf8_lossy(start).contains(MADE))
}

/// Templates of this design in a folder that were not written now: of an earlier state of it.
fn older(folder: &Path, stem: &str, written: &[PathBuf]) -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut found: Vec<String> = entries
        .filter_map(Result::ok)
        .filter(|entry| {
            !written.contains(&entry.path()) && entry.file_type().is_ok_and(|kind| kind.is_file())
        })
        .filter_map(|entry| {
            let name = entry.file_name().to_string_lossy().into_owned();
            let rest = name.strip_prefix(stem)?.strip_prefix('.')?;
            let is_named_so = ["sheet-", "cut-", "templates."].iter().any(|begin| rest.starts_with(begin));
            (is_named_so && is_ours(&entry.path())).then_some(name)
        })
        .collect();
    found.sort();
    found
}

/// What was written, and what was not drawn.
fn summary(drawn: &Templates, folder: &Path, stem: &str, written: &[PathBuf]) -> String {
    let mut out = String::new();
    let there = |name: &str| written.contains(&folder.join(format!("{stem}.{name}")));
    let shown = clean_line(&folder.to_string_lossy()).into_owned();
    let stem = clean_line(stem).into_owned();
    if let Some(print) = drawn.print.as_ref().filter(|file| there(&file.name)) {
        let _ = writeln!(out, "{shown}/{stem}.{}  {}", print.name, print.about);
    }
    let sheets: Vec<&TemplateFile> = drawn.sheets.iter().filter(|file| there(&file.name)).collect();
    if let (Some(first), Some(last)) = (sheets.first(), sheets.last()) {
        let _ = writeln!(out, "{shown}/{stem}.{} to {}  the same, one by one", first.name, last.name);
    }
    for file in drawn.cuts.iter().filter(|file| there(&file.name)) {
        let _ = writeln!(out, "{shown}/{stem}.{}  {}", file.name, file.about);
    }
    if drawn.print.is_none() && drawn.cuts.is_empty() {
        out.push_str("nothing is known well enough to be drawn\n");
    }
    if drawn.print.is_some() {
        out.push_str(
            "\nFore is up on each strip, and the printed side is outside. Clock angles are read from aft, clockwise from the first fin: on a\n\
             strip they grow to the right. Discs are seen from aft. Print at 100 %, and lay a steel rule on both scales of each sheet.\n",
        );
    }
    if !drawn.left_out.is_empty() {
        out.push_str("\nnot drawn:\n");
        // What waits for the same keys stands together.
        let mut whys: Vec<&str> = Vec::new();
        for one in &drawn.left_out {
            if !whys.contains(&one.why.as_str()) {
                whys.push(&one.why);
            }
        }
        for why in whys {
            let _ = writeln!(out, "  {}", clean_line(why));
            for one in drawn.left_out.iter().filter(|one| one.why == why) {
                let _ = writeln!(out, "      {}", clean_line(&one.what));
            }
        }
    }
    if drawn.holds {
        out.push_str(
            "\nsomething holds before drilling or earlier, as each sheet says: do not drill or cut yet\n",
        );
    }
    let older = older(folder, &stem, written);
    if !older.is_empty() {
        out.push_str("\nof an earlier state of this design, to be taken away:\n");
        for name in older {
            let _ = writeln!(out, "  {shown}/{}", clean_line(&name));
        }
    }
    out.push('\n');
    out.push_str(crate::report::caution());
    out
}

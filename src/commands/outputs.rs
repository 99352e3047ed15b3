//! The forms of a review's report, and reports that go to files beside the one that is printed.

use std::path::{Path, PathBuf};
use std::str::FromStr;

use super::invocation::Output;
use super::report_writer::{Printed, ReportWriter};
use super::writing::{is_written_whole, write_whole};
use crate::report::{Format, ReportOptions, Style};
use crate::vocabulary::suggest;
use crate::yaml::clean_line;

/// A report of a form for a file: `sarif=review.sarif`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutputFile {
    /// The form.
    pub format: Format,
    /// The file.
    pub path: PathBuf,
}

impl FromStr for OutputFile {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (name, path) = text
            .split_once('=')
            .filter(|(_, path)| !path.is_empty())
            .ok_or("a form and a file are due: sarif=review.sarif")?;
        match Format::of(name) {
            Some(format) => Ok(Self { format, path: PathBuf::from(path) }),
            None => {
                let names = Format::WORDS;
                let near = suggest(name, names.iter().copied())
                    .map(|n| format!("; did you mean `{n}`?"))
                    .unwrap_or_default();
                Err(format!(
                    "`{}` is no form of a report{near} They are {}",
                    clean_line(name),
                    names.join(", ")
                ))
            }
        }
    }
}

/// The reports of a run, none of them begun: the printed one first, then those that go to files.
pub(super) fn gatherings<'o>(
    printed: Format,
    files: &[OutputFile],
    shown: ReportOptions<'_>,
) -> Vec<ReportWriter<'o>> {
    let plain = ReportOptions { style: Style { colour: false, ..shown.style }, ..shown };
    let printed = printed.report(shown);
    let files = files.iter().map(|file| file.format.report(plain));
    std::iter::once(printed).chain(files).map(ReportWriter::new).collect()
}

/// True when the printed report may begin before the files are written: none of them can be the same pipe.
pub(super) fn may_print_at_once(files: &[OutputFile]) -> bool {
    files.iter().all(|file| is_written_whole(&file.path))
}

/// Writes the reports. A file that cannot be written is complained of, and makes the exit code 2: whoever waits for it
/// must not take an old one for the new.
pub(super) fn write_reports(
    reports: Vec<ReportWriter<'_>>,
    designs: &[PathBuf],
    files: &[OutputFile],
    base: &Path,
    printed: Option<&mut Printed>,
    output: &mut Output,
) {
    let mut reports = reports.into_iter();
    let first = reports.next();
    let mut written: Vec<PathBuf> = Vec::new();
    for (file, report) in files.iter().zip(reports) {
        let place = std::fs::canonicalize(&file.path).unwrap_or_else(|_| base.join(&file.path));
        let is_design = designs.iter().any(|d| std::fs::canonicalize(d).is_ok_and(|d| d == place));
        let outcome = if is_design {
            Err("it is one of the designs".to_owned())
        } else if written.contains(&place) {
            Err("another report goes there".to_owned())
        } else {
            write_whole(&file.path, |out| report.finish(out))
        };
        written.push(place);
        if let Err(why) = outcome {
            let name = file.path.to_string_lossy();
            output.complaints.push_str(&format!(
                "{}: not written: {}\n",
                clean_line(&name),
                clean_line(&why)
            ));
            output.code = 2;
        }
    }
    let outcome = match (first, printed) {
        (Some(report), Some(out)) => report.finish(out),
        (Some(report), None) => report.finish_directly(),
        (None, _) => Ok(()),
    };
    if let Err(error) = outcome {
        output.not_printed(&error);
    }
}

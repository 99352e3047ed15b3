//! The forms of a review's report, and reports that go to files beside the one that is printed.

use std::path::{Path, PathBuf};
use std::str::FromStr;

use super::Output;
use super::review::ReviewOptions;
use super::writing::write_whole;
use crate::report::{Review, Style, concise, json, junit, page, sarif, text, workflow};
use crate::rules::Library;
use crate::text::{clean_line, no_commands};
use crate::vocabulary::suggest;

/// The form of a report.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Format {
    /// As a mentor would write it.
    #[default]
    Text,
    /// One line a finding.
    Concise,
    /// The contract for programs.
    Json,
    /// SARIF 2.1.0.
    Sarif,
    /// JUnit XML.
    Junit,
    /// GitHub's workflow commands.
    Github,
    /// One page for a browser or a printer.
    Html,
}

impl Format {
    /// Each with its name on the command line.
    pub const ALL: [(&'static str, Self); 7] = [
        ("text", Self::Text),
        ("concise", Self::Concise),
        ("json", Self::Json),
        ("sarif", Self::Sarif),
        ("junit", Self::Junit),
        ("github", Self::Github),
        ("html", Self::Html),
    ];
}

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
        match Format::ALL.into_iter().find(|(known, _)| *known == name) {
            Some((_, format)) => Ok(Self { format, path: PathBuf::from(path) }),
            None => {
                let names = Format::ALL.map(|(name, _)| name);
                let near = suggest(name, names).map(|n| format!("; did you mean `{n}`?")).unwrap_or_default();
                Err(format!(
                    "`{}` is no form of a report{near} They are {}",
                    clean_line(name),
                    names.join(", ")
                ))
            }
        }
    }
}

/// What a report is made of.
#[derive(Clone, Copy)]
struct Told<'r> {
    review: &'r Review,
    /// The packs that each design was reviewed by.
    libraries: &'r [&'r Library],
    options: &'r ReviewOptions,
    /// The folder of the run.
    base: &'r Path,
}

/// A review in one form.
fn rendered(told: &Told<'_>, format: Format, style: Style) -> String {
    let Told { review, libraries, options, base } = *told;
    match format {
        Format::Text => no_commands(text(review, style)),
        Format::Concise => no_commands(concise(review)),
        Format::Json => json(review),
        Format::Sarif => sarif(review, base, options.show_waived),
        Format::Junit => junit(review, base),
        Format::Github => workflow(review, base),
        Format::Html => page(review, libraries),
    }
}

/// The review printed in one form and written to files in others. A file that cannot be written is complained of, and
/// makes the exit code 2: whoever waits for it must not take an old one for the new.
pub(super) fn write_reports(
    review: &Review,
    libraries: &[&Library],
    designs: &[PathBuf],
    options: &ReviewOptions,
) -> Output {
    let base = std::env::current_dir().unwrap_or_default();
    let told = Told { review, libraries, options, base: &base };
    let mut output = Output {
        report: rendered(&told, options.format, options.style),
        complaints: String::new(),
        code: review.exit_code(),
    };
    let plain = Style { colour: false, ..options.style };
    let mut written: Vec<PathBuf> = Vec::new();
    for file in &options.outputs {
        let place = std::fs::canonicalize(&file.path).unwrap_or_else(|_| base.join(&file.path));
        let is_design = designs.iter().any(|d| std::fs::canonicalize(d).is_ok_and(|d| d == place));
        let outcome = if is_design {
            Err("it is one of the designs".to_owned())
        } else if written.contains(&place) {
            Err("another report goes there".to_owned())
        } else {
            write_whole(&file.path, &rendered(&told, file.format, plain))
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
    output
}

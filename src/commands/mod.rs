//! The commands: one file each. They gather input, call the library, and give back text and an exit code.

mod explain;
mod review;
mod rules;
mod schema;
mod trial;

pub use explain::{ExplainOptions, explain};
pub use review::{Format, ReviewOptions, review};
pub use rules::{RulesOptions, rules};
pub use schema::{SchemaOf, schema};
pub use trial::{TrialOptions, trial};

use std::path::{Path, PathBuf};

use crate::text::Source;

/// What a command gives back: what to write, and how it ended.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Output {
    /// The report, for standard output.
    pub report: String,
    /// What went wrong with the tool itself, for standard error.
    pub complaints: String,
    /// 0 nothing holds, 1 something holds, 2 could not review.
    pub code: u8,
}

impl Output {
    /// A command that could not do its work.
    #[must_use]
    pub fn failed(complaint: impl Into<String>) -> Self {
        Self { report: String::new(), complaints: complaint.into(), code: 2 }
    }
}

/// The rule files of a path: the file itself, or every `*.yaml` of a folder and those below, tables and specimens left out.
fn rule_files(path: &Path) -> Vec<PathBuf> {
    if !path.is_dir() {
        return vec![path.to_path_buf()];
    }
    let mut found: Vec<PathBuf> = ignore::WalkBuilder::new(path)
        .build()
        .filter_map(Result::ok)
        .map(ignore::DirEntry::into_path)
        .filter(|p| p.extension().is_some_and(|e| e == "yaml" || e == "yml"))
        .filter(|p| !p.to_string_lossy().ends_with(".rocket.yaml"))
        .filter(|p| !p.components().any(|c| c.as_os_str() == "tables"))
        .collect();
    found.sort();
    found
}

/// A file as a source under the name it was asked for by.
fn open(path: &Path) -> Result<Source, String> {
    let shown = path.to_string_lossy().into_owned();
    let bytes = std::fs::read(path).map_err(|error| format!("{shown}: {error}\n"))?;
    Source::from_bytes(&*shown, bytes).map_err(|problem| {
        let help = problem.help.map(|h| format!(" ({h})")).unwrap_or_default();
        format!("{shown}: {}{help}\n", problem.message)
    })
}

/// True when a rule file is one of those built in, so that it is not loaded twice.
fn is_built_in(source: &Source) -> bool {
    crate::rules::BUILT_IN.iter().any(|(_, text)| *text == source.text())
}

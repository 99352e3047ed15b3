//! `holdpoint trial`: runs the trials of rule files.

use std::fmt::Write as _;
use std::path::PathBuf;

use clap::Args;

use super::files::{is_built_in, open, rule_files};
use super::invocation::{Invocation, Output};
use crate::report::{problem_text, trials_text};
use crate::review::{remedy_problems, trial_remedies};
use crate::rules::{BUILT_IN, BuiltIn, Library, More, TrialRun, specimens};
use crate::yaml::{Source, clean_line};

/// Run the trials of rule files
#[derive(Args, Clone, Debug)]
pub struct TrialOptions {
    /// Rule files or folders; the built-in packs where none is given
    pub paths: Vec<PathBuf>,
    /// Tell which conditions no trial has seen come out true, and which ones false
    #[arg(long)]
    pub coverage: bool,
    /// Print a specimen that trials change, with the names of its parts, instead
    #[arg(long, value_name = "NAME", value_parser = specimen_names(), conflicts_with_all = ["paths", "coverage"])]
    pub specimen: Option<String>,
}

/// The names of the specimens.
fn specimen_names() -> clap::builder::PossibleValuesParser {
    specimens().iter().map(|(name, _)| *name).collect::<Vec<_>>().into()
}

/// Runs the trials of rule files, and of nothing else.
pub(super) fn trial(options: &TrialOptions, invocation: &Invocation<'_>) -> Output {
    let style = invocation.style;
    let mut output = Output::default();
    if let Some(wanted) = &options.specimen {
        let text = specimens().iter().find(|(name, _)| name == wanted).map(|(_, text)| *text);
        output.report = text.unwrap_or_default().to_owned();
        return output;
    }
    let (mut asked, mut extra) = (Vec::new(), More::default());
    let mut edited = Vec::new();
    for path in &options.paths {
        let files = rule_files(path);
        if files.is_empty() {
            let _ =
                writeln!(output.complaints, "{}: no rule files here", clean_line(&path.to_string_lossy()));
            output.code = 2;
        }
        for (file, table) in
            files.packs.into_iter().map(|f| (f, false)).chain(files.tables.into_iter().map(|f| (f, true)))
        {
            match open(&file) {
                Ok(source) if is_built_in(&source) => {
                    asked.extend(BuiltIn::of(&source).map(|pack| pack.name.to_owned()));
                }
                Ok(source) if table => extra.tables.push(source),
                Ok(source) => {
                    // The file of a built-in pack that was edited takes its place. A club's pack of the same name does
                    // not: a review refuses it.
                    let place = std::fs::canonicalize(&file).unwrap_or(file);
                    edited.extend(BUILT_IN.iter().map(|pack| pack.name).find(|name| place.ends_with(name)));
                    asked.push(source.name().to_owned());
                    extra.packs.push(source);
                }
                Err((source, problem)) => {
                    output.complaints.push_str(&problem_text(&source, &problem, style));
                    output.code = 2;
                }
            }
        }
    }
    let library = Library::load_without(&edited, extra);
    for (source, problem) in library.problems.iter().chain(&library.trial_problems()) {
        output.complaints.push_str(&problem_text(source, problem, style));
        output.code = 2;
    }
    let asked_for =
        |source: &Source| options.paths.is_empty() || asked.iter().any(|name| name == source.name());
    let run = TrialRun::of(&library, &asked_for, options.coverage);
    let remedies = trial_remedies(&library, &|rule| asked_for(&rule.source));
    let remedies = remedy_problems(&library, &remedies);
    output.report = trials_text(&run, &remedies, output.code != 0, style);
    if output.code == 0 {
        // A pack may hold no rules: steps of the checklist, clauses, limits and quantities are checked, and have no trials.
        output.code = u8::from(run.fails() || !remedies.is_empty());
    }
    output
}

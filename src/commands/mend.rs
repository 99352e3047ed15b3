//! `holdpoint mend`: makes the remedies that can be proved on paper, or shows what they would change.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::Args;

use super::files::open;
use super::inputs::designs;
use super::invocation::{Invocation, Output};
use super::settings::{ActiveSettings, RuleSources, SettingsCache};
use super::writing::replace;
use crate::design::Design;
use crate::report::{Style, caution, difference_text, mended_text};
use crate::review::{Choice, Options, mend as mend_design};
use crate::rules::{HoldPoint, Library};
use crate::vocabulary::Date;
use crate::yaml::{Source, clean_line};

/// Mend designs: make the remedies that can be proved on paper, or show them
///
/// A hole, a slot, a place or a count is set without asking; what a person must look at, choose or test first is
/// only listed. Each remedy is tried on a copy, and made when it settles its finding and breaks nothing else.
///
/// Exit: that of a review of what comes of it.
#[derive(Args, Clone, Debug)]
pub struct MendOptions {
    /// Design files or folders
    #[arg(required = true, value_name = "FILES")]
    pub paths: Vec<PathBuf>,
    /// Show what would change, and write nothing
    #[arg(long)]
    pub diff: bool,
    /// Also make the remedies that a person should look at first
    #[arg(long = "unsafe")]
    pub unsafe_too: bool,
    /// Also make the remedies of this rule; may be given again
    #[arg(long = "rule", value_name = "NAME")]
    pub chosen: Vec<String>,
    #[allow(missing_docs, reason = "the flags say what each is for")]
    #[command(flatten)]
    pub sources: RuleSources,
    /// A code, law or guide that designs are judged by besides those they name themselves; may be given again
    #[arg(long = "code", value_name = "NAME")]
    pub codes: Vec<String>,
    /// Only what must be settled before this step
    #[arg(long, value_enum, value_name = "STEP")]
    pub before: Option<HoldPoint>,
    /// The day it is, for waivers (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
}

/// Mends designs. The exit code is that of a review of the mended designs.
pub(super) fn mend(options: &MendOptions, invocation: &Invocation<'_>) -> Output {
    let (style, today) = (invocation.style, invocation.day(options.today));
    let mut problems = Vec::new();
    let mut output = Output::default();
    let mut settings_cache = SettingsCache::new(&options.sources);
    let mut files = designs(&options.paths, &mut problems);
    settings_cache.keep(&mut files, &options.paths, &mut problems, &mut output.complaints);
    let mut numbers: Vec<usize> = files.iter().map(|f| settings_cache.number(f, &mut problems)).collect();
    if numbers.is_empty() {
        numbers.push(settings_cache.number(Path::new("-"), &mut problems));
    }
    if let Some(complaint) = settings_cache.unknown_codes(&options.codes) {
        return Output::failed(complaint);
    }
    output.complaints.push_str(&settings_cache.ignored());
    let libraries: Vec<&Library> =
        numbers.iter().filter_map(|n| settings_cache.get(*n)).map(|f| &f.library).collect();
    let choice = Choice { unsafe_too: options.unsafe_too, rules: options.chosen.clone() };
    let run = Run { options, choice, style, today };
    for name in &options.chosen {
        if !libraries.iter().any(|library| library.rule(name).is_some()) {
            let Some((words, help)) = libraries.first().map(|library| library.no_rule(name)) else {
                continue;
            };
            let help = help.map(|help| format!("; {help}")).unwrap_or_default();
            return Output::failed(format!("{}{help}\n", clean_line(&words)));
        }
    }
    for (path, number) in files.iter().zip(&numbers) {
        let Some(force) = settings_cache.get(*number) else { continue };
        if path.as_os_str() == "-" {
            output.complaints.push_str("standard input cannot be mended: name a file\n");
            output.code = 2;
            continue;
        }
        match open(path) {
            Ok(source) => one(source, path, force, &run, &mut output),
            Err(placed) => problems.push(placed),
        }
    }
    output.complain(&problems, style);
    if !output.report.is_empty() {
        output.report.push_str(caution());
    }
    output
}

/// What holds for every design of a run.
struct Run<'o> {
    options: &'o MendOptions,
    choice: Choice,
    style: Style,
    today: Date,
}

fn one(source: Source, path: &Path, force: &ActiveSettings, run: &Run<'_>, output: &mut Output) {
    let Run { options, ref choice, style, today } = *run;
    let design = Design::read(source, &force.library.tables);
    if design.problems.iter().any(|p| p.edit.is_none()) || !design.is_readable() {
        output.complain_of(&design, style);
        let _ = writeln!(
            output.complaints,
            "{}: nothing was mended: what cannot be read is mended by hand first",
            clean_line(design.source.name())
        );
        output.code = 2;
        return;
    }
    let mut how = Options::on(today);
    how.before = options.before;
    how.codes.clone_from(&options.codes);
    let how = force.options(path, &how);
    let mended = mend_design(design, &force.library, &how, choice);
    let (old, new) = (&mended.first.design.source, &mended.last.design.source);
    if options.diff {
        output.report.push_str(&difference_text(old, new, style));
    } else if old.text() != new.text()
        && let Err(why) = replace(path, old.text(), new.text())
    {
        let _ = writeln!(
            output.complaints,
            "{}: nothing was written: {}",
            clean_line(old.name()),
            clean_line(&why)
        );
        output.code = 2;
        return;
    }
    output.code = output.code.max(u8::from(!mended.last.is_clear()));
    output.report.push_str(&mended_text(&mended, choice, !options.diff, style));
}

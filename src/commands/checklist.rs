//! `holdpoint checklist`: what the flyer of one rocket does on the day, and what the codes ask of a person.

use std::path::PathBuf;

use super::settings::SettingsCache;
use super::{Invocation, Output, open};
use crate::design::Design;
use crate::model::Model;
use crate::report::{checklist_text, problem_text};
use crate::review::{applicable_packs, steps};
use crate::vocabulary::Date;
use clap::Args;

/// Print the field checklist of one design: what this rocket has, and what the codes ask of a person
#[derive(Args, Clone, Debug)]
pub struct ChecklistOptions {
    /// The design file
    pub path: PathBuf,
    /// Rule packs of your own, besides the built-in ones: files or folders
    #[arg(long, value_name = "PATH")]
    pub rules: Vec<PathBuf>,
    /// A code, law or guide that counts besides those that the design names itself; may be given again
    #[arg(long = "code", value_name = "NAME")]
    pub codes: Vec<String>,
    /// The day it is, for steps that ask for it (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
}

/// The checklist of a design, with a box before each step. It judges nothing: a step that is printed is not one that is done.
pub(super) fn checklist(options: &ChecklistOptions, invocation: &Invocation<'_>) -> Output {
    let (style, today) = (invocation.style, invocation.day(options.today));
    let mut problems = Vec::new();
    let mut settings_cache = SettingsCache::new(&options.rules);
    let number = settings_cache.number(&options.path, &mut problems);
    if let Some(complaint) = settings_cache.unknown_codes(&options.codes) {
        return Output::failed(complaint);
    }
    let Some(force) = settings_cache.get(number) else { return Output::default() };
    let source = match open(&options.path) {
        Ok(source) => source,
        Err((source, problem)) => return Output::failed(problem_text(&source, &problem, style)),
    };
    let design = Design::read(source, &force.library.tables);
    let mut output = Output::default();
    output.complain(&problems, style);
    output.complain_of(&design, style);
    if !design.is_readable() {
        return output;
    }
    let model = Model::new(&design, force.library.environment(today));
    let packs = applicable_packs(&model, &force.library, &force.codes(&options.codes));
    let steps = steps(&model, &packs);
    output.report = checklist_text(&design, &steps, &packs, style);
    output
}

//! `holdpoint failures`: each device of one rocket failing by itself, and how the rocket lands then.

use std::path::PathBuf;

use super::settings::SettingsCache;
use super::{Invocation, Output, open};
use crate::design::Design;
use crate::model::Model;
use crate::report::{failures_text, problem_text};
use crate::vocabulary::Date;
use clap::Args;

/// Print the failure table of one design: each altimeter, battery, switch, charge and parachute failing by itself, what still
/// opens, and how the rocket lands then
#[derive(Args, Clone, Debug)]
pub struct FailuresOptions {
    /// The design file
    pub path: PathBuf,
    /// Rule packs and tables of your own, besides the built-in ones: files or folders
    #[arg(long, value_name = "PATH")]
    pub rules: Vec<PathBuf>,
    /// The day it is (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
}

/// The failure table of a design. It judges nothing: rules do.
pub(super) fn failures(options: &FailuresOptions, invocation: &Invocation<'_>) -> Output {
    let (style, today) = (invocation.style, invocation.day(options.today));
    let mut problems = Vec::new();
    let mut settings_cache = SettingsCache::new(&options.rules);
    let number = settings_cache.number(&options.path, &mut problems);
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
    match failures_text(&model, style) {
        Ok(text) => output.report = text,
        Err(why) => {
            output.report = why;
            output.code = output.code.max(1);
        }
    }
    output
}

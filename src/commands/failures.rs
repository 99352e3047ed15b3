//! `holdpoint failures`: each device of one rocket failing by itself, and how the rocket lands then.

use std::path::PathBuf;

use super::invocation::{Invocation, Output};
use super::one_design::OneDesign;
use super::settings::RuleSources;
use crate::report::failures_text;
use crate::vocabulary::Date;
use clap::Args;

/// Print the failure table of one design: each altimeter, battery, switch, charge and parachute failing by itself, what still
/// opens, and how the rocket lands then
#[derive(Args, Clone, Debug)]
pub struct FailuresOptions {
    /// The design file
    pub path: PathBuf,
    #[allow(missing_docs, reason = "the flags say what each is for")]
    #[command(flatten)]
    pub sources: RuleSources,
    /// The day it is (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
}

/// The failure table of a design. It judges nothing: rules do.
pub(super) fn failures(options: &FailuresOptions, invocation: &Invocation<'_>) -> Output {
    let style = invocation.style;
    let one = OneDesign {
        path: &options.path,
        sources: &options.sources,
        codes: &[],
        today: invocation.day(options.today),
        style,
    };
    one.answer(|model, _, output| match failures_text(model, style) {
        Ok(text) => output.report = text,
        Err(why) => {
            output.report = why;
            output.code = output.code.max(1);
        }
    })
}

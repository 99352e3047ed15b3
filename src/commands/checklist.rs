//! `holdpoint checklist`: what the flyer of one rocket does on the day, and what the codes ask of a person.

use std::path::PathBuf;

use super::invocation::{Invocation, Output};
use super::one_design::OneDesign;
use super::settings::RuleSources;
use crate::report::checklist_text;
use crate::review::{applicable_packs, steps};
use crate::vocabulary::Date;
use clap::Args;

/// Print the field checklist of one design: what this rocket has, and what the codes ask of a person
#[derive(Args, Clone, Debug)]
pub struct ChecklistOptions {
    /// The design file
    pub path: PathBuf,
    #[allow(missing_docs, reason = "the flags say what each is for")]
    #[command(flatten)]
    pub sources: RuleSources,
    /// A code, law or guide that counts besides those that the design names itself; may be given again
    #[arg(long = "code", value_name = "NAME")]
    pub codes: Vec<String>,
    /// The day it is, for steps that ask for it (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
}

/// The checklist of a design, with a box before each step. It judges nothing: a step that is printed is not one that is done.
pub(super) fn checklist(options: &ChecklistOptions, invocation: &Invocation<'_>) -> Output {
    let style = invocation.style;
    let one = OneDesign {
        path: &options.path,
        sources: &options.sources,
        codes: &options.codes,
        today: invocation.day(options.today),
        style,
    };
    one.answer(|model, force, output| {
        let packs = applicable_packs(model, &force.library, &force.codes(&options.codes));
        let steps = steps(model, &force.library, &packs);
        output.report = checklist_text(model.design(), &steps, &packs, style);
    })
}

//! `holdpoint explain`: a rule, by itself or on a design, or a quantity of a design with its working.

use std::path::{Path, PathBuf};

use clap::Args;

use super::files::open;
use super::invocation::{Invocation, Output};
use super::settings::{RuleSources, SettingsCache};
use super::spread_option::SpreadOption;
use crate::design::Design;
use crate::model::Model;
use crate::report::{
    AnswerFormat, Style, caution, on_design_json, on_design_text, own_rule_json, own_rule_text, problem_text,
    quantity_json, quantity_text, rule_json, rule_text, spread_answer,
};
use crate::review::{all_names, on_design, quantities_named, spread_of, spread_of_rule, where_a_path_stops};
use crate::rules::{Library, OwnRule};
use crate::vocabulary::{Date, suggest};
use crate::yaml::clean_line;

/// Explain a rule, a rule on a design, or how a quantity of a design came about
#[derive(Args, Clone, Debug)]
pub struct ExplainOptions {
    /// A rule's name, or a design file
    pub what: String,
    /// The quantity, `av_bay.air_volume`, or a rule: how it comes out on each part of the design
    pub quantity: Option<String>,
    #[allow(missing_docs, reason = "the flag says what it is for")]
    #[command(flatten)]
    pub spread: SpreadOption,
    /// The day it is, for quantities that ask for it (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
    /// The form of the answer
    #[arg(long, value_enum, default_value_t)]
    pub format: AnswerFormat,
    #[allow(missing_docs, reason = "the flags say what each is for")]
    #[command(flatten)]
    pub sources: RuleSources,
}

/// Explains a rule or a quantity.
pub(super) fn explain(options: &ExplainOptions, invocation: &Invocation<'_>) -> Output {
    let (style, today) = (invocation.style, invocation.day(options.today));
    let mut problems = Vec::new();
    // A design is explained by the packs of its club, and a rule by those of the folder of the run.
    let mut settings_cache = SettingsCache::new(&options.sources);
    let design = if options.quantity.is_some() { options.what.as_str() } else { "-" };
    let number = settings_cache.number(Path::new(design), &mut problems);
    let mut output = match (settings_cache.get(number).map(|force| &force.library), &options.quantity) {
        (None, _) => Output::default(),
        (Some(library), None) => explain_rule(options, library),
        (Some(library), Some(quantity)) => explain_quantity(options, library, quantity, (style, today)),
    };
    output.complaints.push_str(&settings_cache.ignored());
    output.complain(&problems, style);
    output
}

fn explain_rule(options: &ExplainOptions, library: &Library) -> Output {
    if options.spread.samples().is_some() {
        return Output::failed(
            "--spread asks about a design: `holdpoint explain FILE QUANTITY --spread`\n".to_owned(),
        );
    }
    if let Some(rule) = OwnRule::of(&options.what) {
        let report = if options.format.is_json() {
            own_rule_json(rule, library)
        } else {
            own_rule_text(rule, library)
        };
        return Output { report, ..Output::default() };
    }
    let Some(rule) = library.rule(&options.what) else {
        let help = match library.nearest_rule(&options.what) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "`holdpoint rules` lists them; for a quantity write `holdpoint explain FILE QUANTITY`"
                .to_owned(),
        };
        return Output::failed(format!("no rule is named `{}`; {help}\n", clean_line(&options.what)));
    };
    let report = if options.format.is_json() { rule_json(rule) } else { rule_text(rule, library) };
    Output { report, complaints: String::new(), code: 0 }
}

fn explain_quantity(
    options: &ExplainOptions,
    library: &Library,
    quantity: &str,
    (style, today): (Style, Date),
) -> Output {
    let source = match open(&PathBuf::from(&options.what)) {
        Ok(source) => source,
        Err((source, problem)) => return Output::failed(problem_text(&source, &problem, style)),
    };
    let design = Design::read(source, &library.tables);
    let mut output = Output::default();
    output.complain_of(&design, style);
    if !design.is_readable() {
        return output;
    }
    let model = Model::new(&design, library.environment(today));
    if let Some(rule) = library.rule(quantity) {
        let all = on_design(&model, library, rule);
        let spread = options.spread.samples().map(|samples| spread_of_rule(&model, library, rule, samples));
        output.report = if options.format.is_json() {
            on_design_json(rule, &design, &all, spread.as_ref())
        } else {
            let sure = spread.map(|spread| format!("\n{}", spread_answer(&spread))).unwrap_or_default();
            on_design_text(rule, library, &design, &all) + &sure + "\n" + caution()
        };
        return output;
    }
    let found = quantities_named(&model, quantity);
    let [first, others @ ..] = found.as_slice() else {
        let mut known = all_names(&model);
        let asked = quantity.split('.').count();
        if asked > 1 {
            // As many steps of each path as were asked with; what belongs to the rocket as a whole may be asked of `rocket`.
            for name in &mut known {
                let whole = format!("rocket.{name}");
                let steps: Vec<&str> =
                    if name.contains('.') { name.split('.') } else { whole.split('.') }.collect();
                *name = steps.get(steps.len().saturating_sub(asked)..).unwrap_or_default().join(".");
            }
        }
        let rules = library.rules.iter().map(|rule| rule.name.as_str());
        let near = suggest(quantity, known.iter().map(String::as_str).chain(rules));
        let help = match (where_a_path_stops(&model, quantity), near) {
            (_, Some(near)) if near.matches('.').count() == quantity.matches('.').count() => {
                format!("did you mean `{near}`?")
            }
            (Some((part, name)), _) => format!("`{}` has no `{}`", clean_line(&part), clean_line(&name)),
            (None, Some(near)) => format!("did you mean `{near}`?"),
            (None, None) => {
                "name it by its part: `av_bay.air_volume`; `holdpoint rules --quantities` lists what can be asked".to_owned()
            }
        };
        output.complaints.push_str(&format!(
            "{} has no quantity `{}`, and no rule is named so; {help}\n",
            clean_line(&options.what),
            clean_line(quantity)
        ));
        output.code = 2;
        return output;
    };
    if options.format.is_json() {
        if !others.is_empty() {
            let names: Vec<String> = found.iter().map(|r| model.read_name(*r)).collect();
            output.complaints.push_str(&format!(
                "`{}` is several quantities: say which of {}\n",
                clean_line(quantity),
                clean_line(&names.join(", "))
            ));
            output.code = 2;
            return output;
        }
        let spread = options.spread.samples().map(|samples| spread_of(&model, library, *first, samples));
        output.report = quantity_json(&model, *first, spread.as_ref());
    } else {
        for read in &found {
            output.report.push_str(&quantity_text(&model, *read));
            if let Some(samples) = options.spread.samples() {
                output.report.push('\n');
                output.report.push_str(&spread_answer(&spread_of(&model, library, *read, samples)));
            }
            output.report.push('\n');
        }
        output.report.push_str(caution());
    }
    output
}

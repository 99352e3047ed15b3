//! `holdpoint explain`: a rule, or a quantity of a design with its working.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::Args;
use serde_json::json;

use super::settings::SettingsCache;
use super::{Invocation, Output, open};
use crate::design::Design;
use crate::language::value_text;
use crate::model::{Access, Model, Named, Read};
use crate::report::{AnswerFormat, Style, caution, problem_text};
use crate::review::{Working, working_of};
use crate::rules::{Applies, HoldPoint, Library, OwnRule, Rule};
use crate::text::{clean, clean_json, clean_line};
use crate::vocabulary::{Date, Value, suggest};

/// Explain a rule, or how a quantity of a design came about
#[derive(Args, Clone, Debug)]
pub struct ExplainOptions {
    /// A rule's name, or a design file
    pub what: String,
    /// The quantity: `av_bay.air_volume`
    pub quantity: Option<String>,
    /// The day it is, for quantities that ask for it (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
    /// The form of the answer
    #[arg(long, value_enum, default_value_t)]
    pub format: AnswerFormat,
    /// Rule packs of your own, besides the built-in ones
    #[arg(long, value_name = "PATH")]
    pub rules: Vec<PathBuf>,
}

/// Explains a rule or a quantity.
pub(super) fn explain(options: &ExplainOptions, invocation: &Invocation<'_>) -> Output {
    let (style, today) = (invocation.style, invocation.day(options.today));
    let mut problems = Vec::new();
    // A design is explained by the packs of its club, and a rule by those of the folder of the run.
    let mut settings_cache = SettingsCache::new(&options.rules);
    let design = if options.quantity.is_some() { options.what.as_str() } else { "-" };
    let number = settings_cache.number(Path::new(design), &mut problems);
    let mut output = match (settings_cache.get(number).map(|force| &force.library), &options.quantity) {
        (None, _) => Output::default(),
        (Some(library), None) => explain_rule(options, library),
        (Some(library), Some(quantity)) => explain_quantity(options, library, quantity, (style, today)),
    };
    for (source, problem) in &problems {
        output.complaints.push_str(&problem_text(source, problem, style));
        output.code = 2;
    }
    output
}

fn explain_rule(options: &ExplainOptions, library: &Library) -> Output {
    if let Some(rule) = OwnRule::of(&options.what) {
        let report = if options.format.is_json() { own_rule_json(rule) } else { own_rule_text(rule) };
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
    let report = if options.format.is_json() {
        rule_json(rule)
    } else {
        clean(&rule_text(rule, library)).into_owned()
    };
    Output { report, complaints: String::new(), code: 0 }
}

fn rule_json(rule: &Rule) -> String {
    let document = json!({
        "rule": rule.name, "pack": rule.pack, "title": rule.title, "before": rule.before.name(), "level": rule.level.name(),
        "for": rule.entity_type.name, "when": rule.when_text, "require": rule.require_text, "why": rule.why.trim(),
        "source": rule.citation, "remedy": rule.remedy().map(|r| r.say.clone()),
    });
    clean_json(format!("{document:#}\n"))
}

fn own_rule_json(rule: OwnRule) -> String {
    let about = rule.about();
    let document = json!({
        "rule": rule.name(), "pack": about.pack, "title": about.title, "before": about.before.map(HoldPoint::name),
        "level": about.level.name(), "for": null, "when": null, "require": null, "why": about.why, "source": about.source,
        "remedy": null,
    });
    clean_json(format!("{document:#}\n"))
}

fn own_rule_text(rule: OwnRule) -> String {
    let about = rule.about();
    let mut text = format!("{rule}\n  {}\n\n{}\n", about.title, why(about.why));
    let before = match about.before {
        Some(point) => format!("before {point}"),
        None => "before the step that it is about".to_owned(),
    };
    let _ = writeln!(text, "  level    {}, {before}", about.level);
    let _ = writeln!(text, "  source   {}", about.source);
    text.push_str("  stands   in the program itself\n");
    text
}

fn why(words: &str) -> String {
    let wrapped = textwrap::Options::new(100).initial_indent("  why      ").subsequent_indent("           ");
    textwrap::fill(&clean_line(words.trim()), wrapped)
}

fn rule_text(rule: &Rule, library: &Library) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}\n  {}\n", clean_line(&rule.name), clean_line(&rule.title));
    let _ = writeln!(text, "{}", why(&rule.why));
    let _ = writeln!(text, "  for      each {}", rule.entity_type.name.replace('_', " "));
    if let Some(when) = &rule.when_text {
        let _ = writeln!(text, "  when     {}", clean_line(when));
    }
    let _ = writeln!(text, "  require  {}", clean_line(&rule.require_text));
    let asked = format!("{} {}", rule.when_text.as_deref().unwrap_or(""), rule.require_text);
    let words = asked.split(|c: char| !(c.is_alphanumeric() || c == '_'));
    let limits = library.packs.iter().filter(|p| p.name == rule.pack).flat_map(|p| &p.limits);
    for limit in limits.filter(|l| words.clone().any(|w| w == l.name)) {
        let (name, citation) = (clean_line(&limit.name), clean_line(&limit.citation));
        let _ = writeln!(text, "  limit    {name} is {} ({citation})", limit.value);
    }
    for pack in library.packs.iter().filter(|pack| pack.name == rule.pack) {
        let name = clean_line(&pack.name);
        match &pack.applies {
            Applies::Always => {}
            Applies::When { words, .. } => {
                let _ = writeln!(
                    text,
                    "  code     {name}: judged where {}, and where it is named",
                    clean_line(words)
                );
            }
            Applies::Named => {
                let _ = writeln!(
                    text,
                    "  code     {name}: judged only where it is named under `codes` or by --code"
                );
            }
        }
    }
    let _ = writeln!(text, "  level    {}, before {}", rule.level, rule.before);
    let _ = writeln!(text, "  source   {}", clean_line(&rule.citation));
    if let Some(remedy) = rule.remedy() {
        let _ = writeln!(text, "  change   {}", clean_line(&remedy.say));
    }
    let _ = writeln!(
        text,
        "  stands   {}, line {}",
        clean_line(rule.source.name()),
        rule.source.position(rule.place.start).line
    );
    let _ = writeln!(text, "  trials   {}", rule.trials().len());
    text
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
    for problem in &design.problems {
        output.complaints.push_str(&problem_text(&design.source, problem, style));
        output.code = 2;
    }
    if !design.is_readable() {
        return output;
    }
    let model = Model::new(&design, library.environment(today));
    let found = find(&model, quantity);
    let [first, others @ ..] = found.as_slice() else {
        let known = all_names(&model);
        let near = suggest(quantity, known.iter().map(String::as_str));
        let help = near.map(|n| format!("did you mean `{n}`?")).unwrap_or_else(|| {
            "name it by its part: `av_bay.air_volume`; `holdpoint rules --quantities` lists what can be asked".to_owned()
        });
        output.complaints.push_str(&format!(
            "{} has no quantity `{}`; {help}\n",
            clean_line(&options.what),
            clean_line(quantity)
        ));
        output.code = 2;
        return output;
    };
    if options.format.is_json() {
        if !others.is_empty() {
            let names: Vec<String> = found.iter().map(|r| name_of(&model, *r)).collect();
            output.complaints.push_str(&format!(
                "`{}` is several quantities: say which of {}\n",
                clean_line(quantity),
                clean_line(&names.join(", "))
            ));
            output.code = 2;
            return output;
        }
        output.report = quantity_json(&model, *first);
    } else {
        for read in &found {
            output.report.push_str(&clean(&quantity_text(&model, *read)));
            output.report.push('\n');
        }
        output.report.push_str(caution());
    }
    output
}

fn name_of(model: &Model<'_>, read: Read) -> String {
    let path = model.design().store.path(read.entity);
    let entity_type = model.entity(read.entity).map(|e| e.entity_type);
    let name = match read.access {
        Access::Field(slot) => entity_type.and_then(|k| k.field(slot)).map(|f| f.name.to_owned()),
        Access::Computed(number) => entity_type
            .and_then(|k| model.catalogue().computed(k).get(usize::from(number)))
            .map(|e| e.name.clone()),
    };
    let name = name.unwrap_or_default();
    if path.is_empty() { name } else { format!("{path}.{name}") }
}

fn all_names(model: &Model<'_>) -> Vec<String> {
    let mut names = Vec::new();
    for (id, entity) in model.design().store.all() {
        for name in model.catalogue().names(entity.entity_type) {
            let path = model.design().store.path(id);
            names.push(if path.is_empty() { name } else { format!("{path}.{name}") });
        }
    }
    names
}

/// The quantities that a name stands for: by path, by the end of a path, or by a bare name.
fn find(model: &Model<'_>, quantity: &str) -> Vec<Read> {
    let (way, name) = quantity.rsplit_once('.').unwrap_or(("", quantity));
    let mut found = Vec::new();
    for (id, entity) in model.design().store.all() {
        let path = model.design().store.path(id);
        let fits = way.is_empty() || path == way || path.ends_with(&format!(".{way}"));
        if !fits {
            continue;
        }
        match model.catalogue().named(entity.entity_type, name) {
            Some(Named::Field(slot, _)) => found.push(Read { entity: id, access: Access::Field(slot) }),
            Some(Named::Computed(number, _)) => {
                found.push(Read { entity: id, access: Access::Computed(number) })
            }
            _ => {}
        }
    }
    // A bare name means what is worked out, where something is; else the field.
    if found.iter().any(|r| matches!(r.access, Access::Computed(_))) {
        found.retain(|r| matches!(r.access, Access::Computed(_)));
    }
    found
}

fn quantity_text(model: &Model<'_>, read: Read) -> String {
    let lines = folded(working_of(model, read), model.design().source.name());
    let mut text = String::new();
    let name = name_of(model, read);
    let _ = writeln!(text, "{}", clean_line(&name));
    if let Some(doc) = doc_of(model, read) {
        let _ = writeln!(text, "  {}", clean_line(&doc));
    }
    text.push('\n');
    let width = lines.iter().map(|l| l.name.chars().count()).max().unwrap_or(0).min(60);
    for line in &lines {
        let _ =
            writeln!(text, "  {:<width$}  {}", clean_line(&line.name), clean_line(&describe(model, line)));
    }
    text
}

/// More lines than this, two quantities away or further, are left to be asked for by themselves.
const LONG_BRANCH: usize = 20;

/// A working whose long branches far from the root are folded to the quantity that they come to. In a working the lines that
/// a quantity rests on stand before it, one deeper.
fn folded(lines: Vec<Working>, file: &str) -> Vec<Working> {
    let mut kept: Vec<Working> = Vec::new();
    for line in lines {
        let steps = kept.iter().rev().take_while(|w| w.step && w.depth == line.depth).count();
        let end = kept.len() - steps;
        let branch = kept.iter().take(end).rev().take_while(|w| w.depth > line.depth).count();
        if line.step || line.depth < 2 || branch <= LONG_BRANCH {
            kept.push(line);
            continue;
        }
        kept.drain(end - branch..end);
        let value = format!(
            "{}   (rests on {branch} more lines: holdpoint explain {file} {})",
            line.value, line.name
        );
        kept.push(Working { value, ..line });
    }
    kept
}

fn describe(model: &Model<'_>, line: &Working) -> String {
    let place = line.place.map(|span| format!("   line {}", model.design().source.position(span.start).line));
    let formula = if line.formula.is_empty() { String::new() } else { format!("   = {}", line.formula) };
    let source = if line.source.is_empty() { String::new() } else { format!("   [{}]", line.source) };
    format!("{}{formula}{source}{}", line.value, place.unwrap_or_default())
}

fn doc_of(model: &Model<'_>, read: Read) -> Option<String> {
    let entity_type = model.entity(read.entity)?.entity_type;
    Some(match read.access {
        Access::Field(slot) => entity_type.field(slot)?.about().to_owned(),
        Access::Computed(number) => {
            model.catalogue().computed(entity_type).get(usize::from(number))?.doc.clone()
        }
    })
}

fn quantity_json(model: &Model<'_>, read: Read) -> String {
    let lines = working_of(model, read);
    let value = model.read(read);
    let (number, unit, si, si_unit) = match &value {
        Ok(Value::Quantity(quantity)) => {
            let (number, unit) = quantity.value_and_unit();
            (
                json!(number),
                json!(unit),
                json!(quantity.si),
                json!(crate::quantity::si_unit(quantity.dimension)),
            )
        }
        Ok(other) => (json!(value_text(model, other)), json!(null), json!(null), json!(null)),
        Err(_) => (json!(null), json!(null), json!(null), json!(null)),
    };
    let working: Vec<serde_json::Value> = lines
        .iter()
        .map(|line| {
            let at = line.place.map(|span| {
                let position = model.design().source.position(span.start);
                json!({ "line": position.line, "column": position.column, "start_byte": span.start, "end_byte": span.end })
            });
            json!({ "name": line.name, "value": line.value, "formula": line.formula, "source": line.source, "place": at })
        })
        .collect();
    let source = lines.last().map(|l| l.source.clone()).unwrap_or_default();
    let document = json!({
        "quantity": name_of(model, read), "value": number, "unit": unit, "si": { "value": si, "unit": si_unit },
        "working": working, "source": source,
    });
    clean_json(format!("{document:#}\n"))
}

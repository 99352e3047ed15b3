//! One rule explained.

use std::fmt::Write as _;

use serde_json::json;

use crate::quantity::Quantity;
use crate::rules::{Applies, HoldPoint, Library, OwnRule, Rule};
use crate::yaml::{clean, clean_json, clean_line};

/// A rule as JSON.
#[must_use]
pub fn rule_json(rule: &Rule) -> String {
    let document = json!({
        "rule": rule.name, "pack": rule.pack, "title": rule.title, "before": rule.before.name(), "level": rule.level.name(),
        "for": rule.entity_type.name, "when": rule.when_text, "require": rule.require_text, "why": rule.why.trim(),
        "confidence": rule.confidence, "source": rule.citation, "remedy": rule.remedy().map(|r| r.say.clone()),
    });
    clean_json(format!("{document:#}\n"))
}

/// A rule of the program itself as JSON.
#[must_use]
pub fn own_rule_json(rule: OwnRule, library: &Library) -> String {
    let about = rule.about();
    let document = json!({
        "rule": rule.name(), "pack": about.pack, "title": about.title, "before": about.before.map(HoldPoint::name),
        "level": library.own_level(rule).name(), "for": null, "when": null, "require": null, "why": about.why, "source": about.source,
        "remedy": null,
    });
    clean_json(format!("{document:#}\n"))
}

/// A rule of the program itself in words.
#[must_use]
pub fn own_rule_text(rule: OwnRule, library: &Library) -> String {
    let about = rule.about();
    let mut text = format!("{rule}\n  {}\n\n{}\n", about.title, why(about.why));
    let before = match about.before {
        Some(point) => format!("before {point}"),
        None => "before the step that it is about".to_owned(),
    };
    let fixed = if about.fixed { ", which no settings change" } else { "" };
    let _ = writeln!(text, "  level    {}{fixed}, {before}", library.own_level(rule));
    let _ = writeln!(text, "  source   {}", about.source);
    text.push_str("  stands   in the program itself\n");
    text
}

fn why(words: &str) -> String {
    let wrapped = textwrap::Options::new(100).initial_indent("  why      ").subsequent_indent("           ");
    textwrap::fill(&clean_line(words.trim()), wrapped)
}

/// A rule in words: what it asks, why, by which limits and source.
#[must_use]
pub fn rule_text(rule: &Rule, library: &Library) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}\n  {}\n", clean_line(&rule.name), clean_line(&rule.title));
    let _ = writeln!(text, "{}", why(&rule.why));
    let _ = writeln!(text, "  for      each {}", rule.entity_type.name.replace('_', " "));
    if let Some(when) = &rule.when_text {
        let _ = writeln!(text, "  when     {}", clean_line(when));
    }
    let _ = writeln!(text, "  require  {}", clean_line(&rule.require_text));
    if let Some(share) = rule.confidence {
        let share = Quantity::number(100.0 * share).rough();
        let _ = writeln!(
            text,
            "  sure     in {share} % of flights, each uncertain value anywhere within its limits"
        );
    }
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
    clean(&text).into_owned()
}

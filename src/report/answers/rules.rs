//! Lists of the rules and packs in force.

use std::fmt::Write as _;

use serde_json::json;

use crate::rules::{HoldPoint, Library, OwnRule};
use crate::yaml::{clean, clean_json, clean_line};

/// Whether a pack is the one that is asked for, or every one is.
fn is_asked(pack: &str, only: Option<&str>) -> bool {
    only.is_none_or(|name| name == pack)
}

/// The rules by the step that waits for them, in words; those of one pack where it is named.
#[must_use]
pub fn rules_text(library: &Library, only: Option<&str>) -> String {
    let mut text = String::new();
    for point in HoldPoint::ALL {
        let mine: Vec<_> =
            library.rules.iter().filter(|r| r.before == point && is_asked(&r.pack, only)).collect();
        if mine.is_empty() {
            continue;
        }
        let _ = writeln!(text, "before {point}");
        for rule in mine {
            let _ = writeln!(
                text,
                "  {:<34} {:<8} {}",
                clean_line(&rule.name),
                rule.level,
                clean_line(&rule.title)
            );
            let _ = writeln!(
                text,
                "  {:<34} {:<8} source: {}",
                "",
                clean_line(&rule.pack),
                clean_line(&rule.citation)
            );
        }
        text.push('\n');
    }
    let cards = cards(library, only);
    if let Some(name) = only {
        let rules = library.rules.iter().filter(|r| r.pack == name).count();
        let rules = if rules == 1 { "1 rule".to_owned() } else { format!("{rules} rules") };
        let _ = writeln!(text, "{cards}{rules} in pack {}", clean_line(name));
        return clean(&text).into_owned();
    }
    text.push_str("of the program itself\n");
    for rule in OwnRule::ALL {
        let about = rule.about();
        let _ = writeln!(text, "  {rule:<34} {:<8} {}", about.level, about.title);
        let _ = writeln!(text, "  {:<34} {:<8} source: {}", "", about.pack, about.source);
    }
    let own = OwnRule::ALL.len();
    let _ = writeln!(
        text,
        "\n{cards}{} rules in {} packs, and {own} of the program itself",
        library.rules.len(),
        library.packs.len()
    );
    clean(&text).into_owned()
}

/// What packs say of themselves; nothing where none of them does.
fn cards(library: &Library, only: Option<&str>) -> String {
    let mut text = String::new();
    for pack in library.packs.iter().filter(|pack| is_asked(&pack.name, only)) {
        let mut lines = pack.card.lines().peekable();
        if lines.peek().is_some() {
            let _ = writeln!(text, "pack {}", clean_line(&pack.name));
        }
        for (key, words) in lines {
            let _ = writeln!(text, "  {key:<8} {}", clean_line(words));
        }
    }
    if !text.is_empty() {
        text.push('\n');
    }
    text
}

/// The rules and packs as JSON; those of one pack where it is named.
#[must_use]
pub fn rules_json(library: &Library, only: Option<&str>) -> String {
    let rules: Vec<serde_json::Value> = library
        .rules
        .iter()
        .filter(|r| is_asked(&r.pack, only))
        .map(|r| {
            json!({
                "rule": r.name, "pack": r.pack, "title": r.title, "before": r.before.name(), "level": r.level.name(),
                "for": r.entity_type.name, "when": r.when_text, "require": r.require_text, "why": r.why.trim(), "source": r.citation, "trials": r.trials().len(),
            })
        })
        .collect();
    let own = OwnRule::ALL.into_iter().filter(|_| only.is_none()).map(|rule| {
        let about = rule.about();
        json!({
            "rule": rule.name(), "pack": about.pack, "title": about.title, "before": about.before.map(HoldPoint::name),
            "level": about.level.name(), "for": null, "when": null, "require": null, "why": about.why,
            "source": about.source, "trials": 0,
        })
    });
    let rules: Vec<serde_json::Value> = rules.into_iter().chain(own).collect();
    let packs: Vec<serde_json::Value> = library
        .packs
        .iter()
        .filter(|p| is_asked(&p.name, only))
        .map(|p| {
            let limits: Vec<serde_json::Value> = p
                .limits
                .iter()
                .map(|l| json!({ "limit": l.name, "is": l.value.to_string(), "doc": l.doc, "source": l.citation }))
                .collect();
            let functions: Vec<serde_json::Value> = p
                .functions
                .iter()
                .map(|f| json!({ "function": f.function.name, "takes": f.function.signature(), "is": f.text, "doc": f.function.doc, "source": f.citation }))
                .collect();
            let tables: Vec<serde_json::Value> = p
                .tables
                .iter()
                .map(|t| {
                    let names: Vec<&str> = t.table.columns.iter().map(|(name, _)| name.as_str()).collect();
                    json!({ "table": t.table.name, "columns": names, "units": t.units, "rows": t.cells, "doc": t.table.doc, "source": t.citation })
                })
                .collect();
            json!({
                "pack": p.name, "about": p.about, "version": p.card.version, "needs": p.card.needs, "link": p.card.link,
                "licence": p.card.licence, "contact": p.card.contact, "limits": limits,
                "functions": functions, "tables": tables,
            })
        })
        .collect();
    clean_json(format!("{:#}\n", json!({ "rules": rules, "packs": packs })))
}

//! One pack as a page to read and to pass on: its rules, what it works out, its limits, its clauses and its sources.

use std::fmt::Write as _;

use super::rule_page::{code, entry, limit_table, plain};
use crate::language::{PackFunction, PackTable};
use crate::model::Type;
use crate::report::caution;
use crate::rules::{
    ActiveDerived, ActiveFunction, ActivePack, ActiveTable, Applies, HoldPoint, Library, Rule,
};
use crate::yaml::clean;

/// The page of a pack in Markdown. Words of packs come out as text, never as markup.
#[must_use]
pub fn pack_page(pack: &ActivePack, library: &Library) -> String {
    let rules: Vec<&Rule> = library.rules.iter().filter(|rule| rule.pack == pack.name).collect();
    let derived: Vec<&ActiveDerived> = library.derived.iter().filter(|one| one.pack == pack.name).collect();
    let mut page = format!("# {}\n\n{}\n\n", plain(&pack.name), plain(pack.about.trim()));
    for (key, words) in pack.card.lines() {
        let _ = writeln!(page, "- {key}: {}", plain(words));
    }
    let judged = match &pack.applies {
        Applies::Always => "of every rocket".to_owned(),
        Applies::When { words, .. } => format!("where {}, and where it is named", code(words)),
        Applies::Named => "only where it is named under `codes` or by `--code`".to_owned(),
    };
    let _ = writeln!(page, "- judged: {judged}");
    let _ = writeln!(page, "\n> {}", caution().trim().replace('\n', "\n> "));
    for point in HoldPoint::ALL {
        let mut mine = rules.iter().filter(|rule| rule.before == point).peekable();
        if mine.peek().is_some() {
            let _ = writeln!(page, "\n## Before {point}");
        }
        for rule in mine {
            page.push_str(&entry(rule, library));
        }
    }
    if !pack.functions.is_empty() {
        page.push_str("\n## Functions\n");
    }
    for one in &pack.functions {
        page.push_str(&function(one));
    }
    if !pack.tables.is_empty() {
        page.push_str("\n## Tables\n");
    }
    for one in &pack.tables {
        page.push_str(&table(one));
    }
    if !derived.is_empty() {
        page.push_str("\n## Quantities that it works out\n");
    }
    for one in &derived {
        page.push_str(&quantity(one, library));
    }
    if !pack.limits.is_empty() {
        let _ = write!(page, "\n## Limits\n\n{}", limit_table(pack));
    }
    if !pack.asks.is_empty() {
        page.push_str("\n## For a person to see to\n\n");
    }
    for ask in &pack.asks {
        let _ = writeln!(page, "- {}: {} ({})", ask.moment, plain(&ask.ask), plain(&ask.citation));
    }
    page.push_str(&sources(pack, &rules, &derived, library));
    clean(&page).into_owned()
}

/// What the catalogue has of a derived quantity.
fn entry_of<'l>(one: &ActiveDerived, library: &'l Library) -> Option<&'l crate::model::Entry> {
    library.catalogue.computed(one.entity_type).get(usize::from(one.number))
}

fn function(one: &ActiveFunction) -> String {
    let PackFunction { name, doc, .. } = &*one.function;
    let mut text = format!("\n### {}\n\n{}\n\n", plain(name), plain(doc.trim()));
    for (parameter, gives) in &one.function.parameters {
        let _ = writeln!(text, "- {}: {}", code(parameter), plain(&gives.to_string()));
    }
    let _ = writeln!(text, "- is: {}", code(&one.text));
    let _ = writeln!(text, "- gives: {}", plain(&one.function.body().gives.to_string()));
    if !one.citation.is_empty() {
        let _ = writeln!(text, "- source: {}", plain(&one.citation));
    }
    text
}

fn table(one: &ActiveTable) -> String {
    let PackTable { name, doc, columns, .. } = &*one.table;
    let mut text = format!("\n### {}\n\n{}\n\n", plain(name), plain(doc.trim()));
    let head = |((name, _), unit): (&(String, Type), &String)| match unit.as_str() {
        "number" | "text" => plain(name),
        unit => format!("{} ({})", plain(name), plain(unit)),
    };
    let heads: Vec<String> = columns.iter().zip(&one.units).map(head).collect();
    let _ = writeln!(text, "| {} |\n|{}", heads.join(" | "), "---|".repeat(heads.len()));
    for row in &one.cells {
        let cells: Vec<String> = row.iter().map(|cell| plain(cell)).collect();
        let _ = writeln!(text, "| {} |", cells.join(" | "));
    }
    let _ = writeln!(text, "\nSource: {}", plain(&one.citation));
    text
}

fn quantity(one: &ActiveDerived, library: &Library) -> String {
    let name = format!("{}.{}", one.entity_type.name, one.name);
    let mut text = format!("\n### {}\n\n", plain(&name));
    if let Some(entry) = entry_of(one, library) {
        let _ = writeln!(text, "{}\n", plain(&entry.doc));
        let _ = writeln!(text, "- is: {}", code(&one.text));
        let _ = writeln!(text, "- gives: {}", plain(&entry.gives.to_string()));
        if !entry.source.is_empty() {
            let _ = writeln!(text, "- source: {}", plain(&entry.source));
        }
    }
    text
}

/// Each source of a pack once, with what rests on it.
fn sources(pack: &ActivePack, rules: &[&Rule], derived: &[&ActiveDerived], library: &Library) -> String {
    let of_rules = rules.iter().map(|rule| (rule.citation.as_str(), rule.name.clone()));
    let of_limits = pack.limits.iter().map(|limit| (limit.citation.as_str(), limit.name.clone()));
    let of_tables = pack.tables.iter().map(|one| (one.citation.as_str(), one.table.name.clone()));
    let of_functions = pack.functions.iter().map(|one| (one.citation.as_str(), one.function.name.clone()));
    let of_derived = derived.iter().filter_map(|one| {
        let source = entry_of(one, library)?.source.as_str();
        Some((source, format!("{}.{}", one.entity_type.name, one.name)))
    });
    let of_asks = pack.asks.iter().map(|ask| (ask.citation.as_str(), ask.name.clone()));
    let mut all: Vec<(&str, Vec<String>)> = Vec::new();
    for (source, name) in
        of_rules.chain(of_functions).chain(of_tables).chain(of_derived).chain(of_limits).chain(of_asks)
    {
        match all.iter_mut().find(|(known, _)| *known == source) {
            Some((_, names)) => names.push(name),
            None if source.is_empty() => {}
            None => all.push((source, vec![name])),
        }
    }
    let mut text = String::new();
    for (source, names) in all {
        let names: Vec<String> = names.iter().map(|name| code(name)).collect();
        let _ = writeln!(text, "- {}: {}", plain(source), names.join(", "));
    }
    if text.is_empty() { text } else { format!("\n## Sources\n\n{text}") }
}

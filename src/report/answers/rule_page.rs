//! The rules in force as a page to read: what each asks, why, and by which source.

use std::fmt::Write as _;

use crate::quantity::Quantity;
use crate::report::caution;
use crate::rules::{ActivePack, HoldPoint, Level, Library, OwnRule, Rule};
use crate::yaml::{clean, clean_line};

/// The page in Markdown. Words of packs come out as text, never as markup.
#[must_use]
pub fn rule_page(library: &Library) -> String {
    let mut page = String::from("# The rules\n\n");
    page.push_str(
        "Every rule in force, by the step that waits for it, with its source. An [index by topic](#by-topic) stands before\n\
         them. `holdpoint rules --markdown` prints this page: change the packs and not the page; [README.md](README.md)\n\
         says how rules are written.\n\n",
    );
    let _ = writeln!(page, "> {}\n", caution().trim().replace('\n', "\n> "));
    page.push_str("| before | errors | warnings | notes |\n|---|---:|---:|---:|\n");
    let points: Vec<(HoldPoint, Vec<&Rule>)> = HoldPoint::ALL
        .into_iter()
        .map(|point| (point, library.rules.iter().filter(|r| r.before == point).collect()))
        .collect();
    for (point, rules) in &points {
        let of = |level| rules.iter().filter(|r| r.level == level).count();
        let _ = writeln!(
            page,
            "| [{point}](#before-{point}) | {} | {} | {} |",
            of(Level::Error),
            of(Level::Warning),
            of(Level::Note)
        );
    }
    let _ = writeln!(
        page,
        "\n{} rules in {} packs, and {} [of the program itself](#of-the-program-itself). An error holds its step, whether\n\
         the rule is broken or not proven; a warning and a note are only said.",
        library.rules.len(),
        library.packs.len(),
        OwnRule::ALL.len()
    );
    page.push_str("\n## By topic\n\nEach pack with what it is about, and its rules.\n\n");
    for pack in &library.packs {
        page.push_str(&topic(pack, library));
    }
    for (point, rules) in &points {
        let _ = writeln!(page, "\n## Before {point}");
        for rule in rules {
            page.push_str(&entry(rule, library));
        }
    }
    page.push_str(
        "\n## Of the program itself\n\nRules about what people keep beside a design, and about files that cannot be read. No \
         pack has them, and no waiver\ncovers them. Settings may change the level of some of them.\n",
    );
    for rule in OwnRule::ALL {
        let about = rule.about();
        let before = match about.before {
            Some(point) => format!("before {point}"),
            None => "before the step that it is about".to_owned(),
        };
        let _ = writeln!(page, "\n### {rule}\n\n**{}.**\n{}\n", about.title, about.why);
        let fixed = if about.fixed { ", which no settings change" } else { "" };
        let _ = writeln!(page, "- level: {}{fixed}, {before}; group: {}", about.level, about.pack);
        let _ = writeln!(page, "- source: {}", about.source);
    }
    page.push_str("\n## Limits\n\nNumbers that the rules of a pack compare with, by name.\n");
    for pack in library.packs.iter().filter(|p| !p.limits.is_empty()) {
        page.push_str(&limits(pack));
    }
    clean(&page).into_owned()
}

/// A pack in the index by topic.
fn topic(pack: &ActivePack, library: &Library) -> String {
    let rules = library.rules.iter().filter(|rule| rule.pack == pack.name);
    let links: Vec<String> =
        rules.map(|rule| format!("[{}](#{})", plain(&rule.name), anchor(&rule.name))).collect();
    let links = match (links.is_empty(), pack.steps().len()) {
        (true, 0) => "no rules".to_owned(),
        (true, steps) => format!("{steps} steps of the field checklist, and no rules"),
        (false, _) => links.join(", "),
    };
    let card: String =
        pack.card.lines().map(|(key, words)| format!("  {key}: {};\n", plain(words))).collect();
    format!("- **{}**: {}\n{card}  {links}\n", plain(&pack.name), plain(pack.about.trim()))
}

/// What a heading is linked by.
fn anchor(heading: &str) -> String {
    let kept = heading.to_lowercase();
    let kept = kept.chars().map(|c| if c == ' ' { '-' } else { c });
    kept.filter(|c| c.is_alphanumeric() || matches!(c, '-' | '_')).collect()
}

pub(super) fn entry(rule: &Rule, library: &Library) -> String {
    let mut text = format!("\n### {}\n\n**{}.**\n", plain(&rule.name), plain(&rule.title));
    let _ = writeln!(text, "{}\n", plain(rule.why.trim()));
    let kind = rule.entity_type.name.replace('_', " ");
    let _ = writeln!(text, "- level: {}; judged for each: {kind}; pack: {}", rule.level, plain(&rule.pack));
    if let Some(when) = &rule.when_text {
        let _ = writeln!(text, "- applies when: {}", code(when));
    }
    let _ = writeln!(text, "- requires: {}", code(&rule.require_text));
    if let Some(share) = rule.confidence {
        let share = Quantity::number(100.0 * share).rough();
        let _ = writeln!(
            text,
            "- holds in: {share} % of flights, each uncertain value anywhere within its limits"
        );
    }
    let used: Vec<String> = library
        .packs
        .iter()
        .filter(|p| p.name == rule.pack)
        .flat_map(|p| &p.limits)
        .filter(|l| names(rule, &l.name))
        .map(|l| format!("{} is {}", code(&l.name), plain(&l.value.to_string())))
        .collect();
    if !used.is_empty() {
        let _ = writeln!(text, "- limits: {}", used.join(", "));
    }
    if let Some(remedy) = rule.remedy() {
        let _ = writeln!(text, "- remedy: {}", plain(&remedy.say));
    }
    let _ = writeln!(text, "- source: {}", plain(&rule.citation));
    text
}

/// Whether the conditions of a rule name a limit.
fn names(rule: &Rule, limit: &str) -> bool {
    let conditions = [rule.when_text.as_deref().unwrap_or(""), &rule.require_text];
    conditions.iter().flat_map(|c| c.split(|c: char| !(c.is_alphanumeric() || c == '_'))).any(|w| w == limit)
}

fn limits(pack: &ActivePack) -> String {
    format!("\n### Limits of {}\n\n{}", plain(&pack.name), limit_table(pack))
}

/// The limits of a pack, one a row.
pub(super) fn limit_table(pack: &ActivePack) -> String {
    let mut text = String::from("| limit | is | meaning | source |\n|---|---|---|---|\n");
    for limit in &pack.limits {
        let _ = writeln!(
            text,
            "| {} | {} | {} | {} |",
            code(&limit.name),
            plain(&limit.value.to_string()),
            plain(&limit.doc),
            plain(&limit.citation)
        );
    }
    text
}

/// Text of a pack on one line, with every character that Markdown would take for markup made harmless.
pub(super) fn plain(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in clean_line(text).trim().chars() {
        match c {
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '#' | '~' | '&' => {
                safe.push('\\');
                safe.push(c);
            }
            c => safe.push(c),
        }
    }
    safe
}

/// Text of a pack as code on one line; the fence is longer than any run of its own sign inside.
pub(super) fn code(text: &str) -> String {
    let text = clean_line(text);
    let text = text.trim();
    let longest = text.split(|c| c != '`').map(str::len).max().unwrap_or(0);
    if longest == 0 {
        return format!("`{text}`");
    }
    let fence = "`".repeat(longest + 1);
    format!("{fence} {text} {fence}")
}

//! Rules that the program itself has are known like those of packs.

use std::collections::BTreeSet;

use holdpoint::rules::{OwnRule, specimens};
use serde_json::Value as Json;

use super::designs::examples;
use super::packs::PACK;
use super::{Bench, swap};

/// Every code that a report of a design prints: the rules of its findings, and what stands for a problem of the file.
fn codes(bench: &Bench, design: &str) -> BTreeSet<String> {
    let review = |form: &str| bench.run(&["review", design, "--today", "2030-01-01", "--format", form]);
    let document = review("json").json();
    let mut found: BTreeSet<String> = document["designs"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|d| d["findings"].as_array().unwrap())
        .map(|f| f["rule"].as_str().unwrap().to_owned())
        .collect();
    let log = review("sarif").json();
    let rules = log["runs"][0]["tool"]["driver"]["rules"].as_array().unwrap().clone();
    found.extend(rules.iter().map(|r| r["id"].as_str().unwrap().to_owned()));
    let code = regex::Regex::new(r": (?:error|warning|note)\[([a-z0-9-]+)\]").unwrap();
    let lines = review("concise").out;
    found.extend(code.captures_iter(&lines).map(|captures| captures[1].to_owned()));
    found
}

#[test]
fn explain_knows_every_code_that_a_report_can_print() {
    let bench = Bench::new();
    let mut found: BTreeSet<String> = OwnRule::WORDS.iter().map(|code| (*code).to_owned()).collect();
    let read =
        |name: String| std::fs::read_to_string(format!("{}/examples/{name}", env!("CARGO_MANIFEST_DIR")));
    let texts = examples().into_iter().map(|name| read(name).unwrap());
    let texts = texts.chain(specimens().iter().map(|(_, text)| (*text).to_owned()));
    let mut designs = 0;
    for (number, text) in texts.enumerate() {
        let name = format!("{number}.rocket.yaml");
        bench.write(&name, &text);
        found.extend(codes(&bench, &name));
        // What lacks everything has a finding of each rule that asks for something.
        bench.write("no.rocket.yaml", text.lines().take(6).collect::<Vec<_>>().join("\n"));
        found.extend(codes(&bench, "no.rocket.yaml"));
        designs += 1;
    }
    assert!(designs > 4 && found.len() > OwnRule::ALL.len() + 20, "{found:?}");
    for code in &found {
        let run = bench.run(&["explain", code]);
        run.code(0).has(&format!("{code}\n  ")).has("  why      ").has("  source   ");
        let document = bench.run(&["explain", code, "--format", "json"]).json();
        assert_eq!(document["rule"], Json::from(code.as_str()));
        assert!(document["why"].as_str().is_some_and(|why| why.len() > 10), "{document}");
    }
}

#[test]
fn the_lists_of_rules_have_the_programs_own() {
    let bench = Bench::new();
    let (list, page) = (bench.run(&["rules"]).out, bench.run(&["rules", "--markdown"]).out);
    let document = bench.run(&["rules", "--format", "json"]).json();
    for rule in OwnRule::ALL {
        let about = rule.about();
        assert!(list.contains(&format!("  {rule:<34} {:<8} {}", about.level, about.title)), "{rule}");
        assert!(page.contains(&format!("### {rule}\n\n**{}.**", about.title)), "{rule}");
        let all = document["rules"].as_array().unwrap();
        let entry = all.iter().find(|r| r["rule"] == rule.name()).unwrap();
        assert_eq!(entry["level"], about.level.name());
    }
}

#[test]
fn no_pack_takes_the_name_of_a_rule_of_the_program() {
    let bench = Bench::new();
    bench.write("own.yaml", swap(PACK, "rail-in-club", "waiver-expired"));
    bench
        .run(&["rules", "--rules", "own.yaml"])
        .code(2)
        .has("`waiver-expired` is a rule of the program itself");
}

#[test]
fn a_waiver_and_a_setting_of_such_a_rule_are_told_so() {
    let bench = Bench::new();
    let waiver = "waivers:\n  - {rule: waiver-expired, reason: x, by: y, until: 2040-01-01}\n";
    bench.write("a.rocket.yaml", format!("{}{waiver}", super::DUAL));
    bench
        .run(&["review", "a.rocket.yaml"])
        .has("names `waiver-expired`, which is a rule of the program itself");
    bench.write("holdpoint.yaml", "settings: 1\nlevels:\n  - {rule: unreadable, level: note, reason: x}\n");
    bench.run(&["review", "a.rocket.yaml"]).code(2).has("`unreadable` is a rule of the program itself");
}

#[test]
fn settings_take_some_of_them_more_or_less_gravely_and_none_away() {
    let bench = Bench::new();
    let waiver = "waivers:\n  - {rule: no-such-rule, reason: x, by: y, until: 2040-01-01}\n";
    bench.write("a.rocket.yaml", format!("{}{waiver}", super::DUAL));
    let level = |rule: &str, level: &str| {
        bench.write(
            "holdpoint.yaml",
            format!("settings: 1\nlevels:\n  - {{rule: {rule}, level: {level}, reason: x}}\n"),
        );
        bench.run(&["review", "a.rocket.yaml", "--format", "concise", "--today", "2026-06-01"])
    };
    let name = "waiver-names-no-rule";
    level(name, "warning").code(0).has(&format!("warning[{name}]"));
    level(name, "note").code(0).has(&format!("note[{name}]"));
    level(name, "error").code(1).has(&format!("error[{name}]")).has("a.rocket.yaml: hold, ");
    bench.run(&["explain", name]).code(0).has("  level    error, before parts");
    for rule in OwnRule::ALL.into_iter().filter(|rule| rule.about().fixed) {
        let run = level(rule.name(), "note");
        run.code(2).has(&format!("`{rule}` is a rule of the program itself, and stays an error"));
        bench.run(&["explain", rule.name()]).has("  level    error, which no settings change, before ");
    }
    let fixed: Vec<&str> = OwnRule::ALL.into_iter().filter(|r| r.about().fixed).map(OwnRule::name).collect();
    assert_eq!(
        fixed,
        ["code-in-force", "passed-value-changed", "passed-record-altered", "not-written-down", "unreadable"]
    );
}

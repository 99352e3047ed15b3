//! Text made to fool a terminal or a reader: nothing of it reaches a report raw.

use super::{Bench, DUAL, Run, swap};

/// What may change how a terminal shows the text around it, line ends aside.
fn hostile(c: char) -> bool {
    (c.is_control() && c != '\n')
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{61c}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{2028}' | '\u{2029}')
}

#[track_caller]
fn harmless(run: &Run) {
    let found: Vec<char> = run.all().chars().filter(|c| hostile(*c)).collect();
    assert!(found.is_empty(), "{found:?} in {}", run.all());
    // A line that a file wrote must not pass for one of ours.
    assert!(!run.all().lines().any(|l| l.starts_with("forged")), "{}", run.all());
}

const EVIL: &str = "a\\e[2Jb\\x07c\\x9bd\\u202Ee\\u2066f\\u2028g\\x7f\\nforged: clear, nothing holds";

fn all_formats(bench: &Bench, arguments: &[&str]) {
    for format in bench.words(&[&arguments[..1], &["--format"]].concat()) {
        let run = bench.run(&[arguments, &["--format", &format, "--color", "never"]].concat());
        harmless(&run);
        match format.as_str() {
            "json" | "sarif" => drop(run.json()),
            "junit" => drop(roxmltree::Document::parse(&run.out).unwrap()),
            _ => {}
        }
    }
}

#[test]
fn in_the_name_and_in_free_text() {
    let bench = Bench::new();
    bench.write(
        "a.rocket.yaml",
        swap(DUAL, "name: Reed Bunting", &format!("name: \"{EVIL}\"\nnotes: \"{EVIL}\"")),
    );
    all_formats(&bench, &["review", "a.rocket.yaml", "a.rocket.yaml"]);
    let document = bench.run(&["review", "a.rocket.yaml", "--format", "json"]).json();
    let name = document["designs"][0]["name"].as_str().unwrap().to_owned();
    assert!(
        name.contains("\u{1b}[2J") && name.contains('\u{202e}'),
        "the JSON keeps what was written: {name:?}"
    );
    all_formats(&bench, &["explain", "a.rocket.yaml", "name"]);
}

#[test]
fn in_keys_words_references_and_names_of_things() {
    let bench = Bench::new();
    bench.write("key.rocket.yaml", format!("holdpoint: 1\n\"{EVIL}\": 1\n"));
    bench.write("word.rocket.yaml", format!("holdpoint: 1\nseeks: \"{EVIL}\"\n"));
    bench.write("thing.rocket.yaml", format!("holdpoint: 1\nsections: {{\"{EVIL}\": {{mass: 3}}}}\n"));
    bench.write("value.rocket.yaml", format!("holdpoint: 1\nsections: {{a: {{mass: \"{EVIL}\"}}}}\n"));
    bench.write(
        "refers.rocket.yaml",
        format!("holdpoint: 1\nsections: {{a: {{}}}}\njoints: {{j: {{between: [a, \"{EVIL}\"]}}}}\n"),
    );
    bench.write("raw.rocket.yaml", "holdpoint: 1\nname: x\u{202e}y\u{9b}z\nnmae\u{202e}: 1\n");
    bench.write("break.rocket.yaml", "holdpoint: 1\nname: a\u{1b}[2Jb\n");
    bench.run(&["review", "thing.rocket.yaml"]).code(2).has("a name is a word");
    all_formats(&bench, &["review", "."]);
    bench.run(&["review", "."]).code(2);
}

#[test]
fn in_waivers_and_rule_files() {
    let bench = Bench::new();
    bench.write(
        "a.rocket.yaml",
        format!("{DUAL}\nwaivers:\n  - {{rule: \"{EVIL}\", reason: \"{EVIL}\", by: \"{EVIL}\", until: 2030-01-01}}\n  - {{rule: rail-length, reason: \"{EVIL}\", by: \"{EVIL}\", until: 2030-01-01, margin: -0.1}}\n"),
    );
    let rule = |name: &str, text: &str| {
        format!(
            "  \"{name}\":\n    title: \"{text}\"\n    before: flight\n    for: rocket\n    require: rocket.flight.rail > 100 in\n    level: error\n    finding: \"{text}\"\n    why: \"{text}\"\n    source: {{club: \"{text}\"}}\n    remedy: {{say: \"{text}\"}}\n"
        )
    };
    let pack = format!(
        "pack: \"mine {EVIL}\"\nabout: \"{EVIL}\"\nrules:\n{}{}",
        rule("rail-length", EVIL),
        rule("other", EVIL)
    );
    bench.write("pack.yaml", &pack);
    bench
        .write("wrong.yaml", pack.replace("rocket.flight", "rocket.\u{202e}flight").replace("mine", "wrong"));
    all_formats(&bench, &["review", "a.rocket.yaml", "--rules", "pack.yaml", "--today", "2026-01-01"]);
    let run = bench.run(&["review", "a.rocket.yaml", "--rules", "pack.yaml", "--today", "2026-01-01"]);
    run.code(1).has("error other").has("waived: rail-length");
    all_formats(&bench, &["review", "a.rocket.yaml", "--rules", "wrong.yaml"]);
    all_formats(&bench, &["explain", "other", "--rules", "pack.yaml"]);
    all_formats(&bench, &["rules", "--rules", "pack.yaml"]);
    harmless(&bench.run(&["trial", "pack.yaml", "wrong.yaml"]));
    harmless(&bench.run(&["explain", "no\u{1b}[2J-rule\u{202e}"]));
    harmless(&bench.run(&["explain", "a.rocket.yaml", "no\u{1b}[2J\u{202e}"]));
}

#[cfg(unix)]
#[test]
fn in_file_names() {
    let bench = Bench::new();
    let evil = "e\u{1b}[2J\u{202e}\nforged: clear";
    bench.write(&format!("{evil}.rocket.yaml"), "holdpoint: 1\nnmae: x\n");
    bench.write(&format!("{evil}/rocket.yaml"), DUAL);
    all_formats(&bench, &["review", "."]);
    all_formats(&bench, &["review", &format!("{evil}.not-there")]);
    harmless(&bench.run(&["trial", &format!("{evil}.not-there")]));
    harmless(&bench.run(&["trial", evil]));
    harmless(&bench.run(&["explain", &format!("{evil}.not-there"), "name"]));
}

#[test]
fn long_names() {
    let bench = Bench::new();
    let long = "n".repeat(10_240);
    bench.write("name.rocket.yaml", swap(DUAL, "name: Reed Bunting", &format!("name: {long}")));
    bench.write("thing.rocket.yaml", format!("holdpoint: 1\nsections:\n  ? {long}\n  : {{mass: 3 kg}}\n"));
    let run = bench.run(&["review", "name.rocket.yaml", "--format", "json"]);
    assert!(run.code < 2 && run.json()["designs"][0]["name"] == long.as_str());
    bench
        .run(&["review", "thing.rocket.yaml", "--format", "concise"])
        .code(2)
        .has("thing.rocket.yaml:3:5: error[unreadable] a name is a word of at most 80");
    all_formats(&bench, &["review", "."]);
}

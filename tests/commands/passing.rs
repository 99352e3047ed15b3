//! Hold points passed: what is kept, and what a later change comes to.

use serde_json::Value as Json;

use super::{Bench, DUAL, swap};

const DAY: [&str; 2] = ["--today", "2026-05-20"];
const LATER: [&str; 2] = ["--today", "2026-06-20"];

/// A folder with a design in good order, and whatever it takes for that to be so.
fn bench(design: &str) -> Bench {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", design);
    bench
}

fn in_order() -> String {
    std::fs::read_to_string(format!("{}/examples/marsh-harrier.rocket.yaml", env!("CARGO_MANIFEST_DIR")))
        .unwrap()
}

fn passed(bench: &Bench, point: &str) -> super::Run {
    bench.run(&[&["pass", point, "--by", "A. Mentor", "a.rocket.yaml"], &DAY[..]].concat())
}

fn changed(bench: &Bench) -> Vec<Json> {
    let run = bench.run(&[&["review", "--format", "json", "a.rocket.yaml"], &LATER[..]].concat());
    let found = run.json()["designs"][0]["findings"].as_array().unwrap().clone();
    found.into_iter().filter(|f| f["rule"] == "passed-value-changed").collect()
}

#[test]
fn keeps_who_and_when_and_lets_the_same_value_be_written_otherwise() {
    let bench = bench(&in_order());
    passed(&bench, "drilling").code(0).has("drilling of a.rocket.yaml passed on 2026-05-20 by A. Mentor");
    let record = std::fs::read_to_string(bench.path().join("a.passed.yaml")).unwrap();
    for expected in [
        "hold_point: drilling",
        "date: 2026-05-20",
        "by: \"A. Mentor\"",
        "\n  sections.av_bay.vents.statics:\n",
        "    1 diameter = 9/64 in ~",
    ] {
        assert!(record.contains(expected), "{expected} in {record}");
    }
    bench
        .run(&[&["review", "a.rocket.yaml"], &LATER[..]].concat())
        .code(0)
        .has("passed on 2026-05-20 by A. Mentor");
    // 9/64 in is 0.140625 in, and comments are no values.
    let same = swap(&in_order(), "diameter: 9/64 in", "diameter: 0.140625 in") + "# a comment\n";
    bench.write("a.rocket.yaml", same);
    assert_eq!(changed(&bench), Vec::<Json>::new());
    // What no rule of drilling reads may change.
    bench.write("a.rocket.yaml", swap(&in_order(), "name: Marsh Harrier", "name: Hen Harrier"));
    assert_eq!(changed(&bench), Vec::<Json>::new());
}

/// The finished rocket is balanced after the fins are glued: that is no change of what was passed then.
#[test]
fn a_balance_that_is_measured_later_changes_nothing_that_was_passed() {
    let line = "  balance_point: 55 in from fore\n";
    let bench = bench(&swap(&in_order(), line, ""));
    passed(&bench, "parts").code(0);
    passed(&bench, "bonding").code(0);
    bench.write("a.rocket.yaml", in_order());
    assert_eq!(changed(&bench), Vec::<Json>::new());
}

#[test]
fn a_value_that_changes_later_is_a_finding_with_both_values_at_its_place() {
    let bench = bench(&in_order());
    passed(&bench, "drilling").code(0);
    let now = swap(&in_order(), "diameter: 9/64 in", "diameter: 5/32 in");
    bench.write("a.rocket.yaml", &now);
    let found = changed(&bench);
    assert_eq!(found.len(), 1, "{found:?}");
    let (finding, message) = (&found[0], found[0]["message"].as_str().unwrap());
    for expected in [
        "`sections.av_bay.vents.statics.diameter`",
        "was 9/64 in",
        "2026-05-20 by A. Mentor",
        "is 5/32 in now",
    ] {
        assert!(message.contains(expected), "{expected} in {message}");
    }
    assert_eq!((finding["before"].as_str(), finding["level"].as_str()), (Some("drilling"), Some("error")));
    let place = &finding["places"][0];
    let at = |name: &str| usize::try_from(place[name].as_u64().unwrap()).unwrap();
    assert_eq!(&now[at("start_byte")..at("end_byte")], "5/32 in");
    bench.run(&[&["review", "a.rocket.yaml"], &LATER[..]].concat()).code(1).has("HOLD before drilling");
    // No papers for it, until the step is passed again.
    bench.run(&[&["packet", "a.rocket.yaml"], &LATER[..]].concat()).code(1).has("passed-value-changed");
    bench.run(&[&["pass", "drilling", "--by", "B. Mentor", "a.rocket.yaml"], &LATER[..]].concat()).code(0);
    assert_eq!(changed(&bench), Vec::<Json>::new());
    bench
        .run(&[&["review", "a.rocket.yaml"], &LATER[..]].concat())
        .code(0)
        .has("passed on 2026-06-20 by B. Mentor");
}

#[test]
fn what_comes_and_goes_is_a_change_too() {
    let bench = bench(&in_order());
    passed(&bench, "drilling").code(0);
    let more = swap(
        &in_order(),
        "      relief: {count: 1, diameter: 5/32 in, at: 9 in from fore, clock: 180°}",
        "      relief: {count: 1, diameter: 5/32 in, at: 9 in from fore, clock: 180°}\n      second: {count: 1, diameter: 5/32 in, at: 8 in from fore}",
    );
    bench.write("a.rocket.yaml", &more);
    let found = changed(&bench);
    let reported = |words: &str| found.iter().any(|f| f["message"].as_str().unwrap().contains(words));
    assert!(
        reported("vent `sections.booster.vents.second` was not there when drilling was passed"),
        "{found:?}"
    );
    assert!(found.iter().any(|f| f["places"][0]["key"] == "sections.booster.vents.second"), "{found:?}");
    let fewer = swap(
        &in_order(),
        "    vents:\n      relief: {count: 1, diameter: 5/32 in, at: 9 in from fore, clock: 180°}\n",
        "",
    );
    bench.write("a.rocket.yaml", fewer);
    let found = changed(&bench);
    assert!(
        found.iter().any(|f| f["message"]
            .as_str()
            .unwrap()
            .contains("`sections.booster.vents.relief` was there when")),
        "{found:?}"
    );
}

#[test]
fn is_refused_while_it_holds_or_one_before_it_does() {
    let aft = "aft: {at: 0.375 in from aft, into: ring, thread: 8-32, clock: 60°";
    let bench = bench(&swap(&in_order(), aft, &aft.replace("60°", "70°")));
    let none = || !bench.path().join("a.passed.yaml").exists();
    passed(&bench, "drilling")
        .code(1)
        .has("drilling of a.rocket.yaml is not passed")
        .has("rail-buttons-in-line");
    passed(&bench, "flight").code(1).has("before drilling");
    assert!(none());
    passed(&bench, "parts").code(0);
    passed(&bench, "bonding").code(0);
    assert!(!none());
    let record = std::fs::read_to_string(bench.path().join("a.passed.yaml")).unwrap();
    assert_eq!(record.matches("hold_point:").count(), 2, "each pass keeps the others");
    bench.run(&["pass", "parts", "--by", " ", "a.rocket.yaml"]).code(2).has("--by");
    bench.run(&["pass", "parts", "--by", "x", "not-there.rocket.yaml"]).code(2);
}

#[test]
fn a_record_that_was_edited_or_cannot_be_read_is_told_of() {
    let bench = bench(&in_order());
    passed(&bench, "drilling").code(0);
    let path = bench.path().join("a.passed.yaml");
    let record = std::fs::read_to_string(&path).unwrap();
    // Whoever edits a value to fit the new design must be seen.
    bench.write("a.rocket.yaml", swap(&in_order(), "diameter: 9/64 in", "diameter: 5/32 in"));
    let counts_as = |words: &str| holdpoint::review::digest(words.as_bytes())[..8].to_owned();
    let forged = record.replace(
        &format!("diameter = 9/64 in ~{}", counts_as("3.57187500000e-3")),
        &format!("diameter = 5/32 in ~{}", counts_as("3.96875000000e-3")),
    );
    assert_ne!(forged, record);
    std::fs::write(&path, &forged).unwrap();
    bench.run(&[&["review", "a.rocket.yaml"], &LATER[..]].concat()).code(1).has("passed-record-altered");
    for (old, new, reported) in [
        ("hold_point: drilling", "hold_point: painting", "painting"),
        ("date: 2026-05-20", "on: soon", "a.passed.yaml:6"),
        ("holdpoint_passes: 2", "holdpoint_passes: 3", "records of versions 1 and 2"),
        ("holdpoint_passes: 2", "holdpoint_passes: 1", "pass it again"),
        ("    1 diameter = 9/64", "    2 diameter = 9/64", "is no line of a record"),
        ("    1 diameter = 9/64", "    diameter: 9/64", "is no line of a record"),
        ("  sections.av_bay.vents.statics:", "  sections.av_bay.vents.statics", "is no line of a record"),
        ("passes:\n", "passes: {\n", "a.passed.yaml"),
        ("    by: \"A. Mentor\"\n", "", "a.passed.yaml"),
    ] {
        std::fs::write(&path, swap(&record, old, new)).unwrap();
        bench.run(&[&["review", "a.rocket.yaml"], &LATER[..]].concat()).code(2).has(reported);
        bench.run(&[&["packet", "a.rocket.yaml"], &LATER[..]].concat()).code(2);
    }
    std::fs::write(&path, &record).unwrap();
    // A record is no rule pack, though it stands where packs stand.
    bench.write("packs/club.yaml", "pack: club\nabout: Ours.\n");
    bench.write("packs/b.passed.yaml", &record);
    bench.run(&[&["review", "a.rocket.yaml", "--rules", "packs"], &LATER[..]].concat()).code(1);
}

/// A record as the first form had it.
fn first_form(values: &[(&str, &str, &str)], design: &str) -> String {
    let mut all = format!("drilling\u{0}2026-05-20\u{0}A. Mentor\u{0}{design}");
    let mut lines = String::new();
    for (key, written, counts_as) in values {
        all.push_str(&format!("\u{0}{key}\u{0}{written}\u{0}{counts_as}"));
        lines
            .push_str(&format!("      - {{key: {key:?}, written: {written:?}, counts_as: {counts_as:?}}}\n"));
    }
    let digest = holdpoint::review::digest(all.as_bytes());
    format!(
        "holdpoint_passes: 1\npasses:\n  - hold_point: drilling\n    date: 2026-05-20\n    by: \"A. Mentor\"\n    design: {design:?}\n    \
         digest: {digest:?}\n    values:\n{lines}"
    )
}

#[test]
fn a_record_of_the_first_form_counts_and_is_kept_when_another_step_is_passed() {
    let statics = "sections.av_bay.vents.statics";
    let diameter = format!("{statics}.diameter");
    let vents = "sections.payload.vents.relief, sections.av_bay.vents.statics, sections.booster.vents.relief";
    let record = first_form(
        &[
            ("every vent", vents, vents),
            (&format!("{statics}.because"), "", "nothing"),
            (&format!("{statics}.count"), "4", "4.00000000000e0"),
            (&diameter, "9/64 in", "3.57187500000e-3"),
            (&format!("{statics}.spaced"), "evenly", "evenly"),
        ],
        "00",
    );
    let bench = bench(&in_order());
    bench.write("a.passed.yaml", &record);
    let review = [&["review", "a.rocket.yaml"], &LATER[..]].concat();
    bench.run(&review).code(0).has("passed on 2026-05-20 by A. Mentor");
    // Passing another step writes all of them as records are written now; the pass that was there stays.
    bench.run(&[&["pass", "parts", "--by", "B. Mentor", "a.rocket.yaml"], &LATER[..]].concat()).code(0);
    let written = std::fs::read_to_string(bench.path().join("a.passed.yaml")).unwrap();
    for due in [
        "holdpoint_passes: 2",
        "by: \"A. Mentor\"",
        "by: \"B. Mentor\"",
        " diameter = 9/64 in ~",
        "    1 because\n",
    ] {
        assert!(written.contains(due), "{due} in {written}");
    }
    bench.run(&review).code(0).has("passed on 2026-05-20 by A. Mentor");
    bench.write("a.rocket.yaml", swap(&in_order(), "diameter: 9/64 in", "diameter: 5/32 in"));
    let found = changed(&bench);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(
        found[0]["message"].as_str().unwrap().contains("was 9/64 in when drilling was passed"),
        "{found:?}"
    );
    // A first form that was altered stays altered, also after it is written anew.
    bench.write("a.rocket.yaml", in_order());
    bench.write(
        "a.passed.yaml",
        record.replace("\"evenly\", counts_as: \"evenly\"", "\"unevenly\", counts_as: \"evenly\""),
    );
    bench.run(&review).code(1).has("passed-record-altered");
    bench.run(&[&["pass", "parts", "--by", "B. Mentor", "a.rocket.yaml"], &LATER[..]].concat()).code(0);
    bench.run(&review).code(1).has("passed-record-altered");
}

#[test]
fn a_record_is_short_and_keeps_each_value_once() {
    let bench = bench(&in_order());
    for point in ["parts", "bonding", "drilling", "wiring", "loading", "flight"] {
        passed(&bench, point).code(0);
    }
    let record = std::fs::read_to_string(bench.path().join("a.passed.yaml")).unwrap();
    assert!(record.len() < 35_000, "{} bytes", record.len());
    // What several steps read stands once, with the figures of their passes.
    assert_eq!(record.matches("9/64 in").count(), 1, "{record}");
    assert!(record.lines().all(|line| line.chars().count() < 400), "{record}");
    bench.run(&[&["review", "a.rocket.yaml"], &LATER[..]].concat()).code(0);
    assert_eq!(changed(&bench), Vec::<Json>::new());
    bench.write("a.rocket.yaml", swap(&in_order(), "inner_diameter: 3.902 in", "inner_diameter: 3.903 in"));
    let found = changed(&bench);
    let steps: Vec<&str> = found.iter().map(|f| f["before"].as_str().unwrap()).collect();
    assert!(steps.contains(&"drilling") && steps.len() > 1, "each pass that read it: {steps:?}");
}

#[test]
fn names_that_no_line_holds_read_back() {
    let quoted = serde_json::Value::from("a: \" ~1 = b:").to_string();
    let design = in_order().replace("      statics:", &format!("      {quoted}:"));
    assert_ne!(design, in_order());
    let bench = bench(&design);
    passed(&bench, "drilling").code(0);
    bench.run(&[&["review", "a.rocket.yaml"], &LATER[..]].concat()).code(0);
    assert_eq!(changed(&bench), Vec::<Json>::new());
    bench.write("a.rocket.yaml", swap(&design, "diameter: 9/64 in", "diameter: 5/32 in"));
    assert_eq!(changed(&bench).len(), 1);
}

#[test]
fn hostile_names_stay_harmless() {
    let evil = "<b>\u{1b}[2J\u{202e}\" {x: y}\n  - forged";
    let bench = bench(&in_order());
    bench.run(&[&["pass", "parts", "--by", evil, "a.rocket.yaml"], &DAY[..]].concat()).code(0);
    for format in ["text", "html", "json", "concise"] {
        let run = bench.run(&[&["review", "--format", format, "a.rocket.yaml"], &LATER[..]].concat());
        run.code(0);
        assert!(
            !run.all().contains('\u{1b}')
                && !run.all().contains('\u{202e}')
                && !run.all().contains("<b>\u{fffd}[2J")
                || format != "html"
        );
        assert!(!run.all().lines().any(|l| l.trim_start().starts_with("- forged")));
    }
    assert!(DUAL.contains("holdpoint: 1"));
}

#[test]
fn a_value_that_several_steps_read_is_drawn_once() {
    let bench = bench(&in_order());
    for point in ["parts", "bonding", "drilling"] {
        passed(&bench, point).code(0);
    }
    bench.write("a.rocket.yaml", swap(&in_order(), "inner_diameter: 3.902 in", "inner_diameter: 3.903 in"));
    let run = bench.run(&[&["review", "a.rocket.yaml"], &LATER[..]].concat());
    run.code(1).has("when drilling was passed").has("inner_diameter: 3.903 in");
    assert_eq!(run.out.matches("error passed-value-changed").count(), 1, "{}", run.out);
    // Each step that read it holds all the same, and the place is that of the value.
    let found = changed(&bench);
    assert_eq!(found.len(), 3, "{found:?}");
    assert!(
        found.iter().all(|f| f["places"][0]["label"].as_str().unwrap().contains("3.903 in")),
        "{found:?}"
    );
}

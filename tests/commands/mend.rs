//! Mending: what it changes, what it leaves, and that a file is whole whatever happens.

use std::time::Instant;

use super::{Bench, DUAL, Run, swap};

const DRAFT: &str = include_str!("../../examples/first-draft.rocket.yaml");
const DAY: &str = "2026-06-01";

fn mend(bench: &Bench, more: &[&str]) -> Run {
    bench.run(&[&["mend", "draft.rocket.yaml", "--today", DAY, "--color", "never"], more].concat())
}

fn text(bench: &Bench) -> String {
    std::fs::read_to_string(bench.path().join("draft.rocket.yaml")).unwrap()
}

/// The lines that differ, old and new, of two texts with as many lines.
fn changed<'t>(old: &'t str, new: &'t str) -> Vec<(&'t str, &'t str)> {
    assert_eq!(old.lines().count(), new.lines().count());
    old.lines().zip(new.lines()).filter(|(a, b)| a != b).collect()
}

#[test]
fn the_difference_is_shown_and_nothing_is_written() {
    let bench = Bench::new();
    bench.write("draft.rocket.yaml", DRAFT);
    let run = mend(&bench, &["--diff"]);
    run.code(1)
        .has("--- draft.rocket.yaml")
        .has("-      statics: {count: 2, diameter: 0.085 in,")
        .has("+      statics: {count: 2, diameter: 5/32 in,")
        .has("would be mended");
    assert_eq!(text(&bench), DRAFT);
}

#[test]
fn a_draft_is_mended_as_far_as_paper_can_prove_and_a_second_run_finds_nothing() {
    let bench = Bench::new();
    bench.write("draft.rocket.yaml", DRAFT);
    let before = bench.run(&["review", "draft.rocket.yaml", "--format", "json", "--today", DAY]).json();
    let first = mend(&bench, &[]);
    first.code(1).has("mended").has("left before bonding").has("bond-stands-heat").has("by hand:");
    let mended = text(&bench);
    let lines = changed(DRAFT, &mended);
    assert!(lines.len() >= 4, "{lines:?}");
    // Only holes, slots, places and counts; never a mass, a material, a charge or what was tested.
    for (old, new) in &lines {
        for key in
            ["mass:", "material:", "powder:", "thread:", "glued:", "adhesive:", "ground_tests", "measured"]
        {
            let value = |line: &str| {
                line.split(key).nth(1).map(|rest| rest.split([',', '}']).next().unwrap().to_owned())
            };
            assert_eq!(value(old), value(new), "{old} -> {new}");
        }
    }
    // Nothing is worse than it was: no finding that was not there before.
    let after = bench.run(&["review", "draft.rocket.yaml", "--format", "json", "--today", DAY]).json();
    let prints = |document: &serde_json::Value| -> Vec<String> {
        let findings = document["designs"][0]["findings"].as_array().unwrap().iter();
        findings.map(|f| f["fingerprint"].as_str().unwrap().to_owned()).collect()
    };
    let known = prints(&before);
    let now = prints(&after);
    assert!(now.len() < known.len(), "{} {}", now.len(), known.len());
    assert!(now.iter().all(|print| known.contains(print)));

    let second = mend(&bench, &[]);
    second.code(1).has("nothing to mend");
    assert_eq!(text(&bench), mended);
}

#[test]
fn what_a_person_must_look_at_is_made_only_when_asked_for() {
    let bench = Bench::new();
    let loose = swap(
        DUAL,
        "cell_a: {voltage: 7.4 V, capacity: 300 mAh, cells: lithium polymer, guarded: true, connector: latched_housing, held: zip tie",
        "cell_a: {voltage: 7.4 V, capacity: 300 mAh, cells: lithium polymer, guarded: true, connector: latched_housing, held: tape",
    );
    bench.write("draft.rocket.yaml", &loose);
    mend(&bench, &[]).code(1).has("nothing to mend").has("for you to decide").has("battery-held");
    assert_eq!(text(&bench), loose);
    mend(&bench, &["--unsafe"]).code(0).has("battery-held");
    let after = text(&bench);
    assert_ne!(after, loose);
    mend(&bench, &["--unsafe"]).code(0).has("nothing to mend");
    assert_eq!(text(&bench), after);
}

/// How glue was mixed, how warm it was and how long it hardened, what a cord breaks at and what a part weighs are facts: a program that
/// writes them has not made them so. Neither the built-in rules nor a club's own change one, whatever the flag.
#[test]
fn how_a_thing_was_made_measured_or_treated_is_never_changed() {
    let bench = Bench::new();
    for (from, to, rule, told) in [
        (
            "mixed: weighed, temperature: 70 degF, hardened: 36 h, hottest: 105 degF",
            "mixed: weighed, temperature: 70 degF, hardened: 2 h, hottest: 105 degF",
            "bond-hardened",
            "leave it alone for",
        ),
        (
            "temperature: 70 degF, hardened: 36 h, hottest: 105 degF",
            "temperature: 40 degF, hardened: 36 h, hottest: 105 degF",
            "bond-warm-enough",
            "keep parts and room at",
        ),
        (
            "mixed: weighed, temperature: 70 degF, hardened: 36 h, hottest: 105 degF",
            "mixed: by eye, temperature: 70 degF, hardened: 36 h, hottest: 105 degF",
            "bond-mixed-by-measure",
            "weigh both parts",
        ),
        (
            "strength: 1500 lbf, ends: sewn loops, between: [nose, payload]",
            "strength: 150 lbf, ends: sewn loops, between: [nose, payload]",
            "cord-bears-opening",
            "use a cord that breaks at",
        ),
    ] {
        let draft = swap(DUAL, from, to);
        bench.write("draft.rocket.yaml", &draft);
        mend(&bench, &["--unsafe", "--rule", rule]).has(&format!("by hand: {told}"));
        assert_eq!(text(&bench), draft, "{rule}");
    }
    bench.write(
        "own.yaml",
        "pack: own\nabout: \"Ours.\"\nrules:\n  booster-heavy-enough:\n    title: The booster is not light\n    before: parts\n    for: section\n    \
         when: section has fins\n    require: section.mass >= 100 kg\n    level: error\n    finding: \"{section} weighs {section.mass}\"\n    \
         why: \"So we want it.\"\n    source: {common_practice: \"ours\"}\n    remedy: {set: section.mass, to: 100 kg, say: \"make it weigh {value}\"}\n",
    );
    bench.write("draft.rocket.yaml", DUAL);
    let run = mend(&bench, &["--rules", "own.yaml", "--unsafe", "--rule", "booster-heavy-enough"]);
    run.has("by hand: make it weigh 220.5 lb");
    assert_eq!(text(&bench), DUAL);
}

#[test]
fn a_truth_and_a_charge_are_written_by_a_person_and_a_count_without_quotes() {
    let bench = Bench::new();
    let rough = swap(
        DUAL,
        "airframe: {adhesive: structural epoxy, abraded: true",
        "airframe: {adhesive: structural epoxy, abraded: false",
    );
    bench.write(
        "draft.rocket.yaml",
        swap(
            &rough,
            "{count: 3, thread: 2-56, material: nylon, at: 2 in",
            "{count: 1, thread: 2-56, material: nylon, at: 2 in",
        ),
    );
    // A surface is roughened by hand, and no flag makes it so.
    let run = mend(&bench, &["--unsafe", "--rule", "bond-abraded"]);
    run.has("bond-abraded").has("by hand: roughen both surfaces").has("pins-not-alone");
    let mended = text(&bench);
    assert!(mended.contains("adhesive: structural epoxy, abraded: false"), "{mended}");
    assert!(!mended.contains("count: '"), "{mended}");
    // A test on the ground proves a charge: its powder stays as it is, whatever the flag.
    let weak = swap(
        DUAL,
        "main_primary: {joint: main_joint, powder: 1.6 g",
        "main_primary: {joint: main_joint, powder: 0.4 g",
    );
    bench.write("draft.rocket.yaml", &weak);
    let all = ["--unsafe", "--rule", "charge-pressure-enough", "--rule", "charge-breaks-pins"];
    mend(&bench, &all).code(1).has("by hand").has("begin tests on the ground near");
    let powders = |text: &str| {
        text.lines().filter(|line| line.contains("powder:")).map(str::to_owned).collect::<Vec<_>>()
    };
    assert_eq!(powders(&text(&bench)), powders(&weak));
}

#[test]
fn a_rule_that_is_named_is_made_and_an_unknown_one_is_told() {
    let bench = Bench::new();
    bench.write("draft.rocket.yaml", DRAFT);
    mend(&bench, &["--rule", "pins-not-alne"]).code(2).has("did you mean `pins-not-alone`?");
    assert_eq!(text(&bench), DRAFT);
    mend(&bench, &["--rule", "battery-held"]).code(1).has("battery-held");
    assert!(!text(&bench).contains("held: tape"), "{}", text(&bench));
}

#[test]
fn comments_line_ends_and_a_missing_last_line_end_stay() {
    let bench = Bench::new();
    let odd = format!("\u{feff}{}", DRAFT.trim_end().replace('\n', "\r\n"));
    bench.write("draft.rocket.yaml", &odd);
    mend(&bench, &[]).code(1);
    let mended = text(&bench);
    assert_ne!(mended, odd);
    assert_eq!(mended.matches("\r\n").count(), odd.matches("\r\n").count());
    assert_eq!(mended.matches('\n').count(), odd.matches('\n').count());
    assert!(mended.starts_with('\u{feff}') && !mended.ends_with('\n'));
    for comment in DRAFT.lines().filter_map(|line| line.split_once('#')).map(|(_, comment)| comment) {
        assert!(mended.contains(comment), "{comment}");
    }
}

#[cfg(unix)]
#[test]
fn permissions_stay_and_a_link_stays_a_link() {
    use std::os::unix::fs::PermissionsExt as _;
    let bench = Bench::new();
    let real = bench.write("kept/real.rocket.yaml", DRAFT);
    std::fs::set_permissions(&real, std::fs::Permissions::from_mode(0o640)).unwrap();
    std::os::unix::fs::symlink("kept/real.rocket.yaml", bench.path().join("draft.rocket.yaml")).unwrap();
    mend(&bench, &[]).code(1);
    assert_eq!(std::fs::metadata(&real).unwrap().permissions().mode() & 0o777, 0o640);
    assert!(bench.path().join("draft.rocket.yaml").symlink_metadata().unwrap().is_symlink());
    assert_ne!(std::fs::read_to_string(&real).unwrap(), DRAFT);
    assert_eq!(std::fs::read_dir(bench.path().join("kept")).unwrap().count(), 1, "something was left behind");
}

#[test]
fn what_cannot_be_read_is_not_touched() {
    let bench = Bench::new();
    for broken in [
        DRAFT.replace("wind: 18 mph", "wind: 18 parsecs"),
        format!("{DRAFT}\nsections: ["),
        DRAFT.replace("flight:", "fligth:"),
    ] {
        bench.write("draft.rocket.yaml", &broken);
        mend(&bench, &[]).code(2).has("nothing was mended");
        assert_eq!(text(&bench), broken);
    }
    bench.run(&["mend", "-"]).code(2).has("standard input cannot be mended");
    bench.run(&["mend", "nowhere.rocket.yaml"]).code(2);
}

#[test]
fn a_clean_design_is_left_alone() {
    let bench = Bench::new();
    bench.write("draft.rocket.yaml", DUAL);
    mend(&bench, &["--unsafe"]).code(0).has("nothing to mend");
    assert_eq!(text(&bench), DUAL);
    // One wrong hole: mended, and clear after it.
    bench.write(
        "draft.rocket.yaml",
        swap(DUAL, "statics: {count: 3, diameter: 11/64 in", "statics: {count: 3, diameter: 1/16 in"),
    );
    mend(&bench, &[]).code(0).has("1 value mended").has("nothing holds");
}

/// One rule wants a count written down and sets it; the other cannot be told until it is, and is broken then if it is more than 3.
const COUNTED: &str = "\
pack: trying
about: For trying what a remedy brings.
rules:
  vents-counted:
    title: The vents are counted
    before: drilling
    for: section
    when: section has vents
    require: every v of section.vents has v.count is given
    level: error
    finding: \"the vents of {section} are not counted\"
    why: Air.
    source: {club: trying}
    remedy: {set: section.vents.count, to: COUNT, say: \"drill {value}\"}
  vents-few:
    title: The vents are few
    before: drilling
    for: section
    when: section has vents
    require: every v of section.vents has v.count <= 3
    level: error
    finding: \"{section} has many vents\"
    why: Looks.
    source: {club: trying}
";

#[test]
fn what_was_unproven_is_not_made_broken() {
    let bench = Bench::new();
    let uncounted = "holdpoint: 1\nsections:\n  a: {vents: {v: {diameter: 3 mm}}}\n";
    let outcome = |rule: &str| {
        let arguments = ["review", "draft.rocket.yaml", "--rules", "pack.yaml", "--format", "json"];
        let document = bench.run(&arguments).json();
        let findings = document["designs"][0]["findings"].as_array().unwrap().iter();
        findings.filter(|f| f["rule"] == rule).map(|f| f["outcome"].as_str().unwrap().to_owned()).next()
    };
    for (count, made) in [("3", true), ("4", false)] {
        bench.write("pack.yaml", COUNTED.replace("COUNT", count));
        bench.write("draft.rocket.yaml", uncounted);
        assert_eq!(outcome("vents-counted").as_deref(), Some("broken"));
        assert_eq!(outcome("vents-few").as_deref(), Some("unproven"));
        mend(&bench, &["--rules", "pack.yaml", "--rule", "vents-counted"]).has(if made {
            "1 value mended"
        } else {
            "nothing to mend"
        });
        assert_eq!(text(&bench) == uncounted, !made, "{}", text(&bench));
        assert_eq!(outcome("vents-few"), if made { None } else { Some("unproven".to_owned()) });
    }
}

/// The middle ring is moved forward until it stands 0.6 in ahead of the slots, which begin 9.5 in from aft.
const APART: &str = "\
pack: trying
about: For trying a place that moves.
rules:
  ring-apart:
    title: The middle ring stands apart from the slots
    before: bonding
    for: ring
    when: ring.section has fin_slots and clearance(ring, ring.section.fin_slots) < 2 in
    require: clearance(ring, ring.section.fin_slots) >= 0.6 in
    level: error
    finding: \"{ring} is near\"
    why: Glue.
    source: {club: trying}
    remedy: {set: ring.at, by: \"clearance(ring, ring.section.fin_slots) - 0.6 in\", say: \"put it at {value}\"}
";

#[test]
fn a_place_is_moved_to_the_next_mark_of_the_tape() {
    let bench = Bench::new();
    bench.write("pack.yaml", APART);
    // The least is 10.1 in from aft, and the next mark beyond it 10 2/16 in, or 257 mm. The tube is 34 in long and the ring 1/8 in thick:
    // from fore the most is 34 - 10.1 - 0.125 = 23.775 in, and the mark before it 23 12/16 in.
    for (place, moved) in [
        ("10 in from aft", Some("10.125 in from aft")),
        ("10.03 in from aft", Some("10.125 in from aft")),
        ("254 mm from aft", Some("257 mm from aft")),
        ("10 ± 0.01 in from aft", Some("10.125 ± 0.01 in from aft")),
        ("23.875 in from fore", Some("23.75 in from fore")),
        ("10.125 in from aft", None),
        ("23.75 in from fore", None),
    ] {
        let there = swap(DUAL, "mid: {at: 10 in from aft,", &format!("mid: {{at: {place},"));
        bench.write("draft.rocket.yaml", &there);
        let run = mend(&bench, &["--rules", "pack.yaml", "--rule", "ring-apart"]);
        run.code(0);
        if let Some(moved) = moved {
            let reported = run.out.split_whitespace().collect::<Vec<_>>().join(" ");
            let expected = format!(
                "sections.booster.motor_mount.rings.mid.at: {place} -> {moved} (ring-apart: put it at {moved})"
            );
            assert!(reported.contains(&expected), "{reported}");
        }
        let expected = moved.map_or(there.clone(), |moved| {
            swap(&there, &format!("mid: {{at: {place},"), &format!("mid: {{at: {moved},"))
        });
        assert_eq!(text(&bench), expected, "{place}");
    }
}

/// Killed at any moment, the file is the old one or the new one.
#[test]
fn a_killed_run_leaves_a_whole_file() {
    let bench = Bench::new();
    let wrong = swap(DUAL, "statics: {count: 3, diameter: 11/64 in", "statics: {count: 3, diameter: 1/16 in");
    bench.write("draft.rocket.yaml", &wrong);
    let started = Instant::now();
    mend(&bench, &[]).code(0);
    let whole = started.elapsed();
    let mended = text(&bench);
    assert_ne!(mended, wrong);
    // From the start to past the end, closer together where the file is written; no moment is hoped for.
    for share in [0.0, 0.3, 0.6, 0.8, 0.85, 0.9, 0.93, 0.96, 0.98, 1.0, 1.02, 1.05, 1.1, 1.2, 1.5] {
        bench.write("draft.rocket.yaml", &wrong);
        let mut child = bench.spawn(&["mend", "draft.rocket.yaml", "--today", DAY]);
        std::thread::sleep(whole.mul_f64(share));
        let _ = child.kill();
        let ended = child.wait().unwrap();
        let found = text(&bench);
        assert!(found == wrong || found == mended, "neither the old file nor the new one");
        assert!(ended.code() != Some(0) || found == mended, "it ended well and did not write");
    }
}

#[test]
fn hostile_text_is_harmless_in_what_is_told() {
    let bench = Bench::new();
    let evil = "\"a\\e[2Jb\\u202E<script>\\nforged: clear\"";
    bench.write("draft.rocket.yaml", DRAFT.replace("name: Water Rail", &format!("name: {evil}")));
    for more in [&["--diff"][..], &[]] {
        let run = mend(&bench, more);
        assert!(!run.all().contains('\u{1b}') && !run.all().contains('\u{202e}'), "{}", run.all());
        assert!(!run.all().lines().any(|line| line.starts_with("forged")), "{}", run.all());
    }
}

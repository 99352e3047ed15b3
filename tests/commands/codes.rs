//! Packs that stand for a code: switched on by what a design is or names, told of where they are not judged, and asking
//! a person for what no file can settle.

use super::{Bench, DUAL, MOTOR, swap};

const ALL: [&str; 5] =
    ["high_power_code", "cfr_14_101", "student_launch_2025", "irec_guide_2023", "euroc_guide_4"];

/// The specimen breaks this clause of the student launch: it carries no tracker.
const BROKEN: &str = "error[launch-tracker-aboard]";

fn with_codes(codes: &str) -> String {
    format!("{DUAL}\ncodes: {codes}\n")
}

#[test]
fn a_pack_that_does_not_apply_is_not_judged_and_is_told_of() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    let run = bench.run(&["review", "a.rocket.yaml"]);
    run.code(0)
        .has("high_power_code: judged by its")
        .has("not judged: cfr_14_101, irec_guide_2023, euroc_guide_4: not named under `codes`")
        .has("not judged: student_launch_2025: about others (rocket has seeks and rocket.seeks is");
    assert!(!run.all().contains("launch-tracker-aboard"), "{run:?}");
    let reported = bench.run(&["review", "a.rocket.yaml", "--format", "json"]).json();
    let codes = reported["designs"][0]["codes"].as_array().unwrap().clone();
    let names: Vec<&str> = codes.iter().map(|c| c["pack"].as_str().unwrap()).collect();
    assert_eq!(names, ALL);
    for code in &codes {
        let judged = code["pack"] == "high_power_code";
        assert_eq!(code["judged"], judged, "{code}");
        assert!(!code["because"].as_str().unwrap().is_empty());
        // What is not judged asks nothing either, and what is judged says what it leaves to a person.
        assert_eq!(code["asks"].as_array().unwrap().is_empty(), !judged, "{code}");
    }
    bench
        .run(&["checklist", "a.rocket.yaml"])
        .code(0)
        .has("Nothing of student_launch_2025 is asked: about others")
        .has("Nothing of cfr_14_101 is asked: not named under `codes`");
}

#[test]
fn a_pack_is_switched_on_by_the_design_by_what_it_seeks_or_by_the_club() {
    let bench = Bench::new();
    bench.write("named.rocket.yaml", with_codes("[student_launch_2025]"));
    bench.write("sought.rocket.yaml", swap(DUAL, "seeks: level 2", "seeks: student launch"));
    bench.write("plain.rocket.yaml", DUAL);
    let review = |arguments: &[&str]| {
        let mut all = vec!["review", "--format", "concise"];
        all.extend(arguments);
        bench.run(&all)
    };
    review(&["named.rocket.yaml"]).code(1).has(BROKEN);
    review(&["sought.rocket.yaml"]).code(1).has(BROKEN);
    review(&["plain.rocket.yaml", "--code", "student_launch_2025"]).code(1).has(BROKEN);
    review(&["plain.rocket.yaml"]).code(0);
    bench.run(&["review", "named.rocket.yaml"]).has("since the design names it under `codes`");
    bench
        .run(&["review", "plain.rocket.yaml", "--code", "student_launch_2025"])
        .has("since it was asked for by name");
}

#[test]
fn a_small_rocket_is_left_alone_by_the_high_power_code() {
    let bench = Bench::new();
    let small = MOTOR
        .lines()
        .map(|line| match line.trim_start().split(':').next() {
            Some("total_impulse") => "  total_impulse: 60 N*s".to_owned(),
            Some("average_thrust") => "  average_thrust: 40 N".to_owned(),
            Some("propellant_mass") => "  propellant_mass: 30 g".to_owned(),
            Some("mass_with_motor") => "  mass_with_motor: 800 g".to_owned(),
            _ => line.to_owned(),
        })
        .collect::<Vec<String>>()
        .join("\n");
    bench.write("a.rocket.yaml", &small);
    bench
        .run(&["review", "a.rocket.yaml"])
        .has("not judged: high_power_code: about others (rocket.motor.total_impulse > 160 N*s");
    // Nothing written of the motor: it cannot be told, and so it is judged.
    let unknown: Vec<&str> = small.lines().filter(|l| !l.contains("total_impulse")).collect();
    bench.write("a.rocket.yaml", unknown.join("\n"));
    bench
        .run(&["review", "a.rocket.yaml"])
        .has("without motor.total_impulse it is not known")
        .has("high_power_code: judged by its");
}

#[test]
fn a_code_that_is_not_in_force_is_never_taken_for_one() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", with_codes("[student_launch_2052]"));
    let line = with_codes("").lines().count();
    bench
        .run(&["review", "a.rocket.yaml", "--format", "concise"])
        .code(1)
        .has(&format!(
            "a.rocket.yaml:{line}:8: error[code-in-force] no pack in force is named `student_launch_2052`"
        ))
        .has("did you mean `student_launch_2025`?");
    bench.write("b.rocket.yaml", DUAL);
    for command in ["review", "mend", "checklist"] {
        bench
            .run(&[command, "b.rocket.yaml", "--code", "somewhere"])
            .code(2)
            .has("no pack in force is named `somewhere`; there are high_power_code, cfr_14_101");
    }
}

const CODE: &str = "\
pack: village_rules
about: What the village asks.
only_when_named: true
rules:
  village-rail:
    title: The rail is long
    before: flight
    for: flight
    require: flight.rail >= 90 in
    level: error
    finding: \"the rail is {flight.rail}\"
    why: The village has seen short ones.
    source: {club: the village}
    trials:
      - {with: {flight.rail: 80 in}, expect: broken}
      - {expect: held}
      - {without: flight.rail, expect: unproven}
asks:
  cows-away:
    ask: The cows are behind the second fence.
    moment: at the pad
    source: {club: the village}
  plugged-motor-shown:
    ask: The plug of the motor was shown to the mayor.
    moment: at the table
    when: rocket.motor.plugged
    source: {club: the village}
";

#[test]
fn the_checklist_asks_for_what_there_is() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    bench.write("bare.rocket.yaml", "holdpoint: 1\nname: T\n");
    let list = |name: &str| bench.run(&["checklist", name]).code(0).out.clone();
    bench
        .run(&["checklist", "a.rocket.yaml"])
        .has("Put the motor in K480, without its igniter. Fasten it: screw cap.");
    for step in ["Every link closed", "All arming switches off", "Battery ", "Close the release"] {
        assert!(!list("bare.rocket.yaml").contains(step), "{step}");
        assert_eq!(list("a.rocket.yaml").contains(step), step != "Close the release", "{step}");
    }
}

#[test]
fn what_a_code_asks_of_a_person_is_a_box_on_the_checklist_and_never_held() {
    let bench = Bench::new();
    bench.write("village.yaml", CODE);
    bench.write("a.rocket.yaml", with_codes("[village_rules]"));
    let asks = CODE.find("asks:").unwrap();
    bench.write("without.yaml", &CODE[..asks]);
    let counts = |pack: &str| {
        let run = bench.run(&["review", "a.rocket.yaml", "--rules", pack, "--format", "json"]);
        run.code(0).json()["designs"][0]["counts"].clone()
    };
    assert_eq!(counts("village.yaml"), counts("without.yaml"), "a clause that nobody ticked is not held");
    let list = |name: &str| bench.run(&["checklist", name, "--rules", "village.yaml"]);
    let run = list("a.rocket.yaml");
    run.code(0)
        .has("[ ] The cows are behind the second fence.")
        .has("[ ] The plug of the motor was shown to the mayor.")
        .has("source: club: the village");
    let at = |words: &str| run.out.find(words).unwrap_or_else(|| panic!("{words}"));
    assert!(at("── at the pad") < at("The cows"));
    assert!(at("The cows") < at("Last of all, put the motor's igniter in"));
    bench.write("b.rocket.yaml", with_codes("[village_rules]").replace("plugged: true", "plugged: false"));
    assert!(!list("b.rocket.yaml").out.contains("shown to the mayor"));
    bench.write("c.rocket.yaml", DUAL);
    let run = list("c.rocket.yaml");
    assert!(!run.out.contains("The cows"), "{run:?}");
    run.has("Nothing of village_rules is asked: not named under `codes`");
}

#[test]
fn a_pack_whose_condition_is_wrong_is_shown_at_its_bytes_and_judged() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    let review = |pack: String| {
        bench.write("p.yaml", pack);
        bench.run(&["review", "a.rocket.yaml", "--rules", "p.yaml", "--before", "flight"])
    };
    review(swap(CODE, "only_when_named: true", "applies_when: rocket.motor.length > 3"))
        .code(2)
        .has("p.yaml:3:37")
        .has("cannot compare a length and a plain number");
    review(swap(CODE, "only_when_named: true", "applies_when: rocket.motor.length"))
        .code(2)
        .has("expected a truth");
    review(swap(CODE, "only_when_named: true", "only_when_named: true\napplies_when: rocket.motor.plugged"))
        .code(2)
        .has("leave one of `applies_when` and `only_when_named` out");
    review(swap(CODE, "when: rocket.motor.plugged", "when: rocket.motor.pluged"))
        .code(2)
        .has("did you mean `plugged`?");
    review(swap(CODE, "moment: at the pad", "moment: at noon")).code(2).has("at noon");
}

#[test]
fn a_club_names_codes_in_its_settings() {
    let bench = Bench::new();
    bench.write("club/a.rocket.yaml", DUAL);
    bench.write("club/holdpoint.yaml", "settings: 1\ncodes: [student_launch_2025]\n");
    bench.write("b.rocket.yaml", DUAL);
    bench.run(&["review", "club/a.rocket.yaml", "--format", "concise"]).code(1).has(BROKEN);
    bench.run(&["review", "b.rocket.yaml"]).code(0);
    bench
        .run(&["review", "--show-settings", "club/a.rocket.yaml"])
        .code(0)
        .has("code student_launch_2025 (club/holdpoint.yaml, line 2)");
    bench.run(&["checklist", "club/a.rocket.yaml"]).code(0).has("student_launch_2025 asks for it");
    bench.write("club/holdpoint.yaml", "settings: 1\ncodes: [student_lunch_2025]\n");
    bench
        .run(&["review", "club/a.rocket.yaml", "--format", "concise"])
        .code(2)
        .has("club/holdpoint.yaml:2:9")
        .has("did you mean `student_launch_2025`?");
}

#[test]
fn a_passed_hold_point_records_nothing_for_codes_that_did_not_judge_it() {
    let bench = Bench::new();
    let reads_notes = CODE
        .replace("for: flight\n", "for: rocket\n")
        .replace("before: flight", "before: parts")
        .replace("require: flight.rail >= 90 in", "require: rocket.notes != \"lost\"")
        .replace("{flight.rail}", "{rocket.notes}");
    bench.write("village.yaml", &reads_notes);
    let recorded = |text: String| {
        bench.write("a.rocket.yaml", text);
        bench.run(&["pass", "parts", "--by", "A. Flyer", "--rules", "village.yaml", "a.rocket.yaml"]).code(0);
        let record = std::fs::read_to_string(bench.path().join("a.passed.yaml")).unwrap();
        std::fs::remove_file(bench.path().join("a.passed.yaml")).unwrap();
        record
    };
    assert!(!recorded(format!("{DUAL}\nnotes: kept\n")).contains("notes"));
    assert!(recorded(format!("{}notes: kept\n", with_codes("[village_rules]"))).contains("notes"));
}

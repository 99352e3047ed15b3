//! Keys that had another name in an earlier version: read under the new one, told, and renamed by `mend`.

use holdpoint::review::{CountsAs, Pass, PassedValue, Passes};
use holdpoint::rules::HoldPoint;
use holdpoint::vocabulary::Date;

use super::{Bench, DUAL, swap};

const DAY: &str = "2026-06-01";

/// The specimen with the dates under a key of an earlier version, and how many these are.
fn dated_by(key: &str) -> (String, usize) {
    (DUAL.replace("date: 2026-", &format!("{key}: 2026-")), DUAL.matches("date: 2026-").count())
}

#[test]
fn is_told_at_its_place_and_read_all_the_same() {
    let bench = Bench::new();
    bench.write("new.rocket.yaml", DUAL);
    let new = bench.run(&["review", "new.rocket.yaml", "--format", "json", "--today", DAY]);
    let new = new.code(0).json();
    // A program that writes YAML 1.1 makes `true` of `on`.
    for key in ["on", "true", "\"on\""] {
        let (old, count) = dated_by(key);
        bench.write("old.rocket.yaml", &old);
        let run = bench.run(&["review", "old.rocket.yaml", "--format", "json", "--today", DAY]);
        let read = run.code(2).json();
        let problems = read["problems"].as_array().unwrap();
        assert_eq!(problems.len(), count, "{problems:#?}");
        for problem in problems {
            assert_eq!(problem["message"], "`on` is now called `date`");
            let (start, end) = (
                problem["place"]["start_byte"].as_u64().unwrap(),
                problem["place"]["end_byte"].as_u64().unwrap(),
            );
            let place = usize::try_from(start).unwrap()..usize::try_from(end).unwrap();
            assert_eq!(&old[place], key);
        }
        assert_eq!(read["designs"][0]["counts"], new["designs"][0]["counts"]);
        assert_eq!(read["designs"][0]["verdict"], "hold");
        let text = bench.run(&["review", "old.rocket.yaml", "--today", DAY, "--color", "never"]);
        text.code(2).has("write `date`").has("holdpoint mend");
    }
}

#[test]
fn mend_renames_the_key_and_nothing_else() {
    for key in ["on", "true", "'on'"] {
        let bench = Bench::new();
        let (old, count) = dated_by(key);
        bench.write("a.rocket.yaml", &old);
        let look = bench.run(&["mend", "--diff", "a.rocket.yaml", "--today", DAY, "--color", "never"]);
        look.code(0).has(&format!("{count} values would be mended")).has("+  date: 2026-04-11");
        let run = bench.run(&["mend", "a.rocket.yaml", "--today", DAY, "--color", "never"]);
        run.code(0)
            .has(&format!("{count} values mended"))
            .has("`on` is now called `date`")
            .has("measured.date");
        assert_eq!(std::fs::read_to_string(bench.path().join("a.rocket.yaml")).unwrap(), DUAL);
    }
}

#[test]
fn mend_renames_and_then_makes_remedies() {
    let bench = Bench::new();
    let (old, _) = dated_by("on");
    let hole = |text: &str| {
        swap(text, "statics: {count: 3, diameter: 11/64 in", "statics: {count: 3, diameter: 1/16 in")
    };
    bench.write("a.rocket.yaml", hole(&old));
    bench.run(&["mend", "a.rocket.yaml", "--today", DAY]).code(0).has("bay-vent-area");
    bench.write("b.rocket.yaml", hole(DUAL));
    bench.run(&["mend", "b.rocket.yaml", "--today", DAY]).code(0);
    let read = |name: &str| std::fs::read_to_string(bench.path().join(name)).unwrap();
    assert_eq!(read("a.rocket.yaml"), read("b.rocket.yaml"));
}

#[test]
fn a_key_under_both_names_is_for_a_person() {
    let bench = Bench::new();
    for (one, other) in [("date", "on"), ("on", "date"), ("on", "true")] {
        let both = swap(
            DUAL,
            "measured:\n  date: 2026-04-11\n",
            &format!("measured:\n  {one}: 2026-04-11\n  {other}: 2026-04-12\n"),
        );
        bench.write("a.rocket.yaml", &both);
        let run = bench.run(&["mend", "a.rocket.yaml", "--today", DAY, "--color", "never"]);
        run.code(2).has("`on` is now called `date`").has("remove one of them").has("nothing was mended");
        assert_eq!(std::fs::read_to_string(bench.path().join("a.rocket.yaml")).unwrap(), both);
    }
}

#[test]
fn a_map_that_is_merged_into_two_is_renamed_once() {
    let bench = Bench::new();
    let shared = swap(
        DUAL,
        "drogue_fired: {date: 2026-04-04, joint: apogee_joint, charge: drogue_primary",
        "drogue_fired: &fired {on: 2026-04-04, joint: apogee_joint, charge: drogue_primary",
    );
    let shared = swap(&shared, "main_fired: {date: 2026-04-04,", "main_fired: {<<: *fired,");
    bench.write("a.rocket.yaml", &shared);
    bench.run(&["mend", "a.rocket.yaml", "--today", DAY]).code(0).has("1 value mended");
    let mended = std::fs::read_to_string(bench.path().join("a.rocket.yaml")).unwrap();
    assert_eq!(mended, swap(&shared, "{on: ", "{date: "));
}

#[test]
fn a_record_of_an_earlier_version_counts() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    let pass = ["pass", "flight", "--by", "A. Mentor", "a.rocket.yaml", "--today", DAY];
    bench.run(&pass).code(0);
    let record = std::fs::read_to_string(bench.path().join("a.passed.yaml")).unwrap();
    assert!(record.contains("  measured:\n") && record.contains(" date = 2026-04-11\n"), "{record}");
    for key in ["on", "true"] {
        bench.write("a.passed.yaml", swap(&record, "    date: ", &format!("    {key}: ")));
        bench
            .run(&["review", "a.rocket.yaml", "--today", DAY])
            .code(0)
            .has("passed on 2026-06-01 by A. Mentor");
    }
    bench.write("a.rocket.yaml", swap(DUAL, "date: 2026-04-11", "date: 2026-04-12"));
    bench.run(&["review", "a.rocket.yaml", "--today", DAY]).code(1).has("`measured.date` was 2026-04-11");
}

#[test]
fn a_value_that_was_recorded_under_a_former_name_is_found() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    for (then, code) in [("2026-04-11", 0), ("2026-04-10", 1)] {
        let value = PassedValue {
            key: "measured.on".to_owned(),
            written: then.to_owned(),
            counts_as: CountsAs::Whole(then.to_owned()),
        };
        let mut passes = Passes::default();
        passes.put(Pass::new(HoldPoint::Flight, Date::constant(2026, 5, 1), "A. Mentor", "00", vec![value]));
        bench.write("a.passed.yaml", passes.written());
        let run = bench.run(&["review", "a.rocket.yaml", "--today", DAY]);
        run.code(code).has("passed on 2026-05-01 by A. Mentor");
    }
}

#[test]
fn a_pack_of_an_earlier_version_is_told_and_judged() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    bench.write(
        "club.yaml",
        "pack: club\nabout: Ours.\nrules:\n  weighed-late:\n    title: It was weighed in summer\n    before: flight\n    \
         for: as_built\n    require: today - as_built.date <= 10 days\n    level: error\n    finding: too early\n    why: So it is.\n    \
         source: {club: ours}\n    trials:\n      - {on: measured, expect: broken}\n",
    );
    let run =
        bench.run(&["review", "--rules", "club.yaml", "a.rocket.yaml", "--today", DAY, "--color", "never"]);
    run.code(2).has("`on` is now called `subject`").has("weighed-late");
    let club = std::fs::read_to_string(bench.path().join("club.yaml")).unwrap();
    bench.write("club.yaml", club.replace("as_built.date", "as_built.on"));
    let run =
        bench.run(&["review", "--rules", "club.yaml", "a.rocket.yaml", "--today", DAY, "--color", "never"]);
    run.code(2).has("an as_built has no `on`").has("it is now called `date`");
}

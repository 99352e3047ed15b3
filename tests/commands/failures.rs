//! The failure table: who opens what is followed through battery, switch, altimeter, circuit, charge, joint and parachute.

use super::{Bench, DUAL, MOTOR, swap};

/// The lines of the table that say what opens, by what fails.
fn opens(bench: &Bench, fails: &str) -> String {
    let run = bench.run(&["failures", "a.rocket.yaml", "--today", "2025-09-01"]);
    let out = run.code(0).out.clone();
    let rest = out.split_once(fails).unwrap_or_else(|| panic!("{fails} is not in {out}")).1;
    let line = rest.lines().find(|line| line.trim_start().starts_with("opens:")).unwrap();
    line.trim_start().trim_start_matches("opens:").trim().to_owned()
}

fn bench_with(design: &str) -> Bench {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", design);
    bench
}

#[test]
fn the_backup_opens_what_the_first_altimeter_does_not() {
    let bench = bench_with(DUAL);
    let planned = opens(&bench, "nothing: as planned");
    assert!(planned.starts_with("drogue at ") && planned.contains("main at "), "{planned}");
    // The backup fires later at the top and lower down, as its own settings say.
    let without_first = opens(&bench, "altimeter primary");
    assert!(without_first.contains("drogue at ") && without_first.contains("main at "), "{without_first}");
    assert_ne!(planned, without_first);
    assert!(without_first.contains("the first of them opens at "), "{without_first}");
    assert_eq!(opens(&bench, "altimeter backup"), "as planned");
    assert_eq!(opens(&bench, "all at once"), "nothing; it comes in nose first");
}

#[test]
fn one_battery_for_both_altimeters_is_one_failure_for_all() {
    let bench = bench_with(&swap(DUAL, "battery: cell_b", "battery: cell_a"));
    assert_eq!(opens(&bench, "battery cell_a"), "nothing; it comes in nose first");
}

#[test]
fn a_release_that_sticks_leaves_the_drogue_alone() {
    let main = "main: {packed_in: payload, opens_at: main,";
    let held = "main: {packed_in: booster, release: {height: 400 ft, tethered: true, tried: true}, opens_at: apogee,";
    let bench = bench_with(&swap(DUAL, main, held));
    let planned = opens(&bench, "nothing: as planned");
    assert!(planned.ends_with("main at 400 ft"), "{planned}");
    let stuck = opens(&bench, "main.release");
    assert!(stuck.starts_with("drogue at ") && !stuck.contains("main"), "{stuck}");
}

#[test]
fn a_motor_without_its_charge_comes_in_whole() {
    let bench = bench_with(MOTOR);
    assert_eq!(opens(&bench, "the motor's charge"), "nothing; it comes in nose first");
    let parachute = opens(&bench, "parachute main");
    assert_eq!(parachute, "nothing; it falls in pieces");
}

#[test]
fn what_is_not_written_down_is_not_told() {
    let bench = bench_with(&swap(DUAL, "    parts_at: main\n", ""));
    let run = bench.run(&["failures", "a.rocket.yaml"]);
    run.code(1).has("It is not known what opens what").has("parts_at");
    bench.run(&["failures", "none.rocket.yaml"]).code(2);
}

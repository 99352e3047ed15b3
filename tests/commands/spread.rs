//! How sure each number is: `holdpoint review --spread`.

use serde_json::Value as Json;

use super::designs::examples;
use super::{Bench, DUAL, MOTOR, Run, swap};

/// A pack that says of every field that the built-in packs know how far it may be off: by nothing, unless said otherwise.
fn pack(drag: &str, wind: &str, mass: &str) -> String {
    let nothing = [
        "motor.loaded_mass",
        "motor.propellant_mass",
        "section.mass",
        "addition.mass",
        "parachute.mass",
        "harness.mass",
        "as_built.mass_without_motor",
        "parachute.drag_coefficient",
        "charge.powder",
        "charge.free_volume",
    ];
    let mut text = String::from("pack: ours\nabout: How far ours may be off.\nuncertainties:\n");
    let mut add = |field: &str, amount: &str| {
        let name = field.replace(['.', '_'], "-");
        text += &format!("  {name}: {{field: {field}, {amount}, doc: X, source: {{club: ours}}}}\n");
    };
    for field in nothing {
        add(field, "share: 0");
    }
    add("as_built.mass_with_motor", &format!("share: {mass}"));
    add("as_built.balance_point", "within: 0 mm");
    add("motor.delay", "within: 0 s");
    add("motor.impulse_factor", "where_not_written: 1, share: 0");
    add("flight.drag_factor", &format!("where_not_written: 1, share: {drag}"));
    add("flight.wind", &format!("share: {wind}"));
    add("flight.rail_angle", "within: 0 deg");
    add("flight.temperature", "within: 0 deltaC");
    add("vent.diameter", "within: 0 mm");
    text
}

fn spread(design: &str, rules: &str, samples: u32) -> Json {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", design);
    bench.write("ours.yaml", rules);
    let samples = format!("--spread={samples}");
    let run = bench.run(&["review", "a.rocket.yaml", "--rules", "ours.yaml", "--format", "json", &samples]);
    assert_eq!(run.json()["problems"], Json::Array(Vec::new()), "{}", run.out);
    run.json()["designs"][0]["spread"].clone()
}

fn quantity<'s>(spread: &'s Json, name: &str) -> &'s Json {
    let all = spread["quantities"].as_array().unwrap();
    all.iter().find(|one| one["name"] == name).unwrap_or_else(|| panic!("no {name} in {spread:#}"))
}

fn number(of: &Json, key: &str) -> f64 {
    of[key].as_f64().unwrap_or_else(|| panic!("{key} of {of}"))
}

/// The designs of `examples/` that are whole, and the specimens.
fn designs() -> Vec<String> {
    let read = |name: String| {
        std::fs::read_to_string(format!("{}/examples/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
    };
    let whole = examples().into_iter().filter(|name| !name.starts_with("first-draft"));
    whole.map(read).chain([DUAL.to_owned(), MOTOR.to_owned()]).collect()
}

#[test]
fn with_nothing_uncertain_every_percentile_is_the_nominal() {
    for design in designs() {
        let found = spread(&design, &pack("0", "0", "0"), 40);
        let inputs = found["inputs"].as_array().unwrap();
        assert!(inputs.iter().all(|input| input["pack"].is_null()), "{inputs:?}");
        if !inputs.is_empty() {
            continue;
        }
        let quantities = found["quantities"].as_array().unwrap();
        assert!(quantities.len() > 8, "{found:#}");
        for one in quantities {
            for key in ["percentile_5", "percentile_50", "percentile_95", "at_least", "at_most"] {
                assert_eq!(one[key], one["nominal"], "{one}");
            }
            assert_eq!(one["drivers"], Json::Array(Vec::new()));
        }
    }
}

/// The weighed mass lies evenly within its limits: of ±2 %, one in twenty lies below the nominal less 1.8 %. Source: the uniform distribution.
#[test]
fn percentiles_of_an_even_value_are_those_of_the_closed_form() {
    let found = spread(DUAL, &pack("0", "0", "2 %"), 1000);
    assert_eq!(found["inputs"].as_array().unwrap().len(), 1);
    let mass = quantity(&found, "mass_at_ignition");
    let nominal = number(mass, "nominal");
    for (key, due) in [("percentile_5", 0.982), ("percentile_50", 1.0), ("percentile_95", 1.018)] {
        assert!((number(mass, key) / nominal - due).abs() < 1e-4, "{mass}");
    }
    assert_eq!(mass["drivers"][0]["key"], "measured.mass_with_motor");
    assert!(number(&mass["drivers"][0], "share") > 0.98);
    assert!(number(mass, "at_least") >= 0.98 * nominal && number(mass, "at_most") <= 1.02 * nominal);
    // What does not rest on it is not spread.
    let drift = quantity(&found, "landing_speed");
    assert_ne!(drift["percentile_5"], drift["percentile_95"]);
}

#[test]
fn more_that_is_uncertain_never_narrows_a_band() {
    for design in designs() {
        let widths = [("5 %", "1 %"), ("10 %", "2 %"), ("20 %", "4 %")].map(|(share, mass)| {
            let found = spread(&design, &pack(share, share, mass), 100);
            let all = found["quantities"].as_array().unwrap().clone();
            let width = |one: &Json| number(one, "percentile_95") - number(one, "percentile_5");
            all.iter().map(|one| (one["name"].clone(), width(one))).collect::<Vec<_>>()
        });
        let [narrow, middle, wide] = &widths;
        for ((name, narrow), ((_, middle), (_, wide))) in narrow.iter().zip(middle.iter().zip(wide)) {
            assert!(narrow <= middle && middle <= wide, "{name}: {narrow} {middle} {wide}");
        }
        let apogee = |list: &[(Json, f64)]| list.iter().find(|(name, _)| name == "apogee").unwrap().1;
        assert!(apogee(wide) > 1.5 * apogee(middle) && apogee(middle) > 1.5 * apogee(narrow));
    }
}

#[test]
fn the_same_bytes_come_each_time_and_on_any_number_of_threads() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    for format in ["text", "json", "html"] {
        let arguments =
            ["review", "a.rocket.yaml", "--spread=60", "--format", format, "--today", "2026-06-01"];
        let run = |threads| bench.run_with(&arguments, None, &[("RAYON_NUM_THREADS", threads)]);
        let first = run("1");
        let asked = if format == "json" { "\"samples\": 60" } else { "how sure: 60 flights" };
        assert!(first.out.contains(asked), "{}", first.out);
        assert_eq!(first, run("1"));
        assert_eq!(first, run("3"), "{format}");
    }
}

#[test]
fn nothing_is_said_of_it_where_it_is_not_asked_for() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    let run = |more: &[&str]| bench.run(&[&["review", "a.rocket.yaml"], more].concat());
    assert!(!run(&[]).out.contains("how sure"));
    assert!(run(&["--format", "json"]).json()["designs"][0].get("spread").is_none());
    run(&["--spread"]).has("how sure: 1000 flights");
    run(&["--spread=7"]).code(2).has("7 is not in 20..=100000");
}

/// A rule that compares the apogee with its own middle holds in half of the flights.
#[test]
fn a_rule_is_told_how_often_it_does_not_hold_and_what_it_goes_with() {
    let found = spread(DUAL, &pack("10 %", "0", "0"), 400);
    let apogee = quantity(&found, "apogee");
    let limit = format!("{} {}", number(apogee, "percentile_50"), apogee["unit"].as_str().unwrap());
    let rules = format!(
        "{}rules:\n  low:\n    title: T\n    before: flight\n    for: rocket\n    require: rocket.apogee <= {limit}\n    \
         level: warning\n    finding: F\n    why: W\n    source: {{club: ours}}\n  written:\n    title: T\n    before: flight\n    \
         for: rocket\n    require: rocket.apogee < {limit}\n    level: warning\n    as_written: true\n    finding: F\n    why: W\n    \
         source: {{club: ours}}\n",
        pack("10 %", "0", "0")
    );
    let found = spread(DUAL, &rules, 400);
    let all = found["rules"].as_array().unwrap();
    let low = all.iter().find(|rule| rule["rule"] == "low").unwrap();
    assert_eq!(low["broken"], 200, "{low}");
    assert_eq!(low["unproven"], 0);
    assert!((15..45).contains(&low["failed_by_chance"].as_u64().unwrap()), "{low}");
    assert_eq!(low["drivers"][0]["key"], "flight.drag_factor");
    // What only asks that figures agree is left aside.
    assert!(all.iter().all(|rule| rule["rule"] != "written"));
}

#[test]
fn a_tolerance_that_is_written_counts_before_a_limit_of_a_pack() {
    let design = swap(DUAL, "mass_with_motor: 14 lb 8 oz", "mass_with_motor: 14.5 lb ± 0.1 lb");
    let found = spread(&design, &pack("0", "0", "50 %"), 40);
    let input = &found["inputs"][0];
    assert_eq!((&input["key"], &input["pack"]), (&"measured.mass_with_motor".into(), &Json::Null));
    assert!((number(input, "low") - 14.4).abs() < 1e-9 && (number(input, "high") - 14.6).abs() < 1e-9);
}

/// What a pack takes for a value that is not written is what the program takes.
#[test]
fn what_is_not_written_is_taken_as_the_program_takes_it() {
    let apogee = |design: &str| {
        let bench = Bench::new();
        bench.write("a.rocket.yaml", design);
        bench.run(&["explain", "a.rocket.yaml", "apogee", "--format", "json"]).json()["value"].clone()
    };
    let written = |drag: &str, impulse: &str| {
        let design = swap(
            DUAL,
            "  site_elevation:",
            &format!("  drag_factor: {drag}\n  rail_angle: 0 deg\n  site_elevation:"),
        );
        swap(&design, "  total_impulse:", &format!("  impulse_factor: {impulse}\n  total_impulse:"))
    };
    let plain = apogee(DUAL).as_f64().unwrap();
    let of = |drag, impulse| apogee(&written(drag, impulse)).as_f64().unwrap();
    assert_eq!(of("1", "1"), plain);
    assert!(of("1.1", "1") < 0.99 * plain && of("1.1", "1") > 0.9 * plain);
    assert!(of("1", "1.03") > 1.02 * plain && of("1", "1.03") < 1.08 * plain);
}

/// A pack with one uncertainty.
fn wrong(uncertainty: &str) -> Run {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    bench.write("p.yaml", format!("pack: ours\nabout: A.\nuncertainties:\n  one: {{{uncertainty}}}\n"));
    bench.run(&["review", "a.rocket.yaml", "--rules", "p.yaml"])
}

#[test]
fn what_is_wrong_with_an_uncertainty_is_told_when_the_pack_is_loaded() {
    let rest = "doc: D, source: {club: ours}";
    for (uncertainty, told) in [
        ("field: motr.delay, within: 1 s", vec!["`motr` is not a type of part", "did you mean `motor`?"]),
        ("field: motor.dely, within: 1 s", vec!["a motor has no `dely`", "did you mean `delay`?"]),
        ("field: delay, within: 1 s", vec!["`delay` is no field of a type of part"]),
        ("field: thread.major_diameter, within: 1 mm", vec!["`thread` is not a type of part"]),
        ("field: section.tube.length, within: 1 mm", vec!["write `tube.length`"]),
        ("field: motor.plugged, share: 1 %", vec!["`plugged` is a truth, and cannot be off by a little"]),
        ("field: rocket.apogee, share: 1 %", vec!["`apogee` is worked out and cannot be set"]),
        ("field: motor.delay, within: 1 mm", vec!["expected a time, found a length"]),
        ("field: motor.delay, share: 1 s", vec!["expected a plain number, found a time"]),
        ("field: motor.delay", vec!["write either `share`"]),
        ("field: motor.delay, share: 1 %, within: 1 s", vec!["write either `share`"]),
        ("field: as_built.balance_point, share: 1 %", vec!["a share of a place says nothing"]),
        ("field: flight.temperature, share: 1 %", vec!["a share of a temperature says nothing"]),
        ("field: flight.temperature, within: 5 degC", vec!["expected a difference of temperature"]),
        ("field: flight.wind, share: 1 %, where_not_written: 2 m/s", vec!["it is asked for, not assumed"]),
        ("field: flight.drag_factor, share: 1 %, where_not_written: 1 m", vec!["expected a plain number"]),
        ("field: section.mass, share: 1 %, along: [tub.mass]", vec!["`tub` is not a type of part"]),
    ] {
        let run = wrong(&format!("{uncertainty}, {rest}"));
        run.code(2).has("p.yaml");
        for words in told {
            run.has(words);
        }
    }
    wrong("field: motor.delay, within: 1 s, doc: D").code(2).has("nothing says where `one` comes from");
    // The place is underlined.
    wrong(&format!("field: motor.dely, within: 1 s, {rest}")).has("p.yaml:4:22");
}

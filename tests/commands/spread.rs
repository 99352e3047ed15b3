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
    add("flight.wind_veer", "where_not_written: 0 deg, within: 0 deg");
    add("vent.diameter", "within: 0 mm");
    add("rocket.pressure_shift", "where_not_written: 0 mm, within: 0 mm");
    add("shear_pins.strength_in_band", "where_not_written: 0.5, within: 0");
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

#[test]
fn one_quantity_is_told_with_its_percentiles_its_shape_and_what_it_goes_with() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    let told = bench.run(&["explain", "a.rocket.yaml", "apogee", "--spread=200"]);
    told.code(0)
        .has("how sure: 200 flights")
        .has("1 in 20 below ")
        .has("half below ")
        .has("goes with motor.impulse_factor ")
        .has(" %, flight.drag_factor ")
        .has("may be off ±10 %: flight.drag_factor");
    let bars = told.out.lines().find(|line| line.contains('│')).unwrap();
    assert!(bars.contains('█') && bars.split('│').nth(1).unwrap().chars().count() == 24, "{bars}");
    let json = |more: &[&str]| {
        bench.run(&[&["explain", "a.rocket.yaml", "apogee", "--format", "json"], more].concat()).json()
    };
    assert!(json(&[]).get("spread").is_none());
    let spread = &json(&["--spread=200"])["spread"];
    let one = &spread["quantities"][0];
    assert!(number(one, "percentile_5") < number(one, "percentile_50"));
    let drivers = one["drivers"].as_array().unwrap();
    assert!((1..=3).contains(&drivers.len()) && number(&drivers[0], "share") > 0.3, "{one}");
    // A part of a quantity that nothing moves.
    bench
        .run(&["explain", "a.rocket.yaml", "rocket.length", "--spread=20"])
        .code(0)
        .has("nothing that is uncertain moves it");
}

#[test]
fn one_rule_is_told_how_often_it_holds() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    let told = bench.run(&["explain", "a.rocket.yaml", "stable-off-the-rail", "--spread=100"]);
    told.code(0).has("how sure: 100 flights").has("may be off ");
    bench.run(&["explain", "stable-off-the-rail", "--spread"]).code(2).has("--spread asks about a design");
}

/// The rocket climbs to 5597 ft as drawn, and to less than 5300 ft in one flight of twenty: a ceiling of 5500 ft is kept in some of them.
#[test]
fn a_finding_says_in_how_many_flights_its_rule_holds() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", swap(DUAL, "  ceiling: 8000 ft", "  ceiling: 5500 ft"));
    let review =
        |format: &str| bench.run(&["review", "a.rocket.yaml", "--spread=100", "--format", format]).out;
    let report: Json = serde_json::from_str(&review("json")).unwrap();
    let rules = report["designs"][0]["spread"]["rules"].as_array().unwrap();
    let low = rules.iter().find(|rule| rule["rule"] == "apogee-under-ceiling").unwrap();
    let held = 100 - low["broken"].as_u64().unwrap();
    assert!((10..90).contains(&held), "{low}");
    let due = format!("holds in {held} of 100 flights");
    // Others are broken in every flight: what is said stands with its own finding.
    let text = review("text");
    let (_, finding) = text.split_once("\nerror apogee-under-ceiling\n").unwrap_or_else(|| panic!("{text}"));
    assert!(finding[finding.find("holds in ").unwrap()..].starts_with(&due), "{due}: {finding}");
    let page = review("html");
    let is_told = |finding: &&str| finding.contains(">apogee-under-ceiling<");
    let finding = page.split("<details class=\"finding").skip(1).find(is_told).unwrap();
    assert!(finding.split("</details>").next().unwrap().contains(&due), "{due}: {finding}");
    assert!(!bench.run(&["review", "a.rocket.yaml"]).out.contains("holds in "));
}

#[test]
fn the_page_has_bands_and_areas_only_where_a_spread_is_asked_for() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    let page =
        |more: &[&str]| bench.run(&[&["review", "a.rocket.yaml", "--format", "html"], more].concat()).out;
    let (plain, sure) = (page(&[]), page(&["--spread=60"]));
    assert_eq!(plain.matches("class=\"band\"").count() + plain.matches("class=\"area ").count(), 0);
    // Height, speed and the whole flight; as planned, all at the top, main shut, nothing opens.
    assert_eq!(sure.matches("class=\"band\"").count(), 3);
    assert_eq!(sure.matches("class=\"area ").count(), 4);
    assert!(sure.contains("Where nine in ten land"));
}

/// As planned and upright, a place lies along the wind but for the side from which that comes: the area is longer than wide, and holds the
/// nominal places. With nothing uncertain it is the line between them.
#[test]
fn the_area_where_nine_in_ten_land_lies_around_the_nominal_places() {
    let found = spread(DUAL, &pack("10 %", "30 %", "2 %"), 400);
    let planned = &found["landing_areas"][0];
    assert_eq!(planned["case"], "as planned");
    assert!(number(planned, "half_length") > number(planned, "half_width"), "{planned}");
    assert!(number(planned, "half_width") < 1.0, "{planned}");
    let sure = spread(DUAL, &pack("0", "0", "0"), 40);
    let line = &sure["landing_areas"][0];
    assert!(
        number(line, "half_width") < 1.0 && number(line, "half_length") < number(planned, "half_length"),
        "{line}"
    );
}

#[test]
fn the_papers_tell_how_sure_they_are_where_it_is_asked_for() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    let papers = |more: &[&str]| {
        bench.run(
            &[&["packet", "a.rocket.yaml", "--format", "markdown", "--today", "2026-06-01"], more].concat(),
        )
    };
    assert!(!papers(&[]).code(0).out.contains("How sure"));
    let sure = papers(&["--spread=40"]);
    sure.code(0)
        .has("## How sure")
        .has("1 in 20 below")
        .has("Where nine in ten land")
        .has("What is uncertain, and how far");
    bench.write("papers.md", &sure.out);
    bench.run(&["packet", "a.rocket.yaml", "--verify", "papers.md", "--today", "2026-06-01"]).code(0);
}

/// A rule of ours that the apogee stays below a limit, in a share of flights.
fn sure(limit: &str, share: &str, trials: &str) -> String {
    format!(
        "pack: ours\nabout: A.\nrules:\n  low:\n    title: The rocket stays low\n    before: flight\n    for: rocket\n    \
         require: rocket.apogee <= {limit}\n    level: error\n    confidence: {share}\n    finding: \"It climbs to {{rocket.apogee}}.\"\n    \
         why: W.\n    source: {{club: ours}}\n{trials}"
    )
}

#[test]
fn a_rule_may_ask_to_hold_in_a_share_of_flights() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    let outcome = |limit: &str, share: &str| {
        bench.write("ours.yaml", sure(limit, share, ""));
        let report =
            bench.run(&["review", "a.rocket.yaml", "--rules", "ours.yaml", "--format", "json"]).json();
        let all = report["designs"][0]["findings"].as_array().unwrap().clone();
        all.into_iter().find(|finding| finding["rule"] == "low")
    };
    // It climbs to 5597 ft: half of the flights stay below that, and nearly all below 6500 ft.
    let tight = outcome("5600 ft", "95 %").unwrap();
    assert_eq!(tight["outcome"], "tight");
    let message = tight["message"].as_str().unwrap();
    assert!(
        message.contains(" of 200 flights") && message.contains("95 % is asked: It climbs to "),
        "{message}"
    );
    assert!(outcome("5600 ft", "30 %").is_none());
    assert!(outcome("6500 ft", "95 %").is_none());
    assert_eq!(outcome("5000 ft", "95 %").unwrap()["outcome"], "broken");
    bench.write("ours.yaml", sure("5600 ft", "95 %", ""));
    bench.run(&["explain", "low", "--rules", "ours.yaml"]).code(0).has("in 95 % of flights");
    bench
        .run(&["explain", "a.rocket.yaml", "low", "--rules", "ours.yaml"])
        .has("tight")
        .has("of 200 flights");
    for (share, told) in
        [("100 %", "a confidence is a share below 1"), ("-5 %", "is not more than zero"), ("1 m", "number")]
    {
        bench.write("ours.yaml", sure("5600 ft", share, ""));
        bench.run(&["review", "a.rocket.yaml", "--rules", "ours.yaml"]).code(2).has("ours.yaml:10").has(told);
    }
}

#[test]
fn a_rule_that_asks_for_a_share_is_tried_by_it() {
    let bench = Bench::new();
    let trials = "    trials:\n      - {expect: tight}\n";
    bench.write("p/ours.yaml", sure("5600 ft", "95 %", trials));
    let run = bench.run(&["trial", "p"]);
    assert!(!run.all().contains("came out"), "{}", run.all());
}

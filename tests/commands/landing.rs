//! The wind and the side of the rail, from a design file to the findings.

use super::{Bench, DUAL, swap};

fn with(lines: &str) -> String {
    swap(DUAL, "  wind: 8 mph\n", &format!("  wind: 8 mph\n{lines}"))
}

/// The rules of the findings of a design.
fn found(design: &str) -> Vec<String> {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", design);
    let report = bench.run(&["review", "--format", "json", "--today", "2025-09-01", "a.rocket.yaml"]).json();
    let findings = report["designs"][0]["findings"].as_array().unwrap().iter();
    findings.map(|one| one["rule"].as_str().unwrap().to_owned()).collect()
}

fn tells(design: &str, rule: &str) -> bool {
    found(design).iter().any(|one| one == rule)
}

#[test]
fn heights_of_winds_that_do_not_rise_are_refused_at_their_place() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", with("  winds_aloft: [[3000 ft, 12 mph], [1000 ft, 9 mph]]\n"));
    bench.run(&["review", "a.rocket.yaml"]).code(2).has("does not come after the last").has("1000 ft");
    bench.write("a.rocket.yaml", with("  winds_aloft: [[1000 ft, 12 lb], [3000 ft, 9 mph]]\n"));
    bench.run(&["review", "a.rocket.yaml"]).code(2).has("12 lb");
}

#[test]
fn a_forecast_is_judged_in_the_place_of_the_wind_at_the_pad() {
    assert!(!tells(&with(""), "drift-within-field"));
    let strong = with("  winds_aloft: [[1000 ft, 20 mph], [6000 ft, 40 mph]]\n");
    assert!(tells(&strong, "drift-within-field"));
    let bench = Bench::new();
    bench.write("a.rocket.yaml", strong);
    bench.run(&["review", "a.rocket.yaml"]).has("at the ground and the winds aloft above the rocket drifts");
    bench.run(&["explain", "a.rocket.yaml", "drift"]).code(0).has("mean wind").has("by hand");
}

/// A rail that leans by 12° into the wind lands within the field, and with it far beyond.
#[test]
fn the_side_to_which_the_rail_leans_decides() {
    let leaning = |azimuth: &str| with(&format!("  rail_angle: 3°\n  rail_azimuth: {azimuth}\n"));
    let within = ["lean-with-wind-within-field", "landing-within-field", "lean-either-way-within-field"];
    for azimuth in ["0°", "180°", "90°"] {
        let rules = found(&leaning(azimuth));
        assert!(rules.iter().all(|rule| !within.contains(&rule.as_str())), "{azimuth}: {rules:?}");
    }
    let far = with("  rail_angle: 12°\n  rail_azimuth: 180°\n");
    assert!(tells(&far, "lean-with-wind-within-field") && !tells(&far, "landing-within-field"));
    // Nobody has said to which side: a warning, and only as far as it matters.
    assert!(tells(&with("  rail_angle: 12°\n"), "lean-either-way-within-field"));
}

/// 19° of lean in 2 mph: the highest point is far out, and the drift brings it back by little.
#[test]
fn a_lean_that_no_drift_brings_back_holds() {
    let design = swap(DUAL, "  wind: 8 mph\n", "  wind: 2 mph\n  rail_angle: 19°\n");
    let rules = found(&design);
    for due in ["landing-within-field", "unopened-within-field", "lean-either-way-within-field"] {
        assert!(rules.iter().any(|rule| rule == due), "{due} in {rules:?}");
    }
}

#[test]
fn people_under_the_fall_are_told_of() {
    let people = |side: &str| {
        swap(DUAL, "pad: {people_distance", &format!("pad: {{people_azimuth: {side}, people_distance"))
    };
    assert!(tells(&people("10°"), "unopened-not-on-people"));
    assert!(!tells(&people("120°"), "unopened-not-on-people"));
}

//! A whole design through the program against figures worked out apart from it.

use std::process::Command;

/// The JSON that `explain` gives for a quantity of a design.
fn explained(design: &str, quantity: &str) -> serde_json::Value {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("dotterel.rocket.yaml");
    std::fs::write(&path, design).unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_holdpoint"))
        .args(["explain", path.to_str().unwrap(), quantity, "--format", "json"])
        .output()
        .unwrap();
    serde_json::from_slice(&output.stdout).unwrap()
}

/// A tangent ogive of 20 in on a 4 in body with three fins (root 10, tip 3, span 5, sweep 5 in) whose leading edge is at 60 in.
const OGIVE_AND_FINS: &str = "\
holdpoint: 1
sections:
  nose: {nose_cone: {shape: tangent ogive, length: 20 in, outer_diameter: 4 in}}
  booster:
    tube: {length: 50 in, outer_diameter: 4 in, inner_diameter: 3.9 in}
    fins: {count: 3, root_chord: 10 in, tip_chord: 3 in, span: 5 in, sweep: 5 in, aft_end: flush with aft}
measured: {balance_point: 15 in from aft}
";

/// Source: J. S. and J. A. Barrowman's equations of 1966 evaluated apart from this program for the same shape (case B2 of the
/// table beside this test: 55.151134 in from the nose tip, tolerance 1e-4).
#[test]
fn centre_of_pressure_of_a_written_down_rocket() {
    let answer = explained(OGIVE_AND_FINS, "centre_of_pressure");
    assert_eq!(answer["unit"], "in");
    let found = answer["value"].as_f64().unwrap();
    assert!((found - 55.151_134).abs() < 1e-4, "{found}");
}

/// Source: definition of the static margin: (55.151134 − 55) / 4.
#[test]
fn static_margin_of_a_written_down_rocket() {
    let found = explained(OGIVE_AND_FINS, "stability")["value"].as_f64().unwrap();
    assert!((found - 0.037_783_5).abs() < 1e-4, "{found}");
}

/// A canopy of 2.4384 m, drag coefficient 0.80, 10 kg that come down once 1 kg of propellant is burnt, at sea level: 6.54655 m/s.
/// Source: v = √(2 m g₀/(ρ Cd S)) of T. W. Knacke's manual evaluated apart from this program.
#[test]
fn rate_of_descent_of_a_written_down_rocket() {
    let design = format!(
        "{OGIVE_AND_FINS}recovery: {{parachutes: {{main: {{packed_in: booster, diameter: 2438.4 mm, drag_coefficient: 0.8}}}}}}
motor: {{designation: K1, propellant_mass: 1 kg}}
flight: {{site_elevation: 0 m}}
"
    )
    .replace("measured: {", "measured: {mass_with_motor: 11 kg, ");
    let found = explained(&design, "main.descent_rate")["si"]["value"].as_f64().unwrap();
    assert!((found / 6.546_55 - 1.0).abs() < 1e-4, "{found}");
}

/// A solid canopy that opens in the air of the field: 10 kg without the propellant, 2.4384 m, drag coefficient 0.80, at 25 m/s, sea level.
/// Source: Pflanz's method in closed form (T. W. Knacke's manual) evaluated apart from this program with the limits of the pack, C_x 1.8
/// and 4 diameters to fill: drag area 3.735853 m2, q = 1.225 x 625/2 = 382.8125 Pa, bound 2574.236 N, t_f = 0.390144 s,
/// A = 20/(3.735853 x 1.225 x 25 x 0.390144) = 0.448063, t* = (1.5 A)^(1/3) = 0.875945, X1 = (4/9) t*^2 = 0.341013, F = 877.848 N.
#[test]
fn opening_force_of_a_written_down_rocket() {
    let design = format!(
        "{OGIVE_AND_FINS}recovery: {{parachutes: {{main: {{packed_in: booster, opens_at: main, diameter: 2438.4 mm, drag_coefficient: 0.8, speed_at_opening: 25 m/s}}}}}}
motor: {{designation: K1, propellant_mass: 1 kg}}
flight: {{site_elevation: 0 m}}
"
    )
    .replace("measured: {", "measured: {mass_with_motor: 11 kg, ");
    let newtons = |quantity: &str| explained(&design, quantity)["si"]["value"].as_f64().unwrap();
    let bound = newtons("main.opening_bound");
    assert!((bound / 2574.236 - 1.0).abs() < 1e-4, "{bound}");
    let force = newtons("main.opening_force");
    assert!((force / 877.848 - 1.0).abs() < 2e-4, "{force}");
}

//! A whole design through the program against figures worked out apart from it.

use std::process::Command;

/// The JSON that `explain` gives for a quantity of a design.
pub(crate) fn explained(design: &str, quantity: &str) -> serde_json::Value {
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
flight: {{site_elevation: 0 m, temperature: 15 degC}}
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

/// The first rocket of the reference ascents, written down as a builder would: mass ready to fly and propellant, a steady drag coefficient,
/// a rail that leaves the upper button 1.05 m, the standard day at sea level, no wind. The case is `wren` of `data/ascent_reference.csv`
/// (SciPy's DOP853, relative tolerance 1e-10); 0.05 % is what is promised.
const WREN: &str = "\
holdpoint: 1
drag: {coefficient: 0.55}
sections:
  nose: {nose_cone: {shape: cone, length: 200 mm, outer_diameter: 54 mm}}
  booster:
    tube: {length: 1000 mm, outer_diameter: 54 mm, inner_diameter: 51 mm}
    rail_buttons:
      fore: {at: 450 mm from aft}
      aft: {at: 150 mm from aft}
motor:
  designation: H180
  total_impulse: 228.9 N*s
  propellant_mass: 125 g
  thrust_curve: [[0 s, 0 N], [0.04 s, 190 N], [0.3 s, 205 N], [0.9 s, 185 N], [1.2 s, 120 N], [1.35 s, 20 N], [1.4 s, 0 N]]
flight: {rail: 1500 mm, site_elevation: 0 m, temperature: 15 degC, wind: 0 m/s}
measured: {mass_with_motor: 1225 g}
";

#[test]
fn the_ascent_of_a_written_down_rocket() {
    let row = crate::sheet::rows("ascent_reference.csv")
        .into_iter()
        .find(|row| row.text("rocket") == "wren" && row.number("wind_m_s") == 0.0)
        .unwrap();
    for (quantity, head) in [
        ("apogee", "apogee_m"),
        ("top_speed", "top_speed_m_s"),
        ("rail_exit_speed", "exit_speed_m_s"),
        ("top_mach", "top_mach"),
        ("peak_dynamic_pressure", "peak_pressure_Pa"),
        ("burnout_height", "burnout_m"),
        ("apogee_time", "apogee_s"),
        ("drag_deceleration", "peak_felt_deceleration_m_s2"),
    ] {
        let found = explained(WREN, quantity)["si"]["value"].as_f64().unwrap();
        assert!((found / row.number(head) - 1.0).abs() < 5e-4, "{quantity}: {found}");
    }
}

/// Balance by the parts against moments taken by hand: a cone whose silhouette balances at 2/3 of its length, a tube at its middle, the
/// motor at its own. 0.3 kg at 0.2 m, 0.5 kg at 0.8 m, 0.24 kg at 1.2 m: 0.748 / 1.04 = 0.719230769 m from the tip. Source: statics.
#[test]
fn balance_by_parts_of_a_written_down_rocket() {
    let design = "\
holdpoint: 1
sections:
  nose: {nose_cone: {shape: cone, length: 300 mm, outer_diameter: 54 mm, mass: 300 g}, mass: 300 g}
  booster:
    tube: {length: 1000 mm, outer_diameter: 54 mm, inner_diameter: 51 mm, mass: 500 g}
    motor_mount: {tube: {length: 200 mm, outer_diameter: 31 mm, inner_diameter: 29 mm}, aft_end: flush with aft, rings: none}
    mass: 500 g
recovery: {parachutes: none, harnesses: none}
motor: {designation: H1, length: 200 mm, loaded_mass: 240 g}
";
    let found = explained(design, "balance_of_parts")["si"]["value"].as_f64().unwrap();
    assert!((found / 0.719_230_769 - 1.0).abs() < 1e-6, "{found}");
}

/// A nose of 1 kg before a body of 2 kg with the motor of 0.6 kg, a parachute of 0.2 kg and a cord of 0.1 kg that both lie in the body. Each is
/// 500 mm and 1500 mm long, so that they balance at 250 mm and at 1250 mm from the tip, and the motor of 300 mm at 1850 mm.
const TIED: &str = "\
holdpoint: 1
sections:
  nose:
    nose_cone: {shape: cone, length: 500 mm, outer_diameter: 75 mm, shoulder: {length: 75 mm, outer_diameter: 72 mm}}
    balance: 250 mm from fore
    mass: 1 kg
  booster:
    tube: {length: 1500 mm, outer_diameter: 75 mm, inner_diameter: 72 mm}
    motor_mount: {tube: {length: 300 mm, outer_diameter: 41 mm, inner_diameter: 38 mm}, aft_end: flush with aft, rings: none}
    balance: 750 mm from fore
    mass: 2 kg
joints: {top: {between: [nose, booster], parts_at: apogee}}
recovery:
  parachutes: {main: {packed_in: booster, opens_at: apogee, mass: 200 g, hangs_on: cord}}
  harnesses: {cord: {between: [nose, booster], mass: 100 g}}
motor: {designation: I1, length: 300 mm, loaded_mass: 600 g, propellant_mass: 250 g}
measured: {mass_without_motor: 3.4 kg}
";

/// A rocket that was weighed without its motor weighs 3.4 + 0.6 = 4 kg with it, and 3.75 kg without the propellant; a mass with the motor counts
/// first. Source: arithmetic.
#[test]
fn mass_of_a_rocket_weighed_without_its_motor() {
    let kilograms =
        |design: &str, quantity: &str| explained(design, quantity)["si"]["value"].as_f64().unwrap();
    assert!((kilograms(TIED, "mass_at_ignition") - 4.0).abs() < 1e-12);
    assert!((kilograms(TIED, "mass_in_descent") - 3.75).abs() < 1e-12);
    let both =
        TIED.replace("mass_without_motor: 3.4 kg", "mass_without_motor: 3.4 kg, mass_with_motor: 4.1 kg");
    assert!((kilograms(&both, "mass_at_ignition") - 4.1).abs() < 1e-12);
}

/// The cord counts where it lies: in the sum of the parts 1 + 2 + 0.2 + 0.1 + 0.6 = 3.9 kg, in the balance
/// (1 × 0.25 + 2 × 1.25 + 0.3 × 1.25 + 0.6 × 1.85) / 3.9 = 4.235 / 3.9 m, in the mass behind the joint and not before it, and in what the body
/// lands with, 2 + 0.35 + 0.1 kg, the parachute above it not counted. Source: statics.
#[test]
fn a_cord_counts_where_it_lies() {
    let si = |quantity: &str| explained(TIED, quantity)["si"]["value"].as_f64().unwrap();
    for (quantity, expected) in [
        ("mass_of_parts", 3.9),
        ("balance_of_parts", 4.235 / 3.9),
        ("top.fore_mass", 1.0),
        ("booster.landing_mass", 2.45),
        ("nose.landing_mass", 1.0),
    ] {
        assert!((si(quantity) - expected).abs() < 1e-9, "{quantity}: {}", si(quantity));
    }
}

/// A 9 V battery of 1.5 ohm, an igniter of 1.2 ohm, 2 m of 24 AWG each way: 4 m of 0.2047 mm² at 1/58 ohm mm²/m are 0.33691 ohm, and the
/// current 9 / 3.03691 = 2.96354 A. Source: Ohm's law worked apart; resistivity by IEC 60028.
#[test]
fn the_current_of_a_written_down_circuit() {
    let design = "\
holdpoint: 1
sections:
  bay: {coupler: {length: 200 mm}, altimeters: {one: {battery: cell, switch: arm}}}
wiring:
  batteries: {cell: {voltage: 9 V, internal_resistance: 1.5 ohm}}
  switches: {arm: {entity_type: screw}}
  circuits: {line: {altimeter: one, wire: 24 AWG, wire_length: 2 m, igniter: {count: 1, resistance: 1.2 ohm}}}
";
    let found = explained(design, "line.current")["si"]["value"].as_f64().unwrap();
    assert!((found / 2.963_54 - 1.0).abs() < 1e-4, "{found}");
}

/// What has no centre of pressure here is refused, unless its flyer states one; so is a motor whose curve and impulse differ by more than
/// a tenth, a motor that does not lift the rocket off the rail, and a bay filled beyond its volume.
#[test]
fn what_makes_no_sense_is_refused_and_not_computed() {
    let refused = |design: &str, quantity: &str| -> String {
        let answer = explained(design, quantity);
        assert!(answer["value"].is_null(), "{quantity} came to {}", answer["value"]);
        answer["working"].as_array().unwrap().last().unwrap()["value"].as_str().unwrap().to_owned()
    };
    let finless = WREN.replace("drag:", "measured_later: none\ndrag:").replace("measured_later: none\n", "");
    assert!(refused(&finless, "centre_of_pressure").contains("without fins"));
    let stated = format!("{WREN}stated_centre_of_pressure: 800 mm from fore\n");
    let found = explained(&stated, "centre_of_pressure")["si"]["value"].as_f64().unwrap();
    assert!((found - 0.8).abs() < 1e-12, "{found}");
    assert!(refused(&WREN.replace("228.9 N*s", "260 N*s"), "apogee").contains("disagree by more than 10 %"));
    let heavy = WREN.replace("mass_with_motor: 1225 g", "mass_with_motor: 60 kg");
    assert!(refused(&heavy, "apogee").contains("never"), "{}", refused(&heavy, "apogee"));
    let full = "\
holdpoint: 1
sections: {bay: {coupler: {length: 200 mm, inner_diameter: 50 mm}, filled: 500 cm^3}}
";
    assert!(refused(full, "bay.air_volume").contains("more room than there is"));
}

/// A block of 9 V behind 3 Ω, leads of 0.2 Ω and a match of 1.5 Ω: 1.91489 A, and 3.25532 V are left. Source: Ohm's law evaluated apart from
/// this program; 3 Ω for such a block after Horowitz and Hill, The Art of Electronics, 2nd edition, page 9, quoted second-hand. The table of cells
/// is within 10 % of it for a block of 550 mA·h.
#[test]
fn voltage_that_is_left_while_a_match_fires() {
    let design = |battery: &str| {
        format!(
            "holdpoint: 1
sections:
  bay: {{altimeters: {{one: {{battery: block}}}}}}
recovery: {{charges: {{first: {{}}}}}}
wiring:
  batteries: {{block: {{voltage: 9 V, {battery}}}}}
  circuits: {{line: {{altimeter: one, fires: first, wire: 0.5 mm², wire_length: 2.900065 m, igniter: {{count: 1, resistance: 1.5 ohm}}}}}}
"
        )
    };
    let si = |design: &str, quantity: &str| explained(design, quantity)["si"]["value"].as_f64().unwrap();
    let measured = design("internal_resistance: 3 ohm");
    let drawn = si(&measured, "line.drawn");
    assert!((drawn / 1.914_89 - 1.0).abs() < 1e-4, "{drawn}");
    let left = si(&measured, "line.voltage_left");
    assert!((left / 3.255_32 - 1.0).abs() < 1e-4, "{left}");
    let inside = si(&design("cells: alkaline, capacity: 550 mAh"), "block.resistance");
    assert!((inside / 3.0 - 1.0).abs() < 0.1, "{inside}");
    // Two full lithium cells: 4.20 V each.
    let full = si(
        &measured.replace("9 V, internal", "7.4 V, cells: lithium polymer, internal"),
        "block.voltage_when_full",
    );
    assert!((full / 8.4 - 1.0).abs() < 1e-9, "{full}");
}

/// At Mach 2 in air of 15 °C the air along a turbulent skin is at 220.65 °C, that is 205.65 K warmer, and this goes with the square of the Mach
/// number (recovery factor 0.8921, the cube root of 0.71, evaluated apart from this program); a thick poor conductor comes 0.570767 of the way in a
/// second (semi-infinite solid, Carslaw and Jaeger, from memory).
#[test]
fn heat_of_the_air_along_a_fast_skin() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/jack-snipe.rocket.yaml");
    let design =
        std::fs::read_to_string(path).unwrap().replace("temperature: 17 degC", "temperature: 15 degC");
    let mach = explained(&design, "top_mach")["value"].as_f64().unwrap();
    let skin = explained(&design, "skin_temperature")["si"]["value"].as_f64().unwrap();
    assert!(mach > 1.0, "{mach}");
    let expected = 288.15 + 0.570_767 * 205.65 * mach * mach / 4.0;
    assert!((skin - expected).abs() < 0.2, "{skin} against {expected}");
}

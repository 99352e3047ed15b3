//! The pull at a joint on the way up beside a sum of its own: Newton's second law and the standard atmosphere, moment by moment.

use holdpoint::design::Design;
use holdpoint::engineering::ascent::Moment;
use holdpoint::model::Model;
use holdpoint::quantity::Time;
use holdpoint::rules::{Library, TRIAL_DAY};
use holdpoint::yaml::Source;

use super::failures::si_of;
use super::text_of;

/// Between two moments, s.
const APART: f64 = 0.002;
const GAS: f64 = 287.053;

/// The pressure of the standard day at a geometric altitude in the lowest layer, Pa (U.S. Standard Atmosphere, 1976).
fn pressure(altitude: f64) -> f64 {
    let height = 6_356_766.0 * altitude / (6_356_766.0 + altitude);
    101_325.0 * (1.0 - 0.0065 * height / 288.15_f64).powf(9.806_65 / (0.0065 * GAS))
}

/// The space behind a joint: bore of its socket, m; mass before it, kg; its air, m³; its hole, m, where it has one; the field, m and K.
struct Space {
    bore: f64,
    mass: f64,
    air: f64,
    hole: Option<f64>,
    elevation: f64,
    temperature: f64,
}

/// The pull at each moment: mass × (drag − thrust)/mass of all + excess × area. Air leaves by the isentropic orifice with a discharge
/// coefficient of 0.6 (mass balance, first principles), by steps of Euler's method.
fn pulls(space: &Space, moments: &[Moment]) -> Vec<(f64, f64)> {
    let area = std::f64::consts::FRAC_PI_4 * space.bore * space.bore;
    let mut inside = pressure(space.elevation);
    let mut pulls = Vec::new();
    for pair in moments.windows(2) {
        let [before, now] = pair else { unreachable!() };
        let (from, to) = (space.elevation + before.height.si(), space.elevation + now.height.si());
        let h = now.time.si() - before.time.si();
        if let Some(hole) = space.hole {
            // The flow is stiff where the pressures meet: many short steps within one of the moments.
            let opening = 0.6 * std::f64::consts::FRAC_PI_4 * hole * hole;
            for part in 0..20 {
                let outside = pressure(from + (to - from) * (f64::from(part) + 0.5) / 20.0);
                let (high, low) = (inside.max(outside), inside.min(outside));
                let ratio = (low / high).max((2.0_f64 / 2.4).powf(3.5));
                let flow = (7.0 * (ratio.powf(2.0 / 1.4) - ratio.powf(2.4 / 1.4))).max(0.0).sqrt();
                let mass_flow = opening * high / (GAS * space.temperature).sqrt() * flow;
                inside -=
                    (inside - outside).signum() * mass_flow * GAS * space.temperature / space.air * h / 20.0;
            }
        }
        let pull =
            space.mass * (now.drag.si() - now.thrust.si()) / now.mass.si() + (inside - pressure(to)) * area;
        pulls.push((now.time.si(), pull));
    }
    pulls
}

fn compare(edits: &[(&str, &str)], hole: Option<f64>) -> (f64, f64) {
    let mut text = text_of("bittern.rocket.yaml");
    for (old, new) in edits {
        assert_eq!(text.matches(old).count(), 1, "{old}");
        text = text.replacen(old, new, 1);
    }
    let library = Library::built_in();
    let design = Design::read(Source::new("a.rocket.yaml", text), &library.tables);
    assert!(design.problems.is_empty(), "{:?}", design.problems);
    let model = Model::new(&design, library.environment(TRIAL_DAY));
    // A bore of 152.4 mm; the nose of 2.3 kg; 825 mm between nose shoulder and bay; a field at 250 m and 22 °C.
    let air = std::f64::consts::FRAC_PI_4 * 0.1524 * 0.1524 * 0.825;
    let space = Space { bore: 0.1524, mass: 2.3, air, hole, elevation: 250.0, temperature: 295.15 };
    let moments = model.flight_result().unwrap().moments(Time::from_si(APART));
    let pulls = pulls(&space, &moments);
    let greatest = pulls.iter().map(|(_, pull)| *pull).fold(f64::MIN, f64::max);
    let store = &model.design().store;
    let (joint, _) = store.all().find(|(id, _)| store.path(*id).ends_with("main_joint")).unwrap();
    let found = si_of(&model, joint, "flight_pull");
    assert!((found / greatest - 1.0).abs() < 0.01, "{hole:?}: {found} N, and {greatest} N by the sum");
    // The top is flat where air leaves slowly: what counts is that the pull is as great then.
    let found_when = si_of(&model, joint, "flight_pull_time");
    let (_, then) = pulls.iter().find(|(time, _)| *time >= found_when).unwrap();
    assert!(then / greatest > 0.995, "{hole:?}: at {found_when} s {then} N, and {greatest} N at most");
    (found, found_when)
}

const HOLE: &str = "relief: {count: 1, diameter: 6 mm, at: 400 mm from fore, clock: 180°}";

#[test]
fn the_greatest_pull_is_that_of_each_moment() {
    let wide = compare(&[], Some(0.006));
    let narrow = compare(
        &[(HOLE, "relief: {count: 1, diameter: 2 mm, at: 400 mm from fore, clock: 180°}")],
        Some(0.002),
    );
    let closed = compare(&[(&format!("    vents:\n      {HOLE}"), "    vents: none")], None);
    // A motor half again as strong, as in the case of the three small pins.
    let curve = "    0.06, 1700\n    0.6, 1950\n    1.6, 1850\n    2.8, 1600\n    3.8, 1150\n";
    let stronger = "    0.06, 2780\n    0.6, 3190\n    1.6, 3020\n    2.8, 2610\n    3.8, 1880\n";
    let motor = [("  total_impulse: 6730 N*s", "  total_impulse: 11000 N*s"), (curve, stronger)];
    let small = (HOLE, "relief: {count: 1, diameter: 3.2 mm, at: 400 mm from fore, clock: 180°}");
    compare(&[small, motor[0], motor[1]], Some(0.0032));
    // With a wide hole drag decides, right after burnout; the less air can leave, the harder and the later.
    assert!(wide.0 < narrow.0 && narrow.0 < closed.0, "{wide:?} {narrow:?} {closed:?}");
    assert!(wide.1 < narrow.1 && narrow.1 < closed.1, "{wide:?} {narrow:?} {closed:?}");
}

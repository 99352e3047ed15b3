//! Shear pins against practitioners' published loads and an evaluation apart from this program.

use crate::rule_table::{self, row};
use crate::sheet::{close, near, rows};
use holdpoint::engineering::pins::{self, Half};
use holdpoint::engineering::venting;
use holdpoint::quantity::{Acceleration, Area, Dimension, Force, Length, Mass, Pressure};

const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;
const PSI: f64 = 6_894.757_293_168;
const POUND_FORCE: f64 = 4.448_221_615_26;

fn root_area(thread: &str) -> Area {
    let threads = rule_table::rows("threads");
    Area::from_si(row(&threads, thread.trim_start_matches('#')).si("root_area", Dimension::AREA))
}

/// Load of one pin = shear strength times the tabulated root area.
#[test]
fn single_pins_carry_the_published_loads() {
    let table = rows("shear_pins.csv");
    let computed: Vec<_> = table.iter().filter(|r| !r.text("F_stress_area_lbf").is_empty()).collect();
    assert_eq!(computed.len(), 16);
    for row in computed {
        let tau = Pressure::from_si(row.number("tau_psi") * PSI);
        let one = pins::shear_load(1, root_area(row.text("thread")), tau).unwrap();
        close(row.text("thread"), one.si() / POUND_FORCE, row.number("F_root_lbf"), 0.005);
        let four = pins::shear_load(4, root_area(row.text("thread")), tau).unwrap();
        close("four pins", four.si(), 4.0 * one.si(), 1e-12);
    }
}

/// The nylon band of the materials table brackets what a practitioner measured on 2-56 screws, about 25 lbf each.
#[test]
fn the_nylon_band_brackets_the_measured_load() {
    let materials = rule_table::rows("materials");
    let nylon = row(&materials, "nylon");
    let load = |field: &str| {
        let tau = Pressure::from_si(nylon.si(field, Dimension::PRESSURE));
        pins::shear_load(1, root_area("2-56"), tau).unwrap().si() / POUND_FORCE
    };
    let table = rows("shear_pins.csv");
    let measured = table.iter().find(|r| r.text("tau_psi") == "measured").unwrap().number("F_root_lbf");
    let (low, high) = (load("shear_strength_low"), load("shear_strength_high"));
    assert!(low < measured && measured < high, "{low} {measured} {high}");
    close("low end of the band", low, measured, 0.3);
    close("high end of the band", high, measured, 0.31);
}

/// A practitioner's article: a sealed 6 in bay at 10000 ft pulls with 130 lbf, more than three 2-56 pins of 25 lbf hold.
#[test]
fn trapped_air_outpulls_three_pins_as_published() {
    let held = venting::trapped_pressure(Length::from_si(0.0), Length::from_si(10_000.0 * FOOT)).unwrap();
    let pull = pins::trapped_air_pull(held, Length::from_si(6.0 * INCH)).unwrap().si() / POUND_FORCE;
    near("pull", pull, 130.0, 0.5);
    assert!(pull > 3.0 * 25.0);
}

/// Newton's second law: a pound of mass at one standard gravity weighs a pound of force.
#[test]
fn inertia_at_one_gravity_is_weight() {
    let pound = Mass::from_si(0.453_592_37);
    for sign in [1.0, -1.0] {
        let pull = pins::inertial_pull(pound, Acceleration::from_si(sign * 9.806_65)).unwrap();
        close("weight", pull.si() / POUND_FORCE, 1.0, 1e-9);
    }
}

/// Limits of the two-body balance: no pull where each half has drag in the share of its mass, the whole drag of the aft half on a joint
/// behind a very heavy nose, and the fore half's whole drag in compression before a very heavy tail.
#[test]
fn drag_separation_has_the_right_limits() {
    let half = |mass: f64, drag: f64| Half { mass: Mass::from_si(mass), drag: Force::from_si(drag) };
    let pull = |fore, aft| pins::drag_separation_pull(fore, aft).unwrap().si();
    near("shared", pull(half(2.0, 20.0), half(3.0, 30.0)), 0.0, 1e-12);
    close("heavy nose", pull(half(1e9, 5.0), half(1.0, 40.0)), 40.0, 1e-6);
    close("heavy tail", pull(half(1.0, 5.0), half(1e9, 40.0)), -5.0, 1e-6);
    // The fore half slows by (drag + pull)/mass, the aft half by (drag − pull)/mass: the same for both.
    let joint = pull(half(4.0, 12.0), half(6.0, 70.0));
    close("one deceleration", (12.0 + joint) / 4.0, (70.0 - joint) / 6.0, 1e-12);
}

#[test]
fn refuses_what_makes_no_sense() {
    let area = Area::from_si(2e-6);
    let tau = Pressure::from_si(5e7);
    assert!(pins::shear_load(0, area, tau).is_err());
    assert!(pins::shear_load(3, Area::from_si(0.0), tau).is_err());
    assert!(pins::shear_load(3, area, Pressure::from_si(f64::NAN)).is_err());
    assert!(pins::trapped_air_pull(tau, Length::from_si(0.0)).is_err());
    assert!(pins::inertial_pull(Mass::from_si(0.0), Acceleration::from_si(1.0)).is_err());
    assert!(pins::inertial_pull(Mass::from_si(1.0), Acceleration::from_si(f64::INFINITY)).is_err());
    let good = Half { mass: Mass::from_si(1.0), drag: Force::from_si(1.0) };
    let light = Half { mass: Mass::from_si(0.0), drag: Force::from_si(1.0) };
    let pushed = Half { mass: Mass::from_si(1.0), drag: Force::from_si(-1.0) };
    assert!(pins::drag_separation_pull(light, good).is_err());
    assert!(pins::drag_separation_pull(good, pushed).is_err());
}

//! Motor classes against the published table, and the arithmetic of thrust curves against exact areas.

use crate::sheet::{close, rows};
use holdpoint::engineering::ascent::thrust_to_weight;
use holdpoint::engineering::motors;
use holdpoint::engineering::thrust::{IMPULSE_AGREEMENT, ThrustCurve};
use holdpoint::quantity::{Force, Impulse, Mass, Time};

fn points(list: &[(f64, f64)]) -> Vec<(Time, Force)> {
    list.iter().map(|&(t, f)| (Time::from_si(t), Force::from_si(f))).collect()
}

/// Both ends of every class, and the level of certification it asks for.
#[test]
fn classes_agree_with_the_table() {
    let table = rows("motor_classes.csv");
    assert_eq!(table.len(), 17);
    for row in &table {
        for end in ["min_Ns", "max_Ns"] {
            let impulse = Impulse::from_si(row.number(end));
            assert_eq!(motors::class(impulse).unwrap(), row.text("class"), "{end}");
            let level = motors::certification_level(impulse).unwrap();
            assert_eq!(level, row.text("certification_level").parse().ok(), "{}", row.text("class"));
        }
        close("lbf s", row.number("max_Ns") / 4.448_221_615, row.number("max_lbf_s"), 4e-3);
    }
    assert_eq!(motors::class(Impulse::from_si(0.3)).unwrap(), "1/8A");
}

/// Areas of a trapezoid: 0 to 100 N in 0.5 s, level for 1 s, down in 1 s.
#[test]
fn impulses_are_areas_of_straight_lines() {
    let list = points(&[(0.0, 0.0), (0.5, 100.0), (1.5, 100.0), (2.5, 0.0)]);
    let curve = ThrustCurve::new(&list, None).unwrap();
    close("impulse", curve.impulse().si(), 175.0, 1e-12);
    close("average", curve.average().si(), 70.0, 1e-12);
    assert_eq!((curve.peak().si(), curve.burnout().si()), (100.0, 2.5));
}

#[test]
fn a_curve_may_differ_by_two_percent() {
    let off = |curve: f64, stated: f64| {
        motors::disagreement(Impulse::from_si(curve), Impulse::from_si(stated)).unwrap()
    };
    assert!(off(101.9, 100.0).abs() <= IMPULSE_AGREEMENT && off(98.1, 100.0).abs() <= IMPULSE_AGREEMENT);
    assert!(off(102.1, 100.0) > IMPULSE_AGREEMENT && off(97.9, 100.0) < -IMPULSE_AGREEMENT);
}

/// Computed apart from this program: 500 N on 5 kg is 10.19716 to one, 250 N on 8.6 kg 2.96429.
#[test]
fn thrust_to_weight_agrees() {
    for (thrust, mass, ratio) in [(500.0, 5.0, 10.19716), (250.0, 8.6, 2.96429)] {
        let value = thrust_to_weight(Force::from_si(thrust), Mass::from_si(mass)).unwrap();
        assert!((value - ratio).abs() < 1e-4, "{value}");
    }
}

#[test]
fn refuses_what_makes_no_sense() {
    assert!(motors::class(Impulse::from_si(0.0)).is_err());
    assert!(motors::class(Impulse::from_si(40_960.01)).is_err());
    for bad in [
        &[(0.0, 10.0)][..],
        &[],
        &[(1.0, 10.0), (0.5, 5.0)],
        &[(-0.1, 10.0), (0.5, 5.0)],
        &[(0.0, 10.0), (0.5, -5.0)],
        &[(0.0, 0.0), (0.5, 0.0)],
        &[(0.0, f64::NAN), (0.5, 0.0)],
    ] {
        assert!(ThrustCurve::new(&points(bad), None).is_err(), "{bad:?}");
    }
    assert!(motors::disagreement(Impulse::from_si(1.0), Impulse::from_si(0.0)).is_err());
    assert!(thrust_to_weight(Force::from_si(1.0), Mass::from_si(0.0)).is_err());
}

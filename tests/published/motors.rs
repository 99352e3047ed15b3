//! Motor classes against the published table, and the arithmetic of thrust curves against exact areas.

use crate::sheet::{close, rows};
use holdpoint::engineering::ascent::thrust_to_weight;
use holdpoint::engineering::motors;
use holdpoint::engineering::thrust::{IMPULSE_AGREEMENT, ThrustCurve, drawn_impulse};
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

/// Areas of a trapezoid: 0 to 100 N in 0.5 s, level for 1 s, down in 1 s. It burns from 5 N at 0.025 s to 5 N at 2.45 s.
#[test]
fn impulses_are_areas_of_straight_lines() {
    let list = points(&[(0.0, 0.0), (0.5, 100.0), (1.5, 100.0), (2.5, 0.0)]);
    let curve = ThrustCurve::new(&list, None).unwrap();
    close("impulse", curve.impulse().si(), 175.0, 1e-12);
    close("burn time", curve.burn_time().si(), 2.425, 1e-12);
    close("average", curve.average().si(), 175.0 / 2.425, 1e-12);
    close("burnout", curve.burnout().si(), 2.45, 1e-12);
    assert_eq!(curve.peak().si(), 100.0);
}

/// A curve with a long tail, by the definition of burn time of NFPA 1125 as a motor maker's note quotes it (from the first thrust of 5 % of the
/// peak to the last), worked out apart from this program: 97.65 N·s, from 0.01 s to 1.35 s, 72.8731 N on average.
#[test]
fn a_tail_is_no_part_of_the_burn_time() {
    let tail = [(0.0, 0.0), (0.02, 10.0), (0.05, 100.0), (1.0, 80.0), (1.2, 8.0), (1.5, 2.0), (1.6, 0.0)];
    let curve = ThrustCurve::new(&points(&tail), None).unwrap();
    close("impulse", curve.impulse().si(), 97.65, 1e-6);
    close("burn time", curve.burn_time().si(), 1.34, 1e-9);
    close("burnout", curve.burnout().si(), 1.35, 1e-9);
    close("average", curve.average().si(), 72.8731, 1e-5);
    close("thrust in the tail", curve.at(Time::from_si(1.5)).si(), 2.0, 1e-9);
    close("half of the tail", curve.share_until(Time::from_si(1.35)), 1.0 - 0.625 / 97.65, 1e-9);
}

/// A curve whose area is 4 % short is scaled by 100/96 to the stated impulse; one that is more than a tenth off is refused.
#[test]
fn a_curve_is_scaled_to_the_stated_impulse() {
    let short = points(&[(0.0, 48.0), (2.0, 48.0)]);
    let curve = ThrustCurve::new(&short, Some(Impulse::from_si(100.0))).unwrap();
    close("impulse", curve.impulse().si(), 100.0, 1e-12);
    close("thrust", curve.at(Time::from_si(1.0)).si(), 50.0, 1e-12);
    close("peak", curve.peak().si(), 50.0, 1e-12);
    close("half way", curve.share_until(Time::from_si(1.0)), 0.5, 1e-12);
    close("drawn", drawn_impulse(&short).unwrap().si(), 96.0, 1e-12);
    for (stated, taken) in [(106.0, true), (107.0, false), (88.0, true), (87.0, false)] {
        let curve = ThrustCurve::new(&short, Some(Impulse::from_si(stated)));
        assert_eq!(curve.is_ok(), taken, "{stated}");
    }
    assert_eq!(IMPULSE_AGREEMENT, 0.1);
}

/// Designations as they are written: a total impulse before the letter, a delay or a plug behind the thrust.
#[test]
fn designations_say_class_and_thrust() {
    for (text, class, newtons) in [
        ("K540", "K", 540.0),
        ("1500K480-P", "K", 480.0),
        ("G140-7", "G", 140.0),
        ("1/2A3-4T", "1/2A", 3.0),
        ("120 G40", "G", 40.0),
        ("O25000", "O", 25000.0),
    ] {
        let text = text.replace(' ', "");
        let said = motors::designated(&text).unwrap();
        assert_eq!((said.class, said.average_thrust.si()), (class, newtons), "{text}");
    }
    let of = |text| motors::designated(text).unwrap();
    assert_eq!((of("J375W-14A").propellant, of("J375W-14A").delay.map(|d| d.si())), ("W", Some(14.0)));
    assert_eq!((of("1500K480-P").propellant, of("1500K480-P").delay), ("", None));
    assert_eq!((of("H120 - 8").delay.map(|d| d.si()), of("H120-M").delay), (Some(8.0), None));
    for (one, other, same) in [
        ("J375", "J375-14", true),
        ("600J375-6", "J375W-14", true),
        ("J375R", "J375W", false),
        ("J37", "J375", false),
        ("J375", "K375", false),
    ] {
        assert_eq!(of(one).is_same_motor(&of(other)), same, "{one} {other}");
        assert_eq!(of(other).is_same_motor(&of(one)), same, "{one} {other}");
    }
    for none in ["big red", "", "540", "K", "P100", "1/3A3"] {
        assert_eq!(motors::designated(none), None, "{none}");
    }
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
    assert!(thrust_to_weight(Force::from_si(1.0), Mass::from_si(0.0)).is_err());
}

//! Igniter circuits against the laws of the circuit and a published sheet of wire resistances.

use crate::sheet::close;
use holdpoint::engineering::igniter::{self, Arrangement, Circuit};
use holdpoint::quantity::{Area, Current, Length, Resistance, Time, Voltage};

fn circuit(count: u32, arrangement: Arrangement) -> Circuit {
    let ohm = Resistance::from_si;
    Circuit {
        voltage: Voltage::from_si(9.0),
        battery: ohm(1.5),
        wiring: ohm(0.5),
        igniter: ohm(2.0),
        count,
        arrangement,
    }
}

/// Kirchhoff: the voltages around the loop add up to the battery's, whatever the arrangement.
#[test]
fn voltages_add_up_around_the_loop() {
    for count in 1..=4 {
        let n = f64::from(count);
        let each = igniter::current(&circuit(count, Arrangement::Series)).unwrap().si();
        close("series", each * 2.0 + each * n * 2.0, 9.0, 1e-12);
        let each = igniter::current(&circuit(count, Arrangement::Parallel)).unwrap().si();
        close("parallel", n * each * 2.0 + each * 2.0, 9.0, 1e-12);
    }
    let series = igniter::current(&circuit(1, Arrangement::Series)).unwrap();
    assert_eq!(series, igniter::current(&circuit(1, Arrangement::Parallel)).unwrap());
}

/// Resistance of solid copper wire at 20 °C in Ω for each 1000 ft, as wire tables print it (NBS Handbook 100, from memory).
#[test]
fn leads_agree_with_the_wire_tables() {
    for (gauge, printed) in [(18, 6.385), (20, 10.15), (22, 16.14), (24, 25.67), (26, 40.81)] {
        let core = igniter::gauge_area(gauge).unwrap();
        // 500 ft out and 500 ft back.
        let leads = igniter::lead_resistance(Length::from_si(500.0 * 0.3048), core).unwrap();
        close("leads", leads.si(), printed, 1e-3);
    }
}

/// A practitioners' journal: electric matches of about 2 Ω fire surely at 0.5 to 1 A in 5 to 20 ms with some 10 mJ.
#[test]
fn the_energy_of_a_match_is_the_published_one() {
    let energy = |amps: f64, seconds: f64| {
        igniter::bridge_energy(Current::from_si(amps), Resistance::from_si(2.0), Time::from_si(seconds))
            .unwrap()
            .si()
    };
    close("1 A for 5 ms", energy(1.0, 5e-3), 10e-3, 1e-9);
    close("0.5 A for 20 ms", energy(0.5, 20e-3), 10e-3, 1e-9);
}

#[test]
fn refuses_what_makes_no_sense() {
    let good = circuit(1, Arrangement::Series);
    assert!(igniter::current(&Circuit { count: 0, ..good }).is_err());
    assert!(igniter::current(&Circuit { voltage: Voltage::from_si(0.0), ..good }).is_err());
    assert!(igniter::current(&Circuit { igniter: Resistance::from_si(0.0), ..good }).is_err());
    assert!(igniter::current(&Circuit { wiring: Resistance::from_si(-1.0), ..good }).is_err());
    assert!(igniter::lead_resistance(Length::from_si(1.0), Area::from_si(0.0)).is_err());
    assert!(igniter::gauge_area(41).is_err());
    let bridge = Resistance::from_si(2.0);
    assert!(igniter::bridge_energy(Current::from_si(-1.0), bridge, Time::from_si(1.0)).is_err());
}

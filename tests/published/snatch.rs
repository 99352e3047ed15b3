//! The throw of a charge and the cord that catches it, against mechanics and gas laws evaluated apart from this program.

use crate::sheet::close;
use holdpoint::engineering::snatch::{catch, throw};
use holdpoint::quantity::{Energy, Force, Length, Pressure, Volume};
use std::f64::consts::PI;

/// A tube of 101.6 mm with 254 mm of it free, 103.421 kPa over the air of sea level and a plug of 101.6 mm: 58.4034 J where the gas keeps its
/// temperature, less than the 85.1883 J of a constant pressure. Source: first law of thermodynamics evaluated apart from this program.
#[test]
fn the_work_of_a_charge_is_that_of_its_gas() {
    let area = PI / 4.0 * 0.1016 * 0.1016;
    let (rise, air) = (Pressure::from_si(103_421.0), Pressure::from_si(101_325.0));
    let (free, swept) = (Volume::from_si(area * 0.254), Volume::from_si(area * 0.1016));
    let work = throw(rise, air, free, swept).unwrap().si();
    close("work", work, 58.4034, 1e-4);
    assert!(work < 103_421.0 * swept.si());
    // A short plug is driven out at nearly the whole pressure.
    let short = Volume::from_si(free.si() * 1e-6);
    close("short", throw(rise, air, free, short).unwrap().si(), 103_421.0 * short.si(), 1e-5);
    assert!(throw(rise, air, Volume::from_si(0.0), swept).is_err());
    assert!(throw(Pressure::from_si(-1.0), air, free, swept).is_err());
}

/// The same work caught by 6 m of a cord that breaks at 2000 lbf: nylon that stretches by a quarter 832.311 N, polyester 14 % 1112.22 N, aramid
/// 3.7 % 2163.49 N, wire rope 2 % 2942.66 N. Source: conservation of energy, F = √(2 W k), evaluated apart from this program; stretch of the
/// fibres by a table of a rope handbook.
#[test]
fn a_stiff_cord_pulls_harder() {
    let (work, strength) = (Energy::from_si(58.4034), Force::from_si(8_896.443_23));
    for (stretch, pull) in [(0.25, 832.311), (0.14, 1112.22), (0.037, 2163.49), (0.02, 2942.66)] {
        let found = catch(work, strength, stretch, Length::from_si(6.0)).unwrap();
        close("pull", found.si(), pull, 1e-4);
    }
    assert!(catch(work, strength, 0.0, Length::from_si(6.0)).is_err());
    assert!(catch(work, strength, 0.1, Length::from_si(0.0)).is_err());
}

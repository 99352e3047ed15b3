//! Bond stress against cases evaluated apart from this program by the definition of ASTM D1002.

use crate::sheet::{close, rows};
use holdpoint::engineering::bond;
use holdpoint::quantity::{Area, Force, Length, Pressure};

fn mm(value: f64) -> Length {
    Length::from_si(value * 1e-3)
}

/// The table's words give the forces and sizes: these are its four rows, in order.
#[test]
fn rings_and_laps_carry_the_published_stress() {
    let stress = [
        bond::ring_shear(Force::from_si(1500.0), 3, mm(3.0), mm(54.0)).unwrap(),
        bond::ring_shear(Force::from_si(3000.0), 3, mm(6.0), mm(75.0)).unwrap(),
        bond::average_shear(Force::from_si(1000.0), bond::lap_area(mm(25.4), mm(12.7)).unwrap()).unwrap(),
        bond::average_shear(Force::from_si(2000.0), bond::lap_area(mm(50.0), mm(25.0)).unwrap()).unwrap(),
    ];
    let area = [
        bond::ring_area(3, mm(3.0), mm(54.0)).unwrap(),
        bond::ring_area(3, mm(6.0), mm(75.0)).unwrap(),
        bond::lap_area(mm(25.4), mm(12.7)).unwrap(),
        bond::lap_area(mm(50.0), mm(25.0)).unwrap(),
    ];
    let table = rows("adhesive.csv");
    assert_eq!(table.len(), stress.len());
    for ((row, stress), area) in table.iter().zip(stress).zip(area) {
        let case = row.text("case");
        close(case, area.si() * 1e6, row.number("bond_area_mm2"), 1e-4);
        close(case, stress.si() / 1e6, row.number("tau_MPa"), 1e-4);
        let factor =
            bond::safety_factor(Pressure::from_si(row.number("allowable_MPa") * 1e6), stress).unwrap();
        close(case, factor, row.number("safety_factor"), 1e-4);
    }
}

#[test]
fn refuses_what_makes_no_sense() {
    let force = Force::from_si(100.0);
    assert!(bond::ring_shear(force, 0, mm(3.0), mm(54.0)).is_err());
    assert!(bond::ring_shear(force, 3, mm(0.0), mm(54.0)).is_err());
    assert!(bond::ring_shear(force, 3, mm(3.0), mm(-54.0)).is_err());
    assert!(bond::average_shear(Force::from_si(-1.0), Area::from_si(1.0)).is_err());
    assert!(bond::lap_area(mm(f64::NAN), mm(1.0)).is_err());
    assert!(bond::safety_factor(Pressure::from_si(7e6), Pressure::from_si(0.0)).is_err());
}

//! Vent areas against the published rule and its worked examples; trapped air and lag against independent figures.

use crate::sheet::{close, near, rounds_to, rows};
use holdpoint::engineering::atmosphere;
use holdpoint::engineering::venting::{self, VentedBay};
use holdpoint::quantity::{Area, Length, Speed, Temperature, Volume};

const INCH: f64 = 0.0254;
const CUBIC_INCH: f64 = INCH * INCH * INCH;
const FOOT: f64 = 0.3048;
const PSI: f64 = 6_894.757_293_168;

/// One 1/4 in hole for each 100 in³, shared by n holes: practitioners' articles; the table was evaluated apart from this program.
#[test]
fn areas_and_holes_follow_the_published_rule() {
    for row in rows("vent_rule.csv") {
        let total = venting::area_by_rule(Volume::from_si(row.number("V_in3") * CUBIC_INCH)).unwrap();
        let holes = row.number("n_holes") as u32;
        let hole = venting::hole_diameter(total, holes).unwrap();
        // The table prints five decimals of an inch, four significant digits at the least.
        close("hole", hole.si() / INCH, row.number("hole_dia_in"), 1e-4);
        rounds_to("area", total.si() / (INCH * INCH), row.text("total_area_in2"));
        close("back", venting::hole_area(hole, holes).unwrap().si(), total.si(), 1e-12);
    }
}

/// A practitioner's worked example: a bay of 6 in by 20 in takes three holes of 0.34 in or four of 0.30 in.
#[test]
fn the_worked_example_comes_out() {
    let bay = Volume::from_si(565.2 * CUBIC_INCH);
    let area = venting::area_by_rule(bay).unwrap();
    rounds_to("three holes", venting::hole_diameter(area, 3).unwrap().si() / INCH, "0.34");
    rounds_to("four holes", venting::hole_diameter(area, 4).unwrap().si() / INCH, "0.30");
}

/// A practitioner's article: a bay sealed on the ground holds 4.6 psi at 10000 ft. The printed table of the standard atmosphere gives
/// 14.696 − 10.108 psi.
#[test]
fn a_sealed_bay_holds_the_published_pressure() {
    let ground = Length::from_si(0.0);
    let high = Length::from_si(10_000.0 * FOOT);
    let held = venting::trapped_pressure(ground, high).unwrap().si() / PSI;
    rounds_to("the article", held, "4.6");
    near("the table", held, 14.696 - 10.108, 1e-3);
    let back = venting::trapped_pressure(high, ground).unwrap().si() / PSI;
    close("sealed high", back, -held, 1e-12);
}

/// Lag of a breathing bay against a numerically integrated compressible orifice.
#[test]
fn lag_agrees_with_the_integrated_orifice() {
    let mut checked = 0;
    for row in rows("vent_lag.csv").iter().filter(|r| r.text("profile").starts_with("constant climb")) {
        let hole = Length::from_si(row.number("hole_dia_in") * INCH);
        let bay = VentedBay {
            volume: Volume::from_si(row.number("V_in3") * CUBIC_INCH),
            vents: venting::hole_area(hole, row.number("n_holes") as u32).unwrap(),
            discharge_coefficient: row.number("Cd"),
            temperature: Temperature::from_si(288.15),
        };
        // The table climbs by geopotential height.
        let altitude = atmosphere::geometric(Length::from_si(row.number("H_m")));
        let lag = venting::lag_in_climb(&bay, Speed::from_si(row.number("v_m_s")), altitude).unwrap();
        let case = row.text("case");
        close(case, lag.pressure.si(), row.number("dp_Pa"), 0.01);
        close(case, lag.height.si(), row.number("lag_m"), 0.01);
        close(case, lag.pressure.si(), row.number("closed_form_dp_Pa / note"), 1e-4);
        checked += 1;
    }
    assert_eq!(checked, 3);
}

/// The lag goes with the square of speed over area, and is nothing at rest.
#[test]
fn lag_scales_as_the_orifice_equation_says() {
    let bay = |area: f64| VentedBay {
        volume: Volume::from_si(3e-3),
        vents: Area::from_si(area),
        discharge_coefficient: 0.6,
        temperature: Temperature::from_si(288.15),
    };
    let lag = |area, speed| {
        venting::lag_in_climb(&bay(area), Speed::from_si(speed), Length::from_si(500.0))
            .map(|l| l.height.si())
    };
    let one = lag(2e-5, 100.0).unwrap();
    close("speed", lag(2e-5, 200.0).unwrap(), 4.0 * one, 1e-12);
    close("area", lag(4e-5, 100.0).unwrap(), one / 4.0, 1e-12);
    assert_eq!(lag(2e-5, 0.0).unwrap(), 0.0);
    assert!(lag(1e-7, 300.0).is_err(), "a pinhole is outside the method");
}

#[test]
fn refuses_what_makes_no_sense() {
    let area = Area::from_si(1e-5);
    assert!(venting::area_by_rule(Volume::from_si(0.0)).is_err());
    assert!(venting::area_by_rule(Volume::from_si(-1.0)).is_err());
    assert!(venting::area_by_rule(Volume::from_si(f64::NAN)).is_err());
    assert!(venting::area_by_rule(Volume::from_si(f64::INFINITY)).is_err());
    assert!(venting::hole_diameter(area, 0).is_err());
    assert!(venting::hole_area(Length::from_si(1e200), 3).is_err());
    assert!(venting::trapped_pressure(Length::from_si(0.0), Length::from_si(40_000.0)).is_err());
}

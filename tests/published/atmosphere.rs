//! The standard atmosphere against printed tables and independent evaluations of the U.S. Standard Atmosphere, 1976.

use crate::sheet::{close, near, rounds_to, rows};
use holdpoint::engineering::atmosphere::{self, Air};
use holdpoint::quantity::{Length, Pressure, Temperature};

const FOOT: f64 = 0.3048;
const PSI: f64 = 6_894.757_293_168;

fn at(metres: f64) -> Air {
    atmosphere::at(Length::from_si(metres)).unwrap()
}

/// Closed form of the standard, evaluated apart from this program and confirmed by two libraries (source column of the table).
#[test]
fn agrees_with_the_closed_form() {
    for row in rows("atmosphere.csv") {
        let tolerance = row.number("rel_tol");
        let air = match row.text("altitude_kind") {
            "geometric" => at(row.number("geometric_m")),
            _ => at(atmosphere::geometric(Length::from_si(row.number("geopotential_m"))).si()),
        };
        let place = row.text("geometric_m");
        close(place, air.temperature.si(), row.number("T_K"), tolerance);
        close(place, air.pressure.si(), row.number("p_Pa"), tolerance);
        close(place, air.density.si(), row.number("rho_kg_m3"), tolerance);
        close(place, air.speed_of_sound.si(), row.number("a_m_s"), tolerance);
        close(place, air.viscosity, row.number("mu_Pa_s"), tolerance);
        let height = atmosphere::geopotential(Length::from_si(row.number("geometric_m")));
        near(place, height.si(), row.number("geopotential_m"), 0.006);
    }
}

/// Above 20 km, where the air warms again: the ICAO standard atmosphere of 1993 as ambiance 1.3.1 computes it, by geometric altitude.
/// Columns: m, K, Pa, kg/m³, m/s.
#[test]
fn agrees_with_an_independent_program_above_20_km() {
    let published = [
        (22_000.0, 218.574_123, 4_047.485_36, 0.064_509_64, 296.376_890),
        (25_000.0, 221.552_065, 2_549.212_93, 0.040_083_76, 298.389_039),
        (30_000.0, 226.509_084, 1_197.026_28, 0.018_410_10, 301.708_660),
        (32_000.0, 228.489_719, 889.060_248, 0.013_555_10, 303.024_886),
    ];
    for (metres, temperature, pressure, density, sound) in published {
        let air = at(metres);
        close("temperature", air.temperature.si(), temperature, 5e-5);
        close("pressure", air.pressure.si(), pressure, 5e-5);
        close("density", air.density.si(), density, 5e-5);
        close("sound", air.speed_of_sound.si(), sound, 5e-5);
    }
}

/// *Mechanical Engineers' Handbook*, vol. 4, table 6, by geometric altitude.
#[test]
fn agrees_with_the_printed_table_in_metres() {
    let mut checked = 0;
    for row in rows("atmosphere.csv").iter().filter(|r| r.maybe("printed_T_K").is_some()) {
        let air = at(row.number("geometric_m"));
        rounds_to("temperature", air.temperature.si(), row.text("printed_T_K"));
        rounds_to("pressure", air.pressure.si() / 1e5, row.text("printed_p_bar"));
        rounds_to("density", air.density.si(), row.text("printed_rho"));
        if row.text("geometric_m") == "5000" {
            // The book prints 320.6 where its neighbours and the closed form give 320.545: a slip in its last digit.
            near("sound", air.speed_of_sound.si(), row.number("printed_a"), 0.1);
        } else {
            rounds_to("sound", air.speed_of_sound.si(), row.text("printed_a"));
        }
        checked += 1;
    }
    assert_eq!(checked, 4);
}

/// A general engineering table in feet, by geometric altitude although its heading says otherwise.
#[test]
fn agrees_with_the_printed_table_in_feet() {
    for row in rows("atmosphere_imperial.csv") {
        let air = at(row.number("geometric_ft") * FOOT);
        let fahrenheit = air.temperature.si() * 1.8 - 459.67;
        if row.text("geometric_ft") == "20000" {
            // −12.2549 °F stands as −12.26: three decimals, −12.255, were rounded once more. One unit of the last digit then.
            near("temperature", fahrenheit, row.number("printed_T_F"), 0.01);
        } else {
            rounds_to("temperature", fahrenheit, row.text("printed_T_F"));
        }
        near("temperature", fahrenheit, row.number("T_F"), 6e-4);
        rounds_to("pressure", air.pressure.si() / PSI, row.text("printed_p_psi"));
        rounds_to("density", air.density.si() / 515.378_818 * 1e4, row.text("printed_rho"));
        rounds_to("viscosity", air.viscosity / 47.880_259 * 1e7, row.text("printed_mu"));
        close("sound", air.speed_of_sound.si() / FOOT, row.number("a_ft_s"), 1e-5);
    }
}

/// The barometric formula of ISO 2533 solved for height.
#[test]
fn pressure_altitude_agrees_with_the_closed_form() {
    for row in rows("pressure_altitude.csv") {
        let height = atmosphere::pressure_altitude(Pressure::from_si(row.number("p_Pa"))).unwrap();
        near(row.text("p_Pa"), height.si(), row.number("geopotential_m"), 0.05);
    }
}

/// A pressure made at a height leads back to that height, in each layer and at both ends.
#[test]
fn pressure_altitude_is_the_inverse() {
    for metres in [
        -5000.0, -400.0, 0.0, 1.0, 9000.0, 11_019.0, 11_020.0, 15_000.0, 20_063.0, 20_064.0, 28_000.0,
        32_000.0,
    ] {
        let back = atmosphere::pressure_altitude(at(metres).pressure).unwrap();
        near("height", atmosphere::geometric(back).si(), metres, 1e-5);
    }
}

/// The standard's own sea-level values hold at zero, and a hot day thins the air by the ratio of absolute temperatures.
#[test]
fn a_hot_day_thins_the_air() {
    let standard = at(0.0);
    let hot =
        atmosphere::of(standard.pressure, Temperature::from_si(1.1 * standard.temperature.si())).unwrap();
    close("density", hot.density.si(), standard.density.si() / 1.1, 1e-12);
    close("sound", hot.speed_of_sound.si(), standard.speed_of_sound.si() * 1.1_f64.sqrt(), 1e-12);
}

#[test]
fn refuses_what_it_does_not_know() {
    for metres in [-5000.1, 32_000.1, f64::NAN, f64::INFINITY, -f64::INFINITY, 1e308] {
        assert!(atmosphere::at(Length::from_si(metres)).is_err(), "{metres}");
    }
    for pascals in [0.0, -1.0, 1.0, 2e5, f64::NAN, f64::INFINITY] {
        assert!(atmosphere::pressure_altitude(Pressure::from_si(pascals)).is_err(), "{pascals}");
    }
    assert!(atmosphere::of(Pressure::from_si(1e5), Temperature::from_si(0.0)).is_err());
    assert!(atmosphere::of(Pressure::from_si(0.0), Temperature::from_si(288.0)).is_err());
}

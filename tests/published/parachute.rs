//! Parachutes against evaluations apart from this program of the published equations (source column).

use crate::sheet::{Row, close, near, rows};
use holdpoint::engineering::atmosphere;
use holdpoint::engineering::parachute::{self, Band, Opening};
use holdpoint::quantity::{Area, Density, Energy, Length, Mass, Speed, Time};
use std::f64::consts::PI;

const FOOT: f64 = 0.3048;
const POUND: f64 = 0.453_592_37;
const FOOT_POUND: f64 = FOOT * POUND * 9.806_65;
const MILE_PER_HOUR: f64 = 0.447_04;

/// The number after `name` and `=` or a space in the inputs of a row.
fn input(row: &Row, name: &str) -> f64 {
    let cell = row.text("inputs");
    let item = cell.split(';').map(str::trim).find_map(|item| item.strip_prefix(name)).unwrap();
    let number = item.trim_start_matches(['=', ' ']);
    number.split(' ').next().unwrap().parse().unwrap()
}

fn of_type<'a>(table: &'a [Row], entity_type: &str, count: usize) -> Vec<&'a Row> {
    let rows: Vec<_> = table.iter().filter(|row| row.text("kind") == entity_type).collect();
    assert_eq!(rows.len(), count, "{entity_type}");
    rows
}

fn density(geopotential: f64) -> Density {
    atmosphere::at(atmosphere::geometric(Length::from_si(geopotential))).unwrap().density
}

#[test]
fn rates_of_descent_agree_with_the_table() {
    let table = rows("parachute.csv");
    for row in of_type(&table, "descent", 5) {
        let mass = Mass::from_si(input(row, "m"));
        let canopy = parachute::round_canopy(input(row, "Cd0"), Length::from_si(input(row, "D0"))).unwrap();
        let rho = density(input(row, "h"));
        let rate = parachute::descent_rate(mass, canopy, rho).unwrap();
        close(row.text("inputs"), rate.si(), row.number("value"), 1e-4);
        close("turned round", parachute::drag_area_for(mass, rate, rho).unwrap().si(), canopy.si(), 1e-12);
    }
    for row in of_type(&table, "sizing", 2) {
        let (mass, rate) = (Mass::from_si(input(row, "m")), Speed::from_si(input(row, "v")));
        let area = parachute::drag_area_for(mass, rate, density(input(row, "h"))).unwrap();
        let diameter = (4.0 / PI * area.si() / input(row, "Cd0")).sqrt();
        close(row.text("inputs"), diameter, row.number("value"), 1e-4);
    }
}

#[test]
fn landing_speeds_agree_with_the_table() {
    for row in of_type(&rows("parachute.csv"), "landing_KE", 3) {
        let mass = Mass::from_si(input(row, "section weight") * POUND);
        let energy = Energy::from_si(input(row, "KE limit") * FOOT_POUND);
        let speed = parachute::speed_within(mass, energy).unwrap();
        close(row.text("inputs"), speed.si() / FOOT, row.number("value"), 1e-4);
        close("back", parachute::landing_energy(mass, speed).unwrap().si(), energy.si(), 1e-12);
    }
}

#[test]
fn time_and_drift_agree_with_the_table() {
    for row in of_type(&rows("parachute.csv"), "descent_time_drift", 2) {
        let feet = |name| Length::from_si(input(row, name) * FOOT);
        let inputs = row.text("inputs");
        let rates: Vec<f64> = inputs
            .split(';')
            .filter(|item| item.ends_with("ft/s"))
            .map(|item| item.trim().split(' ').nth(1).unwrap().parse().unwrap())
            .collect();
        let [drogue, main] = rates[..] else { panic!("{inputs}") };
        let fall = |h, rate: f64| parachute::time_at(h, Speed::from_si(rate * FOOT)).unwrap();
        let time = fall(feet("apogee") - feet("main"), drogue) + fall(feet("main"), main);
        close(inputs, time.si(), row.number("value"), 1e-4);
        let drift =
            parachute::drift(Speed::from_si(input(row, "wind") * MILE_PER_HOUR), time).unwrap().si() / FOOT;
        let published: f64 = row.text("secondary").split(' ').nth(1).unwrap().parse().unwrap();
        close("drift", drift, published, 1e-4);
    }
}

#[test]
fn the_reduction_agrees_with_the_integrated_equation() {
    for row in of_type(&rows("parachute.csv"), "X1", 9) {
        let ballistic = input(row, "ballistic parameter A");
        let growth = input(row, "drag-area growth (t/tf)^");
        near(row.text("inputs"), parachute::reduction(ballistic, growth).unwrap(), row.number("value"), 1e-5);
    }
    // More values integrated apart from this program.
    for (ballistic, growth, x1) in [
        (0.02, 1.0, 0.064952),
        (0.3, 1.0, 0.251558),
        (10.0, 1.0, 0.907029),
        (0.1, 2.0, 0.125471),
        (3.0, 2.0, 0.81),
    ] {
        near("X1", parachute::reduction(ballistic, growth).unwrap(), x1, 1e-5);
    }
}

/// The two branches meet at t* = 1, the reduction grows with the ballistic parameter and never passes 1.
#[test]
fn the_reduction_is_continuous_and_bounded() {
    for j in [1.0, 2.0, 3.0] {
        let edge = (j + 2.0) / (j * (j + 1.0));
        let at = |a| parachute::reduction(a, j).unwrap();
        close("branches", at(edge * (1.0 - 1e-9)), at(edge * (1.0 + 1e-9)), 1e-6);
        assert!(at(0.01) < at(0.1) && at(0.1) < at(1.0) && at(1.0) < at(100.0) && at(1e9) <= 1.0);
    }
}

#[test]
fn opening_forces_agree_with_the_table() {
    for row in of_type(&rows("parachute.csv"), "opening_shock", 3) {
        let diameter = Length::from_si(input(row, "D0"));
        let opening = Opening {
            drag_area: parachute::round_canopy(input(row, "Cd0"), diameter).unwrap(),
            diameter,
            mass: Mass::from_si(input(row, "m")),
            speed: Speed::from_si(input(row, "v1")),
            density: density(input(row, "h")),
            force_coefficient: input(row, "Cx"),
            fill_constant: input(row, "n"),
            growth: input(row, "j"),
        };
        let pull = parachute::opening_force(&opening).unwrap();
        close(row.text("inputs"), pull.force.si(), row.number("value"), 1e-3);
        let said = |name: &str| -> f64 {
            let item =
                row.text("secondary").split(';').find_map(|item| item.trim().strip_prefix(name)).unwrap();
            item.trim_start_matches(['=', ' ']).split(' ').next().unwrap().parse().unwrap()
        };
        close("A", pull.ballistic, said("A="), 1e-3);
        close("X1", pull.reduction, said("X1="), 1e-3);
        close("fill time", pull.fill_time.si(), said("tf="), 1e-3);
        close("bound", pull.bound.si(), said("infinite-mass bound"), 1e-3);
        let (cx, n) = (opening.force_coefficient, opening.fill_constant);
        let band = |cx, n| parachute::opening_force_band(&opening, cx, n).unwrap();
        let point = band(Band { low: cx, high: cx }, Band { low: n, high: n });
        assert_eq!((point.low, point.high), (pull.force, pull.force));
        let wide = band(Band { low: 0.9 * cx, high: 1.1 * cx }, Band { low: n / 2.0, high: 2.0 * n });
        assert!(wide.low < pull.force && pull.force < wide.high && wide.high < pull.bound * 1.1);
    }
}

#[test]
fn a_band_of_drag_gives_a_band_of_rates() {
    let (mass, rho) = (Mass::from_si(5.0), Density::from_si(1.225));
    let area = Band { low: Area::from_si(1.0), high: Area::from_si(4.0) };
    let band = parachute::descent_rate_band(mass, area, rho).unwrap();
    close("four times the area", band.high.si(), 2.0 * band.low.si(), 1e-12);
    let upside_down = Band { low: area.high, high: area.low };
    assert!(parachute::descent_rate_band(mass, upside_down, rho).is_err());
}

#[test]
fn refuses_what_makes_no_sense() {
    let (mass, area, rho) = (Mass::from_si(5.0), Area::from_si(1.0), Density::from_si(1.2));
    assert!(parachute::round_canopy(0.0, Length::from_si(1.0)).is_err());
    assert!(parachute::descent_rate(Mass::from_si(0.0), area, rho).is_err());
    assert!(parachute::descent_rate(mass, Area::from_si(f64::NAN), rho).is_err());
    assert!(parachute::drag_area_for(mass, Speed::from_si(0.0), rho).is_err());
    assert!(parachute::time_at(Length::from_si(1.0), Speed::from_si(0.0)).is_err());
    assert!(parachute::drift(Speed::from_si(-1.0), Time::from_si(1.0)).is_err());
    assert!(parachute::landing_energy(mass, Speed::from_si(-1.0)).is_err());
    assert!(parachute::speed_within(mass, Energy::from_si(0.0)).is_err());
    assert!(parachute::reduction(0.0, 2.0).is_err() && parachute::reduction(1.0, 0.0).is_err());
}

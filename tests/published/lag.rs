//! The lag of a bay along a trajectory against an integration by another program, and against the closed form.

use crate::sheet::{Row, close, near, rows};
use holdpoint::engineering::lag::{self, BayLag, Waypoint};
use holdpoint::engineering::venting::{self, VentedBay};
use holdpoint::engineering::{STANDARD_GRAVITY, atmosphere};
use holdpoint::quantity::{Area, Length, Speed, Temperature, Time, Volume};

const INCH: f64 = 0.0254;

fn bay(row: &Row) -> VentedBay {
    let hole = Length::from_si(row.number("hole_dia_in") * INCH);
    VentedBay {
        volume: Volume::from_si(row.number("V_in3") * INCH.powi(3)),
        vents: venting::hole_area(hole, row.number("n_holes") as u32).unwrap(),
        discharge_coefficient: row.number("Cd"),
        temperature: Temperature::from_si(288.15),
    }
}

/// A trajectory in geopotential height, in points a twentieth of a second apart.
fn way(height: impl Fn(f64) -> (f64, f64), end: f64) -> Vec<Waypoint> {
    let count = (end / 0.05).ceil() as u32;
    let point = |i: u32| {
        let t = end * f64::from(i) / f64::from(count);
        let (h, v) = height(t);
        let altitude = atmosphere::geometric(Length::from_si(h));
        // dZ/dH = (r₀/(r₀ − H))².
        let stretch = (1.0 / (1.0 - h / atmosphere::EARTH_RADIUS)).powi(2);
        Waypoint { time: Time::from_si(t), altitude, climb: Speed::from_si(v * stretch) }
    };
    (0..=count).map(point).collect()
}

fn row(case: &str) -> Row {
    rows("vent_lag.csv").into_iter().find(|r| r.text("case") == case).unwrap()
}

/// Steady climbs V1, V3 and V4: SciPy's LSODA with a relative tolerance of 1e-10 and the full compressible orifice.
#[test]
fn lag_at_the_end_of_a_climb_agrees_with_another_program() {
    for case in ["V1", "V3", "V4"] {
        let row = row(case);
        let v = row.number("v_m_s");
        let points = way(|t| (v * t, v), row.number("H_m") / v);
        let found = lag::along(&bay(&row), &points).unwrap();
        close(case, found.last.pressure.si(), row.number("dp_Pa"), 0.002);
        close(case, found.last.height.si(), row.number("lag_m"), 0.002);
        assert_eq!(found.lowest_at, None, "{case}: the bay still breathes out");
    }
}

/// V8, a coast without drag from 250 m/s at 500 m: the lag is 44.3343 m at 1.295 s and gone at apogee, and the pressure of the bay is lowest
/// 0.0002 s after it. The same program.
#[test]
fn lag_is_gone_at_apogee() {
    let row = row("V8");
    assert!(row.text("closed_form_lag_m / note").contains("3686.613"));
    let figures = row.text("lag_m").to_owned() + row.text("closed_form_dp_Pa / note");
    assert!(figures.contains("max lag 44.3343 at t=1.295s"), "{figures}");
    let (v, g) = (row.number("v_m_s"), STANDARD_GRAVITY);
    let apogee = v / g;
    let coast = |t: f64| (500.0 + v * t - g * t * t / 2.0, v - g * t);
    let found = lag::along(&bay(&row), &way(coast, apogee + 2.0)).unwrap();
    close("greatest", found.greatest.height.si(), 44.334_3, 0.002);
    near("when", found.greatest_at.si(), 1.295, 0.02);
    near("lowest", found.lowest_at.unwrap().si(), apogee + 0.000_2, 0.02);
    let at_apogee = lag::along(&bay(&row), &way(coast, apogee)).unwrap();
    near("at apogee", at_apogee.last.height.si(), 0.0, 0.001);
}

/// A bay that is all but sealed keeps the pressure of the ground: the sealed bay of `venting`.
#[test]
fn a_bay_without_breath_keeps_its_pressure() {
    let sealed = VentedBay {
        volume: Volume::from_si(1.0),
        vents: Area::from_si(1e-12),
        discharge_coefficient: 0.6,
        temperature: Temperature::from_si(288.15),
    };
    // High enough that the flow is choked on the way.
    let points = way(|t| (300.0 * t, 300.0), 40.0);
    let found = lag::along(&sealed, &points).unwrap();
    let held = venting::trapped_pressure(points[0].altitude, points.last().unwrap().altitude).unwrap();
    close("held", found.last.pressure.si(), held.si(), 1e-6);
    close("as height", found.last.height.si(), 12_000.0, 1e-6);
}

/// A bay of five litres with a hole of 20 mm²; its volume and that area in SI.
fn small_bay() -> (VentedBay, f64, f64) {
    let (volume, area) = (5e-3, 2e-5);
    let bay = VentedBay {
        volume: Volume::from_si(volume),
        vents: Area::from_si(area),
        discharge_coefficient: 0.6,
        temperature: Temperature::from_si(288.15),
    };
    (bay, volume, area)
}

/// A point of a trajectory that is level there.
fn level((time, altitude): (f64, f64)) -> Waypoint {
    Waypoint { time: Time::from_si(time), altitude: Length::from_si(altitude), climb: Speed::from_si(0.0) }
}

/// A choked orifice empties a bay by the exponential of the closed form: p = p₀ exp(−Cd A √(γ R T) (2/(γ+1))^((γ+1)/(2(γ−1))) t/V).
#[test]
fn a_choked_bay_empties_by_the_closed_form() {
    // A climb so fast that it is over before the bay has lost a thousandth, then level at 20 km, where the ratio is 0.055.
    let rise = 1e-3;
    let points = [(0.0, 0.0), (rise, 20_000.0), (rise + 2.0, 20_000.0)].map(level);
    let (bay, volume, area) = small_bay();
    let found = lag::along(&bay, &points).unwrap();
    let inside = found.last.pressure.si() + atmosphere::at(Length::from_si(20_000.0)).unwrap().pressure.si();
    let gas = (1.4 * atmosphere::AIR_GAS_CONSTANT * 288.15_f64).sqrt();
    let choked = 0.6 * area / volume * gas * (2.0 / 2.4_f64).powf(3.0);
    // The rise itself flows for some of its millisecond: between none and all of it.
    let (most, least) = (101_325.0 * (-choked * 2.0).exp(), 101_325.0 * (-choked * (2.0 + rise)).exp());
    assert!(inside < most * (1.0 + 5e-4) && inside > least * (1.0 - 5e-4), "{least} {inside} {most}");
}

/// A choked orifice fills a bay evenly, by what the air outside can give: dp/dt = p₀ Cd A √(γ R T)/V (2/(γ+1))^((γ+1)/(2(γ−1))), as long as
/// the pressure inside is below 0.528 of that outside. The same flow as above, from the other side.
#[test]
fn a_choked_bay_fills_by_the_closed_form() {
    // Down from 20 km in a thousandth of a second, then at rest on the ground for half a second.
    let fall = 1e-3;
    let points = [(0.0, 20_000.0), (fall, 0.0), (fall + 0.5, 0.0)].map(level);
    let (bay, volume, area) = small_bay();
    let found = lag::along(&bay, &points).unwrap();
    let ground = 101_325.0;
    let inside = found.last.pressure.si() + ground;
    let gas = (1.4 * atmosphere::AIR_GAS_CONSTANT * 288.15_f64).sqrt();
    let filled = ground * 0.6 * area / volume * gas * (2.0 / 2.4_f64).powf(3.0);
    let first = atmosphere::at(Length::from_si(20_000.0)).unwrap().pressure.si();
    let (least, most) = (first + filled * 0.5, first + filled * (0.5 + fall));
    assert!(most < 0.528 * ground, "choked to the end");
    assert!(inside > least * (1.0 - 5e-4) && inside < most * (1.0 + 5e-4), "{least} {inside} {most}");
}

/// More vent area never lags more.
#[test]
fn a_larger_vent_lags_less() {
    let lag = |area: f64| -> BayLag {
        let bay = VentedBay {
            volume: Volume::from_si(5e-3),
            vents: Area::from_si(area),
            discharge_coefficient: 0.6,
            temperature: Temperature::from_si(288.15),
        };
        let climb = |t: f64| (200.0 * t - 10.0 * t * t, 200.0 - 20.0 * t);
        lag::along(&bay, &way(climb, 10.0)).unwrap()
    };
    let mut before = f64::INFINITY;
    for area in [1e-7, 1e-6, 3e-6, 1e-5, 3e-5, 1e-4, 1e-3] {
        let height = lag(area).greatest.height.si();
        assert!(height < before, "{area}: {height}, before {before}");
        before = height;
    }
}

#[test]
fn refuses_what_makes_no_sense() {
    let good = bay(&row("V1"));
    let points = way(|t| (100.0 * t, 100.0), 1.0);
    assert!(lag::along(&good, &points).is_ok());
    assert!(lag::along(&good, &[]).is_err());
    assert!(lag::along(&good, &points[..1]).is_err());
    let back: Vec<_> = points.iter().rev().copied().collect();
    assert!(lag::along(&good, &back).is_err());
    assert!(lag::along(&VentedBay { volume: Volume::from_si(0.0), ..good }, &points).is_err());
    assert!(lag::along(&VentedBay { vents: Area::from_si(-1.0), ..good }, &points).is_err());
    assert!(lag::along(&VentedBay { discharge_coefficient: f64::NAN, ..good }, &points).is_err());
    assert!(lag::along(&VentedBay { temperature: Temperature::from_si(0.0), ..good }, &points).is_err());
    assert!(lag::along(&good, &way(|t| (40_000.0 * t, 40_000.0), 1.0)).is_err());
}

//! Falls through the air of a day: against closed forms, tables of drag coefficients and the seventh-root profile of the wind.

use holdpoint::engineering::fall::{self, Day, Stretch, Wind};
use holdpoint::engineering::{atmosphere, parachute};
use holdpoint::quantity::{Area, Length, Mass, Speed, TemperatureDifference};
use proptest::prelude::*;

use super::sheet::{close, rows};

const G: f64 = 9.806_65;

fn day(field: f64, warmer: f64, wind: Wind) -> Day {
    Day { field: Length::from_si(field), warmer: TemperatureDifference::from_si(warmer), wind }
}

/// The wind of a mast of 10 m.
fn open_ground(wind: f64) -> Wind {
    Wind::OpenGround { speed: Speed::from_si(wind), measured_at: Length::from_si(10.0) }
}

fn calm() -> Day {
    day(0.0, 0.0, Wind::Steady(Speed::from_si(0.0)))
}

fn fallen(mass: Mass, drag_area: Area, from: Length, to: Length) -> f64 {
    fall::fall(&Stretch { mass, drag_area, from, to }, &calm()).unwrap().time.si()
}

/// In the isothermal layer the density falls with e^(−H/h), h = R T/g₀, and the time has a closed form:
/// t = (2 h/v₁)(1 − e^(−ΔH/2 h)) with the rate v₁ at the bottom.
#[test]
fn the_fall_through_an_isothermal_layer_has_its_closed_form() {
    let (mass, canopy) = (Mass::from_si(10.0), Area::from_si(1.0));
    let (low, high) = (Length::from_si(12_000.0), Length::from_si(19_000.0));
    let time = fallen(mass, canopy, high, low);
    let scale = 287.053 * 216.65 / 9.806_65;
    let rise = atmosphere::geopotential(high).si() - atmosphere::geopotential(low).si();
    let bottom = parachute::descent_rate(mass, canopy, atmosphere::at(low).unwrap().density).unwrap().si();
    let geopotential_time = 2.0 * scale / bottom * (1.0 - (-rise / (2.0 * scale)).exp());
    // A geometric metre is (1 + Z/r₀)² geopotential ones: between 0.38 and 0.60 % here.
    let ratio = time / geopotential_time;
    assert!((1.0038..1.0060).contains(&ratio), "{ratio}");
    assert_eq!(fallen(mass, canopy, low, low), 0.0);
    // A thin layer falls at the rate of its own air.
    let thin = fallen(mass, canopy, Length::from_si(12_001.0), low);
    close("thin layer", thin, 1.0 / bottom, 1e-4);
}

/// A wind as `data/descent_reference.py` writes it.
fn wind_of(words: &str) -> Wind {
    let (kind, sizes) = words.split_once(' ').unwrap();
    let speed = |text: &str| Speed::from_si(text.parse().unwrap());
    match kind {
        "steady" => Wind::Steady(speed(sizes)),
        "ground" => open_ground(sizes.parse().unwrap()),
        _ => {
            let pair = |text: &str| {
                let (height, wind) = text.split_once(':').unwrap();
                (Length::from_si(height.parse().unwrap()), speed(wind))
            };
            Wind::by_heights(Speed::from_si(0.0), &sizes.split(';').map(pair).collect::<Vec<_>>()).unwrap()
        }
    }
}

/// Falls through up to 14 km of air, on warm and cold days, in three sorts of wind: SciPy's quadrature to 1e-12, written apart from this
/// program (`data/descent_reference.py`). Beside a fall from rest by Newton's second law, which that script integrates too, the steady
/// speed leaves out less than two seconds: the time that it takes to come to it.
#[test]
fn falls_agree_with_another_program() {
    let all = rows("descent_reference.csv");
    assert_eq!(all.len(), 7);
    for row in all {
        let number = |head: &str| row.number(head);
        let day = day(number("field_m"), number("warmer_K"), wind_of(row.text("wind")));
        let (mass, drag_area) = (Mass::from_si(number("mass_kg")), Area::from_si(number("drag_area_m2")));
        let (from, to) = (Length::from_si(number("from_m")), Length::from_si(number("to_m")));
        let found = fall::fall(&Stretch { mass, drag_area, from, to }, &day).unwrap();
        close("time", found.time.si(), number("time_s"), 1e-6);
        close("drift", found.drift.si(), number("drift_m"), 1e-6);
        close("rate", fall::rate(mass, drag_area, to, &day).unwrap().si(), number("rate_at_end_m_s"), 1e-6);
        let late = number("time_from_rest_s") - found.time.si();
        assert!((0.0..2.0).contains(&late), "{late}");
    }
}

/// The seventh-root profile: *Glossary of Meteorology*, American Meteorological Society; the ratios are powers by hand.
#[test]
fn the_wind_grows_as_the_seventh_root() {
    let at = |height: f64| open_ground(10.0).at(Length::from_si(height)).si();
    close("100 m", at(100.0), 13.895, 1e-4);
    close("300 m", at(300.0), 16.256_1, 1e-4);
    close("at the mast", at(10.0), 10.0, 1e-12);
    // Below the mast the stated wind stands: it is not read lower than it was stated.
    close("below", at(2.0), 10.0, 1e-12);
    // The mean of a layer is 7/8 of the wind on its top, but for the lowest ten metres; a fall at a steady rate tells it. In thin
    // slices the density does not change, so that the rate is steady within a few percent over 300 m.
    let stretch = Stretch {
        mass: Mass::from_si(10.0),
        drag_area: Area::from_si(1.0),
        from: Length::from_si(300.0),
        to: Length::from_si(0.0),
    };
    let fall = fall::fall(&stretch, &day(0.0, 0.0, open_ground(10.0))).unwrap();
    close("mean of a layer", fall.drift.si() / fall.time.si(), 0.875 * 16.256_1, 0.01);
}

/// A steady wind carries as far as wind times time says.
#[test]
fn a_steady_wind_carries_by_the_time() {
    let stretch = Stretch {
        mass: Mass::from_si(6.0),
        drag_area: Area::from_si(0.7),
        from: Length::from_si(1_800.0),
        to: Length::from_si(150.0),
    };
    let fall = fall::fall(&stretch, &day(380.0, 7.0, Wind::Steady(Speed::from_si(4.0)))).unwrap();
    close("drift", fall.drift.si(), 4.0 * fall.time.si(), 1e-12);
}

/// On a warmer day the air is thinner by the ratio of the absolute temperatures (ideal gas), and the fall faster by its root.
#[test]
fn warm_air_lets_fall_faster_by_the_root_of_the_temperatures() {
    let (mass, area, ground) = (Mass::from_si(8.0), Area::from_si(3.0), Length::from_si(0.0));
    let standard = fall::rate(mass, area, ground, &calm()).unwrap().si();
    close("standard", standard, (2.0 * 8.0 * G / (1.225 * 3.0)).sqrt(), 1e-4);
    let warm = day(0.0, 25.0, Wind::Steady(Speed::from_si(0.0)));
    let hot = fall::rate(mass, area, ground, &warm).unwrap().si();
    close("warm", hot / standard, (313.15_f64 / 288.15).sqrt(), 1e-6);
}

/// Drag areas of a body that falls by itself. Coefficients: cylinder across the flow 0.3 (beyond the drop of drag: A. Roshko, *J. Fluid
/// Mech.* 10 (1961) 345) to 1.2 on diameter × length and plate 1.17 on its area (*Aeronautical Engineer's Data Book*, p. 95); the sum
/// by hand for 9 kg, 0.1016 × 2.0 m and two fins of 0.015 m².
#[test]
fn a_body_by_itself_falls_within_its_band() {
    let fin = Area::from_si(0.015);
    let (low, high) = fall::body_drag_area(Length::from_si(0.1016), Length::from_si(2.0), fin).unwrap();
    close("mean of the cube of the sine", low.si(), 0.3 * 0.424_413 * 0.1016 * 2.0, 1e-5);
    let (mass, ground) = (Mass::from_si(9.0), Length::from_si(0.0));
    close("slowest", fall::rate(mass, high, ground, &calm()).unwrap().si(), 22.728_6, 1e-4);
    close("fastest", fall::rate(mass, low, ground, &calm()).unwrap().si(), 74.629_7, 1e-4);
    let drogue = parachute::round_canopy(0.75, Length::from_si(0.609_6)).unwrap();
    close("drogue alone", fall::rate(mass, drogue, ground, &calm()).unwrap().si(), 25.657_1, 1e-4);
    close("with the body", fall::rate(mass, drogue + high, ground, &calm()).unwrap().si(), 17.013_1, 1e-4);
    assert!(fall::body_drag_area(Length::from_si(0.0), Length::from_si(2.0), fin).is_err());
}

/// From rest the speed first follows √(2 g h), and ends at the terminal speed; between, v = vₜ tanh(g t/vₜ) after the time t that the
/// height h = (vₜ²/g) ln cosh(g t/vₜ) takes (closed forms of quadratic drag).
#[test]
fn a_fall_from_rest_follows_its_closed_form() {
    let (mass, area, ground) = (Mass::from_si(9.0), Area::from_si(0.026), Length::from_si(0.0));
    let terminal = fall::rate(mass, area, ground, &calm()).unwrap().si();
    for time in [0.5, 3.0, 10.0] {
        let height = terminal * terminal / G * (G * time / terminal).cosh().ln();
        let speed = fall::speed_after(mass, area, Length::from_si(height), ground, &calm()).unwrap().si();
        close("after some time", speed, terminal * (G * time / terminal).tanh(), 1e-9);
    }
    let short = fall::speed_after(mass, area, Length::from_si(0.01), ground, &calm()).unwrap().si();
    close("at first", short, (2.0 * G * 0.01_f64).sqrt(), 1e-4);
    let long = fall::speed_after(mass, area, Length::from_si(30_000.0), ground, &calm()).unwrap().si();
    close("at last", long, terminal, 1e-6);
    assert!(fall::speed_after(mass, area, Length::from_si(-1.0), ground, &calm()).is_err());
}

/// How much gravity adds to the pull of a canopy that fills on a load falling straight down: the equation of motion
/// m dv/dt = m g − ½ ρ CdS (t/t_f)² v² integrated here by small steps, against the factor that the rules use, 1 + 1.25 g t_f/v.
#[test]
fn gravity_adds_to_the_opening_as_the_rules_say() {
    let peak = |ballistic: f64, gravity: f64| {
        // In units of the speed at line stretch and of the fill time: dv/ds = gravity − s² v²/ballistic, force s² v².
        let (steps, mut v, mut most) = (40_000, 1.0_f64, 0.0_f64);
        for step in 0..2 * steps {
            let s = (f64::from(step) + 0.5) / f64::from(steps);
            let area = (s * s).min(1.0);
            most = most.max(area * v * v);
            v += (gravity - area * v * v / ballistic) / f64::from(steps);
        }
        most
    };
    for (gravity, published) in [(0.1, 1.122_61), (0.2, 1.250_25), (0.4, 1.517_17)] {
        let ratio = peak(0.2273, gravity) / peak(0.2273, 0.0);
        close("integrated", ratio, published, 5e-3);
        close("the rules' factor", 1.0 + 1.25 * gravity, ratio, 0.02);
    }
}

#[test]
fn what_makes_no_sense_is_refused() {
    let (mass, area) = (Mass::from_si(1.0), Area::from_si(1.0));
    let stretch = |from: f64, to: f64| Stretch {
        mass,
        drag_area: area,
        from: Length::from_si(from),
        to: Length::from_si(to),
    };
    assert!(fall::fall(&stretch(10.0, 20.0), &calm()).is_err());
    assert!(fall::fall(&stretch(1e6, 0.0), &calm()).is_err());
    assert!(fall::fall(&Stretch { mass: Mass::from_si(0.0), ..stretch(10.0, 0.0) }, &calm()).is_err());
    assert!(fall::rate(mass, Area::from_si(f64::NAN), Length::from_si(0.0), &calm()).is_err());
}

proptest! {
    #[test]
    fn more_canopy_never_lands_faster_and_more_wind_never_drifts_less(
        mass in 0.2_f64..40.0, area in 0.05_f64..12.0, more in 1.0_f64..3.0,
        from in 100.0_f64..5_000.0, wind in 0.0_f64..12.0, windier in 1.0_f64..2.0,
    ) {
        let stretch = |area: f64| Stretch {
            mass: Mass::from_si(mass), drag_area: Area::from_si(area), from: Length::from_si(from), to: Length::from_si(0.0),
        };
        let blown = |wind: f64| day(300.0, 5.0, open_ground(wind));
        let drift = |area: f64, wind: f64| fall::fall(&stretch(area), &blown(wind)).unwrap().drift.si();
        prop_assert!(drift(area, wind * windier) >= drift(area, wind));
        prop_assert!(drift(area * more, wind) >= drift(area, wind) - 1e-9);
        let rate = |area: f64| fall::rate(Mass::from_si(mass), Area::from_si(area), Length::from_si(0.0), &blown(0.0)).unwrap().si();
        prop_assert!(rate(area * more) <= rate(area));
        // A stretch cut in two is the two together.
        let middle = Length::from_si(from / 3.0);
        let high = fall::fall(&Stretch { to: middle, ..stretch(area) }, &blown(wind)).unwrap();
        let low = fall::fall(&Stretch { from: middle, ..stretch(area) }, &blown(wind)).unwrap();
        let whole = fall::fall(&stretch(area), &blown(wind)).unwrap();
        prop_assert!((high.time.si() + low.time.si() - whole.time.si()).abs() <= 1e-6 * whole.time.si());
    }
}

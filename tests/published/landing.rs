//! Where a rocket comes down: lists of winds, and places over the ground, against sums by hand.

use holdpoint::engineering::ascent::{self, OverGround, Rail, Rocket, Site};
use holdpoint::engineering::drag::law::SteadyDrag;
use holdpoint::engineering::fall::{self, Day, Stretch, Wind};
use holdpoint::engineering::landing;
use holdpoint::engineering::thrust::ThrustCurve;
use holdpoint::quantity::{Angle, Area, Force, Length, Mass, Speed, TemperatureDifference, Time};

use super::sheet::close;

fn m(value: f64) -> Length {
    Length::from_si(value)
}

fn list(ground: f64, points: &[(f64, f64)]) -> Wind {
    let points: Vec<_> = points.iter().map(|(z, w)| (m(*z), Speed::from_si(*w))).collect();
    Wind::by_heights(Speed::from_si(ground), &points).unwrap()
}

/// Winds of 3 m/s on the ground, 6 m/s at 100 m, 12 m/s at 400 m and 10 m/s at 1000 m, by hand: half-way between the first two
/// 4.5 m/s; at 300 m, two thirds of the way from 100 to 400 m, 6 + 4 = 10 m/s; above the last 10 m/s.
#[test]
fn a_list_of_winds_goes_in_straight_lines() {
    let wind = list(3.0, &[(100.0, 6.0), (400.0, 12.0), (1000.0, 10.0)]);
    for (height, speed) in [
        (0.0, 3.0),
        (50.0, 4.5),
        (100.0, 6.0),
        (300.0, 10.0),
        (400.0, 12.0),
        (700.0, 11.0),
        (1000.0, 10.0),
        (5000.0, 10.0),
    ] {
        close(&format!("{height} m"), wind.at(m(height)).si(), speed, 1e-12);
    }
    // The mean of 50 to 700 m: 50 m at 5.25, 300 m at 9 and 300 m at 11.5 m/s, so (262.5 + 2700 + 3450) / 650.
    close("mean", wind.mean(m(50.0), m(700.0)).si(), 6412.5 / 650.0, 1e-12);
    // A list that begins on the ground has its own wind there.
    close("own ground", list(3.0, &[(0.0, 5.0), (100.0, 6.0)]).at(m(0.0)).si(), 5.0, 1e-12);
}

#[test]
fn a_list_of_winds_that_makes_no_sense_is_refused() {
    let of = |points: &[(f64, f64)]| {
        let points: Vec<_> = points.iter().map(|(z, w)| (m(*z), Speed::from_si(*w))).collect();
        Wind::by_heights(Speed::from_si(3.0), &points)
    };
    assert!(of(&[(100.0, 4.0), (100.0, 5.0)]).is_err(), "no rise");
    assert!(of(&[(300.0, 4.0), (100.0, 5.0)]).is_err(), "falling heights");
    assert!(of(&[(100.0, -4.0), (200.0, 5.0)]).is_err(), "a wind below zero");
    assert!(of(&[]).is_err(), "no height");
}

/// Through air of one density a fall at 20 m/s from 1000 m takes 15 s, 15 s and 20 s through the layers of 300, 300 and 400 m below; the mean winds
/// of the layers are 4, 7 and 9 m/s: 60 + 105 + 180 = 345 m. The density of 1000 m of standard air is not one; the mean winds are held
/// against the drift in layers so thin that it is, and the sum by the rate at the middle of each layer against the whole.
#[test]
fn a_fall_through_a_list_of_winds_drifts_by_its_layers() {
    let wind = list(3.0, &[(300.0, 5.0), (600.0, 9.0), (1000.0, 9.0)]);
    for (low, high, mean) in [(0.0, 300.0, 4.0), (300.0, 600.0, 7.0), (600.0, 1000.0, 9.0)] {
        close("mean of a layer", wind.mean(m(low), m(high)).si(), mean, 1e-12);
    }
    let day = Day { field: m(0.0), warmer: TemperatureDifference::from_si(0.0), wind };
    let (mass, drag_area) = (Mass::from_si(10.0), Area::from_si(0.4));
    let whole = fall::fall(&Stretch { mass, drag_area, from: m(1000.0), to: m(0.0) }, &day).unwrap();
    let mut by_hand = 0.0;
    for slice in 0..1000 {
        let middle = f64::from(slice) + 0.5;
        // Standard air to 11 km: ρ = 1.225 (1 − 2.25577e-5 H)^4.25588 with the geopotential height H.
        let geopotential = 6_356_766.0 * middle / (6_356_766.0 + middle);
        let density = 1.225 * (1.0 - 2.255_77e-5 * geopotential).powf(4.255_88);
        let rate = (2.0 * 10.0 * 9.806_65 / (density * 0.4)).sqrt();
        let speed = match middle {
            z if z < 300.0 => 3.0 + 2.0 * z / 300.0,
            z if z < 600.0 => 5.0 + 4.0 * (z - 300.0) / 300.0,
            _ => 9.0,
        };
        by_hand += speed / rate;
    }
    close("drift", whole.drift.si(), by_hand, 1e-5);
}

/// A wind of 4 m/s in the hand at 2 m is 5.034 m/s at 10 m (seventh-root profile: *Glossary of Meteorology*, American Meteorological
/// Society; 5^(1/7) by hand), and 6.995 m/s at 100 m.
#[test]
fn a_wind_in_the_hand_is_weaker_than_on_a_mast() {
    let wind = Wind::OpenGround { speed: Speed::from_si(4.0), measured_at: m(2.0) };
    close("10 m", wind.at(m(10.0)).si(), 5.034, 1e-4);
    close("100 m", wind.at(m(100.0)).si(), 4.0 * 50.0_f64.powf(1.0 / 7.0), 1e-12);
    // The mean of a layer from the ground, below 2 m the stated wind: 2 + (2 × 7/8) (50^(8/7) − 1) over 100 m, times 4 m/s.
    let by_hand = 4.0 * (2.0 + 2.0 * 0.875 * (50.0_f64.powf(8.0 / 7.0) - 1.0)) / 100.0;
    close("mean", wind.mean(m(0.0), m(100.0)).si(), by_hand, 1e-12);
}

/// A rail that leans to 60° clockwise from where the wind comes from, and an apogee 400 m along the lean and 100 m to the right of it:
/// upwind 400 cos 60° − 100 sin 60° = 113.397 m, to the right 400 sin 60° + 100 cos 60° = 396.410 m. Less a drift of 500 m, the place
/// is −386.603 m upwind, and √(386.603² + 396.410²) = 553.717 m from the pad.
#[test]
fn a_landing_place_is_the_lean_the_turn_and_the_drift_together() {
    let (upwind, across) =
        OverGround { along: m(400.0), across: m(100.0) }.against_wind(Angle::from_si(60_f64.to_radians()));
    close("upwind", upwind.si(), 113.397_46, 1e-7);
    close("to the right", across.si(), 396.410_16, 1e-7);
    close("from the pad", landing::distance(upwind - m(500.0), across).si(), 553.717_02, 1e-7);
    let people = landing::against_wind(m(100.0), Angle::from_si(90_f64.to_radians()));
    assert!(people.0.si().abs() < 1e-12 && (people.1.si() - 100.0).abs() < 1e-12);
}

/// The triangle (0, 0), (400, 0), (0, 300): within it nothing; from (200, −50) the lower side is 50 away; from (300, 400) the long side
/// 3x + 4y = 1200 is |900 + 1600 − 1200| / 5 = 260 away; from (−30, −40) the corner is 50 away. A triangle on one line is a line.
#[test]
fn the_distance_from_a_triangle_is_that_of_its_nearest_side() {
    let place = |x: f64, y: f64| (m(x), m(y));
    for corners in [
        [place(0.0, 0.0), place(400.0, 0.0), place(0.0, 300.0)],
        [place(0.0, 0.0), place(0.0, 300.0), place(400.0, 0.0)],
    ] {
        let from = |x: f64, y: f64| landing::from_triangle(place(x, y), corners).si();
        assert_eq!(from(100.0, 100.0), 0.0);
        close("below", from(200.0, -50.0), 50.0, 1e-12);
        close("beyond the long side", from(300.0, 400.0), 260.0, 1e-12);
        close("beside the corner", from(-30.0, -40.0), 50.0, 1e-12);
    }
    let line = [place(0.0, 0.0), place(100.0, 0.0), place(300.0, 0.0)];
    close("a line", landing::from_triangle(place(200.0, 7.0), line).si(), 7.0, 1e-12);
    close("past its end", landing::from_triangle(place(304.0, 3.0), line).si(), 5.0, 1e-12);
}

struct Case {
    thrust: ThrustCurve,
    drag: SteadyDrag,
    area: f64,
}

impl Case {
    fn new(area: f64) -> Self {
        let points = [(0.0, 300.0), (3.0, 300.0)].map(|(t, f)| (Time::from_si(t), Force::from_si(f)));
        Self { thrust: ThrustCurve::new(&points, None).unwrap(), drag: SteadyDrag::new(0.5).unwrap(), area }
    }

    fn rocket(&self) -> Rocket<'_> {
        Rocket {
            dry_mass: Mass::from_si(4.0),
            propellant: Mass::from_si(0.5),
            area: Area::from_si(self.area),
            thrust: &self.thrust,
            drag: &self.drag,
        }
    }
}

fn rail(degrees: f64) -> Rail {
    Rail { travel: m(2.0), lower_travel: None, angle: Angle::from_si(degrees.to_radians()) }
}

fn site(wind: f64, azimuth: f64) -> Site {
    let none = Speed::from_si(0.0);
    Site {
        elevation: m(0.0),
        temperature_offset: TemperatureDifference::from_si(0.0),
        wind: none,
        across: none,
    }
    .in_wind(Speed::from_si(wind), Angle::from_si(azimuth.to_radians()))
}

/// Without drag the fall is a parabola: from the apogee it takes √(2 h/g), and goes on at the level speed that it has there.
#[test]
fn without_drag_the_fall_is_a_parabola() {
    // So small an area that the drag is below a millionth of the weight.
    let case = Case::new(1e-9);
    let (rocket, rail, site) = (case.rocket(), rail(10.0), site(0.0, 0.0));
    let flight_result = ascent::fly(&rocket, &rail, &site).unwrap();
    let struck = ascent::strike(&rocket, &rail, &site, &flight_result).unwrap();
    let (height, level) = (flight_result.apogee.height.si(), flight_result.apogee.speed.si());
    let gravity = 9.806_65 * (1.0 - height / 6_371_000.0);
    let time = (2.0 * height / gravity).sqrt();
    close("time", (struck.time - flight_result.apogee.time).si(), time, 1e-4);
    close("place", struck.place.along.si(), flight_result.place.along.si() + level * time, 1e-4);
    close("speed", struck.speed.si(), (level * level + 2.0 * gravity * height).sqrt(), 1e-4);
}

/// Seen from the air the rocket flies the same way whatever side the wind comes from: an upright rocket comes as far upwind for each
/// azimuth, and one that leans across the wind goes as far to the side as the still air of its own plane says.
#[test]
fn the_side_of_the_wind_only_turns_the_flight() {
    let case = Case::new(0.005);
    let upwind = |lean: f64, azimuth: f64| {
        let (rail, site) = (rail(lean), site(5.0, azimuth));
        let flight_result = ascent::fly(&case.rocket(), &rail, &site).unwrap();
        let struck = ascent::strike(&case.rocket(), &rail, &site, &flight_result).unwrap();
        let against = |place: OverGround| {
            let (u, c) = place.against_wind(Angle::from_si(azimuth.to_radians()));
            (u.si(), c.si())
        };
        (against(flight_result.place), against(struck.place), flight_result.apogee.height.si())
    };
    let into = upwind(0.0, 0.0);
    assert!(into.0.0 > 50.0 && into.1.0 > into.0.0, "{into:?}");
    for azimuth in [40.0, 90.0, 135.0, 180.0, 300.0] {
        let turned = upwind(0.0, azimuth);
        close("apogee upwind", turned.0.0, into.0.0, 1e-5);
        assert!(turned.0.1.abs() < 1e-3 && turned.1.1.abs() < 1e-3, "{azimuth}: {turned:?}");
        close("strike upwind", turned.1.0, into.1.0, 1e-5);
        close("height", turned.2, into.2, 1e-6);
    }
    // To the right and to the left are mirror images, and both lie between the lean into the wind and with it.
    let [ahead, right, behind, left] = [0.0, 90.0, 180.0, 270.0].map(|azimuth| upwind(6.0, azimuth));
    close("mirrored", right.0.1, -left.0.1, 1e-6);
    close("mirrored upwind", right.0.0, left.0.0, 1e-6);
    assert!(behind.0.0 < right.0.0 && right.0.0 < ahead.0.0, "{behind:?} {right:?} {ahead:?}");
    assert!(right.0.1 > 50.0, "{right:?}");
    // In the limit of no wind the lean alone is left.
    let calm = ascent::fly(&case.rocket(), &rail(6.0), &site(0.0, 0.0)).unwrap();
    let breeze = ascent::fly(&case.rocket(), &rail(6.0), &site(1e-6, 90.0)).unwrap();
    close("still air", breeze.place.along.si(), calm.place.along.si(), 1e-5);
}

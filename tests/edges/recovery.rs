//! Falls, winds, parachutes, places on the ground and what many flights come to.

use holdpoint::engineering::fall::{self, Day, Stretch, Wind};
use holdpoint::engineering::landing;
use holdpoint::engineering::landing_ellipse::{self, Ellipse};
use holdpoint::engineering::parachute::{self, Opening};
use holdpoint::engineering::sample_statistics;
use holdpoint::engineering::sobol::{self, Chance, Sobol};
use holdpoint::quantity::{Area, Length, Mass, Speed, TemperatureDifference};

use super::edge::{Edge, edge, within};

type GroundPoint = (Length, Length);

fn day(field: Length, warmer: TemperatureDifference, wind: Wind) -> Day {
    Day { field, warmer, wind }
}

fn steady(field: Length, warmer: TemperatureDifference, speed: Speed) -> Day {
    day(field, warmer, Wind::Steady(speed))
}

/// A day whose wind rises from a mast: its four numbers in one.
fn of_mast([field, warmer, speed, mast]: [f64; 4]) -> Day {
    let wind = Wind::OpenGround { speed: Speed::from_si(speed), measured_at: Length::from_si(mast) };
    day(Length::from_si(field), TemperatureDifference::from_si(warmer), wind)
}

fn listed(ground: Speed, points: &[(Length, Speed)]) -> Wind {
    Wind::by_heights(ground, points).unwrap_or(Wind::Steady(ground))
}

pub(super) fn all() -> Vec<Edge> {
    vec![
        edge(
            "fall::by_heights",
            &[3.0, 300.0, 6.0, 900.0, 9.0, 500.0],
            "......",
            |ground, points: [(Length, Speed); 2], at| {
                Wind::by_heights(ground, &points).map(|wind| wind.at(at))
            },
        ),
        edge("fall::at", &[5.0, 3.0, 400.0], "+-+", |speed, measured_at: Length, at| {
            within(measured_at.si() > 0.0, || Wind::OpenGround { speed, measured_at }.at(at))
        }),
        edge("fall::mean", &[5.0, 3.0, 20.0, 400.0], "+-++", |speed, measured_at: Length, low, high| {
            within(measured_at.si() > 0.0, || Wind::OpenGround { speed, measured_at }.mean(low, high))
        }),
        edge(
            "fall::mean",
            &[3.0, 300.0, 6.0, 900.0, 9.0, 20.0, 700.0],
            ".......",
            |ground, points: [(Length, Speed); 2], low, high| {
                Wind::by_heights(ground, &points).map(|wind| wind.mean(low, high))
            },
        )
        .of_read(),
        edge("fall::density", &[200.0, 5.0, 400.0], "---", |field, warmer, height| {
            steady(field, warmer, Speed::from_si(0.0)).density(height)
        }),
        edge(
            "fall::rate",
            &[5.0, 1.2, 400.0, 200.0, 5.0],
            "+-+++",
            |mass: Mass, area: Area, height: Length, field, warmer| {
                fall::rate(mass, area, height, &steady(field, warmer, Speed::from_si(0.0)))
            },
        ),
        edge(
            "fall::fall",
            &[5.0, 1.2, 900.0, 20.0, 200.0, 5.0, 6.0],
            "-++---.",
            |stretch: Stretch, field, warmer, wind| fall::fall(&stretch, &steady(field, warmer, wind)),
        ),
        edge(
            "fall::fall",
            &[5.0, 1.2, 900.0, 20.0, 200.0, 5.0, 6.0, 4.0],
            "-++---..",
            |stretch: Stretch, day: [f64; 4]| fall::fall(&stretch, &of_mast(day)),
        ),
        edge(
            "fall::fall",
            &[5.0, 1.2, 900.0, 20.0, 3.0, 300.0, 6.0, 700.0, 9.0],
            "-++-.....",
            |stretch: Stretch, ground, points: [(Length, Speed); 2]| {
                let wind = listed(ground, &points);
                fall::fall(&stretch, &day(Length::from_si(200.0), TemperatureDifference::from_si(0.0), wind))
            },
        ),
        edge("fall::body_drag_area", &[0.1, 1.8, 0.01], "++.", fall::body_drag_area),
        edge(
            "fall::speed_after",
            &[5.0, 0.05, 300.0, 100.0, 200.0],
            "+-+++",
            |mass, area, fallen, height, field| {
                fall::speed_after(
                    mass,
                    area,
                    fallen,
                    height,
                    &steady(field, TemperatureDifference::from_si(0.0), Speed::from_si(0.0)),
                )
            },
        ),
        edge("landing::distance", &[200.0, 80.0], "++", landing::distance),
        edge("landing::against_wind", &[200.0, 0.7], "..", landing::against_wind),
        edge("landing::turned", &[200.0, 80.0, 0.7], "...", |place: GroundPoint, by| {
            landing::turned(place, by)
        }),
        edge(
            "landing::from_triangle",
            &[900.0, 700.0, 0.0, 0.0, 100.0, 0.0, 0.0, 100.0],
            "++......",
            |place: GroundPoint, corners: [GroundPoint; 3]| landing::from_triangle(place, corners),
        ),
        edge("parachute::round_canopy", &[1.5, 1.2], "++", parachute::round_canopy),
        edge("parachute::descent_rate", &[5.0, 1.2, 1.1], "+--", parachute::descent_rate),
        edge("parachute::descent_rate_band", &[5.0, 1.0, 1.4, 1.1], "+.--", parachute::descent_rate_band),
        edge("parachute::drag_area_for", &[5.0, 6.0, 1.1], "+--", parachute::drag_area_for),
        edge("parachute::time_at", &[300.0, 6.0], "+-", parachute::time_at),
        edge("parachute::drift", &[6.0, 50.0], "++", parachute::drift),
        edge("parachute::landing_energy", &[3.0, 6.0], "++", parachute::landing_energy),
        edge("parachute::speed_within", &[3.0, 100.0], "-+", parachute::speed_within),
        edge("parachute::reduction", &[3.0, 2.0], "+.", parachute::reduction),
        edge(
            "parachute::opening_force",
            &[1.2, 1.2, 5.0, 30.0, 1.1, 1.8, 8.0, 2.0],
            "..++.+-.",
            |o: Opening| parachute::opening_force(&o),
        ),
        edge(
            "parachute::opening_force_band",
            &[1.2, 1.2, 5.0, 30.0, 1.1, 1.8, 8.0, 2.0, 1.7, 1.9, 6.0, 9.0],
            "..++....+...",
            |o: Opening, x, n| parachute::opening_force_band(&o, x, n),
        ),
        edge("sobol::of", &[12.0], "#", |dimensions: u32| {
            Sobol::of(dimensions as usize).map(|s| s.coordinate(3, 2))
        }),
        edge("sobol::coordinate", &[12.0, 5.0], "##", |number: u32, dimension: u32| {
            Sobol::of(8).map(|s| s.coordinate(number, dimension as usize))
        }),
        edge("sobol::at", &[7.0], "#", |place: u32| Chance { seed: 5 }.coordinate(u64::from(place))),
        edge("sobol::between_zero_and_one", &[7.0], "#", sobol::between_zero_and_one),
        edge("sample_statistics::percentile", &[1.0, 2.0, 3.0, 0.4], "...+", |values: [f64; 3], share| {
            let mut values = values;
            values.sort_by(f64::total_cmp);
            sample_statistics::percentile(&values, share)
                .map(|value| if values.iter().all(|v| v.is_finite()) { value } else { 0.0 })
        }),
        edge("sample_statistics::histogram", &[1.0, 2.0, 3.0], "###", |values: [f64; 3]| {
            sample_statistics::histogram(&values, 4)
        }),
        edge("sample_statistics::variance_share", &[1.0, 2.0, 3.0], "...", |values: [f64; 3]| {
            let many: Vec<f64> = values.iter().cycle().take(60).copied().collect();
            let share = sample_statistics::variance_share(&many);
            if values.iter().all(|v| v.is_finite()) { share } else { 0.0 }
        }),
        edge("sample_statistics::drivers", &[1.0, 2.0, 3.0], "###", |values: [f64; 3]| {
            let many: Vec<f64> = values.iter().cycle().take(60).copied().collect();
            sample_statistics::drivers(&[sample_statistics::ascending(&many)], &many, 3, 0.02)
        }),
        edge("sample_statistics::ascending", &[1.0, 2.0, 3.0], "###", |values: [f64; 3]| {
            sample_statistics::ascending(&values)
        }),
        edge(
            "sample_statistics::samples_for_bound",
            &[0.9, 0.95],
            "##",
            sample_statistics::samples_for_bound,
        ),
        edge("landing_ellipse::farthest", &[200.0, 80.0, 50.0, 20.0, 0.5], "..+..", |e: Ellipse| {
            e.farthest()
        }),
        edge(
            "landing_ellipse::ellipse_of",
            &[1.0, 2.0, 5.0, 1.0, 3.0, 8.0, 4.0, 4.0, 0.9],
            "........#",
            |places: [GroundPoint; 4], share| landing_ellipse::ellipse_of(&[places.to_vec()], share),
        ),
    ]
}

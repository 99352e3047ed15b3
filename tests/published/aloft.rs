//! Ascents in winds that change with height against an integration in space by another program.

use crate::ascent::{Case, TOLERANCE, pairs};
use crate::sheet::{close, near, rows};
use holdpoint::engineering::ascent::{self, Accuracy};
use holdpoint::engineering::fall::Wind;
use holdpoint::quantity::{Angle, Length, Speed};

/// A wind by heights in m, in m/s.
fn by_heights(list: &[(f64, f64)]) -> Wind {
    let list: Vec<_> = list.iter().map(|(z, w)| (Length::from_si(*z), Speed::from_si(*w))).collect();
    Wind::by_heights(Speed::from_si(0.0), &list).unwrap()
}

/// Three invented rockets in two winds from rails that lean four ways: SciPy's DOP853 with a relative tolerance of 1e-11, written apart from
/// this program (`data/ascent_aloft.py`). Where the rocket stands and strikes is compared by the larger of both distances.
#[test]
fn ascents_in_winds_by_height_agree_with_another_program() {
    let all = rows("ascent_aloft.csv");
    assert_eq!(all.len(), 24);
    for row in all {
        let case = Case::of(&row);
        let azimuth = Angle::from_si(row.number("azimuth_deg").to_radians());
        let wind = by_heights(&pairs(row.text("winds")));
        let against = (&wind, azimuth);
        let top =
            ascent::fly_aloft(&case.rocket(), &case.rail, &case.site, against, Accuracy::Figures).unwrap();
        let fall = ascent::strike_aloft(&case.rocket(), &case.rail, &case.site, against, &top).unwrap();
        let what = |head: &str| {
            let [rocket, wind, lean, to] =
                ["rocket", "wind", "angle_deg", "azimuth_deg"].map(|head| row.text(head));
            format!("{rocket}, {wind}, {lean}° to {to}°: {head}")
        };
        for (head, value) in [
            ("apogee_s", top.time.si()),
            ("apogee_m", top.height.si()),
            ("airspeed_m_s", top.airspeed.si()),
            ("struck_s", fall.time.si()),
            ("struck_m_s", fall.speed.si()),
        ] {
            close(&what(head), value, row.number(head), TOLERANCE);
        }
        for (place, heads) in [
            (top.place.against_wind(azimuth), ["upwind_m", "right_m"]),
            (fall.place.against_wind(azimuth), ["struck_upwind_m", "struck_right_m"]),
        ] {
            let due = heads.map(|head| row.number(head));
            let size = due[0].abs().max(due[1].abs());
            near(&what(heads[0]), place.0.si(), due[0], TOLERANCE * size);
            near(&what(heads[1]), place.1.si(), due[1], TOLERANCE * size);
        }
    }
}

/// A list that says the same wind at every height is that wind.
#[test]
fn the_same_wind_at_every_height_comes_to_the_same() {
    for row in rows("ascent_aloft.csv") {
        let case = Case::of(&row);
        let azimuth = Angle::from_si(row.number("azimuth_deg").to_radians());
        let speed = Speed::from_si(5.0);
        let steady = case.site.in_wind(speed, azimuth);
        let flight_result = ascent::fly(&case.rocket(), &case.rail, &steady).unwrap();
        let wind = by_heights(&[(0.0, 5.0), (5000.0, 5.0)]);
        let top =
            ascent::fly_aloft(&case.rocket(), &case.rail, &case.site, (&wind, azimuth), Accuracy::Figures)
                .unwrap();
        close("height", top.height.si(), flight_result.apogee.height.si(), TOLERANCE);
        close("airspeed", top.airspeed.si(), flight_result.apogee.airspeed.si(), TOLERANCE);
        let (a, b) = (top.place.against_wind(azimuth), flight_result.place.against_wind(azimuth));
        near("upwind", a.0.si(), b.0.si(), TOLERANCE * flight_result.apogee.height.si());
        near("right", a.1.si(), b.1.si(), TOLERANCE * flight_result.apogee.height.si());
        let old = ascent::strike(&case.rocket(), &case.rail, &steady, &flight_result).unwrap();
        let new =
            ascent::strike_aloft(&case.rocket(), &case.rail, &case.site, (&wind, azimuth), &top).unwrap();
        close("struck", new.speed.si(), old.speed.si(), TOLERANCE);
        close("when", new.time.si(), old.time.si(), TOLERANCE);
    }
}

//! The flights of a spread along their time, and where they land: bands of height and speed, and areas on the field.

use crate::engineering::landing::turned;
use crate::engineering::landing_ellipse::{Ellipse, GroundPoint, ellipse_of};
use crate::engineering::sample_statistics::percentile;
use crate::model::{LandingCase, Model, Timeline};
use crate::quantity::{Angle, Length, Speed, Time};

/// Moments at which the ascents are compared.
const ASCENT_MOMENTS: u32 = 80;
/// Moments at which the whole flights are compared.
const FLIGHT_MOMENTS: u32 = 120;
/// The share of the flights that land within an area.
pub const AREA_SHARE: f64 = 0.9;

/// What nine flights in ten lie between, by time since ignition: the least and the most.
pub type Band<T> = Vec<(Time, T, T)>;

/// Flights along their time, and where they land.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SpreadCourses {
    /// Height above the field up to the highest point.
    pub heights: Band<Length>,
    /// Speed over the ground up to the highest point.
    pub speeds: Band<Speed>,
    /// Height above the field of the whole flight.
    pub flight: Band<Length>,
    /// Where nine in ten of the flights land, wherever between flying as the rail points and turning into the wind at once.
    pub areas: Vec<LandingArea>,
}

/// Where flights land.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LandingArea {
    /// What opens.
    pub case: LandingCase,
    /// The area.
    pub ellipse: Ellipse,
}

/// The moments at which flights are compared, s since ignition.
#[derive(Clone, Debug)]
pub(super) struct Moments {
    ascent: Vec<f64>,
    flight: Vec<f64>,
    /// From where the wind comes, clockwise from the side that sides are told from.
    veer: f64,
}

/// One flight at those moments.
#[derive(Clone, Debug, Default)]
pub(super) struct Flight {
    heights: Vec<f64>,
    speeds: Vec<f64>,
    flight: Vec<f64>,
    places: Vec<(LandingCase, GroundPoint)>,
}

impl Moments {
    /// Those of a flight as it is drawn; nothing where it does not fly.
    pub(super) fn of(model: &Model<'_>) -> Option<Self> {
        let top = model.fly().ok()?.calm().apogee.time.si();
        let timeline = model.timeline().ok().filter(|timeline| timeline.gap.is_none());
        let end = timeline.and_then(|timeline| timeline.trajectory.last().map(|(time, _)| time.si()));
        let up_to =
            |count: u32, end: f64| (0..=count).map(|n| end * f64::from(n) / f64::from(count)).collect();
        Some(Self {
            ascent: up_to(ASCENT_MOMENTS, top),
            flight: end.map(|end| up_to(FLIGHT_MOMENTS, end)).unwrap_or_default(),
            veer: veer(model),
        })
    }

    /// A flight at them; nothing of what is not known of it.
    pub(super) fn flight_result(&self, model: &Model<'_>) -> Flight {
        let mut found = Flight::default();
        let Ok(flight_result) = model.fly() else { return found };
        let apart = self.ascent.last().copied().unwrap_or(0.0) / f64::from(ASCENT_MOMENTS);
        let moments = flight_result.moments(Time::from_si(apart.max(0.01)));
        let line = |of: &dyn Fn(&crate::engineering::ascent::Moment) -> f64| -> Vec<(f64, f64)> {
            moments.iter().map(|moment| (moment.time.si(), of(moment))).collect()
        };
        found.heights = at_moments(&line(&|moment| moment.height.si()), &self.ascent);
        found.speeds = at_moments(&line(&|moment| moment.speed.si()), &self.ascent);
        if let Ok(Timeline { trajectory, gap: None, .. }) = model.timeline() {
            let points: Vec<(f64, f64)> =
                trajectory.iter().map(|(time, height)| (time.si(), height.si())).collect();
            found.flight = at_moments(&points, &self.flight);
        }
        let by = Angle::from_si(veer(model) - self.veer);
        for place in model.landing_places().unwrap_or_default() {
            found.places.extend([place.straight, place.turned].map(|spot| (place.case, turned(spot, by))));
        }
        found
    }
}

fn veer(model: &Model<'_>) -> f64 {
    model.wind_veer().map_or(0.0, |veer| veer.si())
}

/// A line of times and values at other times: straight between its points, its first value before them and its last after.
fn at_moments(line: &[(f64, f64)], moments: &[f64]) -> Vec<f64> {
    let at = |time: &f64| {
        let next = line.partition_point(|(t, _)| t <= time);
        match (next.checked_sub(1).and_then(|before| line.get(before)), line.get(next)) {
            (Some((t0, v0)), Some((t1, v1))) => v0 + (v1 - v0) * (time - t0) / (t1 - t0),
            (Some((_, value)), None) | (None, Some((_, value))) => *value,
            (None, None) => f64::NAN,
        }
    };
    moments.iter().map(at).collect()
}

impl SpreadCourses {
    /// What flights come to.
    pub(super) fn of(moments: &Moments, flights: &[&Flight]) -> Self {
        Self {
            heights: band(&moments.ascent, flights, |flight| &flight.heights, Length::from_si),
            speeds: band(&moments.ascent, flights, |flight| &flight.speeds, Speed::from_si),
            flight: band(&moments.flight, flights, |flight| &flight.flight, Length::from_si),
            areas: areas(flights),
        }
    }
}

fn band<T>(
    moments: &[f64],
    flights: &[&Flight],
    of: impl Fn(&Flight) -> &Vec<f64>,
    shown: impl Fn(f64) -> T,
) -> Band<T> {
    let at = |(place, time): (usize, &f64)| {
        let known = flights.iter().filter_map(|flight| of(flight).get(place).copied());
        let mut values: Vec<f64> = known.filter(|value| !value.is_nan()).collect();
        values.sort_by(f64::total_cmp);
        let end = |share| percentile(&values, share).ok().map(&shown);
        Some((Time::from_si(*time), end(0.05)?, end(0.95)?))
    };
    moments.iter().enumerate().filter_map(at).collect()
}

/// The areas by what opens, in the order in which places are told.
fn areas(flights: &[&Flight]) -> Vec<LandingArea> {
    let mut cases: Vec<LandingCase> = Vec::new();
    for (case, _) in flights.iter().flat_map(|flight| &flight.places) {
        if !cases.contains(case) {
            cases.push(*case);
        }
    }
    let area = |case: LandingCase| {
        let places = |flight: &&Flight| -> Vec<GroundPoint> {
            flight.places.iter().filter(|(of, _)| *of == case).map(|(_, place)| *place).collect()
        };
        let groups: Vec<Vec<GroundPoint>> = flights.iter().map(places).collect();
        Some(LandingArea { case, ellipse: ellipse_of(&groups, AREA_SHARE).ok()? })
    };
    cases.into_iter().filter_map(area).collect()
}

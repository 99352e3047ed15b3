//! The lag of a bay's pressure along a trajectory: what a barometric altimeter in it makes of the climb.
//!
//! The air in the bay keeps its temperature and streams through the vents as through an isentropic orifice, choked where the pressure
//! ratio falls below 0.5283. The equation is stiff and its slope without bound where the pressures meet, so each step is implicit; while
//! the pressures differ little, as in any bay that breathes, it comes down to a quadratic.
//! For a steady climb, [`super::venting::lag_in_climb`] gives the same in closed form.

mod orifice;

use orifice::OrificeFlow;

use super::{
    STANDARD_GRAVITY, Unworkable, above_zero,
    ascent::Moment,
    atmosphere,
    atmosphere::AIR_GAS_CONSTANT,
    finite,
    venting::{Lag, VentedBay},
};
use crate::quantity::{Length, Pressure, Speed, Time};

/// The root γ of γ³ − 3γ² + 3γ/2 − 1/6 that makes Alexander's three-stage method of order 3 stable however stiff the bay is.
const STAGE: f64 = 0.435_866_521_508_459;
/// When its second stage is, as a share of the step.
const SECOND: f64 = 0.5 * (1.0 + STAGE);
/// What the first two stages weigh in the step.
const WEIGHTS: [f64; 2] =
    [-0.25 * (6.0 * STAGE * STAGE - 16.0 * STAGE + 1.0), 0.25 * (6.0 * STAGE * STAGE - 20.0 * STAGE + 5.0)];
/// What they weigh in the step of order 2 beside it, which tells the error.
const BESIDE: [f64; 2] = [(SECOND - 0.5) / (SECOND - STAGE), (0.5 - STAGE) / (SECOND - STAGE)];
/// Error allowed in one step of order 2, that of order 3 being far smaller: a part of the lag, and Pa (a thousandth of a metre of air
/// weighs 0.012 Pa).
const RELATIVE: f64 = 1e-3;
const ABSOLUTE: f64 = 1e-2;
/// The same where a part in a hundred is more than the coefficient of the holes is known by.
const COARSE_RELATIVE: f64 = 1e-2;
const COARSE_ABSOLUTE: f64 = 1.0;
/// Into how many steps the two around the greatest lag are divided to find it.
const FINER: u32 = 16;
/// More steps than any trajectory takes.
const MOST_STEPS: u32 = 200_000;

/// One point of a trajectory.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Waypoint {
    /// Time.
    pub time: Time,
    /// Geometric altitude above mean sea level.
    pub altitude: Length,
    /// Rate of its change.
    pub climb: Speed,
}

impl Waypoint {
    /// A moment of an ascent from a site at an elevation.
    #[must_use]
    pub fn of(moment: &Moment, elevation: Length) -> Self {
        Self { time: moment.time, altitude: elevation + moment.height, climb: moment.climb }
    }
}

/// How a bay's pressure follows a trajectory.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BayLag {
    /// The greatest lag in height, and the bay's pressure less that outside then. The lag in pressure is greatest a little earlier.
    pub greatest: Lag,
    /// When the lag in height is greatest.
    pub greatest_at: Time,
    /// The lag at the last point.
    pub last: Lag,
    /// When the pressure in the bay is lowest, which is when an altimeter sees the apogee; `None` where it still falls at the last point.
    pub lowest_at: Option<Time>,
}

/// The pressure outside along a trajectory.
struct Outside<'a> {
    way: &'a [Waypoint],
    /// The stretch that held last: a walk forward seldom leaves it.
    stretch: usize,
    /// The air at the start of a stretch, and which one.
    here: Option<(usize, Start)>,
}

/// A stretch between two points: the cubic of its altitude and the air at its start, which lies in one layer of the standard day.
#[derive(Clone, Copy)]
struct Start {
    time: f64,
    /// One over how long it lasts.
    rate: f64,
    /// The coefficients of the altitude by the share of the stretch.
    cubic: [f64; 4],
    height: f64,
    pressure: f64,
    temperature: f64,
    lapse: f64,
    /// −g/(R T), 1/m.
    thinning: f64,
    /// −R λ/g.
    kappa: f64,
}

/// The air outside at one moment.
#[derive(Clone, Copy)]
struct Around {
    pressure: f64,
    /// Temperature, and −R λ/g of its layer, where they are known.
    layer: Option<(f64, f64)>,
}

/// How far a stretch may climb for the series of its pressure to hold within 1e-11, m.
const SHORT: f64 = 150.0;

impl<'a> Outside<'a> {
    fn new(way: &'a [Waypoint]) -> Self {
        Self { way, stretch: 0, here: None }
    }

    /// The air at a time: the altitude goes between the points as the cubic that has their altitudes and their climbs.
    fn at(&mut self, t: f64) -> Result<Around, Unworkable> {
        let later = |i: usize, way: &[Waypoint]| way.get(i).is_some_and(|w| w.time.si() <= t);
        while later(self.stretch + 1, self.way) && self.stretch + 2 < self.way.len() {
            self.stretch += 1;
        }
        while self.stretch > 0 && !later(self.stretch, self.way) {
            self.stretch -= 1;
        }
        let start = match self.here {
            Some((stretch, start)) if stretch == self.stretch => start,
            _ => {
                let start = self.start()?;
                self.here = Some((self.stretch, start));
                start
            }
        };
        let s = ((t - start.time) * start.rate).clamp(0.0, 1.0);
        let [z, v, c, d] = start.cubic;
        let altitude = z + s * (v + s * (c + s * d));
        let altitude = Length::from_si(altitude);
        let rise = atmosphere::geopotential(altitude).si() - start.height;
        let inside = (atmosphere::LOWEST..=atmosphere::HIGHEST).contains(&altitude.si());
        if rise.abs() > SHORT || !inside || atmosphere::lapse(start.height + rise) != start.lapse {
            return Ok(Around { pressure: atmosphere::at(altitude)?.pressure.si(), layer: None });
        }
        // p/p₀ = (1 + κ y)^(1/κ) with y = −g ΔH/(R T₀) and κ = −R λ/g, by its series.
        let (y, k) = (start.thinning * rise, start.kappa);
        let tail = 1.0 + (1.0 - 3.0 * k) * y / 4.0 * (1.0 + (1.0 - 4.0 * k) * y / 5.0);
        let share = 1.0 + y * (1.0 + (1.0 - k) * y / 2.0 * (1.0 + (1.0 - 2.0 * k) * y / 3.0 * tail));
        let temperature = start.temperature + start.lapse * rise;
        Ok(Around { pressure: start.pressure * share, layer: Some((temperature, start.kappa)) })
    }

    /// The stretch that holds now.
    fn start(&self) -> Result<Start, Unworkable> {
        let (Some(a), Some(b)) = (self.way.get(self.stretch), self.way.get(self.stretch + 1)) else {
            return Err(Unworkable::because("a trajectory needs at least two points"));
        };
        let air = atmosphere::at(a.altitude)?;
        let height = atmosphere::geopotential(a.altitude).si();
        let lapse = atmosphere::lapse(height);
        let whole = b.time.si() - a.time.si();
        let (rise, v0, v1) = (b.altitude.si() - a.altitude.si(), whole * a.climb.si(), whole * b.climb.si());
        Ok(Start {
            time: a.time.si(),
            rate: 1.0 / whole,
            cubic: [a.altitude.si(), v0, 3.0 * rise - 2.0 * v0 - v1, v0 + v1 - 2.0 * rise],
            height,
            pressure: air.pressure.si(),
            temperature: air.temperature.si(),
            lapse,
            thinning: -STANDARD_GRAVITY / (AIR_GAS_CONSTANT * air.temperature.si()),
            kappa: -AIR_GAS_CONSTANT * lapse / STANDARD_GRAVITY,
        })
    }
}

/// The pressure of a bay along a trajectory, from equal pressures at its first point.
///
/// Symbols: dpᵢ/dt = −(R Tᵢ/V) ṁ with the flow ṁ through vents of area A and discharge coefficient Cd; see
/// [`venting::VentedBay`](super::venting::VentedBay). Holds for a bay whose air keeps its temperature (where it cools the lag is
/// smaller, by up to γ²) and vents that see the static pressure. The pressure outside is that of the standard day. A jump of climb
/// between points is smoothed over the stretch between them. Accuracy: some 0.1 % of the lag, and of one below 10 Pa some 0.01 Pa.
///
/// Source: mass balance and isentropic orifice, first principles; method: R. Alexander, "Diagonally implicit Runge–Kutta
/// methods for stiff O.D.E.'s", *SIAM J. Numer. Anal.* 14 (1977) 1006–1021 (from memory).
///
/// # Errors
/// Fewer than two points; times that do not rise; a size, coefficient or temperature that is not above zero; an altitude
/// outside the standard atmosphere.
pub fn along(bay: &VentedBay, way: &[Waypoint]) -> Result<BayLag, Unworkable> {
    follow(bay, way, (RELATIVE, ABSOLUTE), |_, _, _| {})
}

/// The lag at each step of [`along`], in the order of time: for a plot. The times are the steps', and so not evenly apart.
///
/// Source: those of [`along`].
///
/// # Errors
/// Those of [`along`].
pub fn history(bay: &VentedBay, way: &[Waypoint]) -> Result<Vec<(Time, Lag)>, Unworkable> {
    let mut points = Vec::new();
    follow(bay, way, (RELATIVE, ABSOLUTE), |time, _, lag| points.push((time, lag)))?;
    Ok(points)
}

/// The pressure in the bay at each of some half as many steps, in the order of time: for a load, which is then within 1 %. Between them it
/// goes nearly straight, as the difference from the pressure outside does not.
///
/// Source: those of [`along`].
///
/// # Errors
/// Those of [`along`].
pub fn pressures_inside(bay: &VentedBay, way: &[Waypoint]) -> Result<Vec<(Time, Pressure)>, Unworkable> {
    let mut points = Vec::new();
    follow(bay, way, (COARSE_RELATIVE, COARSE_ABSOLUTE), |time, outside, lag| {
        points.push((time, Pressure::from_si(outside + lag.pressure.si())));
    })?;
    Ok(points)
}

/// Goes along the trajectory with the error of a step kept below a part of the lag and so many Pa, and tells time, pressure outside, Pa, and
/// lag at the end of each.
fn follow(
    bay: &VentedBay,
    way: &[Waypoint],
    (relative, absolute): (f64, f64),
    mut each: impl FnMut(Time, f64, Lag),
) -> Result<BayLag, Unworkable> {
    let volume = above_zero("the volume of the bay", bay.volume.si())?;
    let area = above_zero("the vent area", bay.vents.si())?;
    let coefficient = above_zero("the discharge coefficient", bay.discharge_coefficient)?;
    let temperature = above_zero("the absolute temperature in the bay", bay.temperature.si())?;
    let rate = coefficient * area * (AIR_GAS_CONSTANT * temperature).sqrt() / volume;
    let orifice = OrificeFlow::new(finite("the orifice of the bay", rate)?);
    let (Some(first), Some(last)) = (way.first(), way.last()) else {
        return Err(Unworkable::because("a trajectory needs at least two points"));
    };
    for (a, b) in way.iter().zip(way.iter().skip(1)) {
        let apart = b.time.si() - a.time.si();
        if !apart.is_finite() || apart <= 0.0 || !(a.climb.si().is_finite() && b.climb.si().is_finite()) {
            return Err(Unworkable::because("the times of a trajectory must rise"));
        }
    }

    let mut outside = Outside::new(way);
    let end = last.time.si();
    let mut t = first.time.si();
    let mut around = outside.at(t)?;
    let mut excess = 0.0;
    let mut greatest = (lag(excess, around)?, t);
    let mut peak: Option<Bracket> = None;
    let mut lowest_at = None;
    let mut h = (1e-3_f64).min(end - t);
    let mut steps = 0;
    while t < end {
        steps += 1;
        if steps > MOST_STEPS || t + 0.1 * h <= t {
            return Err(Unworkable::because("the bay's pressure changes too abruptly to be followed"));
        }
        let to = if t + 1.01 * h >= end { end } else { t + h };
        let h_now = to - t;
        // In the order of time, so that the walk along the trajectory goes forward but once.
        let stages = [outside.at(t + STAGE * h_now)?, outside.at(t + SECOND * h_now)?, outside.at(to)?];
        let [_, _, there] = stages;
        let (next, apart) = step(&orifice, around.pressure + excess, excess, stages, h_now);
        let error = apart.abs() / (absolute + relative * next.abs().max(excess.abs()));
        let factor = 0.9 / libm::cbrt(error.max(1e-9));
        if error > 1.0 {
            h = h_now * factor.clamp(0.1, 0.9);
            continue;
        }
        // The bay is at its lowest where it stops breathing out; the root of the excess goes through zero in a straight line.
        let roots = (excess.abs().sqrt(), next.abs().sqrt());
        if excess > 0.0 && next <= 0.0 {
            lowest_at = Some(Time::from_si(t + h_now * roots.0 / (roots.0 + roots.1)));
        } else if next > 0.0 {
            lowest_at = None;
        }
        let now = lag(next, there)?;
        each(Time::from_si(to), there.pressure, now);
        if now.height > greatest.0.height {
            greatest = (now, to);
            peak = Some(Bracket { from: (t, around, excess), to: None });
        } else if let Some(bracket) = &mut peak {
            bracket.to.get_or_insert(to);
        }
        (t, around, excess) = (to, there, next);
        h = h_now * factor.clamp(0.2, 4.0);
    }
    if let Some(bracket) = peak {
        greatest = bracket.highest(&orifice, &mut outside, greatest)?;
    }
    Ok(BayLag {
        greatest: greatest.0,
        greatest_at: Time::from_si(greatest.1),
        last: lag(excess, around)?,
        lowest_at,
    })
}

/// The steps in which the lag is greatest: the state at their start, and their end.
struct Bracket {
    from: (f64, Around, f64),
    /// `None` where the lag still grows at the last point.
    to: Option<f64>,
}

impl Bracket {
    /// The greatest lag in them and when, by smaller steps and parabolas over them; the one that is known where it has no top.
    fn highest(
        self,
        orifice: &OrificeFlow,
        outside: &mut Outside<'_>,
        known: (Lag, f64),
    ) -> Result<(Lag, f64), Unworkable> {
        let (begin, mut around, mut excess) = self.from;
        let Some(end) = self.to else { return Ok(known) };
        let h = (end - begin) / f64::from(FINER);
        let mut greatest: Option<(Lag, f64)> = None;
        let mut recent = [(begin, lag(excess, around)?); 3];
        for number in 0..FINER {
            let t = begin + h * f64::from(number);
            let stages = [outside.at(t + STAGE * h)?, outside.at(t + SECOND * h)?, outside.at(t + h)?];
            (excess, _) = step(orifice, around.pressure + excess, excess, stages, h);
            [_, _, around] = stages;
            let [_, before, last] = recent;
            recent = [before, last, (t + h, lag(excess, around)?)];
            if let Some(top) =
                vertex(recent).filter(|top| greatest.is_none_or(|known| top.0.height > known.0.height))
            {
                greatest = Some(top);
            }
        }
        Ok(greatest.unwrap_or(known))
    }
}

/// One step of Alexander's method from the bay's pressure `inside`: the excess at its end, which is somewhere near another, and how far
/// the step of order 2 is from it. The air outside is that at each stage, the last of which is the end of the step.
fn step(
    orifice: &OrificeFlow,
    inside: f64,
    near: f64,
    [first, second, end]: [Around; 3],
    h: f64,
) -> (f64, f64) {
    // The excess at a stage, and what flows in a whole step at its rate: target + γ · flow = around + excess.
    let stage = |target: f64, around: Around, near: f64| {
        let excess = orifice.solve(target, around.pressure, STAGE * h, near);
        (excess, (around.pressure + excess - target) / STAGE)
    };
    let (excess, k1) = stage(inside, first, near);
    let (excess, k2) = stage(inside + (SECOND - STAGE) * k1, second, excess);
    let ([w1, w2], [b1, b2]) = (WEIGHTS, BESIDE);
    let (excess, k3) = stage(inside + w1 * k1 + w2 * k2, end, excess);
    // The step of order 2 is not stable in a bay that breathes well. What it is off by dies out there, and counts only with the part
    // that an implicit step leaves of it; the outflow goes with the root of the excess.
    let stiff = if excess == 0.0 { 0.0 } else { 0.5 * STAGE * (k3 / excess).abs() };
    (excess, (end.pressure + excess - (inside + b1 * k1 + b2 * k2)) / (1.0 + stiff))
}

/// An excess of pressure over what is around, also as a difference of pressure altitude.
fn lag(excess: f64, around: Around) -> Result<Lag, Unworkable> {
    let (p, pressure) = (around.pressure, Pressure::from_si(excess));
    let part = excess / p;
    if let Some((temperature, k)) = around.layer
        && part.abs() < 0.01
        && atmosphere::one_layer(p, p + excess)
    {
        // (R T/g) ((1 + δ/p)^κ − 1)/κ by its series, κ = −R λ/g.
        let tail = 1.0 + (k - 3.0) * part / 4.0 * (1.0 + (k - 4.0) * part / 5.0);
        let share = part * (1.0 + (k - 1.0) * part / 2.0 * (1.0 + (k - 2.0) * part / 3.0 * tail));
        let height = Length::from_si(AIR_GAS_CONSTANT * temperature / STANDARD_GRAVITY * share);
        return Ok(Lag { pressure, height });
    }
    let high = atmosphere::pressure_altitude(Pressure::from_si(p))?;
    let low = atmosphere::pressure_altitude(Pressure::from_si(p + excess))?;
    Ok(Lag { pressure, height: high - low })
}

/// Where the parabola through three lags in a row is highest, where that lies between them, and how high.
fn vertex([a, b, c]: [(f64, Lag); 3]) -> Option<(Lag, f64)> {
    let bend = |q: [f64; 3]| {
        let [q0, q1, q2] = q;
        let (before, after) = ((q1 - q0) / (b.0 - a.0), (q2 - q1) / (c.0 - b.0));
        (before, (after - before) / (c.0 - a.0))
    };
    let (before, bent) = bend([a, b, c].map(|(_, lag)| lag.height.si()));
    let top = 0.5 * (a.0 + b.0) - 0.5 * before / bent;
    if bent >= 0.0 || !(a.0..=c.0).contains(&top) {
        return None;
    }
    let there = |q: [f64; 3]| {
        let ([start, ..], (before, bent)) = (q, bend(q));
        start + (top - a.0) * (before + bent * (top - b.0))
    };
    let height = Length::from_si(there([a, b, c].map(|(_, lag)| lag.height.si())));
    let pressure = Pressure::from_si(there([a, b, c].map(|(_, lag)| lag.pressure.si())));
    Some((Lag { pressure, height }, top))
}

//! The lag of a bay's pressure along a trajectory: what a barometric altimeter in it makes of the climb.
//!
//! The air in the bay keeps its temperature and streams through the vents as through an isentropic orifice, choked where the pressure
//! ratio falls below 0.5283. The equation is stiff and its slope without bound where the pressures meet, so each step is implicit; while
//! the pressures differ little, as in any bay that breathes, it comes down to a quadratic.
//! For a steady climb, [`super::venting::lag_in_climb`] gives the same in closed form.

use super::{
    STANDARD_GRAVITY, Unworkable, above_zero,
    ascent::Moment,
    atmosphere,
    atmosphere::AIR_GAS_CONSTANT,
    finite, integrate,
    venting::{BreathingBay, Lag},
};
use crate::quantity::{Length, Pressure, Speed, Time};

/// Ratio of specific heats of air.
const GAMMA: f64 = atmosphere::HEAT_RATIO;
/// The stage of Alexander's two-stage method of order 2: 1 − 1/√2.
const STAGE: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;
/// Error allowed in one step: a part of the lag, and Pa (a thousandth of a metre of air weighs 0.012 Pa).
const RELATIVE: f64 = 1e-4;
const ABSOLUTE: f64 = 1e-3;
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

/// The orifice and the bay, in SI units.
struct OrificeFlow {
    /// Cd A √(R T)/V, 1/s.
    rate: f64,
    /// The pressure ratio below which the orifice is choked, (2/(γ+1))^(γ/(γ−1)).
    critical: f64,
}

impl OrificeFlow {
    /// −dp/dt of the bay at pressure `inside` with `outside` around it: Cd A p_u √(R T)/V ψ(p_d/p_u), from the higher pressure p_u to
    /// the lower p_d, with ψ = √(2γ/(γ−1) (r^(2/γ) − r^((γ+1)/γ))), held at its greatest below the critical ratio.
    fn outflow(&self, inside: f64, outside: f64) -> f64 {
        let (high, low) = if inside > outside { (inside, outside) } else { (outside, inside) };
        let ratio = (low / high).max(self.critical);
        // r^(2/γ) (1 − r^((γ−1)/γ)), written so that nothing cancels where the pressures are nearly the same.
        let logarithm = if ratio > 0.9 { ((low - high) / high).ln_1p() } else { ratio.ln() };
        let fall = -((GAMMA - 1.0) / GAMMA * logarithm).exp_m1();
        let flow = (2.0 * GAMMA / (GAMMA - 1.0) * (2.0 / GAMMA * logarithm).exp() * fall).max(0.0).sqrt();
        (inside - outside).signum() * self.rate * high * flow
    }

    /// The excess δ of the bay over `outside` that solves outside + δ + h · outflow = target, by way of one that is near.
    ///
    /// For a small part x = (p_u − p_d)/p_u, ψ² is 2 x times a series, so that with δ = w² the outflow is w times something that hardly
    /// changes with w: that makes a quadratic in w, whose root errs by the square of x at most, and a second one by the square of that.
    fn solve(&self, target: f64, outside: f64, h: f64, near: f64) -> f64 {
        let surplus = target - outside;
        if surplus == 0.0 {
            return 0.0;
        }
        let size = surplus.abs();
        // The higher pressure is the bay's own, or that outside.
        let own = if surplus > 0.0 { 1.0 } else { 0.0 };
        let mut excess = if (near > 0.0) == (surplus > 0.0) { near.abs().min(size) } else { 0.0 };
        for _ in 0..8 {
            let high = outside + own * excess;
            let part = excess / high;
            if part > SMALL_PART {
                break;
            }
            // The outflow is b w, where b changes by the part `bend` of itself for each Pa of excess.
            let b = h * self.rate * (2.0 * high * series(part)).sqrt();
            let bend = 0.5 * (own + BEND * (1.0 - own * part)) / high;
            // w² + w b (1 + bend (w² − δ)) = size, with size − w b for the w² in what is small anyway.
            let (square, linear) = (1.0 - bend * b * b, b * (1.0 + bend * (size - excess)));
            let root = 2.0 * size / (linear + (linear * linear + 4.0 * square * size).sqrt());
            let before = excess;
            excess = root * root;
            if (excess - before).abs() * part.max(excess / high).powi(2) <= 1e-9 * excess {
                return excess.copysign(surplus);
            }
        }
        self.search(surplus, outside, h)
    }

    /// The same where the pressures differ much, by a search.
    fn search(&self, surplus: f64, outside: f64, h: f64) -> f64 {
        // In the root of the excess the outflow is nearly a straight line; the excess lies between nothing and the whole surplus.
        let excess = |w: f64| w * w.abs();
        let balance = |w: f64| excess(w) + h * self.outflow(outside + excess(w), outside) - surplus;
        let furthest = surplus.signum() * surplus.abs().sqrt();
        let root =
            integrate::root(balance, (0.0, -surplus), (furthest, balance(furthest)), 1e-9 * furthest.abs());
        excess(root)
    }
}

/// The part of the higher pressure up to which [`series`] is read.
const SMALL_PART: f64 = 0.05;

/// The coefficients of [`series`]: 7 (−1)^k (C(10/7, k) − C(12/7, k))/2 for k = 1 to 9, with the binomials C.
const SERIES: [f64; 9] = {
    let (first, second) = (2.0 / GAMMA, (GAMMA + 1.0) / GAMMA);
    let mut terms = [0.0; 9];
    let (mut a, mut b) = (1.0, 1.0);
    let mut sign = 1.0;
    let mut k = 0;
    let mut number = 1.0;
    while k < 9 {
        a *= (first - number + 1.0) / number;
        b *= (second - number + 1.0) / number;
        sign = -sign;
        #[allow(clippy::indexing_slicing, reason = "worked out by the compiler")]
        {
            terms[k] = sign * GAMMA / (GAMMA - 1.0) * (a - b);
        }
        number += 1.0;
        k += 1;
    }
    terms
};

/// ψ²/(2 x) of [`OrificeFlow::outflow`] by its power series in the part x = 1 − r; up to x = 0.05 within 1e-12.
#[inline]
fn series(x: f64) -> f64 {
    let [a, b, c, d, rest @ ..] = &SERIES;
    // What lies beyond is less than 1e-12 for a part so small.
    let rest = if x < 1e-3 { 0.0 } else { rest.iter().rev().fold(0.0, |sum, term| sum * x + term) };
    a + x * (b + x * (c + x * (d + x * rest)))
}

/// The slope of ψ²/(2 x) over itself at x = 0.
const BEND: f64 = {
    let [_, second, ..] = SERIES;
    second
};

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
/// [`venting::BreathingBay`](super::venting::BreathingBay). Holds for a bay whose air keeps its temperature (where it cools the lag is
/// smaller, by up to γ²) and vents that see the static pressure. The pressure outside is that of the standard day. A jump of climb
/// between points is smoothed over the stretch between them. Accuracy: some 0.1 % of the lag.
///
/// Errors: fewer than two points; times that do not rise; a size, coefficient or temperature that is not above zero; an altitude
/// outside the standard atmosphere. Source: mass balance and isentropic orifice, first principles; method: R. Alexander, "Diagonally
/// implicit Runge–Kutta methods for stiff O.D.E.'s", *SIAM J. Numer. Anal.* 14 (1977) 1006–1021 (from memory).
pub fn along(bay: &BreathingBay, way: &[Waypoint]) -> Result<BayLag, Unworkable> {
    follow(bay, way, |_, _| {})
}

/// The lag at each step of [`along`], in the order of time: for a plot. The times are the steps', and so not evenly apart.
///
/// Errors and source: those of [`along`].
pub fn course(bay: &BreathingBay, way: &[Waypoint]) -> Result<Vec<(Time, Lag)>, Unworkable> {
    let mut points = Vec::new();
    follow(bay, way, |time, lag| points.push((time, lag)))?;
    Ok(points)
}

fn follow(
    bay: &BreathingBay,
    way: &[Waypoint],
    mut each: impl FnMut(Time, Lag),
) -> Result<BayLag, Unworkable> {
    let volume = above_zero("the volume of the bay", bay.volume.si())?;
    let area = above_zero("the vent area", bay.vents.si())?;
    let coefficient = above_zero("the discharge coefficient", bay.discharge_coefficient)?;
    let temperature = above_zero("the absolute temperature in the bay", bay.temperature.si())?;
    let rate = coefficient * area * (AIR_GAS_CONSTANT * temperature).sqrt() / volume;
    let critical = (2.0 / (GAMMA + 1.0)).powf(GAMMA / (GAMMA - 1.0));
    let orifice = OrificeFlow { rate: finite("the orifice of the bay", rate)?, critical };
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
    // The last three moments and their lags in metres, for a peak between them.
    let mut recent = [(t, 0.0); 3];
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
        let half = t + 0.5 * h_now;
        // In the order of time, so that the walk along the trajectory goes forward but once.
        let mut within = |from: f64, length: f64| outside.at(from + STAGE * length);
        let (early, whole, late) = (within(t, 0.5 * h_now)?, within(t, h_now)?, within(half, 0.5 * h_now)?);
        let (around_half, there) = (outside.at(half)?, outside.at(to)?);
        let midway = step(&orifice, around.pressure + excess, excess, [early, around_half], half - t);
        let twice = step(&orifice, around_half.pressure + midway, midway, [late, there], to - half);
        let once = step(&orifice, around.pressure + excess, excess, [whole, there], h_now);
        let error = (twice - once).abs() / 3.0 / (ABSOLUTE + RELATIVE * twice.abs().max(excess.abs()));
        let factor = 0.9 / error.max(1e-9).cbrt();
        if error > 1.0 {
            h = h_now * factor.clamp(0.1, 0.9);
            continue;
        }
        for (from, to, e0, e1) in [(t, half, excess, midway), (half, to, midway, twice)] {
            // The bay is at its lowest where it stops breathing out; the root of the excess goes through zero in a straight line.
            let roots = (f64::abs(e0).sqrt(), f64::abs(e1).sqrt());
            if e0 > 0.0 && e1 <= 0.0 {
                lowest_at = Some(Time::from_si(from + (to - from) * roots.0 / (roots.0 + roots.1)));
            } else if e1 > 0.0 {
                lowest_at = None;
            }
        }
        for (time, e, p) in [(half, midway, around_half), (to, twice, there)] {
            let now = lag(e, p)?;
            each(Time::from_si(time), now);
            let [_, before, last] = recent;
            recent = [before, last, (time, now.height.si())];
            if now.height > greatest.0.height {
                greatest = (now, time);
            }
            if last.1 >= greatest.0.height.si()
                && let Some(between) = vertex(recent)
            {
                greatest.1 = between;
            }
        }
        (t, around, excess) = (to, there, twice);
        h = h_now * factor.clamp(0.2, 4.0);
    }
    Ok(BayLag {
        greatest: greatest.0,
        greatest_at: Time::from_si(greatest.1),
        last: lag(excess, around)?,
        lowest_at,
    })
}

/// One step of Alexander's method from the bay's pressure `inside`: the excess at its end, which is somewhere near another. The air outside
/// is that at the stage and at the end.
fn step(orifice: &OrificeFlow, inside: f64, near: f64, [stage, end]: [Around; 2], h: f64) -> f64 {
    let excess = orifice.solve(inside, stage.pressure, STAGE * h, near);
    // What has flowed in the first stage: h · stage · outflow = inside − (around + excess).
    let flowed = (inside - stage.pressure - excess) / STAGE;
    orifice.solve(inside - (1.0 - STAGE) * flowed, end.pressure, STAGE * h, excess)
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

/// Where the parabola through three points in a row is highest, where that lies between them.
fn vertex([(t0, q0), (t1, q1), (t2, q2)]: [(f64, f64); 3]) -> Option<f64> {
    let (before, after) = ((q1 - q0) / (t1 - t0), (q2 - q1) / (t2 - t1));
    let bend = (after - before) / (0.5 * (t2 - t0));
    let top = 0.5 * (t0 + t1) - before / bend;
    (bend < 0.0 && (t0..=t2).contains(&top)).then_some(top)
}

//! The equations of motion, the phases of the ascent, and the watch for its peaks.

use super::super::{
    STANDARD_GRAVITY, Unworkable, above_zero,
    atmosphere::{self, Air, EARTH_RADIUS, HIGHEST, LOWEST},
    drag_law::Flow,
    finite,
    integrate::{self, DormandPrince, Step, Tolerance},
    thrust::Line,
};
use super::{Ascent, Moment, Peak, Rail, RailExit, Rocket, Site, offset_in_range};
use crate::quantity::{Acceleration, Force, Length, Mass, Pressure, Speed, Temperature, Time};

/// Errors of one step: one part in ten million, and a tenth of a millimetre or of a millimetre a second.
const RELATIVE: f64 = 1e-7;
const ABSOLUTE: f64 = 1e-4;
/// More steps than any ascent takes; a drag law that is full of jumps could take more.
const MOST_STEPS: u32 = 20_000;
/// How many quantities are watched for their peaks; see [`watched`].
const WATCHED: usize = 5;

/// What does not change during the ascent, in SI units.
struct Setting<'a> {
    rocket: &'a Rocket<'a>,
    dry: f64,
    propellant: f64,
    area: f64,
    elevation: f64,
    offset: f64,
    wind: f64,
    sine: f64,
    cosine: f64,
}

/// The motor at one moment.
#[derive(Clone, Copy)]
struct Motor {
    thrust: f64,
    mass: f64,
    burning: bool,
}

/// What acts on the rocket at one moment.
#[derive(Clone, Copy)]
struct Acting {
    air: Air,
    airspeed: f64,
    mach: f64,
    motor: Motor,
    drag: f64,
    gravity: f64,
}

impl Setting<'_> {
    /// The motor at time t on a line of its curve, or after the last one.
    fn motor(&self, line: Option<&Line>, t: f64) -> Motor {
        match line {
            Some(line) => Motor {
                thrust: line.thrust(t),
                mass: self.dry + self.propellant * (1.0 - line.spent(t)),
                burning: true,
            },
            None => Motor { thrust: 0.0, mass: self.dry, burning: false },
        }
    }

    /// Air at a height above the site. A trial step may leave the range of the atmosphere; only accepted ones are held to it.
    fn air(&self, height: f64) -> Air {
        let altitude = Length::from_si((self.elevation + height).clamp(LOWEST, HIGHEST));
        let nowhere = Air {
            temperature: Temperature::from_si(f64::NAN),
            pressure: Pressure::from_si(f64::NAN),
            density: crate::quantity::Density::from_si(f64::NAN),
            speed_of_sound: Speed::from_si(f64::NAN),
            viscosity: f64::NAN,
        };
        let standard = atmosphere::at(altitude).unwrap_or(nowhere);
        if self.offset == 0.0 {
            return standard;
        }
        let temperature = Temperature::from_si(standard.temperature.si() + self.offset);
        atmosphere::of(standard.pressure, temperature).unwrap_or(nowhere)
    }

    fn gravity(&self, height: f64) -> f64 {
        let nearer = EARTH_RADIUS / (EARTH_RADIUS + self.elevation + height);
        STANDARD_GRAVITY * nearer * nearer
    }

    /// What acts at a height and an airspeed.
    fn acting(&self, line: Option<&Line>, t: f64, height: f64, airspeed: f64) -> Acting {
        let air = self.air(height);
        let motor = self.motor(line, t);
        let mach = airspeed / air.speed_of_sound.si();
        let flow = Flow { air, airspeed: Speed::from_si(airspeed), mach, burning: motor.burning };
        let pressure = 0.5 * air.density.si() * airspeed * airspeed;
        let drag =
            if airspeed > 0.0 { pressure * self.rocket.drag.coefficient(&flow) * self.area } else { 0.0 };
        Acting { air, airspeed, mach, motor, drag, gravity: self.gravity(height) }
    }

    /// On the rail: what acts when the rocket has slid by s with speed v, and its acceleration along the rail.
    fn on_rail(&self, line: Option<&Line>, t: f64, [s, v]: &[f64; 2]) -> (Acting, f64) {
        let along = v + self.wind * self.sine;
        let acting = self.acting(line, t, s * self.cosine, along.abs());
        let force = acting.motor.thrust - acting.drag * along.signum();
        (acting, force / acting.motor.mass - acting.gravity * self.cosine)
    }

    /// In the air, where the state is drift, height and their rates: what acts, and the acceleration along both.
    fn in_air(&self, line: Option<&Line>, t: f64, [_, z, vx, vz]: &[f64; 4]) -> (Acting, f64, f64) {
        let wind = vx + self.wind;
        let airspeed = wind.hypot(*vz);
        let acting = self.acting(line, t, *z, airspeed);
        // Without any flow the rocket points where the rail did.
        let (sine, cosine) =
            if airspeed > 0.0 { (wind / airspeed, vz / airspeed) } else { (self.sine, self.cosine) };
        let push = (acting.motor.thrust - acting.drag) / acting.motor.mass;
        (acting, push * sine, push * cosine - acting.gravity)
    }

    fn moment_on_rail(&self, line: Option<&Line>, t: f64, state: &[f64; 2]) -> Moment {
        let (acting, a) = self.on_rail(line, t, state);
        let [s, v] = state;
        moment(t, [s * self.sine, s * self.cosine, v * self.sine, v * self.cosine], &acting, a.abs())
    }

    fn moment_in_air(&self, line: Option<&Line>, t: f64, state: &[f64; 4]) -> Moment {
        let (acting, ax, az) = self.in_air(line, t, state);
        moment(t, *state, &acting, ax.hypot(az))
    }
}

fn moment(t: f64, [x, z, vx, vz]: [f64; 4], acting: &Acting, acceleration: f64) -> Moment {
    let v = acting.airspeed;
    Moment {
        time: Time::from_si(t),
        height: Length::from_si(z),
        drift: Length::from_si(x),
        speed: Speed::from_si(vx.hypot(vz)),
        climb: Speed::from_si(vz),
        airspeed: Speed::from_si(v),
        mach: acting.mach,
        dynamic_pressure: Pressure::from_si(0.5 * acting.air.density.si() * v * v),
        acceleration: Acceleration::from_si(acceleration),
        felt: Acceleration::from_si((acting.motor.thrust - acting.drag).abs() / acting.motor.mass),
        thrust: Force::from_si(acting.motor.thrust),
        mass: Mass::from_si(acting.motor.mass),
    }
}

/// The quantities that are watched for their peaks.
fn watched(moment: &Moment) -> [f64; WATCHED] {
    [moment.speed.si(), moment.mach, moment.dynamic_pressure.si(), moment.acceleration.si(), moment.felt.si()]
}

/// The greatest value so far, with its time and height.
#[derive(Clone, Copy)]
struct Greatest {
    value: f64,
    time: f64,
    height: f64,
}

impl Greatest {
    const NONE: Self = Self { value: f64::NEG_INFINITY, time: 0.0, height: 0.0 };

    fn offer(&mut self, value: f64, time: f64, height: f64) {
        if value > self.value {
            *self = Self { value, time, height };
        }
    }

    fn of<T>(self, from_si: impl Fn(f64) -> T) -> Peak<T> {
        Peak {
            value: from_si(self.value),
            time: Time::from_si(self.time),
            height: Length::from_si(self.height),
        }
    }
}

/// Follows the ascent for its peaks and hands out the moments that were asked for.
struct Watch<'a> {
    greatest: [Greatest; WATCHED],
    liftoff: f64,
    apart: f64,
    told: f64,
    tell: &'a mut dyn FnMut(&Moment),
    steps: u32,
}

impl Watch<'_> {
    fn see(&mut self, moment: &Moment) {
        for (greatest, value) in self.greatest.iter_mut().zip(watched(moment)) {
            greatest.offer(value, moment.time.si(), moment.height.si());
        }
    }

    /// Goes along one step as far as `until`.
    fn follow<const N: usize>(
        &mut self,
        step: &Step<N>,
        until: f64,
        moment: impl Fn(f64, &[f64; N]) -> Moment,
    ) -> Result<(), Unworkable> {
        self.steps += 1;
        if self.steps > MOST_STEPS {
            return Err(Unworkable::because("the ascent takes too many steps; the drag may jump about"));
        }
        let here = |t: f64| moment(t, &step.at(t));
        let (start, middle) = (step.start(), 0.5 * (step.start() + until));
        let (first, half, last) = (here(start), here(middle), here(until));
        let quantities = watched(&first).into_iter().zip(watched(&half)).zip(watched(&last));
        for (k, ((q0, q1), q2)) in quantities.enumerate() {
            let Some(greatest) = self.greatest.get_mut(k) else { continue };
            greatest.offer(q0, start, first.height.si());
            greatest.offer(q2, until, last.height.si());
            // A peak lies within the step where the middle is highest, or where the curve climbs from its higher end inward.
            let quantity = |t: f64| watched(&here(t)).into_iter().nth(k).unwrap_or(f64::NAN);
            let probe = 1e-3 * (until - start);
            let inward = |q: f64, t: f64| q >= greatest.value && quantity(t) > q;
            // A middle that is far below what was seen before hides no new peak.
            let middle_highest = q1 >= q0 && q1 >= q2 && q1 > 0.9 * greatest.value;
            if middle_highest || inward(q0, start + probe) || inward(q2, until - probe) {
                let (time, value) = integrate::peak(quantity, start, until);
                greatest.offer(value, time, here(time).height.si());
            }
        }
        loop {
            let next = self.liftoff + self.told * self.apart;
            if next.is_nan() || next >= until {
                return Ok(());
            }
            (self.tell)(&here(next.max(start)));
            self.told += 1.0;
        }
    }
}

/// Where the motor's curve stands: the line that holds now.
struct Burn<'a> {
    lines: &'a [Line],
    next: usize,
}

impl<'a> Burn<'a> {
    fn line(&self) -> Option<&'a Line> {
        self.lines.get(self.next)
    }

    /// How far an integration may go before the thrust takes another line.
    fn limit(&self) -> f64 {
        self.line().map_or(f64::INFINITY, |line| line.end)
    }
}

/// See [`super::fly`]. Tells every moment that is a multiple of `apart` after lift-off, and apogee.
pub(super) fn run(
    rocket: &Rocket<'_>,
    rail: &Rail,
    site: &Site,
    apart: f64,
    tell: &mut dyn FnMut(&Moment),
) -> Result<Ascent, Unworkable> {
    let setting = setting(rocket, rail, site)?;
    let travel = above_zero("the travel along the rail", rail.travel.si())?;
    let lower = rail.lower_travel.map(Length::si);
    if lower.is_some_and(|lower| lower.is_nan() || lower < travel) {
        return Err(Unworkable::because("the lower button would leave the rail before the upper one"));
    }
    let mut burn = Burn { lines: rocket.thrust.lines(), next: 0 };
    let liftoff = release(&setting, &mut burn, 0.0, 0.0)?;
    let mut watch = Watch { greatest: [Greatest::NONE; WATCHED], liftoff, apart, told: 0.0, tell, steps: 0 };
    let mut boost = None;

    let (exit, speed) = along_rail(&setting, &mut burn, &mut watch, &mut boost, travel, liftoff)?;
    let motor = setting.motor(burn.line(), exit);
    let mut rail_exit = RailExit {
        time: Time::from_si(exit),
        speed: Speed::from_si(speed),
        thrust_to_weight: motor.thrust / (motor.mass * STANDARD_GRAVITY),
        lower_speed: None,
    };

    let Setting { sine, cosine, .. } = setting;
    let state = [travel * sine, travel * cosine, speed * sine, speed * cosine];
    let tolerance = Tolerance { relative: RELATIVE, absolute: [ABSOLUTE; 4] };
    let mut motion = DormandPrince::new(tolerance, exit, state);
    let apogee = loop {
        let line = burn.line();
        if motion.time() >= burn.limit() {
            let last = setting.moment_in_air(line, motion.time(), motion.state());
            next_line(&mut burn, &mut watch, &mut boost, &last);
            motion.restart(motion.time(), *motion.state());
            continue;
        }
        let mut slope = |t: f64, state: &[f64; 4]| {
            let (_, ax, az) = setting.in_air(line, t, state);
            let [_, _, vx, vz] = state;
            [*vx, *vz, ax, az]
        };
        let step = motion.advance(&mut slope, burn.limit())?;
        let apogee = step.rise(|_, [_, _, _, vz]| -vz);
        let until = apogee.unwrap_or(step.end());
        let moment = |t: f64, state: &[f64; 4]| setting.moment_in_air(line, t, state);
        watch.follow(&step, until, moment)?;
        if rail_exit.lower_speed.is_none()
            && let Some(lower) = lower
        {
            let beyond = |_: f64, [x, z, ..]: &[f64; 4]| x * sine + z * cosine - lower;
            let at_once = beyond(0.0, &step.at(step.start())) >= 0.0;
            let leaves = if at_once { Some(step.start()) } else { step.rise(beyond) };
            let leaves = leaves.filter(|t| *t <= until);
            rail_exit.lower_speed = leaves.map(|t| moment(t, &step.at(t)).speed);
        }
        if setting.elevation + moment(until, &step.at(until)).height.si() > HIGHEST {
            return Err(Unworkable::because(
                "the rocket climbs beyond 32 km, where the air is not known here",
            ));
        }
        if let Some(t) = apogee {
            break moment(t, &step.at(t));
        }
    };
    let Some((burnout, boost)) = boost else {
        return Err(Unworkable::because("the rocket stops climbing before its motor burns out"));
    };
    (watch.tell)(&apogee);

    let [speed, mach, pressure, _, _] = watch.greatest;
    let ([top_speed, top_mach, top_pressure, acceleration, felt], [.., deceleration, felt_after]) =
        (boost, watch.greatest);
    let higher = |a: Greatest, b: Greatest| if b.value > a.value { b } else { a };
    Ok(Ascent {
        liftoff: Time::from_si(liftoff),
        rail_exit,
        top_speed: higher(top_speed, speed).of(Speed::from_si),
        top_mach: higher(top_mach, mach).of(|mach| mach),
        peak_dynamic_pressure: higher(top_pressure, pressure).of(Pressure::from_si),
        peak_acceleration: acceleration.of(Acceleration::from_si),
        peak_felt: felt.of(Acceleration::from_si),
        peak_deceleration: deceleration.of(Acceleration::from_si),
        peak_felt_deceleration: felt_after.of(Acceleration::from_si),
        burnout,
        apogee,
    })
}

fn setting<'a>(rocket: &'a Rocket<'a>, rail: &Rail, site: &Site) -> Result<Setting<'a>, Unworkable> {
    let angle = finite("the angle of the rail", rail.angle.si())?;
    if !(0.0..std::f64::consts::FRAC_PI_2).contains(&angle) {
        return Err(Unworkable::because("the rail must stand between upright and level"));
    }
    atmosphere::at(site.elevation)?;
    Ok(Setting {
        rocket,
        dry: above_zero("the mass at burnout", rocket.dry_mass.si())?,
        propellant: above_zero("the mass of the propellant", rocket.propellant.si())?,
        area: above_zero("the reference area", rocket.area.si())?,
        elevation: site.elevation.si(),
        offset: offset_in_range(site.temperature_offset)?,
        wind: finite("the wind", site.wind.si())?,
        sine: angle.sin(),
        cosine: angle.cos(),
    })
}

/// What the ascent has shown until burnout: the rocket then, and the peaks.
type Boost = Option<(Moment, [Greatest; WATCHED])>;

/// Takes the next line of the thrust curve; after the last, keeps what the burn has shown and watches the coast afresh.
fn next_line(burn: &mut Burn<'_>, watch: &mut Watch<'_>, boost: &mut Boost, last: &Moment) {
    burn.next += 1;
    if burn.line().is_none() && boost.is_none() {
        watch.see(last);
        *boost = Some((*last, watch.greatest));
        watch.greatest = [Greatest::NONE; WATCHED];
    }
}

/// The first time from t on at which the thrust exceeds the weight along the rail (and what a wind along the rail does), for a rocket
/// that rests at s. Leaves the curve at the line that holds then.
fn release(setting: &Setting<'_>, burn: &mut Burn<'_>, t: f64, s: f64) -> Result<f64, Unworkable> {
    while let Some(line) = burn.line() {
        let surplus = |t: f64| setting.on_rail(Some(line), t, &[s, 0.0]).1;
        let from = line.start.max(t);
        let begins = surplus(from);
        if begins > 0.0 && from < line.end {
            return Ok(from);
        }
        let ends = surplus(line.end);
        if ends > 0.0 {
            return Ok(integrate::root(surplus, (from, begins), (line.end, ends), 1e-12));
        }
        burn.next += 1;
    }
    Err(Unworkable::because("the rocket never leaves the rail: its thrust is too small for its weight"))
}

/// From lift-off to the exit of the upper button: the time and the speed then. A rocket that stops on the rail rests there until the
/// thrust exceeds its weight again.
fn along_rail(
    setting: &Setting<'_>,
    burn: &mut Burn<'_>,
    watch: &mut Watch<'_>,
    boost: &mut Boost,
    travel: f64,
    liftoff: f64,
) -> Result<(f64, f64), Unworkable> {
    let tolerance = Tolerance { relative: RELATIVE, absolute: [ABSOLUTE; 2] };
    let mut motion = DormandPrince::new(tolerance, liftoff, [0.0, 0.0]);
    loop {
        let line = burn.line();
        if motion.time() >= burn.limit() {
            let last = setting.moment_on_rail(line, motion.time(), motion.state());
            next_line(burn, watch, boost, &last);
            motion.restart(motion.time(), *motion.state());
            continue;
        }
        let mut slope = |t: f64, state: &[f64; 2]| {
            let [_, v] = state;
            [*v, setting.on_rail(line, t, state).1]
        };
        let step = motion.advance(&mut slope, burn.limit())?;
        let exit = step.rise(|_, [s, _]| s - travel);
        let stop = step.rise(|_, [_, v]| -v).filter(|stop| exit.is_none_or(|exit| *stop < exit));
        let until = stop.or(exit).unwrap_or(step.end());
        let moment = |t: f64, state: &[f64; 2]| setting.moment_on_rail(line, t, state);
        watch.follow(&step, until, moment)?;
        let [s, v] = step.at(until);
        if let Some(stop) = stop {
            let again = release(setting, burn, stop, s)?;
            motion.restart(again, [s, 0.0]);
        } else if exit.is_some() {
            return Ok((until, v));
        }
    }
}

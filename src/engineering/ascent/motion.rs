//! The equations of motion and the phases of the ascent.

use super::super::{
    STANDARD_GRAVITY, Unworkable, above_zero,
    atmosphere::{self, Air, EARTH_RADIUS, HIGHEST},
    drag::law::Flow,
    finite,
    integrate::{self, DormandPrince, Tolerance},
    thrust::Line,
};
use super::burn::Burn;
use super::flight::{Accuracy, Ascent, Moment, Rail, RailExit, Rocket, Site, offset_in_range};
use super::peaks::{Greatest, Seen, Sight, WATCHED, Watch};
use super::plane::Plane;
use super::segment::Segment;
use crate::quantity::{Acceleration, Force, Length, Mass, Pressure, Speed, Time};

/// Errors of one step: one part in ten million, and a tenth of a millimetre or of a millimetre a second.
pub(super) const RELATIVE: f64 = 1e-7;
pub(super) const ABSOLUTE: f64 = 1e-4;

/// What does not change during the ascent, in SI units.
#[derive(Clone, Copy)]
pub(super) struct Setting<'a> {
    rocket: &'a Rocket<'a>,
    dry: f64,
    propellant: f64,
    area: f64,
    elevation: f64,
    offset: f64,
    wind: f64,
    sine: f64,
    cosine: f64,
    /// By how much the errors of a step may be larger than those of figures that are reported.
    slack: f64,
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
pub(super) struct Acting {
    air: Air,
    airspeed: f64,
    mach: f64,
    motor: Motor,
    drag: f64,
    gravity: f64,
}

impl Setting<'_> {
    /// The same in another wind.
    pub(super) fn in_wind(self, wind: f64) -> Self {
        Self { wind, ..self }
    }

    /// The same to an accuracy.
    pub(super) fn to(self, accuracy: Accuracy) -> Self {
        Self { slack: if accuracy == Accuracy::Figures { 1.0 } else { 100.0 }, ..self }
    }

    /// By how much the errors of a step may be larger than those of figures that are reported.
    pub(super) fn slack(&self) -> f64 {
        self.slack
    }

    /// At a height and an airspeed, thrust less drag over mass; and gravity.
    pub(super) fn push(&self, line: Option<&Line>, t: f64, height: f64, airspeed: f64) -> (f64, f64) {
        let acting = self.acting(line, t, height, airspeed);
        ((acting.motor.thrust - acting.drag) / acting.motor.mass, acting.gravity)
    }

    /// Errors: a height at which the air is not known.
    pub(super) fn within_air(&self, height: f64) -> Result<(), Unworkable> {
        if self.elevation + height > HIGHEST {
            return Err(Unworkable::because(
                "the rocket climbs beyond 32 km, where the air is not known here",
            ));
        }
        Ok(())
    }

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
        atmosphere::on_day(self.elevation + height, self.offset)
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
    pub(super) fn in_air(
        &self,
        line: Option<&Line>,
        t: f64,
        [_, z, vx, vz]: &[f64; 4],
    ) -> (Acting, f64, f64) {
        let wind = vx + self.wind;
        let airspeed = length(wind, *vz);
        let acting = self.acting(line, t, *z, airspeed);
        // Without any flow the rocket points where the rail did.
        let (sine, cosine) =
            if airspeed > 0.0 { (wind / airspeed, vz / airspeed) } else { (self.sine, self.cosine) };
        let push = (acting.motor.thrust - acting.drag) / acting.motor.mass;
        (acting, push * sine, push * cosine - acting.gravity)
    }

    /// The moment on the rail.
    pub(super) fn moment_on_rail(&self, line: Option<&Line>, t: f64, state: &[f64; 2]) -> Moment {
        let (acting, a) = self.on_rail(line, t, state);
        moment(t, self.along_rail(state), &acting, a.abs())
    }

    /// The moment in the air.
    pub(super) fn moment_in_air(&self, line: Option<&Line>, t: f64, state: &[f64; 4]) -> Moment {
        let (acting, ax, az) = self.in_air(line, t, state);
        moment(t, *state, &acting, length(ax, az))
    }

    /// A state on the rail as one in the air.
    fn along_rail(&self, [s, v]: &[f64; 2]) -> [f64; 4] {
        [s * self.sine, s * self.cosine, v * self.sine, v * self.cosine]
    }

    /// The dynamic pressure, or the Mach number, at a height and an airspeed.
    fn one(&self, quantity: usize, height: f64, airspeed: f64) -> f64 {
        let air = self.air(height);
        if quantity == 1 {
            airspeed / air.speed_of_sound.si()
        } else {
            0.5 * air.density.si() * airspeed * airspeed
        }
    }
}

/// Length of a vector of speeds or accelerations, whose squares are far from the limits of a number.
#[inline]
fn length(x: f64, z: f64) -> f64 {
    (x * x + z * z).sqrt()
}

fn moment(t: f64, [x, z, vx, vz]: [f64; 4], acting: &Acting, acceleration: f64) -> Moment {
    let v = acting.airspeed;
    Moment {
        time: Time::from_si(t),
        height: Length::from_si(z),
        drift: Length::from_si(x),
        speed: Speed::from_si(length(vx, vz)),
        climb: Speed::from_si(vz),
        airspeed: Speed::from_si(v),
        mach: acting.mach,
        dynamic_pressure: Pressure::from_si(0.5 * acting.air.density.si() * v * v),
        acceleration: Acceleration::from_si(acceleration),
        felt: Acceleration::from_si((acting.motor.thrust - acting.drag).abs() / acting.motor.mass),
        thrust: Force::from_si(acting.motor.thrust),
        drag: Force::from_si(acting.drag),
        mass: Mass::from_si(acting.motor.mass),
    }
}

/// What is watched of a rocket at a height and a speed over the ground.
fn seen(time: f64, height: f64, speed: f64, acting: &Acting, acceleration: f64) -> Seen {
    let v = acting.airspeed;
    let pressure = 0.5 * acting.air.density.si() * v * v;
    let slowed = (acting.drag - acting.motor.thrust) / acting.motor.mass;
    Seen { time, height, quantities: [speed, acting.mach, pressure, acceleration, slowed.abs(), slowed] }
}

/// The rocket on the rail along one line of the thrust curve.
struct OnRail<'a> {
    setting: &'a Setting<'a>,
    line: Option<&'a Line>,
}

impl OnRail<'_> {
    fn watched(&self, t: f64, [s, v]: &[f64; 2], (acting, a): &(Acting, f64)) -> Seen {
        seen(t, s * self.setting.cosine, v.abs(), acting, a.abs())
    }
}

impl Sight<2> for OnRail<'_> {
    fn seen(&self, t: f64, state: &[f64; 2]) -> Seen {
        self.watched(t, state, &self.setting.on_rail(self.line, t, state))
    }

    fn one(&self, quantity: usize, t: f64, state: &[f64; 2]) -> f64 {
        let [_, v] = state;
        match quantity {
            0 => v.abs(),
            1 | 2 => {
                let along = v + self.setting.wind * self.setting.sine;
                self.setting.one(quantity, self.height(state), along.abs())
            }
            _ => self.seen(t, state).quantities.get(quantity).copied().unwrap_or(f64::NAN),
        }
    }

    fn height(&self, [s, _]: &[f64; 2]) -> f64 {
        s * self.setting.cosine
    }
}

/// The rocket in the air along one line of the thrust curve.
struct InAir<'a> {
    setting: &'a Setting<'a>,
    line: Option<&'a Line>,
}

impl InAir<'_> {
    fn watched(&self, t: f64, [_, z, vx, vz]: &[f64; 4], (acting, ax, az): &(Acting, f64, f64)) -> Seen {
        seen(t, *z, length(*vx, *vz), acting, length(*ax, *az))
    }
}

impl Sight<4> for InAir<'_> {
    fn seen(&self, t: f64, state: &[f64; 4]) -> Seen {
        self.watched(t, state, &self.setting.in_air(self.line, t, state))
    }

    fn one(&self, quantity: usize, t: f64, state: &[f64; 4]) -> f64 {
        let [_, z, vx, vz] = state;
        match quantity {
            0 => length(*vx, *vz),
            1 | 2 => self.setting.one(quantity, *z, length(vx + self.setting.wind, *vz)),
            _ => self.seen(t, state).quantities.get(quantity).copied().unwrap_or(f64::NAN),
        }
    }

    fn height(&self, [_, z, ..]: &[f64; 4]) -> f64 {
        *z
    }
}

/// See [`super::fly`]. Hands out every step.
pub(super) fn run(
    rocket: &Rocket<'_>,
    rail: &Rail,
    site: &Site,
    accuracy: Accuracy,
    keep: &mut impl FnMut(Segment),
) -> Result<Ascent, Unworkable> {
    let setting = &setting(rocket, rail, site)?.to(accuracy);
    let travel = above_zero("the travel along the rail", rail.travel.si())?;
    let lower = rail.lower_travel.map(Length::si);
    if lower.is_some_and(|lower| lower.is_nan() || lower < travel) {
        return Err(Unworkable::because("the lower button would leave the rail before the upper one"));
    }
    let mut burn = Burn::of(rocket);
    let liftoff = release(setting, &mut burn, 0.0, 0.0)?;
    let mut watch = Watch::new();
    let mut boost = None;

    let (exit, speed) = along_rail(setting, &mut burn, &mut watch, &mut boost, (travel, liftoff), keep)?;
    let motor = setting.motor(burn.line(), exit);
    let mut rail_exit = RailExit {
        time: Time::from_si(exit),
        speed: Speed::from_si(speed),
        thrust_to_weight: motor.thrust / (motor.mass * STANDARD_GRAVITY),
        lower_speed: None,
    };

    let plane = Plane::of(rail, site, speed);
    let setting = &setting.in_wind(plane.wind);
    let Setting { sine, cosine, .. } = *setting;
    watch.jump();
    let state = [plane.start(), travel * cosine, plane.level, speed * cosine];
    let tolerance = Tolerance { relative: RELATIVE * setting.slack, absolute: [ABSOLUTE * setting.slack; 4] };
    let mut motion = DormandPrince::new(tolerance, exit, state);
    let apogee = loop {
        let line = burn.line();
        let sight = InAir { setting, line };
        if motion.time() >= burn.limit() {
            let (t, state) = (motion.time(), *motion.state());
            let seen = || sight.seen(t, &state);
            let moment = || setting.moment_in_air(line, t, &state);
            if !next_line(&mut burn, &mut watch, &mut boost, seen, moment) {
                motion.restart(t, state);
            }
            continue;
        }
        let mut latest = None;
        let mut slope = |t: f64, state: &[f64; 4]| {
            let found = setting.in_air(line, t, state);
            let [_, _, vx, vz] = state;
            let rates = [*vx, *vz, found.1, found.2];
            latest = Some(found);
            rates
        };
        let step = motion.advance(&mut slope, burn.limit())?;
        let apogee = step.rise(|_, [_, _, _, vz]| -vz);
        let until = apogee.unwrap_or(step.end());
        let end = step.at(until);
        // The last slope of a step is the one at its end.
        let last = match latest {
            Some(found) if until == step.end() => sight.watched(until, &end, &found),
            _ => sight.seen(until, &end),
        };
        watch.follow(&step, until, last, &sight)?;
        keep(Segment::in_air(step, until, burn.number()));
        if rail_exit.lower_speed.is_none()
            && let Some(lower) = lower
        {
            let beyond = |_: f64, [x, z, ..]: &[f64; 4]| x * sine + z * cosine - lower;
            let at_once = beyond(0.0, &step.at(step.start())) >= 0.0;
            let leaves = if at_once { Some(step.start()) } else { step.rise(beyond) };
            let leaves = leaves.filter(|t| *t <= until);
            rail_exit.lower_speed = leaves.map(|t| Speed::from_si(sight.one(0, t, &step.at(t))));
        }
        setting.within_air(sight.height(&end))?;
        if let Some(t) = apogee {
            break setting.moment_in_air(line, t, &end);
        }
    };
    let Some((burnout, boost)) = boost else {
        return Err(Unworkable::because("the rocket stops climbing before its motor burns out"));
    };
    let [top_speed, top_mach, top_pressure, acceleration, felt, slowed_by_then] = boost;
    let [speed, mach, pressure, deceleration, _, slowed] = watch.greatest;
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
        peak_felt_deceleration: higher(slowed_by_then, slowed).of(Acceleration::from_si),
        burnout,
        place: plane.over_ground(apogee.drift.si(), apogee.time.si() - exit),
        apogee,
    })
}

pub(super) fn setting<'a>(
    rocket: &'a Rocket<'a>,
    rail: &Rail,
    site: &Site,
) -> Result<Setting<'a>, Unworkable> {
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
        sine: libm::sin(angle),
        cosine: libm::cos(angle),
        slack: 1.0,
    })
}

/// What the ascent has shown until burnout: the rocket then, and the peaks.
pub(super) type Boost = Option<(Moment, [Greatest; WATCHED])>;

/// Takes the next line of the thrust curve; at burnout, keeps what the burn has shown and watches the coast afresh. Says whether the thrust
/// goes on without a jump.
fn next_line(
    burn: &mut Burn<'_>,
    watch: &mut Watch,
    boost: &mut Boost,
    last: impl FnOnce() -> Seen,
    moment: impl FnOnce() -> Moment,
) -> bool {
    let joins = burn.advance();
    if !joins {
        watch.jump();
    }
    if burn.is_out() && boost.is_none() {
        watch.see(&last());
        *boost = Some((moment(), watch.greatest));
        watch.afresh();
    }
    joins
}

/// The first time from t on at which the thrust exceeds the weight along the rail (and what a wind along the rail does), for a rocket
/// that rests at s. Leaves the curve at the line that holds then.
pub(super) fn release(setting: &Setting<'_>, burn: &mut Burn<'_>, t: f64, s: f64) -> Result<f64, Unworkable> {
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
        burn.advance();
    }
    Err(Unworkable::because("the rocket never leaves the rail: its thrust is too small for its weight"))
}

/// From lift-off to the exit of the upper button: the time and the speed then. A rocket that stops on the rail rests there until the
/// thrust exceeds its weight again.
pub(super) fn along_rail(
    setting: &Setting<'_>,
    burn: &mut Burn<'_>,
    watch: &mut Watch,
    boost: &mut Boost,
    (travel, liftoff): (f64, f64),
    keep: &mut impl FnMut(Segment),
) -> Result<(f64, f64), Unworkable> {
    let tolerance = Tolerance { relative: RELATIVE * setting.slack, absolute: [ABSOLUTE * setting.slack; 2] };
    let mut motion = DormandPrince::new(tolerance, liftoff, [0.0, 0.0]);
    loop {
        let line = burn.line();
        let sight = OnRail { setting, line };
        if motion.time() >= burn.limit() {
            let (t, state) = (motion.time(), *motion.state());
            let seen = || sight.seen(t, &state);
            let moment = || setting.moment_on_rail(line, t, &state);
            if !next_line(burn, watch, boost, seen, moment) {
                motion.restart(t, state);
            }
            continue;
        }
        let mut latest = None;
        let mut slope = |t: f64, state: &[f64; 2]| {
            let found = setting.on_rail(line, t, state);
            let [_, v] = state;
            let rates = [*v, found.1];
            latest = Some(found);
            rates
        };
        let step = motion.advance(&mut slope, burn.limit())?;
        let exit = step.rise(|_, [s, _]| s - travel);
        let stop = step.rise(|_, [_, v]| -v).filter(|stop| exit.is_none_or(|exit| *stop < exit));
        let until = stop.or(exit).unwrap_or(step.end());
        let end = step.at(until);
        let last = match latest {
            Some(found) if until == step.end() => sight.watched(until, &end, &found),
            _ => sight.seen(until, &end),
        };
        watch.follow(&step, until, last, &sight)?;
        keep(Segment::on_rail(step, until, burn.number()));
        let [s, v] = end;
        if let Some(stop) = stop {
            watch.jump();
            let again = release(setting, burn, stop, s)?;
            motion.restart(again, [s, 0.0]);
        } else if exit.is_some() {
            return Ok((until, v));
        }
    }
}

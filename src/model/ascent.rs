//! The computed ascent: what the motor, the mass, the drag and the rail come to.

use std::sync::Arc;

use super::airflow::{self, Law, REFERENCE_AREA, air_at_field};
use super::joints::computed;
use super::masses::{MASS_AT_IGNITION, MASS_IN_DESCENT};
use super::memo::Artifact;
use super::stations::{LENGTH, extent};
use super::{AnyComputed, EvalContext, Outcome, both};
use crate::design::{Flight, Motor, RailButton, Rocket, flight, motor, rocket};
use crate::engineering::Unworkable;
use crate::engineering::ascent::{self, Accuracy, Ascent, Course, Moment, Peak, Rail, Site};
use crate::engineering::constant_thrust;
use crate::engineering::drag_law::{DragLaw, Flow};
use crate::engineering::motors;
use crate::engineering::thrust::ThrustCurve;
use crate::quantity::{
    Acceleration, Angle, Area, Force, Impulse, Length, Mass, Pressure, Quantity, Speed,
    TemperatureDifference, Time,
};
use crate::vocabulary::Id;
use std::rc::Rc;

/// A flight worked out once for all the quantities that tell of it.
#[derive(Debug)]
pub struct FlightResult {
    dry_mass: Mass,
    propellant: Mass,
    area: Area,
    thrust: ThrustCurve,
    law: Law,
    rail: Rail,
    site: Site,
    course: Course,
    accuracy: Accuracy,
}

impl FlightResult {
    /// What it came to without wind.
    #[must_use]
    pub fn calm(&self) -> &Ascent {
        self.course.ascent()
    }

    /// The moments of the ascent without wind, a steady time apart; empty where there are none so far apart.
    #[must_use]
    pub fn moments(&self, apart: Time) -> Vec<Moment> {
        self.course.moments(&self.rocket(), &self.rail, &self.site.calm(), apart).unwrap_or_default()
    }

    /// Time, height above the field and climb at those moments.
    pub(super) fn climb(&self, apart: Time) -> Vec<(Time, Length, Speed)> {
        self.course.climb(apart).unwrap_or_default()
    }

    fn windy(&self, wind: Speed) -> Result<Ascent, Unworkable> {
        match wind.si() {
            0.0 => Ok(*self.calm()),
            _ => ascent::fly_to(&self.rocket(), &self.rail, &Site { wind, ..self.site }, self.accuracy),
        }
    }

    /// The place and the day, in still air.
    #[must_use]
    pub fn site(&self) -> &Site {
        &self.site
    }

    /// Mass when the upper button leaves the rail.
    pub(super) fn mass_at_rail_exit(&self) -> Mass {
        self.dry_mass + self.propellant * (1.0 - self.thrust.share_until(self.calm().rail_exit.time))
    }

    fn rocket(&self) -> ascent::Rocket<'_> {
        ascent::Rocket {
            dry_mass: self.dry_mass,
            propellant: self.propellant,
            area: self.area,
            thrust: &self.thrust,
            drag: &self.law,
        }
    }
}

computed! {
    /// Total impulse by the thrust curve; refused where it and the stated one differ by more than 2 %.
    CURVE_IMPULSE: "curve_impulse" of Motor gives Impulse,
        "area under the straight lines between the points", "common practice of published thrust curves", |ctx, id| {
            let curve = thrust_curve(ctx, id)?;
            Ok(curve.impulse())
        };
    /// Burnout, the last point of the thrust curve, since ignition.
    CURVE_BURN: "curve_burn_time" of Motor gives Time, "time of the last point", "", |ctx, id| {
        Ok(thrust_curve(ctx, id)?.burnout())
    };
    /// The highest thrust of the curve.
    CURVE_PEAK: "curve_peak_thrust" of Motor gives Force, "greatest of the points", "", |ctx, id| {
        Ok(thrust_curve(ctx, id)?.peak())
    };
    /// Impulse over burn time by the curve.
    CURVE_AVERAGE: "curve_average_thrust" of Motor gives Force, "curve impulse / time of the last point", "", |ctx, id| {
        Ok(thrust_curve(ctx, id)?.average())
    };
    /// The level of certification that its total impulse asks of the flyer; 0 where it asks none.
    CERTIFICATION: "certification_level" of Motor gives f64,
        "1 for H and I, 2 for J to L, 3 for M to O", "certification rules of the hobby's national associations", |ctx, id| {
            let impulse = ctx.get(id, motor::total_impulse)?;
            let level = ctx.or_refuse(motors::certification_level(impulse))?;
            Ok(f64::from(level.unwrap_or(0)))
        };
    /// The class of the motor by its total impulse, a letter.
    CLASS: "impulse_class" of Motor gives Arc<str>,
        "A up to 2.5 N·s, each letter up to twice the one before", "table of motor classes after NFPA 1125 (from memory)", |ctx, id| {
            let impulse = ctx.get(id, motor::total_impulse)?;
            Ok(ctx.or_refuse(motors::class(impulse))?.into())
        };
    /// How far the rocket slides until its upper button leaves the rail.
    RAIL_TRAVEL: "rail_travel" of Rocket gives Length,
        "rail − height of the aft end above its foot − (length of the rocket − station of the upper button)", "geometry",
        |ctx, id| travel(ctx, id, false);
    /// Whether the motor lifts the rocket off the rail and up to a highest point; the flight behind every quantity of the ascent.
    CLIMBS: "climbs" of Rocket gives bool,
        "m dv/dt = thrust − drag − weight along the rail, then along the velocity through the air, step by step to the highest point",
        "Newton's second law; U.S. Standard Atmosphere, 1976; integrated by Dormand and Prince's method of order 5", climbs;
    /// Speed when the upper button leaves the rail.
    RAIL_EXIT_SPEED: "rail_exit_speed" of Rocket gives Speed,
        "speed of the ascent after the rail travel", "", |ctx, id| {
            let flown = flown(ctx, id)?;
            hand_rail(ctx, id, &flown)?;
            Ok(flown.calm().rail_exit.speed)
        };
    /// Thrust over weight when the upper button leaves the rail.
    RAIL_EXIT_RATIO: "rail_exit_thrust_to_weight" of Rocket gives f64,
        "thrust / (mass × standard gravity) after the rail travel", "definition", |ctx, id| {
            Ok(flown(ctx, id)?.calm().rail_exit.thrust_to_weight)
        };
    /// The angle at which the air meets the rocket as it leaves the rail in the stated wind.
    RAIL_EXIT_ANGLE: "rail_exit_angle" of Rocket gives Angle,
        "atan(wind / rail exit speed), the wind square to the rail", "geometry", |ctx, id| {
            let place = place(ctx, id)?;
            let (speed, wind) = both(ctx.query(id, &RAIL_EXIT_SPEED), ctx.get(place, flight::wind))?;
            Ok(Angle::from_si(wind.si().atan2(speed.si())))
        };
    /// Top speed over the ground.
    TOP_SPEED: "top_speed" of Rocket gives Speed, "greatest speed of the ascent", "", |ctx, id| {
        peak(ctx, flown(ctx, id)?.calm().top_speed)
    };
    /// Top Mach number.
    TOP_MACH: "top_mach" of Rocket gives f64, "greatest airspeed / speed of sound of the ascent", "", |ctx, id| {
        peak(ctx, flown(ctx, id)?.calm().top_mach)
    };
    /// Peak size of the acceleration until burnout.
    PEAK_ACCELERATION: "peak_acceleration" of Rocket gives Acceleration, "greatest |dv/dt| until burnout", "", |ctx, id| {
        peak(ctx, flown(ctx, id)?.calm().peak_acceleration)
    };
    /// Peak dynamic pressure.
    PEAK_DYNAMIC_PRESSURE: "peak_dynamic_pressure" of Rocket gives Pressure, "greatest ½ × density × airspeed²", "", |ctx, id| {
        peak(ctx, flown(ctx, id)?.calm().peak_dynamic_pressure)
    };
    /// The hardest push of drag on the rocket after burnout, as an acceleration; gravity, which pulls on every part alike, is not in it.
    DECELERATION: "drag_deceleration" of Rocket gives Acceleration, "greatest drag / mass after burnout", "", |ctx, id| {
        peak(ctx, flown(ctx, id)?.calm().peak_felt_deceleration)
    };
    /// Speed at burnout.
    BURNOUT_SPEED: "burnout_speed" of Rocket gives Speed, "speed of the ascent at burnout", "", |ctx, id| {
        Ok(flown(ctx, id)?.calm().burnout.speed)
    };
    /// Height above the field at burnout.
    BURNOUT_HEIGHT: "burnout_height" of Rocket gives Length, "height of the ascent at burnout", "", |ctx, id| {
        Ok(flown(ctx, id)?.calm().burnout.height)
    };
    /// The highest point above the field, in still air.
    APOGEE: "apogee" of Rocket gives Length, "height of the ascent where it stops climbing", "", |ctx, id| {
        let flown = flown(ctx, id)?;
        by_hand(ctx, id, &flown)?;
        Ok(flown.calm().apogee.height)
    };
    /// The highest point above the field if the rocket turns into the stated wind at once: no rocket of this drag flies lower in it.
    LOWEST_APOGEE: "lowest_apogee" of Rocket gives Length,
        "height of the ascent with the stated wind at every height", "", |ctx, id| {
            Ok(windy(ctx, id)?.apogee.height)
        };
    /// Time from ignition to the highest point.
    APOGEE_TIME: "apogee_time" of Rocket gives Time, "time of the ascent where it stops climbing", "", |ctx, id| {
        Ok(flown(ctx, id)?.calm().apogee.time)
    };
    /// Time from burnout to the highest point: the best delay of a motor's own charge.
    COAST_TIME: "coast_time" of Rocket gives Time, "time of the highest point − time of burnout", "", |ctx, id| {
        let flown = flown(ctx, id)?;
        ctx.step("highest point", "since ignition", flown.calm().apogee.time);
        ctx.step("burnout", "since ignition", flown.calm().burnout.time);
        Ok(flown.calm().coast())
    };
    /// Speed over the ground at the highest point when the rocket has turned into the stated wind; the drogue opens at no less.
    SPEED_AT_APOGEE: "speed_at_apogee" of Rocket gives Speed,
        "level speed through the air at the highest point of the ascent in the stated wind", "", |ctx, id| {
            Ok(windy(ctx, id)?.apogee.airspeed)
        };
    /// How far upwind the highest point may lie when the rocket turns into the stated wind.
    APOGEE_UPWIND: "apogee_upwind" of Rocket gives Length,
        "distance over the ground of the ascent in the stated wind", "", |ctx, id| {
            Ok(windy(ctx, id)?.apogee.drift)
        };
    /// How far the temperature at the field is from that of the standard day at its height.
    OFFSET: "temperature_offset" of Flight gives TemperatureDifference,
        "temperature at the field − standard temperature at its height", "U.S. Standard Atmosphere, 1976", |ctx, id| {
            let (elevation, temperature) = both(
                ctx.get(id, flight::site_elevation), ctx.get(id, flight::temperature))?;
            ctx.or_refuse(ascent::temperature_offset(temperature, elevation))
        };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[
    &CURVE_IMPULSE,
    &CURVE_BURN,
    &CURVE_PEAK,
    &CURVE_AVERAGE,
    &CERTIFICATION,
    &CLASS,
    &RAIL_TRAVEL,
    &CLIMBS,
    &RAIL_EXIT_SPEED,
    &RAIL_EXIT_RATIO,
    &RAIL_EXIT_ANGLE,
    &TOP_SPEED,
    &TOP_MACH,
    &PEAK_ACCELERATION,
    &PEAK_DYNAMIC_PRESSURE,
    &DECELERATION,
    &BURNOUT_SPEED,
    &BURNOUT_HEIGHT,
    &APOGEE,
    &LOWEST_APOGEE,
    &APOGEE_TIME,
    &COAST_TIME,
    &SPEED_AT_APOGEE,
    &APOGEE_UPWIND,
    &OFFSET,
];

fn place(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Id<Flight>> {
    ctx.part(root, rocket::flight)?.ok_or_else(|| ctx.refuse("no flight is described"))
}

fn engine(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Id<Motor>> {
    ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))
}

fn thrust_curve(ctx: &EvalContext<'_>, id: Id<Motor>) -> Outcome<ThrustCurve> {
    let (points, impulse) = both(ctx.get(id, motor::thrust_curve), ctx.get(id, motor::total_impulse))?;
    ThrustCurve::new(&points, Some(impulse)).map_err(|wrong| match ThrustCurve::new(&points, None) {
        // Motors are sold by the newton second everywhere.
        Ok(curve) => ctx.refuse(format!(
            "{}: {:.0} N·s lie under the curve, and {:.0} N·s are stated",
            wrong.reason,
            curve.impulse().si(),
            impulse.si()
        )),
        Err(_) => ctx.refuse(wrong.reason),
    })
}

/// How far the rocket slides until its upper button, or its lower one, leaves the rail.
fn travel(ctx: &EvalContext<'_>, root: Id<Rocket>, lower: bool) -> Outcome<Length> {
    let place = place(ctx, root)?;
    let mut station: Option<Outcome<f64>> = None;
    for button in ctx.every::<RailButton>() {
        let here = extent(ctx, button).map(|e| e.fore);
        station = Some(match station {
            None => here,
            Some(so_far) => both(so_far, here).map(|(a, b)| if lower { a.max(b) } else { a.min(b) }),
        });
    }
    let station = station.unwrap_or_else(|| {
        Err(ctx.refuse("no rail buttons are described: nothing tells where the rocket leaves the rail"))
    });
    let sizes = both(ctx.get(place, flight::rail), ctx.query(root, &LENGTH));
    let (station, (rail, overall)) = both(station, sizes)?;
    let stop = if ctx.has(place, flight::rail_stop)? {
        ctx.get(place, flight::rail_stop)?
    } else {
        Length::from_si(0.0)
    };
    if !lower {
        ctx.step("station of the upper button", "aft from the nose tip", Length::from_si(station));
    }
    ctx.or_refuse(ascent::rail_travel(rail, stop, overall, Length::from_si(station)))
}

fn site(ctx: &EvalContext<'_>, place: Id<Flight>) -> Outcome<Site> {
    let (elevation, temperature_offset) =
        both(ctx.get(place, flight::site_elevation), ctx.query(place, &OFFSET))?;
    Ok(Site { elevation, temperature_offset, wind: Speed::from_si(0.0) })
}

fn rail(ctx: &EvalContext<'_>, root: Id<Rocket>, place: Id<Flight>) -> Outcome<Rail> {
    let upper = ctx.query(root, &RAIL_TRAVEL)?;
    let lower = travel(ctx, root, true).ok().filter(|lower| *lower >= upper);
    let angle = if ctx.has(place, flight::rail_angle)? {
        ctx.get(place, flight::rail_angle)?
    } else {
        Angle::from_si(0.0)
    };
    Ok(Rail { travel: upper, lower_travel: lower, angle })
}

/// The flight behind every quantity of the ascent.
pub(super) static ASCENT: Artifact<Rocket, FlightResult> = Artifact { compute: fly };

fn fly(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<FlightResult> {
    let (place, engine) = both(place(ctx, root), engine(ctx, root))?;
    // By itself, so that a curve that makes no sense is told at its own place.
    let curve = ctx.query(engine, &CURVE_IMPULSE);
    let masses = both(ctx.query(root, &MASS_IN_DESCENT), ctx.get(engine, motor::propellant_mass));
    let air = both(airflow::law(ctx, root), ctx.query(root, &REFERENCE_AREA));
    let ground = both(rail(ctx, root, place), site(ctx, place));
    let (_, ((dry_mass, propellant), ((law, area), (rail, site)))) =
        both(curve, both(masses, both(air, ground)))?;
    let thrust = thrust_curve(ctx, engine)?;
    let rocket = ascent::Rocket { dry_mass, propellant, area, thrust: &thrust, drag: &law };
    let accuracy = ctx.model().accuracy();
    let course = ctx.or_refuse(Course::fly(&rocket, &rail, &site.calm(), accuracy))?;
    Ok(FlightResult { dry_mass, propellant, area, thrust, law, rail, site, course, accuracy })
}

fn climbs(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<bool> {
    let flown = ctx.working_of(root, &ASCENT)?;
    let calm = flown.calm();
    ctx.step("mass at burnout", "ready to fly − propellant", flown.dry_mass);
    ctx.step("impulse of the curve", "area under its straight lines", flown.thrust.impulse());
    ctx.step("off the rail: time", "since ignition", calm.rail_exit.time);
    ctx.step("off the rail: speed", "over the ground", calm.rail_exit.speed);
    ctx.step("burnout: time", "since ignition", calm.burnout.time);
    ctx.step("burnout: speed", "over the ground", calm.burnout.speed);
    ctx.step("burnout: height", "above the field", calm.burnout.height);
    ctx.step("highest point: time", "since ignition", calm.apogee.time);
    ctx.step("highest point: height", "above the field", calm.apogee.height);
    Ok(true)
}

/// That flight, once it is known that there is one.
pub(super) fn flown(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Rc<FlightResult>> {
    ctx.query(root, &CLIMBS)?;
    ctx.artifact(root, &ASCENT)
}

/// The ascent in the stated wind. Where it alone cannot be flown, as where the wind turns the rocket over while its motor burns, what
/// is told of the ascent in still air stands.
fn windy(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Rc<Ascent>> {
    ctx.working_of(root, &WINDY)
}

static WINDY: Artifact<Rocket, Ascent> = Artifact {
    compute: |ctx, root| {
        let wind = place(ctx, root).and_then(|place| ctx.get(place, flight::wind));
        let (flown, wind) = both(flown(ctx, root), wind)?;
        ctx.or_refuse(flown.windy(wind))
    },
};

/// A peak of the ascent, with when and where it is.
fn peak<T>(ctx: &EvalContext<'_>, peak: Peak<T>) -> Outcome<T> {
    ctx.step("when", "since ignition", peak.time);
    ctx.step("where", "above the field", peak.height);
    Ok(peak.value)
}

/// The speed off the rail as a calculator gives it: the push so far over the mass, less what gravity takes; no drag.
fn hand_rail(ctx: &EvalContext<'_>, root: Id<Rocket>, flown: &FlightResult) -> Outcome<()> {
    let mass = ctx.query(root, &MASS_AT_IGNITION)?;
    let exit = flown.calm().rail_exit;
    let push = flown.thrust.impulse() * flown.thrust.share_until(exit.time);
    let along = crate::engineering::STANDARD_GRAVITY * flown.rail.angle.si().cos();
    ctx.step("time on the rail", "of the ascent", exit.time);
    ctx.step("impulse by then", "area under the thrust curve", push);
    let check = Speed::from_si((push.si() / mass.si() - along * exit.time.si()).max(0.0));
    ctx.step("by hand", "impulse by then / mass at ignition − g × time, no drag", check);
    Ok(())
}

/// The height as a calculator gives it, beside the one that is integrated.
fn by_hand(ctx: &EvalContext<'_>, root: Id<Rocket>, flown: &FlightResult) -> Outcome<()> {
    let air = air_at_field(ctx, root)?;
    let calm = flown.calm();
    let flow = |mach: f64, burning: bool| Flow { air, airspeed: air.speed_of_sound * mach, mach, burning };
    let coefficient = flown.law.coefficient(&flow(calm.top_mach.value / 2.0, false));
    let drag = ctx.or_refuse(constant_thrust::drag_factor(air.density, coefficient, flown.area))?;
    let flight = constant_thrust::Flight {
        thrust: flown.thrust.average(),
        burn: flown.thrust.burnout(),
        burning: flown.dry_mass + flown.propellant * 0.5,
        coasting: flown.dry_mass,
        drag,
    };
    let heights = ctx.or_refuse(constant_thrust::fly(&flight))?;
    ctx.step("average thrust F", "impulse of the curve / burn time", flight.thrust);
    ctx.step("burn time t", "last point of the curve", flight.burn);
    ctx.step("mean mass in the burn m", "mass at burnout + propellant / 2", flight.burning);
    ctx.step("mass in the coast M", "ready to fly − propellant", flight.coasting);
    ctx.step("density of the air", "at the field", air.density);
    ctx.step("drag coefficient", "coasting, at half the top Mach number", Quantity::number(coefficient));
    ctx.step("k, in kg/m", "density × drag coefficient × reference area / 2", Quantity::number(drag));
    ctx.step(
        "by hand: speed at burnout v",
        "√((F − m g)/k) × tanh((t/m) √(k (F − m g)))",
        heights.burnout_speed,
    );
    ctx.step("by hand: height at burnout", "(m/k) × ln cosh((t/m) √(k (F − m g)))", heights.burnout_height);
    ctx.step("by hand: height of the coast", "(M/2k) × ln(1 + k v²/(M g))", heights.coasted);
    ctx.step(
        "by hand: highest point",
        "height at burnout + height of the coast; steady thrust and still, equally dense air [Topics in Advanced Model Rocketry, ch. 4]",
        heights.burnout_height + heights.coasted,
    );
    Ok(())
}

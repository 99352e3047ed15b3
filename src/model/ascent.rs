//! The computed ascent: what the motor, the mass, the drag and the rail come to.

use std::rc::Rc;

use super::airflow::{self, Law, REFERENCE_AREA, air_at_field};
use super::joints::computed;
use super::memo::Artifact;
use super::masses::{MASS_AT_IGNITION, MASS_IN_DESCENT};
use super::stations::{LENGTH, extent};
use super::{EvalContext, Computed, Outcome, Type, both};
use crate::design::{FLIGHT, MOTOR, RAIL_BUTTON, ROCKET, flight, motor, rocket};
use crate::engineering::Unworkable;
use crate::engineering::ascent::{self, Ascent, Course, Moment, Peak, Rail, Rocket, Site};
use crate::engineering::constant_thrust;
use crate::engineering::drag_law::{DragLaw, Flow};
use crate::engineering::motors;
use crate::engineering::thrust::ThrustCurve;
use crate::quantity::{
    Angle, Area, Dimension as D, Force, Impulse, Length, Mass, Quantity, Speed, Temperature,
    TemperatureDifference, Time,
};
use crate::vocabulary::{EntityId, Value};

/// A flight worked out once for all the quantities that tell of it.
#[derive(Debug)]
pub struct Flown {
    dry_mass: Mass,
    propellant: Mass,
    area: Area,
    thrust: ThrustCurve,
    law: Law,
    rail: Rail,
    site: Site,
    course: Course,
}

impl Flown {
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

    fn windy(&self) -> Result<Ascent, Unworkable> {
        match self.site.wind.si() {
            0.0 => Ok(*self.calm()),
            _ => ascent::fly(&self.rocket(), &self.rail, &self.site),
        }
    }

    /// The place and the day.
    #[must_use]
    pub fn site(&self) -> &Site {
        &self.site
    }

    /// Mass when the upper button leaves the rail.
    pub(super) fn mass_at_rail_exit(&self) -> Mass {
        self.dry_mass + self.propellant * (1.0 - self.thrust.share_until(self.calm().rail_exit.time))
    }

    fn rocket(&self) -> Rocket<'_> {
        Rocket {
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
    CURVE_IMPULSE: "curve_impulse" of MOTOR gives Type::Quantity(D::IMPULSE),
        "area under the straight lines between the points", "common practice of published thrust curves", |asking, id| {
            let curve = thrust_curve(asking, id)?;
            Ok(Value::Quantity(curve.impulse().into()))
        };
    /// Burnout, the last point of the thrust curve, since ignition.
    CURVE_BURN: "curve_burn_time" of MOTOR gives Type::Quantity(D::TIME), "time of the last point", "", |asking, id| {
        Ok(Value::Quantity(thrust_curve(asking, id)?.burnout().into()))
    };
    /// The highest thrust of the curve.
    CURVE_PEAK: "curve_peak_thrust" of MOTOR gives Type::Quantity(D::FORCE), "greatest of the points", "", |asking, id| {
        Ok(Value::Quantity(thrust_curve(asking, id)?.peak().into()))
    };
    /// Impulse over burn time by the curve.
    CURVE_AVERAGE: "curve_average_thrust" of MOTOR gives Type::Quantity(D::FORCE), "curve impulse / time of the last point", "", |asking, id| {
        Ok(Value::Quantity(thrust_curve(asking, id)?.average().into()))
    };
    /// The level of certification that its total impulse asks of the flyer; 0 where it asks none.
    CERTIFICATION: "certification_level" of MOTOR gives Type::Quantity(D::NUMBER),
        "1 for H and I, 2 for J to L, 3 for M to O", "certification rules of the hobby's national associations", |asking, id| {
            let impulse = asking.typed::<Impulse>(id, motor::total_impulse)?;
            let level = asking.worked(motors::certification_level(impulse))?;
            Ok(Value::Quantity(Quantity::number(f64::from(level.unwrap_or(0)))))
        };
    /// The class of the motor by its total impulse, a letter.
    CLASS: "impulse_class" of MOTOR gives Type::Text,
        "A up to 2.5 N·s, each letter up to twice the one before", "table of motor classes after NFPA 1125 (from memory)", |asking, id| {
            let impulse = asking.typed::<Impulse>(id, motor::total_impulse)?;
            Ok(Value::Text(asking.worked(motors::class(impulse))?.into()))
        };
    /// How far the rocket slides until its upper button leaves the rail.
    RAIL_TRAVEL: "rail_travel" of ROCKET gives Type::Quantity(D::LENGTH),
        "rail − height of the aft end above its foot − (length of the rocket − station of the upper button)", "geometry",
        |asking, id| travel(asking, id, false).map(|t| Value::Quantity(t.into()));
    /// Whether the motor lifts the rocket off the rail and up to a highest point; the flight behind every quantity of the ascent.
    CLIMBS: "climbs" of ROCKET gives Type::Truth,
        "m dv/dt = thrust − drag − weight along the rail, then along the velocity through the air, step by step to the highest point",
        "Newton's second law; U.S. Standard Atmosphere, 1976; integrated by Dormand and Prince's method of order 5", climbs;
    /// Speed when the upper button leaves the rail.
    RAIL_EXIT_SPEED: "rail_exit_speed" of ROCKET gives Type::Quantity(D::SPEED),
        "speed of the ascent after the rail travel", "", |asking, id| {
            let flown = flown(asking, id)?;
            hand_rail(asking, id, &flown)?;
            Ok(Value::Quantity(flown.calm().rail_exit.speed.into()))
        };
    /// Thrust over weight when the upper button leaves the rail.
    RAIL_EXIT_RATIO: "rail_exit_thrust_to_weight" of ROCKET gives Type::Quantity(D::NUMBER),
        "thrust / (mass × standard gravity) after the rail travel", "definition", |asking, id| {
            Ok(Value::Quantity(Quantity::number(flown(asking, id)?.calm().rail_exit.thrust_to_weight)))
        };
    /// The angle at which the air meets the rocket as it leaves the rail in the stated wind.
    RAIL_EXIT_ANGLE: "rail_exit_angle" of ROCKET gives Type::Quantity(D::ANGLE),
        "atan(wind / rail exit speed), the wind square to the rail", "geometry", |asking, id| {
            let place = place(asking, id)?;
            let (speed, wind) = both(asking.ask_typed::<Speed>(id, &RAIL_EXIT_SPEED), asking.typed::<Speed>(place, flight::wind))?;
            Ok(Value::Quantity(Angle::from_si(wind.si().atan2(speed.si())).into()))
        };
    /// Top speed over the ground.
    TOP_SPEED: "top_speed" of ROCKET gives Type::Quantity(D::SPEED), "greatest speed of the ascent", "", |asking, id| {
        let peak = flown(asking, id)?.calm().top_speed;
        when(asking, &peak);
        Ok(Value::Quantity(peak.value.into()))
    };
    /// Top Mach number.
    TOP_MACH: "top_mach" of ROCKET gives Type::Quantity(D::NUMBER), "greatest airspeed / speed of sound of the ascent", "", |asking, id| {
        let peak = flown(asking, id)?.calm().top_mach;
        when(asking, &peak);
        Ok(Value::Quantity(Quantity::number(peak.value)))
    };
    /// Peak size of the acceleration until burnout.
    PEAK_ACCELERATION: "peak_acceleration" of ROCKET gives Type::Quantity(D::ACCELERATION), "greatest |dv/dt| until burnout", "", |asking, id| {
        let peak = flown(asking, id)?.calm().peak_acceleration;
        when(asking, &peak);
        Ok(Value::Quantity(peak.value.into()))
    };
    /// Peak dynamic pressure.
    PEAK_DYNAMIC_PRESSURE: "peak_dynamic_pressure" of ROCKET gives Type::Quantity(D::PRESSURE), "greatest ½ × density × airspeed²", "", |asking, id| {
        let peak = flown(asking, id)?.calm().peak_dynamic_pressure;
        when(asking, &peak);
        Ok(Value::Quantity(peak.value.into()))
    };
    /// The hardest push of drag on the rocket after burnout, as an acceleration; gravity, which pulls on every part alike, is not in it.
    DECELERATION: "drag_deceleration" of ROCKET gives Type::Quantity(D::ACCELERATION), "greatest drag / mass after burnout", "", |asking, id| {
        let peak = flown(asking, id)?.calm().peak_felt_deceleration;
        when(asking, &peak);
        Ok(Value::Quantity(peak.value.into()))
    };
    /// Speed at burnout.
    BURNOUT_SPEED: "burnout_speed" of ROCKET gives Type::Quantity(D::SPEED), "speed of the ascent at burnout", "", |asking, id| {
        Ok(Value::Quantity(flown(asking, id)?.calm().burnout.speed.into()))
    };
    /// Height above the field at burnout.
    BURNOUT_HEIGHT: "burnout_height" of ROCKET gives Type::Quantity(D::LENGTH), "height of the ascent at burnout", "", |asking, id| {
        Ok(Value::Quantity(flown(asking, id)?.calm().burnout.height.into()))
    };
    /// The highest point above the field, in still air.
    APOGEE: "apogee" of ROCKET gives Type::Quantity(D::LENGTH), "height of the ascent where it stops climbing", "", |asking, id| {
        let flown = flown(asking, id)?;
        by_hand(asking, id, &flown)?;
        Ok(Value::Quantity(flown.calm().apogee.height.into()))
    };
    /// The highest point above the field if the rocket turns into the stated wind at once: no rocket of this drag flies lower in it.
    LOWEST_APOGEE: "lowest_apogee" of ROCKET gives Type::Quantity(D::LENGTH),
        "height of the ascent with the stated wind at every height", "", |asking, id| {
            Ok(Value::Quantity(windy(asking, id)?.apogee.height.into()))
        };
    /// Time from ignition to the highest point.
    APOGEE_TIME: "apogee_time" of ROCKET gives Type::Quantity(D::TIME), "time of the ascent where it stops climbing", "", |asking, id| {
        Ok(Value::Quantity(flown(asking, id)?.calm().apogee.time.into()))
    };
    /// Time from burnout to the highest point: the best delay of a motor's own charge.
    COAST_TIME: "coast_time" of ROCKET gives Type::Quantity(D::TIME), "time of the highest point − time of burnout", "", |asking, id| {
        let flown = flown(asking, id)?;
        asking.step("highest point", "since ignition", flown.calm().apogee.time);
        asking.step("burnout", "since ignition", flown.calm().burnout.time);
        Ok(Value::Quantity(flown.calm().coast().into()))
    };
    /// Speed over the ground at the highest point when the rocket has turned into the stated wind; the drogue opens at no less.
    SPEED_AT_APOGEE: "speed_at_apogee" of ROCKET gives Type::Quantity(D::SPEED),
        "level speed through the air at the highest point of the ascent in the stated wind", "", |asking, id| {
            Ok(Value::Quantity(windy(asking, id)?.apogee.airspeed.into()))
        };
    /// How far upwind the highest point may lie when the rocket turns into the stated wind.
    APOGEE_UPWIND: "apogee_upwind" of ROCKET gives Type::Quantity(D::LENGTH),
        "distance over the ground of the ascent in the stated wind", "", |asking, id| {
            Ok(Value::Quantity(windy(asking, id)?.apogee.drift.into()))
        };
    /// How far the temperature at the field is from that of the standard day at its height.
    OFFSET: "temperature_offset" of FLIGHT gives Type::Quantity(D::TEMPERATURE_DIFFERENCE),
        "temperature at the field − standard temperature at its height", "U.S. Standard Atmosphere, 1976", |asking, id| {
            let (elevation, temperature) = both(
                asking.typed::<Length>(id, flight::site_elevation), asking.typed::<Temperature>(id, flight::temperature))?;
            Ok(Value::Quantity(asking.worked(ascent::temperature_offset(temperature, elevation))?.into()))
        };
}

pub(super) const COMPUTED: &[&Computed] = &[
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

fn place(asking: &EvalContext<'_>, root: EntityId) -> Outcome<EntityId> {
    asking.part(root, rocket::flight)?.ok_or_else(|| asking.refuse("no flight is described"))
}

fn engine(asking: &EvalContext<'_>, root: EntityId) -> Outcome<EntityId> {
    asking.part(root, rocket::motor)?.ok_or_else(|| asking.refuse("no motor is described"))
}

fn thrust_curve(asking: &EvalContext<'_>, id: EntityId) -> Outcome<ThrustCurve> {
    let (curve, impulse) =
        both(asking.get(id, motor::thrust_curve), asking.typed::<Impulse>(id, motor::total_impulse))?;
    let Value::Curve(points) = curve else { return Err(asking.refuse("the thrust curve is no curve")) };
    let points: Vec<(Time, Force)> =
        points.iter().map(|(t, f)| (Time::from_si(t.si), Force::from_si(f.si))).collect();
    ThrustCurve::new(&points, Some(impulse)).map_err(|wrong| match ThrustCurve::new(&points, None) {
        // Motors are sold by the newton second everywhere.
        Ok(curve) => asking.refuse(format!(
            "{}: {:.0} N·s lie under the curve, and {:.0} N·s are stated",
            wrong.reason,
            curve.impulse().si(),
            impulse.si()
        )),
        Err(_) => asking.refuse(wrong.reason),
    })
}

/// How far the rocket slides until its upper button, or its lower one, leaves the rail.
fn travel(asking: &EvalContext<'_>, root: EntityId, lower: bool) -> Outcome<Length> {
    let place = place(asking, root)?;
    let mut station: Option<Outcome<f64>> = None;
    for button in asking.model().all_of(&RAIL_BUTTON) {
        let here = extent(asking, button).map(|e| e.fore);
        station = Some(match station {
            None => here,
            Some(so_far) => both(so_far, here).map(|(a, b)| if lower { a.max(b) } else { a.min(b) }),
        });
    }
    let station = station.unwrap_or_else(|| {
        Err(asking.refuse("no rail buttons are described: nothing tells where the rocket leaves the rail"))
    });
    let sizes = both(asking.typed::<Length>(place, flight::rail), asking.ask_typed::<Length>(root, &LENGTH));
    let (station, (rail, overall)) = both(station, sizes)?;
    let stop = if asking.model().has(place, flight::rail_stop.slot)? {
        asking.typed::<Length>(place, flight::rail_stop)?
    } else {
        Length::from_si(0.0)
    };
    if !lower {
        asking.step("station of the upper button", "aft from the nose tip", Length::from_si(station));
    }
    asking.worked(ascent::rail_travel(rail, stop, overall, Length::from_si(station)))
}

fn site(asking: &EvalContext<'_>, place: EntityId) -> Outcome<Site> {
    let (elevation, (temperature_offset, wind)) = both(
        asking.typed::<Length>(place, flight::site_elevation),
        both(
            asking.ask_typed::<TemperatureDifference>(place, &OFFSET),
            asking.typed::<Speed>(place, flight::wind),
        ),
    )?;
    Ok(Site { elevation, temperature_offset, wind })
}

fn rail(asking: &EvalContext<'_>, root: EntityId, place: EntityId) -> Outcome<Rail> {
    let upper = asking.ask_typed::<Length>(root, &RAIL_TRAVEL)?;
    let lower = travel(asking, root, true).ok().filter(|lower| *lower >= upper);
    let angle = if asking.model().has(place, flight::rail_angle.slot)? {
        asking.typed::<Angle>(place, flight::rail_angle)?
    } else {
        Angle::from_si(0.0)
    };
    Ok(Rail { travel: upper, lower_travel: lower, angle })
}

/// The flight behind every quantity of the ascent.
static ASCENT: Artifact<Flown> = Artifact { compute: fly };

fn fly(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Flown> {
    let (place, engine) = both(place(asking, root), engine(asking, root))?;
    // By itself, so that a curve that makes no sense is told at its own place.
    let curve = asking.ask(engine, &CURVE_IMPULSE);
    let masses = both(
        asking.ask_typed::<Mass>(root, &MASS_IN_DESCENT),
        asking.typed::<Mass>(engine, motor::propellant_mass),
    );
    let air = both(airflow::law(asking, root), asking.ask_typed::<Area>(root, &REFERENCE_AREA));
    let ground = both(rail(asking, root, place), site(asking, place));
    let (_, ((dry_mass, propellant), ((law, area), (rail, site)))) =
        both(curve, both(masses, both(air, ground)))?;
    let thrust = thrust_curve(asking, engine)?;
    let rocket = Rocket { dry_mass, propellant, area, thrust: &thrust, drag: &law };
    let course = asking.worked(Course::fly(&rocket, &rail, &site.calm()))?;
    Ok(Flown { dry_mass, propellant, area, thrust, law, rail, site, course })
}

fn climbs(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Value> {
    let flown = asking.working_of(root, &ASCENT)?;
    let calm = flown.calm();
    asking.step("mass at burnout", "ready to fly − propellant", flown.dry_mass);
    asking.step("impulse of the curve", "area under its straight lines", flown.thrust.impulse());
    asking.step("off the rail: time", "since ignition", calm.rail_exit.time);
    asking.step("off the rail: speed", "over the ground", calm.rail_exit.speed);
    asking.step("burnout: time", "since ignition", calm.burnout.time);
    asking.step("burnout: speed", "over the ground", calm.burnout.speed);
    asking.step("burnout: height", "above the field", calm.burnout.height);
    asking.step("highest point: time", "since ignition", calm.apogee.time);
    asking.step("highest point: height", "above the field", calm.apogee.height);
    Ok(Value::Truth(true))
}

/// That flight, once it is known that there is one.
pub(super) fn flown(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Rc<Flown>> {
    asking.ask(root, &CLIMBS)?;
    asking.artifact(root, &ASCENT)
}

/// The ascent in the stated wind. Where it alone cannot be flown, as where the wind turns the rocket over while its motor burns, what
/// is told of the ascent in still air stands.
fn windy(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Rc<Ascent>> {
    asking.working_of(root, &WINDY)
}

static WINDY: Artifact<Ascent> =
    Artifact { compute: |asking, root| asking.worked(flown(asking, root)?.windy()) };

fn when<T>(asking: &EvalContext<'_>, peak: &Peak<T>) {
    asking.step("when", "since ignition", peak.time);
    asking.step("where", "above the field", peak.height);
}

/// The speed off the rail as a calculator gives it: the push so far over the mass, less what gravity takes; no drag.
fn hand_rail(asking: &EvalContext<'_>, root: EntityId, flown: &Flown) -> Outcome<()> {
    let mass = asking.ask_typed::<Mass>(root, &MASS_AT_IGNITION)?;
    let exit = flown.calm().rail_exit;
    let push = flown.thrust.impulse() * flown.thrust.share_until(exit.time);
    let along = crate::engineering::STANDARD_GRAVITY * flown.rail.angle.si().cos();
    asking.step("time on the rail", "of the ascent", exit.time);
    asking.step("impulse by then", "area under the thrust curve", push);
    let check = Speed::from_si((push.si() / mass.si() - along * exit.time.si()).max(0.0));
    asking.step("by hand", "impulse by then / mass at ignition − g × time, no drag", check);
    Ok(())
}

/// The height as a calculator gives it, beside the one that is integrated.
fn by_hand(asking: &EvalContext<'_>, root: EntityId, flown: &Flown) -> Outcome<()> {
    let air = air_at_field(asking, root)?;
    let calm = flown.calm();
    let flow = |mach: f64, burning: bool| Flow { air, airspeed: air.speed_of_sound * mach, mach, burning };
    let coefficient = flown.law.coefficient(&flow(calm.top_mach.value / 2.0, false));
    let drag = asking.worked(constant_thrust::drag_factor(air.density, coefficient, flown.area))?;
    let flight = constant_thrust::Flight {
        thrust: flown.thrust.average(),
        burn: flown.thrust.burnout(),
        burning: flown.dry_mass + flown.propellant * 0.5,
        coasting: flown.dry_mass,
        drag,
    };
    let heights = asking.worked(constant_thrust::fly(&flight))?;
    asking.step("average thrust F", "impulse of the curve / burn time", flight.thrust);
    asking.step("burn time t", "last point of the curve", flight.burn);
    asking.step("mean mass in the burn m", "mass at burnout + propellant / 2", flight.burning);
    asking.step("mass in the coast M", "ready to fly − propellant", flight.coasting);
    asking.step("density of the air", "at the field", air.density);
    asking.step("drag coefficient", "coasting, at half the top Mach number", Quantity::number(coefficient));
    asking.step("k, in kg/m", "density × drag coefficient × reference area / 2", Quantity::number(drag));
    asking.step(
        "by hand: speed at burnout v",
        "√((F − m g)/k) × tanh((t/m) √(k (F − m g)))",
        heights.burnout_speed,
    );
    asking.step(
        "by hand: height at burnout",
        "(m/k) × ln cosh((t/m) √(k (F − m g)))",
        heights.burnout_height,
    );
    asking.step("by hand: height of the coast", "(M/2k) × ln(1 + k v²/(M g))", heights.coasted);
    asking.step(
        "by hand: highest point",
        "height at burnout + height of the coast; steady thrust and still, equally dense air [Topics in Advanced Model Rocketry, ch. 4]",
        heights.burnout_height + heights.coasted,
    );
    Ok(())
}

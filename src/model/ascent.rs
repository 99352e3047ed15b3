//! The computed ascent: what the motor, the mass, the drag and the rail come to.

use super::flight_result::{FlightResult, InWind};
use super::launch_site::{DAY_AT_FIELD, air_at_field, planned_flight};

use super::airflow::{self, REFERENCE_AREA};
use super::artifact::Artifact;
use super::computed::computed;
use super::extents::extent;
use super::masses::{MASS_AT_IGNITION, MASS_IN_DESCENT};
use super::motors::{CURVE_BURN, CURVE_IMPULSE, thrust_curve};
use super::sections::LENGTH;
use super::wind::stated;
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{Flight, Motor, RailButton, Rocket, flight, motor, rocket};
use crate::engineering::ascent::{self, Peak, Rail, Site, Trajectory};
use crate::engineering::constant_thrust;
use crate::engineering::drag::law::{DragLaw, Flow};
use crate::quantity::{
    Acceleration, Angle, Density, Dimension, Length, Pressure, Quantity, Speed, Temperature,
    TemperatureDifference, Time,
};
use crate::vocabulary::Id;
use std::rc::Rc;

computed! {
    /// How far the rocket slides until its upper button leaves the rail.
    RAIL_TRAVEL: "rail_travel" of Rocket gives Length,
        Formula::expression("rail − height of the aft end above its foot − (length of the rocket − station of the upper button)"), "geometry",
        |ctx, id| travel(ctx, id, false);
    /// Whether the motor lifts the rocket off the rail and up to a highest point; the flight behind every quantity of the ascent.
    CLIMBS: "climbs" of Rocket gives bool,
        Formula::condition("integrated: m dv/dt = thrust − drag − weight along the rail, then along the velocity through the air, step by step to the highest point"),
        "Newton's second law; U.S. Standard Atmosphere, 1976; integrated by Dormand and Prince's method of order 5", climbs;
    /// Speed when the upper button leaves the rail.
    RAIL_EXIT_SPEED: "rail_exit_speed" of Rocket gives Speed,
        Formula::method("integrated: speed of the ascent after `rail_travel`; `by hand` lies within 3 %"), "", |ctx, id| {
            let flight_result = flight_result(ctx, id)?;
            hand_rail(ctx, id, &flight_result)?;
            Ok(flight_result.calm().rail_exit.speed)
        };
    /// Thrust over weight when the upper button leaves the rail.
    RAIL_EXIT_RATIO: "rail_exit_thrust_to_weight" of Rocket gives f64,
        Formula::expression("{thrust} / ({mass} × g)"), "definition", |ctx, id| {
            let flight_result = flight_result(ctx, id)?;
            let exit = flight_result.calm().rail_exit;
            ctx.step("mass", || Formula::method("ready to fly, less the propellant burnt by the thrust curve when the upper button leaves the rail"), flight_result.mass_at_rail_exit());
            ctx.step("thrust", || Formula::method("read off the thrust curve when the upper button leaves the rail"), flight_result.thrust.at(exit.time));
            Ok(exit.thrust_to_weight)
        };
    /// The angle at which the air meets the rocket as it leaves the rail in the stated wind.
    RAIL_EXIT_ANGLE: "rail_exit_angle" of Rocket gives Angle,
        Formula::expression("atan({wind} / {rail_exit_speed})"), "geometry", |ctx, id| {
            let place = planned_flight(ctx, id)?;
            let (speed, wind) = both(ctx.query(id, &RAIL_EXIT_SPEED), ctx.get(place, flight::wind))?;
            Ok(Angle::from_si(libm::atan2(wind.si(), speed.si())))
        };
    /// The angle at which the air meets the rocket as it leaves the rail in the strongest gust.
    GUST_EXIT_ANGLE: "rail_exit_angle_in_gusts" of Rocket gives Angle,
        Formula::expression("atan({gusts} / {rail_exit_speed})"), "geometry", |ctx, id| {
            let place = planned_flight(ctx, id)?;
            let (speed, gust) = both(ctx.query(id, &RAIL_EXIT_SPEED), ctx.get(place, flight::gusts))?;
            Ok(Angle::from_si(libm::atan2(gust.si(), speed.si())))
        };
    /// Top speed over the ground, on a flight in still air.
    TOP_SPEED: "top_speed" of Rocket gives Speed, Formula::method("integrated: greatest speed of the ascent; `apogee` has the check by hand"), "", |ctx, id| {
        peak(ctx, flight_result(ctx, id)?.calm().top_speed)
    };
    /// Top Mach number, on a flight in still air.
    TOP_MACH: "top_mach" of Rocket gives f64, Formula::method("integrated: greatest airspeed / speed of sound of the ascent; `apogee` has the check by hand"), "", |ctx, id| {
        peak(ctx, flight_result(ctx, id)?.calm().top_mach)
    };
    /// Peak size of the acceleration until burnout: how fast the speed changes. An altimeter on the rail feels one gravity more.
    PEAK_ACCELERATION: "peak_acceleration" of Rocket gives Acceleration, Formula::method("integrated: greatest |dv/dt| until burnout; `apogee` has the check by hand"), "", |ctx, id| {
        peak(ctx, flight_result(ctx, id)?.calm().peak_acceleration)
    };
    /// Peak dynamic pressure.
    PEAK_DYNAMIC_PRESSURE: "peak_dynamic_pressure" of Rocket gives Pressure, Formula::method("integrated: greatest density × airspeed² / 2 of the ascent; `apogee` has the check by hand"), "", |ctx, id| {
        peak(ctx, flight_result(ctx, id)?.calm().peak_dynamic_pressure)
    };
    /// The hardest push of drag on the rocket while it outdoes the thrust, as an acceleration; gravity, which pulls on every part alike, is not in it.
    DECELERATION: "drag_deceleration" of Rocket gives Acceleration, Formula::method("integrated: greatest (drag − thrust) / mass; `apogee` has the check by hand"), "", |ctx, id| {
        peak(ctx, flight_result(ctx, id)?.calm().peak_felt_deceleration)
    };
    /// Speed at burnout, the last moment at which the thrust is at a twentieth of its peak.
    BURNOUT_SPEED: "burnout_speed" of Rocket gives Speed, Formula::method("integrated: speed of the ascent at burnout; `apogee` has the check by hand"), "", |ctx, id| {
        Ok(flight_result(ctx, id)?.calm().burnout.speed)
    };
    /// Height above the field at burnout, the last moment at which the thrust is at a twentieth of its peak.
    BURNOUT_HEIGHT: "burnout_height" of Rocket gives Length, Formula::method("integrated: height of the ascent at burnout; `apogee` has the check by hand"), "", |ctx, id| {
        Ok(flight_result(ctx, id)?.calm().burnout.height)
    };
    /// The highest point above the field, in still air.
    APOGEE: "apogee" of Rocket gives Length, Formula::method("integrated: height of the ascent where it stops climbing; `by hand` lies within 10 %"), "", |ctx, id| {
        let flight_result = flight_result(ctx, id)?;
        by_hand(ctx, id, &flight_result)?;
        Ok(flight_result.calm().apogee.height)
    };
    /// The highest point above the field if the rocket turns into the stated wind at once: no rocket of this drag flies lower from that rail, which leans as stated or into the wind where nobody has said.
    LOWEST_APOGEE: "lowest_apogee" of Rocket gives Length,
        Formula::method("integrated: height of the ascent with the stated wind at every height, or by `winds_aloft` where they are written down; `apogee` has the check by hand"), "", |ctx, id| {
            Ok(windy(ctx, id)?.height())
        };
    /// Time from ignition to the highest point.
    APOGEE_TIME: "apogee_time" of Rocket gives Time, Formula::method("integrated: time of the ascent where it stops climbing; `apogee` has the check by hand"), "", |ctx, id| {
        Ok(flight_result(ctx, id)?.calm().apogee.time)
    };
    /// Time from burnout to the highest point, the best delay of a motor's own charge; burnout is the last moment at which the thrust is at a twentieth of its peak.
    COAST_TIME: "coast_time" of Rocket gives Time, Formula::expression("{highest point} − {burnout}"), "", |ctx, id| {
        let flight_result = flight_result(ctx, id)?;
        ctx.step("highest point", || Formula::method("integrated: time since ignition"), flight_result.calm().apogee.time);
        ctx.step("burnout", || Formula::method("last time at which the thrust is at 5 % of its peak, since ignition"), flight_result.calm().burnout.time);
        Ok(flight_result.calm().coast())
    };
    /// Level speed through the air at the highest point when the rocket has turned into the stated wind, the rail leaning as stated or into the wind where nobody has said; the drogue opens at no less.
    SPEED_AT_APOGEE: "speed_at_apogee" of Rocket gives Speed,
        Formula::method("integrated: level speed through the air at the highest point of the ascent in the stated wind; `apogee` has the check by hand"), "", |ctx, id| {
            Ok(windy(ctx, id)?.airspeed())
        };
    /// How far upwind the highest point may lie when the rocket turns into the stated wind, the rail leaning as stated or into the wind where nobody has said.
    APOGEE_UPWIND: "apogee_upwind" of Rocket gives Length,
        Formula::method("integrated: distance over the ground of the ascent in the stated wind; `apogee` has the check by hand"), "", |ctx, id| {
            Ok(apogee_against_wind(ctx, id)?.0)
        };
    /// How far the highest point lies to the right of where the wind comes from, when the rocket turns into the stated wind.
    APOGEE_ACROSS: "apogee_across" of Rocket gives Length,
        Formula::method("integrated: distance over the ground across the stated wind; `apogee` has the check by hand"), "", |ctx, id| {
            Ok(apogee_against_wind(ctx, id)?.1)
        };
    /// How far from the pad the highest point lies, to where the rail leans, when nothing turns the rocket: in still air.
    APOGEE_OFFSET: "apogee_offset" of Rocket gives Length,
        Formula::method("integrated: distance over the ground of the ascent; `apogee` has the check by hand"), "", |ctx, id| {
            Ok(flight_result(ctx, id)?.calm().apogee.drift)
        };
    /// How far the temperature at the field is from that of the standard day at its height.
    OFFSET: "temperature_offset" of Flight gives TemperatureDifference,
        Formula::expression("{temperature} − {standard temperature}"), "U.S. Standard Atmosphere, 1976", |ctx, id| {
            let (elevation, temperature) = both(
                ctx.get(id, flight::site_elevation), ctx.get(id, flight::temperature))?;
            let offset = ctx.or_refuse(ascent::temperature_offset(temperature, elevation))?;
            let standard = Temperature::from_si(temperature.si() - offset.si());
            ctx.step("standard temperature", || Formula::method("standard atmosphere at `site_elevation`"), standard);
            Ok(offset)
        };
    /// Density of the air at the field at the temperature of the day.
    AIR_DENSITY: "air_density" of Flight gives Density, DAY_AT_FIELD, "U.S. Standard Atmosphere, 1976, for the pressure", |ctx, _| {
            Ok(air_at_field(ctx, ctx.rocket())?.density)
        };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[
    &RAIL_TRAVEL,
    &CLIMBS,
    &RAIL_EXIT_SPEED,
    &RAIL_EXIT_RATIO,
    &RAIL_EXIT_ANGLE,
    &GUST_EXIT_ANGLE,
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
    &APOGEE_ACROSS,
    &APOGEE_OFFSET,
    &OFFSET,
    &AIR_DENSITY,
];

fn engine(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Id<Motor>> {
    ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))
}

/// How far the rocket slides until its upper button, or its lower one, leaves the rail.
fn travel(ctx: &EvalContext<'_>, root: Id<Rocket>, lower: bool) -> Outcome<Length> {
    let place = planned_flight(ctx, root)?;
    let mut station: Option<Outcome<f64>> = None;
    let mut lines = Vec::new();
    for button in ctx.every::<RailButton>() {
        let here = extent(ctx, button).map(|e| e.fore);
        if ctx.is_recording() {
            lines.push(ctx.line(button, "fore_station"));
        }
        station = Some(match station {
            None => here,
            Some(so_far) => both(so_far, here).map(|(a, b)| if lower { a.max(b) } else { a.min(b) }),
        });
    }
    let station = station.unwrap_or_else(|| {
        Err(ctx.refuse("no rail buttons are described: it is not known where the rocket leaves the rail"))
    });
    let sizes = both(ctx.get(place, flight::rail), ctx.query(root, &LENGTH));
    let (station, (rail, overall)) = both(station, sizes)?;
    let stands_off = ctx.has(place, flight::rail_stop)?;
    let stop = if stands_off { ctx.get(place, flight::rail_stop)? } else { Length::from_si(0.0) };
    ctx.formula(|| {
        let stop = if stands_off { " − {rail_stop}" } else { "" };
        let upper = match lines.as_slice() {
            [one] => one.clone(),
            _ => format!("least of ({})", lines.join(", ")),
        };
        Formula::Expression(format!("{{rail}}{stop} − ({} − {upper})", ctx.line(root, LENGTH.name)).into())
    });
    ctx.or_refuse(ascent::rail_travel(rail, stop, overall, Length::from_si(station)))
}

pub(super) fn site(ctx: &EvalContext<'_>, place: Id<Flight>) -> Outcome<Site> {
    let (elevation, temperature_offset) =
        both(ctx.get(place, flight::site_elevation), ctx.query(place, &OFFSET))?;
    let none = Speed::from_si(0.0);
    Ok(Site { elevation, temperature_offset, wind: none, across: none })
}

pub(super) fn rail(ctx: &EvalContext<'_>, root: Id<Rocket>, place: Id<Flight>) -> Outcome<Rail> {
    let upper = ctx.query(root, &RAIL_TRAVEL)?;
    let lower = ctx.unrecorded(|| travel(ctx, root, true)).ok().filter(|lower| *lower >= upper);
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
    let (place, engine) = both(planned_flight(ctx, root), engine(ctx, root))?;
    // By itself, so that a curve that makes no sense is refused at its own place.
    let curve = ctx.query(engine, &CURVE_IMPULSE);
    let masses = both(ctx.query(root, &MASS_IN_DESCENT), ctx.get(engine, motor::propellant_mass));
    let air = both(airflow::flight_drag(ctx, root, place), ctx.query(root, &REFERENCE_AREA));
    let ground = both(rail(ctx, root, place), site(ctx, place));
    let (_, ((dry_mass, propellant), ((law, area), (rail, site)))) =
        both(curve, both(masses, both(air, ground)))?;
    let mut thrust = thrust_curve(ctx, engine)?;
    if ctx.has(engine, motor::impulse_factor)? {
        let factor = ctx.get(engine, motor::impulse_factor)?;
        thrust = ctx.or_refuse(thrust.scaled(factor))?;
    }
    let rocket = ascent::Rocket { dry_mass, propellant, area, thrust: &thrust, drag: &law };
    let accuracy = ctx.model().accuracy();
    let trajectory = ctx.or_refuse(Trajectory::fly(&rocket, &rail, &site.calm(), accuracy))?;
    Ok(FlightResult { dry_mass, propellant, area, thrust, law, rail, site, trajectory, accuracy })
}

fn climbs(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<bool> {
    let flight_result = ctx.working_of(root, &ASCENT)?;
    let calm = flight_result.calm();
    ctx.step(
        "mass at burnout",
        || Formula::choice("{mass_in_descent}, ready to fly less the propellant"),
        flight_result.dry_mass,
    );
    ctx.step("impulse of the motor", || impulse_formula(ctx, root), flight_result.thrust.impulse());
    ctx.step("off the rail: time", || Formula::method("integrated: since ignition"), calm.rail_exit.time);
    ctx.step("off the rail: speed", || Formula::method("integrated: over the ground"), calm.rail_exit.speed);
    ctx.step("burnout: time", || Formula::method("integrated: since ignition"), calm.burnout.time);
    ctx.step("burnout: speed", || Formula::method("integrated: over the ground"), calm.burnout.speed);
    ctx.step("burnout: height", || Formula::method("integrated: above the field"), calm.burnout.height);
    ctx.step("highest point: time", || Formula::method("integrated: since ignition"), calm.apogee.time);
    ctx.step("highest point: height", || Formula::method("integrated: above the field"), calm.apogee.height);
    Ok(true)
}

/// How the impulse of the ascent comes about.
fn impulse_formula(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Formula {
    match engine(ctx, root).and_then(|motor| ctx.has(motor, motor::impulse_factor)) {
        Ok(true) => Formula::expression("{total_impulse} × {impulse_factor}"),
        _ => Formula::choice("{total_impulse}, to which the curve is scaled"),
    }
}

/// That flight, once it is known that there is one.
pub(super) fn flight_result(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Rc<FlightResult>> {
    ctx.query(root, &CLIMBS)?;
    ctx.artifact(root, &ASCENT)
}

/// The ascent in the stated wind. Where it alone cannot be flown, as where the wind turns the rocket over while its motor burns, what
/// is known of the ascent in still air stands.
pub(super) fn windy(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Rc<InWind>> {
    ctx.working_of(root, &WINDY)
}

static WINDY: Artifact<Rocket, InWind> = Artifact {
    compute: |ctx, root| {
        let against =
            planned_flight(ctx, root).and_then(|place| both(stated(ctx, place), rail_azimuth(ctx, place)));
        let (flight_result, (wind, azimuth)) = both(flight_result(ctx, root), against)?;
        ctx.or_refuse(flight_result.windy(&wind, azimuth.unwrap_or(INTO_THE_WIND)))
    },
};

fn apogee_against_wind(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<(Length, Length)> {
    let (flight_result, azimuth) = both(windy(ctx, root), rail_azimuth(ctx, planned_flight(ctx, root)?))?;
    Ok(flight_result.place().against_wind(azimuth.unwrap_or(INTO_THE_WIND)))
}

/// A rail that leans into the wind: where it is not said to which side it leans, the worst for the height.
pub(super) const INTO_THE_WIND: Angle = Angle::from_si(0.0);

/// The side to which the rail leans, clockwise from where the wind comes from; `None` where nobody has said.
pub(super) fn rail_azimuth(ctx: &EvalContext<'_>, place: Id<Flight>) -> Outcome<Option<Angle>> {
    match ctx.has(place, flight::rail_azimuth)? {
        true => from_wind(ctx, place, ctx.get(place, flight::rail_azimuth)?).map(Some),
        false => Ok(None),
    }
}

/// A side as it is written, from where the wind comes from now.
pub(super) fn from_wind(ctx: &EvalContext<'_>, place: Id<Flight>, side: Angle) -> Outcome<Angle> {
    match ctx.has(place, flight::wind_veer)? {
        true => Ok(Angle::from_si(side.si() - ctx.get(place, flight::wind_veer)?.si())),
        false => Ok(side),
    }
}

/// The same in a formula.
pub(super) fn from_wind_in_words(ctx: &EvalContext<'_>, place: Id<Flight>, side: &str) -> String {
    match ctx.has(place, flight::wind_veer) {
        Ok(true) => format!("({{{side}}} − {{wind_veer}})"),
        _ => format!("{{{side}}}"),
    }
}

/// A peak of the ascent, with when and where it is.
fn peak<T>(ctx: &EvalContext<'_>, peak: Peak<T>) -> Outcome<T> {
    ctx.step("when", || Formula::method("integrated: since ignition"), peak.time);
    ctx.step("where", || Formula::method("integrated: above the field"), peak.height);
    Ok(peak.value)
}

/// The speed off the rail as a calculator gives it: the push so far over the mass, less what gravity takes; no drag.
fn hand_rail(ctx: &EvalContext<'_>, root: Id<Rocket>, flight_result: &FlightResult) -> Outcome<()> {
    let mass = ctx.query(root, &MASS_AT_IGNITION)?;
    let exit = flight_result.calm().rail_exit;
    let push = flight_result.thrust.impulse() * flight_result.thrust.share_until(exit.time);
    let along = crate::engineering::STANDARD_GRAVITY * libm::cos(flight_result.rail.angle.si());
    ctx.step("time on the rail", || Formula::method("integrated: since ignition"), exit.time);
    ctx.step("impulse by then", || Formula::method("area under the thrust curve until then"), push);
    let check = Speed::from_si((push.si() / mass.si() - along * exit.time.si()).max(0.0));
    ctx.step(
        "by hand",
        || {
            let leans = if flight_result.rail.angle.si() == 0.0 { "" } else { " × cos({rail_angle})" };
            if flight_result.rail.angle.si() != 0.0
                && let Ok(place) = planned_flight(ctx, root)
            {
                let _ = ctx.get(place, flight::rail_angle);
            }
            Formula::Expression(
                format!("{{impulse by then}} / {{mass_at_ignition}} − g{leans} × {{time on the rail}}")
                    .into(),
            )
        },
        check,
    );
    Ok(())
}

/// The height as a calculator gives it, beside the one that is integrated.
fn by_hand(ctx: &EvalContext<'_>, root: Id<Rocket>, flight_result: &FlightResult) -> Outcome<()> {
    let air = air_at_field(ctx, root)?;
    let calm = flight_result.calm();
    let flow = |mach: f64, burning: bool| Flow { air, airspeed: air.speed_of_sound * mach, mach, burning };
    let coefficient = flight_result.law.coefficient(&flow(calm.top_mach.value / 2.0, false));
    let drag = ctx.or_refuse(constant_thrust::drag_factor(air.density, coefficient, flight_result.area))?;
    let flight = constant_thrust::Flight {
        thrust: flight_result.thrust.average(),
        burn: flight_result.thrust.burn_time(),
        burning: flight_result.dry_mass + flight_result.propellant * 0.5,
        coasting: flight_result.dry_mass,
        drag,
    };
    ctx.or_refuse(constant_thrust::fly(&flight))?;
    if ctx.is_recording() {
        record_by_hand(ctx, root, &flight, coefficient, air.density)?;
    }
    Ok(())
}

/// The sums of the height by hand, each from the lines before.
fn record_by_hand(
    ctx: &EvalContext<'_>,
    root: Id<Rocket>,
    flight: &constant_thrust::Flight,
    coefficient: f64,
    density: Density,
) -> Outcome<()> {
    let heights = ctx.or_refuse(constant_thrust::fly(flight))?;
    let motor = engine(ctx, root)?;
    ctx.offer(motor, CURVE_BURN.name);
    let _ = ctx.get(motor, motor::total_impulse);
    ctx.offer(root, MASS_IN_DESCENT.name);
    ctx.offer(root, REFERENCE_AREA.name);
    let _ = ctx.get(motor, motor::propellant_mass);
    let expression = |text: &'static str| move || Formula::expression(text);
    let stronger = ctx.has(motor, motor::impulse_factor)?;
    let thrust = if stronger {
        let _ = ctx.get(motor, motor::impulse_factor);
        "{total_impulse} × {impulse_factor} / {curve_burn_time}"
    } else {
        "{total_impulse} / {curve_burn_time}"
    };
    ctx.step("F, average thrust", expression(thrust), flight.thrust);
    ctx.step("t, burn time", || Formula::choice("{curve_burn_time}, by the curve"), flight.burn);
    ctx.step(
        "m, mean mass in the burn",
        expression("{mass_in_descent} + {propellant_mass} / 2"),
        flight.burning,
    );
    ctx.step(
        "M, mass in the coast",
        || Formula::choice("{mass_in_descent}, without propellant"),
        flight.coasting,
    );
    ctx.step(
        "ρ, density of the air",
        || Formula::method("ideal gas at `temperature` and the standard pressure of `site_elevation`"),
        density,
    );
    ctx.step(
        "Cd, drag coefficient",
        || Formula::method("of the ascent, coasting at half the top Mach number"),
        Quantity::number(coefficient),
    );
    let per_square = Dimension::MASS.over(Dimension::LENGTH).unwrap_or(Dimension::NUMBER);
    ctx.step(
        "k, drag over speed²",
        expression("{ρ} × {Cd} × {reference_area} / 2"),
        Quantity::new(flight.drag, per_square),
    );
    ctx.step(
        "v, speed at burnout",
        expression("√(({F} − {m} × g) / {k}) × tanh({t} / {m} × √({k} × ({F} − {m} × g)))"),
        heights.burnout_speed,
    );
    ctx.step(
        "height at burnout",
        expression("{m} / {k} × ln(cosh({t} / {m} × √({k} × ({F} − {m} × g))))"),
        heights.burnout_height,
    );
    ctx.step(
        "height of the coast",
        expression("{M} / (2 × {k}) × ln(1 + {k} × {v}² / ({M} × g))"),
        heights.coasted,
    );
    ctx.step(
        "by hand",
        expression("{height at burnout} + {height of the coast}"),
        heights.burnout_height + heights.coasted,
    );
    Ok(())
}

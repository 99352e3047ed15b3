//! The motor: what its curve, its impulse and its designation say.

use std::sync::Arc;

use super::computed::computed;
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{AsBuilt, Motor, as_built, motor, rocket};
use crate::engineering::motors;
use crate::engineering::thrust::{self, ThrustCurve};
use crate::quantity::{Force, Impulse, Time};
use crate::vocabulary::Id;

computed! {
    /// Total impulse by the thrust curve as it is written.
    CURVE_IMPULSE: "curve_impulse" of Motor gives Impulse,
        Formula::method("area under the straight lines between the points"), "common practice of published thrust curves", |ctx, id| {
            let points = ctx.get(id, motor::thrust_curve)?;
            ctx.or_refuse(thrust::drawn_impulse(&points))
        };
    /// Burn time by the curve: from the first moment at which the thrust is at a twentieth of its peak to the last.
    CURVE_BURN: "curve_burn_time" of Motor gives Time,
        Formula::method("time between the first and the last thrust of 5 % of the peak, on the straight lines between the points"),
        "burn time of NFPA 1125, as a motor maker's note quotes it", |ctx, id| {
            Ok(thrust_curve(ctx, id)?.burn_time())
        };
    /// The highest thrust of the curve, scaled to the stated impulse.
    CURVE_PEAK: "curve_peak_thrust" of Motor gives Force,
        Formula::method("greatest thrust of the points of the curve × `total_impulse` / `curve_impulse`"), "", |ctx, id| {
            Ok(thrust_curve(ctx, id)?.peak())
        };
    /// The average thrust by the curve: the stated impulse over the curve's burn time.
    CURVE_AVERAGE: "curve_average_thrust" of Motor gives Force, Formula::expression("{total_impulse} / {curve_burn_time}"), "", |ctx, id| {
        ctx.offer(id, CURVE_BURN.name);
        Ok(thrust_curve(ctx, id)?.average())
    };
    /// The level of certification that its total impulse asks of the flyer; 0 where it asks none.
    CERTIFICATION: "certification_level" of Motor gives f64,
        Formula::method("by the class of `total_impulse`: 1 for H and I, 2 for J to L, 3 for M to O"), "certification rules of the hobby's national associations", |ctx, id| {
            let impulse = ctx.get(id, motor::total_impulse)?;
            let level = ctx.or_refuse(motors::certification_level(impulse))?;
            Ok(f64::from(level.unwrap_or(0)))
        };
    /// The class of the motor by its total impulse, a letter.
    CLASS: "impulse_class" of Motor gives Arc<str>,
        Formula::condition("A up to 2.5 N·s, each letter up to twice the one before"), "table of motor classes after NFPA 1125 (from memory)", |ctx, id| {
            let impulse = ctx.get(id, motor::total_impulse)?;
            Ok(ctx.or_refuse(motors::class(impulse))?.into())
        };
    /// The class of the motor by its designation, a letter.
    DESIGNATED_CLASS: "designated_class" of Motor gives Arc<str>,
        Formula::condition("the letter of `designation` before its average thrust"), "common practice of motor designations", |ctx, id| {
            let text = ctx.get(id, motor::designation)?;
            Ok(designated(ctx, &text)?.class.into())
        };
    /// The average thrust by the designation of the motor.
    DESIGNATED_THRUST: "designated_thrust" of Motor gives Force,
        Formula::method("the number behind the letter of `designation`, in newtons"), "common practice of motor designations", |ctx, id| {
            let text = ctx.get(id, motor::designation)?;
            Ok(designated(ctx, &text)?.average_thrust)
        };
    /// The delay by the designation of the motor, as it is sold; many may be shortened.
    DESIGNATED_DELAY: "designated_delay" of Motor gives Time,
        Formula::method("the number behind the dash of `designation`, in seconds"), "common practice of motor designations", |ctx, id| {
            let text = ctx.get(id, motor::designation)?;
            designated(ctx, &text)?.delay.ok_or_else(|| ctx.refuse("the designation names no delay in seconds"))
        };
    /// Whether the motor that was in when the rocket was weighed is the one that flies; their delays may differ.
    SAME_MOTOR: "has_motor_that_flies" of AsBuilt gives bool,
        Formula::condition("class, average thrust and, where both name it, propellant of both designations are the same"), "common practice of motor designations", |ctx, id| {
            let Some(engine) = ctx.part(ctx.rocket(), rocket::motor)? else { return Err(ctx.refuse("the rocket has no motor")) };
            let (weighed, flight_result) = both(ctx.get(id, as_built::motor), ctx.get(engine, motor::designation))?;
            Ok(match (motors::designated(&weighed), motors::designated(&flight_result)) {
                (Some(weighed), Some(flight_result)) => weighed.is_same_motor(&flight_result),
                _ => weighed.trim() == flight_result.trim(),
            })
        };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[
    &CURVE_IMPULSE,
    &CURVE_BURN,
    &CURVE_PEAK,
    &CURVE_AVERAGE,
    &CERTIFICATION,
    &CLASS,
    &DESIGNATED_CLASS,
    &DESIGNATED_THRUST,
    &DESIGNATED_DELAY,
    &SAME_MOTOR,
];

/// The curve that is flown: scaled to the stated impulse.
pub(super) fn thrust_curve(ctx: &EvalContext<'_>, id: Id<Motor>) -> Outcome<ThrustCurve> {
    let (points, impulse) = both(ctx.get(id, motor::thrust_curve), ctx.get(id, motor::total_impulse))?;
    ThrustCurve::new(&points, Some(impulse)).map_err(|wrong| match thrust::drawn_impulse(&points) {
        // Motors are sold by the newton second everywhere.
        Ok(drawn) => ctx.refuse(format!(
            "{}: {:.0} N·s lie under the curve, and {:.0} N·s are stated",
            wrong.reason,
            drawn.si(),
            impulse.si()
        )),
        Err(_) => ctx.refuse(wrong.reason),
    })
}

fn designated<'t>(ctx: &EvalContext<'_>, text: &'t str) -> Outcome<motors::Designated<'t>> {
    motors::designated(text).ok_or_else(|| ctx.refuse("the designation names no class and average thrust"))
}

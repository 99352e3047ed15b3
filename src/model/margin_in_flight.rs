//! The static margin along the flown ascent: at every moment, and where it is least.

use std::rc::Rc;

use super::artifact::Artifact;
use super::ascent::flight_result;
use super::balance::{BALANCE, BURNT, FINS_BY_MACH, PRESSURE, margin, motor_middle, shift, stated_pressure};
use super::computed::computed;
use super::masses::MASS_AT_IGNITION;
use super::sections::CALIBRE;
use super::side_forces::{SideForces, contributions};
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{Rocket, motor, rocket};
use crate::engineering::Unworkable;
use crate::engineering::ascent::Moment;
use crate::engineering::stability;
use crate::quantity::{Length, Mass, Quantity, Time};
use crate::vocabulary::Id;

/// Where on the ascent it is least.
const LEAST: Formula = Formula::method(
    "of the ascent in still air, where `lowest_stability` is least from leaving the rail to the highest point",
);

computed! {
    /// How far the centre of pressure lies behind the balance point where that is least, from leaving the rail to the highest point in still air, in calibres; the fins by their Mach number, which `stability_at_rail_exit` leaves out.
    LOWEST: "lowest_stability" of Rocket gives f64,
        Formula::expression("({centre of pressure} − {balance then}) / {calibre}"), FINS_BY_MACH, lowest;
    /// The Mach number at which `lowest_stability` is reached.
    LOWEST_MACH: "lowest_stability_mach" of Rocket gives f64, LEAST, "", |ctx, id| Ok(least(ctx, id)?.mach);
    /// When `lowest_stability` is reached, from ignition.
    LOWEST_TIME: "lowest_stability_time" of Rocket gives Time, LEAST, "", |ctx, id| Ok(least(ctx, id)?.time);
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&LOWEST, &LOWEST_MACH, &LOWEST_TIME];

/// What the margin at a moment hangs on.
struct Along {
    /// What the parts add to the side force; none where the centre of pressure is stated.
    parts: Option<SideForces>,
    stated: Length,
    /// How far behind what is worked out the centre of pressure lies.
    shift: Length,
    calibre: Length,
    mass: Mass,
    balance: Length,
    /// The middle of the motor.
    middle: Length,
}

impl Along {
    fn of(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Self> {
        let stated = stated_pressure(ctx, root)?;
        let parts = match stated {
            Some(_) => Ok(None),
            None => contributions(ctx, root, 0.0).map(Some),
        };
        let before = both(ctx.query(root, &MASS_AT_IGNITION), ctx.query(root, &BALANCE));
        let inside = both(motor_middle(ctx, root), ctx.query(root, &CALIBRE));
        let (parts, ((mass, balance), (middle, calibre))) = both(parts, both(before, inside))?;
        let stated = stated.unwrap_or(Length::from_si(0.0));
        let shift = shift(ctx, root)?.unwrap_or(Length::from_si(0.0));
        Ok(Self { parts, stated, shift, calibre, mass, balance, middle })
    }

    fn balance(&self, mass: Mass) -> Length {
        let burnt = self.mass - mass;
        let moment = self.mass.si() * self.balance.si() - burnt.si() * self.middle.si();
        Length::from_si(moment / mass.si())
    }

    fn margin(&self, moment: &Moment) -> Result<f64, Unworkable> {
        let centre = match &self.parts {
            Some(parts) => stability::total(&parts.at(moment.mach, self.calibre)?)?.centre + self.shift,
            None => self.stated,
        };
        stability::static_margin(centre, self.balance(moment.mass), self.calibre)
    }
}

static LEAST_MOMENT: Artifact<Rocket, Moment> = Artifact {
    compute: |ctx, root| {
        let (flight, along) = both(flight_result(ctx, root), Along::of(ctx, root))?;
        // What the method does not know is looked at first, and refused there.
        ctx.or_refuse(flight.least(|moment| along.margin(moment).unwrap_or(f64::NEG_INFINITY)))
    },
};

fn least(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Rc<Moment>> {
    ctx.artifact(root, &LEAST_MOMENT)
}

fn lowest(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<f64> {
    let then = least(ctx, root)?;
    let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
    let flight = flight_result(ctx, root)?;
    let before = both(ctx.query(root, &MASS_AT_IGNITION), ctx.query(root, &BALANCE));
    let inside = both(ctx.get(engine, motor::propellant_mass), motor_middle(ctx, root));
    let ((mass, balance), (propellant, middle)) = both(before, inside)?;
    ctx.step("when", || LEAST, then.time);
    ctx.step("Mach number", || Formula::method("of the ascent then"), Quantity::number(then.mach));
    let share = flight.share_until(then.time);
    let under_curve = || Formula::method("area under the thrust curve until then, over the whole");
    ctx.step("share of the impulse", under_curve, Quantity::number(share));
    let burnt = propellant * share;
    ctx.step("propellant burnt", || Formula::expression("{propellant_mass} × {share of the impulse}"), burnt);
    let left = mass - burnt;
    let station = (mass.si() * balance.si() - burnt.si() * middle.si()) / left.si();
    let station = Length::from_si(station);
    ctx.step("balance then", || BURNT, station);
    if let Some(stated) = stated_pressure(ctx, root)? {
        let calibre = ctx.query(root, &CALIBRE)?;
        ctx.offer(root, PRESSURE.name);
        ctx.formula(|| Formula::expression("({centre_of_pressure} − {balance then}) / {calibre}"));
        return ctx.or_refuse(stability::static_margin(stated, station, calibre));
    }
    let parts = contributions(ctx, root, then.mach)?;
    margin(ctx, root, &parts, station)
}

/// The static margin in calibres by time since ignition, from leaving the rail to the highest point.
pub(super) fn margin_history(
    ctx: &EvalContext<'_>,
    root: Id<Rocket>,
    apart: Time,
) -> Outcome<Vec<(Time, f64)>> {
    let (flight, along) = both(flight_result(ctx, root), Along::of(ctx, root))?;
    let exit = flight.calm().rail_exit.time;
    let aloft = flight.moments(apart).into_iter().filter(|moment| moment.time >= exit);
    aloft.map(|moment| Ok((moment.time, ctx.or_refuse(along.margin(&moment))?))).collect()
}

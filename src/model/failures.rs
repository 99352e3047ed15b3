//! Failures one at a time: what still opens when one device does not do its work, and how the rocket lands then.

use super::airflow::REFERENCE_AREA;
use super::ascent::{APOGEE, COAST_TIME, windy};
use super::cords::piece;
use super::descent::{at_field, day};
use super::descent_phases::{FallDrag, way_down};
use super::drag_coefficient::DRAG_COEFFICIENT;
use super::landing::{UNOPENED, UNOPENED_SPEED, places, unopened_places};
use super::landing_places::OnField;
use super::launch_site::planned_flight;
use super::mating::ends;
use super::parachutes::surely;
use super::recovery_trains::{self, Train, mass_of, trains};
use super::wind::stated;
use super::{EvalContext, Model, Outcome, both};
use crate::design::{
    Altimeter, Battery, Charge, Circuit, Joint, Motor, Parachute, Release, Section, Switch, altimeter,
    charge, circuit, joint, motor, parachute, release, rocket, section,
};
use crate::engineering::fall::{self, Wind};
use crate::engineering::{landing, parachute as descent};
use crate::quantity::{Area, Energy, Length, Speed, Time};
use crate::vocabulary::{EntityId, Id};

/// What does not do its work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// Nothing: everything works.
    Nothing,
    /// An altimeter, a battery, a switch, a charge, a parachute or a release.
    Device(EntityId),
    /// The motor's own charge.
    MotorCharge,
    /// A joint that should part low comes apart at the highest point.
    EarlyJoint(EntityId),
    /// Everything at once: no joint parts.
    Everything,
}

/// How the rocket comes down with one fault.
#[derive(Debug)]
pub struct FailureCase {
    /// The fault.
    pub fault: Fault,
    /// The parachutes that open all the same, with the heights above the field, the highest first.
    pub opened: Vec<(Id<Parachute>, Length)>,
    /// How fast the first of them finds the rocket falling, where it opens late and nothing else is out; `None` where it opens
    /// at the highest point.
    pub falling: Option<Outcome<Speed>>,
    /// Whether any joint parts: a rocket that stays whole comes down nose first.
    pub parted: bool,
    /// How fast the fastest part of it lands.
    pub landing_speed: Outcome<Speed>,
    /// The energy with which the worst piece lands.
    pub landing_energy: Outcome<Energy>,
    /// How far the wind carries it from where it opened; of a rocket that stays whole, how far it flies from its highest point.
    pub drift: Outcome<Length>,
    /// Where it lands if it flew as the rail points, and if it turned into the wind at once.
    pub places: Outcome<[OnField; 2]>,
}

impl Model<'_> {
    /// The rocket with each device failing by itself, after the case where all of them work.
    ///
    /// # Errors
    /// When sections, joints, recovery or wiring are not known well enough to tell what opens what.
    pub fn failures(&self) -> Outcome<Vec<FailureCase>> {
        let ctx = self.context();
        let mut faults = vec![Fault::Nothing];
        let devices = |of: Vec<EntityId>| of.into_iter().map(Fault::Device);
        faults.extend(devices(ctx.every::<Altimeter>().into_iter().map(Id::any).collect()));
        faults.extend(devices(ctx.every::<Battery>().into_iter().map(Id::any).collect()));
        faults.extend(devices(ctx.every::<Switch>().into_iter().map(Id::any).collect()));
        faults.extend(devices(ctx.every::<Charge>().into_iter().map(Id::any).collect()));
        if motor_delay(&ctx)?.is_some() {
            faults.push(Fault::MotorCharge);
        }
        faults.extend(devices(ctx.every::<Release>().into_iter().map(Id::any).collect()));
        faults.extend(devices(ctx.every::<Parachute>().into_iter().map(Id::any).collect()));
        for one in ctx.every::<Joint>() {
            if ctx.get(one, joint::parts_at)? == "main" {
                faults.push(Fault::EarlyJoint(one.any()));
            }
        }
        faults.push(Fault::Everything);
        faults.into_iter().map(|fault| case(&ctx, fault)).collect()
    }
}

/// The delay of the motor's own charge, where it has one.
pub(super) fn motor_delay(ctx: &EvalContext<'_>) -> Outcome<Option<Time>> {
    let Some(engine) = ctx.part(ctx.rocket(), rocket::motor)? else { return Ok(None) };
    if ctx.get(engine, motor::plugged)? || !has_delay(ctx, engine)? {
        return Ok(None);
    }
    ctx.get(engine, motor::delay).map(Some)
}

fn has_delay(ctx: &EvalContext<'_>, engine: Id<Motor>) -> Outcome<bool> {
    ctx.has(engine, motor::delay)
}

/// The joint that the motor's charge opens: the one ahead of the section that carries the motor, where it parts.
fn motors_joint(ctx: &EvalContext<'_>) -> Outcome<Option<Id<Joint>>> {
    for one in ctx.every::<Joint>() {
        let (_, aft) = ends(ctx, one)?;
        if ctx.part(aft, section::motor_mount)?.is_some() && ctx.get(one, joint::parts_at)? != "never" {
            return Ok(Some(one));
        }
    }
    Ok(None)
}

/// The height above the field at which something happens a time after the highest point, falling freely at first: no lower than the
/// ground. Drag is not counted, so that it is not given too high.
fn height_after(top: Length, late: Time) -> Length {
    let fallen = crate::engineering::STANDARD_GRAVITY / 2.0 * late.si() * late.si();
    Length::from_si((top.si() - fallen).max(0.0))
}

/// The height at which a joint parts, by what of its charges still works; `None` where it stays closed.
fn parts(ctx: &EvalContext<'_>, id: Id<Joint>, fault: Fault) -> Outcome<Option<Length>> {
    if fault == Fault::Everything {
        return Ok(None);
    }
    let root = ctx.rocket();
    let top = ctx.query(root, &APOGEE)?;
    if fault == Fault::EarlyJoint(id.any()) {
        return Ok(Some(top));
    }
    let fails = |one: EntityId| fault == Fault::Device(one);
    let mut highest: Option<Length> = None;
    let mut at = |height: Length| {
        if highest.is_none_or(|so_far| height > so_far) {
            highest = Some(height);
        }
    };
    for wired in ctx.every::<Circuit>() {
        let (fired, by) = both(ctx.get(wired, circuit::fires), ctx.get(wired, circuit::altimeter))?;
        if ctx.get(fired, charge::joint)? != id || fails(fired.any()) || fails(by.any()) {
            continue;
        }
        let (battery, switch) = both(ctx.get(by, altimeter::battery), ctx.get(by, altimeter::switch))?;
        if fails(battery.any()) || fails(switch.any()) {
            continue;
        }
        if ctx.get(wired, circuit::channel)? == "main" {
            let height = ctx.get(by, altimeter::main_height)?;
            at(if height < top { height } else { top });
        } else if ctx.has(by, altimeter::apogee_delay)? {
            at(height_after(top, ctx.get(by, altimeter::apogee_delay)?));
        } else {
            at(top);
        }
    }
    if fault != Fault::MotorCharge
        && motors_joint(ctx)? == Some(id)
        && let Some(delay) = motor_delay(ctx)?
    {
        let late = (delay.si() - ctx.query(root, &COAST_TIME)?.si()).max(0.0);
        at(height_after(top, Time::from_si(late)));
    }
    Ok(highest)
}

/// The height at which a parachute opens with a fault; `None` where it stays in its section or in its bundle.
fn opens(ctx: &EvalContext<'_>, id: Id<Parachute>, fault: Fault) -> Outcome<Option<Length>> {
    if fault == Fault::Device(id.any()) {
        return Ok(None);
    }
    let (packed, when) = both(ctx.get(id, parachute::packed_in), ctx.get(id, parachute::opens_at))?;
    let mut out: Option<Length> = None;
    for one in ctx.every::<Joint>() {
        let (fore, aft) = ends(ctx, one)?;
        if (fore == packed || aft == packed)
            && ctx.get(one, joint::parts_at)? == when
            && let Some(height) = parts(ctx, one, fault)?
            && out.is_none_or(|so_far| height > so_far)
        {
            out = Some(height);
        }
    }
    let Some(out) = out else { return Ok(None) };
    let Some(held) = ctx.part(id, parachute::release)? else { return Ok(Some(out)) };
    if fault == Fault::Device(held.any()) {
        return Ok(None);
    }
    let height = ctx.get(held, release::height)?;
    Ok(Some(if height < out { height } else { out }))
}

fn case(ctx: &EvalContext<'_>, fault: Fault) -> Outcome<FailureCase> {
    let all = trains(ctx)?;
    let mut opened = Vec::new();
    for canopy in ctx.every::<Parachute>() {
        if let Some(height) = opens(ctx, canopy, fault)? {
            opened.push((canopy, height));
        }
    }
    opened.sort_by(|a, b| b.1.si().total_cmp(&a.1.si()));
    let mut parted = false;
    for one in ctx.every::<Joint>() {
        parted |= ctx.get(one, joint::parts_at)? != "never" && parts(ctx, one, fault)?.is_some();
    }
    let landings: Outcome<Vec<(Speed, Energy)>> =
        all.iter().map(|train| landing(ctx, train, &all, &opened, parted)).collect();
    let worst = |of: fn(&(Speed, Energy)) -> f64| {
        landings.as_ref().map(|all| all.iter().map(of).fold(0.0, f64::max)).map_err(Clone::clone)
    };
    let falling = match opened.first() {
        Some((canopy, height)) => falling(ctx, &all, *canopy, *height, fault)?,
        None => None,
    };
    let whole = opened.is_empty() && !parted;
    let drift = drift(ctx, &all, &opened, whole);
    Ok(FailureCase {
        falling,
        landing_speed: worst(|(speed, _)| speed.si()).map(Speed::from_si),
        landing_energy: worst(|(_, energy)| energy.si()).map(Energy::from_si),
        places: match &drift {
            _ if whole => unopened_places(ctx),
            Ok(drift) => places(ctx, *drift),
            Err(gap) => Err(gap.clone()),
        },
        drift,
        fault,
        opened,
        parted,
    })
}

/// How fast the rocket falls where its first parachute opens well after the highest point: nose first until a joint parts.
fn falling(
    ctx: &EvalContext<'_>,
    all: &[Train],
    canopy: Id<Parachute>,
    height: Length,
    fault: Fault,
) -> Outcome<Option<Outcome<Speed>>> {
    let root = ctx.rocket();
    let top = ctx.query(root, &APOGEE)?;
    if height.si() >= top.si() {
        return Ok(None);
    }
    let mut open_before = false;
    for one in ctx.every::<Joint>() {
        if ctx.get(one, joint::parts_at)? != "never" {
            open_before |= parts(ctx, one, fault)?.is_some_and(|at| at > height);
        }
    }
    let speed = || -> Outcome<Speed> {
        let train = recovery_trains::under(ctx, all, canopy)?;
        let area = if open_before { train.body(ctx)?.0 } else { nose_first(ctx)? };
        let day = day(ctx, root, Wind::Steady(Speed::from_si(0.0)))?;
        ctx.or_refuse(fall::speed_after(train.mass(ctx, all)?, area, top - height, height, &day))
    };
    Ok(Some(speed()))
}

/// The drag area of a rocket that stays whole, coasting nose first.
fn nose_first(ctx: &EvalContext<'_>) -> Outcome<Area> {
    let root = ctx.rocket();
    let (coefficient, area) = both(ctx.query(root, &DRAG_COEFFICIENT), ctx.query(root, &REFERENCE_AREA))?;
    Ok(area * coefficient)
}

fn landing(
    ctx: &EvalContext<'_>,
    train: &Train,
    all: &[Train],
    opened: &[(Id<Parachute>, Length)],
    parted: bool,
) -> Outcome<(Speed, Energy)> {
    let root = ctx.rocket();
    let mass = train.mass(ctx, all)?;
    let open: Vec<_> =
        opened.iter().map(|(canopy, _)| *canopy).filter(|c| train.canopies.contains(c)).collect();
    let speed = if open.is_empty() && !parted {
        ctx.query(root, &UNOPENED_SPEED)?
    } else if open.is_empty() {
        let day = day(ctx, root, Wind::Steady(Speed::from_si(0.0)))?;
        let top = ctx.query(root, &APOGEE)?;
        ctx.or_refuse(fall::speed_after(mass, train.body(ctx)?.0, top, Length::from_si(0.0), &day))?
    } else {
        at_field(ctx, mass, surely(ctx, &open)?)?
    };
    let mut heaviest = if parted { 0.0 } else { mass.si() };
    if parted {
        for one in &train.sections {
            let together: Vec<Id<Section>> = piece(ctx, *one)?;
            heaviest = mass_of(ctx, &together)?.si().max(heaviest);
        }
    }
    let energy = ctx.or_refuse(descent::landing_energy(crate::quantity::Mass::from_si(heaviest), speed))?;
    Ok((speed, energy))
}

/// The farthest drift of any train.
fn drift(
    ctx: &EvalContext<'_>,
    all: &[Train],
    opened: &[(Id<Parachute>, Length)],
    whole: bool,
) -> Outcome<Length> {
    let root = ctx.rocket();
    if whole {
        let (fall, top) = both(ctx.working_of(root, &UNOPENED), windy(ctx, root))?;
        let (struck, top) = (fall.turned.place, top.place());
        return Ok(landing::distance(struck.along - top.along, struck.across - top.across));
    }
    let place = planned_flight(ctx, root)?;
    let day = day(ctx, root, stated(ctx, place)?)?;
    let mut farthest = 0.0_f64;
    for train in all {
        let own: Vec<_> = opened.iter().copied().filter(|(c, _)| train.canopies.contains(c)).collect();
        let mut total = 0.0;
        for stretch in way_down(ctx, train, all, &own, FallDrag::Canopies)? {
            total += ctx.or_refuse(fall::fall(&stretch, &day))?.drift.si();
        }
        farthest = farthest.max(total);
    }
    Ok(Length::from_si(farthest))
}

//! The timeline of a flight as planned: what happens when, at which height and at which speed.

use super::ascent::{COAST_TIME, RAIL_TRAVEL, flight_result};
use super::descent::{SECTION_LANDING_SPEED, SPEED_BEFORE, day};
use super::descent_phases::{FallDrag, carried, way_down};
use super::failures::motor_delay;
use super::recovery_trains::{Train, trains};
use super::{EvalContext, Model, Outcome, Unknown};
use crate::design::{Circuit, Parachute, Section, altimeter, circuit, flight, rocket};
use crate::engineering::fall::{self, Day, Stretch, Wind};
use crate::quantity::{Length, Speed, Time};
use crate::vocabulary::Id;

/// Moments of the ascent that its trajectory is drawn by.
const ASCENT_POINTS: f64 = 120.0;
/// Moments of each stretch of the way down.
const STRETCH_POINTS: u32 = 24;

/// What happens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Event {
    /// The motor is lit.
    Ignition,
    /// The rocket starts to move.
    LiftOff,
    /// Its upper button leaves the rail.
    OffTheRail,
    /// The thrust falls below 5 % of its peak for the last time.
    Burnout,
    /// The highest point.
    Apogee,
    /// An altimeter fires a charge.
    Channel(Id<Circuit>),
    /// The motor's own charge fires.
    MotorCharge,
    /// A parachute opens.
    Opens(Id<Parachute>),
    /// The sections that hang together with this one land.
    Lands(Id<Section>),
}

/// A moment of the flight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimelineEvent {
    /// What happens.
    pub event: Event,
    /// Since ignition.
    pub time: Time,
    /// Above the field.
    pub height: Length,
    /// Over the ground on the way up, through the air on the way down.
    pub speed: Speed,
}

/// A flight from ignition to the ground.
#[derive(Clone, Debug)]
pub struct Timeline {
    /// What happens, in order.
    pub events: Vec<TimelineEvent>,
    /// The height above the field by time since ignition, of the train that is longest in the air.
    pub trajectory: Vec<(Time, Length)>,
    /// Why the way down is not known, where it is not.
    pub gap: Option<Unknown>,
}

impl Model<'_> {
    /// The flight as planned, in still air: what is known of it, as far as the ascent is.
    ///
    /// # Errors
    /// When the ascent is not known.
    pub fn timeline(&self) -> Outcome<Timeline> {
        let ctx = self.context();
        let mut timeline = ascent(&ctx)?;
        let known = timeline.events.len();
        if let Err(gap) = descent(&ctx, &mut timeline) {
            timeline.events.truncate(known);
            timeline.gap = Some(gap);
        }
        timeline.events.sort_by(|a, b| a.time.si().total_cmp(&b.time.si()));
        Ok(timeline)
    }
}

fn ascent(ctx: &EvalContext<'_>) -> Outcome<Timeline> {
    let root = ctx.rocket();
    let flight_result = flight_result(ctx, root)?;
    let calm = flight_result.calm();
    let (zero, still) = (Length::from_si(0.0), Speed::from_si(0.0));
    let lean = match ctx.part(root, rocket::flight)? {
        Some(site) if ctx.has(site, flight::rail_angle)? => ctx.get(site, flight::rail_angle)?.si(),
        _ => 0.0,
    };
    let along = ctx.query(root, &RAIL_TRAVEL)?;
    let at = |event, time, height, speed| TimelineEvent { event, time, height, speed };
    let events = vec![
        at(Event::Ignition, Time::from_si(0.0), zero, still),
        at(Event::LiftOff, calm.liftoff, zero, still),
        at(Event::OffTheRail, calm.rail_exit.time, along * libm::cos(lean), calm.rail_exit.speed),
        at(Event::Burnout, calm.burnout.time, calm.burnout.height, calm.burnout.speed),
        at(Event::Apogee, calm.apogee.time, calm.apogee.height, at_rest(calm.apogee.speed)),
    ];
    let apart = Time::from_si((calm.apogee.time.si() / ASCENT_POINTS).max(0.01));
    let trajectory = flight_result.moments(apart).iter().map(|moment| (moment.time, moment.height)).collect();
    Ok(Timeline { events, trajectory, gap: None })
}

/// What is left of nothing in a sum of numbers is nothing.
fn at_rest(speed: Speed) -> Speed {
    if speed.si() < 1e-6 { Speed::from_si(0.0) } else { speed }
}

/// The way down of one train.
struct Descent<'t> {
    train: &'t Train,
    stretches: Vec<Stretch>,
    day: &'t Day,
}

impl Descent<'_> {
    /// The time since the highest point, and the rate of descent, at a height above the field.
    fn at(&self, ctx: &EvalContext<'_>, height: Length) -> Outcome<(Time, Speed)> {
        let (mut time, mut rate) = (Time::from_si(0.0), Speed::from_si(0.0));
        for one in &self.stretches {
            let to = if one.to < height { height } else { one.to };
            if one.from < height {
                break;
            }
            time = time + ctx.or_refuse(fall::fall(&Stretch { to, ..*one }, self.day))?.time;
            if one.from > height {
                rate = ctx.or_refuse(fall::rate(one.mass, one.drag_area, height, self.day))?;
            }
        }
        Ok((time, rate))
    }

    /// The height above the field a time after the highest point, and the rate of descent there.
    fn after(&self, ctx: &EvalContext<'_>, since: Time) -> Outcome<(Length, Speed)> {
        let top = self.stretches.first().map_or(0.0, |first| first.from.si());
        let (mut low, mut high) = (0.0, top);
        // The time goes up as the height goes down: halved until the height is known to a millimetre.
        while high - low > 1e-3 {
            let middle = 0.5 * (low + high);
            if self.at(ctx, Length::from_si(middle))?.0 > since {
                low = middle;
            } else {
                high = middle;
            }
        }
        let height = Length::from_si(low);
        Ok((height, self.at(ctx, height)?.1))
    }
}

fn descent(ctx: &EvalContext<'_>, timeline: &mut Timeline) -> Outcome<()> {
    let root = ctx.rocket();
    let flight_result = flight_result(ctx, root)?;
    let top = flight_result.calm().apogee;
    let level = at_rest(top.speed);
    let day = day(ctx, root, Wind::Steady(Speed::from_si(0.0)))?;
    let all = trains(ctx)?;
    let mut ways = Vec::new();
    for train in all.iter() {
        let openings = carried(ctx, train)?.openings(ctx)?;
        let stretches = way_down(ctx, train, &all, &openings, FallDrag::Canopies)?;
        ways.push((Descent { train, stretches, day: &day }, openings));
    }
    // What fires comes before what it opens.
    let Some((way, _)) = ways.first() else { return Ok(()) };
    for wired in ctx.every::<Circuit>() {
        let by = ctx.get(wired, circuit::altimeter)?;
        let event = Event::Channel(wired);
        if ctx.get(wired, circuit::channel)? == "main" {
            let set = ctx.get(by, altimeter::main_height)?;
            let height = if set < top.height { set } else { top.height };
            let (since, speed) = way.at(ctx, height)?;
            timeline.events.push(TimelineEvent { event, time: top.time + since, height, speed });
        } else {
            let delayed = ctx.has(by, altimeter::apogee_delay)?;
            let delay = if delayed { ctx.get(by, altimeter::apogee_delay)? } else { Time::from_si(0.0) };
            let (height, speed) = if delay.si() > 0.0 { way.after(ctx, delay)? } else { (top.height, level) };
            timeline.events.push(TimelineEvent { event, time: top.time + delay, height, speed });
        }
    }
    if let Some(delay) = motor_delay(ctx)? {
        let late = delay - ctx.query(root, &COAST_TIME)?;
        let (height, speed) = if late.si() > 0.0 {
            way.after(ctx, late)?
        } else {
            // Before the highest point it still climbs: as fast as gravity alone slows it on the rest of its way.
            let early = -late.si();
            let gravity = crate::engineering::STANDARD_GRAVITY;
            (top.height - Length::from_si(0.5 * gravity * early * early), Speed::from_si(gravity * early))
        };
        timeline.events.push(TimelineEvent {
            event: Event::MotorCharge,
            time: top.time + late,
            height,
            speed,
        });
    }
    let mut longest: Vec<(Time, Length)> = Vec::new();
    for (way, openings) in &ways {
        for (canopy, height) in openings {
            let (since, _) = way.at(ctx, *height)?;
            let low = *height < top.height;
            let speed = if low { ctx.query(*canopy, &SPEED_BEFORE)? } else { level };
            let event = Event::Opens(*canopy);
            timeline.events.push(TimelineEvent { event, time: top.time + since, height: *height, speed });
        }
        let ground = Length::from_si(0.0);
        let (since, _) = way.at(ctx, ground)?;
        if let Some(first) = way.train.sections.first() {
            let speed = ctx.query(*first, &SECTION_LANDING_SPEED)?;
            let event = Event::Lands(*first);
            timeline.events.push(TimelineEvent { event, time: top.time + since, height: ground, speed });
        }
        let trajectory = trajectory(ctx, way, top.time)?;
        if trajectory.last().map(|(time, _)| *time) > longest.last().map(|(time, _)| *time) {
            longest = trajectory;
        }
    }
    timeline.trajectory.extend(longest);
    Ok(())
}

/// The height by time since ignition.
fn trajectory(ctx: &EvalContext<'_>, way: &Descent<'_>, from: Time) -> Outcome<Vec<(Time, Length)>> {
    let mut points = Vec::new();
    for one in &way.stretches {
        for step in 1..=STRETCH_POINTS {
            let share = f64::from(step) / f64::from(STRETCH_POINTS);
            let height = one.from - (one.from - one.to) * share;
            points.push((from + way.at(ctx, height)?.0, height));
        }
    }
    Ok(points)
}

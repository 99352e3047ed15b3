//! The way down of a train, stretch by stretch under what is open at each height.

use super::airflow::air_at_field;
use super::ascent::APOGEE;
use super::descent::{DAY_AT_FIELD, DAY_AT_HEIGHT, DESCENT_TIME, LONGEST_DRIFT, OPENING_HEIGHT, day};
use super::trains::{Train, area_lines, areas, trains};
use super::{EvalContext, Formula, Outcome, both};
use crate::design::{Parachute, Rocket, known_fall, recovery, rocket};
use crate::engineering::fall::{self, Day, Stretch, Wind};
use crate::engineering::parachute as descent;
use crate::quantity::{Area, Length, Mass, Speed, Time};
use crate::vocabulary::Id;

/// A train that hangs from something.
pub(super) fn carried<'t>(ctx: &EvalContext<'_>, train: &'t Train) -> Outcome<&'t Train> {
    if train.canopies.is_empty() {
        return Err(ctx.refuse("no parachute is described that these sections hang from"));
    }
    Ok(train)
}

/// The drag area that gives the rate of descent of an earlier flight, where one is written down.
pub(super) fn as_it_fell(ctx: &EvalContext<'_>, mass: Mass) -> Outcome<Option<Area>> {
    let root = ctx.rocket();
    let recovery = ctx.part(root, rocket::recovery)?;
    let recovery = recovery.ok_or_else(|| ctx.refuse("the rocket has no recovery system"))?;
    let Some(known) = ctx.part(recovery, recovery::descends_at)? else { return Ok(None) };
    let (rate, air) = both(ctx.get(known, known_fall::rate), air_at_field(ctx, root))?;
    ctx.step("density at the field", || DAY_AT_FIELD, air.density);
    ctx.or_refuse(descent::drag_area_for(mass, rate, air.density)).map(Some)
}

/// Records each stretch of a train's way down, and what it comes to by hand: at the rate and the density half-way.
pub(super) fn record_falls(
    ctx: &EvalContext<'_>,
    train: &Train,
    falls: &[(Stretch, fall::Fall)],
    day: &Day,
    (all, fall_drag): (&[Train], FallDrag),
) -> Outcome<()> {
    let openings = train.openings(ctx)?;
    let mass_line = Train::mass_line(all);
    let height_line = |height: Length| {
        let opens = openings.iter().find(|(_, h)| h.si() == height.si());
        opens.map_or_else(|| "{apogee}".to_owned(), |(canopy, _)| ctx.line(*canopy, OPENING_HEIGHT.name))
    };
    let mut open: Vec<Id<Parachute>> = Vec::new();
    let (mut sum, mut by_hand) = (Vec::new(), 0.0);
    for (number, (stretch, fall)) in falls.iter().enumerate() {
        open.extend(
            openings
                .iter()
                .filter(|(c, h)| *h >= stretch.from && !open.contains(c))
                .map(|(c, _)| *c)
                .collect::<Vec<_>>(),
        );
        let last = number + 1 == falls.len();
        let which = if falls.len() == 1 { String::new() } else { format!("stretch {}: ", number + 1) };
        let half_way = stretch.from - (stretch.from - stretch.to) * 0.5;
        ctx.step(format!("{which}time"), || Formula::method("integrated: ∫ dh / rate of descent"), fall.time);
        let density = format!("{which}density half-way");
        ctx.step(density.clone(), || DAY_AT_HEIGHT, ctx.or_refuse(day.density(half_way))?);
        let mut areas = area_lines(ctx, &open);
        if open.is_empty() || (fall_drag == FallDrag::Sections && !last) {
            areas.push("{drag area of the flat body}".to_owned());
        }
        let text = if as_it_fell(ctx, stretch.mass)?.is_some() && !last {
            format!("{{rate}} × √({{density at the field}} / {{{density}}})")
        } else {
            let area = match areas.as_slice() {
                [one] => one.clone(),
                _ => format!("({})", areas.join(" + ")),
            };
            format!("√(2 × {mass_line} × g / ({{{density}}} × {area}))")
        };
        let rate = ctx.or_refuse(fall::rate(stretch.mass, stretch.drag_area, half_way, day))?;
        let rate_step = format!("{which}rate half-way");
        ctx.step(rate_step.clone(), || Formula::Expression(text.into()), rate);
        let (from, to) = (height_line(stretch.from), height_line(stretch.to));
        let time = (stretch.from - stretch.to).si() / rate.si();
        let high = if last { from.clone() } else { format!("({from} − {to})") };
        match day.wind {
            Wind::Steady(_) => {
                sum.push(format!("{high} / {{{rate_step}}}"));
                by_hand += time;
            }
            Wind::OpenGround(wind) => {
                let powers = |z: Length| (z.si() / fall::MAST).powf(8.0 / 7.0);
                let mean = wind * (7.0 / 8.0 * fall::MAST * (powers(stretch.from) - powers(stretch.to)))
                    / (stretch.from - stretch.to).si();
                let step = format!("{which}mean wind");
                let down = if last { String::new() } else { format!(" − ({to} / 10 m)^1.142857") };
                let text = format!("{{wind}} × 7 / 8 × 10 m × (({from} / 10 m)^1.142857{down}) / {high}");
                ctx.step(step.clone(), || Formula::Expression(text.into()), mean);
                sum.push(format!("{{{step}}} × {high} / {{{rate_step}}}"));
                by_hand += mean.si() * time;
            }
        }
    }
    let total = || Formula::Expression(sum.join(" + ").into());
    match day.wind {
        Wind::Steady(_) => ctx.step("by hand", total, Time::from_si(by_hand)),
        Wind::OpenGround(_) => ctx.step("by hand", total, Length::from_si(by_hand)),
    }
    // The formulas of what was asked for on the way are not this one's.
    ctx.formula(|| match day.wind {
        Wind::Steady(_) => DESCENT_TIME.formula.clone(),
        Wind::OpenGround(_) => LONGEST_DRIFT.formula.clone(),
    });
    Ok(())
}

/// What drags on the fall beside the parachutes that are open.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum FallDrag {
    /// Nothing, as long as some parachute is open.
    Canopies,
    /// The sections too, flat across the air, until the last parachute opens and lines them up.
    Sections,
}

/// The stretches of a train's way down, the highest first, each with what it came to.
pub(super) fn falls(
    ctx: &EvalContext<'_>,
    train: &Train,
    all: &[Train],
    day: &Day,
    fall_drag: FallDrag,
) -> Outcome<Vec<(Stretch, fall::Fall)>> {
    stretches(ctx, train, all, fall_drag)?
        .into_iter()
        .map(|stretch| Ok((stretch, ctx.or_refuse(fall::fall(&stretch, day))?)))
        .collect()
}

pub(super) fn stretches(
    ctx: &EvalContext<'_>,
    train: &Train,
    all: &[Train],
    fall_drag: FallDrag,
) -> Outcome<Vec<Stretch>> {
    let openings = carried(ctx, train)?.openings(ctx)?;
    way_down(ctx, train, all, &openings, fall_drag)
}

/// The stretches of a train's way down with parachutes that open at some heights, the highest first.
pub(super) fn way_down(
    ctx: &EvalContext<'_>,
    train: &Train,
    all: &[Train],
    openings: &[(Id<Parachute>, Length)],
    fall_drag: FallDrag,
) -> Outcome<Vec<Stretch>> {
    let (mass, top) = both(train.mass(ctx, all), ctx.query(ctx.rocket(), &APOGEE))?;
    let known = as_it_fell(ctx, mass)?;
    let mut found = Vec::new();
    let mut open: Vec<Id<Parachute>> = Vec::new();
    let mut from = top;
    let mut next = openings.iter().peekable();
    loop {
        while let Some((canopy, _)) = next.next_if(|(_, height)| *height >= from) {
            open.push(*canopy);
        }
        let last = next.peek().is_none();
        let to = next.peek().map_or(Length::from_si(0.0), |(_, height)| *height);
        let drag_area = match known {
            Some(area) if !last => area,
            _ => {
                let (sum, _) = areas(ctx, &open)?;
                if open.is_empty() || (fall_drag == FallDrag::Sections && !last) {
                    sum + train.body(ctx)?.1
                } else {
                    sum
                }
            }
        };
        found.push(Stretch { mass, drag_area, from, to });
        if last {
            return Ok(found);
        }
        from = to;
    }
}

/// The height above the field by time since the highest point, a number of steps for each stretch, of the train that is longest in
/// the air.
pub(super) fn descent_course(
    ctx: &EvalContext<'_>,
    root: Id<Rocket>,
    steps: u32,
) -> Outcome<Vec<(Time, Length)>> {
    let day = day(ctx, root, Wind::Steady(Speed::from_si(0.0)))?;
    let all = trains(ctx)?;
    let mut longest: Vec<(Time, Length)> = Vec::new();
    for train in all.iter() {
        let mut points: Vec<(Time, Length)> = Vec::new();
        let mut since = Time::from_si(0.0);
        for one in stretches(ctx, train, &all, FallDrag::Canopies)? {
            for step in 0..=steps {
                let share = f64::from(step) / f64::from(steps.max(1));
                let to = one.from - (one.from - one.to) * share;
                let fallen = ctx.or_refuse(fall::fall(&Stretch { to, ..one }, &day))?;
                points.push((since + fallen.time, to));
            }
            since = points.last().map_or(since, |(time, _)| *time);
        }
        if points.last().map(|p| p.0) > longest.last().map(|p| p.0) {
            longest = points;
        }
    }
    Ok(longest)
}

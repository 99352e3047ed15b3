//! The way down of a train, stretch by stretch under what is open at each height.

use super::ascent::APOGEE;
use super::launch_site::{DAY_AT_FIELD, DAY_AT_HEIGHT, air_at_field, planned_flight};
use super::parachutes::{OPENING_HEIGHT, area_lines, areas, opens_low};
use super::recovery_trains::{Train, greatest, trains};
use super::{EvalContext, Formula, Outcome, both};
use crate::design::{Parachute, flight, known_fall, recovery, rocket};
use crate::engineering::fall::{self, Day, Stretch, Wind};
use crate::engineering::parachute as descent;
use crate::quantity::{Area, Length, Mass, Time};
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

/// What drags on the fall beside the parachutes that are open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum FallDrag {
    /// Nothing, as long as some parachute is open.
    Canopies,
    /// The sections too, flat across the air, until the last parachute opens and lines them up.
    Sections,
}

/// Which parachutes open, and where.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Opening {
    /// Each at its height.
    AsPlanned,
    /// All of them at the highest point.
    AllAtTop,
    /// Those that open low stay shut.
    MainShut,
}

/// How a train comes down: what opens, and what brakes beside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct DescentCase {
    pub(super) opening: Opening,
    pub(super) fall_drag: FallDrag,
}

impl DescentCase {
    /// As planned, under its parachutes alone.
    pub(super) const PLANNED: Self = Self { opening: Opening::AsPlanned, fall_drag: FallDrag::Canopies };

    /// The parachutes of a train that open so, with the heights above the field, the highest first.
    fn openings(self, ctx: &EvalContext<'_>, train: &Train) -> Outcome<Vec<(Id<Parachute>, Length)>> {
        match self.opening {
            Opening::AsPlanned => train.openings(ctx),
            Opening::AllAtTop => {
                let top = ctx.query(ctx.rocket(), &APOGEE)?;
                Ok(train.canopies.iter().map(|canopy| (*canopy, top)).collect())
            }
            Opening::MainShut => {
                let mut kept = Vec::new();
                for (canopy, height) in train.openings(ctx)? {
                    if !opens_low(ctx, canopy)? {
                        kept.push((canopy, height));
                    }
                }
                Ok(kept)
            }
        }
    }
}

/// The stretches of a train's way down, the highest first, each with what it came to.
fn falls(
    ctx: &EvalContext<'_>,
    train: &Train,
    all: &[Train],
    day: &Day,
    how: DescentCase,
) -> Outcome<Vec<(Stretch, fall::Fall)>> {
    let openings = how.openings(ctx, carried(ctx, train)?)?;
    way_down(ctx, train, all, &openings, how.fall_drag)?
        .into_iter()
        .map(|stretch| Ok((stretch, ctx.or_refuse(fall::fall(&stretch, day))?)))
        .collect()
}

/// What the ways down of all trains come to, the greatest of them.
pub(super) fn longest<T: Copy + PartialOrd + std::ops::Add<Output = T>>(
    ctx: &EvalContext<'_>,
    day: &Day,
    how: DescentCase,
    each: impl Fn(&fall::Fall) -> T,
) -> Outcome<T> {
    let all = trains(ctx)?;
    greatest(ctx, &all, |train| {
        let falls = falls(ctx, train, &all, day, how)?;
        if ctx.is_recording() {
            record_falls(ctx, train, &falls, day, (&all, how))?;
        }
        let mut sum: Option<T> = None;
        for (_, fall) in &falls {
            let one = each(fall);
            sum = Some(sum.map_or(one, |so_far| so_far + one));
        }
        sum.ok_or_else(|| ctx.refuse("no section comes down"))
    })
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

/// Records each stretch of a train's way down, and what it comes to by hand: at the rate and the density half-way.
fn record_falls(
    ctx: &EvalContext<'_>,
    train: &Train,
    falls: &[(Stretch, fall::Fall)],
    day: &Day,
    (all, how): (&[Train], DescentCase),
) -> Outcome<()> {
    let openings = how.openings(ctx, train)?;
    let fall_drag = how.fall_drag;
    let mass_line = Train::mass_line(all);
    let height_line = |height: Length| {
        let planned = how.opening != Opening::AllAtTop;
        let opens = openings.iter().find(|(_, h)| planned && h.si() == height.si());
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
        if matches!(day.wind, Wind::Steady(_)) {
            sum.push(format!("{high} / {{{rate_step}}}"));
            by_hand += time;
            continue;
        }
        let step = format!("{which}mean wind");
        let mean = if let Wind::OpenGround { speed, measured_at } = &day.wind {
            let powers = |z: Length| libm::pow(z.si() / measured_at.si(), 8.0 / 7.0);
            let mean = *speed * (7.0 / 8.0 * measured_at.si() * (powers(stretch.from) - powers(stretch.to)))
                / (stretch.from - stretch.to).si();
            let mast = wind_height(ctx)?;
            let down = if last { String::new() } else { format!(" − ({to} / {mast})^1.142857") };
            let text = format!("{{wind}} × 7 / 8 × {mast} × (({from} / {mast})^1.142857{down}) / {high}");
            ctx.step(step.clone(), || Formula::Expression(text.into()), mean);
            mean
        } else {
            let mean = day.wind.mean(stretch.to, stretch.from);
            ctx.step(step.clone(), || MEAN_OF_LIST, mean);
            mean
        };
        sum.push(format!("{{{step}}} × {high} / {{{rate_step}}}"));
        by_hand += mean.si() * time;
    }
    let total = || Formula::Expression(sum.join(" + ").into());
    match day.wind {
        Wind::Steady(_) => ctx.step("by hand", total, Time::from_si(by_hand)),
        _ => ctx.step("by hand", total, Length::from_si(by_hand)),
    }
    Ok(())
}

/// The mean of the listed winds over a stretch.
const MEAN_OF_LIST: Formula =
    Formula::method("mean of `winds_aloft` from the one height to the other, in straight lines between them");

/// The height that the wind of the field was measured at, as formulas have it.
pub(super) fn wind_height(ctx: &EvalContext<'_>) -> Outcome<String> {
    let place = planned_flight(ctx, ctx.rocket())?;
    Ok(match ctx.has(place, flight::wind_height)? {
        true => ctx.field_line(place, flight::wind_height),
        false => "10 m".to_owned(),
    })
}

//! The descent: rates, time, drift, and what each piece lands with.

use super::ascent::{APOGEE, OFFSET, SPEED_AT_APOGEE};
use super::computed::computed;
use super::cords::{PIECE, piece, weighed_cords};
use super::descent_phases::{DescentCase, as_it_fell, carried, longest};
use super::launch_site::{DAY_AT_FIELD, DAY_AT_HEIGHT, air_at_field, planned_flight};
use super::mating::ends;
use super::parachutes::{
    DRAG_AREA, LOWEST_MAIN_HEIGHT, MAIN_HEIGHT, OPENING_HEIGHT, OPENS_LOW, surely, surely_line,
};
use super::recovery_trains::{self, Train, greatest, trains};
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{Harness, Joint, Parachute, Rocket, Section, flight, harness, recovery, rocket};
use crate::engineering::fall::{self, Day, Wind};
use crate::engineering::parachute as descent;
use crate::quantity::{Area, Energy, Mass, Speed, Time};
use crate::vocabulary::Id;

const KNACKE: &str =
    "T. W. Knacke, Parachute Recovery Systems Design Manual, NWC TP 6575; U.S. Standard Atmosphere, 1976";

computed! {
    /// How fast what hangs from it comes down at the field's height once it is open, with all that is open by then.
    DESCENT_RATE: "descent_rate" of Parachute gives Speed,
        Formula::expression("√(2 × mass under it × g / (density at the field on the day × drag area of what is open))"), KNACKE, descent_rate;
    /// The mass that comes down with it: of all that is tied together under it, the parachutes themselves counted, the motor burnt out.
    MASS_UNDER: "mass_under" of Parachute gives Mass,
        Formula::expression("mass that comes down, of all sections that are tied together with it"), "", |ctx, id| {
            let all = trains(ctx)?;
            recovery_trains::under(ctx, &all, id)?.mass(ctx, &all)
        };
    /// How fast what hangs from it moves through the air before it opens: low down how fast it falls, the drag of the sections not counted where something else is open; at the highest point how fast it still flies level in the stated wind.
    SPEED_BEFORE: "speed_before" of Parachute gives Speed,
        Formula::expression("rate of descent under what is open by then; where nothing is, as it fell on an earlier flight, else a fall from the highest point against the least drag of the body"),
        KNACKE, speed_before;
    /// Drag area that is counted on when the section lands: of one parachute its own; of several nine tenths of their sum, as they crowd one another, or the largest alone where that is more.
    LANDING_DRAG_AREA: "landing_drag_area" of Section gives Area,
        Formula::expression("drag area of the largest parachute above it, or 0.9 × their sum where that is more (safe side)"), "", |ctx, id| {
            let all = trains(ctx)?;
            let train = carried(ctx, recovery_trains::with_section(ctx, &all, id)?)?;
            ctx.formula(|| Formula::Expression(surely_line(ctx, &train.canopies).into()));
            surely(ctx, &train.canopies)
        };
    /// How fast the section lands.
    SECTION_LANDING_SPEED: "landing_speed" of Section gives Speed,
        Formula::expression("√(2 × mass that comes down with it × g / (density at the field on the day × drag area at landing))"), KNACKE,
        |ctx, id| {
            let all = trains(ctx)?;
            let train = recovery_trains::with_section(ctx, &all, id)?;
            let (mass, area) = both(train.mass(ctx, &all), ctx.query(id, &LANDING_DRAG_AREA))?;
            record_at_field(ctx, Train::mass_line(&all), || ctx.line(id, LANDING_DRAG_AREA.name));
            at_field(ctx, mass, area)
        };
    /// How fast the rocket lands; where it comes down in several trains, the fastest of them.
    LANDING_SPEED: "landing_speed" of Rocket gives Speed, Formula::expression("greatest landing speed of its sections"), "", |ctx, _| {
        let all = trains(ctx)?;
        ctx.formula(|| {
            let first = all.iter().filter_map(|train| train.sections.first());
            let lines: Vec<String> = first.map(|one| ctx.offered(*one, SECTION_LANDING_SPEED.name)).collect();
            Formula::Expression(format!("greatest of ({})", lines.join(", ")).into())
        });
        greatest(ctx, &all, |train| match train.sections.first() {
            Some(first) => ctx.query(*first, &SECTION_LANDING_SPEED),
            None => Err(ctx.refuse("no section comes down")),
        })
    };
    /// The foremost of the sections that come down tied together with this one.
    TRAIN: "train" of Section gives Id<Section>, Formula::condition("sections that never part, or that harnesses tie together"), "", |ctx, id| {
        let all = trains(ctx)?;
        let first = recovery_trains::with_section(ctx, &all, id)?.sections.first().copied();
        first.ok_or_else(|| ctx.refuse("the section is not one of the rocket's"))
    };
    /// The foremost of the sections that hang from it.
    PARACHUTE_TRAIN: "train" of Parachute gives Id<Section>, Formula::condition("sections that harnesses tie to it"), "", |ctx, id| {
        let all = trains(ctx)?;
        let first = recovery_trains::under(ctx, &all, id)?.sections.first().copied();
        first.ok_or_else(|| ctx.refuse("nothing hangs from the parachute"))
    };
    /// Whether the section comes down under a parachute.
    CARRIED: "carried" of Section gives bool, Formula::condition("some parachute hangs on a cord that ties it"), "", |ctx, id| {
        ties_known(ctx)?;
        let all = trains(ctx)?;
        Ok(!recovery_trains::with_section(ctx, &all, id)?.canopies.is_empty())
    };
    /// Time from the highest point to the ground, under the full drag area of all that is open: the longest.
    DESCENT_TIME: "descent_time" of Rocket gives Time,
        Formula::method("integrated: ∫ dh / rate of descent under what is open at each height, the density following the height; `by hand` lies within 1 %"), KNACKE, |ctx, id| {
            let day = day(ctx, id, Wind::Steady(Speed::from_si(0.0)))?;
            let time = longest(ctx, &day, DescentCase::PLANNED, |fall| fall.time)?;
            // The formulas of what was asked for on the way are not this one's.
            ctx.formula(|| DESCENT_TIME.formula.clone());
            Ok(time)
        };
    /// Whether a cord ties what is before the joint to what is behind it.
    TIED: "tied" of Joint gives bool, Formula::condition("a harness between the pieces on its two sides, or past both"), "", |ctx, id| {
        let (fore, aft) = ends(ctx, id)?;
        let all = trains(ctx)?;
        let tied = recovery_trains::with_section(ctx, &all, fore)?.sections.contains(&aft);
        if tied {
            ties_known(ctx)?;
        }
        Ok(tied)
    };
    /// Mass of the piece that this section lands in, the burnt motor and the cords that were packed in it; parachutes are not counted, they hang above.
    LANDING_MASS: "landing_mass" of Section gives Mass,
        Formula::expression("Σ mass of the sections of the piece and of their cords, with the motor less its propellant in the one that carries it"), "", |ctx, id| {
            let piece = piece(ctx, id)?;
            let sections = recovery_trains::mass_of(ctx, &piece);
            let mut total = sections.clone();
            let mut terms = Vec::new();
            for (cord, home) in weighed_cords(ctx)? {
                let mass = home.and_then(|home| match piece.contains(&home) {
                    true => ctx.get(cord, harness::mass).map(Some),
                    false => Ok(None),
                });
                if matches!(mass, Ok(Some(_))) && ctx.is_recording() {
                    terms.push(ctx.field_line(cord, harness::mass));
                }
                total = both(total, mass).map(|(sum, one)| one.map_or(sum, |one| sum + one));
            }
            if let (Ok(sections), false) = (&sections, terms.is_empty()) {
                ctx.step("mass of the sections", || ctx.recorded_formula(), *sections);
                terms.insert(0, "{mass of the sections}".to_owned());
                ctx.formula(|| Formula::Expression(terms.join(" + ").into()));
            }
            total
        };
    /// Energy with which the piece that this section is in lands.
    LANDING_ENERGY: "landing_energy" of Section gives Energy, Formula::expression("{landing_mass} × {landing_speed}² / 2"), "mechanics", |ctx, id| {
        let (mass, speed) = both(ctx.query(id, &LANDING_MASS), ctx.query(id, &SECTION_LANDING_SPEED))?;
        ctx.or_refuse(descent::landing_energy(mass, speed))
    };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[
    &DRAG_AREA,
    &DESCENT_RATE,
    &MASS_UNDER,
    &OPENS_LOW,
    &OPENING_HEIGHT,
    &SPEED_BEFORE,
    &LANDING_DRAG_AREA,
    &SECTION_LANDING_SPEED,
    &LANDING_SPEED,
    &TRAIN,
    &PARACHUTE_TRAIN,
    &CARRIED,
    &MAIN_HEIGHT,
    &LOWEST_MAIN_HEIGHT,
    &DESCENT_TIME,
    &TIED,
    &PIECE,
    &LANDING_MASS,
    &LANDING_ENERGY,
];

/// The air of the day over the field.
pub(super) fn day(ctx: &EvalContext<'_>, root: Id<Rocket>, wind: Wind) -> Outcome<Day> {
    let place = planned_flight(ctx, root)?;
    let (field, warmer) = both(ctx.get(place, flight::site_elevation), ctx.query(place, &OFFSET))?;
    Ok(Day { field, warmer, wind })
}

/// The rate of descent in the air at the field.
pub(super) fn at_field(ctx: &EvalContext<'_>, mass: Mass, area: Area) -> Outcome<Speed> {
    let air = air_at_field(ctx, ctx.rocket())?;
    ctx.step("density at the field", || DAY_AT_FIELD, air.density);
    ctx.or_refuse(descent::descent_rate(mass, area, air.density))
}

/// Tells how it came about, the mass and the drag area by their lines.
fn record_at_field(ctx: &EvalContext<'_>, mass: &str, area: impl FnOnce() -> String) {
    ctx.formula(|| {
        let area = area();
        Formula::Expression(format!("√(2 × {mass} × g / ({{density at the field}} × {area}))").into())
    });
}

fn descent_rate(ctx: &EvalContext<'_>, id: Id<Parachute>) -> Outcome<Speed> {
    let all = trains(ctx)?;
    let train = recovery_trains::under(ctx, &all, id)?;
    let mut open_then = vec![id];
    let area = if train.canopies.len() > 1 {
        let openings = train.openings(ctx)?;
        let own = openings.iter().find(|(canopy, _)| *canopy == id).map(|(_, height)| *height);
        let open = openings.iter().filter(|(_, height)| own.is_some_and(|own| *height >= own));
        open_then = open.map(|(canopy, _)| *canopy).collect();
        surely(ctx, &open_then)
    } else {
        ctx.query(id, &DRAG_AREA)
    };
    let (mass, area) = both(train.mass(ctx, &all), area)?;
    record_at_field(ctx, Train::mass_line(&all), || surely_line(ctx, &open_then));
    at_field(ctx, mass, area)
}

/// A cord of which it is not known what it ties counts as tying for all else, and proves nothing.
fn ties_known(ctx: &EvalContext<'_>) -> Outcome<()> {
    if let Some(recovery) = ctx.part(ctx.rocket(), rocket::recovery)? {
        ctx.has(recovery, recovery::harnesses)?;
    }
    for cord in ctx.every::<Harness>() {
        ctx.entities(cord, harness::between)?;
    }
    Ok(())
}

fn speed_before(ctx: &EvalContext<'_>, id: Id<Parachute>) -> Outcome<Speed> {
    let root = ctx.rocket();
    let all = trains(ctx)?;
    let train = recovery_trains::under(ctx, &all, id)?;
    let (openings, mass) = both(train.openings(ctx), train.mass(ctx, &all))?;
    let (height, day) =
        both(ctx.query(id, &OPENING_HEIGHT), day(ctx, root, Wind::Steady(Speed::from_si(0.0))))?;
    let before: Vec<_> = openings.iter().filter(|(_, h)| *h > height).map(|(canopy, _)| *canopy).collect();
    let mass_line = Train::mass_line(&all);
    let known = as_it_fell(ctx, mass)?;
    if ctx.is_recording() {
        ctx.step("density there", || DAY_AT_HEIGHT, ctx.or_refuse(day.density(height))?);
    }
    if let Some(area) = known {
        ctx.formula(|| Formula::expression("{rate} × √({density at the field} / {density there})"));
        return ctx.or_refuse(fall::rate(mass, area, height, &day));
    }
    let under = |area: &str| {
        Formula::Expression(format!("√(2 × {mass_line} × g / ({{density there}} × {area}))").into())
    };
    if before.is_empty() {
        let (top, (least, _)) = both(ctx.query(root, &APOGEE), train.body(ctx))?;
        if height >= top {
            ctx.formula(|| Formula::choice("{speed_at_apogee}, where it opens"));
            return ctx.query(root, &SPEED_AT_APOGEE);
        }
        if ctx.is_recording() {
            let steady = ctx.or_refuse(fall::rate(mass, least, height, &day))?;
            ctx.step("steady speed", || under("{drag area of the body}"), steady);
        }
        ctx.formula(|| {
            let opens = ctx.line(id, OPENING_HEIGHT.name);
            let share = format!("1 − exp(−2 × g × ({{apogee}} − {opens}) / {{steady speed}}²)");
            Formula::Expression(format!("{{steady speed}} × √({share})").into())
        });
        return ctx.or_refuse(fall::speed_after(mass, least, top - height, height, &day));
    }
    let area = surely(ctx, &before)?;
    ctx.formula(|| under(&surely_line(ctx, &before)));
    ctx.or_refuse(fall::rate(mass, area, height, &day))
}

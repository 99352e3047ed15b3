//! How far holes keep from one another, from edges, and from what else is on the wall or behind it.
//!
//! Lengths around the body are arcs on its outside, so that the wall is a plane that was rolled up.

use super::hole_surroundings::{from_rods, from_upstream, rods_beside, seams};
use std::f64::consts::TAU;

use super::arcs::{arc_to, fin_angles, metres, near_sections, record_arc};
use super::computed::computed;
use super::extents::extent;
use super::holes::{
    BODY, DIAMETER, Owner, all, angles, count, evenly_written, gaps, least_between, outer_section, owner,
};
use super::mating::meeting;
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{Fins, Holes, RailButton, fin_slots, fins, motor_mount, rail_button, section};
use crate::quantity::{Angle, Length};
use crate::vocabulary::{EntityId, Id};

/// Holes this many diameters apart along the body are not near one another, whatever their clock angles.
const FAR_ALONG: f64 = 10.0;

computed! {
    /// The whole wall left between these holes and the nearest others, or between two of them, in diameters of the larger hole.
    SPACING: "spacing" of Holes gives f64,
        Formula::expression("wall between the nearest two / diameter of the larger"),
        "plane geometry on the unrolled wall", |ctx, id| {
            let found = nearest(ctx, id)?;
            ctx.formula(|| Formula::Expression(format!("({}) / {}", found.text.wall, found.text.larger).into()));
            Ok(found.diameters)
        };
    /// The whole wall left between these holes and the nearest others, or between two of them.
    WALL_LEFT: "wall_left" of Holes gives Length,
        Formula::expression("distance between the nearest two − half of either diameter"), "plane geometry on the unrolled wall", |ctx, id| {
            let found = nearest(ctx, id)?;
            ctx.formula(|| Formula::Expression(found.text.wall.into()));
            Ok(metres(found.wall))
        };
    /// The holes that are nearest to these; themselves where their own fellows are.
    NEAREST: "nearest" of Holes gives Id<Holes>, Formula::condition("those with the least wall between"), "", |ctx, id| {
        Ok(nearest(ctx, id)?.other)
    };
    /// How far their edge is from the nearest bulkhead, lid or ring inside; below zero where they run into one; the rocket's length where there is none.
    FROM_DISCS: "from_discs" of Holes gives Length,
        Formula::expression("distance to the nearest disc − half the diameter"), "", from_discs;
    /// How far their edge is from the nearest end of a wall that they go through.
    FROM_EDGES: "from_edges" of Holes gives Length,
        Formula::expression("distance to the nearest end of a wall − half the diameter"), "", from_edges;
    /// Whether they lie between the ends of a fin's root.
    BESIDE_FINS: "beside_fins" of Holes gives bool, Formula::condition("station against the stations of the fins"), "", |ctx, id| {
        Ok(fins_beside(ctx, id)?.is_some())
    };
    /// How far around the body their edge is from the nearest fin or slot.
    FROM_FINS: "from_fins" of Holes gives Length,
        Formula::expression("arc between hole and fin − half the diameter − half the fin or slot"), "", from_fins;
    /// How far around the body their edge is from the line of the rail buttons, along which the rail lies.
    FROM_RAIL: "from_rail" of Holes gives Length, Formula::expression("arc between hole and button − half the diameter"), "", from_rail;
    /// How far around the body their edge is from the line of anything that stands out ahead of them; half way around where nothing does.
    FROM_UPSTREAM: "from_upstream" of Holes gives Length,
        Formula::expression("arc to the nearest part ahead, less half the widths of both"),
        "", from_upstream;
    /// Whether they lie along the rods of an altimeter bay.
    BESIDE_RODS: "beside_rods" of Holes gives bool, Formula::condition("station against the ends of the bay's coupler"), "", |ctx, id| {
        Ok(rods_beside(ctx, id)?.is_some())
    };
    /// How far around the body their edge is from the line of the nearest rod.
    FROM_RODS: "from_rods" of Holes gives Length, Formula::expression("arc between hole and rod − half the diameters of both"), "", from_rods;
    /// Whether a tube that they go through has a seam along a line.
    BESIDE_SEAM: "beside_seam" of Holes gives bool, Formula::condition("`seam` of the tubes at their station"), "", |ctx, id| {
        Ok(!seams(ctx, id)?.is_empty())
    };
    /// How far around the body their edge is from the nearest seam of a tube that they go through.
    FROM_SEAM: "from_seam" of Holes gives Length, Formula::expression("arc between hole and seam − half its diameter"), "", |ctx, id| {
        let lines = seams(ctx, id)?;
        if lines.is_empty() {
            return Err(ctx.refuse("no tube at these holes has a seam"));
        }
        record_arc(ctx, id, &lines, "of the seams", "");
        Ok(metres(arc_to(ctx, id, &lines)?))
    };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[
    &SPACING,
    &WALL_LEFT,
    &NEAREST,
    &FROM_DISCS,
    &FROM_EDGES,
    &BESIDE_FINS,
    &FROM_FINS,
    &FROM_RAIL,
    &FROM_UPSTREAM,
    &BESIDE_RODS,
    &FROM_RODS,
    &BESIDE_SEAM,
    &FROM_SEAM,
];

struct Nearest {
    wall: f64,
    diameters: f64,
    other: Id<Holes>,
    text: GapText,
}

/// How the wall between two holes came about; empty where no working is asked for.
#[derive(Default)]
struct GapText {
    /// The angle between them, and how it came about.
    angle: Option<(f64, Formula)>,
    /// The distance between their centres, and how it came about.
    distance: Option<(f64, String)>,
    wall: String,
    larger: String,
}

fn nearest(ctx: &EvalContext<'_>, id: Id<Holes>) -> Outcome<Nearest> {
    let mine = owner(ctx, id)?;
    let radius = ctx.query(id, &BODY)?.si() / 2.0;
    let near = near_sections(ctx, mine)?;
    let (own, here) = both(ctx.query(id, &DIAMETER), extent(ctx, id))?;
    let (own, here) = (own.si(), here.fore);
    let mut found: Outcome<Option<Nearest>> = Ok(None);
    let mut consider = |one: Outcome<Nearest>| {
        let so_far = std::mem::replace(&mut found, Ok(None));
        found = both(so_far, one).map(|(so_far, one)| match so_far {
            Some(old) if old.diameters <= one.diameters => Some(old),
            _ => Some(one),
        });
    };
    if count(ctx, mine)? > 1 {
        let gap = if evenly_written(ctx, mine)? {
            count(ctx, mine).map(|n| TAU / f64::from(n))
        } else {
            angles(ctx, mine).map(|all| gaps(&all).fold(TAU, f64::min))
        };
        consider(gap.map(|gap| {
            let way = gap.min(TAU - gap);
            let wall = way * radius - own;
            let mut text = GapText::default();
            if ctx.is_recording() {
                text.angle = Some((
                    way,
                    Formula::method("least angle between two of `clock`, evenly spaced where they are so"),
                ));
                text.larger = ctx.line(id, DIAMETER.name);
                text.wall = format!("{{angle between}} × {} / 2 − {}", ctx.line(id, BODY.name), text.larger);
            }
            Nearest { wall, diameters: wall / own, other: id, text }
        }));
    }
    for other in all(ctx)? {
        if other == id {
            continue;
        }
        let theirs = owner(ctx, other)?;
        if !near.contains(&outer_section(ctx, theirs)?)
            && !near_sections(ctx, theirs)?.iter().any(|s| near.contains(s))
        {
            continue;
        }
        let sizes = both(ctx.query(other, &DIAMETER), extent(ctx, other));
        consider(sizes.and_then(|(size, there)| {
            let size = size.si();
            let (along, larger) = ((there.fore - here).abs(), size.max(own));
            let mut text = GapText::default();
            let mut way = None;
            let distance = if along >= FAR_ALONG * larger {
                along
            } else {
                let (a, b) = both(angles(ctx, mine), angles(ctx, theirs))?;
                let between = least_between(&a, &b);
                way = Some(between);
                libm::hypot(along, between * radius)
            };
            let wall = distance - f64::midpoint(own, size);
            if ctx.is_recording() {
                let [first, second] = [other, id].map(|holes| ctx.line(holes, "fore_station"));
                let apart = match way {
                    Some(_) => format!(
                        "√(({first} − {second})² + ({{angle between}} × {} / 2)²)",
                        ctx.line(id, BODY.name)
                    ),
                    None => format!("|{first} − {second}|"),
                };
                let least = || {
                    Formula::method(
                        "least angle between a hole of the one and one of the other, by their `clock`",
                    )
                };
                text.angle = way.map(|way| (way, least()));
                text.distance = Some((distance, apart));
                let [theirs, mine] = [other, id].map(|holes| ctx.line(holes, DIAMETER.name));
                text.wall = format!("{{distance between centres}} − ({mine} + {theirs}) / 2");
                text.larger = if size > own { theirs } else { mine };
            }
            Ok(Nearest { wall, diameters: wall / larger, other, text })
        }));
    }
    let found = found?.ok_or_else(|| ctx.refuse("there is no other hole near by"))?;
    if let Some((angle, formula)) = &found.text.angle {
        ctx.step("angle between", || formula.clone(), Angle::from_si(*angle));
    }
    if let Some((distance, text)) = &found.text.distance {
        ctx.step("distance between centres", || Formula::Expression(text.clone().into()), metres(*distance));
    }
    Ok(found)
}

fn from_discs(ctx: &EvalContext<'_>, id: Id<Holes>) -> Outcome<Length> {
    let mine = owner(ctx, id)?;
    let (size, here) = both(ctx.query(id, &DIAMETER), extent(ctx, id))?;
    let mut least: Outcome<Option<f64>> = Ok(None);
    let mut nearest = String::new();
    for section in near_sections(ctx, mine)? {
        let mut discs: Vec<EntityId> = ctx.entities(section, section::bulkheads)?.any().to_vec();
        discs.extend_from_slice(ctx.entities(section, section::lids)?.any());
        if let Some(mount) = ctx.part(section, section::motor_mount)? {
            discs.extend_from_slice(ctx.entities(mount, motor_mount::rings)?.any());
        }
        for disc in discs {
            let gap = extent(ctx, disc).map(|disc| (disc.fore - here.fore).max(here.fore - disc.aft));
            if ctx.is_recording()
                && let (Ok(so_far), Ok(gap), Ok(ends)) = (&least, &gap, extent(ctx, disc))
                && so_far.is_none_or(|so_far| *gap < so_far)
            {
                let holes = ctx.line(id, "fore_station");
                nearest = if ends.fore - here.fore >= here.fore - ends.aft {
                    format!("{} − {holes}", ctx.line(disc, "fore_station"))
                } else {
                    format!("{holes} − {}", ctx.line(disc, "aft_station"))
                };
            }
            least = both(least, gap).map(|(so_far, gap)| Some(so_far.map_or(gap, |s: f64| s.min(gap))));
        }
    }
    match least? {
        Some(least) => {
            ctx.formula(|| {
                Formula::Expression(format!("{nearest} − {} / 2", ctx.line(id, DIAMETER.name)).into())
            });
            Ok(metres(least - size.si() / 2.0))
        }
        None => {
            ctx.formula(|| Formula::choice("{length}, as there is no bulkhead, lid or ring near"));
            ctx.query(ctx.rocket(), &super::sections::LENGTH)
        }
    }
}

/// The walls that holes go through.
pub(super) fn walls(ctx: &EvalContext<'_>, owner: Owner) -> Outcome<Vec<EntityId>> {
    if let Some(joint) = owner.joint(ctx) {
        let meeting = meeting(ctx, joint)?;
        return Ok(vec![meeting.socket.any(), meeting.plug.id()]);
    }
    let section = outer_section(ctx, owner)?;
    if let Some(tube) = ctx.part(section, section::tube)? {
        return Ok(vec![tube.any()]);
    }
    let mut found = Vec::new();
    found.extend(ctx.part(section, section::switch_band)?.map(Id::any));
    found.extend(ctx.part(section, section::coupler)?.map(Id::any));
    if found.is_empty() {
        found.extend(ctx.part(section, section::nose_cone)?.map(Id::any));
    }
    if found.is_empty() {
        return Err(ctx.refuse("the section has no wall to drill"));
    }
    Ok(found)
}

fn from_edges(ctx: &EvalContext<'_>, id: Id<Holes>) -> Outcome<Length> {
    let mine = owner(ctx, id)?;
    let (size, here) = both(ctx.query(id, &DIAMETER), extent(ctx, id))?;
    let mut least = f64::INFINITY;
    let mut terms = Vec::new();
    for part in walls(ctx, mine)? {
        let wall = extent(ctx, part)?;
        least = least.min(here.fore - wall.fore).min(wall.aft - here.fore);
        if ctx.is_recording() {
            let holes = ctx.line(id, "fore_station");
            terms.push(format!("{holes} − {}", ctx.line(part, "fore_station")));
            terms.push(format!("{} − {holes}", ctx.line(part, "aft_station")));
        }
    }
    ctx.formula(|| {
        let size = ctx.line(id, DIAMETER.name);
        Formula::Expression(format!("least of ({}) − {size} / 2", terms.join(", ")).into())
    });
    Ok(metres(least - size.si() / 2.0))
}

/// The fins of the section whose roots lie beside the holes.
fn fins_beside(ctx: &EvalContext<'_>, id: Id<Holes>) -> Outcome<Option<Id<Fins>>> {
    let section = outer_section(ctx, owner(ctx, id)?)?;
    let Some(fins) = ctx.part(section, section::fins)? else { return Ok(None) };
    let (root, here) = both(extent(ctx, fins), extent(ctx, id))?;
    let half = ctx.query(id, &DIAMETER)?.si() / 2.0;
    Ok((here.fore + half >= root.fore && here.fore - half <= root.aft).then_some(fins))
}

fn from_fins(ctx: &EvalContext<'_>, id: Id<Holes>) -> Outcome<Length> {
    let Some(set) = fins_beside(ctx, id)? else {
        return Err(ctx.refuse("no fin stands beside these holes"));
    };
    let section = outer_section(ctx, owner(ctx, id)?)?;
    let mut across = ctx.get(set, fins::thickness)?.si();
    let mut text = if ctx.is_recording() { ctx.field_line(set, fins::thickness) } else { String::new() };
    if let Some(slots) = ctx.part(section, section::fin_slots)? {
        across = across.max(ctx.get(slots, fin_slots::width)?.si());
        if ctx.is_recording() {
            text = format!("greatest of ({text}, {})", ctx.field_line(slots, fin_slots::width));
        }
    }
    let lines = fin_angles(ctx, set)?;
    record_arc(ctx, id, &lines, "of the fins", &text);
    Ok(metres(arc_to(ctx, id, &lines)? - across / 2.0))
}

fn from_rail(ctx: &EvalContext<'_>, id: Id<Holes>) -> Outcome<Length> {
    let mut lines = Vec::new();
    for button in ctx.every::<RailButton>() {
        lines.push(ctx.get(button, rail_button::clock)?.si());
    }
    if lines.is_empty() {
        return Err(ctx.refuse("no rail buttons are described"));
    }
    record_arc(ctx, id, &lines, "of the rail buttons", "");
    Ok(metres(arc_to(ctx, id, &lines)?))
}

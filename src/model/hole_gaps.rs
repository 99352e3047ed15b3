//! How far holes keep from one another, from edges, and from what else is on the wall or behind it.
//!
//! Lengths around the body are arcs on its outside, so that the wall is a plane that was rolled up.

use std::f64::consts::{PI, TAU};

use super::holes::{
    BODY, DIAMETER, Owner, all, angles, count, evenly_written, gaps, least_between, outer_section, owner,
    set_of_angles, written,
};
use super::joints::{computed, ends, meeting};
use super::stations::{Extent, extent, sections};
use super::{EvalContext, Computed, Outcome, Type, both};
use crate::design::{
    FINS, HOLES, PROTUBERANCE, RAIL_BUTTON, fin_slots, fins, motor_mount, protuberance, rail_button, rods,
    section, tube,
};
use crate::quantity::{Dimension as D, Length, Quantity};
use crate::tables::thread;
use crate::vocabulary::{EntityId, Key, Value};

/// Holes this many diameters apart along the body are not near one another, whatever their clock angles.
const FAR_ALONG: f64 = 10.0;

/// Heads of screws and pins are low: what lies this many body diameters behind them is in calm air again.
const CALM_BEHIND_HEADS: f64 = 4.0;

computed! {
    /// The whole wall left between these holes and the nearest others, or between two of them, in diameters of the larger hole.
    SPACING: "spacing" of HOLES gives Type::Quantity(D::NUMBER),
        "least of (distance between centres along the wall − half of either diameter) / larger diameter; holes more than ten diameters apart along the body are not asked for their angles",
        "plane geometry on the unrolled wall", |asking, id| Ok(Value::Quantity(Quantity::number(nearest(asking, id)?.diameters)));
    /// The whole wall left between these holes and the nearest others, or between two of them.
    WALL_LEFT: "wall_left" of HOLES gives Type::Quantity(D::LENGTH),
        "least of distance between centres along the wall − half of either diameter", "plane geometry on the unrolled wall", |asking, id| {
            Ok(metres(nearest(asking, id)?.wall))
        };
    /// The holes that are nearest to these; themselves where their own fellows are.
    NEAREST: "nearest" of HOLES gives Type::Entity(&HOLES), "those with the least wall between", "", |asking, id| {
        Ok(Value::Entity(nearest(asking, id)?.other))
    };
    /// How far their edge is from the nearest bulkhead, lid or ring inside; below zero where they run into one.
    FROM_DISCS: "from_discs" of HOLES gives Type::Quantity(D::LENGTH),
        "least gap along the rocket to a disc of this section or its neighbours − half the diameter", "", from_discs;
    /// How far their edge is from the nearest end of a wall that they go through.
    FROM_EDGES: "from_edges" of HOLES gives Type::Quantity(D::LENGTH),
        "least distance along the rocket to an end of the tubes − half the diameter", "", from_edges;
    /// Whether they lie between the ends of a fin's root.
    BESIDE_FINS: "beside_fins" of HOLES gives Type::Truth, "station against the stations of the fins", "", |asking, id| {
        Ok(Value::Truth(fins_beside(asking, id)?.is_some()))
    };
    /// How far around the body their edge is from the nearest fin or slot.
    FROM_FINS: "from_fins" of HOLES gives Type::Quantity(D::LENGTH),
        "arc between hole and fin − half the diameter − half the fin or slot", "", from_fins;
    /// How far around the body their edge is from the line of the rail buttons, along which the rail lies.
    FROM_RAIL: "from_rail" of HOLES gives Type::Quantity(D::LENGTH), "arc between hole and button − half the diameter", "", from_rail;
    /// How far around the body their edge is from the line of anything that stands out ahead of them; half way around where nothing does.
    FROM_UPSTREAM: "from_upstream" of HOLES gives Type::Quantity(D::LENGTH),
        "arc to the nearest rail button, fin or other thing ahead, and to heads of pins and screws less than four body diameters ahead, less half the widths of both",
        "", from_upstream;
    /// Whether they lie along the rods of an altimeter bay.
    BESIDE_RODS: "beside_rods" of HOLES gives Type::Truth, "station against the ends of the bay's coupler", "", |asking, id| {
        Ok(Value::Truth(rods_beside(asking, id)?.is_some()))
    };
    /// How far around the body their edge is from the line of the nearest rod.
    FROM_RODS: "from_rods" of HOLES gives Type::Quantity(D::LENGTH), "arc between hole and rod − half the diameters of both", "", from_rods;
    /// Whether a tube that they go through has a seam along a line.
    BESIDE_SEAM: "beside_seam" of HOLES gives Type::Truth, "`seam` of the tubes at their station", "", |asking, id| {
        Ok(Value::Truth(!seams(asking, id)?.is_empty()))
    };
    /// How far around the body their edge is from the nearest seam of a tube that they go through.
    FROM_SEAM: "from_seam" of HOLES gives Type::Quantity(D::LENGTH), "arc between hole and seam − half its diameter", "", |asking, id| {
        let lines = seams(asking, id)?;
        if lines.is_empty() {
            return Err(asking.refuse("no tube at these holes has a seam"));
        }
        Ok(metres(arc_to(asking, id, &lines)?))
    };
}

pub(super) const COMPUTED: &[&Computed] = &[
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

fn metres(si: f64) -> Value {
    Value::Quantity(Length::from_si(si).into())
}

/// The sections whose insides holes may meet: those of the joint, or their own and its neighbours.
fn near_sections(asking: &EvalContext<'_>, owner: Owner) -> Outcome<Vec<EntityId>> {
    if let Some(joint) = asking.model().entity(owner.id).and_then(|e| e.parent)
        && (owner.purpose == "shear pins" || owner.purpose == "screws")
    {
        let (fore, aft) = ends(asking, joint)?;
        return Ok(vec![fore, aft]);
    }
    let own = outer_section(asking, owner)?;
    let order = sections(asking)?;
    let at = order.iter().position(|s| *s == own).unwrap_or(0);
    Ok(order.iter().copied().skip(at.saturating_sub(1)).take(if at == 0 { 2 } else { 3 }).collect())
}

struct Nearest {
    wall: f64,
    diameters: f64,
    other: EntityId,
}

fn nearest(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Nearest> {
    let mine = owner(asking, id)?;
    let radius = asking.ask_typed::<Length>(id, &BODY)?.si() / 2.0;
    let near = near_sections(asking, mine)?;
    let (own, here) = both(asking.ask_typed::<Length>(id, &DIAMETER), extent(asking, id))?;
    let (own, here) = (own.si(), here.fore);
    let mut found: Outcome<Option<Nearest>> = Ok(None);
    let mut consider = |one: Outcome<Nearest>| {
        let so_far = std::mem::replace(&mut found, Ok(None));
        found = both(so_far, one).map(|(so_far, one)| match so_far {
            Some(old) if old.diameters <= one.diameters => Some(old),
            _ => Some(one),
        });
    };
    if count(asking, mine)? > 1 {
        let gap = if evenly_written(asking, mine)? {
            count(asking, mine).map(|n| TAU / f64::from(n))
        } else {
            angles(asking, mine).map(|all| gaps(&all).fold(TAU, f64::min))
        };
        consider(gap.map(|gap| {
            let wall = gap.min(TAU - gap) * radius - own;
            Nearest { wall, diameters: wall / own, other: id }
        }));
    }
    for other in all(asking)? {
        if other == id {
            continue;
        }
        let theirs = owner(asking, other)?;
        if !near.contains(&outer_section(asking, theirs)?)
            && !near_sections(asking, theirs)?.iter().any(|s| near.contains(s))
        {
            continue;
        }
        let sizes = both(asking.ask_typed::<Length>(other, &DIAMETER), extent(asking, other));
        consider(sizes.and_then(|(size, there)| {
            let size = size.si();
            let (along, larger) = ((there.fore - here).abs(), size.max(own));
            let distance = if along >= FAR_ALONG * larger {
                along
            } else {
                let (a, b) = both(angles(asking, mine), angles(asking, theirs))?;
                along.hypot(least_between(&a, &b) * radius)
            };
            let wall = distance - f64::midpoint(own, size);
            Ok(Nearest { wall, diameters: wall / larger, other })
        }));
    }
    found?.ok_or_else(|| asking.refuse("there is no other hole near by"))
}

fn from_discs(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let mine = owner(asking, id)?;
    let (size, here) = both(asking.ask_typed::<Length>(id, &DIAMETER), extent(asking, id))?;
    let mut least: Outcome<Option<f64>> = Ok(None);
    for section in near_sections(asking, mine)? {
        let mut discs: Vec<EntityId> = asking.things(section, section::bulkheads)?.to_vec();
        discs.extend(asking.things(section, section::lids)?.iter());
        if let Some(mount) = asking.part(section, section::motor_mount)? {
            discs.extend(asking.things(mount, motor_mount::rings)?.iter());
        }
        for disc in discs {
            let gap = extent(asking, disc).map(|disc| (disc.fore - here.fore).max(here.fore - disc.aft));
            least = both(least, gap).map(|(so_far, gap)| Some(so_far.map_or(gap, |s: f64| s.min(gap))));
        }
    }
    let least = least?.ok_or_else(|| asking.refuse("no bulkhead, lid or ring is near"))?;
    Ok(metres(least - size.si() / 2.0))
}

/// The walls that holes go through.
pub(super) fn walls(asking: &EvalContext<'_>, owner: Owner) -> Outcome<Vec<EntityId>> {
    if let Some(joint) = asking.model().entity(owner.id).and_then(|e| e.parent)
        && (owner.purpose == "shear pins" || owner.purpose == "screws")
    {
        let meeting = meeting(asking, joint)?;
        return Ok(vec![meeting.socket, meeting.plug]);
    }
    let section = outer_section(asking, owner)?;
    if let Some(tube) = asking.part(section, section::tube)? {
        return Ok(vec![tube]);
    }
    let mut found = Vec::new();
    for key in [section::switch_band, section::coupler] {
        found.extend(asking.part(section, key)?);
    }
    if found.is_empty() {
        found.extend(asking.part(section, section::nose_cone)?);
    }
    if found.is_empty() {
        return Err(asking.refuse("the section has no wall to drill"));
    }
    Ok(found)
}

fn from_edges(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let mine = owner(asking, id)?;
    let (size, here) = both(asking.ask_typed::<Length>(id, &DIAMETER), extent(asking, id))?;
    let mut least = f64::INFINITY;
    for wall in walls(asking, mine)? {
        let wall = extent(asking, wall)?;
        least = least.min(here.fore - wall.fore).min(wall.aft - here.fore);
    }
    Ok(metres(least - size.si() / 2.0))
}

/// The fins of the section whose roots lie beside the holes.
fn fins_beside(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Option<EntityId>> {
    let section = outer_section(asking, owner(asking, id)?)?;
    let Some(fins) = asking.part(section, section::fins)? else { return Ok(None) };
    let (root, here) = both(extent(asking, fins), extent(asking, id))?;
    let half = asking.ask_typed::<Length>(id, &DIAMETER)?.si() / 2.0;
    Ok((here.fore + half >= root.fore && here.fore - half <= root.aft).then_some(fins))
}

fn fin_angles(asking: &EvalContext<'_>, fins: EntityId) -> Outcome<Vec<f64>> {
    let count = asking.count(fins, fins::count)?;
    let first =
        if written(asking, fins, fins::clock)? { asking.quantity(fins, fins::clock)?.si } else { 0.0 };
    Ok((0..count).map(|n| first + TAU * f64::from(n) / f64::from(count)).collect())
}

/// The arc from the holes of a set to lines along the body.
fn arc_to(asking: &EvalContext<'_>, id: EntityId, lines: &[f64]) -> Outcome<f64> {
    let mine = owner(asking, id)?;
    let ((radius, size), angles) = both(
        both(asking.ask_typed::<Length>(id, &BODY), asking.ask_typed::<Length>(id, &DIAMETER)),
        angles(asking, mine),
    )?;
    Ok(least_between(&angles, lines) * radius.si() / 2.0 - size.si() / 2.0)
}

fn from_fins(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let Some(set) = fins_beside(asking, id)? else {
        return Err(asking.refuse("no fin stands beside these holes"));
    };
    let section = outer_section(asking, owner(asking, id)?)?;
    let mut across = asking.typed::<Length>(set, fins::thickness)?.si();
    if let Some(slots) = asking.part(section, section::fin_slots)? {
        across = across.max(asking.typed::<Length>(slots, fin_slots::width)?.si());
    }
    let lines = fin_angles(asking, set)?;
    Ok(metres(arc_to(asking, id, &lines)? - across / 2.0))
}

fn from_rail(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let mut lines = Vec::new();
    for button in asking.model().all_of(&RAIL_BUTTON) {
        lines.push(asking.quantity(button, rail_button::clock)?.si);
    }
    if lines.is_empty() {
        return Err(asking.refuse("no rail buttons are described"));
    }
    Ok(metres(arc_to(asking, id, &lines)?))
}

fn from_upstream(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let model = asking.model();
    let here = extent(asking, id)?.fore;
    let around = asking.ask_typed::<Length>(id, &BODY)?.si();
    let mut least: Outcome<f64> = Ok(PI * around / 2.0);
    let mut consider = |one: Outcome<f64>| {
        let so_far = std::mem::replace(&mut least, Ok(0.0));
        least = both(so_far, one).map(|(a, b)| a.min(b));
    };
    let mut single = |thing: EntityId, clock: Key, width: Key| -> Outcome<()> {
        if extent(asking, thing)?.fore < here {
            let line = asking.quantity(thing, clock).map(|q| q.si);
            // What is not said to be wide is at least a line.
            let across =
                if written(asking, thing, width)? { asking.typed::<Length>(thing, width)?.si() } else { 0.0 };
            consider(line.and_then(|line| Ok(arc_to(asking, id, &[line])? - across / 2.0)));
        }
        Ok(())
    };
    for button in model.all_of(&RAIL_BUTTON) {
        single(button, rail_button::clock, rail_button::width)?;
    }
    for thing in model.all_of(&PROTUBERANCE) {
        single(thing, protuberance::clock, protuberance::width)?;
    }
    for set in model.all_of(&FINS) {
        if extent(asking, set)?.fore < here {
            let arc = both(fin_angles(asking, set), asking.typed::<Length>(set, fins::thickness));
            consider(arc.and_then(|(lines, thick)| Ok(arc_to(asking, id, &lines)? - thick.si() / 2.0)));
        }
    }
    for other in all(asking)? {
        let theirs = owner(asking, other)?;
        if theirs.purpose != "shear pins" && theirs.purpose != "screws" {
            continue;
        }
        let ahead = here - extent(asking, other)?.fore;
        if ahead > 0.0 && ahead < CALM_BEHIND_HEADS * around {
            let arc = both(angles(asking, theirs), asking.ask_typed::<Length>(other, &DIAMETER));
            consider(arc.and_then(|(lines, size)| Ok(arc_to(asking, id, &lines)? - size.si() / 2.0)));
        }
    }
    Ok(metres(least?))
}

/// The rods of a bay along whose coupler the holes lie.
fn rods_beside(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Option<EntityId>> {
    let here = extent(asking, id)?.fore;
    for section in near_sections(asking, owner(asking, id)?)? {
        if let Some(rods) = asking.part(section, section::rods)?
            && let Some(coupler) = asking.part(section, section::coupler)?
        {
            let Extent { fore, aft } = extent(asking, coupler)?;
            if here >= fore && here <= aft {
                return Ok(Some(rods));
            }
        }
    }
    Ok(None)
}

/// The clock angles of the seams of the tubes that the holes go through.
fn seams(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Vec<f64>> {
    let here = extent(asking, id)?.fore;
    let mut lines = Vec::new();
    for section in near_sections(asking, owner(asking, id)?)? {
        let Some(wall) = asking.part(section, section::tube)? else { continue };
        if asking.model().has(wall, tube::seam.slot)? {
            let Extent { fore, aft } = extent(asking, wall)?;
            if here >= fore && here <= aft {
                lines.push(asking.quantity(wall, tube::seam)?.si);
            }
        }
    }
    Ok(lines)
}

fn from_rods(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let Some(set) = rods_beside(asking, id)? else {
        return Err(asking.refuse("no rods run beside these holes"));
    };
    let count = asking.count(set, rods::count)?;
    let lines = set_of_angles(asking, set, rods::clock, Some(rods::spaced), count)?;
    let Value::Entity(row) = asking.get(set, rods::thread)? else {
        return Err(asking.refuse("the thread of the rods is not one of the table's"));
    };
    let across = asking.typed::<Length>(row, thread::major_diameter)?.si();
    Ok(metres(arc_to(asking, id, &lines)? - across / 2.0))
}

//! What is drilled, wall by wall: the lines of a drill sheet before anyone has put them into words.

use std::f64::consts::PI;

use super::arcs::fin_angles;
use super::extents::{Extent, extent};
use super::hole_gaps::walls;
use super::holes::{Owner, all, angles, angles_of_rods, count, inner_drill, outer_drill, owner, tapped};
use super::sections::sections;
use super::{EvalContext, Model, Outcome, both};
use crate::design::{
    Attachment, BULKHEAD, Bulkhead, Fins, LID, RING, RailButton, Ring, Section, attachment, pass_through,
    rods, section,
};
use crate::quantity::{Angle, Length, Quantity, Styled};
use crate::tables::{Thread, clearance_drill};
use crate::vocabulary::{Edge, EntityId, Id};

/// Where on a part a hole is marked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Mark {
    /// Through a wall: so far from that end of the part, along the tape.
    Along(Length, Edge),
    /// Through the face of a disc.
    Face,
}

/// The middle of a hole in the face of a disc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Its clock angle, read from aft, clockwise from the first fin; of no matter on the axis.
    pub clock: Angle,
    /// How far it is from the axis.
    pub from_axis: Length,
}

/// Holes of one purpose in one part.
#[derive(Clone, Debug)]
pub struct DrilledPart {
    /// The part that is drilled.
    pub part: EntityId,
    /// The entity that the holes are for: the pins, the vent, the rods.
    pub owner: EntityId,
    /// What they are for, in a word or two.
    pub purpose: &'static str,
    /// How many.
    pub count: Outcome<u32>,
    /// Where along the part.
    pub mark: Outcome<Mark>,
    /// The clock angle of each, read from aft, clockwise from the first fin.
    pub clock: Outcome<Vec<Angle>>,
    /// Where each hole in the face of a disc stands; none for holes through a wall.
    pub spots: Outcome<Vec<Spot>>,
    /// The drill.
    pub drill: Outcome<Quantity>,
    /// Whether a thread is cut afterwards.
    pub tapped: Outcome<bool>,
}

impl Model<'_> {
    /// The clock angle of each fin of a set, from the first on.
    ///
    /// # Errors
    /// When it is not known how many there are.
    pub fn fin_lines(&self, fins: Id<Fins>) -> Outcome<Vec<Angle>> {
        fin_angles(&self.context(), fins).map(|all| all.into_iter().map(Angle::from_si).collect())
    }

    /// Every hole that is drilled, part by part from the nose aft. What is not known of one stands as such in its place.
    ///
    /// # Errors
    /// When it is not known which holes there are at all.
    pub fn drilled(&self) -> Outcome<Vec<DrilledPart>> {
        let ctx = self.context();
        let mut found = Vec::new();
        for set in all(&ctx)? {
            let owner = owner(&ctx, set)?;
            through_walls(&ctx, owner, &mut found);
        }
        for section in sections(&ctx)?.iter() {
            through_lids(&ctx, section, &mut found);
        }
        for one in self.every() {
            through_disc(&ctx, one, &mut found);
        }
        // Where a place is not known the line stands last, in the order of the file.
        let station = |line: &DrilledPart| {
            let fore = extent(&ctx, line.part).map_or(f64::MAX, |ends| ends.fore);
            let along = match line.mark {
                Ok(Mark::Along(distance, Edge::Fore)) => distance.si(),
                Ok(Mark::Along(distance, Edge::Aft)) => {
                    extent(&ctx, line.part).map_or(0.0, |ends| ends.aft - ends.fore) - distance.si()
                }
                _ => 0.0,
            };
            (fore, along)
        };
        let mut lines: Vec<((f64, f64), DrilledPart)> =
            found.into_iter().map(|line| (station(&line), line)).collect();
        lines.sort_by(|(a, _), (b, _)| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        Ok(lines.into_iter().map(|(_, line)| line).collect())
    }
}

fn through_walls(ctx: &EvalContext<'_>, owner: Owner, found: &mut Vec<DrilledPart>) {
    let clock = angles(ctx, owner).map(|all| all.into_iter().map(Angle::from_si).collect());
    let line = |part, drill, tapped| DrilledPart {
        part,
        owner: owner.id(),
        purpose: owner.purpose(),
        count: count(ctx, owner),
        mark: mark(ctx, owner.id(), part),
        clock: clock.clone(),
        spots: Ok(Vec::new()),
        drill,
        tapped,
    };
    let screwed = matches!(owner, Owner::Pins(_) | Owner::Screws(_));
    // What cannot be placed in a wall is listed with the part that says so.
    let parts = walls(ctx, owner).unwrap_or_else(|_| vec![owner.id()]);
    for (at, part) in parts.into_iter().enumerate() {
        if at > 0 && screwed {
            found.push(line(part, inner_drill(ctx, owner).map(Styled::quantity), tapped(ctx, owner)));
        } else {
            found.push(line(part, outer_drill(ctx, owner).map(Styled::quantity), Ok(false)));
        }
    }
    if let Owner::Button(button) = owner
        && tapped(ctx, owner) == Ok(true)
        && let Some(disc) = disc_behind(ctx, button)
    {
        found.push(line(disc, inner_drill(ctx, owner).map(Styled::quantity), Ok(true)));
    }
}

/// The ring or bulkhead into which the screw of a rail button goes.
fn disc_behind(ctx: &EvalContext<'_>, button: Id<RailButton>) -> Option<EntityId> {
    let here = extent(ctx, button).ok()?.fore;
    let rings = ctx.every::<Ring>().into_iter().map(Id::any);
    rings
        .chain(ctx.every::<Bulkhead>().into_iter().map(Id::any))
        .find(|disc| extent(ctx, *disc).is_ok_and(|Extent { fore, aft }| here >= fore && here <= aft))
}

/// The place of a hole on a part, from the nearer of its ends.
fn mark(ctx: &EvalContext<'_>, holes_of: EntityId, part: EntityId) -> Outcome<Mark> {
    let (here, part) = both(extent(ctx, holes_of), extent(ctx, part))?;
    let (fore, aft) = (here.fore - part.fore, part.aft - here.fore);
    Ok(if fore <= aft {
        Mark::Along(Length::from_si(fore), Edge::Fore)
    } else {
        Mark::Along(Length::from_si(aft), Edge::Aft)
    })
}

fn in_face(
    part: EntityId,
    owner: EntityId,
    purpose: &'static str,
    drill: Outcome<Quantity>,
    spots: Outcome<Vec<Spot>>,
) -> DrilledPart {
    DrilledPart {
        spots,
        part,
        owner,
        purpose,
        count: Ok(1),
        mark: Ok(Mark::Face),
        clock: Ok(Vec::new()),
        drill,
        tapped: Ok(false),
    }
}

fn clearance(ctx: &EvalContext<'_>, thread: Outcome<Id<Thread>>) -> Outcome<Quantity> {
    let name = ctx.name(thread?);
    let tables = ctx.model().tables();
    tables
        .row(&name)
        .and_then(|row| tables.quantity(row, clearance_drill::diameter))
        .ok_or_else(|| ctx.refuse(format!("no clearance drill is listed for {name}")))
}

/// The holes for rods and wires in the lids of a bay.
fn through_lids(ctx: &EvalContext<'_>, id: Id<Section>, found: &mut Vec<DrilledPart>) {
    let (Ok(lids), Ok(set)) = (ctx.entities(id, section::lids), ctx.part(id, section::rods)) else {
        return;
    };
    for one in lids.iter() {
        if let Some(set) = set {
            let many = ctx.get(set, rods::count);
            let clock = many.clone().and_then(|many| angles_of_rods(ctx, set, many));
            let clock = clock.map(|all| all.into_iter().map(Angle::from_si).collect::<Vec<_>>());
            let spots = both(clock.clone(), ctx.get(set, rods::bolt_circle)).map(|(clock, across)| {
                let from_axis = Length::from_si(across.si() / 2.0);
                clock.into_iter().map(|clock| Spot { clock, from_axis }).collect()
            });
            let drill = clearance(ctx, ctx.get(set, rods::thread));
            let holes = in_face(one.any(), set.any(), "rods", drill, spots);
            found.push(DrilledPart { count: many, clock, ..holes });
        }
        let Ok(wires) = ctx.entities(one, crate::design::lid::pass_throughs) else { continue };
        for hole in wires.iter() {
            let drill = ctx.quantity(hole, pass_through::diameter);
            let place = both(ctx.get(hole, pass_through::clock), ctx.get(hole, pass_through::from_axis));
            let spots = place.map(|(clock, from_axis)| vec![Spot { clock, from_axis }]);
            found.push(in_face(one.any(), hole.any(), "wires", drill.map(Styled::quantity), spots));
        }
    }
}

/// The hole for an eye in a lid, a ring or a bulkhead; what is tied or moulded wants none.
fn through_disc(ctx: &EvalContext<'_>, eye: Id<Attachment>, found: &mut Vec<DrilledPart>) {
    let model = ctx.model();
    let Some(disc) = ctx.parent(eye) else { return };
    let drilled = model.entity(disc).is_some_and(|e| [&LID, &RING, &BULKHEAD].contains(&e.entity_type));
    let kind = ctx.get(eye, attachment::kind);
    if !drilled || kind.as_ref().is_ok_and(|kind| ["cord loop", "moulded loop"].contains(kind)) {
        return;
    }
    let legs = if kind == Ok("u-bolt") { 2 } else { 1 };
    let thread = match ctx.has(eye, attachment::thread) {
        Ok(false) => Err(ctx.missing(eye, attachment::thread)),
        _ => ctx.get(eye, attachment::thread),
    };
    let spots =
        if legs == 2 { legs_of(ctx, eye, disc) } else { middle_of(ctx, eye, disc).map(|one| vec![one]) };
    let holes = in_face(disc, eye.any(), "eye", clearance(ctx, thread), spots);
    found.push(DrilledPart { count: Ok(legs), ..holes });
}

/// Where the middle of an eye stands on its disc: on the axis where a plate has it nowhere else, while a ring has no middle.
fn middle_of(ctx: &EvalContext<'_>, eye: Id<Attachment>, disc: EntityId) -> Outcome<Spot> {
    let is_ring = ctx.as_a::<Ring>(disc).is_some();
    if !is_ring && !ctx.has(eye, attachment::from_axis)? {
        return Ok(Spot { clock: Angle::from_si(0.0), from_axis: Length::from_si(0.0) });
    }
    let from_axis = ctx.get(eye, attachment::from_axis);
    if from_axis.as_ref().is_ok_and(|from| from.si() == 0.0) {
        return Ok(Spot { clock: Angle::from_si(0.0), from_axis: Length::from_si(0.0) });
    }
    both(ctx.get(eye, attachment::clock), from_axis).map(|(clock, from_axis)| Spot { clock, from_axis })
}

/// Where the legs of a U-bolt stand: on either side of the axis, or abreast beside it.
fn legs_of(ctx: &EvalContext<'_>, eye: Id<Attachment>, disc: EntityId) -> Outcome<Vec<Spot>> {
    let (middle, apart) = both(middle_of(ctx, eye, disc), ctx.get(eye, attachment::legs_apart))?;
    let half = apart.si() / 2.0;
    if middle.from_axis.si() == 0.0 {
        let clock = ctx.get(eye, attachment::clock)?.si();
        let leg = |turn| Spot { clock: Angle::from_si(clock + turn), from_axis: Length::from_si(half) };
        return Ok(vec![leg(0.0), leg(PI)]);
    }
    let (turn, from) = (libm::atan2(half, middle.from_axis.si()), libm::hypot(half, middle.from_axis.si()));
    let leg =
        |turn| Spot { clock: Angle::from_si(middle.clock.si() + turn), from_axis: Length::from_si(from) };
    Ok(vec![leg(-turn), leg(turn)])
}

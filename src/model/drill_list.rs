//! What is drilled, wall by wall: the lines of a drill sheet before anyone has put them into words.

use super::hole_gaps::walls;
use super::holes::{Owner, all, angles, count, inner_drill, outer_drill, owner, set_of_angles, tapped};
use super::stations::{Extent, extent, sections};
use super::{EvalContext, Gap, Model, Outcome, both};
use crate::design::{ATTACHMENT, BULKHEAD, LID, RING, attachment, pass_through, rods, section};
use crate::quantity::{Angle, Length, Quantity};
use crate::tables::{CLEARANCE_DRILL, Tables, clearance_drill};
use crate::vocabulary::{Edge, EntityId, Rows, Value};

/// Where on a part a hole is marked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Mark {
    /// Through a wall: so far from that end of the part, along the tape.
    Along(Length, Edge),
    /// Through the face of a disc.
    Face,
}

/// Holes of one purpose in one part.
#[derive(Clone, Debug)]
pub struct DrilledPart {
    /// The part that is drilled.
    pub part: EntityId,
    /// The thing that the holes are for: the pins, the vent, the rods.
    pub for_thing: EntityId,
    /// What they are for, in a word or two.
    pub purpose: &'static str,
    /// How many.
    pub count: Outcome<u32>,
    /// Where along the part.
    pub mark: Outcome<Mark>,
    /// The clock angle of each, read from aft, clockwise from the first fin.
    pub clock: Outcome<Vec<Angle>>,
    /// The drill.
    pub drill: Outcome<Quantity>,
    /// Whether a thread is cut afterwards.
    pub tapped: Outcome<bool>,
}

impl Model<'_> {
    /// Every hole that is drilled, part by part from the nose aft. What is not known of one is told in its place.
    ///
    /// # Errors
    /// When it is not known which holes there are at all.
    pub fn drilled(&self) -> Outcome<Vec<DrilledPart>> {
        let asking = self.asking();
        let mut found = Vec::new();
        for set in all(&asking)? {
            let owner = owner(&asking, set)?;
            through_walls(&asking, owner, &mut found);
        }
        for section in sections(&asking)?.iter() {
            through_lids(&asking, *section, &mut found);
        }
        for one in self.all_of(&ATTACHMENT) {
            through_disc(&asking, one, &mut found);
        }
        // Where a place is not known the line stands last, in the order of the file.
        let station = |line: &DrilledPart| {
            let fore = extent(&asking, line.part).map_or(f64::MAX, |ends| ends.fore);
            let along = match line.mark {
                Ok(Mark::Along(distance, Edge::Fore)) => distance.si(),
                Ok(Mark::Along(distance, Edge::Aft)) => {
                    extent(&asking, line.part).map_or(0.0, |ends| ends.aft - ends.fore) - distance.si()
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

fn through_walls(asking: &EvalContext<'_>, owner: Owner, found: &mut Vec<DrilledPart>) {
    let clock = angles(asking, owner).map(|all| all.into_iter().map(Angle::from_si).collect());
    let line = |part, drill, tapped| DrilledPart {
        part,
        for_thing: owner.id,
        purpose: owner.purpose,
        count: count(asking, owner),
        mark: mark(asking, owner.id, part),
        clock: clock.clone(),
        drill,
        tapped,
    };
    let screwed = owner.purpose == "shear pins" || owner.purpose == "screws";
    // What cannot be placed in a wall is listed with the part that says so.
    let parts = walls(asking, owner).unwrap_or_else(|_| vec![owner.id]);
    for (at, part) in parts.into_iter().enumerate() {
        if at > 0 && screwed {
            found.push(line(part, inner_drill(asking, owner), tapped(asking, owner)));
        } else {
            found.push(line(part, outer_drill(asking, owner), Ok(false)));
        }
    }
    if owner.purpose == "rail button"
        && tapped(asking, owner) == Ok(true)
        && let Some(disc) = disc_behind(asking, owner.id)
    {
        found.push(line(disc, inner_drill(asking, owner), Ok(true)));
    }
}

/// The ring or bulkhead into which the screw of a rail button goes.
fn disc_behind(asking: &EvalContext<'_>, button: EntityId) -> Option<EntityId> {
    let here = extent(asking, button).ok()?.fore;
    let model = asking.model();
    model
        .all_of(&RING).into_iter()
        .chain(model.all_of(&BULKHEAD))
        .find(|disc| extent(asking, *disc).is_ok_and(|Extent { fore, aft }| here >= fore && here <= aft))
}

/// The place of a hole on a part, from the nearer of its ends.
fn mark(asking: &EvalContext<'_>, holes_of: EntityId, part: EntityId) -> Outcome<Mark> {
    let (here, part) = both(extent(asking, holes_of), extent(asking, part))?;
    let (fore, aft) = (here.fore - part.fore, part.aft - here.fore);
    Ok(if fore <= aft {
        Mark::Along(Length::from_si(fore), Edge::Fore)
    } else {
        Mark::Along(Length::from_si(aft), Edge::Aft)
    })
}

fn in_face(
    part: EntityId,
    for_thing: EntityId,
    purpose: &'static str,
    drill: Outcome<Quantity>,
) -> DrilledPart {
    DrilledPart {
        part,
        for_thing,
        purpose,
        count: Ok(1),
        mark: Ok(Mark::Face),
        clock: Ok(Vec::new()),
        drill,
        tapped: Ok(false),
    }
}

fn clearance(asking: &EvalContext<'_>, thread: Outcome<Value>) -> Outcome<Quantity> {
    let Value::Entity(row) = thread? else {
        return Err(asking.refuse("the thread is not one of the table's"));
    };
    let name = asking.model().entity(row).map(|e| e.name.to_string()).unwrap_or_default();
    let tables = Tables::built_in();
    tables
        .find(&CLEARANCE_DRILL, &name)
        .and_then(|row| tables.quantity(row, clearance_drill::diameter))
        .ok_or_else(|| asking.refuse(format!("no clearance drill is listed for {name}")))
}

/// The holes for rods and wires in the lids of a bay.
fn through_lids(asking: &EvalContext<'_>, id: EntityId, found: &mut Vec<DrilledPart>) {
    let (Ok(lids), Ok(set)) = (asking.things(id, section::lids), asking.part(id, section::rods)) else {
        return;
    };
    for one in lids.iter() {
        if let Some(set) = set {
            let many = asking.count(set, rods::count);
            let clock = many
                .clone()
                .and_then(|many| set_of_angles(asking, set, rods::clock, Some(rods::spaced), many));
            found.push(DrilledPart {
                count: many,
                clock: clock.map(|all| all.into_iter().map(Angle::from_si).collect()),
                ..in_face(*one, set, "rods", clearance(asking, asking.get(set, rods::thread)))
            });
        }
        let Ok(wires) = asking.things(*one, crate::design::lid::pass_throughs) else { continue };
        for hole in wires.iter() {
            found.push(in_face(*one, *hole, "wires", asking.quantity(*hole, pass_through::diameter)));
        }
    }
}

/// The hole for an eye in a lid, a ring or a bulkhead; what is tied or moulded wants none.
fn through_disc(asking: &EvalContext<'_>, eye: EntityId, found: &mut Vec<DrilledPart>) {
    let model = asking.model();
    let Some(disc) = model.entity(eye).and_then(|e| e.parent) else { return };
    let drilled = model.entity(disc).is_some_and(|e| [&LID, &RING, &BULKHEAD].contains(&e.kind));
    let kind = asking.get(eye, attachment::kind);
    if !drilled || ["cord loop", "moulded loop"].iter().any(|word| kind == Ok(Value::Word(word))) {
        return;
    }
    let legs = if kind == Ok(Value::Word("u-bolt")) { 2 } else { 1 };
    let thread: Outcome<Value> = match model.has(eye, attachment::thread.slot) {
        Ok(false) => Err(Gap::missing(eye, attachment::thread.slot)),
        _ => asking.get(eye, attachment::thread),
    };
    found.push(DrilledPart { count: Ok(legs), ..in_face(disc, eye, "eye", clearance(asking, thread)) });
}

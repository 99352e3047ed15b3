//! Holes through the wall: where they are, how large, and how far from one another and from what else is there.
//!
//! Angles are read from aft, clockwise; lengths around the body are arcs on its outside.

use std::f64::consts::{PI, TAU};

use super::joints::{body_diameter, computed, meeting};
use super::{EvalContext, Computed, Gap, Outcome, Type};
use crate::design::{
    ALTIMETER, FASTENING, HOLES, RAIL_BUTTON, SECTION, SHEAR_PINS, SWITCH, SWITCH_ACCESS, VENT, altimeter,
    fastening, rail_button, shear_pins, switch_access, vent,
};
use crate::quantity::{Dimension as D, Quantity};
use crate::tables::{CLEARANCE_DRILL, TAP_DRILL, THREAD, Tables, clearance_drill, tap_drill};
use crate::vocabulary::{EntityId, Key, Rows, Value};

/// What holes are for, in the words that messages use.
const PURPOSES: &[&str] = &["shear pins", "screws", "vents", "rail button", "switch access"];

/// The largest difference between a gap and an even one that still counts as even.
const EVEN_WITHIN_DEGREES: f64 = 10.0;

computed! {
    /// What the holes are for.
    PURPOSE: "purpose" of HOLES gives Type::Word(PURPOSES), "the part that they come with", "", |asking, id| {
        Ok(Value::Word(owner(asking, id)?.purpose))
    };
    /// Whether there is anything to drill: a joint held by glue or friction has no holes, nor has a guide bonded to the skin.
    DRILLED: "drilled" of HOLES gives Type::Truth, "screws and rivets want holes; glue and friction want none", "", |asking, id| {
        drilled(asking, owner(asking, id)?).map(Value::Truth)
    };
    /// How many there are.
    COUNT: "count" of HOLES gives Type::Quantity(D::NUMBER), "as many as pins, screws or vents", "", |asking, id| {
        let count = count(asking, owner(asking, id)?)?;
        Ok(Value::Quantity(Quantity::number(f64::from(count))))
    };
    /// The section whose outside they go through.
    SECTION_OF: "section" of HOLES gives Type::Entity(&SECTION), "the section of the outer tube", "", |asking, id| {
        outer_section(asking, owner(asking, id)?).map(Value::Entity)
    };
    /// The thread of the screw or pin that goes in.
    THREAD_OF: "thread" of HOLES gives Type::Entity(&THREAD), "as written", "", |asking, id| {
        let owner = owner(asking, id)?;
        match owner.thread {
            Some(key) => asking.get(owner.id, key),
            None => Err(asking.refuse("nothing is screwed into these holes")),
        }
    };
    /// Whether a thread is cut into the inner tube, the ring or the block.
    TAPPED: "tapped" of HOLES gives Type::Truth, "`into` is a tapped hole, a ring, a bulkhead or a block", "", |asking, id| {
        tapped(asking, owner(asking, id)?).map(Value::Truth)
    };
    /// Whether their drill is stated, and not taken from the thread.
    DRILL_STATED: "drill_stated" of HOLES gives Type::Truth, "as written", "", |asking, id| {
        let owner = owner(asking, id)?;
        Ok(Value::Truth(written(asking, owner.id, owner.drill)?))
    };
    /// The size of the holes in the outer wall.
    DIAMETER: "diameter" of HOLES gives Type::Quantity(D::LENGTH),
        "as stated, else the close-fitting clearance drill of the thread", "rules/tables/clearance_drills.yaml", |asking, id| {
            outer_drill(asking, owner(asking, id)?).map(Value::Quantity)
        };
    /// The size of the holes in the inner tube, the ring or the block.
    INNER_DIAMETER: "inner_diameter" of HOLES gives Type::Quantity(D::LENGTH),
        "as stated in `drill`, else the tap drill where a thread is cut and the clearance drill where not",
        "rules/tables/tap_drills.yaml, rules/tables/clearance_drills.yaml", |asking, id| {
            inner_drill(asking, owner(asking, id)?).map(Value::Quantity)
        };
    /// The outside diameter of the body there.
    BODY: "body_diameter" of HOLES gives Type::Quantity(D::LENGTH), "outside diameter of the section", "", |asking, id| {
        let section = outer_section(asking, owner(asking, id)?)?;
        Ok(Value::Quantity(body_diameter(asking, section)?.into()))
    };
    /// The clock angle of each hole, read from aft, clockwise from the first fin.
    CLOCK: "clock" of HOLES gives Type::Quantities(D::ANGLE), "as written; the first and even steps where they are spaced evenly", "", |asking, id| {
        let angles = angles(asking, owner(asking, id)?)?;
        Ok(Value::Quantities(angles.into_iter().map(|a| Quantity::new(a, D::ANGLE)).collect()))
    };
    /// Whether the holes are spaced evenly around the body, each gap within ten degrees of the next.
    EVENLY_SPACED: "evenly_spaced" of HOLES gives Type::Truth, "the gaps between the angles in `clock`, or the word in `spaced`", "", |asking, id| {
        evenly(asking, owner(asking, id)?).map(Value::Truth)
    };
}

pub(super) const COMPUTED: &[&Computed] = &[
    &PURPOSE,
    &DRILLED,
    &COUNT,
    &SECTION_OF,
    &THREAD_OF,
    &TAPPED,
    &DRILL_STATED,
    &DIAMETER,
    &INNER_DIAMETER,
    &BODY,
    &CLOCK,
    &EVENLY_SPACED,
];

/// The part that holes come with, and where it says what.
#[derive(Clone, Copy)]
pub(super) struct Owner {
    /// The part.
    pub(super) id: EntityId,
    /// What the holes are for.
    pub(super) purpose: &'static str,
    count: Option<Key>,
    /// The drill, or the diameter itself where nothing is screwed in.
    drill: Key,
    thread: Option<Key>,
    into: Option<Key>,
    spaced: Option<Key>,
    clock: Key,
}

pub(super) fn owner(asking: &EvalContext<'_>, holes: EntityId) -> Outcome<Owner> {
    let parent = asking.model().entity(holes).and_then(|e| e.parent);
    let Some(id) = parent else { return Err(asking.refuse("the holes come with nothing")) };
    let kind = asking.model().entity(id).map(|e| e.kind);
    let one = |purpose, drill, clock| Owner {
        id,
        purpose,
        count: None,
        drill,
        thread: None,
        into: None,
        spaced: None,
        clock,
    };
    if kind == Some(&SHEAR_PINS) {
        Ok(Owner {
            count: Some(shear_pins::count),
            thread: Some(shear_pins::thread),
            into: Some(shear_pins::into),
            spaced: Some(shear_pins::spaced),
            ..one("shear pins", shear_pins::drill, shear_pins::clock)
        })
    } else if kind == Some(&FASTENING) {
        Ok(Owner {
            count: Some(fastening::count),
            thread: Some(fastening::thread),
            into: Some(fastening::into),
            spaced: Some(fastening::spaced),
            ..one("screws", fastening::drill, fastening::clock)
        })
    } else if kind == Some(&VENT) {
        let count = Some(vent::count);
        Ok(Owner { count, spaced: Some(vent::spaced), ..one("vents", vent::diameter, vent::clock) })
    } else if kind == Some(&RAIL_BUTTON) {
        let (thread, into) = (Some(rail_button::thread), Some(rail_button::into));
        Ok(Owner { thread, into, ..one("rail button", rail_button::drill, rail_button::clock) })
    } else if kind == Some(&SWITCH_ACCESS) {
        Ok(one("switch access", switch_access::diameter, switch_access::clock))
    } else {
        Err(asking.refuse("no holes are known to come with this part"))
    }
}

/// Every set of holes of the rocket that is drilled.
pub(super) fn all(asking: &EvalContext<'_>) -> Outcome<Vec<EntityId>> {
    let mut found = Vec::new();
    for id in asking.model().all_of(&HOLES) {
        // Where nobody has said, there may be holes: what keeps clear of them is then safe either way.
        if drilled(asking, owner(asking, id)?).unwrap_or(true) {
            found.push(id);
        }
    }
    Ok(found)
}

fn drilled(asking: &EvalContext<'_>, owner: Owner) -> Outcome<bool> {
    if owner.purpose == "rail button" {
        return Ok(asking.get(owner.id, rail_button::into)? != Value::Word("bonded outside"));
    }
    if owner.purpose != "screws" {
        return Ok(true);
    }
    let kind = asking.get(owner.id, fastening::kind)?;
    Ok(["machine screw", "rivet", "wood screw"].iter().any(|word| kind == Value::Word(word)))
}

pub(super) fn count(asking: &EvalContext<'_>, owner: Owner) -> Outcome<u32> {
    owner.count.map_or(Ok(1), |key| asking.count(owner.id, key))
}

pub(super) fn written(asking: &EvalContext<'_>, id: EntityId, key: Key) -> Outcome<bool> {
    asking.model().has(id, key.slot)
}

pub(super) fn tapped(asking: &EvalContext<'_>, owner: Owner) -> Outcome<bool> {
    let Some(key) = owner.into else { return Ok(false) };
    let into = asking.get(owner.id, key)?;
    Ok(["tapped hole", "ring", "bulkhead", "block"].iter().any(|word| into == Value::Word(word)))
}

/// The drill that a table names for the thread of the screw.
fn drill_of(asking: &EvalContext<'_>, owner: Owner, tap: bool) -> Outcome<Quantity> {
    let Some(key) = owner.thread else { return Err(Gap::missing(owner.id, owner.drill.slot)) };
    let Value::Entity(row) = asking.get(owner.id, key)? else {
        return Err(asking.refuse("the thread is not one of the table's"));
    };
    let name = asking.model().entity(row).map(|e| e.name.to_string()).unwrap_or_default();
    let tables = Tables::built_in();
    let size = if tap {
        tables.find(&TAP_DRILL, &name).and_then(|row| tables.quantity(row, tap_drill::diameter))
    } else {
        tables.find(&CLEARANCE_DRILL, &name).and_then(|row| tables.quantity(row, clearance_drill::diameter))
    };
    let size = size.ok_or_else(|| asking.refuse(format!("no drill is listed for {name}")))?;
    asking.fixed(if tap { "tap drill" } else { "clearance drill" }, "by the thread", size);
    Ok(size)
}

pub(super) fn outer_drill(asking: &EvalContext<'_>, owner: Owner) -> Outcome<Quantity> {
    let Some(thread) = owner.thread else { return asking.quantity(owner.id, owner.drill) };
    let stated = written(asking, owner.id, owner.drill)?;
    let threaded = written(asking, owner.id, thread)?;
    // A stated drill is that of the tapped hole; the wall before it lets the screw pass.
    if stated && !(threaded && tapped(asking, owner)?) {
        return asking.quantity(owner.id, owner.drill);
    }
    drill_of(asking, owner, false)
}

pub(super) fn inner_drill(asking: &EvalContext<'_>, owner: Owner) -> Outcome<Quantity> {
    if owner.thread.is_none() || written(asking, owner.id, owner.drill)? {
        return asking.quantity(owner.id, owner.drill);
    }
    let tap = tapped(asking, owner)?;
    drill_of(asking, owner, tap)
}

pub(super) fn outer_section(asking: &EvalContext<'_>, owner: Owner) -> Outcome<EntityId> {
    let model = asking.model();
    if owner.purpose == "switch access" {
        return access_section(asking, owner.id);
    }
    let part = match model.entity(owner.id).and_then(|e| e.parent) {
        Some(joint) if owner.purpose == "shear pins" || owner.purpose == "screws" => {
            meeting(asking, joint)?.socket
        }
        _ => owner.id,
    };
    model.holder(part, &SECTION).ok_or_else(|| asking.refuse("the holes are in no section"))
}

/// The section of the altimeter that a switch arms.
pub(super) fn access_section(asking: &EvalContext<'_>, access: EntityId) -> Outcome<EntityId> {
    let model = asking.model();
    let switch = model.holder(access, &SWITCH).ok_or_else(|| asking.refuse("the hole is no switch's"))?;
    for one in model.all_of(&ALTIMETER) {
        if asking.get(one, altimeter::switch)? == Value::Entity(switch) {
            return model
                .holder(one, &SECTION)
                .ok_or_else(|| asking.refuse("the altimeter is in no section"));
        }
    }
    Err(asking.refuse("no altimeter is armed by this switch, so that it is in no section"))
}

/// The clock angles of a set, in radians.
pub(super) fn angles(asking: &EvalContext<'_>, owner: Owner) -> Outcome<Vec<f64>> {
    let count = count(asking, owner)?;
    set_of_angles(asking, owner.id, owner.clock, owner.spaced, count)
}

pub(super) fn set_of_angles(
    asking: &EvalContext<'_>,
    id: EntityId,
    clock: Key,
    spaced: Option<Key>,
    count: u32,
) -> Outcome<Vec<f64>> {
    let given: Vec<f64> = match asking.get(id, clock)? {
        Value::Quantity(one) => vec![one.si],
        Value::Quantities(all) => all.iter().map(|q| q.si).collect(),
        _ => return Err(asking.refuse("the clock angles are no angles")),
    };
    match (given.as_slice(), spaced) {
        (all, _) if all.len() == count as usize => Ok(given),
        ([first], Some(spaced)) => {
            if asking.get(id, spaced)? == Value::Word("evenly") {
                Ok((0..count).map(|n| first + TAU * f64::from(n) / f64::from(count)).collect())
            } else {
                Err(asking.refuse(format!("one clock angle is given for {count} that are not spaced evenly")))
            }
        }
        (all, _) => Err(asking.refuse(format!("{} clock angles are given for {count}", all.len()))),
    }
}

fn evenly(asking: &EvalContext<'_>, owner: Owner) -> Outcome<bool> {
    let count = count(asking, owner)?;
    if count == 1 {
        return Ok(true);
    }
    let listed = match asking.model().field(owner.id, owner.clock.slot) {
        Ok(Value::Quantities(all)) => all.len() > 1,
        _ => false,
    };
    if !listed && let Some(spaced) = owner.spaced {
        return Ok(asking.get(owner.id, spaced)? == Value::Word("evenly"));
    }
    let even = TAU / f64::from(count);
    let worst = gaps(&angles(asking, owner)?).map(|gap| (gap - even).abs()).fold(0.0, f64::max);
    Ok(worst <= EVEN_WITHIN_DEGREES.to_radians())
}

/// Whether the set says that it is evenly spaced without a list of angles.
pub(super) fn evenly_written(asking: &EvalContext<'_>, owner: Owner) -> Outcome<bool> {
    let listed = match asking.model().field(owner.id, owner.clock.slot) {
        Ok(Value::Quantities(all)) => all.len() > 1,
        _ => false,
    };
    match owner.spaced {
        Some(spaced) if !listed => Ok(asking.get(owner.id, spaced)? == Value::Word("evenly")),
        _ => Ok(false),
    }
}

/// The gaps from angle to angle around the body.
pub(super) fn gaps(angles: &[f64]) -> impl Iterator<Item = f64> {
    let mut sorted: Vec<f64> = angles.iter().map(|a| a.rem_euclid(TAU)).collect();
    sorted.sort_by(f64::total_cmp);
    let first = sorted.first().copied().unwrap_or(0.0);
    let next: Vec<f64> = sorted.iter().skip(1).copied().chain([first + TAU]).collect();
    sorted.into_iter().zip(next).map(|(a, b)| b - a)
}

/// The smaller of the two ways round between two angles.
fn between(a: f64, b: f64) -> f64 {
    let way = (a - b).rem_euclid(TAU);
    way.min(TAU - way)
}

pub(super) fn least_between(mine: &[f64], others: &[f64]) -> f64 {
    let pairs = mine.iter().flat_map(|a| others.iter().map(move |b| between(*a, *b)));
    pairs.fold(PI, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shorter_way_round_is_taken() {
        let degrees = |a: f64, b: f64| between(a.to_radians(), b.to_radians()).to_degrees();
        assert!((degrees(350.0, 10.0) - 20.0).abs() < 1e-9);
        assert!((degrees(10.0, 350.0) - 20.0).abs() < 1e-9);
        assert!((degrees(-90.0, 270.0)).abs() < 1e-9);
        assert!((degrees(0.0, 180.0) - 180.0).abs() < 1e-9);
    }

    #[test]
    fn gaps_go_once_around() {
        let angles = [240.0_f64, 0.0, 480.0].map(f64::to_radians);
        let all: Vec<f64> = gaps(&angles).map(f64::to_degrees).collect();
        assert_eq!(all.len(), 3);
        assert!(all.iter().all(|gap| (gap - 120.0).abs() < 1e-9), "{all:?}");
        assert!((gaps(&[1.0]).sum::<f64>() - TAU).abs() < 1e-12);
    }
}

//! The recovery train: what each part of it bears before it breaks, and which is the weakest.

use super::joints::{computed, meeting, overlap};
use super::stations::extent;
use super::{EvalContext, Computed, Gap, Outcome, Type, both};
use crate::design::{
    ATTACHMENT, BULKHEAD, COUPLER, FASTENING, HARNESS, JOINT, LID, LINK, ROCKET, RODS, SECTION, attachment,
    bulkhead, coupler, fastening, harness, joint, lid, link, rods, section, tube,
};
use crate::engineering::loads::{self, WallHoles};
use crate::engineering::pins;
use crate::quantity::{Area, Dimension as D, Force, Length, Pressure, Quantity};
use crate::tables::{MATERIAL, Tables, material, thread};
use crate::vocabulary::{EntityId, Key, Rows, Value};

/// How much of a cord's strength a knot leaves. Source: common practice, from memory.
const LEFT_BY_A_KNOT: f64 = 0.5;
/// How many times its working load a part breaks at. Makers give working loads of a third to a fifth of the breaking load; a third is the
/// safe side. Source: common practice, from memory.
const OVER_WORKING_LOAD: f64 = 3.0;

computed! {
    /// The load at which the cord breaks, its ends counted.
    CORD: "bears" of HARNESS gives Type::Quantity(D::FORCE),
        "strength, half of it where its ends are knots", "common practice: a knot leaves about half", cord;
    /// The load at which it breaks.
    JOINED: "bears" of LINK gives Type::Quantity(D::FORCE),
        "`breaks_at`, else 3 × `working_load`", "common practice: makers allow a third to a fifth of the breaking load", |asking, id| {
            rated(asking, id, link::breaks_at, link::working_load)?.ok_or_else(|| Gap::missing(id, link::breaks_at.slot))
        };
    /// The load at which it breaks or is pulled straight.
    EYE: "bears" of ATTACHMENT gives Type::Quantity(D::FORCE),
        "`breaks_at`, else 3 × `working_load`, else legs × stress area of the thread × tensile strength",
        "definition of tensile strength; ISO 898-1 and SAE J429 for the stress area", eye;
    /// The load at which the rods break, all sharing it.
    RODS_BEAR: "bears" of RODS gives Type::Quantity(D::FORCE),
        "count × stress area of the thread × tensile strength", "definition of tensile strength; ISO 898-1 and SAE J429", |asking, id| {
            let count = asking.count(id, rods::count);
            let one = in_tension(asking, id, rods::thread, rods::material);
            let (count, one) = both(count, one)?;
            Ok(force(one * f64::from(count)))
        };
    /// The pull along the rocket at which the joint lets go: screws cut through, the tube's wall torn or crushed, glue sheared.
    SCREWED: "bears" of FASTENING gives Type::Quantity(D::FORCE),
        "least of screws sheared, wall torn out, wall crushed; of glue its area × shear strength; or `breaks_at`, where it was tested",
        "average shear and bearing stress, strength of materials", screwed;
    /// What of the recovery train breaks first: cords, links, eyes, bulkheads, rods and the joints that never part.
    WEAKEST: "weakest_link" of ROCKET gives Type::Text,
        "the part of the recovery train that bears least", "statics of links in series", |asking, _| {
            Ok(Value::Text(weakest(asking)?.0.into()))
        };
    /// What the weakest part of the recovery train bears.
    TRAIN: "train_bears" of ROCKET gives Type::Quantity(D::FORCE),
        "least of what the parts of the recovery train bear", "statics of links in series", |asking, _| {
            Ok(force(weakest(asking)?.1))
        };
}

pub(super) const COMPUTED: &[&Computed] = &[&CORD, &JOINED, &EYE, &RODS_BEAR, &SCREWED, &WEAKEST, &TRAIN];

fn force(force: Force) -> Value {
    Value::Quantity(force.into())
}

fn cord(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let (strength, ends) = both(asking.typed::<Force>(id, harness::strength), asking.get(id, harness::ends))?;
    let left = if ends == Value::Word("knots") { LEFT_BY_A_KNOT } else { 1.0 };
    asking.step("left by its ends", "half by a knot, all by a sewn loop", Quantity::number(left));
    Ok(force(strength * left))
}

/// What a maker or a test says of a part, as the load at which it breaks; none where nothing is said.
fn rated(asking: &EvalContext<'_>, id: EntityId, breaks: Key, works: Key) -> Outcome<Option<Value>> {
    if asking.model().has(id, breaks.slot)? {
        return asking.get(id, breaks).map(Some);
    }
    if asking.model().has(id, works.slot)? {
        return Ok(Some(force(asking.typed::<Force>(id, works)? * OVER_WORKING_LOAD)));
    }
    Ok(None)
}

/// The row of a part's material; plain steel where none is written.
fn steel_unless_said(asking: &EvalContext<'_>, id: EntityId, key: Key) -> Outcome<EntityId> {
    if asking.model().has(id, key.slot)?
        && let Value::Entity(row) = asking.get(id, key)?
    {
        return Ok(row);
    }
    Tables::built_in().find(&MATERIAL, "steel").ok_or_else(|| asking.refuse("no row is listed for steel"))
}

/// The load that breaks one threaded part in tension.
fn in_tension(asking: &EvalContext<'_>, id: EntityId, threaded: Key, made_of: Key) -> Outcome<Force> {
    let area = asking.get(id, threaded).and_then(|row| match row {
        Value::Entity(row) => asking.typed::<Area>(row, thread::stress_area),
        _ => Err(asking.refuse("the thread is no row of the table")),
    });
    let strength = steel_unless_said(asking, id, made_of)
        .and_then(|row| asking.typed::<Pressure>(row, material::tensile_strength));
    let (area, strength) = both(area, strength)?;
    let one = asking.worked(loads::bolt_load(area, strength))?;
    asking.step("one thread", "stress area × tensile strength", one);
    Ok(one)
}

fn eye(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    if let Some(said) = rated(asking, id, attachment::breaks_at, attachment::working_load)? {
        return Ok(said);
    }
    let legs = match asking.get(id, attachment::kind)? {
        Value::Word("bent eye bolt") => {
            return Err(
                asking.refuse("a bent eye opens before its thread breaks, at a load that is not known")
            );
        }
        // Only a test or its maker knows what a loop bears.
        Value::Word("cord loop" | "moulded loop") => {
            return Err(Gap::missing(id, attachment::breaks_at.slot));
        }
        Value::Word("u-bolt") => 2.0,
        _ => 1.0,
    };
    let one = in_tension(asking, id, attachment::thread, attachment::material)?;
    Ok(force(one * legs))
}

/// The shear strength of a material, at its low end; of a metal by its tensile strength where none is listed.
fn shear_strength(asking: &EvalContext<'_>, row: EntityId) -> Outcome<Pressure> {
    let metal = asking.get(row, material::metal)? == Value::Truth(true);
    if metal && !asking.model().has(row, material::shear_strength_low.slot).unwrap_or(false) {
        let tensile = asking.typed::<Pressure>(row, material::tensile_strength)?;
        let shear = asking.worked(loads::shear_of_metal(tensile))?;
        asking.step("shear strength of the metal", "tensile strength / √3", shear);
        return Ok(shear);
    }
    asking.typed(row, material::shear_strength_low)
}

/// The bearing strength of a material; a metal's is at least its tensile strength.
fn bearing_strength(asking: &EvalContext<'_>, row: EntityId) -> Outcome<Pressure> {
    let metal = asking.get(row, material::metal)? == Value::Truth(true);
    asking.typed(row, if metal { material::tensile_strength } else { material::bearing_strength })
}

/// Half the difference of two diameters of a part.
fn wall(asking: &EvalContext<'_>, part: EntityId, outer: Key, inner: Key) -> Outcome<Length> {
    let (outer, inner) = both(asking.typed::<Length>(part, outer), asking.typed::<Length>(part, inner))?;
    Ok((outer - inner) / 2.0)
}

/// The joint that a fastening holds.
fn held_joint(asking: &EvalContext<'_>, id: EntityId) -> Outcome<EntityId> {
    asking.model().holder(id, &JOINT).ok_or_else(|| asking.refuse("the screws stand in no joint"))
}

fn screwed(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    if asking.model().has(id, fastening::breaks_at.slot)? {
        return asking.get(id, fastening::breaks_at);
    }
    match asking.get(id, fastening::kind)? {
        Value::Word("machine screw") => {}
        Value::Word("rivet" | "wood screw") => return Err(Gap::missing(id, fastening::breaks_at.slot)),
        Value::Word("epoxy") => {
            let Value::Entity(bond) = asking.get(id, fastening::glued)? else {
                return Err(asking.refuse("the joint is glued by no bond"));
            };
            let joint = held_joint(asking, id)?;
            return super::bonds::glued_joint(asking, joint, bond).map(force);
        }
        _ => return Err(asking.refuse("nothing but tape or friction holds the joint")),
    }
    let joint = held_joint(asking, id)?;
    let count = asking.count(id, fastening::count);
    let across = asking.get(id, fastening::thread).and_then(|row| match row {
        Value::Entity(row) => both(
            asking.typed::<Length>(row, thread::major_diameter),
            asking.typed::<Area>(row, thread::root_area),
        ),
        _ => Err(asking.refuse("the thread is no row of the table")),
    });
    let edge = both(extent(asking, id), overlap(asking, joint))
        .map(|(here, shared)| Length::from_si((here.fore - shared.fore).min(shared.aft - here.fore)));
    let (count, ((diameter, root), edge)) = both(count, both(across, edge))?;

    let steel = steel_unless_said(asking, id, fastening::material)?;
    let shear = shear_strength(asking, steel)?;
    let mut least = asking.worked(pins::shear_load(count, root, shear))?;
    asking.step("screws sheared", "count × root area of the thread × shear strength", least);
    asking.step("to the nearer end of the overlap", "from the middle of the screws", edge);

    let meeting = meeting(asking, joint)?;
    let mut walls =
        vec![(meeting.socket, tube::outer_diameter, tube::inner_diameter, tube::material, "tube")];
    if meeting.plug_diameter.kind == &COUPLER {
        let inner = (coupler::outer_diameter, coupler::inner_diameter, coupler::material);
        walls.push((meeting.plug, inner.0, inner.1, inner.2, "coupler"));
    }
    for (part, outer, inner, made_of, name) in walls {
        let made_of = asking.get(part, made_of).and_then(|row| match row {
            Value::Entity(row) => Ok(row),
            _ => Err(asking.refuse("the material is no row of the table")),
        });
        let (wall, made_of) = both(wall(asking, part, outer, inner), made_of)?;
        let strengths = both(shear_strength(asking, made_of), bearing_strength(asking, made_of));
        // What no table knows, a test does.
        let (shear, crush) = strengths.map_err(|gap| gap.and(Gap::missing(id, fastening::breaks_at.slot)))?;
        let holes = WallHoles { count, diameter, wall, edge };
        let torn = asking.worked(loads::tear_out(&holes, shear))?;
        asking.step(
            format!("wall of the {name} torn out"),
            "count × 2 × (distance to the end − diameter / 2) × wall × shear strength",
            torn,
        );
        let crushed = asking.worked(loads::bearing(&holes, crush))?;
        asking.step(
            format!("wall of the {name} crushed"),
            "count × diameter × wall × bearing strength",
            crushed,
        );
        for one in [torn, crushed] {
            if one < least {
                least = one;
            }
        }
    }
    Ok(force(least))
}

/// The weakest part of the recovery train by its path, and what it bears.
fn weakest(asking: &EvalContext<'_>) -> Outcome<(String, Force)> {
    let model = asking.model();
        let mut train: Vec<(EntityId, &'static Computed)> = Vec::new();
    train.extend(model.all_of(&HARNESS).into_iter().map(|id| (id, &CORD)));
    train.extend(model.all_of(&LINK).into_iter().map(|id| (id, &JOINED)));
    train.extend(model.all_of(&ATTACHMENT).into_iter().map(|id| (id, &EYE)));
    for bay in model.all_of(&SECTION) {
        let pulled = asking.things(bay, section::lids)?.iter().any(|lid| {
            model.has(*lid, lid::attach.slot).unwrap_or(true)
                && model.entity(*lid).is_some_and(|e| e.kind == &LID)
        });
        if pulled && let Some(rods) = asking.part(bay, section::rods)? {
            train.push((rods, &RODS_BEAR));
        }
    }
    for one in model.all_of(&JOINT) {
        if asking.get(one, joint::parts_at)? == Value::Word("never")
            && let Some(held) = asking.part(one, joint::held_by)?
        {
            train.push((held, &SCREWED));
        }
    }
    for one in model.all_of(&BULKHEAD) {
        if model.has(one, bulkhead::attach.slot)? && model.has(one, bulkhead::glued.slot)? {
            train.push((one, &super::bonds::BULKHEAD_BEARS));
        }
    }
    for one in model.all_of(&COUPLER) {
        if model.has(one, coupler::glued.slot)? {
            train.push((one, &super::bonds::COUPLER_BEARS));
        }
    }
    let mut loads: Outcome<Vec<Force>> = Ok(Vec::new());
    for (id, bears) in &train {
        let one = asking.ask_typed::<Force>(*id, bears);
        if let Ok(one) = one {
            asking.step(model.design().store.path(*id), "what it bears", one);
        }
        loads = both(loads, one).map(|(mut all, one)| {
            all.push(one);
            all
        });
    }
    let (place, least) = asking.worked(loads::weakest(&loads?))?;
    let name = train.get(place).map(|(id, _)| model.design().store.path(*id)).unwrap_or_default();
    Ok((name, least))
}

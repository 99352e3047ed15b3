//! The recovery train: what each part of it bears before it breaks, and which is the weakest.

use std::sync::Arc;

use super::joints::{Plug, computed, meeting, overlap};
use super::stations::extent;
use super::{AnyComputed, Computable, Computed, EvalContext, Outcome, both};
use crate::design::{
    Attachment, Bulkhead, Coupler, Fastening, Harness, Joint, Link, Rocket, Rods, Section, attachment,
    bulkhead, coupler, fastening, harness, joint, lid, link, rods, section, tube,
};
use crate::engineering::loads::{self, WallHoles};
use crate::engineering::pins;
use crate::quantity::{Force, Length, Pressure, Quantity, Styled};
use crate::tables::{Material, Thread, material, thread};
use crate::vocabulary::{EntityId, Id, Key, Typed};

/// How much of a cord's strength a knot leaves. Source: common practice, from memory.
const LEFT_BY_A_KNOT: f64 = 0.5;
/// How many times its working load a part breaks at. Makers give working loads of a third to a fifth of the breaking load; a third is the
/// safe side. Source: common practice, from memory.
const OVER_WORKING_LOAD: f64 = 3.0;
/// How many times the pressure a hole in paper or wood bears that is soaked with thin glue. Nylon pins that are cut in such holes without
/// tearing them show as much. Source: common practice, from memory.
const HARDENED: f64 = 2.5;
/// How much of a rivet's hole is solid rivet: plastic ones are split for their pin, blind ones hollow. Source: from memory.
const SOLID_OF_RIVET: f64 = 0.5;

computed! {
    /// The load at which the cord breaks, its ends counted.
    CORD: "bears" of Harness gives Force,
        "strength, half of it where its ends are knots", "common practice: a knot leaves about half", cord;
    /// The load at which it breaks.
    JOINED: "bears" of Link gives Styled<Force>,
        "`breaks_at`, else 3 × `working_load`", "common practice: makers allow a third to a fifth of the breaking load", |ctx, id| {
            rated(ctx, id, link::breaks_at, link::working_load)?.ok_or_else(|| ctx.missing(id, link::breaks_at))
        };
    /// The load at which it breaks or is pulled straight.
    EYE: "bears" of Attachment gives Styled<Force>,
        "`breaks_at`, else 3 × `working_load`, else legs × stress area of the thread × tensile strength",
        "definition of tensile strength; ISO 898-1 and SAE J429 for the stress area", eye;
    /// The load at which the rods break, all sharing it.
    RODS_BEAR: "bears" of Rods gives Force,
        "count × stress area of the thread × tensile strength", "definition of tensile strength; ISO 898-1 and SAE J429", |ctx, id| {
            let count = ctx.get(id, rods::count);
            let one = in_tension(ctx, id, rods::thread, rods::material);
            let (count, one) = both(count, one)?;
            Ok(one * f64::from(count))
        };
    /// The pull along the rocket at which the joint lets go: screws cut through, the tube's wall torn or crushed, glue sheared.
    SCREWED: "bears" of Fastening gives Styled<Force>,
        "least of screws or rivets sheared, wall torn out, wall crushed; of glue its area × shear strength; or `breaks_at`, where it was tested",
        "average shear and bearing stress, strength of materials", screwed;
    /// What of the recovery train breaks first: cords, links, eyes, bulkheads, rods and the joints that never part.
    WEAKEST: "weakest_link" of Rocket gives Arc<str>,
        "the part of the recovery train that bears least", "statics of links in series", |ctx, _| {
            Ok(weakest(ctx)?.0.into())
        };
    /// What the weakest part of the recovery train bears.
    TRAIN: "train_bears" of Rocket gives Force,
        "least of what the parts of the recovery train bear", "statics of links in series", |ctx, _| {
            Ok(weakest(ctx)?.1)
        };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] =
    &[&CORD, &JOINED, &EYE, &RODS_BEAR, &SCREWED, &WEAKEST, &TRAIN];

fn cord(ctx: &EvalContext<'_>, id: Id<Harness>) -> Outcome<Force> {
    let (strength, ends) = both(ctx.get(id, harness::strength), ctx.get(id, harness::ends))?;
    let left = if ends == "knots" { LEFT_BY_A_KNOT } else { 1.0 };
    ctx.step("left by its ends", "half by a knot, all by a sewn loop", Quantity::number(left));
    Ok(strength * left)
}

/// What a maker or a test says of a part, as the load at which it breaks; none where nothing is said.
fn rated<E>(
    ctx: &EvalContext<'_>,
    id: Id<E>,
    breaks: Key<E, Force>,
    works: Key<E, Force>,
) -> Outcome<Option<Styled<Force>>> {
    if ctx.has(id, breaks)? {
        return ctx.quantity(id, breaks).map(Some);
    }
    if ctx.has(id, works)? {
        return Ok(Some((ctx.get(id, works)? * OVER_WORKING_LOAD).into()));
    }
    Ok(None)
}

/// The row of a part's material; plain steel where none is written.
fn steel_unless_said<E>(
    ctx: &EvalContext<'_>,
    id: Id<E>,
    key: Key<E, Id<Material>>,
) -> Outcome<Id<Material>> {
    if ctx.has(id, key)? {
        return ctx.get(id, key);
    }
    ctx.model().tables().row("steel").ok_or_else(|| ctx.refuse("no row is listed for steel"))
}

/// The load that breaks one threaded part in tension.
fn in_tension<E>(
    ctx: &EvalContext<'_>,
    id: Id<E>,
    threaded: Key<E, Id<Thread>>,
    made_of: Key<E, Id<Material>>,
) -> Outcome<Force> {
    let area = ctx.get(id, threaded).and_then(|row| ctx.get(row, thread::stress_area));
    let strength =
        steel_unless_said(ctx, id, made_of).and_then(|row| ctx.get(row, material::tensile_strength));
    let (area, strength) = both(area, strength)?;
    let one = ctx.or_refuse(loads::bolt_load(area, strength))?;
    ctx.step("one thread", "stress area × tensile strength", one);
    Ok(one)
}

fn eye(ctx: &EvalContext<'_>, id: Id<Attachment>) -> Outcome<Styled<Force>> {
    if let Some(said) = rated(ctx, id, attachment::breaks_at, attachment::working_load)? {
        return Ok(said);
    }
    let legs = match ctx.get(id, attachment::kind)? {
        "bent eye bolt" => {
            return Err(ctx.refuse("a bent eye opens before its thread breaks, at a load that is not known"));
        }
        // Only a test or its maker knows what a loop bears.
        "cord loop" | "moulded loop" => {
            return Err(ctx.missing(id, attachment::breaks_at));
        }
        "u-bolt" => 2.0,
        _ => 1.0,
    };
    let one = in_tension(ctx, id, attachment::thread, attachment::material)?;
    Ok((one * legs).into())
}

/// The shear strength of a material, at its low end; of a metal by its tensile strength where none is listed.
fn shear_strength(ctx: &EvalContext<'_>, row: Id<Material>) -> Outcome<Pressure> {
    let metal = ctx.get(row, material::metal)?;
    if metal && !ctx.has(row, material::shear_strength_low).unwrap_or(false) {
        let tensile = ctx.get(row, material::tensile_strength)?;
        let shear = ctx.or_refuse(loads::shear_of_metal(tensile))?;
        ctx.step("shear strength of the metal", "tensile strength / √3", shear);
        return Ok(shear);
    }
    ctx.get(row, material::shear_strength_low)
}

/// The bearing strength of a material; a metal's is at least its tensile strength.
fn bearing_strength(ctx: &EvalContext<'_>, row: Id<Material>) -> Outcome<Pressure> {
    let metal = ctx.get(row, material::metal)?;
    ctx.get(row, if metal { material::tensile_strength } else { material::bearing_strength })
}

/// Half the difference of two diameters of a part.
fn wall<E>(
    ctx: &EvalContext<'_>,
    part: Id<E>,
    outer: Key<E, Length>,
    inner: Key<E, Length>,
) -> Outcome<Length> {
    let (outer, inner) = both(ctx.get(part, outer), ctx.get(part, inner))?;
    Ok((outer - inner) / 2.0)
}

/// The thickness of a wall, and what it is made of.
fn drilled_wall<E>(
    ctx: &EvalContext<'_>,
    part: Id<E>,
    outer: Key<E, Length>,
    inner: Key<E, Length>,
    made_of: Key<E, Id<Material>>,
) -> Outcome<(Length, Id<Material>)> {
    let made_of = ctx.get(part, made_of);
    both(wall(ctx, part, outer, inner), made_of)
}

/// The joint that a fastening holds.
fn held_joint(ctx: &EvalContext<'_>, id: Id<Fastening>) -> Outcome<Id<Joint>> {
    ctx.holder::<Joint>(id).ok_or_else(|| ctx.refuse("the screws stand in no joint"))
}

fn screwed(ctx: &EvalContext<'_>, id: Id<Fastening>) -> Outcome<Styled<Force>> {
    if ctx.has(id, fastening::breaks_at)? {
        return ctx.quantity(id, fastening::breaks_at);
    }
    let across = match ctx.get(id, fastening::kind)? {
        "machine screw" => ctx
            .get(id, fastening::thread)
            .and_then(|row| both(ctx.get(row, thread::major_diameter), ctx.get(row, thread::root_area))),
        "rivet" => {
            // A rivet fills its hole; it is split or hollow, so that not all of that is its own.
            let known = both(ctx.get(id, fastening::drill), ctx.get(id, fastening::material)).map(|(d, _)| d);
            let across = known.map_err(|gap| gap.and(ctx.missing(id, fastening::breaks_at)))?;
            let area = across * across * std::f64::consts::FRAC_PI_4 * SOLID_OF_RIVET;
            ctx.step("solid area of one rivet", "half of π/4 × drill²", area);
            Ok((across, area))
        }
        "wood screw" => return Err(ctx.missing(id, fastening::breaks_at)),
        "epoxy" => {
            let bond = ctx.get(id, fastening::glued)?;
            let joint = held_joint(ctx, id)?;
            return super::bonds::glued_joint(ctx, joint, bond).map(Into::into);
        }
        _ => return Err(ctx.refuse("nothing but tape or friction holds the joint")),
    };
    let joint = held_joint(ctx, id)?;
    let count = ctx.get(id, fastening::count);
    let edge = both(extent(ctx, id), overlap(ctx, joint))
        .map(|(here, shared)| Length::from_si((here.fore - shared.fore).min(shared.aft - here.fore)));
    let (count, ((diameter, root), edge)) = both(count, both(across, edge))?;

    let steel = steel_unless_said(ctx, id, fastening::material)?;
    let shear = shear_strength(ctx, steel)?;
    let mut least = ctx.or_refuse(pins::shear_load(count, root, shear))?;
    ctx.step("screws sheared", "count × root area of the thread × shear strength", least);
    ctx.step("to the nearer end of the overlap", "from the middle of the screws", edge);

    let meeting = meeting(ctx, joint)?;
    let of_tube = || {
        Some(drilled_wall(ctx, meeting.socket, tube::outer_diameter, tube::inner_diameter, tube::material))
    };
    let of_coupler = || match meeting.plug {
        Plug::Coupler(id) => {
            let (outer, inner) = (coupler::outer_diameter, coupler::inner_diameter);
            Some(drilled_wall(ctx, id, outer, inner, coupler::material))
        }
        Plug::Shoulder(_) => None,
    };
    let walls: [(&dyn Fn() -> Option<Outcome<_>>, &str); 2] = [(&of_tube, "tube"), (&of_coupler, "coupler")];
    for (wall_of, name) in walls {
        let Some(wall_of) = wall_of() else { continue };
        let (wall, made_of) = wall_of?;
        let strengths = both(shear_strength(ctx, made_of), bearing_strength(ctx, made_of));
        // What no table knows, a test does.
        let (shear, mut crush) = strengths.map_err(|gap| gap.and(ctx.missing(id, fastening::breaks_at)))?;
        if ctx.get(made_of, material::porous)?
            && ctx.has(id, fastening::hardened)?
            && ctx.get(id, fastening::hardened)?
        {
            crush = crush * HARDENED;
            ctx.step("bearing strength of the hardened wall", "2.5 × that of the plain one", crush);
        }
        let holes = WallHoles { count, diameter, wall, edge };
        let torn = ctx.or_refuse(loads::tear_out(&holes, shear))?;
        ctx.step(
            format!("wall of the {name} torn out"),
            "count × 2 × (distance to the end − diameter / 2) × wall × shear strength",
            torn,
        );
        let crushed = ctx.or_refuse(loads::bearing(&holes, crush))?;
        ctx.step(
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
    Ok(least.into())
}

/// A part of the recovery train, and how to ask what it bears.
type TrainPart<'c> = (EntityId, Box<dyn Fn() -> Outcome<Force> + 'c>);

fn bears<'c, E: Typed, A: Computable<Plain = Force>>(
    ctx: &'c EvalContext<'_>,
    id: Id<E>,
    load: &'static Computed<E, A>,
) -> TrainPart<'c> {
    (id.any(), Box::new(move || ctx.query(id, load)))
}

/// The weakest part of the recovery train by its path, and what it bears.
fn weakest(ctx: &EvalContext<'_>) -> Outcome<(String, Force)> {
    let model = ctx.model();
    let mut train: Vec<TrainPart<'_>> = Vec::new();
    train.extend(ctx.every().into_iter().map(|id| bears(ctx, id, &CORD)));
    train.extend(ctx.every().into_iter().map(|id| bears(ctx, id, &JOINED)));
    train.extend(ctx.every().into_iter().map(|id| bears(ctx, id, &EYE)));
    for bay in ctx.every::<Section>() {
        let pulled =
            ctx.entities(bay, section::lids)?.iter().any(|lid| ctx.has(lid, lid::attach).unwrap_or(true));
        if pulled && let Some(rods) = ctx.part(bay, section::rods)? {
            train.push(bears(ctx, rods, &RODS_BEAR));
        }
    }
    for one in ctx.every::<Joint>() {
        if ctx.get(one, joint::parts_at)? == "never"
            && let Some(held) = ctx.part(one, joint::held_by)?
        {
            train.push(bears(ctx, held, &SCREWED));
        }
    }
    for one in ctx.every::<Bulkhead>() {
        if ctx.has(one, bulkhead::attach)? && ctx.has(one, bulkhead::glued)? {
            train.push(bears(ctx, one, &super::bonds::BULKHEAD_BEARS));
        }
    }
    for one in ctx.every::<Coupler>() {
        if ctx.has(one, coupler::glued)? {
            train.push(bears(ctx, one, &super::bonds::COUPLER_BEARS));
        }
    }
    let mut loads: Outcome<Vec<Force>> = Ok(Vec::new());
    for (id, bears) in &train {
        let one = bears();
        if let Ok(one) = one {
            ctx.step(model.design().store.path(*id), "what it bears", one);
        }
        loads = both(loads, one).map(|(mut all, one)| {
            all.push(one);
            all
        });
    }
    let (place, least) = ctx.or_refuse(loads::weakest(&loads?))?;
    let name = train.get(place).map(|(id, _)| model.design().store.path(*id)).unwrap_or_default();
    Ok((name, least))
}

//! The recovery train: what each part of it bears before it breaks, and which is the weakest.

use std::sync::Arc;

use super::computed::computed;
use super::extents::extent;
use super::mating::{Plug, meeting};
use super::{AnyComputed, Computable, Computed, EvalContext, Formula, Outcome, both};
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
        Formula::expression("{strength} × {left by its ends}"), "common practice: a knot leaves about half", cord;
    /// The load at which it breaks.
    JOINED: "bears" of Link gives Styled<Force>,
        Formula::expression("3 × {working_load}"), "common practice: makers allow a third to a fifth of the breaking load", |ctx, id| {
            rated(ctx, id, link::breaks_at, link::working_load)?.ok_or_else(|| ctx.missing(id, link::breaks_at))
        };
    /// The load at which it breaks or is pulled straight.
    EYE: "bears" of Attachment gives Styled<Force>,
        Formula::expression("3 × {working_load}"),
        "definition of tensile strength; ISO 898-1 and SAE J429 for the stress area", eye;
    /// The load at which the rods break, all sharing it.
    RODS_BEAR: "bears" of Rods gives Force,
        Formula::expression("{count} × {one thread}"), "definition of tensile strength; ISO 898-1 and SAE J429", |ctx, id| {
            let count = ctx.get(id, rods::count);
            let one = in_tension(ctx, id, rods::thread, rods::material);
            let (count, one) = both(count, one)?;
            Ok(one * f64::from(count))
        };
    /// The pull along the rocket at which the joint lets go: screws cut through, the tube's wall torn or crushed, glue sheared.
    SCREWED: "bears" of Fastening gives Styled<Force>,
        Formula::expression("least of screws or rivets sheared, wall torn out, wall crushed"),
        "average shear and bearing stress, strength of materials", screwed;
    /// What of the recovery train breaks first: cords, links, eyes, bulkheads, rods and the joints that never part.
    WEAKEST: "weakest_link" of Rocket gives Arc<str>,
        Formula::condition("the part of the recovery train that bears least"), "statics of links in series", |ctx, _| {
            Ok(weakest(ctx, false)?.0.into())
        };
    /// The force that the weakest part of the recovery train bears.
    TRAIN: "train_bears" of Rocket gives Force,
        Formula::expression("least of what the parts of the recovery train bear"), "statics of links in series", |ctx, _| {
            Ok(weakest(ctx, true)?.1)
        };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] =
    &[&CORD, &JOINED, &EYE, &RODS_BEAR, &SCREWED, &WEAKEST, &TRAIN];

fn cord(ctx: &EvalContext<'_>, id: Id<Harness>) -> Outcome<Force> {
    let (strength, ends) = both(ctx.get(id, harness::strength), ctx.get(id, harness::ends))?;
    let left = if ends == "knots" { LEFT_BY_A_KNOT } else { 1.0 };
    let what = if ends == "knots" { "half, by a knot" } else { "all, by a sewn loop" };
    ctx.step("left by its ends", || Formula::fixed(what), Quantity::number(left));
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
        ctx.formula(|| Formula::choice("{breaks_at}, as stated"));
        return ctx.quantity(id, breaks).map(Some);
    }
    if ctx.has(id, works)? {
        ctx.formula(|| Formula::expression("3 × {working_load}"));
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
    ctx.step("one thread", || Formula::expression("{stress_area} × {tensile_strength}"), one);
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
    ctx.formula(|| Formula::expression(if legs == 2.0 { "2 × {one thread}" } else { "{one thread}" }));
    Ok((one * legs).into())
}

/// The step that shows the shear strength of a material.
fn shear_step(ctx: &EvalContext<'_>, row: Id<Material>) -> String {
    format!("shear strength of {}", ctx.name(row))
}

fn record_shear(
    ctx: &EvalContext<'_>,
    row: Id<Material>,
    shear: Pressure,
    formula: impl FnOnce() -> Formula,
) {
    if ctx.is_recording() {
        ctx.step(shear_step(ctx, row), formula, shear);
    }
}

/// The shear strength of a material, at its low end; of a metal by its tensile strength where none is listed.
fn shear_strength(ctx: &EvalContext<'_>, row: Id<Material>) -> Outcome<Pressure> {
    let metal = ctx.get(row, material::metal)?;
    if metal && !ctx.has(row, material::shear_strength_low).unwrap_or(false) {
        let tensile = ctx.get(row, material::tensile_strength)?;
        let shear = ctx.or_refuse(loads::shear_of_metal(tensile))?;
        record_shear(ctx, row, shear, || {
            Formula::Expression(format!("{} / √3", ctx.field_line(row, material::tensile_strength)).into())
        });
        return Ok(shear);
    }
    let shear = ctx.get(row, material::shear_strength_low)?;
    record_shear(ctx, row, shear, || {
        Formula::Choice(format!("{}, the low end", ctx.field_line(row, material::shear_strength_low)).into())
    });
    Ok(shear)
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

/// The area that is sheared and the diameter of a screw, or of the rivet in its hole, as formulas name them.
fn screw_names(ctx: &EvalContext<'_>, id: Id<Fastening>) -> (&'static str, &'static str) {
    if ctx.get(id, fastening::kind) == Ok("rivet") {
        ("{solid area of one rivet}", "{drill}")
    } else {
        ("{root_area}", "{major_diameter}")
    }
}

fn screwed(ctx: &EvalContext<'_>, id: Id<Fastening>) -> Outcome<Styled<Force>> {
    if ctx.has(id, fastening::breaks_at)? {
        ctx.formula(|| Formula::choice("{breaks_at}, as it was tested"));
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
            ctx.step("solid area of one rivet", || Formula::expression("0.5 × π / 4 × {drill}²"), area);
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
    let edge = both(extent(ctx, id), extent(ctx, joint))
        .map(|(here, shared)| Length::from_si((here.fore - shared.fore).min(shared.aft - here.fore)));
    let (count, ((diameter, root), edge)) = both(count, both(across, edge))?;

    let steel = steel_unless_said(ctx, id, fastening::material)?;
    let shear = shear_strength(ctx, steel)?;
    let mut least = ctx.or_refuse(pins::shear_load(count, root, shear))?;
    let mut terms = Vec::new();
    if ctx.is_recording() {
        let stress = shear_step(ctx, steel);
        let (area, _) = screw_names(ctx, id);
        let sheared = format!("{{count}} × {area} × {{{stress}}}");
        ctx.step("screws sheared", || Formula::Expression(sheared.into()), least);
        let here = ctx.line(id, "fore_station");
        let [fore, aft] = ["fore_station", "aft_station"].map(|end| ctx.line(joint, end));
        let nearer = format!("least of ({here} − {fore}, {aft} − {here})");
        ctx.step("to the nearer end of the overlap", || Formula::Expression(nearer.into()), edge);
        terms.push("{screws sheared}".to_owned());
    }

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
        let mut bearing_line = String::new();
        if ctx.get(made_of, material::porous)?
            && ctx.has(id, fastening::hardened)?
            && ctx.get(id, fastening::hardened)?
        {
            crush = crush * HARDENED;
            bearing_line = format!("{HARDENED} × ");
        }
        let holes = WallHoles { count, diameter, wall, edge };
        let torn = ctx.or_refuse(loads::tear_out(&holes, shear))?;
        let crushed = ctx.or_refuse(loads::bearing(&holes, crush))?;
        if ctx.is_recording() {
            let part = if name == "tube" { meeting.socket.any() } else { meeting.plug.id() };
            let wall_step = format!("wall of the {name}");
            let (outer, inner) = (ctx.line(part, "outer_diameter"), ctx.line(part, "inner_diameter"));
            ctx.step(
                wall_step.clone(),
                || Formula::Expression(format!("({outer} − {inner}) / 2").into()),
                wall,
            );
            let stress = shear_step(ctx, made_of);
            let (_, across) = screw_names(ctx, id);
            let out = format!(
                "{{count}} × 2 × ({{to the nearer end of the overlap}} − {across} / 2) × {{{wall_step}}} × {{{stress}}}"
            );
            ctx.step(format!("{wall_step} torn out"), || Formula::Expression(out.into()), torn);
            let metal = ctx.get(made_of, material::metal)?;
            let bearing = if metal { material::tensile_strength } else { material::bearing_strength };
            let crush = format!("{bearing_line}{}", ctx.field_line(made_of, bearing));
            let flat = format!("{{count}} × {across} × {{{wall_step}}} × {crush}");
            ctx.step(format!("{wall_step} crushed"), || Formula::Expression(flat.into()), crushed);
            terms.extend([format!("{{{wall_step} torn out}}"), format!("{{{wall_step} crushed}}")]);
        }
        for one in [torn, crushed] {
            if one < least {
                least = one;
            }
        }
    }
    ctx.formula(|| Formula::Expression(format!("least of ({})", terms.join(", ")).into()));
    Ok(least.into())
}

/// A part of the recovery train, and how to ask what it bears.
struct TrainPart<'c> {
    id: EntityId,
    quantity: &'static str,
    bears: Box<dyn Fn() -> Outcome<Force> + 'c>,
}

fn bears<'c, E: Typed, A: Computable<Plain = Force>>(
    ctx: &'c EvalContext<'_>,
    id: Id<E>,
    load: &'static Computed<E, A>,
) -> TrainPart<'c> {
    TrainPart { id: id.any(), quantity: load.name, bears: Box::new(move || ctx.query(id, load)) }
}

/// The weakest part of the recovery train by its path, and what it bears.
fn weakest(ctx: &EvalContext<'_>, recorded: bool) -> Outcome<(String, Force)> {
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
    if recorded {
        ctx.formula(|| {
            let lines: Vec<String> = train.iter().map(|part| ctx.line(part.id, part.quantity)).collect();
            Formula::Expression(format!("least of ({})", lines.join(", ")).into())
        });
    }
    for part in &train {
        let one = (part.bears)();
        loads = both(loads, one).map(|(mut all, one)| {
            all.push(one);
            all
        });
    }
    let (place, least) = ctx.or_refuse(loads::weakest(&loads?))?;
    let name = train.get(place).map(|part| model.design().store.path(part.id)).unwrap_or_default();
    Ok((name, least))
}

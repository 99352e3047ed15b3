//! Bending of the body in a gust: the moment at each joint, along each tube, and the stress of the wall.

use super::airflow::REFERENCE_AREA;
use super::artifact::Artifact;
use super::ascent::{PEAK_DYNAMIC_PRESSURE, TOP_SPEED};
use super::balance::motor_ends;
use super::computed::computed;
use super::extents::extent;
use super::joints::INSERTION;
use super::masses::additions_of;
use super::mating::{Plug, meeting};
use super::sections::sections;
use super::side_forces::contributions;
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{Joint, Parachute, Rocket, Section, coupler, motor, parachute, rocket, section, tube};
use crate::engineering::bending::{self, GUST, SideForce, Stretch, Wall};
use crate::quantity::{Energy, Force, Length, Pressure, Speed, Styled};
use crate::tables::{Material, material};
use crate::vocabulary::Id;

/// How a moment comes about.
const BY_BEAM: Formula = Formula::method(
    "free beam: the moment of the side forces of nose, transitions and fins ahead, less that of the inertia ahead; masses spread over their sections, the motor burnt out; at the greatest dynamic pressure in a gust of 20 mph across the flight",
);

/// How the stress of a wall comes about.
const STRESS: Formula = Formula::expression("{bending_moment} / (π × {radius}² × {wall})");
/// What the stress rests on.
const BY_THIN_RING: &str = "section modulus of a thin ring";
/// How the stress at which a wall buckles comes about.
const BUCKLES: Formula = Formula::expression(
    "0.6 × (1 − 0.731 × (1 − exp(−√({radius} / {wall}) / 16))) × {elastic_modulus} × {wall} / {radius}",
);
/// What that stress rests on.
const BY_KNOCK_DOWN: &str = "NASA SP-8007, 1968";

computed! {
    /// The bending moment at the joint in a gust of 20 mph across the flight, where the air pushes hardest, the motor burnt out.
    JOINT_BENDING: "bending_moment" of Joint gives Energy, BY_BEAM,
        "Newton's and Euler's laws of a stiff body; Barrowman 1966 for the side forces", |ctx, id| {
            let ends = extent(ctx, id)?;
            moment_at(ctx, f64::midpoint(ends.fore, ends.aft))
        };
    /// Whether a coupler, and not a shoulder, joins the two sections.
    BY_COUPLER: "by_coupler" of Joint gives bool, Formula::condition("what slides in is a coupler"), "",
        |ctx, id| Ok(matches!(meeting(ctx, id)?.plug, Plug::Coupler(_)));
    /// The stress of the coupler's wall by the joint's `bending_moment`, as if it bore the whole of it, the motor burnt out.
    COUPLER_STRESS: "coupler_stress" of Joint gives Pressure,
        STRESS, BY_THIN_RING, |ctx, id| {
            let moment = ctx.query(id, &JOINT_BENDING)?;
            let wall = coupler_wall(ctx, id)?;
            ctx.or_refuse(wall.stress(moment))
        };
    /// The bending stress at which the coupler's wall buckles.
    COUPLER_BUCKLES: "coupler_buckles_at" of Joint gives Pressure,
        BUCKLES, BY_KNOCK_DOWN, |ctx, id| {
            let wall = coupler_wall(ctx, id)?;
            let Plug::Coupler(plug) = meeting(ctx, id)?.plug else { return Err(ctx.refuse("no coupler joins the sections")) };
            let material = ctx.get(plug, coupler::material)?;
            buckling_stress(ctx, wall, material)
        };
    /// How far the two sections may stand out of line: the play over the length that slides in.
    SLACK: "slack" of Joint gives f64, Formula::expression("({socket_diameter} − {plug_diameter}) / {insertion}"), "geometry", |ctx, id| {
        let across = both(ctx.query(id, &super::joints::SOCKET_DIAMETER), ctx.query(id, &super::joints::PLUG_DIAMETER));
        let ((socket, plug), long) = both(across, ctx.query(id, &INSERTION))?;
        if long.si() <= 0.0 {
            return Err(ctx.refuse("nothing slides in"));
        }
        Ok((socket.si() - plug.si()) / long.si())
    };
    /// The greatest bending moment along its tube in a gust of 20 mph across the flight, where the air pushes hardest, the motor burnt out.
    TUBE_BENDING: "bending_moment" of Section gives Energy, BY_BEAM,
        "Newton's and Euler's laws of a stiff body; Barrowman 1966 for the side forces", greatest;
    /// The stress of its tube's wall by its `bending_moment`, the motor burnt out.
    TUBE_STRESS: "tube_stress" of Section gives Pressure,
        STRESS, BY_THIN_RING, |ctx, id| {
            let moment = ctx.query(id, &TUBE_BENDING)?;
            let wall = tube_wall(ctx, id)?;
            ctx.or_refuse(wall.stress(moment))
        };
    /// The bending stress at which its tube's wall buckles.
    TUBE_BUCKLES: "tube_buckles_at" of Section gives Pressure,
        BUCKLES, BY_KNOCK_DOWN, |ctx, id| {
            let wall = tube_wall(ctx, id)?;
            let body = ctx.part(id, section::tube)?.ok_or_else(|| ctx.refuse("the section has no tube"))?;
            let material = ctx.get(body, tube::material)?;
            buckling_stress(ctx, wall, material)
        };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[
    &JOINT_BENDING,
    &BY_COUPLER,
    &COUPLER_STRESS,
    &COUPLER_BUCKLES,
    &SLACK,
    &TUBE_BENDING,
    &TUBE_STRESS,
    &TUBE_BUCKLES,
];

/// What the body is as a beam, and what pushes at it.
struct Beam {
    stretches: Vec<Stretch>,
    forces: Vec<SideForce>,
}

static BEAM: Artifact<Rocket, Beam> = Artifact { compute: beam };

fn beam(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Beam> {
    let mut stretches = Vec::new();
    for one in sections(ctx)?.iter() {
        let ends = extent(ctx, one)?;
        let mut mass = ctx.get(one, section::mass)?;
        for (more, _) in additions_of(ctx, one)? {
            mass = mass + more;
        }
        stretches.push(Stretch { fore: Length::from_si(ends.fore), aft: Length::from_si(ends.aft), mass });
    }
    for canopy in ctx.every::<Parachute>() {
        let ends = extent(ctx, ctx.get(canopy, parachute::packed_in)?)?;
        let mass = ctx.get(canopy, parachute::mass)?;
        stretches.push(Stretch { fore: Length::from_si(ends.fore), aft: Length::from_si(ends.aft), mass });
    }
    let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
    let (fore, aft) = motor_ends(ctx, root)?;
    let burnt = ctx.get(engine, motor::loaded_mass)? - ctx.get(engine, motor::propellant_mass)?;
    stretches.push(Stretch { fore, aft, mass: burnt });
    let pushed = both(ctx.query(root, &PEAK_DYNAMIC_PRESSURE), ctx.query(root, &TOP_SPEED));
    let ((pressure, speed), area) = both(pushed, ctx.query(root, &REFERENCE_AREA))?;
    if speed.si() <= 0.0 {
        return Err(ctx.refuse("the rocket does not fly"));
    }
    let per_slope = pressure.si() * GUST / speed.si() * area.si();
    let parts = contributions(ctx, root, 0.0)?;
    let forces = parts
        .all
        .iter()
        .map(|part| SideForce { at: part.centre, force: Force::from_si(part.slope * per_slope) })
        .collect();
    Ok(Beam { stretches, forces })
}

fn moment_at(ctx: &EvalContext<'_>, station: f64) -> Outcome<Energy> {
    let beam = ctx.working_of(ctx.rocket(), &BEAM)?;
    record_gust(ctx);
    let moment = ctx.or_refuse(bending::moment(&beam.stretches, &beam.forces, Length::from_si(station)))?;
    Ok(Energy::from_si(moment.si().abs()))
}

fn record_gust(ctx: &EvalContext<'_>) {
    ctx.step(
        "gust",
        || Formula::fixed("20 mph, the strongest wind in which rockets are flown"),
        Speed::from_si(GUST),
    );
}

fn greatest(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<Energy> {
    let body = ctx.part(id, section::tube)?.ok_or_else(|| ctx.refuse("the section has no tube"))?;
    let ends = extent(ctx, body)?;
    let beam = ctx.working_of(ctx.rocket(), &BEAM)?;
    record_gust(ctx);
    let mut most = 0.0_f64;
    // The moment is a smooth curve between the places where forces act.
    for step in 0..=40_u32 {
        let x = ends.fore + (ends.aft - ends.fore) * f64::from(step) / 40.0;
        let here = ctx.or_refuse(bending::moment(&beam.stretches, &beam.forces, Length::from_si(x)))?;
        most = most.max(here.si().abs());
    }
    Ok(Energy::from_si(most))
}

fn wall_between(
    ctx: &EvalContext<'_>,
    outer: Outcome<Styled<Length>>,
    inner: Outcome<Styled<Length>>,
) -> Outcome<Wall> {
    let (outer, inner) = both(outer, inner)?;
    let wall = ctx.or_refuse(Wall::between(outer.value(), inner.value()))?;
    ctx.step("radius", || Formula::expression("({outer_diameter} + {inner_diameter}) / 4"), wall.radius);
    ctx.step("wall", || Formula::expression("({outer_diameter} − {inner_diameter}) / 2"), wall.thickness);
    Ok(wall)
}

fn buckling_stress(ctx: &EvalContext<'_>, wall: Wall, material: Id<Material>) -> Outcome<Pressure> {
    let stiffness = ctx.get(material, material::elastic_modulus)?;
    ctx.step("elastic_modulus", || Formula::fixed("of its material"), stiffness);
    ctx.or_refuse(wall.buckles_at(stiffness))
}

fn coupler_wall(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<Wall> {
    let Plug::Coupler(plug) = meeting(ctx, id)?.plug else {
        return Err(ctx.refuse("no coupler joins the sections"));
    };
    wall_between(
        ctx,
        ctx.quantity(plug, coupler::outer_diameter),
        ctx.quantity(plug, coupler::inner_diameter),
    )
}

fn tube_wall(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<Wall> {
    let body = ctx.part(id, section::tube)?.ok_or_else(|| ctx.refuse("the section has no tube"))?;
    wall_between(ctx, ctx.quantity(body, tube::outer_diameter), ctx.quantity(body, tube::inner_diameter))
}

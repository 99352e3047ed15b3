//! Joints: which part slides into which, how far, and what pulls at them.

use super::computed::computed;
use super::cords::{COMPARTMENT, weighed_cords};
use super::extents::extent;
use super::masses::additions_of;
use super::mating::{ends, meeting};
use super::sections::sections;
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{
    Charge, Harness, Joint, Parachute, Section, Tube, charge, flight, harness, joint, parachute, rocket,
    section, tube,
};
use crate::engineering::{pins, venting};
use crate::quantity::{Force, Length, Mass, Pressure, Styled};
use crate::vocabulary::Id;

computed! {
    /// The section before the joint.
    FORE: "fore" of Joint gives Id<Section>, Formula::condition("the first of `between`"), "", |ctx, id| end(ctx, id, true);
    /// The section behind the joint.
    AFT: "aft" of Joint gives Id<Section>, Formula::condition("the second of `between`"), "", |ctx, id| end(ctx, id, false);
    /// Whether the fore one of its two sections is written first.
    FORE_FIRST: "fore_first" of Joint gives bool, Formula::condition("`between` names the fore section first"), "",
        |ctx, id| in_order(ctx, ctx.get(id, joint::between)?.both());
    /// Whether the fore one of the sections that it ties together is written first.
    CORD_FORE_FIRST: "fore_first" of Harness gives bool, Formula::condition("`between` names the fore section first"), "",
        |ctx, id| in_order(ctx, ctx.get(id, harness::between)?.both());
    /// How far the inner part slides into the outer.
    INSERTION: "insertion" of Joint gives Length,
        Formula::expression("{aft_station} − {fore_station}"), "", insertion;
    /// The tube that takes what slides in.
    SOCKET: "socket" of Joint gives Id<Tube>, Formula::condition("the tube of the section that is reached into"), "",
        |ctx, id| Ok(meeting(ctx, id)?.socket);
    /// Outer diameter of the part that slides in.
    PLUG_DIAMETER: "plug_diameter" of Joint gives Styled<Length>,
        Formula::choice("{outer_diameter}, of the coupler or shoulder that slides in"), "", |ctx, id| {
            meeting(ctx, id)?.plug.outer_diameter(ctx)
        };
    /// Inner diameter of the tube it slides into.
    SOCKET_DIAMETER: "socket_diameter" of Joint gives Styled<Length>,
        Formula::choice("{inner_diameter}, of the tube that takes it"), "", |ctx, id| ctx.quantity(meeting(ctx, id)?.socket, tube::inner_diameter);
    /// Outside diameter of the rocket at the joint.
    JOINT_DIAMETER: "body_diameter" of Joint gives Styled<Length>,
        Formula::choice("{outer_diameter}, of the tube that takes what slides in"), "", |ctx, id| ctx.quantity(meeting(ctx, id)?.socket, tube::outer_diameter);
    /// The pull of air trapped at the field and carried to the highest point, were the compartment sealed.
    TRAPPED_AIR: "trapped_air_pull" of Joint gives Force,
        Formula::expression("{trapped pressure} × π / 4 × {socket_diameter}²"),
        "U.S. Standard Atmosphere, 1976; ideal gas at constant volume and temperature", trapped_air;
    /// Mass of everything before the joint.
    FORE_MASS: "fore_mass" of Joint gives Mass,
        Formula::expression("masses of the sections before the joint and of the parachutes and cords packed in them, added up"), "", fore_mass;
    /// The pull of the part before the joint while drag slows the part behind it, its own drag not counted.
    COAST_PULL: "coast_pull" of Joint gives Force,
        Formula::expression("{fore_mass} × {drag_deceleration}"),
        "Newton's second law", coast_pull;
    /// The charge that opens the joint first.
    PRIMARY: "primary_charge" of Joint gives Id<Charge>,
        Formula::condition("the charge for this joint that backs up no other"), "", primary;
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[
    &FORE,
    &FORE_FIRST,
    &CORD_FORE_FIRST,
    &AFT,
    &INSERTION,
    &SOCKET,
    &PLUG_DIAMETER,
    &SOCKET_DIAMETER,
    &JOINT_DIAMETER,
    &COMPARTMENT,
    &TRAPPED_AIR,
    &FORE_MASS,
    &COAST_PULL,
    &PRIMARY,
];

/// Whether two sections are named in the order in which they stand.
fn in_order(ctx: &EvalContext<'_>, named: Option<(Id<Section>, Id<Section>)>) -> Outcome<bool> {
    let Some((fore, aft)) = named else { return Ok(true) };
    let order = sections(ctx)?;
    let place = |of| order.iter().position(|s| s == of);
    Ok(place(fore) <= place(aft))
}

fn end(ctx: &EvalContext<'_>, id: Id<Joint>, fore: bool) -> Outcome<Id<Section>> {
    ends(ctx, id).map(|(f, a)| if fore { f } else { a })
}

fn insertion(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<Length> {
    let shared = extent(ctx, id)?;
    Ok(Length::from_si(shared.aft - shared.fore))
}

fn trapped_air(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<Force> {
    let root = ctx.rocket();
    let Some(place) = ctx.part(root, rocket::flight)? else {
        return Err(ctx.refuse("no flight is described"));
    };
    let bore = ctx.query(id, &SOCKET_DIAMETER);
    let heights = both(ctx.get(place, flight::site_elevation), ctx.query(root, &super::ascent::APOGEE));
    let (bore, (site, apogee)) = both(bore, heights)?;
    let difference = ctx.or_refuse(venting::trapped_pressure(site, site + apogee))?;
    ctx.step(
        "trapped pressure",
        || Formula::method("standard pressure at `site_elevation`, less that at `site_elevation` + `apogee`"),
        difference,
    );
    let pull = ctx.or_refuse(pins::trapped_air_pull(difference, bore))?;
    Ok(pull)
}

fn fore_mass(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<Mass> {
    let (fore, _) = ends(ctx, id)?;
    let mut total = Ok(0.0);
    let add = |total: Outcome<f64>, mass: Outcome<Mass>| both(total, mass).map(|(t, m)| t + m.si());
    let mut before = Vec::new();
    let mut terms = Vec::new();
    for section in sections(ctx)?.iter() {
        total = add(total, ctx.get(section, section::mass));
        before.push(section);
        if ctx.is_recording() {
            terms.push(ctx.field_line(section, section::mass));
        }
        for (more, line) in additions_of(ctx, section)? {
            total = add(total, Ok(more));
            terms.push(line);
        }
        if section == fore {
            break;
        }
    }
    for parachute in ctx.every::<Parachute>() {
        match ctx.get(parachute, parachute::packed_in) {
            Ok(section) if before.contains(&section) => {
                total = add(total, ctx.get(parachute, parachute::mass));
                if ctx.is_recording() {
                    terms.push(ctx.field_line(parachute, parachute::mass));
                }
            }
            Ok(_) => {}
            // It may hang before the joint: the mass is not known until it is written where.
            Err(gap) => total = add(total, Err(gap)),
        }
    }
    for (cord, home) in weighed_cords(ctx)? {
        match home {
            Ok(section) if before.contains(&section) => {
                total = add(total, ctx.get(cord, harness::mass));
                if ctx.is_recording() {
                    terms.push(ctx.field_line(cord, harness::mass));
                }
            }
            Ok(_) => {}
            Err(gap) => total = add(total, Err(gap)),
        }
    }
    ctx.formula(|| Formula::Expression(terms.join(" + ").into()));
    Ok(Mass::from_si(total?))
}

fn coast_pull(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<Force> {
    let root = ctx.rocket();
    let (mass, deceleration) =
        both(ctx.query(id, &FORE_MASS), ctx.query(root, &super::ascent::DECELERATION))?;
    let pull = ctx.or_refuse(pins::inertial_pull(mass, deceleration))?;
    Ok(pull)
}

/// The charges that open a joint, each with whether it backs up another.
pub(super) fn charges_of(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<Vec<(Id<Charge>, bool)>> {
    let mut found = Vec::new();
    for one in ctx.every::<Charge>() {
        if ctx.get(one, charge::joint)? == id {
            found.push((one, ctx.has(one, charge::backs_up)?));
        }
    }
    Ok(found)
}

fn primary(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<Id<Charge>> {
    let first = charges_of(ctx, id)?.into_iter().find(|(_, backup)| !backup);
    first.map(|(one, _)| one).ok_or_else(|| ctx.refuse("no charge opens this joint"))
}

/// The force of a pressure on the bore of a joint.
pub(super) fn force_on(ctx: &EvalContext<'_>, joint: Id<Joint>, pressure: Pressure) -> Outcome<Force> {
    let bore = ctx.query(joint, &SOCKET_DIAMETER)?;
    ctx.or_refuse(crate::engineering::charge::bulkhead_force(pressure, bore))
}

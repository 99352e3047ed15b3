//! Glued joints: their areas, the stress they bear, and the force.

use super::computed::computed;
use super::extents::extent;
use super::mating::{Plug, meeting};
use super::motor_mount::mount_tube;
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{
    Bond, Bulkhead, Coupler, Joint, MotorMount, NoseCone, Retainer, Section, Tube, bond, bulkhead, coupler,
    motor_mount, nose_cone, retainer, ring, section, shoulder, tube,
};
use crate::engineering::bond as glue;
use crate::quantity::{Area, Force, Length, Pressure, Styled};
use crate::tables::{Material, adhesive, material};
use crate::vocabulary::{Id, Key};

/// What the surface of a part bears under glue where nobody says what the part is made of: that of paper and plywood, the weakest usual ones.
/// Source: low end of 3 to 6 MPa, from memory.
const UNNAMED_SURFACE: Pressure = Pressure::from_si(3.0e6);

/// What a joint bears whose glue has this area and bears this stress.
const GLUED: Formula = Formula::expression("{bonded area} × {shear strength}");

computed! {
    /// The tube that the motor slides into: the mount's own, or the body tube where the mount has none.
    MOTOR_TUBE: "motor_tube" of MotorMount gives Id<Tube>, Formula::condition("the tube of the mount, else of its section"), "",
        mount_tube;
    /// The area of glue between the rings and the motor tube.
    MOUNT_AREA: "bond_area" of MotorMount gives Area,
        Formula::expression("areas of the rings along the motor tube, fillets added where they are written"), "geometry", mount_area;
    /// The force along the rocket that the glue between rings and motor tube bears.
    MOUNT_BEARS: "bond_bears" of MotorMount gives Force,
        Formula::expression("{bond_area} × {shear strength}"), "average shear, as ASTM D1002 defines it", mount_bears;
    /// The force along the rocket that the glue around the bulkhead bears.
    BULKHEAD_BEARS: "bond_bears" of Bulkhead gives Force,
        GLUED,
        "average shear, as ASTM D1002 defines it", bulkhead_bears;
    /// The diameter of the circle along which the bulkhead is glued.
    GLUED_ALONG: "glued_along" of Bulkhead gives Styled<Length>,
        Formula::choice("{outer_diameter}, its own"), "geometry", glued_along;
    /// The force along the rocket that the glue between the coupler and its tube bears.
    COUPLER_BEARS: "bond_bears" of Coupler gives Force,
        GLUED,
        "average shear, as ASTM D1002 defines it", coupler_bears;
    /// The force along the rocket that the glue between the retainer and the motor tube bears.
    RETAINER_BEARS: "bond_bears" of Retainer gives Force,
        GLUED,
        "average shear, as ASTM D1002 defines it", retainer_bears;
}

pub(super) const COMPUTED: &[&dyn AnyComputed] =
    &[&MOTOR_TUBE, &MOUNT_AREA, &MOUNT_BEARS, &BULKHEAD_BEARS, &GLUED_ALONG, &COUPLER_BEARS, &RETAINER_BEARS];

/// A surface under glue: asks for the row of its material, where one is written.
pub(super) trait Surface {
    fn made_of(&self, ctx: &EvalContext<'_>) -> Outcome<Option<Id<Material>>>;
}

impl<E> Surface for (Id<E>, Key<E, Id<Material>>) {
    fn made_of(&self, ctx: &EvalContext<'_>) -> Outcome<Option<Id<Material>>> {
        let (part, key) = *self;
        if ctx.has(part, key)? { ctx.get(part, key).map(Some) } else { Ok(None) }
    }
}

/// The shear stress that a bond bears on these surfaces: what its own test showed, else the least of adhesive and surfaces.
pub(super) fn strength(ctx: &EvalContext<'_>, id: Id<Bond>, surfaces: &[&dyn Surface]) -> Outcome<Pressure> {
    if ctx.has(id, bond::proven)? {
        let proven = ctx.get(id, bond::proven)?;
        ctx.step("shear strength", || Formula::choice("{proven}, as its own test showed"), proven);
        return Ok(proven);
    }
    let glue = ctx.get(id, bond::adhesive)?;
    let mut least = ctx.get(glue, adhesive::shear_strength)?;
    let mut terms = Vec::new();
    if ctx.is_recording() {
        terms.push(ctx.field_line(glue, adhesive::shear_strength));
    }
    for surface in surfaces {
        let surface = if let Some(row) = surface.made_of(ctx)? {
            if ctx.is_recording() {
                terms.push(ctx.field_line(row, material::glue_line_strength));
            }
            // What no table knows, a test of one's own does.
            ctx.get(row, material::glue_line_strength)
                .map_err(|gap| gap.and(ctx.missing(id, bond::proven)))?
        } else {
            ctx.fixed("a surface of which nothing is said", "as paper or plywood", UNNAMED_SURFACE.into());
            terms.push("{a surface of which nothing is said}".to_owned());
            UNNAMED_SURFACE
        };
        if surface < least {
            least = surface;
        }
    }
    terms.dedup();
    ctx.step(
        "shear strength",
        || Formula::Expression(format!("least of ({})", terms.join(", ")).into()),
        least,
    );
    Ok(least)
}

/// The width that two fillets add along each edge of a ring or bulkhead; none where none are written.
fn fillets(ctx: &EvalContext<'_>, id: Id<Bond>) -> Outcome<Length> {
    if ctx.has(id, bond::fillet_radius)? {
        let radius = ctx.get(id, bond::fillet_radius)?;
        return Ok(radius * 2.0);
    }
    Ok(Length::from_si(0.0))
}

/// The width of glue along an edge so thick, as formulas have it.
fn width_text(ctx: &EvalContext<'_>, thickness: &str, glued: Outcome<Id<Bond>>) -> String {
    match glued {
        Ok(bond) if ctx.has(bond, bond::fillet_radius) == Ok(true) => {
            format!("({thickness} + 2 × {})", ctx.field_line(bond, bond::fillet_radius))
        }
        _ => thickness.to_owned(),
    }
}

fn mount_area(ctx: &EvalContext<'_>, id: Id<MotorMount>) -> Outcome<Area> {
    let tube = mount_tube(ctx, id)?;
    let across = ctx.get(tube, tube::outer_diameter);
    let added = ctx.get(id, motor_mount::glued).and_then(|bond| fillets(ctx, bond));
    let mut total = both(across, added).map(|both| (both, 0.0));
    for one in ctx.entities(id, motor_mount::rings)?.iter() {
        let thick = ctx.get(one, ring::thickness);
        total = both(total, thick).and_then(|(((across, added), sum), thick)| {
            let area = ctx.or_refuse(glue::ring_area(1, thick + added, across))?;
            Ok(((across, added), sum + area.si()))
        });
    }
    ctx.formula(|| {
        let rings = ctx
            .entities(id, motor_mount::rings)
            .map(|all| all.iter().collect())
            .unwrap_or_else(|_| Vec::new());
        let around = ctx.field_line(tube, tube::outer_diameter);
        let width = |thick: String| width_text(ctx, &thick, ctx.get(id, motor_mount::glued));
        let terms = rings
            .iter()
            .map(|one| format!("π × {around} × {}", width(ctx.field_line(*one, ring::thickness))));
        Formula::Expression(terms.collect::<Vec<_>>().join(" + ").into())
    });
    let (_, sum) = total?;
    if sum <= 0.0 {
        return Err(ctx.refuse("the mount has no rings"));
    }
    Ok(Area::from_si(sum))
}

fn mount_bears(ctx: &EvalContext<'_>, id: Id<MotorMount>) -> Outcome<Force> {
    let tube = mount_tube(ctx, id)?;
    let of_tube = (tube, tube::material);
    let of_rings: Vec<_> =
        ctx.entities(id, motor_mount::rings)?.iter().map(|one| (one, ring::material)).collect();
    let mut surfaces: Vec<&dyn Surface> = vec![&of_tube];
    surfaces.extend(of_rings.iter().map(|one| -> &dyn Surface { one }));
    let stress = ctx.get(id, motor_mount::glued).and_then(|bond| strength(ctx, bond, &surfaces));
    let (area, stress) = both(ctx.query(id, &MOUNT_AREA), stress)?;
    Ok(stress * area)
}

/// What is around a bulkhead.
#[derive(Clone, Copy)]
enum Around {
    /// The cone whose shoulder it is glued into.
    Nose(Id<NoseCone>),
    Tube(Id<Tube>),
    Coupler(Id<Coupler>),
}

impl Surface for Around {
    fn made_of(&self, ctx: &EvalContext<'_>) -> Outcome<Option<Id<Material>>> {
        match *self {
            Self::Nose(nose) => (nose, nose_cone::material).made_of(ctx),
            Self::Tube(tube) => (tube, tube::material).made_of(ctx),
            Self::Coupler(coupler) => (coupler, coupler::material).made_of(ctx),
        }
    }
}

/// What a bulkhead is glued into: the shoulder that its place is measured on or that it lies in, else the tube, else the coupler.
fn around(ctx: &EvalContext<'_>, id: Id<Bulkhead>) -> Outcome<Around> {
    let section = ctx.holder::<Section>(id).ok_or_else(|| ctx.refuse("the bulkhead stands in no section"))?;
    let place = ctx.get(id, bulkhead::at)?;
    let named = place.of.as_deref();
    if matches!(named, Some("shoulder" | "nose_cone")) || named.is_none() {
        let tube = ctx.part(section, section::tube)?;
        let coupler = ctx.part(section, section::coupler)?;
        if let Some(nose) = ctx.part(section, section::nose_cone)?
            && (named.is_some() || (tube.is_none() && coupler.is_none()) || in_shoulder(ctx, id, nose)?)
        {
            return Ok(Around::Nose(nose));
        }
    }
    if named != Some("coupler")
        && let Some(tube) = ctx.part(section, section::tube)?
    {
        return Ok(Around::Tube(tube));
    }
    match ctx.part(section, section::coupler)? {
        Some(coupler) => Ok(Around::Coupler(coupler)),
        None => Err(ctx.refuse("there is neither tube nor coupler around the bulkhead")),
    }
}

/// Whether a bulkhead lies wholly in the shoulder of a nose cone, whatever its place is measured on.
fn in_shoulder(ctx: &EvalContext<'_>, id: Id<Bulkhead>, nose: Id<NoseCone>) -> Outcome<bool> {
    let Some(shoulder) = ctx.part(nose, nose_cone::shoulder)? else { return Ok(false) };
    let (it, around) = both(extent(ctx, id), extent(ctx, shoulder))?;
    Ok(it.fore >= around.fore && it.aft <= around.aft)
}

fn glued_along(ctx: &EvalContext<'_>, id: Id<Bulkhead>) -> Outcome<Styled<Length>> {
    if ctx.has(id, bulkhead::outer_diameter)? {
        return ctx.quantity(id, bulkhead::outer_diameter);
    }
    let nose = match around(ctx, id)? {
        Around::Tube(tube) => {
            ctx.formula(|| Formula::choice("{inner_diameter}, of the tube that it is glued into"));
            return ctx.quantity(tube, tube::inner_diameter);
        }
        Around::Coupler(coupler) => {
            ctx.formula(|| Formula::choice("{inner_diameter}, of the coupler that it is glued into"));
            return ctx.quantity(coupler, coupler::inner_diameter);
        }
        Around::Nose(nose) => nose,
    };
    let inside = ctx.part(nose, nose_cone::shoulder)?;
    let inside = inside.ok_or_else(|| ctx.refuse("the nose cone has no shoulder"))?;
    let outer = ctx.get(inside, shoulder::outer_diameter);
    let wall = if ctx.has(inside, shoulder::wall)? {
        ctx.get(inside, shoulder::wall)
    } else if ctx.has(nose, nose_cone::wall)? {
        ctx.get(nose, nose_cone::wall)
    } else {
        Err(ctx.missing(id, bulkhead::outer_diameter))
    };
    let (outer, wall) = both(outer, wall)?;
    let bore = outer - wall * 2.0;
    if bore.si() <= 0.0 {
        return Err(ctx.refuse("the wall of the shoulder leaves no room inside"));
    }
    ctx.formula(|| Formula::expression("{outer_diameter} − 2 × {wall}"));
    Ok(bore.into())
}

fn bulkhead_bears(ctx: &EvalContext<'_>, id: Id<Bulkhead>) -> Outcome<Force> {
    let glued = ctx.get(id, bulkhead::glued);
    let surface = around(ctx, id);
    let stress = both(glued.clone(), surface)
        .and_then(|(bond, around)| strength(ctx, bond, &[&(id, bulkhead::material), &around]));
    let sizes = both(ctx.query(id, &GLUED_ALONG), ctx.get(id, bulkhead::thickness));
    let added = glued.clone().and_then(|bond| fillets(ctx, bond));
    let ((across, thick), (stress, added)) = both(sizes, both(stress, added))?;
    let area = ctx.or_refuse(glue::ring_area(1, thick + added, across))?;
    ctx.step(
        "bonded area",
        || {
            let width = width_text(ctx, &ctx.field_line(id, bulkhead::thickness), glued);
            Formula::Expression(format!("π × {} × {width}", ctx.line(id, GLUED_ALONG.name)).into())
        },
        area,
    );
    Ok(stress * area)
}

fn coupler_bears(ctx: &EvalContext<'_>, id: Id<Coupler>) -> Outcome<Force> {
    let section = ctx.holder::<Section>(id).ok_or_else(|| ctx.refuse("the coupler stands in no section"))?;
    let Some(around) = ctx.part(section, section::tube)? else {
        return Err(ctx.refuse("an altimeter bay's coupler is glued into no tube"));
    };
    let stress = ctx
        .get(id, coupler::glued)
        .and_then(|bond| strength(ctx, bond, &[&(id, coupler::material), &(around, tube::material)]));
    let sizes = both(
        ctx.get(id, coupler::outer_diameter),
        both(ctx.get(id, coupler::length), ctx.get(id, coupler::stands_out)),
    );
    let ((across, (long, out)), stress) = both(sizes, stress)?;
    let inside = long - out;
    ctx.step("length inside", || Formula::expression("{length} − {stands_out}"), inside);
    let area = ctx.or_refuse(glue::ring_area(1, inside, across))?;
    ctx.step("bonded area", || Formula::expression("π × {outer_diameter} × {length inside}"), area);
    Ok(stress * area)
}

fn retainer_bears(ctx: &EvalContext<'_>, id: Id<Retainer>) -> Outcome<Force> {
    let mount = ctx.holder::<MotorMount>(id).ok_or_else(|| ctx.refuse("the retainer stands on no mount"))?;
    let tube = mount_tube(ctx, mount)?;
    let stress =
        ctx.get(id, retainer::glued).and_then(|bond| strength(ctx, bond, &[&(tube, tube::material)]));
    let sizes = both(ctx.get(tube, tube::outer_diameter), ctx.get(id, retainer::engagement));
    let ((across, long), stress) = both(sizes, stress)?;
    let area = ctx.or_refuse(glue::ring_area(1, long, across))?;
    ctx.step("bonded area", || Formula::expression("π × {outer_diameter} × {engagement}"), area);
    Ok(stress * area)
}

/// What the glue of a joint that never parts bears: the coupler or shoulder glued into its tube.
pub(super) fn glued_joint(ctx: &EvalContext<'_>, joint: Id<Joint>, bond: Id<Bond>) -> Outcome<Force> {
    let meeting = meeting(ctx, joint)?;
    let socket = (meeting.socket, tube::material);
    let stress = match meeting.plug {
        Plug::Coupler(coupler) => strength(ctx, bond, &[&socket, &(coupler, coupler::material)]),
        Plug::Shoulder(_) => strength(ctx, bond, &[&socket]),
    };
    let sizes = both(
        meeting.plug.outer_diameter(ctx).map(Styled::value),
        ctx.query(joint, &super::joints::INSERTION),
    );
    let (stress, (across, long)) = both(stress, sizes)?;
    let area = ctx.or_refuse(glue::ring_area(1, long, across))?;
    ctx.step("bonded area", || Formula::expression("π × {outer_diameter} × {insertion}"), area);
    ctx.formula(|| GLUED);
    Ok(stress * area)
}

//! Glued joints: their areas, the stress they bear, and the force.

use super::joints::{computed, meeting};
use super::{EvalContext, Computed, Gap, Outcome, Type, both};
use crate::design::{
    BULKHEAD, COUPLER, MOTOR_MOUNT, RETAINER, SECTION, TUBE, bond, bulkhead, coupler, motor_mount, nose_cone,
    retainer, ring, section, shoulder, tube,
};
use crate::engineering::bond as glue;
use crate::quantity::{Area, Dimension as D, Force, Length, Pressure};
use crate::tables::{adhesive, material};
use crate::vocabulary::{EntityId, Key, Value};

/// What the surface of a part bears under glue where nobody says what the part is made of: that of paper and plywood, the weakest usual ones.
/// Source: low end of 3 to 6 MPa, from memory.
const UNNAMED_SURFACE: Pressure = Pressure::from_si(3.0e6);

computed! {
    /// The tube that the motor slides into: the mount's own, or the body tube where the mount has none.
    MOTOR_TUBE: "motor_tube" of MOTOR_MOUNT gives Type::Entity(&TUBE), "the tube of the mount, else of its section", "",
        |asking, id| mount_tube(asking, id).map(Value::Entity);
    /// The area of glue between the rings and the motor tube.
    MOUNT_AREA: "bond_area" of MOTOR_MOUNT gives Type::Quantity(D::AREA),
        "Σ π × tube outer diameter × (ring thickness + 2 × fillet radius, where fillets are written)", "geometry", mount_area;
    /// The force along the rocket that the glue between rings and motor tube bears.
    MOUNT_BEARS: "bond_bears" of MOTOR_MOUNT gives Type::Quantity(D::FORCE),
        "bond area × the least shear strength of adhesive and surfaces", "average shear, as ASTM D1002 defines it", mount_bears;
    /// The force along the rocket that the glue around the bulkhead bears.
    BULKHEAD_BEARS: "bond_bears" of BULKHEAD gives Type::Quantity(D::FORCE),
        "π × diameter × (thickness + 2 × fillet radius, where fillets are written) × the least shear strength of adhesive and surfaces",
        "average shear, as ASTM D1002 defines it", bulkhead_bears;
    /// The diameter of the circle along which the bulkhead is glued.
    GLUED_ALONG: "glued_along" of BULKHEAD gives Type::Quantity(D::LENGTH),
        "its own diameter where written, else the inner diameter of what it is glued into", "geometry", glued_along;
    /// The force along the rocket that the glue between the coupler and its tube bears.
    COUPLER_BEARS: "bond_bears" of COUPLER gives Type::Quantity(D::FORCE),
        "π × outer diameter × length inside × the least shear strength of adhesive and surfaces",
        "average shear, as ASTM D1002 defines it", coupler_bears;
    /// The force along the rocket that the glue between the retainer and the motor tube bears.
    RETAINER_BEARS: "bond_bears" of RETAINER gives Type::Quantity(D::FORCE),
        "π × tube outer diameter × engagement × the least shear strength of adhesive and surfaces",
        "average shear, as ASTM D1002 defines it", retainer_bears;
}

pub(super) const COMPUTED: &[&Computed] =
    &[&MOTOR_TUBE, &MOUNT_AREA, &MOUNT_BEARS, &BULKHEAD_BEARS, &GLUED_ALONG, &COUPLER_BEARS, &RETAINER_BEARS];

fn force(force: Force) -> Value {
    Value::Quantity(force.into())
}

/// The bond that a part names.
fn bond_of(asking: &EvalContext<'_>, part: EntityId, key: Key) -> Outcome<EntityId> {
    match asking.get(part, key)? {
        Value::Entity(id) => Ok(id),
        _ => Err(asking.refuse("it is glued by no bond")),
    }
}

/// The shear stress that a bond bears on these surfaces: what its own test showed, else the least of adhesive and surfaces.
pub(super) fn strength(asking: &EvalContext<'_>, id: EntityId, surfaces: &[(EntityId, Key)]) -> Outcome<Pressure> {
    if asking.model().has(id, bond::proven.slot)? {
        return asking.typed(id, bond::proven);
    }
    let Value::Entity(kind) = asking.get(id, bond::adhesive)? else {
        return Err(asking.refuse("the adhesive is no row of the table"));
    };
    let mut least = asking.typed::<Pressure>(kind, adhesive::shear_strength)?;
    for (part, made_of) in surfaces {
        let surface = if asking.model().has(*part, made_of.slot)? {
            match asking.get(*part, *made_of)? {
                // What no table knows, a test of one's own does.
                Value::Entity(row) => asking
                    .typed::<Pressure>(row, material::glue_line_strength)
                    .map_err(|gap| gap.and(Gap::missing(id, bond::proven.slot)))?,
                _ => return Err(asking.refuse("the material is no row of the table")),
            }
        } else {
            asking.fixed("a surface of which nothing is said", "as paper or plywood", UNNAMED_SURFACE.into());
            UNNAMED_SURFACE
        };
        if surface < least {
            least = surface;
        }
    }
    asking.step("shear strength", "least of adhesive and surfaces", least);
    Ok(least)
}

/// The width that two fillets add along each edge of a ring or bulkhead; none where none are written.
fn fillets(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Length> {
    if asking.model().has(id, bond::fillet_radius.slot)? {
        let radius = asking.typed::<Length>(id, bond::fillet_radius)?;
        asking.fixed("fillets", "2 × fillet radius", (radius * 2.0).into());
        return Ok(radius * 2.0);
    }
    Ok(Length::from_si(0.0))
}

/// The tube that the motor slides into: the mount's own, else the body tube around it.
pub(super) fn mount_tube(asking: &EvalContext<'_>, mount: EntityId) -> Outcome<EntityId> {
    if let Some(own) = asking.part(mount, motor_mount::tube)? {
        return Ok(own);
    }
    let section = asking.model().holder(mount, &SECTION);
    let section = section.ok_or_else(|| asking.refuse("the mount stands in no section"))?;
    asking
        .part(section, section::tube)?
        .ok_or_else(|| asking.refuse("the mount has no tube, and its section has none"))
}

fn mount_area(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let tube = mount_tube(asking, id)?;
    let across = asking.typed::<Length>(tube, tube::outer_diameter);
    let added = bond_of(asking, id, motor_mount::glued).and_then(|bond| fillets(asking, bond));
    let mut total = both(across, added).map(|both| (both, 0.0));
    for one in asking.things(id, motor_mount::rings)?.iter() {
        let thick = asking.typed::<Length>(*one, ring::thickness);
        total = both(total, thick).and_then(|(((across, added), sum), thick)| {
            let area = asking.worked(glue::ring_area(1, thick + added, across))?;
            Ok(((across, added), sum + area.si()))
        });
    }
    let (_, sum) = total?;
    if sum <= 0.0 {
        return Err(asking.refuse("the mount has no rings"));
    }
    Ok(Value::Quantity(Area::from_si(sum).into()))
}

fn mount_bears(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let tube = mount_tube(asking, id)?;
    let mut surfaces = vec![(tube, tube::material)];
    surfaces.extend(asking.things(id, motor_mount::rings)?.iter().map(|one| (*one, ring::material)));
    let stress = bond_of(asking, id, motor_mount::glued).and_then(|bond| strength(asking, bond, &surfaces));
    let (area, stress) = both(asking.ask_typed::<Area>(id, &MOUNT_AREA), stress)?;
    Ok(force(stress * area))
}

/// What a bulkhead is glued into: the shoulder that its place is measured on, else the tube, else the coupler; with the keys of its material.
fn around(asking: &EvalContext<'_>, id: EntityId) -> Outcome<(EntityId, Key)> {
    let section = asking
        .model()
        .holder(id, &SECTION)
        .ok_or_else(|| asking.refuse("the bulkhead stands in no section"))?;
    let Value::Position(place) = asking.get(id, bulkhead::at)? else {
        return Err(asking.refuse("this is no place on a part"));
    };
    let named = place.of.as_deref();
    if matches!(named, Some("shoulder" | "nose_cone")) || named.is_none() {
        let tube = asking.part(section, section::tube)?;
        let coupler = asking.part(section, section::coupler)?;
        if let (Some(nose), true) = (
            asking.part(section, section::nose_cone)?,
            named.is_some() || (tube.is_none() && coupler.is_none()),
        ) {
            return Ok((nose, nose_cone::material));
        }
    }
    if named != Some("coupler")
        && let Some(tube) = asking.part(section, section::tube)?
    {
        return Ok((tube, tube::material));
    }
    match asking.part(section, section::coupler)? {
        Some(coupler) => Ok((coupler, coupler::material)),
        None => Err(asking.refuse("there is neither tube nor coupler around the bulkhead")),
    }
}

fn glued_along(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    if asking.model().has(id, bulkhead::outer_diameter.slot)? {
        return asking.get(id, bulkhead::outer_diameter);
    }
    let (part, made_of) = around(asking, id)?;
    if made_of.kind == nose_cone::material.kind {
        let inside = asking.part(part, nose_cone::shoulder)?;
        let inside = inside.ok_or_else(|| asking.refuse("the nose cone has no shoulder"))?;
        let outer = asking.typed::<Length>(inside, shoulder::outer_diameter);
        let wall = if asking.model().has(inside, shoulder::wall.slot)? {
            asking.typed::<Length>(inside, shoulder::wall)
        } else if asking.model().has(part, nose_cone::wall.slot)? {
            asking.typed::<Length>(part, nose_cone::wall)
        } else {
            Err(Gap::missing(id, bulkhead::outer_diameter.slot))
        };
        let (outer, wall) = both(outer, wall)?;
        let bore = outer - wall * 2.0;
        if bore.si() <= 0.0 {
            return Err(asking.refuse("the wall of the shoulder leaves no room inside"));
        }
        return Ok(Value::Quantity(bore.into()));
    }
    asking.get(part, if made_of.kind == &COUPLER { coupler::inner_diameter } else { tube::inner_diameter })
}

fn bulkhead_bears(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let glued = bond_of(asking, id, bulkhead::glued);
    let surface = around(asking, id);
    let stress = both(glued.clone(), surface)
        .and_then(|(bond, around)| strength(asking, bond, &[(id, bulkhead::material), around]));
    let sizes =
        both(asking.ask_typed::<Length>(id, &GLUED_ALONG), asking.typed::<Length>(id, bulkhead::thickness));
    let added = glued.and_then(|bond| fillets(asking, bond));
    let ((across, thick), (stress, added)) = both(sizes, both(stress, added))?;
    let area = asking.worked(glue::ring_area(1, thick + added, across))?;
    asking.step("bonded area", "π × diameter × thickness, fillets added where written", area);
    Ok(force(stress * area))
}

fn coupler_bears(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let section = asking
        .model()
        .holder(id, &SECTION)
        .ok_or_else(|| asking.refuse("the coupler stands in no section"))?;
    let Some(around) = asking.part(section, section::tube)? else {
        return Err(asking.refuse("an altimeter bay's coupler is glued into no tube"));
    };
    let stress = bond_of(asking, id, coupler::glued)
        .and_then(|bond| strength(asking, bond, &[(id, coupler::material), (around, tube::material)]));
    let sizes = both(
        asking.typed::<Length>(id, coupler::outer_diameter),
        both(asking.typed::<Length>(id, coupler::length), asking.typed::<Length>(id, coupler::stands_out)),
    );
    let ((across, (long, out)), stress) = both(sizes, stress)?;
    let inside = long - out;
    asking.step("length inside", "length − what stands out", inside);
    let area = asking.worked(glue::ring_area(1, inside, across))?;
    asking.step("bonded area", "π × outer diameter × length inside", area);
    Ok(force(stress * area))
}

fn retainer_bears(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let mount = asking
        .model()
        .holder(id, &MOTOR_MOUNT)
        .ok_or_else(|| asking.refuse("the retainer stands on no mount"))?;
    let tube = mount_tube(asking, mount)?;
    let stress = bond_of(asking, id, retainer::glued)
        .and_then(|bond| strength(asking, bond, &[(tube, tube::material)]));
    let sizes = both(
        asking.typed::<Length>(tube, tube::outer_diameter),
        asking.typed::<Length>(id, retainer::engagement),
    );
    let ((across, long), stress) = both(sizes, stress)?;
    let area = asking.worked(glue::ring_area(1, long, across))?;
    asking.step("bonded area", "π × tube outer diameter × engagement", area);
    Ok(force(stress * area))
}

/// What the glue of a joint that never parts bears: the coupler or shoulder glued into its tube.
pub(super) fn glued_joint(asking: &EvalContext<'_>, joint: EntityId, bond: EntityId) -> Outcome<Force> {
    let meeting = meeting(asking, joint)?;
    let mut surfaces = vec![(meeting.socket, tube::material)];
    if meeting.plug_diameter.kind == &COUPLER {
        surfaces.push((meeting.plug, coupler::material));
    }
    let stress = strength(asking, bond, &surfaces);
    let sizes = both(
        asking.typed::<Length>(meeting.plug, meeting.plug_diameter),
        asking.ask_typed::<Length>(joint, &super::joints::INSERTION),
    );
    let (stress, (across, long)) = both(stress, sizes)?;
    let area = asking.worked(glue::ring_area(1, long, across))?;
    asking.step("bonded area", "π × outer diameter × insertion", area);
    Ok(stress * area)
}

//! Which part slides into which where two sections meet.

use super::sections::sections;
use super::{EvalContext, Outcome, both};
use crate::design::{
    Coupler, Joint, Section, Shoulder, Tube, coupler, joint, nose_cone, section, shoulder, transition,
};
use crate::quantity::{Length, Styled};
use crate::vocabulary::{EntityId, Id};

/// The two parts of a joint: the one that slides in, and the tube it slides into.
pub(super) struct Meeting {
    pub(super) plug: Plug,
    pub(super) socket: Id<Tube>,
}

/// The part that slides in.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Plug {
    Coupler(Id<Coupler>),
    Shoulder(Id<Shoulder>),
}

impl Plug {
    pub(super) fn id(self) -> EntityId {
        match self {
            Self::Coupler(id) => id.any(),
            Self::Shoulder(id) => id.any(),
        }
    }

    pub(super) fn outer_diameter(self, ctx: &EvalContext<'_>) -> Outcome<Styled<Length>> {
        match self {
            Self::Coupler(id) => ctx.quantity(id, coupler::outer_diameter),
            Self::Shoulder(id) => ctx.quantity(id, shoulder::outer_diameter),
        }
    }
}

pub(super) fn ends(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<(Id<Section>, Id<Section>)> {
    match ctx.get(id, joint::between)?.both() {
        Some((fore, aft)) if fore != aft => {
            let order = sections(ctx)?;
            let place = |of| order.iter().position(|s| s == of);
            if place(fore) > place(aft) {
                return Err(
                    ctx.refuse("the sections of a joint are written fore one first, and these are not")
                );
            }
            Ok((fore, aft))
        }
        _ => Err(ctx.refuse("a joint is between two sections")),
    }
}

/// The part of a section that reaches into its neighbour on one side.
fn reaching(ctx: &EvalContext<'_>, id: Id<Section>, aft: bool) -> Outcome<Option<Plug>> {
    let tube = ctx.part(id, section::tube)?;
    if let Some(coupler) = ctx.part(id, section::coupler)? {
        let reaches = match tube {
            None => true,
            Some(_) => ctx.get(coupler, coupler::end)? == if aft { "aft" } else { "fore" },
        };
        if reaches {
            return Ok(Some(Plug::Coupler(coupler)));
        }
    }
    if let Some(part) = ctx.part(id, section::transition)? {
        let key = if aft { transition::aft_shoulder } else { transition::fore_shoulder };
        if (aft || tube.is_none())
            && let Some(found) = ctx.part(part, key)?
        {
            return Ok(Some(Plug::Shoulder(found)));
        }
    }
    if aft
        && tube.is_none()
        && let Some(nose) = ctx.part(id, section::nose_cone)?
        && let Some(found) = ctx.part(nose, nose_cone::shoulder)?
    {
        return Ok(Some(Plug::Shoulder(found)));
    }
    Ok(None)
}

/// Which part slides into which.
pub(super) fn meeting(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<Meeting> {
    let (fore, aft) = ends(ctx, id)?;
    let (from_fore, from_aft) = both(reaching(ctx, fore, true), reaching(ctx, aft, false))?;
    let (plug, into) = match (from_fore, from_aft) {
        (Some(plug), None) => (plug, aft),
        (None, Some(plug)) => (plug, fore),
        (None, None) => {
            return Err(ctx
                .refuse("nothing slides from one section into the other: a coupler or shoulder is wanting"));
        }
        (Some(_), Some(_)) => {
            return Err(ctx.refuse("both sections reach into each other, and no tube takes them"));
        }
    };
    let socket = ctx.part(into, section::tube)?;
    let socket = socket.ok_or_else(|| ctx.refuse("the section that should take the coupler has no tube"))?;
    Ok(Meeting { plug, socket })
}

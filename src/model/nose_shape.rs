//! The shape of a nose cone, by the word that names its outline.

use super::{EvalContext, Outcome, both};
use crate::design::{NoseCone, nose_cone};
use crate::engineering::nose::{Nose, NoseShape};
use crate::vocabulary::Id;

/// The outline that a word in the file stands for.
pub(super) fn outline(ctx: &EvalContext<'_>, cone: Id<NoseCone>, word: &str) -> Outcome<NoseShape> {
    match word {
        "secant ogive" => Ok(NoseShape::SecantOgive { arc: ctx.get(cone, nose_cone::arc)? }),
        "power" => Ok(NoseShape::Power { exponent: ctx.get(cone, nose_cone::exponent)? }),
        "haack" => Ok(NoseShape::Haack { c: ctx.get(cone, nose_cone::parameter)? }),
        "cone" => Ok(NoseShape::Cone),
        "tangent ogive" => Ok(NoseShape::TangentOgive),
        "ellipsoid" => Ok(NoseShape::Ellipsoid),
        "parabola" => Ok(NoseShape::Parabola { k: 1.0 }),
        "von karman" => Ok(NoseShape::Haack { c: 0.0 }),
        _ => Err(ctx.refuse("the outline of this nose cone is not one whose volume is known here")),
    }
}

/// The nose cone as a shape of known volume and skin.
pub(super) fn nose(ctx: &EvalContext<'_>, cone: Id<NoseCone>) -> Outcome<Nose> {
    let sizes = both(ctx.get(cone, nose_cone::length), ctx.get(cone, nose_cone::outer_diameter));
    let shape = ctx.get(cone, nose_cone::shape).and_then(|word| outline(ctx, cone, word));
    let ((length, across), shape) = both(sizes, shape)?;
    ctx.or_refuse(Nose::new(shape, length, across))
}

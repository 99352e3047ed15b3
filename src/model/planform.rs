//! The shape of a fin as the formulas take it.

use super::{EvalContext, Outcome, both};
use crate::design::{Fins, fins};
use crate::engineering::planform::{Planform, reduced};
use crate::quantity::{Length, Quantity};
use crate::vocabulary::Id;

/// How far the root chord that is written and the one that the edges come to may differ, as a share.
const ROOT_AGREEMENT: f64 = 0.01;

/// The trapezoid of a set of fins: as written, or the one that stands for its free outline.
pub(super) fn planform(ctx: &EvalContext<'_>, set: Id<Fins>) -> Outcome<Planform> {
    if ctx.has(set, fins::leading_edge)? || ctx.has(set, fins::trailing_edge)? {
        let (leading, trailing) = both(ctx.get(set, fins::leading_edge), ctx.get(set, fins::trailing_edge))?;
        let root = ctx.get(set, fins::root_chord)?;
        let drawn = match (leading.first(), trailing.first()) {
            (Some((_, fore)), Some((_, aft))) => *aft - *fore,
            _ => Length::from_si(0.0),
        };
        if (drawn.si() / root.si() - 1.0).abs() > ROOT_AGREEMENT {
            return Err(ctx.refuse("the edges of the fin and its `root_chord` tell of different roots"));
        }
        let stands = ctx.or_refuse(reduced(&leading, &trailing))?;
        ctx.step(
            "root chord of the trapezoid",
            "same span, area and quarter-chord as the outline",
            stands.planform.root_chord,
        );
        ctx.step("tip chord of the trapezoid", "2 × area / span − root chord", stands.planform.tip_chord);
        ctx.step("sweep of the trapezoid", "same area-weighted quarter-chord", stands.planform.sweep);
        ctx.step("area outside the trapezoid", "share of the fin's", Quantity::number(stands.elsewhere));
        return Ok(stands.planform);
    }
    let chords = both(ctx.get(set, fins::root_chord), ctx.get(set, fins::tip_chord));
    let reach = both(ctx.get(set, fins::span), ctx.get(set, fins::sweep));
    let ((root_chord, tip_chord), (span, sweep)) = both(chords, reach)?;
    Ok(Planform { root_chord, tip_chord, span, sweep })
}

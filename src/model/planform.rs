//! The shape of a fin as the formulas take it.

use super::{EvalContext, Outcome, both};
use crate::design::fins;
use crate::engineering::planform::{Planform, reduced};
use crate::quantity::{Length, Quantity};
use crate::vocabulary::{EntityId, Key, Value};

/// How far the root chord that is written and the one that the edges come to may differ, as a share.
const ROOT_AGREEMENT: f64 = 0.01;

/// The trapezoid of a set of fins: as written, or the one that stands for its free outline.
pub(super) fn planform(asking: &EvalContext<'_>, set: EntityId) -> Outcome<Planform> {
    if asking.model().has(set, fins::leading_edge.slot)?
        || asking.model().has(set, fins::trailing_edge.slot)?
    {
        let (leading, trailing) =
            both(edge(asking, set, fins::leading_edge), edge(asking, set, fins::trailing_edge))?;
        let root = asking.typed::<Length>(set, fins::root_chord)?;
        let drawn = match (leading.first(), trailing.first()) {
            (Some((_, fore)), Some((_, aft))) => *aft - *fore,
            _ => Length::from_si(0.0),
        };
        if (drawn.si() / root.si() - 1.0).abs() > ROOT_AGREEMENT {
            return Err(asking.refuse("the edges of the fin and its `root_chord` tell of different roots"));
        }
        let stands = asking.worked(reduced(&leading, &trailing))?;
        asking.step(
            "root chord of the trapezoid",
            "same span, area and quarter-chord as the outline",
            stands.planform.root_chord,
        );
        asking.step("tip chord of the trapezoid", "2 × area / span − root chord", stands.planform.tip_chord);
        asking.step("sweep of the trapezoid", "same area-weighted quarter-chord", stands.planform.sweep);
        asking.step("area outside the trapezoid", "share of the fin's", Quantity::number(stands.elsewhere));
        return Ok(stands.planform);
    }
    let chords =
        both(asking.typed::<Length>(set, fins::root_chord), asking.typed::<Length>(set, fins::tip_chord));
    let reach = both(asking.typed::<Length>(set, fins::span), asking.typed::<Length>(set, fins::sweep));
    let ((root_chord, tip_chord), (span, sweep)) = both(chords, reach)?;
    Ok(Planform { root_chord, tip_chord, span, sweep })
}

fn edge(asking: &EvalContext<'_>, set: EntityId, key: Key) -> Outcome<Vec<(Length, Length)>> {
    match asking.get(set, key)? {
        Value::Curve(points) => {
            Ok(points.iter().map(|(y, x)| (Length::from_si(y.si), Length::from_si(x.si))).collect())
        }
        _ => Err(asking.refuse("the edge of a fin is no curve")),
    }
}

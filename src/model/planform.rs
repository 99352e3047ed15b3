//! The shape of a fin as the formulas take it.

use super::{EvalContext, Formula, Outcome, both};
use crate::design::{Fins, Section, fins};
use crate::engineering::planform::{Planform, reduced};
use crate::quantity::Length;
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
            return Err(ctx.refuse("the edges of the fin and its `root_chord` give different roots"));
        }
        let stands = ctx.or_refuse(reduced(&leading, &trailing))?;
        if ctx.is_recording() {
            let [root, tip, span, sweep] = step_names(ctx, set);
            let trapezoid = || {
                Formula::method("of the trapezoid with the same span, area and quarter-chord as the outline")
            };
            ctx.step(root, trapezoid, stands.planform.root_chord);
            ctx.step(tip, trapezoid, stands.planform.tip_chord);
            ctx.step(span, trapezoid, stands.planform.span);
            ctx.step(sweep, trapezoid, stands.planform.sweep);
        }
        return Ok(stands.planform);
    }
    let chords = both(ctx.get(set, fins::root_chord), ctx.get(set, fins::tip_chord));
    let reach = both(ctx.get(set, fins::span), ctx.get(set, fins::sweep));
    let ((root_chord, tip_chord), (span, sweep)) = both(chords, reach)?;
    Ok(Planform { root_chord, tip_chord, span, sweep })
}

/// The steps that show the trapezoid that stands for a free outline: root chord, tip chord, span and sweep.
fn step_names(ctx: &EvalContext<'_>, set: Id<Fins>) -> [String; 4] {
    let whose = ctx.holder::<Section>(set).map(|section| ctx.name(section)).unwrap_or_default();
    ["root chord", "tip chord", "span", "sweep"].map(|what| format!("{what} of the fins of {whose}"))
}

/// The lines of the trapezoid of a set of fins, by which formulas name it: root chord, tip chord, span and sweep.
pub(super) fn planform_lines(ctx: &EvalContext<'_>, set: Id<Fins>) -> [String; 4] {
    if ctx.has(set, fins::leading_edge) == Ok(true) {
        return step_names(ctx, set).map(|step| format!("{{{step}}}"));
    }
    [fins::root_chord, fins::tip_chord, fins::span, fins::sweep].map(|key| ctx.field_line(set, key))
}

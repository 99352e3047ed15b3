//! Parachutes by themselves: their drag area alone and together, and the heights at which they open.

use super::ascent::APOGEE;
use super::computed::computed;
use super::{EvalContext, Formula, Outcome, both};
use crate::design::{Altimeter, Circuit, Parachute, Rocket, altimeter, circuit, parachute, release};
use crate::engineering::parachute as canopy;
use crate::quantity::{Area, Length, Styled};
use crate::vocabulary::Id;

computed! {
    /// Drag coefficient times its area.
    DRAG_AREA: "drag_area" of Parachute gives Area,
        Formula::expression("{drag_coefficient} × π / 4 × {diameter}²"), "", drag_area;
    /// Whether it opens at a height on the way down: let out by the main channel of an altimeter, or held shut by a release.
    OPENS_LOW: "opens_low" of Parachute gives bool, Formula::condition("opens at main, or has a release"), "", opens_low;
    /// The height above the field at which it opens.
    OPENING_HEIGHT: "opening_height" of Parachute gives Length,
        Formula::expression("least of apogee, the height of its release, and the greatest main height of the altimeters where it opens at main"),
        "", opening_height;
    /// The height above the field at which the main is let out first: the highest that an altimeter is set to. Altimeters with no circuit on their main channel are not counted where others have one.
    MAIN_HEIGHT: "main_height" of Rocket gives Styled<Length>, Formula::expression("greatest main height of the altimeters that let it out"), "", |ctx, id| main_height(ctx, id, true);
    /// The height above the field at which the main is let out last: the lowest that an altimeter is set to. Altimeters with no circuit on their main channel are not counted where others have one.
    LOWEST_MAIN_HEIGHT: "lowest_main_height" of Rocket gives Styled<Length>, Formula::expression("least main height of the altimeters that let it out"), "", |ctx, id| main_height(ctx, id, false);
}

fn drag_area(ctx: &EvalContext<'_>, id: Id<Parachute>) -> Outcome<Area> {
    let coefficient = ctx.get(id, parachute::drag_coefficient);
    if ctx.has(id, parachute::reference_area)? {
        let (coefficient, area) = both(coefficient, ctx.get(id, parachute::reference_area))?;
        ctx.formula(|| Formula::expression("{drag_coefficient} × {reference_area}"));
        return Ok(area * coefficient);
    }
    let (coefficient, across) = both(coefficient, ctx.get(id, parachute::diameter))?;
    ctx.or_refuse(canopy::round_canopy(coefficient, across))
}

/// Whether a parachute opens at a height on the way down: let out by the main channel, or held shut by a release.
pub(super) fn opens_low(ctx: &EvalContext<'_>, id: Id<Parachute>) -> Outcome<bool> {
    Ok(ctx.get(id, parachute::opens_at)? == "main" || ctx.has(id, parachute::release)?)
}

/// The height above the field at which a parachute opens.
pub(super) fn opening_height(ctx: &EvalContext<'_>, id: Id<Parachute>) -> Outcome<Length> {
    let root = ctx.rocket();
    let top = ctx.query(root, &APOGEE);
    let (held, comes_out) = both(ctx.part(id, parachute::release), ctx.get(id, parachute::opens_at))?;
    let height = match (held, comes_out == "main") {
        (Some(held), false) => {
            ctx.formula(|| Formula::expression("least of ({height}, {apogee})"));
            ctx.get(held, release::height)
        }
        (Some(held), true) => {
            // It cannot open before it is let out, wherever its release is set.
            ctx.formula(|| Formula::expression("least of ({height}, {main_height}, {apogee})"));
            both(ctx.get(held, release::height), ctx.query(root, &MAIN_HEIGHT))
                .map(|(opens, out)| if opens < out { opens } else { out })
        }
        (None, true) => {
            ctx.formula(|| Formula::expression("least of ({main_height}, {apogee})"));
            ctx.query(root, &MAIN_HEIGHT)
        }
        (None, false) => {
            ctx.formula(|| Formula::choice("{apogee}, where it opens"));
            return top;
        }
    };
    let (height, top) = both(height, top)?;
    Ok(if height < top { height } else { top })
}

fn main_height(ctx: &EvalContext<'_>, _: Id<Rocket>, highest: bool) -> Outcome<Styled<Length>> {
    let mut found: Option<Styled<Length>> = None;
    let mut lines = Vec::new();
    let all = ctx.every::<Altimeter>();
    // One of which it is not known whether it lets out the main counts as if it did.
    let wired: Vec<bool> = all.iter().map(|one| lets_out_main(ctx, *one).unwrap_or(true)).collect();
    let any_wired = wired.contains(&true);
    for (one, wired) in all.into_iter().zip(wired) {
        if any_wired && !wired {
            continue;
        }
        if ctx.has(one, altimeter::main_height).unwrap_or(true) {
            let height = ctx.quantity(one, altimeter::main_height)?;
            if ctx.is_recording() {
                lines.push(ctx.field_line(one, altimeter::main_height));
            }
            let better = found.is_none_or(|so_far| {
                let (new, old) = (height.value(), so_far.value());
                if highest { new > old } else { new < old }
            });
            if better {
                found = Some(height);
            }
        } else if lets_out_main(ctx, one)? {
            return Err(ctx.missing(one, altimeter::main_height));
        }
    }
    ctx.formula(|| {
        let word = if highest { "greatest" } else { "least" };
        Formula::Expression(format!("{word} of ({})", lines.join(", ")).into())
    });
    found.ok_or_else(|| ctx.refuse("no altimeter lets out a main"))
}

/// Whether a circuit on its main channel says that this altimeter lets out the main.
fn lets_out_main(ctx: &EvalContext<'_>, one: Id<Altimeter>) -> Outcome<bool> {
    for wired in ctx.every::<Circuit>() {
        let (fires, channel) = both(ctx.get(wired, circuit::altimeter), ctx.get(wired, circuit::channel))?;
        if fires == one && channel == "main" {
            return Ok(true);
        }
    }
    Ok(false)
}

/// How much of the sum of their drag areas canopies that hang together surely have: they crowd one another.
const TOGETHER: f64 = 0.9;

/// The drag area that canopies surely have together: the sum less a tenth, or the largest alone where that is more.
pub(super) fn surely(ctx: &EvalContext<'_>, canopies: &[Id<Parachute>]) -> Outcome<Area> {
    let (sum, most) = areas(ctx, canopies)?;
    Ok(if canopies.len() > 1 && sum * TOGETHER > most { sum * TOGETHER } else { most })
}

/// The lines of the drag areas of canopies.
pub(super) fn area_lines(ctx: &EvalContext<'_>, canopies: &[Id<Parachute>]) -> Vec<String> {
    canopies.iter().map(|canopy| ctx.line(*canopy, DRAG_AREA.name)).collect()
}

/// The drag area that canopies surely have together, as formulas have it.
pub(super) fn surely_line(ctx: &EvalContext<'_>, canopies: &[Id<Parachute>]) -> String {
    match area_lines(ctx, canopies).as_slice() {
        [one] => one.clone(),
        lines => format!("greatest of ({TOGETHER} × ({}), {})", lines.join(" + "), lines.join(", ")),
    }
}

/// The sum of the drag areas of canopies, and the largest.
pub(super) fn areas(ctx: &EvalContext<'_>, canopies: &[Id<Parachute>]) -> Outcome<(Area, Area)> {
    let mut all = Ok((Area::from_si(0.0), Area::from_si(0.0)));
    for canopy in canopies {
        all = both(all, ctx.query(*canopy, &DRAG_AREA))
            .map(|((sum, most), a)| (sum + a, if a > most { a } else { most }));
    }
    all
}

//! The wind over the field, as a design states it.

use super::{EvalContext, Outcome, both};
use crate::design::{Flight, flight};
use crate::engineering::fall::{MAST, Wind};
use crate::quantity::Length;
use crate::vocabulary::Id;

/// The wind as it is stated: by heights where a forecast is written down, else that of the field at every height.
pub(super) fn stated(ctx: &EvalContext<'_>, place: Id<Flight>) -> Outcome<Wind> {
    match by_heights(ctx, place)? {
        Some(wind) => Ok(wind),
        None => Ok(Wind::Steady(ctx.get(place, flight::wind)?)),
    }
}

/// The wind by heights where a forecast is written down, else one that grows from that of the field as over open ground.
pub(super) fn over_open_ground(ctx: &EvalContext<'_>, place: Id<Flight>) -> Outcome<Wind> {
    if let Some(wind) = by_heights(ctx, place)? {
        return Ok(wind);
    }
    let speed = ctx.get(place, flight::wind)?;
    let measured_at = match ctx.has(place, flight::wind_height)? {
        true => ctx.get(place, flight::wind_height)?,
        false => Length::from_si(MAST),
    };
    Ok(Wind::OpenGround { speed, measured_at })
}

fn by_heights(ctx: &EvalContext<'_>, place: Id<Flight>) -> Outcome<Option<Wind>> {
    if !ctx.has(place, flight::winds_aloft)? {
        return Ok(None);
    }
    let (ground, list) = both(ctx.get(place, flight::wind), ctx.get(place, flight::winds_aloft))?;
    ctx.or_refuse(Wind::by_heights(ground, &list)).map(Some)
}

//! The flight as it is planned, and the air of its day.

use super::{EvalContext, Formula, Outcome, both};
use crate::design::{Flight, Rocket, flight, rocket};
use crate::engineering::atmosphere::{self, Air};
use crate::quantity::Length;
use crate::vocabulary::Id;

/// The air at the field on the day.
pub(super) const DAY_AT_FIELD: Formula =
    Formula::method("ideal gas at `temperature` and the standard pressure of `site_elevation`");
/// The air at a height above it.
pub(super) const DAY_AT_HEIGHT: Formula = Formula::method(
    "ideal gas at the standard pressure of that height, warmer than the standard day by `temperature_offset`",
);

/// The flight that is planned.
pub(super) fn planned_flight(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Id<Flight>> {
    ctx.part(root, rocket::flight)?.ok_or_else(|| ctx.refuse("no flight is described"))
}

/// The air of the standard day at an altitude.
pub(super) fn standard_air(ctx: &EvalContext<'_>, altitude: Length) -> Outcome<Air> {
    atmosphere::at(altitude).map_err(|error| ctx.refuse(error.to_string()))
}

/// The air at the field on the day.
pub(super) fn air_at_field(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Air> {
    let place = planned_flight(ctx, root)?;
    let (elevation, temperature) =
        both(ctx.get(place, flight::site_elevation), ctx.get(place, flight::temperature))?;
    let standard = standard_air(ctx, elevation)?;
    ctx.or_refuse(atmosphere::of(standard.pressure, temperature))
}

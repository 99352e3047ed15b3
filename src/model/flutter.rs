//! Fins against flutter along the computed ascent.

use super::airflow::standard_air;
use super::ascent::flown;
use super::joints::computed;
use super::planform::planform;
use super::{AnyComputed, EvalContext, Outcome, both};
use crate::design::{Fins, fins};
use crate::engineering::flutter::{self, Plate};
use crate::engineering::planform::Planform;
use crate::quantity::{Quantity, Speed};
use crate::tables::material;
use crate::vocabulary::Id;

computed! {
    /// The airspeed at which the fins flutter, where the ascent comes nearest to it.
    FLUTTER_SPEED: "flutter_speed" of Fins gives Speed,
        "a √(G / (2.6738 p A³ / ((t/c)³ (A + 2)) × (λ + 1)/2)), A = span² / fin area, λ = tip chord / root chord, t/c on the root chord",
        "NACA Technical Note 4197 (1958), equation 18, with 39.3 psi and (λ + 1)/2 (from memory)", |ctx, id| {
            let (speed, _) = worst(ctx, id)?;
            Ok(speed)
        };
    /// Flutter speed over airspeed where that is least on the ascent: 1 is flutter.
    FLUTTER_MARGIN: "flutter_ratio" of Fins gives f64,
        "flutter speed / airspeed at the highest dynamic pressure, where the ratio is least: it goes with 1/√(½ × density × airspeed²)",
        "the same", |ctx, id| {
            let (speed, airspeed) = worst(ctx, id)?;
            Ok(speed.si() / airspeed.si())
        };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&FLUTTER_SPEED, &FLUTTER_MARGIN];

/// The flutter speed and the airspeed where the one comes nearest to the other.
fn worst(ctx: &EvalContext<'_>, id: Id<Fins>) -> Outcome<(Speed, Speed)> {
    let modulus = if ctx.has(id, fins::shear_modulus)? {
        ctx.get(id, fins::shear_modulus)
    } else {
        ctx.get(ctx.get(id, fins::material)?, material::shear_modulus)
    };
    let flight = flown(ctx, ctx.rocket());
    let (Planform { root_chord, tip_chord, span, .. }, (thickness, (shear_modulus, flight))) =
        both(planform(ctx, id), both(ctx.get(id, fins::thickness), both(modulus, flight)))?;
    let peak = flight.calm().peak_dynamic_pressure;
    let site = flight.site();
    // The ratio is a product of the fin and of √q alone, so the air may be the standard one: the day's temperature cancels.
    let air = standard_air(ctx, site.elevation + peak.height)?;
    let airspeed = Speed::from_si((2.0 * peak.value.si() / air.density.si()).sqrt());
    let plate = Plate { root_chord, tip_chord, span, thickness, shear_modulus };
    let speed = ctx.or_refuse(flutter::speed(&plate, &air))?;
    let aspect = 2.0 * span.si() / (root_chord.si() + tip_chord.si());
    ctx.step("height above the field", "where the dynamic pressure is highest", peak.height);
    ctx.step("highest dynamic pressure q", "of the ascent", peak.value);
    ctx.step("pressure p", "standard atmosphere", air.pressure);
    ctx.step("speed of sound a", "standard atmosphere", air.speed_of_sound);
    ctx.step("airspeed there", "√(2 q / standard density)", airspeed);
    ctx.step("A", "span² / area of one fin", Quantity::number(aspect));
    ctx.step("t/c", "thickness / root chord", Quantity::number(thickness.si() / root_chord.si()));
    ctx.step("λ", "tip chord / root chord", Quantity::number(tip_chord.si() / root_chord.si()));
    ctx.step("G", "shear modulus as written, else of the material, low end", shear_modulus);
    Ok((speed, airspeed))
}

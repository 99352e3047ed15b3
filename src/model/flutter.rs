//! Fins against flutter along the computed ascent.

use super::airflow::standard_air;
use super::ascent::flown;
use super::joints::computed;
use super::planform::planform;
use super::{EvalContext, Computed, Outcome, Type, both};
use crate::design::{FINS, fins};
use crate::engineering::flutter::{self, Plate};
use crate::engineering::planform::Planform;
use crate::quantity::{Dimension as D, Length, Pressure, Quantity, Speed};
use crate::tables::material;
use crate::vocabulary::{EntityId, Value};

computed! {
    /// The airspeed at which the fins flutter, where the ascent comes nearest to it.
    FLUTTER_SPEED: "flutter_speed" of FINS gives Type::Quantity(D::SPEED),
        "a √(G / (2.6738 p A³ / ((t/c)³ (A + 2)) × (λ + 1)/2)), A = span² / fin area, λ = tip chord / root chord, t/c on the root chord",
        "NACA Technical Note 4197 (1958), equation 18, with 39.3 psi and (λ + 1)/2 (from memory)", |asking, id| {
            let (speed, _) = worst(asking, id)?;
            Ok(Value::Quantity(speed.into()))
        };
    /// Flutter speed over airspeed where that is least on the ascent: 1 is flutter.
    FLUTTER_MARGIN: "flutter_ratio" of FINS gives Type::Quantity(D::NUMBER),
        "flutter speed / airspeed at the highest dynamic pressure, where the ratio is least: it goes with 1/√(½ × density × airspeed²)",
        "the same", |asking, id| {
            let (speed, airspeed) = worst(asking, id)?;
            Ok(Value::Quantity(Quantity::number(speed.si() / airspeed.si())))
        };
}

pub(super) const COMPUTED: &[&Computed] = &[&FLUTTER_SPEED, &FLUTTER_MARGIN];

/// The flutter speed and the airspeed where the one comes nearest to the other.
fn worst(asking: &EvalContext<'_>, id: EntityId) -> Outcome<(Speed, Speed)> {
    let modulus = match asking.get(id, fins::material)? {
        Value::Entity(row) => asking.typed::<Pressure>(row, material::shear_modulus),
        _ => Err(asking.refuse("the fins' material is not one of the table's")),
    };
    let flight = flown(asking, asking.model().root());
    let (Planform { root_chord, tip_chord, span, .. }, (thickness, (shear_modulus, flight))) =
        both(planform(asking, id), both(asking.typed::<Length>(id, fins::thickness), both(modulus, flight)))?;
    let peak = flight.calm().peak_dynamic_pressure;
    let site = flight.site();
    // The ratio is a product of the fin and of √q alone, so the air may be the standard one: the day's temperature cancels.
    let air = standard_air(asking, site.elevation + peak.height)?;
    let airspeed = Speed::from_si((2.0 * peak.value.si() / air.density.si()).sqrt());
    let plate = Plate { root_chord, tip_chord, span, thickness, shear_modulus };
    let speed = asking.worked(flutter::speed(&plate, &air))?;
    let aspect = 2.0 * span.si() / (root_chord.si() + tip_chord.si());
    asking.step("height above the field", "where the dynamic pressure is highest", peak.height);
    asking.step("highest dynamic pressure q", "of the ascent", peak.value);
    asking.step("pressure p", "standard atmosphere", air.pressure);
    asking.step("speed of sound a", "standard atmosphere", air.speed_of_sound);
    asking.step("airspeed there", "√(2 q / standard density)", airspeed);
    asking.step("A", "span² / area of one fin", Quantity::number(aspect));
    asking.step("t/c", "thickness / root chord", Quantity::number(thickness.si() / root_chord.si()));
    asking.step("λ", "tip chord / root chord", Quantity::number(tip_chord.si() / root_chord.si()));
    asking.step("G", "shear modulus of the material, low end", shear_modulus);
    Ok((speed, airspeed))
}

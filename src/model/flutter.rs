//! Fins against flutter along the computed ascent.

use super::ascent::flight_result;
use super::computed::computed;
use super::launch_site::standard_air;
use super::planform::{planform, planform_lines};
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{Fins, fins};
use crate::engineering::flutter::{self, Plate};
use crate::engineering::planform::Planform;
use crate::quantity::{Length, Pressure, Quantity, Speed};
use crate::tables::material;
use crate::vocabulary::Id;

const FLUTTER: Formula =
    Formula::expression("{a} × √({G} / (2.6738 × {p} × {A}³ / ({t/c}³ × ({A} + 2)) × ({λ} + 1) / 2))");

const FLUTTER_SOURCE: &str =
    "NACA Technical Note 4197 (1958), equation 18, with 39.3 psi and (λ + 1)/2 (from memory)";

computed! {
    /// The airspeed at which the fins flutter, where the ascent comes nearest to it.
    FLUTTER_SPEED: "flutter_speed" of Fins gives Speed,
        FLUTTER,
        FLUTTER_SOURCE, |ctx, id| {
            let (speed, _) = worst(ctx, id)?;
            Ok(speed)
        };
    /// Flutter speed over airspeed where that is least on the ascent: 1 is flutter.
    FLUTTER_MARGIN: "flutter_ratio" of Fins gives f64,
        Formula::expression("{flutter speed} / {airspeed}"),
        FLUTTER_SOURCE, |ctx, id| {
            let (speed, airspeed) = worst(ctx, id)?;
            ctx.step("flutter speed", || FLUTTER, speed);
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
    let flight = flight_result(ctx, ctx.rocket());
    let (Planform { root_chord, tip_chord, span, .. }, ((sheet, flight), skins)) = both(
        planform(ctx, id),
        both(both(both(ctx.get(id, fins::thickness), modulus), flight), skins(ctx, id)),
    )?;
    let (thickness, shear_modulus) = match skins {
        Some(skins) => ctx.or_refuse(flutter::with_skins(sheet, skins))?,
        None => sheet,
    };
    let peak = flight.calm().peak_dynamic_pressure;
    let site = flight.site();
    // The ratio is a product of the fin and of √q alone, so the air may be the standard one: the day's temperature cancels.
    let air = standard_air(ctx, site.elevation + peak.height)?;
    let airspeed = Speed::from_si((2.0 * peak.value.si() / air.density.si()).sqrt());
    let plate = Plate { root_chord, tip_chord, span, thickness, shear_modulus };
    let speed = ctx.or_refuse(flutter::speed(&plate, &air))?;
    if ctx.is_recording() {
        let [root, tip, span, _] = planform_lines(ctx, id);
        let standard = || Formula::method("standard atmosphere at that height");
        let over = |a: &str, b: &str| Formula::Expression(format!("{a} / {b}").into());
        let number = Quantity::number;
        ctx.step(
            "height above the field",
            || {
                Formula::method(
                    "integrated: where the dynamic pressure of the ascent is highest, and the ratio least",
                )
            },
            peak.height,
        );
        ctx.step("q, highest dynamic pressure", || Formula::method("integrated: of the ascent"), peak.value);
        ctx.step("ρ, standard density", standard, air.density);
        ctx.step("p, standard pressure", standard, air.pressure);
        ctx.step("a, speed of sound", standard, air.speed_of_sound);
        ctx.step("airspeed", || Formula::expression("√(2 × {q} / {ρ})"), airspeed);
        let chords = format!("2 × {span} / ({root} + {tip})");
        ctx.step(
            "A, span² / area of one fin",
            || Formula::Expression(chords.into()),
            number(plate.aspect_ratio()),
        );
        let thickness_ratio = number(thickness.si() / root_chord.si());
        let [sheet_line, skin_line] =
            [fins::thickness, fins::laid_thickness].map(|key| ctx.field_line(id, key));
        let whole = match skins {
            Some(_) => format!("({sheet_line} + 2 × {skin_line})"),
            None => sheet_line.clone(),
        };
        ctx.step("t/c", || over(&whole, &root), thickness_ratio);
        ctx.step("λ", || over(&tip, &root), number(tip_chord.si() / root_chord.si()));
        let written = ctx.has(id, fins::shear_modulus) == Ok(true);
        let what =
            if written { "{shear_modulus}, as written" } else { "{shear_modulus}, of the material, low end" };
        let Some((_, skin_modulus)) = skins else {
            ctx.step("G", || Formula::choice(what), shear_modulus);
            return Ok((speed, airspeed));
        };
        ctx.step("G of the sheet", || Formula::choice(what), sheet.1);
        ctx.step("G of the cloth", || Formula::method("of `laid_material`, low end"), skin_modulus);
        let laminate = format!(
            "({{G of the sheet}} × {sheet_line}³ + {{G of the cloth}} × ({whole}³ − {sheet_line}³)) / {whole}³"
        );
        ctx.step("G", || Formula::Expression(laminate.into()), shear_modulus);
    }
    Ok((speed, airspeed))
}

/// The cloth on each side of the fins: its thickness and shear modulus, where it reaches from tip to tip and both are written. Over the roots
/// only, or of unknown thickness, it is not counted.
fn skins(ctx: &EvalContext<'_>, id: Id<Fins>) -> Outcome<Option<(Length, Pressure)>> {
    let counted = ctx.has(id, fins::laid_over)?
        && ctx.get(id, fins::laid_over)? == "tip to tip"
        && ctx.has(id, fins::laid_thickness)?
        && ctx.has(id, fins::laid_material)?;
    if !counted {
        return Ok(None);
    }
    let modulus = ctx.get(id, fins::laid_material).and_then(|row| ctx.get(row, material::shear_modulus));
    both(ctx.get(id, fins::laid_thickness), modulus).map(Some)
}

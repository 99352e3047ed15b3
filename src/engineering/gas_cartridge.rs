//! Cartridges of liquid carbon dioxide: the pressure of their gas in a closed volume.
//!
//! **Caution.** How much of the gas is felt hangs on how fast air and walls warm it: after the liquid has boiled off it is far colder than
//! the tube. Two bounds are given, with nothing warming it but the air of the space, and with all of it as warm as the field. Between
//! them **only a ground test decides**, with a cartridge as cold as it will be on the day.

use super::{Unworkable, above_zero, zero_or_more};
use crate::quantity::{Mass, Pressure, Temperature, Volume};

/// Specific gas constant of carbon dioxide, J/(kg K): 8.314462618 J/(mol K) over 44.0095 g/mol.
const GAS_CONSTANT: f64 = 188.924;
/// Specific gas constant of dry air, J/(kg K) (U.S. Standard Atmosphere, 1976).
const AIR_CONSTANT: f64 = 287.053;
/// Critical temperature, K, and pressure, Pa; acentric factor; triple point, K and Pa (Span and Wagner 1996).
const CRITICAL: (f64, f64) = (304.128_2, 7.377_3e6);
const ACENTRIC: f64 = 0.223_94;
const TRIPLE: (f64, f64) = (216.592, 0.517_95e6);
/// Heat of sublimation at 194.7 K, J/kg (from memory).
const SUBLIMATION: f64 = 571e3;
/// The coldest and the warmest field for which these figures hold, K.
pub const RANGE: (f64, f64) = (253.149, 323.151);

/// The heat that the stored liquid takes to become a thin gas of the same temperature at a constant volume: °C, kJ/kg.
///
/// u(T, ρ → 0) − u(T, 750 kg/m³), the mean density in a cartridge. Source: Span and Wagner, *A new equation of state for carbon
/// dioxide*, J. Phys. Chem. Ref. Data 25 (1996), evaluated apart from this program.
const HEAT_TO_EVAPORATE: [(f64, f64); 6] =
    [(-20.0, 264.6), (-10.0, 248.9), (0.0, 232.6), (10.0, 215.6), (20.0, 197.4), (30.0, 190.7)];

/// The most pressure over the air outside that a mass of carbon dioxide comes to in a volume: all of it gas, and as warm as the
/// field.
///
/// Range: fields from −20 to 50 °C. The pressure of the saturated liquid bounds it where there is too little room for all of
/// the gas. Source: Peng and Robinson, *A new two-constant equation of state*, Ind. Eng. Chem. Fundam. 15 (1976); the pressure
/// of saturation by the auxiliary equation of Span and Wagner (1996).
///
/// # Errors
/// A volume that is not above zero, a mass below zero, a temperature beyond the range.
pub fn warm_rise(gas: Mass, free_volume: Volume, field: Temperature) -> Result<Pressure, Unworkable> {
    let (mass, volume, at) = inputs(gas, free_volume, field)?;
    if mass == 0.0 {
        return Ok(Pressure::from_si(0.0));
    }
    let (critical, pressure) = CRITICAL;
    let a = 0.457_24 * (GAS_CONSTANT * critical).powi(2) / pressure;
    let b = 0.077_80 * GAS_CONSTANT * critical / pressure;
    let kappa = 0.374_64 + 1.542_26 * ACENTRIC - 0.269_92 * ACENTRIC * ACENTRIC;
    let alpha = (1.0 + kappa * (1.0 - (at / critical).sqrt())).powi(2);
    let equation = |v: f64| GAS_CONSTANT * at / (v - b) - a * alpha / (v * v + 2.0 * b * v - b * b);
    let v = volume / mass;
    if let Some(most) = saturation(at) {
        // Below the volume at which the vapour is saturated some of it is liquid, and the equation is not followed there.
        let mut saturated = GAS_CONSTANT * at / most;
        while equation(saturated) < most && saturated > 2.0 * b {
            saturated *= 0.99;
        }
        return Ok(Pressure::from_si(if v <= saturated { most } else { equation(v).min(most) }));
    }
    if v <= 2.0 * b {
        return Err(Unworkable::because("the volume is too small for so much carbon dioxide to be a gas"));
    }
    Ok(Pressure::from_si(equation(v)))
}

/// The least pressure over the air outside that a mass of carbon dioxide comes to in a volume: nothing warms it but the air in that space,
/// and what does not evaporate lies there as dry ice.
///
/// `outside` is the air's pressure before. Warmer fields than 30 °C are taken as 30 °C, so that it stays a least one. Never below zero.
/// Range: as [`warm_rise`]. Above the triple point's 5.2 bar it is counted no further.
/// Source: conservation of energy in a closed volume; gases without forces between their molecules, their heat by statistical mechanics;
/// dry ice by the sublimation pressure of Span and Wagner (1996) and 571 kJ/kg.
///
/// # Errors
/// As [`warm_rise`].
pub fn cold_rise(
    gas: Mass,
    free_volume: Volume,
    field: Temperature,
    outside: Pressure,
) -> Result<Pressure, Unworkable> {
    let (mass, volume, at) = inputs(gas, free_volume, field)?;
    let outside = above_zero("the pressure outside", outside.si())?;
    let start = at.min(303.15);
    let air = outside * volume / (AIR_CONSTANT * start);
    let air_heat = 2.5 * AIR_CONSTANT;
    let energy = mass * (thin_gas_energy(start) - heat_to_evaporate(start)) + air * air_heat * start;
    // What is left over when all is at a temperature: it falls as that rises, and is zero where the space settles.
    let left = |t: f64| {
        let evaporated = (sublimation_pressure(t) * volume / (GAS_CONSTANT * t)).min(mass);
        let ice = mass - evaporated;
        energy - mass * thin_gas_energy(t) + ice * (SUBLIMATION - GAS_CONSTANT * t) - air * air_heat * t
    };
    let (mut low, mut high) = (100.0, start);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if left(middle) > 0.0 { low = middle } else { high = middle }
    }
    let carbon_dioxide = (mass * GAS_CONSTANT * low / volume).min(sublimation_pressure(low)).min(TRIPLE.1);
    Ok(Pressure::from_si((carbon_dioxide + outside * (low / start - 1.0)).max(0.0)))
}

fn inputs(gas: Mass, free_volume: Volume, field: Temperature) -> Result<(f64, f64, f64), Unworkable> {
    let mass = zero_or_more("the mass of carbon dioxide", gas.si())?;
    let volume = above_zero("the free volume", free_volume.si())?;
    let at = field.si();
    if at.is_nan() || at < RANGE.0 || at > RANGE.1 {
        return Err(Unworkable::because("what a gas cartridge gives is known for fields from −20 to 50 °C"));
    }
    Ok((mass, volume, at))
}

/// Pressure of saturation, Pa, at a temperature in K; none above the critical one. Source: Span and Wagner (1996), eq. 3.13.
fn saturation(at: f64) -> Option<f64> {
    let (critical, pressure) = CRITICAL;
    let x = 1.0 - at / critical;
    (x > 0.0).then(|| {
        let sum = -7.060_208_7 * x + 1.939_121_8 * libm::pow(x, 1.5)
            - 1.646_359_7 * x * x
            - 3.299_563_4 * x.powi(4);
        pressure * libm::exp(sum * critical / at)
    })
}

/// Pressure of sublimation, Pa, at a temperature in K; that of the triple point's tangent above it. Source: Span and Wagner (1996), eq. 3.12.
fn sublimation_pressure(at: f64) -> f64 {
    let (triple, pressure) = TRIPLE;
    let x = (1.0 - at / triple).max(0.0);
    let sum = -14.740_846 * x + 2.432_701_5 * libm::pow(x, 1.9) - 5.306_177_8 * libm::pow(x, 2.9);
    if at < triple {
        pressure * libm::exp(sum * triple / at)
    } else {
        pressure * libm::exp(14.740_846 * (1.0 - triple / at))
    }
}

/// Energy of the thin gas, J/kg, from absolute zero: motion, turning and the four vibrations of the molecule. Source: statistical
/// mechanics, with 667 cm⁻¹ twice, 1333 and 2349 cm⁻¹.
fn thin_gas_energy(at: f64) -> f64 {
    let vibrations = [960.2, 960.2, 1918.0, 3380.0];
    let each = |theta: f64| theta / (libm::exp(theta / at) - 1.0);
    GAS_CONSTANT * (2.5 * at + vibrations.into_iter().map(each).sum::<f64>())
}

/// The heat that the stored liquid takes, J/kg, at a temperature in K.
fn heat_to_evaporate(at: f64) -> f64 {
    let celsius = at - 273.15;
    let mut last = HEAT_TO_EVAPORATE[0];
    for point in HEAT_TO_EVAPORATE {
        if celsius <= point.0 && point.0 > last.0 {
            let share = (celsius - last.0) / (point.0 - last.0);
            return 1e3 * (last.1 + share * (point.1 - last.1));
        }
        last = point;
    }
    1e3 * last.1
}

//! Igniters: what current a battery drives through the wiring into the bridge.

use super::{Unworkable, above_zero, at_least_one, finite, zero_or_more};
use crate::quantity::{Area, Current, Energy, Length, Resistance, Time, Voltage};

/// Resistivity of annealed copper at 20 °C, 1/58 Ω mm²/m, in Ω m (IEC 60028, the international annealed copper standard, from memory).
pub const COPPER: f64 = 1e-6 / 58.0;

/// How several igniters share a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arrangement {
    /// One after the other: each gets the whole current, and one that opens first starves the rest.
    Series,
    /// Side by side: each gets its share.
    Parallel,
}

/// A firing circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circuit {
    /// Battery voltage U without load.
    pub voltage: Voltage,
    /// Internal resistance R_b of the battery; zero if not known.
    pub battery: Resistance,
    /// Resistance R_w of all wiring, switches and connectors, out and back.
    pub wiring: Resistance,
    /// Resistance R_i of one igniter.
    pub igniter: Resistance,
    /// Number n of igniters.
    pub count: u32,
    /// How they are connected.
    pub arrangement: Arrangement,
}

/// Current I through each igniter at the moment of firing: U/(R_b + R_w + n R_i) in series, U/(n (R_b + R_w) + R_i) in
/// parallel.
///
/// Holds for a steady battery and before the bridge heats up and opens; an electronic output may limit the current below this.
/// Source: Ohm's and Kirchhoff's laws.
///
/// # Errors
/// No igniter, a voltage or igniter resistance that is not above zero, another resistance below zero.
pub fn current(circuit: &Circuit) -> Result<Current, Unworkable> {
    let u = above_zero("the voltage of the battery", circuit.voltage.si())?;
    let before = zero_or_more("the resistance of the battery", circuit.battery.si())?
        + zero_or_more("the resistance of the wiring", circuit.wiring.si())?;
    let bridge = above_zero("the resistance of the igniter", circuit.igniter.si())?;
    let n = at_least_one("igniter", circuit.count)?;
    let resistance = match circuit.arrangement {
        Arrangement::Series => before + n * bridge,
        Arrangement::Parallel => n * before + bridge,
    };
    finite("the current", u / resistance).map(Current::from_si)
}

/// Energy E that a current I leaves in a bridge of resistance R within the time t: E = I² R t.
///
/// Holds while the bridge has not opened. Source: Joule's law.
///
/// # Errors
/// A current or time below zero, a resistance that is not above zero.
pub fn bridge_energy(current: Current, igniter: Resistance, time: Time) -> Result<Energy, Unworkable> {
    let i = zero_or_more("the current", current.si())?;
    let r = above_zero("the resistance of the igniter", igniter.si())?;
    let t = zero_or_more("the time", time.si())?;
    finite("the energy in the bridge", i * i * r * t).map(Energy::from_si)
}

/// Resistance R of a copper lead pair of length l one way, each core of cross-section A: R = 2 ρ l/A, at 20 °C.
///
/// Source: Ohm's law; resistivity from IEC 60028.
///
/// # Errors
/// A length below zero, a cross-section that is not above zero.
pub fn lead_resistance(one_way: Length, core: Area) -> Result<Resistance, Unworkable> {
    let l = zero_or_more("the length of the leads", one_way.si())?;
    let a = above_zero("the cross-section of the wire", core.si())?;
    finite("the resistance of the leads", 2.0 * COPPER * l / a).map(Resistance::from_si)
}

/// Cross-section of a solid wire of American wire gauge number g: diameter 0.127 mm · 92^((36 − g)/39).
///
/// Range: 0 to 40. Source: ASTM B258's definition (from memory).
///
/// # Errors
/// A larger number.
pub fn gauge_area(gauge: u32) -> Result<Area, Unworkable> {
    if gauge > 40 {
        return Err(Unworkable::because("wire gauges run from 0 to 40"));
    }
    let d = 0.127e-3 * libm::pow(92_f64, (36.0 - f64::from(gauge)) / 39.0);
    Ok(Area::from_si(std::f64::consts::PI / 4.0 * d * d))
}

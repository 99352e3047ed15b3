//! The standard atmosphere: what the air is like at a height on a standard day.
//!
//! Source: *U.S. Standard Atmosphere, 1976* (NOAA, NASA, USAF), equations of part 1 (their numbers below are from
//! memory); identical with ISO 2533 below 32 km.
//! A real day differs: at one height the density of a hot summer day is commonly 5 to 10 % below the standard.

use std::fmt;
use std::sync::LazyLock;

use super::power_tables::Octaves;
use super::{STANDARD_GRAVITY, Unworkable};
use crate::quantity::{Density, Length, Pressure, Speed, Temperature};

/// Pressure at sea level p₀, Pa.
pub const SEA_LEVEL_PRESSURE: f64 = 101_325.0;
/// Temperature at sea level T₀, K.
pub const SEA_LEVEL_TEMPERATURE: f64 = 288.15;
/// Gas constant of air R = R*/M₀ = 8314.32 / 28.9644 J/(kg K).
pub const AIR_GAS_CONSTANT: f64 = 8_314.32 / 28.964_4;
/// Ratio of specific heats of air γ.
pub const HEAT_RATIO: f64 = 1.4;
/// Radius of the earth r₀ that turns geometric into geopotential height, m.
pub const EARTH_RADIUS: f64 = 6_356_766.0;
/// Lowest geometric altitude that is answered, m: where the tables of the standard begin.
pub const LOWEST: f64 = -5_000.0;
/// Highest geometric altitude that is answered, m.
pub const HIGHEST: f64 = 32_000.0;

/// Sutherland's constants for air: β, kg/(s m K^½), and S, K.
const SUTHERLAND: (f64, f64) = (1.458e-6, 110.4);

/// One layer: the geopotential height of its base in m, temperature there in K, pressure there in Pa, and the change of
/// temperature with height in K/m.
struct Layer {
    base: f64,
    temperature: f64,
    pressure: f64,
    lapse: f64,
}

/// The three lowest layers. The base pressures follow from the layer below; a test below proves that the layers join.
static LAYERS: [Layer; 3] = [
    Layer { base: 0.0, temperature: SEA_LEVEL_TEMPERATURE, pressure: SEA_LEVEL_PRESSURE, lapse: -0.006_5 },
    Layer { base: 11_000.0, temperature: 216.65, pressure: 22_632.063_973_462_937, lapse: 0.0 },
    Layer { base: 20_000.0, temperature: 216.65, pressure: 5_474.888_669_677_781, lapse: 0.001 },
];

/// The air at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Temperature T.
    pub temperature: Temperature,
    /// Static pressure p.
    pub pressure: Pressure,
    /// Density ρ = p/(R T).
    pub density: Density,
    /// Speed of sound a = √(γ R T).
    pub speed_of_sound: Speed,
    /// Dynamic viscosity μ = β T^1.5/(T + S), in Pa s.
    pub viscosity: f64,
}

/// An altitude outside [`LOWEST`] to [`HIGHEST`], or not a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutOfRange {
    /// The altitude that was asked for.
    pub altitude: Length,
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("the standard atmosphere is known here only from 5 km below to 32 km above sea level")
    }
}

impl std::error::Error for OutOfRange {}

impl From<OutOfRange> for Unworkable {
    fn from(out: OutOfRange) -> Self {
        Self::because(out.to_string())
    }
}

/// The standard air at a **geometric** altitude Z above mean sea level (what a tape down to the sea would measure).
///
/// Range: [`LOWEST`] to [`HIGHEST`]. Source: *U.S. Standard Atmosphere, 1976*, eqs 18, 23, 33, 42, 50, 51.
///
/// # Errors
/// Outside the range.
pub fn at(altitude: Length) -> Result<Air, OutOfRange> {
    Ok(at_height(geopotential(in_range(altitude)?).si()))
}

/// A geometric altitude, where the standard air is known at it.
pub(super) fn in_range(altitude: Length) -> Result<Length, OutOfRange> {
    if (LOWEST..=HIGHEST).contains(&altitude.si()) { Ok(altitude) } else { Err(OutOfRange { altitude }) }
}

/// The geometric altitudes where one layer ends and the next begins, the lowest first.
pub(super) fn layer_edges() -> [Length; 2] {
    let [_, second, third] = &LAYERS;
    [second, third].map(|layer| geometric(Length::from_si(layer.base)))
}

/// The air at a geometric altitude, m, on a day whose temperature differs from the standard one's by `offset`, K; the pressure is that of the
/// standard day. An altitude out of range is taken as the nearer end of it; one that is not a number gives no numbers.
pub fn on_day(altitude: f64, offset: f64) -> Air {
    let z = altitude.clamp(LOWEST, HIGHEST);
    let (pressure, temperature) = standard(EARTH_RADIUS * z / (EARTH_RADIUS + z));
    air(pressure, temperature + offset)
}

/// Change of the standard temperature with geopotential height, K/m, at such a height.
pub(super) fn lapse(height: f64) -> f64 {
    layer_where(|upper| height >= upper.base).lapse
}

/// Whether two pressures belong to one layer, a little above the lower end of the range.
pub(super) fn one_layer(p: f64, q: f64) -> bool {
    let of = |p: f64| layer_where(|upper| p <= upper.pressure).base;
    of(p) == of(q) && p.max(q) < 1.7e5
}

/// Geopotential height H = r₀ Z/(r₀ + Z) of a geometric altitude Z: the height at which constant gravity would need
/// the same energy.
///
/// Range: Z above −r₀. Source: *U.S. Standard Atmosphere, 1976*, eq. 18.
#[must_use]
pub fn geopotential(altitude: Length) -> Length {
    let z = altitude.si();
    Length::from_si(EARTH_RADIUS * z / (EARTH_RADIUS + z))
}

/// Geometric altitude Z = r₀ H/(r₀ − H) of a geopotential height H; the inverse of [`geopotential`].
///
/// Range: H below r₀. Source: *U.S. Standard Atmosphere, 1976*, eq. 19.
#[must_use]
pub fn geometric(height: Length) -> Length {
    let h = height.si();
    Length::from_si(EARTH_RADIUS * h / (EARTH_RADIUS - h))
}

/// Air of a given pressure p and temperature T: the pressure of a height with the temperature of the day.
///
/// Range: an ideal gas that is neither dense nor thin, about 150 to 350 K. Source: *U.S. Standard Atmosphere, 1976*, eqs 42,
/// 50, 51.
///
/// # Errors
/// A pressure or an absolute temperature that is not above zero.
pub fn of(pressure: Pressure, temperature: Temperature) -> Result<Air, Unworkable> {
    super::above_zero("the air pressure", pressure.si())?;
    super::above_zero("the absolute temperature", temperature.si())?;
    let air = air(pressure.si(), temperature.si());
    super::finite("the air", air.density.si() + air.speed_of_sound.si() + air.viscosity)?;
    Ok(air)
}

/// Pressure altitude: the **geopotential** height at which the standard atmosphere has the pressure p. This is what a
/// barometric altimeter works out. In the lowest layer H = (T₀/0.0065)(1 − (p/p₀)^0.190263).
///
/// Range: pressures of [`LOWEST`] to [`HIGHEST`]. Source: *U.S. Standard Atmosphere, 1976*, eq. 33 solved for H.
///
/// # Errors
/// Outside it.
pub fn pressure_altitude(pressure: Pressure) -> Result<Length, Unworkable> {
    let p = pressure.si();
    let unworkable =
        || Unworkable::because("no height from 5 km below to 32 km above sea level has this air pressure");
    if !p.is_finite() || p <= 0.0 {
        return Err(unworkable());
    }
    let layer = layer_where(|upper| p <= upper.pressure);
    let height = if layer.lapse == 0.0 {
        layer.base - AIR_GAS_CONSTANT * layer.temperature / STANDARD_GRAVITY * libm::log(p / layer.pressure)
    } else {
        let exponent = -layer.lapse * AIR_GAS_CONSTANT / STANDARD_GRAVITY;
        layer.base + layer.temperature / layer.lapse * (libm::pow(p / layer.pressure, exponent) - 1.0)
    };
    let height = Length::from_si(height);
    // A millimetre of slack, so that a pressure made at either end of the range finds its way back.
    if (LOWEST - 1e-3..=HIGHEST + 1e-3).contains(&geometric(height).si()) {
        Ok(height)
    } else {
        Err(unworkable())
    }
}

/// The highest layer whose base has been reached, by whatever sign of it; the lowest layer has no floor.
fn layer_where(reached: impl Fn(&Layer) -> bool) -> &'static Layer {
    let [low, middle, high] = &LAYERS;
    if reached(high) {
        high
    } else if reached(middle) {
        middle
    } else {
        low
    }
}

/// The standard air at geopotential height `h` in m, within the three layers.
fn at_height(h: f64) -> Air {
    let (pressure, temperature) = standard(h);
    air(pressure, temperature)
}

/// The exponent −g/(R λ) by which the pressure follows the temperature in a layer.
fn thinning(lapse: f64) -> f64 {
    -STANDARD_GRAVITY / (AIR_GAS_CONSTANT * lapse)
}

/// The pressure of the lowest layer by its temperature, both beside those at sea level, for temperatures of a half to twice as much.
static THINNING: LazyLock<Octaves> = LazyLock::new(|| {
    let [lowest, ..] = &LAYERS;
    let n = thinning(lowest.lapse);
    Octaves::new(-1, 1, |ratio| {
        let power = libm::pow(ratio, n);
        [power, n * power / ratio, n * (n - 1.0) * power / (ratio * ratio)]
    })
});

/// Pressure and temperature of the standard day at geopotential height `h`.
#[inline]
fn standard(h: f64) -> (f64, f64) {
    let layer = layer_where(|upper| h >= upper.base);
    let rise = h - layer.base;
    let temperature = layer.temperature + layer.lapse * rise;
    let pressure = if layer.lapse == 0.0 {
        layer.pressure * libm::exp(-STANDARD_GRAVITY * rise / (AIR_GAS_CONSTANT * layer.temperature))
    } else {
        let ratio = temperature / layer.temperature;
        let power = if layer.base == 0.0 { THINNING.at(ratio) } else { None };
        layer.pressure * power.unwrap_or_else(|| libm::pow(ratio, thinning(layer.lapse)))
    };
    (pressure, temperature)
}

fn air(p: f64, t: f64) -> Air {
    let (beta, s) = SUTHERLAND;
    Air {
        temperature: Temperature::from_si(t),
        pressure: Pressure::from_si(p),
        density: Density::from_si(p / (AIR_GAS_CONSTANT * t)),
        speed_of_sound: Speed::from_si((HEAT_RATIO * AIR_GAS_CONSTANT * t).sqrt()),
        viscosity: beta * t * t.sqrt() / (t + s),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_layers_join() {
        for pair in LAYERS.windows(2) {
            let [below, above] = pair else { continue };
            let reached = at_height(above.base * (1.0 - 1e-15));
            assert!((reached.pressure.si() / above.pressure - 1.0).abs() < 1e-12, "{}", above.base);
            assert!((reached.temperature.si() - above.temperature).abs() < 1e-9);
            assert!(below.base < above.base);
        }
    }
}

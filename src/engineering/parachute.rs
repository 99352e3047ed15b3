//! Parachutes: rate of descent, time and drift, energy at landing, and the jerk of opening.
//!
//! A drag coefficient means nothing without the area it refers to: a textbook's refers to the whole cloth of the canopy, while canopies of
//! the toroidal kind are sold with coefficients of 1.5 to 2.2 on the smaller area of their outline. Here the two always go together, as a drag area.

use std::f64::consts::PI;

use super::{STANDARD_GRAVITY, Unworkable, above_zero, finite, zero_or_more};
use crate::quantity::{Area, Density, Energy, Force, Length, Mass, Speed, Time};

/// A span between a low and a high value, where a coefficient is known as a band only.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band<T> {
    /// The low end.
    pub low: T,
    /// The high end.
    pub high: T,
}

/// Drag area C_D S of a canopy of drag coefficient C_D on the circle of diameter D: C_D π D²/4.
///
/// Source: definition of the drag coefficient.
///
/// # Errors
/// A coefficient or diameter that is not above zero.
pub fn round_canopy(drag_coefficient: f64, diameter: Length) -> Result<Area, Unworkable> {
    let cd = above_zero("the drag coefficient of the parachute", drag_coefficient)?;
    let d = above_zero("the diameter of the parachute", diameter.si())?;
    finite("the drag area of the parachute", cd * PI / 4.0 * d * d).map(Area::from_si)
}

/// Rate of descent v of a mass m under a drag area C_D S in air of density ρ: v = √(2 m g₀/(ρ C_D S)).
///
/// The mass is all that hangs from the canopy. What else drags is neglected unless added to the drag area; under a drogue alone
/// the separated sections can halve the rate. Source: T. W. Knacke, *Parachute Recovery Systems Design Manual*, NWC TP 6575,
/// sections 4.4 and 4.5.
///
/// # Errors
/// A value that is not above zero.
pub fn descent_rate(mass: Mass, drag_area: Area, density: Density) -> Result<Speed, Unworkable> {
    let m = above_zero("the mass under the parachute", mass.si())?;
    let cds = above_zero("the drag area of the parachute", drag_area.si())?;
    let rho = above_zero("the density of the air", density.si())?;
    finite("the rate of descent", (2.0 * m * STANDARD_GRAVITY / (rho * cds)).sqrt()).map(Speed::from_si)
}

/// Rates of descent over a band of drag coefficients on one area: the high coefficient gives the low rate.
///
/// Source: [`descent_rate`].
///
/// # Errors
/// Those of [`descent_rate`], a band upside down.
pub fn descent_rate_band(
    mass: Mass,
    drag_area: Band<Area>,
    density: Density,
) -> Result<Band<Speed>, Unworkable> {
    right_way_up("the drag area", drag_area.low.si(), drag_area.high.si())?;
    Ok(Band {
        low: descent_rate(mass, drag_area.high, density)?,
        high: descent_rate(mass, drag_area.low, density)?,
    })
}

/// Drag area C_D S that lets a mass m down at the speed v: C_D S = 2 m g₀/(ρ v²).
///
/// Source: [`descent_rate`] turned round.
///
/// # Errors
/// A value that is not above zero.
pub fn drag_area_for(mass: Mass, rate: Speed, density: Density) -> Result<Area, Unworkable> {
    let m = above_zero("the mass under the parachute", mass.si())?;
    let v = above_zero("the rate of descent", rate.si())?;
    let rho = above_zero("the density of the air", density.si())?;
    finite("the drag area", 2.0 * m * STANDARD_GRAVITY / (rho * v * v)).map(Area::from_si)
}

/// Time t for a height h at a constant rate of descent v: t = h/v.
///
/// Source: definition of speed.
///
/// # Errors
/// A height below zero, a rate that is not above zero.
pub fn time_at(height: Length, rate: Speed) -> Result<Time, Unworkable> {
    let h = zero_or_more("the height to fall", height.si())?;
    let v = above_zero("the rate of descent", rate.si())?;
    finite("the time of descent", h / v).map(Time::from_si)
}

/// Drift x in a constant wind w over the time t of the descent: x = w t, from straight above the opening.
///
/// Source: kinematics.
///
/// # Errors
/// A wind or time below zero.
pub fn drift(wind: Speed, time: Time) -> Result<Length, Unworkable> {
    let w = zero_or_more("the wind", wind.si())?;
    let t = zero_or_more("the time of descent", time.si())?;
    finite("the drift", w * t).map(Length::from_si)
}

/// Kinetic energy E of a section of mass m that lands at speed v: E = m v²/2.
///
/// Source: mechanics.
///
/// # Errors
/// A mass that is not above zero, a speed below zero.
pub fn landing_energy(section: Mass, speed: Speed) -> Result<Energy, Unworkable> {
    let m = above_zero("the mass of the section", section.si())?;
    let v = zero_or_more("the landing speed", speed.si())?;
    finite("the landing energy", m * v * v / 2.0).map(Energy::from_si)
}

/// Highest landing speed v of a section of mass m within an energy E: v = √(2 E/m).
///
/// Source: mechanics.
///
/// # Errors
/// A value that is not above zero.
pub fn speed_within(section: Mass, energy: Energy) -> Result<Speed, Unworkable> {
    let m = above_zero("the mass of the section", section.si())?;
    let e = above_zero("the landing energy", energy.si())?;
    finite("the landing speed", (2.0 * e / m).sqrt()).map(Speed::from_si)
}

/// Exponent j with which the drag area of a solid canopy grows while it fills (Knacke, NWC TP 6575, ch. 5, from memory).
pub const SOLID_CANOPY: f64 = 2.0;

/// A parachute at the moment its lines are stretched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// Drag area C_D S of the open canopy.
    pub drag_area: Area,
    /// Nominal diameter D₀ of the canopy, which sets how long it takes to fill.
    pub diameter: Length,
    /// Mass m under it.
    pub mass: Mass,
    /// Speed v₁ through the air at line stretch.
    pub speed: Speed,
    /// Density ρ of the air there.
    pub density: Density,
    /// Opening-force coefficient C_x at infinite mass: about 1.8 for solid canopies, 1.05 for ribbons (from memory).
    pub force_coefficient: f64,
    /// Fill constant n, in diameters travelled while filling: about 8 for flat circular canopies (from memory).
    pub fill_constant: f64,
    /// Exponent j with which the drag area grows while filling: 2 for solid canopies, 1 for ribbons (from memory).
    pub growth: f64,
}

/// The jerk of an opening parachute.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpeningForce {
    /// Peak force F = C_D S q C_x X₁.
    pub force: Force,
    /// The same for a load that does not slow down (X₁ = 1): no opening pulls harder.
    pub bound: Force,
    /// Time to fill t_f = n D₀/v₁.
    pub fill_time: Time,
    /// Ballistic parameter A = 2 m/(C_D S ρ v₁ t_f): small for a light load under a large canopy.
    pub ballistic: f64,
    /// Reduction X₁.
    pub reduction: f64,
}

/// Reduction X₁ of the opening force because the load slows down while the canopy fills, for the ballistic parameter A and a drag area that grows as
/// (t/t_f)^j: with t* = (A j (j + 1)/(j + 2))^(1/(j + 1)), X₁ = ((j + 2)/(2 j + 2))² t*^j where t* ≤ 1, else (1 + 1/(A (j + 1)))⁻².
///
/// Gravity is neglected while the canopy fills. Source: closed form on the assumptions of Pflanz's method (Knacke, NWC TP 6575,
/// ch. 5, from memory), first principles; the tests compare it with an integration.
///
/// # Errors
/// A parameter or an exponent that is not above zero.
pub fn reduction(ballistic: f64, growth: f64) -> Result<f64, Unworkable> {
    let a = above_zero("the ballistic parameter", ballistic)?;
    let j = above_zero("the growth of the drag area", growth)?;
    let peak = libm::pow(a * j * (j + 1.0) / (j + 2.0), 1.0 / (j + 1.0));
    let x1 = if peak <= 1.0 {
        ((j + 2.0) / (2.0 * j + 2.0)).powi(2) * libm::pow(peak, j)
    } else {
        (1.0 + 1.0 / (a * (j + 1.0))).powi(-2)
    };
    finite("the reduction of the opening force", x1)
}

/// Peak force of an opening parachute: F = C_D S q C_x X₁, q = ρ v₁²/2, t_f = n D₀/v₁, A = 2 m/(C_D S ρ v₁ t_f), X₁ by
/// [`reduction`].
///
/// Good to some tens of percent: how the canopy is packed counts for much. A late opening at high speed goes with the square of
/// it. Source: Knacke, NWC TP 6575, ch. 5 (from memory).
///
/// # Errors
/// A value that is not above zero.
pub fn opening_force(opening: &Opening) -> Result<OpeningForce, Unworkable> {
    let cds = above_zero("the drag area of the parachute", opening.drag_area.si())?;
    let d0 = above_zero("the diameter of the parachute", opening.diameter.si())?;
    let m = above_zero("the mass under the parachute", opening.mass.si())?;
    let v1 = above_zero("the speed at line stretch", opening.speed.si())?;
    let rho = above_zero("the density of the air", opening.density.si())?;
    let cx = above_zero("the opening-force coefficient", opening.force_coefficient)?;
    let n = above_zero("the fill constant", opening.fill_constant)?;
    let fill_time = n * d0 / v1;
    let ballistic = finite("the ballistic parameter", 2.0 * m / (cds * rho * v1 * fill_time))?;
    let reduction = reduction(ballistic, opening.growth)?;
    let bound = finite("the opening force", cds * rho * v1 * v1 / 2.0 * cx)?;
    Ok(OpeningForce {
        force: Force::from_si(bound * reduction),
        bound: Force::from_si(bound),
        fill_time: Time::from_si(fill_time),
        ballistic,
        reduction,
    })
}

/// Peak forces over bands of the opening-force coefficient C_x and of the fill constant n: a quick filling pulls harder.
///
/// Source: [`opening_force`].
///
/// # Errors
/// Those of [`opening_force`], a band upside down.
pub fn opening_force_band(
    opening: &Opening,
    force_coefficient: Band<f64>,
    fill_constant: Band<f64>,
) -> Result<Band<Force>, Unworkable> {
    right_way_up("the opening-force coefficient", force_coefficient.low, force_coefficient.high)?;
    right_way_up("the fill constant", fill_constant.low, fill_constant.high)?;
    let with = |force_coefficient: f64, fill_constant: f64| {
        opening_force(&Opening { force_coefficient, fill_constant, ..*opening }).map(|pull| pull.force)
    };
    Ok(Band {
        low: with(force_coefficient.low, fill_constant.high)?,
        high: with(force_coefficient.high, fill_constant.low)?,
    })
}

/// Refuses a band whose low end lies above its high end.
fn right_way_up(what: &str, low: f64, high: f64) -> Result<(), Unworkable> {
    if low <= high {
        Ok(())
    } else {
        Err(Unworkable::because(format!("the band of {what} has its low end above its high end")))
    }
}

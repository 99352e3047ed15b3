//! A flight under constant thrust, mass and air density in closed form: what a pocket calculator makes of an ascent.
//!
//! Nothing rests on it. It stands beside the integrated ascent so that a reader can follow the size of the numbers by hand.

use super::{STANDARD_GRAVITY, Unworkable, above_zero, finite};
use crate::quantity::{Area, Density, Force, Length, Mass, Speed, Time};

/// What goes into the closed form.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flight {
    /// Thrust F: the total impulse over the burn time.
    pub thrust: Force,
    /// Burn time t_b.
    pub burn: Time,
    /// Mass m during the burn: the mean of lift-off and burnout.
    pub burning: Mass,
    /// Mass m_b during the coast.
    pub coasting: Mass,
    /// Drag per square of speed, k = ρ C_D A/2, in kg/m.
    pub drag: f64,
}

/// What it comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heights {
    /// Speed at burnout v_b.
    pub burnout_speed: Speed,
    /// Height at burnout y_b.
    pub burnout_height: Length,
    /// Height gained in the coast y_c.
    pub coasted: Length,
    /// Time of the coast t_c.
    pub coast: Time,
}

/// Drag per square of speed k = ρ C_D A/2, in kg/m.
///
/// Source: definition of the drag coefficient.
///
/// # Errors
/// A density, coefficient or area that is not above zero.
pub fn drag_factor(density: Density, coefficient: f64, area: Area) -> Result<f64, Unworkable> {
    let rho = above_zero("the density of the air", density.si())?;
    let cd = above_zero("the drag coefficient", coefficient)?;
    let a = above_zero("the reference area", area.si())?;
    finite("the drag", rho * cd * a / 2.0)
}

/// v_b = √((F − m g)/k) tanh(x), y_b = (m/k) ln cosh x with x = (t_b/m) √(k (F − m g)); y_c = (m_b/2k) ln(1 + k v_b²/(m_b g)),
/// t_c = √(m_b/(k g)) atan(v_b √(k/(m_b g))).
///
/// Straight up, constant gravity g₀. Source: the Fehskens–Malewicki solution as in *Topics in Advanced Model Rocketry*, chapter
/// 4, equations 20, 21 and 67.
///
/// # Errors
/// A value that is not above zero, a thrust that does not lift the weight.
pub fn fly(flight: &Flight) -> Result<Heights, Unworkable> {
    let f = above_zero("the thrust", flight.thrust.si())?;
    let t = above_zero("the burn time", flight.burn.si())?;
    let m = above_zero("the mass in the burn", flight.burning.si())?;
    let last = above_zero("the mass in the coast", flight.coasting.si())?;
    let k = above_zero("the drag", flight.drag)?;
    let g = STANDARD_GRAVITY;
    let surplus = above_zero("the thrust less the weight", f - m * g)?;
    let x = t / m * (k * surplus).sqrt();
    let speed = (surplus / k).sqrt() * libm::tanh(x);
    // ln cosh x without an overflow at large x.
    let height = m / k * (x + libm::log1p(libm::exp(-2.0 * x)) - std::f64::consts::LN_2);
    let coasted = last / (2.0 * k) * libm::log1p(k * speed * speed / (last * g));
    let coast = (last / (k * g)).sqrt() * libm::atan(speed * (k / (last * g)).sqrt());
    Ok(Heights {
        burnout_speed: Speed::from_si(finite("the speed at burnout", speed)?),
        burnout_height: Length::from_si(finite("the height at burnout", height)?),
        coasted: Length::from_si(finite("the height of the coast", coasted)?),
        coast: Time::from_si(finite("the time of the coast", coast)?),
    })
}

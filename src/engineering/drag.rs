//! Drag at zero angle: skin friction with form factors, fins, base, interference, buttons, and an estimate of the transonic rise.
//!
//! A preliminary build-up: a measured drag coefficient, where the builder has one, is better. Coefficients refer to π d²/4 of the reference diameter
//! unless a function says otherwise. High-power rockets come out between 0.3 and 0.7 (common practice).

pub mod build_up;
pub mod law;

use std::f64::consts::PI;

use super::{Unworkable, above_zero, finite, zero_or_more};
use crate::quantity::{Area, Length};

/// Reynolds number below which the turbulent formula is not read: the coefficient stays at its value there. So slow a flow drags next to nothing.
pub const LOWEST_REYNOLDS: f64 = 1e4;
/// Mach number up to which the drag coefficient has no transonic rise (common practice).
pub const RISE_BEGINS: f64 = 0.8;
/// Mach number of the estimated peak (common practice).
pub const RISE_PEAKS: f64 = 1.05;
/// Estimated drag coefficient at the peak over the one below Mach 0.8: the middle of 1.5 to 2 (common practice).
pub const RISE: f64 = 1.75;
/// The highest Mach number of the estimate.
pub const HIGHEST_MACH: f64 = 5.0;
/// Usual share of the friction of body and fins that their interference adds: 5 to 10 % (from memory), here the low end.
pub const INTERFERENCE: f64 = 0.05;
/// Drag coefficient of a rail button on its frontal area: a stub on a wall, 0.7 to 1.2 (from memory).
pub const BUTTON: f64 = 1.0;

/// Mean friction coefficient of a smooth plate in turbulent flow: C_f = 0.455/(log₁₀ Re)^2.58.
///
/// Range: Reynolds numbers from about 5e5 to 1e9; below 1e4 the value at 1e4 is used. Source: Prandtl and Schlichting's
/// formula, as textbooks print it; five others agree within 5 % from 1e6 to 3e7.
///
/// # Errors
/// A number that is not above zero.
pub fn smooth_friction(reynolds: f64) -> Result<f64, Unworkable> {
    let re = above_zero("the Reynolds number", reynolds)?.max(LOWEST_REYNOLDS);
    Ok(0.455 / libm::pow(libm::log10(re), 2.58))
}

/// Mean friction coefficient of a plate of length L so rough (height of roughness k) that speed no longer counts: C_f = 0.032
/// (k/L)^0.2.
///
/// Range: L/k from about 1e4 to 1e6. Source: from memory (Barrowman 1967, after Hoerner).
///
/// # Errors
/// A length that is not above zero, a roughness below zero.
pub fn rough_friction(length: Length, roughness: Length) -> Result<f64, Unworkable> {
    let l = above_zero("the length in the flow", length.si())?;
    let k = zero_or_more("the roughness", roughness.si())?;
    finite("the friction of the rough surface", 0.032 * libm::pow(k / l, 0.2))
}

/// Mach numbers between which the factors of compressibility go in a straight line, where their formulas below and above do not meet.
pub(super) const COMPRESSIBILITY_BENDS: (f64, f64) = (0.9, 1.2);

fn in_pieces(mach: f64, below: impl Fn(f64) -> f64, above: impl Fn(f64) -> f64) -> Result<f64, Unworkable> {
    let m = zero_or_more("the Mach number", mach)?;
    let (from, to) = COMPRESSIBILITY_BENDS;
    Ok(if m <= from {
        below(m)
    } else if m < to {
        let share = (m - from) / (to - from);
        below(from) * (1.0 - share) + above(to) * share
    } else {
        above(m)
    })
}

/// Factor on the turbulent friction of a smooth surface at a Mach number: 1 − 0.1 M² up to 0.9, (1 + 0.15 M²)^−0.58 from 1.2, a straight
/// line between.
///
/// Source: from memory (Barrowman 1967); the straight line is this program's, where the two formulas do not meet.
///
/// # Errors
/// A Mach number below zero.
pub fn compressibility(mach: f64) -> Result<f64, Unworkable> {
    in_pieces(mach, |m| 1.0 - 0.1 * m * m, |m| libm::pow(1.0 + 0.15 * m * m, -0.58))
}

/// Factor on the friction of a rough surface at a Mach number: 1 − 0.12 M² up to 0.9, 1/(1 + 0.18 M²) from 1.2, a straight line between.
/// The drag of grains goes with the density of the hot air between them, and falls faster than that of a smooth surface.
///
/// Source: from memory (Barrowman 1967, after Hoerner).
///
/// # Errors
/// A Mach number below zero.
pub fn rough_compressibility(mach: f64) -> Result<f64, Unworkable> {
    in_pieces(mach, |m| 1.0 - 0.12 * m * m, |m| 1.0 / (1.0 + 0.18 * m * m))
}

/// Friction coefficient of a surface: the larger of smooth and rough, each with its compressibility factor.
///
/// Source: [`smooth_friction`], [`compressibility`], [`rough_friction`], [`rough_compressibility`].
///
/// # Errors
/// Those of its parts.
pub fn friction(reynolds: f64, length: Length, roughness: Length, mach: f64) -> Result<f64, Unworkable> {
    let smooth = smooth_friction(reynolds)? * compressibility(mach)?;
    Ok(smooth.max(rough_friction(length, roughness)? * rough_compressibility(mach)?))
}

/// Form factor of a body of length over diameter f = L/d, on the friction of its wetted area: 1 + 1.5 f^−1.5 + 7 f^−3.
///
/// Range: f above about 4. Source: from memory (Hoerner, *Fluid-Dynamic Drag*, ch. 6).
///
/// # Errors
/// A ratio that is not above zero.
pub fn body_form_factor(fineness: f64) -> Result<f64, Unworkable> {
    let f = above_zero("the body's length over its diameter", fineness)?;
    finite("the form factor of the body", 1.0 + 1.5 * libm::pow(f, -1.5) + 7.0 * f.powi(-3))
}

/// Form factor of a fin of thickness ratio t/c, on the friction of both its faces: 1 + 2 t/c + 60 (t/c)⁴.
///
/// Range: aerofoil or well-rounded fins, t/c up to about 0.2; square edges add to it. Source: from memory (Hoerner,
/// *Fluid-Dynamic Drag*, ch. 6).
///
/// # Errors
/// A ratio below zero.
pub fn fin_form_factor(thickness_ratio: f64) -> Result<f64, Unworkable> {
    let ratio = zero_or_more("the fin's thickness over its chord", thickness_ratio)?;
    finite("the form factor of the fins", 1.0 + 2.0 * ratio + 60.0 * ratio.powi(4))
}

/// Base drag coefficient, on the area of the base, of a body whose other drag, on the same area, is C_Df: 0.029/√C_Df.
///
/// A long or rough body drags its boundary layer along, which feeds the wake: figures by Mach number alone, such as 0.12 + 0.13 M² for
/// missiles, are of short bodies and twice as large (S. F. Hoerner, *Base Drag and Thick Trailing Edges*, 1950, abstract).
///
/// Range: below the speed of sound, C_Df from about 0.05 up. Source: from memory (Hoerner, *Fluid-Dynamic Drag*, ch. 3).
///
/// # Errors
/// A coefficient that is not above zero.
pub fn base_drag(forebody: f64) -> Result<f64, Unworkable> {
    let before = above_zero("the drag before the base", forebody)?;
    finite("the base drag", 0.029 / before.sqrt())
}

/// Half angles of a boat-tail up to which the air follows it, and from which it leaves it at its fore end, in degrees.
const SEPARATION: (f64, f64) = (10.0, 12.0);

/// The diameter of the wake behind a boat-tail that narrows from `fore` to `aft` over its length: `aft` up to a half angle of 10°, `fore`
/// from 12°, where the air no longer follows, a straight line between. So a steep boat-tail is given no credit.
///
/// Source: from memory (separation of conical boat-tails above 10 to 12°, Hoerner, *Fluid-Dynamic Drag*); the straight line is
/// this program's.
///
/// # Errors
/// A length that is not above zero, a diameter below zero.
pub fn wake(fore: Length, aft: Length, length: Length) -> Result<Length, Unworkable> {
    let l = above_zero("the length of the boat-tail", length.si())?;
    let f = zero_or_more("the fore diameter", fore.si())?;
    let r = zero_or_more("the aft diameter", aft.si())?;
    let angle = libm::atan2((f - r) / 2.0, l).to_degrees();
    let (follows, leaves) = SEPARATION;
    let shed = ((angle - follows) / (leaves - follows)).clamp(0.0, 1.0);
    Ok(Length::from_si(r + (f - r).max(0.0) * shed))
}

/// Share of the base drag that is left while a motor burns: 1 − (d_motor/d_base)², as the jet fills the motor's part of the
/// base.
///
/// Source: common practice.
///
/// # Errors
/// A base diameter that is not above zero, a motor diameter below zero or above the base's.
pub fn base_left_burning(motor: Length, base: Length) -> Result<f64, Unworkable> {
    let b = above_zero("the diameter of the base", base.si())?;
    let m = zero_or_more("the diameter of the motor", motor.si())?;
    if m > b {
        return Err(Unworkable::because("the motor is wider than the base it burns from"));
    }
    Ok(1.0 - (m / b).powi(2))
}

/// **Estimated** factor on the whole drag coefficient near and above the speed of sound: 1 up to Mach 0.8, a straight line to
/// [`RISE`] at Mach 1.05, then falling as 1/M but never below 1.
///
/// No simple published formula is accurate here. Source: common practice for the rise; the fall as 1/M is from memory (Fleeman,
/// *Tactical Missile Design*, for the base drag of missiles).
///
/// # Errors
/// A Mach number below zero or above 5.
pub fn transonic_rise(mach: f64) -> Result<f64, Unworkable> {
    let m = zero_or_more("the Mach number", mach)?;
    if m > HIGHEST_MACH {
        return Err(Unworkable::because("the drag estimate ends at Mach 5"));
    }
    Ok(if m <= RISE_BEGINS {
        1.0
    } else if m <= RISE_PEAKS {
        1.0 + (RISE - 1.0) * (m - RISE_BEGINS) / (RISE_PEAKS - RISE_BEGINS)
    } else {
        (RISE * RISE_PEAKS / m).max(1.0)
    })
}

/// Skin of a tube (equal diameters) or of a conical transition: π (d_F + d_R)/2 √(L² + ((d_F − d_R)/2)²).
///
/// Source: geometry.
///
/// # Errors
/// A length that is not above zero, a diameter below zero.
pub fn skin(fore: Length, aft: Length, length: Length) -> Result<Area, Unworkable> {
    let l = above_zero("the length of the part", length.si())?;
    let f = zero_or_more("the fore diameter", fore.si())?;
    let r = zero_or_more("the aft diameter", aft.si())?;
    finite("the skin of the part", PI / 2.0 * (f + r) * libm::hypot(l, (f - r) / 2.0)).map(Area::from_si)
}

/// How the leading and trailing edges of fins are shaped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edges {
    /// Round in front and thin behind: nothing beyond friction and form.
    Tapered,
    /// Round in front and behind; behind, the air leaves it as it leaves a square edge.
    Rounded,
    /// As cut.
    Square,
}

/// Mach number up to which the drag of edges grows by its own formula; beyond, the transonic rise stands for it.
const EDGES_GROW_TO: f64 = RISE_BEGINS;

/// Drag coefficient of the leading edge of a fin on thickness × span: of a square one 0.85 (1 + M²/4 + M⁴/40), of a round one
/// (1 − M²)^−0.417 − 1, both at Mach 0.8 at most; no credit for sweep.
///
/// Source: Hoerner, *Fluid-Dynamic Drag*, from memory; the exact stagnation pressure differs from the series by less than 0.1 %
/// up to Mach 0.8.
///
/// # Errors
/// A Mach number below zero.
pub fn leading_edge(edges: Edges, mach: f64) -> Result<f64, Unworkable> {
    let m = zero_or_more("the Mach number", mach)?.min(EDGES_GROW_TO);
    Ok(match edges {
        Edges::Tapered => 0.0,
        Edges::Rounded => libm::pow(1.0 - m * m, -0.417) - 1.0,
        Edges::Square => 0.85 * (1.0 + m * m / 4.0 + m.powi(4) / 40.0),
    })
}

/// Drag coefficient of a blunt trailing edge on thickness × span: 0.135/C_f^(1/3), with the friction of both faces, 2 C c/t, on the same
/// area; zero of a thin one.
///
/// Source: Hoerner, *Fluid-Dynamic Drag*, ch. 3, from memory.
///
/// # Errors
/// A friction coefficient, a chord or a thickness that is not above zero.
pub fn trailing_edge(edges: Edges, plate: f64, chord: Length, thickness: Length) -> Result<f64, Unworkable> {
    let cf = above_zero("the friction of the fins", plate)?;
    let c = above_zero("the mean chord of the fins", chord.si())?;
    let t = above_zero("the thickness of the fins", thickness.si())?;
    let drag = if edges == Edges::Tapered { 0.0 } else { 0.135 / libm::cbrt(2.0 * cf * c / t) };
    finite("the drag of the trailing edges", drag)
}

/// The fins of an airframe, all alike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fins {
    /// Number N of all fins.
    pub count: u32,
    /// Mean chord c = (C_R + C_T)/2.
    pub mean_chord: Length,
    /// Span S of one fin, from the body's skin to the tip.
    pub span: Length,
    /// Thickness t.
    pub thickness: Length,
    /// Their edges.
    pub edges: Edges,
}

/// What the build-up needs to know of a rocket.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Airframe {
    /// Overall length L of the body, nose included; the Reynolds number refers to it.
    pub length: Length,
    /// Reference diameter d.
    pub diameter: Length,
    /// Skin of the body: nose, tubes, transitions; not the base, not the fins.
    pub skin: Area,
    /// Diameter of the base: that of the aft end, or of the [`wake`] where the air leaves the body before it.
    pub base: Length,
    /// Height k of the roughness of the surface; zero for a perfectly smooth one.
    pub roughness: Length,
    /// The fins.
    pub fins: Fins,
    /// Frontal area of all rail buttons or lugs together.
    pub buttons: Area,
    /// Share of the friction of body and fins that interference adds, usually [`INTERFERENCE`].
    pub interference: f64,
}

/// Whether a motor is burning.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Motor {
    /// Before ignition and after burnout: the whole base drags.
    Off,
    /// While thrust lasts.
    Burning {
        /// Diameter of the motor.
        diameter: Length,
    },
}

/// A drag coefficient and its parts, all on π d²/4.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drag {
    /// The whole, with the transonic rise.
    pub total: f64,
    /// Friction and form of the body.
    pub body: f64,
    /// Friction and form of the fins.
    pub fins: f64,
    /// Edges of the fins, beyond that.
    pub edges: f64,
    /// The base.
    pub base: f64,
    /// Interference of fins and body.
    pub interference: f64,
    /// Rail buttons.
    pub buttons: f64,
    /// The factor of [`transonic_rise`] on the sum of the parts.
    pub rise: f64,
    /// True where the whole rests on the estimate of the transonic rise (above Mach 0.8).
    pub estimated: bool,
}

/// Drag coefficient of an airframe at a Mach number and a Reynolds number Re = ρ v L/μ on the body's length:
/// (C_f FF skin/A_ref) + (2 N S c C_f FF/A_ref) + edges + base + interference + buttons, times the transonic rise. The fins' Reynolds number goes
/// with their mean chord. On a base smaller than d the base drag is 0.029 (d_b/d)³/√C_D,body, [`base_drag`] referred to d.
///
/// Range: all flow turbulent, zero angle, up to Mach 0.8; an estimate beyond. Source: the parts' own.
///
/// # Errors
/// A size out of range, fins without any size, a base wider than the body, a motor wider than the base, a Mach or Reynolds
/// number out of range.
pub fn coefficient(airframe: &Airframe, mach: f64, reynolds: f64, motor: Motor) -> Result<Drag, Unworkable> {
    let d = above_zero("the reference diameter", airframe.diameter.si())?;
    let reference = PI / 4.0 * d * d;
    let wetted = above_zero("the skin of the body", airframe.skin.si())?;
    let of = factors(airframe, mach, reynolds)?;
    let body = of.body_friction * of.body_form * wetted / reference;
    let set = airframe.fins;
    let faces = 2.0 * f64::from(set.count) * set.span.si() * set.mean_chord.si();
    let fins = faces * of.fin_friction * of.fin_form / reference;
    let chordwise = reynolds * airframe.fins.mean_chord.si() / airframe.length.si();
    let edges = edges(airframe, mach, chordwise)? / reference;

    let base_ratio = above_zero("the diameter of the base", airframe.base.si())? / d;
    if base_ratio > 1.0 + 1e-9 {
        return Err(Unworkable::because("the base is wider than the reference diameter"));
    }
    let area_ratio = base_ratio * base_ratio;
    let left = match motor {
        Motor::Off => 1.0,
        Motor::Burning { diameter } => base_left_burning(diameter, airframe.base)?,
    };
    let base = base_drag(body / area_ratio)? * area_ratio * left;

    let interference = zero_or_more("the interference", airframe.interference)? * (body + fins);
    let buttons =
        BUTTON * zero_or_more("the frontal area of the buttons", airframe.buttons.si())? / reference;
    let rise = transonic_rise(mach)?;
    let total = finite("the drag coefficient", (body + fins + edges + base + interference + buttons) * rise)?;
    Ok(Drag { total, body, fins, edges, base, interference, buttons, rise, estimated: mach > RISE_BEGINS })
}

/// The factors of the friction of body and fins.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Factors {
    /// Friction coefficient of the body.
    pub body_friction: f64,
    /// Form factor of the body.
    pub body_form: f64,
    /// Friction coefficient of the fins at the Reynolds number of their mean chord; zero for a rocket without fins.
    pub fin_friction: f64,
    /// Form factor of the fins.
    pub fin_form: f64,
}

/// The factors of [`coefficient`] at a Mach number and a Reynolds number on the body's length.
///
/// Source: [`friction`], [`body_form_factor`], [`fin_form_factor`].
///
/// # Errors
/// A size, a Mach or a Reynolds number out of range.
pub fn factors(airframe: &Airframe, mach: f64, reynolds: f64) -> Result<Factors, Unworkable> {
    let l = above_zero("the length of the body", airframe.length.si())?;
    let d = above_zero("the reference diameter", airframe.diameter.si())?;
    let body_friction = friction(reynolds, airframe.length, airframe.roughness, mach)?;
    let mut found = Factors { body_friction, body_form: body_form_factor(l / d)?, ..Factors::default() };
    let set = airframe.fins;
    if set.count > 0 {
        let c = above_zero("the mean chord of the fins", set.mean_chord.si())?;
        above_zero("the span of the fins", set.span.si())?;
        let t = above_zero("the thickness of the fins", set.thickness.si())?;
        found.fin_friction = friction(reynolds * c / l, set.mean_chord, airframe.roughness, mach)?;
        found.fin_form = fin_form_factor(t / c)?;
    }
    Ok(found)
}

/// Drag area of the edges of the fins; zero for a rocket without fins.
fn edges(airframe: &Airframe, mach: f64, reynolds: f64) -> Result<f64, Unworkable> {
    let set = airframe.fins;
    if set.count == 0 || set.edges == Edges::Tapered {
        return Ok(0.0);
    }
    let plate = friction(reynolds, set.mean_chord, airframe.roughness, mach)?;
    let both =
        leading_edge(set.edges, mach)? + trailing_edge(set.edges, plate, set.mean_chord, set.thickness)?;
    Ok(f64::from(set.count) * set.span.si() * set.thickness.si() * both)
}

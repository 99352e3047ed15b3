//! Where the air's side force acts: normal-force slopes and centres of pressure of the parts, and the static margin.
//!
//! The method of J. S. Barrowman (*The Theoretical Prediction of the Center of Pressure*, 1966; *The Practical Calculation of the
//! Aerodynamic Characteristics of Slender Finned Vehicles*, 1967). It holds for a slender, rigid body of revolution with thin flat fins,
//! at a small angle to a steady flow below the speed of sound; past it the fins go by linear theory. Every slope refers to π d²/4 of one
//! reference diameter d.

use std::f64::consts::PI;

use super::nose::{Nose, SideView};
use super::planform::Planform;
use super::supersonic::{self, Linear};
use super::{Unworkable, above_zero, finite, zero_or_more};
use crate::quantity::{Angle, Length};

/// The factor K of [`body_lift`] that is usually taken; published values lie between 1.0 and 1.5 (from memory).
pub const BODY_LIFT_FACTOR: f64 = 1.1;
/// The highest Mach number at which the Prandtl–Glauert rule is taken: beyond it the flow turns transonic.
pub const HIGHEST_SUBSONIC_MACH: f64 = 0.8;
/// The largest angle of [`body_lift`], in rad (about 20°): beyond it an angle no longer stands for its sine.
pub const LARGEST_ANGLE: f64 = 0.35;

/// What one part adds to the side force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contribution {
    /// Slope C_Nα of the normal-force coefficient, for each radian, on the reference area π d²/4.
    pub slope: f64,
    /// Centre of pressure X, aft of the part's front end (or of the nose tip, once [`Contribution::aft_by`] has moved it).
    pub centre: Length,
}

impl Contribution {
    /// The same with its front end further aft by a distance.
    #[must_use]
    pub fn aft_by(self, distance: Length) -> Self {
        Self { centre: self.centre + distance, ..self }
    }
}

/// Nose: C_Nα = 2 A_base/A_ref, X = L − V/A_base with the exact volume V.
///
/// Source: Barrowman 1966, eqs 12, 32, 39 (slender-body theory).
///
/// # Errors
/// A reference diameter that is not above zero.
pub fn nose(nose: &Nose, reference: Length) -> Result<Contribution, Unworkable> {
    let d = above_zero("the reference diameter", reference.si())?;
    let slope = 2.0 * (nose.base_diameter().si() / d).powi(2);
    let centre = nose.length().si() * (1.0 - nose.fullness());
    let centre = Length::from_si(finite("the centre of the nose", centre)?);
    Ok(Contribution { slope: finite("the slope of the nose", slope)?, centre })
}

/// Conical transition from the fore diameter d_F to the aft diameter d_R over the length L_T: C_Nα = 2 ((d_R/d)² − (d_F/d)²),
/// X = (L_T/3)(1 + (1 − d_F/d_R)/(1 − (d_F/d_R)²)) from its front, which is (L_T/3)(1 + d_R/(d_F + d_R)). A boat-tail (d_R below d_F)
/// has a negative slope; a straight tube has none.
///
/// Source: Barrowman 1966, eqs 14, 15, 44. A steep boat-tail sheds its flow and takes less away than this.
///
/// # Errors
/// A length that is not above zero, diameters below zero or both zero.
pub fn transition(
    fore: Length,
    aft: Length,
    length: Length,
    reference: Length,
) -> Result<Contribution, Unworkable> {
    let d = above_zero("the reference diameter", reference.si())?;
    let l = above_zero("the length of the transition", length.si())?;
    let f = zero_or_more("the fore diameter", fore.si())?;
    let r = zero_or_more("the aft diameter", aft.si())?;
    let both = above_zero("a diameter of the transition", f + r)?;
    let slope = finite("the slope of the transition", 2.0 * (r - f) * both / (d * d))?;
    Ok(Contribution { slope, centre: Length::from_si(l / 3.0 * (1.0 + r / both)) })
}

/// A set of equal trapezoid fins, evenly spaced around the body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FinSet {
    /// Number N of fins: 3, 4 or 6.
    pub count: u32,
    /// Root chord C_R, along the body.
    pub root_chord: Length,
    /// Tip chord C_T; zero for a triangle.
    pub tip_chord: Length,
    /// Span S of one fin, from the body's skin to the tip.
    pub span: Length,
    /// Sweep X_R: how far the leading edge of the tip lies aft of that of the root; negative where it is swept forward.
    pub sweep: Length,
    /// Diameter 2 R of the body at the fins.
    pub body_diameter: Length,
}

impl FinSet {
    /// Length L_F of the line from the middle of the root chord to the middle of the tip chord.
    #[must_use]
    pub fn mid_chord(&self) -> Length {
        let back = self.sweep.si() + (self.tip_chord.si() - self.root_chord.si()) / 2.0;
        Length::from_si(libm::hypot(self.span.si(), back))
    }
}

/// Interference factor K of a fin set with its body: 1 + R/(S + R) for three and four fins, 1 + R/(2 (S + R)) for six.
///
/// Source: Barrowman 1966, eq 77; six fins: *Topics in Advanced Model Rocketry*, 1994 correction sheet to chapter 2, eqs 88 to
/// 92.
///
/// # Errors
/// Any other count, for which the method has no published factor; a span that is not above zero, a diameter below zero.
pub fn interference(count: u32, span: Length, body_diameter: Length) -> Result<f64, Unworkable> {
    let s = above_zero("the span of the fins", span.si())?;
    let r = zero_or_more("the diameter of the body at the fins", body_diameter.si())? / 2.0;
    let share = match count {
        3 | 4 => 1.0,
        6 => 0.5,
        _ => {
            return Err(Unworkable::because(format!(
                "the method of centres of pressure knows sets of 3, 4 or 6 fins, not of {count}"
            )));
        }
    };
    finite("the interference of the fins", 1.0 + share * r / (s + r))
}

/// Fin set at a Mach number M from rest to 5, by the regime of M.
///
/// Up to 0.8 it is [`subsonic_fins`], from 1.2 [`supersonic_fins`]; between, where no simple theory holds, slope and centre go
/// in a straight line from the one to the other.
///
/// # Errors
/// As those two, and a Mach number out of range.
pub fn fins(set: &FinSet, reference: Length, mach: f64) -> Result<Contribution, Unworkable> {
    if finite("the Mach number", mach)? <= HIGHEST_SUBSONIC_MACH {
        return subsonic_fins(set, reference, mach);
    }
    let (fast, _) = supersonic_fins(set, reference, mach.max(supersonic::LOWEST_MACH))?;
    if mach >= supersonic::LOWEST_MACH {
        return Ok(fast);
    }
    let slow = subsonic_fins(set, reference, HIGHEST_SUBSONIC_MACH)?;
    let share = (mach - HIGHEST_SUBSONIC_MACH) / (supersonic::LOWEST_MACH - HIGHEST_SUBSONIC_MACH);
    Ok(Contribution {
        slope: slow.slope + (fast.slope - slow.slope) * share,
        centre: slow.centre + (fast.centre - slow.centre) * share,
    })
}

/// Fin set from Mach 1.2 to 5: the centre of linear theory, and its slope where that is less than the slope at Mach 0.8; linear theory gives
/// too much near the speed of sound. With it, linear theory's own answer.
///
/// The body lifts with them by the same K as in slower flow, which is less than slender bodies have. Source: as there; that the
/// slope is capped is common practice, on the safe side.
///
/// # Errors
/// As [`supersonic::fin`] and [`interference`].
pub fn supersonic_fins(
    set: &FinSet,
    reference: Length,
    mach: f64,
) -> Result<(Contribution, Linear), Unworkable> {
    let FinSet { root_chord, tip_chord, span, sweep, .. } = *set;
    let linear = supersonic::fin(&Planform { root_chord, tip_chord, span, sweep }, mach)?;
    let cap = subsonic_fins(set, reference, HIGHEST_SUBSONIC_MACH)?.slope;
    let k = interference(set.count, set.span, set.body_diameter)?;
    let d = above_zero("the reference diameter", reference.si())?;
    let all = k * f64::from(set.count) / 2.0 * linear.slope * linear.area.si() / (PI / 4.0 * d * d);
    let slope = finite("the slope of the fins", all)?.min(cap);
    Ok((Contribution { slope, centre: linear.centre }, linear))
}

/// Fin set at a Mach number M: C_Nα = K (N/2) 2 π (S²/A_ref)/(1 + √(1 + (β S²/(A_f cos Γ))²)), β = √(1 − M²), fin area
/// A_f = S (C_R + C_T)/2, mid-chord sweep cos Γ = S/L_F, L_F = √(S² + (X_R + C_T/2 − C_R/2)²);
/// X = (X_R/3)(C_R + 2 C_T)/(C_R + C_T) + (C_R + C_T − C_R C_T/(C_R + C_T))/6 from the leading edge of the root.
///
/// At M = 0 it is Barrowman's 4 N (S/d)²/(1 + √(1 + (2 L_F/(C_R + C_T))²)). Range: M from 0 to 0.8, thin flat fins. Source:
/// Barrowman 1966, eqs 57 to 59, 76, 77, with the Prandtl–Glauert rule in Diederich's form (Barrowman 1967, from memory).
///
/// # Errors
/// A count other than 3, 4 or 6, a size out of range, a Mach number out of range.
pub fn subsonic_fins(set: &FinSet, reference: Length, mach: f64) -> Result<Contribution, Unworkable> {
    let d = above_zero("the reference diameter", reference.si())?;
    let k = interference(set.count, set.span, set.body_diameter)?;
    let s = set.span.si();
    let root = above_zero("the root chord", set.root_chord.si())?;
    let tip = zero_or_more("the tip chord", set.tip_chord.si())?;
    let sweep = finite("the sweep", set.sweep.si())?;
    if !(0.0..=HIGHEST_SUBSONIC_MACH).contains(&mach) {
        return Err(Unworkable::because("the slope of the fins is known from rest to Mach 5"));
    }
    let beta = (1.0 - mach * mach).sqrt();
    let chords = root + tip;
    let middle = set.mid_chord().si();
    let aspect = beta * 2.0 * middle / chords;
    let one = 8.0 * (s / d).powi(2) / (1.0 + libm::hypot(aspect, 1.0));
    let slope = finite("the slope of the fins", k * f64::from(set.count) / 2.0 * one)?;
    let centre = sweep / 3.0 * (root + 2.0 * tip) / chords + (chords - root * tip / chords) / 6.0;
    Ok(Contribution { slope, centre: Length::from_si(finite("the centre of the fins", centre)?) })
}

/// Lift of the body itself at an angle α to the flow: C_Nα = K (A_plan/A_ref) α, at the centroid of the side view.
///
/// It vanishes at zero angle, so it does not enter the static margin; in a gust it moves the centre of pressure forward.
/// `factor` is K, usually [`BODY_LIFT_FACTOR`]. Source: from memory (a published supplement to Barrowman's method).
///
/// # Errors
/// A size or factor that is not above zero, an angle above 0.35 rad.
pub fn body_lift(
    view: SideView,
    factor: f64,
    angle: Angle,
    reference: Length,
) -> Result<Contribution, Unworkable> {
    let d = above_zero("the reference diameter", reference.si())?;
    let area = above_zero("the side view of the body", view.area.si())?;
    let k = above_zero("the factor of the body lift", factor)?;
    let alpha = finite("the angle to the flow", angle.si())?.abs();
    if alpha > LARGEST_ANGLE {
        return Err(Unworkable::because("the angle to the flow is too large for body lift by a small angle"));
    }
    let slope = finite("the lift of the body", k * area / (PI / 4.0 * d * d) * alpha)?;
    let centre = finite("the centroid of the side view", view.centroid.si())?;
    Ok(Contribution { slope, centre: Length::from_si(centre) })
}

/// Side view of a tube (equal diameters) or of a conical transition: A = L (d_F + d_R)/2, centroid L (d_F + 2 d_R)/(3 (d_F +
/// d_R)).
///
/// Source: geometry of the trapezoid.
///
/// # Errors
/// A length that is not above zero, diameters below zero or both zero.
pub fn side_view(fore: Length, aft: Length, length: Length) -> Result<SideView, Unworkable> {
    let l = above_zero("the length of the part", length.si())?;
    let f = zero_or_more("the fore diameter", fore.si())?;
    let r = zero_or_more("the aft diameter", aft.si())?;
    let both = above_zero("a diameter of the part", f + r)?;
    let area = fore * (length * 0.5) + aft * (length * 0.5);
    finite("the side view of the part", area.si())?;
    Ok(SideView { area, centroid: Length::from_si(l / 3.0 * (1.0 + r / both)) })
}

/// The whole rocket: C_Nα = Σ C_Nα, X = Σ(C_Nα X)/Σ C_Nα, with every centre measured from the nose tip.
///
/// Source: Barrowman 1966, eqs 79, 80.
///
/// # Errors
/// No part, or a sum of slopes that is not above zero, as a rocket without lifting surfaces has no centre of pressure.
pub fn total(parts: &[Contribution]) -> Result<Contribution, Unworkable> {
    let slope = above_zero("the sum of the normal-force slopes", parts.iter().map(|part| part.slope).sum())?;
    let moment: f64 = parts.iter().map(|part| part.slope * part.centre.si()).sum();
    Ok(Contribution { slope, centre: Length::from_si(finite("the centre of pressure", moment / slope)?) })
}

/// Static margin in calibres: (X_cp − X_cg)/d. Positive where the centre of pressure lies aft of the balance point.
///
/// Source: definition.
///
/// # Errors
/// A reference diameter that is not above zero, a station beyond computing.
pub fn static_margin(pressure: Length, balance: Length, reference: Length) -> Result<f64, Unworkable> {
    let d = above_zero("the reference diameter", reference.si())?;
    finite("the static margin", (pressure.si() - balance.si()) / d)
}

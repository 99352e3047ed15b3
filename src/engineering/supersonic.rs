//! The side force of fins past the speed of sound, by linear theory: strips as in a plane flow, with what the tips lose.

use std::f64::consts::FRAC_PI_2;

use super::planform::Planform;
use super::{Unworkable, above_zero, finite, zero_or_more};
use crate::quantity::{Area, Length};

/// The Mach number from which linear theory is taken: below it shocks stand off the fins' edges.
pub const LOWEST_MACH: f64 = 1.2;
/// The highest Mach number that is taken.
pub const HIGHEST_MACH: f64 = 5.0;

/// What linear theory says of a fin, with the steps on the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Linear {
    /// B = √(M² − 1).
    pub b: f64,
    /// Area A_f of the fin.
    pub area: Area,
    /// Its centroid, aft from the leading edge of the root.
    pub centroid: Length,
    /// Area A_t behind the Mach lines of tips: its own, and that of the fin mirrored at the body. What both cover counts twice.
    pub behind: Area,
    /// Centroid of that area, aft from the leading edge of the root.
    pub behind_centroid: Length,
    /// What a leading edge that lies behind its own Mach line leaves; 1 where it lies ahead.
    pub edge: f64,
    /// Slope C_Nα on the area of the fin, for each radian.
    pub slope: f64,
    /// Centre of pressure, aft from the leading edge of the root.
    pub centre: Length,
}

/// A fin on a wall in a flow faster than sound: C_Nα = (4/B) λ (A_f − A_t/2)/A_f, X = (A_f x_f − A_t x_t/2)/(A_f − A_t/2).
///
/// Each strip carries the 4/B of a plane flow, and half of it behind the Mach line from the leading corner of the tip; the wall
/// is a mirror, so that a cone that reaches the root comes back. Where the leading edge lies behind its own Mach line (m = B
/// cot Λ below 1), λ = (π/2) m/E(√(1 − m²)), which is exact for a triangle. For rectangles it is the published (4/B)(1 − 1/(2 B
/// AR)), with the aspect ratio AR of the fin and its mirror image, and 2 AR once the cones of both tips meet. Range: M from 1.2
/// to 5, thin flat fins at a small angle. Source: linear theory with A. Busemann's conical flow at the tip; J. D. Anderson,
/// *Aircraft Performance and Design*, eq. 2.18c; triangles: H. J. Stewart's slope (from memory).
///
/// # Errors
/// A size or a Mach number out of range.
pub fn fin(planform: &Planform, mach: f64) -> Result<Linear, Unworkable> {
    if !(LOWEST_MACH..=HIGHEST_MACH).contains(&mach) {
        return Err(Unworkable::because("the linear theory of fins is taken from Mach 1.2 to Mach 5"));
    }
    let span = above_zero("the span of the fins", planform.span.si())?;
    let root = above_zero("the root chord", planform.root_chord.si())?;
    let tip = zero_or_more("the tip chord", planform.tip_chord.si())?;
    let sweep = finite("the sweep", planform.sweep.si())?;
    let b = (mach * mach - 1.0).sqrt();
    let chords = root + tip;
    let area = span * chords / 2.0;
    let centroid =
        sweep / 3.0 * (root + 2.0 * tip) / chords + (root * root + root * tip + tip * tip) / (3.0 * chords);
    let (behind, moment) = behind_tips(root, tip, span, sweep, b);
    let edge = if sweep > 0.0 { left_by_edge(b * span / sweep) } else { 1.0 };
    let carries = above_zero("the area that carries the fins' side force", area - behind / 2.0)?;
    let centre = (area * centroid - moment / 2.0) / carries;
    Ok(Linear {
        b,
        area: Area::from_si(area),
        centroid: Length::from_si(centroid),
        behind: Area::from_si(behind),
        behind_centroid: Length::from_si(if behind > 0.0 { moment / behind } else { centroid }),
        edge,
        slope: finite("the slope of the fins", 4.0 / b * edge * carries / area)?,
        centre: Length::from_si(finite("the centre of the fins", centre)?),
    })
}

/// Area of a fin behind the Mach line of its own tip and behind that of its mirror image, and the moment of it about the leading edge
/// of the root.
fn behind_tips(root: f64, tip: f64, span: f64, sweep: f64, b: f64) -> (f64, f64) {
    // From the tip inward the Mach line runs aft by B for each length, never ahead of the leading edge; that of the image goes on outward.
    let line = b.max(-sweep / span);
    let trailing = |inward: f64| sweep + tip + (root - sweep - tip) * inward / span;
    let (mut area, mut moment) = (0.0, 0.0);
    for image in [false, true] {
        let fore = |inward: f64| sweep + line * if image { 2.0 * span - inward } else { inward };
        let (at_tip, at_root) = (trailing(0.0) - fore(0.0), trailing(span) - fore(span));
        // Both bounds are straight: where they cross, the area begins or ends.
        let crossing = || span * at_tip / (at_tip - at_root);
        let (from, to) = match (at_tip > 0.0, at_root > 0.0) {
            (true, true) => (0.0, span),
            (true, false) => (0.0, crossing()),
            (false, true) => (crossing(), span),
            (false, false) => continue,
        };
        // Simpson's rule is exact for what is at most cubic.
        for (inward, share) in [(from, 1.0), (f64::midpoint(from, to), 4.0), (to, 1.0)] {
            let (x0, x1) = (fore(inward), trailing(inward));
            let part = share * (to - from) / 6.0 * (x1 - x0);
            area += part;
            moment += part * f64::midpoint(x0, x1);
        }
    }
    (area, moment)
}

/// What is left of 4/B where a leading edge lies behind its own Mach line: λ = (π/2) m/E(√(1 − m²)), and 1 from m = 1.
fn left_by_edge(m: f64) -> f64 {
    if m >= 1.0 { 1.0 } else { FRAC_PI_2 * m / elliptic(m) }
}

/// The complete elliptic integral of the second kind E(k) by its complementary modulus k′ = √(1 − k²), from the arithmetic-geometric
/// mean.
fn elliptic(complementary: f64) -> f64 {
    let (mut a, mut g, mut power) = (1.0_f64, complementary, 0.5);
    let mut sum = 0.5 * (1.0 - complementary * complementary);
    // The mean doubles its digits at each turn.
    for _ in 0..8 {
        let c = 0.5 * (a - g);
        (a, g) = (f64::midpoint(a, g), (a * g).sqrt());
        power *= 2.0;
        sum += power * c * c;
    }
    FRAC_PI_2 / a * (1.0 - sum)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_elliptic_integral_is_that_of_the_tables() {
        // M. Abramowitz and I. A. Stegun, table 17.1: E for m = k² = 0, 0.25, 0.5, 0.75 (from memory, and by quadrature here).
        for squared in [0.0_f64, 0.25, 0.5, 0.75, 0.99] {
            let steps = 20_000;
            let by_quadrature: f64 = (0..steps)
                .map(|i| (f64::from(i) + 0.5) * FRAC_PI_2 / f64::from(steps))
                .map(|angle| (1.0 - squared * libm::sin(angle).powi(2)).sqrt() * FRAC_PI_2 / f64::from(steps))
                .sum();
            let found = elliptic((1.0 - squared).sqrt());
            assert!((found - by_quadrature).abs() < 1e-8, "{squared}: {found} {by_quadrature}");
        }
        assert!((elliptic(0.5_f64.sqrt()) - 1.350_643_881).abs() < 1e-8);
    }

    #[test]
    fn an_edge_at_its_mach_line_loses_nothing() {
        assert!((left_by_edge(1.0 - 1e-9) - 1.0).abs() < 1e-8);
        // Slender: (4/B) (π/2) B cot Λ.
        assert!((left_by_edge(1e-4) / (FRAC_PI_2 * 1e-4) - 1.0).abs() < 1e-6);
    }
}

//! Fins of any outline reduced to the trapezoid that the other formulas know.

use super::{Unworkable, above_zero, finite};
use crate::quantity::Length;

/// The largest share of a fin's area that may lie outside its trapezoid before the reduction says nothing.
pub const MOST_ELSEWHERE: f64 = 0.2;

/// A trapezoid fin: edge on the body, outer edge, from the body to the outer edge, and how far the leading corner of the outer edge
/// lies aft of that of the root.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Planform {
    /// Root chord C_R.
    pub root_chord: Length,
    /// Tip chord C_T.
    pub tip_chord: Length,
    /// Span S of one fin.
    pub span: Length,
    /// Sweep X_R of the leading edge.
    pub sweep: Length,
}

/// A trapezoid that stands for a fin, and how much of the fin it misses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reduced {
    /// The trapezoid.
    pub planform: Planform,
    /// The part of the fin's area that lies outside the trapezoid, strip by strip; 0 for a fin that is one.
    pub elsewhere: f64,
}

/// A fin's leading and trailing edge as distances aft of the root's leading corner, by the distance y out from the body, straight between the
/// points: the trapezoid of the same span S, area A and area-weighted quarter-chord, with the same root chord where that leaves a tip.
///
/// C_T = 2A/S − C_R; where that is below zero C_R = 2A/S and C_T = 0; X_R follows from ∫ c (x + c/4) dy / A, the station at
/// which Barrowman's fin formula puts the force on a trapezoid. Source: the reduction of free outlines that J. S. Barrowman
/// recommends (1967, from memory), its error measured here as the area that lies elsewhere.
///
/// # Errors
/// Edges that do not run from the body to one same span, a chord below zero, no area, or more than a fifth of the area
/// elsewhere.
pub fn reduced(leading: &[(Length, Length)], trailing: &[(Length, Length)]) -> Result<Reduced, Unworkable> {
    let span = match (leading.first(), leading.last(), trailing.first(), trailing.last()) {
        (Some(a), Some(b), Some(c), Some(d)) if a.0.si() == 0.0 && c.0.si() == 0.0 && b.0 == d.0 => b.0.si(),
        _ => {
            return Err(Unworkable::because(
                "both edges of a fin run from the body, at 0, out to one same span",
            ));
        }
    };
    let span = above_zero("the span of the fins", span)?;
    let mut cuts: Vec<f64> = leading.iter().chain(trailing).map(|(y, _)| y.si()).collect();
    cuts.sort_by(f64::total_cmp);
    cuts.dedup();
    // Between two cuts both edges are straight, so the chord is too, and Simpson's rule is exact for what is at most cubic.
    let chord = |y: f64| at(trailing, y) - at(leading, y);
    let mut area = 0.0;
    let mut quarter = 0.0;
    for (y0, y1) in cuts.iter().zip(cuts.iter().skip(1)) {
        for (y, share) in [(*y0, 1.0), (f64::midpoint(*y0, *y1), 4.0), (*y1, 1.0)] {
            let c = chord(y);
            if !(c.is_finite() && c >= -1e-12) {
                return Err(Unworkable::because("the trailing edge of a fin lies aft of its leading edge"));
            }
            let part = share * (y1 - y0) / 6.0;
            area += part * c;
            quarter += part * c * (at(leading, y) + c / 4.0);
        }
    }
    let area = above_zero("the area of the fin", finite("the area of the fin", area)?)?;
    let whole = 2.0 * area / span;
    let root = chord(0.0).min(whole);
    let tip = whole - root;
    // Of the trapezoid: ∫ c (x + c/4) dy / A = X_R/3 (C_R + 2 C_T)/(C_R + C_T) + (C_R + C_T − C_R C_T/(C_R + C_T))/6.
    let rest = (whole - root * tip / whole) / 6.0;
    let sweep = (quarter / area - rest) * 3.0 * whole / (root + 2.0 * tip);
    let elsewhere = outside(&cuts, span, area, chord, root, tip)?;
    if elsewhere > MOST_ELSEWHERE {
        return Err(Unworkable::because(
            "more than a fifth of the fin's area lies outside the trapezoid that would stand for it",
        ));
    }
    let planform = Planform {
        root_chord: Length::from_si(root),
        tip_chord: Length::from_si(tip),
        span: Length::from_si(span),
        sweep: Length::from_si(finite("the sweep of the fin", sweep)?),
    };
    Ok(Reduced { planform, elsewhere })
}

/// The share of the area where the chord is longer than the trapezoid's, by strips.
fn outside(
    cuts: &[f64],
    span: f64,
    area: f64,
    chord: impl Fn(f64) -> f64,
    root: f64,
    tip: f64,
) -> Result<f64, Unworkable> {
    const STRIPS: u32 = 64;
    let mut missed = 0.0;
    for (y0, y1) in cuts.iter().zip(cuts.iter().skip(1)) {
        let wide = (y1 - y0) / f64::from(STRIPS);
        for strip in 0..STRIPS {
            let y = y0 + (f64::from(strip) + 0.5) * wide;
            missed += (chord(y) - (root + (tip - root) * y / span)).max(0.0) * wide;
        }
    }
    finite("the area outside the trapezoid", missed / area)
}

/// Where an edge is at a distance from the body, straight between its points.
fn at(edge: &[(Length, Length)], y: f64) -> f64 {
    for (a, b) in edge.iter().zip(edge.iter().skip(1)) {
        let (y0, y1) = (a.0.si(), b.0.si());
        if y <= y1 {
            return a.1.si() + (b.1.si() - a.1.si()) * (y - y0) / (y1 - y0);
        }
    }
    edge.last().map_or(0.0, |last| last.1.si())
}

//! The drag build-up prepared for one rocket: what depends on its shape is worked out once, so that a flight may ask a thousand times.
//!
//! The formulas and their sources are those of [`drag::coefficient`]. Two powers, the friction of the smooth plate and its
//! compressibility above Mach 1.2, are read from tables of polynomials; the tests hold the whole to 1e-11 of the direct sum.

use std::f64::consts::{LN_10, PI};
use std::sync::LazyLock;

use super::law::{DragLaw, Flow};
use super::{Airframe, Edges, LOWEST_REYNOLDS, Motor, Unworkable};
use crate::engineering::drag;
use crate::engineering::power_tables::Octaves;
use crate::quantity::Length;

/// Reynolds number of the body below which a flight reads its drag as at this one: so slow, the friction formulas have no meaning, and
/// the drag no weight.
pub const SLOWEST: f64 = 1e5;

/// [`drag::smooth_friction`] from its floor to 1e9.
static SMOOTH: LazyLock<Octaves> = LazyLock::new(|| {
    Octaves::new(13, 30, |re| {
        let log = libm::log10(re);
        let friction = 0.455 / libm::pow(log, 2.58);
        let slope = -2.58 * friction / (log * LN_10 * re);
        [friction, slope, -slope * (1.0 + 3.58 / (log * LN_10)) / re]
    })
});

/// u^−0.58, as in [`drag::compressibility`], up to Mach 5, where u = 1 + 0.15 M² is 4.75.
static FAST: LazyLock<Octaves> = LazyLock::new(|| {
    Octaves::new(0, 3, |u| {
        let factor = libm::pow(u, -0.58);
        [factor, -0.58 * factor / u, 0.58 * 1.58 * factor / (u * u)]
    })
});

/// The build-up of one rocket and its motor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BuildUp {
    length: f64,
    /// Form factor × skin / reference area.
    body: f64,
    body_rough: f64,
    /// Form factor × both faces / reference area.
    fins: f64,
    fins_rough: f64,
    /// Their edges, and count × span × thickness / reference area; 0 where they are tapered.
    edges: Edges,
    edge_area: f64,
    /// 2 × mean chord / thickness.
    faces_to_edge: f64,
    /// The fins' mean chord over the body's length.
    chord: f64,
    /// 0.029 × (d_base/d)³: over the root of the body's coefficient, the base drag.
    base: f64,
    /// Share of it that is left while the motor burns.
    left: f64,
    /// 1 + interference.
    interference: f64,
    buttons: f64,
    /// The straight lines of the compressibilities of smooth and rough between Mach 0.9 and 1.2: where they start, and their slopes.
    between: [(f64, f64); 2],
}

impl BuildUp {
    /// Takes out of the build-up all that the flow does not change.
    ///
    /// # Errors
    /// As [`drag::coefficient`] of that airframe with that motor in a flow within range.
    pub fn new(airframe: &Airframe, motor: Length) -> Result<Self, Unworkable> {
        // The direct sum checks every size.
        drag::coefficient(airframe, 0.3, 1e6, Motor::Burning { diameter: motor })?;
        let (l, d) = (airframe.length.si(), airframe.diameter.si());
        let reference = PI / 4.0 * d * d;
        let set = airframe.fins;
        let blunt = set.count != 0 && set.edges != Edges::Tapered;
        let edge = f64::from(set.count) * set.span.si() * set.thickness.si() / reference;
        let (chord, fins, fins_rough) = if set.count == 0 {
            (1.0, 0.0, 0.0)
        } else {
            let chord = set.mean_chord.si();
            let form = drag::fin_form_factor(set.thickness.si() / chord)?;
            let faces = 2.0 * f64::from(set.count) * set.span.si() * chord;
            let rough = drag::rough_friction(set.mean_chord, airframe.roughness)?;
            (chord / l, faces * form / reference, rough)
        };
        let (from, to) = drag::COMPRESSIBILITY_BENDS;
        let line = |of: fn(f64) -> Result<f64, Unworkable>| -> Result<(f64, f64), Unworkable> {
            let start = of(from)?;
            Ok((start, (of(to)? - start) / (to - from)))
        };
        Ok(Self {
            length: l,
            body: drag::body_form_factor(l / d)? * airframe.skin.si() / reference,
            body_rough: drag::rough_friction(airframe.length, airframe.roughness)?,
            fins,
            fins_rough,
            edges: set.edges,
            edge_area: if blunt { edge } else { 0.0 },
            faces_to_edge: if blunt { 2.0 * set.mean_chord.si() / set.thickness.si() } else { 1.0 },
            chord,
            base: 0.029 * (airframe.base.si() / d).powi(3),
            left: drag::base_left_burning(motor, airframe.base)?,
            interference: 1.0 + airframe.interference,
            buttons: drag::BUTTON * airframe.buttons.si() / reference,
            between: [line(drag::compressibility)?, line(drag::rough_compressibility)?],
        })
    }

    /// The whole coefficient, as [`drag::coefficient`] gives it, within 1e-11 of itself; not a number where that is refused.
    #[must_use]
    pub fn at(&self, mach: f64, reynolds: f64, burning: bool) -> f64 {
        let known = (0.0..=drag::HIGHEST_MACH).contains(&mach) && reynolds > 0.0 && reynolds.is_finite();
        if !known {
            return f64::NAN;
        }
        let square = mach * mach;
        let (from, to) = drag::COMPRESSIBILITY_BENDS;
        let (even, grained) = if mach <= from {
            (1.0 - 0.1 * square, 1.0 - 0.12 * square)
        } else if mach < to {
            let [even, grained] = self.between.map(|(start, slope)| start + slope * (mach - from));
            (even, grained)
        } else {
            let u = 1.0 + 0.15 * square;
            (FAST.at(u).unwrap_or_else(|| libm::pow(u, -0.58)), 1.0 / (1.0 + 0.18 * square))
        };
        let body = (smooth(reynolds) * even).max(self.body_rough * grained) * self.body;
        let plate = (smooth(reynolds * self.chord) * even).max(self.fins_rough * grained);
        let fins = plate * self.fins;
        let edges = if self.edge_area > 0.0 {
            let front = drag::leading_edge(self.edges, mach).unwrap_or(f64::NAN);
            self.edge_area * (front + 0.135 / libm::cbrt(self.faces_to_edge * plate))
        } else {
            0.0
        };
        let base = self.base / body.sqrt() * if burning { self.left } else { 1.0 };
        let rise = if mach <= drag::RISE_BEGINS {
            1.0
        } else if mach <= drag::RISE_PEAKS {
            1.0 + (drag::RISE - 1.0) / (drag::RISE_PEAKS - drag::RISE_BEGINS) * (mach - drag::RISE_BEGINS)
        } else {
            (drag::RISE * drag::RISE_PEAKS / mach).max(1.0)
        };
        ((body + fins) * self.interference + edges + base + self.buttons) * rise
    }
}

/// [`drag::smooth_friction`] of a number above zero.
#[inline]
fn smooth(reynolds: f64) -> f64 {
    let re = reynolds.max(LOWEST_REYNOLDS);
    SMOOTH.at(re).unwrap_or_else(|| 0.455 / libm::pow(libm::log10(re), 2.58))
}

impl DragLaw for BuildUp {
    fn coefficient(&self, flow: &Flow) -> f64 {
        let reynolds = flow.air.density.si() * flow.airspeed.si() * self.length / flow.air.viscosity;
        self.at(flow.mach, reynolds.max(SLOWEST), flow.burning)
    }
}

//! Bending of the body in flight: a free beam under side forces, and what the wall of a thin tube bears.

use std::f64::consts::PI;

use super::{Unworkable, above_zero, finite};
use crate::quantity::{Energy, Force, Length, Mass, Pressure};

/// The gust across the flight that a body is asked to bear, in m/s: 20 mph, the strongest wind in which rockets are flown.
pub const GUST: f64 = 8.9408;

/// A stretch of the body over which its mass is spread evenly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Its fore end, aft from the nose tip.
    pub fore: Length,
    /// Its aft end; that of its fore end for a mass at one place.
    pub aft: Length,
    /// Its mass.
    pub mass: Mass,
}

/// A side force at a place of the body, aft from the nose tip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SideForce {
    /// Where it acts.
    pub at: Length,
    /// How large it is.
    pub force: Force,
}

/// Bending moment M of a free body at a distance x from the nose tip: the moment of the side forces ahead of x about x, less that of the
/// inertia of what is ahead, which is accelerated sideways by a(s) = F/m + θ̈ (X − s), with F the sum of all side forces, m the mass, X the
/// centre of mass and θ̈ = Σ fᵢ (X − xᵢ)/I.
///
/// In N·m, positive where the forces ahead outweigh the inertia ahead. The body is stiff and its mass spread evenly over each
/// stretch, so that it is an estimate. Source: Newton's and Euler's laws of a rigid body; checked by the uniform beam pushed at
/// one end, M = 4 P L/27 at L/3.
///
/// # Errors
/// No mass, or all of it at one place.
pub fn moment(stretches: &[Stretch], forces: &[SideForce], x: Length) -> Result<Energy, Unworkable> {
    let ends = |one: &Stretch| (one.fore.si(), one.aft.si(), one.mass.si());
    let mass = above_zero("the mass of the body", stretches.iter().map(|s| s.mass.si()).sum())?;
    let first: f64 = stretches.iter().map(ends).map(|(a, b, m)| m * f64::midpoint(a, b)).sum();
    let centre = first / mass;
    let inertia = stretches.iter().map(ends).map(|(a, b, m)| {
        let (long, off) = (b - a, f64::midpoint(a, b) - centre);
        m * (long * long / 12.0 + off * off)
    });
    let inertia = above_zero("the moment of inertia of the body", inertia.sum())?;
    let push: f64 = forces.iter().map(|f| f.force.si()).sum();
    let turn: f64 = forces.iter().map(|f| f.force.si() * (centre - f.at.si())).sum();
    let (straight, turning) = (push / mass, turn / inertia);
    let x = x.si();
    let air: f64 = forces.iter().map(|f| f.force.si() * (x - f.at.si()).max(0.0)).sum();
    let held: f64 = stretches
        .iter()
        .map(ends)
        .map(|(fore, aft, mass)| {
            let load = |s: f64| (straight + turning * (centre - s)) * (x - s);
            if aft <= fore {
                return if fore < x { mass * load(fore) } else { 0.0 };
            }
            let end = aft.min(x);
            if end <= fore {
                return 0.0;
            }
            // Simpson's rule is exact for a square.
            mass * (end - fore) / (aft - fore) / 6.0
                * (load(fore) + 4.0 * load(f64::midpoint(fore, end)) + load(end))
        })
        .sum();
    finite("the bending moment", air - held).map(Energy::from_si)
}

/// The wall of a round tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wall {
    /// Radius r of the middle of the wall.
    pub radius: Length,
    /// Its thickness t.
    pub thickness: Length,
}

impl Wall {
    /// The wall between an outer and an inner diameter.
    ///
    /// # Errors
    /// An inner diameter that is not above zero, or not below the outer one.
    pub fn between(outer: Length, inner: Length) -> Result<Self, Unworkable> {
        let inner = above_zero("the inner diameter", inner.si())?;
        let thickness = above_zero("the wall", (outer.si() - inner) / 2.0)?;
        let radius = finite("the radius of the tube", (outer.si() + inner) / 4.0)?;
        Ok(Self { radius: Length::from_si(radius), thickness: Length::from_si(thickness) })
    }

    fn slenderness(self) -> Result<f64, Unworkable> {
        let t = above_zero("the wall", self.thickness.si())?;
        Ok(above_zero("the radius of the tube", self.radius.si())? / t)
    }

    /// Greatest stress σ = M/(π r² t) of a thin tube that is bent.
    ///
    /// Range: t well below r. Source: section modulus of a thin ring.
    ///
    /// # Errors
    /// A size that is not above zero.
    pub fn stress(self, moment: Energy) -> Result<Pressure, Unworkable> {
        self.slenderness()?;
        let modulus = PI * self.radius.si().powi(2) * self.thickness.si();
        finite("the stress of the tube", moment.si().abs() / modulus).map(Pressure::from_si)
    }

    /// The bending stress at which a thin tube buckles: 0.6 γ E t/r with γ = 1 − 0.731 (1 − exp(−√(r/t)/16)), near the lower edge of what tests
    /// have shown.
    ///
    /// Range: r/t below 1500; of a wound tube E is that along it or, better, the root of that along times that around. Source:
    /// NASA SP-8007, Buckling of Thin-Walled Circular Cylinders, 1968, quoted second-hand.
    ///
    /// # Errors
    /// A value that is not above zero.
    pub fn buckles_at(self, stiffness: Pressure) -> Result<Pressure, Unworkable> {
        let slender = self.slenderness()?;
        if slender > 1500.0 {
            return Err(Unworkable::because("the wall is too thin for this method"));
        }
        let e = above_zero("the stiffness of the tube", stiffness.si())?;
        finite("the buckling stress", 0.6 * knock_down(slender) * e / slender).map(Pressure::from_si)
    }
}

/// The share γ = 1 − 0.731 (1 − exp(−√(r/t)/16)) of the buckling stress of a perfect tube that a bent one
/// reaches, for its slenderness r/t. Source: NASA SP-8007, 1968, quoted second-hand.
#[must_use]
pub fn knock_down(slender: f64) -> f64 {
    1.0 - 0.731 * (1.0 - libm::exp(-slender.sqrt() / 16.0))
}

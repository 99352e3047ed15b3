//! How the drag coefficient of a rocket follows its flow: the joint between the ascent and whatever knows the drag.

use crate::engineering::{Unworkable, atmosphere::Air, finite, zero_or_more};
use crate::quantity::Speed;

/// The flow about a rocket at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flow {
    /// The air, undisturbed.
    pub air: Air,
    /// Speed through the air.
    pub airspeed: Speed,
    /// Airspeed over the speed of sound.
    pub mach: f64,
    /// Whether the motor burns: its jet fills part of the base, which then drags less.
    pub burning: bool,
}

/// The drag coefficient Cd of a rocket, on the reference area that the ascent is given.
///
/// A closure `|flow: &Flow| …` is one, so that a build-up from the rocket's shape can be plugged in. It should be finite, not below
/// zero and without jumps but that at burnout.
pub trait DragLaw {
    /// Cd in a flow.
    fn coefficient(&self, flow: &Flow) -> f64;
}

impl<F: Fn(&Flow) -> f64> DragLaw for F {
    fn coefficient(&self, flow: &Flow) -> f64 {
        self(flow)
    }
}

/// A drag coefficient that does not depend on the speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteadyDrag {
    burning: f64,
    coasting: f64,
}

impl SteadyDrag {
    /// The same in the burn and the coast.
    ///
    /// # Errors
    /// A coefficient below zero.
    pub fn new(coefficient: f64) -> Result<Self, Unworkable> {
        Self::with_burning(coefficient, coefficient)
    }

    /// One for the burn and one for the coast.
    ///
    /// # Errors
    /// A coefficient below zero.
    pub fn with_burning(burning: f64, coasting: f64) -> Result<Self, Unworkable> {
        zero_or_more("the drag coefficient", burning)?;
        zero_or_more("the drag coefficient", coasting)?;
        Ok(Self { burning, coasting })
    }
}

impl DragLaw for SteadyDrag {
    fn coefficient(&self, flow: &Flow) -> f64 {
        if flow.burning { self.burning } else { self.coasting }
    }
}

/// Drag coefficients against Mach number: straight lines between the points, the end values beyond the ends.
#[derive(Clone, Debug, PartialEq)]
pub struct DragTable {
    coasting: Vec<(f64, f64)>,
    burning: Option<Vec<(f64, f64)>>,
}

impl DragTable {
    /// From points of Mach number and Cd for the burn and the coast alike.
    ///
    /// # Errors
    /// No point; Mach numbers that do not rise or are below zero; a coefficient below zero.
    pub fn new(points: &[(f64, f64)]) -> Result<Self, Unworkable> {
        Ok(Self { coasting: checked(points)?, burning: None })
    }

    /// With a table of its own for the burn.
    ///
    /// # Errors
    /// As [`DragTable::new`].
    pub fn with_burning(burning: &[(f64, f64)], coasting: &[(f64, f64)]) -> Result<Self, Unworkable> {
        Ok(Self { coasting: checked(coasting)?, burning: Some(checked(burning)?) })
    }
}

impl DragLaw for DragTable {
    fn coefficient(&self, flow: &Flow) -> f64 {
        let table = self.burning.as_ref().filter(|_| flow.burning).unwrap_or(&self.coasting);
        along(table, flow.mach)
    }
}

fn checked(points: &[(f64, f64)]) -> Result<Vec<(f64, f64)>, Unworkable> {
    if points.is_empty() {
        return Err(Unworkable::because("a table of drag needs at least one point"));
    }
    let mut before = None;
    for (mach, coefficient) in points {
        zero_or_more("the Mach number of a table of drag", finite("a Mach number", *mach)?)?;
        zero_or_more("the drag coefficient", *coefficient)?;
        if before.is_some_and(|b| b >= *mach) {
            return Err(Unworkable::because("the Mach numbers of a table of drag must rise"));
        }
        before = Some(*mach);
    }
    Ok(points.to_vec())
}

fn along(points: &[(f64, f64)], mach: f64) -> f64 {
    let after = points.partition_point(|(m, _)| *m <= mach);
    let below = after.checked_sub(1).and_then(|i| points.get(i));
    match (below, points.get(after)) {
        (Some((m0, c0)), Some((m1, c1))) => c0 + (c1 - c0) * (mach - m0) / (m1 - m0),
        (Some((_, only)), None) | (None, Some((_, only))) => *only,
        (None, None) => f64::NAN,
    }
}

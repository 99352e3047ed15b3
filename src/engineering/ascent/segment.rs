//! One step of an ascent, on the rail or in the air.

use super::super::integrate::AcceptedStep;

/// One step of an ascent.
#[derive(Clone, Copy, Debug)]
pub(super) struct Segment {
    pub(super) path: Path,
    pub(super) until: f64,
    /// The line of the thrust curve that holds; beyond the last, none.
    pub(super) line: usize,
}

#[derive(Clone, Copy, Debug)]
pub(super) enum Path {
    Rail(AcceptedStep<2>),
    Air(AcceptedStep<4>),
}

impl Segment {
    pub(super) fn on_rail(step: AcceptedStep<2>, until: f64, line: usize) -> Self {
        Self { path: Path::Rail(step), until, line }
    }

    pub(super) fn in_air(step: AcceptedStep<4>, until: f64, line: usize) -> Self {
        Self { path: Path::Air(step), until, line }
    }

    pub(super) fn start(&self) -> f64 {
        match &self.path {
            Path::Rail(step) => step.start(),
            Path::Air(step) => step.start(),
        }
    }

    /// Height above the site and the rate of its change.
    pub(super) fn climb(&self, cosine: f64, t: f64) -> (f64, f64) {
        match &self.path {
            Path::Rail(step) => {
                let [s, v] = step.at(t);
                (s * cosine, v * cosine)
            }
            Path::Air(step) => {
                let [_, z, _, vz] = step.at(t);
                (z, vz)
            }
        }
    }
}

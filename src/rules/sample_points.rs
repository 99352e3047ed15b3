//! The points at which a design is sampled: evenly spread, or drawn by chance; the same in each run.

use crate::engineering::sobol::{Chance, Sobol, between_zero_and_one};

/// Any number would do; the samples are the same in each run because it is.
const SEED: u64 = 0x6d61_7273_6865_7300;

/// Points of the unit cube.
#[derive(Clone, Debug)]
pub(crate) struct SamplePoints {
    count: usize,
    dimensions: usize,
    /// The even points; none where all is drawn by chance.
    even: Option<Sobol>,
}

impl SamplePoints {
    /// Points that fill the cube evenly: for medians, percentiles and what drives them.
    pub(crate) fn even(count: usize, dimensions: usize) -> Self {
        // In the dimensions beyond those of the table, points are drawn by chance.
        Self { count, dimensions, even: Sobol::of(dimensions.min(Sobol::DIMENSIONS)).ok() }
    }

    /// Points drawn by chance: for bounds with a confidence.
    pub(crate) fn by_chance(count: usize, dimensions: usize) -> Self {
        Self { count, dimensions, even: None }
    }

    pub(crate) fn count(&self) -> usize {
        self.count
    }

    /// A coordinate of a point, between 0 and 1.
    pub(crate) fn share(&self, number: usize, dimension: usize) -> f64 {
        let row = Chance { seed: SEED };
        let drawn = row.coordinate((number * self.dimensions + dimension) as u64);
        let coordinate = match &self.even {
            Some(sobol) if dimension < Sobol::DIMENSIONS => {
                // Moved by chance, the same for all points of a dimension: no point then lies in the corner of all that is least.
                let moved = Chance { seed: !SEED }.coordinate(dimension as u64);
                sobol.coordinate(u32::try_from(number).unwrap_or(u32::MAX), dimension) ^ moved
            }
            _ => drawn,
        };
        between_zero_and_one(coordinate)
    }
}

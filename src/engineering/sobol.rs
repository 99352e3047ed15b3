//! Points that fill a space of many dimensions evenly, and points that fill it by chance; each known by its number alone.

use super::Unworkable;

/// Bits of a coordinate.
const BITS: usize = 32;
/// The published table; its head says where it is from.
const TABLE: &str = include_str!("sobol_directions.txt");

/// Sobol points of some dimensions.
///
/// Source: I. M. Sobol's construction with the direction numbers of S. Joe and F. Y. Kuo (SIAM Journal on Scientific Computing 30, 2008,
/// 2635–2654), in the order of Gray's code.
#[derive(Clone, Debug)]
pub struct Sobol {
    directions: Vec<[u32; BITS]>,
}

impl Sobol {
    /// The most dimensions that the table has.
    pub const DIMENSIONS: usize = 400;

    /// Points of so many dimensions.
    ///
    /// # Errors
    /// More dimensions than the table has.
    pub fn of(dimensions: usize) -> Result<Self, Unworkable> {
        let rows = TABLE.lines().filter(|line| !line.starts_with('#')).map(row);
        let directions: Vec<_> = std::iter::once(first()).chain(rows).take(dimensions).collect();
        if directions.len() < dimensions {
            return Err(Unworkable::because("there are more dimensions than direction numbers"));
        }
        Ok(Self { directions })
    }

    /// A coordinate of the point of a number, from 0, in units of 2⁻³²; zero for a dimension that it does not have.
    #[must_use]
    pub fn coordinate(&self, number: u32, dimension: usize) -> u32 {
        let code = number ^ (number >> 1);
        let directions = self.directions.get(dimension).into_iter().flatten().enumerate();
        directions.filter(|(bit, _)| code >> bit & 1 == 1).fold(0, |sum, (_, direction)| sum ^ direction)
    }
}

/// The directions of the first dimension: a half, a quarter, an eighth …
fn first() -> [u32; BITS] {
    std::array::from_fn(|bit| 1 << (BITS - 1 - bit))
}

/// The directions of a dimension by its row of the table.
fn row(line: &str) -> [u32; BITS] {
    let mut numbers = line.split_ascii_whitespace().filter_map(|word| word.parse::<u32>().ok()).skip(1);
    let (degree, inner) = (numbers.next().unwrap_or(0) as usize, numbers.next().unwrap_or(0));
    let mut directions = [0; BITS];
    for bit in 0..BITS {
        let back = |steps: usize| bit.checked_sub(steps).and_then(|at| directions.get(at)).copied();
        let direction = match numbers.next() {
            Some(initial) => initial << (BITS - 1 - bit),
            None => {
                let start = back(degree).unwrap_or(0);
                let terms = (1..degree).filter(|step| inner >> (degree - 1 - step) & 1 == 1);
                terms.filter_map(back).fold(start ^ (start >> degree), |sum, one| sum ^ one)
            }
        };
        if let Some(place) = directions.get_mut(bit) {
            *place = direction;
        }
    }
    directions
}

/// Numbers that look drawn by chance, the same for the same seed; each by its place in the row of them, from 0.
///
/// Source: G. L. Steele, D. Lea, C. H. Flood, *Fast splittable pseudorandom number generators*, OOPSLA 2014 (SplitMix64).
#[derive(Clone, Copy, Debug)]
pub struct Chance {
    /// Where the row begins.
    pub seed: u64,
}

impl Chance {
    /// The number in a place.
    #[must_use]
    pub fn at(self, place: u64) -> u64 {
        let state = self.seed.wrapping_add(place.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15));
        let mixed = (state ^ (state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// Its first 32 bits.
    #[must_use]
    pub fn coordinate(self, place: u64) -> u32 {
        (self.at(place) >> 32) as u32
    }
}

/// A coordinate as a number between 0 and 1, neither of them included.
#[must_use]
pub fn between_zero_and_one(coordinate: u32) -> f64 {
    (f64::from(coordinate) + 0.5) / 4_294_967_296.0
}

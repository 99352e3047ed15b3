//! Powers that a flight asks for a thousand times, read from tables of polynomials.

/// A smooth function of a number above zero: polynomials of order 5 with its values, slopes and bends at both
/// ends of a cell, each octave divided into 2^[`SPLIT`] equal cells.
pub(super) struct Octaves {
    /// The bits of the first number, without those that lie within a cell.
    first: u64,
    cells: Vec<[f64; 6]>,
}

/// Bits of the cells of one octave. The polynomials then err by (1/32)⁶/46 080 of the sixth derivative, some 1e-12 of the function: so little
/// that a flight takes the same steps as with the function itself.
const SPLIT: u32 = 5;
const WITHIN: u32 = 52 - SPLIT;

impl Octaves {
    /// From 2^`low` to 2^`high`, of a function that gives its value, its slope and its bend.
    pub(super) fn new(low: i32, high: i32, f: impl Fn(f64) -> [f64; 3]) -> Self {
        let first = 2_f64.powi(low).to_bits() >> WITHIN;
        let last = 2_f64.powi(high).to_bits() >> WITHIN;
        let cell = |number: u64| {
            let (from, to) = (f64::from_bits(number << WITHIN), f64::from_bits((number + 1) << WITHIN));
            let wide = to - from;
            let ([q0, s0, b0], [q1, s1, b1]) = (f(from), f(to));
            let (rise, s0, s1) = (q1 - q0, s0 * wide, s1 * wide);
            let (b0, b1) = (0.5 * b0 * wide * wide, 0.5 * b1 * wide * wide);
            [
                q0,
                s0,
                b0,
                10.0 * rise - 6.0 * s0 - 4.0 * s1 - 3.0 * b0 + b1,
                -15.0 * rise + 8.0 * s0 + 7.0 * s1 + 3.0 * b0 - 2.0 * b1,
                6.0 * rise - 3.0 * (s0 + s1) - b0 + b1,
            ]
        };
        Self { first, cells: (first..last).map(cell).collect() }
    }

    /// The function at x, where that is within the table.
    #[inline]
    pub(super) fn at(&self, x: f64) -> Option<f64> {
        let bits = x.to_bits();
        let cell = usize::try_from((bits >> WITHIN).checked_sub(self.first)?).ok()?;
        let [a, b, c, d, e, f] = self.cells.get(cell)?;
        // The bits within the cell, as a share of it.
        let share = f64::from_bits((bits << SPLIT) & (u64::MAX >> 12) | 1.0_f64.to_bits()) - 1.0;
        Some(a + share * (b + share * (c + share * (d + share * (e + share * f)))))
    }
}

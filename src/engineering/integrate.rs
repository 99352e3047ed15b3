//! Ordinary differential equations y' = f(t, y) by steps that fit themselves to a tolerance, with states between the steps and the moments
//! at which something happens.
//!
//! The pair is that of Dormand and Prince, order 5 with an error estimate of order 4, and its continuous extension of order 4. States are
//! arrays of a length known to the compiler; nothing is allocated.
//! Sources: J. R. Dormand, P. J. Prince, "A family of embedded Runge–Kutta formulae", *J. Comput. Appl. Math.* 6 (1980) 19–26;
//! step control and dense output: E. Hairer, S. P. Nørsett, G. Wanner, *Solving Ordinary Differential Equations I*, sections II.4 to II.6.
//! The coefficients are from memory; the tests prove their order against closed forms.

use super::Unworkable;

/// Nodes of the pair.
const C: [f64; 4] = [1.0 / 5.0, 3.0 / 10.0, 4.0 / 5.0, 8.0 / 9.0];
const A2: [f64; 1] = [1.0 / 5.0];
const A3: [f64; 2] = [3.0 / 40.0, 9.0 / 40.0];
const A4: [f64; 3] = [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0];
const A5: [f64; 4] = [19_372.0 / 6_561.0, -25_360.0 / 2_187.0, 64_448.0 / 6_561.0, -212.0 / 729.0];
const A6: [f64; 5] =
    [9_017.0 / 3_168.0, -355.0 / 33.0, 46_732.0 / 5_247.0, 49.0 / 176.0, -5_103.0 / 18_656.0];
/// The weights of order 5, for slopes 1, 3, 4, 5, 6.
const B: [f64; 5] = [35.0 / 384.0, 500.0 / 1_113.0, 125.0 / 192.0, -2_187.0 / 6_784.0, 11.0 / 84.0];
/// The weights of order 5 less those of order 4, for slopes 1, 3, 4, 5, 6, 7.
const E: [f64; 6] =
    [71.0 / 57_600.0, -71.0 / 16_695.0, 71.0 / 1_920.0, -17_253.0 / 339_200.0, 22.0 / 525.0, -1.0 / 40.0];
/// The weights of the last term of the continuous extension, for slopes 1, 3, 4, 5, 6, 7.
const D: [f64; 6] = [
    -12_715_105_075.0 / 11_282_082_432.0,
    87_487_479_700.0 / 32_700_410_799.0,
    -10_690_763_975.0 / 1_880_347_072.0,
    701_980_252_875.0 / 199_316_789_632.0,
    -1_453_857_185.0 / 822_651_844.0,
    69_997_945.0 / 29_380_423.0,
];

/// A step may grow or shrink at once by no more than this.
const MOST_GROWTH: f64 = 6.0;
const MOST_SHRINKING: f64 = 0.2;
/// Part of the step that the error estimate would allow.
const SAFETY: f64 = 0.9;

/// How large the error of one step may be in each component: absolute + relative · |y|.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance<const N: usize> {
    /// The part that goes with the size of the component.
    pub relative: f64,
    /// The part that does not, in the component's own unit.
    pub absolute: [f64; N],
}

/// Something that moves along y' = f(t, y), one step a call.
#[derive(Clone, Copy, Debug)]
pub struct DormandPrince<const N: usize> {
    tolerance: Tolerance<N>,
    time: f64,
    state: [f64; N],
    /// f(t, y), where it is known from the step before.
    slope: Option<[f64; N]>,
    /// The length that the next step would like, or zero where nothing is known yet.
    stride: f64,
    /// The scaled error of the step before, for the damping of the step control.
    last_error: f64,
}

/// One step that was accepted, with every state in it.
#[derive(Clone, Copy, Debug)]
pub struct AcceptedStep<const N: usize> {
    start: f64,
    end: f64,
    first: [f64; N],
    last: [f64; N],
    /// The terms of the continuous extension beyond the first state.
    terms: [[f64; N]; 4],
}

impl<const N: usize> DormandPrince<N> {
    /// At time t with state y.
    #[must_use]
    pub fn new(tolerance: Tolerance<N>, time: f64, state: [f64; N]) -> Self {
        Self { tolerance, time, state, slope: None, stride: 0.0, last_error: 1e-4 }
    }

    /// The time that has been reached.
    #[must_use]
    pub fn time(&self) -> f64 {
        self.time
    }

    /// The state that has been reached.
    #[must_use]
    pub fn state(&self) -> &[f64; N] {
        &self.state
    }

    /// Puts it elsewhere, or lets it go on where it stands with another f; keeps the length of step found so far.
    pub fn restart(&mut self, time: f64, state: [f64; N]) {
        self.time = time;
        self.state = state;
        self.slope = None;
    }

    /// Takes one step of y' = f(t, y) that keeps the tolerance and does not go beyond `limit`, which may be infinite.
    ///
    /// # Errors
    /// A limit that is not ahead; a solution that no step is short enough for, as where f is not a number.
    pub fn advance(
        &mut self,
        f: &mut impl FnMut(f64, &[f64; N]) -> [f64; N],
        limit: f64,
    ) -> Result<AcceptedStep<N>, Unworkable> {
        let remaining = limit - self.time;
        if remaining.is_nan() || remaining <= 0.0 {
            return Err(Unworkable::because("an integration must go forward"));
        }
        let k1 = match self.slope {
            Some(slope) => slope,
            None => f(self.time, &self.state),
        };
        if self.stride <= 0.0 {
            self.stride = self.first_stride(f, &k1);
        }
        let mut length = self.stride;
        let mut rejected = false;
        loop {
            // A sliver left before the limit would cost a whole step of its own.
            let cut = length * 1.01 >= remaining;
            let h = if cut { remaining } else { length };
            let end = if cut { limit } else { self.time + h };
            if !h.is_finite() || self.time + 0.1 * h <= self.time {
                return Err(Unworkable::because("the motion changes too abruptly to be followed"));
            }
            let (y, k7, error, terms) = self.attempt(f, &k1, h);
            if error <= 1.0 {
                let step = AcceptedStep { start: self.time, end, first: self.state, last: y, terms };
                let growth = SAFETY
                    * libm::exp(0.04 * libm::log(self.last_error) - 0.17 * libm::log(error.max(1e-12)));
                let next = h * growth.clamp(MOST_SHRINKING, if rejected { 1.0 } else { MOST_GROWTH });
                // A step that was only cut at the limit says nothing against the length it was cut from.
                self.stride = if cut { next.max(length) } else { next };
                self.last_error = error.max(1e-4);
                self.time = end;
                self.state = y;
                self.slope = Some(k7);
                return Ok(step);
            }
            let shrinking = if error.is_finite() { SAFETY / libm::pow(error, 0.2) } else { 0.1 };
            length = h * shrinking.clamp(0.1, SAFETY);
            rejected = true;
        }
    }

    /// One step of length h: the new state, the slope there, the scaled error and the terms of the continuous extension.
    fn attempt(
        &self,
        f: &mut impl FnMut(f64, &[f64; N]) -> [f64; N],
        k1: &[f64; N],
        h: f64,
    ) -> ([f64; N], [f64; N], f64, [[f64; N]; 4]) {
        let y = &self.state;
        let [c2, c3, c4, c5] = C.map(|c| self.time + c * h);
        let end = self.time + h;
        let k2 = f(c2, &moved(y, h, A2, [k1]));
        let k3 = f(c3, &moved(y, h, A3, [k1, &k2]));
        let k4 = f(c4, &moved(y, h, A4, [k1, &k2, &k3]));
        let k5 = f(c5, &moved(y, h, A5, [k1, &k2, &k3, &k4]));
        let k6 = f(end, &moved(y, h, A6, [k1, &k2, &k3, &k4, &k5]));
        let new = moved(y, h, B, [k1, &k3, &k4, &k5, &k6]);
        let k7 = f(end, &new);
        let slopes = [k1, &k3, &k4, &k5, &k6, &k7];

        let nothing = [0.0; N];
        let error = self.scaled(&moved(&nothing, h, E, slopes), &new);
        let difference = moved(&new, -1.0, [1.0], [y]);
        let bend = moved(&moved(&nothing, h, [1.0], [k1]), -1.0, [1.0], [&difference]);
        let twist = moved(&moved(&difference, -h, [1.0], [&k7]), -1.0, [1.0], [&bend]);
        let rest = moved(&nothing, h, D, slopes);
        (new, k7, error, [difference, bend, twist, rest])
    }

    /// The size of an error measured by the tolerance: 1 is just allowed.
    fn scaled(&self, error: &[f64; N], new: &[f64; N]) -> f64 {
        let parts = error.iter().zip(new).zip(self.state.iter().zip(&self.tolerance.absolute));
        let sum: f64 = parts
            .map(|((e, b), (a, absolute))| {
                let allowed = absolute + self.tolerance.relative * a.abs().max(b.abs());
                (e / allowed) * (e / allowed)
            })
            .sum();
        #[expect(clippy::cast_precision_loss, reason = "a state has a handful of components")]
        let count = N as f64;
        (sum / count).sqrt()
    }

    /// A guess of the first step from the sizes of y, y' and y''.
    fn first_stride(&self, f: &mut impl FnMut(f64, &[f64; N]) -> [f64; N], k1: &[f64; N]) -> f64 {
        let size = self.scaled(&self.state, &self.state);
        let speed = self.scaled(k1, &self.state);
        let probe = if size < 1e-5 || speed < 1e-5 { 1e-6 } else { 0.01 * size / speed };
        let there = f(self.time + probe, &moved(&self.state, probe, [1.0], [k1]));
        let turn = self.scaled(&moved(&there, -1.0, [1.0], [k1]), &self.state) / probe;
        let steepest = speed.max(turn);
        let stride =
            if steepest <= 1e-15 { 1e-3_f64.max(probe * 1e-3) } else { libm::pow(0.01 / steepest, 0.2) };
        let stride = stride.min(100.0 * probe);
        if stride.is_finite() && stride > 0.0 { stride } else { 1e-6 }
    }
}

/// y + h Σ weight · slope.
#[allow(clippy::indexing_slicing, reason = "arrays whose lengths the compiler knows")]
#[allow(clippy::inline_always, reason = "the step is made of ten of these")]
#[inline(always)]
fn moved<const N: usize, const M: usize>(
    y: &[f64; N],
    h: f64,
    weights: [f64; M],
    slopes: [&[f64; N]; M],
) -> [f64; N] {
    let mut sum = [0.0; N];
    let mut term = 0;
    // Loops over lengths known to the compiler, which it then unrolls; adapters of iterators it does not.
    while term < M {
        let (weight, slope) = (weights[term], slopes[term]);
        let mut i = 0;
        while i < N {
            sum[i] += weight * slope[i];
            i += 1;
        }
        term += 1;
    }
    let mut out = *y;
    let mut i = 0;
    while i < N {
        out[i] += h * sum[i];
        i += 1;
    }
    out
}

impl<const N: usize> AcceptedStep<N> {
    /// Time at its start.
    #[must_use]
    pub fn start(&self) -> f64 {
        self.start
    }

    /// Time at its end.
    #[must_use]
    pub fn end(&self) -> f64 {
        self.end
    }

    /// State at its end.
    #[must_use]
    pub fn last(&self) -> &[f64; N] {
        &self.last
    }

    /// The state at a time within the step, by the continuous extension of order 4; outside the step, that of the nearer end.
    #[must_use]
    pub fn at(&self, time: f64) -> [f64; N] {
        if time <= self.start {
            return self.first;
        }
        if time >= self.end {
            return self.last;
        }
        let s = (time - self.start) / (self.end - self.start);
        let r = 1.0 - s;
        let weights = [s, s * r, s * s * r, s * s * r * r];
        let [a, b, c, d] = &self.terms;
        moved(&self.first, 1.0, weights, [a, b, c, d])
    }

    /// The time within the step at which g(t, y) rises through zero, where it is below zero at the start and not below at the end. Of
    /// several such times one is found; a g that rises and falls again within the step is not seen.
    #[must_use]
    pub fn rise(&self, mut g: impl FnMut(f64, &[f64; N]) -> f64) -> Option<f64> {
        let begins = g(self.start, &self.first);
        let ends = g(self.end, &self.last);
        if begins < 0.0 && ends >= 0.0 {
            let close = 1e-13 * (self.end.abs() + self.start.abs()) + 1e-12 * (self.end - self.start);
            return Some(root(|t| g(t, &self.at(t)), (self.start, begins), (self.end, ends), close));
        }
        None
    }
}

/// A root of g between two places where its signs differ, each given with its g, to within `close`. Ridders's method: it converges
/// quadratically and at least halves the bracket each time. Where the signs do not differ, the place with the smaller g.
///
/// Source: C. J. F. Ridders, "A new algorithm for computing a single root of a real continuous function", *IEEE Trans. Circuits Syst.* 26
/// (1979) 979–980.
pub fn root(mut g: impl FnMut(f64) -> f64, from: (f64, f64), to: (f64, f64), close: f64) -> f64 {
    let ((mut low, mut g_low), (mut high, mut g_high)) = (from, to);
    let mut best = if g_low.abs() < g_high.abs() { low } else { high };
    if g_low == 0.0 || g_high == 0.0 || (g_low < 0.0) == (g_high < 0.0) {
        return best;
    }
    // Halving alone would bring any bracket of doubles together in fewer rounds than this.
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        let g_middle = g(middle);
        let scale = (g_middle * g_middle - g_low * g_high).sqrt();
        if g_middle == 0.0 || !scale.is_finite() || scale == 0.0 {
            return middle;
        }
        let way = if g_low < g_high { -1.0 } else { 1.0 };
        let place = middle + (middle - low) * way * g_middle / scale;
        let g_place = g(place);
        let moved_by = (place - best).abs();
        best = place;
        if g_place == 0.0 || moved_by <= close {
            break;
        }
        if (g_middle < 0.0) != (g_place < 0.0) {
            (low, g_low, high, g_high) = (middle, g_middle, place, g_place);
        } else if (g_low < 0.0) != (g_place < 0.0) {
            (high, g_high) = (place, g_place);
        } else {
            (low, g_low) = (place, g_place);
        }
        if (high - low).abs() <= close {
            break;
        }
    }
    best
}

/// The time between two at which q is greatest, and q there, where q has one peak between them: parabolas through the three best places,
/// golden sections where those lead nowhere, to 1e-4 of the stretch. A smooth q is then within 1e-8 of how much it bends there.
///
/// Source: R. P. Brent, *Algorithms for Minimization without Derivatives* (1973), chapter 5 (from memory).
pub fn peak(mut q: impl FnMut(f64) -> f64, from: f64, to: f64) -> (f64, f64) {
    // What golden section leaves of the smaller part: (3 − √5)/2.
    const GOLDEN: f64 = 0.381_966_011_250_105_1;
    let close = 5e-5 * (to - from).abs();
    let (mut low, mut high) = (from, to);
    let mut best = low + GOLDEN * (high - low);
    let mut q_best = q(best);
    let (mut second, mut q_second) = (best, q_best);
    let (mut third, mut q_third) = (best, q_best);
    let (mut stride, mut before) = (0.0_f64, 0.0_f64);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if (best - middle).abs() <= 2.0 * close - 0.5 * (high - low) {
            break;
        }
        // The top of the parabola, as a stride from the best place.
        let r = (best - second) * (q_best - q_third);
        let s = (best - third) * (q_best - q_second);
        let (up, down) = ((best - third) * s - (best - second) * r, 2.0 * (r - s));
        let parabola = up / down;
        let ahead = best + parabola;
        if parabola.abs() < 0.5 * before.abs() && ahead > low && ahead < high {
            before = stride;
            stride = parabola;
            if ahead - low < 2.0 * close || high - ahead < 2.0 * close {
                stride = close.copysign(middle - best);
            }
        } else {
            before = if best < middle { high - best } else { low - best };
            stride = GOLDEN * before;
        }
        let place = best + if stride.abs() >= close { stride } else { close.copysign(stride) };
        let q_place = q(place);
        if q_place >= q_best {
            if place < best {
                high = best
            } else {
                low = best
            }
            (third, q_third) = (second, q_second);
            (second, q_second) = (best, q_best);
            (best, q_best) = (place, q_place);
        } else {
            if place < best {
                low = place
            } else {
                high = place
            }
            if q_place >= q_second || second == best {
                (third, q_third) = (second, q_second);
                (second, q_second) = (place, q_place);
            } else if q_place >= q_third || third == best || third == second {
                (third, q_third) = (place, q_place);
            }
        }
    }
    (best, q_best)
}

//! The flow of air through the holes of a bay, as through an isentropic orifice that may be choked.

use crate::engineering::{atmosphere, integrate};

/// Ratio of specific heats of air.
const GAMMA: f64 = atmosphere::HEAT_RATIO;

/// The orifice and the bay, in SI units.
pub(super) struct OrificeFlow {
    /// Cd A √(R T)/V, 1/s.
    rate: f64,
    /// The pressure ratio below which the orifice is choked, (2/(γ+1))^(γ/(γ−1)).
    critical: f64,
}

impl OrificeFlow {
    /// That of a bay by its Cd A √(R T)/V, 1/s.
    pub(super) fn new(rate: f64) -> Self {
        Self { rate, critical: libm::pow(2.0 / (GAMMA + 1.0), GAMMA / (GAMMA - 1.0)) }
    }

    /// −dp/dt of the bay at pressure `inside` with `outside` around it: Cd A p_u √(R T)/V ψ(p_d/p_u), from the higher pressure p_u to
    /// the lower p_d, with ψ = √(2γ/(γ−1) (r^(2/γ) − r^((γ+1)/γ))), held at its greatest below the critical ratio.
    fn outflow(&self, inside: f64, outside: f64) -> f64 {
        let (high, low) = if inside > outside { (inside, outside) } else { (outside, inside) };
        let ratio = (low / high).max(self.critical);
        // r^(2/γ) (1 − r^((γ−1)/γ)), written so that nothing cancels where the pressures are nearly the same.
        let logarithm = if ratio > 0.9 { libm::log1p((low - high) / high) } else { libm::log(ratio) };
        let fall = -libm::expm1((GAMMA - 1.0) / GAMMA * logarithm);
        let flow = (2.0 * GAMMA / (GAMMA - 1.0) * libm::exp(2.0 / GAMMA * logarithm) * fall).max(0.0).sqrt();
        (inside - outside).signum() * self.rate * high * flow
    }

    /// The excess δ of the bay over `outside` that solves outside + δ + h · outflow = target, by way of one that is near.
    ///
    /// For a small part x = (p_u − p_d)/p_u, ψ² is 2 x times a series, so that with δ = w² the outflow is w times something that hardly
    /// changes with w: that makes a quadratic in w, whose root errs by the square of x at most, and a second one by the square of that.
    pub(super) fn solve(&self, target: f64, outside: f64, h: f64, near: f64) -> f64 {
        let surplus = target - outside;
        if surplus == 0.0 {
            return 0.0;
        }
        let size = surplus.abs();
        // The higher pressure is the bay's own, or that outside.
        let own = if surplus > 0.0 { 1.0 } else { 0.0 };
        let mut excess = if (near > 0.0) == (surplus > 0.0) { near.abs().min(size) } else { 0.0 };
        for _ in 0..8 {
            let high = outside + own * excess;
            let part = excess / high;
            if part > SMALL_PART {
                break;
            }
            // The outflow is b w, where b changes by the part `bend` of itself for each Pa of excess.
            let b = h * self.rate * (2.0 * high * series(part)).sqrt();
            let bend = 0.5 * (own + BEND * (1.0 - own * part)) / high;
            // w² + w b (1 + bend (w² − δ)) = size, with size − w b for the w² in what is small anyway.
            let (square, linear) = (1.0 - bend * b * b, b * (1.0 + bend * (size - excess)));
            let root = 2.0 * size / (linear + (linear * linear + 4.0 * square * size).sqrt());
            let before = excess;
            excess = root * root;
            if (excess - before).abs() * part.max(excess / high).powi(2) <= 1e-9 * excess {
                return excess.copysign(surplus);
            }
        }
        self.search(surplus, outside, h)
    }

    /// The same where the pressures differ much, by a search.
    fn search(&self, surplus: f64, outside: f64, h: f64) -> f64 {
        // In the root of the excess the outflow is nearly a straight line; the excess lies between nothing and the whole surplus.
        let excess = |w: f64| w * w.abs();
        let balance = |w: f64| excess(w) + h * self.outflow(outside + excess(w), outside) - surplus;
        let furthest = surplus.signum() * surplus.abs().sqrt();
        let root =
            integrate::root(balance, (0.0, -surplus), (furthest, balance(furthest)), 1e-9 * furthest.abs());
        excess(root)
    }
}

/// The part of the higher pressure up to which [`series`] is read.
const SMALL_PART: f64 = 0.05;

/// The coefficients of [`series`]: 7 (−1)^k (C(10/7, k) − C(12/7, k))/2 for k = 1 to 9, with the binomials C.
const SERIES: [f64; 9] = {
    let (first, second) = (2.0 / GAMMA, (GAMMA + 1.0) / GAMMA);
    let mut terms = [0.0; 9];
    let (mut a, mut b) = (1.0, 1.0);
    let mut sign = 1.0;
    let mut k = 0;
    let mut number = 1.0;
    while k < 9 {
        a *= (first - number + 1.0) / number;
        b *= (second - number + 1.0) / number;
        sign = -sign;
        #[allow(clippy::indexing_slicing, reason = "worked out by the compiler")]
        {
            terms[k] = sign * GAMMA / (GAMMA - 1.0) * (a - b);
        }
        number += 1.0;
        k += 1;
    }
    terms
};

/// ψ²/(2 x) of [`OrificeFlow::outflow`] by its power series in the part x = 1 − r; up to x = 0.05 within 1e-12.
#[inline]
fn series(x: f64) -> f64 {
    let [a, b, c, d, rest @ ..] = &SERIES;
    // What lies beyond is less than 1e-12 for a part so small.
    let rest = if x < 1e-3 { 0.0 } else { rest.iter().rev().fold(0.0, |sum, term| sum * x + term) };
    a + x * (b + x * (c + x * (d + x * rest)))
}

/// The slope of ψ²/(2 x) over itself at x = 0.
const BEND: f64 = {
    let [_, second, ..] = SERIES;
    second
};

//! The integrator against closed forms: the exponential, the harmonic oscillator, the projectile; its order; its roots.

use crate::sheet::{close, near};
use holdpoint::engineering::integrate::{self, AcceptedStep, DormandPrince, Tolerance};

fn within<const N: usize>(relative: f64) -> Tolerance<N> {
    Tolerance { relative, absolute: [relative; N] }
}

/// Integrates to the end and gives every step.
fn steps<const N: usize>(
    mut f: impl FnMut(f64, &[f64; N]) -> [f64; N],
    from: [f64; N],
    end: f64,
    relative: f64,
) -> Vec<AcceptedStep<N>> {
    let mut motion = DormandPrince::new(within(relative), 0.0, from);
    let mut steps = Vec::new();
    while motion.time() < end {
        steps.push(motion.advance(&mut f, end).unwrap());
    }
    assert_eq!(motion.time(), end, "the last step ends at the limit itself");
    steps
}

/// y' = y has y = eᵗ.
#[test]
fn the_exponential_comes_out() {
    for relative in [1e-5, 1e-8, 1e-11] {
        let all = steps(|_, [y]| [*y], [1.0], 5.0, relative);
        close("e^5", all.last().unwrap().last()[0], 5_f64.exp(), 20.0 * relative);
    }
}

/// y'' = −y has y = cos t; the states between the steps follow it as closely as the steps do, to one order less.
#[test]
fn the_oscillator_comes_out_at_and_between_the_steps() {
    let all = steps(|_, [x, v]| [*v, -*x], [1.0, 0.0], 20.0, 1e-9);
    for step in &all {
        near("cos", step.last()[0], step.end().cos(), 2e-7);
        for part in [0.1, 0.37, 0.5, 0.81] {
            let t = step.start() + part * (step.end() - step.start());
            let [x, v] = step.at(t);
            near("cos between", x, t.cos(), 1e-6);
            near("−sin between", v, -t.sin(), 1e-6);
        }
        assert_eq!(step.at(step.start() - 1.0), step.at(step.start()));
        assert_eq!(step.at(step.end() + 1.0), *step.last());
    }
}

/// A projectile follows its parabola to the last digits, and its apogee is found: v₀/g, v₀²/(2 g).
#[test]
fn the_projectile_turns_where_the_closed_form_says() {
    let (v0, g) = (87.3, 9.806_65);
    let mut motion = DormandPrince::new(within::<2>(1e-9), 0.0, [0.0, v0]);
    let top = loop {
        let step = motion.advance(&mut |_, [_, v]| [*v, -g], f64::INFINITY).unwrap();
        if let Some(t) = step.rise(|_, [_, v]| -v) {
            break (t, step.at(t)[0]);
        }
    };
    close("time", top.0, v0 / g, 1e-11);
    close("height", top.1, v0 * v0 / (2.0 * g), 1e-11);
}

/// One step of length h errs by h⁶ at its end (order 5), and by h⁵ between (order 4): halving the step divides the error by 64 and 32.
#[test]
fn the_order_is_five_and_four_between() {
    // y' = y cos t has y = exp(sin t); a loose tolerance lets one step go as far as the limit.
    let exact = |t: f64| t.sin().exp();
    let errors = |h: f64| {
        let mut motion = DormandPrince::new(within::<1>(1e3), 0.0, [1.0]);
        let mut f = |t: f64, [y]: &[f64; 1]| [y * t.cos()];
        // The first step is short by itself; the one after it is as long as its limit.
        let mut at = 0.0;
        while at < 0.2 {
            at = motion.advance(&mut f, 0.2).unwrap().end();
        }
        motion.restart(0.2, [exact(0.2)]);
        let step = motion.advance(&mut f, 0.2 + h).unwrap();
        assert_eq!(step.end(), 0.2 + h);
        // The error between changes its sign somewhere in the step, so the largest of it is what shows the order.
        let between = (1..40).map(|i| 0.2 + f64::from(i) / 40.0 * h);
        let largest = between.map(|t| (step.at(t)[0] - exact(t)).abs()).fold(0.0, f64::max);
        ((step.last()[0] - exact(0.2 + h)).abs(), largest)
    };
    let (coarse, fine) = (errors(0.1), errors(0.05));
    let order = |a: f64, b: f64| (a / b).log2();
    near("order at the end", order(coarse.0, fine.0), 6.0, 0.4);
    near("order between", order(coarse.1, fine.1), 5.0, 0.4);
}

/// A tolerance ten thousand times tighter takes about 10^(4/5) = 6.3 times the steps, and errs far less.
#[test]
fn the_steps_follow_the_tolerance() {
    let count = |relative| steps(|_, [x, v]| [*v, -*x], [1.0, 0.0], 60.0, relative).len() as f64;
    let ratio = count(1e-11) / count(1e-7);
    assert!((4.5..8.5).contains(&ratio), "{ratio}");
}

#[test]
fn a_root_is_found_whatever_its_shape() {
    let of = |g: &dyn Fn(f64) -> f64, a: f64, b: f64| integrate::root(g, (a, g(a)), (b, g(b)), 1e-13);
    near("√2", of(&|x| x * x - 2.0, 0.0, 2.0), 2_f64.sqrt(), 1e-12);
    near("falling", of(&|x| 2.0 - x * x, 0.0, 2.0), 2_f64.sqrt(), 1e-12);
    near("cos", of(&f64::cos, 1.0, 2.0), std::f64::consts::FRAC_PI_2, 1e-12);
    near("flat", of(&|x| (x - 0.3).powi(3), 0.0, 2.0), 0.3, 1e-4);
    near("steep", of(&|x| (x - 0.3).cbrt(), 0.0, 2.0), 0.3, 1e-9);
    near("jump", of(&|x| if x < 0.7 { -1.0 } else { 5.0 }, 0.0, 2.0), 0.7, 1e-9);
    assert_eq!(of(&|x| x + 1.0, 0.0, 2.0), 0.0, "no change of sign: the smaller end");
}

#[test]
fn a_peak_is_found_within_and_at_the_ends() {
    let (t, q) = integrate::peak(|x| 3.0 - (x - 1.234) * (x - 1.234), 0.0, 2.0);
    near("time", t, 1.234, 2e-4);
    near("value", q, 3.0, 1e-7);
    near("at the end", integrate::peak(|x| x, 0.0, 2.0).0, 2.0, 4e-4);
}

#[test]
fn refuses_to_go_back_or_through_what_is_no_number() {
    let mut motion = DormandPrince::new(within::<1>(1e-6), 1.0, [1.0]);
    assert!(motion.advance(&mut |_, [y]| [*y], 1.0).is_err());
    assert!(motion.advance(&mut |_, [y]| [*y], f64::NAN).is_err());
    assert!(motion.advance(&mut |_, _| [f64::NAN], 2.0).is_err());
    // y' = y² from 1 has y = 1/(2 − t) here, which does not reach t = 2.
    let mut motion = DormandPrince::new(within::<1>(1e-6), 1.0, [1.0]);
    let end = loop {
        if let Err(error) = motion.advance(&mut |_, [y]| [y * y], 3.0) {
            break error;
        }
    };
    near("stops at the pole", motion.time(), 2.0, 1e-4);
    assert!(end.reason.contains("abruptly"));
}

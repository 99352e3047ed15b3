//! Points and percentiles against libraries, drivers and bounds against closed forms.

use crate::sheet::{close, near, rows};
use holdpoint::engineering::landing::{against_wind, turned};
use holdpoint::engineering::landing_ellipse::ellipse_of;
use holdpoint::engineering::sample_statistics::{
    ascending, drivers, histogram, percentile, samples_for_bound, variance_share,
};
use holdpoint::engineering::sobol::{Chance, Sobol, between_zero_and_one};
use holdpoint::quantity::{Angle, Length};

/// Source: `scipy.stats.qmc.Sobol`, see `data/sobol.py`.
#[test]
fn sobol_points_are_those_of_a_library() {
    let sobol = Sobol::of(Sobol::DIMENSIONS).unwrap();
    let all = rows("sobol.csv");
    assert!(all.len() > 200);
    for row in all {
        let (number, dimension) = (row.number("number"), row.number("dimension"));
        let coordinate = sobol.coordinate(number as u32, dimension as usize - 1);
        assert_eq!(f64::from(coordinate), row.number("coordinate"), "{number} {dimension}");
    }
    assert!(Sobol::of(Sobol::DIMENSIONS + 1).is_err());
}

/// In each dimension, the first 2ᵏ points lie one in each of as many equal pieces. Source: definition of such a sequence.
#[test]
fn each_dimension_is_filled_evenly() {
    let sobol = Sobol::of(Sobol::DIMENSIONS).unwrap();
    for dimension in 0..Sobol::DIMENSIONS {
        let mut pieces: Vec<u32> = (0..256).map(|n| sobol.coordinate(n, dimension) >> 24).collect();
        pieces.sort_unstable();
        assert_eq!(pieces, (0..256).collect::<Vec<_>>(), "{dimension}");
    }
}

/// The first numbers of SplitMix64 for the seed 1234567. Source: the values that implementations of the published generator are commonly
/// checked by (from memory).
#[test]
fn numbers_drawn_by_chance_are_those_of_the_published_generator() {
    let chance = Chance { seed: 1_234_567 };
    let published = [
        6_457_827_717_110_365_317,
        3_203_168_211_198_807_973,
        9_817_491_932_198_370_423,
        4_593_380_528_125_082_431,
        16_408_922_859_458_223_821,
    ];
    for (place, number) in (0..).zip(published) {
        assert_eq!(chance.at(place), number, "{place}");
    }
}

/// Source: `numpy.percentile`, see `data/sobol.py`.
#[test]
fn percentiles_are_those_of_a_library() {
    for row in rows("percentiles.csv") {
        let mut samples: Vec<f64> = row.text("samples").split(' ').map(|x| x.parse().unwrap()).collect();
        samples.sort_by(f64::total_cmp);
        let found = percentile(&samples, row.number("percent") / 100.0).unwrap();
        close("percentile", found, row.number("value"), 1e-12);
    }
    assert!(percentile(&[], 0.5).is_err());
    assert!(percentile(&[1.0], 1.5).is_err());
}

/// Samples of Σ aᵢ xᵢ, with xᵢ even between −1 and 1, at the points of a sequence.
fn linear(weights: &[f64], count: u32) -> (Vec<Vec<f64>>, Vec<f64>) {
    let sobol = Sobol::of(weights.len()).unwrap();
    let at = |n, d| 2.0 * between_zero_and_one(sobol.coordinate(n, d)) - 1.0;
    let inputs: Vec<Vec<f64>> = (0..weights.len()).map(|d| (0..count).map(|n| at(n, d)).collect()).collect();
    let output = (0..count as usize).map(|n| inputs.iter().zip(weights).map(|(x, a)| a * x[n]).sum());
    (inputs.clone(), output.collect())
}

/// The sum of two numbers even between −1 and 1 lies below t ≤ 0 with the probability (t + 2)² / 8, below t ≥ 0 with 1 − (2 − t)² / 8. Where two
/// inputs weigh alike their points lie on few lines across the sum, which is the worst case: even there what a thousand points take for
/// a percentile is one as nearly as 95 of 100 sets of points drawn by chance. Source: the triangular distribution; the standard
/// error of a share, √(p (1 − p) / n).
#[test]
fn percentiles_of_a_linear_case_are_those_of_the_closed_form() {
    let (_, mut output) = linear(&[1.0, 1.0], 1000);
    output.sort_by(f64::total_cmp);
    let below = |t: f64| if t < 0.0 { (t + 2.0).powi(2) / 8.0 } else { 1.0 - (2.0 - t).powi(2) / 8.0 };
    for share in [0.05, 0.25, 0.5, 0.75, 0.95] {
        let error = f64::sqrt(share * (1.0 - share) / 1000.0);
        near("share below", below(percentile(&output, share).unwrap()), share, 2.0 * error);
    }
    // One input by itself is met to one point in a thousand.
    let (_, mut alone) = linear(&[1.0], 1000);
    alone.sort_by(f64::total_cmp);
    for share in [0.05, 0.25, 0.5, 0.75, 0.95] {
        near("share below", f64::midpoint(percentile(&alone, share).unwrap(), 1.0), share, 0.0015);
    }
}

/// Of a sum, the share of each input is aᵢ² / Σ a². Source: variances of independent numbers add up.
#[test]
fn the_share_of_each_input_of_a_linear_case_is_that_of_the_closed_form() {
    let weights = [4.0, 3.0, 2.0, 1.0, 0.0];
    let (inputs, output) = linear(&weights, 1000);
    let share = |input: &[f64], output: &[f64]| {
        let by_input: Vec<f64> = ascending(input).into_iter().map(|at| output[at]).collect();
        variance_share(&by_input)
    };
    for (input, weight) in inputs.iter().zip(weights) {
        near("share", share(input, &output), weight * weight / 30.0, 0.015);
    }
    let orders: Vec<Vec<usize>> = inputs.iter().map(|input| ascending(input)).collect();
    let found = drivers(&orders, &output, 3, 0.05);
    assert_eq!(found.iter().map(|(input, _)| *input).collect::<Vec<_>>(), [0, 1, 2]);
    for (input, share) in found {
        near("share", share, weights[input] * weights[input] / 30.0, 0.015);
    }
    assert_eq!(drivers(&orders, &[3.0; 1000], 3, 0.05), []);
    // What goes up and down again drives as much: a correlation would not show it.
    let humped: Vec<f64> = inputs[0].iter().zip(&inputs[1]).map(|(x, y)| x * x + 0.001 * y).collect();
    // Of x², whose variance is 4 / 45, ten groups as wide as 0.2 keep 4/3 · 0.2² / 12 to themselves: a twentieth.
    near("share", share(&inputs[0], &humped), 0.95, 0.01);
    assert_eq!(share(&inputs[0], &[3.0; 1000]), 0.0);
}

/// 59 for 95 % with 95 %, 29 for 90 %, 299 for 99 %. Source: S. S. Wilks, 1941; the first two as quoted in later works.
#[test]
fn samples_for_a_bound_are_as_published() {
    for (share, confidence, count) in [(0.95, 0.95, 59), (0.9, 0.95, 29), (0.99, 0.95, 299), (0.95, 0.99, 90)]
    {
        assert_eq!(samples_for_bound(share, confidence), Ok(count));
    }
    assert!(samples_for_bound(1.0, 0.95).is_err());
}

/// Of places by a normal distribution, with deviations of 30 m and 10 m along axes that are turned by 25° around a middle, nine in ten lie
/// within √(−2 ln 0.1) = 2.146 deviations. Source: the Rayleigh distribution of the distance in deviations.
#[test]
fn the_area_of_nine_in_ten_is_that_of_the_closed_form() {
    let sobol = Sobol::of(2).unwrap();
    let turn = Angle::from_si(25.0_f64.to_radians());
    let places: Vec<Vec<(Length, Length)>> = (0..4096)
        .map(|number| {
            let [u, v] = [0, 1].map(|d| between_zero_and_one(sobol.coordinate(number, d)));
            // Box and Muller's way from two even numbers to two normal ones.
            let (size, angle) = ((-2.0 * u.ln()).sqrt(), std::f64::consts::TAU * v);
            let at = (Length::from_si(30.0 * size * angle.cos()), Length::from_si(10.0 * size * angle.sin()));
            let (x, y) = turned(at, turn);
            vec![(x + Length::from_si(200.0), y - Length::from_si(40.0))]
        })
        .collect();
    let found = ellipse_of(&places, 0.9).unwrap();
    let reach = (-2.0 * 0.1_f64.ln()).sqrt();
    close("long", found.long.si(), 30.0 * reach, 0.01);
    close("short", found.short.si(), 10.0 * reach, 0.01);
    near("side", found.side.si(), turn.si(), 0.01);
    near("middle", found.middle.0.si(), 200.0, 0.3);
    near("middle", found.middle.1.si(), -40.0, 0.3);
    let inside = places.iter().flatten().filter(|(x, y)| {
        let (x, y) = turned((*x - found.middle.0, *y - found.middle.1), Angle::from_si(-found.side.si()));
        (x.si() / found.long.si()).hypot(y.si() / found.short.si()) <= 1.0 + 1e-9
    });
    assert_eq!(inside.count(), 3687, "nine in ten of 4096, and no more than it takes");
    assert!(ellipse_of(&places[..2], 0.9).is_err() && ellipse_of(&places, 0.0).is_err());
    // On a line there is no width, and a place has no size.
    let line: Vec<_> = (0..10).map(|n| vec![(Length::from_si(f64::from(n)), Length::from_si(0.0))]).collect();
    let flat = ellipse_of(&line, 1.0).unwrap();
    assert_eq!((flat.short.si(), flat.side.si()), (0.0, 0.0));
    close("long", flat.long.si(), 4.5, 1e-12);
    close("farthest", flat.farthest().si(), 9.0, 1e-12);
}

/// 100 m to the side of 30° from a wind that comes from 20° clockwise of another are to the side of 50° from that one. Source: by hand.
#[test]
fn places_turn_with_the_wind() {
    let angle = |degrees: f64| Angle::from_si(degrees.to_radians());
    let far = Length::from_si(100.0);
    let (upwind, right) = turned(against_wind(far, angle(30.0)), angle(20.0));
    close("upwind", upwind.si(), 64.278_761, 1e-7);
    close("right", right.si(), 76.604_444, 1e-7);
}

/// Source: counted by hand.
#[test]
fn a_histogram_counts_each_sample_once() {
    assert_eq!(histogram(&[0.0, 0.1, 0.4, 0.5, 0.9, 1.0], 2), [3, 3]);
    assert_eq!(histogram(&[2.0, 2.0], 3), [2, 0, 0]);
    assert_eq!(histogram(&[], 2), [0, 0]);
}

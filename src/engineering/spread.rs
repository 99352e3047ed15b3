//! What many samples of a quantity come to: percentiles, what drives them, and bounds with a confidence.

use super::Unworkable;

/// So many groups of equal size the samples are put into by the size of an input.
const GROUPS: usize = 10;

/// The value below which a share of sorted samples lies: in a straight line between the two nearest, the first sample for 0 and the last for
/// 1.
///
/// Errors: no samples, a share outside 0 to 1. Source: definition 7 of R. J. Hyndman and Y. Fan, *Sample quantiles in statistical
/// packages*, The American Statistician 50 (1996).
pub fn percentile(sorted: &[f64], share: f64) -> Result<f64, Unworkable> {
    let last = sorted.len().checked_sub(1).ok_or_else(|| Unworkable::because("there are no samples"))?;
    if !(0.0..=1.0).contains(&share) {
        return Err(Unworkable::because("a share lies between 0 and 1"));
    }
    let place = share * last as f64;
    let (below, above) = (place.floor() as usize, place.ceil() as usize);
    let at = |place: usize| sorted.get(place).copied().unwrap_or(f64::NAN);
    Ok(at(below) + (at(above) - at(below)) * (place - place.floor()))
}

/// The share of the variance of an output that goes with one input alone, whatever the shape of their relation: the first-order index of
/// variance-based sensitivity, from samples as they come. The samples are put into groups by the size of the input; what the means
/// of the groups vary, less what they would vary by chance, is set against the whole.
///
/// Range: 0 to 1; 0 where the output is the same in all samples, or for fewer than 20. Source: the correlation ratio of K. Pearson, its
/// bias taken off as by T. L. Kelley (ε², from memory); that it is the first-order index: common practice of sensitivity analysis.
#[must_use]
pub fn variance_share(order: &[usize], output: &[f64]) -> f64 {
    let count = output.len();
    if count < 2 * GROUPS || order.len() != count {
        return 0.0;
    }
    let mean = output.iter().sum::<f64>() / count as f64;
    let total: f64 = output.iter().map(|y| (y - mean).powi(2)).sum();
    let mut within = 0.0;
    for group in 0..GROUPS {
        let members = order.get(group * count / GROUPS..(group + 1) * count / GROUPS).unwrap_or(&[]);
        let values = || members.iter().filter_map(|at| output.get(*at));
        let own = values().sum::<f64>() / members.len() as f64;
        within += values().map(|y| (y - own).powi(2)).sum::<f64>();
    }
    if total <= f64::EPSILON * mean * mean * count as f64 {
        return 0.0;
    }
    let chance = within / (count - GROUPS) as f64 * (GROUPS - 1) as f64;
    ((total - within - chance) / total).clamp(0.0, 1.0)
}

/// How many samples drawn by chance it takes so that the greatest of them is, with a confidence, no less than a share of all that could be
/// drawn: the least n with 1 − shareⁿ ≥ confidence. It holds for whatever distribution, and only for samples drawn by chance.
///
/// Errors: a share or a confidence that is not between 0 and 1. Source: S. S. Wilks, *Determination of sample sizes for setting tolerance
/// limits*, Annals of Mathematical Statistics 12 (1941).
pub fn samples_for_bound(share: f64, confidence: f64) -> Result<u32, Unworkable> {
    let fits = |x: f64| x > 0.0 && x < 1.0;
    if !fits(share) || !fits(confidence) {
        return Err(Unworkable::because("a share and a confidence lie between 0 and 1"));
    }
    let least = ((1.0 - confidence).ln() / share.ln()).ceil();
    if least > f64::from(u32::MAX) {
        return Err(Unworkable::because("no number of samples is enough"));
    }
    Ok(least as u32)
}

/// The places of values from the least to the greatest; equal ones in the order in which they come.
#[must_use]
pub fn ascending(values: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    let at = |place: &usize| values.get(*place).copied().unwrap_or(f64::NAN);
    order.sort_by(|a, b| at(a).total_cmp(&at(b)));
    order
}

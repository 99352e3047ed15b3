//! What many samples of a quantity come to: percentiles, what drives them, and bounds with a confidence.

use super::Unworkable;

/// So many groups of equal size the samples are put into by the size of an input.
const GROUPS: usize = 10;

/// The value below which a share of sorted samples lies: in a straight line between the two nearest, the first sample for 0 and the last for
/// 1.
///
/// Source: definition 7 of R. J. Hyndman and Y. Fan, *Sample quantiles in statistical packages*, The American Statistician 50
/// (1996).
///
/// # Errors
/// No samples, a share outside 0 to 1.
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

/// How many samples lie in each of so many equal steps from the least of them to the greatest, that one in the last step. All in the
/// first where they are the same.
///
/// Source: definition.
#[must_use]
pub fn histogram(sorted: &[f64], steps: usize) -> Vec<usize> {
    let mut counts = vec![0; steps];
    let (Some(least), Some(most)) = (sorted.first(), sorted.last()) else { return counts };
    for value in sorted {
        let share = if most > least { (value - least) / (most - least) } else { 0.0 };
        let step = ((share * steps as f64) as usize).min(steps.saturating_sub(1));
        if let Some(count) = counts.get_mut(step) {
            *count += 1;
        }
    }
    counts
}

/// The share of the variance of an output that goes with one input alone, whatever the shape of their relation: the first-order index of
/// variance-based sensitivity, from samples as they come. `output` holds its samples by the size of the input, the least input first. They
/// are put into groups of neighbours; what the means of the groups vary, less what they would vary by chance, is set against the whole.
///
/// Range: 0 to 1; 0 where the output is the same in all samples, or for fewer than 20. Source: the correlation ratio of K. Pearson, its
/// bias taken off as by T. L. Kelley (ε², from memory); that it is the first-order index: common practice of sensitivity analysis.
#[must_use]
pub fn variance_share(output: &[f64]) -> f64 {
    let count = output.len();
    if count < 2 * GROUPS {
        return 0.0;
    }
    let mean_of = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    let squares = |values: &[f64], mean: f64| values.iter().map(|y| (y - mean).powi(2)).sum::<f64>();
    let mean = mean_of(output);
    let total = squares(output, mean);
    if total == 0.0 {
        return 0.0;
    }
    let groups = (0..GROUPS).filter_map(|g| output.get(g * count / GROUPS..(g + 1) * count / GROUPS));
    let within: f64 = groups.map(|group| squares(group, mean_of(group))).sum();
    let chance = within / (count - GROUPS) as f64 * (GROUPS - 1) as f64;
    ((total - within - chance) / total).clamp(0.0, 1.0)
}

/// The inputs that the most of an output's variance goes with, at most so many, each with its share of it; the largest share first. What goes
/// with one is taken off before the next is looked for, so that samples that are few do not name an input beside the one that it happens
/// to move with. `orders` holds, of each input, the places of the samples from its least to its most.
#[must_use]
pub fn drivers(orders: &[Vec<usize>], output: &[f64], most: usize, least: f64) -> Vec<(usize, f64)> {
    let mean = output.iter().sum::<f64>() / output.len() as f64;
    let mut left: Vec<f64> = output.iter().map(|y| y - mean).collect();
    let square = |values: &[f64]| values.iter().map(|y| y * y).sum::<f64>();
    let total = square(&left);
    let mut found: Vec<(usize, f64)> = Vec::new();
    // What is the same but for rounding has nothing to share.
    if output.len() < 2 * GROUPS || total <= f64::EPSILON * mean * mean * output.len() as f64 {
        return found;
    }
    while found.len() < most {
        let part = square(&left) / total;
        let by_input = |order: &Vec<usize>| -> Vec<f64> {
            order.iter().filter_map(|place| left.get(*place).copied()).collect()
        };
        let shares = orders.iter().enumerate().filter(|(input, _)| !found.iter().any(|f| f.0 == *input));
        let shares = shares.map(|(input, order)| (input, part * variance_share(&by_input(order))));
        let Some((input, share)) = shares.max_by(|a, b| a.1.total_cmp(&b.1)) else { break };
        if share < least {
            break;
        }
        found.push((input, share));
        let Some(order) = orders.get(input) else { break };
        for group in 0..GROUPS {
            let count = order.len();
            let members = order.get(group * count / GROUPS..(group + 1) * count / GROUPS).unwrap_or(&[]);
            let sum: f64 = members.iter().filter_map(|place| left.get(*place)).sum();
            let own = sum / members.len() as f64;
            for place in members {
                if let Some(value) = left.get_mut(*place) {
                    *value -= own;
                }
            }
        }
    }
    found
}

/// How many samples drawn by chance it takes so that the greatest of them is, with a confidence, no less than a share of all that could be
/// drawn: the least n with 1 − shareⁿ ≥ confidence. It holds for whatever distribution, and only for samples drawn by chance.
///
/// Source: S. S. Wilks, *Determination of sample sizes for setting tolerance limits*, Annals of Mathematical Statistics 12
/// (1941).
///
/// # Errors
/// A share or a confidence that is not between 0 and 1.
pub fn samples_for_bound(share: f64, confidence: f64) -> Result<u32, Unworkable> {
    let fits = |x: f64| x > 0.0 && x < 1.0;
    if !fits(share) || !fits(confidence) {
        return Err(Unworkable::because("a share and a confidence lie between 0 and 1"));
    }
    let least = (libm::log(1.0 - confidence) / libm::log(share)).ceil();
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

//! One rule on one subject at the corners of the stated tolerances too.

use super::active::Rule;
use super::held_share::held_share;
use super::nominal::Size;
use super::nominal::{Judgement, Margin, judge_nominal};
use super::variants::Variants;
use super::verdict::Verdict;
use crate::engineering::sobol::{Sobol, between_zero_and_one};
use crate::model::{Access, Model, Read};
use crate::vocabulary::{EntityId, Shape, Value};

/// Judges a subject by a rule: as drawn, and where that holds, at the corners of the stated tolerances of what the rule reads; where that
/// holds too, and the rule asks for a share of flights, in these.
#[must_use]
pub fn judge(rule: &Rule, variants: &Variants<'_>, subject: EntityId) -> Judgement {
    let model = variants.base();
    let (mut judgement, read) = model.track_reads(|| judge_nominal(rule, model, subject));
    judgement.footprint = read;
    if judgement.verdict == Verdict::Held && read.meets(model.tolerances()) {
        let (worst, read) = model.track_reads(|| failing_corner(rule, variants, subject, &judgement));
        judgement.footprint.join(&read);
        if let Some(worst) = worst {
            judgement.verdict = Verdict::Tight;
            judgement.worst = worst;
        }
    }
    if judgement.verdict == Verdict::Held
        && let (Some(asked), Some(library)) = (rule.confidence, variants.library())
    {
        let (held, more) = model.track_reads(|| held_share(rule, (model, library), subject, &read, asked));
        judgement.footprint.join(&more);
        if !held.is_enough() {
            judgement.verdict = Verdict::Tight;
        }
        judgement.holds_in = Some(held);
    }
    judgement
}

/// With more tolerances than this, the corners are too many to try one by one.
const MOST_CORNERS: usize = 8;
/// How many times as far from its limit as the tolerances together move it, each to its worse end, a requirement must be for its corners
/// and the places between them to be left untried.
const PLENTY: f64 = 3.0;
/// A value moves a requirement evenly where its one end moves it by at least this part of what the other does, the other way.
const EVENLY: f64 = 0.25;
/// Of more values than this that do not, all corners are tried.
const MOST_UNEVEN: usize = 4;

/// Sizes within the stated tolerances of what a rule reads at which it does not hold: a single size at its end where one is enough, else a
/// corner; where it holds at every corner, a place between them at which it does not. None where there is none of these.
fn failing_corner(
    rule: &Rule,
    variants: &Variants<'_>,
    subject: EntityId,
    judgement: &Judgement,
) -> Option<Vec<Size>> {
    // A hole that may come out larger is still drilled with the drill that is written, and whether figures can be believed is
    // asked of the figures.
    if rule.as_written || rule.require.asks_only("is_drill_size") {
        return None;
    }
    let model = variants.base();
    let mut sizes: Vec<(Size, Size)> = Vec::new();
    read_sizes(model, judgement, &mut sizes);
    let at = |sizes: &[Size]| variants.judged(rule, sizes, subject);
    let holds = |sizes: &[Size]| at(sizes).verdict == Verdict::Held;
    // A single size tells more than a corner, where one is enough; and other rules ask for the same ones.
    let spare = |judgement: &Judgement| judgement.margin.map_or(f64::MAX, Margin::size);
    let (mut worst, mut moves) = (Vec::new(), Vec::new());
    let mut tried = 0;
    while let Some((low, high)) = sizes.get(tried).copied() {
        let (at_low, at_high) = (at(&[low]), at(&[high]));
        for (end, there) in [(low, &at_low), (high, &at_high)] {
            if there.verdict != Verdict::Held {
                return Some(vec![end]);
            }
            // Where one of two is enough, the other is read only when the first fails.
            if there.trace.reads != judgement.trace.reads {
                read_sizes(model, there, &mut sizes);
            }
        }
        tried += 1;
        worst.push(if spare(&at_low) < spare(&at_high) { low } else { high });
        moves.push([&at_low, &at_high].map(|end| moved(judgement, end)));
    }
    if has_plenty(judgement, &sizes, &moves, at) {
        return None;
    }
    let failing = match sizes.len() {
        0 | 1 => None,
        2..=MOST_CORNERS => corners(&sizes).find(|corner| !holds(corner)),
        _ => Some(worst).filter(|worst| !holds(worst)),
    };
    failing.or_else(|| failing_between(&sizes, holds))
}

/// Adds the ends of the toleranced values that a judgement rests on, where they are not there yet.
fn read_sizes(model: &Model<'_>, judgement: &Judgement, sizes: &mut Vec<(Size, Size)>) {
    for read in &judgement.trace.reads {
        for leaf in model.leaves(*read).iter() {
            if let Some(pair) = extremes(model, *leaf)
                && !sizes.contains(&pair)
            {
                sizes.push(pair);
            }
        }
    }
}

/// Every combination of ends.
fn corners(sizes: &[(Size, Size)]) -> impl Iterator<Item = Vec<Size>> {
    (0..1_usize << sizes.len()).map(|number| {
        let ends = sizes.iter().enumerate();
        ends.map(|(i, (low, high))| if number >> i & 1 == 0 { *low } else { *high }).collect()
    })
}

/// By how much a requirement that is one comparison moves from where it is as drawn; not a number where it is more or less than one, since
/// another than the deciding one may then fail first.
fn moved(drawn: &Judgement, there: &Judgement) -> f64 {
    let slack = |judgement: &Judgement| match judgement.trace.comparisons.as_slice() {
        [_] => judgement.slack,
        _ => None,
    };
    slack(drawn).zip(slack(there)).map_or(f64::NAN, |(drawn, there)| there - drawn)
}

/// Whether a requirement is so far from its limit that no corner can break it, by how far each value moves it at its low and its high end.
/// Of values that move it evenly the moves are added; those that move it at one end only, or not at all, may do so together, as where the
/// greater of two counts, and so their corners are tried.
fn has_plenty(
    drawn: &Judgement,
    sizes: &[(Size, Size)],
    moves: &[[f64; 2]],
    at: impl Fn(&[Size]) -> Judgement,
) -> bool {
    let Some(slack) = drawn.slack else { return false };
    let is_even = |[low, high]: &[f64; 2]| {
        low * high < 0.0 && low.abs().min(high.abs()) >= EVENLY * low.abs().max(high.abs())
    };
    let even: f64 =
        moves.iter().filter(|both| is_even(both)).map(|[low, high]| low.abs().max(high.abs())).sum();
    let uneven: Vec<(Size, Size)> =
        sizes.iter().zip(moves).filter(|(_, both)| !is_even(both)).map(|(size, _)| *size).collect();
    let is_known = moves.iter().flatten().all(|by| by.is_finite());
    if !is_known || uneven.len() > MOST_UNEVEN || slack.abs() < PLENTY * even {
        return false;
    }
    let left = slack.abs() - PLENTY * even;
    uneven.is_empty() || corners(&uneven).all(|corner| PLENTY * moved(drawn, &at(&corner)).abs() <= left)
}

/// So many places between the ends of the tolerances are tried, where all ends hold.
const BETWEEN: u32 = 8;

/// Sizes between the ends of their tolerances at which a rule does not hold that holds at the ends: a requirement need not grow from one end
/// to the other. The places are the same each time, and spread evenly over all tolerances together.
fn failing_between(sizes: &[(Size, Size)], holds: impl Fn(&[Size]) -> bool) -> Option<Vec<Size>> {
    let spread = if sizes.is_empty() { None } else { Sobol::of(sizes.len().min(Sobol::DIMENSIONS)).ok() }?;
    // The first point of the row is a corner.
    (1..=BETWEEN).find_map(|number| {
        let between = |(at, (low, high)): (usize, &(Size, Size))| {
            let share = between_zero_and_one(spread.coordinate(number, at % Sobol::DIMENSIONS));
            Size { si: low.si + (high.si - low.si) * share, ..*low }
        };
        let place: Vec<Size> = sizes.iter().enumerate().map(between).collect();
        (!holds(&place)).then_some(place)
    })
}

/// Whether a size lies between the ends of the tolerance that is stated for it.
#[must_use]
pub fn lies_between(model: &Model<'_>, size: Size) -> bool {
    let read = Read { entity: size.entity, access: Access::Field(size.slot) };
    extremes(model, read).is_some_and(|(low, high)| low.si < size.si && size.si < high.si)
}

/// The smallest and largest value of a field within its stated tolerance.
fn extremes(model: &Model<'_>, read: Read) -> Option<(Size, Size)> {
    let Access::Field(slot) = read.access else { return None };
    if read.entity.is_row() {
        return None;
    }
    let tolerance = model.tolerance(read.entity, slot)?;
    let nominal = match model.field(read.entity, slot).ok()? {
        Value::Quantity(quantity) => quantity.si,
        Value::Position(position) => position.distance.si,
        _ => return None,
    };
    let shape = &model.entity(read.entity)?.entity_type.field(slot)?.shape;
    if !matches!(shape, Shape::Measure(..) | Shape::Position | Shape::Number(_)) {
        return None;
    }
    let at = |si| Size { entity: read.entity, slot, si };
    Some((at(nominal - tolerance.minus), at(nominal + tolerance.plus)))
}

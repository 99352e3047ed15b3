//! How sure each number is: a design sampled over what is uncertain of it.
//!
//! Each uncertain value lies anywhere between its least and its most, each place as likely as another and each value by itself. This is
//! what is taken where only limits are known: *Evaluation of measurement data, Supplement 1 to the GUM*, JCGM 101:2008, 6.4.2 (from memory).

mod courses;
mod samples;

use super::SpreadRequest;
use super::judged::Judgements;
use super::packs::applicable_packs;
use crate::engineering::sample_statistics::{ascending, drivers, histogram, percentile, samples_for_bound};
use crate::model::{Access, Footprint, Model, Named, Read};
use crate::quantity::Quantity;
use crate::rules::{
    HoldPoint, Level, Library, Margin, Rule, SamplePoints, UncertainInput, Variants, Verdict, in_its_unit,
    judge, uncertain_inputs,
};
pub use crate::rules::{SpreadInput, SpreadSource};
use crate::vocabulary::{EntityId, Value};
pub use courses::{AREA_SHARE, Band, LandingArea, SpreadCourses};
use courses::{Flight, Moments};
use samples::{Asked, Sample, Sampling, asked};

/// The share and the confidence of the bounds.
const BOUND: f64 = 0.95;
/// Steps of a histogram.
const STEPS: usize = 24;
/// So many inputs are named that drive a result.
const DRIVERS: usize = 3;
/// An input that goes with less of the variance than this is not named: points are too few to tell it from none.
const LEAST_SHARE: f64 = 0.03;

/// How far quantities and rules spread.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// How many samples there are.
    pub samples: usize,
    /// How many more were drawn by chance, for the bounds.
    pub by_chance: usize,
    /// What is uncertain, in the order of the file.
    pub inputs: Vec<SpreadInput>,
    /// The quantities that are known, in the order in which they were asked for.
    pub quantities: Vec<SpreadQuantity>,
    /// The rules whose outcome or margin something uncertain moves, those that fail most often first.
    pub rules: Vec<SpreadRule>,
    /// The flights along their time, and where they land.
    pub courses: SpreadCourses,
}

/// How far a quantity spreads.
#[derive(Clone, Debug, PartialEq)]
pub struct SpreadQuantity {
    /// Its name.
    pub name: String,
    /// The path of what it is of; empty for the rocket.
    pub subject: String,
    /// What it is in the review.
    pub nominal: Quantity,
    /// One sample in twenty is below this.
    pub low: Quantity,
    /// Half of the samples are below this.
    pub median: Quantity,
    /// One sample in twenty is above this.
    pub high: Quantity,
    /// The least and the most of the samples drawn by chance: of all that may come, 95 % lie above the one, and 95 % below the other, each
    /// with a confidence of 95 %. None where some of those samples come to no value.
    pub bounds: Option<(Quantity, Quantity)>,
    /// In how many samples it is not known.
    pub unknown: usize,
    /// How many samples lie in each of so many equal steps from the least to the most of them.
    pub histogram: Vec<usize>,
    /// The least and the most of the samples.
    pub range: (Quantity, Quantity),
    /// What it rests on most.
    pub drivers: Vec<Driver>,
}

/// How often a rule holds.
#[derive(Clone, Debug, PartialEq)]
pub struct SpreadRule {
    /// The rule.
    pub rule: String,
    /// Its level.
    pub level: Level,
    /// The step that waits for it.
    pub before: HoldPoint,
    /// The path of its subject; empty for the rocket.
    pub subject: String,
    /// Its outcome in the review.
    pub outcome: Verdict,
    /// In how many samples it does not hold.
    pub broken: usize,
    /// In how many samples it cannot be judged.
    pub unproven: usize,
    /// In how many of the samples drawn by chance it does not hold or cannot be judged. Where in none, it holds in 95 % of all that may
    /// come, with a confidence of 95 %.
    pub failed_by_chance: usize,
    /// What it rests on most; none where it always fails or never.
    pub drivers: Vec<Driver>,
}

/// An input that a result rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct Driver {
    /// Its key.
    pub key: String,
    /// The share of the result's variance that goes with this input alone; of one after another, less what goes with those before.
    pub share: f64,
}

/// Samples a design that was judged.
pub(super) fn spread(
    model: &Model<'_>,
    judgements: &Judgements<'_>,
    library: &Library,
    request: &SpreadRequest,
) -> Spread {
    let silent: Vec<String> = judgements.packs.iter().filter(|p| !p.judged).map(|p| p.name.clone()).collect();
    let (asked_for, mut read) = model.track_reads(|| quantities(model, &request.quantities));
    for one in &judgements.all {
        read.join(&one.judgement.footprint);
    }
    let (moments, flight) = model.track_reads(|| {
        let moments = Moments::of(model)?;
        moments.flight_result(model);
        Some(moments)
    });
    read.join(&flight);
    let inputs = uncertain_inputs(model, library, &silent, &read);
    let asked = asked(model, &inputs, judgements);
    sampled(model, library, request.samples, asked_for, (inputs, asked, moments))
}

/// Samples one quantity of a design.
#[must_use]
pub fn spread_of(model: &Model<'_>, library: &Library, read: Read, samples: usize) -> Spread {
    let silent = silent(model, library);
    let (value, footprint) = model.track_reads(|| model.read(read));
    let inputs = uncertain_inputs(model, library, &silent, &footprint);
    let quantities = match value {
        Ok(Value::Quantity(quantity)) => vec![(model.read_name(read), read, quantity)],
        _ => Vec::new(),
    };
    sampled(model, library, samples, quantities, (inputs, Vec::new(), None))
}

/// Samples one rule on each of its subjects.
#[must_use]
pub fn spread_of_rule(model: &Model<'_>, library: &Library, rule: &Rule, samples: usize) -> Spread {
    let silent = silent(model, library);
    let variants = Variants::of(model);
    let mut read = Footprint::default();
    let subjects = model.subjects(rule.entity_type).iter().map(|subject| {
        let judgement = judge(rule, &variants, *subject);
        read.join(&judgement.footprint);
        Asked { rule, subject: *subject, nominal: judgement.verdict }
    });
    let asked: Vec<Asked<'_>> = subjects.collect();
    let inputs = uncertain_inputs(model, library, &silent, &read);
    let asked = if rule.as_written { Vec::new() } else { asked };
    sampled(model, library, samples, Vec::new(), (inputs, asked, None))
}

/// The packs that a design is not judged by, where no code is named besides.
fn silent(model: &Model<'_>, library: &Library) -> Vec<String> {
    let packs = applicable_packs(model, library, &[]);
    packs.into_iter().filter(|pack| !pack.judged).map(|pack| pack.name).collect()
}

/// What is sampled comes to.
fn sampled(
    model: &Model<'_>,
    library: &Library,
    samples: usize,
    quantities: Vec<(String, Read, Quantity)>,
    (inputs, asked, moments): (Vec<UncertainInput>, Vec<Asked<'_>>, Option<Moments>),
) -> Spread {
    let reads = quantities.iter().map(|(_, read, _)| *read).collect();
    let sampling = Sampling { inputs, quantities: reads, asked, moments };
    let by_chance = samples_for_bound(BOUND, BOUND).map_or(0, |count| count as usize);
    let dimensions = sampling.inputs.len();
    let points = SamplePoints::even(samples, dimensions);
    let at = |points: &SamplePoints| sampling.at(model.design(), library, model.today(), points);
    let (even, drawn) = (at(&points), at(&SamplePoints::by_chance(by_chance, dimensions)));
    let flights: Vec<&Flight> = even.iter().filter_map(|sample| sample.flight.as_ref()).collect();
    let courses =
        sampling.moments.as_ref().map(|moments| SpreadCourses::of(moments, &flights)).unwrap_or_default();
    let reported: Vec<SpreadInput> = sampling.inputs.iter().map(|input| input.reported(model)).collect();
    let orders: Vec<Vec<usize>> = (0..dimensions)
        .map(|input| {
            let sizes: Vec<f64> = (0..points.count()).map(|number| points.share(number, input)).collect();
            ascending(&sizes)
        })
        .collect();
    let results = Results { model, even: &even, drawn: &drawn, inputs: &reported, orders: &orders };
    let quantities = quantities
        .into_iter()
        .enumerate()
        .filter_map(|(at, (name, read, nominal))| results.quantity(at, name, read.entity, nominal));
    let quantities = quantities.collect();
    let mut rules: Vec<SpreadRule> =
        sampling.asked.iter().enumerate().filter_map(|(at, one)| results.rule(at, one)).collect();
    rules.sort_by_key(|rule| std::cmp::Reverse((rule.broken, rule.unproven)));
    Spread { samples, by_chance, inputs: reported, quantities, rules, courses }
}

/// The quantities asked for that the design comes to.
fn quantities(model: &Model<'_>, names: &[String]) -> Vec<(String, Read, Quantity)> {
    let read = |id: EntityId, name: &str| {
        let entity_type = model.entity(id)?.entity_type;
        let access = match model.catalogue().named(entity_type, name)? {
            Named::Field(slot, _) => Access::Field(slot),
            Named::Computed(number, _) => Access::Computed(number),
            Named::Holder(_) => return None,
        };
        let read = Read { entity: id, access };
        match model.read(read) {
            Ok(Value::Quantity(quantity)) => Some((name.to_owned(), read, quantity)),
            _ => None,
        }
    };
    let found = names.iter().filter_map(|name| match name.split_once('.') {
        None => read(model.root(), name),
        Some((part, name)) => {
            let all = model.subjects(model.catalogue().entity_type(part)?);
            let known = all.iter().filter_map(|id| read(*id, name));
            known.max_by(|a, b| a.2.si.total_cmp(&b.2.si))
        }
    });
    found.collect()
}

/// What the samples come to.
struct Results<'s> {
    model: &'s Model<'s>,
    even: &'s [Sample],
    drawn: &'s [Sample],
    inputs: &'s [SpreadInput],
    /// Of each input, the numbers of the samples by its size.
    orders: &'s [Vec<usize>],
}

impl Results<'_> {
    /// A quantity; nothing where it is known in no sample.
    fn quantity(
        &self,
        at: usize,
        name: String,
        entity: EntityId,
        nominal: Quantity,
    ) -> Option<SpreadQuantity> {
        let of = |sample: &Sample| sample.values.get(at).copied().unwrap_or(f64::NAN);
        let values: Vec<f64> = self.even.iter().map(of).collect();
        let mut known: Vec<f64> = values.iter().copied().filter(|v| !v.is_nan()).collect();
        known.sort_by(f64::total_cmp);
        let nominal = in_its_unit(self.model.shown(nominal));
        let as_shown = |si| Quantity { si, ..nominal };
        let share = |share| percentile(&known, share).ok().map(as_shown);
        let (low, median, high) = (share(0.05)?, share(0.5)?, share(0.95)?);
        let drawn: Vec<f64> = self.drawn.iter().map(of).collect();
        let bounds = drawn.iter().all(|v| !v.is_nan()).then(|| {
            let least = drawn.iter().copied().fold(f64::INFINITY, f64::min);
            let most = drawn.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            (as_shown(least), as_shown(most))
        });
        Some(SpreadQuantity {
            name,
            subject: self.model.design().store.path(entity),
            nominal,
            low,
            median,
            high,
            bounds,
            unknown: values.len() - known.len(),
            histogram: histogram(&known, STEPS),
            range: (as_shown(*known.first()?), as_shown(*known.last()?)),
            drivers: self.drivers(&values),
        })
    }

    /// A rule on a subject; nothing where all samples come to the same.
    fn rule(&self, at: usize, asked: &samples::Asked<'_>) -> Option<SpreadRule> {
        let of = |sample: &Sample| sample.outcomes.get(at).copied().unwrap_or((Verdict::NotApplicable, None));
        let count = |samples: &[Sample], due: &dyn Fn(Verdict) -> bool| {
            samples.iter().filter(|sample| due(of(sample).0)).count()
        };
        let first = self.even.first().map(of);
        if self.even.iter().all(|sample| Some(of(sample)) == first) {
            return None;
        }
        let broken = count(self.even, &|verdict| verdict == Verdict::Broken);
        let unproven = count(self.even, &|verdict| verdict == Verdict::Unproven);
        let varies = (1..self.even.len()).contains(&broken);
        let rule = asked.rule;
        Some(SpreadRule {
            rule: rule.name.clone(),
            level: rule.level,
            before: rule.before,
            subject: self.model.design().store.path(asked.subject),
            outcome: asked.nominal,
            broken,
            unproven,
            failed_by_chance: count(self.drawn, &|verdict| {
                matches!(verdict, Verdict::Broken | Verdict::Unproven)
            }),
            drivers: if varies { self.drivers(&self.sizes(at)) } else { Vec::new() },
        })
    }

    /// What stands for how far a rule holds in each sample: its margin, where it has one of the same sort in most of them, else whether it
    /// holds.
    fn sizes(&self, at: usize) -> Vec<f64> {
        let outcomes = || self.even.iter().filter_map(|sample| sample.outcomes.get(at));
        let of = |sort: &dyn Fn(Margin) -> Option<f64>| -> Vec<f64> {
            outcomes().map(|(_, margin)| margin.and_then(sort).unwrap_or(f64::NAN)).collect()
        };
        let shares = of(&|margin| match margin {
            Margin::Ratio(share) => Some(share),
            Margin::Gap(_) => None,
        });
        let gaps = of(&|margin| match margin {
            Margin::Gap(gap) => Some(gap.si),
            Margin::Ratio(_) => None,
        });
        let most = |sizes: &[f64]| sizes.iter().filter(|size| size.is_nan()).count() * 10 <= sizes.len();
        let holds = |(verdict, _): &(Verdict, Option<Margin>)| f64::from(*verdict != Verdict::Broken);
        match (most(&shares), most(&gaps)) {
            (true, _) => shares,
            (false, true) => gaps,
            (false, false) => outcomes().map(holds).collect(),
        }
    }

    /// The inputs that the most of a result's variance goes with.
    fn drivers(&self, values: &[f64]) -> Vec<Driver> {
        let found = if values.iter().any(|value| value.is_nan()) {
            self.drivers_of_known(values)
        } else {
            drivers(self.orders, values, DRIVERS, LEAST_SHARE)
        };
        let reported =
            |(input, share): (usize, f64)| Some(Driver { key: self.inputs.get(input)?.key.clone(), share });
        found.into_iter().filter_map(reported).collect()
    }

    /// The same by the samples in which the result is known.
    fn drivers_of_known(&self, values: &[f64]) -> Vec<(usize, f64)> {
        // Of each sample, its place among those that are known.
        let mut places = Vec::with_capacity(values.len());
        let mut known = Vec::new();
        for value in values {
            places.push((!value.is_nan()).then_some(known.len()));
            known.extend(Some(*value).filter(|value| !value.is_nan()));
        }
        let of_known = |order: &Vec<usize>| -> Vec<usize> {
            order.iter().filter_map(|at| places.get(*at).copied().flatten()).collect()
        };
        let orders: Vec<Vec<usize>> = self.orders.iter().map(of_known).collect();
        drivers(&orders, &known, DRIVERS, LEAST_SHARE)
    }
}

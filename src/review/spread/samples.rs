//! The design at many points of what is uncertain: its quantities and its rules at each, on all cores.

use rayon::prelude::*;

use super::super::judged::Judgements;
use super::courses::{Flight, Moments};
use crate::design::Design;
use crate::model::{Model, Read};
use crate::rules::{Library, Margin, Rule, SamplePoints, UncertainInput, Verdict, judge_nominal};
use crate::vocabulary::{Date, EntityId, Value};

/// The samples are evaluated in so many stretches, each beside a model of its own.
const STRETCHES: usize = 8;

/// A rule on a subject that some uncertain value may decide.
#[derive(Clone, Copy, Debug)]
pub(super) struct Asked<'l> {
    pub(super) rule: &'l Rule,
    pub(super) subject: EntityId,
    pub(super) nominal: Verdict,
}

/// What the design comes to at one point.
#[derive(Clone, Debug)]
pub(super) struct Sample {
    /// Of each quantity, in SI; not a number where it is not known there.
    pub(super) values: Vec<f64>,
    /// Of each rule on each subject.
    pub(super) outcomes: Vec<(Verdict, Option<Margin>)>,
    /// Its flight; none where the design does not fly.
    pub(super) flight: Option<Flight>,
}

/// What is sampled.
pub(super) struct Sampling<'l> {
    pub(super) inputs: Vec<UncertainInput>,
    pub(super) quantities: Vec<Read>,
    pub(super) asked: Vec<Asked<'l>>,
    /// The moments at which flights are compared; none where they are not.
    pub(super) moments: Option<Moments>,
}

/// Those rules on those subjects that rest on what the inputs change.
pub(super) fn asked<'l>(
    model: &Model<'_>,
    inputs: &[UncertainInput],
    judgements: &Judgements<'l>,
) -> Vec<Asked<'l>> {
    let nominal = model.with_changes(inputs.iter().flat_map(|input| input.changes(model, 0.5)).collect());
    let touched = nominal.touched();
    let moved = judgements.all.iter().filter(|one| {
        // A hole that comes out larger was drilled with the drill that is written.
        let of_drills = one.rule.require.asks_only("is_drill_size");
        one.judgement.footprint.meets(touched) && !of_drills && !one.rule.as_written
    });
    moved.map(|one| Asked { rule: one.rule, subject: one.subject, nominal: one.judgement.verdict }).collect()
}

impl Sampling<'_> {
    /// The samples at points, in their order.
    pub(super) fn at(
        &self,
        design: &Design,
        library: &Library,
        today: Date,
        points: &SamplePoints,
    ) -> Vec<Sample> {
        let count = points.count();
        let stretch = |n: usize| n * count / STRETCHES..(n + 1) * count / STRETCHES;
        let stretches = (0..STRETCHES).into_par_iter().map(|n| {
            let base = Model::new(design, library.environment(today));
            stretch(n).map(|number| self.one(&base, points, number)).collect::<Vec<_>>()
        });
        stretches.flatten().collect()
    }

    fn one(&self, base: &Model<'_>, points: &SamplePoints, number: usize) -> Sample {
        let inputs = self.inputs.iter().enumerate();
        let changes = inputs.flat_map(|(at, input)| input.changes(base, points.share(number, at))).collect();
        let model = base.with_changes(changes);
        let value = |read: &Read| match model.read(*read) {
            Ok(Value::Quantity(quantity)) => quantity.si,
            _ => f64::NAN,
        };
        let judged = |one: &Asked<'_>| {
            let judgement = judge_nominal(one.rule, &model, one.subject);
            (judgement.verdict, judgement.margin)
        };
        Sample {
            values: self.quantities.iter().map(value).collect(),
            outcomes: self.asked.iter().map(judged).collect(),
            flight: self.moments.as_ref().map(|moments| moments.flight_result(&model)),
        }
    }
}

//! How sure each number is, in the JSON contract of a review.

use schemars::JsonSchema;
use serde::Serialize;

use super::landing_plan::case_words;
use crate::quantity::Quantity;
use crate::review;
use crate::rules::{HoldPoint, Level, Verdict};

/// how far quantities and rules spread with what is uncertain
#[derive(Serialize, JsonSchema)]
#[serde(rename = "spread")]
#[schemars(deny_unknown_fields)]
pub(super) struct Spread<'r> {
    /// how many flights, evenly spread over what is uncertain
    samples: usize,
    /// how many more, drawn by chance, for the bounds
    by_chance: usize,
    inputs: Vec<Input<'r>>,
    quantities: Vec<Spreading<'r>>,
    /// the rules whose outcome or margin something uncertain moves, those that fail most often first
    rules: Vec<RuleShare<'r>>,
    /// where nine in ten of the flights land, however they turn into the wind
    landing_areas: Vec<Area>,
}

/// a value that may lie anywhere between its least and its most
#[derive(Serialize, JsonSchema)]
#[serde(rename = "uncertain_input")]
#[schemars(deny_unknown_fields)]
struct Input<'r> {
    key: &'r str,
    unit: String,
    nominal: f64,
    low: f64,
    high: f64,
    /// the pack that says so, and the name of the uncertainty there; null: the design states the tolerance
    pack: Option<&'r str>,
    name: Option<&'r str>,
    source: Option<&'r str>,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "spread_quantity")]
#[schemars(deny_unknown_fields)]
struct Spreading<'r> {
    name: &'r str,
    /// path of the part; empty for the whole rocket
    subject: &'r str,
    unit: String,
    nominal: f64,
    /// 1 flight in 20 is below
    percentile_5: f64,
    percentile_50: f64,
    /// 1 flight in 20 is above
    percentile_95: f64,
    /// the least of those drawn by chance: 95 % of all lie above, with a confidence of 95 %
    at_least: Option<f64>,
    /// the most of those drawn by chance: 95 % of all lie below, with a confidence of 95 %
    at_most: Option<f64>,
    /// in how many flights it is not known
    unknown: usize,
    drivers: Vec<Driver<'r>>,
}

#[derive(Serialize, JsonSchema)]
#[serde(rename = "spread_rule")]
#[schemars(deny_unknown_fields)]
struct RuleShare<'r> {
    rule: &'r str,
    level: Level,
    before: HoldPoint,
    /// path of the part; empty for the whole rocket
    subject: &'r str,
    /// as it is drawn
    outcome: Verdict,
    /// in how many flights it does not hold
    broken: usize,
    /// in how many flights it cannot be judged
    unproven: usize,
    /// in how many of those drawn by chance it does not hold or cannot be judged
    failed_by_chance: usize,
    drivers: Vec<Driver<'r>>,
}

/// an ellipse over the ground, in metres; sides are clockwise from where the wind comes from
#[derive(Serialize, JsonSchema)]
#[serde(rename = "landing_area")]
#[schemars(deny_unknown_fields)]
struct Area {
    /// what opens
    case: &'static str,
    /// its middle, upwind of the pad
    upwind: f64,
    /// its middle, to the right of that
    across: f64,
    /// half of the longer axis
    half_length: f64,
    /// half of the shorter axis
    half_width: f64,
    /// the side to which the longer axis points, in degrees
    side: f64,
}

/// an input that a result goes with
#[derive(Serialize, JsonSchema)]
#[serde(rename = "driver")]
#[schemars(deny_unknown_fields)]
struct Driver<'r> {
    key: &'r str,
    /// of the result's variance, 0 to 1
    share: f64,
}

impl<'r> Spread<'r> {
    pub(super) fn of(spread: &'r review::Spread) -> Self {
        Self {
            samples: spread.samples,
            by_chance: spread.by_chance,
            inputs: spread.inputs.iter().map(Input::of).collect(),
            quantities: spread.quantities.iter().map(Spreading::of).collect(),
            rules: spread.rules.iter().map(RuleShare::of).collect(),
            landing_areas: spread.courses.areas.iter().map(Area::of).collect(),
        }
    }
}

impl<'r> Input<'r> {
    fn of(input: &'r review::SpreadInput) -> Self {
        let (nominal, unit) = input.nominal.value_and_unit();
        let (low, high) = (input.low.value_and_unit().0, input.high.value_and_unit().0);
        let (pack, name, source) = match &input.source {
            review::SpreadSource::Written => (None, None, None),
            review::SpreadSource::Pack { pack, name, citation, .. } => {
                (Some(pack.as_str()), Some(name.as_str()), Some(citation.as_str()))
            }
        };
        Self { key: &input.key, unit, nominal, low, high, pack, name, source }
    }
}

impl<'r> Spreading<'r> {
    fn of(one: &'r review::SpreadQuantity) -> Self {
        // All of one quantity is in one unit.
        let size = |quantity: Quantity| quantity.value_and_unit().0;
        Self {
            name: &one.name,
            subject: &one.subject,
            unit: one.nominal.value_and_unit().1,
            nominal: size(one.nominal),
            percentile_5: size(one.low),
            percentile_50: size(one.median),
            percentile_95: size(one.high),
            at_least: one.bounds.map(|(least, _)| size(least)),
            at_most: one.bounds.map(|(_, most)| size(most)),
            unknown: one.unknown,
            drivers: one.drivers.iter().map(Driver::of).collect(),
        }
    }
}

impl<'r> RuleShare<'r> {
    fn of(one: &'r review::SpreadRule) -> Self {
        Self {
            rule: &one.rule,
            level: one.level,
            before: one.before,
            subject: &one.subject,
            outcome: one.outcome,
            broken: one.broken,
            unproven: one.unproven,
            failed_by_chance: one.failed_by_chance,
            drivers: one.drivers.iter().map(Driver::of).collect(),
        }
    }
}

impl Area {
    fn of(area: &review::LandingArea) -> Self {
        let round = |size: f64| (size * 100.0).round() / 100.0;
        let ellipse = &area.ellipse;
        Self {
            case: case_words(area.case),
            upwind: round(ellipse.middle.0.si()),
            across: round(ellipse.middle.1.si()),
            half_length: round(ellipse.long.si()),
            half_width: round(ellipse.short.si()),
            side: round(ellipse.side.si().to_degrees()),
        }
    }
}

impl<'r> Driver<'r> {
    fn of(driver: &'r review::Driver) -> Self {
        Self { key: &driver.key, share: (driver.share * 1e4).round() / 1e4 }
    }
}

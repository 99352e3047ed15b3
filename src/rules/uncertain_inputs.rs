//! What is uncertain of a design: each value with a tolerance of its own, else those that packs know limits of.

use std::sync::Arc;

use super::library::Library;
use super::uncertainty::{Amount, Uncertainty};
use crate::language::evaluate;
use crate::model::{Change, Footprint, Model};
use crate::quantity::{Quantity, Style, Tolerance};
use crate::vocabulary::{EntityId, Position, Shape, Sign, State, Value};

/// Where it is known from how far a value may be off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SpreadSource {
    /// The design states the tolerance.
    Written,
    /// A pack knows it.
    Pack {
        /// The pack.
        pack: String,
        /// The name of the uncertainty there.
        name: String,
        /// Where it has that from.
        citation: String,
        /// Whether it says so as a share of the value.
        is_share: bool,
    },
}

/// A value that may be off.
#[derive(Clone, Debug, PartialEq)]
pub struct SpreadInput {
    /// Its key.
    pub key: String,
    /// What it is taken as in the review.
    pub nominal: Quantity,
    /// The least that it may be.
    pub low: Quantity,
    /// The most.
    pub high: Quantity,
    /// Who says so.
    pub source: SpreadSource,
}

/// The same, with where it is.
#[derive(Clone, Debug)]
pub(crate) struct UncertainInput {
    entity: EntityId,
    slot: u16,
    nominal: Value,
    low: f64,
    high: f64,
    /// Fields that change by the same share.
    along: Vec<(EntityId, u16, Quantity)>,
    source: SpreadSource,
}

impl UncertainInput {
    /// How large it is, at a share of the way from its least to its most.
    pub(crate) fn at(&self, share: f64) -> f64 {
        self.low + (self.high - self.low) * share
    }

    /// What it changes in the design to be of that size.
    pub(crate) fn changes(&self, model: &Model<'_>, share: f64) -> Vec<Change> {
        let nominal = quantity_of(&self.nominal).unwrap_or(Quantity::number(0.0));
        let value = match &self.nominal {
            Value::Position(position) => {
                let mut position = Position::clone(position);
                position.distance.si = self.at(share);
                Value::Position(Arc::new(position))
            }
            _ => Value::Quantity(Quantity { si: self.in_range(model, self.at(share)), ..nominal }),
        };
        // The corners of a tolerance have no part in a sample.
        let change =
            |entity, slot, value| Change { entity, slot, state: State::Known(value), tolerance: None };
        let mut all = vec![change(self.entity, self.slot, value)];
        let factor = if nominal.si == 0.0 { 1.0 } else { self.at(share) / nominal.si };
        for (entity, slot, one) in &self.along {
            let value = Value::Quantity(Quantity { si: one.si * factor, ..*one });
            all.push(change(*entity, *slot, value));
        }
        all
    }

    /// What may not be below zero lies as far on the other side: a rail that leans by less than nothing leans the other way.
    fn in_range(&self, model: &Model<'_>, si: f64) -> f64 {
        let field = model.entity(self.entity).and_then(|entity| entity.entity_type.field(self.slot));
        match field.map(|field| &field.shape) {
            Some(Shape::Measure(_, Sign::Any) | Shape::Number(Sign::Any)) => si,
            _ => si.abs(),
        }
    }

    /// As it is reported.
    pub(crate) fn reported(&self, model: &Model<'_>) -> SpreadInput {
        let nominal = in_its_unit(model.shown(quantity_of(&self.nominal).unwrap_or(Quantity::number(0.0))));
        SpreadInput {
            key: model.design().store.field_path(self.entity, self.slot),
            nominal,
            low: Quantity { si: self.low, ..nominal },
            high: Quantity { si: self.high, ..nominal },
            source: self.source.clone(),
        }
    }
}

/// A quantity that is printed in its unit whatever its size: all sizes of one quantity are then in one unit.
pub(crate) fn in_its_unit(quantity: Quantity) -> Quantity {
    Quantity { style: Style { unit: quantity.unit(), ..quantity.style }, ..quantity }
}

/// The quantity of a value, and the distance of a place.
fn quantity_of(value: &Value) -> Option<Quantity> {
    match value {
        Value::Quantity(quantity) => Some(*quantity),
        Value::Position(position) => Some(position.distance),
        _ => None,
    }
}

/// The uncertain values that something rests on that was read, in the order of the file. By the packs that the design is not judged by
/// nothing is uncertain.
pub(crate) fn uncertain_inputs(
    model: &Model<'_>,
    library: &Library,
    silent: &[String],
    read: &Footprint,
) -> Vec<UncertainInput> {
    let packs = library.packs.iter().filter(|pack| !silent.contains(&pack.name));
    // A club's packs come last, and what they say counts.
    let known: Vec<&Uncertainty> = packs.flat_map(|pack| pack.uncertainties()).rev().collect();
    let mut all = Vec::new();
    for (entity, written) in model.design().store.all() {
        for (slot, field) in (0..).zip(written.entity_type.fields) {
            if !matches!(field.shape, Shape::Measure(..) | Shape::Number(_) | Shape::Position) {
                continue;
            }
            let tolerance = written.slot(slot).tolerance;
            let by_pack =
                || known.iter().copied().find(|u| u.entity_type == written.entity_type && u.slot == slot);
            let input = match (tolerance, &written.slot(slot).state) {
                (Some(tolerance), State::Known(value)) => as_written(entity, slot, value, tolerance),
                (_, state) => by_pack().and_then(|known| by_limit(model, entity, state, known)),
            };
            let moves = |input: &UncertainInput| {
                let touched = *model.with_changes(input.changes(model, 0.0)).touched();
                input.high > input.low && touched.meets(read)
            };
            all.extend(input.filter(moves));
        }
    }
    all
}

/// By the tolerance that stands beside it.
fn as_written(entity: EntityId, slot: u16, value: &Value, tolerance: Tolerance) -> Option<UncertainInput> {
    let nominal = quantity_of(value)?.si;
    let (low, high) = (nominal - tolerance.minus, nominal + tolerance.plus);
    let source = SpreadSource::Written;
    Some(UncertainInput { entity, slot, nominal: value.clone(), low, high, along: Vec::new(), source })
}

/// By a limit of a pack.
fn by_limit(
    model: &Model<'_>,
    entity: EntityId,
    state: &State,
    known: &Uncertainty,
) -> Option<UncertainInput> {
    let number = |expression| match evaluate(expression, model, None, entity).value {
        Ok(Value::Quantity(quantity)) => Some(quantity),
        _ => None,
    };
    let nominal = match state {
        State::Known(value) => value.clone(),
        State::Absent => Value::Quantity(number(known.where_not_written.as_ref()?)?),
        State::None | State::Wrong => return None,
    };
    let size = quantity_of(&nominal)?.si;
    let half = match &known.amount {
        Amount::Share(share) => number(share)?.si * size,
        Amount::Within(amount) => number(amount)?.si,
    }
    .abs();
    let source = SpreadSource::Pack {
        pack: known.pack.clone(),
        name: known.name.clone(),
        citation: known.citation.clone(),
        is_share: matches!(known.amount, Amount::Share(_)),
    };
    let (low, high) = (size - half, size + half);
    let along = along(model, entity, known);
    Some(UncertainInput { entity, slot: known.slot, nominal, low, high, along, source })
}

/// The fields within a part that change with one of its own.
fn along(model: &Model<'_>, part: EntityId, known: &Uncertainty) -> Vec<(EntityId, u16, Quantity)> {
    let store = &model.design().store;
    let within = known.along.iter().flat_map(|(entity_type, slot)| {
        let inside = store.of_type(entity_type);
        // What states a tolerance of its own is off by itself.
        let inside = inside.filter(|id| {
            model.holder(*id, known.entity_type) == Some(part) && model.tolerance(*id, *slot).is_none()
        });
        inside.filter_map(|id| match model.field(id, *slot) {
            Ok(Value::Quantity(quantity)) => Some((id, *slot, quantity)),
            _ => None,
        })
    });
    within.collect()
}

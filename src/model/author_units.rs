//! One choice of units for a whole design: by what its author mostly writes.

use crate::design::{Design, MOTOR, rocket};
use crate::quantity::{
    Dimension, Form, Quantity, Style, System, Unit, UnitId, is_moment_unit, moment_unit, unit_row,
    unit_within,
};
use crate::vocabulary::{State, Value};

/// A length as long as this is one of the flight, and no size or place of a part.
const LONGER_THAN_ROCKETS: f64 = 10.0;
/// A mass below this, in kg, that is written in some unit is one of powder, which is weighed in grams everywhere.
const POWDER: f64 = 0.03;
/// An area below this, in m², that is written in some unit is one of a wire.
const WIRE: f64 = 6e-6;
/// Diameters of motors, in mm: the trade calls motors and what holds them by these, in inches or not.
const MOTORS: [f64; 11] = [13.0, 18.0, 24.0, 29.0, 38.0, 54.0, 75.0, 76.0, 98.0, 114.0, 152.0];
/// Units in which a wind is forecast and no speed of a rocket is given.
const OF_FORECASTS: [&str; 3] = ["mph", "km/h", "kn"];
/// A unit of length as long as this is one of distances.
const LONG_UNIT: f64 = 0.3;

/// The types of quantity that have a unit of their own: lengths are sizes of parts or distances of the flight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Kind {
    dimension: Dimension,
    far: bool,
}

/// The units of a design.
#[derive(Clone, Debug, Default)]
pub struct AuthorUnits {
    /// How often each unit is written.
    written: Vec<(Kind, UnitId, u32)>,
    /// The system of most values, or the one that the author asks for.
    system: System,
    /// Whether the author asks for that system, whatever units the values are written in.
    asked: bool,
}

fn of_forecasts(row: &Unit) -> bool {
    OF_FORECASTS.contains(&row.name)
}

impl AuthorUnits {
    /// Those of a design; `system` is that of most of its values.
    pub(super) fn of(design: &Design, system: System) -> Self {
        let root = design.store.get(design.store.root());
        let asked = match root.and_then(|root| root.get(rocket::units)) {
            Some("metric") => Some(System::Metric),
            Some("inch") => Some(System::Imperial),
            _ => None,
        };
        let system = asked.unwrap_or(system);
        let mut units = Self { system, asked: asked.is_some(), ..Self::default() };
        for (_, entity) in design.store.all() {
            // What is certified of a motor is in newtons and grams everywhere, whatever its flyer measures in.
            if entity.entity_type.name == MOTOR.name {
                continue;
            }
            for slot in (0..).take(entity.entity_type.fields.len()) {
                match &entity.slot(slot).state {
                    State::Known(Value::Quantity(quantity)) => units.count(*quantity),
                    State::Known(Value::Position(position)) => units.count(position.distance),
                    State::Known(Value::Quantities(all)) => all.iter().for_each(|one| units.count(*one)),
                    _ => {}
                }
            }
        }
        units
    }

    fn count(&mut self, quantity: Quantity) {
        let Some(unit) = quantity.style.unit else { return };
        let row = unit_row(unit);
        // Counts and shares have no unit to choose, and a moment has its own.
        if is_moment_unit(unit)
            || row.dimension != quantity.dimension
            || row.dimension == Dimension::NUMBER
            || of_forecasts(row)
        {
            return;
        }
        // A wait on the pad is written in hours, and no time of a flight is.
        if row.dimension == Dimension::TIME && row.factor >= 60.0 {
            return;
        }
        let far = row.dimension == Dimension::LENGTH && row.factor >= LONG_UNIT;
        let kind = Kind { dimension: row.dimension, far };
        match self.written.iter_mut().find(|(known, id, _)| *known == kind && *id == unit) {
            Some((.., count)) => *count += 1,
            None => self.written.push((kind, unit, 1)),
        }
    }

    /// The unit that the author mostly writes for a kind of quantity; where two are even the first of the table, so that the order of keys
    /// decides nothing.
    fn mostly(&self, kind: Kind) -> Option<UnitId> {
        let mut best: Option<(UnitId, u32)> = None;
        let fits = |unit: UnitId| !self.asked || unit_row(unit).system == self.system;
        for (_, unit, count) in self.written.iter().filter(|(known, unit, _)| *known == kind && fits(*unit)) {
            if best.is_none_or(|(first, most)| *count > most || (*count == most && *unit < first)) {
                best = Some((*unit, *count));
            }
        }
        best.map(|(unit, _)| unit)
    }

    /// The system in which a dimension is written where the unit itself says nothing, as of distances to an author who writes none.
    fn system_of(&self, dimension: Dimension) -> System {
        let like =
            if dimension == Dimension::TEMPERATURE_DIFFERENCE { Dimension::TEMPERATURE } else { dimension };
        if self.asked {
            return self.system;
        }
        let mut seen = (0, 0);
        for (_, unit, count) in self.written.iter().filter(|(kind, ..)| kind.dimension == like) {
            match unit_row(*unit).system {
                System::Imperial => seen.0 += count,
                System::Metric => seen.1 += count,
                System::Unknown => {}
            }
        }
        super::unit_systems::majority(seen).unwrap_or(self.system)
    }

    /// A quantity as it is printed in the report of this design: in the one unit of its kind, noise as nothing.
    #[must_use]
    pub(super) fn shown(&self, quantity: Quantity) -> Quantity {
        let own = quantity.style.unit.map(unit_row).filter(|row| row.dimension == quantity.dimension);
        // Counts and shares, and what a pack states as a percentage, stay as they are; so does what both systems write alike, as a
        // wait in hours or a current in milliamperes; and powder, wires, motors and
        // winds keep the units that the trade has for them.
        let small = match quantity.dimension {
            Dimension::MASS => POWDER,
            Dimension::AREA => WIRE,
            _ => 0.0,
        };
        let is_motor =
            |row: &Unit| row.name == "mm" && MOTORS.iter().any(|mm| (quantity.si * 1e3 - mm).abs() < 1e-9);
        let kept = own.is_some_and(|row| {
            row.system == System::Unknown || quantity.si.abs() < small || is_motor(row) || of_forecasts(row)
        });
        if quantity.dimension == Dimension::NUMBER || kept {
            return quantity;
        }
        let far = quantity.dimension == Dimension::LENGTH
            && match own {
                Some(row) => row.factor >= LONG_UNIT,
                None => quantity.style.far || quantity.si.abs() >= LONGER_THAN_ROCKETS,
            };
        let noise = match quantity.dimension {
            Dimension::LENGTH if far => 5e-3,
            Dimension::LENGTH => 1e-7,
            Dimension::PRESSURE => 1e-3,
            Dimension::TIME | Dimension::MASS | Dimension::FORCE => 1e-7,
            _ => 0.0,
        };
        let si = if quantity.si.abs() < noise { 0.0 } else { quantity.si };
        let system = self.system_of(quantity.dimension);
        let unit = if quantity.style.unit.is_some_and(is_moment_unit) {
            moment_unit(system)
        } else {
            let mostly = self.mostly(Kind { dimension: quantity.dimension, far });
            unit_within(quantity.dimension, mostly, system, si, far)
        };
        let form = if unit == quantity.style.unit { quantity.style.form } else { Form::Decimal };
        Quantity { si, style: Style { unit, form, system, far }, ..quantity }
    }
}

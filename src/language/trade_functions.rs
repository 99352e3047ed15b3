//! Functions of the trade that expressions may call.

use std::f64::consts::TAU;

use super::function_signature::{
    Calling, Function, Parameter, entity_at, length, quantity, text, truth, unworkable,
};
use crate::design::{Joint, Parachute, connector};
use crate::engineering::{atmosphere, parachute, plate};
use crate::model::{Access, Outcome, Type, Unknown};
use crate::quantity::{Dimension as D, Length, Quantity, System};
use crate::tables::{
    CLEARANCE_DRILL, DrillSize, TAP_DRILL, Tables, clearance_drill, connector_family, drill, tap_drill,
};
use crate::vocabulary::{AnyKey, EntityId, Rows, Value};

/// Two places this near are the same: a millionth of a millimetre.
const SAME_PLACE: f64 = 1e-9;

/// Two sizes this near are the same drill: a tenth of a thousandth of an inch.
const SAME_DRILL: f64 = 2.6e-6;

/// The series that a builder who writes in this system of units owns.
fn series(system: System) -> &'static [&'static str] {
    if system == System::Metric { &["metric"] } else { &["fraction"] }
}

fn drill_named(tables: &Tables, size: f64) -> Option<EntityId> {
    let near = |drill: &&DrillSize| (drill.diameter.si - size).abs() <= SAME_DRILL;
    // A size that is both a fraction and a number is asked for by its fraction.
    ["fraction", "metric", "number", "letter"].iter().find_map(|series| {
        tables.drills().iter().filter(near).find(|drill| drill.series == *series).map(|drill| drill.row)
    })
}

/// The drills, smallest first, of the series that the author of a length owns.
fn common_drills<'t>(calling: &Calling<'t>, wanted: Quantity) -> impl Iterator<Item = Quantity> + use<'t> {
    let series = series(wanted.style.system);
    let drills = calling.model.tables().drills().iter();
    drills.filter(move |drill| series.contains(&drill.series)).map(|drill| drill.diameter)
}

fn drill_at_least(calling: &Calling<'_>, values: &[Value]) -> Outcome<Value> {
    let wanted = quantity(values, 0);
    let found = common_drills(calling, wanted).find(|size| size.si >= wanted.si * (1.0 - 1e-9));
    found.map(Value::Quantity).ok_or_else(|| Unknown::refused("no common drill is that large", []))
}

fn drill_at_most(calling: &Calling<'_>, values: &[Value]) -> Outcome<Value> {
    let wanted = quantity(values, 0);
    let found = common_drills(calling, wanted).take_while(|size| size.si <= wanted.si * (1.0 + 1e-9)).last();
    found.map(Value::Quantity).ok_or_else(|| Unknown::refused("no common drill is that small", []))
}

/// The drill of a size as it is asked for in a shop; none where no drill of the tables is that size.
#[must_use]
pub fn drill_asked_for(size: Quantity, tables: &Tables) -> Option<std::sync::Arc<str>> {
    tables.store().value(drill_named(tables, size.si)?, drill::size)
}

fn drill_name(calling: &Calling<'_>, values: &[Value]) -> Outcome<Value> {
    let name = drill_asked_for(quantity(values, 0), calling.model.tables());
    Ok(Value::Text(name.unwrap_or_else(|| "no drill of the tables".into())))
}

fn tap_drill_of(calling: &Calling<'_>, values: &[Value]) -> Outcome<Value> {
    let id = entity_at(values, 0)?;
    let name = calling.model.entity(id).map(|e| e.name.to_string()).unwrap_or_default();
    let tables = calling.model.tables();
    let size = tables.find(&TAP_DRILL, &name).and_then(|row| tables.quantity(row, tap_drill::diameter));
    size.map(Value::Quantity)
        .ok_or_else(|| Unknown::refused(format!("no tap drill is listed for {name}"), []))
}

fn clearance_drill_of(calling: &Calling<'_>, values: &[Value]) -> Outcome<Value> {
    let id = entity_at(values, 0)?;
    let name = calling.model.entity(id).map(|e| e.name.to_string()).unwrap_or_default();
    let tables = calling.model.tables();
    let row = tables.find(&CLEARANCE_DRILL, &name);
    let size = row.and_then(|row| tables.quantity(row, clearance_drill::diameter));
    size.map(Value::Quantity)
        .ok_or_else(|| Unknown::refused(format!("no clearance drill is listed for {name}"), []))
}

fn clearance(calling: &Calling<'_>, values: &[Value]) -> Outcome<Value> {
    let (a, b) = (entity_at(values, 0)?, entity_at(values, 1)?);
    let (a_fore, a_aft) = (calling.station(a, "fore_station")?, calling.station(a, "aft_station")?);
    let (b_fore, b_aft) = (calling.station(b, "fore_station")?, calling.station(b, "aft_station")?);
    // Apart: the gap. Overlapping: how far, as a negative length.
    let gap = (b_fore - a_aft).max(a_fore - b_aft);
    // What is left of two places that are the same, after sums, is no gap.
    let gap = if gap.abs() < SAME_PLACE { 0.0 } else { gap };
    let mut result = Quantity::from(Length::from_si(gap));
    let first = calling.reads.borrow().first().copied();
    if let Some(Ok(Value::Quantity(quantity))) = first.map(|r| calling.model.read(r)) {
        result.style.system = quantity.style.system;
    }
    Ok(Value::Quantity(result))
}

/// The open contacts that a connector is made of, where it has no housing of its own.
fn open_contacts(calling: &Calling<'_>, id: EntityId) -> Option<Value> {
    let Ok(Value::Entity(family)) = calling.read(id, Access::Field(connector::family.slot)) else {
        return None;
    };
    calling.model.field(family, connector_family::contacts_of.slot).ok()
}

fn can_mate(calling: &Calling<'_>, values: &[Value]) -> Outcome<Value> {
    let (a, b) = (entity_at(values, 0)?, entity_at(values, 1)?);
    let mut gap: Option<Unknown> = None;
    // Open contacts on one pitch go on one another, whatever the name of the family and the number of poles.
    let open = open_contacts(calling, a).is_some_and(|mine| open_contacts(calling, b) == Some(mine));
    let distinguishing: &[AnyKey] = if open {
        &[connector::altimeter_half.any()]
    } else {
        &[connector::family.any(), connector::contacts.any(), connector::altimeter_half.any()]
    };
    for key in distinguishing {
        let access = Access::Field(key.slot);
        match (calling.read(a, access), calling.read(b, access)) {
            (Ok(x), Ok(y)) if x != y => return Ok(Value::Truth(false)),
            (Ok(_), Ok(_)) => {}
            (Err(x), Err(y)) => gap = Some(gap.map_or(x.clone().and(y.clone()), |g| g.and(x).and(y))),
            (Err(x), _) | (_, Err(x)) => gap = Some(gap.map_or(x.clone(), |g| g.and(x))),
        }
    }
    let slot = connector::keying.slot;
    let keying = |id| {
        if calling.model.has(id, slot) == Ok(true) {
            calling.read(id, Access::Field(slot)).ok()
        } else {
            None
        }
    };
    if keying(a) != keying(b) {
        return Ok(Value::Truth(false));
    }
    gap.map_or(Ok(Value::Truth(true)), Err)
}

fn air(values: &[Value]) -> Outcome<atmosphere::Air> {
    let height = Length::try_from(quantity(values, 0)).map_err(unworkable)?;
    atmosphere::at(height).map_err(unworkable)
}

fn styled(result: impl Into<Quantity>, like: Quantity) -> Value {
    let mut result: Quantity = result.into();
    result.style.system = like.style.system;
    Value::Quantity(result)
}

/// Functions of the trade.
pub(super) static TRADE: &[Function] = &[
    Function {
        name: "clearance",
        doc: "clearance(a, b): the gap along the rocket between two parts; negative where they overlap. A hole, and a pin, screw or button in it, counts as its middle",
        parameters: &[Parameter::Placed, Parameter::Placed],
        gives: length,
        call: clearance,
    },
    Function {
        name: "drill_at_least",
        doc: "drill_at_least(d): the smallest common drill of at least this size, by 64ths of an inch or tenths of a millimetre as the author writes",
        parameters: &[Parameter::Quantity(D::LENGTH)],
        gives: length,
        call: drill_at_least,
    },
    Function {
        name: "drill_at_most",
        doc: "drill_at_most(d): the largest common drill of at most this size",
        parameters: &[Parameter::Quantity(D::LENGTH)],
        gives: length,
        call: drill_at_most,
    },
    Function {
        name: "is_drill_size",
        doc: "is_drill_size(d): whether a drill of this size is sold: fractional, number, letter or metric",
        parameters: &[Parameter::Quantity(D::LENGTH)],
        gives: truth,
        call: |calling, values| {
            Ok(Value::Truth(drill_named(calling.model.tables(), quantity(values, 0).si).is_some()))
        },
    },
    Function {
        name: "drill_name",
        doc: "drill_name(d): the drill of this size as it is asked for in a shop",
        parameters: &[Parameter::Quantity(D::LENGTH)],
        gives: text,
        call: drill_name,
    },
    Function {
        name: "tap_drill",
        doc: "tap_drill(thread): the usual drill before tapping a thread",
        parameters: &[Parameter::Entity("thread")],
        gives: length,
        call: tap_drill_of,
    },
    Function {
        name: "clearance_drill",
        doc: "clearance_drill(thread): the close-fitting drill that lets a screw of a thread pass",
        parameters: &[Parameter::Entity("thread")],
        gives: length,
        call: clearance_drill_of,
    },
    Function {
        name: "arc_between",
        doc: "arc_between(a, b, d): the shorter way around a body of diameter d between two clock angles",
        parameters: &[
            Parameter::Quantity(D::ANGLE),
            Parameter::Quantity(D::ANGLE),
            Parameter::Quantity(D::LENGTH),
        ],
        gives: length,
        call: |_, values| {
            let way = (quantity(values, 0).si - quantity(values, 1).si).rem_euclid(TAU);
            let around = quantity(values, 2);
            Ok(styled(Length::from_si(way.min(TAU - way) * around.si / 2.0), around))
        },
    },
    Function {
        name: "can_mate",
        doc: "can_mate(a, b): whether the halves of one connector go together with the halves of the other",
        parameters: &[Parameter::Entity("connector"), Parameter::Entity("connector")],
        gives: truth,
        call: can_mate,
    },
    Function {
        name: "mass_through",
        doc: "mass_through(joint, parachute): the mass that hangs from a parachute through a joint, on the far side of it from the cord that the parachute is tied to; all that the parachute carries where a cord ties the two sides past the joint",
        parameters: &[Parameter::Entity("joint"), Parameter::Entity("parachute")],
        gives: |_| Some(Type::Quantity(D::MASS)),
        call: |calling, values| {
            let (joint, canopy) = (entity_at(values, 0)?, entity_at(values, 1)?);
            let typed = calling.model.as_a::<Joint>(joint).zip(calling.model.as_a::<Parachute>(canopy));
            let (joint, canopy) = typed.ok_or_else(|| unworkable("there is no such part"))?;
            let (mass, reads) = calling.model.mass_through(joint, canopy);
            for read in reads {
                drop(calling.read(read.entity, read.access));
            }
            Ok(Value::Quantity(Quantity::from(mass?)))
        },
    },
    Function {
        name: "pressure_at",
        doc: "pressure_at(h): standard air pressure at a height above sea level (U.S. Standard Atmosphere, 1976)",
        parameters: &[Parameter::Quantity(D::LENGTH)],
        gives: |_| Some(Type::Quantity(D::PRESSURE)),
        call: |_, values| Ok(styled(air(values)?.pressure, quantity(values, 0))),
    },
    Function {
        name: "density_at",
        doc: "density_at(h): standard air density at a height above sea level (U.S. Standard Atmosphere, 1976)",
        parameters: &[Parameter::Quantity(D::LENGTH)],
        gives: |_| Some(Type::Quantity(D::DENSITY)),
        call: |_, values| Ok(styled(air(values)?.density, quantity(values, 0))),
    },
    Function {
        name: "reduction_of_opening",
        doc: "reduction_of_opening(a): what is left of a parachute's opening force because its load slows down while a solid canopy fills, by its ballistic parameter: ((2/3) (3 a/2)^(1/3))^2 where 3 a/2 is at most 1, else (1 + 1/(3 a))^-2",
        parameters: &[Parameter::Quantity(D::NUMBER)],
        gives: |_| Some(Type::Quantity(D::NUMBER)),
        call: |_, values| {
            let left = parachute::reduction(quantity(values, 0).si, parachute::SOLID_CANOPY);
            left.map(|x| Value::Quantity(Quantity::number(x))).map_err(unworkable)
        },
    },
    Function {
        name: "hub_factor",
        doc: "hub_factor(plate, washer): the greatest bending stress of a round plate of this diameter, held along its edge so that it may turn there and pulled at a stiff washer in its middle, in pulls over squares of its thickness",
        parameters: &[Parameter::Quantity(D::LENGTH), Parameter::Quantity(D::LENGTH)],
        gives: |_| Some(Type::Quantity(D::NUMBER)),
        call: |_, values| {
            let size = |at| Length::from_si(quantity(values, at).si);
            let factor = plate::hub_factor(size(0), size(1), plate::Edge::SimplySupported);
            factor.map(|x| Value::Quantity(Quantity::number(x))).map_err(unworkable)
        },
    },
];

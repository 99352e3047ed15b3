//! Openings: how late a parachute comes out, and what its jerk pulls at.

use super::joints::{FORE, FORE_MASS, computed};
use super::masses::MASS_IN_DESCENT;
use super::stations::sections;
use super::{EvalContext, Computed, Gap, Outcome, Type, both};
use crate::design::{CIRCUIT, JOINT, PARACHUTE, altimeter, charge, circuit, joint, parachute, rocket};
use crate::quantity::{Dimension as D, Mass, Quantity, Time};
use crate::vocabulary::{EntityId, Value};

computed! {
    /// The longest that an altimeter waits after apogee before it lets the parachute out, backups counted.
    OPENING_DELAY: "opening_delay" of PARACHUTE gives Type::Quantity(D::TIME),
        "greatest `apogee_delay` of the altimeters whose circuits open a joint at apogee; none written is none", "", opening_delay;
    /// What hangs on the far side of the joint from the one that opens first.
    MASS_BEYOND: "mass_beyond" of JOINT gives Type::Quantity(D::MASS),
        "mass before the joint, or what comes down less that mass where the first opening is before it", "", mass_beyond;
}

pub(super) const COMPUTED: &[&Computed] = &[&OPENING_DELAY, &MASS_BEYOND];

fn opening_delay(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let model = asking.model();
    if asking.get(id, parachute::opens_at)? != Value::Word("apogee") {
        return Err(asking.refuse("it is not opened at apogee"));
    }
    if !model.has(model.root(), rocket::wiring.slot)? {
        return Err(Gap::missing(model.root(), rocket::wiring.slot));
    }
    let mut longest: Outcome<Option<Time>> = Ok(None);
    for one in model.all_of(&CIRCUIT) {
        let delay = asking.get(one, circuit::fires).and_then(|fired| {
            let Value::Entity(fired) = fired else {
                return Err(asking.refuse("the circuit fires no charge"));
            };
            let Value::Entity(opened) = asking.get(fired, charge::joint)? else {
                return Err(asking.refuse("the charge opens no joint"));
            };
            if asking.get(opened, joint::parts_at)? != Value::Word("apogee") {
                return Ok(None);
            }
            let Value::Entity(fires) = asking.get(one, circuit::altimeter)? else {
                return Err(asking.refuse("no altimeter fires the circuit"));
            };
            if model.has(fires, altimeter::apogee_delay.slot)? {
                asking.typed::<Time>(fires, altimeter::apogee_delay).map(Some)
            } else {
                Ok(Some(Time::from_si(0.0)))
            }
        });
        longest = both(longest, delay).map(|(so_far, one)| match (so_far, one) {
            (Some(a), Some(b)) if b > a => Some(b),
            (None, b) => b,
            (a, _) => a,
        });
    }
    longest?
        .map(|delay| Value::Quantity(delay.into()))
        .ok_or_else(|| asking.refuse("no circuit opens a joint at apogee"))
}

fn mass_beyond(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let model = asking.model();
    let mut first = None;
    for one in model.all_of(&JOINT) {
        if asking.get(one, joint::parts_at)? == Value::Word("apogee") {
            first = Some(one);
            break;
        }
    }
    let Some(first) = first else { return Err(asking.refuse("no joint opens at apogee")) };
    if first == id {
        return Err(asking.refuse("this joint is the one that opens first"));
    }
    let order = sections(asking)?;
    let place = |joint: EntityId| {
        asking.ask(joint, &FORE).map(|fore| order.iter().position(|s| Value::Entity(*s) == fore))
    };
    let (here, there) = both(place(id), place(first))?;
    let fore = asking.ask_typed::<Mass>(id, &FORE_MASS);
    if here < there {
        return Ok(Value::Quantity(fore?.into()));
    }
    let root = model.root();
    let (fore, all) = both(fore, asking.ask_typed::<Mass>(root, &MASS_IN_DESCENT))?;
    let aft = all - fore;
    if aft.si() <= 0.0 {
        return Err(asking.refuse("what stands before the joint weighs more than the whole rocket"));
    }
    Ok(Value::Quantity(Quantity::from(aft)))
}

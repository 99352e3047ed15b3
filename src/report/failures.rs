//! The failure table: each device failing by itself, and how the rocket lands then.

use super::landing_plan::spot_words;
use super::reading::{Cell, Reading};
use super::tables::Table;
use crate::model::{FailureCase, Fault, OnField, Outcome};
use crate::quantity::{Length, Quantity};
use crate::vocabulary::EntityId;

const ABOUT: &str = "Each line takes one thing as failed and everything else as working. Opening heights are above the field. \
    A parachute that opens at a speed beyond its strength may tear: what the table says of the landing holds only if it does not. \
    It lands between where the rail points and where it comes down when it turns into the wind at once.";

/// The failure table of a rocket, or why there is none.
pub(super) fn table(reading: Reading<'_>) -> Table {
    let head = ["what fails", "what opens then", "lands at", "worst piece", "seen from the pad"];
    let mut table = Table {
        title: "One failure at a time".to_owned(),
        about: ABOUT.to_owned(),
        head: head.map(str::to_owned).to_vec(),
        rows: Vec::new(),
    };
    match reading.model.failures() {
        Ok(cases) => table.rows = rows(reading, &cases),
        Err(gap) => table.about = format!("It is not known what opens what: {}.", reading.why(&gap)),
    }
    table
}

/// Failures with the same consequence share a line.
fn rows(reading: Reading<'_>, cases: &[FailureCase]) -> Vec<Vec<Cell>> {
    let mut rows: Vec<(Vec<String>, Vec<Cell>)> = Vec::new();
    let planned = cases.first().map(|case| consequence(reading, case, None));
    for case in cases {
        let cells = consequence(reading, case, planned.as_deref().filter(|_| case.fault != Fault::Nothing));
        let name = name(reading, case.fault);
        let shared = matches!(case.fault, Fault::Device(_) | Fault::MotorCharge);
        match rows.iter_mut().skip(1).find(|(_, row)| shared && *row == cells) {
            Some((names, _)) => names.push(name),
            None => rows.push((vec![name], cells)),
        }
    }
    rows.into_iter()
        .map(|(names, consequence)| {
            std::iter::once(Cell::Known(names.join("; "))).chain(consequence).collect()
        })
        .collect()
}

fn name(reading: Reading<'_>, fault: Fault) -> String {
    let labelled = |id: EntityId| {
        let kind = reading.model.entity(id).map_or("", |e| e.entity_type.name).replace('_', " ");
        match reading.name(id) {
            name if name == kind || name.is_empty() => reading.short_path(id),
            name => format!("{kind} {name}"),
        }
    };
    match fault {
        Fault::Nothing => "nothing: as planned".to_owned(),
        Fault::Device(id) => labelled(id),
        Fault::MotorCharge => "the motor's charge".to_owned(),
        Fault::EarlyJoint(id) => format!("{} parts at the highest point", reading.name(id)),
        Fault::Everything => "all at once: no joint parts".to_owned(),
    }
}

/// What follows from a fault, in words; `as planned` where it is what the case without a fault comes to.
fn consequence(reading: Reading<'_>, case: &FailureCase, planned: Option<&[Cell]>) -> Vec<Cell> {
    let cells = vec![
        Cell::Known(opened(reading, case)),
        figure(reading, &case.landing_speed),
        figure(reading, &case.landing_energy),
        places(reading, &case.places),
    ];
    if planned == Some(cells.as_slice()) {
        let mut same = vec![Cell::Known("as planned".to_owned())];
        same.extend(cells.into_iter().skip(1));
        return same;
    }
    cells
}

fn opened(reading: Reading<'_>, case: &FailureCase) -> String {
    if case.opened.is_empty() {
        return if case.parted { "nothing; it falls in pieces" } else { "nothing; it comes in nose first" }
            .to_owned();
    }
    let each = case
        .opened
        .iter()
        .map(|(canopy, height)| format!("{} at {}", reading.name(canopy.any()), shown(reading, *height)));
    let each = each.collect::<Vec<_>>().join(", ");
    match &case.falling {
        Some(Ok(speed)) => {
            format!("{each}; the first of them opens at {}", reading.model.shown((*speed).into()))
        }
        _ => each,
    }
}

/// Where it lands, from the pad: between two bounds.
fn places(reading: Reading<'_>, bounds: &Outcome<[OnField; 2]>) -> Cell {
    match bounds {
        Ok(bounds) => match bounds.map(|spot| spot_words(reading, spot)) {
            [straight, turned] if straight == turned => Cell::Known(straight),
            [straight, turned] => Cell::Known(format!("{straight} to {turned}")),
        },
        Err(gap) => Cell::NotKnown(reading.why(gap)),
    }
}

fn shown(reading: Reading<'_>, height: Length) -> String {
    reading.model.shown(Quantity::from(height).of_flight()).to_string()
}

fn figure<T: Copy + Into<Quantity>>(reading: Reading<'_>, outcome: &Outcome<T>) -> Cell {
    match outcome {
        Ok(value) => Cell::Known(reading.model.shown((*value).into().of_flight()).to_string()),
        Err(gap) => Cell::NotKnown(reading.why(gap)),
    }
}

//! The drill sheet: which part gets which holes, where, and with which drill.

use crate::language::{drill_asked_for, label_of};
use crate::model::{DrilledPart, Mark, Model, Outcome, Spot};
use crate::quantity::{Angle, Quantity};

/// One line of the drill sheet. What is not known is described with the keys that would make it known: it is never guessed.
#[derive(Clone, Debug)]
pub struct DrillLine {
    /// The part that is drilled, as it is called in a sentence.
    pub part: String,
    /// The keys that lead to it.
    pub part_path: String,
    /// What the holes are for, as it is called in a sentence.
    pub hole: String,
    /// How many.
    pub count: Outcome<u32>,
    /// Where: how far from which end of the part, or in its face.
    pub place: Outcome<Mark>,
    /// The clock angle of each, read from aft, clockwise from the first fin; none for holes in a face that stand anywhere.
    pub clock: Outcome<Vec<Angle>>,
    /// Where each hole in the face of a disc stands; none for holes through a wall.
    pub spots: Outcome<Vec<Spot>>,
    /// The drill.
    pub drill: Outcome<Quantity>,
    /// The drill as it is asked for in a shop, where one of the tables is that size.
    pub drill_name: Option<String>,
    /// Whether a thread is cut after drilling.
    pub tapped: Outcome<bool>,
}

/// The lines of a rocket's drill sheet, from the nose aft, walls before what is behind them.
///
/// # Errors
/// When it is not known which holes there are at all.
pub fn drill_sheet(model: &Model<'_>) -> Outcome<Vec<DrillLine>> {
    Ok(model.drilled()?.into_iter().map(|line| described(model, line)).collect())
}

/// What holes are for, as it is called in a sentence.
#[must_use]
pub fn hole_words(model: &Model<'_>, line: &DrilledPart) -> String {
    let owner = label_of(model, line.owner);
    // An eye's and a vent's own name says what the hole is for; a screw of a joint needs the word.
    match line.purpose {
        "screws" => format!("screws, {owner}"),
        "switch access" => format!("the way to a switch, {owner}"),
        "rods" | "eye" | "wires" => format!("{}, {owner}", line.purpose),
        _ => owner,
    }
}

/// A drill in a few words: its size, and how it is asked for in a shop where that says more.
#[must_use]
pub fn drill_words(model: &Model<'_>, drill: Quantity) -> String {
    let size = model.shown(drill).to_string();
    match drill_asked_for(drill, model.tables()) {
        // A name that is a size says nothing more.
        Some(name) if Quantity::read(&name).is_err() => format!("drill {size} ({name})"),
        _ => format!("drill {size}"),
    }
}

fn described(model: &Model<'_>, line: DrilledPart) -> DrillLine {
    let drill_name = line.drill.as_ref().ok().and_then(|size| drill_asked_for(*size, model.tables()));
    DrillLine {
        part: label_of(model, line.part),
        part_path: model.design().store.path(line.part),
        hole: hole_words(model, &line),
        count: line.count,
        place: line.mark,
        clock: line.clock,
        spots: line.spots,
        drill: line.drill,
        drill_name: drill_name.map(|name| name.to_string()),
        tapped: line.tapped,
    }
}

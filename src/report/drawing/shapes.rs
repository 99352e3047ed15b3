//! What a drawing consists of: the shapes of parts, in metres, and what is said beside them.

use crate::vocabulary::EntityId;

/// In which view something is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// From outside.
    Outside,
    /// Cut open along the axis.
    Cut,
}

/// How a form is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// The outside of a part that hides what is behind it.
    Skin,
    /// Material that the cut goes through.
    Cut,
    /// Something soft: a packed parachute.
    Cloth,
    /// The inside of an altimeter bay.
    Bay,
    /// The motor.
    Motor,
    /// An opening in what is drawn before it.
    Gap,
    /// A hole, a pin or a screw on the side that is seen.
    Hole,
    /// The same on the far side.
    FarHole,
    /// A size or a place that is not written down.
    Unsure,
    /// A line of the drawing itself.
    Line,
}

/// A form, in metres: x aft from the nose tip, y up from the axis.
#[derive(Clone, Debug, PartialEq)]
pub enum Form {
    /// A closed outline.
    Area(Vec<(f64, f64)>),
    /// An open line.
    Line(Vec<(f64, f64)>),
    /// A round hole seen from outside.
    Dot {
        /// Its centre.
        centre: (f64, f64),
        /// Its radius.
        radius: f64,
    },
}

/// A form in a view.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnShape {
    /// Where it is drawn.
    pub view: View,
    /// How it is drawn.
    pub look: Look,
    /// What is drawn.
    pub form: Form,
}

/// A part of the rocket that is drawn.
#[derive(Clone, Debug)]
pub struct Part {
    /// The entity.
    pub id: EntityId,
    /// Its path in the file, made harmless.
    pub path: String,
    /// What it is, in words.
    pub what: String,
    /// Its sizes, in the author's units.
    pub size: String,
    /// Its fore end, m aft from the nose tip.
    pub fore: f64,
    /// Its aft end.
    pub aft: f64,
    /// The view that its number is written in.
    pub home: View,
    /// What is painted later covers what is painted before it: the lower layer first.
    pub layer: usize,
    /// What is drawn.
    pub shapes: Vec<DrawnShape>,
}

/// Something that has no place in the drawing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Undrawn {
    /// The entity.
    pub id: EntityId,
    /// Its path in the file.
    pub path: String,
    /// Why it is not drawn.
    pub why: String,
}

/// Something at a clock angle around the body.
#[derive(Clone, Debug, PartialEq)]
pub struct Clocked {
    /// The entity.
    pub id: EntityId,
    /// The angle seen from aft, clockwise from 0° at the top of the drawing, rad.
    pub angle: f64,
    /// A fin, which reaches out from the body.
    pub fin: bool,
}

/// A point on the axis that stability is about.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// It is here, m aft from the nose tip, with the words beside it.
    At(f64, String),
    /// It is not known: why.
    NotKnown(String),
}

/// A rocket as it is drawn.
#[derive(Clone, Debug)]
pub struct Drawing {
    /// The parts, fore to aft; their numbers are their places in this list, from 1.
    pub parts: Vec<Part>,
    /// What is not drawn, and why.
    pub undrawn: Vec<Undrawn>,
    /// What is drawn and not known for sure.
    pub notes: Vec<String>,
    /// What stands at which clock angle.
    pub clocked: Vec<Clocked>,
    /// The sections that have a place: name, fore and aft end.
    pub sections: Vec<(String, f64, f64)>,
    /// The largest diameter of the body, m; zero where none is known.
    pub calibre: f64,
    /// Where it balances with the motor in.
    pub balance: Mark,
    /// Where the air's side force acts.
    pub pressure: Mark,
    /// The unit that its author lays on the tape.
    pub unit: String,
    /// How many of that unit are in a metre.
    pub per_metre: f64,
}

//! What a review is asked for.

use super::waiver_fields::Waiver;
use crate::rules::{Departure, HoldPoint};
use crate::vocabulary::Date;

/// A spread that is asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SpreadRequest {
    /// How many samples.
    pub samples: usize,
    /// The quantities: those of the rocket by their names, those of a type of part as in `section.landing_energy`, of which the part with
    /// the greatest is taken.
    pub quantities: Vec<String>,
}

/// What to review, and how far.
#[derive(Clone, Debug)]
pub struct Options {
    /// Only what must be settled before this step: the hold points up to it.
    pub before: Option<HoldPoint>,
    /// The day it is, for waivers and for rules that ask for `today`.
    pub today: Date,
    /// Try each remedy on a copy.
    pub try_remedies: bool,
    /// Packs that the club names, besides those that a design names under `codes`.
    pub codes: Vec<String>,
    /// Find out which values decided, for places and working. It takes a flight for each value that a finding rests on, and who
    /// only counts findings has no use for it.
    pub find_places: bool,
    /// Find out how the numbers came about. A report that prints no working has no use for it.
    pub find_working: bool,
    /// List the margins of what is held.
    pub find_margins: bool,
    /// List what no rule spoke about. It is known only where every rule in force is asked.
    pub find_not_judged: bool,
    /// How far the quantities and the rules spread with the values that they rest on.
    pub spread: Option<SpreadRequest>,
    /// The settings in force, in words for the report.
    pub settings: Option<String>,
    /// Settings nearer to the design that are left aside.
    pub ignored: Vec<Departure>,
    /// Whether some pack or setting that should be in force could not be read, so that what was not found proves less.
    pub incomplete: bool,
    /// Waivers that are not written in the design.
    pub waivers: Vec<Waiver>,
    /// What a waiver must say besides what every waiver must, to hold: `subject`, `margin`; `settings` for one that stands there.
    pub waivers_need: Vec<String>,
}

impl Options {
    /// Everything, on a day.
    #[must_use]
    pub fn on(today: Date) -> Self {
        Self {
            before: None,
            today,
            try_remedies: true,
            find_places: true,
            find_working: true,
            find_margins: true,
            find_not_judged: true,
            spread: None,
            settings: None,
            ignored: Vec::new(),
            incomplete: false,
            waivers: Vec::new(),
            waivers_need: Vec::new(),
            codes: Vec::new(),
        }
    }
}

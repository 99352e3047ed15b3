//! What is drawn and plotted rather than judged: outlines, and quantities along the flight.

use super::extents::extent;
use super::{Footprint, Model, Outcome, ascent, margin_in_flight, nose_shape, vent_flow};
use crate::design::{NoseCone, Section};
use crate::engineering::nose::Nose;
use crate::quantity::{Length, Time};
use crate::vocabulary::{EntityId, Id};

impl Model<'_> {
    /// The computed ascent, once a quantity of it has been asked for.
    #[must_use]
    pub fn flight_result(&self) -> Option<std::rc::Rc<super::FlightResult>> {
        self.fly().ok()
    }

    /// The fore and the aft end of a part, aft from the nose tip.
    ///
    /// # Errors
    /// When a length or a place on the way to it is missing, or the part has no place along the rocket.
    pub fn ends_of(&self, part: EntityId) -> Outcome<(Length, Length)> {
        extent(&self.context(), part).map(|e| (Length::from_si(e.fore), Length::from_si(e.aft)))
    }

    /// The outline of a nose cone.
    ///
    /// # Errors
    /// When its shape or a size of it is missing, or the outline is not one that can be worked out.
    pub fn nose_of(&self, cone: Id<NoseCone>) -> Outcome<Nose> {
        nose_shape::nose(&self.context(), cone)
    }

    /// The ascent, flown if it was not yet.
    ///
    /// # Errors
    /// When a value that the ascent hangs on is missing, or the rocket does not fly.
    pub fn fly(&self) -> Outcome<std::rc::Rc<super::FlightResult>> {
        ascent::flight_result(&self.context(), self.rocket())
    }

    /// The fields that the ascent rests on, as far as it is known.
    pub(super) fn flight_footprint(&self) -> Footprint {
        self.artifact(self.rocket(), &ascent::ASCENT).footprint
    }

    /// The static margin in calibres by time since ignition, from leaving the rail to the highest point in still air.
    ///
    /// # Errors
    /// When the shape, the masses, the balance point or the ascent are not known.
    pub fn margin_history(&self, apart: Time) -> Outcome<Vec<(Time, f64)>> {
        margin_in_flight::margin_history(&self.context(), self.rocket(), apart)
    }

    /// How much too low an altimeter in a bay reads, by time since ignition.
    ///
    /// # Errors
    /// When the bay, its holes or the ascent are not known.
    pub fn lag_course(&self, section: Id<Section>) -> Outcome<Vec<(Time, Length)>> {
        vent_flow::lag_course(&self.context(), section)
    }
}

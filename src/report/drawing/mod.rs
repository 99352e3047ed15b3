//! The rocket drawn to scale: what each part looks like, in metres from the nose tip and from the axis.
//!
//! Everything here is geometry and words; `svg` alone knows how it is put on paper. A part is drawn where the model
//! says that it is, and as large. What a drawing would have to guess is drawn dashed and reported in a note, or is left out
//! and reported with the keys that are missing.

mod aft_view;
mod anchors;
mod inside;
mod outside;
mod parts;
mod shapes;
mod svg;

pub use aft_view::aft_view;
pub use shapes::{Clocked, Drawing, DrawnShape, Form, Look, Mark, Part, Undrawn, View};
pub use svg::{Balloon, State, sheet};

use super::reading::Reading;
use crate::model::Model;
use crate::vocabulary::EntityId;

impl Drawing {
    /// Draws a model.
    #[must_use]
    pub fn of(model: &Model<'_>) -> Self {
        parts::draw(Reading::new(model))
    }

    /// Where the drawing ends: the aft end of what reaches furthest, m.
    #[must_use]
    pub fn end(&self) -> f64 {
        self.parts.iter().map(|p| p.aft).fold(0.0, f64::max)
    }

    /// The number of the part that stands for an entity: itself, what it is fastened to, or what it acts on. `None` where
    /// only the whole rocket does.
    #[must_use]
    pub fn number_of(&self, model: &Model<'_>, id: EntityId) -> Option<usize> {
        anchors::number_of(self, Reading::new(model), id)
    }
}

//! The papers of a rocket: what a flyer hands in, drills and signs by, and takes to the field.
//!
//! They are bound to the bytes of the design and of the rule packs by their SHA-256, and carry one of their own, so that
//! whoever holds them can ask whether they are still those of the design, and unaltered.

mod block;
mod bound;
mod content;
mod html;
mod markdown;

pub use bound::{Bound, Mismatch};

use crate::model::Model;
use crate::review::DesignReview;
use crate::rules::Library;

crate::words! {
    /// The form of papers.
    #[derive(Default)]
    pub enum PaperForm {
        /// A page for a browser or a printer.
        #[default]
        Html = "html",
        /// Markdown, for a repository.
        Markdown = "markdown",
    }
}

/// The papers of a design.
///
/// The caller refuses them while anything holds; whatever they are asked for is written, so that a reader sees the
/// verdict on top in any case.
#[must_use]
pub fn papers(review: &DesignReview, library: &Library, form: PaperForm) -> String {
    let model = Model::new(&review.design, library.environment(review.today));
    let bound = Bound::of(review, library);
    let blocks = content::blocks(review, library, &model, &bound);
    let title = format!("Papers of {}", review.design.name());
    let text = match form {
        PaperForm::Html => html::document(&title, &blocks, &bound),
        PaperForm::Markdown => markdown::document(&title, &blocks, &bound),
    };
    bound.seal(&text)
}

//! Reports: one file a format, each a function from a review to text.

mod comparison;
mod concise;
mod diagram;
pub mod drawing;
mod json;
mod junit;
mod location;
mod page;
mod papers;
mod plot;
mod reading;
mod sarif;
mod tables;
mod text;
mod workflow;

pub use comparison::{COMPARE_FORMAT, compare_schema, comparison_json, comparison_text};
pub use concise::concise;
pub use diagram::{Diagram, Style, problem_text, remark_text};
pub use json::{REVIEW_FORMAT, json, review_schema};
pub use junit::junit;
pub(crate) use location::from_base;
pub use page::page;
pub use papers::{Bound, Mismatch, PaperForm, papers};
pub use sarif::sarif;
pub use text::{caution, text};
pub use workflow::workflow;

use std::sync::Arc;

use crate::review::{DesignReview, FailOn};
use crate::text::{Problem, Source};

/// A review of several designs, with what could not be read.
#[derive(Debug, Default)]
pub struct Review {
    /// The designs, in the order they were asked for.
    pub designs: Vec<DesignReview>,
    /// Problems of files that are no designs, of rule packs and of designs, each with its source.
    pub problems: Vec<(Arc<Source>, Problem)>,
    /// What makes the review fail.
    pub fail_on: FailOn,
}

impl Review {
    /// 0 nothing that was found makes it fail, 1 something does, 2 something could not be read.
    #[must_use]
    pub fn exit_code(&self) -> u8 {
        if self.designs.is_empty() || !self.problems.is_empty() {
            2
        } else {
            u8::from(self.designs.iter().flat_map(|d| &d.findings).any(|f| self.fail_on.fails(f)))
        }
    }
}

//! Reports: one file a format, each a function from a review to text.

mod diagram;

pub use diagram::{Diagram, Style, problem_text};

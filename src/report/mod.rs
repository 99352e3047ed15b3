//! Reports: one file a form. Each makes a part of a design by itself, and a frame for the parts.

mod answers;
mod caution;
mod comparison;
mod comparison_concise;
mod comparison_json;
mod concise;
mod conditions;
mod contract;
mod diagram;
pub mod drawing;
mod failures;
mod form;
mod format;
mod guided;
mod json;
mod junit;
mod landing_plan;
mod location;
mod margin;
mod note;
mod page;
mod papers;
mod plot;
mod plot_labels;
mod pretty;
mod reading;
mod sarif;
mod spread;
mod spread_json;
mod spread_tables;
mod summary;
mod tables;
mod templates;
mod text;
mod timeline;
mod total;
mod waiting;
mod workflow;

pub use answers::{
    checklist_text, difference_text, failures_text, holds_text, mended_text, on_design_json, on_design_text,
    own_rule_json, own_rule_text, pack_page, quantities_json, quantities_text, quantity_json, quantity_text,
    rule_json, rule_page, rule_text, rules_json, rules_text, settings_text, spread_answer, trials_text,
};
pub use caution::caution;
pub use comparison::{comparison_text, watch_text, watched_text};
pub use comparison_concise::comparison_concise;
pub use comparison_json::{COMPARE_FORMAT, compare_schema, comparison_json};
pub use concise::Concise;
pub use diagram::{Diagram, Style, problem_text, remark_text};
pub use form::{List, Part, Piece, ReportForm, Totals, pieces};
pub use format::{AnswerFormat, Format, ReportOptions};
pub use guided::{findings_text, known_so_far, remarks_before};
pub use json::{Json, REVIEW_FORMAT, review_schema};
pub use junit::Junit;
pub(crate) use location::from_base;
pub(crate) use margin::margin_text;
pub use page::{Follow, Page};
pub use papers::{Bound, Mismatch, PaperForm, papers};
pub use sarif::Sarif;
pub use summary::summary_quantities;
pub use templates::{LeftOut, MADE, Paper, TemplateFile, TemplateOptions, Templates, templates};
pub use text::Text;
pub use waiting::{proposed, waiting_values};
pub use workflow::Workflow;

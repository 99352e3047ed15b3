//! Answers of commands that are no report of a review: explanations, lists, what was mended, tried, set.

mod checklist;
mod failures;
mod holds;
mod mended;
mod one_rule;
mod pack_page;
mod quantities;
mod quantity;
mod rule;
mod rule_page;
mod rules;
mod settings;
mod spread;
mod trials;

pub use checklist::checklist_text;
pub use failures::failures_text;
pub use holds::holds_text;
pub use mended::{difference_text, mended_text};
pub use one_rule::{on_design_json, on_design_text};
pub use pack_page::pack_page;
pub use quantities::{quantities_json, quantities_text};
pub use quantity::{quantity_json, quantity_text};
pub use rule::{own_rule_json, own_rule_text, rule_json, rule_text};
pub use rule_page::rule_page;
pub use rules::{rules_json, rules_text};
pub use settings::settings_text;
pub use spread::spread_answer;
pub use trials::trials_text;

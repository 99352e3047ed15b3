//! Remedies of rules: the field to change, the value it should have or how far to move it, and whether to ask first.

use super::target::Target;
use crate::language::{Checked, Template};
use crate::model::Model;
use crate::quantity::{Quantity, Style};
use crate::vocabulary::{EntityId, Value};

/// What to change.
#[derive(Clone, Debug)]
pub struct Remedy {
    /// The field and its change; none where only words can help.
    pub set: Option<(Target, Change)>,
    /// The change in words, as written in the rule file.
    pub say: String,
    /// The same, cut where `{value}` stands, with the other values in braces to be filled in.
    pub words: Vec<Template>,
    /// Of each `{value}` in turn the unit that it asks for, where it asks for one.
    pub units: Vec<Option<Style>>,
    /// Whether it may be made without asking: it sets a field of [`may_be_set`](crate::design::may_be_set), and the rule does not hold it back.
    pub safe: bool,
}

/// How a remedy changes its field.
#[derive(Clone, Debug)]
pub enum Change {
    /// To this value.
    To(Checked),
    /// A place on a part, this far aft.
    By(Checked),
}

impl Remedy {
    /// The change in words for a subject, with the value it should have; `shown` is that value where no unit is asked for.
    #[must_use]
    pub fn said(&self, model: &Model<'_>, subject: EntityId, value: Option<&Value>, shown: &str) -> String {
        let mut said = String::new();
        for (at, words) in self.words.iter().enumerate() {
            if at > 0 {
                match (value, self.units.get(at - 1).copied().flatten()) {
                    (Some(Value::Quantity(quantity)), Some(style)) => {
                        said.push_str(&Quantity { style, ..*quantity }.to_string());
                    }
                    _ => said.push_str(shown),
                }
            }
            said.push_str(&words.fill(model, subject, &[]));
        }
        said
    }
}

//! What a field takes, and what it is for, in the words of completion and hover.

use crate::rules::HoldPoint;
use crate::vocabulary::{EntityType, Field, Need, Shape, due};

/// What may stand in a field.
pub(super) fn takes(field: &Field) -> String {
    match &field.shape {
        Shape::One(part) => part.with_article(),
        Shape::Many(part) => format!("{}, each under a name", part.plural()),
        Shape::List(part) => format!("a list of {}", part.plural()),
        Shape::Measured(_) => "what was measured, under the same keys".to_owned(),
        Shape::Refers(part) => format!("the name of {}", part.with_article()),
        Shape::RefersAll(part) => format!("a list of names of {}", part.plural()),
        Shape::Measures(dimension, _) => format!("a list, each item {}", dimension.in_words()),
        Shape::Texts => "a list of words".to_owned(),
        Shape::Curve(x, y) => format!("pairs of {} and {}", x.name(), y.name()),
        Shape::Raw => "anything".to_owned(),
        shape => due(shape),
    }
    .replace('_', " ")
}

/// What the absence of a field means, and by which step it is due.
pub(super) fn need(field: &Field, step: Option<HoldPoint>) -> String {
    let absence = match field.need {
        Need::Required => "required",
        Need::Expected => "every such part has it: what rests on it is unproven until it is written down",
        Need::Optional => "optional: nothing written means none, or what the doc says",
        Need::Implied => "never written",
    };
    match step {
        Some(step) => format!("Due before {step}; {absence}."),
        None => format!("No rule reads it; {absence}."),
    }
}

/// The doc of a field with what it takes and when it is due, in Markdown.
pub(super) fn field_doc(of: &EntityType, field: &Field, step: Option<HoldPoint>) -> String {
    let of = of.name.replace('_', " ");
    format!("**`{}`** of {of}: {}\n\n{}\n\n{}", field.name, takes(field), field.about(), need(field, step))
}

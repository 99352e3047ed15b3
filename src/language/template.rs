//! Words with values in braces: the messages of rules.

use std::ops::Range;

use super::evaluate::evaluate_with;
use super::trace::Member;
use super::{Checked, LanguageError, Scope, check, parse};
use crate::model::{Model, Type};
use crate::quantity::{Dimension, Form, Quantity, Style, UnitExpression, nearest_unit, unit};
use crate::vocabulary::{EntityId, Value};

/// A message with its expressions checked.
#[derive(Clone, Debug, Default)]
pub struct Template {
    pieces: Vec<Piece>,
}

#[derive(Clone, Debug)]
enum Piece {
    Words(String),
    Value(Filled),
}

/// An expression in a message.
#[derive(Clone, Debug)]
pub(super) struct Filled {
    /// Where it begins in the message.
    pub(super) start: usize,
    pub(super) expression: Checked,
    /// The unit that the message asks for.
    style: Option<Style>,
}

impl Filled {
    /// Reads an expression that stands in a message; its own bytes begin at zero, those of an error with the message.
    pub(super) fn read(text: &str, inside: Range<usize>, scope: &Scope<'_>) -> Result<Self, LanguageError> {
        let moved = |error: LanguageError| LanguageError {
            range: error.range.start + inside.start..error.range.end + inside.start,
            also: error.also.map(|(r, l)| (r.start + inside.start..r.end + inside.start, l)),
            ..error
        };
        let (expression, wanted) = in_unit(text.get(inside.clone()).unwrap_or("")).map_err(moved)?;
        let checked = parse(expression)
            .and_then(|tree| check(&tree, scope))
            .map_err(of_value(expression))
            .map_err(moved)?;
        let style = wanted.map(|wanted| wanted.style(checked.gives)).transpose().map_err(moved)?;
        Ok(Self { start: inside.start, expression: checked, style })
    }

    /// A value of it in words, in the unit that the message asks for.
    pub(super) fn text(&self, model: &Model<'_>, value: &Value) -> String {
        match (value, self.style) {
            (Value::Quantity(quantity), Some(style)) => Quantity { style, ..*quantity }.to_string(),
            _ => value_text(model, value),
        }
    }
}

impl Template {
    /// Reads a message; `{…}` holds an expression, `{… in ft}` one in a unit of its own, `{{` and `}}` are braces.
    ///
    /// # Errors
    /// With the place in the message where an expression is wrong.
    pub fn read(text: &str, scope: &Scope<'_>) -> Result<Self, LanguageError> {
        let mut pieces = Vec::new();
        let mut words = String::new();
        let mut at = 0;
        while let Some(c) = text.get(at..).and_then(|t| t.chars().next()) {
            let next = text.get(at + c.len_utf8()..).and_then(|t| t.chars().next());
            match (c, next) {
                ('{', Some('{')) | ('}', Some('}')) => {
                    words.push(c);
                    at += 2;
                }
                ('{', _) => {
                    let inside = braced(text, at)?;
                    let filled = Filled::read(text, inside.clone(), scope)?;
                    if !words.is_empty() {
                        pieces.push(Piece::Words(std::mem::take(&mut words)));
                    }
                    pieces.push(Piece::Value(filled));
                    at = inside.end + 1;
                }
                ('}', _) => {
                    return Err(LanguageError::new("this brace closes nothing", at..at + 1)
                        .help("a brace that is to be read as one is written twice, `}}`"));
                }
                _ => {
                    words.push(c);
                    at += c.len_utf8();
                }
            }
        }
        if !words.is_empty() {
            pieces.push(Piece::Words(words));
        }
        Ok(Self { pieces })
    }

    /// Its expressions, each with the byte of the message where it begins.
    pub fn expressions(&self) -> impl Iterator<Item = (usize, &Checked)> {
        self.pieces.iter().filter_map(|piece| match piece {
            Piece::Words(_) => None,
            Piece::Value(filled) => Some((filled.start, &filled.expression)),
        })
    }

    /// The message for a subject; a value that is not known reads `(not given)`. What names a member of a collection reads it off those
    /// that decided.
    #[must_use]
    pub fn fill(&self, model: &Model<'_>, subject: EntityId, members: &[Member]) -> String {
        let mut text = String::new();
        for piece in &self.pieces {
            match piece {
                Piece::Words(words) => text.push_str(words),
                Piece::Value(filled) => match evaluate_with(&filled.expression, model, subject, members) {
                    Some(value) => text.push_str(&filled.text(model, &value)),
                    None => text.push_str("(not given)"),
                },
            }
        }
        text
    }
}

/// The unit that a value is to be printed in, as it is written behind `in`.
#[derive(Clone, Debug)]
pub struct PrintedIn {
    written: String,
    unit: UnitExpression,
    /// Its bytes in the text.
    range: Range<usize>,
}

impl PrintedIn {
    /// The style of a value that gives something.
    ///
    /// # Errors
    /// When the unit is none of what it gives.
    pub fn style(&self, gives: Type) -> Result<Style, LanguageError> {
        if Type::Quantity(self.unit.dimension) != gives {
            let message = format!("`{}` is no unit of {gives}", self.written);
            let help = match gives {
                Type::Quantity(Dimension::NUMBER) => "a plain number has no unit: leave `in …` out",
                Type::Quantity(_) => {
                    "name a unit of its dimension, or leave `in …` out: then its author's counts"
                }
                _ => "only a quantity has a unit: leave `in …` out",
            };
            return Err(LanguageError::new(message, self.range.clone()).help(help));
        }
        let UnitExpression { id, system, .. } = self.unit;
        Ok(Style { unit: id, form: Form::Decimal, system, far: false })
    }
}

/// An expression and the unit that it is to be printed in, where the text ends with `in` and a unit.
///
/// # Errors
/// When no unit, or none that is known, stands behind `in`.
pub fn in_unit(text: &str) -> Result<(&str, Option<PrintedIn>), LanguageError> {
    let text = text.trim_end();
    let Some((expression, behind)) = text.rsplit_once(" in ") else {
        // Behind a number it is the unit itself.
        let before =
            text.strip_suffix(" in").filter(|before| !before.ends_with(|c: char| c.is_ascii_digit()));
        return before.map_or(Ok((text, None)), |before| {
            let message = "a unit is missing behind `in`";
            Err(LanguageError::new(message, before.len() + 1..text.len()).help(
                "write it there, as in `{… in ft}`, or leave `in` out: then the unit of its author counts",
            ))
        });
    };
    let written = behind.trim();
    let start = expression.len() + " in ".len() + (behind.len() - behind.trim_start().len());
    let range = start..start + written.len();
    match unit(written) {
        Some(unit) => Ok((expression, Some(PrintedIn { written: written.to_owned(), unit, range }))),
        None if written.chars().all(char::is_alphanumeric) => {
            let near = nearest_unit(written).map(|near| format!("did you mean `{near}`?"));
            Err(LanguageError::new(format!("`{written}` is not a unit known here"), range).maybe_help(near))
        }
        None => Ok((text, None)),
    }
}

/// What is wrong with an expression of a message; where that is `value`, which only a remedy may say, with where it belongs.
fn of_value(expression: &str) -> impl Fn(LanguageError) -> LanguageError {
    let is_value = expression.trim() == "value";
    move |error| {
        match is_value {
        true => error.help(
            "`{value}` stands in the `say` of a remedy only, for what `to` comes to; here write the expression itself",
        ),
        false => error,
    }
    }
}

/// The bytes between a brace and the one that closes it.
pub(super) fn braced(text: &str, at: usize) -> Result<Range<usize>, LanguageError> {
    let length = text.get(at..).and_then(|t| t.find('}'));
    let length = length.ok_or_else(|| {
        LanguageError::new("this brace is never closed", at..at + 1)
            .help("write `}` behind the expression; a brace that is to be read as one is written twice, `{{`")
    })?;
    Ok(at + 1..at + length)
}

/// A value as it reads in a sentence.
#[must_use]
pub fn value_text(model: &Model<'_>, value: &Value) -> String {
    match value {
        Value::Truth(truth) => truth.to_string(),
        Value::Text(text) => text.to_string(),
        Value::Texts(texts) => texts.join(", "),
        Value::Word(word) => (*word).to_owned(),
        Value::Quantity(quantity) => model.shown(*quantity).to_string(),
        Value::Quantities(all) => {
            all.iter().map(|one| model.shown(*one).to_string()).collect::<Vec<_>>().join(", ")
        }
        Value::Date(date) => date.to_string(),
        Value::Position(position) => model.shown(position.distance).to_string(),
        Value::Entity(id) => label_of(model, *id),
        Value::Entities(all) => all.iter().map(|id| label_of(model, *id)).collect::<Vec<_>>().join(", "),
        Value::Curve(points) => format!("{} points", points.len()),
        Value::Raw(_) => "…".to_owned(),
    }
}

/// What an entity is called in a sentence: its own name, or its kind and the entity it belongs to.
#[must_use]
pub fn label_of(model: &Model<'_>, id: EntityId) -> String {
    let Some(entity) = model.entity(id) else { return String::new() };
    if entity.parent.is_none() && !id.is_row() {
        return model.design().given_name().unwrap_or("the rocket").to_owned();
    }
    // What was measured is the part itself.
    if entity.entity_type.name == "in_hand"
        && let Some(part) = entity.parent
    {
        return label_of(model, part);
    }
    let own = has_own_name(model, id);
    if id.is_row() || (own && (entity.entity_type.name == "section" || entity.entity_type.name == "joint")) {
        return entity.name.to_string();
    }
    let holder = entity.parent.filter(|p| model.entity(*p).is_some_and(|e| e.parent.is_some()));
    let words = if own {
        let kind = entity.entity_type.name.replace('_', " ");
        // A parachute that is named `parachute` is the parachute.
        if kind == *entity.name { format!("the {kind}") } else { format!("{kind} `{}`", entity.name) }
    } else {
        // `held_by` and `attach` read well as keys, and badly as entities.
        let words = if matches!(entity.entity_type.name, "fastening" | "attachment") {
            entity.entity_type.name.to_owned()
        } else {
            entity.name.replace('_', " ")
        };
        format!("the {words}")
    };
    match holder {
        Some(holder)
            if model.entity(holder).is_some_and(|e| !matches!(e.entity_type.name, "recovery" | "wiring")) =>
        {
            format!("{words} of {}", label_of(model, holder))
        }
        _ => words,
    }
}

/// Whether an entity has a name that its author gave it, and not only the key that it stands under.
pub(super) fn has_own_name(model: &Model<'_>, id: EntityId) -> bool {
    let Some(entity) = model.entity(id) else { return false };
    let field =
        entity.parent.and_then(|p| model.entity(p)).and_then(|p| p.entity_type.field(entity.parent_slot));
    field.is_none_or(|field| field.name != &*entity.name)
}

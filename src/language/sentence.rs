//! Sentences of the checklist: values in braces, and optional pieces in brackets that vanish where a value is not written.

use super::evaluate::evaluator;
use super::template::{Filled, braced, has_own_name};
use super::{Checked, LanguageError, Scope, evaluate, label_of};
use crate::model::{Model, Type};
use crate::vocabulary::{EntityId, Value};

/// A sentence with its expressions checked.
///
/// `{…}` holds an expression, `{{` and `}}` are braces. `[…]` is an optional piece: it is left out where a value in it is
/// not written. `[…|…]` has alternatives: the first of which all values are written is taken. A bracket itself is a
/// value: `{"["}`. `{…, and}` joins the members of a collection with `and` before the last one.
#[derive(Clone, Debug, Default)]
pub struct Sentence {
    pieces: Vec<Piece>,
}

#[derive(Clone, Debug)]
enum Piece {
    Words(String),
    Value(Inserted),
    /// Alternatives, the first that can be filled is taken; none where none can.
    Optional(Vec<Vec<Piece>>),
}

/// A value in a sentence.
#[derive(Clone, Debug)]
struct Inserted {
    filled: Filled,
    /// Whether the members of a collection are joined with `and` before the last one.
    with_and: bool,
}

/// How deep optional pieces may stand in one another.
const DEEPEST: usize = 8;

const BRACKET: &str = "a bracket itself is written `{\"[\"}` or `{\"]\"}`";

impl Sentence {
    /// Reads a sentence.
    ///
    /// # Errors
    /// With the place in the sentence where a bracket or an expression is wrong.
    pub fn read(text: &str, scope: &Scope<'_>) -> Result<Self, LanguageError> {
        let mut reader = Reader { text, scope, at: 0 };
        let pieces = reader.pieces(0)?;
        if reader.at < text.len() {
            let at = reader.at..reader.at + 1;
            return Err(LanguageError::new("this bracket closes nothing", at).help(BRACKET));
        }
        Ok(Self { pieces })
    }

    /// Its expressions, each with the byte of the sentence where it begins.
    #[must_use]
    pub fn expressions(&self) -> Vec<(usize, &Checked)> {
        let mut found = Vec::new();
        collect(&self.pieces, &mut found);
        found
    }

    /// The sentence for a subject. Parts are called by their own names, as on the labels of the rocket; of a collection,
    /// the members that are known are named. A value outside of brackets that is not known reads `(not given)`.
    #[must_use]
    pub fn fill(&self, model: &Model<'_>, subject: EntityId) -> String {
        let mut out = String::new();
        for piece in &self.pieces {
            match piece {
                Piece::Words(words) => out.push_str(words),
                Piece::Value(value) => {
                    out.push_str(&value.text(model, subject).unwrap_or_else(|| "(not given)".to_owned()));
                }
                Piece::Optional(alternatives) => out.push_str(&first_written(alternatives, model, subject)),
            }
        }
        out
    }
}

fn collect<'s>(pieces: &'s [Piece], found: &mut Vec<(usize, &'s Checked)>) {
    for piece in pieces {
        match piece {
            Piece::Words(_) => {}
            Piece::Value(value) => found.push((value.filled.start, &value.filled.expression)),
            Piece::Optional(alternatives) => alternatives.iter().for_each(|one| collect(one, found)),
        }
    }
}

/// The first alternative of which all values are written; nothing where there is none.
fn first_written(alternatives: &[Vec<Piece>], model: &Model<'_>, subject: EntityId) -> String {
    alternatives.iter().find_map(|pieces| written(pieces, model, subject)).unwrap_or_default()
}

/// Pieces filled; nothing where a value is not written.
fn written(pieces: &[Piece], model: &Model<'_>, subject: EntityId) -> Option<String> {
    let filled = pieces.iter().map(|piece| match piece {
        Piece::Words(words) => Some(words.clone()),
        Piece::Value(value) => value.text(model, subject),
        Piece::Optional(alternatives) => Some(first_written(alternatives, model, subject)),
    });
    filled.collect()
}

impl Inserted {
    /// The value in words; nothing where it is not written, or a collection has no member that is known.
    fn text(&self, model: &Model<'_>, subject: EntityId) -> Option<String> {
        let expression = &self.filled.expression;
        let text = if let Type::Entities(_) = expression.gives {
            let members = evaluator(model, None, subject).known_members(expression);
            let names: Vec<String> = members.into_iter().map(|id| name_of(model, id)).collect();
            match names.split_last() {
                Some((last, before)) if self.with_and && !before.is_empty() => {
                    format!("{} and {last}", before.join(", "))
                }
                _ => names.join(", "),
            }
        } else {
            match evaluate(expression, model, None, subject).value.ok()? {
                Value::Entity(id) => name_of(model, id),
                value => self.filled.text(model, &value),
            }
        };
        (!text.is_empty()).then_some(text)
    }
}

/// What an entity is called by those who stand beside it: its own name, where it has one.
fn name_of(model: &Model<'_>, id: EntityId) -> String {
    match model.entity(id) {
        Some(entity) if entity.parent.is_some() && has_own_name(model, id) => entity.name.to_string(),
        Some(entity) if id.is_row() => entity.name.to_string(),
        _ => label_of(model, id),
    }
}

struct Reader<'t, 's> {
    text: &'t str,
    scope: &'t Scope<'s>,
    at: usize,
}

impl Reader<'_, '_> {
    /// Pieces up to the end of the sentence or, in brackets, up to `|` or `]`.
    fn pieces(&mut self, depth: usize) -> Result<Vec<Piece>, LanguageError> {
        let mut pieces = Vec::new();
        let mut words = String::new();
        let end = |words: &mut String, pieces: &mut Vec<Piece>| {
            if !words.is_empty() {
                pieces.push(Piece::Words(std::mem::take(words)));
            }
        };
        while let Some(c) = self.text.get(self.at..).and_then(|t| t.chars().next()) {
            let next = self.text.get(self.at + c.len_utf8()..).and_then(|t| t.chars().next());
            match (c, next) {
                ('{', Some('{')) | ('}', Some('}')) => {
                    words.push(c);
                    self.at += 2;
                }
                ('{', _) => {
                    end(&mut words, &mut pieces);
                    pieces.push(Piece::Value(self.value()?));
                }
                ('}', _) => {
                    return Err(LanguageError::new("this brace closes nothing", self.at..self.at + 1));
                }
                ('[', _) => {
                    end(&mut words, &mut pieces);
                    pieces.push(self.optional(depth + 1)?);
                }
                (']', _) => break,
                ('|', _) if depth > 0 => break,
                _ => {
                    words.push(c);
                    self.at += c.len_utf8();
                }
            }
        }
        end(&mut words, &mut pieces);
        Ok(pieces)
    }

    fn value(&mut self) -> Result<Inserted, LanguageError> {
        let mut inside = braced(self.text, self.at)?;
        self.at = inside.end + 1;
        let expression = self.text.get(inside.clone()).unwrap_or("");
        let before = expression.trim_end().strip_suffix("and").map(str::trim_end);
        let before = before.and_then(|before| before.strip_suffix(','));
        if let Some(before) = before {
            inside.end = inside.start + before.len();
        }
        let with_and = before.is_some();
        let filled = Filled::read(self.text, inside.clone(), self.scope)?;
        let gives = filled.expression.gives;
        if with_and && !matches!(gives, Type::Entities(_)) {
            let message = format!("`, and` joins the members of a collection, and this is {gives}");
            return Err(LanguageError::new(message, inside));
        }
        Ok(Inserted { filled, with_and })
    }

    fn optional(&mut self, depth: usize) -> Result<Piece, LanguageError> {
        let opening = self.at..self.at + 1;
        if depth > DEEPEST {
            return Err(LanguageError::new("optional pieces stand too deep in one another", opening));
        }
        let mut alternatives = Vec::new();
        loop {
            self.at += 1;
            alternatives.push(self.pieces(depth)?);
            match self.text.as_bytes().get(self.at) {
                Some(b'|') => {}
                Some(_) => break,
                None => {
                    return Err(LanguageError::new("this bracket is never closed", opening).help(BRACKET));
                }
            }
        }
        self.at += 1;
        // The last of several is what stands where the others cannot.
        let may_vanish = alternatives.len().saturating_sub(1).max(1);
        let certain = |pieces: &&Vec<Piece>| !pieces.iter().any(|piece| matches!(piece, Piece::Value(_)));
        if alternatives.iter().take(may_vanish).any(|pieces| certain(&pieces)) {
            let message = "no value stands in these brackets, so nothing in them can be missing";
            return Err(LanguageError::new(message, opening.start..self.at).help(BRACKET));
        }
        Ok(Piece::Optional(alternatives))
    }
}

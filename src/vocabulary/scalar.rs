//! What a scalar says in a field, by itself.

use std::sync::Arc;

use super::rows::Rows;
use super::suggest::{listed, suggest};
use super::value::{Date, Value};
use super::{Position, Shape, Sign};
use crate::quantity::{Dimension, Measure, Quantity, ReadError, Tolerance};

/// A word in small letters, without what people leave out or put in between.
fn plain(word: &str) -> String {
    word.chars().filter(|c| !matches!(c, ' ' | '-' | '_')).flat_map(char::to_lowercase).collect()
}

/// The word of the list that differs in capitals, blanks and hyphens only.
fn spelled_alike<'w>(word: &str, words: &'w [&'static str]) -> Option<&'w &'static str> {
    let word = plain(word);
    words.iter().find(|one| plain(one) == word)
}

/// `did you mean`, or the whole list when it is short.
fn words_help(word: &str, words: &[&str]) -> String {
    // `eyebolt`, where there are three sorts of eye bolt.
    let said = plain(word);
    let sorts: Vec<&str> = words.iter().copied().filter(|one| plain(one).ends_with(&said)).collect();
    if said.len() > 2 && !sorts.is_empty() {
        return format!("say which sort: {}", listed(&sorts));
    }
    match suggest(word, words.iter().copied()) {
        Some(near) => format!("did you mean `{near}`? It is one of {}", listed(words)),
        None => format!("it is one of {}", listed(words)),
    }
}

/// What is wrong with a scalar as a whole.
fn misread(message: impl Into<String>, help: Option<String>) -> ReadError {
    ReadError { message: message.into(), range: 0..0, help }
}

/// A measure of a dimension, of a sign.
pub(super) fn read_measure(word: &str, dimension: Dimension, sign: Sign) -> Result<Measure, ReadError> {
    let measure = Measure::read(word, dimension)?;
    let (low, _) = measure.range();
    match sign {
        Sign::Positive if low <= 0.0 => {
            Err(misread(format!("`{word}` is not more than zero, and this must be"), None))
        }
        Sign::NotNegative if low < 0.0 => {
            Err(misread(format!("`{word}` is below zero, and this cannot be"), None))
        }
        _ => Ok(measure),
    }
}

/// What a scalar says in a field, by itself: the value, and the tolerance beside it.
///
/// # Errors
/// When it cannot be read as what is due there; the range is that of the bytes that are wrong, or empty for the whole.
pub(crate) fn read_scalar(
    shape: &Shape,
    word: &str,
    rows: Option<&dyn Rows>,
) -> Result<(Value, Option<Tolerance>), ReadError> {
    match shape {
        Shape::Measure(dimension, sign) => {
            let measure = read_measure(word, *dimension, *sign)?;
            Ok((Value::Quantity(measure.nominal), measure.tolerance))
        }
        Shape::Number(sign) => {
            let measure = read_measure(word, Dimension::NUMBER, *sign)?;
            Ok((Value::Quantity(measure.nominal), measure.tolerance))
        }
        Shape::Count(least) => match word.parse::<u32>() {
            Ok(count) if count >= *least && count <= 1_000_000 => {
                Ok((Value::Quantity(Quantity::number(f64::from(count))), None))
            }
            Ok(_) => Err(misread(format!("expected a whole number of at least {least}"), None)),
            Err(_) => {
                let counted = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight"];
                let number = counted.iter().position(|w| *w == word.to_lowercase());
                let help = number.map(|n| format!("write `{n}`"));
                Err(misread(format!("expected a whole number, not `{word}`"), help))
            }
        },
        Shape::Truth => match word {
            "true" => Ok((Value::Truth(true), None)),
            "false" => Ok((Value::Truth(false), None)),
            "yes" | "Yes" | "on" => {
                Err(misread("expected `true` or `false`", Some("write `true`".to_owned())))
            }
            "no" | "No" | "off" => {
                Err(misread("expected `true` or `false`", Some("write `false`".to_owned())))
            }
            other => Err(misread(format!("expected `true` or `false`, not `{other}`"), None)),
        },
        Shape::Date => word.parse::<Date>().map(|d| (Value::Date(d), None)).map_err(|_| {
            let help = "write it as year-month-day: `2026-05-02`".to_owned();
            misread(format!("`{word}` is not a date"), Some(help))
        }),
        Shape::Word(words) => match words.iter().find(|w| **w == word).or_else(|| spelled_alike(word, words))
        {
            Some(word) => Ok((Value::Word(word), None)),
            None => Err(misread(format!("`{word}` is not a word known here"), Some(words_help(word, words)))),
        },
        Shape::Position => Position::read(word).map(|position| {
            let tolerance = position.tolerance;
            (Value::Position(Arc::new(position)), tolerance)
        }),
        Shape::Row(table) => match rows.and_then(|r| r.find(table, word)) {
            Some(row) => Ok((Value::Entity(row), None)),
            None => {
                let names = rows.map(|r| r.names(table)).unwrap_or_default();
                let names: Vec<&str> = names.iter().map(String::as_str).collect();
                let help = match suggest(word, names.iter().copied()) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => {
                        format!("the table has {}", listed(names.get(..names.len().min(20)).unwrap_or(&[])))
                    }
                };
                let message = format!("`{word}` is not {} in the tables", table.with_article());
                Err(misread(message, Some(help)))
            }
        },
        _ => Ok((Value::Text(Arc::from(word)), None)),
    }
}

/// What may stand in a field, in words.
pub(crate) fn due(shape: &Shape) -> String {
    match shape {
        Shape::Measure(dimension, _) => dimension.in_words(),
        Shape::Number(_) => "a number".to_owned(),
        Shape::Count(_) => "a whole number".to_owned(),
        Shape::Truth => "`true` or `false`".to_owned(),
        Shape::Date => "a date".to_owned(),
        Shape::Word(words) => format!("one of {}", listed(words)),
        Shape::Position => "a place like `2.25 in from aft`".to_owned(),
        Shape::Row(table) => format!("the name of {}", table.with_article()),
        _ => "a text".to_owned(),
    }
}

//! Words, numbers with their units, signs.

use std::ops::Range;

use super::LanguageError;
use crate::quantity::{Form, Quantity, Style, nearest_unit, unit};
use crate::vocabulary::Date;

/// A piece of an expression.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Token<'t> {
    Word(&'t str),
    Quantity(Quantity),
    Date(Date),
    Text(&'t str),
    Pattern(&'t str),
    Sign(&'static str),
}

/// A token with its place.
pub(super) type Placed<'t> = (Token<'t>, Range<usize>);

/// Words of the language: none of them names an entity or a unit after a number.
pub(super) const KEYWORDS: &[&str] = &[
    "and", "or", "not", "if", "then", "else", "is", "has", "of", "over", "where", "matches", "every", "some",
    "no", "sum", "least", "greatest", "mean", "middle", "count", "all", "given", "one", "the", "same", "as",
    "true", "false", "with",
];

const SIGNS: &[&str] = &["<=", ">=", "!=", "<", ">", "=", "+", "-", "*", "/", "^", "(", ")", ",", "."];

/// What other languages write, and what it is here.
const MISTAKEN: &[(&str, &str)] =
    &[("==", "="), ("=>", ">="), ("=<", "<="), ("<>", "!="), ("&&", "and"), ("||", "or"), ("**", "^")];

/// An expression longer than this belongs into derived quantities.
const LONGEST: usize = 2000;

pub(super) fn tokens(text: &str) -> Result<Vec<Placed<'_>>, LanguageError> {
    if text.len() > LONGEST {
        return Err(LanguageError::new("the expression is too long", 0..text.len())
            .help("give parts of it names under `derived`"));
    }
    // Four bytes are a short word: most expressions fit without growing.
    let mut found: Vec<Placed<'_>> = Vec::with_capacity(text.len() / 4 + 1);
    let mut at = 0;
    while let Some(c) = text.get(at..).and_then(|t| t.chars().next()) {
        let rest = text.get(at..).unwrap_or("");
        if c.is_whitespace() {
            at += c.len_utf8();
        } else if c.is_ascii_digit() || (c == '.' && rest.chars().nth(1).is_some_and(|d| d.is_ascii_digit()))
        {
            if let Some(written) = date_like(rest) {
                let date = written.parse().map_err(|_| {
                    LanguageError::new(format!("`{written}` is not a day"), at..at + written.len())
                        .help("a day is written as 2026-05-01")
                })?;
                found.push((Token::Date(date), at..at + written.len()));
                at += written.len();
                continue;
            }
            let (quantity, length) = number(rest, at)?;
            found.push((Token::Quantity(quantity), at..at + length));
            at += length;
        } else if c.is_alphabetic() || c == '_' {
            let length = rest.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(rest.len());
            found.push((Token::Word(rest.get(..length).unwrap_or("")), at..at + length));
            at += length;
        } else if c == '"' {
            let Some(end) = rest.get(1..).and_then(|t| t.find('"')) else {
                return Err(LanguageError::new("this quote is never closed", at..at + 1)
                    .help("end it with `\"`; where ` #` is part of it, put the whole expression in quotes"));
            };
            found.push((Token::Text(rest.get(1..=end).unwrap_or("")), at..at + end + 2));
            at += end + 2;
        } else if c == '/' && matches!(found.last(), Some((Token::Word(word), _)) if *word == "matches") {
            let Some(end) = rest.get(1..).and_then(|t| t.find('/')) else {
                return Err(LanguageError::new("this pattern is never closed", at..at + 1)
                    .help("end it with `/`; where ` #` is part of it, put the whole expression in quotes"));
            };
            found.push((Token::Pattern(rest.get(1..=end).unwrap_or("")), at..at + end + 2));
            at += end + 2;
        } else if let Some((sign, meant)) = MISTAKEN.iter().find(|(sign, _)| rest.starts_with(sign)) {
            return Err(LanguageError::new(format!("`{sign}` means nothing here"), at..at + sign.len())
                .help(format!("write `{meant}`")));
        } else if let Some(sign) = SIGNS.iter().find(|s| rest.starts_with(**s)) {
            found.push((Token::Sign(sign), at..at + sign.len()));
            at += sign.len();
        } else {
            let help = match c {
                '–' | '—' | '−' => Some("write the minus of the keyboard, `-`"),
                '×' | '·' => Some("write `*`"),
                '÷' => Some("write `/`"),
                '“' | '”' | '„' => Some("texts stand in straight double quotes, `\"`"),
                '&' => Some("write `and`"),
                '|' => Some("write `or`"),
                '!' => Some("write `not`"),
                '≥' => Some("write `>=`"),
                '≤' => Some("write `<=`"),
                '\'' => Some("texts stand in double quotes"),
                _ => None,
            };
            return Err(LanguageError::new(format!("`{c}` means nothing here"), at..at + c.len_utf8())
                .maybe_help(help.map(str::to_owned)));
        }
    }
    Ok(found)
}

/// Four digits, two and two, with hyphens between: a day of the calendar.
fn date_like(text: &str) -> Option<&str> {
    let written = text.get(..10)?;
    let shape = written.bytes().enumerate().all(|(at, byte)| match at {
        4 | 7 => byte == b'-',
        _ => byte.is_ascii_digit(),
    });
    let ends = text.get(10..)?.chars().next().is_none_or(|next| !next.is_alphanumeric());
    (shape && ends).then_some(written)
}

/// Why expressions could not name something by this name; none where they can.
#[must_use]
pub fn unfit_identifier(name: &str) -> Option<String> {
    let starts = name.starts_with(|c: char| c.is_alphabetic() || c == '_');
    let fits = name.chars().all(|c| c.is_alphanumeric() || c == '_');
    if !starts || !fits {
        return Some(format!(
            "rules cannot name `{name}`: a name is of letters, digits and `_`, a letter first"
        ));
    }
    KEYWORDS.contains(&name).then(|| format!("rules cannot name `{name}`: it is a word of their language"))
}

/// Whether a word is the name of a month, or its first letters.
fn is_month(word: &str) -> bool {
    const MONTHS: [&str; 12] = [
        "january",
        "february",
        "march",
        "april",
        "may",
        "june",
        "july",
        "august",
        "september",
        "october",
        "november",
        "december",
    ];
    word.len() >= 3 && MONTHS.iter().any(|month| month.starts_with(&word.to_lowercase()))
}

fn digits(text: &str) -> usize {
    text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len())
}

fn whole(text: &str) -> Option<(f64, usize)> {
    let length = digits(text);
    text.get(..length)?.parse().ok().map(|n| (n, length))
}

/// `3/4` written without spaces.
fn fraction(text: &str) -> Option<(f64, usize)> {
    let (over, length) = whole(text)?;
    let rest = text.get(length..)?.strip_prefix('/')?;
    let (under, more) = whole(rest)?;
    (under > 0.0).then_some((over / under, length + 1 + more))
}

/// A number and the unit that follows it, if one does.
fn number(text: &str, offset: usize) -> Result<(Quantity, usize), LanguageError> {
    let mut form = Form::Decimal;
    let (value, mut length) = if let Some((part, length)) = fraction(text) {
        form = Form::Fraction;
        (part, length)
    } else if let Some((count, (part, length))) = whole(text).and_then(|(n, l)| {
        let gap = text.get(l..)?.strip_prefix(' ')?;
        fraction(gap).map(|(f, more)| (n, (f, l + 1 + more)))
    }) {
        form = Form::Fraction;
        (count + part, length)
    } else {
        let mut length = digits(text);
        if text.get(length..).is_some_and(|t| t.starts_with('.'))
            && digits(text.get(length + 1..).unwrap_or("")) > 0
        {
            length += 1 + digits(text.get(length + 1..).unwrap_or(""));
        }
        if let Some(rest) = text.get(length..).and_then(|t| t.strip_prefix(['e', 'E'])) {
            let sign = usize::from(rest.starts_with(['+', '-']));
            let exponent = digits(rest.get(sign..).unwrap_or(""));
            if exponent > 0 {
                length += 1 + sign + exponent;
            }
        }
        let value = text.get(..length).and_then(|t| t.parse::<f64>().ok()).filter(|v| v.is_finite());
        (
            value
                .ok_or_else(|| LanguageError::new("this is not a number", offset..offset + length.max(1)))?,
            length,
        )
    };
    let rest = text.get(length..).unwrap_or("");
    let gap = rest.len() - rest.trim_start().len();
    let after = rest.trim_start();
    let in_unit = |c: char| {
        c.is_alphanumeric() || matches!(c, '°' | '%' | 'µ' | '²' | '³' | '^' | '/' | '*' | '·' | '-')
    };
    let starts = after.starts_with(|c: char| c.is_alphabetic() || matches!(c, '°' | '%' | 'µ'));
    let end = after.find(|c: char| !in_unit(c)).unwrap_or(after.len());
    let mut candidate = if starts { after.get(..end).unwrap_or("") } else { "" };
    let first_word = candidate.split(|c: char| !c.is_alphanumeric()).next().unwrap_or("");
    if KEYWORDS.contains(&first_word) {
        candidate = "";
    }
    while !candidate.is_empty() {
        if let Some(found) = unit(candidate) {
            length += gap + candidate.len();
            let si = value * found.factor + found.offset;
            if !si.is_finite() {
                let message = "no rocket has a value this large";
                return Err(LanguageError::new(message, offset..offset + length));
            }
            let style = Style { unit: found.id, form, system: found.system, far: false };
            return Ok((Quantity::new(si, found.dimension).with_style(style), length));
        }
        let cut = candidate.rfind(['/', '*', '·', '-', '^']).unwrap_or(0);
        candidate = candidate.get(..cut).unwrap_or("");
    }
    if !first_word.is_empty() && !KEYWORDS.contains(&first_word) {
        let at = offset + length + gap;
        return Err(LanguageError::new(
            format!("`{first_word}` is not a unit known here"),
            at..at + first_word.len(),
        )
        .maybe_help(if is_month(first_word) {
            Some(
                "a day is written as `2026-06-15`; of a day of every year ask `month_of(today)` and `day_of(today)`"
                    .to_owned(),
            )
        } else {
            nearest_unit(first_word).map(|near| format!("did you mean `{near}`?"))
        }));
    }
    Ok((Quantity::number(value).with_style(Style { form: Form::Decimal, ..Style::default() }), length))
}

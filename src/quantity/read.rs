//! Reading measures as builders write them.
//!
//! ```text
//! measure   := value [tolerance]
//! value     := part part*            2 lb 3 oz; all parts of one dimension
//! part      := number unit           4.02 in, 98mm, 11/64", 1 1/2 in, 1-1/2 in, 1,500 ft
//! tolerance := ± amount | +amount/-amount, before or after the unit; an amount may be a percentage
//! ```

use std::fmt;
use std::ops::Range;

use super::unit_words::{pounds_force, unit_word};
use super::units::{UnitExpression, nearest_unit, unit, units_of};
use super::{Dimension, Form, Measure, Quantity, Style, System, Tolerance};

/// Why a text is not a measure, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadError {
    /// What is wrong.
    pub message: String,
    /// The bytes of the text it is about.
    pub range: Range<usize>,
    /// What to write instead.
    pub help: Option<String>,
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for ReadError {}

/// Nothing on a rocket measures more than this in SI base units; larger is a slip of the pen.
const LARGEST: f64 = 1e15;
/// Nothing but zero measures less; smaller is a slip of the pen too, and what is divided by it would have no end.
const SMALLEST: f64 = 1e-30;

impl Quantity {
    /// Reads a quantity of any dimension, without a tolerance.
    ///
    /// # Errors
    /// When the text is not a number with a known unit.
    pub fn read(text: &str) -> Result<Self, ReadError> {
        let measure = read(text, None)?;
        if measure.tolerance.is_some() {
            return Err(fault("a tolerance has no place here", 0..text.len(), None));
        }
        Ok(measure.nominal)
    }
}

impl Measure {
    /// Reads a measure of the dimension that is due.
    ///
    /// # Errors
    /// When the text is not a number, has no unit where one is due, an unknown unit, or one of another dimension.
    pub fn read(text: &str, expected: Dimension) -> Result<Self, ReadError> {
        // A drawing puts the sign of a diameter before it.
        let without = text.trim_start().trim_start_matches(['Ø', 'ø', '⌀']);
        let text = if expected == Dimension::LENGTH { without } else { text };
        let measure = read(text, Some(expected))?;
        let found = measure.nominal.dimension;
        if found == expected {
            return Ok(measure);
        }
        if (found, expected) == (Dimension::MASS, Dimension::FORCE)
            && let Some(force) = pounds_force(&measure)
        {
            return Ok(force);
        }
        let help = match (found, expected) {
            (Dimension::MASS, Dimension::FORCE) => Some("a force is written in `lbf` or `N`".to_owned()),
            (Dimension::FORCE, Dimension::MASS) => Some("a mass is written in `lb`, `oz` or `g`".to_owned()),
            (Dimension::TEMPERATURE, Dimension::TEMPERATURE_DIFFERENCE) => {
                Some("a difference of temperature is written in `deltaF` or `deltaC`".to_owned())
            }
            _ => units_help(expected),
        };
        let message = format!("expected {}, found `{text}`, {}", expected.in_words(), found.in_words());
        Err(fault(&message, 0..text.len(), help))
    }

    /// The smallest and largest value within the tolerance, in SI.
    #[must_use]
    pub fn range(&self) -> (f64, f64) {
        let tolerance = self.tolerance.unwrap_or(Tolerance { minus: 0.0, plus: 0.0 });
        (self.nominal.si - tolerance.minus, self.nominal.si + tolerance.plus)
    }
}

fn fault(message: &str, range: Range<usize>, help: Option<String>) -> ReadError {
    ReadError { message: message.to_owned(), range, help }
}

fn units_help(expected: Dimension) -> Option<String> {
    let names: Vec<String> = units_of(expected).into_iter().take(4).map(|n| format!("`{n}`")).collect();
    (!names.is_empty()).then(|| format!("{} is written in {}", expected.in_words(), names.join(", ")))
}

struct Part {
    value: f64,
    fraction: bool,
    unit: Option<UnitExpression>,
    range: Range<usize>,
}

struct Reader<'t> {
    text: &'t str,
    at: usize,
}

fn read(text: &str, expected: Option<Dimension>) -> Result<Measure, ReadError> {
    let mut reader = Reader { text, at: 0 };
    let whole = 0..text.len();
    reader.space();
    if reader.rest().is_empty() {
        return Err(fault("there is no value", whole, expected.and_then(units_help)));
    }
    let mut parts = Vec::new();
    let mut tolerance = None;
    while !reader.rest().is_empty() {
        let start = reader.at;
        let (value, fraction) = reader.number()?;
        reader.space();
        let before_unit = reader.tolerance()?;
        reader.space();
        let unit = reader.unit()?;
        parts.push(Part { value, fraction, unit, range: start..reader.at });
        reader.space();
        let after_unit = reader.tolerance()?;
        reader.space();
        if let Some(found) = before_unit.or(after_unit) {
            tolerance = Some(found);
            let again = if after_unit.is_some() { reader.unit()? } else { None };
            reader.space();
            if again.is_some() && again.map(|u| u.dimension) != unit.map(|u| u.dimension) {
                return Err(fault("the tolerance is not in the unit of the value", whole, None));
            }
            if let (Some(outer), Some(inner), Some((minus, plus, percent))) = (unit, again, tolerance) {
                let by = inner.factor / outer.factor;
                tolerance = Some((minus * by, plus * by, percent));
            }
            if !reader.rest().is_empty() {
                return Err(fault("something follows the tolerance", reader.at..text.len(), None));
            }
        }
    }
    let nominal = combine(text, &parts, expected)?;
    let tolerance = tolerance.map(|(minus, plus, percent)| {
        let by = if percent {
            nominal.si.abs() / 100.0
        } else {
            parts.last().and_then(|p| p.unit).map_or(1.0, |u| u.factor)
        };
        Tolerance { minus: minus * by, plus: plus * by }
    });
    let too_large = |size: f64| !size.is_finite() || size > LARGEST;
    if tolerance.is_some_and(|t| too_large(t.minus) || too_large(t.plus)) {
        return Err(fault("no rocket has a tolerance this large", whole, None));
    }
    Ok(Measure { nominal, tolerance })
}

fn combine(text: &str, parts: &[Part], expected: Option<Dimension>) -> Result<Quantity, ReadError> {
    let whole = 0..text.len();
    let Some(first) = parts.first() else { return Err(fault("there is no number", whole, None)) };
    let Some(unit) = first.unit else {
        return match expected {
            None | Some(Dimension::NUMBER) if parts.len() == 1 => {
                checked(first.value, Dimension::NUMBER, Style::default(), whole)
            }
            _ => {
                let expected = expected.unwrap_or(Dimension::NUMBER);
                let examples: Vec<String> = units_of(expected)
                    .into_iter()
                    .take(3)
                    .map(|n| format!("`{} {n}`", text.trim()))
                    .collect();
                let help = (!examples.is_empty()).then(|| format!("write {}", examples.join(" or ")));
                Err(fault(&format!("`{text}` has no unit; expected {}", expected.in_words()), whole, help))
            }
        };
    };
    let negative = first.value.is_sign_negative();
    let mut si = first.value * unit.factor + unit.offset;
    for part in parts.iter().skip(1) {
        let Some(next) = part.unit else {
            return Err(fault("this number has no unit", part.range.clone(), units_help(unit.dimension)));
        };
        if next.dimension != unit.dimension || next.offset != 0.0 {
            let message =
                format!("{} cannot be joined to {}", next.dimension.in_words(), unit.dimension.in_words());
            return Err(fault(&message, part.range.clone(), None));
        }
        if part.value < 0.0 || next.factor >= unit.factor {
            return Err(fault("the parts go from the larger unit to the smaller", part.range.clone(), None));
        }
        si += part.value * next.factor * if negative { -1.0 } else { 1.0 };
    }
    let form = if parts.len() > 1 {
        Form::Compound
    } else if first.fraction {
        Form::Fraction
    } else {
        Form::Decimal
    };
    checked(si, unit.dimension, Style { unit: unit.id, form, system: unit.system, far: false }, whole)
}

fn checked(si: f64, dimension: Dimension, style: Style, range: Range<usize>) -> Result<Quantity, ReadError> {
    // `-459.67 degF` is absolute zero, and comes out of the four operations some 1e-13 K off it.
    let is_zero = dimension == Dimension::TEMPERATURE && si.abs() < 1e-9;
    let si = if is_zero { 0.0 } else { si };
    if !si.is_finite() || si.abs() > LARGEST {
        return Err(fault("no rocket has a value this large", range, None));
    }
    if si != 0.0 && si.abs() < SMALLEST {
        return Err(fault("no rocket has a value this small that is not zero", range, None));
    }
    if dimension == Dimension::TEMPERATURE && si < 0.0 {
        return Err(fault("this is below absolute zero", range, None));
    }
    let style =
        if style.system == System::Unknown { Style { system: System::Unknown, ..style } } else { style };
    Ok(Quantity { si, dimension, style })
}

impl<'t> Reader<'t> {
    fn rest(&self) -> &'t str {
        self.text.get(self.at..).unwrap_or("")
    }

    fn space(&mut self) {
        let rest = self.rest();
        self.at += rest.len() - rest.trim_start().len();
    }

    fn take(&mut self, text: &str) -> bool {
        let found = self.rest().starts_with(text);
        if found {
            self.at += text.len();
        }
        found
    }

    fn sign(&mut self) -> f64 {
        if self.take("-") || self.take("−") {
            -1.0
        } else {
            self.take("+");
            1.0
        }
    }

    /// A number: decimal, with thousands commas, a fraction, or a whole number and a fraction.
    fn number(&mut self) -> Result<(f64, bool), ReadError> {
        let start = self.at;
        let sign = self.sign();
        let (whole, plain) = self.decimal(start)?;
        if !plain {
            return Ok((sign * whole, false));
        }
        if self.take("/") {
            return Ok((sign * self.under(whole, start)?, true));
        }
        // `1 1/2 in` and `1-1/2 in`: a whole number followed by a fraction.
        let mark = self.at;
        self.space();
        if self.at == mark {
            self.take("-");
        }
        if self.at > mark && self.rest().starts_with(|c: char| c.is_ascii_digit()) {
            let (over, plain) = self.decimal(start)?;
            if plain && self.take("/") {
                let part = self.under(over, start)?;
                if part < 1.0 {
                    return Ok((sign * (whole + part), true));
                }
                return Err(fault(
                    "the fraction after a whole number is less than one",
                    start..self.at,
                    None,
                ));
            }
        }
        self.at = mark;
        Ok((sign * whole, false))
    }

    fn under(&mut self, over: f64, start: usize) -> Result<f64, ReadError> {
        let (under, plain) = self.decimal(start)?;
        if !plain || under == 0.0 {
            return Err(fault("this fraction has no value", start..self.at, None));
        }
        Ok(over / under)
    }

    /// An unsigned decimal, and whether it is only digits.
    fn decimal(&mut self, start: usize) -> Result<(f64, bool), ReadError> {
        let rest = self.rest();
        let bytes = rest.as_bytes();
        let digit = |i: usize| bytes.get(i).is_some_and(u8::is_ascii_digit);
        let mut end = 0;
        let mut text = String::new();
        while digit(end) {
            end += 1;
        }
        text.push_str(rest.get(..end).unwrap_or(""));
        if bytes.get(end) == Some(&b',') && end > 0 {
            while bytes.get(end) == Some(&b',') {
                let group = digit(end + 1) && digit(end + 2) && digit(end + 3) && !digit(end + 4);
                if !group || text.len() > 12 || text.starts_with('0') {
                    let digits = rest.get(end + 1..).unwrap_or("");
                    let after = digits.len() - digits.trim_start_matches(|c: char| c.is_ascii_digit()).len();
                    let point = format!("{text}.{}", digits.get(..after).unwrap_or(""));
                    let help = format!(
                        "write `{point}`: a decimal point is written `.`, and a comma only parts thousands, as in `1,500 ft`"
                    );
                    return Err(fault("this comma parts no thousands", start..start + end + 1, Some(help)));
                }
                text.push_str(rest.get(end + 1..end + 4).unwrap_or(""));
                end += 4;
            }
        }
        let mut plain = true;
        if bytes.get(end) == Some(&b'.') && (digit(end + 1) || end > 0) {
            plain = false;
            text.push('.');
            end += 1;
            while digit(end) {
                text.push(char::from(bytes.get(end).copied().unwrap_or(b'0')));
                end += 1;
            }
        }
        if text.is_empty() {
            return Err(fault(
                &format!("`{}` is not a number with a unit", self.text),
                0..self.text.len(),
                None,
            ));
        }
        if matches!(bytes.get(end), Some(b'e' | b'E')) {
            let signed = matches!(bytes.get(end + 1), Some(b'+' | b'-'));
            let first = end + 1 + usize::from(signed);
            if digit(first) {
                let mut stop = first;
                while digit(stop) {
                    stop += 1;
                }
                text.push_str(rest.get(end..stop).unwrap_or(""));
                end = stop;
                plain = false;
            }
        }
        self.at += end;
        let value = text.parse::<f64>().map_err(|_| fault("this is not a number", start..self.at, None))?;
        if value.is_infinite() {
            return Err(fault("no rocket has a value this large", start..self.at, None));
        }
        Ok((value, plain))
    }

    /// `± a`, `+/- a`, `+a/-b`, with an optional `%`: how far below, how far above, and whether in percent.
    fn tolerance(&mut self) -> Result<Option<(f64, f64, bool)>, ReadError> {
        let start = self.at;
        if self.take("±") || self.take("+/-") || self.take("+-") {
            self.space();
            let (amount, _) = self.number()?;
            self.space();
            let percent = self.take("%");
            if amount < 0.0 {
                return Err(fault("a tolerance is not negative", start..self.at, None));
            }
            return Ok(Some((amount, amount, percent)));
        }
        if self.rest().starts_with('+') {
            self.take("+");
            let (plus, _) = self.decimal(start)?;
            self.space();
            if !(self.take("/-") || self.take("/ -") || self.take("/−") || self.take("-") || self.take("−"))
            {
                let help = "write both sides: `3.9 in +0.02/-0.00`".to_owned();
                return Err(fault("this tolerance has no lower side", start..self.at, Some(help)));
            }
            let (minus, _) = self.decimal(start)?;
            return Ok(Some((minus, plus, false)));
        }
        Ok(None)
    }

    /// The unit at this place, or none where a number, a tolerance or the end stands.
    fn unit(&mut self) -> Result<Option<UnitExpression>, ReadError> {
        let start = self.at;
        let rest = self.rest();
        if rest.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '−' | '±'))
            || rest.is_empty()
        {
            return Ok(None);
        }
        let (word, end) = unit_word(rest);
        // `4 in.` is an abbreviation at the end of a sentence.
        let Some(found) = unit(&word).or_else(|| unit(word.strip_suffix('.')?)) else {
            let help = nearest_unit(&word).map(|near| format!("did you mean `{near}`?"));
            return Err(fault(&format!("`{word}` is not a unit known here"), start..start + end, help));
        };
        self.at += end;
        Ok(Some(found))
    }
}

#[cfg(test)]
#[path = "read_tests.rs"]
mod tests;

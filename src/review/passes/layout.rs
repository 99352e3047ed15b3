//! How the values of passed hold points are laid out in a record: for people first, each once, whichever hold points read it.
//!
//! ```text
//! sections.av_bay.vents.statics:
//!   13 count = 4
//!   13 diameter = 9/64 in ~1c0f6a02
//!   3 clock
//! every:
//!   13 vent = sections.av_bay.vents.statics, sections.booster.vents.relief
//! ```
//!
//! The figures in front say which of the record's passes read the value, 1 for the first. Behind ` = ` stands the value as it was
//! written, and behind ` ~` the beginning of the SHA-256 of what it counts as, where that is not the same text. A name alone is a value
//! that was not written down.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::values::{CountsAs, EVERY, NOTHING, PassedValue, shortened};
use crate::yaml::clean_line;

/// The header of what is written in the design itself.
const ROOT: &str = "the rocket";
/// The header of the lists of entities.
const LISTS: &str = "every";
/// The figures that stand for passes: there are fewer hold points than figures.
const RADIX: u32 = 36;
/// What stands before a digest.
const DIGEST: &str = " ~";

/// The values of all passes as lines, a header for each entity.
pub(super) fn written(passes: &[&[PassedValue]]) -> String {
    let mut all: BTreeMap<(&str, &str, String), String> = BTreeMap::new();
    for (number, values) in (1..RADIX).zip(passes) {
        for value in *values {
            let (header, name) = split(&value.key);
            all.entry((header, name, as_text(value))).or_default().extend(char::from_digit(number, RADIX));
        }
    }
    let mut out = String::new();
    let mut under = None;
    for ((header, name, text), numbers) in all {
        if under != Some(header) {
            under = Some(header);
            let _ = writeln!(out, "{}:", shown_path(header));
        }
        let _ = writeln!(out, "  {numbers} {name}{text}");
    }
    out
}

/// The entity and the name of a key.
fn split(key: &str) -> (&str, &str) {
    match (key.strip_prefix(EVERY), key.rsplit_once('.')) {
        (Some(entity_type), _) => (LISTS, entity_type),
        (None, Some((path, name))) => (path, name),
        (None, None) => (ROOT, key),
    }
}

/// A path as a header: as it is, or as a JSON string where its names hold characters that a line cannot.
fn shown_path(path: &str) -> String {
    let plain = clean_line(path) == path && path.trim() == path && !path.starts_with('"');
    if plain { path.to_owned() } else { serde_json::Value::from(path).to_string() }
}

/// A value behind its name.
fn as_text(value: &PassedValue) -> String {
    let is_list = value.key.starts_with(EVERY);
    match &value.counts_as {
        CountsAs::Whole(all) if is_list && all.is_empty() => String::new(),
        // What came and what went is told by the whole list.
        CountsAs::Whole(all) if is_list && clean_line(all) == *all => format!(" = {all}"),
        CountsAs::Whole(all) if is_list => format!(" = {}", serde_json::Value::from(all.as_str())),
        CountsAs::Whole(all) if all == NOTHING && value.written.is_empty() => String::new(),
        CountsAs::Whole(all) if *all == value.written && !value.written.contains(DIGEST) => {
            format!(" = {}", value.written)
        }
        counts_as => format!(" = {}{DIGEST}{}", value.written, counts_as.digest()),
    }
}

/// Reads the values back, those of each pass by itself.
///
/// # Errors
/// In words, which line is none of the above.
pub(super) fn read(text: &str, passes: usize) -> Result<Vec<Vec<PassedValue>>, String> {
    let mut found: Vec<Vec<PassedValue>> = vec![Vec::new(); passes];
    let mut header: Option<String> = None;
    for line in text.lines() {
        let wrong = || format!("`{}` is no line of a record", clean_line(line));
        let Some(value) = line.strip_prefix("  ") else {
            let path = line.strip_suffix(':').ok_or_else(wrong)?;
            header = Some(match path.starts_with('"') {
                true => serde_json::from_str(path).map_err(|_| wrong())?,
                false => path.to_owned(),
            });
            continue;
        };
        let header = header.as_deref().ok_or_else(wrong)?;
        let (numbers, rest) = value.split_once(' ').ok_or_else(wrong)?;
        let value = one(header, rest);
        if numbers.is_empty() {
            return Err(wrong());
        }
        for number in numbers.chars() {
            let place = number.to_digit(RADIX).and_then(|number| (number as usize).checked_sub(1));
            let values = place.and_then(|place| found.get_mut(place)).ok_or_else(wrong)?;
            values.push(value.clone());
        }
    }
    for values in &mut found {
        values.sort_by(|a, b| a.key.cmp(&b.key));
    }
    Ok(found)
}

fn one(header: &str, line: &str) -> PassedValue {
    let (name, value) = match line.split_once(" = ") {
        Some((name, value)) => (name, Some(value)),
        None => (line, None),
    };
    let key = match header {
        LISTS => format!("{EVERY}{name}"),
        ROOT => name.to_owned(),
        path => format!("{path}.{name}"),
    };
    let is_list = header == LISTS;
    let value = match value {
        Some(value) if is_list && value.starts_with('"') => serde_json::from_str(value).ok(),
        Some(value) => Some(value.to_owned()),
        None => None,
    };
    match value {
        Some(all) if is_list => {
            PassedValue { key, written: shortened(&all), counts_as: CountsAs::Whole(all) }
        }
        None if is_list => {
            PassedValue { key, written: "none".to_owned(), counts_as: CountsAs::Whole(String::new()) }
        }
        None => PassedValue { key, written: String::new(), counts_as: CountsAs::Whole(NOTHING.to_owned()) },
        Some(value) => {
            let (written, counts_as) = match value.rsplit_once(DIGEST) {
                Some((written, digest)) => (written.to_owned(), CountsAs::Digest(digest.to_owned())),
                None => (value.clone(), CountsAs::Whole(value)),
            };
            PassedValue { key, written, counts_as }
        }
    }
}

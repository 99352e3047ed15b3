//! Designs out of the vocabulary: any key, with a value of its shape or nearly so, in a design that there is or in a new one.

use holdpoint::design::{Design, ROCKET};
use holdpoint::quantity::{Dimension, UNITS};
use holdpoint::tables::Tables;
use holdpoint::vocabulary::{EntityType, Shape, Value};
use holdpoint::yaml::{Source, apply, insert_key, remove_entry, replace_value};

use super::choices::Choices;
use super::corpus::{DESIGNS, ODD, mutated};

/// What things of a generated design are called, so that one refers to another.
const NAMES: [&str; 6] = ["a", "b", "c", "a.b", "none", "no_such"];
const NUMBERS: [&str; 22] = [
    "0", "1", "2", "3", "4", "5.5", "12", "96", "1000", "1/4", "11/64", "0.062", "1e-30", "1e-9", "1e5",
    "2e9", "1e13", "1e15", "-1", "-1e9", "360", "1 1/2",
];

fn measure(dimension: Dimension, choices: &mut Choices<'_>) -> String {
    let units: Vec<&str> =
        UNITS.iter().filter(|unit| unit.dimension == dimension).map(|unit| unit.name).collect();
    let unit = if units.is_empty() || choices.once_in(30) {
        choices.member(UNITS).name
    } else {
        choices.one_of(&units)
    };
    let number = choices.one_of(&NUMBERS);
    let tolerance = match choices.below(8) {
        0 => " ± 0.02",
        1 => " ± 99 %",
        _ => return format!("{number} {unit}"),
    };
    format!("{number}{tolerance} {}", if tolerance.ends_with('%') { "" } else { unit })
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\"").replace(['\0', '\n', '\r'], " "))
}

/// A value of a shape, in brackets where it is several.
pub(super) fn value(shape: &Shape, depth: usize, choices: &mut Choices<'_>) -> String {
    if choices.once_in(40) {
        return quoted(choices.one_of(&ODD));
    }
    if choices.once_in(25) {
        return "none".to_owned();
    }
    match shape {
        Shape::Measure(dimension, _) => quoted(&measure(*dimension, choices)),
        Shape::Measures(dimension, _) => {
            let all: Vec<String> =
                (0..choices.below(4)).map(|_| quoted(&measure(*dimension, choices))).collect();
            format!("[{}]", all.join(", "))
        }
        Shape::Number(_) => choices.one_of(&NUMBERS).to_owned(),
        Shape::Count(_) => choices.one_of(&["0", "1", "2", "3", "4", "6", "1000000", "-1", "1.5"]).to_owned(),
        Shape::Truth => choices.one_of(&["true", "false"]).to_owned(),
        Shape::Text => quoted(choices.one_of(&ODD)),
        Shape::Texts => format!("[{}, x]", quoted(choices.one_of(&ODD))),
        Shape::Date => choices.one_of(&["2026-06-01", "0001-01-01", "9999-12-31", "2026-02-30"]).to_owned(),
        Shape::Word(words) => quoted(choices.one_of(words)),
        Shape::Position => {
            let from = choices.one_of(&["aft", "fore", "fore of a", "aft of b", "tip"]);
            quoted(&format!("{} from {from}", measure(Dimension::LENGTH, choices)))
        }
        Shape::One(of) | Shape::Measured(of) => map(of, depth, choices),
        Shape::Many(of) => {
            let all: Vec<String> = NAMES
                .iter()
                .take(choices.below(4))
                .map(|name| format!("{name}: {}", map(of, depth, choices)))
                .collect();
            format!("{{{}}}", all.join(", "))
        }
        Shape::List(of) | Shape::Listed(of) => {
            let all: Vec<String> = (0..choices.below(3)).map(|_| map(of, depth, choices)).collect();
            format!("[{}]", all.join(", "))
        }
        Shape::Refers(_) => choices.one_of(&NAMES).to_owned(),
        Shape::RefersAll(_) => format!("[{}, {}]", choices.one_of(&NAMES), choices.one_of(&NAMES)),
        Shape::Row(of) => {
            let store = Tables::built_in().store();
            let names: Vec<&str> =
                store.of_type(of).filter_map(|id| store.get(id)).map(|row| &*row.name).collect();
            if names.is_empty() { "none".to_owned() } else { quoted(choices.one_of(&names)) }
        }
        Shape::Curve(x, y) => {
            let pair = |choices: &mut Choices<'_>| {
                format!("[{}, {}]", quoted(&measure(*x, choices)), quoted(&measure(*y, choices)))
            };
            let all: Vec<String> = (0..choices.below(5)).map(|_| pair(choices)).collect();
            format!("[{}]", all.join(", "))
        }
        Shape::Raw => "{x: [1, {y: 2}]}".to_owned(),
    }
}

fn map(of: &'static EntityType, depth: usize, choices: &mut Choices<'_>) -> String {
    let mut all = Vec::new();
    for field in of.fields {
        // Deep entities have few keys, so that a list of choices lasts.
        if depth == 0 || choices.is_out() || choices.below(4) >= depth {
            continue;
        }
        all.push(format!("{}: {}", field.name, value(&field.shape, depth - 1, choices)));
    }
    format!("{{{}}}", all.join(", "))
}

/// A design of nothing but what was chosen.
fn new(choices: &mut Choices<'_>) -> String {
    let mut text = "holdpoint: 1\n".to_owned();
    for field in ROCKET.fields {
        if field.name != "holdpoint" && choices.once_in(2) {
            text.push_str(&format!("{}: {}\n", field.name, value(&field.shape, 3, choices)));
        }
    }
    text
}

/// A design with one value otherwise: another of its shape, a key more, a key less.
pub(super) fn varied(text: &str, choices: &mut Choices<'_>) -> Option<String> {
    let design = Design::read(Source::new("t", text), Tables::built_in());
    let tree = design.tree.as_ref()?;
    let all: Vec<_> = design.store.all().collect();
    // A design of a later version has none.
    if all.is_empty() {
        return None;
    }
    let (_, entity) = choices.member(&all);
    let fields = entity.entity_type.fields;
    if fields.is_empty() || !tree.is_map(entity.node) {
        return None;
    }
    let slot = choices.below(fields.len());
    let field = &fields[slot];
    let edit = match (tree.get(entity.node, field.name), choices.below(4)) {
        (Some(_), 0) => remove_entry(&design.source, tree, entity.node, field.name, false),
        (Some(entry), _) => {
            replace_value(&design.source, tree, entry.value, &value(&field.shape, 2, choices), false)
        }
        (None, _) => {
            insert_key(&design.source, tree, entity.node, field.name, &value(&field.shape, 2, choices), false)
        }
    };
    apply(text, &[edit.ok()?]).ok()
}

/// A number of a design a little or a lot otherwise, in its own unit: most such designs are still judged in full.
pub(super) fn scaled(text: &str, choices: &mut Choices<'_>) -> Option<String> {
    let design = Design::read(Source::new("t", text), Tables::built_in());
    let mut places = Vec::new();
    for (_, entity) in design.store.all() {
        for slot in 0..u16::try_from(entity.entity_type.fields.len()).unwrap_or(0) {
            let written = entity.slot(slot);
            if let (holdpoint::vocabulary::State::Known(Value::Quantity(_)), Some(place)) =
                (&written.state, written.place)
            {
                places.push(place.range());
            }
        }
    }
    if places.is_empty() {
        return None;
    }
    let range = choices.member(&places).clone();
    let now = text.get(range.clone())?;
    let end = now.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(now.len());
    let number: f64 = now[..end].parse().ok()?;
    let by = *choices.member(&[0.5, 0.9, 0.999, 1.001, 1.1, 2.0, 10.0, 0.01, 100.0]);
    Some(format!("{}{:.6}{}{}", &text[..range.start], number * by, &now[end..], &text[range.end..]))
}

/// A design: in good order but for a few values, mangled, or out of nothing.
pub(super) fn design(choices: &mut Choices<'_>) -> String {
    match choices.below(8) {
        0 => new(choices),
        1 | 2 => mutated(&DESIGNS, choices),
        _ => {
            let mut text = choices.member(&DESIGNS).clone();
            for _ in 0..=choices.below(8) {
                let next = if choices.once_in(2) { scaled(&text, choices) } else { varied(&text, choices) };
                text = next.unwrap_or(text);
            }
            text
        }
    }
}

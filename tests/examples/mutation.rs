//! No value of a clean example is believed whatever it says: each is pushed far out of range in turn, and some rule or
//! the reader has to notice.

use std::collections::BTreeMap;

use holdpoint::design::Design;
use holdpoint::rules::Library;
use holdpoint::tables::Tables;
use holdpoint::vocabulary::{Entity, EntityType, Shape, State, Value};
use holdpoint::yaml::Source;
use rayon::prelude::*;

use super::{reviewed, text_of};

/// Values that may be anything as far as the rules go, and why that is right.
const FREE: &[(&str, &str)] = &[
    ("holdpoint", "the version of the format: any other is turned away by the reader"),
    ("name", "a rocket may be called anything"),
    ("finish", "a rough rocket flies lower, and this one has height to spare both ways"),
    ("joints.apogee_joint.shear_pins.into", "tapped or plain, either is drilled with a drill that is sold"),
    ("joints.bay_joint.held_by.into", "nut, insert or thread, each is drilled with a drill that is sold"),
    (
        "joints.bay_joint.held_by.thread",
        "four screws of any thread bear what hangs beyond them and what the pins let through",
    ),
    ("joints.main_joint.shear_pins.into", "tapped or plain, either is drilled with a drill that is sold"),
    (
        "sections.booster.vents.relief.clock",
        "a relief hole far from all others may be anywhere around the body",
    ),
    (
        "sections.payload.vents.relief.clock",
        "a relief hole far from all others may be anywhere around the body",
    ),
    (
        "joints.bay_joint.held_by.thread",
        "only the payload tube hangs on these screws, and four of any thread bear it",
    ),
    ("sections.av_bay.lids.aft.terminals.drogue_1.kind", "any kind will do that is kept from working loose"),
    ("sections.av_bay.lids.aft.terminals.drogue_2.kind", "any kind will do that is kept from working loose"),
    ("sections.av_bay.lids.fore.terminals.main_1.kind", "any kind will do that is kept from working loose"),
    ("sections.av_bay.lids.fore.terminals.main_2.kind", "any kind will do that is kept from working loose"),
    (
        "sections.booster.motor_mount.rings.aft.takes_thrust",
        "the thrust ring and three glued rings carry it as well",
    ),
    (
        "sections.nose.bulkheads.nose_plate.glued",
        "the other bond would hold it too, and `none` says that it is screwed",
    ),
    ("wiring.switches.arm_one.kind", "any kind will do that locks, is reached and tells its state"),
    ("wiring.switches.arm_two.kind", "any kind will do that locks, is reached and tells its state"),
    ("wiring.switches.arm_one.turn", "only the order of the turns counts"),
];

/// The number that a measure begins with (`2.25 in from aft`, `1 1/2 in`, `15 lb 6 oz`), and its unit with what follows.
fn number_and_rest(text: &str) -> Option<(f64, &str)> {
    let end = text.find(|c: char| !(c.is_ascii_digit() || " ./".contains(c))).unwrap_or(text.len());
    let mut sum = 0.0;
    for piece in text.get(..end)?.split_whitespace() {
        sum += match piece.split_once('/') {
            Some((over, under)) => over.parse::<f64>().ok()? / under.parse::<f64>().ok()?,
            None => piece.parse().ok()?,
        };
    }
    // Of pounds and ounces the pounds are enough.
    let rest = &text[end..];
    let digit = |at: &usize| rest[at + 1..].starts_with(|c: char| c.is_ascii_digit());
    let second = rest.match_indices(' ').map(|(at, _)| at).find(digit).unwrap_or(rest.len());
    Some((sum, &rest[..second]))
}

/// The first number of a text made so many times as large; nothing, made large or small in its own unit.
fn scaled(text: &str, by: f64) -> Option<String> {
    let (number, rest) = number_and_rest(text)?;
    let number = if number == 0.0 { by } else { number * by };
    Some(format!("{number:.6} {rest}"))
}

/// The names of other things that a reference could be to, and `none`: `av_bay.aft`, or the bare name where it will do.
fn others(design: &Design, entity_type: &'static EntityType, now: &str) -> Vec<String> {
    let mut names = Vec::new();
    for id in design.store.of_type(entity_type) {
        let path = design.store.path(id);
        let mut keys: Vec<&str> = path.split('.').collect();
        // The key of the group that a thing stands in is no part of what it is called by.
        let own = keys.pop().unwrap_or_default();
        let groups = ["lids", "pass_throughs", "terminals", "sections", "harnesses", "charges", "bonds"];
        let holder = keys.into_iter().rev().find(|key| !groups.contains(key));
        let name = match holder {
            Some(holder) if now.contains('.') => format!("{holder}.{own}"),
            _ => own.to_owned(),
        };
        if name != now {
            names.push(name);
        }
    }
    names.push("none".to_owned());
    names
}

/// What a value is pushed to: each a text to write in its place.
fn pushed(design: &Design, entity: &Entity, slot: u16, now: &str) -> Vec<String> {
    let Some(field) = entity.entity_type.field(slot) else { return Vec::new() };
    let numbers = |factors: &[f64]| factors.iter().filter_map(|by| scaled(now, *by)).collect();
    let list = |inside: &str| format!("[{inside}]");
    match &field.shape {
        Shape::Measure(..) | Shape::Number(_) | Shape::Position => numbers(&[100.0, 0.01, 10.0, 0.1]),
        Shape::Count(_) => ["0", "1", "40"].iter().filter(|n| **n != now).map(|n| (*n).to_owned()).collect(),
        Shape::Truth => vec![(now != "true").to_string()],
        Shape::Word(words) => words.iter().filter(|w| **w != now).map(|w| format!("\"{w}\"")).collect(),
        Shape::Text => vec!["\"other\"".to_owned()],
        Shape::Date => vec!["2001-01-01".to_owned(), "2051-01-01".to_owned()],
        Shape::Row(entity_type) => {
            let store = Tables::built_in().store();
            let rows = store.of_type(entity_type).filter_map(|id| store.get(id)).map(|e| &*e.name);
            rows.filter(|name| *name != now).map(|name| format!("\"{name}\"")).collect()
        }
        Shape::Refers(entity_type) => others(design, entity_type, now),
        Shape::RefersAll(entity_type) => {
            others(design, entity_type, "").iter().map(|name| list(name)).collect()
        }
        Shape::Measures(..) => {
            let items: Vec<&str> = now.trim_matches(['[', ']']).split(',').map(str::trim).collect();
            let all = |by| items.iter().filter_map(|i| scaled(i, by)).collect::<Vec<_>>().join(", ");
            // An angle of nothing becomes 45° and 60°.
            vec![list(&all(0.01)), list(&all(1.7)), list(&all(45.0)), list(&all(60.0))]
        }
        Shape::Curve(..) => {
            let pairs: Vec<(&str, &str)> =
                now.trim_matches(['[', ']']).split("], [").filter_map(|p| p.split_once(", ")).collect();
            let times = |x: f64, y: f64| {
                let pair = |(a, b): &(&str, &str)| {
                    // What is nothing stays nothing: a curve begins and ends there.
                    let by = |text: &str, by| {
                        if text.starts_with("0 ") { Some(text.to_owned()) } else { scaled(text, by) }
                    };
                    Some(format!("[{}, {}]", by(a, x)?, by(b, y)?))
                };
                list(&pairs.iter().filter_map(pair).collect::<Vec<_>>().join(", "))
            };
            vec![times(1.0, 100.0), times(1.0, 0.01), times(100.0, 1.0), times(0.01, 1.0)]
        }
        Shape::Texts
        | Shape::One(_)
        | Shape::Measured(_)
        | Shape::Many(_)
        | Shape::List(_)
        | Shape::Listed(_)
        | Shape::Raw => Vec::new(),
    }
}

/// Every value of a design with its path, and the texts with it pushed.
fn mutants(design: &Design) -> BTreeMap<String, Vec<String>> {
    let text = design.source.text();
    let mut all = BTreeMap::new();
    for (id, entity) in design.store.all() {
        for slot in 0..u16::try_from(entity.entity_type.fields.len()).unwrap() {
            let written = entity.slot(slot);
            let (State::Known(value), Some(place)) = (&written.state, written.place) else { continue };
            let contained = matches!(
                entity.entity_type.field(slot).unwrap().shape,
                Shape::One(_) | Shape::Measured(_) | Shape::Many(_) | Shape::List(_) | Shape::Listed(_)
            );
            if contained || matches!(value, Value::Raw(_)) {
                continue;
            }
            let range = place.range();
            let texts = pushed(design, entity, slot, &text[range.clone()])
                .into_iter()
                .map(|new| format!("{}{new}{}", &text[..range.start], &text[range.end..]))
                .collect();
            all.insert(design.store.field_path(id, slot), texts);
        }
    }
    all
}

#[test]
fn no_value_of_the_dual_deployment_example_is_believed_whatever_it_says() {
    let library = Library::built_in();
    let text = text_of("marsh-harrier.rocket.yaml");
    let design = Design::read(Source::new("marsh-harrier.rocket.yaml", &*text), Tables::built_in());
    assert!(reviewed(&library, &text).findings.is_empty());
    let values: Vec<(String, Vec<String>)> = mutants(&design).into_iter().collect();
    assert!(values.len() > 300, "{}", values.len());
    let quiet: Vec<&str> = values
        .par_iter()
        .filter(|(_, texts)| {
            !texts.iter().any(|text| {
                let review = reviewed(&library, text);
                // A value that the reader turns away says nothing of the rules.
                review.problems().is_empty() && !review.findings.is_empty()
            })
        })
        .map(|(path, _)| path.as_str())
        .collect();
    let free = |path: &str| FREE.iter().any(|(listed, _)| *listed == path);
    let unheard: Vec<&&str> = quiet.iter().filter(|path| !free(path)).collect();
    assert!(unheard.is_empty(), "no rule minds these, whatever they say: {unheard:#?}");
    let heard: Vec<_> = FREE.iter().filter(|(path, _)| !quiet.contains(path)).collect();
    assert!(heard.is_empty(), "some rule minds these, so they need not be listed: {heard:#?}");
}

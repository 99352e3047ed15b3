//! Whatever a value says, a review of it ends: no written quantity of any example leads to a panic, to work without end, or to a
//! judgement of what is no number.

use std::io::Write as _;
use std::time::{Duration, Instant};

use holdpoint::design::Design;
use holdpoint::model::{Access, Model, Read};
use holdpoint::review::{Options, review};
use holdpoint::rules::{Library, Variants, judge};
use holdpoint::vocabulary::{Shape, State};
use holdpoint::yaml::Source;
use rayon::prelude::*;

use super::{designs, text_of};

/// So long a review of one design may take: some thousand times what it takes, for machines that have other work.
const LONGEST: Duration = Duration::from_secs(20);
/// Of so many texts one is reviewed, the same ones each time: few enough for a machine that has other work. The environment
/// variable `EXTREMES` sets another number, 1 for all of them, and then long reviews are told.
const ONE_OF: usize = 11;

/// What a quantity is pushed to in its own unit: the least and the most that the reader takes, what lies between, zero, and the
/// other side of zero.
const EXTREMES: [&str; 11] = ["1e-20", "1e-9", "1e-6", "1e3", "1e5", "7e5", "2e9", "1e13", "0", "-1", "-1e9"];

/// The unit that a measure ends with, with what follows: `in from aft` of `1 1/2 in from aft`.
fn unit(text: &str) -> &str {
    let end = text.find(|c: char| !(c.is_ascii_digit() || " ./-".contains(c))).unwrap_or(text.len());
    let rest = &text[end..];
    let digit = |at: &usize| rest[at + 1..].starts_with(|c: char| c.is_ascii_digit());
    let second = rest.match_indices(' ').map(|(at, _)| at).find(digit).unwrap_or(rest.len());
    &rest[..second]
}

/// What stands in place of a value: each a text.
fn pushed(shape: &Shape, now: &str) -> Vec<String> {
    let all = |unit: &str| -> Vec<String> { EXTREMES.iter().map(|by| format!("{by} {unit}")).collect() };
    match shape {
        Shape::Measure(..) | Shape::Number(_) | Shape::Position => {
            let mut texts = all(unit(now));
            if !now.contains(" from ") {
                texts.push(format!("{now} ± 99 %"));
            }
            texts
        }
        Shape::Count(_) => ["0", "1", "1000000"].map(str::to_owned).into(),
        Shape::Date => ["0001-01-01", "9999-12-31"].map(str::to_owned).into(),
        Shape::Measures(..) => {
            let first = now.trim_matches(['[', ']']).split(',').next().unwrap_or_default().trim();
            all(unit(first)).iter().map(|one| format!("[{one}, {one}]")).collect()
        }
        Shape::Curve(..) => {
            let first =
                now.trim_matches(['[', ']']).split("], [").nth(1).and_then(|pair| pair.split_once(", "));
            let Some((x, y)) = first else { return Vec::new() };
            let pair = |x_by: &str, y_by: &str| {
                let (x, y) = (unit(x), unit(y));
                format!("[[0 {x}, 0 {y}], [{x_by} {x}, {y_by} {y}], [{x_by}1 {x}, 0 {y}]]")
            };
            EXTREMES
                .iter()
                .flat_map(|by| [pair("0.", by), pair("1e-", by), pair("1", by), pair("1e", by)])
                .collect()
        }
        _ => Vec::new(),
    }
}

/// An example with one value pushed: its path, and the whole text.
fn mutants(name: &str) -> Vec<(String, String)> {
    let text = text_of(name);
    let library = Library::built_in();
    let design = Design::read(Source::new(name, &*text), &library.tables);
    let mut all = Vec::new();
    for (id, entity) in design.store.all() {
        for (slot, field) in entity.entity_type.fields.iter().enumerate() {
            let slot = u16::try_from(slot).unwrap();
            let written = entity.slot(slot);
            let (State::Known(_), Some(place)) = (&written.state, written.place) else { continue };
            let range = place.range();
            for new in pushed(&field.shape, &text[range.clone()]) {
                let label = format!("{name}: {} as `{new}`", design.store.field_path(id, slot));
                all.push((label, format!("{}{new}{}", &text[..range.start], &text[range.end..])));
            }
        }
    }
    all
}

/// What is wrong with a review of a text; `None` for nothing.
fn fault(library: &Library, label: &str, text: &str) -> Option<String> {
    let began = Instant::now();
    let design = Design::read(Source::new("pushed.rocket.yaml", text), &library.tables);
    if !design.is_readable() {
        return design.problems.is_empty().then(|| format!("{label}: not a word of why it is not read"));
    }
    let today = jiff::civil::date(2026, 6, 1);
    {
        let model = Model::new(&design, library.environment(today));
        for (entity, of) in design.store.all() {
            for number in 0..model.catalogue().computed(of.entity_type).len() {
                let number = u16::try_from(number).unwrap();
                let value = model.read(Read { entity, access: Access::Computed(number) });
                if value.as_ref().is_ok_and(|value| !value.is_finite()) {
                    return Some(format!("{label}: {value:?}"));
                }
            }
        }
        let variants = Variants::of(&model);
        for rule in &library.rules {
            for subject in design.store.of_type(rule.entity_type) {
                let judgement = judge(rule, &variants, subject);
                let sides = judgement.trace.comparisons.iter().flat_map(|c| [c.left.si, c.right.si]);
                let margins = judgement.margin.map(|margin| margin.size());
                if let Some(number) = sides.chain(margins).find(|number| !number.is_finite()) {
                    return Some(format!("{label}: `{}` judges {number}", rule.name));
                }
            }
        }
    }
    let reviewed = review(design, library, &Options::on(today));
    let took = began.elapsed();
    if std::env::var_os("EXTREMES").is_some() && took > Duration::from_millis(400) {
        let _ = writeln!(std::io::stderr(), "{took:?} {label}");
    }
    if took > LONGEST {
        return Some(format!("{label}: {took:?}"));
    }
    let margins =
        reviewed.findings.iter().filter_map(|f| f.margin).chain(reviewed.margins.iter().map(|m| m.margin));
    margins
        .map(|m| m.size())
        .find(|size| !size.is_finite())
        .map(|size| format!("{label}: a margin of {size}"))
}

#[test]
fn every_review_of_a_value_pushed_out_of_reason_ends_and_judges_numbers() {
    let library = Library::built_in();
    let all: Vec<(String, String)> = designs::examples().iter().flat_map(|name| mutants(name)).collect();
    assert!(all.len() > 4_000, "{}", all.len());
    let step = std::env::var("EXTREMES").ok().and_then(|step| step.parse().ok()).unwrap_or(ONE_OF);
    let some: Vec<_> = all.iter().step_by(step).collect();
    let faults: Vec<String> =
        some.par_iter().filter_map(|(label, text)| fault(&library, label, text)).collect();
    assert!(faults.is_empty(), "{} of {}: {faults:#?}", faults.len(), some.len());
}

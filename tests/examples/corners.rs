//! What is held at the ends of all stated tolerances is held between them too.

use holdpoint::design::Design;
use holdpoint::engineering::sobol::{Chance, between_zero_and_one};
use holdpoint::model::Model;
use holdpoint::rules::{Library, Size, Variants, Verdict, judge};
use holdpoint::vocabulary::{Shape, State, Value};
use holdpoint::yaml::Source;

use super::{designs, text_of};

/// The design with a tolerance on every third length, and on each that has one of its own.
fn toleranced(name: &str, start: usize) -> String {
    let mut text = text_of(name);
    let design = Design::read(Source::new(name, &*text), &Library::built_in().tables);
    let mut ends = Vec::new();
    for (_, entity) in design.store.all() {
        for (slot, field) in entity.entity_type.fields.iter().enumerate() {
            let written = entity.slot(u16::try_from(slot).unwrap());
            let (State::Known(Value::Quantity(_)), Some(place)) = (&written.state, written.place) else {
                continue;
            };
            let there = &text[place.range()];
            let is_plain =
                matches!(field.shape, Shape::Measure(..)) && !there.contains(['±', '"', '\'', '+']);
            if is_plain && written.tolerance.is_none() && there.contains(' ') {
                ends.push(place.range().end);
            }
        }
    }
    ends.sort_unstable();
    for end in ends.into_iter().skip(start).step_by(3).collect::<Vec<_>>().into_iter().rev() {
        text.insert_str(end, " ± 0.5 %");
    }
    text
}

#[test]
fn what_is_held_at_the_corners_is_held_inside() {
    let library = Library::built_in();
    let (mut held, mut tight, mut faults) = (0, 0, Vec::new());
    for (name, start) in designs::examples().iter().flat_map(|name| [(name, 0), (name, 1)]) {
        let text = toleranced(name, start);
        let design = Design::read(Source::new(name.as_str(), &*text), &library.tables);
        assert!(design.problems.is_empty(), "{name}: {:?}", design.problems);
        let model = Model::new(&design, library.environment(jiff::civil::date(2026, 6, 1)));
        let mut all: Vec<(Size, Size)> = Vec::new();
        for (entity, of) in design.store.all() {
            for slot in 0..u16::try_from(of.entity_type.fields.len()).unwrap() {
                let Some(tolerance) = of.slot(slot).tolerance else { continue };
                let State::Known(Value::Quantity(quantity)) = &of.slot(slot).state else { continue };
                let at = |si| Size { entity, slot, si };
                all.push((at(quantity.si - tolerance.minus), at(quantity.si + tolerance.plus)));
            }
        }
        assert!(all.len() > 3, "{name}");
        let chance = Chance { seed: 11 };
        let places: Vec<Vec<Size>> = (0..20_u64)
            .map(|number| {
                let between = |(at, (low, high)): (usize, &(Size, Size))| {
                    let place = number * all.len() as u64 + at as u64;
                    let share = between_zero_and_one(chance.coordinate(place));
                    Size { si: low.si + (high.si - low.si) * share, ..*low }
                };
                all.iter().enumerate().map(between).collect()
            })
            .collect();
        let variants = Variants::of(&model);
        for rule in
            library.rules.iter().filter(|rule| !rule.as_written && !rule.require.asks_only("is_drill_size"))
        {
            for subject in design.store.of_type(rule.entity_type) {
                match judge(rule, &variants, subject).verdict {
                    Verdict::Tight => tight += 1,
                    Verdict::Held => {
                        held += 1;
                        let fails = |place: &&Vec<Size>| {
                            variants.judged(rule, place, subject).verdict == Verdict::Broken
                        };
                        if let Some(place) = places.iter().find(fails) {
                            faults.push(format!(
                                "{name}: `{}` of {subject:?} at {} sizes",
                                rule.name,
                                place.len()
                            ));
                        }
                    }
                    _ => {}
                }
            }
        }
    }
    assert!(held > 500 && tight > 0, "{held} held, {tight} tight");
    assert!(faults.is_empty(), "{} of {held}: {faults:#?}", faults.len());
}

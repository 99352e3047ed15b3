//! The drawing against the model: every part appears, and as large as the model says.

use holdpoint::design::{
    BULKHEAD, COUPLER, Design, FASTENING, FIN_SLOTS, FINS, HARNESS, HOLES, MOTOR, MOTOR_MOUNT, NOSE_CONE,
    PARACHUTE, RETAINER, RING, RODS, SECTION, SHOULDER, SWITCH_BAND, TUBE, VENT, coupler, fins, motor, ring,
    tube, vent,
};
use holdpoint::model::{Model, has_stations};
use holdpoint::report::drawing::{Drawing, Form, Look, Part, View};
use holdpoint::rules::{Library, TRIAL_DAY};
use holdpoint::tables::Tables;
use holdpoint::vocabulary::{AnyKey, EntityId, EntityType, Value};
use holdpoint::yaml::Source;

use super::{EXAMPLES, file, page_of, select, sound};

const OTHERS: &[&str] = &[
    "rules/specimens/dual_deployment.rocket.yaml",
    "rules/specimens/motor_ejection.rocket.yaml",
    "examples/bittern.rocket.yaml",
    "examples/jack-snipe.rocket.yaml",
];

fn with<T>(path: &str, text: &str, look: impl FnOnce(&Model<'_>, &Drawing) -> T) -> T {
    let library = Library::built_in();
    let design = Design::read(Source::new(path, text), Tables::built_in());
    let model = Model::new(&design, library.environment(TRIAL_DAY));
    let drawing = Drawing::of(&model);
    look(&model, &drawing)
}

fn every_design() -> impl Iterator<Item = &'static str> {
    EXAMPLES.iter().map(|(path, _)| *path).chain(OTHERS.iter().copied())
}

fn si(model: &Model<'_>, id: EntityId, key: AnyKey) -> f64 {
    match model.field(id, key.slot) {
        Ok(Value::Quantity(quantity)) => quantity.si,
        other => panic!("{other:?}"),
    }
}

/// The least and the greatest x and y of what is drawn of a part in a view.
fn box_of(part: &Part, view: View) -> Option<[f64; 4]> {
    let mut found: Option<[f64; 4]> = None;
    for shape in part.shapes.iter().filter(|s| s.view == view && s.look != Look::Line) {
        let points: Vec<(f64, f64)> = match &shape.form {
            Form::Area(all) | Form::Line(all) => all.clone(),
            Form::Dot { centre, .. } => vec![*centre],
        };
        for (x, y) in points {
            let now = found.unwrap_or([x, x, y, y]);
            found = Some([now[0].min(x), now[1].max(x), now[2].min(y), now[3].max(y)]);
        }
    }
    found
}

#[test]
fn every_part_appears_or_is_told_of() {
    for path in every_design() {
        with(path, &file(path), |model, drawing| {
            let mut seen = 0;
            for (id, entity) in model.design().store.all() {
                let entity_type: &'static EntityType = entity.entity_type;
                let drawable = has_stations(entity_type)
                    || [&RODS, &MOTOR, &RETAINER, &PARACHUTE].contains(&entity_type);
                // What these are made of is drawn part by part; holes are drawn with what they are for.
                if !drawable || [&SECTION, &MOTOR_MOUNT, &HOLES].contains(&entity_type) {
                    continue;
                }
                let drawn = drawing.parts.iter().filter(|p| p.id == id).count();
                let reported = drawing.undrawn.iter().filter(|u| u.id == id && !u.why.is_empty()).count();
                assert_eq!(drawn + reported, 1, "{path}: {}", model.design().store.path(id));
                seen += 1;
            }
            assert!(seen > 10, "{seen}");
        });
    }
}

#[test]
fn a_design_in_order_is_drawn_whole() {
    for path in [EXAMPLES[0].0, EXAMPLES[1].0, OTHERS[2], OTHERS[3]] {
        with(path, &file(path), |model, drawing| {
            for one in &drawing.undrawn {
                let entity_type = model.entity(one.id).unwrap().entity_type;
                assert!(
                    entity_type == &HARNESS || entity_type == &FASTENING || one.why.contains("fore closure"),
                    "{path}: {one:?}"
                );
            }
        });
    }
}

#[test]
fn parts_are_where_the_model_has_them() {
    let along: &[&EntityType] = &[&TUBE, &COUPLER, &SHOULDER, &NOSE_CONE, &SWITCH_BAND, &RING, &FIN_SLOTS];
    for path in every_design() {
        with(path, &file(path), |model, drawing| {
            for part in &drawing.parts {
                let entity_type = model.entity(part.id).unwrap().entity_type;
                if !has_stations(entity_type) {
                    continue;
                }
                let (fore, aft) = model.ends_of(part.id).unwrap();
                assert_eq!((part.fore, part.aft), (fore.si(), aft.si()), "{}", part.path);
                if along.contains(&entity_type) || entity_type == &BULKHEAD {
                    let [low, high, ..] = box_of(part, View::Cut).unwrap();
                    assert!(
                        (low - fore.si()).abs() < 1e-9 && (high - aft.si()).abs() < 1e-9,
                        "{}",
                        part.path
                    );
                }
            }
        });
    }
}

#[test]
fn parts_are_as_large_as_the_model_has_them() {
    for path in [EXAMPLES[0].0, EXAMPLES[1].0] {
        with(path, &file(path), |model, drawing| {
            let mut seen = 0;
            for part in &drawing.parts {
                let entity_type = model.entity(part.id).unwrap().entity_type;
                let across: &[(&EntityType, AnyKey, View)] = &[
                    (&TUBE, tube::outer_diameter.any(), View::Cut),
                    (&COUPLER, coupler::outer_diameter.any(), View::Cut),
                    (&RING, ring::outer_diameter.any(), View::Cut),
                    (&MOTOR, motor::diameter.any(), View::Cut),
                ];
                for (of, key, view) in across.iter().filter(|(of, ..)| *of == entity_type) {
                    let [_, _, low, high] = box_of(part, *view).unwrap();
                    let expected = si(model, part.id, *key);
                    assert!(
                        (high - low - expected).abs() < 1e-9,
                        "{}: {} {}",
                        part.path,
                        of.name,
                        high - low
                    );
                    seen += 1;
                }
                if entity_type == &TUBE || entity_type == &RING {
                    let key = if entity_type == &TUBE {
                        tube::inner_diameter.any()
                    } else {
                        ring::inner_diameter.any()
                    };
                    let inner = si(model, part.id, key) / 2.0;
                    let nearest =
                        part.shapes.iter().filter(|s| s.look == Look::Cut).flat_map(|s| match &s.form {
                            Form::Area(all) => all.clone(),
                            _ => Vec::new(),
                        });
                    let nearest = nearest.map(|(_, y)| y.abs()).fold(f64::MAX, f64::min);
                    assert!((nearest - inner).abs() < 1e-9, "{}", part.path);
                }
                if entity_type == &MOTOR {
                    let [fore, aft, ..] = box_of(part, View::Cut).unwrap();
                    assert!((aft - fore - si(model, part.id, motor::length.any())).abs() < 1e-9);
                }
            }
            assert!(seen >= 6, "{seen}");
        });
    }
}

#[test]
fn holes_stand_at_their_clock_angles() {
    // The angle of the first, and even steps from there.
    let design = file(EXAMPLES[0].0);
    with("clocked", &design, |model, drawing| {
        let vents = drawing.parts.iter().find(|p| p.path.ends_with("statics")).unwrap();
        assert!(model.entity(vents.id).unwrap().entity_type == &VENT);
        let body = 4.024 * 0.0254 / 2.0;
        let hole = si(model, vents.id, vent::diameter.any()) / 2.0;
        let dots: Vec<(f64, Look)> = vents
            .shapes
            .iter()
            .map(|s| match &s.form {
                Form::Dot { centre, radius } => {
                    assert!((radius - hole).abs() < 1e-12 && (centre.0 - vents.fore).abs() < 1e-12);
                    (centre.1, s.look)
                }
                other => panic!("{other:?}"),
            })
            .collect();
        let expected = [(body, Look::Hole), (0.0, Look::FarHole), (-body, Look::Hole), (0.0, Look::Hole)];
        for ((y, look), (at, seen)) in dots.iter().zip(expected) {
            assert!((y - at).abs() < 1e-9 && *look == seen, "{dots:?}");
        }
        assert_eq!(drawing.clocked.iter().filter(|c| c.id == vents.id).count(), 4);
        assert!(!drawing.notes.iter().any(|n| n.contains("statics")), "{:?}", drawing.notes);
        let fins: Vec<f64> =
            drawing.clocked.iter().filter(|c| c.fin).map(|c| c.angle.to_degrees().round()).collect();
        assert_eq!(fins, [0.0, 120.0, 240.0]);
        // Seen from the side, one fin stands up whole and the two others reach half as far down, one of them behind the body.
        let part = drawing.parts.iter().find(|p| model.entity(p.id).unwrap().entity_type == &FINS).unwrap();
        let tips: Vec<(f64, Look)> = part
            .shapes
            .iter()
            .filter(|s| s.view == View::Outside)
            .map(|s| match &s.form {
                Form::Area(points) => {
                    let far = points.iter().map(|(_, y)| *y).max_by(|a, b| a.abs().total_cmp(&b.abs()));
                    (far.unwrap(), s.look)
                }
                other => panic!("{other:?}"),
            })
            .collect();
        let tip = body + si(model, part.id, fins::span.any());
        assert_eq!(tips.len(), 3);
        for ((y, _), part) in tips.iter().zip([1.0, -0.5, -0.5]) {
            assert!((y - tip * part).abs() < 1e-9, "{tips:?}");
        }
        assert_eq!(tips.iter().filter(|(_, look)| *look == Look::FarHole).count(), 1, "{tips:?}");
    });
    let unclocked = design.replace("spaced: evenly, clock: 0°}    # from", "spaced: evenly}    # from");
    assert_ne!(unclocked, design);
    with("unclocked", &unclocked, |_, drawing| {
        assert!(drawing.notes.iter().any(|n| n.contains("statics: clock angles not written down")));
    });
}

#[test]
fn a_free_fin_has_its_own_outline() {
    let edges = "leading_edge: [[0 in, 0 in], [2 in, 1 in], [4.25 in, 5 in]]\n      trailing_edge: [[0 in, 9.75 in], [4.25 in, 8 in]]";
    let design = file(EXAMPLES[0].0).replace("sweep: 4.5 in", edges).replace("      tip_chord: 4 in\n", "");
    with("free", &design, |model, drawing| {
        let fins = drawing.parts.iter().find(|p| model.entity(p.id).unwrap().entity_type == &FINS).unwrap();
        let Form::Area(points) = &fins.shapes[0].form else { panic!("{:?}", fins.shapes) };
        let body = 4.024 / 2.0;
        let expected = [(0.0, 0.0), (1.0, 2.0), (5.0, 4.25), (8.0, 4.25), (9.75, 0.0)];
        assert_eq!(points.len(), expected.len());
        for ((x, y), (along, out)) in points.iter().zip(expected) {
            assert!(
                (x - fins.fore - along * 0.0254).abs() < 1e-9 && (y - (body + out) * 0.0254).abs() < 1e-9
            );
        }
    });
}

#[test]
fn what_is_not_known_is_told_and_not_guessed() {
    let without = |old: &str| file(EXAMPLES[0].0).replace(old, "");
    with("no sweep", &without("      sweep: 4.5 in\n"), |model, drawing| {
        let fins = drawing.parts.iter().find(|p| model.entity(p.id).unwrap().entity_type == &FINS).unwrap();
        assert!(fins.shapes.iter().all(|s| s.look == Look::Unsure));
        assert!(drawing.notes.iter().any(|n| n.contains("sweep or tip chord not written down")));
    });
    with("no nose length", &without("      length: 19.5 in\n"), |_, drawing| {
        assert!(!drawing.undrawn.is_empty());
        assert!(drawing.undrawn.iter().any(|u| u.why.contains("nose_cone.length` is not written down")));
    });
    with("nothing", "holdpoint: 1\n", |_, drawing| {
        assert!(drawing.parts.is_empty());
    });
}

#[test]
fn the_page_shows_every_part_of_the_drawing() {
    for path in every_design() {
        let page = sound(&page_of(path));
        with(path, &file(path), |_, drawing| {
            for (place, part) in drawing.parts.iter().enumerate() {
                let number = place + 1;
                for expected in [
                    format!("svg.rocket g[data-part='{}'] title", part.path),
                    format!("svg.rocket #d1-part-{number}"),
                    format!("tr#d1-at-{number}"),
                ] {
                    assert!(page.select(&select(&expected)).next().is_some(), "{path}: {expected}");
                }
            }
        });
    }
}

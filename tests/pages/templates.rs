//! Templates at true size: each mark measured against the model, in the drawings and in the print.

use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::path::Path;

use holdpoint::design::{COUPLER, Design, FIN_SLOTS, FINS, RING, SHOULDER, SWITCH_BAND, TUBE};
use holdpoint::model::{Mark, Model};
use holdpoint::rules::{Library, TRIAL_DAY};
use holdpoint::tables::Tables;
use holdpoint::vocabulary::{Edge, EntityId};
use holdpoint::yaml::Source;
use roxmltree::{Document, Node};

use super::{file, printed, root};

const DAY: &str = "2026-06-01";
/// The thickness of the paper where nothing is said, mm.
pub(super) const PAPER: f64 = 0.1;

/// Examples and ordinary rockets, in inches and in millimetres.
fn rockets() -> Vec<String> {
    let mut found: Vec<String> = ["marsh-harrier", "sand-martin", "bittern", "jack-snipe"]
        .map(|name| format!("examples/{name}.rocket.yaml"))
        .to_vec();
    let folder = std::fs::read_dir(root("tests/ordinary")).unwrap();
    let names = folder.map(|one| one.unwrap().file_name().into_string().unwrap());
    found.extend(
        names.filter(|name| name.ends_with(".rocket.yaml")).map(|name| format!("tests/ordinary/{name}")),
    );
    found.sort();
    found
}

pub(super) fn drawn(design: &str, folder: &Path, more: &[&str]) -> (String, i32) {
    let to = folder.to_str().unwrap();
    printed(&[&["templates", design, "--output", to, "--today", DAY], more].concat())
}

/// The files of a folder whose names have a part, in order.
pub(super) fn files(folder: &Path, part: &str) -> Vec<(String, String)> {
    let names = std::fs::read_dir(folder).unwrap().map(|one| one.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<String> = names.filter(|name| name.contains(part)).collect();
    names.sort();
    names.iter().map(|name| (name.clone(), std::fs::read_to_string(folder.join(name)).unwrap())).collect()
}

pub(super) fn number(node: Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).unwrap_or_else(|| panic!("{name} of {node:?}")).parse().unwrap()
}

/// Corners of a polygon.
fn corners(node: Node<'_, '_>) -> Vec<(f64, f64)> {
    let pairs = node.attribute("points").unwrap().split_whitespace();
    let pair = |pair: &str| {
        let (x, y) = pair.split_once(',').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    };
    pairs.map(pair).collect()
}

fn around(points: &[(f64, f64)]) -> (f64, f64, f64, f64) {
    points.iter().fold((f64::MAX, f64::MAX, f64::MIN, f64::MIN), |(a, b, c, d), (x, y)| {
        (a.min(*x), b.min(*y), c.max(*x), d.max(*y))
    })
}

/// A strip, put together from its parts: everything from its own upper left corner, mm.
#[derive(Default)]
pub(super) struct Strip {
    pub(super) size: (f64, f64),
    /// The strokes that count angles, by degrees.
    angles: BTreeMap<u32, f64>,
    /// The strokes that count places: how far from which end, and where.
    stations: Vec<(String, f64, f64)>,
    /// Holes: what they are for and which of several, the middle, the diameter.
    holes: BTreeMap<(String, usize), (f64, f64, f64)>,
    /// Slots and fins, likewise: the corners.
    boxes: BTreeMap<(String, usize), (f64, f64, f64, f64)>,
}

/// The strips of all sheets, by the path of their wall and their own name.
pub(super) fn strips(folder: &Path, size: (f64, f64)) -> BTreeMap<(String, String), Strip> {
    let mut found: BTreeMap<(String, String), Strip> = BTreeMap::new();
    for (name, text) in files(folder, ".sheet-") {
        let sheet = Document::parse(&text).unwrap_or_else(|error| panic!("{name}: {error}"));
        let svg = sheet.root_element();
        assert_eq!(svg.attribute("width").unwrap(), format!("{}mm", size.0), "{name}");
        assert_eq!(svg.attribute("viewBox").unwrap(), format!("0 0 {} {}", size.0, size.1), "{name}");
        for tile in svg.descendants().filter(|node| node.has_attribute("data-figure")) {
            let layer = |end: &str| {
                let mut groups =
                    tile.children().filter(|node| node.attribute("id").is_some_and(|id| id.ends_with(end)));
                groups.next()
            };
            let Some(edges) = layer("-edges") else { continue };
            let outline = edges.children().find(|node| node.has_tag_name("polygon")).unwrap();
            let (x, y, right, bottom) = around(&corners(outline));
            let marks: Vec<Node<'_, '_>> =
                tile.descendants().filter(|node| node.has_attribute("data-mark")).collect();
            let wall = marks.iter().find_map(|mark| mark.attribute("data-for")).unwrap();
            let wall = wall.split('#').next().unwrap().to_owned();
            let strip = found.entry((wall, tile.attribute("data-figure").unwrap().to_owned())).or_default();
            strip.size = (right - x, bottom - y);
            for mark in marks {
                let of = mark.attribute("data-for").unwrap().split('#').nth(1).unwrap_or("").to_owned();
                let count: usize = mark.attribute("data-number").unwrap().parse().unwrap();
                match mark.attribute("data-mark").unwrap() {
                    "angle" => {
                        strip.angles.insert(u32::try_from(count).unwrap(), number(mark, "x1") - x);
                    }
                    #[allow(clippy::cast_precision_loss, reason = "a few metres")]
                    "station" => strip.stations.push((of, count as f64 / 10.0, number(mark, "y1") - y)),
                    "hole" => {
                        let at = (number(mark, "cx") - x, number(mark, "cy") - y, 2.0 * number(mark, "r"));
                        strip.holes.insert((of, count), at);
                    }
                    "slot" | "fin" => {
                        let (a, b, c, d) = around(&corners(mark));
                        strip.boxes.insert((of, count), (a - x, b - y, c - x, d - y));
                    }
                    _ => {}
                }
            }
        }
    }
    found
}

/// A design with its model's answers, for a closure.
pub(super) fn with_model<T>(design: &str, answer: impl FnOnce(&Model<'_>) -> T) -> T {
    let library = Library::built_in();
    let read = Design::read(Source::new(design, file(design)), Tables::built_in());
    answer(&Model::new(&read, library.environment(TRIAL_DAY)))
}

pub(super) fn named(model: &Model<'_>, id: EntityId, name: &str) -> Option<f64> {
    let entity = model.entity(id)?;
    let slot = entity.entity_type.slot(name)?;
    match model.field(id, slot) {
        Ok(holdpoint::vocabulary::Value::Quantity(quantity)) => Some(quantity.si * 1000.0),
        _ => None,
    }
}

/// Where on a strip an angle is, by its distance from the nearest stroke that is counted: whole turns away.
fn off_angle(strip: &Strip, x: f64, clock: f64, once: f64) -> f64 {
    let degrees = clock.to_degrees().rem_euclid(360.0);
    let nearest = |count: &&u32| ((f64::from(**count) - degrees).abs() * 1000.0) as u64;
    let (count, stroke) = strip.angles.iter().min_by_key(|(count, _)| nearest(count)).unwrap();
    let due = stroke + (degrees - f64::from(*count)) / 360.0 * once;
    let off = (x - due).rem_euclid(once);
    off.min(once - off)
}

/// How far a place on a strip is from where the model has it, from the fore end of a wall of a length.
fn off_place(strip: &Strip, y: f64, at: f64, length: f64) -> f64 {
    let (end, distance, stroke) = strip.stations.first().unwrap();
    let due = match end.as_str() {
        "fore" => stroke + (at - distance),
        _ => stroke + (at - (length - distance)),
    };
    (y - due).abs()
}

#[test]
fn marks_stand_where_the_model_has_them() {
    let (mut holes, mut boxes) = (0, 0);
    for (place, design) in rockets().iter().enumerate() {
        let folder = tempfile::TempDir::new().unwrap();
        let (paper, size) = [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))][place % 2];
        let (told, code) = drawn(design, folder.path(), &["--paper", paper]);
        assert!(code < 2 && !told.contains("HOLD"), "{design}: {told}");
        let strips = strips(folder.path(), size);
        with_model(design, |model| {
            let path = |id: EntityId| model.design().store.path(id);
            let length = |id: EntityId| model.ends_of(id).map(|(fore, aft)| (aft.si() - fore.si()) * 1000.0);
            let round = [&TUBE, &COUPLER, &SWITCH_BAND, &SHOULDER];
            for line in model.drilled().unwrap() {
                let kind = model.entity(line.part).unwrap().entity_type;
                if !round.contains(&kind) {
                    continue;
                }
                let (Ok(Mark::Along(distance, edge)), Ok(clock), Ok(drill)) =
                    (&line.mark, &line.clock, &line.drill)
                else {
                    assert!(told.contains("not drawn"), "{design}: {}", path(line.part));
                    continue;
                };
                let (Some(diameter), Ok(length)) =
                    (named(model, line.part, "outer_diameter"), length(line.part))
                else {
                    assert!(
                        told.contains(&format!("{}.outer_diameter", path(line.part))),
                        "{design}: {told}"
                    );
                    continue;
                };
                let at = if *edge == Edge::Fore {
                    distance.si() * 1000.0
                } else {
                    length - distance.si() * 1000.0
                };
                let once = PI * (diameter + PAPER);
                for (count, angle) in clock.iter().enumerate() {
                    let key = (path(line.owner), count);
                    let mine = strips.iter().filter(|((wall, _), strip)| {
                        *wall == path(line.part) && strip.holes.contains_key(&key)
                    });
                    let mine: Vec<&Strip> = mine.map(|(_, strip)| strip).collect();
                    assert_eq!(mine.len(), 1, "{design}: {key:?} in {}", path(line.part));
                    let (x, y, across) = mine[0].holes[&key];
                    assert!((mine[0].size.0 - once).abs() < 0.01, "{design}: once around {}", mine[0].size.0);
                    assert!(off_angle(mine[0], x, angle.si(), once) < 0.1, "{design}: {key:?} around");
                    assert!(off_place(mine[0], y, at, length) < 0.1, "{design}: {key:?} along");
                    assert!((across - drill.si * 1000.0).abs() < 0.01, "{design}: {key:?} across");
                    holes += 1;
                }
            }
            for (kind, width) in [(&FINS, "thickness"), (&FIN_SLOTS, "width")] {
                for id in model.design().store.of_type(kind) {
                    let section = model.holder(id, &holdpoint::design::SECTION).unwrap();
                    let tube = model.get(
                        model.as_a::<holdpoint::design::Section>(section).unwrap(),
                        holdpoint::design::section::tube,
                    );
                    let Some(tube) = tube.map(holdpoint::vocabulary::Id::any) else { continue };
                    let (Ok((fore, aft)), Ok((start, end))) = (model.ends_of(id), model.ends_of(tube)) else {
                        continue;
                    };
                    let set = model.get(
                        model.as_a::<holdpoint::design::Section>(section).unwrap(),
                        holdpoint::design::section::fins,
                    );
                    let angles = model.fin_lines(set.unwrap()).unwrap();
                    let once = PI * (named(model, tube, "outer_diameter").unwrap() + PAPER);
                    let whole = (end.si() - start.si()) * 1000.0;
                    for (count, angle) in angles.iter().enumerate() {
                        let key = (path(id), count);
                        let mine = strips
                            .iter()
                            .find(|((wall, _), strip)| *wall == path(tube) && strip.boxes.contains_key(&key));
                        let strip = mine.unwrap_or_else(|| panic!("{design}: {key:?}")).1;
                        let (left, top, right, bottom) = strip.boxes[&key];
                        assert!(
                            (right - left - named(model, id, width).unwrap()).abs() < 0.01,
                            "{design}: {key:?} wide"
                        );
                        assert!(
                            off_angle(strip, f64::midpoint(left, right), angle.si(), once) < 0.1,
                            "{design}: {key:?}"
                        );
                        let from = ((fore.si() - start.si()) * 1000.0).max(0.0);
                        let to = ((aft.si() - start.si()) * 1000.0).min(whole);
                        assert!(off_place(strip, top, from, whole) < 0.1, "{design}: {key:?} fore end");
                        assert!(off_place(strip, bottom, to, whole) < 0.1, "{design}: {key:?} aft end");
                        boxes += 1;
                    }
                }
            }
        });
        for ((wall, name), strip) in &strips {
            // Seen from outside with the fore end up the clock runs to the right.
            let steps = strip.angles.iter().zip(strip.angles.iter().skip(1));
            let rising = steps.filter(|((_, x), (_, next))| next > x).count();
            assert!(strip.angles.len() == 36 && rising >= 34, "{design}: {wall} {name}");
        }
    }
    assert!(holes > 300 && boxes > 100, "{holes} holes, {boxes} fins and slots");
}

#[test]
fn flat_parts_have_the_sizes_of_the_design() {
    let (mut rings, mut fins) = (0, 0);
    for design in rockets() {
        let folder = tempfile::TempDir::new().unwrap();
        drawn(&design, folder.path(), &[]);
        let cuts = files(folder.path(), ".cut-");
        let documents: Vec<Document<'_>> =
            cuts.iter().map(|(_, text)| Document::parse(text).unwrap()).collect();
        let of = |path: &str, mark: &str| {
            let all = documents.iter().flat_map(|one| one.descendants());
            let found = all.filter(|node| {
                node.attribute("data-for") == Some(path) && node.attribute("data-mark") == Some(mark)
            });
            found.collect::<Vec<Node<'_, '_>>>()
        };
        for one in &documents {
            let svg = one.root_element();
            let size =
                |name: &str| svg.attribute(name).unwrap().strip_suffix("mm").unwrap().parse::<f64>().unwrap();
            assert_eq!(
                svg.attribute("viewBox").unwrap(),
                format!("0 0 {} {}", size("width"), size("height"))
            );
            let text =
                |name: &str| svg.children().find(|node| node.has_tag_name(name)).and_then(|node| node.text());
            assert!(text("title").is_some_and(|title| title.contains(": ")));
            let about = text("desc").unwrap();
            assert!(about.contains("kerf") && about.contains("second pair of eyes"), "{about}");
            // Each hole is a group of its own, and the outline is the last of them.
            let groups: Vec<&str> = svg.children().filter_map(|node| node.attribute("id")).collect();
            let cut: Vec<&&str> = groups.iter().filter(|id| id.starts_with("cut-")).collect();
            assert_eq!(**cut.last().unwrap(), "cut-outline", "{groups:?}");
        }
        with_model(&design, |model| {
            for id in model.design().store.of_type(&RING) {
                let path = model.design().store.path(id);
                for (mark, key) in [("outline", "outer_diameter"), ("bore", "inner_diameter")] {
                    let circle = of(&path, mark);
                    assert_eq!(circle.len(), 1, "{design}: {path}");
                    assert!(
                        (2.0 * number(circle[0], "r") - named(model, id, key).unwrap()).abs() < 0.01,
                        "{design}: {path}"
                    );
                    rings += 1;
                }
            }
            for id in model.design().store.of_type(&FINS) {
                let path = model.design().store.path(id);
                let (root, outline) = (of(&path, "root"), of(&path, "outline"));
                if outline.is_empty() {
                    continue;
                }
                let long = number(root[0], "x2") - number(root[0], "x1");
                assert!(
                    (long - named(model, id, "root_chord").unwrap()).abs() < 0.1,
                    "{design}: root {long}"
                );
                let (_, top, _, _) = around(&corners(outline[0]));
                let span = number(root[0], "y1") - top;
                let due = named(model, id, "span").unwrap();
                assert!((span - due).abs() < 0.1, "{design}: span {span}, {due} due");
                fins += 1;
            }
        });
    }
    assert!(rings > 60 && fins > 15, "{rings} diameters, {fins} fins");
}

#[test]
fn holes_in_a_lid_stand_at_their_angles() {
    let folder = tempfile::TempDir::new().unwrap();
    let text = file("examples/marsh-harrier.rocket.yaml")
        .replace("nuts: lock nuts, spaced: evenly", "nuts: lock nuts, bolt_circle: 2.5 in, spaced: evenly")
        .replace(
            "leads: {sealed: epoxy, diameter: 1/4 in}",
            "leads: {sealed: epoxy, diameter: 1/4 in, from_axis: 1 in, clock: 180°}",
        )
        .replace(
            "        recess: 1/8 in\n",
            "        recess: 1/8 in\n        inner_disc: 3.76 in\n        outer_disc: 3.88 in\n",
        );
    let design = folder.path().join("a.rocket.yaml");
    std::fs::write(&design, text).unwrap();
    let (told, _) = drawn(design.to_str().unwrap(), folder.path(), &[]);
    let (_, left_out) = told.split_once("not drawn").unwrap();
    assert!(!left_out.contains("lid"), "all of the lids is known: {told}");
    let (_, svg) = files(folder.path(), "cut-av-bay-lids-aft-outer-disc").remove(0);
    let svg = Document::parse(&svg).unwrap();
    let circles = |id: &str| {
        let group =
            svg.descendants().find(|node| node.attribute("id").is_some_and(|found| found.starts_with(id)));
        let all = group.unwrap().children().filter(|node| node.has_tag_name("circle"));
        all.map(|one| (number(one, "cx"), number(one, "cy"), number(one, "r"))).collect::<Vec<_>>()
    };
    let (x, y, r) = circles("cut-outline")[0];
    assert!((r - 3.88 * 25.4 / 2.0).abs() < 0.01);
    // The rods stand at 45° and 225°, seen from aft with 0° up: to the upper right and the lower left.
    let half = 2.5 * 25.4 / 2.0 * std::f64::consts::FRAC_1_SQRT_2;
    let rods = circles("cut-rods");
    assert!((rods[0].0 - x - half).abs() < 0.01 && (y - rods[0].1 - half).abs() < 0.01, "{rods:?}");
    assert!((x - rods[1].0 - half).abs() < 0.01 && (rods[1].1 - y - half).abs() < 0.01, "{rods:?}");
    let wires = circles("cut-wires")[0];
    assert!(
        (wires.0 - x).abs() < 0.01 && (wires.1 - y - 25.4).abs() < 0.01 && (wires.2 - 3.175).abs() < 0.01,
        "{wires:?}"
    );
    let eye = circles("cut-eye")[0];
    assert!((eye.0 - x).abs() < 0.01 && (eye.1 - y).abs() < 0.01, "{eye:?}");
}

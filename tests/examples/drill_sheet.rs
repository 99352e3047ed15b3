//! The drill sheet of an example, against what was read off its file by hand.

use holdpoint::design::Design;
use holdpoint::model::{Mark, Model, Outcome};
use holdpoint::review::{DrillLine, drill_sheet};
use holdpoint::rules::{Library, TRIAL_DAY};
use holdpoint::vocabulary::Edge;
use holdpoint::yaml::Source;

use super::{clean, text_of};

fn sheet(text: &str) -> Vec<DrillLine> {
    let library = Library::built_in();
    let design = Design::read(Source::new("example.rocket.yaml", text), &library.tables);
    assert!(design.problems.is_empty(), "{:?}", design.problems);
    let model = Model::new(&design, library.environment(TRIAL_DAY));
    drill_sheet(&model).unwrap()
}

fn line<'l>(sheet: &'l [DrillLine], part: &str, hole: &str) -> &'l DrillLine {
    let found: Vec<&DrillLine> = sheet.iter().filter(|l| l.part == part && l.hole == hole).collect();
    let all: Vec<String> = sheet.iter().map(|l| format!("{} / {}", l.part, l.hole)).collect();
    assert_eq!(found.len(), 1, "{part} / {hole} in {all:#?}");
    found[0]
}

fn inches(place: &Outcome<Mark>) -> (f64, Edge) {
    match place {
        Ok(Mark::Along(distance, edge)) => ((distance.si() / 0.0254 * 1e6).round() / 1e6, *edge),
        other => panic!("{other:?}"),
    }
}

fn degrees(line: &DrillLine) -> Vec<i64> {
    #[allow(clippy::cast_possible_truncation, reason = "angles of a few hundred degrees")]
    line.clock.as_ref().unwrap().iter().map(|a| a.si().to_degrees().round() as i64).collect()
}

#[test]
fn each_wall_has_its_holes_with_their_place_angle_and_drill() {
    let sheet = sheet(&text_of("marsh-harrier.rocket.yaml"));
    let outer = line(&sheet, "the tube of payload", "the shear pins of main_joint");
    assert_eq!(outer.count, Ok(3));
    assert_eq!(inches(&outer.place), (2.0, Edge::Fore));
    assert_eq!(degrees(outer), [0, 120, 240]);
    assert_eq!(outer.drill_name.as_deref(), Some("no. 43"));
    assert_eq!(outer.tapped, Ok(false));
    let inner = line(&sheet, "the shoulder of the nose cone of nose", "the shear pins of main_joint");
    assert_eq!(inner.drill_name.as_deref(), Some("no. 50"));
    assert_eq!(inner.tapped, Ok(true));
    // The coupler stands (9.5 − 1.25) / 2 in out of its band, and the screws 2 in before the end of the tube over it.
    let screws = line(&sheet, "the coupler of av_bay", "screws, the fastening of bay_joint");
    assert_eq!(inches(&screws.place), (2.125, Edge::Fore));
    assert_eq!(degrees(screws), [20, 110, 200, 290]);
    assert_eq!(screws.drill_name.as_deref(), Some("no. 27"));
    let button = line(&sheet, "ring `aft` of the motor mount of booster", "rail button `aft` of booster");
    assert_eq!((button.drill_name.as_deref(), &button.tapped), (Some("no. 29"), &Ok(true)));
    let rods = line(&sheet, "lid `fore` of av_bay", "rods, the rods of av_bay");
    assert_eq!((&rods.count, &rods.place, degrees(rods)), (&Ok(2), &Ok(Mark::Face), vec![45, 225]));
}

#[test]
fn nothing_on_the_sheet_of_a_clean_example_is_unknown() {
    for name in clean() {
        let sheet = sheet(&text_of(&name));
        assert!(sheet.len() >= 4, "{name}: {}", sheet.len());
        for line in sheet {
            let known = line.count.is_ok() && line.place.is_ok() && line.clock.is_ok() && line.drill.is_ok();
            assert!(known && line.tapped.is_ok(), "{name}: {line:?}");
        }
    }
}

#[test]
fn what_is_not_written_is_not_guessed() {
    let text = text_of("marsh-harrier.rocket.yaml").replace("at: 1.75 in from fore, into: tapped hole,", "");
    let sheet = sheet(&text);
    let pins = line(&sheet, "the tube of booster", "the shear pins of apogee_joint");
    assert!(pins.place.is_err(), "{pins:?}");
    assert_eq!(pins.count, Ok(3));
    let inner = line(&sheet, "the coupler of av_bay", "the shear pins of apogee_joint");
    assert!(inner.tapped.is_err() && inner.drill.is_err(), "{inner:?}");
}

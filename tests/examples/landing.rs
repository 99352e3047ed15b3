//! Where rockets land: what must hold of any of them, and the places, the timeline and the rules' quantities beside each other.

use holdpoint::design::Design;
use holdpoint::engineering::landing::distance;
use holdpoint::model::{Event, LandingCase, Lean, Model};
use holdpoint::rules::{Library, TRIAL_DAY};
use holdpoint::yaml::Source;
use regex::Regex;

use super::failures::si;
use super::{clean, text_of};

const SPECIMENS: [&str; 2] = [
    include_str!("../../rules/specimens/dual_deployment.rocket.yaml"),
    include_str!("../../rules/specimens/motor_ejection.rocket.yaml"),
];

/// The clean examples, ordinary rockets and specimens.
fn rockets() -> Vec<String> {
    let folders = [
        concat!(env!("CARGO_MANIFEST_DIR"), "/tests/ordinary"),
        concat!(env!("CARGO_MANIFEST_DIR"), "/examples/configurations"),
    ];
    let read = |folder| std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let files = folders.into_iter().flat_map(read);
    let files = files.filter(|path| path.to_string_lossy().ends_with(".rocket.yaml"));
    let mut all: Vec<String> = files.map(|path| std::fs::read_to_string(path).unwrap()).collect();
    all.extend(clean().iter().map(|name| text_of(name)));
    all.extend(SPECIMENS.map(str::to_owned));
    assert!(all.len() > 25);
    all
}

fn with_model<T>(library: &Library, text: &str, work: impl FnOnce(&Model<'_>) -> T) -> T {
    let design = Design::read(Source::new("a.rocket.yaml", text), &library.tables);
    assert!(design.problems.is_empty(), "{:?}", design.problems);
    work(&Model::new(&design, library.environment(TRIAL_DAY)))
}

/// Every measure that follows a key, times a factor.
fn scaled(text: &str, key: &str, factor: f64) -> String {
    let pattern = Regex::new(&format!(r"(?m)\b{key}: ([0-9.]+)")).unwrap();
    let replaced = pattern.replace_all(text, |found: &regex::Captures<'_>| {
        format!("{key}: {}", found[1].parse::<f64>().unwrap() * factor)
    });
    replaced.into_owned()
}

#[test]
fn a_later_main_never_lengthens_the_drift_and_more_wind_never_shortens_it() {
    let library = Library::built_in();
    for text in rockets() {
        let drifts = |text: &str| {
            with_model(&library, text, |model| {
                ["drift", "longest_drift", "drift_all_at_top", "drift_main_shut"].map(|name| si(model, name))
            })
        };
        let before = drifts(&text);
        let mut last = before;
        for factor in [0.8, 0.5, 0.2] {
            let later = drifts(&scaled(&text, "main_height", factor));
            assert!(later[0] <= last[0] * (1.0 + 1e-9) && later[1] <= last[1] * (1.0 + 1e-9), "{text}");
            last = later;
        }
        let mut last = before;
        for factor in [1.1, 1.5, 2.0] {
            let windier = drifts(&scaled(&text, "wind", factor));
            assert!(windier.iter().zip(last).all(|(more, less)| *more >= less * (1.0 - 1e-9)), "{text}");
            last = windier;
        }
        // What opens at the top drifts no less, and what opens late or never no more.
        assert!(before[2] >= before[0] * (1.0 - 1e-9) && before[0] >= before[3] * (1.0 - 1e-9), "{before:?}");
    }
}

#[test]
fn a_canopy_more_never_raises_a_landing_speed() {
    let library = Library::built_in();
    let diameter = Regex::new(r"diameter: [0-9.]+ \w+").unwrap();
    for (text, section) in SPECIMENS.iter().zip(["payload", "booster"]) {
        let line = text.lines().find(|line| line.trim_start().starts_with("main: {packed_in")).unwrap();
        let speed = |text: &str| with_model(&library, text, |model| si(model, "landing_speed"));
        let alone = speed(text);
        for size in ["4 in", "20 in", "60 in", "120 in"] {
            let more = diameter.replace(line, format!("diameter: {size}")).replace("main: {", "second: {");
            let both = speed(&text.replace(line, &format!("{line}\n{more}")));
            assert!(both <= alone * (1.0 + 1e-9), "{section} {size}: {both} beside {alone}");
        }
    }
}

/// The winds aloft take the place of one wind: a list of that wind alone changes nothing, and a stronger one shortens nothing.
#[test]
fn a_list_of_one_wind_is_that_wind() {
    let library = Library::built_in();
    let text = SPECIMENS[0];
    let drift = |list: &str| {
        let text = text.replace("  wind: 8 mph\n", &format!("  wind: 8 mph\n{list}"));
        with_model(&library, &text, |model| (si(model, "drift"), si(model, "longest_drift")))
    };
    let (plain, growing) = drift("");
    let (listed, braked) = drift("  winds_aloft: [[0 ft, 8 mph], [9000 ft, 8 mph]]\n");
    assert!((listed / plain - 1.0).abs() < 1e-6, "{listed} {plain}");
    assert!(braked < growing, "a wind that does not grow: {braked} {growing}");
    let (stronger, _) = drift("  winds_aloft: [[2000 ft, 16 mph], [6000 ft, 24 mph]]\n");
    assert!(stronger > 1.5 * plain, "{stronger} {plain}");
    // A wind that was read in the hand is stronger higher up than the same on a mast.
    let (same, in_hand) = drift("  wind_height: 2 m\n");
    assert_eq!(same, plain);
    let ratio = in_hand / growing;
    // Five times the height to the seventh root is 1.2585, but for the lowest metres.
    assert!((1.25..1.2586).contains(&ratio), "{ratio}");
}

#[test]
fn places_agree_with_the_quantities_that_rules_read() {
    let library = Library::built_in();
    for text in rockets() {
        with_model(&library, &text, |model| {
            let places = model.landing_places().unwrap();
            let of = |case: LandingCase| {
                let found = places.iter().find(|p| p.case == case && p.lean != Lean::WithWind);
                found.map(|p| [p.straight, p.turned].map(|(upwind, across)| distance(upwind, across).si()))
            };
            let close = |a: f64, b: f64, what: &str| {
                assert!((a - b).abs() <= 1e-6 * b.abs().max(1.0), "{what}: {a} and {b} of {text}")
            };
            let planned = of(LandingCase::AsPlanned).unwrap();
            close(planned[1], si(model, "landing_distance"), "as planned");
            let unopened = of(LandingCase::NothingOpens).unwrap();
            close(unopened[0], si(model, "straight_unopened_distance"), "unopened, straight");
            close(unopened[1], si(model, "unopened_distance"), "unopened, turned");
            if let (Some(top), Some(shut)) = (of(LandingCase::AllAtTop), of(LandingCase::MainShut)) {
                close(top[1], si(model, "landing_distance_all_at_top"), "all at the top");
                close(shut[1], si(model, "landing_distance_main_shut"), "main shut");
            }
            // The bounds of the failure table's first line are those of the place as planned, where the first charge fires on
            // time: a motor's own may be late.
            let cases = model.failures().unwrap();
            let first = cases.first().unwrap();
            let [straight, turned] =
                first.places.clone().unwrap().map(|(upwind, across)| distance(upwind, across).si());
            if first.falling.is_none() {
                close(straight, planned[0], "failure table, straight");
                close(turned, planned[1], "failure table, turned");
            }
            let with_wind =
                places.iter().find(|p| p.case == LandingCase::AsPlanned && p.lean == Lean::WithWind);
            if let Some(place) = with_wind {
                let far = distance(place.straight.0, place.straight.1).si();
                close(far, si(model, "straight_landing_distance"), "with the wind");
            }
        });
    }
}

#[test]
fn no_failure_lands_softer_than_the_plan() {
    let library = Library::built_in();
    for text in rockets() {
        with_model(&library, &text, |model| {
            let cases = model.failures().unwrap();
            let planned = cases.first().unwrap().landing_energy.clone().unwrap().si();
            for case in &cases {
                let energy = case.landing_energy.clone().unwrap().si();
                assert!(
                    energy >= planned * (1.0 - 1e-9),
                    "{:?}: {energy} beside {planned} of {text}",
                    case.fault
                );
            }
        });
    }
}

#[test]
fn a_timeline_goes_from_ignition_to_the_ground() {
    let library = Library::built_in();
    for text in rockets() {
        with_model(&library, &text, |model| {
            let timeline = model.timeline().unwrap();
            assert!(timeline.gap.is_none(), "{text}");
            let times: Vec<f64> = timeline.events.iter().map(|one| one.time.si()).collect();
            assert!(times.windows(2).all(|pair| pair[0] <= pair[1]), "{times:?}");
            let (first, last) = (timeline.events.first().unwrap(), timeline.events.last().unwrap());
            assert_eq!(first.event, Event::Ignition);
            assert!(matches!(last.event, Event::Lands(_)) && last.height.si() == 0.0);
            let at = |event: Event| timeline.events.iter().find(|one| one.event == event).unwrap();
            let apogee = at(Event::Apogee);
            let close = |a: f64, b: f64| assert!((a - b).abs() <= 1e-6 * b.abs(), "{a} and {b} of {text}");
            close(apogee.height.si(), si(model, "apogee"));
            close(apogee.time.si(), si(model, "apogee_time"));
            close((last.time - apogee.time).si(), si(model, "descent_time"));
            close(at(Event::OffTheRail).speed.si(), si(model, "rail_exit_speed"));
            close(at(Event::Burnout).height.si(), si(model, "burnout_height"));
            // Every event of the way down lies on its course.
            assert!(timeline.trajectory.windows(2).all(|pair| pair[0].0 <= pair[1].0));
            assert!((timeline.trajectory.last().unwrap().0.si() - last.time.si()).abs() < 1e-6);
        });
    }
}

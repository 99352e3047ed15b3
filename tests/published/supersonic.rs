//! Fins past the speed of sound against linear theory, and the margin along an ascent that is fast enough for it.

use std::f64::consts::PI;

use crate::sheet::{close, near, rows};
use crate::whole_rocket::explained;
use holdpoint::engineering::planform::Planform;
use holdpoint::engineering::stability::{self, FinSet, HIGHEST_SUBSONIC_MACH};
use holdpoint::engineering::supersonic::{self, HIGHEST_MACH, LOWEST_MACH};
use holdpoint::quantity::{Length, Time};

fn m(value: f64) -> Length {
    Length::from_si(value)
}

/// A rectangular fin of chord 1 that makes a pair of an aspect ratio with its mirror image.
fn rectangle(aspect: f64) -> Planform {
    Planform { root_chord: m(1.0), tip_chord: m(1.0), span: m(aspect / 2.0), sweep: m(0.0) }
}

fn set_of(planform: &Planform) -> FinSet {
    let Planform { root_chord, tip_chord, span, sweep } = *planform;
    FinSet { count: 4, root_chord, tip_chord, span, sweep, body_diameter: m(0.0) }
}

/// The slope of a pair of fins without a body on the area of the pair: two pairs of four fins push to one side.
fn pair_slope(planform: &Planform, mach: f64) -> f64 {
    let slope = stability::fins(&set_of(planform), m(1.0), mach).unwrap().slope;
    let area = planform.span.si() * (planform.root_chord.si() + planform.tip_chord.si());
    slope * PI / 4.0 / area
}

/// Source of each row in its own column: the published slope of rectangles, their centre of pressure by half of the plane pressure behind
/// the tips' Mach lines, and the slope below the speed of sound.
#[test]
fn rectangles_are_as_published() {
    for row in &rows("supersonic.csv") {
        let of = |name: &str| -> f64 {
            let inputs = row.text("inputs");
            let found = inputs.split(' ').find_map(|one| one.strip_prefix(&format!("{name}=")));
            found.unwrap_or_else(|| panic!("{inputs} says no {name}")).parse().unwrap()
        };
        let fin = rectangle(of("AR"));
        let id = row.text("id");
        let value = match id.get(..2).unwrap() {
            "S1" => supersonic::fin(&fin, of("M")).unwrap().slope,
            "S2" => supersonic::fin(&fin, of("M")).unwrap().centre.si(),
            "S4" => pair_slope(&fin, of("M")),
            "S6" => supersonic::fin(&fin, of("M")).unwrap().slope / pair_slope(&fin, 0.0),
            other => panic!("{other} is no row of this test"),
        };
        let tolerance: f64 = row.text("tolerance").parse().unwrap();
        // A row is printed to six digits.
        close(id, value, row.number("expected"), tolerance.max(1e-5));
    }
}

/// A triangle carries 4/B at two thirds of its root where its edges lie ahead of their Mach lines; behind them (π/2) AR/E(√(1 − m²)), m =
/// B AR/4, with E from M. Abramowitz and I. A. Stegun's table 17.1: E = 1.350 643 881 for k² = ½. Nearly slender, it is π AR/2. Source:
/// linear theory of triangles (R. T. Jones 1946, H. J. Stewart 1946; from memory).
#[test]
fn triangles_have_the_slope_of_linear_theory() {
    let triangle = |aspect: f64| Planform {
        root_chord: m(1.0),
        tip_chord: m(0.0),
        span: m(aspect / 4.0),
        sweep: m(1.0),
    };
    let wide = supersonic::fin(&triangle(4.0), 2.0).unwrap();
    close("ahead of its Mach lines", wide.slope, 4.0 / 3.0_f64.sqrt(), 1e-12);
    close("two thirds", wide.centre.si(), 2.0 / 3.0, 1e-12);
    let (mach, aspect) = (2.0_f64.sqrt(), 4.0 * 0.5_f64.sqrt());
    let behind = supersonic::fin(&triangle(aspect), mach).unwrap();
    close("behind them", behind.slope, PI / 2.0 * aspect / 1.350_643_881, 1e-8);
    close("two thirds", behind.centre.si(), 2.0 / 3.0, 1e-12);
    let slender = supersonic::fin(&triangle(0.02), LOWEST_MACH).unwrap();
    close("slender", slender.slope, PI * 0.02 / 2.0, 1e-3);
}

/// Where the cones of both tips meet, linear theory gives 2 AR at B AR = 1. Source: the published form (4/B)(1 − 1/(2 B AR)).
#[test]
fn cones_that_meet_leave_twice_the_aspect_ratio() {
    let b = (LOWEST_MACH * LOWEST_MACH - 1.0).sqrt();
    for aspect in [0.3, 0.6, 1.0 / b] {
        let found = supersonic::fin(&rectangle(aspect), LOWEST_MACH).unwrap();
        close("2 AR", found.slope, 2.0 * aspect, 1e-9);
    }
}

/// Trapezoids, swept back, swept forward and with a swept trailing edge, against sums over a fine grid: each point counts half behind the
/// Mach line of the tip, and half of that again behind that of its mirror image. Source: the theory as it stands at the function.
#[test]
fn trapezoids_are_as_summed_point_by_point() {
    const GRID: u32 = 600;
    for (root, tip, span, sweep) in [
        (9.0, 4.0, 4.0, 4.0),
        (5.0, 4.0, 6.0, 1.0),
        (10.0, 2.0, 2.0, 3.0),
        (6.0, 6.0, 1.5, 0.0),
        (6.0, 5.0, 3.0, 6.0),
        (7.0, 3.0, 3.0, -1.0),
    ] {
        for mach in [1.2, 1.5, 2.0, 3.0, 5.0_f64] {
            let b = (mach * mach - 1.0).sqrt();
            let planform =
                Planform { root_chord: m(root), tip_chord: m(tip), span: m(span), sweep: m(sweep) };
            let found = supersonic::fin(&planform, mach).unwrap();
            let (mut area, mut carried, mut moment) = (0.0, 0.0, 0.0);
            for i in 0..GRID {
                let out = (f64::from(i) + 0.5) / f64::from(GRID);
                let leading = sweep * out;
                let chord = root + (tip - root) * out;
                for j in 0..GRID {
                    let x = leading + chord * (f64::from(j) + 0.5) / f64::from(GRID);
                    let patch = chord / f64::from(GRID);
                    let own = x - sweep > b * span * (1.0 - out);
                    let image = x - sweep > b * span * (1.0 + out);
                    let share = 1.0 - 0.5 * f64::from(u8::from(own)) - 0.5 * f64::from(u8::from(image));
                    area += patch;
                    carried += share * patch;
                    moment += share * patch * x;
                }
            }
            let what = format!("{root} {tip} {span} {sweep} at Mach {mach}");
            close(&what, found.slope, 4.0 / b * found.edge * carried / area, 3e-3);
            near(&what, found.centre.si(), moment / carried, 0.003 * root);
        }
    }
}

/// Slope and centre go on without a jump through both ends of the stretch between the theories, and the slope never exceeds that at Mach 0.8.
#[test]
fn one_regime_goes_over_into_the_next() {
    for planform in [
        rectangle(1.0),
        rectangle(8.0),
        Planform { root_chord: m(9.0), tip_chord: m(4.0), span: m(4.0), sweep: m(4.0) },
    ] {
        let set = FinSet { body_diameter: m(1.0), ..set_of(&planform) };
        let at = |mach: f64| stability::fins(&set, m(1.0), mach).unwrap();
        for edge in [HIGHEST_SUBSONIC_MACH, LOWEST_MACH] {
            let (before, after) = (at(edge - 1e-9), at(edge + 1e-9));
            close("slope", before.slope, after.slope, 1e-7);
            close("centre", before.centre.si(), after.centre.si(), 1e-7);
        }
        let cap = at(HIGHEST_SUBSONIC_MACH).slope;
        let steps = (81..=500).map(|step| f64::from(step) / 100.0);
        assert!(steps.clone().all(|mach| at(mach).slope <= cap * (1.0 + 1e-12)));
        let fast: Vec<f64> = steps.filter(|mach| *mach >= 1.5).map(|mach| at(mach).slope).collect();
        assert!(fast.windows(2).all(|pair| pair[1] <= pair[0]), "{planform:?}");
    }
    let refused = |mach: f64| stability::fins(&set_of(&rectangle(1.0)), m(1.0), mach).is_err();
    assert!(refused(HIGHEST_MACH + 0.1) && refused(-0.1) && refused(f64::NAN));
    assert!(supersonic::fin(&rectangle(1.0), 1.1).is_err());
}

/// The least margin along an ascent past Mach 1.8 is that of a fine grid of moments, lies where the rocket is fastest, and is below both
/// the margin off the rail and that at burnout.
#[test]
fn the_least_margin_is_that_of_a_fine_grid() {
    use holdpoint::design::Design;
    use holdpoint::model::Model;
    use holdpoint::rules::Library;
    use holdpoint::vocabulary::Date;
    use holdpoint::yaml::Source;

    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/rules/specimens/dual_deployment.rocket.yaml");
    let mut text = std::fs::read_to_string(path).unwrap();
    for (old, new) in [
        ("total_impulse: 1500 N*s", "total_impulse: 5400 N*s"),
        ("propellant_mass: 28 oz", "propellant_mass: 20 oz"),
        ("mass_with_motor: 14 lb 8 oz", "mass_with_motor: 12 lb"),
        ("balance_point: 52 in from fore", "balance_point: 60 in from fore"),
        ("      root_chord: 9 in", "      root_chord: 5 in"),
        ("      span: 4 in\n      sweep: 4 in", "      span: 6 in\n      sweep: 1 in"),
        (
            "[0.05 s, 560 N], [0.5 s, 600 N], [1.5 s, 545 N], [2.4 s, 440 N], [2.9 s, 285 N], [3.1 s, 0 N]",
            "[0.1 s, 2000 N], [2 s, 2000 N], [2.1 s, 240 N], [8 s, 240 N], [8.1 s, 0 N]",
        ),
    ] {
        assert!(text.contains(old), "{old}");
        text = text.replacen(old, new, 1);
    }
    let library = Library::built_in();
    let design = Design::read(Source::new("fast.rocket.yaml", text.clone()), &library.tables);
    let model = Model::new(&design, library.environment(Date::constant(2026, 6, 1)));
    let number = |name: &str| explained(&text, name)["si"]["value"].as_f64().unwrap();
    let history = model.margin_history(Time::from_si(0.002)).unwrap();
    let (time, least) = history.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
    near("least", number("lowest_stability"), least, 1e-3);
    assert!(number("lowest_stability") <= least + 1e-9);
    near("when", number("lowest_stability_time"), time.si(), 0.01);
    near("Mach", number("lowest_stability_mach"), number("top_mach"), 0.01);
    assert!(least < number("stability_at_rail_exit") && least < number("stability_at_burnout"));
}

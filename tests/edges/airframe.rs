//! Air, drag, stability, the shape of noses and fins, and what bends and flutters.

use holdpoint::engineering::atmosphere;
use holdpoint::engineering::bending::{self, SideForce, Stretch, Wall};
use holdpoint::engineering::drag::build_up::BuildUp;
use holdpoint::engineering::drag::law::{DragLaw, DragTable, Flow, SteadyDrag};
use holdpoint::engineering::drag::{self, Airframe, Edges};
use holdpoint::engineering::flutter::{self, Plate};
use holdpoint::engineering::nose::{Nose, NoseShape, SideView};
use holdpoint::engineering::planform;
use holdpoint::engineering::stability::{self, Contribution, FinSet};
use holdpoint::engineering::supersonic;
use holdpoint::quantity::{Length, Pressure, Speed};

use super::edge::{Edge, Within, edge, within};

/// The drag coefficient in a flow that a flight can have.
fn by_law(law: &dyn DragLaw, altitude: Length, mach: f64, burning: bool) -> Within<f64> {
    let air = atmosphere::at(altitude).or_else(|_| atmosphere::at(Length::from_si(0.0))).unwrap();
    let airspeed = Speed::from_si(mach * air.speed_of_sound.si());
    within(mach.is_finite() && mach >= 0.0, || law.coefficient(&Flow { air, airspeed, mach, burning }))
}

/// Every shape of nose, with what the shape itself takes.
fn noses(all: &mut Vec<Edge>) {
    const ORDINARY: [f64; 3] = [0.4, 0.1, 0.5];
    let shapes: [fn(f64) -> NoseShape; 7] = [
        |_| NoseShape::Cone,
        |_| NoseShape::TangentOgive,
        |arc| NoseShape::SecantOgive { arc: Length::from_si(arc * 4.0) },
        |_| NoseShape::Ellipsoid,
        |k| NoseShape::Parabola { k },
        |exponent| NoseShape::Power { exponent },
        |c| NoseShape::Haack { c },
    ];
    for shape in shapes {
        let nose = move |length, base, parameter: f64| Nose::new(shape(parameter), length, base);
        all.extend([
            edge("nose::new", &ORDINARY, "++.", move |l, d, p| nose(l, d, p).map(|n| n.base_diameter())),
            edge("nose::length", &ORDINARY, "+..", move |l, d, p| nose(l, d, p).map(|n| n.length())),
            edge("nose::base_diameter", &ORDINARY, ".+.", move |l, d, p| {
                nose(l, d, p).map(|n| n.base_diameter())
            }),
            edge("nose::radius_at", &[0.4, 0.1, 0.5, 0.13], "....", move |l, d, p, at| {
                nose(l, d, p).map(|n| n.radius_at(at))
            })
            .of_read(),
            edge("nose::fullness", &ORDINARY, "...", move |l, d, p| nose(l, d, p).map(|n| n.fullness()))
                .of_read(),
            edge("nose::volume", &ORDINARY, "...", move |l, d, p| nose(l, d, p).and_then(|n| n.volume())),
            edge("nose::skin", &ORDINARY, "...", move |l, d, p| nose(l, d, p).and_then(|n| n.skin())),
            edge("nose::side_view", &ORDINARY, "...", move |l, d, p| {
                nose(l, d, p).and_then(|n| n.side_view())
            }),
            edge("stability::nose", &[0.4, 0.1, 0.5, 0.1], "...-", move |l, d, p, reference| {
                nose(l, d, p).and_then(|n| stability::nose(&n, reference))
            }),
        ]);
    }
}

fn air(all: &mut Vec<Edge>) {
    all.extend([
        edge("atmosphere::at", &[1500.0], "-", atmosphere::at),
        edge("atmosphere::on_day", &[1500.0, 10.0], "--", |altitude: f64, offset: f64| {
            within(offset.abs() <= 80.0 && altitude.is_finite(), || atmosphere::on_day(altitude, offset))
        }),
        edge("atmosphere::geopotential", &[1500.0], "+", |z: Length| {
            within(z.si() > -5e3 && z.si() < 1e15, || atmosphere::geopotential(z))
        }),
        edge("atmosphere::geometric", &[1500.0], "+", |h: Length| {
            within(h.si() < 4e4 && h.si() > -1e5, || atmosphere::geometric(h))
        }),
        edge("atmosphere::of", &[9e4, 285.0], "+-", atmosphere::of),
        edge("atmosphere::pressure_altitude", &[9e4], "-", atmosphere::pressure_altitude),
    ]);
}

const AIRFRAME: [f64; 11] = [1.8, 0.1, 0.6, 0.08, 2e-5, 4.0, 0.15, 0.1, 0.004, 1e-4, 0.05];

fn dragging(all: &mut Vec<Edge>) {
    all.extend([
        edge("drag::smooth_friction", &[2e6], "-", drag::smooth_friction),
        edge("drag::rough_friction", &[1.8, 2e-5], "-+", drag::rough_friction),
        edge("drag::compressibility", &[0.6], "-", drag::compressibility),
        edge("drag::rough_compressibility", &[0.6], "-", drag::rough_compressibility),
        edge("drag::friction", &[2e6, 1.8, 2e-5, 0.6], "--+-", drag::friction),
        edge("drag::body_form_factor", &[18.0], "-", drag::body_form_factor),
        edge("drag::fin_form_factor", &[0.03], "+", drag::fin_form_factor),
        edge("drag::base_drag", &[0.3], "-", drag::base_drag),
        edge("drag::wake", &[0.1, 0.08, 0.1], "..-", drag::wake),
        edge("drag::base_left_burning", &[0.05, 0.1], "-+", drag::base_left_burning),
        edge("drag::transonic_rise", &[0.6], ".", drag::transonic_rise),
        edge("drag::skin", &[0.1, 0.08, 0.1], "..+", drag::skin),
        edge("drag::leading_edge", &[0.6], "+", |mach| drag::leading_edge(Edges::Rounded, mach)),
        edge("drag::leading_edge", &[0.6], "+", |mach| drag::leading_edge(Edges::Square, mach)),
        edge("drag::leading_edge", &[0.6], "+", |mach| drag::leading_edge(Edges::Tapered, mach)),
        edge("drag::trailing_edge", &[0.004, 0.15, 0.004], "--+", |cf, c, t| {
            drag::trailing_edge(Edges::Square, cf, c, t)
        }),
        edge(
            "drag::coefficient",
            &[1.8, 0.1, 0.6, 0.08, 2e-5, 4.0, 0.15, 0.1, 0.004, 1e-4, 0.05, 0.6, 2e6],
            ".....#....+..",
            |a: Airframe, mach, reynolds| drag::coefficient(&a, mach, reynolds, drag::Motor::Off),
        ),
        edge(
            "drag::factors",
            &[1.8, 0.1, 0.6, 0.08, 2e-5, 4.0, 0.15, 0.1, 0.004, 1e-4, 0.05, 0.6, 2e6],
            ".....#.......",
            |a: Airframe, mach, reynolds| drag::factors(&a, mach, reynolds),
        ),
        edge("build_up::new", &AIRFRAME, ".....#.....", |a: Airframe| {
            BuildUp::new(&a, Length::from_si(0.05)).map(|_| 0.0)
        }),
        edge(
            "build_up::at",
            &[1.8, 0.1, 0.6, 0.08, 2e-5, 4.0, 0.15, 0.1, 0.004, 1e-4, 0.05, 0.05, 0.6, 2e6],
            ".....#.....-..",
            |a: Airframe, motor, mach: f64, reynolds: f64| {
                let asked = (0.0..=drag::HIGHEST_MACH).contains(&mach) && reynolds > 0.0 && reynolds <= 1e15;
                BuildUp::new(&a, motor).map(|law| within(asked, || law.at(mach, reynolds, true)))
            },
        )
        .of_read(),
        edge("law::new", &[0.5, 500.0, 0.6], "..#", |cd: f64, altitude, mach| {
            SteadyDrag::new(cd).map(|law| by_law(&law, altitude, mach, false))
        }),
        edge("law::with_burning", &[0.45, 0.5, 500.0, 0.6], "...#", |b: f64, c: f64, altitude, mach| {
            SteadyDrag::with_burning(b, c).map(|law| by_law(&law, altitude, mach, true))
        }),
        edge(
            "law::new",
            &[0.0, 0.5, 0.9, 0.6, 1.2, 0.8, 500.0, 0.6],
            ".......#",
            |points: [(f64, f64); 3], altitude, mach| {
                DragTable::new(&points).map(|law| by_law(&law, altitude, mach, false))
            },
        )
        .of_read(),
        edge(
            "law::with_burning",
            &[0.0, 0.5, 0.9, 0.6, 500.0, 0.6],
            ".....#",
            |points: [(f64, f64); 2], altitude, mach| {
                DragTable::with_burning(&points, &points).map(|law| by_law(&law, altitude, mach, true))
            },
        )
        .of_read(),
    ]);
}

fn steady(all: &mut Vec<Edge>) {
    const SET: [f64; 8] = [4.0, 0.2, 0.1, 0.1, 0.08, 0.1, 0.1, 0.6];
    all.extend([
        edge("stability::aft_by", &[6.0, 0.2, 0.5], "...", |part: Contribution, by| part.aft_by(by)),
        edge("stability::transition", &[0.1, 0.08, 0.1, 0.1], "-+..", stability::transition),
        edge("stability::mid_chord", &[4.0, 0.2, 0.1, 0.1, 0.08, 0.1], "#..+..", |set: FinSet| {
            set.mid_chord()
        }),
        edge("stability::interference", &[4.0, 0.1, 0.1], "#-+", stability::interference),
        edge("stability::fins", &SET, "#.....-.", |set: FinSet, reference, mach| {
            stability::fins(&set, reference, mach)
        }),
        edge("stability::subsonic_fins", &SET, "#....+-+", |set: FinSet, reference, mach| {
            stability::subsonic_fins(&set, reference, mach)
        }),
        edge(
            "stability::supersonic_fins",
            &[4.0, 0.2, 0.1, 0.1, 0.08, 0.1, 0.1, 1.8],
            "#.....-.",
            |set: FinSet, reference, mach| stability::supersonic_fins(&set, reference, mach),
        ),
        edge(
            "stability::body_lift",
            &[0.15, 0.9, 1.1, 0.1, 0.1],
            "+.++-",
            |view: SideView, factor, angle, reference| stability::body_lift(view, factor, angle, reference),
        ),
        edge("stability::side_view", &[0.1, 0.08, 0.1], "+++", stability::side_view),
        edge("stability::total", &[2.0, 0.2, 8.0, 1.6], "+.+.", |parts: [Contribution; 2]| {
            stability::total(&parts)
        }),
        edge("stability::static_margin", &[1.3, 1.1, 0.1], "+-.", stability::static_margin),
        edge("supersonic::fin", &[0.2, 0.1, 0.1, 0.08, 1.8], ".....", |p, mach| supersonic::fin(&p, mach)),
        edge(
            "planform::reduced",
            &[0.1, 0.05, 0.2, 0.15],
            "....",
            |span: Length, sweep: Length, root: Length, tip: Length| {
                let leading = [(Length::from_si(0.0), Length::from_si(0.0)), (span, sweep)];
                planform::reduced(&leading, &[(Length::from_si(0.0), root), (span, sweep + tip)])
            },
        ),
        edge("flutter::aspect_ratio", &[0.2, 0.1, 0.1, 0.004, 4e9], "--+..", |p: Plate| {
            let is_fin = [p.root_chord, p.tip_chord, p.span].iter().all(|l| l.si() > 0.0);
            within(is_fin, || p.aspect_ratio())
        }),
        edge("flutter::with_skins", &[0.004, 2e9, 0.0005, 5e9], "+.+.", |sheet, skin| {
            flutter::with_skins(sheet, skin)
        }),
        edge("flutter::speed", &[0.2, 0.1, 0.1, 0.004, 4e9, 1000.0], "..-++#", |p: Plate, air| {
            flutter::speed(&p, &air)
        }),
    ]);
}

fn bent(all: &mut Vec<Edge>) {
    all.extend([
        edge(
            "bending::moment",
            &[0.0, 0.8, 2.0, 0.8, 1.8, 4.0, 0.2, 30.0, 1.6, 60.0, 0.9],
            "...........",
            |body: [Stretch; 2], forces: [SideForce; 2], x| bending::moment(&body, &forces, x),
        ),
        edge("bending::between", &[0.104, 0.1], "++", Wall::between),
        edge("bending::stress", &[0.05, 0.002, 40.0], "--.", |wall: Wall, moment| wall.stress(moment)),
        edge("bending::buckles_at", &[0.05, 0.002, 1e10], "-++", |wall: Wall, stiffness: Pressure| {
            wall.buckles_at(stiffness)
        }),
        edge("bending::knock_down", &[25.0], "-", |slender: f64| {
            within(slender >= 0.0, || bending::knock_down(slender))
        }),
    ]);
}

pub(super) fn all() -> Vec<Edge> {
    let mut all = Vec::new();
    air(&mut all);
    dragging(&mut all);
    noses(&mut all);
    steady(&mut all);
    bent(&mut all);
    all
}

//! How long an ascent takes, and the lag of a bay along it. The aims are 30 µs and 100 µs at most; a design is flown in calm air, and in
//! wind where something asks for it.
#![allow(clippy::unwrap_used, reason = "a bench may panic")]

use divan::{Bencher, black_box};
use holdpoint::engineering::ascent::{self, Accuracy, Rail, Rocket, Site, Trajectory};
use holdpoint::engineering::drag::build_up::BuildUp;
use holdpoint::engineering::drag::law::{DragLaw, DragTable, SteadyDrag};
use holdpoint::engineering::drag::{Airframe, Edges, Fins, INTERFERENCE};
use holdpoint::engineering::lag::{self, Waypoint};
use holdpoint::engineering::thrust::ThrustCurve;
use holdpoint::engineering::venting::VentedBay;
use holdpoint::quantity::{
    Angle, Area, Force, Length, Mass, Speed, Temperature, TemperatureDifference, Time, Volume,
};

fn main() {
    divan::main();
}

/// An invented motor of 24 points.
fn motor() -> ThrustCurve {
    let points: Vec<_> = (0..24)
        .map(|i| {
            let part = f64::from(i) / 23.0;
            let thrust = 1200.0 * (part * 12.0).min(1.0) * (1.0 - part).min(0.2) * (5.0 - part);
            (Time::from_si(2.7 * part), Force::from_si(thrust))
        })
        .collect();
    ThrustCurve::new(&points, None).unwrap()
}

/// Past Mach 1, so that every bend of a table is met.
fn fly(bencher: Bencher<'_, '_>, drag: &dyn DragLaw, wind: f64) {
    let thrust = motor();
    let rocket = rocket(&thrust, drag);
    let (rail, site) = (rail(), site(wind));
    bencher.bench_local(|| ascent::fly(black_box(&rocket), black_box(&rail), black_box(&site)).unwrap());
}

fn rocket<'a>(thrust: &'a ThrustCurve, drag: &'a dyn DragLaw) -> Rocket<'a> {
    Rocket {
        dry_mass: Mass::from_si(3.3),
        propellant: Mass::from_si(1.4),
        area: Area::from_si(4.86e-3),
        thrust,
        drag,
    }
}

fn rail() -> Rail {
    Rail {
        travel: Length::from_si(2.1),
        lower_travel: Some(Length::from_si(2.7)),
        angle: Angle::from_si(0.05),
    }
}

fn site(wind: f64) -> Site {
    Site {
        elevation: Length::from_si(400.0),
        temperature_offset: TemperatureDifference::from_si(9.0),
        wind: Speed::from_si(wind),
        across: Speed::from_si(0.0),
    }
}

fn table() -> DragTable {
    DragTable::new(&[(0.0, 0.45), (0.8, 0.44), (0.95, 0.55), (1.05, 0.66), (1.2, 0.64), (2.5, 0.45)]).unwrap()
}

#[divan::bench(args = [0.0, 5.0])]
fn steady_drag(bencher: Bencher<'_, '_>, wind: f64) {
    fly(bencher, &SteadyDrag::new(0.5).unwrap(), wind);
}

#[divan::bench(args = [0.0, 5.0])]
fn drag_table(bencher: Bencher<'_, '_>, wind: f64) {
    fly(bencher, &table(), wind);
}

/// An invented airframe of 78 mm.
fn airframe() -> Airframe {
    let m = Length::from_si;
    Airframe {
        length: m(1.9),
        diameter: m(0.078),
        skin: Area::from_si(0.44),
        base: m(0.078),
        roughness: m(20e-6),
        fins: Fins {
            count: 4,
            mean_chord: m(0.11),
            span: m(0.085),
            thickness: m(0.0032),
            edges: Edges::Tapered,
        },
        buttons: Area::from_si(1e-4),
        interference: INTERFERENCE,
    }
}

fn built() -> BuildUp {
    BuildUp::new(&airframe(), Length::from_si(0.054)).unwrap()
}

#[divan::bench(args = [0.0, 5.0])]
fn built_drag(bencher: Bencher<'_, '_>, wind: f64) {
    fly(bencher, &built(), wind);
}

/// Taking out of the drag what the flow does not change.
#[divan::bench]
fn build_up(bencher: Bencher<'_, '_>) {
    let airframe = airframe();
    bencher.bench_local(|| BuildUp::new(black_box(&airframe), Length::from_si(0.054)).unwrap());
}

/// The points of the way that a bay's lag is worked out along, from a flight that is kept.
#[divan::bench]
fn points_of_the_way(bencher: Bencher<'_, '_>) {
    let (thrust, drag) = (motor(), built());
    let course = Trajectory::fly(&rocket(&thrust, &drag), &rail(), &site(0.0), Accuracy::Figures).unwrap();
    bencher.bench_local(|| black_box(&course).climb(Time::from_si(0.05)).unwrap());
}

/// The lag of a bay along a trajectory that is already there, by the area of its vents in mm².
#[divan::bench(args = [6.0, 24.0, 80.0])]
fn bay_lag(bencher: Bencher<'_, '_>, vents: f64) {
    let (thrust, drag) = (motor(), built());
    let site = site(0.0);
    let moments = ascent::trajectory(&rocket(&thrust, &drag), &rail(), &site, Time::from_si(0.05)).unwrap();
    let way: Vec<_> = moments.iter().map(|m| Waypoint::of(m, site.elevation)).collect();
    let bay = VentedBay {
        volume: Volume::from_si(5e-3),
        vents: Area::from_si(vents * 1e-6),
        discharge_coefficient: 0.6,
        temperature: Temperature::from_si(288.15),
    };
    bencher.bench_local(|| lag::along(black_box(&bay), black_box(&way)).unwrap());
}

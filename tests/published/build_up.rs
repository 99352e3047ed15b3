//! The prepared drag build-up against the direct sum of the same formulas, which `drag.rs` beside this compares with published values.

use crate::sheet::close;
use holdpoint::engineering::ascent::{self, Accuracy, Rail, Rocket, Site, Trajectory};
use holdpoint::engineering::drag::build_up::{BuildUp, SLOWEST};
use holdpoint::engineering::drag::law::{DragLaw, Flow};
use holdpoint::engineering::drag::{self, Airframe, Edges, Fins, Motor};
use holdpoint::engineering::thrust::ThrustCurve;
use holdpoint::quantity::{Angle, Area, Force, Length, Mass, Speed, TemperatureDifference, Time};
use proptest::prelude::*;

const fn m(metres: f64) -> Length {
    Length::from_si(metres)
}

/// The direct sum at every moment.
struct Direct(Airframe, Length);

impl DragLaw for Direct {
    fn coefficient(&self, flow: &Flow) -> f64 {
        let reynolds = flow.air.density.si() * flow.airspeed.si() * self.0.length.si() / flow.air.viscosity;
        let motor = if flow.burning { Motor::Burning { diameter: self.1 } } else { Motor::Off };
        drag::coefficient(&self.0, flow.mach, reynolds.max(SLOWEST), motor)
            .map_or(f64::NAN, |drag| drag.total)
    }
}

/// An invented rocket: diameter, length, roughness in µm, mass at burnout, propellant, mean thrust, burn, wind.
struct Case {
    airframe: Airframe,
    motor: Length,
    dry: f64,
    propellant: f64,
    thrust: ThrustCurve,
    wind: f64,
}

impl Case {
    fn of([d, length, rough, dry, propellant, mean, burn, wind]: [f64; 8], base: f64, count: u32) -> Self {
        let points: Vec<_> = (0..24)
            .map(|i| {
                let part = f64::from(i) / 23.0;
                let thrust = 1.5 * mean * (part * 12.0).min(1.0) * (1.0 - part).min(0.2) * (5.0 - part);
                (Time::from_si(burn * part), Force::from_si(thrust))
            })
            .collect();
        let edges = match count {
            3 => Edges::Square,
            4 => Edges::Rounded,
            _ => Edges::Tapered,
        };
        let airframe = Airframe {
            length: m(length),
            diameter: m(d),
            skin: Area::from_si(3.0 * d * length),
            base: m(base * d),
            roughness: m(rough * 1e-6),
            fins: Fins { count, mean_chord: m(1.4 * d), span: m(1.1 * d), thickness: m(0.0032), edges },
            buttons: Area::from_si(1e-4),
            interference: drag::INTERFERENCE,
        };
        Self {
            airframe,
            motor: m(0.7 * d),
            dry,
            propellant,
            thrust: ThrustCurve::new(&points, None).unwrap(),
            wind,
        }
    }

    fn rocket<'a>(&'a self, drag: &'a dyn DragLaw) -> Rocket<'a> {
        Rocket {
            dry_mass: Mass::from_si(self.dry),
            propellant: Mass::from_si(self.propellant),
            area: Area::from_si(std::f64::consts::FRAC_PI_4 * self.airframe.diameter.si().powi(2)),
            thrust: &self.thrust,
            drag,
        }
    }

    fn site(&self) -> Site {
        Site {
            elevation: m(400.0),
            temperature_offset: TemperatureDifference::from_si(9.0),
            wind: Speed::from_si(self.wind),
            across: Speed::from_si(0.0),
        }
    }
}

const RAIL: Rail = Rail { travel: m(2.1), lower_travel: Some(m(2.7)), angle: Angle::from_si(0.05) };

/// From 38 mm of cardboard to 157 mm, rough and smooth, slow and past Mach 3.
fn cases() -> Vec<Case> {
    [
        ([0.038, 1.0, 60.0, 0.45, 0.06, 60.0, 1.4, 0.0], 1.0, 3),
        ([0.038, 0.9, 5.0, 0.40, 0.15, 250.0, 1.2, 5.0], 0.8, 4),
        ([0.054, 1.6, 0.0, 1.2, 0.30, 300.0, 1.8, 4.0], 1.0, 3),
        ([0.078, 1.9, 20.0, 3.3, 1.4, 1200.0, 2.7, 0.0], 0.8, 4),
        ([0.102, 2.3, 60.0, 6.5, 1.1, 700.0, 2.9, 6.0], 1.0, 3),
        ([0.157, 3.1, 200.0, 14.0, 3.5, 1500.0, 4.2, 7.0], 0.9, 4),
        ([0.157, 3.1, 20.0, 12.0, 9.0, 4500.0, 4.8, 3.0], 1.0, 3),
        ([0.054, 1.6, 1.0, 1.2, 1.3, 1800.0, 1.6, 2.0], 1.0, 0),
    ]
    .map(|(sizes, base, count)| Case::of(sizes, base, count))
    .into()
}

/// What the preparation loses of the coefficient, over all Mach numbers and through every bend of the formulas.
#[test]
fn the_prepared_coefficient_is_the_direct_one() {
    for case in cases() {
        let ready = BuildUp::new(&case.airframe, case.motor).unwrap();
        let bends = [0.8, 0.9, 1.05, 1.2].into_iter().flat_map(|m| [m - 1e-12, m, m + 1e-12]);
        for mach in (0..=500).map(|i| 0.01 * f64::from(i)).chain(bends) {
            for reynolds in (0..70).map(|i| 10_f64.powf(3.0 + 0.1003 * f64::from(i))) {
                for (burning, motor) in [(false, Motor::Off), (true, Motor::Burning { diameter: case.motor })]
                {
                    let direct = drag::coefficient(&case.airframe, mach, reynolds, motor).unwrap().total;
                    close("coefficient", ready.at(mach, reynolds, burning), direct, 1e-11);
                }
            }
        }
        assert!(ready.at(5.01, 1e6, true).is_nan() && ready.at(-0.1, 1e6, true).is_nan());
        assert!(ready.at(0.3, 0.0, true).is_nan() && ready.at(f64::NAN, 1e6, true).is_nan());
        assert!(ready.at(0.3, f64::INFINITY, true).is_nan());
    }
}

/// A flight by the prepared drag is the flight by the direct one. The coefficients differ in the twelfth digit; but a step across a bend of
/// the drag errs by some 1e-5, and how much hangs on where exactly it ends.
#[test]
fn flights_by_the_prepared_drag_are_those_by_the_direct_one() {
    let mut fastest = 0.0_f64;
    for case in cases() {
        let ready = BuildUp::new(&case.airframe, case.motor).unwrap();
        let direct = Direct(case.airframe, case.motor);
        for site in [case.site(), case.site().calm()] {
            let a = ascent::fly(&case.rocket(&ready), &RAIL, &site).unwrap();
            let b = ascent::fly(&case.rocket(&direct), &RAIL, &site).unwrap();
            close("apogee", a.apogee.height.si(), b.apogee.height.si(), 1e-5);
            close("apogee", a.apogee.time.si(), b.apogee.time.si(), 1e-5);
            close("top speed", a.top_speed.value.si(), b.top_speed.value.si(), 1e-6);
            close("exit", a.rail_exit.speed.si(), b.rail_exit.speed.si(), 1e-9);
            close("pressure", a.peak_dynamic_pressure.value.si(), b.peak_dynamic_pressure.value.si(), 1e-6);
            fastest = fastest.max(a.top_mach.value);
        }
    }
    assert!(fastest > 2.0, "{fastest}");
}

#[test]
fn refuses_what_the_direct_sum_refuses() {
    let case = &cases()[0];
    let good = case.airframe;
    assert!(BuildUp::new(&good, case.motor).is_ok());
    assert!(BuildUp::new(&good, good.base * 1.1).is_err());
    assert!(BuildUp::new(&Airframe { base: good.diameter * 1.1, ..good }, case.motor).is_err());
    assert!(BuildUp::new(&Airframe { length: m(0.0), ..good }, case.motor).is_err());
    assert!(BuildUp::new(&Airframe { interference: f64::NAN, ..good }, case.motor).is_err());
}

/// A kept flight tells the same moments as one flown for them, and the climb among them.
#[test]
fn a_kept_flight_tells_its_moments() {
    let case = &cases()[4];
    let ready = BuildUp::new(&case.airframe, case.motor).unwrap();
    let (rocket, site, apart) = (case.rocket(&ready), case.site(), Time::from_si(0.05));
    let trajectory = Trajectory::fly(&rocket, &RAIL, &site, Accuracy::Figures).unwrap();
    assert_eq!(*trajectory.ascent(), ascent::fly(&rocket, &RAIL, &site).unwrap());
    let moments = trajectory.moments(&rocket, &RAIL, &site, apart).unwrap();
    assert_eq!(moments, ascent::trajectory(&rocket, &RAIL, &site, apart).unwrap());
    let climb: Vec<_> = moments.iter().map(|m| (m.time, m.height, m.climb)).collect();
    assert_eq!(trajectory.climb(apart).unwrap(), climb);
    assert!(
        trajectory.climb(Time::from_si(0.0)).is_err() && trajectory.climb(Time::from_si(f64::NAN)).is_err()
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// The same of any size of rocket.
    #[test]
    fn any_prepared_coefficient_is_the_direct_one(
        d in 0.02_f64..0.4, fineness in 5.0_f64..40.0, rough in 0.0_f64..500.0, base in 0.71_f64..1.0, count in 0_u32..9,
        mach in 0.0_f64..5.0, log in 3.0_f64..9.5, burning: bool,
    ) {
        let case = Case::of([d, d * fineness, rough, 1.0, 1.0, 100.0, 1.0, 0.0], base, count);
        let ready = BuildUp::new(&case.airframe, case.motor).unwrap();
        let motor = if burning { Motor::Burning { diameter: case.motor } } else { Motor::Off };
        let reynolds = 10_f64.powf(log);
        let direct = drag::coefficient(&case.airframe, mach, reynolds, motor).unwrap().total;
        prop_assert!((ready.at(mach, reynolds, burning) / direct - 1.0).abs() < 1e-11);
    }
}

//! Ascents against an integration by another program, and against the closed form of a textbook.

use crate::sheet::{Row, close, near, rounds_to, rows};
use holdpoint::engineering::STANDARD_GRAVITY;
use holdpoint::engineering::ascent::{self, Rail, Rocket, Site};
use holdpoint::engineering::constant_thrust::{self, Flight, Heights};
use holdpoint::engineering::drag::law::{DragTable, Flow, SteadyDrag};
use holdpoint::engineering::integrate::{DormandPrince, Tolerance};
use holdpoint::engineering::thrust::ThrustCurve;
use holdpoint::quantity::{
    Angle, Area, Density, Force, Impulse, Length, Mass, Speed, Temperature, TemperatureDifference, Time,
};
use proptest::prelude::*;
use std::f64::consts::PI;

pub(crate) fn pairs(text: &str) -> Vec<(f64, f64)> {
    let pair = |p: &str| p.split_once(':').map(|(a, b)| (a.parse().unwrap(), b.parse().unwrap())).unwrap();
    text.split(';').map(pair).collect()
}

fn curve(points: &[(f64, f64)]) -> ThrustCurve {
    let points: Vec<_> = points.iter().map(|(t, f)| (Time::from_si(*t), Force::from_si(*f))).collect();
    ThrustCurve::new(&points, None).unwrap()
}

pub(crate) struct Case {
    thrust: ThrustCurve,
    drag: DragTable,
    dry: f64,
    propellant: f64,
    area: f64,
    pub(crate) rail: Rail,
    pub(crate) site: Site,
}

impl Case {
    pub(crate) fn of(row: &Row) -> Self {
        let length = |head: &str| Length::from_si(row.number(head));
        Self {
            thrust: curve(&pairs(row.text("thrust"))),
            drag: DragTable::with_burning(&pairs(row.text("burning")), &pairs(row.text("coasting"))).unwrap(),
            dry: row.number("dry_kg"),
            propellant: row.number("propellant_kg"),
            area: PI / 4.0 * row.number("diameter_m").powi(2),
            rail: Rail {
                travel: length("travel_m"),
                lower_travel: Some(length("lower_m")),
                angle: Angle::from_si(row.number("angle_deg").to_radians()),
            },
            site: Site {
                elevation: length("elevation_m"),
                temperature_offset: TemperatureDifference::from_si(row.number("offset_K")),
                wind: Speed::from_si(row.number("wind_m_s")),
                across: Speed::from_si(0.0),
            },
        }
    }

    pub(crate) fn rocket(&self) -> Rocket<'_> {
        Rocket {
            dry_mass: Mass::from_si(self.dry),
            propellant: Mass::from_si(self.propellant),
            area: Area::from_si(self.area),
            thrust: &self.thrust,
            drag: &self.drag,
        }
    }
}

/// Three invented rockets, one of them past Mach 1, in calm air and in wind either way: SciPy's DOP853 with a relative tolerance of
/// 1e-10, written apart from this program (`data/ascent_reference.py`).
#[test]
fn ascents_agree_with_another_program() {
    let mut seen = 0;
    let mut fastest = 0.0_f64;
    for row in rows("ascent_reference.csv") {
        let case = Case::of(&row);
        let flown = ascent::fly(&case.rocket(), &case.rail, &case.site).unwrap();
        let figures = [
            ("liftoff_s", flown.liftoff.si()),
            ("exit_s", flown.rail_exit.time.si()),
            ("exit_speed_m_s", flown.rail_exit.speed.si()),
            ("exit_thrust_to_weight", flown.rail_exit.thrust_to_weight),
            ("lower_speed_m_s", flown.rail_exit.lower_speed.unwrap().si()),
            ("burnout_s", flown.burnout.time.si()),
            ("burnout_m", flown.burnout.height.si()),
            ("burnout_speed_m_s", flown.burnout.speed.si()),
            ("apogee_s", flown.apogee.time.si()),
            ("apogee_m", flown.apogee.height.si()),
            ("drift_m", flown.apogee.drift.si()),
            ("top_speed_m_s", flown.top_speed.value.si()),
            ("top_mach", flown.top_mach.value),
            ("peak_pressure_Pa", flown.peak_dynamic_pressure.value.si()),
            ("peak_acceleration_m_s2", flown.peak_acceleration.value.si()),
            ("peak_felt_m_s2", flown.peak_felt.value.si()),
            ("peak_deceleration_m_s2", flown.peak_deceleration.value.si()),
            ("peak_felt_deceleration_m_s2", flown.peak_felt_deceleration.value.si()),
        ];
        for (head, value) in figures {
            let what = format!("{} in {} m/s: {head}", row.text("rocket"), row.text("wind_m_s"));
            close(&what, value, row.number(head), TOLERANCE);
        }
        close("coast", flown.coast().si(), row.number("apogee_s") - row.number("burnout_s"), TOLERANCE);
        fastest = fastest.max(flown.top_mach.value);
        seen += 1;
    }
    assert_eq!(seen, 9);
    assert!(fastest > 1.4, "one of them goes past Mach 1");
}

/// What is promised is 5e-4; the integrator keeps this.
pub(crate) const TOLERANCE: f64 = 5e-5;

/// The textbook's ascent, whatever integrates it: constant thrust F and the mean mass for the burn, the mass at burnout for the coast,
/// drag k v², constant gravity g. Gives the apogee.
fn textbook_by_integration(thrust: f64, burn: f64, mean: f64, last: f64, k: f64, g: f64) -> f64 {
    let tolerance = Tolerance { relative: 1e-10, absolute: [1e-9; 2] };
    let mut motion = DormandPrince::new(tolerance, 0.0, [0.0, 0.0]);
    while motion.time() < burn {
        let mut boost = |_: f64, [_, v]: &[f64; 2]| [*v, (thrust - k * v * v) / mean - g];
        motion.advance(&mut boost, burn).unwrap();
    }
    motion.restart(burn, *motion.state());
    loop {
        let mut coast = |_: f64, [_, v]: &[f64; 2]| [*v, -k * v * v.abs() / last - g];
        let step = motion.advance(&mut coast, f64::INFINITY).unwrap();
        if let Some(t) = step.rise(|_, [_, v]| -v) {
            return step.at(t)[0];
        }
    }
}

/// The program's closed form, with standard gravity.
fn closed_form(thrust: f64, burn: f64, mean: f64, last: f64, k: f64) -> Heights {
    constant_thrust::fly(&Flight {
        thrust: Force::from_si(thrust),
        burn: Time::from_si(burn),
        burning: Mass::from_si(mean),
        coasting: Mass::from_si(last),
        drag: k,
    })
    .unwrap()
}

/// *Topics in Advanced Model Rocketry*, chapter 4, equations 20, 21 and 67 and the worked example of a motor of 5.0 N·s over 1.20 s with
/// 8.33 g of propellant, g = 9.8 m/s², k = 1e-4 kg/m: the published apogees for six lift-off masses, within their rounding.
#[test]
fn the_textbook_apogees_come_out() {
    let (thrust, burn, propellant, k, g) = (5.0 / 1.2, 1.2, 8.33e-3, 1e-4, 9.8);
    let published = [
        (0.0213, "341.7"),
        (0.03, "353.3"),
        (0.04, "328.4"),
        (0.06, "233.8"),
        (0.08, "151.4"),
        (0.10, "98.3"),
    ];
    for (liftoff, apogee) in published {
        let (mean, last) = (liftoff - propellant / 2.0, liftoff - propellant);
        let integrated = textbook_by_integration(thrust, burn, mean, last, k, g);
        rounds_to("apogee", integrated, apogee);
        let integrated = textbook_by_integration(thrust, burn, mean, last, k, STANDARD_GRAVITY);
        let exact = closed_form(thrust, burn, mean, last, k);
        close("closed form", integrated, (exact.burnout_height + exact.coasted).si(), 1e-8);
        // The textbook's gravity is rounded: 9.8 for 9.80665 m/s² lowers nothing by more than a part in 900.
        close("published", (exact.burnout_height + exact.coasted).si(), apogee.parse().unwrap(), 1.2e-3);
    }
}

/// The whole ascent against the same closed form: the same thrust on a mass that hardly changes, with a drag coefficient that undoes the
/// change of density. What is left is the change of gravity, 1.1e-4 of it over 350 m, and the stretch of rail.
#[test]
fn an_ascent_follows_the_closed_form() {
    let (thrust, burn, k, area, cd) = (5.0 / 1.2, 1.2, 1e-4, 5e-4, 0.4);
    let motor = curve(&[(0.0, thrust), (burn, thrust)]);
    let density = 2.0 * k / (cd * area);
    let drag = |flow: &Flow| cd * density / flow.air.density.si();
    for mass in [0.02, 0.04, 0.08] {
        let rocket = Rocket {
            dry_mass: Mass::from_si(mass),
            propellant: Mass::from_si(1e-9),
            area: Area::from_si(area),
            thrust: &motor,
            drag: &drag,
        };
        let rail = Rail { travel: Length::from_si(0.5), lower_travel: None, angle: Angle::from_si(0.0) };
        let site = Site {
            elevation: Length::from_si(0.0),
            temperature_offset: TemperatureDifference::from_si(0.0),
            wind: Speed::from_si(0.0),
            across: Speed::from_si(0.0),
        };
        let flown = ascent::fly(&rocket, &rail, &site).unwrap();
        let exact = closed_form(thrust, burn, mass, mass, k);
        close("burnout speed", flown.burnout.speed.si(), exact.burnout_speed.si(), 1e-5);
        close("burnout height", flown.burnout.height.si(), exact.burnout_height.si(), 1e-5);
        close("apogee", flown.apogee.height.si(), (exact.burnout_height + exact.coasted).si(), 1.1e-4);
        close("coast", flown.coast().si(), exact.coast.si(), 1.1e-4);
        close("top speed", flown.top_speed.value.si(), exact.burnout_speed.si(), 1e-5);
        // At rest the whole surplus of thrust accelerates the rocket.
        close(
            "acceleration",
            flown.peak_acceleration.value.si(),
            thrust / (mass + 1e-9) - STANDARD_GRAVITY,
            1e-6,
        );
        close("felt", flown.peak_felt.value.si(), thrust / mass, 1e-6);
        // Off a rail of length s at the closed form's speed: v² = (F − m g)/k (1 − exp(−2 k s/m)).
        let off = ((thrust - mass * STANDARD_GRAVITY) / k * -(-2.0 * k * 0.5 / mass).exp_m1()).sqrt();
        close("rail exit", flown.rail_exit.speed.si(), off, 1e-6);
    }
}

/// A motor that kicks while a rocket is on its rail, which leans by 60°: by hand, without drag and with a mass that hardly changes,
/// a = F/m − g cos 60° with F rising evenly from 500 N to 1000 N in 0.1 s, and the way along the rail from that twice over time. The peak
/// stands just before the thrust falls.
#[test]
fn a_peak_on_a_leaning_rail_stands_at_its_time_and_height() {
    let motor = curve(&[(0.0, 500.0), (0.1, 1000.0), (0.1, 150.0), (1.0, 150.0)]);
    let drag = |_: &Flow| 0.5;
    let (mass, lean) = (10.0, 60.0_f64.to_radians());
    let rocket = Rocket {
        dry_mass: Mass::from_si(mass),
        propellant: Mass::from_si(1e-9),
        area: Area::from_si(1e-9),
        thrust: &motor,
        drag: &drag,
    };
    let rail = Rail {
        travel: Length::from_si(2.0),
        lower_travel: None,
        angle: Angle::from_si(60.0_f64.to_radians()),
    };
    let site = Site {
        elevation: Length::from_si(0.0),
        temperature_offset: TemperatureDifference::from_si(0.0),
        wind: Speed::from_si(0.0),
        across: Speed::from_si(0.0),
    };
    let flown = ascent::fly(&rocket, &rail, &site).unwrap();
    assert!(flown.rail_exit.time.si() > 0.1, "{:?}", flown.rail_exit);
    let along = STANDARD_GRAVITY * lean.cos();
    let way = (500.0 / mass - along) * 0.1_f64.powi(2) / 2.0 + 5000.0 / mass * 0.1_f64.powi(3) / 6.0;
    close("felt", flown.peak_felt.value.si(), 1000.0 / mass, 1e-6);
    close("acceleration", flown.peak_acceleration.value.si(), 1000.0 / mass - along, 1e-6);
    for (what, time, height) in [
        ("felt", flown.peak_felt.time, flown.peak_felt.height),
        ("acceleration", flown.peak_acceleration.time, flown.peak_acceleration.height),
    ] {
        close(what, time.si(), 0.1, 1e-6);
        close(what, height.si(), way * lean.cos(), 1e-4);
    }
}

/// Where thrust and mass both fall evenly in time and in impulse, what the rocket feels, F/m, is greatest somewhere within the line: the
/// place by the same two formulas, tried a hundred thousand times, and the way along the rail from ∫ (t − τ) a(τ) dτ.
#[test]
fn a_peak_within_a_line_stands_at_its_time_and_height() {
    let motor = curve(&[(0.0, 600.0), (1.0, 30.0)]);
    let drag = |_: &Flow| 0.5;
    let (dry, propellant, lean) = (1.0, 9.0, 60.0_f64.to_radians());
    let rocket = Rocket {
        dry_mass: Mass::from_si(dry),
        propellant: Mass::from_si(propellant),
        area: Area::from_si(1e-9),
        thrust: &motor,
        drag: &drag,
    };
    let rail = Rail { travel: Length::from_si(40.0), lower_travel: None, angle: Angle::from_si(lean) };
    let site = Site {
        elevation: Length::from_si(0.0),
        temperature_offset: TemperatureDifference::from_si(0.0),
        wind: Speed::from_si(0.0),
        across: Speed::from_si(0.0),
    };
    let flown = ascent::fly(&rocket, &rail, &site).unwrap();
    let felt = |t: f64| {
        let spent = (600.0 * t - 285.0 * t * t) / 315.0;
        (600.0 - 570.0 * t) / (dry + propellant * (1.0 - spent))
    };
    let moment = |i: u32| f64::from(i) * 1e-5;
    let top = (0..=100_000).map(moment).max_by(|a, b| felt(*a).total_cmp(&felt(*b))).unwrap();
    assert!(top > 0.5 && top < 0.9 && flown.rail_exit.time.si() > top, "{top} {:?}", flown.rail_exit);
    let a = |t: f64| felt(t) - STANDARD_GRAVITY * lean.cos();
    let step = top / 10_000.0;
    let way: f64 = (0..10_000).map(|i| (f64::from(i) + 0.5) * step).map(|t| (top - t) * a(t) * step).sum();
    close("felt", flown.peak_felt.value.si(), felt(top), 1e-6);
    near("time", flown.peak_felt.time.si(), top, 1e-3);
    close("height", flown.peak_felt.height.si(), way * lean.cos(), 5e-3);
}

/// k = ρ C_D A/2, the definition of the drag coefficient: half of 1.2 kg/m³ × 0.5 × 0.02 m² is 0.006 kg/m.
#[test]
fn the_drag_factor_is_half_of_density_coefficient_and_area() {
    let density = Density::from_si(1.2);
    let factor = constant_thrust::drag_factor(density, 0.5, Area::from_si(0.02)).unwrap();
    close("k", factor, 0.006, 1e-12);
}

fn bittern(row: usize) -> Case {
    let all = rows("ascent_reference.csv");
    let rows: Vec<_> = all.iter().filter(|r| r.text("rocket") == "bittern").collect();
    Case::of(rows[row])
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    /// A longer rail never lowers the speed at its end, while the thrust exceeds weight and drag.
    #[test]
    fn a_longer_rail_never_lowers_the_exit_speed(
        travel in 0.2..6.0_f64,
        more in 0.001..3.0_f64,
        angle in 0.0..0.5_f64,
        dry in 4.0..14.0_f64,
        elevation in 0.0..3000.0_f64,
    ) {
        let mut case = bittern(0);
        case.dry = dry;
        case.site.elevation = Length::from_si(elevation);
        let mut exit = |travel: f64| {
            case.rail = Rail {
                travel: Length::from_si(travel),
                lower_travel: None,
                angle: Angle::from_si(angle),
            };
            ascent::fly(&case.rocket(), &case.rail, &case.site).unwrap().rail_exit.speed.si()
        };
        prop_assert!(exit(travel + more) >= exit(travel));
    }

    /// More drag never carries a rocket higher, nor more mass without propellant faster.
    #[test]
    fn more_drag_never_carries_higher(cd in 0.1..1.0_f64, more in 0.001..0.5_f64) {
        let case = bittern(0);
        let top = |cd: f64| {
            let drag = SteadyDrag::new(cd).unwrap();
            let flown = ascent::fly(&Rocket { drag: &drag, ..case.rocket() }, &case.rail, &case.site).unwrap();
            (flown.apogee.height.si(), flown.top_speed.value.si())
        };
        let (light, heavy) = (top(cd), top(cd + more));
        prop_assert!(heavy.0 < light.0 && heavy.1 < light.1);
    }
}

/// The peaks and the turning points are those of the trajectory itself, and the trajectory is what a derivative of itself says.
#[test]
fn the_trajectory_and_the_summary_are_one_flight() {
    let case = bittern(1);
    let flown = ascent::fly(&case.rocket(), &case.rail, &case.site).unwrap();
    let moments = ascent::trajectory(&case.rocket(), &case.rail, &case.site, Time::from_si(0.01)).unwrap();
    let (first, last) = (moments.first().unwrap(), moments.last().unwrap());
    assert_eq!(first.time, flown.liftoff);
    assert_eq!(first.height.si(), 0.0);
    assert_eq!(*last, flown.apogee);
    let greatest = |of: fn(&ascent::Moment) -> f64| moments.iter().map(of).fold(0.0, f64::max);
    // Samples a hundredth of a second apart miss a peak that bends by 100 m/s² or so by no more than 1e-4 of it, and never surpass it.
    let peaks = [
        ("speed", flown.top_speed.value.si(), greatest(|m| m.speed.si())),
        ("Mach", flown.top_mach.value, greatest(|m| m.mach)),
        ("pressure", flown.peak_dynamic_pressure.value.si(), greatest(|m| m.dynamic_pressure.si())),
    ];
    for (what, peak, sampled) in peaks {
        close(what, peak, sampled, 1e-4);
        assert!(peak >= sampled * (1.0 - 1e-12), "{what}: {peak} below {sampled}");
    }
    for pair in moments.windows(2) {
        let (a, b) = (&pair[0], &pair[1]);
        let dt = b.time.si() - a.time.si();
        assert!(dt > 0.0 && dt < 0.01 + 1e-9);
        let mean = 0.5 * (a.climb.si() + b.climb.si());
        near("climb", (b.height.si() - a.height.si()) / dt, mean, 0.02);
    }
}

/// The wind of a site costs height; both ends of the day come from one call.
#[test]
fn the_windy_bound_is_lower() {
    let case = bittern(1);
    let bounds = ascent::fly_both(&case.rocket(), &case.rail, &case.site).unwrap();
    assert_eq!(bounds.calm, ascent::fly(&case.rocket(), &case.rail, &case.site.calm()).unwrap());
    assert_eq!(bounds.windy, ascent::fly(&case.rocket(), &case.rail, &case.site).unwrap());
    assert!(bounds.windy.apogee.height.si() < bounds.calm.apogee.height.si());
}

/// A thrust that dips below the weight while the rocket is on the rail stops it; it rests there until the thrust is back.
#[test]
fn a_false_start_rests_on_the_rail() {
    let mut case = bittern(0);
    case.thrust =
        curve(&[(0.0, 0.0), (0.02, 300.0), (0.04, 0.0), (1.0, 0.0), (1.1, 900.0), (3.0, 900.0), (3.1, 0.0)]);
    let flown = ascent::fly(&case.rocket(), &case.rail, &case.site).unwrap();
    assert!(flown.liftoff.si() < 0.02);
    assert!(flown.rail_exit.time.si() > 1.1, "{:?}", flown.rail_exit);
    // Without the hiccup the rail is shorter by the millimetres that it moved the rocket.
    let height = |t: f64| {
        let moments =
            ascent::trajectory(&case.rocket(), &case.rail, &case.site, Time::from_si(0.01)).unwrap();
        moments.iter().find(|m| m.time.si() > t).unwrap().height.si()
    };
    near("moved little", height(0.9), 0.0, 0.01);
}

#[test]
fn refuses_what_cannot_fly() {
    let good = bittern(0);
    let refused = |change: &dyn Fn(&mut Case), says: &str| {
        let mut case = bittern(0);
        change(&mut case);
        let error = ascent::fly(&case.rocket(), &case.rail, &case.site).unwrap_err();
        assert!(error.reason.contains(says), "{}", error.reason);
    };
    assert!(ascent::fly(&good.rocket(), &good.rail, &good.site).is_ok());
    refused(&|c| c.dry = 0.0, "mass at burnout");
    refused(&|c| c.dry = f64::NAN, "mass at burnout");
    refused(&|c| c.propellant = -1.0, "propellant");
    refused(&|c| c.propellant = 0.0, "propellant");
    refused(&|c| c.area = 0.0, "reference area");
    refused(&|c| c.dry = 500.0, "never leaves the rail");
    refused(
        &|c| {
            (c.rail.travel, c.rail.lower_travel) = (Length::from_si(1e4), None);
        },
        "never leaves the rail",
    );
    refused(&|c| c.rail.travel = Length::from_si(0.0), "travel");
    refused(&|c| c.rail.lower_travel = Some(Length::from_si(0.1)), "lower button");
    refused(&|c| c.rail.angle = Angle::from_si(1.6), "upright");
    refused(&|c| c.rail.angle = Angle::from_si(f64::NAN), "angle");
    refused(&|c| c.site.elevation = Length::from_si(40_000.0), "standard atmosphere");
    refused(&|c| c.site.temperature_offset = TemperatureDifference::from_si(200.0), "day on earth");
    refused(&|c| c.site.wind = Speed::from_si(f64::INFINITY), "wind");
    refused(&|c| (c.dry, c.area) = (1.0, 1e-5), "32 km");
    refused(
        &|c| c.thrust = curve(&[(0.0, 300.0), (0.3, 300.0), (0.4, 20.0), (60.0, 20.0)]),
        "stops climbing before",
    );
    let nonsense = |_: &Flow| f64::NAN;
    let rocket = Rocket { drag: &nonsense, ..good.rocket() };
    assert!(ascent::fly(&rocket, &good.rail, &good.site).is_err());
    let apart = Time::from_si(0.0);
    assert!(ascent::trajectory(&good.rocket(), &good.rail, &good.site, apart).is_err());
}

#[test]
fn a_curve_must_be_one_and_agree_with_its_impulse() {
    let new = |points: &[(f64, f64)], stated: Option<f64>| {
        let points: Vec<_> = points.iter().map(|(t, f)| (Time::from_si(*t), Force::from_si(*f))).collect();
        ThrustCurve::new(&points, stated.map(Impulse::from_si))
    };
    // A trapezium: 100 N for 2 s between ramps of 0.5 s.
    let points = [(0.5, 100.0), (2.5, 100.0), (3.0, 0.0)];
    let curve = new(&points, Some(250.0)).unwrap();
    close("impulse with the rise from nothing", curve.impulse().si(), 250.0, 1e-12);
    // From 5 N at 0.025 s to 5 N at 2.975 s.
    close("average", curve.average().si(), 250.0 / 2.95, 1e-12);
    close("burnout", curve.burnout().si(), 2.975, 1e-12);
    assert_eq!(curve.peak().si(), 100.0);
    assert!(new(&points, Some(250.0 / 1.0999)).is_ok());
    assert!(new(&points, Some(250.0 / 1.1001)).is_err());
    assert!(new(&points, Some(250.0 / 0.8999)).is_err());
    assert!(new(&points, Some(0.0)).is_err());
    assert!(new(&[(0.0, 1.0)], None).is_err());
    assert!(new(&[(0.0, 1.0), (1.0, -1.0)], None).is_err());
    assert!(new(&[(0.0, 1.0), (1.0, 1.0), (0.5, 1.0)], None).is_err());
    assert!(new(&[(0.0, 0.0), (1.0, 0.0)], None).is_err());
    assert!(new(&[(0.0, 1.0), (f64::NAN, 1.0)], None).is_err());
    assert!(new(&[(0.0, 1e300), (1e300, 1e300)], None).is_err());
}

#[test]
fn travel_and_offset_follow_the_geometry_and_the_day() {
    let m = Length::from_si;
    // A rail of 3 m, the aft end 0.2 m up it, the button 1.5 m behind the tip of a rocket of 2.2 m: 3 − 0.2 − 0.7.
    close("travel", ascent::rail_travel(m(3.0), m(0.2), m(2.2), m(1.5)).unwrap().si(), 2.1, 1e-12);
    assert!(ascent::rail_travel(m(0.8), m(0.2), m(2.2), m(1.5)).is_err());
    // The printed standard temperature at 1000 m is 281.65 K (U.S. Standard Atmosphere, 1976).
    let offset = ascent::temperature_offset(Temperature::from_si(300.0), m(1000.0)).unwrap();
    near("offset", offset.si(), 300.0 - 281.65, 0.005);
    assert!(ascent::temperature_offset(Temperature::from_si(100.0), m(0.0)).is_err());
    let ratio = ascent::thrust_to_weight(Force::from_si(98.066_5), Mass::from_si(2.0)).unwrap();
    close("thrust to weight", ratio, 5.0, 1e-12);
    assert!(ascent::thrust_to_weight(Force::from_si(1.0), Mass::from_si(0.0)).is_err());
}

//! What must be so for any rocket (the ascent's own beside its checks), whatever its numbers: monotone in what should help, and the same when every scale changes alike.

use holdpoint::engineering::flutter::{self, Plate};
use holdpoint::engineering::lag::{self, Waypoint};
use holdpoint::engineering::planform::reduced;
use holdpoint::engineering::stability::{self, FinSet};
use holdpoint::engineering::venting::VentedBay;
use holdpoint::engineering::{atmosphere, parachute, pins};
use holdpoint::quantity::{Acceleration, Area, Length, Mass, Pressure, Speed, Temperature, Time, Volume};
use proptest::prelude::*;

fn m(value: f64) -> Length {
    Length::from_si(value)
}

fn fins(count: u32, root: f64, tip: f64, span: f64, sweep: f64, body: f64) -> FinSet {
    FinSet {
        count,
        root_chord: m(root),
        tip_chord: m(tip),
        span: m(span),
        sweep: m(sweep),
        body_diameter: m(body),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    /// More span never lowers the slope of the fins' side force.
    #[test]
    fn more_span_never_lowers_the_slope(
        count in prop::sample::select(vec![3_u32, 4, 6]), root in 0.02_f64..0.6, taper in 0.0_f64..1.2, span in 0.01_f64..0.4,
        more in 0.0_f64..0.3, sweep in -0.1_f64..0.4, body in 0.02_f64..0.3, mach in 0.0_f64..0.8,
    ) {
        // Sweep as an angle: the same fin drawn out further, not another fin.
        let slope = |span: f64| {
            let set = fins(count, root, root * taper, span, sweep * span / 0.2, body);
            stability::fins(&set, m(body), mach).unwrap().slope
        };
        prop_assert!(slope(span + more) >= slope(span) * (1.0 - 1e-12));
    }

    /// The static margin and the slope of the fins have no scale of their own: every length times k changes neither.
    #[test]
    fn a_rocket_drawn_larger_is_as_stable(
        k in 0.1_f64..20.0, root in 0.05_f64..0.4, tip in 0.0_f64..0.3, span in 0.03_f64..0.3, sweep in 0.0_f64..0.3, body in 0.03_f64..0.2,
        station in 0.3_f64..2.0, balance in 0.2_f64..1.5,
    ) {
        let margin = |k: f64| {
            let set = fins(4, root * k, tip * k, span * k, sweep * k, body * k);
            let tail = stability::fins(&set, m(body * k), 0.0).unwrap().aft_by(m(station * k));
            stability::static_margin(tail.centre, m(balance * k), m(body * k)).unwrap()
        };
        prop_assert!((margin(k) - margin(1.0)).abs() < 1e-9 * (1.0 + margin(1.0).abs()));
    }

    /// Flutter speed goes with the thickness to the power of 3/2, with the root of the shear modulus, and not with the size alone.
    #[test]
    fn flutter_scales_as_its_groups_do(
        k in 0.2_f64..5.0, root in 0.05_f64..0.4, taper in 0.1_f64..1.0, span in 0.03_f64..0.3, share in 0.005_f64..0.05, modulus in 1e9_f64..3e10,
    ) {
        let air = atmosphere::at(m(1000.0)).unwrap();
        let speed = |size: f64, thick: f64, stiff: f64| {
            let plate = Plate {
                root_chord: m(root * size),
                tip_chord: m(root * taper * size),
                span: m(span * size),
                thickness: m(root * share * size * thick),
                shear_modulus: Pressure::from_si(modulus * stiff),
            };
            flutter::speed(&plate, &air).unwrap().si()
        };
        let base = speed(1.0, 1.0, 1.0);
        prop_assert!((speed(k, 1.0, 1.0) / base - 1.0).abs() < 1e-9);
        prop_assert!((speed(1.0, k, 1.0) / base / k.powf(1.5) - 1.0).abs() < 1e-9);
        prop_assert!((speed(1.0, 1.0, k) / base / k.sqrt() - 1.0).abs() < 1e-9);
    }

    /// A rate of descent goes with the root of the weight over the drag area and the density; the pull of a part with its mass.
    #[test]
    fn descents_and_pulls_scale(mass in 0.2_f64..60.0, area in 0.05_f64..20.0, k in 0.1_f64..10.0, felt in 1.0_f64..200.0) {
        let rate = |mass: f64, area: f64| {
            let air = atmosphere::at(m(0.0)).unwrap();
            parachute::descent_rate(Mass::from_si(mass), Area::from_si(area), air.density).unwrap().si()
        };
        prop_assert!((rate(mass * k, area) / rate(mass, area) - k.sqrt()).abs() < 1e-9 * k.sqrt());
        prop_assert!((rate(mass * k, area * k) / rate(mass, area) - 1.0).abs() < 1e-9);
        let pull = |mass: f64| pins::inertial_pull(Mass::from_si(mass), Acceleration::from_si(felt)).unwrap().si();
        prop_assert!((pull(mass * k) / pull(mass) - k).abs() < 1e-9 * k);
    }

    /// A trapezoid stands for itself: the reduction gives back what it was drawn from, with nothing outside.
    #[test]
    fn a_trapezoid_reduces_to_itself(root in 0.05_f64..0.4, taper in 0.05_f64..1.0, span in 0.03_f64..0.3, sweep in -0.1_f64..0.3, cut in 0.1_f64..0.9) {
        let tip = root * taper;
        let leading = [(0.0, 0.0), (cut * span, cut * sweep), (span, sweep)].map(|(y, x)| (m(y), m(x)));
        let trailing = [(0.0, root), (span, sweep + tip)].map(|(y, x)| (m(y), m(x)));
        let found = reduced(&leading, &trailing).unwrap();
        prop_assert!((found.planform.root_chord.si() - root).abs() < 1e-9);
        prop_assert!((found.planform.tip_chord.si() - tip).abs() < 1e-9);
        prop_assert!((found.planform.sweep.si() - sweep).abs() < 1e-9);
        prop_assert!(found.elsewhere < 1e-9);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    /// More vent area never raises the lag of a bay.
    #[test]
    fn more_vent_area_never_raises_the_lag(
        volume in 1e-4_f64..2e-2, vents in 1e-6_f64..1e-4, more in 1.0_f64..10.0, speed in 20.0_f64..350.0,
    ) {
        let way: Vec<Waypoint> = (0..=20)
            .map(|i| {
                let t = f64::from(i) * 0.4;
                let (z, v) = (speed * (t - t * t / 16.0), speed * (1.0 - t / 8.0));
                Waypoint { time: Time::from_si(t), altitude: m(200.0 + z), climb: Speed::from_si(v) }
            })
            .collect();
        let greatest = |vents: f64| {
            let bay = VentedBay {
                volume: Volume::from_si(volume),
                vents: Area::from_si(vents),
                discharge_coefficient: 0.6,
                temperature: Temperature::from_si(290.0),
            };
            lag::along(&bay, &way).unwrap().greatest.height.si()
        };
        prop_assert!(greatest(vents * more) <= greatest(vents) * (1.0 + 1e-3) + 1e-4);
    }
}

/// A quarter of an ellipse of root chord c and span s: area π c s/4, so with the same root the tip is (π/2 − 1) c; the leading edge straight
/// across the span's root half chord gives the quarter-chord by the closed integrals below. Source: plane geometry.
#[test]
fn an_elliptic_fin_reduces_to_the_trapezoid_of_its_area() {
    let (c, s) = (0.2, 0.12);
    let points = 4000;
    let edge = |sign: f64| -> Vec<(Length, Length)> {
        (0..=points)
            .map(|i| {
                let y = s * f64::from(i) / f64::from(points);
                (m(y), m(c / 2.0 + sign * c / 2.0 * (1.0 - (y / s).powi(2)).max(0.0).sqrt()))
            })
            .collect()
    };
    let found = reduced(&edge(-1.0), &edge(1.0)).unwrap();
    let tip = (std::f64::consts::FRAC_PI_2 - 1.0) * c;
    assert!((found.planform.tip_chord.si() / tip - 1.0).abs() < 1e-4, "{found:?}");
    // Quarter-chord of the ellipse: mid-chord at c/2 everywhere, less a quarter of the mean of the chord over the area,
    // ∫ c²(y) dy / A = c² (2/3) s / (π c s / 4) = 8 c / (3 π).
    let quarter = c / 2.0 - 0.25 * 8.0 * c / (3.0 * std::f64::consts::PI);
    let (root, x) = (found.planform.root_chord.si(), found.planform.sweep.si());
    let of_trapezoid =
        x / 3.0 * (root + 2.0 * tip) / (root + tip) + (root + tip - root * tip / (root + tip)) / 6.0;
    assert!((of_trapezoid / quarter - 1.0).abs() < 1e-4, "{of_trapezoid} {quarter}");
    assert!(found.elsewhere > 0.03 && found.elsewhere < 0.1, "{}", found.elsewhere);
}

#[test]
fn outlines_that_are_no_fins_are_refused() {
    let line = |points: &[(f64, f64)]| points.iter().map(|(y, x)| (m(*y), m(*x))).collect::<Vec<_>>();
    let leading = line(&[(0.0, 0.0), (0.1, 0.05)]);
    assert!(reduced(&leading, &line(&[(0.0, 0.2), (0.1, 0.1)])).is_ok());
    // Other spans, edges that do not begin at the body, edges that cross, no area, and a fin that is mostly a far-off lobe.
    assert!(reduced(&leading, &line(&[(0.0, 0.2), (0.12, 0.1)])).is_err());
    assert!(reduced(&leading, &line(&[(0.01, 0.2), (0.1, 0.1)])).is_err());
    assert!(reduced(&leading, &line(&[(0.0, 0.2), (0.1, 0.01)])).is_err());
    assert!(reduced(&leading, &leading).is_err());
    assert!(reduced(&[], &[]).is_err());
    let lobe = line(&[(0.0, 0.02), (0.05, 0.02), (0.051, 0.3), (0.1, 0.3)]);
    assert!(reduced(&line(&[(0.0, 0.0), (0.1, 0.0)]), &lobe).is_err());
}

//! Joints, screws, cords, igniters, charges and vents.

use holdpoint::engineering::igniter::{self, Arrangement, Circuit};
use holdpoint::engineering::loads::{self, ThreadedHole, WallHoles};
use holdpoint::engineering::pins::{self, Half};
use holdpoint::engineering::plate::{self, Edge as PlateEdge};
use holdpoint::engineering::venting::{self, VentedBay};
use holdpoint::engineering::{bond, charge, gas_cartridge, motors, snatch};
use holdpoint::quantity::{Force, Length, Pressure};

use super::edge::{Edge, edge};

pub(super) fn all() -> Vec<Edge> {
    vec![
        edge("bond::ring_area", &[3.0, 0.006, 0.1], "#++", bond::ring_area),
        edge("bond::lap_area", &[0.05, 0.1], "++", bond::lap_area),
        edge("bond::average_shear", &[500.0, 0.01], "+-", bond::average_shear),
        edge("bond::ring_shear", &[500.0, 3.0, 0.006, 0.1], "+#--", bond::ring_shear),
        edge("bond::safety_factor", &[1e7, 1e6], "+-", bond::safety_factor),
        edge("charge::pressure_rise", &[0.002, 0.003], "+-", charge::pressure_rise),
        edge("charge::mass_for", &[1e5, 0.003], "++", charge::mass_for),
        edge("charge::bulkhead_force", &[1e5, 0.1], "++", charge::bulkhead_force),
        edge("charge::pressure_for_force", &[800.0, 0.1], "+-", charge::pressure_for_force),
        edge("gas_cartridge::warm_rise", &[0.012, 0.003, 290.0], "+-.", gas_cartridge::warm_rise),
        edge("gas_cartridge::cold_rise", &[0.012, 0.003, 290.0, 9e4], ".-..", gas_cartridge::cold_rise),
        edge("igniter::current", &[9.0, 1.0, 0.2, 1.5, 2.0], "+---#", |c: Circuit| igniter::current(&c)),
        edge("igniter::current", &[9.0, 1.0, 0.2, 1.5, 2.0], "+---#", |c: Circuit| {
            igniter::current(&Circuit { arrangement: Arrangement::Series, ..c })
        }),
        edge("igniter::bridge_energy", &[2.0, 1.5, 0.01], "+++", igniter::bridge_energy),
        edge("igniter::lead_resistance", &[1.2, 3e-7], "+-", igniter::lead_resistance),
        edge("igniter::gauge_area", &[24.0], "#", igniter::gauge_area),
        edge("loads::bolt_load", &[2e-5, 4e8], "++", loads::bolt_load),
        edge(
            "loads::load",
            &[0.006, 0.005, 0.001, 0.01, 2e8, 4e8],
            "......",
            |h: ThreadedHole, p: Pressure, s: Pressure| loads::stripping(&h, p, s).map(|found| found.load()),
        ),
        edge(
            "loads::stripping",
            &[0.006, 0.005, 0.001, 0.01, 2e8, 4e8],
            "...++.",
            |h: ThreadedHole, p: Pressure, s: Pressure| loads::stripping(&h, p, s),
        ),
        edge("loads::shear_of_metal", &[4e8], "+", loads::shear_of_metal),
        edge("loads::tear_out", &[4.0, 0.004, 0.002, 0.015, 5e7], "#-+++", |h: WallHoles, s: Pressure| {
            loads::tear_out(&h, s)
        }),
        edge("loads::bearing", &[4.0, 0.004, 0.002, 0.015, 5e7], "#++.+", |h: WallHoles, s: Pressure| {
            loads::bearing(&h, s)
        }),
        edge("loads::weakest", &[500.0, 400.0, 600.0], "...", |links: [Force; 3]| {
            loads::weakest(&links).map(|(_, load)| load)
        }),
        edge("motors::class", &[700.0], "#", motors::class),
        edge("motors::certification_level", &[700.0], "#", motors::certification_level),
        edge("pins::shear_load", &[3.0, 2e-6, 6e7], "#++", pins::shear_load),
        edge("pins::trapped_air_pull", &[2e4, 0.1], "++", pins::trapped_air_pull),
        edge("pins::inertial_pull", &[2.0, 50.0], "++", pins::inertial_pull),
        edge("pins::drag_separation_pull", &[2.0, 20.0, 4.0, 60.0], ".-.+", |a: Half, b: Half| {
            pins::drag_separation_pull(a, b)
        }),
        edge("plate::hub_factor", &[0.1, 0.02], "+-", |p: Length, w: Length| {
            plate::hub_factor(p, w, PlateEdge::Clamped)
        }),
        edge("plate::hub_factor", &[0.1, 0.02], "+-", |p: Length, w: Length| {
            plate::hub_factor(p, w, PlateEdge::SimplySupported)
        }),
        edge("snatch::throw", &[1e5, 9e4, 0.003, 0.002], "+-..", snatch::throw),
        edge("snatch::catch", &[100.0, 5000.0, 0.2, 8.0], "++--", snatch::catch),
        edge("venting::area_by_rule", &[0.002], "+", venting::area_by_rule),
        edge("venting::hole_diameter", &[4e-5, 4.0], "+#", venting::hole_diameter),
        edge("venting::hole_area", &[0.006, 4.0], "+#", venting::hole_area),
        edge("venting::trapped_pressure", &[200.0, 1500.0], "-+", venting::trapped_pressure),
        edge(
            "venting::lag_in_climb",
            &[0.002, 3e-5, 0.6, 290.0, 100.0, 1000.0],
            "+--.+.",
            |b: VentedBay, v, h| venting::lag_in_climb(&b, v, h),
        ),
    ]
}

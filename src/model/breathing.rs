//! How far the air in an altimeter bay lags behind the air outside along the computed ascent.

use std::f64::consts::FRAC_PI_4;
use std::rc::Rc;

use super::ascent::flown;
use super::bays::AIR_VOLUME;
use super::joints::computed;
use super::memo::Artifact;
use super::{EvalContext, Computed, Outcome, Type, both};
use crate::design::{SECTION, flight, rocket, section, vent};
use crate::engineering::lag::{self, BayLag, Waypoint};
use crate::engineering::venting::{self, BreathingBay};
use crate::quantity::{Area, Dimension as D, Length, Temperature, Time, Volume};
use crate::vocabulary::{EntityId, Value};

/// Discharge coefficient of a drilled hole with sharp edges: the low end, which makes the lag larger (from memory).
const SHARP_EDGE: f64 = 0.6;
/// How far apart the points of the ascent lie, s: the curve between them is a cubic with their climbs.
const APART: f64 = 0.05;

computed! {
    /// How much too low an altimeter in the bay reads at most on the way up.
    CLIMB_LAG: "climb_lag" of SECTION gives Type::Quantity(D::LENGTH),
        "greatest along the ascent, from dp/dt = −R T / air volume × flow through the vents (discharge coefficient 0.6)",
        "mass balance and isentropic orifice, first principles", |asking, id| {
            let breath = breathe(asking, id)?;
            let Breath { bay, way, lag } = &*breath;
            by_hand(asking, bay, way, lag);
            asking.step("greatest lag: when", "since ignition", lag.greatest_at);
            asking.step("greatest lag: pressure", "inside − outside", lag.greatest.pressure);
            Ok(Value::Quantity(lag.greatest.height.into()))
        };
    /// How much too low an altimeter in the bay reads at the highest point.
    APOGEE_LAG: "apogee_lag" of SECTION gives Type::Quantity(D::LENGTH),
        "at the end of the ascent, from dp/dt = −R T / air volume × flow through the vents (discharge coefficient 0.6)",
        "mass balance and isentropic orifice, first principles", |asking, id| {
            let lag = &breathe(asking, id)?.lag;
            asking.step("lag: pressure", "inside − outside", lag.last.pressure);
            Ok(Value::Quantity(lag.last.height.into()))
        };
}

pub(super) const COMPUTED: &[&Computed] = &[&CLIMB_LAG, &APOGEE_LAG];

/// The lag as a calculator gives it, for a steady climb as fast as at the moment when it is greatest.
fn by_hand(asking: &EvalContext<'_>, bay: &BreathingBay, way: &[Waypoint], lag: &BayLag) {
    let apart = |point: &Waypoint| (point.time.si() - lag.greatest_at.si()).abs();
    let Some(then) = way.iter().min_by(|a, b| apart(a).total_cmp(&apart(b))) else { return };
    // Holes too small by far have no such sum; the integrated lag stands by itself then.
    let Ok(steady) = venting::lag_in_climb(bay, then.climb, then.altitude) else { return };
    asking.step("climb then", "of the ascent", then.climb);
    asking.step("altitude then", "above the sea", then.altitude);
    asking.step(
        "by hand: pressure of a steady climb",
        "(density × g × climb × air volume / (0.6 × vent area × R × T))² / (2 × density)",
        steady.pressure,
    );
    asking.step("by hand: the same as height", "pressure / (density × g)", steady.height);
}

/// The lag of an altimeter bay along the ascent: how much too low an altimeter in it reads, by time since ignition.
pub(super) fn lag_course(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Vec<(Time, Length)>> {
    let breath = breathe(asking, id)?;
    let Breath { bay, way, .. } = &*breath;
    let points = asking.worked(lag::course(bay, way))?;
    Ok(points.into_iter().map(|(time, lag)| (time, lag.height)).collect())
}

/// The breath of a bay along the ascent.
#[derive(Debug)]
pub(super) struct Breath {
    bay: BreathingBay,
    way: Vec<Waypoint>,
    lag: BayLag,
}

/// Asked for by two quantities and a plot, and worked out once.
static BREATH: Artifact<Breath> = Artifact { compute: breath };

fn breathe(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Rc<Breath>> {
    asking.working_of(id, &BREATH)
}

fn breath(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Breath> {
    let root = asking.model().root();
    let mut vents: Outcome<f64> = Ok(0.0);
    for hole in asking.things(id, section::vents)?.iter().copied() {
        let one = both(asking.count(hole, vent::count), asking.typed::<Length>(hole, vent::diameter));
        vents =
            both(vents, one).map(|(sum, (count, d))| sum + f64::from(count) * FRAC_PI_4 * d.si() * d.si());
    }
    let place = asking.part(root, rocket::flight)?.ok_or_else(|| asking.refuse("no flight is described"))?;
    let bay = both(vents, asking.ask_typed::<Volume>(id, &AIR_VOLUME));
    let day = both(
        asking.typed::<Temperature>(place, flight::temperature),
        asking.typed::<Length>(place, flight::site_elevation),
    );
    let ((vents, volume), ((temperature, elevation), flight)) = both(bay, both(day, flown(asking, root)))?;
    if vents <= 0.0 {
        return Err(asking.refuse("a bay without holes does not follow the air outside at all"));
    }
    let vents = Area::from_si(vents);
    asking.step("vent area", "Σ count × π/4 × diameter²", vents);
    let bay = BreathingBay { volume, vents, discharge_coefficient: SHARP_EDGE, temperature };
    let way: Vec<Waypoint> = flight
        .climb(Time::from_si(APART))
        .into_iter()
        .map(|(time, height, climb)| Waypoint { time, altitude: elevation + height, climb })
        .collect();
    let lag = asking.worked(lag::along(&bay, &way))?;
    Ok(Breath { bay, way, lag })
}

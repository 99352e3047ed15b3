//! The places over the ground where the rocket may come down, as planned and with a failure.

use super::ascent::{INTO_THE_WIND, flight_result, rail_azimuth, windy};
use super::landing::{DRIFT, DRIFT_ALL_AT_TOP, DRIFT_MAIN_SHUT};
use super::launch_site::planned_flight;
use super::parachutes::opens_low;
use super::wind::stated;
use super::{EvalContext, Model, Outcome, both};
use crate::design::{Parachute, flight};
use crate::engineering::landing::against_wind;
use crate::quantity::{Angle, Length};

/// What opens on the way down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LandingCase {
    /// Each parachute at its height.
    AsPlanned,
    /// All of them at the highest point.
    AllAtTop,
    /// Those that open low stay shut.
    MainShut,
    /// Nothing: it comes down whole, nose first.
    NothingOpens,
}

/// To which side the rail leans.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lean {
    /// It stands upright.
    Upright,
    /// To the side that is written down.
    AsStated,
    /// Into the wind; nobody has said to which side it leans.
    IntoWind,
    /// With the wind; nobody has said to which side it leans.
    WithWind,
}

/// A place over the ground: how far upwind of the pad, and how far to the right of that.
pub type OnField = (Length, Length);

/// Where the rocket comes down in one case: somewhere between two bounds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LandingPlace {
    /// What opens.
    pub case: LandingCase,
    /// To which side the rail leans.
    pub lean: Lean,
    /// Where it flew as the rail points, and nothing turned it.
    pub straight: OnField,
    /// Where it turned into the wind at once.
    pub turned: OnField,
}

impl Model<'_> {
    /// Where the rocket may come down. Where it leans and nobody has said to which side, both into the wind and with it.
    ///
    /// # Errors
    /// When the ascent, the wind or the way down are not known.
    pub fn landing_places(&self) -> Outcome<Vec<LandingPlace>> {
        places(&self.context())
    }

    /// The side to which the rail leans, clockwise from where the wind comes from, where it leans and somebody has said.
    #[must_use]
    pub fn lean_of_rail(&self) -> Option<Angle> {
        let ctx = self.context();
        let site = planned_flight(&ctx, ctx.rocket()).ok()?;
        let leans =
            ctx.has(site, flight::rail_angle).ok()? && ctx.get(site, flight::rail_angle).ok()?.si() > 0.0;
        rail_azimuth(&ctx, site).ok()?.filter(|_| leans)
    }

    /// How far the wind has turned since the sides were told, where somebody has said.
    #[must_use]
    pub fn wind_veer(&self) -> Option<Angle> {
        let ctx = self.context();
        let site = planned_flight(&ctx, ctx.rocket()).ok()?;
        if ctx.has(site, flight::wind_veer).ok()? { ctx.get(site, flight::wind_veer).ok() } else { None }
    }
}

fn places(ctx: &EvalContext<'_>) -> Outcome<Vec<LandingPlace>> {
    let root = ctx.rocket();
    let site = planned_flight(ctx, root)?;
    let mut drifts = vec![(LandingCase::AsPlanned, ctx.query(root, &DRIFT)?)];
    let mut low = false;
    for canopy in ctx.every::<Parachute>() {
        low |= opens_low(ctx, canopy)?;
    }
    if low {
        drifts.push((LandingCase::AllAtTop, ctx.query(root, &DRIFT_ALL_AT_TOP)?));
        drifts.push((LandingCase::MainShut, ctx.query(root, &DRIFT_MAIN_SHUT)?));
    }
    let (flight_result, wind) = both(flight_result(ctx, root), stated(ctx, site))?;
    let upright = !ctx.has(site, flight::rail_angle)? || ctx.get(site, flight::rail_angle)?.si() == 0.0;
    let leans: &[(Lean, Angle)] = match rail_azimuth(ctx, site)? {
        _ if upright => &[(Lean::Upright, INTO_THE_WIND)],
        Some(azimuth) => &[(Lean::AsStated, azimuth)],
        None => &[(Lean::IntoWind, INTO_THE_WIND), (Lean::WithWind, Angle::from_si(std::f64::consts::PI))],
    };
    let mut found = Vec::new();
    for (lean, azimuth) in leans {
        let turned = match lean {
            Lean::WithWind => ctx.or_refuse(flight_result.windy(&wind, *azimuth))?,
            _ => (*windy(ctx, root)?).clone(),
        };
        let top = [
            against_wind(flight_result.calm().apogee.drift, *azimuth),
            turned.place().against_wind(*azimuth),
        ];
        for (case, drift) in &drifts {
            let [straight, turned] = top.map(|(upwind, across)| (upwind - *drift, across));
            found.push(LandingPlace { case: *case, lean: *lean, straight, turned });
        }
        let still = flight_result.strike_in_still_air(*azimuth);
        let blown = flight_result.strike(&turned, &wind, *azimuth);
        found.push(LandingPlace {
            case: LandingCase::NothingOpens,
            lean: *lean,
            straight: ctx.or_refuse(still)?.place.against_wind(*azimuth),
            turned: ctx.or_refuse(blown)?.place.against_wind(*azimuth),
        });
    }
    Ok(found)
}

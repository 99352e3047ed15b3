//! Where the rocket comes down: how far the wind carries it as planned and with a failure, and how far from the pad that is.

use super::artifact::Artifact;
use super::ascent::{
    APOGEE_ACROSS, APOGEE_OFFSET, APOGEE_UPWIND, INTO_THE_WIND, flight_result, from_wind, from_wind_in_words,
    rail_azimuth, windy,
};
use super::computed::computed;
use super::descent::{DESCENT_TIME, day};
use super::descent_phases::{DescentCase, FallDrag, Opening, longest, wind_height};
use super::launch_site::planned_flight;
use super::wind::{over_open_ground, stated};
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{Pad, Rocket, flight, pad};
use crate::engineering::ascent::Impact;
use crate::engineering::fall::Wind;
use crate::engineering::{landing, parachute as descent};
use crate::quantity::{Length, Speed};
use crate::vocabulary::Id;

const LIST: &str = "integrated: ∫ wind / rate of descent dh, the wind at each height by `winds_aloft`; `by hand` lies within 10 %";
const KINEMATICS: &str = "kinematics";

computed! {
    /// How far the wind carries the rocket from where it opens: the stated wind at every height, or the winds aloft where they are written down.
    DRIFT: "drift" of Rocket gives Length, Formula::expression("{wind} × {descent_time}"), KINEMATICS,
        |ctx, id| {
            let place = planned_flight(ctx, id)?;
            if ctx.has(place, flight::winds_aloft)? {
                return by_list(ctx, id, DescentCase::PLANNED);
            }
            let (wind, time) = both(ctx.get(place, flight::wind), ctx.query(id, &DESCENT_TIME))?;
            ctx.or_refuse(descent::drift(wind, time))
        };
    /// How far the wind may carry it where it grows with height as over open ground, or as the winds aloft say, and the sections fall flat and brake too.
    LONGEST_DRIFT: "longest_drift" of Rocket gives Length,
        Formula::method("integrated: ∫ wind × (height / 10 m)^(1/7) dh / rate of descent, the drag of sections that fall flat across the air counted above the last opening; `by hand` lies within 3 %"),
        "seventh-root profile, Glossary of Meteorology, American Meteorological Society; tables of drag coefficients of cylinders and plates", |ctx, id| {
            let how = DescentCase { fall_drag: FallDrag::Sections, ..DescentCase::PLANNED };
            let wind = over_open_ground(ctx, planned_flight(ctx, id)?)?;
            let listed = matches!(wind, Wind::ByHeights(_));
            let drift = longest(ctx, &day(ctx, id, wind)?, how, |fall| fall.drift)?;
            let mast = if listed || !ctx.is_recording() { String::new() } else { wind_height(ctx)? };
            ctx.formula(|| match listed {
                true => Formula::method("integrated: ∫ wind / rate of descent dh, the wind at each height by `winds_aloft`, the drag of sections that fall flat across the air counted above the last opening; `by hand` lies within 10 %"),
                false => {
                    Formula::Method(format!("integrated: ∫ wind × (height / {mast})^(1/7) dh / rate of descent, the drag of sections that fall flat across the air counted above the last opening; `by hand` lies within 3 %").into())
                }
            });
            Ok(drift)
        };
    /// How far the wind carries the rocket where every parachute opens at the highest point.
    DRIFT_ALL_AT_TOP: "drift_all_at_top" of Rocket gives Length, Formula::expression("{wind} × {time in the air}"), KINEMATICS,
        |ctx, id| carried(ctx, id, DescentCase { opening: Opening::AllAtTop, ..DescentCase::PLANNED });
    /// How far the wind carries the rocket where no parachute opens that should open low.
    DRIFT_MAIN_SHUT: "drift_main_shut" of Rocket gives Length, Formula::expression("{wind} × {time in the air}"), KINEMATICS,
        |ctx, id| carried(ctx, id, DescentCase { opening: Opening::MainShut, ..DescentCase::PLANNED });
    /// How far from the pad it lands when the rail leans as stated, into the wind where nobody has said, and the rocket turns into the wind, and the wind carries it back.
    LANDING_DISTANCE: "landing_distance" of Rocket gives Length, Formula::expression("|{apogee_upwind} − {drift}|"), KINEMATICS,
        |ctx, id| turned(ctx, id, ctx.query(id, &DRIFT), DRIFT.name);
    /// How far from the pad it lands where every parachute opens at the highest point, and the rocket turned into the wind.
    LANDING_DISTANCE_ALL_AT_TOP: "landing_distance_all_at_top" of Rocket gives Length,
        Formula::expression("|{apogee_upwind} − {drift_all_at_top}|"), KINEMATICS,
        |ctx, id| turned(ctx, id, ctx.query(id, &DRIFT_ALL_AT_TOP), DRIFT_ALL_AT_TOP.name);
    /// How far from the pad it lands where no parachute opens that should open low, and the rocket turned into the wind.
    LANDING_DISTANCE_MAIN_SHUT: "landing_distance_main_shut" of Rocket gives Length,
        Formula::expression("|{apogee_upwind} − {drift_main_shut}|"), KINEMATICS,
        |ctx, id| turned(ctx, id, ctx.query(id, &DRIFT_MAIN_SHUT), DRIFT_MAIN_SHUT.name);
    /// How far from the pad it lands when it flies where the rail points and nothing turns it: the rail leans as stated, with the wind where nobody has said.
    STRAIGHT_LANDING_DISTANCE: "straight_landing_distance" of Rocket gives Length,
        Formula::expression("{apogee_offset} + {drift}"), KINEMATICS, straight;
    /// How far from the pad the rocket comes down nose first if nothing opens and it turns into the stated wind.
    UNOPENED_DISTANCE: "unopened_distance" of Rocket gives Length,
        Formula::method("integrated on from the highest point in the stated wind, nose first, down to the ground"), "", |ctx, id| {
            Ok(from_pad(&ctx.working_of(id, &UNOPENED)?.turned))
        };
    /// How far from the pad the rocket comes down nose first if nothing opens, and it flew where the rail points.
    STRAIGHT_UNOPENED_DISTANCE: "straight_unopened_distance" of Rocket gives Length,
        Formula::method("integrated on from the highest point in still air, nose first, down to the ground"), "", |ctx, id| {
            Ok(from_pad(&ctx.working_of(id, &UNOPENED)?.straight))
        };
    /// How fast the rocket comes down nose first if nothing opens, in still air.
    UNOPENED_SPEED: "unopened_speed" of Rocket gives Speed,
        Formula::method("integrated: speed at the ground of the fall from the highest point in still air, nose first"), "", |ctx, id| {
            Ok(ctx.working_of(id, &UNOPENED)?.straight.speed)
        };
    /// How far from the people the rocket comes down nose first if nothing opens, anywhere between the pad, where the rail points and where the wind turns it.
    UNOPENED_FROM_PEOPLE: "unopened_from_people" of Pad gives Length,
        Formula::method("plane geometry: least distance of the people's place from the triangle of the pad and the places of the fall in still air and in the stated wind"), "geometry", from_people;
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[
    &DRIFT,
    &LONGEST_DRIFT,
    &DRIFT_ALL_AT_TOP,
    &DRIFT_MAIN_SHUT,
    &LANDING_DISTANCE,
    &LANDING_DISTANCE_ALL_AT_TOP,
    &LANDING_DISTANCE_MAIN_SHUT,
    &STRAIGHT_LANDING_DISTANCE,
    &UNOPENED_DISTANCE,
    &STRAIGHT_UNOPENED_DISTANCE,
    &UNOPENED_SPEED,
    &UNOPENED_FROM_PEOPLE,
];

/// The two falls that bound where a rocket comes down of which nothing opens.
#[derive(Debug)]
pub(super) struct Unopened {
    /// In still air, where the rail points.
    pub(super) straight: Impact,
    /// In the stated wind, turned into it at once.
    pub(super) turned: Impact,
}

pub(super) static UNOPENED: Artifact<Rocket, Unopened> = Artifact {
    compute: |ctx, root| {
        let site = planned_flight(ctx, root)?;
        let against = both(stated(ctx, site), rail_azimuth(ctx, site));
        let ascents = both(flight_result(ctx, root), windy(ctx, root));
        let ((flight, windy), (wind, azimuth)) = both(ascents, against)?;
        let azimuth = azimuth.unwrap_or(INTO_THE_WIND);
        Ok(Unopened {
            straight: ctx.or_refuse(flight.strike_in_still_air(azimuth))?,
            turned: ctx.or_refuse(flight.strike(&windy, &wind, azimuth))?,
        })
    },
};

fn from_pad(impact: &Impact) -> Length {
    landing::distance(impact.place.along, impact.place.across)
}

/// The drift by the list of winds aloft.
fn by_list(ctx: &EvalContext<'_>, root: Id<Rocket>, how: DescentCase) -> Outcome<Length> {
    let wind = stated(ctx, planned_flight(ctx, root)?)?;
    let drift = longest(ctx, &day(ctx, root, wind)?, how, |fall| fall.drift)?;
    ctx.formula(|| Formula::method(LIST));
    Ok(drift)
}

/// How far the wind carries the rocket on a way down that is not the planned one.
fn carried(ctx: &EvalContext<'_>, root: Id<Rocket>, how: DescentCase) -> Outcome<Length> {
    let site = planned_flight(ctx, root)?;
    if ctx.has(site, flight::winds_aloft)? {
        return by_list(ctx, root, how);
    }
    let calm = day(ctx, root, Wind::Steady(Speed::from_si(0.0)))?;
    let (wind, time) = both(ctx.get(site, flight::wind), longest(ctx, &calm, how, |fall| fall.time))?;
    ctx.step("time in the air", || TIME_IN_THE_AIR, time);
    ctx.formula(|| Formula::expression("{wind} × {time in the air}"));
    ctx.or_refuse(descent::drift(wind, time))
}

const TIME_IN_THE_AIR: Formula = Formula::method(
    "integrated: ∫ dh / rate of descent under what is open, the density following the height; `by hand` lies within 1 %",
);

/// The distance from the pad of a rocket that turned into the wind and drifted back.
fn turned(ctx: &EvalContext<'_>, root: Id<Rocket>, drift: Outcome<Length>, name: &str) -> Outcome<Length> {
    let (out, back) = both(ctx.query(root, &APOGEE_UPWIND), drift)?;
    if rail_azimuth(ctx, planned_flight(ctx, root)?)?.is_none() {
        return Ok(landing::distance(out - back, Length::from_si(0.0)));
    }
    let beside = ctx.query(root, &APOGEE_ACROSS)?;
    ctx.formula(|| {
        Formula::Expression(format!("√(({{apogee_upwind}} − {{{name}}})² + {{apogee_across}}²)").into())
    });
    Ok(landing::distance(out - back, beside))
}

fn straight(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    let (out, back) = both(ctx.query(root, &APOGEE_OFFSET), ctx.query(root, &DRIFT))?;
    let Some(azimuth) = rail_azimuth(ctx, planned_flight(ctx, root)?)? else { return Ok(out + back) };
    let side = from_wind_in_words(ctx, planned_flight(ctx, root)?, "rail_azimuth");
    ctx.formula(|| {
        let along = format!("{{apogee_offset}} × cos({side}) − {{drift}}");
        Formula::Expression(format!("√(({along})² + ({{apogee_offset}} × sin({side}))²)").into())
    });
    let (upwind, across) = landing::against_wind(out, azimuth);
    Ok(landing::distance(upwind - back, across))
}

/// Where over the ground the rocket lands that drifted so far, upwind of the pad and to the right of that: where it flew as the rail
/// points, and where it turned into the wind at once.
pub(super) fn places(ctx: &EvalContext<'_>, drift: Length) -> Outcome<[(Length, Length); 2]> {
    let root = ctx.rocket();
    let azimuth = rail_azimuth(ctx, planned_flight(ctx, root)?)?.unwrap_or(INTO_THE_WIND);
    let (flight_result, windy) = both(flight_result(ctx, root), windy(ctx, root))?;
    let straight = landing::against_wind(flight_result.calm().apogee.drift, azimuth);
    let turned = windy.place().against_wind(azimuth);
    Ok([straight, turned].map(|(upwind, across)| (upwind - drift, across)))
}

/// The same of a rocket that stays whole.
pub(super) fn unopened_places(ctx: &EvalContext<'_>) -> Outcome<[(Length, Length); 2]> {
    let root = ctx.rocket();
    let azimuth = rail_azimuth(ctx, planned_flight(ctx, root)?)?.unwrap_or(INTO_THE_WIND);
    let fall = ctx.working_of(root, &UNOPENED)?;
    Ok([&fall.straight, &fall.turned].map(|impact| impact.place.against_wind(azimuth)))
}

fn from_people(ctx: &EvalContext<'_>, id: Id<Pad>) -> Outcome<Length> {
    let stand = both(ctx.get(id, pad::people_distance), ctx.get(id, pad::people_azimuth));
    let (far, side) = stand?;
    let field = planned_flight(ctx, ctx.rocket())?;
    let people = landing::against_wind(far, from_wind(ctx, field, side)?);
    let side = from_wind_in_words(ctx, field, "people_azimuth");
    let [straight, turned] = unopened_places(ctx)?;
    let fallen = || Formula::method("integrated on from the highest point, nose first, down to the ground");
    let expression = |text: String| move || Formula::Expression(text.into());
    ctx.step("people, upwind of the pad", expression(format!("{{people_distance}} × cos({side})")), people.0);
    ctx.step(
        "people, to the right of that",
        expression(format!("{{people_distance}} × sin({side})")),
        people.1,
    );
    ctx.step("fall in still air, upwind", fallen, straight.0);
    ctx.step("fall in still air, to the right", fallen, straight.1);
    ctx.step("fall in the wind, upwind", fallen, turned.0);
    ctx.step("fall in the wind, to the right", fallen, turned.1);
    let pad = (Length::from_si(0.0), Length::from_si(0.0));
    Ok(landing::from_triangle(people, [pad, straight, turned]))
}

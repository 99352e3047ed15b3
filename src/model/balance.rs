//! Whether the rocket flies nose first: centre of pressure, balance point, and the distance between them along the flight.

use super::airflow::nose;
use super::ascent::{RAIL_EXIT_ANGLE, flown};
use super::joints::computed;
use super::masses::{MASS_AT_IGNITION, MASS_IN_DESCENT};
use super::planform::{planform, planform_lines};
use super::stations::{LENGTH, extent, sections, sections_or_none};
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{
    Fins, Rocket, Section, as_built, boat_tail, fins, motor, nose_cone, rocket, section, switch_band,
    transition, tube,
};
use crate::engineering::nose::{Shape, SideView};
use crate::engineering::planform::Planform;
use crate::engineering::stability::{self, Contribution, FinSet};
use crate::quantity::{Angle, Length, Quantity};
use crate::vocabulary::{Edge, EntityId, Id, Key, Position, Typed};

/// Where the rocket balances with a part of its propellant burnt.
const BURNT: Formula = Formula::expression(
    "({mass_at_ignition} × {balance_station} − {propellant burnt} × {middle of the motor}) / ({mass_at_ignition} − {propellant burnt})",
);

computed! {
    /// The largest outside diameter of the body: one calibre.
    CALIBRE: "calibre" of Rocket gives Length,
        Formula::expression("greatest of the outside diameters of the sections"), "", calibre;
    /// Where the air's side force acts, aft from the nose tip, at a small angle and well below the speed of sound.
    PRESSURE: "centre_of_pressure" of Rocket gives Length,
        Formula::expression("Σ slope × station / Σ slope over nose cone, transitions, boat-tails and fins"),
        "J. S. and J. A. Barrowman, The Theoretical Prediction of the Center of Pressure, 1966", pressure;
    /// Where it acts by the method used here, whatever is stated.
    COMPUTED_PRESSURE: "computed_centre_of_pressure" of Rocket gives Length,
        Formula::expression("Σ slope × station / Σ slope over nose cone, transitions, boat-tails and fins"),
        "J. S. and J. A. Barrowman, The Theoretical Prediction of the Center of Pressure, 1966", computed_pressure;
    /// Where the finished rocket balances with its motor in, aft from the nose tip.
    BALANCE: "balance_station" of Rocket gives Length,
        Formula::choice("{balance_point}, as the finished rocket was laid on an edge"), "", balance;
    /// How far the centre of pressure lies behind the balance point, in calibres.
    STABILITY: "stability" of Rocket gives f64,
        Formula::expression("({centre_of_pressure} − {balance_station}) / {calibre}"), "definition of the static margin", |ctx, id| {
            let (pressure, balance) = both(ctx.query(id, &PRESSURE), ctx.query(id, &BALANCE))?;
            static_margin(ctx, id, pressure, balance)
        };
    /// Where the rocket balances as it leaves the rail, a little of its propellant burnt.
    BALANCE_RAIL_EXIT: "balance_at_rail_exit" of Rocket gives Length,
        BURNT, "statics; the propellant's mass at the middle of the motor",
        |ctx, id| balance_at(ctx, id, false);
    /// Where the rocket balances at burnout, all its propellant burnt.
    BALANCE_BURNOUT: "balance_at_burnout" of Rocket gives Length,
        BURNT, "statics; the propellant's mass at the middle of the motor",
        |ctx, id| balance_at(ctx, id, true);
    /// How far the centre of pressure lies behind the balance point as the rocket leaves the rail in still air, in calibres.
    STABILITY_RAIL_EXIT: "stability_at_rail_exit" of Rocket gives f64,
        Formula::expression("({centre_of_pressure} − {balance_at_rail_exit}) / {calibre}"), "Barrowman 1966", |ctx, id| {
            let (balance, pressure) = both(ctx.query(id, &BALANCE_RAIL_EXIT), ctx.query(id, &PRESSURE))?;
            static_margin(ctx, id, pressure, balance)
        };
    /// The same in the stated wind, which meets the rocket at an angle: the lift of the body included.
    STABILITY_WIND: "stability_in_wind" of Rocket gives f64,
        Formula::expression("({centre of pressure} − {balance_at_rail_exit}) / {calibre}"),
        "Barrowman 1966; body lift: 1.1 × side view / reference area × angle (from memory)", stability_in_wind;
    /// How far the centre of pressure lies behind the balance point at burnout, in calibres; the fins by their Mach number up to 0.8.
    STABILITY_BURNOUT: "stability_at_burnout" of Rocket gives f64,
        Formula::expression("({centre of pressure} − {balance_at_burnout}) / {calibre}"),
        "Barrowman 1966, with the Prandtl–Glauert rule on the fins (1967, from memory)", stability_at_burnout;
}

/// How far the centre of pressure lies behind a balance point, in calibres.
fn static_margin(ctx: &EvalContext<'_>, id: Id<Rocket>, pressure: Length, balance: Length) -> Outcome<f64> {
    let calibre = ctx.query(id, &CALIBRE)?;
    ctx.or_refuse(stability::static_margin(pressure, balance, calibre))
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[
    &CALIBRE,
    &PRESSURE,
    &COMPUTED_PRESSURE,
    &BALANCE,
    &STABILITY,
    &BALANCE_RAIL_EXIT,
    &BALANCE_BURNOUT,
    &STABILITY_RAIL_EXIT,
    &STABILITY_WIND,
    &STABILITY_BURNOUT,
];

fn calibre(ctx: &EvalContext<'_>, _: Id<Rocket>) -> Outcome<Length> {
    let mut largest: Outcome<f64> = Ok(0.0);
    for section in sections(ctx)?.iter() {
        let one = ctx.query(section, &super::stations::BODY_DIAMETER);
        largest = both(largest, one).map(|(so_far, d)| so_far.max(d.si()));
    }
    ctx.formula(|| {
        let all = sections_or_none(ctx);
        let lines: Vec<String> =
            all.iter().map(|one| ctx.line(*one, super::stations::BODY_DIAMETER.name)).collect();
        Formula::Expression(format!("greatest of ({})", lines.join(", ")).into())
    });
    Ok(Length::from_si(largest?))
}

/// The outline that a word in the file stands for.
pub(super) fn outline(ctx: &EvalContext<'_>, word: &str) -> Outcome<Shape> {
    match word {
        "cone" => Ok(Shape::Cone),
        "tangent ogive" => Ok(Shape::TangentOgive),
        "ellipsoid" => Ok(Shape::Ellipsoid),
        "parabola" => Ok(Shape::Parabola { k: 1.0 }),
        "von karman" => Ok(Shape::Haack { c: 0.0 }),
        _ => Err(ctx.refuse("the outline of this nose cone is not one whose volume is known here")),
    }
}

fn pressure(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    match stated_pressure(ctx, root)? {
        Some(stated) => Ok(stated),
        None => computed_pressure(ctx, root),
    }
}

fn computed_pressure(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    let parts = contributions(ctx, root, 0.0)?;
    let total = ctx.or_refuse(stability::total(&parts.all))?;
    ctx.formula(|| parts.centre());
    Ok(total.centre)
}

/// The centre of pressure that the author states for a shape that is not worked out here.
fn stated_pressure(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Option<Length>> {
    if !ctx.has(root, rocket::stated_centre_of_pressure)? {
        return Ok(None);
    }
    from_an_end(ctx, root, rocket::stated_centre_of_pressure).map(Some)
}

/// A place measured from an end of the whole rocket, aft from the nose tip.
fn from_an_end<E: Typed>(ctx: &EvalContext<'_>, holder: Id<E>, key: Key<E, Position>) -> Outcome<Length> {
    let position = ctx.get(holder, key)?;
    ctx.see(position.distance);
    if position.of.is_some() {
        return Err(ctx.refuse("this place is measured from an end of the whole rocket"));
    }
    let distance = position.distance.si;
    let root = ctx.rocket();
    ctx.formula(|| {
        let line = ctx.field_line(holder, key);
        match position.edge {
            Edge::Fore => Formula::Choice(format!("{line}, from the nose tip").into()),
            Edge::Aft => Formula::Expression(format!("{} − {line}", ctx.line(root, LENGTH.name)).into()),
        }
    });
    Ok(Length::from_si(match position.edge {
        Edge::Fore => distance,
        Edge::Aft => ctx.query(root, &LENGTH)?.si() - distance,
    }))
}

/// What the parts add to the side force, and the names under which their steps are recorded.
#[derive(Default)]
struct SideForces {
    all: Vec<Contribution>,
    names: Vec<String>,
}

impl SideForces {
    /// The centre of pressure of all.
    fn centre(&self) -> Formula {
        let slope = |name: &String| format!("{{{name}: slope}}");
        let moments: Vec<String> =
            self.names.iter().map(|name| format!("{} × {{{name}: where it acts}}", slope(name))).collect();
        let slopes: Vec<String> = self.names.iter().map(slope).collect();
        Formula::Expression(format!("({}) / ({})", moments.join(" + "), slopes.join(" + ")).into())
    }
}

/// What each part adds to the side force at a small angle and a Mach number.
fn contributions(ctx: &EvalContext<'_>, root: Id<Rocket>, mach: f64) -> Outcome<SideForces> {
    let reference = ctx.query(root, &CALIBRE)?;
    let mut parts: Outcome<Vec<Contribution>> = Ok(Vec::new());
    let mut names = Vec::new();
    // The formulas of slope and place are those of the part by itself; it stands where its fore end does.
    let mut add =
        |part: EntityId, station: f64, one: Outcome<Contribution>, texts: &dyn Fn(&str) -> [Formula; 2]| {
            let moved = one.map(|c| c.aft_by(Length::from_si(station)));
            if let Ok(moved) = &moved
                && ctx.is_recording()
            {
                let name = part_name(ctx, part);
                let [slope, place] = texts(&name);
                ctx.step(format!("{name}: slope"), || slope, Quantity::number(moved.slope));
                ctx.step(format!("{name}: where it acts"), || place, moved.centre);
                names.push(name);
            }
            let so_far = std::mem::replace(&mut parts, Ok(Vec::new()));
            parts = both(so_far, moved).map(|(mut all, c)| {
                all.push(c);
                all
            });
        };
    let mut any_fins = false;
    for section in sections(ctx)?.iter() {
        if let Some(cone) = ctx.part(section, section::nose_cone)? {
            let fore = extent(ctx, cone).map(|e| e.fore);
            let shape = nose(ctx, cone);
            let one = shape.clone().and_then(|nose| ctx.or_refuse(stability::nose(&nose, reference)));
            add(cone.any(), fore.unwrap_or(0.0), one, &|name| {
                let full = shape.as_ref().map_or(0.0, crate::engineering::nose::Nose::fullness);
                let by_outline =
                    || Formula::method("volume over that of the cylinder around it, by its outline");
                ctx.step(format!("{name}: fullness"), by_outline, Quantity::number(full));
                let (across, long) = (
                    ctx.field_line(cone, nose_cone::outer_diameter),
                    ctx.field_line(cone, nose_cone::length),
                );
                [
                    format!("2 × ({across} / {{calibre}})²"),
                    format!("{} + {long} × (1 − {{{name}: fullness}})", ctx.line(cone, "fore_station")),
                ]
                .map(|text| Formula::Expression(text.into()))
            });
        }
        if let Some(part) = ctx.part(section, section::transition)? {
            let ends =
                both(ctx.get(part, transition::fore_diameter), ctx.get(part, transition::aft_diameter));
            let long = both(ctx.get(part, transition::length), extent(ctx, part));
            let one = both(ends, long.clone()).and_then(|((fore, aft), (length, _))| {
                ctx.or_refuse(stability::transition(fore, aft, length, reference))
            });
            add(part.any(), long.map_or(0.0, |(_, e)| e.fore), one, &|_| {
                let fore = ctx.field_line(part, transition::fore_diameter);
                let aft = ctx.field_line(part, transition::aft_diameter);
                tapered(
                    &fore,
                    &aft,
                    &ctx.field_line(part, transition::length),
                    &ctx.line(part, "fore_station"),
                )
            });
        }
        if let Some(tail) = ctx.part(section, section::boat_tail)? {
            let ends = both(
                ctx.query(section, &super::stations::BODY_DIAMETER),
                ctx.get(tail, boat_tail::aft_diameter),
            );
            let long = both(ctx.get(tail, boat_tail::length), extent(ctx, tail));
            let one = both(ends, long.clone()).and_then(|((fore, aft), (length, _))| {
                ctx.or_refuse(stability::transition(fore, aft, length, reference))
            });
            add(tail.any(), long.map_or(0.0, |(_, e)| e.fore), one, &|_| {
                let fore = ctx.line(section, super::stations::BODY_DIAMETER.name);
                let aft = ctx.field_line(tail, boat_tail::aft_diameter);
                tapered(
                    &fore,
                    &aft,
                    &ctx.field_line(tail, boat_tail::length),
                    &ctx.line(tail, "fore_station"),
                )
            });
        }
        if let Some(set) = ctx.part(section, section::fins)? {
            any_fins = true;
            let fore = extent(ctx, set).map(|e| e.fore);
            let found = fin_set(ctx, section, set);
            let one = both(found.clone(), fore.clone())
                .and_then(|(set, _)| ctx.or_refuse(stability::fins(&set, reference, mach)));
            add(set.any(), fore.unwrap_or(0.0), one, &|name| match &found {
                Ok(found) => record_fins(ctx, section, set, found, name, mach),
                Err(_) => [Formula::expression(""), Formula::expression("")],
            });
        }
    }
    if !any_fins {
        return Err(ctx.refuse("a rocket without fins has no centre of pressure that this method knows"));
    }
    parts.map(|all| SideForces { all, names })
}

/// What a part that lifts is called in a working.
fn part_name(ctx: &EvalContext<'_>, part: EntityId) -> String {
    let holder = ctx.holder::<Section>(part).map(|section| ctx.name(section)).unwrap_or_default();
    format!("{} of {holder}", ctx.name(part).replace('_', " "))
}

/// Slope and place of a conical transition.
fn tapered(fore: &str, aft: &str, long: &str, station: &str) -> [Formula; 2] {
    [
        format!("2 × ({aft}² − {fore}²) / {{calibre}}²"),
        format!("{station} + {long} / 3 × (1 + {aft} / ({fore} + {aft}))"),
    ]
    .map(|text| Formula::Expression(text.into()))
}

/// Slope and place of a set of fins, with the two steps before them.
fn record_fins(
    ctx: &EvalContext<'_>,
    section: Id<Section>,
    set: Id<Fins>,
    found: &FinSet,
    name: &str,
    mach: f64,
) -> [Formula; 2] {
    let [root, tip, span, sweep] = planform_lines(ctx, set);
    let body = ctx.line(section, super::stations::BODY_DIAMETER.name);
    let factor = stability::interference(found.count, found.span, found.body_diameter).unwrap_or(f64::NAN);
    let share = if found.count == 6 { "0.5 × " } else { "" };
    let around = format!("1 + {share}{body} / (2 × {span} + {body})");
    ctx.step(
        format!("{name}: interference"),
        || Formula::Expression(around.into()),
        Quantity::number(factor),
    );
    let middle = format!("√({span}² + ({sweep} + ({tip} − {root}) / 2)²)");
    ctx.step(format!("{name}: mid-chord line"), || Formula::Expression(middle.into()), found.mid_chord());
    let beta = if mach == 0.0 { "" } else { "√(1 − {Mach number}²) × " };
    let count = ctx.field_line(set, fins::count);
    [
        format!(
            "{{{name}: interference}} × {count} × 4 × ({span} / {{calibre}})² / (1 + √(1 + ({beta}2 × {{{name}: mid-chord line}} / ({root} + {tip}))²))"
        ),
        format!(
            "{} + {sweep} / 3 × ({root} + 2 × {tip}) / ({root} + {tip}) + ({root} + {tip} − {root} × {tip} / ({root} + {tip})) / 6",
            ctx.line(set, "fore_station")
        ),
    ]
    .map(|text| Formula::Expression(text.into()))
}

/// What a part shows from the side, and where the part begins.
struct View {
    part: EntityId,
    fore: f64,
    seen: Outcome<SideView>,
    /// Fore diameter, aft diameter and length, where the view is a trapezoid.
    texts: Option<[String; 3]>,
}

/// Lift of the body at an angle to the air, part by part.
fn body_lift(ctx: &EvalContext<'_>, root: Id<Rocket>, angle: Angle) -> Outcome<SideForces> {
    let reference = ctx.query(root, &CALIBRE)?;
    let mut views: Vec<View> = Vec::new();
    for section in sections(ctx)?.iter() {
        let at = |part: EntityId| extent(ctx, part).map(|e| e.fore);
        let tapered = |fore: Outcome<Length>, aft: Outcome<Length>, long: Outcome<Length>| {
            let ((fore, aft), long) = both(both(fore, aft), long)?;
            ctx.or_refuse(stability::side_view(fore, aft, long))
        };
        let across = || ctx.query(section, &super::stations::BODY_DIAMETER);
        let lines = |fore: Option<String>, aft: Option<String>, long: String| {
            let body = || ctx.line(section, super::stations::BODY_DIAMETER.name);
            Some([fore.unwrap_or_else(body), aft.unwrap_or_else(body), long])
        };
        let recording = ctx.is_recording();
        if let Some(cone) = ctx.part(section, section::nose_cone)? {
            let fore = at(cone.any())?;
            let seen = nose(ctx, cone).and_then(|nose| ctx.or_refuse(nose.side_view()));
            views.push(View { part: cone.any(), fore, seen, texts: None });
        }
        if let Some(body) = ctx.part(section, section::tube)? {
            let fore = at(body.any())?;
            let seen = tapered(across(), across(), ctx.get(body, tube::length));
            let texts = recording.then(|| lines(None, None, ctx.field_line(body, tube::length))).flatten();
            views.push(View { part: body.any(), fore, seen, texts });
        } else if let Some(band) = ctx.part(section, section::switch_band)? {
            let fore = at(band.any())?;
            let seen = tapered(across(), across(), ctx.get(band, switch_band::length));
            let texts =
                recording.then(|| lines(None, None, ctx.field_line(band, switch_band::length))).flatten();
            views.push(View { part: band.any(), fore, seen, texts });
        }
        if let Some(part) = ctx.part(section, section::transition)? {
            let (fore, aft) =
                (ctx.get(part, transition::fore_diameter), ctx.get(part, transition::aft_diameter));
            let texts = recording.then(|| {
                let (fore, aft) = (
                    ctx.field_line(part, transition::fore_diameter),
                    ctx.field_line(part, transition::aft_diameter),
                );
                lines(Some(fore), Some(aft), ctx.field_line(part, transition::length))
            });
            let begins = at(part.any())?;
            let seen = tapered(fore, aft, ctx.get(part, transition::length));
            views.push(View { part: part.any(), fore: begins, seen, texts: texts.flatten() });
        }
        if let Some(tail) = ctx.part(section, section::boat_tail)? {
            let aft = ctx.get(tail, boat_tail::aft_diameter);
            let texts = recording.then(|| {
                let aft = ctx.field_line(tail, boat_tail::aft_diameter);
                lines(None, Some(aft), ctx.field_line(tail, boat_tail::length))
            });
            let fore = at(tail.any())?;
            let seen = tapered(across(), aft, ctx.get(tail, boat_tail::length));
            views.push(View { part: tail.any(), fore, seen, texts: texts.flatten() });
        }
    }
    let mut lifts = SideForces::default();
    for View { part, fore, seen, texts } in views {
        let view = seen?;
        let lift =
            ctx.or_refuse(stability::body_lift(view, stability::BODY_LIFT_FACTOR, angle, reference))?;
        let lift = lift.aft_by(Length::from_si(fore));
        if ctx.is_recording() {
            lifts.names.push(record_lift(ctx, part, &view, &lift, texts));
        }
        lifts.all.push(lift);
    }
    Ok(lifts)
}

/// The lift of a part of the body by its side view; gives the name under which it is recorded.
fn record_lift(
    ctx: &EvalContext<'_>,
    part: EntityId,
    view: &SideView,
    lift: &Contribution,
    texts: Option<[String; 3]>,
) -> String {
    let name = format!("lift of the {}", part_name(ctx, part));
    let begins = ctx.line(part, "fore_station");
    let expression = |text: String| Formula::Expression(text.into());
    let (area, place) = match texts {
        Some([fore, aft, long]) if fore == aft => {
            (expression(format!("{fore} × {long}")), expression(format!("{begins} + {long} / 2")))
        }
        Some([fore, aft, long]) => (
            expression(format!("({fore} + {aft}) / 2 × {long}")),
            expression(format!("{begins} + {long} / 3 × (1 + {aft} / ({fore} + {aft}))")),
        ),
        None => (
            Formula::method("integrated along its outline"),
            Formula::method("centroid of the side view, integrated along its outline"),
        ),
    };
    ctx.step(format!("{name}: side view"), || area, view.area);
    let slope = format!("1.1 × {{{name}: side view}} / (π / 4 × {{calibre}}²) × {{angle to the air}}");
    ctx.step(format!("{name}: slope"), || expression(slope), Quantity::number(lift.slope));
    ctx.step(format!("{name}: where it acts"), || place, lift.centre);
    name
}

fn stability_in_wind(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<f64> {
    let (angle, balance) = both(ctx.query(root, &RAIL_EXIT_ANGLE), ctx.query(root, &BALANCE_RAIL_EXIT))?;
    let angle = Angle::from_si(angle.si().min(stability::LARGEST_ANGLE));
    ctx.step("angle to the air", || Formula::expression("least of ({rail_exit_angle}, 0.35 rad)"), angle);
    let (mut parts, lifts) = both(contributions(ctx, root, 0.0), body_lift(ctx, root, angle))?;
    parts.all.extend(lifts.all);
    parts.names.extend(lifts.names);
    margin(ctx, root, &parts, balance)
}

fn stability_at_burnout(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<f64> {
    let (flight, balance) = both(flown(ctx, root), ctx.query(root, &BALANCE_BURNOUT))?;
    if let Some(stated) = stated_pressure(ctx, root)? {
        let calibre = ctx.query(root, &CALIBRE)?;
        ctx.offer(root, PRESSURE.name);
        ctx.formula(|| Formula::expression("({centre_of_pressure} − {balance_at_burnout}) / {calibre}"));
        return ctx.or_refuse(stability::static_margin(stated, balance, calibre));
    }
    let mach = flight.calm().burnout.mach;
    ctx.step(
        "Mach number",
        || Formula::method("of the ascent at burnout, at most 0.8"),
        Quantity::number(mach.min(stability::HIGHEST_MACH)),
    );
    let parts = contributions(ctx, root, mach.min(stability::HIGHEST_MACH))?;
    margin(ctx, root, &parts, balance)
}

fn margin(ctx: &EvalContext<'_>, root: Id<Rocket>, parts: &SideForces, balance: Length) -> Outcome<f64> {
    let calibre = ctx.query(root, &CALIBRE)?;
    let total = ctx.or_refuse(stability::total(&parts.all))?;
    ctx.step("centre of pressure", || parts.centre(), total.centre);
    ctx.or_refuse(stability::static_margin(total.centre, balance, calibre))
}

/// The middle of the motor, aft from the nose tip, when its thrust ring meets the aft end of the motor tube.
pub(super) fn motor_middle(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
    let mut mount = None;
    for section in sections(ctx)?.iter() {
        mount = mount.or(ctx.part(section, section::motor_mount)?);
    }
    let mount = mount.ok_or_else(|| ctx.refuse("no motor mount is described"))?;
    let (long, ends) = both(ctx.get(engine, motor::length), extent(ctx, mount))?;
    ctx.step(
        "middle of the motor",
        || {
            let (aft, long) = (ctx.line(mount, "aft_station"), ctx.field_line(engine, motor::length));
            Formula::Expression(format!("{aft} − {long} / 2").into())
        },
        Length::from_si(ends.aft - long.si() / 2.0),
    );
    Ok(Length::from_si(ends.aft - long.si() / 2.0))
}

fn balance_at(ctx: &EvalContext<'_>, root: Id<Rocket>, burnout: bool) -> Outcome<Length> {
    let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
    let before = both(ctx.query(root, &MASS_AT_IGNITION), ctx.query(root, &BALANCE));
    let inside = both(ctx.get(engine, motor::propellant_mass), motor_middle(ctx, root));
    let ((mass, balance), (propellant, middle)) = both(before, inside)?;
    ctx.query(root, &MASS_IN_DESCENT)?;
    let burnt = if burnout {
        ctx.step("propellant burnt", || Formula::choice("{propellant_mass}, all of it"), propellant);
        propellant
    } else {
        let flight = flown(ctx, root)?;
        let burnt = mass - flight.mass_at_rail_exit();
        ctx.step(
            "share of the impulse",
            || {
                Formula::method(
                    "area under the thrust curve until the upper button leaves the rail, over the whole",
                )
            },
            Quantity::number(flight.share_at_rail_exit()),
        );
        ctx.step(
            "propellant burnt",
            || Formula::expression("{propellant_mass} × {share of the impulse}"),
            burnt,
        );
        burnt
    };
    let left = (mass - burnt).si();
    let station = (mass.si() * balance.si() - burnt.si() * middle.si()) / left;
    Ok(Length::from_si(station))
}

fn fin_set(ctx: &EvalContext<'_>, section: Id<Section>, set: Id<Fins>) -> Outcome<FinSet> {
    let around = both(ctx.get(set, fins::count), ctx.query(section, &super::stations::BODY_DIAMETER));
    let (Planform { root_chord, tip_chord, span, sweep }, (count, body_diameter)) =
        both(planform(ctx, set), around)?;
    Ok(FinSet { count, root_chord, tip_chord, span, sweep, body_diameter })
}

fn balance(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    let Some(measured) = ctx.part(root, rocket::measured)? else {
        return Err(ctx.refuse("the finished rocket was not measured"));
    };
    from_an_end(ctx, measured, as_built::balance_point)
}

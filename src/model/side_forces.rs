//! The side forces of the air: the slope that each part adds and where it acts.

use super::extents::extent;
use super::fin_lines::FinLines;
use super::nose_shape::nose;
use super::planform::planform;
use super::sections::{BODY_DIAMETER, CALIBRE, sections};
use super::{EvalContext, Formula, Outcome, both};
use crate::design::{
    Fins, Rocket, Section, boat_tail, fins, nose_cone, section, switch_band, transition, tube,
};
use crate::engineering::Unworkable;
use crate::engineering::nose::SideView;
use crate::engineering::planform::Planform;
use crate::engineering::stability::{self, Contribution, FinSet};
use crate::quantity::{Angle, Length, Quantity};
use crate::vocabulary::{EntityId, Id};

/// What the parts add to the side force, and the names under which their steps are recorded.
#[derive(Default)]
pub(super) struct SideForces {
    pub(super) all: Vec<Contribution>,
    pub(super) names: Vec<String>,
    /// The sets of fins among them: place in `all`, the set, and its fore end.
    fins: Vec<(usize, FinSet, Length)>,
}

impl SideForces {
    /// The same with the fins at another Mach number.
    pub(super) fn at(&self, mach: f64, reference: Length) -> Result<Vec<Contribution>, Unworkable> {
        let mut all = self.all.clone();
        for (place, set, fore) in &self.fins {
            if let Some(one) = all.get_mut(*place) {
                *one = stability::fins(set, reference, mach)?.aft_by(*fore);
            }
        }
        Ok(all)
    }

    /// The centre of pressure of all.
    pub(super) fn centre(&self) -> Formula {
        let slope = |name: &String| format!("{{{name}: slope}}");
        let moments: Vec<String> =
            self.names.iter().map(|name| format!("{} × {{{name}: where it acts}}", slope(name))).collect();
        let slopes: Vec<String> = self.names.iter().map(slope).collect();
        Formula::Expression(format!("({}) / ({})", moments.join(" + "), slopes.join(" + ")).into())
    }
}

/// What each part adds to the side force at a small angle and a Mach number.
pub(super) fn contributions(ctx: &EvalContext<'_>, root: Id<Rocket>, mach: f64) -> Outcome<SideForces> {
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
            parts.as_ref().map_or(0, Vec::len)
        };
    let mut sets = Vec::new();
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
            let ends = both(ctx.query(section, &BODY_DIAMETER), ctx.get(tail, boat_tail::aft_diameter));
            let long = both(ctx.get(tail, boat_tail::length), extent(ctx, tail));
            let one = both(ends, long.clone()).and_then(|((fore, aft), (length, _))| {
                ctx.or_refuse(stability::transition(fore, aft, length, reference))
            });
            add(tail.any(), long.map_or(0.0, |(_, e)| e.fore), one, &|_| {
                let fore = ctx.line(section, BODY_DIAMETER.name);
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
            let begins = fore.unwrap_or(0.0);
            // What is not known is not recorded.
            let nothing = || [Formula::expression(""), Formula::expression("")];
            let added = add(set.any(), begins, one, &|name| match &found {
                Ok(found) => {
                    let begins = Length::from_si(begins);
                    let lines = FinLines { ctx, set, section, found, reference, name, begins };
                    lines.record(mach).unwrap_or_else(|_| nothing())
                }
                Err(_) => nothing(),
            });
            if let (Ok(found), Some(place)) = (found, added.checked_sub(1)) {
                sets.push((place, found, Length::from_si(begins)));
            }
        }
    }
    if !any_fins {
        return Err(ctx.refuse("a rocket without fins has no centre of pressure that this method knows"));
    }
    parts.map(|all| SideForces { all, names, fins: sets })
}

/// What a part that lifts is called in a working.
pub(super) fn part_name(ctx: &EvalContext<'_>, part: EntityId) -> String {
    let holder = ctx.holder::<Section>(part).map(|section| ctx.name(section)).unwrap_or_default();
    format!("{} of {holder}", ctx.name(part).replace('_', " "))
}

/// Slope and place of a conical transition.
pub(super) fn tapered(fore: &str, aft: &str, long: &str, station: &str) -> [Formula; 2] {
    [
        format!("2 × ({aft}² − {fore}²) / {{calibre}}²"),
        format!("{station} + {long} / 3 × (1 + {aft} / ({fore} + {aft}))"),
    ]
    .map(|text| Formula::Expression(text.into()))
}

/// What a part shows from the side, and where the part begins.
pub(super) struct View {
    pub(super) part: EntityId,
    pub(super) fore: f64,
    pub(super) seen: Outcome<SideView>,
    /// Fore diameter, aft diameter and length, where the view is a trapezoid.
    pub(super) texts: Option<[String; 3]>,
}

/// Lift of the body at an angle to the air, part by part.
pub(super) fn body_lift(ctx: &EvalContext<'_>, root: Id<Rocket>, angle: Angle) -> Outcome<SideForces> {
    let reference = ctx.query(root, &CALIBRE)?;
    let mut views: Vec<View> = Vec::new();
    for section in sections(ctx)?.iter() {
        let at = |part: EntityId| extent(ctx, part).map(|e| e.fore);
        let tapered = |fore: Outcome<Length>, aft: Outcome<Length>, long: Outcome<Length>| {
            let ((fore, aft), long) = both(both(fore, aft), long)?;
            ctx.or_refuse(stability::side_view(fore, aft, long))
        };
        let across = || ctx.query(section, &BODY_DIAMETER);
        let lines = |fore: Option<String>, aft: Option<String>, long: String| {
            let body = || ctx.line(section, BODY_DIAMETER.name);
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
pub(super) fn record_lift(
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

pub(super) fn fin_set(ctx: &EvalContext<'_>, section: Id<Section>, set: Id<Fins>) -> Outcome<FinSet> {
    let around = both(ctx.get(set, fins::count), ctx.query(section, &BODY_DIAMETER));
    let (Planform { root_chord, tip_chord, span, sweep }, (count, body_diameter)) =
        both(planform(ctx, set), around)?;
    Ok(FinSet { count, root_chord, tip_chord, span, sweep, body_diameter })
}

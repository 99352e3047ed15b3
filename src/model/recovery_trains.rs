//! Trains: the sections that come down tied together, and the parachutes that carry them.

use std::rc::Rc;

use super::artifact::Artifact;
use super::cords::piece;
use super::masses::{MASS_IN_DESCENT, additions_of};
use super::mating::ends;
use super::parachutes::{OPENING_HEIGHT, opening_height};
use super::planform::{planform, planform_lines};
use super::sections::{CALIBRE, OUTSIDE_LENGTH, sections};
use super::{EvalContext, Formula, Outcome, both};
use crate::design::{
    Attachment, Harness, Joint, Parachute, Rocket, Section, harness, joint, motor, parachute, recovery,
    rocket, section,
};
use crate::engineering::fall;
use crate::quantity::{Area, Length, Mass};
use crate::vocabulary::Id;

/// Sections that come down tied together.
#[derive(Debug)]
pub(super) struct Train {
    /// Fore to aft.
    pub(super) sections: Vec<Id<Section>>,
    /// What it hangs from, in the order of the file.
    pub(super) canopies: Vec<Id<Parachute>>,
}

static TRAINS: Artifact<Rocket, Vec<Train>> = Artifact { compute: find };

/// The trains of the rocket, the foremost first.
pub(super) fn trains(ctx: &EvalContext<'_>) -> Outcome<Rc<Vec<Train>>> {
    ctx.working_of(ctx.rocket(), &TRAINS)
}

/// Which sections hold together, each by the number of its group: by joints that stay closed, and by cords. A joint or a cord of
/// which too little is written counts as holding: the rules that ask for the missing value speak of it. `open` is a joint that
/// counts as open whatever is written of it.
fn groups(ctx: &EvalContext<'_>, order: &[Id<Section>], open: Option<Id<Joint>>) -> Outcome<Vec<usize>> {
    let mut group: Vec<usize> = (0..order.len()).collect();
    let mut join = |a: usize, b: usize| {
        let (Some(&one), Some(&other)) = (group.get(a), group.get(b)) else { return };
        for each in &mut group {
            if *each == other {
                *each = one;
            }
        }
    };
    let place = |of: Id<Section>| order.iter().position(|section| *section == of);
    let mut parted = vec![false; order.len()];
    for one in ctx.every::<Joint>() {
        let (fore, aft) = ends(ctx, one)?;
        if let (Some(fore), Some(aft)) = (place(fore), place(aft))
            && fore + 1 == aft
            && (open == Some(one) || ctx.get(one, joint::parts_at).is_ok_and(|when| when != "never"))
            && let Some(parted) = parted.get_mut(fore)
        {
            *parted = true;
        }
    }
    for (at, parted) in parted.iter().enumerate() {
        if !parted {
            join(at, at + 1);
        }
    }
    let mut everything = !cords_known(ctx);
    for cord in ctx.every::<Harness>() {
        match ctx.entities(cord, harness::between) {
            Ok(tied) => {
                let mut ends: Vec<Id<Section>> = tied.iter().collect();
                if open.is_some() {
                    // Which side of a joint a cord pulls at depends on the eye that it is tied to.
                    for end in &mut ends {
                        *end = anchor(ctx, *end)?;
                    }
                }
                let tied: Vec<usize> = ends.into_iter().filter_map(place).collect();
                for pair in tied.windows(2) {
                    if let [a, b] = pair {
                        join(*a, *b);
                    }
                }
            }
            Err(_) => everything = true,
        }
    }
    if everything {
        (1..order.len()).for_each(|at| join(0, at));
    }
    Ok(group)
}

/// The section whose eye a cord is tied to that is said to tie a section: that section, or where it has no eye, the nearest of its
/// piece that has one.
pub(super) fn anchor(ctx: &EvalContext<'_>, end: Id<Section>) -> Outcome<Id<Section>> {
    let eyes: Vec<Id<Section>> =
        ctx.every::<Attachment>().into_iter().filter_map(|eye| ctx.holder::<Section>(eye)).collect();
    let order: Vec<Id<Section>> = sections(ctx)?.iter().collect();
    let place = |of: Id<Section>| order.iter().position(|section| *section == of);
    let apart = |a: Id<Section>| place(a).zip(place(end)).map_or(usize::MAX, |(a, b)| a.abs_diff(b));
    let nearest = piece(ctx, end)?.into_iter().filter(|one| eyes.contains(one)).min_by_key(|one| apart(*one));
    Ok(nearest.unwrap_or(end))
}

/// Whether the cords are written down at all, and of each parachute what it is tied to.
fn cords_known(ctx: &EvalContext<'_>) -> bool {
    let Ok(Some(recovery)) = ctx.part(ctx.rocket(), rocket::recovery) else { return false };
    ctx.has(recovery, recovery::harnesses).is_ok()
        && ctx.every::<Parachute>().into_iter().all(|canopy| ctx.get(canopy, parachute::hangs_on).is_ok())
}

fn find(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Vec<Train>> {
    let recovery = ctx.part(root, rocket::recovery)?;
    let recovery = recovery.ok_or_else(|| ctx.refuse("the rocket has no recovery system"))?;
    let order: Vec<Id<Section>> = sections(ctx)?.iter().collect();
    let group = groups(ctx, &order, None)?;
    let mut found: Vec<(usize, Train)> = Vec::new();
    for (section, of) in order.iter().zip(&group) {
        match found.iter_mut().find(|(known, _)| known == of) {
            Some((_, train)) => train.sections.push(*section),
            None => found.push((*of, Train { sections: vec![*section], canopies: Vec::new() })),
        }
    }
    for canopy in ctx.entities(recovery, recovery::parachutes)?.iter() {
        if let [(_, only)] = found.as_mut_slice() {
            only.canopies.push(canopy);
            continue;
        }
        let cord = ctx.get(canopy, parachute::hangs_on)?;
        let tied = ctx.entities(cord, harness::between)?;
        let train = found.iter_mut().find(|(_, train)| tied.iter().any(|s| train.sections.contains(&s)));
        if let Some((_, train)) = train {
            train.canopies.push(canopy);
        }
    }
    Ok(found.into_iter().map(|(_, train)| train).collect())
}

/// The train that a section comes down in.
pub(super) fn with_section<'t>(
    ctx: &EvalContext<'_>,
    trains: &'t [Train],
    section: Id<Section>,
) -> Outcome<&'t Train> {
    let found = trains.iter().find(|train| train.sections.contains(&section));
    found.ok_or_else(|| ctx.refuse("the section is not one of the rocket's"))
}

/// The train that hangs from a parachute.
pub(super) fn under<'t>(
    ctx: &EvalContext<'_>,
    trains: &'t [Train],
    canopy: Id<Parachute>,
) -> Outcome<&'t Train> {
    let found = trains.iter().find(|train| train.canopies.contains(&canopy));
    found.ok_or_else(|| ctx.refuse("nothing hangs from the parachute"))
}

/// The mass of sections, the burnt motor in the one that carries it.
pub(super) fn mass_of(ctx: &EvalContext<'_>, sections: &[Id<Section>]) -> Outcome<Mass> {
    let root = ctx.rocket();
    let mut total = Ok(0.0);
    let add = |total: Outcome<f64>, mass: Outcome<Mass>| both(total, mass).map(|(t, m)| t + m.si());
    let mut terms = Vec::new();
    for one in sections {
        total = add(total, ctx.get(*one, section::mass));
        if ctx.is_recording() {
            terms.push(ctx.field_line(*one, section::mass));
        }
        for (more, line) in additions_of(ctx, *one)? {
            total = add(total, Ok(more));
            terms.push(line);
        }
        if ctx.part(*one, section::motor_mount)?.is_some() {
            let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
            let burnt = both(ctx.get(engine, motor::loaded_mass), ctx.get(engine, motor::propellant_mass))
                .map(|(loaded, propellant)| loaded - propellant);
            if let Ok(burnt) = &burnt {
                ctx.step("burnt motor", || Formula::expression("{loaded_mass} − {propellant_mass}"), *burnt);
                terms.push("{burnt motor}".to_owned());
            }
            total = add(total, burnt);
        }
    }
    ctx.formula(|| Formula::Expression(terms.join(" + ").into()));
    Ok(Mass::from_si(total?))
}

impl Train {
    /// What comes down in it: of a rocket that stays tied together what was weighed counts, else its parts.
    pub(super) fn mass(&self, ctx: &EvalContext<'_>, trains: &[Self]) -> Outcome<Mass> {
        if trains.len() == 1 {
            ctx.formula(|| Formula::choice("{mass_in_descent}, all of which hangs together"));
            return ctx.query(ctx.rocket(), &MASS_IN_DESCENT);
        }
        let mut total = mass_of(ctx, &self.sections);
        if let Ok(total) = &total {
            ctx.step("mass of the sections", || ctx.recorded_formula(), *total);
        }
        let mut terms = vec!["{mass of the sections}".to_owned()];
        let add = |total: Outcome<Mass>, one: Outcome<Mass>| both(total, one).map(|(t, m)| t + m);
        for canopy in &self.canopies {
            total = add(total, ctx.get(*canopy, parachute::mass));
            if ctx.is_recording() {
                terms.push(ctx.field_line(*canopy, parachute::mass));
            }
        }
        for cord in ctx.every::<Harness>() {
            let tied = ctx.entities(cord, harness::between)?;
            if ctx.has(cord, harness::mass)? && tied.iter().any(|s| self.sections.contains(&s)) {
                total = add(total, ctx.get(cord, harness::mass));
                if ctx.is_recording() {
                    terms.push(ctx.field_line(cord, harness::mass));
                }
            }
        }
        ctx.formula(|| Formula::Expression(terms.join(" + ").into()));
        if let Ok(total) = &total {
            ctx.step("mass that hangs together", || ctx.recorded_formula(), *total);
        }
        total
    }

    /// The mass that comes down in it, as formulas name it.
    pub(super) fn mass_line(trains: &[Self]) -> &'static str {
        if trains.len() == 1 { "{mass_in_descent}" } else { "{mass that hangs together}" }
    }

    /// Its parachutes with the heights above the field at which they open, the highest first.
    pub(super) fn openings(&self, ctx: &EvalContext<'_>) -> Outcome<Vec<(Id<Parachute>, Length)>> {
        let mut all: Outcome<Vec<(Id<Parachute>, Length)>> = Ok(Vec::new());
        for canopy in &self.canopies {
            ctx.offer(*canopy, OPENING_HEIGHT.name);
            all = both(all, ctx.unrecorded(|| opening_height(ctx, *canopy))).map(|(mut all, height)| {
                all.push((*canopy, height));
                all
            });
        }
        let mut all = all?;
        all.sort_by(|a, b| b.1.si().total_cmp(&a.1.si()));
        Ok(all)
    }

    /// The least and the most drag area of the sections themselves, hanging or tumbling.
    pub(super) fn body(&self, ctx: &EvalContext<'_>) -> Outcome<(Area, Area)> {
        let across = ctx.query(ctx.rocket(), &CALIBRE);
        let mut long = Ok(0.0);
        let mut fin: Outcome<f64> = Ok(0.0);
        for one in &self.sections {
            long = both(long, ctx.query(*one, &OUTSIDE_LENGTH)).map(|(l, more)| l + more.si());
            if let Some(set) = ctx.part(*one, section::fins)? {
                let area =
                    planform(ctx, set).map(|p| (p.root_chord.si() + p.tip_chord.si()) * p.span.si() / 2.0);
                fin = both(fin, area).map(|(f, more)| f.max(more));
            }
        }
        let (across, (long, fin)) = both(across, both(long, fin))?;
        let found = fall::body_drag_area(across, Length::from_si(long), Area::from_si(fin));
        let (low, high) = ctx.or_refuse(found)?;
        if ctx.is_recording() {
            let lengths: Vec<String> =
                self.sections.iter().map(|one| ctx.line(*one, OUTSIDE_LENGTH.name)).collect();
            let long = format!("({})", lengths.join(" + "));
            let fins = self.sections.iter().filter_map(|one| ctx.part(*one, section::fins).ok().flatten());
            let fins: Vec<String> = fins
                .map(|set| {
                    let [root, tip, span, _] = planform_lines(ctx, set);
                    format!("({root} + {tip}) / 2 × {span}")
                })
                .collect();
            let plates = match fins.as_slice() {
                [] => String::new(),
                [one] => format!(" + 1.17 × 2 × {one}"),
                _ => format!(" + 1.17 × 2 × greatest of ({})", fins.join(", ")),
            };
            ctx.step(
                "drag area of the body, least: tumbling",
                || Formula::Expression(format!("0.3 × {{calibre}} × {long} × 4 / (3 × π)").into()),
                low,
            );
            ctx.step(
                "drag area of the flat body, with two fins as plates",
                || Formula::Expression(format!("1.2 × {{calibre}} × {long}{plates}").into()),
                high,
            );
        }
        Ok((low, high))
    }
}

/// The greatest of what the trains come to.
pub(super) fn greatest<T: Copy + PartialOrd>(
    ctx: &EvalContext<'_>,
    all: &[Train],
    each: impl Fn(&Train) -> Outcome<T>,
) -> Outcome<T> {
    let mut found: Outcome<Option<T>> = Ok(None);
    let mut longest = None;
    // Of several trains only the one that counts is recorded.
    let deferred = ctx.is_recording() && all.len() > 1;
    for train in all {
        let one = if deferred { ctx.unrecorded(|| each(train)) } else { each(train) };
        found = both(found, one).map(|(so_far, one)| match so_far {
            Some(most) if most >= one => Some(most),
            _ => {
                longest = Some(train);
                Some(one)
            }
        });
    }
    if let Some(train) = longest.filter(|_| deferred) {
        each(train)?;
    }
    found?.ok_or_else(|| ctx.refuse("no section comes down"))
}

/// Sections that hang together.
type Group = Vec<Id<Section>>;

/// The sections on the two sides of a joint, were it to come apart: on the fore side and on the aft side, cords counted as holding.
/// `None` where a cord ties the sides past it.
pub(super) fn sides(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<Option<(Group, Group)>> {
    let (fore, aft) = ends(ctx, id)?;
    let order: Vec<Id<Section>> = sections(ctx)?.iter().collect();
    let group = groups(ctx, &order, Some(id))?;
    let of = |section: Id<Section>| {
        let at = order.iter().position(|s| *s == section)?;
        group.get(at).copied()
    };
    let with = |wanted: Option<usize>| -> Vec<Id<Section>> {
        let kept = order.iter().zip(&group).filter(|(_, g)| Some(**g) == wanted);
        kept.map(|(section, _)| *section).collect()
    };
    Ok((of(fore) != of(aft)).then(|| (with(of(fore)), with(of(aft)))))
}

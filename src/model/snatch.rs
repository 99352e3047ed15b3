//! The snatch of a cord when a charge throws apart what it ties.

use std::f64::consts::FRAC_PI_4;

use super::charges::{FILLS, MOST_PRESSURE};
use super::computed::computed;
use super::cords::TIED_JOINT;
use super::joints::{INSERTION, SOCKET_DIAMETER};
use super::launch_site::{planned_flight, standard_air};
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{Charge, Harness, charge, flight, harness};
use crate::engineering::snatch;
use crate::quantity::{Energy, Force};
use crate::tables::material;
use crate::vocabulary::Id;

computed! {
    /// The work that its gas does on the parts of the joint until they are apart, were nothing lost to pins, friction, leaks and cold walls.
    THROW: "throw" of Charge gives Energy,
        Formula::expression("({most_pressure} + {air outside}) × {fills} × ln(1 + {volume swept} / {fills}) − {air outside} × {volume swept}"),
        "first law of thermodynamics; an ideal gas that keeps its temperature", throw;
    /// The pull with which it catches what the strongest charge of its joint throws apart, all of the cord stretching as one spring.
    SNATCH: "snatch" of Harness gives Force,
        Formula::expression("√(2 × throw of the charge × {strength} / ({elongation_at_break} × {length}))"),
        "conservation of energy: the masses cancel", caught;
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&THROW, &SNATCH];

fn throw(ctx: &EvalContext<'_>, id: Id<Charge>) -> Outcome<Energy> {
    let root = ctx.rocket();
    let place = planned_flight(ctx, root)?;
    let gas = both(ctx.query(id, &MOST_PRESSURE), ctx.query(id, &FILLS));
    let joint = ctx.get(id, charge::joint);
    let plug = joint.and_then(|joint| both(ctx.query(joint, &SOCKET_DIAMETER), ctx.query(joint, &INSERTION)));
    let (elevation, ((rise, free), (bore, long))) =
        both(ctx.get(place, flight::site_elevation), both(gas, plug))?;
    let outside = standard_air(ctx, elevation)?.pressure;
    let swept = bore * bore * long * FRAC_PI_4;
    ctx.step("air outside", || Formula::method("standard pressure at `site_elevation`"), outside);
    ctx.step("volume swept", || Formula::expression("π / 4 × {socket_diameter}² × {insertion}"), swept);
    ctx.or_refuse(snatch::throw(rise, outside, free, swept))
}

fn caught(ctx: &EvalContext<'_>, id: Id<Harness>) -> Outcome<Force> {
    let tied = ctx.query(id, &TIED_JOINT)?;
    let mut hardest: Outcome<Option<Energy>> = Ok(None);
    let mut lines = Vec::new();
    for one in ctx.every::<Charge>() {
        if ctx.get(one, charge::joint)? != tied {
            continue;
        }
        if ctx.is_recording() {
            lines.push(ctx.line(one, THROW.name));
        }
        hardest = both(hardest, ctx.query(one, &THROW)).map(|(so_far, work)| match so_far {
            Some(most) if most >= work => Some(most),
            _ => Some(work),
        });
    }
    let cord = both(ctx.get(id, harness::strength), ctx.get(id, harness::length));
    let stretch = ctx.get(id, harness::material).and_then(|row| ctx.get(row, material::elongation_at_break));
    let (hardest, (stretch, (strength, length))) = both(hardest, both(stretch, cord))?;
    let work = hardest.ok_or_else(|| ctx.refuse("no charge opens the joint that it ties"))?;
    ctx.formula(|| {
        let work = match lines.as_slice() {
            [one] => one.clone(),
            _ => format!("greatest of ({})", lines.join(", ")),
        };
        Formula::Expression(
            format!("√(2 × {work} × {{strength}} / ({{elongation_at_break}} × {{length}}))").into(),
        )
    });
    ctx.or_refuse(snatch::catch(work, strength, stretch, length))
}

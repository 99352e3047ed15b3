//! Openings: how late a parachute comes out, and what its jerk pulls at.

use super::computed::computed;
use super::descent::MASS_UNDER;
use super::joints::{FORE, FORE_MASS};
use super::masses::MASS_IN_DESCENT;
use super::sections::sections;
use super::{AnyComputed, EvalContext, Formula, Model, Outcome, Read, both, recovery_trains};
use crate::design::{
    Circuit, Joint, Parachute, Section, altimeter, charge, circuit, harness, joint, parachute, rocket, wiring,
};
use crate::quantity::{Mass, Time};
use crate::vocabulary::Id;

computed! {
    /// The longest that an altimeter waits after apogee before it lets the parachute out, backups counted.
    OPENING_DELAY: "opening_delay" of Parachute gives Time,
        Formula::expression("greatest `apogee_delay` of the altimeters whose circuits open a joint at apogee; none written is none"), "", opening_delay;
    /// The mass on the far side of the joint from the one that opens first.
    MASS_BEYOND: "mass_beyond" of Joint gives Mass,
        Formula::expression("{mass_in_descent} − {fore_mass}"), "", mass_beyond;
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&OPENING_DELAY, &MASS_BEYOND];

impl Model<'_> {
    /// The mass that hangs from a parachute through a joint: what is on the far side of the joint from its cord, cords counted as
    /// holding; all that it carries where a cord leads past the joint. With what was read for it.
    pub fn mass_through(&self, joint: Id<Joint>, canopy: Id<Parachute>) -> (Outcome<Mass>, Vec<Read>) {
        let ctx = self.context();
        let mass = mass_through(&ctx, joint, canopy);
        (mass, ctx.reads.into_inner())
    }
}

fn mass_through(ctx: &EvalContext<'_>, id: Id<Joint>, canopy: Id<Parachute>) -> Outcome<Mass> {
    let sides = recovery_trains::sides(ctx, id)?;
    let cord = ctx.get(canopy, parachute::hangs_on)?;
    let ends = ctx.entities(cord, harness::between)?;
    let Some((fore, aft)) = sides else { return ctx.query(canopy, &MASS_UNDER) };
    let mut anchors = Vec::new();
    for end in ends.iter() {
        anchors.push(recovery_trains::anchor(ctx, end)?);
    }
    let on = |side: &[Id<Section>]| anchors.iter().any(|section| side.contains(section));
    match (on(&fore), on(&aft)) {
        (true, true) => ctx.query(canopy, &MASS_UNDER),
        (true, false) => recovery_trains::mass_of(ctx, &aft),
        (false, true) => recovery_trains::mass_of(ctx, &fore),
        (false, false) => Ok(Mass::from_si(0.0)),
    }
}

fn opening_delay(ctx: &EvalContext<'_>, id: Id<Parachute>) -> Outcome<Time> {
    if ctx.get(id, parachute::opens_at)? != "apogee" {
        return Err(ctx.refuse("it is not opened at apogee"));
    }
    if !ctx.has(ctx.rocket(), rocket::wiring)? {
        return Err(ctx.missing(ctx.rocket(), rocket::wiring));
    }
    if let Some(wiring) = ctx.part(ctx.rocket(), rocket::wiring)?
        && !ctx.has(wiring, wiring::circuits)?
    {
        return Err(ctx.refuse("no circuit opens a joint at apogee"));
    }
    let mut longest: Outcome<Option<Time>> = Ok(None);
    let mut lines = Vec::new();
    for one in ctx.every::<Circuit>() {
        let delay = ctx.get(one, circuit::fires).and_then(|fired| {
            let opened = ctx.get(fired, charge::joint)?;
            if ctx.get(opened, joint::parts_at)? != "apogee" {
                return Ok(None);
            }
            let fires = ctx.get(one, circuit::altimeter)?;
            if ctx.has(fires, altimeter::apogee_delay)? {
                if ctx.is_recording() {
                    lines.push(ctx.field_line(fires, altimeter::apogee_delay));
                }
                ctx.get(fires, altimeter::apogee_delay).map(Some)
            } else {
                Ok(Some(Time::from_si(0.0)))
            }
        });
        longest = both(longest, delay).map(|(so_far, one)| match (so_far, one) {
            (Some(a), Some(b)) if b > a => Some(b),
            (None, b) => b,
            (a, _) => a,
        });
    }
    lines.dedup();
    ctx.formula(|| match *lines {
        [] => Formula::fixed("no `apogee_delay` is written, which is none"),
        _ => Formula::Expression(format!("greatest of (0 s, {})", lines.join(", ")).into()),
    });
    longest?.ok_or_else(|| ctx.refuse("no circuit opens a joint at apogee"))
}

fn mass_beyond(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<Mass> {
    let mut first = None;
    for one in ctx.every::<Joint>() {
        if ctx.get(one, joint::parts_at)? == "apogee" {
            first = Some(one);
            break;
        }
    }
    let Some(first) = first else { return Err(ctx.refuse("no joint opens at apogee")) };
    if first == id {
        return Err(ctx.refuse("this joint is the one that opens first"));
    }
    let order = sections(ctx)?;
    let place = |joint| ctx.query(joint, &FORE).map(|fore| order.iter().position(|s| s == fore));
    let (here, there) = both(place(id), place(first))?;
    let fore = ctx.query(id, &FORE_MASS);
    if here < there {
        ctx.formula(|| Formula::choice("{fore_mass}, as what opens first is behind the joint"));
        return fore;
    }
    let root = ctx.rocket();
    let (fore, all) = both(fore, ctx.query(root, &MASS_IN_DESCENT))?;
    let aft = all - fore;
    if aft.si() <= 0.0 {
        return Err(ctx.refuse("what stands before the joint weighs more than the whole rocket"));
    }
    Ok(aft)
}

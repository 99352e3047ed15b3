//! Where parachutes and cords lie: the compartments, the pieces that stay together, and the joint that a cord ties.

use super::computed::computed;
use super::mating::ends;
use super::sections::sections;
use super::{EvalContext, Formula, Outcome, both};
use crate::design::{Harness, Joint, Section, harness, joint, parachute, recovery, rocket, section};
use crate::vocabulary::Id;

computed! {
    /// The section whose parachute leaves through the joint.
    COMPARTMENT: "compartment" of Joint gives Id<Section>,
        Formula::condition("the section of `between` in which a parachute is packed"), "", compartment;
    /// The foremost section of the piece that this section lands in: what is joined by joints that never part stays together.
    PIECE: "piece" of Section gives Id<Section>, Formula::condition("sections joined by joints that never part"), "", |ctx, id| {
        let piece = piece(ctx, id)?;
        piece.first().copied().ok_or_else(|| ctx.refuse("the section is not one of the rocket's"))
    };
    /// The joint whose two sections it ties together.
    TIED_JOINT: "joint" of Harness gives Id<Joint>, Formula::condition("the joint between the same two sections"), "", tied_joint;
    /// The section that it lies in until its joint opens.
    LIES_IN: "lies_in" of Harness gives Id<Section>, Formula::condition("the compartment of the joint that it ties"), "", |ctx, id| {
        ctx.query(ctx.query(id, &TIED_JOINT)?, &COMPARTMENT)
    };
}

/// A cord, and the section that it lies in.
type LyingCord = (Id<Harness>, Outcome<Id<Section>>);

/// The cords whose masses are written down by themselves, each with where it lies.
pub(super) fn weighed_cords(ctx: &EvalContext<'_>) -> Outcome<Vec<LyingCord>> {
    let mut found = Vec::new();
    for cord in ctx.every::<Harness>() {
        if ctx.has(cord, harness::mass)? {
            found.push((cord, ctx.query(cord, &LIES_IN)));
        }
    }
    Ok(found)
}

fn compartment(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<Id<Section>> {
    let (fore, aft) = ends(ctx, id)?;
    let event = ctx.get(id, joint::parts_at)?;
    let root = ctx.rocket();
    let Some(recovery) = ctx.part(root, rocket::recovery)? else {
        return Err(ctx.refuse("the rocket has no recovery system"));
    };
    for parachute in ctx.entities(recovery, recovery::parachutes)?.iter() {
        let (packed, opens) =
            both(ctx.get(parachute, parachute::packed_in), ctx.get(parachute, parachute::opens_at))?;
        if (packed == fore || packed == aft) && opens == event {
            return Ok(packed);
        }
    }
    // A joint may open only to let out what is packed further in: then the free side is the one with a tube.
    for section in [aft, fore] {
        if ctx.part(section, section::tube)?.is_some() {
            return Ok(section);
        }
    }
    Err(ctx.refuse("neither section of the joint has a tube to hold a parachute"))
}

/// The sections that stay together with one, fore to aft.
pub(super) fn piece(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<Vec<Id<Section>>> {
    let mut fixed = Vec::new();
    for one in ctx.every::<Joint>() {
        if ctx.get(one, joint::parts_at)? == "never"
            && let Some(ends) = ctx.entities(one, joint::between)?.both()
        {
            fixed.push(ends);
        }
    }
    let mut together = vec![id];
    loop {
        let before = together.len();
        for (fore, aft) in &fixed {
            match (together.contains(fore), together.contains(aft)) {
                (true, false) => together.push(*aft),
                (false, true) => together.push(*fore),
                _ => {}
            }
        }
        if together.len() == before {
            break;
        }
    }
    Ok(sections(ctx)?.iter().filter(|section| together.contains(section)).collect())
}

fn tied_joint(ctx: &EvalContext<'_>, id: Id<Harness>) -> Outcome<Id<Joint>> {
    let root = ctx.rocket();
    let (between, joints) = both(ctx.get(id, harness::between), ctx.entities(root, rocket::joints))?;
    for joint in joints.iter() {
        let (fore, aft) = ends(ctx, joint)?;
        if between.contains(fore) && between.contains(aft) {
            return Ok(joint);
        }
    }
    // A cord that ties a parachute to one piece leaves by the joint where that piece parts.
    if between.len() == 1
        && let Some(only) = between.iter().next()
    {
        for joint in joints.iter() {
            let (fore, aft) = ends(ctx, joint)?;
            if (fore == only || aft == only) && ctx.get(joint, joint::parts_at)? != "never" {
                return Ok(joint);
            }
        }
    }
    // Its eyes may be farther in: then it is the joint that parts the pieces that they stand in.
    let mut pieces = Vec::new();
    for end in between.iter() {
        pieces.push(ctx.query(end, &PIECE)?);
    }
    for joint in joints.iter() {
        if ctx.get(joint, joint::parts_at)? != "never" {
            let (fore, aft) = ends(ctx, joint)?;
            let (fore, aft) = both(ctx.query(fore, &PIECE), ctx.query(aft, &PIECE))?;
            if pieces.contains(&fore) && pieces.contains(&aft) {
                return Ok(joint);
            }
        }
    }
    Err(ctx.refuse("no joint is between the two sections that this harness ties"))
}

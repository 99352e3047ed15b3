//! The motor mount that the motor goes into, and what keeps the motor in it.

use super::computed::computed;
use super::sections::sections;
use super::{AnyComputed, EvalContext, Formula, Outcome};
use crate::design::{Motor, MotorMount, Retainer, Section, Tube, motor_mount, section};
use crate::vocabulary::Id;

computed! {
    /// What keeps it from leaving its mount.
    RETAINER: "retainer" of Motor gives Id<Retainer>, Formula::condition("the retainer of the motor mount"), "", retainer;
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&RETAINER];

/// The motor mount of the rocket, the foremost where several are written.
pub(super) fn motor_mount(ctx: &EvalContext<'_>) -> Outcome<Id<MotorMount>> {
    for section in sections(ctx)?.iter() {
        if let Some(mount) = ctx.part(section, section::motor_mount)? {
            return Ok(mount);
        }
    }
    Err(ctx.refuse("no motor mount is described"))
}

fn retainer(ctx: &EvalContext<'_>, _: Id<Motor>) -> Outcome<Id<Retainer>> {
    ctx.part(motor_mount(ctx)?, motor_mount::retainer)?
        .ok_or_else(|| ctx.refuse("nothing keeps the motor in"))
}

/// The tube that the motor slides into: the mount's own, else the body tube around it.
pub(super) fn mount_tube(ctx: &EvalContext<'_>, mount: Id<MotorMount>) -> Outcome<Id<Tube>> {
    if let Some(own) = ctx.part(mount, motor_mount::tube)? {
        return Ok(own);
    }
    let section = ctx.holder::<Section>(mount);
    let section = section.ok_or_else(|| ctx.refuse("the mount stands in no section"))?;
    ctx.part(section, section::tube)?
        .ok_or_else(|| ctx.refuse("the mount has no tube, and its section has none"))
}

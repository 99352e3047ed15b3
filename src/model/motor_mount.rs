//! The motor mount that the motor goes into, and what keeps the motor in it.

use super::joints::computed;
use super::stations::sections;
use super::{AnyComputed, EvalContext, Formula, Outcome};
use crate::design::{Motor, MotorMount, Retainer, motor_mount, section};
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
    ctx.part(motor_mount(ctx)?, motor_mount::retainer)?.ok_or_else(|| ctx.refuse("nothing keeps the motor in"))
}

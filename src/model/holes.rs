//! Holes through the wall: where they are, how large, and how far from one another and from what else is there.
//!
//! Angles are read from aft, clockwise; lengths around the body are arcs on its outside.

use std::f64::consts::{PI, TAU};

use super::computed::computed;
use super::mating::meeting;
use super::sections::BODY_DIAMETER;
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{
    Altimeter, Fastening, Holes, Joint, RailButton, Rods, Section, ShearPins, Switch, SwitchAccess, Vent,
    altimeter, fastening, rail_button, rods, shear_pins, switch_access, vent,
};
use crate::quantity::{Angle, Length, Styled};
use crate::tables::{Thread, clearance_drill, tap_drill, thread};
use crate::vocabulary::{EntityId, Id};

/// What holes are for, in the words that messages use.
const PURPOSES: &[&str] = &["shear pins", "screws", "vents", "rail button", "switch access"];

/// The largest difference between a gap and an even one that still counts as even.
const EVEN_WITHIN_DEGREES: f64 = 10.0;

computed! {
    /// What the holes are for.
    PURPOSE: "purpose" of Holes gives &'static str = PURPOSES, Formula::condition("the part that they come with"), "", |ctx, id| {
        Ok(owner(ctx, id)?.purpose())
    };
    /// Whether there is anything to drill: a joint held by glue or friction has no holes, nor has a guide bonded to the skin.
    DRILLED: "drilled" of Holes gives bool, Formula::condition("screws and rivets want holes; glue and friction want none"), "", |ctx, id| {
        drilled(ctx, owner(ctx, id)?)
    };
    /// How many there are.
    COUNT: "count" of Holes gives u32, Formula::choice("{count}, of pins, screws or vents"), "", |ctx, id| {
        let owner = owner(ctx, id)?;
        if matches!(owner, Owner::Button(_) | Owner::Access(_)) {
            ctx.formula(|| Formula::fixed("a single hole"));
        }
        count(ctx, owner)
    };
    /// The section whose outside they go through.
    SECTION_OF: "section" of Holes gives Id<Section>, Formula::condition("the section of the outer tube"), "", |ctx, id| {
        outer_section(ctx, owner(ctx, id)?)
    };
    /// The thread of the screw or pin that goes in.
    THREAD_OF: "thread" of Holes gives Id<Thread>, Formula::condition("as written"), "", |ctx, id| {
        let thread = owner(ctx, id)?.thread(ctx);
        thread.unwrap_or_else(|| Err(ctx.refuse("nothing is screwed into these holes")))
    };
    /// Whether a thread is cut into the inner tube, the ring or the block.
    TAPPED: "tapped" of Holes gives bool, Formula::condition("`into` is a tapped hole, a ring, a bulkhead or a block"), "", |ctx, id| {
        tapped(ctx, owner(ctx, id)?)
    };
    /// Whether their drill is stated, and not taken from the thread.
    DRILL_STATED: "drill_stated" of Holes gives bool, Formula::condition("as written"), "", |ctx, id| {
        owner(ctx, id)?.states_drill(ctx)
    };
    /// The size of the holes in the outer wall.
    DIAMETER: "diameter" of Holes gives Styled<Length>,
        Formula::choice("{drill}, as stated"), "rules/tables/clearance_drills.yaml", |ctx, id| {
            outer_drill(ctx, owner(ctx, id)?)
        };
    /// The size of the holes in the inner tube, the ring or the block.
    INNER_DIAMETER: "inner_diameter" of Holes gives Styled<Length>,
        Formula::choice("{drill}, as stated"),
        "rules/tables/tap_drills.yaml, rules/tables/clearance_drills.yaml", |ctx, id| {
            inner_drill(ctx, owner(ctx, id)?)
        };
    /// The outside diameter of the body there.
    BODY: "body_diameter" of Holes gives Length, Formula::choice("{body_diameter}, of the section"), "", |ctx, id| {
        let section = outer_section(ctx, owner(ctx, id)?)?;
        ctx.query(section, &BODY_DIAMETER)
    };
    /// The clock angle of each hole, read from aft, clockwise from the first fin.
    CLOCK: "clock" of Holes gives Vec<Angle>, Formula::condition("as written; the first and even steps where they are spaced evenly"), "", |ctx, id| {
        Ok(angles(ctx, owner(ctx, id)?)?.into_iter().map(Angle::from_si).collect())
    };
    /// Whether the holes are spaced evenly around the body, each gap within ten degrees of the next.
    EVENLY_SPACED: "evenly_spaced" of Holes gives bool, Formula::condition("the gaps between the angles in `clock`, or the word in `spaced`"), "", |ctx, id| {
        evenly(ctx, owner(ctx, id)?)
    };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[
    &PURPOSE,
    &DRILLED,
    &COUNT,
    &SECTION_OF,
    &THREAD_OF,
    &TAPPED,
    &DRILL_STATED,
    &DIAMETER,
    &INNER_DIAMETER,
    &BODY,
    &CLOCK,
    &EVENLY_SPACED,
];

/// The part that holes come with.
#[derive(Clone, Copy)]
pub(super) enum Owner {
    Pins(Id<ShearPins>),
    Screws(Id<Fastening>),
    Vents(Id<Vent>),
    Button(Id<RailButton>),
    Access(Id<SwitchAccess>),
}

impl Owner {
    /// The part.
    pub(super) fn id(self) -> EntityId {
        match self {
            Self::Pins(id) => id.any(),
            Self::Screws(id) => id.any(),
            Self::Vents(id) => id.any(),
            Self::Button(id) => id.any(),
            Self::Access(id) => id.any(),
        }
    }

    /// What the holes are for.
    pub(super) fn purpose(self) -> &'static str {
        match self {
            Self::Pins(_) => "shear pins",
            Self::Screws(_) => "screws",
            Self::Vents(_) => "vents",
            Self::Button(_) => "rail button",
            Self::Access(_) => "switch access",
        }
    }

    /// The joint that pins or screws go through.
    pub(super) fn joint(self, ctx: &EvalContext<'_>) -> Option<Id<Joint>> {
        match self {
            Self::Pins(id) => ctx.parent_as(id),
            Self::Screws(id) => ctx.parent_as(id),
            _ => None,
        }
    }

    /// The drill, or the diameter itself where nothing is screwed in.
    fn drill(self, ctx: &EvalContext<'_>) -> Outcome<Styled<Length>> {
        ctx.formula(|| {
            let drilled = !matches!(self, Self::Vents(_) | Self::Access(_));
            Formula::choice(if drilled { "{drill}, as stated" } else { "{diameter}, as stated" })
        });
        match self {
            Self::Pins(id) => ctx.quantity(id, shear_pins::drill),
            Self::Screws(id) => ctx.quantity(id, fastening::drill),
            Self::Vents(id) => ctx.quantity(id, vent::diameter),
            Self::Button(id) => ctx.quantity(id, rail_button::drill),
            Self::Access(id) => ctx.quantity(id, switch_access::diameter),
        }
    }

    fn states_drill(self, ctx: &EvalContext<'_>) -> Outcome<bool> {
        match self {
            Self::Pins(id) => ctx.has(id, shear_pins::drill),
            Self::Screws(id) => ctx.has(id, fastening::drill),
            Self::Vents(id) => ctx.has(id, vent::diameter),
            Self::Button(id) => ctx.has(id, rail_button::drill),
            Self::Access(id) => ctx.has(id, switch_access::diameter),
        }
    }

    /// The thread of what is screwed in; `None` where nothing is.
    fn thread(self, ctx: &EvalContext<'_>) -> Option<Outcome<Id<Thread>>> {
        match self {
            Self::Pins(id) => Some(ctx.get(id, shear_pins::thread)),
            Self::Screws(id) => Some(ctx.get(id, fastening::thread)),
            Self::Button(id) => Some(ctx.get(id, rail_button::thread)),
            Self::Vents(_) | Self::Access(_) => None,
        }
    }

    /// Whether the thread of what is screwed in is written; `None` where nothing is screwed in.
    fn states_thread(self, ctx: &EvalContext<'_>) -> Option<Outcome<bool>> {
        match self {
            Self::Pins(id) => Some(ctx.has(id, shear_pins::thread)),
            Self::Screws(id) => Some(ctx.has(id, fastening::thread)),
            Self::Button(id) => Some(ctx.has(id, rail_button::thread)),
            Self::Vents(_) | Self::Access(_) => None,
        }
    }

    /// What it is screwed into; `None` where nothing is screwed.
    fn into(self, ctx: &EvalContext<'_>) -> Option<Outcome<&'static str>> {
        match self {
            Self::Pins(id) => Some(ctx.get(id, shear_pins::into)),
            Self::Screws(id) => Some(ctx.get(id, fastening::into)),
            Self::Button(id) => Some(ctx.get(id, rail_button::into)),
            Self::Vents(_) | Self::Access(_) => None,
        }
    }

    /// How several are spaced; `None` of one hole.
    fn spaced(self, ctx: &EvalContext<'_>) -> Option<Outcome<&'static str>> {
        match self {
            Self::Pins(id) => Some(ctx.get(id, shear_pins::spaced)),
            Self::Screws(id) => Some(ctx.get(id, fastening::spaced)),
            Self::Vents(id) => Some(ctx.get(id, vent::spaced)),
            Self::Button(_) | Self::Access(_) => None,
        }
    }

    fn clock(self, ctx: &EvalContext<'_>) -> Outcome<Vec<Angle>> {
        match self {
            Self::Pins(id) => ctx.get(id, shear_pins::clock),
            Self::Screws(id) => ctx.get(id, fastening::clock),
            Self::Vents(id) => ctx.get(id, vent::clock),
            Self::Button(id) => ctx.get(id, rail_button::clock).map(|one| vec![one]),
            Self::Access(id) => ctx.get(id, switch_access::clock).map(|one| vec![one]),
        }
    }

    /// Whether the clock angle of each hole is written.
    fn lists_clock(self, ctx: &EvalContext<'_>) -> bool {
        let angles = match self {
            Self::Pins(id) => ctx.peek(id, shear_pins::clock),
            Self::Screws(id) => ctx.peek(id, fastening::clock),
            Self::Vents(id) => ctx.peek(id, vent::clock),
            Self::Button(_) | Self::Access(_) => return false,
        };
        angles.is_ok_and(|angles| angles.len() > 1)
    }
}

pub(super) fn owner(ctx: &EvalContext<'_>, holes: Id<Holes>) -> Outcome<Owner> {
    let Some(id) = ctx.parent(holes) else { return Err(ctx.refuse("the holes come with nothing")) };
    let pins = || ctx.as_a(id).map(Owner::Pins);
    let screws = || ctx.as_a(id).map(Owner::Screws);
    let vents = || ctx.as_a(id).map(Owner::Vents);
    let button = || ctx.as_a(id).map(Owner::Button);
    let access = || ctx.as_a(id).map(Owner::Access);
    let found = pins().or_else(screws).or_else(vents).or_else(button).or_else(access);
    found.ok_or_else(|| ctx.refuse("no holes are known to come with this part"))
}

/// Every set of holes of the rocket that is drilled.
pub(super) fn all(ctx: &EvalContext<'_>) -> Outcome<Vec<Id<Holes>>> {
    let mut found = Vec::new();
    for id in ctx.every::<Holes>() {
        // Where nobody has said, there may be holes: what keeps clear of them is then safe either way.
        if drilled(ctx, owner(ctx, id)?).unwrap_or(true) {
            found.push(id);
        }
    }
    Ok(found)
}

fn drilled(ctx: &EvalContext<'_>, owner: Owner) -> Outcome<bool> {
    match owner {
        Owner::Button(id) => Ok(ctx.get(id, rail_button::into)? != "bonded outside"),
        Owner::Screws(id) => {
            Ok(["machine screw", "rivet", "wood screw"].contains(&ctx.get(id, fastening::kind)?))
        }
        _ => Ok(true),
    }
}

pub(super) fn count(ctx: &EvalContext<'_>, owner: Owner) -> Outcome<u32> {
    match owner {
        Owner::Pins(id) => ctx.get(id, shear_pins::count),
        Owner::Screws(id) => ctx.get(id, fastening::count),
        Owner::Vents(id) => ctx.get(id, vent::count),
        Owner::Button(_) | Owner::Access(_) => Ok(1),
    }
}

pub(super) fn tapped(ctx: &EvalContext<'_>, owner: Owner) -> Outcome<bool> {
    match owner.into(ctx) {
        Some(into) => Ok(["tapped hole", "ring", "bulkhead", "block"].contains(&into?)),
        None => Ok(false),
    }
}

/// The drill that a table names for the thread of the screw.
fn drill_of(ctx: &EvalContext<'_>, thread: Id<Thread>, tap: bool) -> Outcome<Styled<Length>> {
    let name = ctx.name(thread);
    let tables = ctx.model().tables();
    let size = if tap {
        tables.row(&name).and_then(|row| tables.styled(row, tap_drill::diameter))
    } else {
        tables.row(&name).and_then(|row| tables.styled(row, clearance_drill::diameter))
    };
    let size = size.ok_or_else(|| ctx.refuse(format!("no drill is listed for {name}")))?;
    ctx.fixed(
        if tap { "tap drill" } else { "clearance drill" },
        "the drill that the tables name",
        size.quantity(),
    );
    ctx.formula(|| {
        Formula::choice(if tap { "{tap drill}, by the thread" } else { "{clearance drill}, by the thread" })
    });
    Ok(size)
}

/// Whether the drill of a rail button is as wide as its screw: then it is the drill of the wall, and not that before a tap.
fn passes_button_screw(ctx: &EvalContext<'_>, owner: Owner) -> Outcome<bool> {
    let Owner::Button(button) = owner else { return Ok(false) };
    if !(ctx.has(button, rail_button::drill)? && ctx.has(button, rail_button::thread)?) {
        return Ok(false);
    }
    let thread = ctx.get(button, rail_button::thread)?;
    let (drill, across) = both(ctx.get(button, rail_button::drill), ctx.get(thread, thread::major_diameter))?;
    Ok(drill.si() >= across.si())
}

pub(super) fn outer_drill(ctx: &EvalContext<'_>, owner: Owner) -> Outcome<Styled<Length>> {
    let screwed = owner.states_thread(ctx);
    let stated = if screwed.is_some() { owner.states_drill(ctx)? } else { true };
    let threaded = screwed.unwrap_or(Ok(false))?;
    // A stated drill is that of the tapped hole; the wall before it lets the screw pass.
    if stated && (!(threaded && tapped(ctx, owner)?) || passes_button_screw(ctx, owner)?) {
        return owner.drill(ctx);
    }
    match owner.thread(ctx) {
        Some(thread) => drill_of(ctx, thread?, false),
        None => owner.drill(ctx),
    }
}

pub(super) fn inner_drill(ctx: &EvalContext<'_>, owner: Owner) -> Outcome<Styled<Length>> {
    let stated = owner.states_thread(ctx).is_none() || owner.states_drill(ctx)?;
    if stated && !passes_button_screw(ctx, owner)? {
        return owner.drill(ctx);
    }
    let tap = tapped(ctx, owner)?;
    match owner.thread(ctx) {
        Some(thread) => drill_of(ctx, thread?, tap),
        None => owner.drill(ctx),
    }
}

pub(super) fn outer_section(ctx: &EvalContext<'_>, owner: Owner) -> Outcome<Id<Section>> {
    if let Owner::Access(access) = owner {
        return access_section(ctx, access);
    }
    let part = match owner.joint(ctx) {
        Some(joint) => meeting(ctx, joint)?.socket.any(),
        None => owner.id(),
    };
    ctx.holder(part).ok_or_else(|| ctx.refuse("the holes are in no section"))
}

/// The section of the altimeter that a switch arms.
pub(super) fn access_section(ctx: &EvalContext<'_>, access: Id<SwitchAccess>) -> Outcome<Id<Section>> {
    let switch = ctx.holder::<Switch>(access).ok_or_else(|| ctx.refuse("the hole is no switch's"))?;
    for one in ctx.every::<Altimeter>() {
        if ctx.get(one, altimeter::switch)? == switch {
            return ctx.holder::<Section>(one).ok_or_else(|| ctx.refuse("the altimeter is in no section"));
        }
    }
    Err(ctx.refuse("no altimeter is armed by this switch, so that it is in no section"))
}

/// The clock angles of a set, in radians.
pub(super) fn angles(ctx: &EvalContext<'_>, owner: Owner) -> Outcome<Vec<f64>> {
    let count = count(ctx, owner)?;
    set_of_angles(ctx, owner.clock(ctx)?, || owner.spaced(ctx), count)
}

/// The clock angles of the rods of a bay, in radians.
pub(super) fn angles_of_rods(ctx: &EvalContext<'_>, set: Id<Rods>, count: u32) -> Outcome<Vec<f64>> {
    set_of_angles(ctx, ctx.get(set, rods::clock)?, || Some(ctx.get(set, rods::spaced)), count)
}

fn set_of_angles(
    ctx: &EvalContext<'_>,
    given: Vec<Angle>,
    spaced: impl Fn() -> Option<Outcome<&'static str>>,
    count: u32,
) -> Outcome<Vec<f64>> {
    let given: Vec<f64> = given.into_iter().map(Angle::si).collect();
    if given.len() == count as usize {
        return Ok(given);
    }
    if let [first] = *given
        && let Some(spaced) = spaced()
    {
        return if spaced? == "evenly" {
            Ok((0..count).map(|n| first + TAU * f64::from(n) / f64::from(count)).collect())
        } else {
            Err(ctx.refuse(format!("one clock angle is given for {count} that are not spaced evenly")))
        };
    }
    Err(ctx.refuse(format!("{} clock angles are given for {count}", given.len())))
}

fn evenly(ctx: &EvalContext<'_>, owner: Owner) -> Outcome<bool> {
    let count = count(ctx, owner)?;
    if count == 1 {
        return Ok(true);
    }
    if !owner.lists_clock(ctx)
        && let Some(spaced) = owner.spaced(ctx)
    {
        return Ok(spaced? == "evenly");
    }
    let even = TAU / f64::from(count);
    let worst = gaps(&angles(ctx, owner)?).map(|gap| (gap - even).abs()).fold(0.0, f64::max);
    Ok(worst <= EVEN_WITHIN_DEGREES.to_radians())
}

/// Whether the set says that it is evenly spaced without a list of angles.
pub(super) fn evenly_written(ctx: &EvalContext<'_>, owner: Owner) -> Outcome<bool> {
    if owner.lists_clock(ctx) {
        return Ok(false);
    }
    owner.spaced(ctx).map_or(Ok(false), |spaced| Ok(spaced? == "evenly"))
}

/// The gaps from angle to angle around the body.
pub(super) fn gaps(angles: &[f64]) -> impl Iterator<Item = f64> {
    let mut sorted: Vec<f64> = angles.iter().map(|a| a.rem_euclid(TAU)).collect();
    sorted.sort_by(f64::total_cmp);
    let first = sorted.first().copied().unwrap_or(0.0);
    let next: Vec<f64> = sorted.iter().skip(1).copied().chain([first + TAU]).collect();
    sorted.into_iter().zip(next).map(|(a, b)| b - a)
}

/// The smaller of the two ways round between two angles.
fn between(a: f64, b: f64) -> f64 {
    let way = (a - b).rem_euclid(TAU);
    way.min(TAU - way)
}

pub(super) fn least_between(mine: &[f64], others: &[f64]) -> f64 {
    let pairs = mine.iter().flat_map(|a| others.iter().map(move |b| between(*a, *b)));
    pairs.fold(PI, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shorter_way_round_is_taken() {
        let degrees = |a: f64, b: f64| between(a.to_radians(), b.to_radians()).to_degrees();
        assert!((degrees(350.0, 10.0) - 20.0).abs() < 1e-9);
        assert!((degrees(10.0, 350.0) - 20.0).abs() < 1e-9);
        assert!((degrees(-90.0, 270.0)).abs() < 1e-9);
        assert!((degrees(0.0, 180.0) - 180.0).abs() < 1e-9);
    }

    #[test]
    fn gaps_go_once_around() {
        let angles = [240.0_f64, 0.0, 480.0].map(f64::to_radians);
        let all: Vec<f64> = gaps(&angles).map(f64::to_degrees).collect();
        assert_eq!(all.len(), 3);
        assert!(all.iter().all(|gap| (gap - 120.0).abs() < 1e-9), "{all:?}");
        assert!((gaps(&[1.0]).sum::<f64>() - TAU).abs() < 1e-12);
    }
}

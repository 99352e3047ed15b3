//! Holes through the wall: where they are, how large, and how far from one another and from what else is there.
//!
//! Angles are read from aft, clockwise; lengths around the body are arcs on its outside.

use std::f64::consts::{PI, TAU};

use super::joints::{body_diameter, computed, ends, meeting};
use super::stations::{Extent, extent, sections};
use super::{Asking, Computed, Gap, Outcome, Type, both};
use crate::design::{
    ALTIMETER, FASTENING, FINS, HOLES, PROTUBERANCE, RAIL_BUTTON, SECTION, SHEAR_PINS, SWITCH, SWITCH_ACCESS,
    VENT, altimeter, fastening, fin_slots, fins, motor_mount, protuberance, rail_button, rods, section,
    shear_pins, switch_access, vent,
};
use crate::quantity::{Dimension as D, Length, Quantity};
use crate::tables::{CLEARANCE_DRILL, TAP_DRILL, THREAD, Tables, clearance_drill, tap_drill, thread};
use crate::vocabulary::{EntityId, Key, Rows, Value};

/// What holes are for, in the words that messages use.
const PURPOSES: &[&str] = &["shear pins", "screws", "vents", "rail button", "switch access"];

/// Holes this many diameters apart along the body are not near one another, whatever their clock angles.
const FAR_ALONG: f64 = 10.0;

/// Heads of screws and pins are low: what lies this many body diameters behind them is in calm air again.
const CALM_BEHIND_HEADS: f64 = 4.0;

/// The largest difference between a gap and an even one that still counts as even.
const EVEN_WITHIN_DEGREES: f64 = 10.0;

computed! {
    /// What the holes are for.
    PURPOSE: "purpose" of HOLES gives Type::Word(PURPOSES), "the part that they come with", "", |asking, id| {
        Ok(Value::Word(owner(asking, id)?.purpose))
    };
    /// Whether there is anything to drill: a joint held by glue or friction has no holes.
    DRILLED: "drilled" of HOLES gives Type::Truth, "screws and rivets want holes, glue and friction none", "", |asking, id| {
        drilled(asking, owner(asking, id)?).map(Value::Truth)
    };
    /// How many there are.
    COUNT: "count" of HOLES gives Type::Quantity(D::NUMBER), "as many as pins, screws or vents", "", |asking, id| {
        let count = count(asking, owner(asking, id)?)?;
        Ok(Value::Quantity(Quantity::number(f64::from(count))))
    };
    /// The section whose outside they go through.
    SECTION_OF: "section" of HOLES gives Type::Entity(&SECTION), "the section of the outer tube", "", |asking, id| {
        outer_section(asking, owner(asking, id)?).map(Value::Entity)
    };
    /// The thread of the screw or pin that goes in.
    THREAD_OF: "thread" of HOLES gives Type::Entity(&THREAD), "as written", "", |asking, id| {
        let owner = owner(asking, id)?;
        match owner.thread {
            Some(key) => asking.get(owner.id, key),
            None => Err(asking.refuse("nothing is screwed into these holes")),
        }
    };
    /// Whether a thread is cut into the inner tube, the ring or the block.
    TAPPED: "tapped" of HOLES gives Type::Truth, "`into` is a tapped hole, a ring, a bulkhead or a block", "", |asking, id| {
        tapped(asking, owner(asking, id)?).map(Value::Truth)
    };
    /// Whether their drill is stated, and not taken from the thread.
    DRILL_STATED: "drill_stated" of HOLES gives Type::Truth, "as written", "", |asking, id| {
        let owner = owner(asking, id)?;
        Ok(Value::Truth(written(asking, owner.id, owner.drill)?))
    };
    /// The size of the holes in the outer wall.
    DIAMETER: "diameter" of HOLES gives Type::Quantity(D::LENGTH),
        "as stated, else the close-fitting clearance drill of the thread", "rules/tables/clearance_drills.yaml", |asking, id| {
            outer_drill(asking, owner(asking, id)?).map(Value::Quantity)
        };
    /// The size of the holes in the inner tube, the ring or the block.
    INNER_DIAMETER: "inner_diameter" of HOLES gives Type::Quantity(D::LENGTH),
        "as stated in `drill`, else the tap drill where a thread is cut and the clearance drill where not",
        "rules/tables/tap_drills.yaml, rules/tables/clearance_drills.yaml", |asking, id| {
            inner_drill(asking, owner(asking, id)?).map(Value::Quantity)
        };
    /// The outside diameter of the body there.
    BODY: "body_diameter" of HOLES gives Type::Quantity(D::LENGTH), "outside diameter of the section", "", |asking, id| {
        let section = outer_section(asking, owner(asking, id)?)?;
        Ok(Value::Quantity(body_diameter(asking, section)?.into()))
    };
    /// The clock angle of each hole, read from aft, clockwise from the first fin.
    CLOCK: "clock" of HOLES gives Type::Quantities(D::ANGLE), "as written; the first and even steps where they are spaced evenly", "", |asking, id| {
        let angles = angles(asking, owner(asking, id)?)?;
        Ok(Value::Quantities(angles.into_iter().map(|a| Quantity::new(a, D::ANGLE)).collect()))
    };
    /// Whether the holes are spaced evenly around the body, each gap within ten degrees of the next.
    EVENLY_SPACED: "evenly_spaced" of HOLES gives Type::Truth, "the gaps between the angles in `clock`, or the word in `spaced`", "", |asking, id| {
        evenly(asking, owner(asking, id)?).map(Value::Truth)
    };
    /// The whole wall left between these holes and the nearest others, or between two of them, in diameters of the larger hole.
    SPACING: "spacing" of HOLES gives Type::Quantity(D::NUMBER),
        "least of (distance between centres along the wall − half of either diameter) / larger diameter; holes more than ten diameters apart along the body are not asked for their angles",
        "plane geometry on the unrolled wall", |asking, id| Ok(Value::Quantity(Quantity::number(nearest(asking, id)?.diameters)));
    /// The whole wall left between these holes and the nearest others, or between two of them.
    WALL_LEFT: "wall_left" of HOLES gives Type::Quantity(D::LENGTH),
        "least of distance between centres along the wall − half of either diameter", "plane geometry on the unrolled wall", |asking, id| {
            Ok(metres(nearest(asking, id)?.wall))
        };
    /// The holes that are nearest to these; themselves where their own fellows are.
    NEAREST: "nearest" of HOLES gives Type::Entity(&HOLES), "those with the least wall between", "", |asking, id| {
        Ok(Value::Entity(nearest(asking, id)?.other))
    };
    /// How far their edge is from the nearest bulkhead, lid or ring inside; below zero where they run into one.
    FROM_DISCS: "from_discs" of HOLES gives Type::Quantity(D::LENGTH),
        "least gap along the rocket to a disc of this section or its neighbours − half the diameter", "", from_discs;
    /// How far their edge is from the nearest end of a wall that they go through.
    FROM_EDGES: "from_edges" of HOLES gives Type::Quantity(D::LENGTH),
        "least distance along the rocket to an end of the tubes − half the diameter", "", from_edges;
    /// Whether they lie between the ends of a fin's root.
    BESIDE_FINS: "beside_fins" of HOLES gives Type::Truth, "station against the stations of the fins", "", |asking, id| {
        Ok(Value::Truth(fins_beside(asking, id)?.is_some()))
    };
    /// How far around the body their edge is from the nearest fin or slot.
    FROM_FINS: "from_fins" of HOLES gives Type::Quantity(D::LENGTH),
        "arc between hole and fin − half the diameter − half the fin or slot", "", from_fins;
    /// How far around the body their edge is from the line of the rail buttons, along which the rail lies.
    FROM_RAIL: "from_rail" of HOLES gives Type::Quantity(D::LENGTH), "arc between hole and button − half the diameter", "", from_rail;
    /// How far around the body their edge is from the line of anything that stands out ahead of them; half way around where nothing does.
    FROM_UPSTREAM: "from_upstream" of HOLES gives Type::Quantity(D::LENGTH),
        "arc to the nearest rail button, fin or other thing ahead, and to heads of pins and screws less than four body diameters ahead, less half the widths of both",
        "", from_upstream;
    /// Whether they lie along the rods of an altimeter bay.
    BESIDE_RODS: "beside_rods" of HOLES gives Type::Truth, "station against the ends of the bay's coupler", "", |asking, id| {
        Ok(Value::Truth(rods_beside(asking, id)?.is_some()))
    };
    /// How far around the body their edge is from the line of the nearest rod.
    FROM_RODS: "from_rods" of HOLES gives Type::Quantity(D::LENGTH), "arc between hole and rod − half the diameters of both", "", from_rods;
}

pub(super) const COMPUTED: &[&Computed] = &[
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
    &SPACING,
    &WALL_LEFT,
    &NEAREST,
    &FROM_DISCS,
    &FROM_EDGES,
    &BESIDE_FINS,
    &FROM_FINS,
    &FROM_RAIL,
    &FROM_UPSTREAM,
    &BESIDE_RODS,
    &FROM_RODS,
];

/// The part that holes come with, and where it says what.
#[derive(Clone, Copy)]
pub(super) struct Owner {
    /// The part.
    pub(super) id: EntityId,
    /// What the holes are for.
    pub(super) purpose: &'static str,
    count: Option<Key>,
    /// The drill, or the diameter itself where nothing is screwed in.
    drill: Key,
    thread: Option<Key>,
    into: Option<Key>,
    spaced: Option<Key>,
    clock: Key,
}

pub(super) fn owner(asking: &Asking<'_>, holes: EntityId) -> Outcome<Owner> {
    let parent = asking.model().entity(holes).and_then(|e| e.parent);
    let Some(id) = parent else { return Err(asking.refuse("the holes come with nothing")) };
    let kind = asking.model().entity(id).map(|e| e.kind);
    let one = |purpose, drill, clock| Owner {
        id,
        purpose,
        count: None,
        drill,
        thread: None,
        into: None,
        spaced: None,
        clock,
    };
    if kind == Some(&SHEAR_PINS) {
        Ok(Owner {
            count: Some(shear_pins::count),
            thread: Some(shear_pins::thread),
            into: Some(shear_pins::into),
            spaced: Some(shear_pins::spaced),
            ..one("shear pins", shear_pins::drill, shear_pins::clock)
        })
    } else if kind == Some(&FASTENING) {
        Ok(Owner {
            count: Some(fastening::count),
            thread: Some(fastening::thread),
            into: Some(fastening::into),
            spaced: Some(fastening::spaced),
            ..one("screws", fastening::drill, fastening::clock)
        })
    } else if kind == Some(&VENT) {
        let count = Some(vent::count);
        Ok(Owner { count, spaced: Some(vent::spaced), ..one("vents", vent::diameter, vent::clock) })
    } else if kind == Some(&RAIL_BUTTON) {
        let (thread, into) = (Some(rail_button::thread), Some(rail_button::into));
        Ok(Owner { thread, into, ..one("rail button", rail_button::drill, rail_button::clock) })
    } else if kind == Some(&SWITCH_ACCESS) {
        Ok(one("switch access", switch_access::diameter, switch_access::clock))
    } else {
        Err(asking.refuse("no holes are known to come with this part"))
    }
}

/// Every set of holes of the rocket that is really drilled.
pub(super) fn all(asking: &Asking<'_>) -> Outcome<Vec<EntityId>> {
    let mut found = Vec::new();
    for id in asking.model().design().store.of_kind(&HOLES) {
        if drilled(asking, owner(asking, id)?)? {
            found.push(id);
        }
    }
    Ok(found)
}

fn metres(si: f64) -> Value {
    Value::Quantity(Length::from_si(si).into())
}

fn drilled(asking: &Asking<'_>, owner: Owner) -> Outcome<bool> {
    if owner.purpose != "screws" {
        return Ok(true);
    }
    let kind = asking.get(owner.id, fastening::kind)?;
    Ok(["machine screw", "rivet", "wood screw"].iter().any(|word| kind == Value::Word(word)))
}

pub(super) fn count(asking: &Asking<'_>, owner: Owner) -> Outcome<u32> {
    owner.count.map_or(Ok(1), |key| asking.count(owner.id, key))
}

fn written(asking: &Asking<'_>, id: EntityId, key: Key) -> Outcome<bool> {
    asking.model().has(id, key.slot)
}

pub(super) fn tapped(asking: &Asking<'_>, owner: Owner) -> Outcome<bool> {
    let Some(key) = owner.into else { return Ok(false) };
    let into = asking.get(owner.id, key)?;
    Ok(["tapped hole", "ring", "bulkhead", "block"].iter().any(|word| into == Value::Word(word)))
}

/// The drill that a table names for the thread of the screw.
fn drill_of(asking: &Asking<'_>, owner: Owner, tap: bool) -> Outcome<Quantity> {
    let Some(key) = owner.thread else { return Err(Gap::missing(owner.id, owner.drill.slot)) };
    let Value::Entity(row) = asking.get(owner.id, key)? else {
        return Err(asking.refuse("the thread is not one of the table's"));
    };
    let name = asking.model().entity(row).map(|e| e.name.to_string()).unwrap_or_default();
    let tables = Tables::built_in();
    let size = if tap {
        tables.find(&TAP_DRILL, &name).and_then(|row| tables.quantity(row, tap_drill::diameter))
    } else {
        tables.find(&CLEARANCE_DRILL, &name).and_then(|row| tables.quantity(row, clearance_drill::diameter))
    };
    let size = size.ok_or_else(|| asking.refuse(format!("no drill is listed for {name}")))?;
    asking.fixed(if tap { "tap drill" } else { "clearance drill" }, "by the thread", size);
    Ok(size)
}

pub(super) fn outer_drill(asking: &Asking<'_>, owner: Owner) -> Outcome<Quantity> {
    let Some(thread) = owner.thread else { return asking.quantity(owner.id, owner.drill) };
    let stated = written(asking, owner.id, owner.drill)?;
    let threaded = written(asking, owner.id, thread)?;
    // A stated drill is that of the tapped hole; the wall before it lets the screw pass.
    if stated && !(threaded && tapped(asking, owner)?) {
        return asking.quantity(owner.id, owner.drill);
    }
    drill_of(asking, owner, false)
}

pub(super) fn inner_drill(asking: &Asking<'_>, owner: Owner) -> Outcome<Quantity> {
    if owner.thread.is_none() || written(asking, owner.id, owner.drill)? {
        return asking.quantity(owner.id, owner.drill);
    }
    let tap = tapped(asking, owner)?;
    drill_of(asking, owner, tap)
}

pub(super) fn outer_section(asking: &Asking<'_>, owner: Owner) -> Outcome<EntityId> {
    let model = asking.model();
    if owner.purpose == "switch access" {
        return access_section(asking, owner.id);
    }
    let part = match model.entity(owner.id).and_then(|e| e.parent) {
        Some(joint) if owner.purpose == "shear pins" || owner.purpose == "screws" => {
            meeting(asking, joint)?.socket
        }
        _ => owner.id,
    };
    model.holder(part, &SECTION).ok_or_else(|| asking.refuse("the holes are in no section"))
}

/// The section of the altimeter that a switch arms.
pub(super) fn access_section(asking: &Asking<'_>, access: EntityId) -> Outcome<EntityId> {
    let model = asking.model();
    let switch = model.holder(access, &SWITCH).ok_or_else(|| asking.refuse("the hole is no switch's"))?;
    for one in model.design().store.of_kind(&ALTIMETER) {
        if asking.get(one, altimeter::switch)? == Value::Entity(switch) {
            return model
                .holder(one, &SECTION)
                .ok_or_else(|| asking.refuse("the altimeter is in no section"));
        }
    }
    Err(asking.refuse("no altimeter is armed by this switch, so that it is in no section"))
}

/// The clock angles of a set, in radians.
pub(super) fn angles(asking: &Asking<'_>, owner: Owner) -> Outcome<Vec<f64>> {
    let count = count(asking, owner)?;
    set_of_angles(asking, owner.id, owner.clock, owner.spaced, count)
}

fn set_of_angles(
    asking: &Asking<'_>,
    id: EntityId,
    clock: Key,
    spaced: Option<Key>,
    count: u32,
) -> Outcome<Vec<f64>> {
    let given: Vec<f64> = match asking.get(id, clock)? {
        Value::Quantity(one) => vec![one.si],
        Value::Quantities(all) => all.iter().map(|q| q.si).collect(),
        _ => return Err(asking.refuse("the clock angles are no angles")),
    };
    match (given.as_slice(), spaced) {
        (all, _) if all.len() == count as usize => Ok(given),
        ([first], Some(spaced)) => {
            if asking.get(id, spaced)? == Value::Word("evenly") {
                Ok((0..count).map(|n| first + TAU * f64::from(n) / f64::from(count)).collect())
            } else {
                Err(asking.refuse(format!("one clock angle is given for {count} that are not spaced evenly")))
            }
        }
        (all, _) => Err(asking.refuse(format!("{} clock angles are given for {count}", all.len()))),
    }
}

fn evenly(asking: &Asking<'_>, owner: Owner) -> Outcome<bool> {
    let count = count(asking, owner)?;
    if count == 1 {
        return Ok(true);
    }
    let listed = match asking.model().field(owner.id, owner.clock.slot) {
        Ok(Value::Quantities(all)) => all.len() > 1,
        _ => false,
    };
    if !listed && let Some(spaced) = owner.spaced {
        return Ok(asking.get(owner.id, spaced)? == Value::Word("evenly"));
    }
    let even = TAU / f64::from(count);
    let worst = gaps(&angles(asking, owner)?).map(|gap| (gap - even).abs()).fold(0.0, f64::max);
    Ok(worst <= EVEN_WITHIN_DEGREES.to_radians())
}

/// The gaps from angle to angle around the body.
fn gaps(angles: &[f64]) -> impl Iterator<Item = f64> {
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

fn least_between(mine: &[f64], others: &[f64]) -> f64 {
    let pairs = mine.iter().flat_map(|a| others.iter().map(move |b| between(*a, *b)));
    pairs.fold(PI, f64::min)
}

/// The sections whose insides holes may meet: those of the joint, or their own and its neighbours.
fn near_sections(asking: &Asking<'_>, owner: Owner) -> Outcome<Vec<EntityId>> {
    if let Some(joint) = asking.model().entity(owner.id).and_then(|e| e.parent)
        && (owner.purpose == "shear pins" || owner.purpose == "screws")
    {
        let (fore, aft) = ends(asking, joint)?;
        return Ok(vec![fore, aft]);
    }
    let own = outer_section(asking, owner)?;
    let order = sections(asking)?;
    let at = order.iter().position(|s| *s == own).unwrap_or(0);
    Ok(order.iter().copied().skip(at.saturating_sub(1)).take(if at == 0 { 2 } else { 3 }).collect())
}

struct Nearest {
    wall: f64,
    diameters: f64,
    other: EntityId,
}

fn nearest(asking: &Asking<'_>, id: EntityId) -> Outcome<Nearest> {
    let mine = owner(asking, id)?;
    let radius = asking.ask_typed::<Length>(id, &BODY)?.si() / 2.0;
    let near = near_sections(asking, mine)?;
    let (own, here) = both(asking.ask_typed::<Length>(id, &DIAMETER), extent(asking, id))?;
    let (own, here) = (own.si(), here.fore);
    let mut found: Outcome<Option<Nearest>> = Ok(None);
    let mut consider = |one: Outcome<Nearest>| {
        let so_far = std::mem::replace(&mut found, Ok(None));
        found = both(so_far, one).map(|(so_far, one)| match so_far {
            Some(old) if old.diameters <= one.diameters => Some(old),
            _ => Some(one),
        });
    };
    if count(asking, mine)? > 1 {
        let gap = if evenly_written(asking, mine)? {
            count(asking, mine).map(|n| TAU / f64::from(n))
        } else {
            angles(asking, mine).map(|all| gaps(&all).fold(TAU, f64::min))
        };
        consider(gap.map(|gap| {
            let wall = gap.min(TAU - gap) * radius - own;
            Nearest { wall, diameters: wall / own, other: id }
        }));
    }
    for other in all(asking)? {
        if other == id {
            continue;
        }
        let theirs = owner(asking, other)?;
        if !near.contains(&outer_section(asking, theirs)?)
            && !near_sections(asking, theirs)?.iter().any(|s| near.contains(s))
        {
            continue;
        }
        let sizes = both(asking.ask_typed::<Length>(other, &DIAMETER), extent(asking, other));
        consider(sizes.and_then(|(size, there)| {
            let size = size.si();
            let (along, larger) = ((there.fore - here).abs(), size.max(own));
            let distance = if along >= FAR_ALONG * larger {
                along
            } else {
                let (a, b) = both(angles(asking, mine), angles(asking, theirs))?;
                along.hypot(least_between(&a, &b) * radius)
            };
            let wall = distance - f64::midpoint(own, size);
            Ok(Nearest { wall, diameters: wall / larger, other })
        }));
    }
    found?.ok_or_else(|| asking.refuse("there is no other hole near by"))
}

/// Whether the set says that it is evenly spaced without a list of angles.
fn evenly_written(asking: &Asking<'_>, owner: Owner) -> Outcome<bool> {
    let listed = match asking.model().field(owner.id, owner.clock.slot) {
        Ok(Value::Quantities(all)) => all.len() > 1,
        _ => false,
    };
    match owner.spaced {
        Some(spaced) if !listed => Ok(asking.get(owner.id, spaced)? == Value::Word("evenly")),
        _ => Ok(false),
    }
}

fn from_discs(asking: &Asking<'_>, id: EntityId) -> Outcome<Value> {
    let mine = owner(asking, id)?;
    let (size, here) = both(asking.ask_typed::<Length>(id, &DIAMETER), extent(asking, id))?;
    let mut least: Outcome<Option<f64>> = Ok(None);
    for section in near_sections(asking, mine)? {
        let mut discs: Vec<EntityId> = asking.things(section, section::bulkheads)?.to_vec();
        discs.extend(asking.things(section, section::lids)?.iter());
        if let Some(mount) = asking.part(section, section::motor_mount)? {
            discs.extend(asking.things(mount, motor_mount::rings)?.iter());
        }
        for disc in discs {
            let gap = extent(asking, disc).map(|disc| (disc.fore - here.fore).max(here.fore - disc.aft));
            least = both(least, gap).map(|(so_far, gap)| Some(so_far.map_or(gap, |s: f64| s.min(gap))));
        }
    }
    let least = least?.ok_or_else(|| asking.refuse("no bulkhead, lid or ring is near"))?;
    Ok(metres(least - size.si() / 2.0))
}

/// The walls that holes go through.
pub(super) fn walls(asking: &Asking<'_>, owner: Owner) -> Outcome<Vec<EntityId>> {
    if let Some(joint) = asking.model().entity(owner.id).and_then(|e| e.parent)
        && (owner.purpose == "shear pins" || owner.purpose == "screws")
    {
        let meeting = meeting(asking, joint)?;
        return Ok(vec![meeting.socket, meeting.plug]);
    }
    let section = outer_section(asking, owner)?;
    if let Some(tube) = asking.part(section, section::tube)? {
        return Ok(vec![tube]);
    }
    let mut found = Vec::new();
    for key in [section::switch_band, section::coupler] {
        found.extend(asking.part(section, key)?);
    }
    if found.is_empty() {
        found.extend(asking.part(section, section::nose_cone)?);
    }
    if found.is_empty() {
        return Err(asking.refuse("the section has no wall to drill"));
    }
    Ok(found)
}

fn from_edges(asking: &Asking<'_>, id: EntityId) -> Outcome<Value> {
    let mine = owner(asking, id)?;
    let (size, here) = both(asking.ask_typed::<Length>(id, &DIAMETER), extent(asking, id))?;
    let mut least = f64::INFINITY;
    for wall in walls(asking, mine)? {
        let wall = extent(asking, wall)?;
        least = least.min(here.fore - wall.fore).min(wall.aft - here.fore);
    }
    Ok(metres(least - size.si() / 2.0))
}

/// The fins of the section whose roots lie beside the holes.
fn fins_beside(asking: &Asking<'_>, id: EntityId) -> Outcome<Option<EntityId>> {
    let section = outer_section(asking, owner(asking, id)?)?;
    let Some(fins) = asking.part(section, section::fins)? else { return Ok(None) };
    let (root, here) = both(extent(asking, fins), extent(asking, id))?;
    let half = asking.ask_typed::<Length>(id, &DIAMETER)?.si() / 2.0;
    Ok((here.fore + half >= root.fore && here.fore - half <= root.aft).then_some(fins))
}

fn fin_angles(asking: &Asking<'_>, fins: EntityId) -> Outcome<Vec<f64>> {
    let count = asking.count(fins, fins::count)?;
    let first =
        if written(asking, fins, fins::clock)? { asking.quantity(fins, fins::clock)?.si } else { 0.0 };
    Ok((0..count).map(|n| first + TAU * f64::from(n) / f64::from(count)).collect())
}

/// The arc from the holes of a set to lines along the body.
fn arc_to(asking: &Asking<'_>, id: EntityId, lines: &[f64]) -> Outcome<f64> {
    let mine = owner(asking, id)?;
    let ((radius, size), angles) = both(
        both(asking.ask_typed::<Length>(id, &BODY), asking.ask_typed::<Length>(id, &DIAMETER)),
        angles(asking, mine),
    )?;
    Ok(least_between(&angles, lines) * radius.si() / 2.0 - size.si() / 2.0)
}

fn from_fins(asking: &Asking<'_>, id: EntityId) -> Outcome<Value> {
    let Some(set) = fins_beside(asking, id)? else {
        return Err(asking.refuse("no fin stands beside these holes"));
    };
    let section = outer_section(asking, owner(asking, id)?)?;
    let mut across = asking.typed::<Length>(set, fins::thickness)?.si();
    if let Some(slots) = asking.part(section, section::fin_slots)? {
        across = across.max(asking.typed::<Length>(slots, fin_slots::width)?.si());
    }
    let lines = fin_angles(asking, set)?;
    Ok(metres(arc_to(asking, id, &lines)? - across / 2.0))
}

fn from_rail(asking: &Asking<'_>, id: EntityId) -> Outcome<Value> {
    let mut lines = Vec::new();
    for button in asking.model().design().store.of_kind(&RAIL_BUTTON) {
        lines.push(asking.quantity(button, rail_button::clock)?.si);
    }
    if lines.is_empty() {
        return Err(asking.refuse("no rail buttons are described"));
    }
    Ok(metres(arc_to(asking, id, &lines)?))
}

fn from_upstream(asking: &Asking<'_>, id: EntityId) -> Outcome<Value> {
    let store = &asking.model().design().store;
    let here = extent(asking, id)?.fore;
    let around = asking.ask_typed::<Length>(id, &BODY)?.si();
    let mut least: Outcome<f64> = Ok(PI * around / 2.0);
    let mut consider = |one: Outcome<f64>| {
        let so_far = std::mem::replace(&mut least, Ok(0.0));
        least = both(so_far, one).map(|(a, b)| a.min(b));
    };
    let mut single = |thing: EntityId, clock: Key, width: Key| -> Outcome<()> {
        if extent(asking, thing)?.fore < here {
            let line = asking.quantity(thing, clock).map(|q| q.si);
            // What is not said to be wide is at least a line.
            let across =
                if written(asking, thing, width)? { asking.typed::<Length>(thing, width)?.si() } else { 0.0 };
            consider(line.and_then(|line| Ok(arc_to(asking, id, &[line])? - across / 2.0)));
        }
        Ok(())
    };
    for button in store.of_kind(&RAIL_BUTTON) {
        single(button, rail_button::clock, rail_button::width)?;
    }
    for thing in store.of_kind(&PROTUBERANCE) {
        single(thing, protuberance::clock, protuberance::width)?;
    }
    for set in store.of_kind(&FINS) {
        if extent(asking, set)?.fore < here {
            let arc = both(fin_angles(asking, set), asking.typed::<Length>(set, fins::thickness));
            consider(arc.and_then(|(lines, thick)| Ok(arc_to(asking, id, &lines)? - thick.si() / 2.0)));
        }
    }
    for other in all(asking)? {
        let theirs = owner(asking, other)?;
        if theirs.purpose != "shear pins" && theirs.purpose != "screws" {
            continue;
        }
        let ahead = here - extent(asking, other)?.fore;
        if ahead > 0.0 && ahead < CALM_BEHIND_HEADS * around {
            let arc = both(angles(asking, theirs), asking.ask_typed::<Length>(other, &DIAMETER));
            consider(arc.and_then(|(lines, size)| Ok(arc_to(asking, id, &lines)? - size.si() / 2.0)));
        }
    }
    Ok(metres(least?))
}

/// The rods of a bay along whose coupler the holes lie.
fn rods_beside(asking: &Asking<'_>, id: EntityId) -> Outcome<Option<EntityId>> {
    let here = extent(asking, id)?.fore;
    for section in near_sections(asking, owner(asking, id)?)? {
        if let Some(rods) = asking.part(section, section::rods)?
            && let Some(coupler) = asking.part(section, section::coupler)?
        {
            let Extent { fore, aft } = extent(asking, coupler)?;
            if here >= fore && here <= aft {
                return Ok(Some(rods));
            }
        }
    }
    Ok(None)
}

fn from_rods(asking: &Asking<'_>, id: EntityId) -> Outcome<Value> {
    let Some(set) = rods_beside(asking, id)? else {
        return Err(asking.refuse("no rods run beside these holes"));
    };
    let count = asking.count(set, rods::count)?;
    let lines = set_of_angles(asking, set, rods::clock, Some(rods::spaced), count)?;
    let Value::Entity(row) = asking.get(set, rods::thread)? else {
        return Err(asking.refuse("the thread of the rods is not one of the table's"));
    };
    let across = asking.typed::<Length>(row, thread::major_diameter)?.si();
    Ok(metres(arc_to(asking, id, &lines)? - across / 2.0))
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

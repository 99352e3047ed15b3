//! The rocket as written: what a design file may say, one file a group of parts.
//!
//! `expected` means that every such part has the value, so its absence leaves rules unproven; `optional` means that
//! nothing written says there is none.

mod airframe;
mod avionics;
mod bonds;
mod circuits;
mod drilling;
mod joints;
mod launch_pad;
mod measuring;
mod mount;
mod parachutes;
mod plan;
mod sections;
mod site;
mod unverified;

pub use airframe::*;
pub use avionics::*;
pub use bonds::*;
pub use circuits::*;
pub use drilling::*;
pub use joints::*;
pub use launch_pad::*;
pub use measuring::*;
pub use mount::*;
pub use parachutes::*;
pub use plan::{MAY_BE_SET, is_for_a_person, may_be_set};
pub use sections::*;
pub use site::*;
pub use unverified::{GRANTED, ON_WORD, granted_lines};

use crate::quantity::{Length, Mass, Quantity};
use crate::tables::{Finish, Tables};
use crate::vocabulary::{EntityType, Id, State, Store, Value, read};
use crate::yaml::{Problem, Source, Tree, in_order};
use std::sync::Arc;

crate::entity_types! {
    /// A rocket as written in a design file.
    ROCKET: Rocket as rocket = "rocket" {
        /// The version of the design format; this program reads version 1.
        required holdpoint: Count(1);
        /// What the rocket is called.
        optional name: Text;
        /// What its flyer wants to fly it for.
        optional seeks: Word(&["nothing", "level 1", "level 2", "level 3", "student launch"]);
        /// The level at which its flyer is certified so far.
        optional certified: Word(&["none", "level 1", "level 2", "level 3"]);
        /// What it should weigh ready to fly, by a plan or a label, to compare with.
        optional stated_mass: Measure(Mass, Positive);
        /// Codes, laws and guides that it is judged by, by the names of their packs, besides those that its motor and mass call for.
        optional codes: Texts;
        /// The units that reports print; those that the file mostly writes where not said. Each value of the file carries its own unit all the same.
        optional units: Word(&["metric", "inch"]);
        /// Notes for a reader; no rule reads them.
        optional notes: Text;
        /// What the outside is finished with, for the friction of the air; smooth paint where nothing is written, which errs to the higher flight.
        optional finish: Row(Finish);
        /// Height of the roughness of the outside, where it is known better than by `finish`.
        optional roughness: Measure(Length, NotNegative);
        /// The drag coefficient, where the author knows it better than the build-up from the shape.
        optional drag: One(Drag);
        /// Where something better than the method used here puts the centre of pressure, for a shape that it does not know; it is taken instead.
        optional stated_centre_of_pressure: Position;
        /// How far behind the place that is worked out here the centre of pressure was found by something better; ahead of it where negative, none where not said.
        optional pressure_shift: Measure(Length, Any);
        /// The sections, fore to aft: what flies apart at the joints.
        expected sections: Many(Section);
        /// Where two sections meet.
        expected joints: Many(Joint);
        /// The ways of gluing, by name; parts say under `glued` which is theirs.
        optional bonds: Many(Bond);
        /// Parachutes, harnesses and ejection charges.
        expected recovery: One(Recovery);
        /// Batteries, switches and firing circuits.
        optional wiring: One(Wiring);
        /// The motor.
        expected motor: One(Motor);
        /// Where and how it is to fly.
        expected flight: One(Flight);
        /// What the finished rocket weighed, and where it balanced.
        expected measured: One(AsBuilt);
        /// Charges fired on the ground, by date.
        optional ground_tests: Many(GroundTest);
        /// Findings that someone answers for.
        optional waivers: List(Waiver);
        refused "motors": "clusters of motors; describe a single `motor`";
        refused "stages": "more than one stage; describe each stage as a rocket of its own";
        refused "boosters": "strap-on boosters";
    }
}

/// A design file: its source, its tree and what could be read.
#[derive(Clone, Debug)]
pub struct Design {
    /// The text.
    pub source: Source,
    /// Its tree; `None` when the text is not YAML.
    pub tree: Option<Tree>,
    /// The things it describes.
    pub store: Store,
    /// Everything that is wrong with the file.
    pub problems: Vec<Problem>,
}

impl Design {
    /// Reads a design whose values may name rows of these tables; every mistake ends up in `problems`.
    #[must_use]
    pub fn read(source: Source, tables: &Tables) -> Self {
        let parsed = Tree::parse(&source);
        let mut problems = parsed.problems;
        let mut store = Store::default();
        if let Some(tree) = &parsed.tree {
            let reading = read(&ROCKET, &source, tree, Some(tables));
            problems.extend(reading.problems.into_iter().map(|problem| match problem.edit {
                Some(_) => problem.help_too("`holdpoint mend` does it"),
                None => problem,
            }));
            store = reading.store;
            if let Some(other) = of_another_version(&store).or_else(|| of_too_many(tree, &store)) {
                // What the keys of another format mean is not known here: nothing is judged by them. And a file made to keep a review
                // busy is not begun.
                problems = vec![other];
                store = Store::default();
            }
            fill_in_minimum_diameter(&mut store);
            fill_in_outlines(&mut store);
            check_backups(&store, &mut problems);
            check_waivers(&store, &mut problems);
        }
        let problems = in_order(problems);
        Self { source, tree: parsed.tree, store, problems }
    }

    /// True when there is something to review.
    #[must_use]
    pub fn is_readable(&self) -> bool {
        self.store.get(self.store.root()).is_some()
    }

    /// The rocket's name, or the file's where none is written.
    #[must_use]
    pub fn name(&self) -> &str {
        self.given_name().unwrap_or(self.source.name())
    }

    /// The rocket's name, where one is written.
    #[must_use]
    pub fn given_name(&self) -> Option<&str> {
        self.store.get(self.store.root())?.text(rocket::name)
    }
}

/// What to say of a design in a format that this program does not read; nothing where it reads it.
fn of_another_version(store: &Store) -> Option<Problem> {
    let root = store.get(store.root())?;
    let version = root.get(rocket::holdpoint).filter(|version| *version != 1)?;
    let place = root.slot(rocket::holdpoint.slot).place?;
    let message = format!("design format {version} is not one this program reads");
    Some(
        Problem::at(place, message)
            .help("write `holdpoint: 1`, or use the program that this file was written for"),
    )
}

/// More parts than this no rocket has that is built by hand, in all and of one type: a few times as many as the largest example. What is
/// compared each with each of the others takes time with the square of their number or more.
const MOST_ENTITIES: usize = 500;
const MOST_OF_ONE_TYPE: usize = 150;

/// A file that describes more than any rocket has.
fn of_too_many(tree: &Tree, store: &Store) -> Option<Problem> {
    let mut so_far = Vec::<(&'static EntityType, usize)>::new();
    let written = store.all().filter(|(id, _)| !id.is_row());
    let too_many = written.enumerate().find_map(|(number, (_, entity))| {
        let of_type = match so_far.iter_mut().find(|(known, _)| *known == entity.entity_type) {
            Some((_, count)) => {
                *count += 1;
                *count
            }
            None => {
                so_far.push((entity.entity_type, 1));
                1
            }
        };
        (number >= MOST_ENTITIES || of_type > MOST_OF_ONE_TYPE).then_some((entity, of_type))
    });
    let (entity, of_type) = too_many?;
    let message = if of_type > MOST_OF_ONE_TYPE {
        let name = entity.entity_type.name;
        format!("more than {MOST_OF_ONE_TYPE} of the type `{name}`: a file with so many is not reviewed")
    } else {
        format!("more than {MOST_ENTITIES} parts: a file with so many is not reviewed")
    };
    Some(Problem::at(tree.span(entity.node), message).help("is this the right file?"))
}

/// Where the body itself is the motor tube there are no rings, and nothing is glued or closed.
fn fill_in_minimum_diameter(store: &mut Store) {
    store.fill_in(&MOTOR_MOUNT, |mount| {
        if !matches!(mount.slot(motor_mount::tube.slot).state, State::None) {
            return Vec::new();
        }
        let none = [motor_mount::rings.slot, motor_mount::glued.slot, motor_mount::before_closing.slot];
        none.into_iter().map(|slot| (slot, State::None)).collect()
    });
}

/// A fin that is drawn by its edges needs no chords beside them: the chords, the span and the sweep follow.
fn fill_in_outlines(store: &mut Store) {
    store.fill_in(&FINS, |set| {
        let curve = |slot: u16| match &set.slot(slot).state {
            State::Known(Value::Curve(points)) => Some(Arc::clone(points)),
            _ => None,
        };
        let edges = curve(fins::leading_edge.slot).zip(curve(fins::trailing_edge.slot));
        let Some((leading, trailing)) = edges else { return Vec::new() };
        let ends = (leading.first().zip(leading.last()), trailing.first().zip(trailing.last()));
        let (Some((root_fore, tip_fore)), Some((root_aft, tip_aft))) = ends else { return Vec::new() };
        let apart = |far: Quantity, near: Quantity| Quantity { si: far.si - near.si, ..far };
        [
            (fins::root_chord.slot, apart(root_aft.1, root_fore.1)),
            (fins::tip_chord.slot, apart(tip_aft.1, tip_fore.1)),
            (fins::span.slot, tip_fore.0),
            (fins::sweep.slot, apart(tip_fore.1, root_fore.1)),
        ]
        .map(|(slot, length)| (slot, State::Known(Value::Quantity(length))))
        .into()
    });
}

/// A waiver's margin is a number, or a gap with its unit.
fn check_waivers(store: &Store, problems: &mut Vec<Problem>) {
    for entity in store.of_type(&WAIVER).filter_map(|id| store.get(id)) {
        if let (Some(text), Some(place)) =
            (entity.text(waiver::margin), entity.slot(waiver::margin.slot).place)
            && let Err(error) = crate::quantity::Quantity::read(text)
        {
            problems.push(Problem::at(place, error.message).maybe_help(error.help));
        }
    }
}

/// A charge that stands behind itself, through whatever others, is a backup of nothing.
fn check_backups(store: &Store, problems: &mut Vec<Problem>) {
    // Each charge is walked through once; one met again in the same walk closes a circle.
    let mut walks: std::collections::BTreeMap<Id<Charge>, Id<Charge>> = std::collections::BTreeMap::new();
    for first in store.every() {
        let mut next = Some(first);
        while let Some(id) = next {
            match walks.get(&id) {
                None => {
                    walks.insert(id, first);
                    next = store.value(id, charge::backs_up);
                }
                Some(walk) => {
                    if let (true, Some(entity)) = (*walk == first, store.get(id.any())) {
                        let place = entity.slot(charge::backs_up.slot).place.unwrap_or(entity.key);
                        problems.push(
                            Problem::at(place, format!("`{}` backs up itself in a circle", entity.name))
                                .help("the charge that fires first backs up none: remove its `backs_up`"),
                        );
                    }
                    break;
                }
            }
        }
    }
}

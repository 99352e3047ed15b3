//! The rocket as understood: stations on one axis, volumes, areas, forces; each computed once, and only when asked.

mod airflow;
mod arcs;
mod artifact;
mod ascent;
mod author_units;
mod balance;
mod bays;
mod bending;
mod bonds;
mod catalogue;
mod change;
mod charges;
mod computable;
mod computation;
mod computed;
mod context;
mod cords;
mod derivation;
mod descent;
mod descent_phases;
mod drag_coefficient;
mod drill_list;
mod evaluation;
mod extents;
mod failures;
mod fields;
mod fin_lines;
mod flight_pull;
mod flight_result;
mod flutter;
mod footprint;
mod formula;
mod hole_gaps;
mod hole_surroundings;
mod holes;
mod inverse;
mod joints;
mod landing;
mod landing_places;
mod launch_site;
mod lids;
mod load_path;
mod margin_in_flight;
mod masses;
mod mating;
mod measured_parts;
mod memo;
mod motor_mount;
mod motors;
mod nose_shape;
mod openings;
mod outcome;
mod overlay;
mod packing;
mod parachutes;
mod parts_balance;
mod planform;
mod profiles;
mod quantities;
mod recovery_trains;
mod references;
mod relative_position;
mod sections;
mod shared_artifacts;
mod side_forces;
mod snatch;
mod stations;
mod timeline;
mod types;
mod unit_systems;
mod unread_values;
mod vent_flow;
mod wind;

use std::cell::{Cell, OnceCell, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

pub use author_units::AuthorUnits;
pub use catalogue::{AnyComputed, Body, Catalogue, Computed, DerivedBody, Entry, Named};
pub use change::Change;
pub use computable::Computable;
use computation::Recording;
pub use computation::{Computation, ComputationStep, Derivation};
pub use drill_list::{DrilledPart, Mark, Spot};
pub use failures::{FailureCase, Fault};
pub use flight_result::FlightResult;
pub use footprint::Footprint;
use footprint::Numbering;
pub use formula::{Formula, FormulaKind};
pub use landing_places::{LandingCase, LandingPlace, Lean, OnField};
pub use memo::Memo;
pub use outcome::{Access, MissingKey, Outcome, Read, Refusal, Unknown, both};
pub use quantities::catalogue;
pub use references::Reference;
pub use shared_artifacts::SharedArtifacts;
pub use stations::has_stations;
pub use timeline::{Event, Timeline, TimelineEvent};
pub use types::Type;
use unit_systems::{majority, unit_systems};

use crate::design::Design;
use crate::engineering::ascent::Accuracy;
use crate::quantity::{Quantity, System, Tolerance};
use crate::tables::Tables;
use crate::vocabulary::{Date, Entity, EntityId, EntityType, Need, Shape, State, Stated, Value};

/// Is told what the conditions of rules and worded quantities come to: how trials know which ones they have settled.
pub trait CoverageRecorder: std::fmt::Debug {
    /// A condition, by the key that its expression has for it, came out so.
    fn record(&self, condition: usize, truth: bool);
}

/// What a design is evaluated in: every quantity there is, the tables, and the day. Nothing is evaluated without all three.
#[derive(Clone, Copy, Debug)]
pub struct Environment<'e> {
    /// The quantities that fields and rules may name.
    pub catalogue: &'e Catalogue,
    /// The rows that fields and rules may name.
    pub tables: &'e Tables,
    /// The day of the review. It is an input: nothing here looks at a clock.
    pub today: Date,
}

/// A design as understood: each quantity worked out once, and only when asked.
#[derive(Debug)]
pub struct Model<'d> {
    design: &'d Design,
    environment: Environment<'d>,
    memo: Memo,
    overlay: Overlay<'d>,
    /// What is being worked out, by number: a quantity that is met again rests on itself.
    in_progress: RefCell<Vec<u32>>,
    /// What was read since somebody began to watch.
    footprint: RefCell<Footprint>,
    coverage: Option<&'d dyn CoverageRecorder>,
    /// How many values are written in customary units, and how many in metric ones.
    unit_systems: (u32, u32),
    system: System,
    tolerances: OnceCell<Footprint>,
    author_units: OnceCell<AuthorUnits>,
    /// Workings that were asked for, by the numbers of their quantities.
    derivations: RefCell<BTreeMap<u32, Rc<Derivation>>>,
}

/// Where a model finds what is worked out already.
#[derive(Debug)]
enum Base<'d> {
    /// Nowhere.
    None,
    /// In a model of the same design, which works out on demand what is not there yet.
    Live(&'d Model<'d>),
    /// In what is left of a model of an earlier text.
    Kept(&'d Memo),
}

/// What a model lays over its base.
#[derive(Debug)]
struct Overlay<'d> {
    base: Base<'d>,
    changes: Vec<Change>,
    /// The fields that may stand otherwise than in the base.
    touched: Footprint,
    /// To what accuracy flights are flown.
    accuracy: Accuracy,
    /// Where variants of one base keep their artifacts for one another.
    shared: Option<Rc<SharedArtifacts>>,
}

/// The context in which a computed quantity is evaluated: what it asks for becomes its working.
#[derive(Debug)]
pub struct EvalContext<'m> {
    model: &'m Model<'m>,
    reads: RefCell<Vec<Read>>,
    /// What is recorded of the way, where a working is asked for.
    recording: Option<RefCell<Recording>>,
    /// How many values in customary units and how many in metric ones were asked for.
    seen: Cell<(u32, u32)>,
}

impl<'d> Model<'d> {
    /// The model of a design; nothing is worked out yet.
    #[must_use]
    pub fn new(design: &'d Design, environment: Environment<'d>) -> Self {
        let numbering = Rc::new(Numbering::of(&design.store, |of| environment.catalogue.computed(of).len()));
        let overlay = Overlay {
            base: Base::None,
            changes: Vec::new(),
            touched: Footprint::default(),
            accuracy: Accuracy::Figures,
            shared: None,
        };
        Self::made(design, environment, Memo::for_all(numbering), overlay)
    }

    fn made(design: &'d Design, environment: Environment<'d>, memo: Memo, overlay: Overlay<'d>) -> Self {
        let unit_systems = match &overlay.base {
            Base::Live(base) => base.unit_systems,
            _ => unit_systems(design),
        };
        Self {
            design,
            environment,
            memo,
            overlay,
            in_progress: RefCell::default(),
            footprint: RefCell::default(),
            coverage: None,
            unit_systems,
            system: majority(unit_systems).unwrap_or_default(),
            tolerances: OnceCell::new(),
            author_units: OnceCell::new(),
            derivations: RefCell::default(),
        }
    }

    /// The same model, with someone to show every condition that is settled.
    #[must_use]
    pub fn with_coverage(mut self, coverage: Option<&'d dyn CoverageRecorder>) -> Self {
        self.coverage = coverage;
        self
    }

    /// Who records conditions, where anyone does.
    #[must_use]
    pub fn coverage(&self) -> Option<&'d dyn CoverageRecorder> {
        self.coverage
    }

    /// What it is evaluated in.
    #[must_use]
    pub fn environment(&self) -> Environment<'d> {
        self.environment
    }

    /// The day of the review.
    #[must_use]
    pub fn today(&self) -> Date {
        self.environment.today
    }

    /// The tables.
    #[must_use]
    pub fn tables(&self) -> &'d Tables {
        self.environment.tables
    }

    /// The design.
    #[must_use]
    pub fn design(&self) -> &'d Design {
        self.design
    }

    /// The catalogue.
    #[must_use]
    pub fn catalogue(&self) -> &'d Catalogue {
        self.environment.catalogue
    }

    /// Does something, and returns which fields were read for it.
    pub fn track_reads<T>(&self, work: impl FnOnce() -> T) -> (T, Footprint) {
        let before = self.footprint.take();
        let value = work();
        let mine = self.footprint.replace(before);
        self.record_reads(&mine);
        (value, mine)
    }

    /// Counts what something else has read as read here.
    pub fn record_reads(&self, read: &Footprint) {
        self.footprint.borrow_mut().join(read);
    }

    fn record_read(&self, id: EntityId, slot: u16) {
        if !id.is_row() {
            self.memo.numbering.mark(&mut self.footprint.borrow_mut(), id, slot);
        }
    }

    /// The rocket.
    #[must_use]
    pub fn root(&self) -> EntityId {
        self.design.store.root()
    }

    /// Every entity of a type, in the order of the file.
    #[must_use]
    pub fn all_of(&self, entity_type: &'static EntityType) -> &[EntityId] {
        self.footprint.borrow_mut().add_type(entity_type);
        self.memo.numbering.of_type(entity_type)
    }

    /// The subjects of a rule: every entity of a type, in the order of the file. Whoever judges each of them by itself does not
    /// rest on which there are.
    #[must_use]
    pub fn subjects(&self, entity_type: &'static EntityType) -> &[EntityId] {
        self.memo.numbering.of_type(entity_type)
    }

    /// An entity of the design, or a row of a table.
    #[must_use]
    pub fn entity(&self, id: EntityId) -> Option<&'d Entity> {
        if id.is_row() { self.tables().store().get(id) } else { self.design.store.get(id) }
    }

    /// What a field is taken as.
    fn state(&self, id: EntityId, slot: u16) -> Option<&State> {
        self.entity(id).map(|entity| self.state_of(entity, id, slot))
    }

    fn state_of<'s>(&'s self, entity: &'s Entity, id: EntityId, slot: u16) -> &'s State {
        self.record_read(id, slot);
        self.change(id, slot).map_or(&entity.slot(slot).state, |c| &c.state)
    }

    /// Whether a field is written without a value, or as `unknown`: the rocket has what it says, and nobody has measured it yet.
    #[must_use]
    pub fn is_unmeasured(&self, id: EntityId, slot: u16) -> bool {
        self.entity(id).is_some_and(|entity| self.awaits(entity, id, slot))
    }

    fn awaits(&self, entity: &Entity, id: EntityId, slot: u16) -> bool {
        self.change(id, slot).is_none()
            && matches!(self.state_of(entity, id, slot), State::Absent)
            && entity.slot(slot).place.is_some()
    }

    /// The tolerance beside a field.
    #[must_use]
    pub fn tolerance(&self, id: EntityId, slot: u16) -> Option<Tolerance> {
        self.record_read(id, slot);
        self.change(id, slot).map_or_else(|| self.entity(id)?.slot(slot).tolerance, |c| c.tolerance)
    }

    /// That a field was measured, and what is stated beside it.
    #[must_use]
    pub fn measured(&self, id: EntityId, slot: u16) -> Option<Stated> {
        self.record_read(id, slot);
        self.entity(id)?.slot(slot).measured.as_deref().copied()
    }

    /// The nearest entity of a type that holds this one.
    #[must_use]
    pub fn holder(&self, id: EntityId, entity_type: &'static EntityType) -> Option<EntityId> {
        let mut at = self.entity(id)?.parent;
        while let Some(id) = at {
            let entity = self.entity(id)?;
            if entity.entity_type == entity_type {
                return Some(id);
            }
            at = entity.parent;
        }
        None
    }

    /// A quantity of an entity.
    ///
    /// # Errors
    /// When it is missing or refused.
    pub fn read(&self, read: Read) -> Outcome<Value> {
        match read.access {
            Access::Field(slot) => self.field(read.entity, slot),
            Access::Computed(number) => self.computation(read.entity, number).map_or_else(
                || Err(Unknown::refused("no such quantity", [])),
                |computation| computation.value.clone(),
            ),
        }
    }

    /// A field as written. An optional collection that is not written is empty.
    ///
    /// # Errors
    /// When nothing is written.
    pub fn field(&self, id: EntityId, slot: u16) -> Outcome<Value> {
        let Some(entity) = self.entity(id) else { return Err(Unknown::missing(id, slot)) };
        let state = self.state_of(entity, id, slot);
        if let State::Known(value) = state {
            return Ok(value.clone());
        }
        let Some(field) = entity.entity_type.field(slot) else { return Err(Unknown::missing(id, slot)) };
        let collection = matches!(field.shape, Shape::Many(_) | Shape::List(_) | Shape::RefersAll(_));
        match state {
            State::Known(value) => Ok(value.clone()),
            State::None if collection => Ok(Value::Entities(Arc::from([]))),
            State::None => {
                let reason = format!("`{}` is none", field.name);
                Err(Unknown::refused(reason, [Read { entity: id, access: Access::Field(slot) }]))
            }
            State::Absent if collection && field.need == Need::Optional => Ok(Value::Entities(Arc::from([]))),
            // A builder cannot write into a table: what a row lacks is no key to ask for.
            State::Absent if id.is_row() => Err(Unknown::refused(
                format!("no {} is listed for {}", field.name.replace('_', " "), entity.name),
                [],
            )),
            State::Absent | State::Wrong => Err(Unknown::missing(id, slot)),
        }
    }

    /// Whether an entity has a part or a value: false where none is written and none means none.
    ///
    /// # Errors
    /// When it must have one that is not written down.
    pub fn has(&self, id: EntityId, slot: u16) -> Outcome<bool> {
        let Some(entity) = self.entity(id) else { return Err(Unknown::missing(id, slot)) };
        let need = || entity.entity_type.field(slot).map_or(Need::Optional, |f| f.need);
        match self.state_of(entity, id, slot) {
            State::Known(Value::Entities(all)) => Ok(!all.is_empty()),
            State::Known(Value::Truth(truth)) => Ok(*truth),
            State::Known(_) => Ok(true),
            State::None => Ok(false),
            State::Absent if need() == Need::Optional && !self.awaits(entity, id, slot) => Ok(false),
            State::Absent | State::Wrong => Err(Unknown::missing(id, slot)),
        }
    }

    /// What [`Model::has`] asks for, where there is such a part: the part itself.
    fn part(&self, id: EntityId, slot: u16) -> Outcome<Option<Value>> {
        if let Some(entity) = self.entity(id)
            && let State::Known(value @ Value::Entity(_)) = self.state_of(entity, id, slot)
        {
            return Ok(Some(value.clone()));
        }
        if self.has(id, slot)? { self.field(id, slot).map(Some) } else { Ok(None) }
    }

    /// The units of the design.
    #[must_use]
    pub fn author_units(&self) -> &AuthorUnits {
        self.author_units.get_or_init(|| AuthorUnits::of(self.design, self.system))
    }

    /// A quantity as it is printed in the report of this design.
    #[must_use]
    pub fn shown(&self, quantity: Quantity) -> Quantity {
        self.author_units().shown(quantity)
    }

    /// The fields that a tolerance stands beside.
    #[must_use]
    pub fn tolerances(&self) -> &Footprint {
        self.tolerances.get_or_init(|| {
            let mut all = Footprint::default();
            for (id, entity) in self.design.store.all() {
                for slot in (0..).take(entity.entity_type.fields.len()) {
                    if entity.slot(slot).tolerance.is_some() {
                        self.memo.numbering.mark(&mut all, id, slot);
                    }
                }
            }
            for change in self.overlay.changes.iter().filter(|c| c.tolerance.is_some()) {
                self.memo.numbering.mark(&mut all, change.entity, change.slot);
            }
            all
        })
    }
}

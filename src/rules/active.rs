//! What is in force once packs are compiled: rules, limits, derived quantities.

use std::sync::Arc;

use super::code::{Applies, Ask};
use super::hold_point::HoldPoint;
use super::level::Level;
use super::messages::Words;
use super::metadata::PackMetadata;
use super::place::PackPosition;
use super::remedy::Remedy;
use super::steps::{CheckStep, Steps};
use super::trial::{Trial, Trials};
use super::uncertainty::{Uncertainties, Uncertainty};
use crate::language::{Checked, PackFunction, PackTable, Template, evaluate, record_formula};
use crate::model::{DerivedBody, EvalContext, Outcome};
use crate::quantity::Quantity;
use crate::vocabulary::{Date, EntityId, EntityType, Value};
use crate::yaml::{Source, Span};

/// A rule, checked.
#[derive(Clone, Debug)]
pub struct Rule {
    /// Its name.
    pub name: String,
    /// The pack it stands in.
    pub pack: String,
    /// What a rocket that keeps it is like.
    pub title: String,
    /// The step that waits for it.
    pub before: HoldPoint,
    /// The entity type it is about.
    pub entity_type: &'static EntityType,
    /// When it applies.
    pub when: Option<Checked>,
    /// What must be so.
    pub require: Checked,
    /// The requirement as written.
    pub require_text: String,
    /// The condition as written.
    pub when_text: Option<String>,
    /// How grave it is.
    pub level: Level,
    /// Whether it asks only that what is written agrees, or can be believed.
    pub as_written: bool,
    /// The share of flights in which it must hold, each uncertain value anywhere within its limits, besides holding as drawn.
    pub confidence: Option<f64>,
    /// The last day on which settings have it switched off.
    pub off_until: Option<Date>,
    /// Why it matters.
    pub why: String,
    /// Where it comes from.
    pub citation: String,
    pub(super) words: Words,
    pub(super) trials: Trials,
    /// The file it stands in.
    pub source: Arc<Source>,
    /// The bytes of its name there.
    pub place: Span,
    /// Where its expressions stand there.
    pub places: Places,
}

impl Rule {
    /// True on a day on which settings have it switched off: it judges nothing.
    #[must_use]
    pub fn is_off(&self, today: Date) -> bool {
        self.off_until.is_some_and(|until| today <= until)
    }

    /// What to say when it is not so.
    #[must_use]
    pub fn finding(&self) -> &Template {
        &self.words.messages().finding
    }

    /// What to change.
    #[must_use]
    pub fn remedy(&self) -> Option<&Remedy> {
        self.words.messages().remedy.as_ref()
    }

    /// Designs it is tried on. Those of a built-in pack are read when they are first asked for.
    #[must_use]
    pub fn trials(&self) -> &[Trial] {
        self.trials.of(&self.name)
    }

    /// Whether it has trials that could not be read, which its pack is told of.
    #[must_use]
    pub fn are_some_trials_unread(&self) -> bool {
        self.trials.are_some_unread(&self.name)
    }
}

/// Where the expressions of a rule stand in its file.
#[derive(Clone, Debug)]
pub struct Places {
    /// Its condition, where it has one.
    pub when: PackPosition,
    /// Its requirement.
    pub require: PackPosition,
    /// Its message.
    pub finding: PackPosition,
    /// The value that its remedy sets, or how far it moves a place.
    pub change: PackPosition,
}

#[cfg(test)]
impl Places {
    /// All of them.
    pub(super) fn all(&self) -> [&PackPosition; 4] {
        [&self.when, &self.require, &self.finding, &self.change]
    }
}

/// A limit in force.
#[derive(Clone, Debug)]
pub struct ActiveLimit {
    /// Its name.
    pub name: String,
    /// Its value.
    pub value: Quantity,
    /// What it is.
    pub doc: String,
    /// Where it comes from.
    pub citation: String,
    /// The bytes of its name in the pack's file.
    pub place: Span,
}

/// A table of a pack in force.
#[derive(Clone, Debug)]
pub struct ActiveTable {
    /// Its columns and rows.
    pub table: Arc<PackTable>,
    /// The unit of each column, or `number` or `text`, as written.
    pub units: Vec<String>,
    /// Its cells as written, row by row.
    pub cells: Vec<Vec<String>>,
    /// Where it comes from.
    pub citation: String,
    /// The bytes of its name in the pack's file.
    pub place: Span,
}

/// A function of a pack in force.
#[derive(Clone, Debug)]
pub struct ActiveFunction {
    /// The function.
    pub function: Arc<PackFunction>,
    /// What it gives, as written.
    pub text: String,
    /// Where the formula comes from; empty where that is not said.
    pub citation: String,
    /// Where the expression stands.
    pub written: PackPosition,
    /// The bytes of its name in the pack's file.
    pub place: Span,
}

/// A pack in force.
#[derive(Clone, Debug)]
pub struct ActivePack {
    /// Its name.
    pub name: String,
    /// What its rules are about.
    pub about: String,
    /// What else it says of itself.
    pub card: PackMetadata,
    /// Its limits.
    pub limits: Vec<ActiveLimit>,
    /// Its tables.
    pub tables: Vec<ActiveTable>,
    /// Its functions.
    pub functions: Vec<ActiveFunction>,
    /// The rockets that it is about.
    pub applies: Applies,
    /// Clauses that a person must see to.
    pub asks: Vec<Ask>,
    pub(super) steps: Steps,
    pub(super) uncertainties: Uncertainties,
    /// The file it stands in.
    pub source: Arc<Source>,
    /// The bytes of each of its sources that names no work, no practice and no club.
    pub unsourced: Vec<Span>,
}

impl ActivePack {
    /// Its steps of the field checklist, in the order in which they are taken. Those of a built-in pack are compiled when
    /// they are first asked for.
    #[must_use]
    pub fn steps(&self) -> &[CheckStep] {
        self.steps.all()
    }

    /// How far values may be off by it. Those of a built-in pack are compiled when they are first asked for.
    #[must_use]
    pub fn uncertainties(&self) -> &[Uncertainty] {
        self.uncertainties.all()
    }

    /// The conditions that say which rockets it is about, and which it asks what of a person.
    pub(super) fn conditions(&self) -> impl Iterator<Item = &Checked> {
        let own = match &self.applies {
            Applies::When { condition, .. } => Some(condition),
            Applies::Always | Applies::Named => None,
        };
        own.into_iter().chain(self.asks.iter().filter_map(|ask| ask.when.as_ref()))
    }
}

/// A derived quantity in force.
#[derive(Clone, Debug)]
pub struct ActiveDerived {
    /// Its name.
    pub name: String,
    /// The pack it stands in.
    pub pack: String,
    /// The entity type that has it.
    pub entity_type: &'static EntityType,
    /// Its number among the quantities of that type.
    pub number: u16,
    /// How it is worked out, as written.
    pub text: String,
    /// The same, checked: the very expression that is evaluated.
    pub(super) body: Arc<DerivedExpr>,
    /// Where that stands.
    pub written: PackPosition,
    /// The file it stands in.
    pub source: Arc<Source>,
    /// The bytes of its name there.
    pub place: Span,
}

impl ActiveDerived {
    /// The expression that works it out.
    #[must_use]
    pub fn checked(&self) -> &Checked {
        &self.body.0
    }
}

/// A quantity worked out in words.
#[derive(Debug)]
pub(super) struct DerivedExpr(pub(super) Checked);

impl DerivedBody for DerivedExpr {
    fn work_out(&self, ctx: &EvalContext<'_>, subject: EntityId) -> Outcome<Value> {
        let value = evaluate(&self.0, ctx.model(), Some(ctx), subject).value;
        if ctx.is_recording() && value.is_ok() {
            record_formula(&self.0, ctx, subject);
        }
        value
    }
}

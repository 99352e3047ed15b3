//! Steps of the field checklist as packs write them: checked, and put in the order in which they are taken.

use std::sync::{Arc, OnceLock};

use super::citation::cite;
use super::compile::Compiler;
use super::hold_point::Moment;
use super::pack::{STEP, step};
use super::parsed::ParsedPack;
use super::place::PackPosition;
use crate::design::ROCKET;
use crate::language::{Checked, LanguageError, Sentence};
use crate::model::{Catalogue, Type};
use crate::vocabulary::{Entity, EntityId, EntityType, State, suggest};
use crate::yaml::Problem;

/// A step of the field checklist, checked.
#[derive(Clone, Debug)]
pub struct CheckStep {
    /// Its name.
    pub name: String,
    /// When it is taken.
    pub moment: Moment,
    /// The type of part that it is about; there is one for each.
    pub entity_type: &'static EntityType,
    /// When it is taken, where it is not always.
    pub when: Option<Checked>,
    /// What to do.
    pub sentence: Sentence,
    /// Why.
    pub why: String,
    /// The turn of a part.
    pub order: Option<Checked>,
    /// Whether the parts come the other way round.
    pub backwards: bool,
    /// Whether the steps are numbered where there are several.
    pub numbered: bool,
    /// Whether it follows the step before it for each part, before the next part's turn.
    pub joined_on: bool,
    /// Where it comes from, where that is said.
    pub citation: Option<String>,
    /// Where `when`, the turn and the sentence stand in the file.
    pub(super) places: [PackPosition; 3],
}

impl CheckStep {
    /// Its expressions.
    pub(super) fn expressions(&self) -> impl Iterator<Item = &Checked> {
        let sentence = self.sentence.expressions().into_iter().map(|(_, value)| value);
        self.when.iter().chain(&self.order).chain(sentence)
    }
}

/// The steps of a pack. Those of a built-in pack are compiled when they are first asked for: no review asks.
#[derive(Clone, Debug)]
pub(super) struct Steps {
    all: OnceLock<Vec<CheckStep>>,
    later: Option<(Arc<ParsedPack>, Arc<Catalogue>)>,
}

impl Steps {
    /// Steps that are compiled when they are first asked for.
    pub(super) fn later(pack: &Arc<ParsedPack>, catalogue: &Arc<Catalogue>) -> Self {
        Self { all: OnceLock::new(), later: Some((Arc::clone(pack), Arc::clone(catalogue))) }
    }

    /// Steps that are compiled, and what is wrong with them. A step that is wrong is left out, and reported.
    pub(super) fn now(pack: &ParsedPack, catalogue: &Catalogue) -> (Self, Vec<Problem>) {
        let (steps, problems) = compile(pack, catalogue);
        (Self { all: OnceLock::from(steps), later: None }, problems)
    }

    /// The steps, compiled if they are not yet.
    pub(super) fn all(&self) -> &[CheckStep] {
        self.all.get_or_init(|| match &self.later {
            // A built-in pack has no mistakes: a test compiles all of its steps.
            Some((pack, catalogue)) => compile(pack, catalogue).0,
            None => Vec::new(),
        })
    }
}

/// The steps of a pack, each after the one that it is joined on to.
fn compile(opened: &ParsedPack, catalogue: &Catalogue) -> (Vec<CheckStep>, Vec<Problem>) {
    let mut compiler = Compiler { catalogue, opened, problems: Vec::new() };
    let mut steps: Vec<CheckStep> = Vec::new();
    for id in opened.store.of_type(&STEP) {
        let Some(step) = compiler.step(id) else { continue };
        match compiler.follows(id, &step, &steps) {
            Ok(Some(at)) => steps.insert(at, CheckStep { joined_on: true, ..step }),
            Ok(None) => steps.push(step),
            Err(error) => compiler.problem(opened.node(id, step::right_after.slot), &error),
        }
    }
    (steps, compiler.problems)
}

fn is_written(entity: &Entity, slot: u16) -> bool {
    entity.slot(slot).state != State::Absent
}

impl Compiler<'_> {
    /// A step as its pack has it; what is wrong with it goes to the problems.
    fn step(&mut self, id: EntityId) -> Option<CheckStep> {
        let opened = self.opened;
        let entity = opened.store.get(id)?;
        let entity_type =
            if is_written(entity, step::r#for.slot) { self.kind_of(id, step::r#for)? } else { &ROCKET };
        if !self.catalogue.is_in_designs(entity_type) {
            let message =
                format!("no design holds {}, so this step is about nothing", entity_type.with_article());
            let at = entity.slot(step::r#for.slot).place.unwrap_or(entity.key);
            self.problems.push(Problem::at(at, message).help("it is a row of a table"));
            return None;
        }
        let sentence = match Sentence::read(&opened.text(id, step::r#do)?, &self.scope(entity_type)) {
            Ok(sentence) => Some(sentence),
            Err(error) => {
                self.problem(opened.node(id, step::r#do.slot), &error);
                None
            }
        };
        let when = if is_written(entity, step::when.slot) {
            Some(self.checked(id, step::when, entity_type, Some(Type::Truth)))
        } else {
            None
        };
        let order =
            if is_written(entity, step::order.slot) { Some(self.turn(id, entity_type)) } else { None };
        Some(CheckStep {
            name: entity.name.to_string(),
            moment: entity.get(step::moment)?,
            entity_type,
            when: when.map_or(Some(None), |when| when.map(Some))?,
            sentence: sentence?,
            why: opened.text(id, step::why)?,
            order: order.map_or(Some(None), |order| order.map(Some))?,
            backwards: entity.get(step::backwards) == Some(true),
            numbered: entity.get(step::numbered) == Some(true),
            joined_on: false,
            citation: is_written(entity, step::source.slot).then(|| cite(&opened.store, id, step::source)),
            places: [step::when.slot, step::order.slot, step::r#do.slot].map(|slot| opened.place(id, slot)),
        })
    }

    /// What says the turn of a part: something that has a greater and a smaller.
    fn turn(&mut self, id: EntityId, entity_type: &'static EntityType) -> Option<Checked> {
        let order = self.checked(id, step::order, entity_type, None)?;
        if matches!(order.gives, Type::Quantity(_)) {
            return Some(order);
        }
        let message = format!("a turn is a quantity, and this is {}", order.gives);
        let error = LanguageError::new(message, order.range);
        self.problem(self.opened.node(id, step::order.slot), &error);
        None
    }

    /// Where a step goes that says which one it is joined on to: right after it and those that are joined on to it already.
    fn follows(
        &self,
        id: EntityId,
        mine: &CheckStep,
        steps: &[CheckStep],
    ) -> Result<Option<usize>, LanguageError> {
        let Some(name) = self.opened.text(id, step::right_after) else { return Ok(None) };
        let error = |message: String, help: Option<String>| {
            LanguageError::new(message, 0..name.len()).maybe_help(help)
        };
        let Some(at) = steps.iter().position(|step| step.name == name) else {
            let near = suggest(&name, steps.iter().map(|step| step.name.as_str()));
            let help = near.map(|near| format!("did you mean `{near}`?"));
            return Err(error(format!("no step above this one is named `{name}`"), help));
        };
        let leads = |step: &CheckStep| (step.moment, step.entity_type) == (mine.moment, mine.entity_type);
        if !steps.get(at).is_some_and(leads) {
            let message = format!("`{name}` is taken at another moment, or is about another type of part");
            return Err(error(
                message,
                Some("leave `right_after` out: steps come in the order of the file".to_owned()),
            ));
        }
        let entity = self.opened.store.get(id);
        if entity.is_some_and(|e| {
            [step::order.slot, step::backwards.slot, step::numbered.slot]
                .iter()
                .any(|slot| is_written(e, *slot))
        }) {
            let message = format!("the parts come in the order that `{name}` gives them");
            return Err(error(message, Some("leave `order`, `backwards` and `numbered` out".to_owned())));
        }
        let joined = steps.iter().skip(at + 1).take_while(|step| step.joined_on).count();
        Ok(Some(at + 1 + joined))
    }
}

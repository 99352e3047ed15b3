//! The remedy of a rule compiled.

use super::citation::text;
use super::compile::Compiler;
use super::pack::{remedy, rule};
use super::remedy::{Change, Remedy};
use super::target::Target;
use crate::design::may_be_set;
use crate::language::{LanguageError, Template};
use crate::model::Type;
use crate::quantity::Dimension;
use crate::text::Problem;
use crate::vocabulary::{EntityId, EntityType, Shape};

impl Compiler<'_> {
    /// The remedy of a rule as its pack has it; what is wrong with it goes to the problems.
    pub(super) fn remedy(&mut self, rule_id: EntityId, entity_type: &'static EntityType) -> Option<Remedy> {
        let opened = self.opened;
        let id = opened.store.value(rule_id, rule::remedy)?.any();
        let say = text(&opened.store, id, remedy::say)?;
        let words = match self.words_of(entity_type, &say) {
            Ok(words) => words,
            Err(error) => {
                self.problem(opened.node(id, remedy::say.slot), &error);
                return None;
            }
        };
        let entity = opened.store.get(id)?;
        let key = |slot: u16| entity.slot(slot).key;
        let (set, to, by) = (remedy::set.slot, remedy::to.slot, remedy::by.slot);
        let at = |span, message: &str| Problem::at(span, message.to_owned());
        let complaint = match (key(set), key(to), key(by)) {
            (Some(_), Some(_), None) | (Some(_), None, Some(_)) => None,
            (None, None, None) if words.len() > 1 => {
                Some(at(entity.span, "`say` has `{value}`, and no `to` says what it is"))
            }
            (None, None, None) => {
                return Some(Remedy { set: None, say, words, safe: false });
            }
            (Some(_), Some(_), Some(span)) => Some(at(span, "a field is set `to` a value or moved `by` one, not both")),
            (set, to, by) => set.or(to).or(by).map(|span| {
                at(span, "`set` and `to` stand together: the field, and the value it should have; for a place, `set` and `by`")
            }),
        };
        if let Some(problem) = complaint {
            self.problems.push(problem);
            return None;
        }
        let path = text(&opened.store, id, remedy::set)?;
        let scope = self.scope(entity_type);
        let target = match Target::read(&path, &scope) {
            Ok(target) => target,
            Err(error) => {
                self.problem(entity.slot(set).node, &error);
                return None;
            }
        };
        let change = self.change(id, entity_type, &target)?;
        let safe = self.safety(id, &target)?;
        Some(Remedy { set: Some((target, change)), say, words, safe })
    }

    fn words_of(&self, entity_type: &'static EntityType, say: &str) -> Result<Vec<Template>, LanguageError> {
        let scope = self.scope(entity_type);
        say.split("{value}")
            .scan(0, |at, piece| {
                let start = *at;
                *at += piece.len() + "{value}".len();
                Some(Template::read(piece, &scope).map_err(|error| LanguageError {
                    range: error.range.start + start..error.range.end + start,
                    also: error.also.map(|(r, l)| (r.start + start..r.end + start, l)),
                    ..error
                }))
            })
            .collect()
    }

    fn change(&mut self, id: EntityId, entity_type: &'static EntityType, target: &Target) -> Option<Change> {
        let opened = self.opened;
        let entity = opened.store.get(id)?;
        let place = matches!(target.shape, Shape::Position);
        let moved = entity.slot(remedy::by.slot).key;
        if let Some(span) = moved.or(entity.slot(remedy::to.slot).key).filter(|_| place != moved.is_some()) {
            let message = if place {
                "a place on a part is moved: write `by`, how far aft"
            } else {
                "only a place on a part is moved; write `to`, the value it should have"
            };
            self.problems.push(Problem::at(span, message));
            return None;
        }
        if place {
            let length = Some(Type::Quantity(Dimension::LENGTH));
            return self.checked(id, remedy::by, entity_type, length).map(Change::By);
        }
        let to = self.checked(id, remedy::to, entity_type, target.dimension().map(Type::Quantity))?;
        if target.dimension().is_none() && !matches!(to.gives, Type::Text | Type::Word(_) | Type::Truth) {
            let message = format!("this is {}, and the field takes a word", to.gives);
            let error = LanguageError::new(message, to.range);
            self.problem(entity.slot(remedy::to.slot).node, &error);
            return None;
        }
        Some(Change::To(to))
    }

    /// Whether a remedy may be made without asking. What a rule says of it is held against the field.
    fn safety(&mut self, id: EntityId, target: &Target) -> Option<bool> {
        let entity = self.opened.store.get(id)?;
        let allowed = may_be_set(target.entity_type, target.slot);
        match (entity.get(remedy::safe), entity.slot(remedy::safe.slot).place) {
            (Some(true), Some(span)) if !allowed => {
                let field = target.entity_type.field(target.slot).map_or("", |f| f.name);
                let message =
                    format!("`{field}` of {} is never set without asking", target.entity_type.with_article());
                let problem = Problem::at(span, message).help(
                    "only what a builder lays out and can prove on paper is: holes, slots, places, counts",
                );
                self.problems.push(problem);
                None
            }
            (Some(safe), _) => Some(safe),
            _ => Some(allowed),
        }
    }
}

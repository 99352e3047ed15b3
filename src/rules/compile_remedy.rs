//! The remedy of a rule compiled.

use std::ops::Range;

use super::citation::text;
use super::compile::Compiler;
use super::pack::{remedy, rule};
use super::remedy::{Change, Remedy};
use super::target::Target;
use crate::design::may_be_set;
use crate::language::{LanguageError, PrintedIn, Template, in_unit};
use crate::model::Type;
use crate::quantity::{Dimension, Style};
use crate::vocabulary::{EntityId, EntityType, Shape};
use crate::yaml::Problem;

/// The first place behind a byte where the words of a remedy say its value: `{value}`, or `{value in ft}`.
fn value_in(words: &str, from: usize) -> Option<Range<usize>> {
    let behind =
        words.get(from..)?.match_indices("{value").map(|(at, found)| (from + at, from + at + found.len()));
    let mut places = behind.filter_map(|(start, end)| {
        let rest = words.get(end..)?;
        let length = rest.find('}').filter(|length| *length == 0 || rest.starts_with(" in"))?;
        Some(start..end + length + 1)
    });
    places.next()
}

/// The unit that a place of the value asks for, and the byte of the words where that place begins.
type Asked = Option<(PrintedIn, usize)>;

/// Pieces between the places of the value, and of each place the unit that it asks for.
type Words = (Vec<Template>, Vec<Asked>);

fn moved(error: LanguageError, by: usize) -> LanguageError {
    LanguageError {
        range: error.range.start + by..error.range.end + by,
        also: error.also.map(|(r, l)| (r.start + by..r.end + by, l)),
        ..error
    }
}

impl Compiler<'_> {
    /// The remedy of a rule as its pack has it; what is wrong with it goes to the problems.
    pub(super) fn remedy(&mut self, rule_id: EntityId, entity_type: &'static EntityType) -> Option<Remedy> {
        let opened = self.opened;
        let id = opened.store.value(rule_id, rule::remedy)?.any();
        let say = text(&opened.store, id, remedy::say)?;
        let (words, asked) = match self.words_of(entity_type, &say) {
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
                return Some(Remedy { set: None, say, words, units: Vec::new(), safe: false });
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
        let units = self.units_of(id, &asked, &change)?;
        let safe = self.safety(id, &target)?;
        Some(Remedy { set: Some((target, change)), say, words, units, safe })
    }

    /// The words of a remedy, cut where its value stands, and of each place of the value the unit that it asks for.
    fn words_of(&self, entity_type: &'static EntityType, say: &str) -> Result<Words, LanguageError> {
        let scope = self.scope(entity_type);
        let (mut words, mut units) = (Vec::new(), Vec::new());
        let mut start = 0;
        loop {
            let found = value_in(say, start);
            let end = found.as_ref().map_or(say.len(), |value| value.start);
            let piece = Template::read(say.get(start..end).unwrap_or(""), &scope);
            words.push(piece.map_err(|error| moved(error, start))?);
            let Some(value) = found else { return Ok((words, units)) };
            let inside = value.start + 1..value.end - 1;
            let asked = in_unit(say.get(inside.clone()).unwrap_or(""));
            let (_, unit) = asked.map_err(|error| moved(error, inside.start))?;
            units.push(unit.map(|unit| (unit, inside.start)));
            start = value.end;
        }
    }

    /// The units that `{value in …}` asks for, held against what the value is.
    fn units_of(&mut self, id: EntityId, asked: &[Asked], change: &Change) -> Option<Vec<Option<Style>>> {
        let mut units = Vec::new();
        for one in asked {
            let style = one.as_ref().map(|(unit, start)| match change {
                Change::To(value) => unit.style(value.gives).map_err(|error| moved(error, *start)),
                Change::By(_) => {
                    let range = *start..*start + "value".len();
                    let message = "a place that is moved is told as the tape has it";
                    Err(LanguageError::new(message, range).help("write `{value}` alone"))
                }
            });
            match style.transpose() {
                Ok(style) => units.push(style),
                Err(error) => {
                    self.problem(self.opened.node(id, remedy::say.slot), &error);
                    return None;
                }
            }
        }
        Some(units)
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

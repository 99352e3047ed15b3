//! What the names in an expression stand for: subjects, members, limits, kinds, and the fields of each.

use std::ops::Range;

use super::check::{CheckResult, Checked, Checker, TypedNode, done};
use super::tree::{ExprTree, Word};
use super::{LanguageError, UnknownName};
use crate::model::{Access, Body, Named, Reference, Type};
use crate::quantity::{Dimension, Quantity, unit};
use crate::vocabulary::{EntityType, Shape, Value, suggest};

/// So many names are listed where none is near to the one that is wrong.
const MOST_LISTED: usize = 24;

impl Checker<'_, '_> {
    pub(super) fn entity_type(&self, word: &Word) -> Result<&'static EntityType, LanguageError> {
        self.scope.catalogue.entity_type(&word.text).ok_or_else(|| {
            let names: Vec<&str> = self.scope.catalogue.entity_types().iter().map(|k| k.name).collect();
            let near = suggest(&word.text, names);
            LanguageError::new(format!("`{}` is not a type of part", word.text), word.range.clone())
                .maybe_help(near.map(|n| format!("did you mean `{n}`?")))
        })
    }

    /// A type of which a design may hold some.
    pub(super) fn type_in_designs(&self, word: &Word) -> Result<&'static EntityType, LanguageError> {
        let entity_type = self.entity_type(word)?;
        if self.scope.catalogue.is_in_designs(entity_type) {
            return Ok(entity_type);
        }
        let message = format!("no design holds {}: it is a row of a table", entity_type.with_article());
        Err(LanguageError::new(message, word.range.clone()).help("reach it from what refers to it"))
    }

    pub(super) fn name(&self, name: &str, range: &Range<usize>) -> CheckResult {
        if let "true" | "false" = name {
            return Ok(done(range, Type::Truth, TypedNode::Constant(Value::Truth(name == "true"))));
        }
        if name == "pi" {
            let pi = Value::Quantity(Quantity::number(std::f64::consts::PI));
            return Ok(done(range, Type::Quantity(Dimension::NUMBER), TypedNode::Constant(pi)));
        }
        if name == "today" {
            return Ok(done(range, Type::Date, TypedNode::Today));
        }
        if let Some(at) = self.variables.iter().rposition(|(n, _)| n == name)
            && let Some((_, entity_type)) = self.variables.get(at)
        {
            let number = u8::try_from(at + 1).unwrap_or(u8::MAX);
            return Ok(done(range, Type::Entity(entity_type), TypedNode::Variable(number)));
        }
        if let Some((subject, entity_type)) = self.scope.subject
            && subject == name
        {
            return Ok(done(range, Type::Entity(entity_type), TypedNode::Variable(0)));
        }
        if name == self.scope.root.name {
            return Ok(done(range, Type::Entity(self.scope.root), TypedNode::Root));
        }
        if let Some(at) = self.scope.parameters.iter().position(|(n, _)| n == name)
            && let Some((_, gives)) = self.scope.parameters.get(at)
        {
            return Ok(done(range, *gives, TypedNode::Parameter(u8::try_from(at).unwrap_or(u8::MAX))));
        }
        if let Some(table) = self.scope.own.tables.iter().find(|t| t.name == name) {
            let column = table.found().next().unwrap_or("column");
            return Err(LanguageError::new(format!("`{name}` is a table, and no value"), range.clone())
                .help(format!(
                    "look a value up in it: `by_steps(…, {name}.{column})`, `interpolated(…)` or `in_row(…)`"
                )));
        }
        if let Some(limit) = self.scope.own.limits.iter().find(|l| l.name == name) {
            return Ok(done(range, Type::Quantity(limit.value.dimension), TypedNode::Limit(limit.clone())));
        }
        if self.scope.own.left_out.iter().any(|left_out| left_out == name) {
            let message = format!("`{name}` is left out, since something is wrong with it");
            return Err(
                LanguageError::new(message, range.clone()).help("the mistake stands where it is written")
            );
        }
        // What is meant is often a value of the subject or of the rocket.
        let owner = [self.scope.subject, Some((self.scope.root.name, self.scope.root))]
            .into_iter()
            .flatten()
            .find(|(_, entity_type)| self.scope.catalogue.named(entity_type, name).is_some());
        if let Some((owner, _)) = owner {
            return Err(LanguageError::new(format!("`{name}` is not a name known here"), range.clone())
                .help(format!("did you mean `{owner}.{name}`?")));
        }
        let mut known: Vec<&str> = self.variables.iter().map(|(n, _)| n.as_str()).collect();
        known.extend(self.scope.subject.map(|(n, _)| n));
        if !known.contains(&self.scope.root.name) {
            known.push(self.scope.root.name);
        }
        known.extend(self.scope.parameters.iter().map(|(n, _)| n.as_str()));
        known.extend(self.scope.own.limits.iter().map(|l| l.name.as_str()));
        let help = match suggest(name, known.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None if self.is_word(name) => format!(
                "a word that a value can be stands in double quotes, `\"{name}\"`; after `is`, several stand as `is one of (…)`"
            ),
            None if unit(name).is_some() => {
                "a unit stands behind a number, and one made of several has no spaces in it, as in `3 m/s`"
                    .to_owned()
            }
            None if self.scope.own.taken(name) == Some("a function") => {
                format!("it is a function: call it with its values, as in `{name}(…)`")
            }
            None if self.scope.catalogue.entity_type(name).is_some() => {
                format!(
                    "this rule is not about one {name}: write `all {name}` for all of them, or reach it from the subject"
                )
            }
            None => format!(
                "known here: {}",
                known.iter().map(|n| format!("`{n}`")).collect::<Vec<_>>().join(", ")
            ),
        };
        Err(LanguageError::new(format!("`{name}` is not a name known here"), range.clone()).help(help))
    }

    /// Whether some field can be this word.
    fn is_word(&self, name: &str) -> bool {
        let mut fields =
            self.scope.catalogue.entity_types().iter().flat_map(|entity_type| entity_type.fields);
        fields.any(|field| matches!(&field.shape, Shape::Word(words) if words.contains(&name)))
    }

    pub(super) fn entity(
        &mut self,
        tree: &ExprTree,
    ) -> Result<(Box<Checked>, &'static EntityType), LanguageError> {
        let checked = self.boxed(tree)?;
        match checked.gives {
            Type::Entity(entity_type) => Ok((checked, entity_type)),
            Type::Entities(entity_type) => Err(LanguageError::new(
                format!("this is a collection of {}, and has no fields of its own", entity_type.name),
                tree.range.clone(),
            )
            .help(format!(
                "ask each member: `every x of … has x.…`, or `sum of x.… over x of …` ({})",
                entity_type.name
            ))),
            other => {
                Err(LanguageError::new(format!("this is {other}, and has no fields"), tree.range.clone()))
            }
        }
    }

    pub(super) fn member(&mut self, of: &ExprTree, name: &Word, range: &Range<usize>) -> CheckResult {
        let (of, entity_type) = self.entity(of)?;
        match self.scope.catalogue.named(entity_type, &name.text) {
            Some(Named::Field(slot, field)) => {
                let contained = matches!(field.shape, Shape::One(_) | Shape::Many(_) | Shape::List(_));
                Ok(done(
                    range,
                    Type::of(&field.shape),
                    TypedNode::Read { of, access: Access::Field(slot), contained },
                ))
            }
            Some(Named::Computed(number, gives)) => Ok(match self.references(entity_type, number) {
                // A collection keeps the members of which it is not known whether they are some.
                Some(references) => done(range, gives, TypedNode::Inverse(of, references.to_vec())),
                None => done(
                    range,
                    gives,
                    TypedNode::Read { of, access: Access::Computed(number), contained: false },
                ),
            }),
            Some(Named::Holder(holder)) => {
                Ok(done(range, Type::Entity(holder), TypedNode::Holder(of, holder)))
            }
            None => Err(self.unknown_member(entity_type, name)),
        }
    }

    /// Of a computed quantity that is references the other way round, these.
    fn references(&self, entity_type: &'static EntityType, number: u16) -> Option<&[Reference]> {
        match &self.scope.catalogue.computed(entity_type).get(usize::from(number))?.body {
            Body::Inverse(references) => Some(references),
            Body::Rust(_) | Body::Words(_) => None,
        }
    }

    pub(super) fn unknown_member(&self, entity_type: &'static EntityType, name: &Word) -> LanguageError {
        let names = self.scope.catalogue.names(entity_type);
        let help =
            match (entity_type.renamed(&name.text), suggest(&name.text, names.iter().map(String::as_str))) {
                (Some((_, field)), _) => format!("it is now called `{}`", field.name),
                (None, Some(near)) => format!("did you mean `{near}`?"),
                (None, None) if name.text == "name" => {
                    format!("its name is `name_of(…)`, as in `name_of({})`", entity_type.name)
                }
                (None, None) => match self.further_in(entity_type, &name.text) {
                    Some(field) => format!("its `{field}` has: write `….{field}.{}`", name.text),
                    None if names.len() > MOST_LISTED => format!(
                        "`holdpoint rules --quantities` lists what {} has",
                        entity_type.with_article()
                    ),
                    None => format!(
                        "it has {}",
                        names.iter().map(|n| format!("`{n}`")).collect::<Vec<_>>().join(", ")
                    ),
                },
            };
        let message = format!("{} has no `{}`", entity_type.with_article(), name.text);
        if self.scope.catalogue.is_left_out(entity_type, &name.text) {
            let message = format!("`{}` is left out, since something is wrong with it", name.text);
            return LanguageError::new(message, name.range.clone())
                .help("the mistake stands where it is worked out");
        }
        LanguageError {
            unknown: Some(Box::new(UnknownName::Member(entity_type, name.text.clone()))),
            ..LanguageError::new(message, name.range.clone()).help(help)
        }
    }

    /// The part of a type that has a field of some name, where the type itself has none.
    fn further_in(&self, entity_type: &'static EntityType, name: &str) -> Option<&'static str> {
        let parts = entity_type.fields.iter().filter_map(|field| match field.shape {
            Shape::One(part) => Some((field.name, part)),
            _ => None,
        });
        let mut having = parts.filter(|(_, part)| self.scope.catalogue.named(part, name).is_some());
        having.next().map(|(field, _)| field)
    }

    pub(super) fn has(&mut self, of: &ExprTree, part: &Word, range: &Range<usize>) -> CheckResult {
        let (of, entity_type) = self.entity(of)?;
        match self.scope.catalogue.named(entity_type, &part.text) {
            Some(Named::Field(slot, _)) => Ok(done(range, Type::Truth, TypedNode::Has(of, slot))),
            Some(Named::Computed(_, Type::Truth)) => self.member_of(of, entity_type, part, range),
            Some(Named::Computed(number, _)) if let Some(all) = self.references(entity_type, number) => {
                Ok(done(range, Type::Truth, TypedNode::IsReferredTo(of, all.to_vec())))
            }
            Some(_) => Err(LanguageError::new(
                format!("`{}` is worked out, so every {} has one", part.text, entity_type.name),
                part.range.clone(),
            )
            .help(format!("write `….{} is given` to ask whether it can be worked out", part.text))),
            None => Err(self.unknown_member(entity_type, part)),
        }
    }

    fn member_of(
        &self,
        of: Box<Checked>,
        entity_type: &'static EntityType,
        name: &Word,
        range: &Range<usize>,
    ) -> CheckResult {
        match self.scope.catalogue.named(entity_type, &name.text) {
            Some(Named::Computed(number, gives)) => Ok(done(
                range,
                gives,
                TypedNode::Read { of, access: Access::Computed(number), contained: false },
            )),
            _ => Err(self.unknown_member(entity_type, name)),
        }
    }
}

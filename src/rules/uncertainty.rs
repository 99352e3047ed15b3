//! How far values may be off where a design does not say: limits of packs, each about one field of a type of part.

use std::sync::{Arc, OnceLock};

use super::citation::cite;
use super::compile::Compiler;
use super::pack::{LIMIT, UNCERTAINTY, limit, uncertainty};
use super::parsed::ParsedPack;
use super::target::Target;
use crate::language::{Checked, LanguageError};
use crate::model::{Catalogue, Type};
use crate::quantity::Dimension;
use crate::vocabulary::{EntityId, EntityType, Need, Shape, State, suggest};
use crate::yaml::Problem;

/// How far a field may be off, checked.
#[derive(Clone, Debug)]
pub struct Uncertainty {
    /// Its name.
    pub name: String,
    /// The pack it stands in.
    pub pack: String,
    /// The type of part that has the field.
    pub entity_type: &'static EntityType,
    /// The slot of the field.
    pub slot: u16,
    /// How far, to either side.
    pub amount: Amount,
    /// Fields of what is in the part that change by the same share, each by its type of part.
    pub along: Vec<(&'static EntityType, u16)>,
    /// What the value is where it is not written; nothing is assumed where this is not said.
    pub where_not_written: Option<Checked>,
    /// What is uncertain.
    pub doc: String,
    /// Where it comes from.
    pub citation: String,
}

/// How far a value may be off to either side.
#[derive(Clone, Debug)]
pub enum Amount {
    /// A share of the value.
    Share(Checked),
    /// An amount of its own dimension; of temperatures, a difference.
    Within(Checked),
}

impl Amount {
    /// The expression.
    #[must_use]
    pub fn expression(&self) -> &Checked {
        match self {
            Self::Share(share) => share,
            Self::Within(amount) => amount,
        }
    }
}

impl Uncertainty {
    /// Its expressions.
    pub(super) fn expressions(&self) -> impl Iterator<Item = &Checked> {
        std::iter::once(self.amount.expression()).chain(&self.where_not_written)
    }
}

/// The uncertainties of a pack. Those of a built-in pack are compiled when they are first asked for: only a spread asks.
#[derive(Clone, Debug)]
pub(super) struct Uncertainties {
    all: OnceLock<Vec<Uncertainty>>,
    later: Option<(Arc<ParsedPack>, Arc<Catalogue>)>,
}

impl Uncertainties {
    /// Those of a built-in pack.
    pub(super) fn later(pack: &Arc<ParsedPack>, catalogue: &Arc<Catalogue>) -> Self {
        Self { all: OnceLock::new(), later: Some((Arc::clone(pack), Arc::clone(catalogue))) }
    }

    /// Those of a pack, compiled, and what is wrong with them. One that is wrong is left out, and reported.
    pub(super) fn now(pack: &ParsedPack, catalogue: &Catalogue) -> (Self, Vec<Problem>) {
        let (all, problems) = compile(pack, catalogue);
        (Self { all: OnceLock::from(all), later: None }, problems)
    }

    /// All of them, compiled if they are not yet.
    pub(super) fn all(&self) -> &[Uncertainty] {
        self.all.get_or_init(|| match &self.later {
            // A built-in pack has no mistakes: a test compiles all of its uncertainties.
            Some((pack, catalogue)) => compile(pack, catalogue).0,
            None => Vec::new(),
        })
    }
}

fn compile(opened: &ParsedPack, catalogue: &Catalogue) -> (Vec<Uncertainty>, Vec<Problem>) {
    let mut compiler = Compiler { catalogue, opened, problems: Vec::new() };
    let mut all: Vec<Uncertainty> = Vec::new();
    for id in opened.store.of_type(&UNCERTAINTY) {
        let Some(one) = compiler.uncertainty(id) else { continue };
        if let Some(other) = all.iter().find(|o| o.entity_type == one.entity_type && o.slot == one.slot) {
            let message = format!("`{}` says already how far this field may be off", other.name);
            let error = LanguageError::new(message, 0..0).maybe_help(Some("keep one of the two".to_owned()));
            compiler.problem(opened.node(id, uncertainty::field.slot), &error);
            continue;
        }
        all.push(one);
    }
    (all, compiler.problems)
}

impl Compiler<'_> {
    /// An uncertainty as its pack has it; what is wrong with it goes to the problems.
    fn uncertainty(&mut self, id: EntityId) -> Option<Uncertainty> {
        let opened = self.opened;
        let entity = opened.store.get(id)?;
        let written = |slot| entity.slot(slot).state != State::Absent;
        let path = opened.text(id, uncertainty::field)?;
        let target = match self.target(&path) {
            Ok(target) => target,
            Err(error) => {
                self.problem(opened.node(id, uncertainty::field.slot), &error);
                return None;
            }
        };
        let dimension = target.dimension().unwrap_or(Dimension::LENGTH);
        let amount = match (written(uncertainty::share.slot), written(uncertainty::within.slot)) {
            (true, false) => {
                let number = Type::Quantity(Dimension::NUMBER);
                let share = self.checked(id, uncertainty::share, target.entity_type, Some(number))?;
                if matches!(target.shape, Shape::Position) || dimension.is_absolute() {
                    let message = format!(
                        "a share of {} says nothing of how far it may be off",
                        of(&target, dimension)
                    );
                    let error = LanguageError::new(message, share.range.clone())
                        .maybe_help(Some("write `within` and an amount".to_owned()));
                    self.problem(opened.node(id, uncertainty::share.slot), &error);
                    return None;
                }
                Amount::Share(share)
            }
            (false, true) => {
                let due = if dimension.is_absolute() { Dimension::TEMPERATURE_DIFFERENCE } else { dimension };
                let due = Some(Type::Quantity(due));
                Amount::Within(self.checked(id, uncertainty::within, target.entity_type, due)?)
            }
            _ => {
                let message = format!("`{}` says how far the value may be off once", entity.name);
                let help = "write either `share`, as in `share: 3 %`, or `within`, as in `within: 2 mm`";
                self.problems.push(Problem::at(entity.key, message).help(help));
                return None;
            }
        };
        let where_not_written = match written(uncertainty::where_not_written.slot) {
            true => Some(self.not_written(id, &target, dimension)?),
            false => None,
        };
        let citation = self.source_of(id, amount.expression());
        Some(Uncertainty {
            name: entity.name.to_string(),
            pack: opened.name.clone(),
            entity_type: target.entity_type,
            slot: target.slot,
            amount,
            along: self.along(id)?,
            where_not_written,
            doc: opened.text(id, uncertainty::doc)?,
            citation: citation?,
        })
    }

    /// The fields that change by the same share.
    fn along(&mut self, id: EntityId) -> Option<Vec<(&'static EntityType, u16)>> {
        let paths = self.opened.store.value(id, uncertainty::along).unwrap_or_default();
        let mut all = Vec::new();
        for path in paths.iter() {
            match self.target(path) {
                Ok(target) => all.push((target.entity_type, target.slot)),
                Err(error) => {
                    // An item of a list has no place of its own here.
                    let error = LanguageError::new(format!("`{path}`: {}", error.message), 0..0)
                        .maybe_help(error.help);
                    self.problem(self.opened.node(id, uncertainty::along.slot), &error);
                    return None;
                }
            }
        }
        Some(all)
    }

    /// Where an amount comes from: by its own source, else by those of the limits that it names.
    fn source_of(&mut self, id: EntityId, amount: &Checked) -> Option<String> {
        let store = &self.opened.store;
        let entity = store.get(id)?;
        if entity.slot(uncertainty::source.slot).state != State::Absent {
            return Some(cite(store, id, uncertainty::source));
        }
        let named = amount.limits();
        let limits = store.of_type(&LIMIT);
        let mut sources: Vec<String> = Vec::new();
        for limit in limits.filter(|l| store.get(*l).is_some_and(|l| named.contains(&&*l.name))) {
            let source = cite(store, limit, limit::source);
            if !sources.contains(&source) {
                sources.push(source);
            }
        }
        if sources.is_empty() {
            let message = format!("nothing says where `{}` comes from", entity.name);
            let help = "write its `source`, or compare with a limit that has one";
            self.problems.push(Problem::at(entity.key, message).help(help));
            return None;
        }
        Some(sources.join("; "))
    }

    /// The field that a path like `motor.loaded_mass` names.
    fn target(&self, path: &str) -> Result<Target, LanguageError> {
        let Some((word, _)) = path.split_once('.') else {
            let error = LanguageError::new(format!("`{path}` is no field of a type of part"), 0..path.len());
            return Err(error.maybe_help(Some("write one as `motor.loaded_mass`".to_owned())));
        };
        let Some(entity_type) = self.catalogue.entity_type(word).filter(|t| self.catalogue.is_in_designs(t))
        else {
            let known = self.catalogue.entity_types().iter().filter(|t| self.catalogue.is_in_designs(t));
            let near = suggest(word, known.map(|t| t.name));
            let error = LanguageError::new(format!("`{word}` is not a type of part"), 0..word.len());
            return Err(error.maybe_help(near.map(|near| format!("did you mean `{near}`?"))));
        };
        let target = Target::read(path, &self.scope(entity_type))?;
        let whole = |message: String| LanguageError::new(message, 0..path.len());
        let field = target.entity_type.field(target.slot).map_or("", |field| field.name);
        if path.matches('.').count() > 1 {
            let help = format!("write `{}.{field}`", target.entity_type.name);
            return Err(whole(
                "a field is named by the type of part that has it, wherever it stands".to_owned(),
            )
            .maybe_help(Some(help)));
        }
        match target.shape {
            Shape::Measure(..) | Shape::Number(_) | Shape::Position => Ok(target),
            shape => Err(whole(format!("`{field}` is {}, and cannot be off by a little", Type::of(shape)))),
        }
    }

    /// What a value is where it is not written: only of one that nothing written means nothing for.
    fn not_written(&mut self, id: EntityId, target: &Target, dimension: Dimension) -> Option<Checked> {
        let due = Type::Quantity(dimension);
        let value = self.checked(id, uncertainty::where_not_written, target.entity_type, Some(due))?;
        let field = target.entity_type.field(target.slot)?;
        if field.need == Need::Optional {
            return Some(value);
        }
        let message =
            format!("every {} has `{}`: it is asked for, not assumed", target.entity_type.name, field.name);
        let error = LanguageError::new(message, value.range)
            .maybe_help(Some("leave `where_not_written` out".to_owned()));
        self.problem(self.opened.node(id, uncertainty::where_not_written.slot), &error);
        None
    }
}

/// What a field holds, in words.
fn of(target: &Target, dimension: Dimension) -> String {
    if matches!(target.shape, Shape::Position) { "a place".to_owned() } else { dimension.in_words() }
}

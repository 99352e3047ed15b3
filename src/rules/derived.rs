//! The quantities and functions that packs write in words, each after those that it rests on, whatever the order in the files.

use std::sync::Arc;

use super::active::{ActiveDerived, ActiveFunction, DerivedExpr};
use super::citation::cite;
use super::compile::Compiler;
use super::draft::Draft;
use super::pack::{DERIVED, FUNCTION, derived, function};
use super::pack_functions::{check_function, parameters};
use super::parsed::{ParsedPack, place};
use super::problems::Problems;
use crate::language::{Checked, LanguageError, PackFunction, UnknownName, check, parse, unfit_identifier};
use crate::model::{Body, Catalogue, DerivedBody, Entry, Formula, Type};
use crate::vocabulary::{EntityId, EntityType};
use crate::yaml::Problem;

/// A quantity or a function as its pack writes it.
#[derive(Clone)]
struct PendingDefinition {
    /// The number of its pack.
    pack: usize,
    id: EntityId,
    name: String,
    what: What,
}

#[derive(Clone)]
enum What {
    Quantity(&'static EntityType),
    Function(Vec<(String, Type)>),
}

/// What an expression names that is not there yet.
#[derive(Clone)]
enum Awaited {
    Quantity(&'static EntityType, String),
    /// Of the pack of a number.
    Function(usize, String),
}

enum Made {
    Quantity(&'static EntityType, Checked),
    Function(PackFunction),
}

impl PendingDefinition {
    fn is(&self, awaited: &Awaited) -> bool {
        match (&self.what, awaited) {
            (What::Quantity(mine), Awaited::Quantity(other, name)) => mine == other && self.name == *name,
            (What::Function(_), Awaited::Function(pack, name)) => self.pack == *pack && self.name == *name,
            _ => false,
        }
    }

    fn is_same(&self, other: &Self) -> bool {
        self.id == other.id && self.pack == other.pack
    }

    fn slot(&self) -> u16 {
        match self.what {
            What::Quantity(_) => derived::is.slot,
            What::Function(_) => function::is.slot,
        }
    }

    fn checked(&self, opened: &ParsedPack, catalogue: &Catalogue) -> Result<Made, LanguageError> {
        let compiler = Compiler { catalogue, opened, problems: Vec::new() };
        match &self.what {
            What::Quantity(entity_type) => {
                let words = opened.text(self.id, derived::is).unwrap_or_default();
                let checked = parse(&words).and_then(|tree| check(&tree, &compiler.scope(entity_type)))?;
                Ok(Made::Quantity(entity_type, checked))
            }
            What::Function(parameters) => {
                check_function(&compiler, self.id, &self.name, parameters.clone()).map(Made::Function)
            }
        }
    }

    /// What the expression waits for, where that is what is wrong with it.
    fn awaits(&self, error: &LanguageError) -> Option<Awaited> {
        Some(match error.unknown.as_deref()? {
            UnknownName::Member(entity_type, name) => Awaited::Quantity(entity_type, name.clone()),
            UnknownName::Function(name) => Awaited::Function(self.pack, name.clone()),
        })
    }

    /// Notes that it is left out, since something is wrong with it.
    fn leave_out(&self, drafts: &mut [Draft], catalogue: &mut Catalogue) {
        match self.what {
            What::Quantity(entity_type) => catalogue.leave_out(entity_type, &self.name),
            What::Function(_) => {
                if let Some(draft) = drafts.get_mut(self.pack) {
                    draft.parsed.names.left_out.push(self.name.clone());
                }
            }
        }
    }
}

/// What waits to be made: the quantities and functions of all packs.
fn all_written(
    drafts: &mut [Draft],
    catalogue: &Catalogue,
    problems: &mut Problems,
) -> Vec<PendingDefinition> {
    let mut all = Vec::new();
    for (pack, draft) in drafts.iter_mut().enumerate() {
        let mut left_out = Vec::new();
        let opened = &draft.parsed;
        let mut compiler = Compiler { catalogue, opened, problems: Vec::new() };
        for id in opened.store.of_type(&FUNCTION) {
            let name = opened.store.get(id).map(|entity| entity.name.to_string()).unwrap_or_default();
            match parameters(&mut compiler, id) {
                Some(of) => all.push(PendingDefinition { pack, id, name, what: What::Function(of) }),
                None => left_out.push(name),
            }
        }
        for id in opened.store.of_type(&DERIVED) {
            let name = opened.store.get(id).map(|entity| entity.name.to_string()).unwrap_or_default();
            let of = compiler.kind_of(id, derived::of);
            all.extend(of.map(|of| PendingDefinition { pack, id, name, what: What::Quantity(of) }));
        }
        problems.take(&opened.source, compiler.problems);
        draft.parsed.names.left_out.extend(left_out);
    }
    all
}

/// Adds the quantities that packs work out in words to the catalogue, and to each pack its functions.
pub(super) fn derive_all(
    drafts: &mut [Draft],
    catalogue: &mut Catalogue,
    problems: &mut Problems,
) -> Vec<ActiveDerived> {
    let mut waiting = all_written(drafts, catalogue, problems);
    let mut all = Vec::new();
    loop {
        // Of each that still waits, what it waits for.
        let mut blocked: Vec<(PendingDefinition, Awaited)> = Vec::new();
        let before = waiting.len();
        for (at, one) in waiting.iter().enumerate() {
            let Some(draft) = drafts.get_mut(one.pack) else { continue };
            match one.checked(&draft.parsed, catalogue) {
                Ok(Made::Quantity(entity_type, checked)) => {
                    all.extend(add(&draft.parsed, one, (entity_type, checked), catalogue, problems));
                }
                Ok(Made::Function(made)) => add_function(draft, one, made),
                Err(error) => {
                    let others = waiting.iter().skip(at).chain(blocked.iter().map(|(one, _)| one));
                    let awaited = one.awaits(&error);
                    match awaited.filter(|name| others.into_iter().any(|other| other.is(name))) {
                        Some(name) => blocked.push((one.clone(), name)),
                        None => {
                            let node = draft.parsed.node(one.id, one.slot());
                            problems.take(&draft.parsed.source, [place(&draft.parsed, node, &error)]);
                            one.leave_out(drafts, catalogue);
                        }
                    }
                }
            }
        }
        if blocked.is_empty() {
            return all;
        }
        if blocked.len() == before {
            // A circle is told once, at the first of it.
            let mut told: Vec<&PendingDefinition> = Vec::new();
            for (one, _) in &blocked {
                one.leave_out(drafts, catalogue);
                let Some((circle, members)) = circle(one, &blocked) else { continue };
                if members.iter().any(|member| told.iter().any(|other| other.is_same(member))) {
                    continue;
                }
                told.extend(members);
                let Some(opened) = drafts.get(one.pack).map(|draft| &draft.parsed) else { continue };
                let message = format!("`{}` is worked out from itself: {circle}", one.name);
                let at = opened.store.get(one.id).map(|entity| entity.key).unwrap_or_default();
                let help = "one of them must be worked out without the others";
                problems.take(&opened.source, [Problem::at(at, message).help(help)]);
            }
            return all;
        }
        waiting = blocked.into_iter().map(|(one, _)| one).collect();
    }
}

/// The way from a quantity or function over those that it waits for back to itself, and all that are on it; `None` where it only waits
/// for those of such a circle.
fn circle<'b>(
    start: &'b PendingDefinition,
    blocked: &'b [(PendingDefinition, Awaited)],
) -> Option<(String, Vec<&'b PendingDefinition>)> {
    let mut way = format!("`{}`", start.name);
    let (mut at, mut members) = (start, Vec::new());
    for _ in blocked {
        let (_, awaited) = blocked.iter().find(|(one, _)| one.is_same(at))?;
        (at, _) = blocked.iter().find(|(one, _)| one.is(awaited)).map(|(one, awaited)| (one, awaited))?;
        way.push_str(&format!(" from `{}`", at.name));
        members.push(at);
        if at.is_same(start) {
            return Some((way, members));
        }
    }
    None
}

/// Adds a function to its pack.
fn add_function(draft: &mut Draft, one: &PendingDefinition, made: PackFunction) {
    let opened = &mut draft.parsed;
    let made = Arc::new(made);
    draft.functions.push(ActiveFunction {
        function: Arc::clone(&made),
        text: opened.text(one.id, function::is).unwrap_or_default(),
        citation: cite(&opened.store, one.id, function::source),
        written: opened.place(one.id, function::is.slot),
        place: opened.store.get(one.id).map(|entity| entity.key).unwrap_or_default(),
    });
    opened.names.functions.push(made);
}

/// Adds a quantity; nothing where its name is taken.
fn add(
    pack: &ParsedPack,
    one: &PendingDefinition,
    (entity_type, checked): (&'static EntityType, Checked),
    catalogue: &mut Catalogue,
    problems: &mut Problems,
) -> Option<ActiveDerived> {
    let id = one.id;
    let entity = pack.store.get(id)?;
    let gives = checked.gives;
    let body = Arc::new(DerivedExpr(checked));
    let is = pack.text(id, derived::is).unwrap_or_default();
    let entry = Entry {
        name: entity.name.to_string(),
        doc: pack.text(id, derived::doc).unwrap_or_default(),
        gives,
        formula: Formula::Condition(is.clone().into()),
        far: false,
        source: cite(&pack.store, id, derived::source),
        body: Body::Words(Arc::clone(&body) as Arc<dyn DerivedBody>),
    };
    if let Some(message) = unfit_identifier(&entity.name) {
        problems.take(&pack.source, [Problem::at(entity.key, message)]);
        return None;
    }
    let number = catalogue.computed(entity_type).len();
    if !catalogue.add(entity_type, entry) {
        let message = format!("{} already has `{}`", entity_type.with_article(), entity.name);
        let help = "choose another name; `holdpoint rules --quantities` lists those that are taken";
        problems.take(&pack.source, [Problem::at(entity.key, message).help(help)]);
        return None;
    }
    Some(ActiveDerived {
        name: entity.name.to_string(),
        pack: pack.name.clone(),
        entity_type,
        number: u16::try_from(number).unwrap_or(u16::MAX),
        text: is,
        body,
        written: pack.place(id, derived::is.slot),
        source: Arc::clone(&pack.source),
        place: entity.key,
    })
}

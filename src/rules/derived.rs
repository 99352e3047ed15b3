//! The quantities that packs work out in words, each after those that it rests on, whatever the order in the files.

use std::sync::Arc;

use super::active::{ActiveDerived, DerivedExpr};
use super::citation::cite;
use super::compile::Compiler;
use super::pack::{DERIVED, derived};
use super::parsed::{ParsedPack, place};
use super::problems::Problems;
use crate::language::{Checked, LanguageError, check, parse, unfit_identifier};
use crate::model::{Body, Catalogue, DerivedBody, Entry, Formula};
use crate::text::Problem;
use crate::vocabulary::{EntityId, EntityType};

/// A derived quantity of a pack.
#[derive(Clone, Copy)]
struct Written<'p> {
    pack: &'p ParsedPack,
    id: EntityId,
    entity_type: &'static EntityType,
}

impl Written<'_> {
    fn name(&self) -> &str {
        self.pack.store.get(self.id).map_or("", |entity| &*entity.name)
    }

    fn is(&self, (entity_type, name): &(&'static EntityType, String)) -> bool {
        self.entity_type == *entity_type && self.name() == name
    }

    fn checked(&self, catalogue: &Catalogue) -> Result<Checked, LanguageError> {
        let words = self.pack.text(self.id, derived::is).unwrap_or_default();
        let scope = Compiler { catalogue, opened: self.pack, problems: Vec::new() }.scope(self.entity_type);
        parse(&words).and_then(|tree| check(&tree, &scope))
    }
}

/// Adds the quantities that packs work out in words to the catalogue.
pub(super) fn derive_all(
    packs: &[&ParsedPack],
    catalogue: &mut Catalogue,
    problems: &mut Problems,
) -> Vec<ActiveDerived> {
    let mut waiting = Vec::new();
    for pack in packs.iter().copied() {
        for id in pack.store.of_kind(&DERIVED) {
            let mut compiler = Compiler { catalogue, opened: pack, problems: Vec::new() };
            let entity_type = compiler.kind_of(id, derived::of);
            problems.take(&pack.source, compiler.problems);
            waiting.extend(entity_type.map(|entity_type| Written { pack, id, entity_type }));
        }
    }
    let mut all = Vec::new();
    loop {
        // Of each that still waits, what it waits for.
        let mut blocked: Vec<(Written<'_>, (&'static EntityType, String))> = Vec::new();
        let before = waiting.len();
        for (at, one) in waiting.iter().enumerate() {
            match one.checked(catalogue) {
                Ok(checked) => all.extend(add(one, checked, catalogue, problems)),
                Err(error) => {
                    let others = waiting.iter().skip(at).chain(blocked.iter().map(|(one, _)| one));
                    let awaited = error.unknown_member.as_deref().cloned();
                    match awaited.filter(|name| others.into_iter().any(|other| other.is(name))) {
                        Some(name) => blocked.push((*one, name)),
                        None => {
                            catalogue.leave_out(one.entity_type, one.name());
                            let node = one.pack.node(one.id, derived::is.slot);
                            problems.take(&one.pack.source, [place(one.pack, node, &error)]);
                        }
                    }
                }
            }
        }
        if blocked.is_empty() {
            return all;
        }
        if blocked.len() == before {
            for (one, _) in &blocked {
                catalogue.leave_out(one.entity_type, one.name());
                let Some(circle) = circle(*one, &blocked) else { continue };
                let message = format!("`{}` is worked out from itself: {circle}", one.name());
                let at = one.pack.store.get(one.id).map(|entity| entity.key).unwrap_or_default();
                problems.take(&one.pack.source, [Problem::at(at, message)]);
            }
            return all;
        }
        waiting = blocked.into_iter().map(|(one, _)| one).collect();
    }
}

/// The way from a quantity over those that it waits for back to itself; `None` where it only waits for those of such a circle.
fn circle(start: Written<'_>, blocked: &[(Written<'_>, (&'static EntityType, String))]) -> Option<String> {
    let mut way = format!("`{}`", start.name());
    let mut at = start;
    for _ in blocked {
        let (_, awaited) =
            blocked.iter().find(|(one, _)| one.id == at.id && std::ptr::eq(one.pack, at.pack))?;
        (at, _) = blocked.iter().find(|(one, _)| one.is(awaited)).cloned()?;
        way.push_str(&format!(" from `{}`", at.name()));
        if at.id == start.id && std::ptr::eq(at.pack, start.pack) {
            return Some(way);
        }
    }
    None
}

/// Adds one; nothing where its name is taken.
fn add(
    one: &Written<'_>,
    checked: Checked,
    catalogue: &mut Catalogue,
    problems: &mut Problems,
) -> Option<ActiveDerived> {
    let Written { pack, id, entity_type } = *one;
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
        problems.take(&pack.source, [Problem::at(entity.key, message)]);
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

//! Which packs a design is judged by, and why not by the others; what a code asks that no design file can settle.

use super::finding::{About, Finding};
use super::places::FindingPlace;
use crate::design::{Design, rocket};
use crate::language::{Checked, evaluate};
use crate::model::{Model, Unknown};
use crate::rules::{ActivePack, Applies, Ask, HoldPoint, Library, OwnRule};
use crate::vocabulary::{EntityId, Value};

/// A pack that is not about every rocket, on one design.
#[derive(Clone, Debug)]
pub struct PackApplicability {
    /// Its name.
    pub name: String,
    /// What its rules are about.
    pub about: String,
    /// Whether the design was judged by it.
    pub judged: bool,
    /// Why, in words.
    pub because: String,
    /// How many rules it has.
    pub rules: usize,
    /// What it asks of a person; nothing where it was not judged.
    pub asks: Vec<Ask>,
}

/// Whether each pack that is not about every rocket applies to a design. What a design or the club names applies; what
/// cannot be known applies too, since silence is not approval.
#[must_use]
pub fn applicable_packs(model: &Model<'_>, library: &Library, club: &[String]) -> Vec<PackApplicability> {
    let named = codes_of(model.design());
    let mut all = Vec::new();
    for pack in &library.packs {
        let by_design = named.contains(&pack.name);
        let Some((judged, because)) = applies(model, pack, by_design, club.contains(&pack.name)) else {
            continue;
        };
        all.push(PackApplicability {
            name: pack.name.clone(),
            about: pack.about.clone(),
            judged,
            because,
            rules: library.rules.iter().filter(|rule| rule.pack == pack.name).count(),
            asks: if judged { asked(model, &pack.asks) } else { Vec::new() },
        });
    }
    all
}

/// Whether a pack applies, and why; nothing for one that is about every rocket.
fn applies(model: &Model<'_>, pack: &ActivePack, by_design: bool, by_club: bool) -> Option<(bool, String)> {
    if matches!(pack.applies, Applies::Always) && pack.asks.is_empty() {
        return None;
    }
    if by_design {
        return Some((true, "the design names it under `codes`".to_owned()));
    }
    if by_club {
        return Some((true, "it was asked for by name".to_owned()));
    }
    match &pack.applies {
        Applies::Always => Some((true, "it is about every rocket".to_owned())),
        Applies::Named => Some((false, "not named under `codes`".to_owned())),
        Applies::When { condition, words } => Some(match holds(model, condition, model.root()) {
            Ok(true) => (true, "it is about this rocket".to_owned()),
            Ok(false) => {
                let because = format!("about others ({words}), and not named under `codes`");
                (false, because)
            }
            Err(gap) => {
                let design = model.design();
                let keys: Vec<String> =
                    gap.keys().iter().map(|key| design.store.field_path(key.entity, key.slot)).collect();
                let wanted = if keys.is_empty() { words.clone() } else { keys.join(", ") };
                (
                    true,
                    format!(
                        "without {wanted} it is not known whether it is about this rocket, and silence is not approval"
                    ),
                )
            }
        }),
    }
}

/// Whether a condition on a part is true.
pub(super) fn holds(model: &Model<'_>, condition: &Checked, subject: EntityId) -> Result<bool, Unknown> {
    evaluate(condition, model, None, subject).value.map(|value| value == Value::Truth(true))
}

/// The clauses that are asked of this rocket: those whose condition is true, or cannot be known.
fn asked(model: &Model<'_>, asks: &[Ask]) -> Vec<Ask> {
    let due = |ask: &&Ask| ask.when.as_ref().is_none_or(|when| holds(model, when, model.root()) != Ok(false));
    asks.iter().filter(due).cloned().collect()
}

/// The packs that a design names under `codes`.
fn codes_of(design: &Design) -> Vec<String> {
    let names = design.store.value(design.store.root(), rocket::codes).unwrap_or_default();
    names.iter().map(|name| name.to_string()).collect()
}

/// Findings about the names under `codes`: a code that is not in force judges nothing, and must not seem to.
pub(super) fn complaints(design: &Design, library: &Library) -> Vec<Finding> {
    let root = design.store.root();
    let Some(entity) = design.store.get(root) else { return Vec::new() };
    let key = design.store.field_path(root, rocket::codes.slot);
    let mut all = Vec::new();
    for name in codes_of(design) {
        let Some(message) = library.unknown_code(&name) else { continue };
        let place = entity.slot(rocket::codes.slot).place.map(|span| FindingPlace {
            key: key.clone(),
            span,
            label: format!("codes: {}", design.source.slice(span)),
        });
        let about =
            About { before: HoldPoint::Parts, subject: key.clone(), subject_id: root, key: name, place };
        all.push(Finding::of_own_rule(OwnRule::CodeInForce, message, about));
    }
    all
}

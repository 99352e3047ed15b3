//! Texts and sources of the entities of a pack.

use std::sync::Arc;

use crate::tables::{Citation, source as cited};
use crate::vocabulary::{Id, IdOf, Key, Store, Typed};

/// A field that is free text.
pub(super) fn text<E: Typed>(store: &Store, id: impl IdOf<E>, key: Key<E, Arc<str>>) -> Option<String> {
    store.value(id, key).map(|text| text.to_string())
}

/// The source of an entity of a pack, as a reader wants it.
pub(super) fn cite<E: Typed>(store: &Store, id: impl IdOf<E>, key: Key<E, Id<Citation>>) -> String {
    store.value(id, key).map(|source| citation(store, source)).unwrap_or_default()
}

/// A source in one line: the work with its number and place, or the practice; what is from memory says so.
#[must_use]
pub fn citation(store: &Store, id: impl IdOf<Citation>) -> String {
    let get = |key| text(store, id, key);
    let mut parts = Vec::new();
    let work: Vec<String> =
        [get(cited::title), get(cited::number), get(cited::year)].into_iter().flatten().collect();
    if !work.is_empty() {
        parts.push(work.join(", "));
    }
    let place =
        [get(cited::clause).map(|c| format!("clause {c}")), get(cited::page).map(|p| format!("page {p}"))];
    let practice = get(cited::common_practice).map(|p| format!("common practice: {p}"));
    let club = get(cited::club).map(|c| format!("club: {c}"));
    match (work.is_empty(), club, practice) {
        // A clause without a work is one of the club's own paper.
        (true, Some(club), practice) => {
            parts.extend(practice);
            parts.push([Some(club)].into_iter().chain(place).flatten().collect::<Vec<_>>().join(", "));
        }
        (_, club, practice) => parts.extend(place.into_iter().chain([practice, club]).flatten()),
    }
    if store.value(id, cited::from_memory) == Some(true) {
        parts.push("from memory".to_owned());
    }
    parts.extend(get(cited::note));
    parts.join("; ")
}

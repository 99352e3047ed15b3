//! What a pack that travels says of itself: its version, the program it needs, where it is from, who answers for it.

use std::sync::Arc;

use super::citation::text;
use super::pack::{PackEntity, pack};
use crate::vocabulary::{EntityId, Key, Store};
use crate::yaml::Problem;

/// The version of this program.
const PROGRAM: &str = env!("CARGO_PKG_VERSION");

/// What a pack says of itself besides its name and what it is about.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PackMetadata {
    /// Its version, in its author's words.
    pub version: Option<String>,
    /// The least version of the program that reads it, as written.
    pub needs: Option<String>,
    /// Where it is to be had.
    pub link: Option<String>,
    /// The licence that it may be passed on under.
    pub licence: Option<String>,
    /// Who answers questions about it.
    pub contact: Option<String>,
}

impl PackMetadata {
    pub(super) fn of(store: &Store, root: EntityId) -> Self {
        let get = |key: Key<PackEntity, Arc<str>>| text(store, root, key);
        Self {
            version: get(pack::version),
            needs: get(pack::needs),
            link: get(pack::link),
            licence: get(pack::licence),
            contact: get(pack::contact),
        }
    }

    /// The keys with what is said under them; nothing of those that are not written.
    pub fn lines(&self) -> impl Iterator<Item = (&'static str, &str)> {
        let all = [
            ("version", &self.version),
            ("needs", &self.needs),
            ("link", &self.link),
            ("licence", &self.licence),
            ("contact", &self.contact),
        ];
        all.into_iter().filter_map(|(key, words)| Some((key, words.as_deref()?)))
    }
}

/// What is wrong with what a pack needs, where this program does not do or where no version can be read.
pub(super) fn unmet(store: &Store, root: EntityId) -> Option<Problem> {
    let needs = text(store, root, pack::needs)?;
    let span = store.get(root).and_then(|entity| entity.slot(pack::needs.slot).place);
    let at = |message: String| Problem::at(span.unwrap_or_default(), message);
    let Some(least) = least_version(&needs) else {
        let problem = at(format!("`{needs}` names no least version of the program"));
        return Some(problem.help("write it as in `needs: holdpoint >= 0.1`"));
    };
    let mine = numbers(PROGRAM).unwrap_or_default();
    (mine < least).then(|| {
        at(format!("this pack needs holdpoint {}, and this is holdpoint {PROGRAM}", version_in_words(&needs)))
            .help("none of its rules are judged: bring the program up to date, or take an earlier version of the pack")
    })
}

/// The version after `holdpoint >=`.
fn version_in_words(needs: &str) -> &str {
    let rest = needs.trim().strip_prefix("holdpoint").map(str::trim_start);
    rest.and_then(|rest| rest.strip_prefix(">=")).map_or("", str::trim)
}

fn least_version(needs: &str) -> Option<[u64; 3]> {
    numbers(version_in_words(needs))
}

/// The numbers of a version: one to three of them between dots; those that are not written are zero.
fn numbers(version: &str) -> Option<[u64; 3]> {
    let mut all = [0; 3];
    let mut written = version.split('.');
    for number in &mut all {
        match written.next() {
            Some(digits) if digits.bytes().all(|b| b.is_ascii_digit()) => *number = digits.parse().ok()?,
            Some(_) => return None,
            None => return Some(all),
        }
    }
    written.next().is_none().then_some(all)
}

#[cfg(test)]
mod tests {
    use super::least_version;

    #[test]
    fn a_least_version_is_one_to_three_numbers() {
        for (needs, numbers) in [
            ("holdpoint >= 0.1", Some([0, 1, 0])),
            ("holdpoint>=2", Some([2, 0, 0])),
            (" holdpoint  >=  1.10.3 ", Some([1, 10, 3])),
            ("holdpoint >= 1.2.3.4", None),
            ("holdpoint >= one", None),
            ("holdpoint >= 1..2", None),
            ("holdpoint >=", None),
            ("holdpoint > 1", None),
            ("0.1", None),
            ("", None),
        ] {
            assert_eq!(least_version(needs), numbers, "{needs}");
        }
    }
}

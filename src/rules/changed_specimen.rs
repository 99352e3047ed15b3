//! The design of a trial: a specimen with values written and removed, and what is wrong with such a change, at its place in the trial.

use super::library::Library;
use super::trial::{Trial, specimens};
use crate::design::Design;
use crate::vocabulary::suggest;
use crate::yaml::{NodeId, Problem, Source, Span, Tree, apply, insert_key, remove_entry, replace_value};

/// Why a trial cannot be run.
#[derive(Clone, Debug, PartialEq)]
pub struct TrialFault {
    /// What is wrong, as the end of a sentence.
    pub message: String,
    /// What to do.
    pub help: Option<String>,
    /// Its bytes in the rule file; the whole trial where not known.
    pub at: Option<Span>,
}

impl TrialFault {
    pub(super) fn new(message: impl Into<String>, at: Option<Span>) -> Self {
        Self { message: message.into(), help: None, at }
    }
}

impl From<&str> for TrialFault {
    fn from(message: &str) -> Self {
        Self::new(message, None)
    }
}

/// So many names are listed where none is near to the one that is wrong.
pub(super) const MOST_NAMES: usize = 8;

/// The key of a map that a misspelled one may have meant, or the keys that there are, as words on what to do.
fn nearest(tree: &Tree, map: NodeId, key: &str) -> Option<String> {
    let keys: Vec<&str> =
        tree.entries(map).iter().filter_map(|e| tree.scalar(e.key)).map(|s| s.value.as_ref()).collect();
    listed(key, &keys)
}

/// The name that a misspelled one may have meant, or those that there are.
pub(super) fn listed(wrong: &str, names: &[&str]) -> Option<String> {
    if let Some(near) = suggest(wrong, names.iter().copied()) {
        return Some(format!("did you mean `{near}`?"));
    }
    let there: Vec<String> = names.iter().take(MOST_NAMES).map(|name| format!("`{name}`")).collect();
    let more = if names.len() > MOST_NAMES { ", …" } else { "" };
    (!there.is_empty()).then(|| format!("it has {}{more}", there.join(", ")))
}

/// The groups of a design that a path may leave out: `av_bay.vents` for `sections.av_bay.vents`.
const GROUPS: [&str; 4] = ["sections", "joints", "recovery", "wiring"];

/// The map that a path of keys starts from: the whole file, a group that is left out, or where the only part of that name stands.
fn start(tree: &Tree, path: &str) -> NodeId {
    let root = tree.root();
    let first = path.split('.').next().unwrap_or(path);
    if tree.get(root, first).is_some() {
        return root;
    }
    let mut groups = GROUPS.iter().filter_map(|group| tree.get(root, group));
    let group = groups.find(|group| tree.get(group.value, first).is_some()).map(|group| group.value);
    // A key that stands alone is a field of the rocket.
    group.unwrap_or_else(|| match holders(tree, root, first).as_slice() {
        [one] if path != first => *one,
        _ => root,
    })
}

/// The maps below a node that have a map under a key.
fn holders(tree: &Tree, node: NodeId, key: &str) -> Vec<NodeId> {
    let mut found = Vec::new();
    for entry in tree.entries(node).iter().filter(|entry| tree.is_map(entry.value)) {
        if tree.scalar(entry.key).is_some_and(|name| name.value == key) {
            found.push(node);
        }
        found.extend(holders(tree, entry.value, key));
    }
    found
}

/// The paths of the maps that stand under a key.
fn holder_paths(tree: &Tree, node: NodeId, key: &str) -> Vec<String> {
    let mut found = Vec::new();
    for entry in tree.entries(node).iter().filter(|entry| tree.is_map(entry.value)) {
        let Some(name) = tree.scalar(entry.key).map(|name| name.value.as_ref()) else { continue };
        if name == key {
            found.push(key.to_owned());
        }
        let below = holder_paths(tree, entry.value, key);
        found.extend(below.into_iter().map(|path| format!("{name}.{path}")));
    }
    found
}

/// The text with one value written or removed.
fn edited(text: &str, path: &str, at: Span, value: Option<&str>) -> Result<String, TrialFault> {
    let source = Source::new("specimen", text);
    let tree = Tree::parse(&source).tree.ok_or("the specimen is not YAML")?;
    let keys: Vec<&str> = path.split('.').collect();
    let (last, way) = keys.split_last().ok_or("an empty path")?;
    let missing = |map, key: &str, what: &str| {
        let named = if map == tree.root() { holder_paths(&tree, map, key) } else { Vec::new() };
        if named.len() > 1 {
            let message = format!("`{path}`: the specimen has {} parts named `{key}`", named.len());
            let named: Vec<String> = named.iter().take(MOST_NAMES).map(|one| format!("`{one}`")).collect();
            let help = format!("write more of the path: {}", named.join(", "));
            return TrialFault { help: Some(help), ..TrialFault::new(message, Some(at)) };
        }
        TrialFault {
            help: nearest(&tree, map, key),
            ..TrialFault::new(format!("`{path}`: the specimen has no `{key}`{what}"), Some(at))
        }
    };
    let mut map = start(&tree, path);
    for key in way {
        map = tree.get(map, key).map(|entry| entry.value).ok_or_else(|| missing(map, key, ""))?;
    }
    let edit = match (tree.get(map, last), value) {
        (Some(entry), Some(value)) => replace_value(&source, &tree, entry.value, value, false),
        (None, Some(value)) => insert_key(&source, &tree, map, last, value, false),
        (Some(_), None) => remove_entry(&source, &tree, map, last, false),
        (None, None) => return Err(missing(map, last, " to remove")),
    };
    edit.and_then(|edit| apply(text, &[edit]))
        .map_err(|error| TrialFault::new(format!("`{path}`: {error}"), Some(at)))
}

/// The text of a specimen with a trial's changes made.
fn changed(trial: &Trial) -> Result<String, TrialFault> {
    let (_, text) = specimens().iter().find(|(name, _)| *name == trial.specimen).ok_or("no such specimen")?;
    let mut text = (*text).to_owned();
    let removed = trial.without.iter().map(|(path, at)| (path, *at, None));
    let written = trial.with.iter().map(|one| (&one.path, one.path_at, Some(one.value.as_str())));
    for (path, at, value) in removed.chain(written) {
        text = edited(&text, path, at, value).map_err(|fault| TrialFault {
            help: fault.help.map(|help| {
                let list = help.starts_with("it has");
                let specimen = &trial.specimen;
                if list {
                    format!("{help}; `holdpoint trial --specimen {specimen}` prints the specimen")
                } else {
                    help
                }
            }),
            ..fault
        })?;
    }
    Ok(text)
}

/// Whether a value is a map or a list in quotes.
fn is_quoted_map(value: &str) -> bool {
    value.starts_with(['"', '\'']) && value.get(1..).is_some_and(|inside| inside.starts_with(['{', '[']))
}

impl Trial {
    /// The changed specimen.
    ///
    /// # Errors
    /// When a path of the trial leads nowhere, or the changed specimen cannot be read.
    pub fn design(&self, library: &Library) -> Result<Design, TrialFault> {
        let source = Source::new(format!("specimen {}", self.specimen), changed(self)?);
        let design = Design::read(source, &library.tables);
        match design.problems.first() {
            Some(problem) => Err(self.unreadable(&design, problem)),
            None => Ok(design),
        }
    }

    /// What is wrong with the changed specimen, at the bytes of the value that the trial writes where it stands in one.
    fn unreadable(&self, design: &Design, problem: &Problem) -> TrialFault {
        let written = problem.span.zip(design.tree.as_ref()).and_then(|(span, tree)| {
            let mut all = self.with.iter().filter_map(|written| {
                let mut keys = written.path.split('.');
                let node = keys.try_fold(start(tree, &written.path), |map, key| {
                    tree.get(map, key).map(|entry| entry.value)
                })?;
                let whole = tree.span(node);
                let inside = whole.start <= span.start && span.end <= whole.end;
                let from = (written.value_at.start + span.start).checked_sub(whole.start)?;
                let as_written = design.source.slice(whole) == written.value;
                let at = if as_written {
                    Span { start: from, end: from + (span.end - span.start) }
                } else {
                    written.value_at
                };
                inside.then_some((written, at))
            });
            all.next()
        });
        match written {
            Some((written, at)) => TrialFault {
                message: format!("`{}`: {}", written.path, problem.message),
                help: if is_quoted_map(&written.value) {
                    Some("a map or a list stands there without quotes".to_owned())
                } else {
                    problem.help.clone()
                },
                at: Some(at),
            },
            None => TrialFault {
                message: format!("the changed specimen cannot be read: {}", problem.message),
                help: problem.help.clone(),
                at: None,
            },
        }
    }
}

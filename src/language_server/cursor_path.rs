//! The way from the root of a tree to the mark of the cursor, by what the format declares.

use crate::vocabulary::{EntityType, Field, Shape};
use crate::yaml::{NodeId, NodeKind, Origin, Tree};

/// What stands where the cursor is while the text is read.
pub(super) const MARK: &str = "mark0of0the0cursor";

/// What may be written somewhere.
#[derive(Clone, Debug)]
pub enum Expected {
    /// A key of an entity.
    Key {
        /// What it is a key of.
        entity_type: &'static EntityType,
        /// The keys that stand there already.
        written: Vec<String>,
        /// Whether only measures may stand there, under `measured`.
        measured: bool,
    },
    /// A name of the author's own choice, for one of several entities.
    Name(&'static EntityType),
    /// The value of a field, or an item of it.
    Value(&'static EntityType, &'static Field),
}

/// The way from the root to the mark.
pub(super) struct Walk<'t> {
    tree: &'t Tree,
    path: Vec<String>,
    about: Option<String>,
}

/// What the mark is.
pub(super) struct Found {
    /// What may stand in its place.
    pub(super) what: Expected,
    /// The keys on the way to it.
    pub(super) path: Vec<String>,
    /// What the nearest map around it says it is `for` or `of`.
    pub(super) about: Option<String>,
}

impl<'t> Walk<'t> {
    /// What the mark is in a tree whose root is of a type, and the keys on the way to it.
    pub(super) fn to_mark(tree: &'t Tree, root: &'static EntityType) -> Option<Found> {
        let mut walk = Self { tree, path: Vec::new(), about: None };
        let what = walk.entity(tree.root(), root)?;
        Some(Found { what, path: walk.path, about: walk.about })
    }

    fn is_mark(&self, node: NodeId) -> bool {
        matches!(&self.tree.node(node).kind, NodeKind::Scalar(s) if s.value.trim() == MARK)
    }

    /// Whether the mark is somewhere in a value.
    fn holds_mark(&self, node: NodeId) -> bool {
        match &self.tree.node(node).kind {
            NodeKind::Scalar(_) => self.is_mark(node),
            NodeKind::List { items, .. } => items.iter().any(|item| self.holds_mark(*item)),
            NodeKind::Map { entries, .. } => entries
                .iter()
                .filter(|entry| entry.origin == Origin::Own)
                .any(|entry| self.is_mark(entry.key) || self.holds_mark(entry.value)),
            NodeKind::Alias(_) => false,
        }
    }

    /// The key and the value of the entry of a map that holds the mark.
    fn entry(&self, map: NodeId) -> Option<(NodeId, NodeId)> {
        let NodeKind::Map { entries, .. } = &self.tree.node(map).kind else { return None };
        let own = entries.iter().filter(|entry| entry.origin == Origin::Own);
        own.map(|entry| (entry.key, entry.value))
            .find(|(key, value)| self.is_mark(*key) || self.holds_mark(*value))
    }

    fn step(&mut self, key: NodeId) -> String {
        let word = self.tree.scalar(key).map(|s| s.value.to_string()).unwrap_or_default();
        self.path.push(word.clone());
        word
    }

    fn written(&self, map: NodeId) -> Vec<String> {
        let keys = self.tree.entries(map).iter().map(|entry| entry.key);
        keys.filter(|key| !self.is_mark(*key))
            .filter_map(|key| self.tree.scalar(key).map(|s| s.value.to_string()))
            .collect()
    }

    fn entity(&mut self, map: NodeId, entity_type: &'static EntityType) -> Option<Expected> {
        let (key, value) = self.entry(map)?;
        let subject = ["for", "of"].into_iter().find_map(|key| self.tree.get(map, key));
        if let Some(scalar) = subject.and_then(|entry| self.tree.scalar(entry.value)) {
            self.about = Some(scalar.value.to_string());
        }
        if self.is_mark(key) {
            return Some(Expected::Key { entity_type, written: self.written(map), measured: false });
        }
        let word = self.step(key);
        let slot = entity_type.slot(&word).or_else(|| entity_type.renamed(&word).map(|(slot, _)| slot))?;
        self.field(value, entity_type, entity_type.field(slot)?)
    }

    fn field(&mut self, value: NodeId, of: &'static EntityType, field: &'static Field) -> Option<Expected> {
        if self.is_mark(value) {
            return Some(Expected::Value(of, field));
        }
        match field.shape {
            Shape::One(inner) => self.entity(value, inner),
            Shape::Measured(_) => {
                let written = self.written(value);
                let (key, value) = self.entry(value)?;
                if self.is_mark(key) {
                    return Some(Expected::Key { entity_type: of, written, measured: true });
                }
                let word = self.step(key);
                let field = of.field(of.slot(&word)?)?;
                self.is_mark(value).then_some(Expected::Value(of, field))
            }
            Shape::Many(inner) => {
                let (key, value) = self.entry(value)?;
                if self.is_mark(key) {
                    return Some(Expected::Name(inner));
                }
                self.step(key);
                if self.is_mark(value) { None } else { self.entity(value, inner) }
            }
            Shape::List(inner) => {
                let items = self.tree.items(value);
                let at = items.iter().position(|item| self.holds_mark(*item))?;
                self.path.push((at + 1).to_string());
                let item = *items.get(at)?;
                self.entity(item, inner)
            }
            Shape::Raw => None,
            _ => self.holds_mark(value).then_some(Expected::Value(of, field)),
        }
    }
}

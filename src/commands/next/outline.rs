//! The structure of a usual rocket, for each way of coming apart, step by step.

use crate::commands::deployment::Deployment;
use crate::design::{Design, ROCKET};
use crate::rules::HoldPoint;
use crate::vocabulary::{EntityType, Shape};
use crate::yaml::{NodeId, Source, Tree};

const OUTLINES: &str = include_str!("outlines.yaml");

/// What stands under a key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::commands) enum Content {
    /// Keys of its own.
    Part(Vec<Item>),
    /// A value that the builder is asked for.
    Ask,
    /// A value, as YAML on one line.
    Value(String),
}

/// A key with what stands under it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::commands) struct Item {
    pub(super) key: String,
    /// The step at which it is written.
    pub(super) due: HoldPoint,
    pub(super) content: Content,
}

/// What a builder has answered, for the words in capitals.
#[derive(Clone, Debug, Default)]
pub(in crate::commands) struct Answers {
    pub(in crate::commands) diameter: Option<String>,
    pub(in crate::commands) motor: Option<String>,
    /// Materials: of tubes, of sheets, of the nose cone.
    pub(in crate::commands) materials: [Option<&'static str>; 3],
}

impl Answers {
    /// The value of a word in capitals; none where it was not answered, and nothing for another text.
    fn of(&self, word: &str) -> Option<Option<String>> {
        let material = |place: usize| self.materials.get(place).copied().flatten().map(str::to_owned);
        match word {
            "DIAMETER" => Some(self.diameter.clone()),
            "MOTOR" => Some(self.motor.clone()),
            "TUBES" => Some(material(0)),
            "SHEETS" => Some(material(1)),
            "CONES" => Some(material(2)),
            _ => None,
        }
    }
}

/// The outline of a way of coming apart.
pub(in crate::commands) fn outline(deployment: Deployment, answers: &Answers) -> Vec<Item> {
    let source = Source::new("outlines", OUTLINES);
    let Some(tree) = Tree::parse(&source).tree else { return Vec::new() };
    let found = tree.get(tree.root(), deployment.name());
    found.map(|entry| items(&source, &tree, entry.value, HoldPoint::Parts, answers)).unwrap_or_default()
}

fn items(source: &Source, tree: &Tree, map: NodeId, due: HoldPoint, answers: &Answers) -> Vec<Item> {
    let mut all = Vec::new();
    for entry in tree.entries(map) {
        let word = tree.scalar(entry.key).map(|s| s.value.to_string()).unwrap_or_default();
        let (key, step) = word.split_once('@').unwrap_or((&word, ""));
        // Nothing is written before the part that it stands in.
        let due = HoldPoint::of(step).unwrap_or(due).max(due);
        let content = if tree.is_map(entry.value) {
            Content::Part(items(source, tree, entry.value, due, answers))
        } else {
            let text = tree.scalar(entry.value).map_or_else(
                || source.slice(tree.span(tree.resolve(entry.value).0)).to_owned(),
                |scalar| scalar.value.to_string(),
            );
            match answers.of(&text) {
                Some(Some(answer)) => Content::Value(answer),
                // What was not answered is asked for when a rule waits for it.
                Some(None) => continue,
                None if text == "?" => Content::Ask,
                None => Content::Value(text),
            }
        };
        all.push(Item { key: key.to_owned(), due, content });
    }
    all
}

/// An outline with more items in it, each at its path; plain values before parts, otherwise in the order of the vocabulary.
pub(in crate::commands) fn in_order(outline: &[Item], added: &[(Vec<String>, Item)]) -> Vec<Item> {
    let mut all = outline.to_vec();
    for (path, item) in added {
        put(&mut all, path, item);
    }
    sort(&ROCKET, &mut all);
    all
}

fn put(items: &mut Vec<Item>, path: &[String], item: &Item) {
    match path.split_first() {
        None => {
            items.retain(|known| known.key != item.key);
            items.push(item.clone());
        }
        Some((step, rest)) => {
            if let Some(Content::Part(children)) =
                items.iter_mut().find(|known| known.key == *step).map(|known| &mut known.content)
            {
                put(children, rest, item);
            }
        }
    }
}

fn sort(entity_type: &'static EntityType, items: &mut [Item]) {
    items.sort_by_key(|item| (matches!(item.content, Content::Part(_)), entity_type.slot(&item.key)));
    for item in items {
        let field = entity_type.slot(&item.key).and_then(|slot| entity_type.field(slot));
        let Content::Part(children) = &mut item.content else { continue };
        match field.map(|field| &field.shape) {
            Some(Shape::One(inner)) => sort(inner, children),
            Some(Shape::Many(inner)) => {
                for child in children {
                    if let Content::Part(fields) = &mut child.content {
                        sort(inner, fields);
                    }
                }
            }
            _ => {}
        }
    }
}

/// The outline that a design follows: that with the same sections and joints; of several, that which agrees in most values. Empty
/// for a rocket of its own kind.
pub(super) fn outline_of(design: &Design) -> Vec<Item> {
    let Some(tree) = &design.tree else { return Vec::new() };
    let mut best: Option<(i32, Vec<Item>)> = None;
    for deployment in Deployment::ALL {
        let outline = outline(deployment, &Answers::default());
        let fits = outline.iter().filter(|item| matches!(&*item.key, "sections" | "joints")).all(|item| {
            let names = tree.get(tree.root(), &item.key).map(|entry| entry.value);
            names.is_some_and(|names| has_all(design, tree, names, item))
        });
        if !fits {
            continue;
        }
        let agrees = agreement(design, tree, tree.root(), &outline);
        if best.as_ref().is_none_or(|(most, _)| agrees > *most) {
            best = Some((agrees, outline));
        }
    }
    best.map(|(_, outline)| outline).unwrap_or_default()
}

/// Whether a map has the names of an outline and no others; of joints, whether they part when the outline's do.
fn has_all(design: &Design, tree: &Tree, names: NodeId, item: &Item) -> bool {
    let Content::Part(children) = &item.content else { return false };
    children.len() == tree.entries(names).len()
        && children.iter().all(|child| {
            let Some(entry) = tree.get(names, &child.key) else { return false };
            let Content::Part(values) = &child.content else { return false };
            values.iter().filter(|value| value.key == "parts_at").all(|value| {
                let written =
                    tree.get(entry.value, &value.key).map(|e| design.source.slice(tree.span(e.value)));
                Content::Value(written.unwrap_or_default().to_owned()) == value.content
            })
        })
}

/// How many values a design has in common with an outline, less those in which they differ and what it lacks of the first step.
fn agreement(design: &Design, tree: &Tree, map: NodeId, items: &[Item]) -> i32 {
    let one = |item: &Item| {
        let Some(entry) = tree.get(map, &item.key) else {
            return if item.due == HoldPoint::Parts { -1 } else { 0 };
        };
        match &item.content {
            Content::Part(children) => 1 + agreement(design, tree, entry.value, children),
            Content::Value(value) if design.source.slice(tree.span(entry.value)) == value => 1,
            Content::Value(_) => -1,
            Content::Ask => 0,
        }
    };
    items.iter().map(one).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every key of an outline is one of the vocabulary.
    fn known(entity_type: &'static EntityType, items: &[Item], path: &str) {
        for item in items {
            let field = entity_type.slot(&item.key).and_then(|slot| entity_type.field(slot));
            let field = field.map(|field| &field.shape);
            let here = format!("{path}.{}", item.key);
            assert!(field.is_some(), "{here}");
            let Content::Part(children) = &item.content else { continue };
            match field {
                Some(Shape::One(inner)) => known(inner, children, &here),
                Some(Shape::Many(inner)) => {
                    for child in children {
                        let Content::Part(fields) = &child.content else { continue };
                        known(inner, fields, &format!("{here}.{}", child.key));
                    }
                }
                _ => assert!(children.is_empty(), "{here}"),
            }
        }
    }

    #[test]
    fn outlines_are_written_in_the_words_of_a_design() {
        for deployment in Deployment::ALL {
            let outline = outline(deployment, &Answers::default());
            assert!(outline.len() > 5, "{deployment}");
            known(&ROCKET, &outline, deployment.name());
        }
    }
}

//! Two reviews compared: what was changed in the design, and what that did to findings, margins and hold points.

use std::collections::BTreeMap;

use super::{DesignReview, Finding};
use crate::design::Design;
use crate::rules::{HoldPoint, Margin};
use crate::yaml::{NodeId, Tree};

/// A value as it stands in one of the designs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ValueAt {
    /// What is written.
    pub text: String,
    /// The line, counted from 1.
    pub line: u32,
}

/// A key whose value is not the same in both designs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ValueChange {
    /// The path of the key.
    pub key: String,
    /// The value before; `None` where the key is new.
    pub old: Option<ValueAt>,
    /// The value now; `None` where the key is gone.
    pub new: Option<ValueAt>,
}

/// A finding that both reviews have.
#[derive(Clone, Copy, Debug)]
pub struct Still<'r> {
    /// Before.
    pub old: &'r Finding,
    /// Now.
    pub new: &'r Finding,
}

/// A margin that is not the same in both reviews.
#[derive(Clone, Debug)]
pub struct MarginChange {
    /// The rule.
    pub rule: String,
    /// The subject's path.
    pub subject: String,
    /// Before.
    pub old: Margin,
    /// Now.
    pub new: Margin,
}

impl MarginChange {
    /// How much it grew; negative where it shrank.
    #[must_use]
    pub fn growth(&self) -> f64 {
        self.new.size() - self.old.size()
    }
}

/// What became of a hold point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HoldChange {
    /// The step.
    pub point: HoldPoint,
    /// Clear before.
    pub was_clear: bool,
    /// Clear now.
    pub is_clear: bool,
}

/// Two reviews compared.
#[derive(Debug)]
pub struct DesignComparison<'r> {
    /// The review before.
    pub old: &'r DesignReview,
    /// The review now.
    pub new: &'r DesignReview,
    /// Keys whose values differ, in the order of the new file, then those that are gone.
    pub values: Vec<ValueChange>,
    /// Findings that were not there before.
    pub appeared: Vec<&'r Finding>,
    /// Findings that are not there any more.
    pub gone: Vec<&'r Finding>,
    /// Findings that both have.
    pub still: Vec<Still<'r>>,
    /// Margins that differ, the narrowest of the new ones first.
    pub margins: Vec<MarginChange>,
    /// The hold points.
    pub hold_points: Vec<HoldChange>,
}

/// Compares two reviews, by fingerprints and by rule and subject.
#[must_use]
pub fn compare<'r>(old: &'r DesignReview, new: &'r DesignReview) -> DesignComparison<'r> {
    let before: BTreeMap<&str, &Finding> = old.findings.iter().map(|f| (f.fingerprint.as_str(), f)).collect();
    let now: BTreeMap<&str, &Finding> = new.findings.iter().map(|f| (f.fingerprint.as_str(), f)).collect();
    let (mut appeared, mut still) = (Vec::new(), Vec::new());
    for finding in &new.findings {
        match before.get(finding.fingerprint.as_str()) {
            Some(old) => still.push(Still { old, new: finding }),
            None => appeared.push(finding),
        }
    }
    let gone = old.findings.iter().filter(|f| !now.contains_key(f.fingerprint.as_str())).collect();
    let hold_points = new
        .hold_points
        .iter()
        .filter_map(|state| {
            let was = old.hold_points.iter().find(|h| h.point == state.point)?;
            Some(HoldChange { point: state.point, was_clear: was.clear, is_clear: state.clear })
        })
        .collect();
    DesignComparison {
        old,
        new,
        values: values(&old.design, &new.design),
        appeared,
        gone,
        still,
        margins: margins(old, new),
        hold_points,
    }
}

fn margins(old: &DesignReview, new: &DesignReview) -> Vec<MarginChange> {
    let of = |review: &DesignReview| -> BTreeMap<(String, String), Margin> {
        let held = review.margins.iter().map(|m| ((m.rule.clone(), m.subject.clone()), m.margin));
        let found =
            review.findings.iter().filter_map(|f| Some(((f.rule.clone(), f.subject.clone()), f.margin?)));
        held.chain(found).collect()
    };
    let before = of(old);
    let mut changes: Vec<MarginChange> = of(new)
        .into_iter()
        .filter_map(|(key, new)| {
            let old = *before.get(&key)?;
            let same_kind = match (old, new) {
                (Margin::Ratio(_), Margin::Ratio(_)) => true,
                (Margin::Gap(old), Margin::Gap(new)) => old.dimension == new.dimension,
                _ => false,
            };
            // What the last digits of a sum do is no change of the rocket.
            let size = old.size().abs().max(new.size().abs()).max(1e-9);
            let (rule, subject) = key;
            (same_kind && (new.size() - old.size()).abs() > 1e-7 * size).then_some(MarginChange {
                rule,
                subject,
                old,
                new,
            })
        })
        .collect();
    changes.sort_by(|a, b| {
        a.new.size().total_cmp(&b.new.size()).then_with(|| (&a.rule, &a.subject).cmp(&(&b.rule, &b.subject)))
    });
    changes
}

/// A value of a tree: what it means, for telling whether it changed, and how it stands there.
struct Leaf {
    key: String,
    means: String,
    at: ValueAt,
}

fn values(old: &Design, new: &Design) -> Vec<ValueChange> {
    let (before, now) = (leaves(old), leaves(new));
    let old_by_key: BTreeMap<&str, &Leaf> = before.iter().map(|l| (l.key.as_str(), l)).collect();
    let new_by_key: BTreeMap<&str, &Leaf> = now.iter().map(|l| (l.key.as_str(), l)).collect();
    let mut changes = Vec::new();
    for leaf in &now {
        let old = old_by_key.get(leaf.key.as_str());
        if old.is_none_or(|old| old.means != leaf.means) {
            changes.push(ValueChange {
                key: leaf.key.clone(),
                old: old.map(|old| old.at.clone()),
                new: Some(leaf.at.clone()),
            });
        }
    }
    for leaf in before.iter().filter(|l| !new_by_key.contains_key(l.key.as_str())) {
        changes.push(ValueChange { key: leaf.key.clone(), old: Some(leaf.at.clone()), new: None });
    }
    changes
}

fn leaves(design: &Design) -> Vec<Leaf> {
    let mut found = Vec::new();
    if let Some(tree) = &design.tree {
        walk(design, tree, tree.root(), String::new(), &mut found);
    }
    found
}

/// The values below a node. What aliases stand for is bounded where the tree is made, and so is its depth.
fn walk(design: &Design, tree: &Tree, node: NodeId, key: String, found: &mut Vec<Leaf>) {
    let under = |name: &str| if key.is_empty() { name.to_owned() } else { format!("{key}.{name}") };
    let plain = |item: &NodeId| !tree.is_map(*item) && !tree.is_list(*item);
    if tree.is_map(node) && !tree.entries(node).is_empty() {
        for entry in tree.entries(node) {
            let name = tree.scalar(entry.key).map(|s| s.value.clone()).unwrap_or_default();
            walk(design, tree, entry.value, under(&name), found);
        }
        return;
    }
    if tree.is_list(node) && !tree.items(node).iter().all(plain) {
        for (number, item) in tree.items(node).iter().enumerate() {
            walk(design, tree, *item, under(&number.to_string()), found);
        }
        return;
    }
    let span = tree.span(node);
    let text = design.source.slice(span).trim_end().to_owned();
    let means = match tree.scalar(node) {
        Some(scalar) => scalar.value.to_string(),
        // A list of words is one value; how it is laid out does not matter.
        None => {
            let items = tree.items(node).iter().filter_map(|item| tree.scalar(*item));
            format!("[{}]", items.map(|s| s.value.as_ref()).collect::<Vec<_>>().join("\0"))
        }
    };
    let line = design.source.position(span.start).line;
    found.push(Leaf { key, means, at: ValueAt { text, line } });
}

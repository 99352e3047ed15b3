//! A design that is spelled otherwise is the same design: keys in another order, flow for block and block for flow, comments, empty
//! lines, other units.

use holdpoint::design::ROCKET;
use holdpoint::quantity::{Dimension, Measure, UNITS};
use holdpoint::report::{Json, ReportForm as _};
use holdpoint::review::{Options, review};
use holdpoint::rules::TRIAL_DAY;
use holdpoint::vocabulary::{EntityType, Shape};
use holdpoint::yaml::{NodeId, NodeKind, ScalarStyle, Source, Tree, scalar_text};
use serde_json::Value;

use super::choices::Choices;
use super::corpus::DESIGNS;
use super::designs::{LIBRARY, read};
use super::driver::fuzz;
use super::generated::scaled;

/// What a node is in the vocabulary: a map of fields, a map of names, or what has no keys of its own.
#[derive(Clone, Copy)]
enum What {
    Fields(&'static EntityType),
    Names(&'static EntityType),
    Items(&'static EntityType),
    Value(Option<&'static Shape>),
}

fn what(shape: &'static Shape) -> What {
    match shape {
        Shape::One(of) | Shape::Measured(of) => What::Fields(of),
        Shape::Many(of) => What::Names(of),
        Shape::List(of) | Shape::Listed(of) => What::Items(of),
        other => What::Value(Some(other)),
    }
}

struct Writer<'t, 'c, 'd> {
    tree: &'t Tree,
    choices: &'c mut Choices<'d>,
    other_units: bool,
    out: String,
}

impl Writer<'_, '_, '_> {
    /// The same value in another unit: only where it is one number with one unit.
    fn measure(&mut self, text: &str, dimension: Dimension) -> Option<String> {
        let measure = Measure::read(text, dimension).ok()?;
        let units: Vec<_> = UNITS.iter().filter(|unit| unit.dimension == dimension).collect();
        if measure.tolerance.is_some() || units.is_empty() {
            return None;
        }
        let unit = *self.choices.member(&units);
        Some(format!("{} {}", (measure.nominal.si - unit.offset) / unit.factor, unit.name))
    }

    fn scalar(&mut self, id: NodeId, of: What) -> String {
        let Some(scalar) = self.tree.scalar(id) else { return String::new() };
        if scalar.style != ScalarStyle::Plain {
            return scalar_text(&scalar.value);
        }
        let text = scalar.value.to_string();
        if let What::Value(Some(Shape::Measure(dimension, _))) = of
            && self.other_units
            && let Some(other) = self.measure(&text, *dimension)
        {
            return other;
        }
        let is_plain_in_flow = !text.contains([',', '[', ']', '{', '}', '"', '\'']) && !text.contains(": ");
        if is_plain_in_flow { text } else { scalar_text(&text) }
    }

    fn end_line(&mut self) {
        if self.choices.once_in(5) {
            self.out.push_str(" # what stands here means nothing: {[\"");
        }
        self.out.push('\n');
        if self.choices.once_in(8) {
            self.out.push_str("\n   # nor here\n");
        }
    }

    /// The entries with what each is, in an order that means the same.
    fn entries(&mut self, id: NodeId, of: What) -> Vec<(String, NodeId, What)> {
        let mut all: Vec<_> = self
            .tree
            .entries(id)
            .iter()
            .map(|entry| {
                let key = self.tree.scalar(entry.key).map(|key| key.value.to_string()).unwrap_or_default();
                let inside = match of {
                    What::Fields(of) => of
                        .slot(&key)
                        .and_then(|slot| of.field(slot))
                        .map_or(What::Value(None), |f| what(&f.shape)),
                    What::Names(of) => What::Fields(of),
                    _ => What::Value(None),
                };
                (key, entry.value, inside)
            })
            .collect();
        // What has names stands in the order of its file: sections from the nose to the tail.
        if let What::Fields(_) = of {
            for end in (1..all.len()).rev() {
                let at = self.choices.below(end + 1);
                all.swap(at, end);
            }
        }
        all
    }

    fn flow(&mut self, id: NodeId, of: What) {
        match &self.tree.node(id).kind {
            NodeKind::Map { .. } => {
                let all = self.entries(id, of);
                self.out.push('{');
                for (at, (key, value, inside)) in all.into_iter().enumerate() {
                    self.out.push_str(&format!("{}{}: ", if at > 0 { ", " } else { "" }, scalar_text(&key)));
                    self.flow(value, inside);
                }
                self.out.push('}');
            }
            NodeKind::List { items, .. } => {
                let inside = if let What::Items(of) = of { What::Fields(of) } else { What::Value(None) };
                self.out.push('[');
                for (at, item) in items.clone().into_iter().enumerate() {
                    self.out.push_str(if at > 0 { ", " } else { "" });
                    self.flow(item, inside);
                }
                self.out.push(']');
            }
            _ => {
                let text = self.scalar(id, of);
                self.out.push_str(&text);
            }
        }
    }

    fn block(&mut self, id: NodeId, of: What, indent: usize) {
        for (key, value, inside) in self.entries(id, of) {
            self.out.push_str(&format!("{}{}:", " ".repeat(indent), scalar_text(&key)));
            let is_map = self.tree.is_map(value) && !self.tree.entries(value).is_empty();
            if is_map && !self.choices.once_in(4) {
                self.end_line();
                let deeper = indent + 1 + self.choices.below(4);
                self.block(value, inside, deeper);
            } else {
                self.out.push(' ');
                self.flow(value, inside);
                self.end_line();
            }
        }
    }
}

fn has_aliases(tree: &Tree, id: NodeId) -> bool {
    matches!(tree.node(id).kind, NodeKind::Alias(_))
        || tree.items(id).iter().any(|item| has_aliases(tree, *item))
        || tree.entries(id).iter().any(|entry| has_aliases(tree, entry.value))
}

fn printed(text: &str) -> Option<Value> {
    let review = review(read(text)?, &LIBRARY, &Options::on(TRIAL_DAY));
    serde_json::from_str(Json.design(&review, &LIBRARY, 1).text()).ok()
}

/// A message without the names of what is not written down: they come in the order of the file, and from the fifth on as a number.
fn without_names(message: &str) -> String {
    let end =
        ["are not written down)", "is not written down)"].iter().find_map(|end| message.split_once(end));
    let Some((before, after)) = end else { return message.to_owned() };
    let start = before.rfind(" (`").unwrap_or(before.len());
    format!("{}{after}", &before[..start])
}

/// What of a review does not hang on the spelling, each finding as a line.
fn said(document: &Value, with_words: bool) -> Vec<String> {
    let mut all: Vec<String> = document["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|finding| {
            let words =
                if with_words { without_names(finding["message"].as_str().unwrap()) } else { String::new() };
            format!(
                "{} {} {} {} {words}",
                finding["rule"], finding["subject"], finding["outcome"], finding["level"]
            )
        })
        .collect();
    all.sort();
    all.push(document["hold_points"].to_string());
    all.push(document["counts"].to_string());
    all
}

/// The design spelled otherwise; none where it has what means something by its place in the file.
fn respelled(text: &str, other_units: bool, choices: &mut Choices<'_>) -> Option<String> {
    let source = Source::new("t", text);
    let tree = Tree::parse(&source).tree?;
    if has_aliases(&tree, tree.root()) || !tree.is_map(tree.root()) {
        return None;
    }
    let mut writer = Writer { tree: &tree, choices, other_units, out: String::new() };
    writer.block(tree.root(), What::Fields(&ROCKET), 0);
    Some(writer.out)
}

fn compare(choices: &mut Choices<'_>, other_units: bool) {
    let mut text = choices.member(&DESIGNS).clone();
    for _ in 0..choices.below(5) {
        text = scaled(&text, choices).unwrap_or(text);
    }
    let Some(other) = respelled(&text, other_units, choices) else { return };
    let (Some(one), Some(two)) = (printed(&text), printed(&other)) else { return };
    let (one, two) = (said(&one, !other_units), said(&two, !other_units));
    if one != two {
        let differing: Vec<_> = one.iter().filter(|line| !two.contains(line)).collect();
        let others: Vec<_> = two.iter().filter(|line| !one.contains(line)).collect();
        panic!("as written: {differing:#?}\nspelled otherwise: {others:#?}\n{text}\n=======\n{other}");
    }
}

#[test]
fn a_design_with_keys_in_another_order_and_in_another_style_is_the_same() {
    fuzz("respelled", 1, 1500, |choices| compare(choices, false));
}

#[test]
fn a_design_in_other_units_is_the_same() {
    fuzz("units", 1, 1500, |choices| compare(choices, true));
}

//! Hover: what a field means, its value in both systems of units, what is worked out from it, and which rules rest on that.

use std::collections::BTreeSet;

use super::completion_context::completion_context_at;
use super::cursor_path::Expected;
use super::cursor_target::{CursorTarget, cursor_target_at};
use super::due::Due;
use super::expressions::{Expression, chain_before, is_expression};
use super::field_text::{field_doc, takes};
use super::pack_names::PackNames;
use super::request_context::RequestContext;
use crate::language::value_text;
use crate::model::{Access, Model, Read};
use crate::quantity::{Quantity, Style, System};
use crate::report::margin_text;
use crate::rules::{Judgement, Library, Rule, Verdict};
use crate::vocabulary::{EntityId, EntityType, State, Value};
use crate::yaml::{Span, clean};

/// So many lines of quantities and of rules are shown; `explain` shows all.
const MOST_LINES: usize = 8;

/// What is known of what stands at a byte, in Markdown, and the bytes that it is about.
pub(super) fn hover(view: &RequestContext<'_>, due: &Due, offset: usize) -> Option<(String, Span)> {
    let design = view.design();
    let target = cursor_target_at(design, offset)?;
    let model = view.model();
    let (mut text, span) = match target {
        CursorTarget::Part(id) => {
            let entity = design.store.get(id)?;
            let kind = entity.entity_type.name.replace('_', " ");
            (format!("**`{}`**: {kind}\n\n{}", entity.name, entity.entity_type.about()), entity.key)
        }
        CursorTarget::Key(id, slot) | CursorTarget::Value(id, slot) => {
            let entity = design.store.get(id)?;
            let field = entity.entity_type.field(slot)?;
            let written = entity.slot(slot);
            let mut text = field_doc(entity.entity_type, field, due.step(entity.entity_type, slot));
            if let Some(value) = in_both(&written.state) {
                text.push_str(&format!("\n\n{value}"));
            }
            if let Some(stated) = written.measured.as_deref().and_then(|stated| stated.value) {
                text.push_str(&format!("\n\nstated as {}; the measured value counts", stated.exact()));
            }
            let place = if matches!(target, CursorTarget::Key(..)) { written.key } else { written.place };
            (text, place?)
        }
    };
    let resting = Resting::on(view, &model, target);
    if !resting.quantities.is_empty() {
        text.push_str("\n\nWorked out from it:\n");
        text.push_str(&listed(&resting.quantities));
    }
    if !resting.rules.is_empty() {
        text.push_str("\n\nRules that rest on it:\n");
        text.push_str(&listed(&resting.rules));
    }
    Some((clean(&text).into_owned(), span))
}

/// What is known of a key of settings or of a pack, or of a name in an expression, and the bytes that it is about.
pub(super) fn in_rule_file(
    root: &'static EntityType,
    library: &Library,
    text: &str,
    offset: usize,
) -> Option<(String, Span)> {
    let place = completion_context_at(root, text, offset)?;
    let word = text.get(place.word.clone())?;
    match place.what {
        Expected::Key { entity_type, .. } => {
            let field = entity_type.field(entity_type.slot(word)?)?;
            let about_key = format!("**`{}`**: {}\n\n{}", field.name, takes(field), field.about());
            Some((about_key, Span::new(place.word.start, place.word.end)))
        }
        Expected::Name(_) => None,
        Expected::Value(of, field) => {
            let about = place.about.as_deref();
            let own = &PackNames::read(text, &place.path, offset);
            let expression = Expression { catalogue: &library.catalogue, about, text: word, own };
            let more = text.get(offset..place.word.end)?;
            let more = more.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(more.len());
            let chain = chain_before(text.get(place.word.start..offset + more)?);
            let described = expression.describe(chain).filter(|_| is_expression(of, field))?;
            Some((described, Span::new(offset + more - chain.len(), offset + more)))
        }
    }
}

fn listed(lines: &[String]) -> String {
    let mut text: String = lines.iter().take(MOST_LINES).map(|line| format!("\n- {line}")).collect();
    if lines.len() > MOST_LINES {
        text.push_str(&format!("\n- and {} more", lines.len() - MOST_LINES));
    }
    text
}

/// A measure in inches and pounds, and in millimetres and grams.
fn in_both(state: &State) -> Option<String> {
    let quantity = match state {
        State::Known(Value::Quantity(quantity)) => *quantity,
        State::Known(Value::Position(position)) => position.distance,
        _ => return None,
    };
    let within = |system| Quantity { style: Style { system, ..Style::default() }, ..quantity }.fine();
    let (customary, metric) = (within(System::Imperial), within(System::Metric));
    (customary != metric).then(|| format!("`{customary}` = `{metric}`"))
}

/// What rests on a part or a field.
struct Resting {
    quantities: Vec<String>,
    rules: Vec<String>,
}

impl Resting {
    fn on(view: &RequestContext<'_>, model: &Model<'_>, target: CursorTarget) -> Self {
        let mut reads: Vec<Read> = Vec::new();
        let mut judged: Vec<(&Rule, EntityId, &Judgement)> = Vec::new();
        for (number, subject, judgement) in view.reviewed.judgements() {
            let Some(rule) = view.library.rules.get(number) else { continue };
            if judgement.verdict == Verdict::NotApplicable {
                continue;
            }
            let mut rests = false;
            // Nearly everything rests on a section: of a part, what is said of itself and of what it holds.
            if let CursorTarget::Part(part) = target
                && !is_in(model, part, subject)
            {
                continue;
            }
            for read in &judgement.trace.reads {
                if !model.leaves(*read).iter().any(|leaf| is_about(model, target, *leaf)) {
                    continue;
                }
                rests = true;
                let is_own = match target {
                    CursorTarget::Part(part) => is_in(model, part, read.entity),
                    CursorTarget::Key(..) | CursorTarget::Value(..) => true,
                };
                if is_own && matches!(read.access, Access::Computed(_)) && !reads.contains(read) {
                    reads.push(*read);
                }
            }
            if rests {
                judged.push((rule, subject, judgement));
            }
        }
        // The part's own quantities first, then those of what it holds.
        if let CursorTarget::Part(part) = target {
            reads.sort_by_key(|read| read.entity != part);
        }
        // What is not kept first, then what has the least to spare.
        judged.sort_by(|a, b| {
            let size = |judgement: &Judgement| judgement.margin.map_or(f64::INFINITY, |margin| margin.size());
            a.2.verdict.cmp(&b.2.verdict).then(size(a.2).total_cmp(&size(b.2)))
        });
        let rules =
            judged.iter().map(|(rule, subject, judgement)| describe(model, rule, *subject, judgement));
        let mut seen = BTreeSet::new();
        let rules = rules.filter(|line| seen.insert(line.clone())).collect();
        Self { quantities: reads.iter().filter_map(|read| valued(model, *read)).collect(), rules }
    }
}

/// Whether a field that something rests on is the field or belongs to the part of a target.
fn is_about(model: &Model<'_>, target: CursorTarget, leaf: Read) -> bool {
    match target {
        CursorTarget::Key(id, slot) | CursorTarget::Value(id, slot) => {
            leaf.entity == id && leaf.access == Access::Field(slot)
        }
        CursorTarget::Part(part) => is_in(model, part, leaf.entity),
    }
}

/// Whether an entity is a part or lies in it.
fn is_in(model: &Model<'_>, part: EntityId, id: EntityId) -> bool {
    let mut at = Some(id);
    while let Some(entity) = at.filter(|entity| !entity.is_row()) {
        if entity == part {
            return true;
        }
        at = model.entity(entity).and_then(|entity| entity.parent);
    }
    false
}

fn describe(model: &Model<'_>, rule: &Rule, subject: EntityId, judgement: &Judgement) -> String {
    let path = model.design().store.path(subject);
    let of = if path.is_empty() { String::new() } else { format!(" of `{path}`") };
    let margin = judgement.margin.map(|margin| format!(", {}", margin_text(margin.shown(model))));
    let before = rule.before;
    format!("`{}`{of}: {}{} (before {before})", rule.name, judgement.verdict, margin.unwrap_or_default())
}

/// A quantity that is worked out, with its value; none where it is not known, or is no number.
fn valued(model: &Model<'_>, read: Read) -> Option<String> {
    let value = model.read(read).ok()?;
    let is_number = matches!(value, Value::Quantity(_) | Value::Quantities(_));
    is_number.then(|| format!("`{}` {}", model.read_name(read), value_text(model, &value)))
}

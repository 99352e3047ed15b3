//! Remedies: worked out, tried on a copy of the design, and only then offered.

use super::finding::{Finding, Remedy, Tried};
use super::{fingerprint, judged};
use crate::design::Design;
use crate::language::{evaluate, value_text};
use crate::model::Model;
use crate::rules::{HoldPoint, Library, Verdict};
use crate::text::{Edit, EditError, Source, apply, insert_key, replace_scalar};
use crate::vocabulary::{EntityId, State, Value};

/// Works out the remedy of a finding's rule and tries it.
pub(super) fn offer(
    finding: &mut Finding,
    model: &Model<'_>,
    library: &Library,
    known: &[(String, Verdict)],
    before: Option<HoldPoint>,
) {
    let Some(rule) = library.rule(&finding.rule) else { return };
    let Some(remedy) = &rule.remedy else { return };
    let subject = finding.subject_id;
    let Some((target, to)) = &remedy.set else {
        let say = remedy.said(model, subject, "");
        finding.remedies.push(Remedy { say, tried: None, edits: Vec::new() });
        return;
    };
    let Ok(value) = evaluate(to, model, None, subject).value else { return };
    let shown = value_text(model, &value);
    let say = remedy.said(model, subject, &shown);
    let mut edits = Vec::new();
    for thing in target.things(model, subject) {
        match edit(model, thing, target.slot, &value) {
            Ok(Some(edit)) => edits.push(edit),
            Ok(None) => {}
            Err(error) => {
                let say = format!("{say} (to be edited by hand: {error})");
                finding.remedies.push(Remedy { say, tried: None, edits: Vec::new() });
                return;
            }
        }
    }
    if edits.is_empty() {
        finding.remedies.push(Remedy { say, tried: None, edits });
        return;
    }
    let tried = attempt(model, library, &edits, &finding.fingerprint, known, before);
    finding.remedies.push(Remedy { say, tried: Some(tried), edits });
}

/// The edit that writes a value into a field; none where it stands there already.
fn edit(model: &Model<'_>, id: EntityId, slot: u16, value: &Value) -> Result<Option<Edit>, EditError> {
    let design = model.design();
    let (Some(entity), Some(tree)) = (model.entity(id), &design.tree) else {
        return Err(EditError::NotHere("the part is not in the file"));
    };
    let field = entity.slot(slot);
    let text = match value {
        Value::Quantity(quantity) => {
            // Written in the unit that stands there, so that a file in millimetres stays one.
            let like = match &field.state {
                State::Known(Value::Quantity(old))
                    if quantity.style.form != crate::quantity::Form::Fraction =>
                {
                    old.style
                }
                _ => quantity.style,
            };
            quantity.with_style(like).exact()
        }
        other => value_text(model, other),
    };
    match field.node {
        Some(node) if !matches!(field.state, State::Absent) => {
            if design.source.slice(tree.span(node)) == text {
                return Ok(None);
            }
            replace_scalar(&design.source, tree, node, &text, field.shared).map(Some)
        }
        _ => {
            let name = entity.kind.field(slot).map_or("", |f| f.name);
            insert_key(
                &design.source,
                tree,
                entity.node,
                name,
                &crate::text::scalar_text(&text),
                entity.shared,
            )
            .map(Some)
        }
    }
}

/// Makes the edits on a copy, reviews the copy as far as the design was, and says what came of it.
fn attempt(
    model: &Model<'_>,
    library: &Library,
    edits: &[Edit],
    mine: &str,
    known: &[(String, Verdict)],
    before: Option<HoldPoint>,
) -> Tried {
    let source = &model.design().source;
    let Ok(text) = apply(source.text(), edits) else { return Tried::Breaks };
    let copy = Design::read(Source::new(source.name(), text));
    if copy.problems.len() > model.design().problems.len() {
        return Tried::Breaks;
    }
    let tried = Model::new(&copy, &library.catalogue).on_day(model.today());
    let now: Vec<(String, Verdict)> = judged(&tried, library, before)
        .iter()
        .filter(|j| !matches!(j.judgement.verdict, Verdict::Held | Verdict::NotApplicable))
        .map(|j| (fingerprint(&j.rule.name, &copy.store.path(j.subject)), j.judgement.verdict))
        .collect();
    let new = |graver: &dyn Fn(Verdict) -> bool| {
        now.iter().any(|(print, verdict)| {
            print != mine
                && graver(*verdict)
                && !known.iter().any(|(old, then)| old == print && then <= verdict)
        })
    };
    if new(&|verdict| verdict != Verdict::Unproven) {
        Tried::Breaks
    } else if now.iter().any(|(print, _)| print == mine) || new(&|verdict| verdict == Verdict::Unproven) {
        // What it leaves unproven wants a value that was not asked for before: that breaks nothing.
        Tried::Partly
    } else {
        Tried::Clears
    }
}

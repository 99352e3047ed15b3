//! Inlay hints: few worked-out values beside what they are worked out from.

use std::collections::BTreeSet;
use std::ops::Range;

use lsp_types::{InlayHint, InlayHintLabel, InlayHintTooltip};

use super::request_context::RequestContext;
use crate::design::SECTION;
use crate::language::value_text;
use crate::model::{Access, Model, Named, Read};
use crate::report::margin_text;
use crate::rules::Verdict;
use crate::vocabulary::{EntityId, Value};
use crate::yaml::Span;

/// What is worked out of the parts at some bytes: where a section lies, its vent area beside what the rule asks for, and how much a
/// finding is short. One hint a line.
pub(super) fn hints(view: &RequestContext<'_>, within: Range<usize>) -> Vec<InlayHint> {
    let model = view.model();
    let mut all: Vec<(Span, String, String)> = Vec::new();
    for finding in view.review.findings.iter().filter(|finding| finding.is_shown()) {
        if let (Some(margin), Some(place)) = (finding.margin, finding.places.first())
            && finding.outcome != Verdict::Unproven
            && finding.holds()
        {
            all.push((place.span, margin_text(margin), format!("{}: {}", finding.rule, finding.message)));
        }
    }
    let store = &view.design().store;
    for id in store.of_type(&SECTION) {
        let Some(entity) = store.get(id) else { continue };
        if let (Some(fore), Some(aft)) = (named(&model, id, "fore_station"), named(&model, id, "aft_station"))
        {
            let tip = "its fore and its aft end, measured aft from the nose tip".to_owned();
            all.push((entity.key, format!("{fore} to {aft}"), tip));
        }
        let vents = SECTION.slot("vents").and_then(|slot| entity.slot(slot).key);
        let areas = (named(&model, id, "vent_area"), named(&model, id, "vent_area_by_rule"));
        if let (Some(key), (Some(area), Some(due)), true) = (vents, areas, has_altimeters(&model, id)) {
            let tip = "the open area of its vents, and the area that its air needs by the rule".to_owned();
            all.push((key, format!("{area} open, {due} by the rule"), tip));
        }
    }
    // Of two findings of a line, the first is the graver one.
    let mut lines = BTreeSet::new();
    all.retain(|(span, ..)| {
        let at = span.start as usize;
        within.start <= at && at <= within.end && lines.insert(view.document.lines.line_at(at))
    });
    all.sort_by_key(|(span, ..)| *span);
    all.into_iter().map(|(span, label, tip)| hint(view, span, label, tip)).collect()
}

fn hint(view: &RequestContext<'_>, span: Span, label: String, tip: String) -> InlayHint {
    InlayHint {
        position: view.range(span).end,
        label: InlayHintLabel::String(label),
        kind: None,
        text_edits: None,
        tooltip: Some(InlayHintTooltip::String(tip)),
        padding_left: Some(true),
        padding_right: Some(true),
        data: None,
    }
}

/// A quantity of an entity by its name, in words; none where it is not known.
fn named(model: &Model<'_>, id: EntityId, name: &str) -> Option<String> {
    let entity_type = model.entity(id)?.entity_type;
    let access = match model.catalogue().named(entity_type, name)? {
        Named::Field(slot, _) => Access::Field(slot),
        Named::Computed(number, _) => Access::Computed(number),
        Named::Holder(_) => return None,
    };
    match model.read(Read { entity: id, access }).ok()? {
        value @ Value::Quantity(_) => Some(value_text(model, &value)),
        _ => None,
    }
}

fn has_altimeters(model: &Model<'_>, id: EntityId) -> bool {
    SECTION.slot("altimeters").is_some_and(|slot| model.has(id, slot) == Ok(true))
}

//! Completion: keys of the entity at the cursor, words, names that refer, units.

use lsp_types::{
    CompletionItem, CompletionItemKind, CompletionTextEdit, Documentation, InsertTextFormat, Range, TextEdit,
};

use super::completion_context::CompletionContext;
use super::cursor_path::Expected;
use super::cursor_target::reference_name;
use super::due::Due;
use super::expressions::{Expression, NextName, chain_before, is_expression};
use super::field_text::{field_doc, takes};
use super::pack_names::PackNames;
use super::request_context::Client;
use crate::design::{Design, WAIVER, waiver};
use crate::quantity::units_of;
use crate::rules::{Applies, CLUB_WAIVER, LEVEL_SETTING, Library};
use crate::vocabulary::{Date, EntityType, Field, Need, Rows as _, Shape};

/// What completion knows besides the place.
pub(super) struct Known<'k> {
    pub(super) client: Client,
    pub(super) library: &'k Library,
    pub(super) due: &'k Due,
    /// The last design that could be read; none for a file of another sort.
    pub(super) design: Option<&'k Design>,
    pub(super) today: Date,
    /// The whole value that the cursor stands in.
    pub(super) value: &'k str,
    /// What the pack names for itself; nothing in a file of another sort.
    pub(super) own: &'k PackNames,
}

/// An item before it has its range.
struct Offer {
    label: String,
    kind: CompletionItemKind,
    detail: String,
    doc: Option<String>,
    text: String,
    is_snippet: bool,
}

impl Offer {
    fn word(label: impl Into<String>, detail: impl Into<String>) -> Self {
        let label = label.into();
        let (kind, detail) = (CompletionItemKind::ENUM_MEMBER, detail.into());
        Self { text: label.clone(), label, kind, detail, doc: None, is_snippet: false }
    }
}

/// What may be written at a place; `now` is what of it stands before the cursor, and `range_of` gives the range of some bytes.
pub(super) fn items(
    place: &CompletionContext,
    known: &Known<'_>,
    now: &str,
    range_of: &dyn Fn(std::ops::Range<usize>) -> Range,
) -> Vec<CompletionItem> {
    let mut word = place.word.clone();
    let offers = match &place.what {
        Expected::Key { entity_type, written, measured } => {
            keys(entity_type, written, *measured, place, known)
        }
        Expected::Name(_) => Vec::new(),
        Expected::Value(of, field) => {
            let (offers, kept) = if is_expression(of, field) {
                names_in_expression(place, known, now)
            } else {
                values(of, field, known, now)
            };
            // What stands before a unit stays.
            word.start += kept;
            // In an expression, what comes behind the name stays.
            if is_expression(of, field) {
                word.end = place.word.start + now.len();
            }
            offers
        }
    };
    let range = range_of(word);
    let item = |(number, offer): (usize, Offer)| CompletionItem {
        label: offer.label,
        kind: Some(offer.kind),
        detail: Some(offer.detail),
        documentation: offer.doc.map(|doc| Documentation::MarkupContent(known.client.markup(doc))),
        sort_text: Some(format!("{number:04}")),
        insert_text_format: offer.is_snippet.then_some(InsertTextFormat::SNIPPET),
        text_edit: Some(CompletionTextEdit::Edit(TextEdit { range, new_text: offer.text })),
        ..CompletionItem::default()
    };
    offers.into_iter().enumerate().map(item).collect()
}

/// The keys of an entity that are not written yet: those that are due first come first, those that no rule reads last.
fn keys(
    entity_type: &'static EntityType,
    written: &[String],
    measured: bool,
    place: &CompletionContext,
    known: &Known<'_>,
) -> Vec<Offer> {
    let free = |field: &Field| {
        field.need != Need::Implied
            && !written.iter().any(|key| key == field.name)
            && (!measured || matches!(field.shape, Shape::Measure(..)))
    };
    let mut fields: Vec<(u16, &'static Field)> =
        (0..).zip(entity_type.fields).filter(|(_, field)| free(field)).collect();
    let step = |slot| known.due.step(entity_type, slot);
    fields.sort_by_key(|(slot, field)| {
        (field.need == Need::Optional, step(*slot).is_none(), step(*slot), *slot)
    });
    let offer = |(slot, field): (u16, &'static Field)| {
        let (text, is_snippet) = key_text(field, place, known.client);
        let holds_parts = matches!(field.shape, Shape::One(_) | Shape::Many(_) | Shape::List(_));
        Offer {
            label: field.name.to_owned(),
            kind: if holds_parts { CompletionItemKind::MODULE } else { CompletionItemKind::PROPERTY },
            detail: takes(field),
            doc: Some(field_doc(entity_type, field, step(slot))),
            text,
            is_snippet,
        }
    };
    fields.into_iter().map(offer).collect()
}

/// A key with what is needed behind it, and whether that is a snippet.
fn key_text(field: &Field, place: &CompletionContext, client: Client) -> (String, bool) {
    let name = field.name;
    if place.has_colon {
        return (name.to_owned(), false);
    }
    let nested = matches!(field.shape, Shape::One(_) | Shape::Many(_) | Shape::List(_) | Shape::Measured(_));
    match (nested, place.flow, client.has_snippets) {
        (true, true, true) => (format!("{name}: {{$0}}"), true),
        (true, true, false) => (format!("{name}: {{}}"), false),
        (true, false, _) => {
            let dash = if matches!(field.shape, Shape::List(_)) { "- " } else { "" };
            (format!("{name}:\n{}{dash}", " ".repeat(place.indent + 2)), false)
        }
        (false, ..) => (format!("{name}: "), false),
    }
}

/// What may stand in a field, and how many bytes of what stands there are kept.
fn values(of: &EntityType, field: &Field, known: &Known<'_>, now: &str) -> (Vec<Offer>, usize) {
    let about = || field.about().to_owned();
    let mut offers: Vec<Offer> = match &field.shape {
        Shape::Word(words) => words.iter().map(|word| Offer::word(*word, about())).collect(),
        Shape::Truth => ["true", "false"].iter().map(|word| Offer::word(*word, about())).collect(),
        Shape::Row(table) => {
            let names = known.library.tables.names(table);
            names.into_iter().map(|name| Offer::word(name, table.about())).collect()
        }
        Shape::Refers(part) | Shape::RefersAll(part) => names(part, known),
        Shape::Date => vec![Offer::word(known.today.to_string(), "today")],
        Shape::Measure(dimension, _) | Shape::Measures(dimension, _) => {
            return units(&units_of(*dimension), now);
        }
        Shape::Position => return tape(now),
        Shape::Text | Shape::Texts => texts(of, field, known),
        _ => Vec::new(),
    };
    let may_be_none = !matches!(field.shape, Shape::Text | Shape::Raw | Shape::Word(_) | Shape::Truth);
    if may_be_none && field.need != Need::Required && now.trim().len() < 5 && !now.contains('[') {
        offers.push(Offer::word("none", "there is none, and that is known"));
    }
    (offers, 0)
}

/// The names that may stand at the end of an expression that is being written.
fn names_in_expression(place: &CompletionContext, known: &Known<'_>, now: &str) -> (Vec<Offer>, usize) {
    let chain = chain_before(now);
    let expression = Expression {
        catalogue: &known.library.catalogue,
        about: place.about.as_deref(),
        text: known.value,
        own: known.own,
    };
    let offer = |next: NextName| Offer {
        kind: if next.is_function { CompletionItemKind::FUNCTION } else { CompletionItemKind::FIELD },
        doc: Some(next.doc),
        ..Offer::word(next.name, next.gives)
    };
    let kept = now.len() - chain.rsplit('.').next().map_or(0, str::len);
    (expression.next(chain).into_iter().map(offer).collect(), kept)
}

/// The names by which entities of a type can be referred to.
fn names(part: &'static EntityType, known: &Known<'_>) -> Vec<Offer> {
    let Some(design) = known.design else { return Vec::new() };
    let offer = |id| Offer {
        kind: CompletionItemKind::REFERENCE,
        ..Offer::word(reference_name(design, id), format!("{}: {}", part.name, design.store.path(id)))
    };
    design.store.of_type(part).map(offer).collect()
}

/// Units behind the number that stands there.
fn units(units: &[&'static str], now: &str) -> (Vec<Offer>, usize) {
    let number = now.len() - now.trim_start_matches(|c: char| "0123456789./+-± ".contains(c)).len();
    if !now.chars().any(|c| c.is_ascii_digit()) {
        return (Vec::new(), 0);
    }
    let kept = now.get(..number).unwrap_or("");
    let gap = if kept.ends_with(' ') { "" } else { " " };
    let offer = |unit: &&'static str| {
        let text = format!("{gap}{unit}");
        Offer { kind: CompletionItemKind::UNIT, text, ..Offer::word(*unit, "a unit") }
    };
    (units.iter().map(offer).collect(), kept.len())
}

/// The words of a tape measure behind a distance.
fn tape(now: &str) -> (Vec<Offer>, usize) {
    const ENDS: [&str; 2] = ["fore", "aft"];
    if now.trim().is_empty() {
        let flush = ENDS.iter().map(|end| Offer::word(format!("flush with {end}"), "at that end"));
        return (flush.collect(), 0);
    }
    let lengths = units_of(crate::quantity::Dimension::LENGTH);
    let Some((head, _)) = now.rsplit_once(' ') else { return units(&lengths, now) };
    let kept = head.len() + 1;
    match head.rsplit(' ').next().unwrap_or_default() {
        "from" | "past" | "with" => (ENDS.iter().map(|end| Offer::word(*end, "that end")).collect(), kept),
        unit if lengths.contains(&unit) => {
            let offer = |way: &str, end: &str| {
                let detail = if way == "from" { "inside the part" } else { "beyond that end" };
                Offer::word(format!("{way} {end}"), detail)
            };
            let ways =
                ["from", "past"].into_iter().flat_map(|way| ENDS.iter().map(move |end| offer(way, end)));
            (ways.collect(), kept)
        }
        _ => units(&lengths, now),
    }
}

/// Texts that name something: rules, codes, parts.
fn texts(of: &EntityType, field: &Field, known: &Known<'_>) -> Vec<Offer> {
    let of_waiver = *of == WAIVER || *of == CLUB_WAIVER;
    if (of_waiver || *of == LEVEL_SETTING) && field.name == "rule" {
        let rules = known.library.rules.iter();
        return rules.map(|rule| Offer::word(rule.name.clone(), rule.title.clone())).collect();
    }
    if field.name == "codes" {
        let packs = known.library.packs.iter();
        let codes = packs.filter(|pack| !matches!(pack.applies, Applies::Always));
        return codes.map(|pack| Offer::word(pack.name.clone(), pack.about.clone())).collect();
    }
    let is_subject = *of == WAIVER && WAIVER.slot(field.name) == Some(waiver::subject.slot);
    let Some(design) = known.design.filter(|_| is_subject) else { return Vec::new() };
    let parts = design.store.all().filter(|(_, entity)| entity.parent.is_some());
    parts.map(|(id, entity)| Offer::word(design.store.path(id), entity.entity_type.name)).collect()
}

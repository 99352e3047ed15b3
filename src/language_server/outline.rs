//! The parts of a design as an outline, and what can be folded.

use lsp_types::{
    DocumentSymbol, FoldingRange, FoldingRangeKind, Location, SymbolInformation, SymbolKind, Uri,
};

use super::request_context::RequestContext;
use crate::design::{CHARGE, GROUND_TEST, JOINT, SECTION, WAIVER};
use crate::rules::{HoldPoint, Verdict};
use crate::vocabulary::{Entity, EntityId, Need};
use crate::yaml::{NodeKind, Span};

/// The parts, each in the part that holds it, with what holds there.
pub(super) fn symbols(view: &RequestContext<'_>) -> Vec<DocumentSymbol> {
    children(view, view.design().store.root())
}

fn children(view: &RequestContext<'_>, of: EntityId) -> Vec<DocumentSymbol> {
    let store = &view.design().store;
    let written = |(_, entity): &(EntityId, &Entity)| {
        let holder = entity.parent.and_then(|parent| store.get(parent));
        let field = holder.and_then(|holder| holder.entity_type.field(entity.parent_slot));
        entity.parent == Some(of) && field.is_some_and(|field| field.need != Need::Implied)
    };
    store.all().filter(written).map(|(id, entity)| symbol(view, id, entity)).collect()
}

#[allow(deprecated, reason = "the protocol's type has a field that it deprecates")]
fn symbol(view: &RequestContext<'_>, id: EntityId, entity: &Entity) -> DocumentSymbol {
    let whole =
        Span { start: entity.key.start.min(entity.span.start), end: entity.span.end.max(entity.key.end) };
    let inner = children(view, id);
    let kind = match entity.entity_type {
        t if t == &SECTION => SymbolKind::CLASS,
        t if t == &JOINT => SymbolKind::INTERFACE,
        t if t == &CHARGE || t == &GROUND_TEST => SymbolKind::EVENT,
        t if t == &WAIVER => SymbolKind::CONSTANT,
        _ => SymbolKind::FIELD,
    };
    DocumentSymbol {
        name: entity.name.to_string(),
        detail: Some(detail(view, id, entity)),
        kind,
        tags: None,
        deprecated: None,
        range: view.range(whole),
        selection_range: view.range(entity.key),
        children: (!inner.is_empty()).then_some(inner),
    }
}

/// What a part is, and which steps it holds, with how many findings.
fn detail(view: &RequestContext<'_>, id: EntityId, entity: &Entity) -> String {
    let kind = entity.entity_type.name.replace('_', " ");
    let path = view.design().store.path(id);
    let inside = |subject: &str| subject == path || subject.starts_with(&format!("{path}."));
    let mine = view.review.findings.iter().filter(|finding| {
        finding.is_shown() && finding.outcome != Verdict::Unproven && inside(&finding.subject)
    });
    let mut count = 0_usize;
    let mut first: Option<HoldPoint> = None;
    for finding in mine {
        count += 1;
        first = Some(first.map_or(finding.before, |first| first.min(finding.before)));
    }
    match (count, first) {
        (1, Some(first)) => format!("{kind}: 1 finding, before {first}"),
        (count, Some(first)) => format!("{kind}: {count} findings, first before {first}"),
        _ => kind,
    }
}

/// What can be folded: each key with what stands below it over several lines, and each run of comments.
pub(super) fn folds(view: &RequestContext<'_>) -> Vec<FoldingRange> {
    let document = view.document;
    let mut found: Vec<FoldingRange> = Vec::new();
    let mut fold = |first: usize, last: usize, kind: Option<FoldingRangeKind>| {
        let line = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        if last > first && !found.iter().any(|one| one.start_line == line(first)) {
            found.push(FoldingRange {
                start_line: line(first),
                end_line: line(last),
                kind,
                ..FoldingRange::default()
            });
        }
    };
    if let Some((_, tree)) = document.parsed() {
        let mut todo = vec![tree.root()];
        while let Some(node) = todo.pop() {
            match &tree.node(node).kind {
                NodeKind::Map { entries, .. } => {
                    for entry in entries.iter().filter(|entry| entry.origin == crate::yaml::Origin::Own) {
                        let key = tree.span(entry.key).start as usize;
                        let end = tree.span(entry.value).end.max(tree.span(entry.key).end) as usize;
                        fold(document.lines.line_at(key), document.lines.line_at(end), None);
                        todo.push(entry.value);
                    }
                }
                NodeKind::List { items, .. } => todo.extend(items.iter().copied()),
                NodeKind::Scalar(_) | NodeKind::Alias(_) => {}
            }
        }
    }
    let mut start = None;
    for (number, line) in document.text.lines().chain([""]).enumerate() {
        let is_comment = line.trim_start().starts_with('#');
        match (start, is_comment) {
            (None, true) => start = Some(number),
            (Some(first), false) => {
                fold(first, number - 1, Some(FoldingRangeKind::Comment));
                start = None;
            }
            _ => {}
        }
    }
    found.sort_by_key(|one| (one.start_line, one.end_line));
    found
}

/// The outline as a plain list, for clients that take no other.
#[allow(deprecated, reason = "the protocol's type has a field that it deprecates")]
pub(super) fn flat(uri: &Uri, symbols: Vec<DocumentSymbol>) -> Vec<SymbolInformation> {
    let mut all = Vec::new();
    let mut todo: Vec<(DocumentSymbol, Option<String>)> =
        symbols.into_iter().rev().map(|symbol| (symbol, None)).collect();
    while let Some((symbol, container_name)) = todo.pop() {
        let name = symbol.name.clone();
        let inner = symbol.children.into_iter().flatten().rev();
        todo.extend(inner.map(|child| (child, Some(name.clone()))));
        let location = Location { uri: uri.clone(), range: symbol.range };
        let (name, kind) = (symbol.name, symbol.kind);
        all.push(SymbolInformation { name, kind, tags: None, deprecated: None, location, container_name });
    }
    all
}

//! Code actions: remedies that were tried, skeletons of waivers, keys that are still to be written.

use std::ops::Range;

use lsp_types::{CodeAction, CodeActionKind, Diagnostic, NumberOrString};

use super::cursor_target::part_at;
use super::request_context::RequestContext;
use crate::design::{Design, rocket};
use crate::review::{Choice, Finding, Tried, TriedRemedy, mend, stated};
use crate::rules::Verdict;
use crate::vocabulary::{EntityId, Need, Shape, State};
use crate::yaml::{Edit, Span, Tree, apply, insert_item, insert_key, scalar_text};

/// All remedies that `mend` makes, in one action.
pub(super) const MEND_ALL: CodeActionKind = CodeActionKind::SOURCE_FIX_ALL;

/// What can be done about the findings and the part at some bytes.
pub(super) fn actions(
    view: &RequestContext<'_>,
    at: Range<usize>,
    reported: &[Diagnostic],
    only: Option<&[CodeActionKind]>,
) -> Vec<CodeAction> {
    let wanted = |kind: &CodeActionKind| {
        let within = |only: &CodeActionKind| {
            kind == only
                || kind.as_str().strip_prefix(only.as_str()).is_some_and(|rest| rest.starts_with('.'))
        };
        only.is_none_or(|all| all.iter().any(within))
    };
    let mut found = Vec::new();
    if wanted(&CodeActionKind::QUICKFIX) {
        found.extend(renamed_keys(view, &at));
        found.extend(remedies(view, &at, reported));
        found.extend(missing_keys(view, &at));
        found.extend(waivers(view, &at, reported));
    }
    // It takes the time of many reviews: it is made only for who asks for it by name.
    if only.is_some() && wanted(&MEND_ALL) {
        found.extend(mend_all(view));
    }
    found
}

fn meets(span: Span, at: &Range<usize>) -> bool {
    span.start as usize <= at.end && at.start <= span.end as usize
}

/// The findings that are shown at some bytes.
fn findings<'v>(view: &RequestContext<'v>, at: &Range<usize>) -> impl Iterator<Item = &'v Finding> {
    let at = at.clone();
    let shown = view.review.findings.iter().filter(|finding| finding.is_shown());
    shown.filter(move |finding| finding.places.iter().any(|place| meets(place.span, &at)))
}

fn action(view: &RequestContext<'_>, title: String, kind: CodeActionKind, edits: &[Edit]) -> CodeAction {
    let edit = view.client.edits(view.document, view.text_edits(edits));
    CodeAction { title, kind: Some(kind), edit: Some(edit), ..CodeAction::default() }
}

/// The diagnostics that report a finding.
fn of_finding(finding: &Finding, reported: &[Diagnostic]) -> Option<Vec<Diagnostic>> {
    let code = NumberOrString::String(finding.rule.clone());
    let mine: Vec<Diagnostic> =
        reported.iter().filter(|one| one.code.as_ref() == Some(&code)).cloned().collect();
    (!mine.is_empty()).then_some(mine)
}

/// Keys that have another name now.
fn renamed_keys(view: &RequestContext<'_>, at: &Range<usize>) -> Vec<CodeAction> {
    let problems = view.design().problems.iter();
    let edits = problems.filter(|problem| problem.span.is_some_and(|span| meets(span, at)));
    let made = edits.filter_map(|problem| {
        let edit = problem.edit.as_deref()?;
        let title = format!("write `{}`", edit.text);
        let kind = CodeActionKind::QUICKFIX;
        Some(CodeAction { is_preferred: Some(true), ..action(view, title, kind, std::slice::from_ref(edit)) })
    });
    made.collect()
}

/// Whether `mend` would make a remedy: one that needs no person to look, and that settles its finding and breaks nothing. A
/// charge, and how a thing was made, weighed or tested, are never among them.
fn is_mended(finding: &Finding, remedy: &TriedRemedy) -> bool {
    Choice::default().takes(&finding.rule, remedy) && remedy.tried == Some(Tried::Clears)
}

fn remedies(view: &RequestContext<'_>, at: &Range<usize>, reported: &[Diagnostic]) -> Vec<CodeAction> {
    let pairs = findings(view, at).flat_map(|finding| finding.remedies.iter().map(move |r| (finding, r)));
    let tried = pairs.filter(|(finding, remedy)| is_mended(finding, remedy));
    let made = tried.map(|(finding, remedy)| {
        let title = format!("{} ({})", remedy.say, finding.rule);
        CodeAction {
            diagnostics: of_finding(finding, reported),
            is_preferred: Some(true),
            ..action(view, title, CodeActionKind::QUICKFIX, &remedy.edits)
        }
    });
    made.collect()
}

/// The fields that a part is still to say: those that every such part has, and those that a rule waits for. A part that may be
/// left out is not among them, since to write its key is to say that it is there.
fn missing(view: &RequestContext<'_>, id: EntityId) -> Vec<&'static str> {
    let design = view.design();
    let Some(entity) = design.store.get(id) else { return Vec::new() };
    let waits = |slot: u16| {
        let path = design.store.field_path(id, slot);
        view.review.findings.iter().any(|finding| finding.missing.iter().any(|value| value.key == path))
    };
    let is_expected = |(slot, field): &(u16, &crate::vocabulary::Field)| {
        let written = entity.slot(*slot);
        let is_part = matches!(field.shape, Shape::One(_) | Shape::Measured(_));
        matches!(written.state, State::Absent)
            && written.key.is_none()
            && !is_part
            && (field.need == Need::Expected || waits(*slot))
    };
    (0..).zip(entity.entity_type.fields).filter(is_expected).map(|(_, field)| field.name).collect()
}

/// The keys that the part at the cursor lacks, or the nearest one around it that lacks some.
fn missing_keys(view: &RequestContext<'_>, at: &Range<usize>) -> Option<CodeAction> {
    let (design, tree) = view.document.parsed()?;
    let mut id = part_at(design, at.start)?;
    let keys = loop {
        let keys = missing(view, id);
        if !keys.is_empty() {
            break keys;
        }
        id = design.store.get(id)?.parent?;
    };
    let entity = design.store.get(id)?;
    let insert = |key: &&str| insert_key(&design.source, tree, entity.node, key, "", entity.shared);
    let mut edits = keys.iter().map(insert).collect::<Result<Vec<_>, _>>().ok()?;
    // Each edit is made for the text as it stands. Behind an empty pair of braces, the second key needs a comma.
    let empty = edits.iter().skip(1).any(|edit| edit.text.starts_with(|c: char| c.is_alphabetic()));
    for edit in edits.iter_mut().skip(usize::from(empty)).filter(|_| empty) {
        edit.text.insert_str(0, ", ");
    }
    let text = apply(design.source.text(), &edits).ok()?;
    let after = Tree::parse(&crate::yaml::Source::new("", text));
    after.tree.filter(|_| after.problems.len() <= design.problems.len())?;
    let path = design.store.path(id);
    let of = if path.is_empty() { "the rocket" } else { &path };
    let title = format!("write the missing keys of {of}: {}", keys.join(", "));
    Some(action(view, title, CodeActionKind::QUICKFIX, &edits))
}

/// For each finding that is not for want of a value, a waiver with what is known of it. Reason, name and day are for the person who
/// answers for it: until they are written the file is not in order.
fn waivers(view: &RequestContext<'_>, at: &Range<usize>, reported: &[Diagnostic]) -> Vec<CodeAction> {
    let Some((design, tree)) = view.document.parsed() else { return Vec::new() };
    let may = |finding: &&Finding| finding.own.is_none() && finding.outcome != Verdict::Unproven;
    let made = findings(view, at).filter(may).filter_map(|finding| {
        let edit = waiver(design, tree, finding)?;
        let of = if finding.subject.is_empty() { "the rocket" } else { &finding.subject };
        let title = format!("waive {} of {of}: write who answers for it, why, and until when", finding.rule);
        let made = action(view, title, CodeActionKind::QUICKFIX, &[edit]);
        Some(CodeAction { diagnostics: of_finding(finding, reported), is_preferred: Some(false), ..made })
    });
    made.collect()
}

fn waiver(design: &Design, tree: &Tree, finding: &Finding) -> Option<Edit> {
    let mut keys = vec![format!("rule: {}", scalar_text(&finding.rule))];
    if !finding.subject.is_empty() {
        keys.push(format!("subject: {}", scalar_text(&finding.subject)));
    }
    if let Some(margin) = finding.margin {
        keys.push(format!("margin: {}", stated(margin)));
    }
    keys.extend(["reason: ", "by: ", "until: "].map(str::to_owned));
    let item = format!("{{{}}}", keys.join(", "));
    let slot = design.store.get(design.store.root())?.slot(rocket::waivers.slot);
    let source = &design.source;
    match slot.node.filter(|node| tree.is_list(*node)) {
        Some(list) => insert_item(source, tree, list, &item, slot.shared).ok(),
        None if slot.key.is_none() => {
            insert_key(source, tree, tree.root(), "waivers", &format!("[{item}]"), false).ok()
        }
        None => None,
    }
}

/// What `holdpoint mend` would change, as one edit of the lines that differ.
fn mend_all(view: &RequestContext<'_>) -> Option<CodeAction> {
    let options = crate::review::Options::on(view.today);
    let mended = mend(view.design().clone(), view.library, &options, &Choice::default());
    let (old, new) = (mended.first.design.source.text(), mended.last.design.source.text());
    if old == new {
        return None;
    }
    let common = |a: &mut dyn Iterator<Item = char>, b: &mut dyn Iterator<Item = char>| -> usize {
        a.zip(b).take_while(|(a, b)| a == b).map(|(a, _)| a.len_utf8()).sum()
    };
    let head = common(&mut old.chars(), &mut new.chars());
    let (old_rest, new_rest) = (old.get(head..)?, new.get(head..)?);
    let tail = common(&mut old_rest.chars().rev(), &mut new_rest.chars().rev());
    let text = new_rest.get(..new_rest.len() - tail)?.to_owned();
    let edit = Edit { span: Span::new(head, old.len() - tail), text };
    let title = format!("make the {} remedies that can be proved on paper", mended.changes.len());
    Some(action(view, title, MEND_ALL, &[edit]))
}

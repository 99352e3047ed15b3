//! Mending: remedies made one by one, in build order, each only when what follows from it is better than what was.

use std::sync::Arc;

use super::finding::TriedRemedy;
use super::{DesignReview, Finding, IncrementalReview, Options, remedy_trial};
use crate::design::Design;
use crate::model::Model;
use crate::rules::{Library, OwnRule, Verdict};
use crate::tables::Tables;
use crate::yaml::{Edit, Span};

/// Which remedies are made.
#[derive(Clone, Debug, Default)]
pub struct Choice {
    /// Also those that a person should look at first.
    pub unsafe_too: bool,
    /// Also those of these rules.
    pub rules: Vec<String>,
}

impl Choice {
    /// Whether a remedy of a rule may be made.
    #[must_use]
    pub fn takes(&self, rule: &str, remedy: &TriedRemedy) -> bool {
        !remedy.edits.is_empty()
            && (remedy.safe || self.unsafe_too || self.rules.iter().any(|name| name == rule))
    }
}

/// A value that was changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Changed {
    /// The rule whose remedy it is; none where a key got the name that it has now.
    pub rule: Option<String>,
    /// The remedy in words.
    pub say: String,
    /// The path of the key.
    pub key: String,
    /// The line, from 1, in the text as it stood then.
    pub line: u32,
    /// What stood there; empty where nothing did.
    pub old: String,
    /// What stands there now.
    pub new: String,
}

/// A design after mending.
#[derive(Debug)]
pub struct Mended {
    /// The review of the design as it was.
    pub first: DesignReview,
    /// What was changed, in order.
    pub changes: Vec<Changed>,
    /// The review of the mended design, remedies of what is left tried anew.
    pub last: DesignReview,
}

/// More remedies than this are not made in one run. Each one settles a finding and leaves none behind, so that there is
/// an end without it; it bounds the time that a hostile file can take.
const MOST_REMEDIES: usize = 200;
/// So many further remedies may follow from one: a ring is moved, and the button over it follows.
const MOST_FOLLOWING: usize = 6;

/// Mends a design as far as the remedies in force can. The file is not touched: the text is in the last review.
///
/// In each round the findings are gone through in the order of the report, and the first remedy is made that settles its
/// finding and worsens none. A remedy that would break another rule is followed up by that rule's own remedy; where that
/// does not end well, none of them is made. So of two remedies that contradict each other the earlier step's wins, and
/// a second run finds nothing to do.
#[must_use]
pub fn mend(design: Design, library: &Library, options: &Options, choice: &Choice) -> Mended {
    let mut whole = IncrementalReview::new(library, options.clone());
    let first = whole.review(design);
    let quick = Options {
        try_remedies: false,
        find_places: false,
        find_working: false,
        find_margins: false,
        find_not_judged: false,
        ..options.clone()
    };
    let mut incremental = IncrementalReview::new(library, quick);
    let mut changes = Vec::new();
    let mut now = incremental.review(Arc::clone(&first.design));
    if let Some(design) = with_present_keys(&now.design, incremental.tables(), &mut changes) {
        now = incremental.review(design);
    }
    if now.design.problems.is_empty() {
        while changes.len() < MOST_REMEDIES {
            let candidates = candidates(&now, library, choice);
            let settled = candidates
                .iter()
                .find_map(|(finding, remedy)| follow((&incremental, &now), finding, remedy, library, choice));
            let Some((further, next, made)) = settled else { break };
            changes.extend(made);
            (incremental, now) = (further, next);
        }
    }
    let last = if changes.is_empty() { first.clone() } else { whole.review(now.design) };
    Mended { first, changes, last }
}

/// The design with each key under the name that it has now; none where no key has another, or something else is wrong
/// with the file.
fn with_present_keys(design: &Design, tables: &Tables, made: &mut Vec<Changed>) -> Option<Design> {
    let mut edits: Vec<Edit> = Vec::new();
    for problem in &design.problems {
        let edit = problem.edit.as_deref()?;
        // A map that is merged into several is read once for each.
        if !edits.contains(edit) {
            edits.push(edit.clone());
        }
    }
    let copy = remedy_trial::edited(design, &edits, tables).filter(|_| !edits.is_empty())?;
    let message =
        |edit| design.problems.iter().find(|p| p.edit.as_deref() == Some(edit)).map(|p| p.message.clone());
    made.extend(edits.iter().map(|edit| changed(design, None, message(edit).unwrap_or_default(), edit)));
    Some(copy)
}

/// The findings that a remedy could settle, each with its remedy, in the order of the report.
fn candidates(review: &DesignReview, library: &Library, choice: &Choice) -> Vec<(Finding, TriedRemedy)> {
    let model = Model::new(&review.design, library.environment(review.today));
    let open = review.findings.iter().filter(|f| f.outcome != Verdict::Unproven && f.waiver().is_none());
    open.filter_map(|finding| {
        let rule = library.rule(&finding.rule)?;
        let remedy = remedy_trial::work_out(rule, &model, finding.subject_id)?.remedy;
        choice.takes(&finding.rule, &remedy).then(|| (finding.clone(), remedy))
    })
    .collect()
}

/// Makes a remedy on a copy, and those that it calls for; gives the copy's review when the finding is gone and no other is
/// worse than it was.
fn follow<'l>(
    (incremental, start): (&IncrementalReview<'l>, &DesignReview),
    finding: &Finding,
    remedy: &TriedRemedy,
    library: &Library,
    choice: &Choice,
) -> Option<(IncrementalReview<'l>, DesignReview, Vec<Changed>)> {
    let mut made = Vec::new();
    let mut incremental = incremental.clone();
    let mut at = step(start, finding, remedy, &mut incremental, &mut made)?;
    for _ in 0..MOST_FOLLOWING {
        if at.findings.iter().any(|f| f.fingerprint == finding.fingerprint) {
            return None;
        }
        let Some(worse) = at.findings.iter().find(|f| is_worse(f, start)) else {
            return Some((incremental, at, made));
        };
        let (next, its) = candidates(&at, library, choice)
            .into_iter()
            .find(|(candidate, _)| candidate.fingerprint == worse.fingerprint)?;
        at = step(&at, &next, &its, &mut incremental, &mut made)?;
    }
    None
}

/// Whether a finding was not there before, or was less grave, or was answered for.
fn is_worse(finding: &Finding, before: &DesignReview) -> bool {
    // A waiver that covers nothing any more is no harm: what it was for is gone.
    if finding.own == Some(OwnRule::WaiverUnused) {
        return false;
    }
    !before.findings.iter().any(|old| {
        old.fingerprint == finding.fingerprint
            && old.outcome <= finding.outcome
            && (old.waiver().is_none() || finding.waiver().is_some())
    })
}

fn step(
    from: &DesignReview,
    finding: &Finding,
    remedy: &TriedRemedy,
    incremental: &mut IncrementalReview<'_>,
    made: &mut Vec<Changed>,
) -> Option<DesignReview> {
    let copy = remedy_trial::edited(&from.design, &remedy.edits, incremental.tables())?;
    for edit in &remedy.edits {
        made.push(changed(&from.design, Some(finding), remedy.say.clone(), edit));
    }
    Some(incremental.review(copy))
}

fn changed(design: &Design, finding: Option<&Finding>, say: String, edit: &Edit) -> Changed {
    let source = &design.source;
    let subject = || finding.map(|f| f.subject.clone()).unwrap_or_default();
    Changed {
        rule: finding.map(|f| f.rule.clone()),
        say,
        key: key_at(design, edit.span).unwrap_or_else(subject),
        line: source.position(edit.span.start).line,
        old: source.slice(edit.span).trim().to_owned(),
        new: edit.text.trim().trim_start_matches(", ").to_owned(),
    }
}

/// The path of the field whose key or value stands at some bytes.
fn key_at(design: &Design, span: Span) -> Option<String> {
    design.store.all().find_map(|(id, entity)| {
        let slots = 0..u16::try_from(entity.entity_type.fields.len()).unwrap_or(0);
        let slot = slots
            .into_iter()
            .find(|slot| entity.slot(*slot).place == Some(span) || entity.slot(*slot).key == Some(span))?;
        Some(design.store.field_path(id, slot))
    })
}

//! Waivers: findings that someone answers for. One that is expired, unused or names no rule is itself a finding.

use super::finding::{Finding, Place};
use super::{Options, Standing, WaiverUsed, fingerprint};
use crate::design::{Design, WAIVER, waiver};
use crate::rules::{HoldPoint, Level, Library, Margin, Verdict};
use crate::vocabulary::{Date, EntityId, State, Value, suggest};

/// A waiver as written.
#[derive(Clone, Debug)]
pub struct Waiver {
    /// Where it is written.
    pub id: EntityId,
    /// The rule.
    pub rule: String,
    /// The subject's path or the end of it; every subject where not said.
    pub subject: Option<String>,
    /// Why it is acceptable.
    pub reason: String,
    /// Who answers for it.
    pub by: String,
    /// The last day it holds.
    pub until: Date,
    /// The margin when it was waived.
    pub margin: Option<f64>,
}

/// The waivers of a design; one that lacks a required field has been reported by the reader and is left out.
#[must_use]
pub fn waivers_of(design: &Design) -> Vec<Waiver> {
    let store = &design.store;
    let text = |id, slot: u16| match store.get(id).map(|e| &e.slot(slot).state) {
        Some(State::Known(Value::Text(text))) => Some(text.to_string()),
        _ => None,
    };
    store
        .of_kind(&WAIVER)
        .filter_map(|id| {
            let until = match store.get(id)?.slot(waiver::until.slot).state {
                State::Known(Value::Date(date)) => date,
                _ => return None,
            };
            let margin = match &store.get(id)?.slot(waiver::margin.slot).state {
                State::Known(Value::Quantity(quantity)) => Some(quantity.si),
                _ => None,
            };
            Some(Waiver {
                id,
                rule: text(id, waiver::rule.slot)?,
                subject: text(id, waiver::subject.slot),
                reason: text(id, waiver::reason.slot)?,
                by: text(id, waiver::by.slot)?,
                until,
                margin,
            })
        })
        .collect()
}

fn covers(waiver: &Waiver, finding: &Finding) -> bool {
    let subject = |s: &String| finding.subject == *s || finding.subject.ends_with(&format!(".{s}"));
    waiver.rule == finding.rule && waiver.subject.as_ref().is_none_or(subject)
}

/// A waiver holds only while the margin is no worse than when it was waived.
fn no_worse(waiver: &Waiver, finding: &Finding) -> bool {
    match (waiver.margin, finding.margin) {
        (Some(then), Some(now)) => now.size() >= then - 1e-9,
        (Some(_), None) => false,
        (None, _) => true,
    }
}

pub(super) fn apply(findings: &mut [Finding], waivers: &[Waiver], today: Date) {
    for finding in findings {
        let used = waivers.iter().find(|w| covers(w, finding) && w.until >= today && no_worse(w, finding));
        if let Some(w) = used {
            finding.standing = Standing::Waived(WaiverUsed {
                reason: w.reason.clone(),
                by: w.by.clone(),
                until: w.until.to_string(),
            });
        }
    }
}

/// Findings about the waivers themselves.
pub(super) fn complaints(
    design: &Design,
    waivers: &[Waiver],
    findings: &[Finding],
    library: &Library,
    options: &Options,
) -> Vec<Finding> {
    let mut all = Vec::new();
    for waiver in waivers {
        let rule = library.rule(&waiver.rule);
        let open = findings.iter().find(|f| covers(waiver, f));
        let (name, message) = if rule.is_none() {
            let near = suggest(&waiver.rule, library.rules.iter().map(|r| r.name.as_str()));
            let near = near.map(|n| format!("; did you mean `{n}`?")).unwrap_or_default();
            (
                "waiver-names-no-rule",
                format!("the waiver names `{}`, and no rule has that name{near}", waiver.rule),
            )
        } else if rule.is_some_and(|r| options.before.is_some_and(|b| r.before > b)) {
            continue;
        } else if open.is_none() {
            ("waiver-unused", format!("the waiver of `{}` covers nothing: remove it", waiver.rule))
        } else if waiver.until < options.today {
            ("waiver-expired", format!("the waiver of `{}` ran out on {}", waiver.rule, waiver.until))
        } else if open.is_some_and(|f| !no_worse(waiver, f)) {
            let now = open.and_then(|f| f.margin).map(Margin::size);
            let (then, now) =
                (waiver.margin.unwrap_or(0.0), now.map_or("not known".to_owned(), |n| format!("{n:.3}")));
            (
                "waiver-outgrown",
                format!("`{}` was waived at a margin of {then:.3}, and it is {now} now", waiver.rule),
            )
        } else {
            continue;
        };
        let path = design.store.path(waiver.id);
        let slot = if name == "waiver-expired" { waiver::until.slot } else { waiver::rule.slot };
        let span = design.store.get(waiver.id).and_then(|e| e.slot(slot).place);
        let field = if name == "waiver-expired" { "until" } else { "rule" };
        let places = span.map(|span| Place {
            key: design.store.field_path(waiver.id, slot),
            span,
            label: format!("{field}: {}", design.source.slice(span)),
        });
        all.push(Finding {
            rule: name.to_owned(),
            pack: "waivers".to_owned(),
            title: "Every waiver is in force, covers something and names a rule".to_owned(),
            outcome: Verdict::Broken,
            level: Level::Warning,
            before: HoldPoint::Parts,
            fingerprint: fingerprint(name, &path),
            subject: path,
            subject_id: waiver.id,
            message,
            why: "A waiver that nobody looks at any more hides the next mistake.".to_owned(),
            places: places.into_iter().collect(),
            working: Vec::new(),
            margin: None,
            source: "how waivers work".to_owned(),
            standing: Standing::Shown,
            remedies: Vec::new(),
            missing: Vec::new(),
        });
    }
    all
}

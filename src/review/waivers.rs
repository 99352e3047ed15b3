//! Waivers, written in the design or in a club's settings: findings that someone answers for. One that is expired, unused,
//! not bound to the waived value, or names no rule is itself a finding.

use super::finding::{About, Finding};
use super::margins::{no_worse, stated};
use super::places::FindingPlace;
use super::waiver_fields::{Waiver, WaiverFrom};
use super::{DesignReview, Disposition, Options, WaiverUsed};
use crate::design::{Design, waiver};
use crate::rules::{HoldPoint, Library, OwnRule};

fn covers(waiver: &Waiver, finding: &Finding) -> bool {
    let subject = |s: &String| finding.subject == *s || finding.subject.ends_with(&format!(".{s}"));
    waiver.rule == finding.rule && waiver.subject.as_ref().is_none_or(subject)
}

/// The waivers for several designs that a review went by, each in words, and whether it covers something there.
#[must_use]
pub fn waivers_of_several(
    review: &DesignReview,
    library: &Library,
    options: &Options,
) -> Vec<(String, bool)> {
    // One that names no rule is a finding already.
    let names_one = |waiver: &&Waiver| library.rule(&waiver.rule).is_some();
    let several = options.waivers.iter().filter(|waiver| waiver.of_several).filter(names_one);
    let said = several.map(|waiver| {
        let on = waiver.subject.as_ref().map(|subject| format!(" on `{subject}`")).unwrap_or_default();
        let at = match &waiver.from {
            WaiverFrom::Settings(at) => format!(" ({at})"),
            WaiverFrom::Design(_) => String::new(),
        };
        let covers_some = review.findings.iter().any(|finding| covers(waiver, finding));
        (format!("the waiver of `{}`{on}{at}", waiver.rule), covers_some)
    });
    said.collect()
}

/// Whether a waiver is of the value that is found now.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Bound {
    /// The margin is no worse than when it was waived, or neither side has one.
    NoWorse,
    /// The margin is worse, of another kind, or not known any more.
    Outgrown,
    /// The finding has a margin and the waiver does not say which was waived.
    Not,
}

fn bound(waiver: &Waiver, finding: &Finding) -> Bound {
    match (waiver.margin, finding.margin) {
        (None, None) => Bound::NoWorse,
        (None, Some(_)) => Bound::Not,
        (Some(_), None) => Bound::Outgrown,
        (Some(then), Some(now)) if no_worse(then, now) => Bound::NoWorse,
        (Some(_), Some(_)) => Bound::Outgrown,
    }
}

/// What a club asks a waiver to say and this one does not.
fn lacks<'o>(waiver: &Waiver, options: &'o Options) -> Option<&'o str> {
    options.waivers_need.iter().map(String::as_str).find(|needed| match *needed {
        "subject" => waiver.subject.is_none(),
        "margin" => waiver.margin.is_none(),
        "settings" => matches!(waiver.from, WaiverFrom::Design(_)),
        _ => false,
    })
}

pub(super) fn apply(findings: &mut [Finding], waivers: &[Waiver], options: &Options) {
    for finding in findings {
        let used = waivers.iter().find(|w| {
            covers(w, finding)
                && w.until >= options.today
                && bound(w, finding) == Bound::NoWorse
                && lacks(w, options).is_none()
        });
        if let Some(w) = used {
            let settings = match &w.from {
                WaiverFrom::Design(_) => None,
                WaiverFrom::Settings(place) => Some(place.clone()),
            };
            finding.disposition = Disposition::Waived(WaiverUsed {
                reason: w.reason.clone(),
                by: w.by.clone(),
                until: w.until.to_string(),
                settings,
            });
        }
    }
}

/// What is wrong with a waiver: the rule that it breaks, and words.
fn complaint(
    waiver: &Waiver,
    findings: &[Finding],
    library: &Library,
    options: &Options,
) -> Option<(OwnRule, String)> {
    let Some(rule) = library.rule(&waiver.rule) else {
        let why = match (OwnRule::of(&waiver.rule), library.no_rule(&waiver.rule).1) {
            (Some(_), _) => "which is a rule of the program itself".to_owned(),
            (None, None) => "and no rule has that name".to_owned(),
            (None, Some(help)) => format!("and no rule has that name; {help}"),
        };
        let words = format!("the waiver names `{}`, {why}", waiver.rule);
        return Some((OwnRule::WaiverNamesNoRule, words));
    };
    if options.before.is_some_and(|b| rule.before > b) {
        return None;
    }
    let mine: Vec<&Finding> = findings.iter().filter(|f| covers(waiver, f)).collect();
    if mine.is_empty() && waiver.of_several {
        return None;
    }
    if mine.is_empty() {
        return Some((
            OwnRule::WaiverUnused,
            format!("the waiver of `{}` covers nothing: remove it", waiver.rule),
        ));
    }
    if let Some(lacking) = lacks(waiver, options) {
        if lacking == "settings" {
            let words = format!(
                "the waiver of `{}` stands in the design, and the club's settings alone waive",
                waiver.rule
            );
            return Some((OwnRule::WaiverIncomplete, words));
        }
        let words = format!("the waiver of `{}` has no `{lacking}`, which the settings ask for", waiver.rule);
        return Some((OwnRule::WaiverIncomplete, words));
    }
    if waiver.until < options.today {
        return Some((
            OwnRule::WaiverExpired,
            format!("the waiver of `{}` ran out on {}", waiver.rule, waiver.until),
        ));
    }
    if let Some(outgrown) = mine.iter().find(|f| bound(waiver, f) == Bound::Outgrown) {
        let then = waiver.margin.map(|m| m.exact()).unwrap_or_default();
        let now = outgrown.margin.map_or_else(|| "not known".to_owned(), stated);
        let words = format!("`{}` was waived at a margin of {then}, and it is {now} now", waiver.rule);
        return Some((OwnRule::WaiverOutgrown, words));
    }
    let free = mine.iter().filter(|f| bound(waiver, f) == Bound::Not).filter_map(|f| f.margin);
    let narrowest = free.min_by(|a, b| a.size().total_cmp(&b.size()))?;
    let words = format!(
        "the waiver of `{}` does not say what was waived, and holds for nothing: write `margin: {}` in it if that may \
         stay, and it ends when it gets worse",
        waiver.rule,
        stated(narrowest)
    );
    Some((OwnRule::WaiverUnbound, words))
}

/// Findings about the waivers themselves.
pub(super) fn complaints(
    design: &Design,
    waivers: &[Waiver],
    findings: &[Finding],
    library: &Library,
    options: &Options,
) -> Vec<Finding> {
    let complain = |waiver: &Waiver| {
        let (rule, words) = complaint(waiver, findings, library, options)?;
        let before = HoldPoint::Parts;
        Some(match &waiver.from {
            WaiverFrom::Design(id) => {
                let (slot, field) = match rule {
                    OwnRule::WaiverExpired => (waiver::until.slot, "until"),
                    _ => (waiver::rule.slot, "rule"),
                };
                let place = design.store.get(*id).and_then(|e| e.slot(slot).place).map(|span| FindingPlace {
                    key: design.store.field_path(*id, slot),
                    span,
                    label: format!("{field}: {}", design.source.slice(span)),
                });
                let path = design.store.path(*id);
                let about = About { before, subject: path.clone(), subject_id: *id, key: path, place };
                Finding::of_own_rule(rule, words, about)
            }
            WaiverFrom::Settings(at) => {
                let key = format!("settings\0{}\0{}", waiver.rule, waiver.subject.as_deref().unwrap_or(""));
                Finding::of_own_rule(rule, format!("{words} ({at})"), About::whole(design, key))
            }
        })
    };
    waivers.iter().filter_map(complain).collect()
}

impl About {
    /// The whole of a design: its first key, for what is written elsewhere.
    pub(super) fn whole(design: &Design, key: String) -> Self {
        let root = design.store.root();
        let span = design.store.get(root).map(|entity| entity.key).filter(|span| !span.is_empty());
        let place = span.map(|span| FindingPlace {
            key: String::new(),
            span,
            label: format!("{}: the rocket as a whole", design.source.slice(span)),
        });
        Self { before: HoldPoint::Parts, subject: String::new(), subject_id: root, key, place }
    }
}

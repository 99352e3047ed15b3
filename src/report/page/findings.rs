//! The findings of a page, in build order, the worst first.

use maud::{Markup, html};

use super::prose::prose;
use super::{Numbered, Sheet, class};
use crate::report::margin::margin_text;
use crate::report::spread::share_of;
use crate::report::waiting::{conflict_line, part_line};
use crate::review::{Finding, Tried, conflicts, is_in_conflict, is_waiting, waiting};
use crate::rules::Verdict;
use crate::yaml::clean_line;

/// A finding that only waits for a value stands with the others that wait for it: a draft must not drown its author.
fn is_folded(finding: &Finding) -> bool {
    is_waiting(finding) || is_in_conflict(finding)
}

impl Sheet<'_> {
    /// Every finding that is shown, by hold point.
    pub(super) fn list(&self) -> Markup {
        // What is to be settled first lies open; the rest opens at a touch, so that a draft is not read from one end to the other.
        let first_held = self.review.hold_points.iter().find(|state| !state.clear).map(|state| state.point);
        html! {
            h2 id={ (self.prefix) "findings" } { "Findings" }
            @if self.findings.is_empty() { p { "Nothing to say against this design." } }
            @for state in &self.review.hold_points {
                @let mine = self.before(state.point);
                @let is_first = first_held == Some(state.point);
                @if !mine.is_empty() {
                    section class="before" id={ (self.prefix) "before-" (state.point.name()) } {
                        h3 { "Before " (state.point.name()) }
                        (self.graded(&mine, is_first))
                        (self.folded(&mine, is_first))
                    }
                }
            }
        }
    }

    /// What holds first; what is only to be read is folded where there is something that holds.
    fn graded(&self, mine: &[&Numbered<'_>], is_first: bool) -> Markup {
        let (holding, remarks): (Vec<&Numbered<'_>>, Vec<&Numbered<'_>>) =
            mine.iter().copied().filter(|one| !is_folded(one.finding)).partition(|one| one.finding.holds());
        let listed =
            |all: &[&Numbered<'_>]| html! { @for group in by_part(all) { (self.group(&group, is_first)) } };
        html! {
            (listed(&holding))
            @if self.review.is_clear() || remarks.is_empty() { (listed(&remarks)) } @else {
                details class="remarks" { summary { (remarks.len()) " to read: warnings and notes" } (listed(&remarks)) }
            }
        }
    }

    /// The findings of one part, under its name where they are several.
    fn group(&self, group: &[&Numbered<'_>], is_first: bool) -> Markup {
        let all = html! {
            @for one in group { (self.full(one, is_first && class(one.finding) == "broken")) }
        };
        html! {
            @match group {
                [first, _, ..] => div class="of-part" { h4 { (self.subject(first.finding)) } (all) },
                _ => (all),
            }
        }
    }

    fn subject(&self, finding: &Finding) -> String {
        let path = self.review.design.store.path(finding.subject_id);
        if path.is_empty() { "the rocket".to_owned() } else { clean_line(&path).into_owned() }
    }

    /// The findings before one hold point that wait for values: one line a part, with the findings themselves folded in behind the
    /// first part that they wait for.
    fn folded(&self, mine: &[&Numbered<'_>], is_first: bool) -> Markup {
        let of = |findings: &[&Finding]| -> Vec<&Numbered<'_>> {
            let is_one = |one: &&&Numbered<'_>| findings.iter().any(|f| std::ptr::eq(*f, one.finding));
            mine.iter().filter(is_one).copied().collect()
        };
        let mut shown_before: Vec<usize> = Vec::new();
        let mut groups: Vec<(String, Vec<&Numbered<'_>>)> = Vec::new();
        for one in conflicts(mine.iter().map(|one| one.finding)) {
            groups.push((conflict_line(&one), of(&one.findings)));
        }
        for part in waiting(mine.iter().map(|one| one.finding)) {
            let waits = |one: &&&Numbered<'_>| {
                is_waiting(one.finding)
                    && one.finding.missing.iter().any(|v| part.values.iter().any(|p| p.key == v.key))
            };
            let new: Vec<&Numbered<'_>> = mine
                .iter()
                .filter(waits)
                .copied()
                .filter(|one| !shown_before.contains(&one.number))
                .collect();
            shown_before.extend(new.iter().map(|one| one.number));
            groups.push((part_line(&part), new));
        }
        html! {
            @if !groups.is_empty() {
                details class="waiting" open[is_first] {
                    summary { "Not written down yet, so not proven: " (groups.len()) @if groups.len() == 1 { " part" } @else { " parts" } }
                    ul class="short" { @for (line, findings) in groups {
                        li {
                            @if findings.is_empty() { (prose(&line)) } @else {
                                details {
                                    summary { (prose(&line)) }
                                    ul { @for one in findings { (self.short(one)) } }
                                }
                            }
                        }
                    } }
                }
            }
        }
    }

    /// Where a finding is: its part in the drawing, and the lines of its bytes.
    fn places(&self, one: &Numbered<'_>) -> Markup {
        let part =
            self.findings.iter().position(|f| f.number == one.number).and_then(|at| self.pinned.get(at));
        let part = part.copied().unwrap_or(0);
        let source = &self.review.design.source;
        html! {
            span class="where" {
                a class="part" href={ "#" (self.prefix) "part-" (part) } {
                    @if part == 0 { "the whole rocket" } @else { "part " (part) }
                }
                @for place in &one.finding.places {
                    " "
                    a class="place" href={ "#" (self.prefix) "b" (place.span.start) }
                        data-from=(place.span.start) data-to=(place.span.end) {
                        "line " (source.position(place.span.start).line)
                    }
                }
            }
        }
    }

    fn short(&self, one: &Numbered<'_>) -> Markup {
        let finding = one.finding;
        html! {
            li id={ (self.prefix) "f" (one.number) } class=(class(finding)) {
                span class="number" { "F" (one.number) } " "
                (prose(&finding.message))
                " " span class="rule" { (clean_line(&finding.rule)) } " " (self.places(one))
                (waiver(finding))
            }
        }
    }

    fn full(&self, one: &Numbered<'_>, is_open: bool) -> Markup {
        let finding = one.finding;
        let worked: Vec<_> = finding.working.iter().filter(|w| !w.formula.is_empty()).collect();
        html! {
            details class={ "finding " (class(finding)) } id={ (self.prefix) "f" (one.number) } open[is_open] {
                summary class="first" {
                    span class="number" { "F" (one.number) } " "
                    span class="level" { (finding.level.name()) @if finding.outcome != Verdict::Broken { ", " (finding.outcome.name()) } } " "
                    span class="message" { (prose(&finding.message)) }
                }
                p { span class="rule" { (clean_line(&finding.rule)) } (self.places(one)) }
                (waiver(finding))
                p {
                    (prose(&finding.why))
                    @if let Some(margin) = finding.margin { " Margin: " strong { (margin_text(margin)) } "." }
                    @if let Some(share) = share_of(finding, self.review) { " How sure: " (share) "." }
                }
                @for remedy in &finding.remedies {
                    p class="change" {
                        "Change: " (prose(&remedy.say))
                        @match remedy.tried {
                            None => {},
                            Some(Tried::Clears) => " (tried on a copy: clears this and breaks nothing else)",
                            Some(Tried::Partly) => " (tried on a copy: breaks nothing, and leaves more to write down or to mend)",
                            Some(Tried::Breaks) => " (tried on a copy: breaks something else, so think twice)",
                        }
                    }
                }
                ul class="labels" {
                    @for place in &finding.places {
                        li { a href={ "#" (self.prefix) "b" (place.span.start) } { (clean_line(&place.key)) } ": " (prose(&place.label)) }
                    }
                }
                @if !worked.is_empty() {
                    details { summary { "How it was worked out" }
                        ul class="working" { @for line in worked {
                            li { (clean_line(&line.name)) " = " (clean_line(&line.value)) " " span class="formula" { "[" (clean_line(&line.formula)) "]" } }
                        } }
                    }
                }
                p class="origin" { "Source: " (prose(&finding.source)) }
            }
        }
    }
}

/// The findings of one part together, where the first of them stands.
fn by_part<'n, 'r>(mine: &[&'n Numbered<'r>]) -> Vec<Vec<&'n Numbered<'r>>> {
    let mut groups: Vec<Vec<&Numbered<'_>>> = Vec::new();
    for one in mine.iter().copied() {
        let of_part = |group: &&mut Vec<&Numbered<'_>>| {
            group.first().is_some_and(|first| first.finding.subject_id == one.finding.subject_id)
        };
        match groups.iter_mut().find(of_part) {
            Some(group) => group.push(one),
            None => groups.push(vec![one]),
        }
    }
    groups
}

fn waiver(finding: &Finding) -> Markup {
    html! {
        @if let Some(waiver) = finding.waiver() {
            p class="waiver" {
                "Waived by " (clean_line(&waiver.by)) " until " (clean_line(&waiver.until)) ": " (clean_line(&waiver.reason))
            }
        }
    }
}

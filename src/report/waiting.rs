//! What is not written down yet, in words: one line a part, so that a draft does not drown its author.

use super::reading::{Cell, Reading};
use crate::model::Model;
use crate::review::{Conflict, WaitedFor, WaitingPart};
use crate::rules::HoldPoint;
use crate::yaml::clean_line;

/// More keys or rules than this are counted and not named.
const MOST_NAMED: usize = 6;
/// So many rules are named.
const RULES_NAMED: usize = 3;

/// The part as it is called in a line.
pub(super) fn part_name(part: &WaitingPart) -> String {
    if part.part.is_empty() { "the rocket".to_owned() } else { clean_line(&part.part).into_owned() }
}

/// `1 rule waits`, `12 rules wait`.
pub(super) fn rules_wait(count: usize) -> String {
    if count == 1 { "1 rule waits".to_owned() } else { format!("{count} rules wait") }
}

/// The rules by name, those that are too many left out.
pub(super) fn rules_named(rules: &[String]) -> String {
    let named: Vec<_> = rules.iter().take(RULES_NAMED).map(|rule| clean_line(rule).into_owned()).collect();
    let more = if rules.len() > RULES_NAMED { ", …" } else { "" };
    format!("{}{more}", named.join(", "))
}

fn value(value: &WaitedFor) -> String {
    let unreadable = if value.unreadable { " (cannot be read)" } else { "" };
    format!("`{}`{unreadable}", clean_line(&value.name))
}

/// The values of a part by their keys, those that are too many counted.
pub(super) fn values_named<'w>(values: impl IntoIterator<Item = &'w WaitedFor>) -> String {
    let all: Vec<String> = values.into_iter().map(value).collect();
    let more = all.len().saturating_sub(MOST_NAMED);
    let named = all.get(..all.len() - more).unwrap_or(&all).join(", ");
    if more > 0 { format!("{named} and {more} more") } else { named }
}

/// Values of a part by their keys, behind its name.
#[must_use]
pub fn waiting_values<'w>(part: &WaitingPart, values: impl IntoIterator<Item = &'w WaitedFor>) -> String {
    format!("{}: {}", part_name(part), values_named(values))
}

/// Values that a measure decides and that can be worked out from others: the part, the key, the quantity, and what that is.
const PROPOSED: &[(&str, &str, &str, &str)] =
    &[("charge", "free_volume", "left_there", "the room behind its joint less what is packed there")];

/// What may be written for values of a part, by what is written elsewhere, a line each.
#[must_use]
pub fn proposed(model: &Model<'_>, part: &WaitingPart) -> Vec<String> {
    let r = Reading::new(model);
    let line = |value: &WaitedFor| {
        let of = model.entity(value.entity)?.entity_type.name;
        let (_, _, quantity, what) =
            PROPOSED.iter().find(|(known, key, ..)| *known == of && *key == value.name)?;
        match r.cell(value.entity, quantity) {
            Cell::Known(comes_to) => Some(format!(
                "`{}` comes to {comes_to}: {what}; compare it with a measure, and write it",
                value.name
            )),
            _ => None,
        }
    };
    part.values.iter().filter_map(line).collect()
}

/// A part in one line: ``12 rules wait for `impulse` of motor, first before parts (names, …)``.
pub(super) fn part_line(part: &WaitingPart) -> String {
    format!(
        "{} for {} of {}, first before {} ({})",
        rules_wait(part.rules.len()),
        values_named(&part.values),
        part_name(part),
        part.before,
        rules_named(&part.rules)
    )
}

/// What makes no sense together, in one line.
pub(super) fn conflict_line(conflict: &Conflict<'_>) -> String {
    let rules = rules_of(conflict);
    format!("{}: {} ({})", clean_line(&conflict.reason), rules_wait(rules.len()), rules_named(&rules))
}

/// The rules that wait for a conflict to be settled.
pub(super) fn rules_of(conflict: &Conflict<'_>) -> Vec<String> {
    let mut rules: Vec<String> = conflict.findings.iter().map(|finding| finding.rule.clone()).collect();
    rules.sort_unstable();
    rules.dedup();
    rules
}

/// The values of a part that one hold point asks for first.
pub(super) fn values_before(part: &WaitingPart, point: HoldPoint) -> Vec<&WaitedFor> {
    part.values.iter().filter(|value| value.holds_before(point)).collect()
}

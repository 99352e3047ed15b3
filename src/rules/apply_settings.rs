//! What a club's settings change of packs: limits, levels, rules that are switched off.

use std::sync::Arc;

use super::active::{ActiveLimit, Rule};
use super::departure::{Departure, DepartureKind};
use super::draft::Draft;
use super::fixed::conditions_fixed;
use super::level::Level;
use super::library::no_rule;
use super::own_rules::OwnRule;
use super::parsed::ParsedPack;
use super::problems::Problems;
use super::settings::{LimitSetting, Settings, SourceLocation};
use crate::language::{Constant, Names, Scope, check, parse};
use crate::model::Catalogue;
use crate::quantity::Quantity;
use crate::vocabulary::suggest;
use crate::yaml::{Problem, Source};

/// Sets the limits of packs as a club does: each of a limit that there is, of its dimension, and on its side of zero.
pub(super) fn set_limits(
    drafts: &mut [Draft],
    settings: &Settings,
    Problems(problems): &mut Problems,
) -> Vec<Departure> {
    let mut set: Vec<(&str, &str)> = Vec::new();
    let mut departures = Vec::new();
    for wanted in &settings.limits {
        let Some(draft) = drafts.iter_mut().find(|d| d.parsed.name == wanted.pack) else {
            let near = suggest(&wanted.pack, drafts.iter().map(|d| d.parsed.name.as_str()));
            let (source, problem) = wanted.pack_at.problem(format!("no pack is named `{}`", wanted.pack));
            problems.push((source, problem.maybe_help(near.map(|n| format!("did you mean `{n}`?")))));
            continue;
        };
        let Some(limit) = draft.limits.iter_mut().find(|l| l.name == wanted.limit) else {
            let near = suggest(&wanted.limit, draft.limits.iter().map(|l| l.name.as_str()));
            let (source, problem) =
                wanted.limit_at.problem(format!("pack `{}` has no limit `{}`", wanted.pack, wanted.limit));
            problems.push((source, problem.maybe_help(near.map(|n| format!("did you mean `{n}`?")))));
            continue;
        };
        if limit.value.dimension != wanted.is.dimension {
            let message = format!(
                "`{}` is {}, as in {}; this is {}",
                wanted.limit,
                limit.value.dimension.in_words(),
                limit.value,
                wanted.is.dimension.in_words()
            );
            problems.push(wanted.at.problem(message));
            continue;
        }
        // A least speed of nothing is kept by every rocket.
        let side = |value: Quantity| value.si.partial_cmp(&0.0);
        if limit.value.si != 0.0 && side(wanted.is) != side(limit.value) {
            let message = format!(
                "`{}` is {} in its pack; at {} what rests on it would come out the same for every rocket",
                wanted.limit, limit.value, wanted.is
            );
            let (source, problem) = wanted.at.problem(message);
            problems.push((source, problem.help(SWITCHED_OFF_HONESTLY)));
            continue;
        }
        if set.contains(&(&wanted.pack, &wanted.limit)) {
            problems.push(wanted.limit_at.problem(format!("`{}` is set twice", wanted.limit)));
            continue;
        }
        set.push((&wanted.pack, &wanted.limit));
        departures.extend(departs(
            DepartureKind::Limit,
            format!("{}.{}", wanted.pack, wanted.limit),
            (limit.value.to_string(), wanted.is.to_string()),
            (&wanted.reason, &wanted.at),
        ));
        set_limit(limit, wanted);
        if draft.parsed.own_limits.is_empty() {
            draft.parsed.own_limits.clone_from(&draft.parsed.names.limits);
        }
        for constant in draft.parsed.names.limits.iter_mut().filter(|c| c.name == wanted.limit) {
            *constant = Constant { name: wanted.limit.clone(), value: wanted.is };
        }
    }
    departures
}

/// A change of what a pack says; nothing where it says the same.
fn departs(
    kind: DepartureKind,
    of: String,
    (was, is): (String, String),
    (reason, at): (&str, &SourceLocation),
) -> Option<Departure> {
    (was != is).then(|| Departure {
        kind,
        of,
        was,
        is,
        reason: reason.to_owned(),
        by: None,
        until: None,
        at: at.clone(),
    })
}

fn set_limit(limit: &mut ActiveLimit, wanted: &LimitSetting) {
    limit.citation = format!(
        "set by {}: {}; the pack says {} ({})",
        wanted.at.in_words(),
        wanted.reason,
        limit.value,
        limit.citation
    );
    limit.value = wanted.is;
}

/// What is wrong with limits that were set so that a condition of a rule comes out the same for every design, where it does not by
/// the pack's own limits.
pub(super) fn fixed_by_settings(
    opened: &ParsedPack,
    catalogue: &Catalogue,
    settings: &Settings,
    rules: &[Rule],
) -> Vec<(Arc<Source>, Problem)> {
    let mut problems = Vec::new();
    if opened.own_limits.is_empty() {
        return problems;
    }
    let own = Names { limits: opened.own_limits.clone(), ..opened.names.clone() };
    for rule in rules.iter().filter(|rule| rule.pack == opened.name) {
        let named: Vec<&str> =
            rule.when.iter().chain([&rule.require]).flat_map(|expression| expression.limits()).collect();
        let set: Vec<&LimitSetting> = settings
            .limits
            .iter()
            .filter(|set| set.pack == opened.name && named.contains(&set.limit.as_str()))
            .collect();
        if set.is_empty() {
            continue;
        }
        let scope = Scope { own: &own, ..Scope::about(catalogue, rule.entity_type) };
        let by_pack = |text: &str| parse(text).and_then(|tree| check(&tree, &scope)).ok();
        let Some(require) = by_pack(&rule.require_text) else { continue };
        let when = rule.when_text.as_deref().and_then(by_pack);
        let before = conditions_fixed(when.as_ref(), &require);
        let now = conditions_fixed(rule.when.as_ref(), &rule.require);
        let Some((fixed, of_when)) = now.into_iter().find(|one| !before.contains(one)) else { continue };
        let text = if of_when { rule.when_text.as_deref() } else { Some(rule.require_text.as_str()) };
        let condition = text.and_then(|text| text.get(fixed.range.clone())).unwrap_or_default();
        for wanted in set {
            let words = condition.split_whitespace().collect::<Vec<_>>().join(" ");
            let message = format!(
                "with `{}` at {}, `{words}` of `{}` always comes out {}: no design has a say",
                wanted.limit, wanted.is, rule.name, fixed.truth
            );
            let (source, problem) = wanted.at.problem(message);
            problems.push((source, problem.help(SWITCHED_OFF_HONESTLY)));
        }
    }
    problems
}

/// How a rule may be done without so that everyone sees it.
const SWITCHED_OFF_HONESTLY: &str =
    "a rule is switched off under `switched_off`, with a reason, a name and a last day";

/// Sets the levels of rules as a club does.
pub(super) fn set_levels(
    rules: &mut [Rule],
    settings: &Settings,
    problems: &mut Problems,
) -> (Vec<Departure>, Vec<(OwnRule, Level)>) {
    let (mut departures, mut own_levels) = (Vec::new(), Vec::new());
    for wanted in &settings.levels {
        if let Some(own) = OwnRule::of(&wanted.rule) {
            let about = own.about();
            if about.fixed {
                let message =
                    format!("`{own}` is a rule of the program itself, and stays an {}", about.level);
                let (source, problem) = wanted.at.problem(message);
                let help = "it guards that what was reviewed is what is told: mend what it finds";
                problems.take(&source, [problem.help(help)]);
                continue;
            }
            let levels = (about.level.name().to_owned(), wanted.level.name().to_owned());
            let why = (wanted.reason.as_str(), &wanted.at);
            departures.extend(departs(DepartureKind::Level, own.name().to_owned(), levels, why));
            own_levels.push((own, wanted.level));
            continue;
        }
        let Some(number) = numbered(rules, &wanted.rule, &wanted.at, problems) else { continue };
        let Some(rule) = rules.get_mut(number) else { continue };
        let levels = (rule.level.name().to_owned(), wanted.level.name().to_owned());
        let why = (wanted.reason.as_str(), &wanted.at);
        departures.extend(departs(DepartureKind::Level, rule.name.clone(), levels, why));
        rule.level = wanted.level;
    }
    (departures, own_levels)
}

/// Switches rules off as a club does.
pub(super) fn switch_off(rules: &mut [Rule], settings: &Settings, problems: &mut Problems) -> Vec<Departure> {
    let mut departures = Vec::new();
    for wanted in &settings.off {
        let Some(number) = numbered(rules, &wanted.rule, &wanted.at, problems) else { continue };
        let Some(rule) = rules.get_mut(number) else { continue };
        rule.off_until = rule.off_until.max(Some(wanted.until));
        departures.push(Departure {
            kind: DepartureKind::Off,
            of: rule.name.clone(),
            was: rule.level.name().to_owned(),
            is: DepartureKind::Off.name().to_owned(),
            reason: wanted.reason.clone(),
            by: Some(wanted.by.clone()),
            until: Some(wanted.until),
            at: wanted.at.clone(),
        });
    }
    departures
}

/// The number of a rule that settings name; one that there is not is a problem of theirs.
fn numbered(rules: &[Rule], name: &str, at: &SourceLocation, problems: &mut Problems) -> Option<usize> {
    let found = rules.iter().position(|rule| rule.name == name);
    if found.is_none() {
        let (words, help) = no_rule(rules, name);
        let (source, problem) = at.problem(words);
        problems.take(&source, [problem.maybe_help(help)]);
    }
    found
}

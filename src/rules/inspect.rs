//! What is wrong with packs that load: conditions that cannot vary, rules that say what others say, names without
//! use, sources that name none.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::active::Rule;
use super::built_in::BuiltIn;
use super::code::Applies;
use super::doubtful_texts::doubtful_texts;
use super::fixed::constant_problem;
use super::level::Level;
use super::library::Library;
use super::steps::CheckStep;
use super::uncertainty::Uncertainty;
use crate::language::{Conjunct, Facts, fixed_conditions};
use crate::yaml::{Problem, Source};

/// Something to mend in a pack.
#[derive(Clone, Debug)]
pub struct Remark {
    /// An error, or a warning.
    pub level: Level,
    /// The file.
    pub source: Arc<Source>,
    /// What it is, and where.
    pub problem: Problem,
}

/// What is wrong with the packs from the files that a filter lets through; nothing where they are as they should be.
#[must_use]
pub fn inspect(library: &Library, wanted: &dyn Fn(&Source) -> bool) -> Vec<Remark> {
    let mut remarks = Vec::new();
    let mut report = |level, source: &Arc<Source>, problem| {
        if wanted(source) {
            remarks.push(Remark { level, source: Arc::clone(source), problem });
        }
    };
    for rule in &library.rules {
        for (fixed, place) in rule.fixed() {
            let level = if fixed.by_limit { Level::Warning } else { Level::Error };
            report(level, &rule.source, constant_problem(&fixed, place));
        }
    }
    for derived in &library.derived {
        for fixed in fixed_conditions(derived.checked(), &Facts::default()) {
            let level = if fixed.by_limit { Level::Warning } else { Level::Error };
            report(level, &derived.source, constant_problem(&fixed, &derived.written));
        }
    }
    for pack in &library.packs {
        for one in &pack.functions {
            for fixed in fixed_conditions(one.function.body(), &Facts::default()) {
                let level = if fixed.by_limit { Level::Warning } else { Level::Error };
                report(level, &pack.source, constant_problem(&fixed, &one.written));
            }
        }
        for (fixed, place) in pack.steps().iter().flat_map(CheckStep::fixed) {
            let level = if fixed.by_limit { Level::Warning } else { Level::Error };
            report(level, &pack.source, constant_problem(&fixed, place));
        }
    }
    for (level, rule, problem) in alike(library) {
        report(level, &rule.source, problem);
    }
    for (source, problem) in unused(library) {
        report(Level::Warning, &source, problem);
    }
    for pack in &library.packs {
        for span in &pack.unsourced {
            let problem = Problem::at(*span, "this source names nothing that a reader could look up or ask")
                .help(
                    "write a `title`, what is `common_practice`, or the `club`; a note is beside one of them",
                );
            report(Level::Warning, &pack.source, problem);
        }
        if BuiltIn::of(&pack.source).is_none() && wanted(&pack.source) {
            for problem in doubtful_texts(&pack.source) {
                report(Level::Warning, &pack.source, problem);
            }
        }
    }
    remarks.sort_by_key(|r| (r.source.name().to_owned(), r.problem.span));
    remarks
}

/// What a rule asks: when it applies, and what must then be so.
struct Asked<'r> {
    rule: &'r Rule,
    when: Vec<Conjunct>,
    require: Vec<Conjunct>,
}

/// Whether each demand of one list follows from some demand of another.
fn follow(mine: &[Conjunct], from: &[Conjunct]) -> bool {
    mine.iter().all(|demand| from.iter().any(|other| demand.follows_from(other)))
}

impl Asked<'_> {
    /// Whether this rule is broken only where another is, which is at least as grave and asked no later.
    fn says_nothing_beside(&self, other: &Self) -> bool {
        self.rule.entity_type == other.rule.entity_type
            && follow(&other.when, &self.when)
            && follow(&self.require, &other.require)
            && other.rule.level <= self.rule.level
            && other.rule.before <= self.rule.before
    }

    fn asks_the_same_as(&self, other: &Self) -> bool {
        let same = |a: &[Conjunct], b: &[Conjunct]| follow(a, b) && follow(b, a);
        self.rule.entity_type == other.rule.entity_type
            && same(&self.when, &other.when)
            && same(&self.require, &other.require)
    }
}

/// Whether two rules are judged of the same rockets: a code that is not in force leaves what it asks to the others, and a
/// clause of it bears its own number beside what is common practice.
fn judged_together(library: &Library, one: &Rule, other: &Rule) -> bool {
    let always = |rule: &Rule| {
        let pack = library.packs.iter().find(|pack| pack.name == rule.pack);
        pack.is_some_and(|pack| matches!(pack.applies, Applies::Always))
    };
    one.pack == other.pack || (always(one) && always(other))
}

/// What to do where a rule asks the same as another one. One that is built in stays: a club's settings say what is otherwise.
fn instead(mine: &Rule, other: &Rule) -> String {
    if BuiltIn::of(&other.source).is_none() || BuiltIn::of(&mine.source).is_some() {
        return "keep one of the two".to_owned();
    }
    let limits: BTreeSet<&str> =
        other.when.iter().chain([&other.require]).flat_map(|checked| checked.limits()).collect();
    let limits = match limits.first() {
        Some(limit) => format!(
            "; another number under `limits`: {{pack: {}, limit: {limit}, is: …, reason: …}}",
            other.pack
        ),
        None => String::new(),
    };
    let name = &other.name;
    format!(
        "leave this one out, for the other is built in and always judged; a club takes it otherwise in its \
         holdpoint.yaml: more or less gravely under `levels`: {{rule: {name}, level: {}, reason: …}}, and not at all under \
         `switched_off`{limits}",
        mine.level
    )
}

/// Rules that ask what another rule asks, or less.
fn alike(library: &Library) -> Vec<(Level, &Rule, Problem)> {
    let asked: Vec<Asked<'_>> = library
        .rules
        .iter()
        .map(|rule| Asked {
            rule,
            when: rule.when.as_ref().map(Conjunct::all_of).unwrap_or_default(),
            require: Conjunct::all_of(&rule.require),
        })
        .collect();
    let mut found = Vec::new();
    for (at, mine) in asked.iter().enumerate() {
        let here = |other: &Asked<'_>, problem: Problem| {
            // A place in another file cannot be shown beside this one.
            if other.rule.source.name() == mine.rule.source.name() {
                problem.related(other.rule.place, "the other rule")
            } else {
                problem
            }
        };
        let judged_with = |other: &&Asked<'_>| judged_together(library, mine.rule, other.rule);
        if let Some(other) =
            asked.iter().take(at).filter(judged_with).find(|other| mine.asks_the_same_as(other))
        {
            let message = format!(
                "`{}` asks the same as `{}` of pack `{}`",
                mine.rule.name, other.rule.name, other.rule.pack
            );
            let problem = Problem::at(mine.rule.place, message).help(instead(mine.rule, other.rule));
            found.push((Level::Error, mine.rule, here(other, problem)));
            continue;
        }
        let shadow = asked.iter().filter(|other| other.rule.name != mine.rule.name).find(|other| {
            other.rule.pack == mine.rule.pack
                && mine.says_nothing_beside(other)
                && !mine.asks_the_same_as(other)
        });
        if let Some(other) = shadow {
            let message = format!(
                "`{}` is broken only where `{}` is, which asks for more",
                mine.rule.name, other.rule.name
            );
            let problem = Problem::at(mine.rule.place, message)
                .help("leave it out, or make it graver than the other, or ask it earlier");
            found.push((Level::Warning, mine.rule, here(other, problem)));
        }
    }
    found
}

const LEAVE_OUT: &str = "use it in a rule, or leave it out";

/// Limits, columns, functions and derived quantities that nothing uses.
fn unused(library: &Library) -> Vec<(Arc<Source>, Problem)> {
    let mut limits: BTreeSet<(&str, &str)> = BTreeSet::new();
    let (mut functions, mut columns) = (BTreeSet::new(), BTreeSet::new());
    let mut computed: BTreeSet<(&str, u16)> = BTreeSet::new();
    let rules =
        library.rules.iter().flat_map(|rule| rule.expressions().into_iter().map(|e| (&rule.pack, e.0)));
    let derived = library.derived.iter().map(|derived| (&derived.pack, derived.checked()));
    let codes = library.packs.iter().flat_map(|pack| pack.conditions().map(|c| (&pack.name, c)));
    let steps = library.packs.iter().flat_map(|pack| {
        pack.steps().iter().flat_map(CheckStep::expressions).map(|expression| (&pack.name, expression))
    });
    let uncertain = library.packs.iter().flat_map(|pack| {
        pack.uncertainties().iter().flat_map(Uncertainty::expressions).map(|one| (&pack.name, one))
    });
    for (pack, expression) in rules.chain(derived).chain(codes).chain(steps).chain(uncertain) {
        limits.extend(expression.limits().into_iter().map(|limit| (pack.as_str(), limit)));
        functions.extend(expression.own_functions().into_iter().map(|name| (pack.as_str(), name)));
        columns.extend(expression.columns().into_iter().map(|name| (pack.as_str(), name)));
        computed.extend(
            expression.computed().into_iter().map(|(entity_type, number)| (entity_type.name, number)),
        );
    }
    let mut found = Vec::new();
    for pack in &library.packs {
        // Of a pack with a rule that could not be read nobody knows what that rule uses.
        if library.problems.iter().any(|(source, _)| source.name() == pack.source.name()) {
            continue;
        }
        for limit in pack.limits.iter().filter(|l| !limits.contains(&(pack.name.as_str(), l.name.as_str()))) {
            let problem =
                Problem::at(limit.place, format!("nothing compares with the limit `{}`", limit.name));
            found.push((Arc::clone(&pack.source), problem.help(LEAVE_OUT)));
        }
        for one in &pack.functions {
            let name = &one.function.name;
            if !functions.contains(&(pack.name.as_str(), name.as_str())) {
                let problem = Problem::at(one.place, format!("nothing calls the function `{name}`"));
                found.push((Arc::clone(&pack.source), problem.help(LEAVE_OUT)));
            }
        }
        for one in &pack.tables {
            for (column, _) in one.table.columns.iter().skip(1) {
                let name = format!("{}.{column}", one.table.name);
                if !columns.contains(&(pack.name.as_str(), name.as_str())) {
                    let problem = Problem::at(one.place, format!("nothing looks a value up in `{name}`"));
                    found.push((Arc::clone(&pack.source), problem.help(LEAVE_OUT)));
                }
            }
        }
    }
    // A quantity may be used by a rule of any pack.
    let is_read = library.problems.is_empty();
    for derived in library.derived.iter().filter(|_| is_read) {
        if !computed.contains(&(derived.entity_type.name, derived.number)) {
            let message =
                format!("no rule uses `{}` of {}", derived.name, derived.entity_type.with_article());
            let problem = Problem::at(derived.place, message).help(LEAVE_OUT);
            found.push((Arc::clone(&derived.source), problem));
        }
    }
    found
}

//! Sources in, a library out: packs read, their limits set, their quantities and rules checked, in this order.

use std::collections::HashMap;
use std::sync::Arc;

use super::active::{ActiveLimit, ActivePack, Places, Rule};
use super::apply_settings::{fixed_by_settings, set_levels, set_limits, switch_off};
use super::built_in::BuiltIn;
use super::citation::{cite, text};
use super::code::{Applies, Ask};
use super::compile::Compiler;
use super::derived::derive_all;
use super::draft::Draft;
use super::fixed::constant_problem;
use super::library::{Library, unknown_code};
use super::messages::Words;
use super::metadata::{PackMetadata, unmet};
use super::own_rules::OwnRule;
use super::pack::{ASK, LIMIT, PACK, RULE, ask, limit, pack, remedy, rule};
use super::pack_tables::read_tables;
use super::parsed::{ParsedPack, place};
use super::place::PackPosition;
use super::problems::Problems;
use super::settings::Settings;
use super::steps::{CheckStep, Steps};
use super::trial::{LaterTrials, ReadTrials, Trials, places, read_trials};
use super::uncertainty::Uncertainties;
use crate::design::ROCKET;
use crate::language::{Checked, Constant, LanguageError, Names, unfit_identifier};
use crate::model::{Catalogue, Type, catalogue};
use crate::quantity::{Quantity, unit};
use crate::tables::{SOURCE, Tables, source as cited};
use crate::vocabulary::{Entity, EntityId, Key, State, Typed, read};
use crate::yaml::{Problem, Source, Span, Tree, in_order};

/// Compiles packs, in order, beside the built-in tables and a club's, with the limits and levels of its settings. Any pack may
/// use the derived quantities of any other.
pub(super) fn compile(sources: Vec<Source>, tables: Vec<Source>, settings: &Settings) -> Library {
    let own = Tables::built_in();
    let tables = if tables.is_empty() { Arc::clone(own) } else { Arc::new(own.with(tables)) };
    let mut problems = Problems(tables.problems().to_vec());
    let mut drafts = Vec::new();
    for source in sources {
        drafts.extend(open(Arc::new(source), &drafts, &mut problems));
    }
    let mut departures = set_limits(&mut drafts, settings, &mut problems);
    let mut catalogue = catalogue();
    let derived = derive_all(&mut drafts, &mut catalogue, &mut problems);
    let catalogue = Arc::new(catalogue);
    let (mut rules, mut names, mut packs) = (Vec::new(), HashMap::new(), Vec::with_capacity(drafts.len()));
    for Draft { parsed, limits, tables, functions, about, card, unsourced } in drafts {
        let parsed = Arc::new(parsed);
        let steps = if parsed.trials.is_some() {
            Steps::later(&parsed, &catalogue)
        } else {
            let (steps, mut wrong) = Steps::now(&parsed, &catalogue);
            let fixed = steps.all().iter().flat_map(CheckStep::fixed).filter(|(fixed, _)| !fixed.by_limit);
            wrong.extend(fixed.map(|(fixed, place)| constant_problem(&fixed, place)));
            problems.take(&parsed.source, wrong);
            steps
        };
        let uncertainties = if parsed.trials.is_some() {
            Uncertainties::later(&parsed, &catalogue)
        } else {
            let (all, wrong) = Uncertainties::now(&parsed, &catalogue);
            problems.take(&parsed.source, wrong);
            all
        };
        add_rules(&parsed, &catalogue, &mut rules, &mut names, &mut problems);
        problems.0.extend(fixed_by_settings(&parsed, &catalogue, settings, &rules));
        packs.push(ActivePack {
            name: parsed.name.clone(),
            about,
            card,
            limits,
            tables,
            functions,
            applies: applies(&parsed, &catalogue, &mut problems),
            asks: asks(&parsed, &catalogue, &mut problems),
            steps,
            uncertainties,
            source: Arc::clone(&parsed.source),
            unsourced,
        });
    }
    let (levels, own_levels) = set_levels(&mut rules, settings, &mut problems);
    departures.extend(levels);
    departures.extend(switch_off(&mut rules, settings, &mut problems));
    // By a code that is no pack in force nothing would be judged.
    for code in &settings.codes {
        problems.0.extend(unknown_code(&packs, &code.text).map(|message| code.at.problem(message)));
    }
    Library { catalogue, tables, packs, derived, rules, departures, own_levels, problems: problems.0 }
}

/// Reads a pack; nothing comes of one whose name is taken.
fn open(source: Arc<Source>, others: &[Draft], problems: &mut Problems) -> Option<Draft> {
    let built_in = BuiltIn::of(&source);
    let tree = match built_in.and_then(BuiltIn::tree) {
        Some(prepared) => prepared,
        None => {
            let parsed = Tree::parse(&source);
            problems.take(&source, in_order(parsed.problems));
            parsed.tree?
        }
    };
    let reading = read(&PACK, &source, &tree, None);
    let store = reading.store;
    // What else seems wrong with a pack for a later program may be right there.
    if let Some(problem) = unmet(&store, store.root()) {
        problems.take(&source, [problem]);
        return None;
    }
    let wrong = places(&reading.problems);
    problems.take(&source, in_order(reading.problems));
    let root = store.get(store.root())?;
    let name = text(&store, store.root(), pack::pack).unwrap_or_default();
    if others.iter().any(|other| other.parsed.name == name) {
        let span = root.slot(pack::pack.slot).place.unwrap_or_default();
        problems.take(&source, [Problem::at(span, format!("a pack named `{name}` is already in force"))]);
        return None;
    }
    let trials = built_in.map(|_| Arc::new(LaterTrials::of(&source)));
    let (tree, own_limits) = (Arc::new(tree), Vec::new());
    let names = Names::default();
    let mut opened = ParsedPack { source, tree, store, name, names, own_limits, trials, wrong };
    let mut limits = Vec::new();
    for id in opened.store.of_type(&LIMIT) {
        let Some(entity) = opened.store.get(id) else { continue };
        let Some(is) = text(&opened.store, id, limit::is) else {
            opened.names.left_out.push(entity.name.to_string());
            continue;
        };
        let is_unit = unit(&entity.name).is_some();
        let message = unfit_identifier(&entity.name).or_else(|| {
            is_unit.then(|| format!("`{}` is a unit: choose another name for the limit", entity.name))
        });
        if let Some(message) = message {
            problems.take(&opened.source, [Problem::at(entity.key, message)]);
            opened.names.left_out.push(entity.name.to_string());
            continue;
        }
        match Quantity::read(&is) {
            Ok(value) => limits.push(ActiveLimit {
                name: entity.name.to_string(),
                value,
                doc: text(&opened.store, id, limit::doc).unwrap_or_default(),
                citation: cite(&opened.store, id, limit::source),
                place: entity.key,
            }),
            Err(error) => {
                let node = entity.slot(limit::is.slot).node;
                let help = if is.contains(['*', '(', '+', '^']) {
                    Some("a limit is a value and is not worked out: write what it comes to".to_owned())
                } else {
                    error.help
                };
                let error = LanguageError::new(error.message, error.range).maybe_help(help);
                problems.take(&opened.source, [place(&opened, node, &error)]);
                opened.names.left_out.push(entity.name.to_string());
            }
        }
    }
    opened.names.limits = limits.iter().map(|l| Constant { name: l.name.clone(), value: l.value }).collect();
    let (tables, wrong) = read_tables(&mut opened);
    problems.take(&opened.source, wrong);
    opened.names.tables = tables.iter().map(|one| Arc::clone(&one.table)).collect();
    let about = text(&opened.store, opened.store.root(), pack::about).unwrap_or_default();
    let names_one = |entity: &Entity| {
        [cited::title.slot, cited::common_practice.slot, cited::club.slot]
            .iter()
            .any(|slot| matches!(entity.slot(*slot).state, State::Known(_)))
    };
    let sources = opened.store.of_type(&SOURCE).filter_map(|id| opened.store.get(id));
    let unsourced = sources.filter(|source| !names_one(source)).map(|source| source.span).collect();
    let card = PackMetadata::of(&opened.store, opened.store.root());
    Some(Draft { parsed: opened, limits, tables, functions: Vec::new(), about, card, unsourced })
}

/// Adds the rules of a pack; `names` are those that there are, each with its number.
fn add_rules(
    opened: &Arc<ParsedPack>,
    catalogue: &Arc<Catalogue>,
    rules: &mut Vec<Rule>,
    names: &mut HashMap<Arc<str>, usize>,
    found_problems: &mut Problems,
) {
    for id in opened.store.of_type(&RULE) {
        let Some(entity) = opened.store.get(id) else { continue };
        if OwnRule::of(&entity.name).is_some() {
            let message = format!("`{}` is a rule of the program itself", entity.name);
            found_problems.take(&opened.source, [Problem::at(entity.key, message)]);
            continue;
        }
        if let Some(problem) = unfit_name(&entity.name, entity.key) {
            found_problems.take(&opened.source, [problem]);
            continue;
        }
        if let Some(other) = names.get(&entity.name).and_then(|number| rules.get(*number)) {
            let message = format!("a rule named `{}` already stands in pack `{}`", entity.name, other.pack);
            found_problems.take(&opened.source, [Problem::at(entity.key, message)]);
            continue;
        }
        let mut compiler = Compiler { catalogue, opened, problems: Vec::new() };
        let rule = rule_of(&mut compiler, id, (opened, catalogue));
        let mut problems = compiler.problems;
        if let Some(rule) = rule.filter(|_| problems.is_empty()) {
            // The project's own tests have looked through the rules of built-in packs.
            if opened.trials.is_none() {
                let fixed = rule.fixed().into_iter().filter(|(fixed, _)| !fixed.by_limit);
                problems.extend(fixed.map(|(fixed, place)| constant_problem(&fixed, place)));
            }
            if problems.is_empty() {
                names.insert(Arc::clone(&entity.name), rules.len());
                rules.push(rule);
            }
        }
        found_problems.take(&opened.source, problems);
    }
}

/// What is wrong with the name of a rule: waivers, settings and the command line name it as one word.
fn unfit_name(name: &str, at: Span) -> Option<Problem> {
    let fits = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_');
    if !name.is_empty() && name.chars().all(fits) {
        return None;
    }
    let words = name.split(|c| !fits(c)).filter(|word| !word.is_empty()).collect::<Vec<_>>().join("-");
    let problem =
        Problem::at(at, format!("`{name}` cannot name a rule: letters, digits, hyphens and underscores can"));
    Some(if words.is_empty() { problem } else { problem.help(format!("call it `{words}`")) })
}

/// A rule of the pack.
fn rule_of(
    compiler: &mut Compiler<'_>,
    id: EntityId,
    shared: (&Arc<ParsedPack>, &Arc<Catalogue>),
) -> Option<Rule> {
    let opened = compiler.opened;
    let entity = opened.store.get(id)?;
    let entity_type = compiler.kind_of(id, rule::r#for)?;
    if !compiler.catalogue.is_in_designs(entity_type) {
        let message =
            format!("no design holds {}, so this rule is about nothing", entity_type.with_article());
        let at = entity.slot(rule::r#for.slot).place.unwrap_or(entity.key);
        let help = "it is a row of a table: write the rule for what refers to it";
        compiler.problems.push(Problem::at(at, message).help(help));
    }
    let has_when = entity.slot(rule::when.slot).state != State::Absent;
    let when = has_when.then(|| compiler.checked(id, rule::when, entity_type, Some(Type::Truth)));
    let require = compiler.checked(id, rule::require, entity_type, Some(Type::Truth));
    let words = if opened.trials.is_some() {
        Some(Words::later(shared.0, shared.1, id, entity_type))
    } else {
        compiler.messages(id, entity_type).map(|messages| Words::now(messages, entity_type))
    };
    let places = Places {
        when: opened.place(id, rule::when.slot),
        require: opened.place(id, rule::require.slot),
        finding: opened.place(id, rule::finding.slot),
        change: entity.get(rule::remedy).map_or_else(PackPosition::default, |remedy| {
            let to = opened.node(remedy.any(), remedy::to.slot).is_some();
            opened.place(remedy.any(), if to { remedy::to.slot } else { remedy::by.slot })
        }),
    };
    let trials = match &opened.trials {
        Some(later) => Trials::Later(Arc::clone(later)),
        None => match read_trials(&opened.store, &opened.tree, &opened.source, (id, &opened.wrong)) {
            Ok(trials) => Trials::Read(trials),
            Err(problem) => {
                compiler.problems.push(problem);
                Trials::Read(ReadTrials { are_some_unread: true, ..ReadTrials::default() })
            }
        },
    };
    let confidence = entity.get(rule::confidence);
    if confidence.is_some_and(|share| share >= 1.0) {
        let at = entity.slot(rule::confidence.slot).place.unwrap_or(entity.key);
        let help = "flights are samples, and no number of them shows that it always holds: write a share below 1, as in `95 %`";
        compiler.problems.push(Problem::at(at, "a confidence is a share below 1").help(help));
    }
    Some(Rule {
        name: entity.name.to_string(),
        pack: opened.name.clone(),
        title: opened.text(id, rule::title)?,
        before: entity.get(rule::before)?,
        entity_type,
        when: match when {
            Some(when) => Some(when?),
            None => None,
        },
        require: require?,
        require_text: opened.text(id, rule::require)?,
        when_text: opened.text(id, rule::when),
        level: entity.get(rule::level)?,
        as_written: entity.get(rule::as_written) == Some(true),
        confidence,
        off_until: None,
        words: words?,
        why: opened.text(id, rule::why)?,
        citation: cite(&opened.store, id, rule::source),
        trials,
        source: Arc::clone(&opened.source),
        place: entity.key,
        places,
    })
}

/// The rockets that a pack is about. One whose condition is wrong is judged for every rocket: that errs to the safe side, and
/// the mistake is reported besides.
fn applies(opened: &ParsedPack, catalogue: &Catalogue, found_problems: &mut Problems) -> Applies {
    let root = opened.store.root();
    let Some(entity) = opened.store.get(root) else { return Applies::Always };
    let named = entity.get(pack::only_when_named) == Some(true);
    let Some(words) = text(&opened.store, root, pack::applies_when) else {
        return if named { Applies::Named } else { Applies::Always };
    };
    if named {
        let place = entity.slot(pack::only_when_named.slot).place.unwrap_or_default();
        let problem =
            Problem::at(place, "a pack is judged either when a condition is true or only when it is named")
                .help("leave one of `applies_when` and `only_when_named` out");
        found_problems.take(&opened.source, [problem]);
    }
    match condition(opened, root, pack::applies_when, catalogue, found_problems) {
        Some(condition) => Applies::When { condition, words },
        None => Applies::Always,
    }
}

/// What a pack asks of a person.
fn asks(opened: &ParsedPack, catalogue: &Catalogue, found_problems: &mut Problems) -> Vec<Ask> {
    let mut asks = Vec::new();
    for id in opened.store.of_type(&ASK) {
        let Some(entity) = opened.store.get(id) else { continue };
        let Some(moment) = entity.get(ask::moment) else { continue };
        let Some(words) = text(&opened.store, id, ask::ask) else { continue };
        let when = match entity.slot(ask::when.slot).state {
            State::Absent => None,
            // A clause whose condition is wrong is asked of everyone; the mistake is reported besides.
            _ => condition(opened, id, ask::when, catalogue, found_problems),
        };
        asks.push(Ask {
            name: entity.name.to_string(),
            ask: words,
            moment,
            when,
            citation: cite(&opened.store, id, ask::source),
        });
    }
    asks
}

/// Checks a condition on the rocket.
fn condition<E: Typed>(
    opened: &ParsedPack,
    id: EntityId,
    key: Key<E, Arc<str>>,
    catalogue: &Catalogue,
    found_problems: &mut Problems,
) -> Option<Checked> {
    let mut compiler = Compiler { catalogue, opened, problems: Vec::new() };
    let checked = compiler.checked(id, key, &ROCKET, Some(Type::Truth));
    found_problems.take(&opened.source, compiler.problems);
    checked
}

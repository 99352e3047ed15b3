//! How a number came about, line by line: what it rests on first, itself last.

use crate::language::value_text;
use crate::model::{Access, ComputationStep, Derivation, Formula, FormulaKind, Model, Read, Type};
use crate::rules::Judgement;
use crate::vocabulary::Value;
use crate::yaml::Span;

/// One line of working.
#[derive(Clone, Debug, PartialEq)]
pub struct Working {
    /// What it is.
    pub name: String,
    /// How it came about, the lines above by their names; empty for a value as written.
    pub formula: String,
    /// What kind of formula that is; none for a value as written.
    pub kind: Option<FormulaKind>,
    /// The lines above that its formula names, by their whole names; no steps.
    pub named: Vec<String>,
    /// What it came to.
    pub value: String,
    /// Where the formula comes from.
    pub source: String,
    /// Where it is written, for a value as written.
    pub place: Option<Span>,
    /// How many quantities stand between it and what was asked for: 0 for that itself and its own steps.
    pub depth: u8,
    /// Whether it is a step on the way to the next quantity at its depth, and no quantity itself.
    pub step: bool,
}

/// The working of a judgement: each computed quantity it read, and what that was worked out from, as far as it decided.
pub(super) fn working(model: &Model<'_>, judgement: &Judgement, deciding: &[Read]) -> Vec<Working> {
    let decides =
        |read: Read| model.leaves(read).iter().any(|leaf| leaf.entity.is_row() || deciding.contains(leaf));
    let mut lines = Lines { model, lines: Vec::new(), wanted: &decides };
    for read in &judgement.trace.reads {
        if decides(*read) {
            lines.add(*read, 0);
        }
    }
    lines.lines
}

/// Lines for a quantity: first what it is worked out from, then itself.
pub(super) fn describe(model: &Model<'_>, read: Read) -> Vec<Working> {
    let mut lines = Lines { model, lines: Vec::new(), wanted: &|_| true };
    lines.add(read, 0);
    lines.lines
}

/// More quantities than this are never on the way from one to a value as written.
const DEEPEST: u8 = 16;

struct Lines<'m> {
    model: &'m Model<'m>,
    lines: Vec<Working>,
    /// Whether a line is wanted that no formula names.
    wanted: &'m dyn Fn(Read) -> bool,
}

impl Lines<'_> {
    fn add(&mut self, read: Read, depth: u8) {
        let Some(entity) = self.model.entity(read.entity) else { return };
        let name = self.model.read_name(read);
        if depth > DEEPEST || self.lines.iter().any(|line| line.name == name) {
            return;
        }
        match read.access {
            Access::Field(slot) => {
                let Some(field) = entity.entity_type.field(slot) else { return };
                if matches!(Type::of(&field.shape), Type::Entities(_)) {
                    return;
                }
                let value = match self.model.read(read) {
                    Ok(value) => written(self.model, read, &value),
                    Err(_) => "not written down".to_owned(),
                };
                let place = if read.entity.is_row() { None } else { entity.slot(slot).place };
                self.lines.push(Working {
                    name,
                    formula: String::new(),
                    kind: None,
                    named: Vec::new(),
                    value,
                    source: String::new(),
                    place,
                    depth,
                    step: false,
                });
            }
            Access::Computed(number) => self.computed(read, number, name, depth),
        }
    }

    fn computed(&mut self, read: Read, number: u16, name: String, depth: u8) {
        let model = self.model;
        let entries = model.entity(read.entity).map(|e| model.catalogue().computed(e.entity_type));
        let Some(entry) = entries.and_then(|entries| entries.get(usize::from(number))) else { return };
        let Some(derivation) = model.derivation(read) else { return };
        let value = model.read(read);
        let own = derivation.lines.as_slice();
        let named = named(&derivation);
        for (place, (inner, _)) in own.iter().enumerate() {
            let always_shown = place < derivation.asked
                && (self.wanted)(*inner)
                && (value.is_err() || !prunes(&derivation, model, *inner));
            if always_shown || named.contains(inner) {
                self.add(*inner, depth + 1);
            }
        }
        for (place, step) in derivation.steps.iter().enumerate() {
            let before = derivation.steps.get(..place).unwrap_or_default();
            let formula = step.formula.printed(|word| self.printed(word, read, own, before));
            self.lines.push(Working {
                name: format!("{name}: {}", step.name),
                formula,
                kind: Some(step.formula.kind()),
                named: named_lines(&step.formula, own),
                value: stepped(model, step),
                source: String::new(),
                place: None,
                depth,
                step: true,
            });
        }
        let value = match &value {
            Ok(Value::Quantity(quantity)) => model.shown(*quantity).fine(),
            Ok(value) => value_text(model, value),
            Err(gap) => {
                let mut reasons: Vec<String> = gap.refusals().iter().map(|r| r.reason.to_string()).collect();
                let keys = gap.keys().iter().map(|k| model.design().store.field_path(k.entity, k.slot));
                reasons.extend(keys.map(|k| format!("{k} is not written down")));
                format!("not known: {}", reasons.join("; "))
            }
        };
        self.lines.push(Working {
            formula: derivation.formula.printed(|word| self.printed(word, read, own, &derivation.steps)),
            kind: Some(derivation.formula.kind()),
            named: named_lines(&derivation.formula, own),
            name,
            value,
            source: entry.source.clone(),
            place: None,
            depth,
            step: false,
        });
    }

    /// A name of a formula as it is printed: a step by its name, a line above by as much of the end of its path as distinguishes it from
    /// all other lines above.
    fn printed(&self, word: &str, of: Read, own: &[(Read, String)], steps: &[ComputationStep]) -> String {
        // A gloss after a comma is no part of the name of a step.
        let is_step = |step: &ComputationStep, word: &str| step.name.split(',').next() == Some(word);
        if steps.iter().any(|step| is_step(step, word)) {
            return word.to_owned();
        }
        let mut fitting: Vec<&str> =
            own.iter().filter(|(_, name)| ends_with(name, word)).map(|(_, name)| name.as_str()).collect();
        fitting.dedup();
        let whole = fitting.iter().copied().find(|name| *name == word);
        let full = match (whole, fitting.as_slice()) {
            (Some(whole), _) => whole,
            (None, [one]) => *one,
            _ => return word.to_owned(),
        };
        let others = || self.lines.iter().filter(|line| !line.step && line.name != full);
        let starts = full.rmatch_indices('.').map(|(at, _)| at + 1);
        let ends = starts.filter_map(|at| full.get(at..));
        // What is read off another part of the rocket is named with that part.
        let elsewhere =
            own.iter().any(|(read, name)| name == full && read.entity != of.entity && !read.entity.is_row());
        let short = ends.skip(usize::from(elsewhere)).find(|end| {
            !steps.iter().any(|step| is_step(step, end)) && !others().any(|line| ends_with(&line.name, end))
        });
        short.unwrap_or(full).to_owned()
    }
}

/// What a step came to. A number that is fixed beforehand is printed whole.
fn stepped(model: &Model<'_>, step: &ComputationStep) -> String {
    let shown = model.shown(step.value);
    if step.formula.kind() == FormulaKind::Fixed { shown.exact() } else { shown.fine() }
}

/// Whether a name is a path or the end of one.
fn ends_with(path: &str, name: &str) -> bool {
    path.strip_suffix(name).is_some_and(|before| before.is_empty() || before.ends_with('.'))
}

/// What the formulas of a working name.
fn named(derivation: &Derivation) -> Vec<Read> {
    let formulas = derivation.steps.iter().map(|step| &step.formula).chain([&derivation.formula]);
    let words: Vec<&str> = formulas.flat_map(|formula| formula.names()).collect();
    derivation
        .lines
        .iter()
        .filter(|(_, name)| words.iter().any(|word| ends_with(name, word)))
        .map(|(read, _)| *read)
        .collect()
}

/// The lines that one formula names, by their whole names.
fn named_lines(formula: &Formula, own: &[(Read, String)]) -> Vec<String> {
    let words: Vec<&str> = formula.names().collect();
    let named = own.iter().filter(|(_, name)| words.iter().any(|word| ends_with(name, word)));
    named.map(|(_, name)| name.clone()).collect()
}

/// Whether a line is left out where no formula names it: a number that an expression has no use for was only looked at.
fn prunes(derivation: &Derivation, model: &Model<'_>, read: Read) -> bool {
    matches!(derivation.formula.kind(), FormulaKind::Expression | FormulaKind::Choice)
        && matches!(model.read(read), Ok(Value::Quantity(_) | Value::Position(_)))
}

/// A value as it stands in the file, or as the model has it.
fn written(model: &Model<'_>, read: Read, value: &Value) -> String {
    if let Access::Field(slot) = read.access
        && !read.entity.is_row()
        && let Some(entity) = model.entity(read.entity)
        && let Some(place) = entity.slot(slot).place
    {
        let text = model.design().source.slice(place);
        if !text.is_empty() && !text.contains('\n') && text.len() < 60 {
            return text.to_owned();
        }
    }
    // What no author wrote is read whole, as a table or this program has it.
    match value {
        Value::Quantity(quantity) => model.shown(*quantity).exact(),
        _ => value_text(model, value),
    }
}

//! Every expression of every computed quantity, worked out from the lines above it.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use holdpoint::model::{Access, FormulaKind, Model, Read, Type};
use holdpoint::review::{Working, working_of};
use holdpoint::rules::Library;
use holdpoint::vocabulary::Date;
use rayon::prelude::*;

use crate::calculator::{Calculator, Interval, printed};
use crate::{design, files};

/// The largest spread of a result, as a share of it, that the rounding of its inputs may leave.
const SPREAD: f64 = 0.01;

/// Lines as a reader goes down them, with what is known of each by what is printed.
#[derive(Default)]
pub(crate) struct Sheet {
    lines: Vec<(Working, Option<Interval>)>,
}

impl Sheet {
    pub(crate) fn add(&mut self, line: Working) {
        let known = self.known(&line);
        self.lines.push((line, known));
    }

    /// What is written, in the file or in a table, is printed whole.
    fn known(&self, line: &Working) -> Option<Interval> {
        let value = printed(&line.value, matches!(line.kind, None | Some(FormulaKind::Fixed)))?;
        if line.kind != Some(FormulaKind::Choice) {
            return Some(value);
        }
        // A choice is the line that it names, to all its digits.
        let chosen = line.formula.split(',').next()?;
        let end = format!(".{chosen}");
        let mut named = self.lines.iter().filter(|(one, _)| {
            let name = if one.step { one.name.rsplit(": ").next().unwrap() } else { &one.name };
            name.split(',').next() == Some(chosen) || name.ends_with(&end)
        });
        match (named.next(), named.next()) {
            (Some((_, known)), None) => known.filter(|one| one.meets(&value)).or(Some(value)),
            _ => Some(value),
        }
    }

    /// The names that the lines so far give to a formula of a quantity, longest first.
    pub(crate) fn names(&self, quantity: &str) -> Vec<(String, Vec<Interval>)> {
        let mut names: BTreeMap<&str, Vec<Interval>> = BTreeMap::new();
        let mut own = Vec::new();
        for (line, known) in &self.lines {
            let Some(value) = *known else { continue };
            if line.step {
                let step = line.name.strip_prefix(quantity).and_then(|rest| rest.strip_prefix(": "));
                own.extend(step.map(|step| (step.split(',').next().unwrap(), value)));
                continue;
            }
            for (at, _) in line.name.match_indices('.') {
                names.entry(&line.name[at + 1..]).or_default().push(value);
            }
        }
        // A whole name is that line, whatever else ends with it.
        for (line, known) in self.lines.iter().filter(|(line, _)| !line.step) {
            if let Some(value) = known {
                names.insert(&line.name, vec![*value]);
            }
        }
        for (step, value) in own {
            names.insert(step, vec![value]);
        }
        let mut names: Vec<_> = names.into_iter().map(|(name, values)| (name.to_owned(), values)).collect();
        names.sort_by_key(|(name, _)| std::cmp::Reverse(name.len()));
        names
    }

    pub(crate) fn line(&self, name: &str) -> Option<&Working> {
        self.lines.iter().map(|(line, _)| line).find(|line| line.name == name)
    }
}

/// A line's name without the parts of the file that it belongs to.
fn short(name: &str, quantity: &str) -> String {
    let entry = quantity.rsplit('.').next().unwrap();
    name.replacen(quantity, entry, 1)
}

#[derive(Default)]
struct Found {
    kinds: BTreeMap<&'static str, BTreeSet<String>>,
    wrong: Vec<String>,
    methods: BTreeMap<String, String>,
    quantities: BTreeSet<String>,
}

impl Found {
    fn with(mut self, other: Self) -> Self {
        for (kind, names) in other.kinds {
            self.kinds.entry(kind).or_default().extend(names);
        }
        self.wrong.extend(other.wrong);
        self.methods.extend(other.methods);
        self.quantities.extend(other.quantities);
        self
    }

    fn look(&mut self, file: &str, lines: &[Working]) {
        // Of each step, the quantity that it leads to is the next line that is none.
        let mut above = Sheet::default();
        for (place, line) in lines.iter().enumerate() {
            if place > 0 {
                above.add(lines[place - 1].clone());
            }
            let Some(kind) = line.kind else { continue };
            let quantity = &lines[place..].iter().find(|l| !l.step).unwrap().name;
            self.kinds.entry(kind.name()).or_default().insert(short(&line.name, quantity));
            self.quantities.insert(quantity.rsplit('.').next().unwrap().to_owned());
            let mut wrong = |what: String| {
                self.wrong.push(format!("{file}: {} = {} [{}]: {what}", line.name, line.value, line.formula));
            };
            let value = printed(&line.value, false);
            match kind {
                FormulaKind::Expression => {
                    let Some(value) = value else {
                        if !line.value.starts_with("not known") {
                            wrong("an expression without a number".to_owned());
                        }
                        continue;
                    };
                    match Calculator::work_out(&line.formula, &above.names(quantity)) {
                        Err(error) => wrong(error),
                        Ok(found) if found.exponents != value.exponents => {
                            wrong(format!("the units differ: {found:?} and {value:?}"));
                        }
                        Ok(found) if !found.meets(&value) => {
                            wrong(format!(
                                "comes to {} ± {}, and not {}",
                                found.middle(),
                                found.half(),
                                value.middle()
                            ));
                        }
                        Ok(found) => {
                            let spread = found.half() / value.middle().abs();
                            if found.half() > 0.0 && spread > SPREAD {
                                wrong(format!("a spread of {:.1} %", 100.0 * spread));
                            }
                        }
                    }
                }
                FormulaKind::Choice => {
                    let Some(value) = value else { continue };
                    let name = line.formula.split(',').next().unwrap();
                    match above.names(quantity).iter().find(|(known, _)| known == name) {
                        Some((_, all)) if all.len() == 1 && all[0].meets(&value) => {}
                        Some((_, all)) => wrong(format!("is not {all:?}")),
                        None => wrong(format!("`{name}` is no line above")),
                    }
                }
                FormulaKind::Method if line.value.starts_with("not known") => {}
                FormulaKind::Method => {
                    self.methods.insert(short(&line.name, quantity), line.formula.clone());
                    let bound = line
                        .formula
                        .split("`by hand` lies within ")
                        .nth(1)
                        .or_else(|| line.formula.split("by no more than ").nth(1));
                    if let Some(bound) = bound {
                        let bound: f64 = bound.split(' ').next().unwrap().parse().unwrap();
                        let hand = above.line(&format!("{quantity}: by hand"));
                        match hand.and_then(|hand| printed(&hand.value, false)) {
                            Some(hand) => {
                                let off = 100.0 * (hand.middle() / value.unwrap().middle() - 1.0);
                                if off.abs() > bound {
                                    wrong(format!("by hand lies {off:.1} % away"));
                                }
                            }
                            None => wrong("no line by hand".to_owned()),
                        }
                    }
                }
                FormulaKind::Fixed | FormulaKind::Condition => {}
            }
        }
    }
}

/// Every working of a design.
fn looked_through(file: &Path, library: &Library) -> Found {
    let mut found = Found::default();
    let design = design(file, library);
    let model = Model::new(&design, library.environment(Date::constant(2026, 6, 1)));
    for (id, entity) in design.store.all() {
        for number in (0..).take(model.catalogue().computed(entity.entity_type).len()) {
            let read = Read { entity: id, access: Access::Computed(number) };
            found.look(file.file_name().unwrap().to_str().unwrap(), &working_of(&model, read));
        }
    }
    found
}

#[test]
fn every_expression_is_worked_out_from_what_is_printed() {
    let library = Library::built_in();
    let found =
        files().par_iter().map(|file| looked_through(file, &library)).reduce(Found::default, Found::with);
    let mut wrong = found.wrong.clone();
    wrong.sort();
    wrong.dedup();
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
    // Every quantity that has a number somewhere was seen.
    assert!(found.quantities.len() > 150, "{}", found.quantities.len());
    let expressions = found.kinds.get("expression").map_or(0, BTreeSet::len);
    assert!(
        expressions > 150,
        "{:?}",
        found.kinds.iter().map(|(kind, all)| (kind, all.len())).collect::<Vec<_>>()
    );
    // Each quantity with a number is worked out for one of the designs.
    let numbers = library.catalogue.entity_types().iter().flat_map(|entity_type| {
        let all = library.catalogue.computed(entity_type).iter();
        all.filter(|entry| matches!(entry.gives, Type::Quantity(_))).map(|entry| entry.name.as_str())
    });
    let never: BTreeSet<&str> = numbers.filter(|name| !found.quantities.contains(*name)).collect();
    assert!(never.is_empty(), "worked out for no design: {never:?}");
    // What no calculator follows is told how; a new line here is a choice.
    let methods: Vec<String> = found.methods.iter().map(|(name, how)| format!("{name}: {how}")).collect();
    insta::assert_snapshot!("methods", methods.join("\n"));
}

//! The same of what `holdpoint explain` prints, where long branches are folded.

use holdpoint::model::{Access, FormulaKind, Model, Read};
use holdpoint::report::quantity_text;
use holdpoint::review::Working;
use holdpoint::rules::Library;
use holdpoint::vocabulary::Date;
use holdpoint::yaml::Span;
use rayon::prelude::*;

use crate::calculator::{Calculator, printed};
use crate::recomputed::Sheet;
use crate::{design, files};

/// A printed line, as a reader takes it.
fn line(text: &str) -> Working {
    let (name, rest) = text.trim_start().split_once("  ").unwrap_or_else(|| panic!("no value in `{text}`"));
    let mut parts = rest.trim_start().split("   ");
    let value = parts.next().unwrap().to_owned();
    let mut read = Working {
        name: name.to_owned(),
        formula: String::new(),
        kind: None,
        named: Vec::new(),
        value,
        source: String::new(),
        place: None,
        depth: 0,
        step: name.contains(": "),
    };
    for part in parts {
        if let Some(formula) = part.strip_prefix("= ") {
            formula.clone_into(&mut read.formula);
            read.kind = Some(FormulaKind::Expression);
        } else if part.starts_with("(rests on ") {
            read.kind = Some(FormulaKind::Method);
        } else if let Some(words) = part.strip_prefix('(') {
            words.trim_end_matches(')').clone_into(&mut read.formula);
            read.kind = Some(FormulaKind::Choice);
        } else if part.starts_with("line ") {
            read.place = Some(Span::default());
        }
    }
    read
}

fn wrong_in(report: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut lines = Sheet::default();
    let mut inside = false;
    for text in report.lines() {
        if !text.starts_with(' ') {
            // A heading, or the blank line before or after the lines of a quantity.
            inside = text.is_empty() && !inside;
            lines = Sheet::default();
            continue;
        }
        if !inside {
            continue;
        }
        let read = line(text);
        let quantity = read.name.split(": ").next().unwrap().to_owned();
        let value = printed(&read.value, false);
        if let (Some(FormulaKind::Expression), Some(value)) = (read.kind, value) {
            match Calculator::work_out(&read.formula, &lines.names(&quantity)) {
                Err(error) => wrong.push(format!("{text}: {error}")),
                Ok(found) if !found.meets(&value) => {
                    wrong.push(format!("{text}: comes to {}", found.middle()))
                }
                Ok(_) => {}
            }
        }
        lines.add(read);
    }
    wrong
}

#[test]
fn what_explain_prints_can_be_followed() {
    let library = Library::built_in();
    let wrong: Vec<String> = files()
        .par_iter()
        .flat_map_iter(|file| {
            let design = design(file, &library);
            let model = Model::new(&design, library.environment(Date::constant(2026, 6, 1)));
            let mut wrong = Vec::new();
            for (id, entity) in design.store.all() {
                for number in (0..).take(model.catalogue().computed(entity.entity_type).len()) {
                    let read = Read { entity: id, access: Access::Computed(number) };
                    wrong.extend(wrong_in(&quantity_text(&model, read)));
                }
            }
            wrong
        })
        .collect();
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
}

//! One quantity of a design explained: how it came about.

use std::fmt::Write as _;

use serde_json::json;

use super::spread::add_spread;
use crate::language::value_text;
use crate::model::{Access, FormulaKind, Model, Read};
use crate::quantity::si_unit;
use crate::review::{Spread, Working, working_of};
use crate::vocabulary::Value;
use crate::yaml::{clean, clean_json, clean_line};

/// A quantity of a design with its working, in words.
#[must_use]
pub fn quantity_text(model: &Model<'_>, read: Read) -> String {
    let lines = folded(working_of(model, read), model.design().source.name());
    let mut text = String::new();
    let name = model.read_name(read);
    let _ = writeln!(text, "{}", clean_line(&name));
    if let Some(doc) = doc_of(model, read) {
        let _ = writeln!(text, "  {}", clean_line(&doc));
    }
    text.push('\n');
    let width = lines.iter().map(|l| l.name.chars().count()).max().unwrap_or(0).min(60);
    for line in &lines {
        let _ =
            writeln!(text, "  {:<width$}  {}", clean_line(&line.name), clean_line(&describe(model, line)));
    }
    clean(&text).into_owned()
}

/// More lines than this, two quantities away or further, are left to be asked for by themselves.
const LONG_BRANCH: usize = 20;

/// A working whose long branches far from the root are folded to the quantity that they come to, but for the lines that what is
/// left names. In a working the lines that a quantity rests on stand before it, one deeper, and then its steps.
fn folded(lines: Vec<Working>, file: &str) -> Vec<Working> {
    let branch_of = |at: usize, line: &Working| {
        let before = lines.get(..at).unwrap_or_default().iter().rev();
        before.take_while(|w| w.depth > line.depth || (w.step && w.depth == line.depth)).count()
    };
    // From the end, so that what lies in a folded branch is not looked at again.
    let mut shown = vec![Shown::Whole; lines.len()];
    let mut rest = lines.len();
    while let Some((at, line)) = rest.checked_sub(1).and_then(|at| Some((at, lines.get(at)?))) {
        rest = at;
        let branch = branch_of(at, line);
        if !line.step && line.depth >= 2 && branch > LONG_BRANCH {
            rest = at - branch;
            shown.iter_mut().skip(rest).take(branch).for_each(|one| *one = Shown::Not);
            shown.iter_mut().skip(at).take(1).for_each(|one| *one = Shown::Folded);
        }
    }
    let whole = lines.iter().zip(&shown).filter(|(_, shown)| **shown == Shown::Whole);
    let named: Vec<String> = whole.flat_map(|(line, _)| line.named.iter().cloned()).collect();
    let mut kept = Vec::new();
    for (at, (line, shown)) in lines.iter().zip(shown).enumerate() {
        let fold = match shown {
            Shown::Whole => false,
            Shown::Folded => true,
            Shown::Not if !line.step && named.contains(&line.name) => line.kind.is_some(),
            Shown::Not => continue,
        };
        let mut line = line.clone();
        if fold {
            line.formula = format!(
                "rests on {} more lines: holdpoint explain {file} {}",
                branch_of(at, &line),
                line.name
            );
            line.kind = Some(FormulaKind::Method);
        }
        kept.push(line);
    }
    kept
}

/// How a line of a working is shown.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Shown {
    Whole,
    /// With nothing of what it rests on.
    Folded,
    Not,
}

fn describe(model: &Model<'_>, line: &Working) -> String {
    let place = line.place.map(|span| format!("   line {}", model.design().source.position(span.start).line));
    let formula = match line.kind {
        Some(FormulaKind::Expression) => format!("   = {}", line.formula),
        Some(_) if !line.formula.is_empty() => format!("   ({})", line.formula),
        _ => String::new(),
    };
    let source = if line.source.is_empty() { String::new() } else { format!("   [{}]", line.source) };
    format!("{}{formula}{source}{}", line.value, place.unwrap_or_default())
}

fn doc_of(model: &Model<'_>, read: Read) -> Option<String> {
    let entity_type = model.entity(read.entity)?.entity_type;
    Some(match read.access {
        Access::Field(slot) => entity_type.field(slot)?.about().to_owned(),
        Access::Computed(number) => {
            model.catalogue().computed(entity_type).get(usize::from(number))?.doc.clone()
        }
    })
}

/// A quantity of a design with its working, as JSON, and how sure it is where that is asked for.
#[must_use]
pub fn quantity_json(model: &Model<'_>, read: Read, spread: Option<&Spread>) -> String {
    let lines = working_of(model, read);
    let value = model.read(read);
    let (number, unit, si, si_unit) = match &value {
        Ok(Value::Quantity(quantity)) => {
            let (number, unit) = model.shown(*quantity).value_and_unit();
            (json!(number), json!(unit), json!(quantity.si), json!(si_unit(quantity.dimension)))
        }
        Ok(other) => (json!(value_text(model, other)), json!(null), json!(null), json!(null)),
        Err(_) => (json!(null), json!(null), json!(null), json!(null)),
    };
    let working: Vec<serde_json::Value> = lines
        .iter()
        .map(|line| {
            let at = line.place.map(|span| {
                let position = model.design().source.position(span.start);
                json!({ "line": position.line, "column": position.column, "start_byte": span.start, "end_byte": span.end })
            });
            json!({ "name": line.name, "value": line.value, "formula": line.formula, "kind": line.kind.map(FormulaKind::name), "source": line.source, "place": at })
        })
        .collect();
    let source = lines.last().map(|l| l.source.clone()).unwrap_or_default();
    let mut document = json!({
        "quantity": model.read_name(read), "value": number, "unit": unit, "si": { "value": si, "unit": si_unit },
        "working": working, "source": source,
    });
    add_spread(&mut document, spread);
    clean_json(format!("{document:#}\n"))
}

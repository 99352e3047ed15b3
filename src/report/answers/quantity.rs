//! One quantity of a design explained: how it came about.

use std::fmt::Write as _;

use serde_json::json;

use crate::language::value_text;
use crate::model::{Access, Model, Read};
use crate::quantity::si_unit;
use crate::review::{Working, name_of, working_of};
use crate::text::{clean, clean_json, clean_line};
use crate::vocabulary::Value;

/// A quantity of a design with its working, in words.
#[must_use]
pub fn quantity_text(model: &Model<'_>, read: Read) -> String {
    let lines = folded(working_of(model, read), model.design().source.name());
    let mut text = String::new();
    let name = name_of(model, read);
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

/// A working whose long branches far from the root are folded to the quantity that they come to. In a working the lines that
/// a quantity rests on stand before it, one deeper.
fn folded(lines: Vec<Working>, file: &str) -> Vec<Working> {
    let mut kept: Vec<Working> = Vec::new();
    for line in lines {
        let steps = kept.iter().rev().take_while(|w| w.step && w.depth == line.depth).count();
        let end = kept.len() - steps;
        let branch = kept.iter().take(end).rev().take_while(|w| w.depth > line.depth).count();
        if line.step || line.depth < 2 || branch <= LONG_BRANCH {
            kept.push(line);
            continue;
        }
        kept.drain(end - branch..end);
        let value = format!(
            "{}   (rests on {branch} more lines: holdpoint explain {file} {})",
            line.value, line.name
        );
        kept.push(Working { value, ..line });
    }
    kept
}

fn describe(model: &Model<'_>, line: &Working) -> String {
    let place = line.place.map(|span| format!("   line {}", model.design().source.position(span.start).line));
    let formula = if line.formula.is_empty() { String::new() } else { format!("   = {}", line.formula) };
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

/// A quantity of a design with its working, as JSON.
#[must_use]
pub fn quantity_json(model: &Model<'_>, read: Read) -> String {
    let lines = working_of(model, read);
    let value = model.read(read);
    let (number, unit, si, si_unit) = match &value {
        Ok(Value::Quantity(quantity)) => {
            let (number, unit) = quantity.value_and_unit();
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
            json!({ "name": line.name, "value": line.value, "formula": line.formula, "source": line.source, "place": at })
        })
        .collect();
    let source = lines.last().map(|l| l.source.clone()).unwrap_or_default();
    let document = json!({
        "quantity": name_of(model, read), "value": number, "unit": unit, "si": { "value": si, "unit": si_unit },
        "working": working, "source": source,
    });
    clean_json(format!("{document:#}\n"))
}

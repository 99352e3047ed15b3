//! Tables that packs write: their columns and rows, each cell told at its place where it does not fit.

use std::sync::Arc;

use super::active::ActiveTable;
use super::citation::cite;
use super::pack::{TABLE, table};
use super::parsed::ParsedPack;
use crate::language::{PackTable, unfit_identifier};
use crate::model::Type;
use crate::quantity::{Dimension, Measure, nearest_unit, unit};
use crate::vocabulary::{Entity, EntityId, Value};
use crate::yaml::{NodeId, Problem};

/// A column as its pack writes it.
struct Head {
    name: String,
    /// A unit, `number` or `text`.
    unit: String,
    gives: Type,
}

/// The tables of a pack, and what is wrong with them. A table that is wrong is left out, and its name noted.
pub(super) fn read_tables(opened: &mut ParsedPack) -> (Vec<ActiveTable>, Vec<Problem>) {
    let (mut tables, mut problems, mut left_out) = (Vec::new(), Vec::new(), Vec::new());
    for id in opened.store.of_type(&TABLE) {
        let Some(entity) = opened.store.get(id) else { continue };
        if let Some(message) = unfit_identifier(&entity.name) {
            problems.push(Problem::at(entity.key, message));
            continue;
        }
        if let Some(other) = opened.names.taken(&entity.name) {
            let message = format!("{other} of this pack is already named `{}`", entity.name);
            problems.push(Problem::at(entity.key, message));
            continue;
        }
        match (Reader { opened }).table(id, entity) {
            Ok(table) => tables.push(table),
            Err(problem) => {
                problems.push(*problem);
                left_out.push(entity.name.to_string());
            }
        }
    }
    opened.names.left_out.extend(left_out);
    (tables, problems)
}

struct Reader<'p> {
    opened: &'p ParsedPack,
}

type Read<T> = Result<T, Box<Problem>>;

impl Reader<'_> {
    fn wrong<T>(&self, node: NodeId, message: impl Into<String>, help: Option<String>) -> Read<T> {
        Err(Box::new(Problem::at(self.opened.tree.span(node), message).maybe_help(help)))
    }

    fn word(&self, node: NodeId) -> Option<String> {
        self.opened.tree.scalar(node).map(|scalar| scalar.value.trim().to_owned())
    }

    fn table(&self, id: EntityId, entity: &Entity) -> Read<ActiveTable> {
        let missing = |what: &str| Box::new(Problem::at(entity.key, format!("this table has no {what}")));
        let columns = entity.get(table::columns).ok_or_else(|| missing("columns"))?;
        let rows = entity.get(table::rows).ok_or_else(|| missing("rows"))?;
        let heads = self.heads(columns)?;
        let tree = &self.opened.tree;
        if !tree.is_list(rows) || tree.items(rows).is_empty() {
            let help =
                Some("each row is a list with a value for every column, as in `- [640, 60]`".to_owned());
            return self.wrong(rows, "expected a list of rows", help);
        }
        let (mut values, mut cells): (Vec<Vec<Value>>, Vec<Vec<String>>) = (Vec::new(), Vec::new());
        for row in tree.items(rows) {
            let found = tree.items(*row);
            if !tree.is_list(*row) || found.len() != heads.len() {
                let names: Vec<&str> = heads.iter().map(|head| head.name.as_str()).collect();
                let message =
                    format!("a row has a value for each of {} columns: {}", heads.len(), names.join(", "));
                // `[640, 8,5]` has a cell too many.
                let written = self.opened.source.slice(tree.span(*row)).as_bytes();
                let is_cut = written.windows(3).any(|part| {
                    matches!(part, [before, b',', behind] if before.is_ascii_digit() && behind.is_ascii_digit())
                });
                let help = "a decimal number has a point and no comma, as `8.5`";
                return self.wrong(*row, message, is_cut.then(|| help.to_owned()));
            }
            let read = found.iter().zip(&heads).map(|(cell, head)| self.cell(*cell, head));
            let read: Vec<Value> = read.collect::<Read<_>>()?;
            if let Some(message) = misplaced(&read, &values) {
                let first = found.first().copied().unwrap_or(*row);
                return self.wrong(first, message, None);
            }
            values.push(read);
            cells.push(found.iter().map(|cell| self.word(*cell).unwrap_or_default()).collect());
        }
        Ok(ActiveTable {
            table: Arc::new(PackTable {
                name: entity.name.to_string(),
                doc: self.opened.text(id, table::doc).unwrap_or_default(),
                columns: heads.iter().map(|head| (head.name.clone(), head.gives)).collect(),
                rows: values,
            }),
            units: heads.into_iter().map(|head| head.unit).collect(),
            cells,
            citation: cite(&self.opened.store, id, table::source),
            place: entity.key,
        })
    }

    fn heads(&self, columns: NodeId) -> Read<Vec<Head>> {
        let tree = &self.opened.tree;
        let mut heads: Vec<Head> = Vec::new();
        for entry in tree.entries(columns) {
            let name = self.word(entry.key).unwrap_or_default();
            if let Some(message) = unfit_identifier(&name) {
                return self.wrong(entry.key, message, None);
            }
            let written = self.word(entry.value).unwrap_or_default();
            let gives = match written.as_str() {
                "text" => Type::Text,
                "number" => Type::Quantity(Dimension::NUMBER),
                _ => match unit(&written) {
                    Some(found) => Type::Quantity(found.dimension),
                    None => {
                        let help = nearest_unit(&written).map_or_else(
                            || "a column has the unit of its numbers, `number` where they have none, or `text`".to_owned(),
                            |near| format!("did you mean `{near}`?"),
                        );
                        return self.wrong(
                            entry.value,
                            format!("`{written}` is no unit known here"),
                            Some(help),
                        );
                    }
                },
            };
            heads.push(Head { name, unit: written, gives });
        }
        if heads.len() < 2 {
            let help = "the first is looked up and the others are found, as in `{impulse: N*s, people: m}`";
            return self.wrong(columns, "a table has at least two columns", Some(help.to_owned()));
        }
        Ok(heads)
    }

    /// A cell: a number in the unit of its column, a value with a unit of its own, or a text.
    fn cell(&self, node: NodeId, head: &Head) -> Read<Value> {
        let written = self.word(node).filter(|written| !written.is_empty());
        let Some(written) = written else {
            return self.wrong(node, format!("there is no value for `{}` in this row", head.name), None);
        };
        let Type::Quantity(dimension) = head.gives else { return Ok(Value::Text(written.into())) };
        let bare = written.parse::<f64>().is_ok() && head.unit != "number";
        let whole = if bare { format!("{written} {}", head.unit) } else { written };
        match Measure::read(&whole, dimension) {
            Ok(measure) if measure.tolerance.is_none() => Ok(Value::Quantity(measure.nominal)),
            Ok(_) => self.wrong(node, "a tolerance has no place in a table", None),
            Err(error)
                if whole.contains('/')
                    && Measure::read(&format!("{whole} {}", head.unit), dimension).is_ok() =>
            {
                let help = format!("a fraction brings its unit along: `{whole} {}`", head.unit);
                self.wrong(node, error.message, Some(help))
            }
            Err(error) => self.wrong(node, error.message, error.help),
        }
    }
}

/// What is wrong with the place of a row among those before it: sizes rise, and no text comes twice.
fn misplaced(row: &[Value], before: &[Vec<Value>]) -> Option<String> {
    match (row.first()?, before.last().and_then(|last| last.first())) {
        (Value::Quantity(here), Some(Value::Quantity(last))) => (here.si <= last.si)
            .then(|| format!("the first column rises from row to row: {here} does not come after {last}")),
        (here, _) => {
            let again = before.iter().any(|row| row.first() == Some(here));
            again.then(|| "a row for this stands above it".to_owned())
        }
    }
}

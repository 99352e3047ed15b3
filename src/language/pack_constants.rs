//! What a pack writes down for its own expressions: limits and tables.

use crate::model::Type;
use crate::quantity::Quantity;
use crate::vocabulary::Value;

/// A value known when a pack is loaded: a limit.
#[derive(Clone, Debug)]
pub struct Constant {
    /// Its name.
    pub name: String,
    /// Its value.
    pub value: Quantity,
}

/// A table that a pack writes: rows with a value in each of some named columns, the first of which is looked up.
#[derive(Clone, Debug)]
pub struct PackTable {
    /// Its name.
    pub name: String,
    /// What it is about.
    pub doc: String,
    /// The columns, the first of them the one that is looked up.
    pub columns: Vec<(String, Type)>,
    /// A value for each column in each row.
    pub rows: Vec<Vec<Value>>,
}

/// A column of a table beside the one that is looked up.
#[derive(Clone, Debug)]
pub(super) struct Column {
    /// The names of the table and of the column, joined by a dot.
    pub(super) name: String,
    /// What is looked up.
    pub(super) key: Type,
    /// What is found.
    pub(super) gives: Type,
    /// What is looked up and what is found, in turn.
    pub(super) pairs: Vec<Value>,
}

impl PackTable {
    /// The column of a name, with the one that is looked up; none where it is another or that one itself.
    pub(super) fn column(&self, name: &str) -> Option<Column> {
        let (_, key) = self.columns.first()?;
        let at = self.columns.iter().skip(1).position(|(known, _)| known == name)? + 1;
        let (_, gives) = self.columns.get(at)?;
        let pair = |row: &Vec<Value>| Some([row.first()?.clone(), row.get(at)?.clone()]);
        let pairs = self.rows.iter().filter_map(pair).flatten().collect();
        Some(Column { name: format!("{}.{name}", self.name), key: *key, gives: *gives, pairs })
    }

    /// The names of the columns that a value can be found in.
    pub(super) fn found(&self) -> impl Iterator<Item = &str> {
        self.columns.iter().skip(1).map(|(name, _)| name.as_str())
    }
}

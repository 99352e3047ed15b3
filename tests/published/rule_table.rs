//! Reading the tables in `rules/tables/`, measures through the library's own reader.

use std::path::Path;

use holdpoint::quantity::{Dimension, Measure};
use serde_yaml::{Mapping, Value};

/// One row of a table with its key.
pub(crate) struct Row {
    /// The key the row is called by.
    pub(crate) key: String,
    fields: Mapping,
}

impl Row {
    /// The text of a field as written.
    #[track_caller]
    pub(crate) fn text(&self, field: &str) -> &str {
        let value = self.fields.get(field).unwrap_or_else(|| panic!("{} has no {field}", self.key));
        value.as_str().unwrap_or_else(|| panic!("{}: {field} is not text", self.key))
    }

    /// True where the row has the field.
    pub(crate) fn has(&self, field: &str) -> bool {
        self.fields.contains_key(field)
    }

    /// The truth in a field.
    #[track_caller]
    pub(crate) fn truth(&self, field: &str) -> bool {
        let value = self.fields.get(field).and_then(Value::as_bool);
        value.unwrap_or_else(|| panic!("{}: {field} is not true or false", self.key))
    }

    /// The measure in a field, in SI units.
    #[track_caller]
    pub(crate) fn si(&self, field: &str, dimension: Dimension) -> f64 {
        let text = self.text(field);
        let measure = Measure::read(text, dimension);
        measure.unwrap_or_else(|e| panic!("{}: {field}: {text}: {e}", self.key)).nominal.si
    }
}

/// All rows of a table, in the order of the file.
pub(crate) fn rows(table: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("rules/tables/{table}.yaml"));
    let file: Value = serde_yaml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    assert_eq!(file.get("table").and_then(Value::as_str), Some(table));
    let mut rows = Vec::new();
    for group in file.get("groups").and_then(Value::as_sequence).unwrap() {
        assert!(group.get("source").is_some_and(Value::is_mapping), "{table}: a group without a source");
        for (key, fields) in group.get("rows").and_then(Value::as_mapping).unwrap() {
            let key = key.as_str().unwrap_or_else(|| panic!("{table}: key {key:?} is not text")).to_owned();
            rows.push(Row { key, fields: fields.as_mapping().unwrap().clone() });
        }
    }
    let mut keys: Vec<&str> = rows.iter().map(|r| r.key.as_str()).collect();
    keys.sort_unstable();
    keys.dedup();
    assert_eq!(keys.len(), rows.len(), "{table}: a key stands twice");
    rows
}

/// The row of a key.
#[track_caller]
pub(crate) fn row<'a>(rows: &'a [Row], key: &str) -> &'a Row {
    rows.iter().find(|r| r.key == key).unwrap_or_else(|| panic!("no row {key}"))
}

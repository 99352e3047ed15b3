//! Reading the check tables in `data/`: comma-separated values with quoted cells.

use std::path::Path;

/// One row, its cells named by the head of the table.
pub(crate) struct Row(Vec<(String, String)>);

impl Row {
    /// The text of a cell.
    pub(crate) fn text(&self, head: &str) -> &str {
        let cell = self.0.iter().find(|(name, _)| name == head);
        &cell.unwrap_or_else(|| panic!("no column {head}")).1
    }

    /// The number in a cell, or `None` where the cell is empty.
    pub(crate) fn maybe(&self, head: &str) -> Option<f64> {
        let text = self.text(head);
        (!text.is_empty()).then(|| text.parse().unwrap_or_else(|_| panic!("{head}: {text} is no number")))
    }

    /// The number in a cell.
    pub(crate) fn number(&self, head: &str) -> f64 {
        self.maybe(head).unwrap_or_else(|| panic!("{head} is empty"))
    }
}

/// All rows of a table in `tests/published/data`.
pub(crate) fn rows(file: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/published/data").join(file);
    let mut reader = csv::Reader::from_path(&path).unwrap();
    let heads = reader.headers().unwrap().clone();
    let row = |record: csv::StringRecord| {
        Row(heads.iter().map(str::to_owned).zip(record.iter().map(str::to_owned)).collect())
    };
    // A row with more or fewer cells than the head is an error.
    let rows: Vec<Row> = reader.records().map(|record| row(record.unwrap())).collect();
    assert!(!rows.is_empty(), "{file} is empty");
    rows
}

/// Fails unless the value is within a relative tolerance of what the source says.
#[track_caller]
pub(crate) fn close(what: &str, value: f64, published: f64, relative: f64) {
    let off = (value - published).abs();
    assert!(
        off <= relative * published.abs(),
        "{what}: {value} against {published}, off by {:e} of it",
        off / published.abs()
    );
}

/// Fails unless the value is within an absolute distance of what the source says.
#[track_caller]
pub(crate) fn near(what: &str, value: f64, published: f64, distance: f64) {
    assert!((value - published).abs() <= distance, "{what}: {value} against {published}, allowed {distance}");
}

/// Fails unless the value, rounded, is the printed number: half a unit of the last printed digit, and a hair for its own binary form.
#[track_caller]
pub(crate) fn rounds_to(what: &str, value: f64, printed: &str) {
    let digits = printed.split_once('.').map_or(0, |(_, after)| after.len());
    let half = 0.5 / 10_f64.powi(i32::try_from(digits).unwrap());
    near(what, value, printed.parse().unwrap(), half * (1.0 + 1e-9));
}

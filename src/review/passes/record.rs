//! The file that passed hold points are written in, and reading it back.

use std::fmt::Write as _;
use std::sync::Arc;

use super::PassedValue;
use crate::review::digest;
use crate::rules::HoldPoint;
use crate::text::{Problem, Source, Tree};
use crate::vocabulary::{Date, Id, Key, Store, Typed, read};

crate::entity_types! {
    /// The record of the hold points that were passed for one design.
    PASSES: PassesEntity as passes = "record" {
        /// The version of the record's format; this program reads version 1.
        required holdpoint_passes: Count(1);
        /// The hold points that were passed, in the order in which they were.
        required passes: List(PassEntity);
    }

    /// A hold point that was passed.
    PASS: PassEntity as pass = "pass" {
        /// The hold point.
        required hold_point: OneOf(HoldPoint);
        /// The day.
        required date: Date formerly "on";
        /// Who passed it.
        required by: Text;
        /// SHA-256 of the design as it was.
        required design: Text;
        /// SHA-256 of who, when and the values below.
        required digest: Text;
        /// Every value that the rules of the hold point read.
        required values: List(PassedValueEntity);
    }

    /// A value as it was when a hold point was passed.
    PASSED_VALUE: PassedValueEntity as passed_value = "passed_value" {
        /// Its path in the design.
        required key: Text;
        /// As it was written.
        required written: Text;
        /// What it counts as, so that another way to write the same is no change.
        required counts_as: Text;
    }
}

/// A hold point that was passed, with the values that its rules read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pass {
    /// The hold point.
    pub point: HoldPoint,
    /// The day.
    pub date: Date,
    /// Who passed it.
    pub by: String,
    /// SHA-256 of the design as it was.
    pub design: String,
    /// SHA-256 as it stands in the record.
    digest: String,
    /// The values.
    pub values: Vec<PassedValue>,
}

impl Pass {
    /// A hold point passed now.
    #[must_use]
    pub fn new(point: HoldPoint, date: Date, by: &str, design: &str, values: Vec<PassedValue>) -> Self {
        let mut pass =
            Self { point, date, by: by.to_owned(), design: design.to_owned(), digest: String::new(), values };
        pass.digest = pass.worked_out();
        pass
    }

    fn worked_out(&self) -> String {
        let mut all = format!("{}\0{}\0{}\0{}", self.point, self.date, self.by, self.design);
        for value in &self.values {
            let _ = write!(all, "\0{}\0{}\0{}", value.key, value.written, value.counts_as);
        }
        digest(all.as_bytes())
    }

    /// Whether the record of it is as it was written.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.digest == self.worked_out()
    }
}

/// The record of a design.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Passes {
    /// The file's name.
    pub name: String,
    /// The hold points that were passed.
    pub all: Vec<Pass>,
}

fn text<E: Typed>(store: &Store, id: Id<E>, key: Key<E, Arc<str>>) -> Option<String> {
    store.value(id, key).map(|text| text.to_string())
}

impl Passes {
    /// Reads a record.
    ///
    /// # Errors
    /// Every mistake in it, with its place. Nothing of a record with a mistake counts.
    pub fn read(source: &Source) -> Result<Self, Vec<Problem>> {
        let parsed = Tree::parse(source);
        let mut problems = parsed.problems;
        let mut all = Vec::new();
        if let Some(tree) = &parsed.tree {
            let reading = read(&PASSES, source, tree, None);
            // The program that wrote the record may be an earlier one; what it says is the same.
            problems.extend(reading.problems.into_iter().filter(|p| p.edit.is_none()));
            let store = reading.store;
            let root = store.root();
            let place = store.get(root).and_then(|e| e.slot(passes::holdpoint_passes.slot).place);
            if let (Some(version), Some(place)) = (store.value(root, passes::holdpoint_passes), place)
                && version != 1
            {
                problems.push(Problem::at(place, "this program reads records of version 1"));
            }
            all = store.every().filter_map(|id| one(&store, id)).collect();
        }
        if problems.is_empty() { Ok(Self { name: source.name().to_owned(), all }) } else { Err(problems) }
    }

    /// The record with a hold point passed, an older pass of it replaced.
    pub fn put(&mut self, pass: Pass) {
        self.all.retain(|p| p.point != pass.point);
        self.all.push(pass);
    }

    /// The record as YAML.
    #[must_use]
    pub fn written(&self) -> String {
        let mut out = String::from(
            "# Hold points that were passed, written by `holdpoint pass`. Edit nothing here: what was looked at is what counts.\n\
             holdpoint_passes: 1\npasses:\n",
        );
        // A JSON string is a YAML scalar that reads back as meant, whatever is in it.
        let quoted = |words: &str| serde_json::Value::from(words).to_string();
        for pass in &self.all {
            let _ = writeln!(out, "  - hold_point: {}", pass.point);
            let _ = writeln!(out, "    date: {}", pass.date);
            let _ = writeln!(out, "    by: {}", quoted(&pass.by));
            let _ = writeln!(out, "    design: {}", quoted(&pass.design));
            let _ = writeln!(out, "    digest: {}", quoted(&pass.digest));
            let none = if pass.values.is_empty() { " []" } else { "" };
            let _ = writeln!(out, "    values:{none}");
            for value in &pass.values {
                let (key, written, counts_as) =
                    (quoted(&value.key), quoted(&value.written), quoted(&value.counts_as));
                let _ = writeln!(out, "      - {{key: {key}, written: {written}, counts_as: {counts_as}}}");
            }
        }
        out
    }
}

fn one(store: &Store, id: Id<PassEntity>) -> Option<Pass> {
    let (point, date) = (store.value(id, pass::hold_point)?, store.value(id, pass::date)?);
    let values = store.value(id, pass::values)?;
    let values = values
        .iter()
        .map(|value| {
            Some(PassedValue {
                key: text(store, value, passed_value::key)?,
                written: text(store, value, passed_value::written)?,
                counts_as: text(store, value, passed_value::counts_as)?,
            })
        })
        .collect::<Option<Vec<_>>>()?;
    Some(Pass {
        point,
        date,
        by: text(store, id, pass::by)?,
        design: text(store, id, pass::design)?,
        digest: text(store, id, pass::digest)?,
        values,
    })
}

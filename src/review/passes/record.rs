//! The file that passed hold points are written in, and reading it back.

use std::fmt::Write as _;
use std::sync::Arc;

use super::layout;
use super::values::{CountsAs, PassedValue};
use crate::review::digest;
use crate::rules::HoldPoint;
use crate::vocabulary::{Date, Id, Key, Store, Typed, read};
use crate::yaml::{Problem, Source, Tree};

/// A hold point that was passed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Passed {
    /// The hold point.
    pub point: HoldPoint,
    /// The day.
    pub date: Date,
    /// Who passed it.
    pub by: String,
}

/// The version of the format that is written.
const VERSION: u32 = 2;
/// The first version, in which each pass held its values, with what each counts as in full. It is still read.
const FIRST: u32 = 1;

crate::entity_types! {
    /// The record of the hold points that were passed for one design.
    PASSES: PassesEntity as passes = "record" {
        /// The version of the record's format; this program writes version 2, and reads 1 and 2.
        required holdpoint_passes: Count(1);
        /// The hold points that were passed, in the order in which they were.
        required passes: List(PassEntity);
        /// Every value that the rules of these hold points read, by the parts of the design: in version 2.
        optional values: Text;
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
        /// SHA-256 of who, when and the values.
        required digest: Text;
        /// Every value that the rules of the hold point read: in version 1.
        optional values: List(PassedValueEntity);
    }

    /// A value as it was when a hold point was passed, in version 1.
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
    /// The values, in the order of their keys.
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
            let _ = write!(all, "\0{}\0{}\0{}", value.key, value.written, value.counts_as.text());
        }
        digest(all.as_bytes())
    }

    /// Whether the record of it is as it was written.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.digest == self.worked_out()
    }

    /// The same pass with its values as a record of today reads back. One that was altered stays so: its digest is kept.
    fn compact(&self, values: Vec<PassedValue>) -> Self {
        let mut pass = Self { values, ..self.clone() };
        if self.is_whole() {
            pass.digest = pass.worked_out();
        }
        pass
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
    /// Reads a record, of this form or of the first.
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
            if problems.is_empty() {
                match all_of(&reading.store) {
                    Ok(found) => all = found,
                    Err(problem) => problems.push(problem),
                }
            }
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
        let mut out = format!(
            "# Hold points that were passed, written by `holdpoint pass`. Edit nothing here: what was looked at is what counts.\n\
             # Below, each value stands once; the figures before it say which of the passes read it, 1 for the first.\n\
             holdpoint_passes: {VERSION}\npasses:\n",
        );
        // A JSON string is a YAML scalar that reads back as meant, whatever is in it.
        let quoted = |words: &str| serde_json::Value::from(words).to_string();
        let lists: Vec<&[PassedValue]> = self.all.iter().map(|pass| pass.values.as_slice()).collect();
        let values = layout::written(&lists);
        // What is read back is what the digest has to be of.
        let read_back = layout::read(&values, self.all.len()).unwrap_or_default();
        for (pass, values) in self.all.iter().zip(read_back) {
            let pass = pass.compact(values);
            let _ = writeln!(out, "  - hold_point: {}", pass.point);
            let _ = writeln!(out, "    date: {}", pass.date);
            let _ = writeln!(out, "    by: {}", quoted(&pass.by));
            let _ = writeln!(out, "    design: {}", quoted(&pass.design));
            let _ = writeln!(out, "    digest: {}", quoted(&pass.digest));
        }
        if values.is_empty() {
            out.push_str("values: \"\"\n");
            return out;
        }
        out.push_str("values: |\n");
        for line in values.lines() {
            let _ = writeln!(out, "  {line}");
        }
        out
    }
}

/// The passes of a record that is read without a mistake of form.
fn all_of(store: &Store) -> Result<Vec<Pass>, Problem> {
    let root = store.root();
    let problem = |key: u16, message: String| match store.get(root).and_then(|record| record.slot(key).place)
    {
        Some(place) => Problem::at(place, message),
        None => Problem::of_file(message),
    };
    let version = store.value(root, passes::holdpoint_passes).unwrap_or(0);
    let ids: Vec<Id<PassEntity>> = store.every().collect();
    let lists = match version {
        FIRST => Ok(ids.iter().map(|id| first_form(store, *id)).collect()),
        VERSION => {
            let values = store.value(root, passes::values).unwrap_or_default();
            layout::read(&values, ids.len()).map(|lists| lists.into_iter().map(Some).collect::<Vec<_>>())
        }
        _ => {
            let message = format!("this program reads records of versions {FIRST} and {VERSION}");
            return Err(problem(passes::holdpoint_passes.slot, message));
        }
    };
    let lists = lists.map_err(|message: String| problem(passes::values.slot, message))?;
    let whole = ids.iter().zip(lists).map(|(id, values)| one(store, *id, values));
    let whole: Option<Vec<Pass>> = whole.collect();
    whole.ok_or_else(|| problem(passes::passes.slot, "a pass has no values here: pass it again".to_owned()))
}

/// The values of a pass as the first form holds them.
fn first_form(store: &Store, id: Id<PassEntity>) -> Option<Vec<PassedValue>> {
    let values = store.value(id, pass::values)?;
    let value = |value| {
        Some(PassedValue {
            key: text(store, value, passed_value::key)?,
            written: text(store, value, passed_value::written)?,
            counts_as: CountsAs::Whole(text(store, value, passed_value::counts_as)?),
        })
    };
    values.iter().map(value).collect()
}

fn one(store: &Store, id: Id<PassEntity>, values: Option<Vec<PassedValue>>) -> Option<Pass> {
    Some(Pass {
        point: store.value(id, pass::hold_point)?,
        date: store.value(id, pass::date)?,
        by: text(store, id, pass::by)?,
        design: text(store, id, pass::design)?,
        digest: text(store, id, pass::digest)?,
        values: values?,
    })
}

//! What a pack names for its own expressions: limits, functions, tables.

use std::sync::Arc;

use super::check::{Checked, Node, check};
use super::facts::{Facts, interval};
use super::interval::Interval;
use super::{LanguageError, Scope, parse};
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

/// What a pack names for its own expressions.
#[derive(Clone, Debug, Default)]
pub struct Names {
    /// Its limits.
    pub limits: Vec<Constant>,
    /// Its functions.
    pub functions: Vec<Arc<OwnFunction>>,
    /// Its tables.
    pub tables: Vec<Arc<OwnTable>>,
    /// The names of functions that are left out, since something is wrong with them.
    pub left_out: Vec<String>,
}

/// A pack that names nothing.
pub(super) static NO_NAMES: Names =
    Names { limits: Vec::new(), functions: Vec::new(), tables: Vec::new(), left_out: Vec::new() };

impl Names {
    /// What a name stands for, in a word; none where it is free.
    #[must_use]
    pub fn taken(&self, name: &str) -> Option<&'static str> {
        let limit = self.limits.iter().any(|one| one.name == name).then_some("a limit");
        let table = || self.tables.iter().any(|one| one.name == name).then_some("a table");
        let function = || self.functions.iter().any(|one| one.name == name).then_some("a function");
        limit.or_else(table).or_else(function)
    }
}

/// Deeper than any formula; with the expression that calls it, it stays shallow enough for every stack.
const DEEPEST: usize = 64;

/// A function that a pack writes: an expression with values in place of the names of its parameters.
#[derive(Clone, Debug)]
pub struct OwnFunction {
    /// The pack that it stands in.
    pub pack: String,
    /// Its name.
    pub name: String,
    /// What it gives, in a sentence.
    pub doc: String,
    /// What it takes: names, and what each stands for.
    pub parameters: Vec<(String, Type)>,
    body: Checked,
    depth: usize,
    pub(super) range: Interval,
    pub(super) is_place: bool,
}

impl OwnFunction {
    /// Checks a function; `scope` has what it may name besides its parameters.
    ///
    /// # Errors
    /// At the first name, type or dimension of its expression that does not fit, and where it is too deep.
    pub fn new(
        (pack, name, doc): (&str, &str, &str),
        parameters: Vec<(String, Type)>,
        text: &str,
        scope: &Scope<'_>,
    ) -> Result<Self, LanguageError> {
        let tree = parse(text)?;
        let scope = Scope { subject: None, parameters: &parameters, members: &[], ..scope.clone() };
        let body = check(&tree, &scope)?;
        let depth = body.depth();
        if depth > DEEPEST {
            return Err(LanguageError::new(
                "the function is too deep, with those that it calls",
                0..text.len(),
            )
            .help("make it shorter, or work a part of it out under `derived`"));
        }
        let (range, is_place) = (interval(&body, &Facts::default()), body.is_place(scope.catalogue));
        let (pack, name, doc) = (pack.to_owned(), name.to_owned(), doc.to_owned());
        Ok(Self { pack, name, doc, parameters, body, depth, range, is_place })
    }

    /// Its expression.
    #[must_use]
    pub fn body(&self) -> &Checked {
        &self.body
    }

    /// How it is called, and what each value is: `safe_gap(d)`, `d` a length.
    #[must_use]
    pub fn signature(&self) -> String {
        let names: Vec<&str> = self.parameters.iter().map(|(name, _)| name.as_str()).collect();
        let types: Vec<String> =
            self.parameters.iter().map(|(name, gives)| format!("`{name}` {gives}")).collect();
        format!("{}({}), {}", self.name, names.join(", "), types.join(", "))
    }
}

impl Checked {
    /// How many expressions stand in one another at most, in the functions that are called too.
    fn depth(&self) -> usize {
        let inside = self.parts().into_iter().map(Self::depth).max().unwrap_or_default();
        let called = if let Node::Own(function, _) = &self.node { function.depth } else { 0 };
        1 + inside.max(called)
    }
}

/// A table that a pack writes: rows with a value in each of some named columns, the first of which is looked up.
#[derive(Clone, Debug)]
pub struct OwnTable {
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

impl OwnTable {
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

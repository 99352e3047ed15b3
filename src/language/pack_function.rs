//! Functions that packs write: checked, and how they are called.

use super::check::{Checked, PackFunction, Scope, TypedNode, check};
use super::facts::{Facts, interval};
use super::{LanguageError, parse};
use crate::model::Type;

/// Deeper than any formula; with the expression that calls it, it stays shallow enough for every stack.
const DEEPEST: usize = 64;

impl PackFunction {
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
        let called = if let TypedNode::Own(function, _) = &self.node { function.depth } else { 0 };
        1 + inside.max(called)
    }
}

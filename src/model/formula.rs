//! How a number came about: what a working says beside it.

use std::borrow::Cow;

/// How a line of a working came about. A name in braces stands for a line that is printed above it: a quantity by its path or
/// the end of its path, or a step by its name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Formula {
    /// What a pocket calculator gives from lines above and written numbers with their units. A test works every one out.
    Expression(Cow<'static, str>),
    /// What a pocket calculator does not give: integrated, looked up in a table, searched or measured. Says how.
    Method(Cow<'static, str>),
    /// One of several values that are written or worked out, as it is: the line it equals, in braces first, and why it counts.
    Choice(Cow<'static, str>),
    /// A number that is fixed beforehand: a limit of a pack, a constant. Says what it is.
    Fixed(Cow<'static, str>),
    /// No number: a truth, a word or a part. Says what decides it.
    Condition(Cow<'static, str>),
}

impl Formula {
    /// An expression.
    #[must_use]
    pub const fn expression(text: &'static str) -> Self {
        Self::Expression(Cow::Borrowed(text))
    }

    /// A method.
    #[must_use]
    pub const fn method(text: &'static str) -> Self {
        Self::Method(Cow::Borrowed(text))
    }

    /// A choice.
    #[must_use]
    pub const fn choice(text: &'static str) -> Self {
        Self::Choice(Cow::Borrowed(text))
    }

    /// A fixed number.
    #[must_use]
    pub const fn fixed(text: &'static str) -> Self {
        Self::Fixed(Cow::Borrowed(text))
    }

    /// What decides a truth, a word or a part.
    #[must_use]
    pub const fn condition(text: &'static str) -> Self {
        Self::Condition(Cow::Borrowed(text))
    }

    /// What kind of formula it is.
    #[must_use]
    pub const fn kind(&self) -> FormulaKind {
        match self {
            Self::Expression(_) => FormulaKind::Expression,
            Self::Method(_) => FormulaKind::Method,
            Self::Choice(_) => FormulaKind::Choice,
            Self::Fixed(_) => FormulaKind::Fixed,
            Self::Condition(_) => FormulaKind::Condition,
        }
    }

    /// Its text, names in braces.
    #[must_use]
    pub fn text(&self) -> &str {
        match self {
            Self::Expression(text)
            | Self::Method(text)
            | Self::Choice(text)
            | Self::Fixed(text)
            | Self::Condition(text) => text,
        }
    }

    /// The names in braces, in order.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        pieces(self.text()).filter_map(|(name, is_name)| is_name.then_some(name))
    }

    /// Its text with each name in braces as it is to be printed.
    #[must_use]
    pub fn printed(&self, name: impl Fn(&str) -> String) -> String {
        let mut text = String::new();
        for (piece, is_name) in pieces(self.text()) {
            if is_name { text.push_str(&name(piece)) } else { text.push_str(piece) }
        }
        text
    }
}

/// What kind of formula a line of a working has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FormulaKind {
    /// See [`Formula::Expression`].
    Expression,
    /// See [`Formula::Method`].
    Method,
    /// See [`Formula::Choice`].
    Choice,
    /// See [`Formula::Fixed`].
    Fixed,
    /// See [`Formula::Condition`].
    Condition,
}

impl FormulaKind {
    /// Its name in reports.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Expression => "expression",
            Self::Method => "method",
            Self::Choice => "choice",
            Self::Fixed => "fixed",
            Self::Condition => "condition",
        }
    }
}

/// The pieces of a text, each with whether it stood in braces.
fn pieces(text: &str) -> impl Iterator<Item = (&str, bool)> {
    text.split('{').enumerate().flat_map(|(place, piece)| match piece.split_once('}') {
        Some((name, rest)) if place > 0 => [(name, true), (rest, false)],
        _ => [(piece, false), ("", false)],
    })
}

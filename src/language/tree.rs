//! The tree of an expression as written.

use std::ops::Range;

use crate::quantity::Quantity;
use crate::vocabulary::Date;

/// A node with its place in the text.
#[derive(Clone, Debug)]
pub struct ExprTree {
    /// Its bytes.
    pub range: Range<usize>,
    /// What it is.
    pub node: ExprNode,
}

/// A name with its place.
#[derive(Clone, Debug)]
pub struct Word {
    pub(super) text: String,
    pub(super) range: Range<usize>,
}

impl Word {
    /// The name.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Its bytes.
    #[must_use]
    pub fn range(&self) -> Range<usize> {
        self.range.clone()
    }
}

/// `+ - * /`
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arithmetic {
    /// Sum.
    Add,
    /// Difference.
    Subtract,
    /// Product.
    Multiply,
    /// Quotient.
    Divide,
}

/// `< <= = != >= >`
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// Less.
    Less,
    /// At most.
    AtMost,
    /// Equal.
    Equal,
    /// Not equal.
    NotEqual,
    /// At least.
    AtLeast,
    /// More.
    More,
}

impl Order {
    /// As written.
    #[must_use]
    pub fn sign(self) -> &'static str {
        match self {
            Self::Less => "<",
            Self::AtMost => "<=",
            Self::Equal => "=",
            Self::NotEqual => "!=",
            Self::AtLeast => ">=",
            Self::More => ">",
        }
    }

    /// Whether an ordering satisfies it.
    #[must_use]
    pub fn holds(self, ordering: std::cmp::Ordering) -> bool {
        match self {
            Self::Less => ordering.is_lt(),
            Self::AtMost => ordering.is_le(),
            Self::Equal => ordering.is_eq(),
            Self::NotEqual => ordering.is_ne(),
            Self::AtLeast => ordering.is_ge(),
            Self::More => ordering.is_gt(),
        }
    }
}

/// Which members of a collection must have a property.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantifier {
    /// All.
    Every,
    /// At least one.
    Some,
    /// None.
    No,
}

/// How the members of a collection become one value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fold {
    /// Their sum.
    Sum,
    /// The least.
    Least,
    /// The greatest.
    Greatest,
    /// Their mean.
    Mean,
    /// The one in the middle of them by size; the mean of the two in the middle.
    Middle,
}

impl Fold {
    /// Each with the word that it is written with.
    pub(super) const ALL: [(&'static str, Self); 5] = [
        ("sum", Self::Sum),
        ("least", Self::Least),
        ("greatest", Self::Greatest),
        ("mean", Self::Mean),
        ("middle", Self::Middle),
    ];

    /// The word that it is written with.
    pub(super) fn word(self) -> &'static str {
        Self::ALL.iter().find(|(_, fold)| *fold == self).map_or("", |(word, _)| word)
    }

    /// Whether one member decides it.
    pub(super) fn is_of_one(self) -> bool {
        matches!(self, Self::Least | Self::Greatest)
    }
}

/// A name for each member of a collection, and which members count.
#[derive(Clone, Debug)]
pub struct Binder {
    pub(super) name: Word,
    pub(super) over: Box<ExprTree>,
    pub(super) filter: Option<Box<ExprTree>>,
}

/// What an expression is.
#[derive(Clone, Debug)]
pub enum ExprNode {
    /// A number or a measure.
    Quantity(Quantity),
    /// A day.
    Date(Date),
    /// A text in quotes.
    Text(String),
    /// A name: the subject, a member, a limit.
    Name(String),
    /// `a.b`
    Member(Box<ExprTree>, Word),
    /// `f(a, b)`
    Call(Word, Vec<ExprTree>),
    /// `all joint`
    All(Word),
    /// `the joint named "main"`
    Named(Word, Word),
    /// `-a`
    Negate(Box<ExprTree>),
    /// `not a`
    Not(Box<ExprTree>),
    /// `a and b`
    And(Box<ExprTree>, Box<ExprTree>),
    /// `a or b`
    Or(Box<ExprTree>, Box<ExprTree>),
    /// `a + b`
    Arithmetic(Arithmetic, Box<ExprTree>, Box<ExprTree>),
    /// `a ^ 2`
    Power(Box<ExprTree>, i8),
    /// `a < b`
    Compare(Order, Box<ExprTree>, Box<ExprTree>),
    /// `if a then b else c`
    If(Box<ExprTree>, Box<ExprTree>, Box<ExprTree>),
    /// `a or else b`
    Default(Box<ExprTree>, Box<ExprTree>),
    /// `a with b = c`
    With(Box<ExprTree>, Vec<(ExprTree, ExprTree)>),
    /// `a is given`
    Given(Box<ExprTree>),
    /// `a has vents`
    Has(Box<ExprTree>, Word),
    /// `a is the same as b`
    Same(Box<ExprTree>, Box<ExprTree>),
    /// `a comes before b`
    Before(Box<ExprTree>, Box<ExprTree>),
    /// `a is word`, `a is one of (word, word)`
    OneOf(Box<ExprTree>, Vec<ExprTree>),
    /// `a matches /x/`
    Matches(Box<ExprTree>, Word),
    /// `every x of xs has …`
    Quantified(Quantifier, Binder, Box<ExprTree>),
    /// `sum of … over x of xs`
    Fold(Fold, Box<ExprTree>, Binder),
    /// `count of xs`, `count of x of xs where …`
    Count(Box<ExprTree>, Option<Binder>),
}

//! Both sides of an operator: whether they go together, and what they give.

use std::ops::Range;

use super::LanguageError;
use super::check::{CheckResult, Checked, Checker, Otherwise, TypedNode, done};
use super::tree::{Arithmetic, ExprNode, ExprTree, Fold, Order};
use crate::model::{Access, Catalogue, Type};
use crate::quantity::{Dimension, difference_dimension, sum_dimension};
use crate::vocabulary::{Value, suggest};

/// What would make two dimensions agree, where the algebra knows.
fn agreement(left: Dimension, right: Dimension) -> Option<String> {
    let ratio = left.over(right)?;
    match ratio {
        Dimension::AREA => {
            Some("one side is an area too many: divide it by an area to make them agree".to_owned())
        }
        Dimension::LENGTH => {
            Some("one side is a length too many: divide it by a length to make them agree".to_owned())
        }
        Dimension::ACCELERATION => Some(
            "the left is a force where the right is a mass: multiply the mass by an acceleration (`1 gee`)"
                .to_owned(),
        ),
        Dimension::NUMBER => None,
        _ => {
            let back = right.over(left)?.in_words();
            // A factor that has no name in the trade explains nothing.
            (!back.contains("quantity in"))
                .then(|| format!("the left side would have to be multiplied by {back}"))
        }
    }
}

impl Checker<'_, '_> {
    pub(super) fn arithmetic(
        &mut self,
        which: Arithmetic,
        left: &ExprTree,
        right: &ExprTree,
        range: &Range<usize>,
    ) -> CheckResult {
        let l = self.boxed(left)?;
        if l.gives == Type::Date {
            return self.days_between(which, l, right, range);
        }
        let right_side = self.quantity(right).map_err(|error| match self.hyphened(which, left, right) {
            Some(help) => error.help(help),
            None => error,
        });
        let ((l, a), (r, b)) = (Self::as_quantity(l, left)?, right_side?);
        let (doing, dimension) = match which {
            Arithmetic::Add => ("add", sum_dimension(a, b)),
            Arithmetic::Subtract => ("subtract", difference_dimension(a, b)),
            Arithmetic::Multiply => ("multiply", a.times(b)),
            Arithmetic::Divide => ("divide", a.over(b)),
        };
        let Some(dimension) = dimension else {
            return Err(clash(doing, left, a, right, b));
        };
        Ok(done(range, Type::Quantity(dimension), TypedNode::Arithmetic(which, l, r)))
    }

    /// What is meant where a name with `_` in it is written with a hyphen.
    fn hyphened(&mut self, which: Arithmetic, left: &ExprTree, right: &ExprTree) -> Option<String> {
        let (ExprNode::Member(of, first), ExprNode::Name(second)) = (&left.node, &right.node) else {
            return None;
        };
        let name = format!("{}_{second}", first.text);
        let (_, entity_type) = self.entity(of).ok()?;
        let is_one = which == Arithmetic::Subtract && left.range.end + 1 == right.range.start;
        (is_one && self.scope.catalogue.named(entity_type, &name).is_some())
            .then(|| format!("did you mean `{name}`? Names have `_` where words have a hyphen"))
    }

    /// The days from one date to another; nothing else can be worked out with dates.
    fn days_between(
        &mut self,
        which: Arithmetic,
        from: Box<Checked>,
        to: &ExprTree,
        range: &Range<usize>,
    ) -> CheckResult {
        let other = self.boxed(to)?;
        if which != Arithmetic::Subtract || other.gives != Type::Date {
            let message = format!(
                "from a date only a date can be subtracted, which gives a time; this is {}",
                other.gives
            );
            return Err(LanguageError::new(message, range.clone())
                .help("compare the difference of two dates with a time: `today - test.date <= 30 days`"));
        }
        Ok(done(range, Type::Quantity(Dimension::TIME), TypedNode::Arithmetic(which, from, other)))
    }

    pub(super) fn compare(
        &mut self,
        order: Order,
        left: &ExprTree,
        right: &ExprTree,
        range: &Range<usize>,
    ) -> CheckResult {
        let (l, r) = (self.boxed(left)?, self.boxed(right)?);
        let equality = matches!(order, Order::Equal | Order::NotEqual);
        match (l.gives, r.gives) {
            (Type::Quantity(a), Type::Quantity(b)) if a == b => {
                if matches!(
                    (&l.node, &r.node),
                    (
                        TypedNode::Constant(_) | TypedNode::Limit(_),
                        TypedNode::Constant(_) | TypedNode::Limit(_)
                    )
                ) {
                    return Err(LanguageError::new(
                        "both sides are fixed: this always comes out the same",
                        range.clone(),
                    ));
                }
            }
            (Type::Quantity(a), Type::Quantity(b)) => return Err(clash("compare", left, a, right, b)),
            (Type::Date, Type::Date) => {}
            (Type::Word(a), Type::Word(b)) if equality => {
                if !a.iter().any(|w| b.contains(w)) {
                    return Err(LanguageError::new("these two have no word in common", range.clone()));
                }
            }
            (Type::Text | Type::Word(_), Type::Text | Type::Word(_)) | (Type::Truth, Type::Truth)
                if equality =>
            {
                known_word(&l, &r, right)?
            }
            (Type::Word(known), Type::Text) if in_order(known).is_some() => {
                let order_of = in_order(known).unwrap_or_default();
                let TypedNode::Constant(Value::Text(word)) = &r.node else {
                    return Err(LanguageError::new(
                        "expected one of the words in their order",
                        right.range.clone(),
                    ));
                };
                if !order_of.contains(&&**word) {
                    let near = suggest(word, order_of.iter().copied());
                    let help = near.map_or_else(
                        || format!("the order is {}", order_of.join(", ")),
                        |near| format!("did you mean `{near}`?"),
                    );
                    return Err(LanguageError::new(
                        format!("`{word}` has no place in the order"),
                        right.range.clone(),
                    )
                    .help(help));
                }
            }
            (Type::Word(_), Type::Text) => {
                return Err(LanguageError::new("these words have no order", range.clone())
                    .help("compare them with `=` or `is one of (…)`"));
            }
            (Type::Entity(_), Type::Entity(_)) => {
                return Err(LanguageError::new("parts are compared with `is the same as`", range.clone()));
            }
            (a, b) => {
                return Err(LanguageError::new(format!("cannot compare {a} and {b}"), range.clone())
                    .also(right.range.clone(), format!("this side is {b}"))
                    .maybe_help(comparable(a, b)));
            }
        }
        let places = l.is_place(self.scope.catalogue)
            || r.is_place(self.scope.catalogue)
            || (l.is_distance() && r.is_fixed())
            || (l.is_fixed() && r.is_distance());
        Ok(done(range, Type::Truth, TypedNode::Compare(order, l, r, places)))
    }

    pub(super) fn alike(&self, left: &Checked, right: &Checked, what: &str) -> Result<Type, LanguageError> {
        match (left.gives, right.gives) {
            (a, b) if a == b => Ok(a),
            (Type::Text | Type::Word(_), Type::Text | Type::Word(_)) => Ok(Type::Text),
            (a, b) => {
                Err(LanguageError::new(format!("{what} must be alike, and this is {b}"), right.range.clone())
                    .also(left.range.clone(), format!("this is {a}")))
            }
        }
    }

    pub(super) fn same(&mut self, left: &ExprTree, right: &ExprTree, range: &Range<usize>) -> CheckResult {
        let (l, r) = (self.boxed(left)?, self.boxed(right)?);
        match (l.gives, r.gives) {
            (Type::Entity(a), Type::Entity(b)) if a == b => {
                Ok(done(range, Type::Truth, TypedNode::Same(l, r)))
            }
            (Type::Entity(a), Type::Entity(b)) => Err(LanguageError::new(
                format!("{} is never {}", a.with_article(), b.with_article()),
                range.clone(),
            )),
            (a, b) => Err(LanguageError::new(
                format!("`is the same as` compares two parts, not {a} and {b}"),
                range.clone(),
            )
            .help("values are compared with `=`")),
        }
    }

    /// Whether a part stands before another one of its type in the file.
    pub(super) fn before(
        &mut self,
        first: &ExprTree,
        second: &ExprTree,
        range: &Range<usize>,
    ) -> CheckResult {
        let (l, r) = (self.boxed(first)?, self.boxed(second)?);
        match (l.gives, r.gives) {
            (Type::Entity(a), Type::Entity(b)) if a == b && self.scope.catalogue.is_in_designs(a) => {
                Ok(done(range, Type::Truth, TypedNode::Before(a, l, r)))
            }
            (a, b) => Err(LanguageError::new(
                format!(
                    "`comes before` and `comes after` ask of two parts of one type; these are {a} and {b}"
                ),
                range.clone(),
            )
            .help("values are compared with `<` and `>`")),
        }
    }

    /// A quantity with some fields otherwise.
    pub(super) fn with(
        &mut self,
        value: &ExprTree,
        changes: &[(ExprTree, ExprTree)],
        range: &Range<usize>,
    ) -> CheckResult {
        let (value, dimension) = self.quantity(value)?;
        let mut all = Vec::new();
        for (field, new) in changes {
            let (new, found) = (self.boxed(new)?, new);
            let checked = self.boxed(field)?;
            let TypedNode::Read { of, access: Access::Field(slot), .. } = checked.node else {
                return Err(LanguageError::new(
                    "only a field that is written down can be otherwise",
                    field.range.clone(),
                ));
            };
            match (checked.gives, new.gives) {
                (Type::Quantity(expected), Type::Quantity(found)) if expected == found => {}
                (Type::Quantity(_), other) => {
                    let message = format!("the field is {}, and this is {other}", checked.gives);
                    return Err(LanguageError::new(message, found.range.clone()));
                }
                (other, _) => {
                    let message = format!("only a quantity can be otherwise, and this is {other}");
                    return Err(LanguageError::new(message, field.range.clone()));
                }
            }
            all.push(Otherwise { of: *of, slot, value: *new });
        }
        Ok(done(range, Type::Quantity(dimension), TypedNode::With(value, all)))
    }

    pub(super) fn one_of(
        &mut self,
        value: &ExprTree,
        words: &[ExprTree],
        range: &Range<usize>,
    ) -> CheckResult {
        let checked = self.boxed(value)?;
        let mut values = Vec::new();
        for word in words {
            let found = match (&word.node, checked.gives) {
                (ExprNode::Text(text), Type::Word(known)) => {
                    let Some(word_) = known.iter().find(|k| **k == text.as_str()) else {
                        let help = match suggest(text, known.iter().copied()) {
                            Some(near) => format!("did you mean `{near}`?"),
                            None => format!("it is one of {}", known.join(", ")),
                        };
                        return Err(LanguageError::new(
                            format!("this is never `{text}`"),
                            word.range.clone(),
                        )
                        .help(help));
                    };
                    Value::Word(word_)
                }
                (ExprNode::Text(text), Type::Text) => Value::Text(text.as_str().into()),
                (ExprNode::Text(text), Type::Truth) if text == "true" || text == "false" => {
                    Value::Truth(text == "true")
                }
                (ExprNode::Quantity(quantity), Type::Quantity(dimension))
                    if quantity.dimension == dimension =>
                {
                    Value::Quantity(*quantity)
                }
                (ExprNode::Quantity(quantity), Type::Quantity(dimension)) => {
                    return Err(clash("compare", value, dimension, word, quantity.dimension));
                }
                (_, other) => {
                    let help = match other {
                        Type::Entity(_) => {
                            "`is` asks for a word; what a part or a row of a table is called asks `name_of(…) = \"…\"`, whether it is known `is given`"
                        }
                        Type::Text | Type::Texts => {
                            "`is` asks for a word of a fixed set; a text is compared with `=`, a list of texts with `contains(…)`"
                        }
                        _ => {
                            "`is` asks for a word; whether a value is known asks `is given`, how large it is `=`, `<` or `>`"
                        }
                    };
                    let message = format!("{other} cannot be this word");
                    return Err(LanguageError::new(message, word.range.clone()).help(help));
                }
            };
            values.push(found);
        }
        Ok(done(range, Type::Truth, TypedNode::OneOf(checked, values)))
    }
}

impl Checked {
    /// Whether a length is a place along the rocket, measured from the nose tip: what matters of it is how far it is from
    /// another one, and not how far it is from the nose.
    pub(super) fn is_place(&self, catalogue: &Catalogue) -> bool {
        match &self.node {
            TypedNode::Read { of, access: Access::Computed(number), .. } => match of.gives {
                Type::Entity(entity_type) => {
                    let entry = catalogue.computed(entity_type).get(usize::from(*number));
                    entry.is_some_and(crate::model::Entry::is_place)
                }
                _ => false,
            },
            TypedNode::Arithmetic(Arithmetic::Add, a, b) => a.is_place(catalogue) || b.is_place(catalogue),
            TypedNode::Arithmetic(Arithmetic::Subtract, a, b) => {
                a.is_place(catalogue) && !b.is_place(catalogue)
            }
            TypedNode::If(_, a, b) | TypedNode::Default(a, b) => {
                a.is_place(catalogue) || b.is_place(catalogue)
            }
            TypedNode::Fold(Fold::Least | Fold::Greatest, value, _) => value.is_place(catalogue),
            TypedNode::Own(function, _) => function.is_place,
            _ => false,
        }
    }

    /// Whether it is how far apart two lengths are, as in `abs(a - b)`: beside a fixed limit, how much farther they may be is a
    /// length, and as a share of what little they may differ it says nothing.
    fn is_distance(&self) -> bool {
        let TypedNode::Call(function, arguments) = &self.node else { return false };
        let [Self { node: TypedNode::Arithmetic(Arithmetic::Subtract, ..), .. }] = arguments.as_slice()
        else {
            return false;
        };
        function.name == "abs" && self.gives == Type::Quantity(Dimension::LENGTH)
    }

    /// Whether it is the same for every design.
    fn is_fixed(&self) -> bool {
        matches!(self.node, TypedNode::Constant(_) | TypedNode::Limit(_))
    }
}

/// The words, from the least to the most, of a list of words that has an order; a list may have others beside them.
pub(super) fn in_order(known: &[&'static str]) -> Option<&'static [&'static str]> {
    ORDERED.iter().find(|order| order.iter().all(|word| known.contains(word))).copied()
}

/// Words of the vocabulary that have an order.
const ORDERED: [&[&str]; 2] =
    [&["nothing", "level 1", "level 2", "level 3"], &["none", "level 1", "level 2", "level 3"]];

/// How two values that cannot be compared could be.
fn comparable(a: Type, b: Type) -> Option<String> {
    Some(match (a, b) {
        // Behind `where` all that follows is the condition, a comparison of the whole included.
        (Type::Truth, Type::Quantity(_)) => {
            "to compare a whole `count of … where …`, put it in brackets: `(count of … where …) >= 2`".to_owned()
        }
        (Type::Date, Type::Quantity(_)) | (Type::Quantity(_), Type::Date) => {
            "a day is written as `2026-06-15`; the time between two days is their difference: `today - … <= 30 days`"
                .to_owned()
        }
        (Type::Word(words), _) | (_, Type::Word(words)) => {
            let words: Vec<String> = words.iter().map(|word| format!("`\"{word}\"`")).collect();
            format!("it is one of these words: {}", words.join(", "))
        }
        (Type::Curve(..), Type::Quantity(_)) | (Type::Quantity(_), Type::Curve(..)) => {
            "read a curve off at a place: `interpolated(…, curve)`".to_owned()
        }
        _ => return None,
    })
}

/// Whether a text that a word is compared with is one of the words that it may be.
fn known_word(left: &Checked, right: &Checked, text: &ExprTree) -> Result<(), LanguageError> {
    let (Type::Word(known), TypedNode::Constant(Value::Text(word))) = (left.gives, &right.node) else {
        return Ok(());
    };
    if known.contains(&&**word) {
        return Ok(());
    }
    let help = match suggest(word, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("it is one of {}", known.join(", ")),
    };
    Err(LanguageError::new(format!("this is never `{word}`"), text.range.clone()).help(help))
}

/// A side that is a plain number.
fn plain_side(side: &ExprTree, dimension: Dimension) -> Option<&ExprTree> {
    (dimension == Dimension::NUMBER).then_some(side)
}

/// What to do about a plain number where a quantity with a unit is due: a number that is written out lacks its unit here, one that has
/// a name lacks it where it is set, and what is worked out lacks none.
fn unit_of(plain: &ExprTree) -> Option<String> {
    match &plain.node {
        ExprNode::Quantity(_) => Some(
            "a number without a unit is a plain number: write its unit after it, as in `12 in`".to_owned(),
        ),
        ExprNode::Negate(inner) => unit_of(inner),
        ExprNode::Name(name) => Some(format!(
            "`{name}` is a plain number: its unit is written where it is set, as in `is: 12 in`"
        )),
        ExprNode::Call(name, _) if matches!(name.text.as_str(), "sin" | "cos" | "tan") => Some(format!(
            "the {} of an angle is a plain number; an angle comes of `a{}(…)`, and is compared by itself",
            match name.text.as_str() {
                "sin" => "sine",
                "cos" => "cosine",
                _ => "tangent",
            },
            name.text
        )),
        _ => None,
    }
}

fn clash(doing: &str, left: &ExprTree, a: Dimension, right: &ExprTree, b: Dimension) -> LanguageError {
    LanguageError::new(
        format!("cannot {doing} {} and {}: this side is {}", a.in_words(), b.in_words(), b.in_words()),
        right.range.clone(),
    )
    .maybe_help(match (plain_side(left, a), plain_side(right, b)) {
        (None, None) => agreement(a, b),
        (Some(plain), _) | (_, Some(plain)) => unit_of(plain),
    })
    .also(left.range.clone(), format!("this side is {}", a.in_words()))
}

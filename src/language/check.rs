//! Expression tree to checked tree: every name bound to a slot, every type and dimension settled.

use std::ops::Range;
use std::sync::Arc;

use super::LanguageError;
use super::function_signature::Function;
use super::interval::Interval;
use super::pack_constants::{Column, Constant, PackTable};
use super::tree::{Arithmetic, Binder, ExprNode, ExprTree, Fold, Order, Quantifier};
use crate::design::ROCKET;
use crate::model::{Access, Catalogue, Reference, Type};
use crate::quantity::{Dimension, unit};
use crate::vocabulary::{EntityType, Value};

/// What a pack names for its own expressions.
#[derive(Clone, Debug, Default)]
pub struct Names {
    /// Its limits.
    pub limits: Vec<Constant>,
    /// Its functions.
    pub functions: Vec<Arc<PackFunction>>,
    /// Its tables.
    pub tables: Vec<Arc<PackTable>>,
    /// The names of limits, tables and functions that are left out, since something is wrong with them.
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

/// A function that a pack writes: an expression with values in place of the names of its parameters.
#[derive(Clone, Debug)]
pub struct PackFunction {
    /// The pack that it stands in.
    pub pack: String,
    /// Its name.
    pub name: String,
    /// What it gives, in a sentence.
    pub doc: String,
    /// What it takes: names, and what each stands for.
    pub parameters: Vec<(String, Type)>,
    pub(super) body: Checked,
    pub(super) depth: usize,
    pub(super) range: Interval,
    pub(super) is_place: bool,
}

/// What the names in an expression may stand for.
#[derive(Clone, Debug)]
pub struct Scope<'c> {
    /// Every kind and its quantities.
    pub catalogue: &'c Catalogue,
    /// The subject's name and kind; rules of the whole rocket have the rocket itself.
    pub subject: Option<(&'c str, &'static EntityType)>,
    /// The kind of the whole file.
    pub root: &'static EntityType,
    /// What the pack names for itself.
    pub own: &'c Names,
    /// In a function of the pack's own, its parameters.
    pub parameters: &'c [(String, Type)],
    /// The names of members that a finding may use, by the numbers of their variables.
    pub members: &'c [(String, &'static EntityType)],
}

impl<'c> Scope<'c> {
    /// What the names stand for that an expression about a type of part may use in any pack.
    #[must_use]
    pub fn about(catalogue: &'c Catalogue, entity_type: &'static EntityType) -> Self {
        Self {
            catalogue,
            subject: Some((entity_type.name, entity_type)),
            root: &ROCKET,
            own: &NO_NAMES,
            parameters: &[],
            members: &[],
        }
    }
}

/// An expression whose types are settled.
#[derive(Clone, Debug)]
pub struct Checked {
    /// Its bytes in the expression's text.
    pub range: Range<usize>,
    /// What it gives.
    pub gives: Type,
    pub(super) node: TypedNode,
}

/// A node whose names are bound.
#[derive(Clone, Debug)]
pub(super) enum TypedNode {
    Constant(Value),
    Limit(Constant),
    Root,
    Today,
    Variable(u8),
    Read {
        of: Box<Checked>,
        access: Access,
        contained: bool,
    },
    Holder(Box<Checked>, &'static EntityType),
    All(&'static EntityType),
    /// What refers to an entity.
    Inverse(Box<Checked>, Vec<Reference>),
    /// Whether something refers to an entity.
    IsReferredTo(Box<Checked>, Vec<Reference>),
    /// The entity of a name.
    Named(&'static EntityType, Arc<str>),
    /// A parameter of a function of a pack's own, by its number.
    Parameter(u8),
    /// A call of a function of a pack's own.
    Own(Arc<PackFunction>, Vec<Checked>),
    /// A column of a pack's own table, where a value is looked up in it.
    Column(Arc<Column>),
    Call(&'static Function, Vec<Checked>),
    Negate(Box<Checked>),
    Not(Box<Checked>),
    And(Box<Checked>, Box<Checked>),
    Or(Box<Checked>, Box<Checked>),
    Arithmetic(Arithmetic, Box<Checked>, Box<Checked>),
    Power(Box<Checked>, i8),
    /// The truth says that the difference of the sides is a gap: both are places along the rocket, or one is how far
    /// apart lengths are and the other a fixed limit.
    Compare(Order, Box<Checked>, Box<Checked>, bool),
    If(Box<Checked>, Box<Checked>, Box<Checked>),
    Default(Box<Checked>, Box<Checked>),
    /// A value with some fields otherwise.
    With(Box<Checked>, Vec<Otherwise>),
    Given(Box<Checked>),
    Has(Box<Checked>, u16),
    Same(Box<Checked>, Box<Checked>),
    /// Whether the first stands before the second in the file; both are of this type.
    Before(&'static EntityType, Box<Checked>, Box<Checked>),
    OneOf(Box<Checked>, Vec<Value>),
    Matches(Box<Checked>, regex::Regex),
    Quantified(Quantifier, Bound, Box<Checked>),
    Fold(Fold, Box<Checked>, Bound),
    Count(Bound),
}

/// A field that is taken otherwise than it is written.
#[derive(Clone, Debug)]
pub(super) struct Otherwise {
    /// What it is a field of.
    pub(super) of: Checked,
    pub(super) slot: u16,
    pub(super) value: Checked,
}

/// A collection whose members are bound to a variable.
#[derive(Clone, Debug)]
pub(super) struct Bound {
    /// What a member is called.
    pub(super) name: String,
    pub(super) over: Box<Checked>,
    pub(super) filter: Option<Box<Checked>>,
    pub(super) variable: u8,
}

pub(super) struct Checker<'s, 'c> {
    pub(super) scope: &'s Scope<'c>,
    pub(super) variables: Vec<(String, &'static EntityType)>,
}

pub(super) type CheckResult = Result<Checked, LanguageError>;

/// Checks a tree.
///
/// # Errors
/// At the first name, type or dimension that does not fit.
pub fn check(tree: &ExprTree, scope: &Scope<'_>) -> CheckResult {
    Checker { scope, variables: scope.members.to_vec() }.check(tree)
}

pub(super) fn done(range: &Range<usize>, gives: Type, node: TypedNode) -> Checked {
    Checked { range: range.clone(), gives, node }
}

impl Checker<'_, '_> {
    pub(super) fn boxed(&mut self, tree: &ExprTree) -> Result<Box<Checked>, LanguageError> {
        self.check(tree).map(Box::new)
    }

    pub(super) fn expect(
        &mut self,
        tree: &ExprTree,
        expected: Type,
        what: &str,
    ) -> Result<Box<Checked>, LanguageError> {
        let checked = self.boxed(tree)?;
        if checked.gives == expected {
            return Ok(checked);
        }
        Err(LanguageError::new(
            format!("{what} is {expected}, and this is {}", checked.gives),
            tree.range.clone(),
        ))
    }

    pub(super) fn quantity(&mut self, tree: &ExprTree) -> Result<(Box<Checked>, Dimension), LanguageError> {
        let checked = self.boxed(tree)?;
        Self::as_quantity(checked, tree)
    }

    pub(super) fn as_quantity(
        checked: Box<Checked>,
        tree: &ExprTree,
    ) -> Result<(Box<Checked>, Dimension), LanguageError> {
        match checked.gives {
            Type::Quantity(dimension) => Ok((checked, dimension)),
            other => {
                Err(LanguageError::new(format!("expected a quantity, found {other}"), tree.range.clone()))
            }
        }
    }

    pub(super) fn check(&mut self, tree: &ExprTree) -> CheckResult {
        let range = &tree.range;
        match &tree.node {
            ExprNode::Quantity(quantity) => Ok(done(
                range,
                Type::Quantity(quantity.dimension),
                TypedNode::Constant(Value::Quantity(*quantity)),
            )),
            ExprNode::Date(date) => Ok(done(range, Type::Date, TypedNode::Constant(Value::Date(*date)))),
            ExprNode::Text(text) => {
                Ok(done(range, Type::Text, TypedNode::Constant(Value::Text(text.as_str().into()))))
            }
            ExprNode::Name(name) => self.name(name, range),
            ExprNode::Member(of, name) => self.member(of, name, range),
            ExprNode::Call(name, arguments) => self.call(name, arguments, range),
            ExprNode::All(word) => {
                let entity_type = self.type_in_designs(word)?;
                Ok(done(range, Type::Entities(entity_type), TypedNode::All(entity_type)))
            }
            ExprNode::Named(word, name) => {
                let entity_type = self.type_in_designs(word)?;
                let name = Arc::from(name.text.as_str());
                Ok(done(range, Type::Entity(entity_type), TypedNode::Named(entity_type, name)))
            }
            ExprNode::Negate(inner) => {
                let (checked, dimension) = self.quantity(inner)?;
                if dimension.is_absolute() {
                    return Err(LanguageError::new("a temperature has no negative", range.clone()));
                }
                Ok(done(range, Type::Quantity(dimension), TypedNode::Negate(checked)))
            }
            ExprNode::Not(inner) => {
                let help = match &inner.node {
                    ExprNode::Member(of, name) => match &of.node {
                        ExprNode::Name(of) => {
                            Some(format!("whether there is one asks `not ({of} has {})`", name.text))
                        }
                        _ => None,
                    },
                    _ => None,
                };
                let inner = self
                    .expect(inner, Type::Truth, "what follows `not`")
                    .map_err(|error| if error.help.is_none() { error.maybe_help(help) } else { error })?;
                Ok(done(range, Type::Truth, TypedNode::Not(inner)))
            }
            ExprNode::And(left, right) => {
                let left = self.expect(left, Type::Truth, "each side of `and`")?;
                let right = self.expect(right, Type::Truth, "each side of `and`")?;
                Ok(done(range, Type::Truth, TypedNode::And(left, right)))
            }
            ExprNode::Or(left, right) => {
                let left = self.expect(left, Type::Truth, "each side of `or`")?;
                let several = matches!(left.node, TypedNode::OneOf(..)).then(|| {
                    "of several words write `is one of (…)`, as `is one of (\"level 1\", \"level 2\")`"
                        .to_owned()
                });
                let right =
                    self.expect(right, Type::Truth, "each side of `or`").map_err(|error| match several {
                        Some(help) if error.help.is_none() => error.help(help),
                        _ => error,
                    })?;
                Ok(done(range, Type::Truth, TypedNode::Or(left, right)))
            }
            ExprNode::Arithmetic(which, left, right) => self.arithmetic(*which, left, right, range),
            ExprNode::Power(base, exponent) => {
                let (checked, dimension) = self.quantity(base)?;
                let power = dimension.power(*exponent).ok_or_else(|| {
                    LanguageError::new(
                        format!("{} cannot be raised to this power", dimension.in_words()),
                        range.clone(),
                    )
                })?;
                Ok(done(range, Type::Quantity(power), TypedNode::Power(checked, *exponent)))
            }
            ExprNode::Compare(order, left, right) => self.compare(*order, left, right, range),
            ExprNode::If(condition, yes, no) => {
                let condition = self.expect(condition, Type::Truth, "the condition of `if`")?;
                let (yes, no) = (self.boxed(yes)?, self.boxed(no)?);
                let gives = self.alike(&yes, &no, "the two values of `if`")?;
                Ok(done(range, gives, TypedNode::If(condition, yes, no)))
            }
            ExprNode::Default(value, other) => {
                let (value, other) = (self.boxed(value)?, self.boxed(other)?);
                let gives = self.alike(&value, &other, "a value and its default")?;
                Ok(done(range, gives, TypedNode::Default(value, other)))
            }
            ExprNode::With(value, changes) => self.with(value, changes, range),
            ExprNode::Given(inner) => {
                let inner = self.boxed(inner)?;
                if matches!(inner.node, TypedNode::Constant(_) | TypedNode::Limit(_)) {
                    return Err(LanguageError::new("this is always given", range.clone()));
                }
                Ok(done(range, Type::Truth, TypedNode::Given(inner)))
            }
            ExprNode::Has(of, part) => self.has(of, part, range),
            ExprNode::Same(left, right) => self.same(left, right, range),
            ExprNode::Before(first, second) => self.before(first, second, range),
            ExprNode::OneOf(value, words) => self.one_of(value, words, range),
            ExprNode::Matches(value, pattern) => {
                let checked = self.boxed(value)?;
                if !matches!(checked.gives, Type::Text | Type::Word(_)) {
                    let message = format!("a text can match a pattern, and this is {}", checked.gives);
                    return Err(LanguageError::new(message, value.range.clone()));
                }
                let regex =
                    regex::RegexBuilder::new(&pattern.text).size_limit(1 << 18).build().map_err(|error| {
                        let reason = error.to_string();
                        let reason = reason
                            .lines()
                            .last()
                            .unwrap_or("")
                            .trim()
                            .trim_start_matches("error: ")
                            .to_owned();
                        LanguageError::new(format!("this is not a pattern: {reason}"), pattern.range.clone())
                    })?;
                Ok(done(range, Type::Truth, TypedNode::Matches(checked, regex)))
            }
            ExprNode::Quantified(quantifier, binder, body) => {
                let (bound, _) = self.bind(binder)?;
                let body = self.expect(body, Type::Truth, "what is asked of the members")?;
                self.variables.pop();
                Ok(done(range, Type::Truth, TypedNode::Quantified(*quantifier, bound, body)))
            }
            ExprNode::Fold(fold, value, binder) => {
                let (bound, _) = self.bind(binder)?;
                let (value, dimension) = self.quantity(value)?;
                self.variables.pop();
                if *fold == Fold::Sum && dimension.is_absolute() {
                    return Err(LanguageError::new("temperatures cannot be summed", range.clone()));
                }
                Ok(done(range, Type::Quantity(dimension), TypedNode::Fold(*fold, value, bound)))
            }
            ExprNode::Count(over, binder) => {
                let bound = match binder {
                    Some(binder) => {
                        let (bound, _) = self.bind(binder)?;
                        self.variables.pop();
                        bound
                    }
                    None => Bound {
                        name: String::new(),
                        over: self.collection(over)?.0,
                        filter: None,
                        variable: 0,
                    },
                };
                Ok(done(range, Type::Quantity(Dimension::NUMBER), TypedNode::Count(bound)))
            }
        }
    }

    fn collection(&mut self, over: &ExprTree) -> Result<(Box<Checked>, &'static EntityType), LanguageError> {
        let checked = self.boxed(over)?;
        match checked.gives {
            Type::Entities(entity_type) => Ok((checked, entity_type)),
            other => {
                Err(LanguageError::new(format!("expected a collection, found {other}"), over.range.clone()))
            }
        }
    }

    /// Opens the scope of a binder; the caller closes it by popping the variable.
    fn bind(&mut self, binder: &Binder) -> Result<(Bound, &'static EntityType), LanguageError> {
        let name = &binder.name;
        let taken = self.variables.iter().any(|(n, _)| *n == name.text)
            || self.scope.subject.is_some_and(|(n, _)| n == name.text)
            || self.scope.own.limits.iter().any(|l| l.name == name.text)
            || self.scope.own.tables.iter().any(|t| t.name == name.text)
            || self.scope.parameters.iter().any(|(n, _)| *n == name.text)
            || name.text == self.scope.root.name;
        if taken {
            let error = LanguageError::new(
                format!("`{}` already names something here", name.text),
                name.range.clone(),
            );
            let is_member = self.variables.iter().any(|(n, _)| *n == name.text);
            return Err(error.help(if is_member {
                "what follows `has` goes on to the end: put the question before this one in brackets, or choose another name for the members"
            } else {
                "choose another name for the members"
            }));
        }
        // Packs have members of this name; behind a number it is days all the same.
        let is_days = name.text == "d";
        if unit(&name.text).is_some() && !is_days {
            return Err(LanguageError::new(format!("`{}` is a unit", name.text), name.range.clone())
                .help("choose another name for the members"));
        }
        if self.variables.len() >= 6 {
            return Err(LanguageError::new("too many collections inside each other", name.range.clone()));
        }
        let (over, entity_type) = self.collection(&binder.over)?;
        self.variables.push((name.text.clone(), entity_type));
        let variable = u8::try_from(self.variables.len()).unwrap_or(u8::MAX);
        let filter = match &binder.filter {
            Some(filter) => Some(self.expect(filter, Type::Truth, "the condition after `where`")?),
            None => None,
        };
        Ok((Bound { name: name.text.clone(), over, filter, variable }, entity_type))
    }
}

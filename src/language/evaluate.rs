//! Checked tree to value, with a trace of what decided it.
//!
//! Missing values follow Kleene's three-valued logic. The trace keeps what decided the outcome: the short side of a
//! failed `and`, the member that failed an `every`; a rule author lists no labels.

use std::cmp::Ordering;

use super::check::{Checked, Otherwise, PackFunction, TypedNode};
use super::function_signature::Calling;
use super::operators::in_order;
use super::trace::{ComparisonTrace, Member, Trace};
use super::tree::{Arithmetic, Order};
use crate::model::{Access, Change, EvalContext, Model, Outcome, Read, Type, Unknown, both};
use crate::quantity::{ArithmeticError, Quantity};
use crate::vocabulary::{Date, EntityId, EntityType, State, Value};

/// An outcome with its trace.
#[derive(Clone, Debug)]
pub struct Evaluation {
    /// The value, or why it is not known.
    pub value: Outcome<Value>,
    /// What decided it.
    pub trace: Trace,
}

/// More questions than a rule can sensibly ask of one rocket.
const MOST_STEPS: u32 = 200_000;
/// As how many of them a changed design counts.
const STEPS_OF_A_CHANGE: u32 = 500;

pub(super) struct Evaluator<'m> {
    pub(super) model: &'m Model<'m>,
    ctx: Option<&'m EvalContext<'m>>,
    subject: EntityId,
    pub(super) variables: [EntityId; 8],
    /// In a function of a pack's own, what it is called with.
    pub(super) parameters: Vec<Outcome<Value>>,
    pub(super) trace: Trace,
    /// Whether what is evaluated is denied by what stands around it.
    pub(super) denied: bool,
    steps: u32,
}

/// Evaluates an expression for a subject.
#[must_use]
pub fn evaluate(
    checked: &Checked,
    model: &Model<'_>,
    ctx: Option<&EvalContext<'_>>,
    subject: EntityId,
) -> Evaluation {
    let mut evaluator = evaluator(model, ctx, subject);
    let value = evaluator.value(checked);
    Evaluation { value, trace: evaluator.trace }
}

/// Evaluates an expression for a subject; its trace goes on from another.
#[must_use]
pub fn evaluate_into(trace: Trace, checked: &Checked, model: &Model<'_>, subject: EntityId) -> Evaluation {
    let mut evaluator = Evaluator { trace, ..untraced(model, None, subject) };
    let value = evaluator.value(checked);
    Evaluation { value, trace: evaluator.trace }
}

/// The value of an expression for a subject that may name members that decided another; none where it is not known.
pub(super) fn evaluate_with(
    checked: &Checked,
    model: &Model<'_>,
    subject: EntityId,
    members: &[Member],
) -> Option<Value> {
    let mut evaluator = evaluator(model, None, subject);
    for member in members {
        evaluator.bind(member.variable, member.entity);
    }
    let mut free = Vec::new();
    checked.free_variables(&mut free);
    if !free.iter().all(|one| members.iter().any(|member| member.variable == *one)) {
        return None;
    }
    evaluator.value(checked).ok()
}

/// What evaluates for a subject.
pub(super) fn evaluator<'m>(
    model: &'m Model<'m>,
    ctx: Option<&'m EvalContext<'m>>,
    subject: EntityId,
) -> Evaluator<'m> {
    Evaluator { trace: Trace::for_an_expression(), ..untraced(model, ctx, subject) }
}

fn untraced<'m>(model: &'m Model<'m>, ctx: Option<&'m EvalContext<'m>>, subject: EntityId) -> Evaluator<'m> {
    Evaluator {
        model,
        ctx,
        subject,
        variables: [subject; 8],
        parameters: Vec::new(),
        trace: Trace::default(),
        denied: false,
        steps: 0,
    }
}

pub(super) fn unworkable(error: &ArithmeticError) -> Unknown {
    Unknown::refused(error.to_string(), [])
}

impl Evaluator<'_> {
    pub(super) fn value(&mut self, checked: &Checked) -> Outcome<Value> {
        let value = self.worked(checked);
        if let (Some(coverage), Ok(Value::Truth(truth))) = (self.model.coverage(), &value) {
            coverage.record(checked.key(), *truth);
        }
        value
    }

    fn worked(&mut self, checked: &Checked) -> Outcome<Value> {
        self.steps += 1;
        if self.steps > MOST_STEPS {
            return Err(Unknown::refused("the rule asks too much of this design", []));
        }
        match &checked.node {
            TypedNode::Constant(value) => Ok(value.clone()),
            TypedNode::Limit(limit) => {
                if let Some(ctx) = self.ctx {
                    ctx.fixed(&limit.name, "a limit of its pack", limit.value);
                }
                Ok(Value::Quantity(limit.value))
            }
            TypedNode::Root => Ok(Value::Entity(self.model.root())),
            TypedNode::Today => Ok(Value::Date(self.model.today())),
            TypedNode::Variable(0) => Ok(Value::Entity(self.subject)),
            TypedNode::Variable(number) => {
                let id = self.variables.get(usize::from(*number)).copied().unwrap_or(self.subject);
                Ok(Value::Entity(id))
            }
            TypedNode::Read { of, access, contained } => {
                let entity = self.entity(of)?;
                let read = Read { entity, access: *access };
                if *contained { self.model.read(read) } else { self.read(read) }
            }
            TypedNode::Holder(of, entity_type) => {
                let entity = self.entity(of)?;
                let holder = self.model.holder(entity, entity_type);
                holder
                    .map(Value::Entity)
                    .ok_or_else(|| Unknown::refused(format!("it stands in no {}", entity_type.name), []))
            }
            TypedNode::All(entity_type) => Ok(Value::Entities(self.model.all_of(entity_type).into())),
            TypedNode::Named(entity_type, name) => self.named(entity_type, name),
            TypedNode::Parameter(number) => self
                .parameters
                .get(usize::from(*number))
                .cloned()
                .unwrap_or_else(|| Err(Unknown::refused("there is no such value", []))),
            TypedNode::Own(function, arguments) => self.own(function, arguments),
            TypedNode::Column(_) => Err(Unknown::refused("a column of a table is no value", [])),
            TypedNode::Inverse(..) => Ok(Value::Entities(self.members(checked, None, 0)?.into())),
            TypedNode::IsReferredTo(of, references) => self.is_referred_to(of, references),
            TypedNode::Call(function, arguments) => {
                let mut values = Vec::with_capacity(arguments.len());
                let mut gap: Option<Unknown> = None;
                for argument in arguments {
                    if let TypedNode::Column(column) = &argument.node {
                        values.extend(column.pairs.iter().cloned());
                        continue;
                    }
                    match self.value(argument) {
                        Ok(value) => values.push(value),
                        Err(more) => gap = Some(gap.map_or(more.clone(), |g| g.and(more))),
                    }
                }
                if let Some(gap) = gap {
                    return Err(gap);
                }
                let calling =
                    Calling { model: self.model, ctx: self.ctx, reads: std::cell::RefCell::default() };
                let value = (function.call)(&calling, &values);
                self.trace.reads.extend(calling.reads.into_inner());
                value.and_then(|value| {
                    if value.is_finite() { Ok(value) } else { Err(unworkable(&ArithmeticError::OutOfRange)) }
                })
            }
            TypedNode::Negate(inner) => {
                self.quantity(inner)?.negated().map(Value::Quantity).map_err(|e| unworkable(&e))
            }
            TypedNode::Not(inner) => {
                self.denied = !self.denied;
                let truth = self.truth(inner);
                self.denied = !self.denied;
                truth.map(|t| Value::Truth(!t))
            }
            TypedNode::And(left, right) => self.short(left, right, false),
            TypedNode::Or(left, right) => self.short(left, right, true),
            TypedNode::Arithmetic(which, left, right) => {
                let (a, b) = both(self.value(left), self.value(right))?;
                let (a, b) = match (a, b) {
                    (Value::Quantity(a), Value::Quantity(b)) => (a, b),
                    (Value::Date(later), Value::Date(earlier)) => return days_between(earlier, later),
                    _ => return Err(Unknown::refused("there is no such quantity", [])),
                };
                let result = match which {
                    Arithmetic::Add => a.plus(b),
                    Arithmetic::Subtract => a.minus(b),
                    Arithmetic::Multiply => a.times(b),
                    Arithmetic::Divide => a.over(b),
                };
                result.map(Value::Quantity).map_err(|e| unworkable(&e))
            }
            TypedNode::Power(base, exponent) => {
                self.quantity(base)?.pow(*exponent).map(Value::Quantity).map_err(|e| unworkable(&e))
            }
            TypedNode::Compare(order, left, right, places) => self.compare(*order, left, right, *places),
            TypedNode::If(condition, yes, no) => {
                let start = self.trace.mark();
                let chosen = self.truth(condition)?;
                // What chooses says nothing of how much there is to spare.
                let end = self.trace.mark();
                self.trace.drop_comparisons(start, end);
                if chosen { self.value(yes) } else { self.value(no) }
            }
            TypedNode::Default(value, other) => {
                let mark = self.trace.mark();
                match self.value(value) {
                    Ok(found) => Ok(found),
                    Err(gap) if !gap.refusals().is_empty() && gap.keys().is_empty() => Err(gap),
                    // What is there and was not measured is not what is left out.
                    Err(gap) if gap.keys().iter().any(|k| self.model.is_unmeasured(k.entity, k.slot)) => {
                        Err(gap)
                    }
                    Err(_) => {
                        let end = self.trace.mark();
                        self.trace.drop_between(mark, end);
                        self.value(other)
                    }
                }
            }
            TypedNode::With(value, changes) => self.with(value, changes),
            TypedNode::Given(inner) => Ok(Value::Truth(self.value(inner).is_ok())),
            TypedNode::Has(of, slot) => {
                let entity = self.entity(of)?;
                self.note(Read { entity, access: Access::Field(*slot) });
                self.model.has(entity, *slot).map(Value::Truth)
            }
            TypedNode::Same(left, right) => {
                let (a, b) = both(self.value(left), self.value(right))?;
                Ok(Value::Truth(a == b))
            }
            TypedNode::Before(entity_type, first, second) => {
                let (first, second) = both(self.value(first), self.value(second))?;
                let all = self.model.all_of(entity_type);
                let place = |one: &Value| all.iter().position(|id| *one == Value::Entity(*id));
                Ok(Value::Truth(place(&first) < place(&second)))
            }
            TypedNode::OneOf(value, words) => {
                let value = self.value(value)?;
                Ok(Value::Truth(words.iter().any(|word| alike(&value, word))))
            }
            TypedNode::Matches(value, pattern) => match self.value(value)? {
                Value::Text(text) => Ok(Value::Truth(pattern.is_match(&text))),
                Value::Word(word) => Ok(Value::Truth(pattern.is_match(word))),
                _ => Ok(Value::Truth(false)),
            },
            TypedNode::Quantified(quantifier, bound, body) => self.quantified(*quantifier, bound, body),
            TypedNode::Fold(fold, value, bound) => self.fold(*fold, value, bound),
            TypedNode::Count(bound) => {
                self.note_collection(bound);
                let members = self.members(&bound.over, bound.filter.as_deref(), bound.variable)?;
                #[allow(clippy::cast_precision_loss, reason = "a file has at most 200,000 values")]
                Ok(Value::Quantity(Quantity::number(members.len() as f64)))
            }
        }
    }

    pub(super) fn note(&mut self, read: Read) {
        self.trace.reads.push(read);
    }

    fn read(&mut self, read: Read) -> Outcome<Value> {
        self.note(read);
        let value = self.model.read(read);
        if let Some(ctx) = self.ctx {
            ctx.note(read, &value);
        }
        value
    }

    pub(super) fn entity(&mut self, checked: &Checked) -> Outcome<EntityId> {
        // Nearly every value is read off the subject or a member: no need to wrap it first.
        match &checked.node {
            TypedNode::Variable(0) => return Ok(self.subject),
            TypedNode::Variable(number) => {
                return Ok(self.variables.get(usize::from(*number)).copied().unwrap_or(self.subject));
            }
            TypedNode::Root => return Ok(self.model.root()),
            _ => {}
        }
        match self.value(checked)? {
            Value::Entity(id) => Ok(id),
            _ => Err(Unknown::refused("there is no such part", [])),
        }
    }

    pub(super) fn quantity(&mut self, checked: &Checked) -> Outcome<Quantity> {
        match self.value(checked)? {
            Value::Quantity(quantity) => Ok(quantity),
            _ => Err(Unknown::refused("there is no such quantity", [])),
        }
    }

    pub(super) fn truth(&mut self, checked: &Checked) -> Outcome<bool> {
        match self.value(checked)? {
            Value::Truth(truth) => Ok(truth),
            _ => Err(Unknown::refused("this is neither true nor false", [])),
        }
    }

    /// The entity of a name, or of the end of a path that only one has.
    fn named(&self, entity_type: &'static EntityType, name: &str) -> Outcome<Value> {
        let store = &self.model.design().store;
        let is_it = |id: &&EntityId| {
            let path = store.path(**id);
            path.strip_suffix(name).is_some_and(|way| way.is_empty() || way.ends_with('.'))
        };
        let mut found = self.model.all_of(entity_type).iter().filter(is_it);
        let kind = entity_type.name.replace('_', " ");
        match (found.next(), found.next()) {
            (Some(id), None) => Ok(Value::Entity(*id)),
            (None, _) => Err(Unknown::refused(format!("the design has no {kind} named `{name}`"), [])),
            (Some(a), Some(b)) => {
                let (a, b) = (store.path(*a), store.path(*b));
                Err(Unknown::refused(format!("more than one {kind} is named `{name}`: `{a}`, `{b}`"), []))
            }
        }
    }

    /// A call of a function of a pack's own: its expression, with what it is called with in place of its parameters.
    fn own(&mut self, function: &PackFunction, arguments: &[Checked]) -> Outcome<Value> {
        let given = arguments.iter().map(|argument| self.value(argument)).collect();
        let (parameters, variables) = (std::mem::replace(&mut self.parameters, given), self.variables);
        let mark = self.trace.mark();
        let value = self.value(function.body());
        (self.parameters, self.variables) = (parameters, variables);
        // The members that decided inside have no name outside.
        for member in self.trace.members.iter_mut().skip(mark.members) {
            member.variable = 0;
        }
        value
    }

    /// A value of the design with some fields otherwise.
    fn with(&mut self, value: &Checked, changes: &[Otherwise]) -> Outcome<Value> {
        let mut all: Outcome<Vec<Change>> = Ok(Vec::new());
        for Otherwise { of, slot, value } in changes {
            let entity = self.entity(of);
            // What is otherwise must be known as it is.
            let written =
                entity.clone().and_then(|entity| self.read(Read { entity, access: Access::Field(*slot) }));
            all = both(all, both(both(entity, written), self.quantity(value))).map(
                |(mut all, ((entity, _), value))| {
                    all.push(Change {
                        entity,
                        slot: *slot,
                        state: State::Known(Value::Quantity(value)),
                        tolerance: None,
                    });
                    all
                },
            );
        }
        // A changed design may fly again.
        self.steps += STEPS_OF_A_CHANGE;
        let model = self.model;
        let changed = model.with_changes(all?);
        let ((value, trace, steps), read) = changed.track_reads(|| {
            let mut inner = evaluator(&changed, None, self.subject);
            inner.variables = self.variables;
            inner.parameters.clone_from(&self.parameters);
            inner.steps = self.steps;
            let value = inner.value(value);
            (value, inner.trace, inner.steps)
        });
        self.steps = steps;
        model.record_reads(&read);
        // Comparisons inside would be of the changed design: only what was read counts.
        self.trace.reads.extend(trace.reads);
        value
    }

    /// `and` is decided by a false side, `or` by a true one; otherwise both sides decide.
    fn short(&mut self, left: &Checked, right: &Checked, decides: bool) -> Outcome<Value> {
        let start = self.trace.mark();
        let a = self.truth(left);
        if a == Ok(decides) {
            return Ok(Value::Truth(decides));
        }
        let middle = self.trace.mark();
        let b = self.truth(right);
        if b == Ok(decides) {
            self.trace.drop_between(start, middle);
            return Ok(Value::Truth(decides));
        }
        both(a, b).map(|_| Value::Truth(!decides))
    }

    fn compare(&mut self, order: Order, left: &Checked, right: &Checked, places: bool) -> Outcome<Value> {
        let (a, b) = both(self.value(left), self.value(right))?;
        let ordering = match (&a, &b) {
            (Value::Quantity(a), Value::Quantity(b)) => {
                let due = if self.denied { order.opposite() } else { order };
                self.trace.comparisons.push(ComparisonTrace { order: due, left: *a, right: *b, places });
                a.compare(*b).map_err(|e| unworkable(&e))?
            }
            (Value::Date(a), Value::Date(b)) => a.cmp(b),
            (Value::Word(a), Value::Text(b)) if !matches!(order, Order::Equal | Order::NotEqual) => {
                let Type::Word(known) = left.gives else {
                    return Err(Unknown::refused("there is no such order", []));
                };
                let place = |word: &str| in_order(known)?.iter().position(|one| *one == word);
                match (place(a), place(b)) {
                    (Some(a), Some(b)) => a.cmp(&b),
                    _ => {
                        return Err(Unknown::refused(
                            format!("`{a}` has no place in the order"),
                            self.trace.reads.clone(),
                        ));
                    }
                }
            }
            _ if alike(&a, &b) => Ordering::Equal,
            _ => Ordering::Less,
        };
        Ok(Value::Truth(order.holds(ordering)))
    }
}

/// The time from one day to another, in whole days; negative when the second comes first.
fn days_between(earlier: Date, later: Date) -> Outcome<Value> {
    let days = later.since(earlier).map_err(|error| Unknown::refused(error.to_string(), []))?.get_days();
    let day = Quantity::read("1 days").map_err(|error| Unknown::refused(error.message, []))?;
    Ok(Value::Quantity(Quantity { si: f64::from(days) * day.si, ..day }))
}

/// Equal values, a word and a text of the same letters included.
fn alike(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Quantity(a), Value::Quantity(b)) => a.compare(*b) == Ok(Ordering::Equal),
        (Value::Text(text), Value::Word(word)) | (Value::Word(word), Value::Text(text)) => &**text == *word,
        _ => a == b,
    }
}

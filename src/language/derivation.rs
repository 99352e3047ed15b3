//! An expression as it came out: of a condition the branch that was taken, of a collection its members, each by the name
//! under which it is printed above.

use super::check::{Bound, Checked, PackFunction, TypedNode};
use super::evaluate::{Evaluator, evaluator};
use super::function_signature::{Function, Parameter};
use super::tree::{Arithmetic, Fold};
use crate::model::{EvalContext, Formula, Outcome, Read, Type, Unknown};
use crate::quantity::{Quantity, unit};
use crate::vocabulary::{EntityId, Value};

/// How tightly a text holds together: what stands beside an operator needs no brackets where it holds as tightly.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Binding {
    Sum,
    Product,
    Power,
    Atom,
}

#[derive(Clone)]
struct Words {
    text: String,
    binding: Binding,
}

impl Words {
    fn atom(text: impl Into<String>) -> Self {
        Self { text: text.into(), binding: Binding::Atom }
    }

    /// Whether it is a zero that adds nothing: of a temperature zero is a value like others.
    fn is_nothing(&self) -> bool {
        let written = self.text.strip_prefix("0 ").map(unit);
        self.text == "0" || written.flatten().is_some_and(|unit| !unit.dimension.is_absolute())
    }

    fn within(self, binding: Binding) -> String {
        if self.binding < binding { format!("({})", self.text) } else { self.text }
    }
}

/// Records in a context how an expression comes out for a subject. What is no quantity, or is not known, is recorded as it is written.
pub fn record_formula(checked: &Checked, ctx: &EvalContext<'_>, subject: EntityId) {
    if !matches!(checked.gives, Type::Quantity(_)) {
        return;
    }
    let evaluator = evaluator(ctx.model(), None, subject);
    let mut derivation = Derivation { evaluator, ctx, given: Vec::new(), calls: 0 };
    if let Ok(words) = derivation.words(checked) {
        ctx.formula(|| Formula::Expression(words.text.into()));
    }
}

/// A text with the last word of each name in braces in its place.
fn bare(text: &str) -> String {
    let mut pieces = text.split('{');
    let mut out = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        let (name, rest) = piece.split_once('}').unwrap_or((piece, ""));
        out.push_str(name.rsplit('.').next().unwrap_or_default());
        out.push_str(rest);
    }
    out
}

struct Derivation<'m> {
    evaluator: Evaluator<'m>,
    ctx: &'m EvalContext<'m>,
    /// In a function of a pack's own, what it is called with.
    given: Vec<Words>,
    /// How many calls of such functions are written out so far.
    calls: u32,
}

/// So many calls of a pack's own functions are written out; of those after them only the value is told.
const MOST_CALLS: u32 = 40;

impl Derivation<'_> {
    fn words(&mut self, checked: &Checked) -> Outcome<Words> {
        Ok(match &checked.node {
            TypedNode::Constant(Value::Quantity(quantity)) if quantity.si == std::f64::consts::PI => {
                Words::atom("π")
            }
            TypedNode::Constant(Value::Quantity(quantity)) => {
                Words::atom(self.ctx.model().shown(*quantity).exact())
            }
            TypedNode::Limit(limit) => Words::atom(format!("{{{}}}", limit.name)),
            TypedNode::Read { of, access, .. } => {
                let entity = self.evaluator.entity(of)?;
                let read = Read { entity, access: *access };
                // Of a part that was left out so far, the evaluation has read nothing.
                self.ctx.note(read, &self.ctx.model().read(read));
                Words::atom(format!("{{{}}}", self.ctx.model().read_name(read)))
            }
            TypedNode::Negate(inner) => Words {
                text: format!("−{}", self.words(inner)?.within(Binding::Product)),
                binding: Binding::Sum,
            },
            TypedNode::Arithmetic(which, left, right) => self.arithmetic(*which, left, right)?,
            TypedNode::Power(base, exponent) => {
                let base = self.words(base)?.within(Binding::Atom);
                let raised = match exponent {
                    2 => format!("{base}²"),
                    3 => format!("{base}³"),
                    _ => format!("{base}^{exponent}"),
                };
                Words { text: raised, binding: Binding::Power }
            }
            TypedNode::If(condition, yes, no) => {
                let taken = if self.evaluator.truth(condition)? { yes } else { no };
                self.words(taken)?
            }
            TypedNode::Default(value, other) => {
                let taken = if self.evaluator.value(value).is_ok() { value } else { other };
                self.words(taken)?
            }
            TypedNode::Parameter(number) => match self.given.get(usize::from(*number)) {
                Some(words) => words.clone(),
                None => Words::atom(String::new()),
            },
            TypedNode::Own(function, arguments) if self.calls < MOST_CALLS => {
                self.own(function, arguments, checked)?
            }
            TypedNode::Call(function, arguments) => match (function.name, arguments.as_slice()) {
                ("larger" | "smaller", [a, b]) => {
                    let (a, b) = (self.words(a)?.text, self.words(b)?.text);
                    let word = if function.name == "larger" { "greatest" } else { "least" };
                    Words::atom(format!("{word} of ({a}, {b})"))
                }
                ("sqrt", [x]) => Words::atom(format!("√({})", self.words(x)?.text)),
                ("abs", [x]) => Words::atom(format!("|{}|", self.words(x)?.text)),
                _ => self.called(function, arguments, checked)?,
            },
            TypedNode::Fold(fold, value, bound) => self.folded(*fold, value, bound)?,
            // A number of parts, and whatever else is no sum of lines above.
            _ => Words::atom({
                let counted = self.quantity(checked)?;
                self.ctx.model().shown(counted).exact()
            }),
        })
    }

    fn quantity(&mut self, checked: &Checked) -> Outcome<Quantity> {
        match self.evaluator.value(checked)? {
            Value::Quantity(quantity) => Ok(quantity),
            _ => Err(Unknown::refused("there is no such quantity", [])),
        }
    }

    fn arithmetic(&mut self, which: Arithmetic, left: &Checked, right: &Checked) -> Outcome<Words> {
        let (left, right) = (self.words(left)?, self.words(right)?);
        // What is not there is often taken as `0 g` in a sum: it adds nothing to read either.
        match which {
            Arithmetic::Add if left.is_nothing() => return Ok(right),
            Arithmetic::Add | Arithmetic::Subtract if right.is_nothing() => return Ok(left),
            _ => {}
        }
        let (sign, binding, tighter) = match which {
            Arithmetic::Add => ("+", Binding::Sum, Binding::Sum),
            Arithmetic::Subtract => ("−", Binding::Sum, Binding::Product),
            Arithmetic::Multiply => ("×", Binding::Product, Binding::Product),
            Arithmetic::Divide => ("/", Binding::Product, Binding::Power),
        };
        Ok(Words { text: format!("{} {sign} {}", left.within(binding), right.within(tighter)), binding })
    }

    /// What a calculator has no key for is a step of its own.
    fn called(&mut self, function: &Function, arguments: &[Checked], whole: &Checked) -> Outcome<Words> {
        let value = self.quantity(whole)?;
        // Of a table that is written out, what is looked up is enough.
        let shown = match function.parameters.split_last() {
            Some((Parameter::Pairs, leading)) if arguments.len() > leading.len() + 1 => leading.len(),
            _ => arguments.len(),
        };
        let mut given = Vec::new();
        for argument in arguments.iter().take(shown) {
            given.push(self.argument(argument)?.text);
        }
        let given: Vec<String> = given.iter().map(|text| bare(text)).collect();
        let step = format!("{}({})", function.name, given.join(" and "));
        let how = function.doc.split_once(": ").map_or(function.doc, |(_, how)| how);
        self.ctx.step(step.clone(), || Formula::method(how), value);
        Ok(Words::atom(format!("{{{step}}}")))
    }

    /// What a function is called with.
    fn argument(&mut self, argument: &Checked) -> Outcome<Words> {
        match (&argument.node, argument.gives) {
            (_, Type::Quantity(_)) => self.words(argument),
            (TypedNode::Column(column), _) => Ok(Words::atom(column.name.clone())),
            (TypedNode::Read { of, access, .. }, Type::Curve(..)) => {
                let entity = self.evaluator.entity(of)?;
                Ok(Words::atom(self.ctx.model().read_name(Read { entity, access: *access })))
            }
            _ => Ok(Words::atom(match self.evaluator.value(argument)? {
                Value::Entity(id) => format!("{{{}}}", self.ctx.name(id)),
                Value::Text(text) => text.to_string(),
                Value::Word(word) => word.to_owned(),
                _ => String::new(),
            })),
        }
    }

    /// A call of a function of a pack's own is a step: its expression, with what it is called with.
    fn own(&mut self, function: &PackFunction, arguments: &[Checked], whole: &Checked) -> Outcome<Words> {
        self.calls += 1;
        let value = self.quantity(whole)?;
        let mut given = Vec::new();
        for argument in arguments {
            given.push(self.argument(argument)?);
        }
        let plain: Vec<String> = given.iter().map(|words| words.text.replace(['{', '}'], "")).collect();
        let step = format!("{}({})", function.name, plain.join(" and "));
        let values = arguments.iter().map(|argument| self.evaluator.value(argument)).collect();
        let outer = std::mem::replace(&mut self.given, given);
        let (parameters, variables) =
            (std::mem::replace(&mut self.evaluator.parameters, values), self.evaluator.variables);
        let words = self.words(function.body());
        (self.given, self.evaluator.parameters, self.evaluator.variables) = (outer, parameters, variables);
        let text = words?.text;
        self.ctx.step(step.clone(), || Formula::Expression(text.into()), value);
        Ok(Words::atom(format!("{{{step}}}")))
    }

    fn folded(&mut self, fold: Fold, value: &Checked, bound: &Bound) -> Outcome<Words> {
        let members = self.evaluator.members(&bound.over, bound.filter.as_deref(), bound.variable)?;
        let mut terms = Vec::new();
        for member in members {
            self.evaluator.bind(bound.variable, member);
            terms.push(self.words(value)?);
        }
        let sum = fold == Fold::Sum;
        let mut terms: Vec<String> =
            terms.into_iter().map(|term| if sum { term.within(Binding::Sum) } else { term.text }).collect();
        Ok(match (fold, terms.as_mut_slice()) {
            (Fold::Sum, []) => Words::atom(self.nothing(value)),
            (_, [one]) => Words { text: std::mem::take(one), binding: Binding::Sum },
            (Fold::Sum, _) => Words { text: terms.join(" + "), binding: Binding::Sum },
            (Fold::Mean, terms) => Words {
                text: format!("({}) / {}", terms.join(" + "), terms.len()),
                binding: Binding::Product,
            },
            (Fold::Least | Fold::Greatest | Fold::Middle, _) => {
                Words::atom(format!("{} of ({})", fold.word(), terms.join(", ")))
            }
        })
    }

    fn nothing(&self, value: &Checked) -> String {
        match value.gives {
            Type::Quantity(dimension) => self.ctx.model().shown(Quantity::new(0.0, dimension)).to_string(),
            _ => "0".to_owned(),
        }
    }
}

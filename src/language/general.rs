//! Functions that belong to no trade: sizes, roots, angles, days, lists and tables.

use super::function_signature::{
    Function, Parameter, as_given, entity_at, quantity, text, truth, unworkable,
};
use crate::model::{Outcome, Type, Unknown};
use crate::quantity::{Dimension as D, Quantity};
use crate::vocabulary::{Date, Value};

/// Rounds to a multiple of a step, with a hair's tolerance so that a value on a step stays there.
fn to_step(values: &[Value], round: fn(f64) -> f64, hair: f64) -> Outcome<Value> {
    let (value, step) = (quantity(values, 0), quantity(values, 1));
    if step.si <= 0.0 {
        return Err(Unknown::refused("a step is more than zero", []));
    }
    Ok(Value::Quantity(Quantity {
        si: round(value.si / step.si + hair) * step.si,
        style: step.style,
        ..value
    }))
}

fn number(_: Option<D>) -> Option<Type> {
    Some(Type::Quantity(D::NUMBER))
}

/// The result of a real function of one argument, in SI, as a quantity of the dimension that it gives.
fn real(x: f64, f: fn(f64) -> f64, gives: D) -> Outcome<Value> {
    let result = f(x);
    if !result.is_finite() {
        return Err(unworkable("it has no value there"));
    }
    Ok(Value::Quantity(Quantity::new(result, gives)))
}

/// A real function of one argument: what it takes, what it is in Rust, and what it gives.
macro_rules! real_function {
    ($name:literal, $doc:literal, $takes:ident => $gives:ident, $f:path) => {
        Function {
            name: $name,
            doc: $doc,
            parameters: &[Parameter::Quantity(D::$takes)],
            gives: |_| Some(Type::Quantity(D::$gives)),
            call: |_, values| real(quantity(values, 0).si, $f, D::$gives),
        }
    };
}

fn date(values: &[Value]) -> Outcome<Date> {
    match values.first() {
        Some(Value::Date(date)) => Ok(*date),
        _ => Err(Unknown::refused("there is no such day", [])),
    }
}

fn whole(count: impl Into<f64>) -> Outcome<Value> {
    Ok(Value::Quantity(Quantity::number(count.into())))
}

fn text_at(values: &[Value], at: usize) -> &str {
    match values.get(at) {
        Some(Value::Text(text)) => text,
        Some(Value::Word(word)) => word,
        _ => "",
    }
}

/// Points of a curve, in rising order of the first of each pair.
type Points = Vec<(Quantity, Quantity)>;

/// The pairs that follow what is looked up, or the points of the curve there.
fn pairs(values: &[Value], leading: usize) -> Vec<(Value, Value)> {
    let after = values.get(leading..).unwrap_or_default();
    if let [Value::Curve(points)] = after {
        return points.iter().map(|(x, y)| (Value::Quantity(*x), Value::Quantity(*y))).collect();
    }
    let pair = |pair: &[Value]| if let [x, y] = pair { Some((x.clone(), y.clone())) } else { None };
    after.chunks_exact(2).filter_map(pair).collect()
}

/// The same, in rising order of what is looked up.
fn table(values: &[Value], leading: usize) -> Outcome<Vec<(Value, Value)>> {
    let pairs = pairs(values, leading);
    let falls = |((a, _), (b, _)): (&(Value, Value), &(Value, Value))| matches!((a, b), (Value::Quantity(a), Value::Quantity(b)) if a.si >= b.si);
    if pairs.iter().zip(pairs.iter().skip(1)).any(falls) {
        return Err(unworkable("the first of each pair of a table must rise"));
    }
    Ok(pairs)
}

fn points(values: &[Value], leading: usize) -> Outcome<Points> {
    let point = |pair: (Value, Value)| match pair {
        (Value::Quantity(x), Value::Quantity(y)) => Some((x, y)),
        _ => None,
    };
    Ok(table(values, leading)?.into_iter().filter_map(point).collect())
}

fn beyond(x: Quantity) -> Unknown {
    unworkable(format!("{x} lies beyond the table"))
}

/// The y of x on the straight lines between points; none beyond them.
fn between(x: f64, points: &Points) -> Option<f64> {
    let hair = 1e-12 * x.abs();
    let mut around = points.iter().zip(points.iter().skip(1));
    let ((a, low), (b, high)) = around.find(|((a, _), (b, _))| a.si - hair <= x && x <= b.si + hair)?;
    Some(low.si + (x - a.si) / (b.si - a.si) * (high.si - low.si))
}

fn interpolated(values: &[Value]) -> Outcome<Value> {
    let (x, points) = (quantity(values, 0), points(values, 1)?);
    let si = between(x.si, &points).ok_or_else(|| beyond(x))?;
    let like = points.first().map_or(x, |(_, y)| *y);
    Ok(Value::Quantity(Quantity { si, ..like }))
}

/// The area under the straight lines between two places, over the way from one to the other.
fn mean_between(values: &[Value]) -> Outcome<Value> {
    let (from, to, points) = (quantity(values, 0), quantity(values, 1), points(values, 2)?);
    if from.si >= to.si {
        return Err(unworkable("a mean is taken from one place to a later one"));
    }
    let at = |x: Quantity| between(x.si, &points).map(|y| (x.si, y)).ok_or_else(|| beyond(x));
    let inside = points.iter().filter(|(x, _)| from.si < x.si && x.si < to.si).map(|(x, y)| (x.si, y.si));
    let corners: Vec<(f64, f64)> =
        std::iter::once(at(from)?).chain(inside).chain(std::iter::once(at(to)?)).collect();
    let strips = corners.iter().zip(corners.iter().skip(1));
    let area: f64 = strips.map(|((a, low), (b, high))| (b - a) * (low + high) / 2.0).sum();
    let like = points.first().map_or(from, |(_, y)| *y);
    Ok(Value::Quantity(Quantity { si: area / (to.si - from.si), ..like }))
}

fn by_steps(values: &[Value]) -> Outcome<Value> {
    let x = quantity(values, 0);
    let within = |limit: &Value| matches!(limit, Value::Quantity(to) if x.si <= to.si + 1e-12 * x.si.abs());
    let found = table(values, 1)?.into_iter().find(|(limit, _)| within(limit));
    found.map(|(_, value)| value).ok_or_else(|| beyond(x))
}

/// The value of the row that is for the first of the values.
fn row_for(values: &[Value]) -> Option<Value> {
    let x = values.first()?;
    let is_it = |key: &Value| match (x, key) {
        (Value::Quantity(x), Value::Quantity(key)) => x.compare(*key) == Ok(std::cmp::Ordering::Equal),
        (Value::Word(word), Value::Text(key)) => **key == **word,
        (x, key) => x == key,
    };
    pairs(values, 1).into_iter().find(|(key, _)| is_it(key)).map(|(_, value)| value)
}

fn in_row(values: &[Value]) -> Outcome<Value> {
    let Some(x) = values.first() else { return Err(unworkable("there is nothing to look up")) };
    row_for(values).ok_or_else(|| match x {
        Value::Quantity(x) => unworkable(format!("the table has no row for {x}")),
        _ => unworkable(format!("the table has no row for `{}`", text_at(values, 0))),
    })
}

/// Functions that belong to no trade.
pub(super) static GENERAL: &[Function] = &[
    Function {
        name: "smaller",
        doc: "smaller(a, b): the smaller of two quantities",
        parameters: &[Parameter::AnyQuantity, Parameter::AnyQuantity],
        gives: |d| d.map(Type::Quantity),
        call: |_, values| {
            let (a, b) = (quantity(values, 0), quantity(values, 1));
            Ok(Value::Quantity(if b.si < a.si { b } else { a }))
        },
    },
    Function {
        name: "larger",
        doc: "larger(a, b): the larger of two quantities",
        parameters: &[Parameter::AnyQuantity, Parameter::AnyQuantity],
        gives: |d| d.map(Type::Quantity),
        call: |_, values| {
            let (a, b) = (quantity(values, 0), quantity(values, 1));
            Ok(Value::Quantity(if b.si > a.si { b } else { a }))
        },
    },
    Function {
        name: "abs",
        doc: "abs(x): the size without its sign",
        parameters: &[Parameter::AnyQuantity],
        gives: as_given,
        call: |_, values| Ok(Value::Quantity(quantity(values, 0).abs())),
    },
    Function {
        name: "sqrt",
        doc: "sqrt(x): the square root",
        parameters: &[Parameter::AnyQuantity],
        gives: |d| d.and_then(D::root).map(Type::Quantity),
        call: |_, values| quantity(values, 0).sqrt().map(Value::Quantity).map_err(unworkable),
    },
    Function {
        name: "round_up",
        doc: "round_up(x, step): the next multiple of a step",
        parameters: &[Parameter::AnyQuantity, Parameter::AnyQuantity],
        gives: as_given,
        call: |_, values| to_step(values, f64::ceil, -1e-9),
    },
    Function {
        name: "round_down",
        doc: "round_down(x, step): the multiple of a step before",
        parameters: &[Parameter::AnyQuantity, Parameter::AnyQuantity],
        gives: as_given,
        call: |_, values| to_step(values, f64::floor, 1e-9),
    },
    Function {
        name: "cbrt",
        doc: "cbrt(x): the cube root",
        parameters: &[Parameter::AnyQuantity],
        gives: |d| d.and_then(D::cube_root).map(Type::Quantity),
        call: |_, values| {
            let x = quantity(values, 0);
            let dimension = x.dimension.cube_root().ok_or_else(|| unworkable("it has no cube root"))?;
            real(x.si, libm::cbrt, dimension)
        },
    },
    real_function!("ln", "ln(x): the natural logarithm", NUMBER => NUMBER, libm::log),
    real_function!("exp", "exp(x): e raised to x", NUMBER => NUMBER, libm::exp),
    real_function!("sin", "sin(a): the sine of an angle", ANGLE => NUMBER, libm::sin),
    real_function!("cos", "cos(a): the cosine of an angle", ANGLE => NUMBER, libm::cos),
    real_function!("tan", "tan(a): the tangent of an angle", ANGLE => NUMBER, libm::tan),
    real_function!("asin", "asin(x): the angle with this sine", NUMBER => ANGLE, libm::asin),
    real_function!("acos", "acos(x): the angle with this cosine", NUMBER => ANGLE, libm::acos),
    real_function!("atan", "atan(x): the angle with this tangent", NUMBER => ANGLE, libm::atan),
    Function {
        name: "interpolated",
        doc: "interpolated(x, x1, y1, x2, y2, …): the y of x in a table of your own or on a curve, along the straight lines between its points; not known beyond them",
        parameters: &[Parameter::AnyQuantity, Parameter::Pairs],
        gives: |d| d.map(Type::Quantity),
        call: |_, values| interpolated(values),
    },
    Function {
        name: "mean_between",
        doc: "mean_between(from, to, x1, y1, x2, y2, …): the mean of y from one x to another, along the same lines",
        parameters: &[Parameter::AnyQuantity, Parameter::AnyQuantity, Parameter::Pairs],
        gives: |d| d.map(Type::Quantity),
        call: |_, values| mean_between(values),
    },
    Function {
        name: "by_steps",
        doc: "by_steps(x, x1, y1, x2, y2, …): the y of the first row of a table of your own whose x is not exceeded; not known beyond the last",
        parameters: &[Parameter::AnyQuantity, Parameter::Pairs],
        gives: |d| d.map(Type::Quantity),
        call: |_, values| by_steps(values),
    },
    Function {
        name: "in_row",
        doc: "in_row(x, x1, y1, x2, y2, …): the y of the row of a table of your own that is for x, a text or a quantity; not known where no row is",
        parameters: &[Parameter::AnyQuantity, Parameter::Pairs],
        gives: |d| d.map(Type::Quantity),
        call: |_, values| in_row(values),
    },
    Function {
        name: "has_row",
        doc: "has_row(x, x1, y1, x2, y2, …): whether a table of your own has a row for x, a text or a quantity; not known where x is not",
        parameters: &[Parameter::AnyQuantity, Parameter::Pairs],
        gives: truth,
        call: |_, values| Ok(Value::Truth(row_for(values).is_some())),
    },
    Function {
        name: "name_of",
        doc: "name_of(part): the name that the author gave it",
        parameters: &[Parameter::AnyEntity],
        gives: text,
        call: |calling, values| {
            let id = entity_at(values, 0)?;
            let name = calling.model().entity(id).map(|entity| entity.name.to_string());
            Ok(Value::Text(name.unwrap_or_default().into()))
        },
    },
    Function {
        name: "year_of",
        doc: "year_of(date): its year",
        parameters: &[Parameter::Date],
        gives: number,
        call: |_, values| whole(date(values)?.year()),
    },
    Function {
        name: "month_of",
        doc: "month_of(date): its month, 1 to 12",
        parameters: &[Parameter::Date],
        gives: number,
        call: |_, values| whole(date(values)?.month()),
    },
    Function {
        name: "day_of",
        doc: "day_of(date): its day of the month",
        parameters: &[Parameter::Date],
        gives: number,
        call: |_, values| whole(date(values)?.day()),
    },
    Function {
        name: "contains",
        doc: "contains(list, text): whether a text is one of a list",
        parameters: &[Parameter::Texts, Parameter::Text],
        gives: truth,
        call: |_, values| match values.first() {
            Some(Value::Texts(all)) => Ok(Value::Truth(all.iter().any(|one| **one == *text_at(values, 1)))),
            _ => Err(unworkable("there is no such list")),
        },
    },
    Function {
        name: "how_many",
        doc: "how_many(list): how many quantities a list has",
        parameters: &[Parameter::Quantities],
        gives: number,
        call: |_, values| match values.first() {
            #[allow(clippy::cast_precision_loss, reason = "a file has at most 200,000 values")]
            Some(Value::Quantities(all)) => Ok(Value::Quantity(Quantity::number(all.len() as f64))),
            _ => Err(unworkable("there is no such list")),
        },
    },
    Function {
        name: "least_of",
        doc: "least_of(list): the least quantity of a list",
        parameters: &[Parameter::Quantities],
        gives: |d| d.map(Type::Quantity),
        call: |_, values| match values.first() {
            Some(Value::Quantities(all)) => {
                let found = all.iter().min_by(|a, b| a.si.total_cmp(&b.si));
                found.map(|one| Value::Quantity(*one)).ok_or_else(|| unworkable("the list is empty"))
            }
            _ => Err(unworkable("there is no such list")),
        },
    },
    Function {
        name: "greatest_of",
        doc: "greatest_of(list): the greatest quantity of a list",
        parameters: &[Parameter::Quantities],
        gives: |d| d.map(Type::Quantity),
        call: |_, values| match values.first() {
            Some(Value::Quantities(all)) => {
                let found = all.iter().max_by(|a, b| a.si.total_cmp(&b.si));
                found.map(|one| Value::Quantity(*one)).ok_or_else(|| unworkable("the list is empty"))
            }
            _ => Err(unworkable("there is no such list")),
        },
    },
];

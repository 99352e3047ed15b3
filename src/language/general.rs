//! Functions that belong to no trade: sizes, roots, angles, days, lists and tables.

use super::function::{Function, Parameter, as_given, entity_at, quantity, text, truth, unworkable};
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

fn angle(_: Option<D>) -> Option<Type> {
    Some(Type::Quantity(D::ANGLE))
}

/// A function of a plain number or an angle.
fn worked(values: &[Value], gives: D, f: fn(f64) -> f64) -> Outcome<Value> {
    let si = f(quantity(values, 0).si);
    if !si.is_finite() {
        return Err(unworkable("it has no value there"));
    }
    Ok(Value::Quantity(Quantity::new(si, gives)))
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

/// The pairs of a table that follow the value that is looked up, in rising order of their first.
fn table(values: &[Value]) -> Outcome<(Quantity, Vec<(Quantity, Quantity)>)> {
    let pair = |pair: &[Value]| (quantity(pair, 0), quantity(pair, 1));
    let points: Vec<(Quantity, Quantity)> =
        values.get(1..).unwrap_or_default().chunks_exact(2).map(pair).collect();
    if points.iter().zip(points.iter().skip(1)).any(|((a, _), (b, _))| a.si >= b.si) {
        return Err(unworkable("the first of each pair of a table must rise"));
    }
    Ok((quantity(values, 0), points))
}

fn beyond(x: Quantity) -> Unknown {
    unworkable(format!("{x} lies beyond the table"))
}

fn interpolated(values: &[Value]) -> Outcome<Value> {
    let (x, points) = table(values)?;
    let hair = 1e-12 * x.si.abs();
    let around = points.iter().zip(points.iter().skip(1));
    let found = around.into_iter().find(|((a, _), (b, _))| a.si - hair <= x.si && x.si <= b.si + hair);
    let ((a, low), (b, high)) = found.ok_or_else(|| beyond(x))?;
    let share = (x.si - a.si) / (b.si - a.si);
    Ok(Value::Quantity(Quantity { si: low.si + share * (high.si - low.si), ..*low }))
}

fn by_steps(values: &[Value]) -> Outcome<Value> {
    let (x, points) = table(values)?;
    let hair = 1e-12 * x.si.abs();
    let found = points.iter().find(|(up_to, _)| x.si <= up_to.si + hair);
    found.map(|(_, value)| Value::Quantity(*value)).ok_or_else(|| beyond(x))
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
            worked(values, dimension, f64::cbrt)
        },
    },
    Function {
        name: "ln",
        doc: "ln(x): the natural logarithm",
        parameters: &[Parameter::Quantity(D::NUMBER)],
        gives: number,
        call: |_, values| worked(values, D::NUMBER, f64::ln),
    },
    Function {
        name: "exp",
        doc: "exp(x): e raised to x",
        parameters: &[Parameter::Quantity(D::NUMBER)],
        gives: number,
        call: |_, values| worked(values, D::NUMBER, f64::exp),
    },
    Function {
        name: "sin",
        doc: "sin(a): the sine of an angle",
        parameters: &[Parameter::Quantity(D::ANGLE)],
        gives: number,
        call: |_, values| worked(values, D::NUMBER, f64::sin),
    },
    Function {
        name: "cos",
        doc: "cos(a): the cosine of an angle",
        parameters: &[Parameter::Quantity(D::ANGLE)],
        gives: number,
        call: |_, values| worked(values, D::NUMBER, f64::cos),
    },
    Function {
        name: "tan",
        doc: "tan(a): the tangent of an angle",
        parameters: &[Parameter::Quantity(D::ANGLE)],
        gives: number,
        call: |_, values| worked(values, D::NUMBER, f64::tan),
    },
    Function {
        name: "asin",
        doc: "asin(x): the angle with this sine",
        parameters: &[Parameter::Quantity(D::NUMBER)],
        gives: angle,
        call: |_, values| worked(values, D::ANGLE, f64::asin),
    },
    Function {
        name: "acos",
        doc: "acos(x): the angle with this cosine",
        parameters: &[Parameter::Quantity(D::NUMBER)],
        gives: angle,
        call: |_, values| worked(values, D::ANGLE, f64::acos),
    },
    Function {
        name: "atan",
        doc: "atan(x): the angle with this tangent",
        parameters: &[Parameter::Quantity(D::NUMBER)],
        gives: angle,
        call: |_, values| worked(values, D::ANGLE, f64::atan),
    },
    Function {
        name: "interpolated",
        doc: "interpolated(x, x1, y1, x2, y2, …): the y of x in a table of your own, along the straight lines between its points; not known beyond them",
        parameters: &[Parameter::AnyQuantity, Parameter::Pairs],
        gives: |d| d.map(Type::Quantity),
        call: |_, values| interpolated(values),
    },
    Function {
        name: "by_steps",
        doc: "by_steps(x, x1, y1, x2, y2, …): the y of the first row of a table of your own whose x is not exceeded; not known beyond the last",
        parameters: &[Parameter::AnyQuantity, Parameter::Pairs],
        gives: |d| d.map(Type::Quantity),
        call: |_, values| by_steps(values),
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

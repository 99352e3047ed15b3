//! Calls checked: of functions of the language, of a pack's own, and of those that look up a value.

use std::ops::Range;
use std::sync::Arc;

use super::check::{CheckResult, Checked, Checker, PackFunction, TypedNode, done};
use super::function_signature::{Function, Parameter};
use super::functions;
use super::pack_constants::PackTable;
use super::tree::{ExprNode, ExprTree, Word};
use super::{LanguageError, UnknownName};
use crate::model::Type;
use crate::quantity::Dimension;
use crate::vocabulary::{Value, suggest};

/// What may be looked up in, or found.
const fn is_cell(gives: Type) -> bool {
    matches!(gives, Type::Quantity(_) | Type::Text)
}

/// Whether two cells of a column go together, and what they are.
fn joined(a: Type, b: Type) -> Option<Type> {
    (a == b && is_cell(a)).then_some(a)
}

impl Checker<'_, '_> {
    pub(super) fn call(&mut self, name: &Word, arguments: &[ExprTree], range: &Range<usize>) -> CheckResult {
        if let Some(own) = self.scope.own.functions.iter().find(|own| own.name == name.text) {
            return self.own(own, arguments, range);
        }
        let Some(function) = functions().find(|f| f.name == name.text) else {
            return Err(self.unknown_function(name));
        };
        if let Some((Parameter::Pairs, leading)) = function.parameters.split_last() {
            return self.look_up(function, leading.len(), arguments, range);
        }
        let due = function.parameters.len();
        if arguments.len() != due {
            return Err(miscounted(function.name, &count_of(due), arguments.len(), range).help(function.doc));
        }
        let mut checked = Vec::new();
        let mut first: Option<Dimension> = None;
        for (argument, parameter) in arguments.iter().zip(function.parameters) {
            let value = self.check(argument)?;
            let fits = match (parameter, value.gives) {
                (Parameter::Quantity(due), Type::Quantity(found)) => *due == found,
                (Parameter::AnyQuantity, Type::Quantity(found))
                | (Parameter::Quantities, Type::Quantities(found)) => *first.get_or_insert(found) == found,
                (Parameter::Placed, Type::Entity(entity_type)) => crate::model::has_stations(entity_type),
                (Parameter::Entity(name), Type::Entity(entity_type)) => *name == entity_type.name,
                (Parameter::AnyEntity, Type::Entity(_))
                | (Parameter::Date, Type::Date)
                | (Parameter::Text, Type::Text | Type::Word(_))
                | (Parameter::Texts, Type::Texts) => true,
                _ => false,
            };
            if !fits {
                let due = parameter.in_words(first);
                return Err(unfit(function.name, &due, value.gives, argument).help(function.doc));
            }
            checked.push(value);
        }
        let gives = (function.gives)(first).ok_or_else(|| {
            let found = first.map(Dimension::in_words).unwrap_or_default();
            LanguageError::new(format!("`{}` cannot be taken of {found}", function.name), range.clone())
        })?;
        Ok(done(range, gives, TypedNode::Call(function, checked)))
    }

    fn unknown_function(&self, name: &Word) -> LanguageError {
        if self.scope.own.left_out.contains(&name.text) {
            let message = format!("`{}` is left out, since something is wrong with it", name.text);
            return LanguageError::new(message, name.range.clone())
                .help("the mistake stands where it is written");
        }
        let own = self.scope.own.functions.iter().map(|own| own.name.as_str());
        let near = suggest(&name.text, functions().map(|f| f.name).chain(own));
        let mut error = LanguageError::new(format!("`{}` is no function", name.text), name.range.clone());
        if self.scope.own.tables.iter().any(|table| table.name == name.text) {
            error = error
                .help(format!("it is a table: look a value up as in `by_steps(…, {}.column)`", name.text));
        } else {
            error = error.maybe_help(near.map(|n| format!("did you mean `{n}`?")));
        }
        error.unknown = Some(Box::new(UnknownName::Function(name.text.clone())));
        error
    }

    /// A call of a function of the pack's own.
    fn own(
        &mut self,
        function: &Arc<PackFunction>,
        arguments: &[ExprTree],
        range: &Range<usize>,
    ) -> CheckResult {
        let due = function.parameters.len();
        if arguments.len() != due {
            return Err(
                miscounted(&function.name, &count_of(due), arguments.len(), range).help(function.signature())
            );
        }
        let mut checked = Vec::new();
        for (argument, (parameter, due)) in arguments.iter().zip(&function.parameters) {
            let value = self.check(argument)?;
            if value.gives != *due && !matches!((due, value.gives), (Type::Text, Type::Word(_))) {
                let due = format!("{due} for `{parameter}`");
                return Err(unfit(&function.name, &due, value.gives, argument).help(function.signature()));
            }
            checked.push(value);
        }
        Ok(done(range, function.body().gives, TypedNode::Own(Arc::clone(function), checked)))
    }

    /// A call that looks a value up: in pairs that are written out, in a column of a table, or on a curve.
    fn look_up(
        &mut self,
        function: &'static Function,
        leading: usize,
        arguments: &[ExprTree],
        range: &Range<usize>,
    ) -> CheckResult {
        let takes = if leading == 1 { "a value" } else { "two values" };
        let (before, table) = arguments.split_at_checked(leading).unwrap_or((arguments, &[]));
        let pairs_fit = table.len() >= 4 && table.len().is_multiple_of(2);
        if table.len() != 1 && !pairs_fit {
            let takes = format!("{takes}, and at least two pairs, a column of a table or a curve");
            return Err(miscounted(function.name, &takes, arguments.len(), range).help(function.doc));
        }
        let mut checked = Vec::new();
        for argument in before {
            checked.push(self.check(argument)?);
        }
        let (key, gives) = match table {
            [one] => {
                let (looked_in, key, gives) = self.looked_in(one, function)?;
                checked.push(looked_in);
                (key, gives)
            }
            _ => self.pairs(function, table, &mut checked)?,
        };
        for (value, argument) in checked.iter().zip(before) {
            if !finds(value, key, argument, checked.get(leading..).unwrap_or_default())? {
                return Err(unfit(function.name, &key.to_string(), value.gives, argument).help(function.doc));
            }
        }
        let wrong = match (function.name, key, gives) {
            ("in_row" | "has_row", ..) | ("by_steps", Type::Quantity(_), _) => None,
            (_, Type::Quantity(_), Type::Quantity(_)) => None,
            (_, Type::Quantity(_), _) => {
                Some("finds quantities only; `by_steps` and `in_row` find texts too")
            }
            _ => Some("looks up quantities; a text is looked up with `in_row`"),
        };
        if let Some(wrong) = wrong {
            return Err(LanguageError::new(format!("`{}` {wrong}", function.name), range.clone()));
        }
        let gives = if function.name == "has_row" { Type::Truth } else { gives };
        Ok(done(range, gives, TypedNode::Call(function, checked)))
    }

    /// The column or the curve that a value is looked up in, what is looked up, and what is found.
    fn looked_in(
        &mut self,
        tree: &ExprTree,
        function: &'static Function,
    ) -> Result<(Checked, Type, Type), LanguageError> {
        if let ExprNode::Member(of, name) = &tree.node
            && let ExprNode::Name(table) = &of.node
            && let Some(table) = self.scope.own.tables.iter().find(|one| one.name == *table)
        {
            let Some(column) = table.column(&name.text) else { return Err(unknown_column(table, name)) };
            let (key, gives) = (column.key, column.gives);
            return Ok((done(&tree.range, Type::Raw, TypedNode::Column(Arc::new(column))), key, gives));
        }
        let curve = self.check(tree)?;
        match curve.gives {
            Type::Curve(x, y) => Ok((curve, Type::Quantity(x), Type::Quantity(y))),
            other => {
                let due = "pairs, a column of a table or a curve";
                Err(unfit(function.name, due, other, tree).help(function.doc))
            }
        }
    }

    /// Pairs that are written out.
    fn pairs(
        &mut self,
        function: &'static Function,
        table: &[ExprTree],
        checked: &mut Vec<Checked>,
    ) -> Result<(Type, Type), LanguageError> {
        let mut columns: [Option<Type>; 2] = [None, None];
        for (at, cell) in table.iter().enumerate() {
            let value = self.check(cell)?;
            let Some(column) = columns.get_mut(at % 2) else { continue };
            let found = *column.get_or_insert(value.gives);
            if joined(found, value.gives).is_none() {
                let due = if is_cell(found) { found.to_string() } else { "a quantity or a text".to_owned() };
                return Err(unfit(function.name, &due, value.gives, cell).help(function.doc));
            }
            if at % 2 == 0 {
                let earlier = checked.iter().rev().skip(1).step_by(2).take(at / 2);
                follows(function, &value, earlier.collect::<Vec<_>>().as_slice())?;
            }
            checked.push(value);
        }
        let [key, gives] = columns.map(|column| column.unwrap_or(Type::Raw));
        Ok((key, gives))
    }
}

/// Whether what is looked up in a row can stand after that of the rows before it, the nearest first: sizes rise, and no text comes twice.
fn follows(function: &Function, value: &Checked, earlier: &[&Checked]) -> Result<(), LanguageError> {
    let size = |cell: &Checked| match &cell.node {
        TypedNode::Constant(Value::Quantity(quantity)) => Some(quantity.si),
        TypedNode::Limit(limit) => Some(limit.value.si),
        _ => None,
    };
    let text = |cell: &Checked| match &cell.node {
        TypedNode::Constant(Value::Text(text)) => Some(Arc::clone(text)),
        _ => None,
    };
    let falls = earlier.first().is_some_and(|last| size(last) >= size(value) && size(value).is_some());
    let again =
        text(value).is_some_and(|mine| earlier.iter().any(|one| text(one) == Some(Arc::clone(&mine))));
    let message = match (falls && !matches!(function.name, "in_row" | "has_row"), again) {
        (true, _) => "the first of each pair of a table must rise",
        (_, true) => "a row for this stands before it",
        _ => return Ok(()),
    };
    Err(LanguageError::new(message, value.range.clone()))
}

/// Whether a value can be looked up among the keys of a table.
fn finds(value: &Checked, key: Type, argument: &ExprTree, table: &[Checked]) -> Result<bool, LanguageError> {
    let Type::Word(known) = value.gives else { return Ok(value.gives == key) };
    if key != Type::Text {
        return Ok(false);
    }
    let keys: Vec<&Value> = match table {
        [Checked { node: TypedNode::Column(column), .. }] => column.pairs.iter().step_by(2).collect(),
        _ => table
            .iter()
            .step_by(2)
            .filter_map(|cell| if let TypedNode::Constant(value) = &cell.node { Some(value) } else { None })
            .collect(),
    };
    let never = keys.into_iter().find_map(|key| match key {
        Value::Text(text) if !known.contains(&&**text) => Some(text),
        _ => None,
    });
    match never {
        None => Ok(true),
        Some(text) => {
            let help = suggest(text, known.iter().copied()).map_or_else(
                || format!("it is one of {}", known.join(", ")),
                |near| format!("did you mean `{near}` in the table?"),
            );
            let message = format!("the table has a row for `{text}`, and this is never `{text}`");
            Err(LanguageError::new(message, argument.range.clone()).help(help))
        }
    }
}

fn unknown_column(table: &PackTable, name: &Word) -> LanguageError {
    let message = if table.columns.first().is_some_and(|(key, _)| *key == name.text) {
        format!("`{}` is the column that the rows of `{}` are looked up by", name.text, table.name)
    } else {
        format!("the table `{}` has no column `{}`", table.name, name.text)
    };
    let help = suggest(&name.text, table.found()).map_or_else(
        || format!("it finds {}", table.found().map(|n| format!("`{n}`")).collect::<Vec<_>>().join(", ")),
        |near| format!("did you mean `{near}`?"),
    );
    LanguageError::new(message, name.range.clone()).help(help)
}

fn count_of(due: usize) -> String {
    if due == 1 { "1 value".to_owned() } else { format!("{due} values") }
}

fn miscounted(function: &str, takes: &str, given: usize, range: &Range<usize>) -> LanguageError {
    let are = if given == 1 { "is" } else { "are" };
    LanguageError::new(format!("`{function}` takes {takes}, and {given} {are} given"), range.clone())
}

fn unfit(function: &str, due: &str, found: Type, argument: &ExprTree) -> LanguageError {
    let message = format!("`{function}` takes {due} here, and this is {found}");
    LanguageError::new(message, argument.range.clone())
}

//! Functions that packs write: what they take, and their expressions checked.

use super::compile::Compiler;
use super::pack::function;
use crate::language::{LanguageError, PackFunction, Scope, functions, unfit_identifier};
use crate::model::Type;
use crate::quantity::{Dimension, unit};
use crate::vocabulary::{Entity, EntityId, suggest};
use crate::yaml::{NodeId, Problem};

/// A function takes no more.
const MOST_PARAMETERS: usize = 8;

/// What a function takes; what is wrong with its name or with that goes to the problems.
pub(super) fn parameters(compiler: &mut Compiler<'_>, id: EntityId) -> Option<Vec<(String, Type)>> {
    let opened = compiler.opened;
    let entity = opened.store.get(id)?;
    let of = entity.get(function::of)?;
    let key = entity.slot(function::of.slot).key.unwrap_or(entity.key);
    let read = named(compiler, entity).and_then(|()| {
        let all = opened.tree.entries(of).iter().map(|entry| parameter(compiler, entry.key, entry.value));
        let all: Vec<(String, Type)> = all.collect::<Result<_, _>>()?;
        match all.len() {
            0 => Err(Box::new(Problem::at(key, "a function takes at least one value").help(
                "write what it takes, as in `of: {d: length}`; what rests on a part alone stands under `derived`",
            ))),
            1..=MOST_PARAMETERS => Ok(all),
            _ => {
                let message = format!("a function takes at most {MOST_PARAMETERS} values");
                Err(Box::new(Problem::at(key, message)))
            }
        }
    });
    read.map_err(|problem| compiler.problems.push(*problem)).ok()
}

/// Whether a function has a name that it can be called by.
fn named(compiler: &Compiler<'_>, entity: &Entity) -> Result<(), Box<Problem>> {
    let name = &*entity.name;
    let message = if let Some(message) = unfit_identifier(name) {
        message
    } else if functions().any(|known| known.name == name) {
        format!("`{name}` is a function of the language: choose another name")
    } else if let Some(other) = compiler.opened.names.taken(name) {
        format!("{other} of this pack is already named `{name}`")
    } else {
        return Ok(());
    };
    Err(Box::new(Problem::at(entity.key, message)))
}

/// A parameter: its name, and what it stands for.
fn parameter(compiler: &Compiler<'_>, key: NodeId, value: NodeId) -> Result<(String, Type), Box<Problem>> {
    let opened = compiler.opened;
    let word = |node: NodeId| opened.tree.scalar(node).map(|s| s.value.trim().to_owned()).unwrap_or_default();
    let (name, what) = (word(key), word(value));
    let wrong = |message: String| Err(Box::new(Problem::at(opened.tree.span(key), message)));
    if let Some(message) = unfit_identifier(&name) {
        return wrong(message);
    }
    if matches!(&*name, "rocket" | "pi" | "today") {
        return wrong(format!("`{name}` means something already: a parameter has a name of its own"));
    }
    if let Some(other) = opened.names.taken(&name) {
        return wrong(format!("{other} of this pack is already named `{name}`"));
    }
    if unit(&name).is_some() {
        return wrong(format!("`{name}` is a unit: choose another name for the parameter"));
    }
    if let Some(gives) = type_named(compiler, &what) {
        return Ok((name, gives));
    }
    let dimensions = Dimension::names();
    let types = compiler.catalogue.entity_types().iter().map(|kind| kind.name);
    let near = suggest(&what, dimensions.iter().map(String::as_str).chain(OTHERS).chain(types));
    let help = near.map_or_else(
        || format!("it is one of {}, {}, or a type of part", dimensions.join(", "), OTHERS.join(", ")),
        |near| format!("did you mean `{near}`?"),
    );
    let message = format!("`{what}` is nothing that a function takes");
    Err(Box::new(Problem::at(opened.tree.span(value), message).help(help)))
}

/// What a function takes besides quantities and parts.
const OTHERS: [&str; 4] = ["number", "text", "truth", "date"];

fn type_named(compiler: &Compiler<'_>, word: &str) -> Option<Type> {
    match word {
        "number" => Some(Type::Quantity(Dimension::NUMBER)),
        "text" => Some(Type::Text),
        "truth" => Some(Type::Truth),
        "date" => Some(Type::Date),
        _ => Dimension::named(word)
            .map(Type::Quantity)
            .or_else(|| compiler.catalogue.entity_type(word).map(Type::Entity)),
    }
}

/// A function with its expression checked.
///
/// # Errors
/// Where its expression does not fit.
pub(super) fn check_function(
    compiler: &Compiler<'_>,
    id: EntityId,
    name: &str,
    parameters: Vec<(String, Type)>,
) -> Result<PackFunction, LanguageError> {
    let opened = compiler.opened;
    let text = opened.text(id, function::is).unwrap_or_default();
    let doc = opened.text(id, function::doc).unwrap_or_default();
    let scope = Scope { own: &opened.names, ..Scope::about(compiler.catalogue, &crate::design::ROCKET) };
    PackFunction::new((&opened.name, name, &doc), parameters, &text, &scope)
}

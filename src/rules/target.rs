//! The field that a remedy changes, reached from the subject; through a collection it is that of each member.

use crate::language::{LanguageError, Node, Scope, Tree, Word, parse};
use crate::model::{Model, Named, Type};
use crate::quantity::Dimension;
use crate::vocabulary::{EntityId, Kind, Shape, Value, suggest};

/// A way from the subject to a field.
#[derive(Clone, Debug)]
pub struct Target {
    steps: Vec<Step>,
    /// The kind of thing that has the field.
    pub kind: &'static Kind,
    /// The slot of the field.
    pub slot: u16,
    /// Its shape.
    pub shape: &'static Shape,
}

#[derive(Clone, Debug)]
enum Step {
    Field(u16),
    Computed(u16),
    Holder(&'static Kind),
}

fn error(message: String, range: std::ops::Range<usize>) -> LanguageError {
    LanguageError { message, range, help: None, also: None }
}

impl Target {
    /// Reads a path like `section.vents.diameter`.
    ///
    /// # Errors
    /// When a name on the way is not known, or the end is not a field that is written down.
    pub fn read(text: &str, scope: &Scope<'_>) -> Result<Self, LanguageError> {
        let tree = parse(text)?;
        let mut names = Vec::new();
        let mut at = &tree;
        let base = loop {
            match &at.node {
                Node::Member(of, name) => {
                    names.push(name.clone());
                    at = of;
                }
                Node::Name(name) => break name.clone(),
                _ => return Err(error("a remedy sets a field: write its path".to_owned(), at.range.clone())),
            }
        };
        names.reverse();
        let mut kind = match scope.subject {
            Some((name, kind)) if name == base => kind,
            _ => {
                return Err(error(
                    format!("the path starts at the subject, not at `{base}`"),
                    base_range(&tree),
                ));
            }
        };
        let Some(last) = names.pop() else {
            return Err(error("a remedy sets a field of the subject".to_owned(), tree.range.clone()));
        };
        let mut steps = Vec::new();
        for name in names {
            let (step, next) = match scope.catalogue.named(kind, name.text()) {
                Some(Named::Field(slot, field)) => (Step::Field(slot), Type::of(&field.shape)),
                Some(Named::Computed(number, gives)) => (Step::Computed(number), gives),
                Some(Named::Holder(holder)) => (Step::Holder(holder), Type::Entity(holder)),
                None => return Err(unknown(scope, kind, &name)),
            };
            steps.push(step);
            kind = match next {
                Type::Entity(kind) | Type::Entities(kind) => kind,
                other => return Err(error(format!("this is {other}, and has no fields"), name.range())),
            };
        }
        match scope.catalogue.named(kind, last.text()) {
            Some(Named::Field(slot, field)) => Ok(Self { steps, kind, slot, shape: &field.shape }),
            Some(_) => Err(error(format!("`{}` is worked out and cannot be set", last.text()), last.range())),
            None => Err(unknown(scope, kind, &last)),
        }
    }

    /// The dimension of the field, when it takes a quantity.
    #[must_use]
    pub fn dimension(&self) -> Option<Dimension> {
        match self.shape {
            Shape::Measure(dimension, _) => Some(*dimension),
            Shape::Number(_) | Shape::Count(_) => Some(Dimension::NUMBER),
            _ => None,
        }
    }

    /// The things whose field it is.
    #[must_use]
    pub fn things(&self, model: &Model<'_>, subject: EntityId) -> Vec<EntityId> {
        use crate::model::{Access, Read};
        let mut things = vec![subject];
        for step in &self.steps {
            let mut next = Vec::new();
            for id in things {
                let value = match step {
                    Step::Field(slot) => model.read(Read { entity: id, access: Access::Field(*slot) }),
                    Step::Computed(number) => {
                        model.read(Read { entity: id, access: Access::Computed(*number) })
                    }
                    Step::Holder(kind) => {
                        next.extend(model.holder(id, kind));
                        continue;
                    }
                };
                match value {
                    Ok(Value::Entity(one)) => next.push(one),
                    Ok(Value::Entities(all)) => next.extend(all.iter().copied()),
                    _ => {}
                }
            }
            things = next;
        }
        things
    }
}

fn unknown(scope: &Scope<'_>, kind: &'static Kind, name: &Word) -> LanguageError {
    let known = scope.catalogue.names(kind);
    let near = suggest(name.text(), known.iter().map(String::as_str));
    LanguageError {
        help: near.map(|n| format!("did you mean `{n}`?")),
        ..error(format!("{} has no `{}`", kind.with_article(), name.text()), name.range())
    }
}

fn base_range(tree: &Tree) -> std::ops::Range<usize> {
    let mut at = tree;
    while let Node::Member(of, _) = &at.node {
        at = of;
    }
    at.range.clone()
}

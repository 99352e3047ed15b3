//! The field that a remedy changes, reached from the subject; through a collection it is that of each member.

use crate::language::{ExprNode, ExprTree, LanguageError, Scope, Word, parse};
use crate::model::{Model, Named, Type};
use crate::quantity::Dimension;
use crate::vocabulary::{EntityId, EntityType, Shape, Value, suggest};

/// A way from the subject to a field.
#[derive(Clone, Debug)]
pub struct Target {
    steps: Vec<PathStep>,
    /// The entity type that has the field.
    pub entity_type: &'static EntityType,
    /// The slot of the field.
    pub slot: u16,
    /// Its shape.
    pub shape: &'static Shape,
}

#[derive(Clone, Debug)]
enum PathStep {
    Field(u16),
    Computed(u16),
    Holder(&'static EntityType),
}

fn error(message: String, range: std::ops::Range<usize>) -> LanguageError {
    LanguageError::new(message, range)
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
                ExprNode::Member(of, name) => {
                    names.push(name.clone());
                    at = of;
                }
                ExprNode::Name(name) => break name.clone(),
                _ => return Err(error("a remedy sets a field: write its path".to_owned(), at.range.clone())),
            }
        };
        names.reverse();
        let mut entity_type = match scope.subject {
            Some((name, entity_type)) if name == base => entity_type,
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
            let (step, next) = match scope.catalogue.named(entity_type, name.text()) {
                Some(Named::Field(slot, field)) => (PathStep::Field(slot), Type::of(&field.shape)),
                Some(Named::Computed(number, gives)) => (PathStep::Computed(number), gives),
                Some(Named::Holder(holder)) => (PathStep::Holder(holder), Type::Entity(holder)),
                None => return Err(unknown(scope, entity_type, &name)),
            };
            steps.push(step);
            entity_type = match next {
                Type::Entity(entity_type) | Type::Entities(entity_type) => entity_type,
                other => return Err(error(format!("this is {other}, and has no fields"), name.range())),
            };
        }
        match scope.catalogue.named(entity_type, last.text()) {
            Some(Named::Field(slot, field)) => Ok(Self { steps, entity_type, slot, shape: &field.shape }),
            Some(_) => Err(error(format!("`{}` is worked out and cannot be set", last.text()), last.range())
                .help("set a field that is written down and that it is worked out from")),
            None => Err(unknown(scope, entity_type, &last)),
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

    /// The entities whose field it is.
    #[must_use]
    pub fn entities(&self, model: &Model<'_>, subject: EntityId) -> Vec<EntityId> {
        use crate::model::{Access, Read};
        let mut ids = vec![subject];
        for step in &self.steps {
            let mut next = Vec::new();
            for id in ids {
                let value = match step {
                    PathStep::Field(slot) => model.read(Read { entity: id, access: Access::Field(*slot) }),
                    PathStep::Computed(number) => {
                        model.read(Read { entity: id, access: Access::Computed(*number) })
                    }
                    PathStep::Holder(entity_type) => {
                        next.extend(model.holder(id, entity_type));
                        continue;
                    }
                };
                match value {
                    Ok(Value::Entity(one)) => next.push(one),
                    Ok(Value::Entities(all)) => next.extend(all.iter().copied()),
                    _ => {}
                }
            }
            ids = next;
        }
        ids
    }
}

fn unknown(scope: &Scope<'_>, entity_type: &'static EntityType, name: &Word) -> LanguageError {
    let known = scope.catalogue.names(entity_type);
    let near = suggest(name.text(), known.iter().map(String::as_str));
    LanguageError {
        help: near.map(|n| format!("did you mean `{n}`?")),
        ..error(format!("{} has no `{}`", entity_type.with_article(), name.text()), name.range())
    }
}

fn base_range(tree: &ExprTree) -> std::ops::Range<usize> {
    let mut at = tree;
    while let ExprNode::Member(of, _) = &at.node {
        at = of;
    }
    at.range.clone()
}

//! What a checked expression is made of: its parts, the conditions in it, the names it uses.

use super::check::{Bound, Checked, TypedNode};
use super::tree::Arithmetic;
use crate::model::{Access, Type};
use crate::vocabulary::{EntityType, Need};

fn of_bound(bound: &Bound) -> impl Iterator<Item = &Checked> {
    std::iter::once(&*bound.over).chain(bound.filter.as_deref())
}

impl Checked {
    /// The key under which a [`CoverageRecorder`](crate::model::CoverageRecorder) records it: its own while the expression stays where it is.
    #[must_use]
    pub fn key(&self) -> usize {
        std::ptr::from_ref(self).addr()
    }

    /// The expressions that it is put together from, in the order they are written.
    #[must_use]
    pub fn parts(&self) -> Vec<&Self> {
        match &self.node {
            TypedNode::Constant(_)
            | TypedNode::Limit(_)
            | TypedNode::Root
            | TypedNode::Today
            | TypedNode::Variable(_)
            | TypedNode::Parameter(_)
            | TypedNode::Column(_)
            | TypedNode::Named(..)
            | TypedNode::All(_) => Vec::new(),
            TypedNode::Read { of, .. }
            | TypedNode::Holder(of, _)
            | TypedNode::Has(of, _)
            | TypedNode::Inverse(of, _)
            | TypedNode::IsReferredTo(of, _) => vec![of],
            TypedNode::Negate(a)
            | TypedNode::Not(a)
            | TypedNode::Power(a, _)
            | TypedNode::Given(a)
            | TypedNode::OneOf(a, _)
            | TypedNode::Matches(a, _) => vec![a],
            TypedNode::And(a, b)
            | TypedNode::Or(a, b)
            | TypedNode::Arithmetic(_, a, b)
            | TypedNode::Compare(_, a, b, _)
            | TypedNode::Default(a, b)
            | TypedNode::Before(_, a, b)
            | TypedNode::Same(a, b) => vec![a, b],
            TypedNode::If(condition, yes, no) => vec![condition, yes, no],
            TypedNode::With(value, changes) => {
                [&**value].into_iter().chain(changes.iter().flat_map(|one| [&one.of, &one.value])).collect()
            }
            TypedNode::Call(_, arguments) | TypedNode::Own(_, arguments) => arguments.iter().collect(),
            TypedNode::Quantified(_, bound, body) => of_bound(bound).chain([&**body]).collect(),
            TypedNode::Fold(_, value, bound) => [&**value].into_iter().chain(of_bound(bound)).collect(),
            TypedNode::Count(bound) => of_bound(bound).collect(),
        }
    }

    /// Whether it compares nothing and calls only this function.
    #[must_use]
    pub fn asks_only(&self, function: &str) -> bool {
        let (mut called, mut other) = (false, false);
        self.visit_called(&mut |part| match &part.node {
            TypedNode::Call(one, _) if one.name == function => called = true,
            TypedNode::Call(..) | TypedNode::Compare(..) | TypedNode::OneOf(..) | TypedNode::Matches(..) => {
                other = true
            }
            _ => {}
        });
        called && !other
    }

    /// Calls a function with this expression and every one inside it.
    pub fn visit<'c>(&'c self, see: &mut dyn FnMut(&'c Self)) {
        see(self);
        for part in self.parts() {
            part.visit(see);
        }
    }

    /// The same, and with the expressions of the functions of a pack's own that are called, each once.
    fn visit_called<'c>(&'c self, see: &mut dyn FnMut(&'c Self)) {
        let mut seen: Vec<&str> = Vec::new();
        let mut waiting = vec![self];
        while let Some(next) = waiting.pop() {
            next.visit(&mut |part| {
                see(part);
                if let TypedNode::Own(function, _) = &part.node
                    && !seen.contains(&function.name.as_str())
                {
                    seen.push(&function.name);
                    waiting.push(function.body());
                }
            });
        }
    }

    /// The variables that it names and does not bind itself.
    pub(super) fn free_variables(&self, found: &mut Vec<u8>) {
        let mut own = Vec::new();
        self.visit(&mut |part| match &part.node {
            TypedNode::Variable(number) if *number > 0 => found.push(*number),
            TypedNode::Quantified(_, bound, _) | TypedNode::Fold(_, _, bound) | TypedNode::Count(bound) => {
                own.push(bound.variable)
            }
            _ => {}
        });
        found.retain(|number| !own.contains(number));
    }

    /// The names that it binds to members of collections, by the numbers of their variables: the first name of each number.
    #[must_use]
    pub fn bound_names(&self) -> Vec<(String, &'static EntityType)> {
        let mut names: Vec<Option<(String, &'static EntityType)>> = Vec::new();
        self.visit(&mut |part| {
            if let TypedNode::Quantified(_, bound, _) = &part.node
                && let Type::Entities(entity_type) = bound.over.gives
            {
                let at = usize::from(bound.variable).saturating_sub(1);
                if names.len() <= at {
                    names.resize(at + 1, None);
                }
                if let Some(free) = names.get_mut(at).filter(|free| free.is_none()) {
                    *free = Some((bound.name.clone(), entity_type));
                }
            }
        });
        names.into_iter().map_while(|name| name).collect()
    }

    /// The conditions in it: whatever is true or false, except fixed truths, `not`, whose inside counts, and what is
    /// only asked whether it is given.
    #[must_use]
    pub fn conditions(&self) -> Vec<&Self> {
        let mut found = Vec::new();
        self.gather_conditions(&mut found);
        found
    }

    fn gather_conditions<'c>(&'c self, found: &mut Vec<&'c Self>) {
        if self.gives == Type::Truth && !matches!(self.node, TypedNode::Constant(_) | TypedNode::Not(_)) {
            found.push(self);
        }
        if !matches!(self.node, TypedNode::Given(_)) {
            for part in self.parts() {
                part.gather_conditions(found);
            }
        }
    }

    /// Whether a design may leave it unknown: it reads a value that may not be written, or works one out that may come to none. Of names,
    /// days and which parts there are, everything is known.
    #[must_use]
    pub fn may_be_unknown(&self) -> bool {
        let mut may = false;
        self.visit_called(&mut |part| {
            may |= match &part.node {
                TypedNode::Read { contained, .. } => !contained,
                TypedNode::Has(of, slot) => match of.gives {
                    Type::Entity(entity_type) => {
                        entity_type.field(*slot).is_none_or(|field| field.need != Need::Optional)
                    }
                    _ => true,
                },
                TypedNode::Call(function, _) => {
                    !matches!(function.name, "name_of" | "year_of" | "month_of" | "day_of")
                }
                TypedNode::Named(..)
                | TypedNode::Holder(..)
                | TypedNode::Inverse(..)
                | TypedNode::IsReferredTo(..)
                | TypedNode::Fold(..)
                | TypedNode::Power(..)
                | TypedNode::Arithmetic(Arithmetic::Divide, ..) => true,
                _ => false,
            };
        });
        may
    }

    /// The limits that it names.
    #[must_use]
    pub fn limits(&self) -> Vec<&str> {
        let mut found = Vec::new();
        self.visit_called(&mut |part| {
            if let TypedNode::Limit(limit) = &part.node {
                found.push(limit.name.as_str());
            }
        });
        found
    }

    /// The names of the functions of the pack's own that it calls, and that these call.
    #[must_use]
    pub fn own_functions(&self) -> Vec<&str> {
        let mut found = Vec::new();
        self.visit_called(&mut |part| {
            if let TypedNode::Own(function, _) = &part.node {
                found.push(function.name.as_str());
            }
        });
        found
    }

    /// The columns of the pack's own tables that it looks values up in, each as `table.column`.
    #[must_use]
    pub fn columns(&self) -> Vec<&str> {
        let mut found = Vec::new();
        self.visit_called(&mut |part| {
            if let TypedNode::Column(column) = &part.node {
                found.push(column.name.as_str());
            }
        });
        found
    }

    /// The fields that it reads, or asks whether they are there: of which type, and in which slot.
    #[must_use]
    pub fn fields(&self) -> Vec<(&'static EntityType, u16)> {
        let mut found = Vec::new();
        self.visit_called(&mut |part| {
            if let TypedNode::Read { of, access: Access::Field(slot), .. } | TypedNode::Has(of, slot) =
                &part.node
                && let Type::Entity(entity_type) = of.gives
            {
                found.push((entity_type, *slot));
            }
        });
        found
    }

    /// The worked-out quantities that it reads: of which kind, and by which number.
    #[must_use]
    pub fn computed(&self) -> Vec<(&'static EntityType, u16)> {
        let mut found = Vec::new();
        self.visit_called(&mut |part| {
            if let TypedNode::Read { of, access: Access::Computed(number), .. } = &part.node
                && let Type::Entity(entity_type) = of.gives
            {
                found.push((entity_type, *number));
            }
        });
        found
    }
}

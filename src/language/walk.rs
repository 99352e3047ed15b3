//! What a checked expression is made of: its parts, the conditions in it, the names it uses.

use super::check::{Bound, Checked, Node};
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
            Node::Constant(_)
            | Node::Limit(_)
            | Node::Root
            | Node::Today
            | Node::Variable(_)
            | Node::Parameter(_)
            | Node::Column(_)
            | Node::Named(..)
            | Node::All(_) => Vec::new(),
            Node::Read { of, .. }
            | Node::Holder(of, _)
            | Node::Has(of, _)
            | Node::Inverse(of, _)
            | Node::IsReferredTo(of, _) => vec![of],
            Node::Negate(a)
            | Node::Not(a)
            | Node::Power(a, _)
            | Node::Given(a)
            | Node::OneOf(a, _)
            | Node::Matches(a, _) => vec![a],
            Node::And(a, b)
            | Node::Or(a, b)
            | Node::Arithmetic(_, a, b)
            | Node::Compare(_, a, b, _)
            | Node::Default(a, b)
            | Node::Before(_, a, b)
            | Node::Same(a, b) => vec![a, b],
            Node::If(condition, yes, no) => vec![condition, yes, no],
            Node::With(value, changes) => {
                [&**value].into_iter().chain(changes.iter().flat_map(|one| [&one.of, &one.value])).collect()
            }
            Node::Call(_, arguments) | Node::Own(_, arguments) => arguments.iter().collect(),
            Node::Quantified(_, bound, body) => of_bound(bound).chain([&**body]).collect(),
            Node::Fold(_, value, bound) => [&**value].into_iter().chain(of_bound(bound)).collect(),
            Node::Count(bound) => of_bound(bound).collect(),
        }
    }

    /// Whether it compares nothing and calls only this function.
    #[must_use]
    pub fn asks_only(&self, function: &str) -> bool {
        let (mut called, mut other) = (false, false);
        self.visit_called(&mut |part| match &part.node {
            Node::Call(one, _) if one.name == function => called = true,
            Node::Call(..) | Node::Compare(..) | Node::OneOf(..) | Node::Matches(..) => other = true,
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
                if let Node::Own(function, _) = &part.node
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
            Node::Variable(number) if *number > 0 => found.push(*number),
            Node::Quantified(_, bound, _) | Node::Fold(_, _, bound) | Node::Count(bound) => {
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
            if let Node::Quantified(_, bound, _) = &part.node
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
        if self.gives == Type::Truth && !matches!(self.node, Node::Constant(_) | Node::Not(_)) {
            found.push(self);
        }
        if !matches!(self.node, Node::Given(_)) {
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
                Node::Read { contained, .. } => !contained,
                Node::Has(of, slot) => match of.gives {
                    Type::Entity(entity_type) => {
                        entity_type.field(*slot).is_none_or(|field| field.need != Need::Optional)
                    }
                    _ => true,
                },
                Node::Call(function, _) => {
                    !matches!(function.name, "name_of" | "year_of" | "month_of" | "day_of")
                }
                Node::Named(..)
                | Node::Holder(..)
                | Node::Inverse(..)
                | Node::IsReferredTo(..)
                | Node::Fold(..)
                | Node::Power(..)
                | Node::Arithmetic(Arithmetic::Divide, ..) => true,
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
            if let Node::Limit(limit) = &part.node {
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
            if let Node::Own(function, _) = &part.node {
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
            if let Node::Column(column) = &part.node {
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
            if let Node::Read { of, access: Access::Field(slot), .. } | Node::Has(of, slot) = &part.node
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
            if let Node::Read { of, access: Access::Computed(number), .. } = &part.node
                && let Type::Entity(entity_type) = of.gives
            {
                found.push((entity_type, *number));
            }
        });
        found
    }
}

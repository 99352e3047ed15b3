//! The workings of computed quantities, and the written fields at the bottom of them.

use std::rc::Rc;

use super::computation::Recording;
use super::inverse::referring;
use super::{Access, Body, Derivation, Model, Read};
use crate::vocabulary::EntityId;

impl Model<'_> {
    /// The working of a computed quantity. Nothing of it is kept with the value: it is worked out once more, and this time each
    /// step is recorded.
    #[must_use]
    pub fn derivation(&self, read: Read) -> Option<Rc<Derivation>> {
        let Access::Computed(number) = read.access else { return None };
        let at = self.memo.numbering.computed_at(read.entity, number)?;
        // Findings of one design rest on much the same quantities.
        if let Some(known) = self.derivations.borrow().get(&at) {
            return Some(Rc::clone(known));
        }
        let entry =
            self.catalogue().computed(self.entity(read.entity)?.entity_type).get(usize::from(number))?;
        let ctx = self.recording_context();
        // What it comes to is known already; an error on the way only ends the recording.
        let _ = match &entry.body {
            Body::Rust(computed) => computed.compute(&ctx, read.entity),
            Body::Words(words) => words.work_out(&ctx, read.entity),
            Body::Inverse(references) => referring(&ctx, references, read.entity),
        };
        let reads = ctx.reads.into_inner();
        let Recording { steps, offered, formula, .. } = ctx.recording?.into_inner();
        let mut lines: Vec<(Read, String)> = Vec::with_capacity(reads.len() + offered.len());
        let mut asked = 0;
        for (place, inner) in reads.iter().chain(&offered).enumerate() {
            if *inner != read && !lines.iter().any(|(known, _)| known == inner) {
                lines.push((*inner, self.read_name(*inner)));
            }
            if place < reads.len() {
                asked = lines.len();
            }
        }
        let formula = formula.unwrap_or_else(|| entry.formula.clone());
        let derivation = Rc::new(Derivation { lines, asked, steps, formula });
        self.derivations.borrow_mut().insert(at, Rc::clone(&derivation));
        Some(derivation)
    }

    /// The name under which a field or a quantity of an entity is printed in a working.
    #[must_use]
    pub fn line_name(&self, entity: EntityId, name: &str) -> String {
        let path = if entity.is_row() {
            let row = self.entity(entity);
            row.map(|row| format!("{} {}", row.entity_type.name.replace('_', " "), row.name))
                .unwrap_or_default()
        } else {
            self.design().store.path(entity)
        };
        if path.is_empty() { name.to_owned() } else { format!("{path}.{name}") }
    }

    /// The name under which what was read is printed.
    #[must_use]
    pub fn read_name(&self, read: Read) -> String {
        let entity_type = self.entity(read.entity).map(|e| e.entity_type);
        let name = match read.access {
            Access::Field(slot) => entity_type.and_then(|k| k.field(slot)).map(|f| f.name),
            Access::Computed(number) => entity_type
                .and_then(|k| self.catalogue().computed(k).get(usize::from(number)))
                .map(|e| e.name.as_str()),
        };
        self.line_name(read.entity, name.unwrap_or_default())
    }

    /// The fields as written that a quantity rests on, in the order they were asked for.
    #[must_use]
    pub fn leaves(&self, read: Read) -> Rc<[Read]> {
        self.leaves_within(read, 0)
    }

    fn leaves_within(&self, read: Read, depth: u8) -> Rc<[Read]> {
        let Access::Computed(number) = read.access else { return Rc::new([read]) };
        // A quantity that rests on itself has no bottom.
        let found = if depth < 32 { self.computation(read.entity, number) } else { None };
        let Some(computation) = found else { return Rc::new([]) };
        if let Some(known) = computation.leaves.get() {
            return Rc::clone(known);
        }
        let mut seen = self.memo.numbering.field_set();
        let mut leaves: Vec<Read> = Vec::new();
        let mut add = |leaf: Read, slot: u16| {
            let new = seen.insert(&self.memo.numbering, leaf.entity, slot);
            if new && (!leaf.entity.is_row() || !leaves.contains(&leaf)) {
                leaves.push(leaf);
            }
        };
        for inner in &computation.reads {
            if let Access::Field(slot) = inner.access {
                add(*inner, slot);
                continue;
            }
            for leaf in self.leaves_within(*inner, depth + 1).iter() {
                if let Access::Field(slot) = leaf.access {
                    add(*leaf, slot);
                }
            }
        }
        Rc::clone(computation.leaves.get_or_init(|| leaves.into()))
    }
}

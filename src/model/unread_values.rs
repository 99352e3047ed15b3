//! How far what was read reaches: the written values that nothing of it rests on.

use super::{Access, Model, Read};
use crate::vocabulary::{EntityId, Field, Shape, State};

impl Model<'_> {
    /// The values that are written and that none of these reads rests on, however many quantities lie between: each by its
    /// entity and the number of its field, in the order of the entities. Texts are left out: they are for a reader.
    #[must_use]
    pub fn untouched_by(&self, reads: impl IntoIterator<Item = Read>) -> Vec<(EntityId, u16)> {
        let numbering = &self.memo.numbering;
        let mut seen = numbering.field_set();
        let mut met = vec![false; numbering.computed as usize];
        let mut open: Vec<Read> = reads.into_iter().collect();
        while let Some(read) = open.pop() {
            let number = match read.access {
                Access::Field(slot) => {
                    seen.insert(numbering, read.entity, slot);
                    continue;
                }
                Access::Computed(number) => number,
            };
            let Some(at) = numbering.computed_at(read.entity, number) else { continue };
            let Some(met) = met.get_mut(at as usize).filter(|met| !**met) else { continue };
            *met = true;
            if let Some(computation) = self.computation(read.entity, number) {
                open.extend_from_slice(&computation.reads);
            }
        }
        let mut left = Vec::new();
        for (id, entity) in self.design.store.all() {
            for (slot, field) in (0..).zip(entity.entity_type.fields) {
                let written = !matches!(entity.slot(slot).state, State::Absent);
                if written && is_a_value(field) && seen.insert(numbering, id, slot) {
                    left.push((id, slot));
                }
            }
        }
        left
    }

    /// How many values are written of an entity, texts left out.
    #[must_use]
    pub fn values_written(&self, id: EntityId) -> usize {
        let Some(entity) = self.entity(id) else { return 0 };
        let fields = (0..).zip(entity.entity_type.fields);
        fields.filter(|(slot, f)| is_a_value(f) && !matches!(entity.slot(*slot).state, State::Absent)).count()
    }
}

/// Whether a field says something by itself: it neither holds other entities nor is a text for a reader.
fn is_a_value(field: &Field) -> bool {
    !matches!(
        field.shape,
        Shape::One(_)
            | Shape::Many(_)
            | Shape::List(_)
            | Shape::Measured(_)
            | Shape::Text
            | Shape::Texts
            | Shape::Raw
    )
}

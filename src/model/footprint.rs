//! Which written fields a value rests on, as a set of bits that is small enough to keep beside every value.

use std::collections::BTreeMap;

use crate::vocabulary::{EntityId, EntityType, State, Store};

/// Words of the set of fields.
const WORDS: usize = 8;
/// Bits of the fields that are not written down: few of them change, so that they share the last word.
const UNWRITTEN: u32 = 64;
/// Bits of the fields that are written down, each its own while they last.
const WRITTEN: u32 = 64 * WORDS as u32 - UNWRITTEN;

/// The fields of a design, and the collections of its entities, that a value rests on.
///
/// The set may hold a field too many, since some fields share a bit, and never one too few: what does not meet a changed
/// field is the same after the change.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Footprint {
    fields: [u64; WORDS],
    /// Entity types of which all entities were asked for.
    types: u64,
}

impl Footprint {
    /// Everything: a change of this touches every value.
    pub const ALL: Self = Self { fields: [u64::MAX; WORDS], types: u64::MAX };

    /// True when the two have something in common.
    #[must_use]
    pub fn meets(&self, other: &Self) -> bool {
        let shared = self.fields.iter().zip(&other.fields).fold(0, |so_far, (a, b)| so_far | (a & b));
        shared | (self.types & other.types) != 0
    }

    /// Takes in all of another.
    pub fn join(&mut self, other: &Self) {
        for (mine, theirs) in self.fields.iter_mut().zip(&other.fields) {
            *mine |= theirs;
        }
        self.types |= other.types;
    }

    /// True when it holds nothing: a change of this changes nothing.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// True when it holds the whole of some type: an entity came or went.
    #[must_use]
    pub fn meets_types(&self) -> bool {
        self.types != 0
    }

    fn add_bit(&mut self, bit: u16) {
        if let Some(word) = self.fields.get_mut(usize::from(bit) / 64) {
            *word |= 1 << (bit % 64);
        }
    }

    fn has_bit(&self, bit: u16) -> bool {
        self.fields.get(usize::from(bit) / 64).is_some_and(|word| word >> (bit % 64) & 1 == 1)
    }

    pub(super) fn add_type(&mut self, entity_type: &'static EntityType) {
        // Names of types are few and short; any spread over the bits will do, the same on every machine.
        let hash = entity_type.name.bytes().fold(0_u32, |h, b| h.wrapping_mul(31).wrapping_add(u32::from(b)));
        self.types |= 1 << (hash % 64);
    }
}

/// What distinguishes a type from the others: each is a static of its own.
fn address(entity_type: &'static EntityType) -> usize {
    std::ptr::from_ref(entity_type).addr()
}

/// Numbers for the fields and the computed quantities of a design's entities.
#[derive(Clone, Debug, Default)]
pub(super) struct Numbering {
    /// Of each entity, by identity: the number of its first field, and of its first computed quantity.
    first: Vec<(u32, u32)>,
    /// The bit of each field.
    bits: Vec<u16>,
    /// How many computed quantities there are.
    pub(super) computed: u32,
    /// The entities of each type, by the type's address, in the order of the file.
    of_type: BTreeMap<usize, Vec<EntityId>>,
}

impl Numbering {
    /// Numbers for a design by itself; `computed` says how many computed quantities an entity type has.
    pub(super) fn of(store: &Store, computed: impl Fn(&'static EntityType) -> usize) -> Self {
        Self::default().extended(store, computed)
    }

    /// The same numbers for the entities that are numbered, and more for those that are new.
    pub(super) fn extended(&self, store: &Store, computed: impl Fn(&'static EntityType) -> usize) -> Self {
        let mut all = self.clone();
        all.of_type.clear();
        for (id, entity) in store.all() {
            all.of_type.entry(address(entity.entity_type)).or_default().push(id);
        }
        let mut counts: BTreeMap<&str, u32> = BTreeMap::new();
        let mut free = u32::try_from(all.bits.len()).unwrap_or(0);
        for id in store.identities().skip(all.first.len()) {
            let fields = u32::try_from(all.bits.len()).unwrap_or(0);
            all.first.push((fields, all.computed));
            let Some(entity) = store.get(id) else { continue };
            let count = counts
                .entry(entity.entity_type.name)
                .or_insert_with(|| u32::try_from(computed(entity.entity_type)).unwrap_or(0));
            all.computed += *count;
            for slot in (0..).take(entity.entity_type.fields.len()) {
                let written = !matches!(entity.slot(slot).state, State::Absent);
                let number =
                    if written { free % WRITTEN } else { WRITTEN + (fields + u32::from(slot)) % UNWRITTEN };
                free += u32::from(written);
                all.bits.push(u16::try_from(number).unwrap_or(0));
            }
        }
        all
    }

    /// The entities of a type, in the order of the file.
    pub(super) fn of_type(&self, entity_type: &'static EntityType) -> &[EntityId] {
        self.of_type.get(&address(entity_type)).map_or(&[], Vec::as_slice)
    }

    /// The number of a field of an entity.
    fn field_at(&self, id: EntityId, slot: u16) -> Option<usize> {
        self.first.get(id.index()).map(|(fields, _)| (fields + u32::from(slot)) as usize)
    }

    /// An empty set of fields, exact and as large as the design.
    pub(super) fn field_set(&self) -> FieldSet {
        FieldSet(vec![0; self.bits.len() / 64 + 1])
    }

    /// Marks a field of an entity in a footprint; one that has no number marks everything.
    pub(super) fn mark(&self, footprint: &mut Footprint, id: EntityId, slot: u16) {
        match self.field_at(id, slot).and_then(|at| self.bits.get(at)) {
            Some(bit) => footprint.add_bit(*bit),
            None => *footprint = Footprint::ALL,
        }
    }

    /// Whether a field of an entity is marked in a footprint.
    pub(super) fn is_marked(&self, footprint: &Footprint, id: EntityId, slot: u16) -> bool {
        let bit = self.field_at(id, slot).and_then(|at| self.bits.get(at));
        bit.is_none_or(|bit| footprint.has_bit(*bit))
    }

    /// The number of a computed quantity of an entity.
    pub(super) fn computed_at(&self, id: EntityId, number: u16) -> Option<u32> {
        self.first.get(id.index()).map(|(_, computed)| computed + u32::from(number))
    }
}

/// A set of fields that distinguishes each from every other.
pub(super) struct FieldSet(Vec<u64>);

impl FieldSet {
    /// Takes in a field; true when it was not there yet, and for one that has no number.
    pub(super) fn insert(&mut self, numbering: &Numbering, id: EntityId, slot: u16) -> bool {
        let Some(at) = numbering.field_at(id, slot).filter(|_| !id.is_row()) else { return true };
        let Some(word) = self.0.get_mut(at / 64) else { return true };
        let bit = 1 << (at % 64);
        let new = *word & bit == 0;
        *word |= bit;
        new
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn footprints_meet_where_they_share_a_field() {
        let (mut a, mut b) = (Footprint::default(), Footprint::default());
        a.add_bit(3);
        b.add_bit(700);
        assert!(!a.meets(&b) && !a.is_empty());
        b.join(&a);
        assert!(a.meets(&b) && b.meets(&a));
        assert!(Footprint::ALL.meets(&a) && !Footprint::ALL.meets(&Footprint::default()));
    }
}

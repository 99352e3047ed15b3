//! The three states of a value: known, missing with the keys that would make it known, refused with the reason.

use std::sync::Arc;

use crate::vocabulary::EntityId;

/// A quantity of one entity: a field as written, or one that is worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Read {
    /// The entity.
    pub entity: EntityId,
    /// Which of its quantities.
    pub access: Access,
}

/// How a quantity of an entity is reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Access {
    /// The field in a slot.
    Field(u16),
    /// The computed quantity of that number among those of its kind.
    Computed(u16),
}

/// A key whose value is not written down.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MissingKey {
    /// The entity that lacks it.
    pub entity: EntityId,
    /// Its slot.
    pub slot: u16,
}

/// Inputs that are there but make no sense.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// Why.
    pub reason: Arc<str>,
    /// The inputs.
    pub reads: Arc<[Read]>,
}

/// Why a value is not known.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Unknown(Box<Reasons>);

#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Reasons {
    missing: Vec<MissingKey>,
    refused: Vec<Refusal>,
}

impl Unknown {
    /// A value that is missing for want of a key.
    #[must_use]
    pub fn missing(entity: EntityId, slot: u16) -> Self {
        Self(Box::new(Reasons { missing: vec![MissingKey { entity, slot }], refused: Vec::new() }))
    }

    /// A value that cannot be worked out from what is written.
    #[must_use]
    pub fn refused(reason: impl Into<Arc<str>>, reads: impl Into<Arc<[Read]>>) -> Self {
        let refusal = Refusal { reason: reason.into(), reads: reads.into() };
        Self(Box::new(Reasons { missing: Vec::new(), refused: vec![refusal] }))
    }

    /// Both reasons together.
    #[must_use]
    pub fn and(mut self, other: Self) -> Self {
        for key in other.0.missing {
            if !self.0.missing.contains(&key) {
                self.0.missing.push(key);
            }
        }
        for refusal in other.0.refused {
            if !self.0.refused.contains(&refusal) {
                self.0.refused.push(refusal);
            }
        }
        self
    }

    /// The keys that would make the value known.
    #[must_use]
    pub fn keys(&self) -> &[MissingKey] {
        &self.0.missing
    }

    /// What makes no sense.
    #[must_use]
    pub fn refusals(&self) -> &[Refusal] {
        &self.0.refused
    }
}

/// A value, or why it is not known.
pub type Outcome<T> = Result<T, Unknown>;

/// Both values, or every reason why one is not known.
///
/// # Errors
/// When either is not known.
pub fn both<A, B>(a: Outcome<A>, b: Outcome<B>) -> Outcome<(A, B)> {
    match (a, b) {
        (Ok(a), Ok(b)) => Ok((a, b)),
        (Err(a), Err(b)) => Err(a.and(b)),
        (Err(gap), _) | (_, Err(gap)) => Err(gap),
    }
}

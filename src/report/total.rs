//! What a run came to over all of its designs.

use crate::review::{DesignReview, DispositionCounts};

/// What a run came to over all of its designs.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Total {
    designs: usize,
    clear: usize,
    totals: DispositionCounts,
}

impl Total {
    /// That of one design.
    pub(super) fn of(review: &DesignReview) -> Self {
        Self { designs: 1, clear: usize::from(review.is_clear()), totals: review.totals() }
    }

    /// Takes in another one.
    pub(super) fn add(&mut self, other: Self) {
        self.designs += other.designs;
        self.clear += other.clear;
        self.totals = self.totals.and(other.totals);
    }

    /// In words, as a line: `3 designs: 2 clear, 1 held; 5 findings: …`; nothing for fewer than two designs.
    pub(super) fn line(&self) -> String {
        if self.designs < 2 {
            return String::new();
        }
        let (designs, clear) = (self.designs, self.clear);
        format!("{designs} designs: {clear} clear, {} held; {}\n", designs - clear, self.totals.in_words())
    }
}

//! A range of bytes in one source.

/// A range of bytes in one source.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// From byte offsets; offsets beyond 4 GiB are clamped (sources are far smaller).
    #[must_use]
    pub fn new(start: usize, end: usize) -> Self {
        Self { start: u32::try_from(start).unwrap_or(u32::MAX), end: u32::try_from(end).unwrap_or(u32::MAX) }
    }

    /// As a range of `usize`.
    #[must_use]
    pub fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }

    /// The length in bytes.
    #[must_use]
    pub fn len(self) -> usize {
        self.end.saturating_sub(self.start) as usize
    }

    /// True when it covers no byte.
    #[must_use]
    pub fn is_empty(self) -> bool {
        self.len() == 0
    }
}

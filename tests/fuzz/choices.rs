//! A list of bytes as a list of choices: what is made of them is as random as they are, and a shorter list makes a shorter text.

/// Choices, taken from the front; once they are out, each is the first one.
pub(super) struct Choices<'c> {
    bytes: &'c [u8],
}

impl<'c> Choices<'c> {
    pub(super) fn new(bytes: &'c [u8]) -> Self {
        Self { bytes }
    }

    pub(super) fn is_out(&self) -> bool {
        self.bytes.is_empty()
    }

    fn byte(&mut self) -> u8 {
        let Some((first, rest)) = self.bytes.split_first() else { return 0 };
        self.bytes = rest;
        *first
    }

    /// A number below a bound.
    pub(super) fn below(&mut self, bound: usize) -> usize {
        let mut number = usize::from(self.byte());
        if bound > 256 {
            number = number << 8 | usize::from(self.byte());
        }
        if bound > 65_536 {
            number = number << 8 | usize::from(self.byte());
        }
        number % bound.max(1)
    }

    /// True once in so many times; never when the choices are out.
    pub(super) fn once_in(&mut self, times: usize) -> bool {
        !self.is_out() && self.below(times) == times - 1
    }

    pub(super) fn one_of<'t, T: ?Sized>(&mut self, all: &[&'t T]) -> &'t T {
        all[self.below(all.len())]
    }

    pub(super) fn member<'t, T>(&mut self, all: &'t [T]) -> &'t T {
        &all[self.below(all.len())]
    }

    /// The bytes that are left.
    pub(super) fn rest(&self) -> &'c [u8] {
        self.bytes
    }
}

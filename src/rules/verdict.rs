//! What a rule comes to on a subject.

crate::words! {
    /// The outcome of a rule on a subject.
    pub enum Verdict {
        /// It is not so.
        Broken = "broken",
        /// It is so as drawn, but not at the worst case of the stated tolerances, or not in as many flights as are asked for.
        Tight = "tight",
        /// It cannot be known, for want of a value.
        Unproven = "unproven",
        /// It is so.
        Held = "held",
        /// The rule is not about this subject.
        NotApplicable = "not applicable",
    }
}

impl Verdict {
    /// Those that are findings: the rule is not kept, or nobody can know.
    pub const OF_FINDINGS: [Self; 3] = [Self::Broken, Self::Unproven, Self::Tight];
}

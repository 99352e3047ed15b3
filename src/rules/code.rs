//! Packs that stand for a code, a law or a guide: which rockets they are about, and what they ask of a person.

use super::hold_point::Moment;
use crate::language::Checked;

/// The rockets that a pack is about.
#[derive(Clone, Debug)]
pub enum Applies {
    /// Every rocket.
    Always,
    /// Rockets for which a condition is true, besides those whose design or club names the pack.
    When {
        /// The condition, of the rocket.
        condition: Checked,
        /// The condition as written.
        words: String,
    },
    /// Rockets whose design or club names the pack, and no others.
    Named,
}

/// A clause that no design file can settle.
#[derive(Clone, Debug)]
pub struct Ask {
    /// Its name.
    pub name: String,
    /// What must be so, in a sentence that can be ticked.
    pub ask: String,
    /// When it is asked, by the groups of the field checklist.
    pub moment: Moment,
    /// The rockets that it is asked of.
    pub when: Option<Checked>,
    /// Where it comes from.
    pub citation: String,
}

//! What a rule file may say.

use std::fmt;

use crate::tables::Citation;

crate::entity_types! {
    /// A rule pack.
    PACK: PackEntity as pack = "pack" {
        /// The pack's name.
        required pack: Text;
        /// What its rules are about.
        required about: Text;
        /// The rockets that it is about, as a condition on the rocket; every rocket where not said. What is named under `codes` of the design, or by the club, is judged all the same.
        optional applies_when: Text;
        /// Whether it is judged only where the design or the club names it: a code that nothing about the rocket itself calls for.
        optional only_when_named: Truth;
        /// Numbers that its rules compare with, by name.
        optional limits: Many(LimitEntity);
        /// Quantities worked out in words.
        optional derived: Many(DerivedEntity);
        /// The rules.
        optional rules: Many(RuleEntity);
        /// Clauses that no design file can settle: steps of the field checklist, for a person to tick.
        optional asks: Many(AskEntity);
    }

    /// A clause that a person must see to.
    ASK: AskEntity as ask = "ask" {
        /// What must be so, in a sentence that can be ticked.
        required ask: Text;
        /// When it is asked, by the groups of the field checklist.
        required moment: Word(&["before leaving home", "at the table", "at the pad", "after the flight"]);
        /// The rockets that it is asked of, as a condition on the rocket.
        optional when: Text;
        /// Where it comes from.
        required source: One(Citation);
    }

    /// A number that rules compare with.
    LIMIT: LimitEntity as limit = "limit" {
        /// The value, with its unit.
        required is: Text;
        /// What it is.
        optional doc: Text;
        /// Where it comes from.
        required source: One(Citation);
    }

    /// A quantity worked out in words.
    DERIVED: DerivedEntity as derived = "derived" {
        /// The type of part that has it.
        required of: Text;
        /// How it is worked out.
        required is: Text;
        /// What it means.
        required doc: Text;
        /// Where the formula comes from.
        optional source: One(Citation);
    }

    /// A rule.
    RULE: RuleEntity as rule = "rule" {
        /// What a rocket that keeps the rule is like, in a sentence.
        required title: Text;
        /// The step that may not be taken before it is kept.
        required before: Word(&["parts", "bonding", "drilling", "wiring", "loading", "flight"]);
        /// The type of part it is about.
        required r#for: Text;
        /// When it applies.
        optional when: Text;
        /// What must be so.
        required require: Text;
        /// How grave it is.
        required level: Word(&["error", "warning", "note"]);
        /// What to say when it is not so, with values in braces.
        required finding: Text;
        /// Why it matters.
        required why: Text;
        /// Where it comes from.
        required source: One(Citation);
        /// What to change.
        optional remedy: One(RemedyEntity);
        /// Designs it is tried on.
        optional trials: List(TrialEntity);
    }

    /// What to change.
    REMEDY: RemedyEntity as remedy = "remedy" {
        /// The field to change; through a collection, that of each member.
        optional set: Text;
        /// The value it should have.
        optional to: Text;
        /// For a place on a part, instead of `to`: how far aft to move it; forward where negative. It is rounded on to the next mark of the tape, 1/16 in or 1 mm.
        optional by: Text;
        /// The change in words; `{value}` is the value.
        required say: Text;
        /// `false` where only a person can tell, though the field is one that may be set without asking.
        optional safe: Truth;
    }

    /// A specimen with changes, and the outcome the rule must give.
    TRIAL: TrialEntity as trial = "trial" {
        /// The specimen; `dual_deployment` where not said.
        optional specimen: Text;
        /// Values to write, by path.
        optional with: Raw;
        /// Paths to remove.
        optional without: Raw;
        /// The subject that is asked about; any where not said.
        optional subject: Text formerly "on";
        /// The day it is, for a rule that asks for `today`.
        optional today: Date;
        /// The outcome.
        required expect: Word(&["held", "broken", "unproven", "tight", "not applicable"]);
    }
}

/// A step of the build that may not be taken until its rules are kept, in build order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HoldPoint {
    /// Taking stock of the parts.
    Parts,
    /// Gluing.
    Bonding,
    /// Drilling and cutting.
    Drilling,
    /// Wiring.
    Wiring,
    /// Loading charges and packing.
    Loading,
    /// Flying.
    Flight,
}

impl HoldPoint {
    /// All of them, in build order.
    pub const ALL: [Self; 6] =
        [Self::Parts, Self::Bonding, Self::Drilling, Self::Wiring, Self::Loading, Self::Flight];

    /// Its name in files and reports.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Parts => "parts",
            Self::Bonding => "bonding",
            Self::Drilling => "drilling",
            Self::Wiring => "wiring",
            Self::Loading => "loading",
            Self::Flight => "flight",
        }
    }

    /// The hold point of a name.
    #[must_use]
    pub fn of(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|h| h.name() == name)
    }
}

impl fmt::Display for HoldPoint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// How grave a finding is. Only errors hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// The step may not be taken.
    Error,
    /// Look at it again.
    Warning,
    /// Worth knowing.
    Note,
}

impl Level {
    /// Its name in files and reports.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }

    pub(super) fn of(name: &str) -> Self {
        match name {
            "warning" => Self::Warning,
            "note" => Self::Note,
            _ => Self::Error,
        }
    }
}

impl fmt::Display for Level {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

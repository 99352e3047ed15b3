//! What a rule file may say.

use super::hold_point::{HoldPoint, Moment};
use super::level::Level;
use super::verdict::Verdict;
use crate::tables::Citation;

crate::entity_types! {
    /// A rule pack.
    PACK: PackEntity as pack = "pack" {
        /// The pack's name.
        required pack: Text;
        /// What its rules are about.
        required about: Text;
        /// The pack's own version, in its author's words.
        optional version: Text;
        /// The least version of the program that reads it, as in `holdpoint >= 0.1`.
        optional needs: Text;
        /// Where the pack is to be had.
        optional link: Text;
        /// The licence that it may be passed on under.
        optional licence: Text;
        /// Who answers questions about it.
        optional contact: Text;
        /// The rockets that it is about, as a condition on the rocket; every rocket where not said. What is named under `codes` of the design, or by the club, is judged all the same.
        optional applies_when: Text;
        /// Whether it is judged only where the design or the club names it: a code that nothing about the rocket itself calls for.
        optional only_when_named: Truth;
        /// Numbers that its rules compare with, by name.
        optional limits: Many(LimitEntity);
        /// Tables that its expressions look values up in, by name.
        optional tables: Many(TableEntity);
        /// Functions that its expressions call, by name.
        optional functions: Many(FunctionEntity);
        /// Quantities worked out in words.
        optional derived: Many(DerivedEntity);
        /// The rules.
        optional rules: Many(RuleEntity);
        /// Clauses that no design file can settle: steps of the field checklist, for a person to tick.
        optional asks: Many(AskEntity);
        /// Steps of the field checklist, filled with what the design has.
        optional checklist: Many(StepEntity);
        /// How far values may be off where the design states no tolerance.
        optional uncertainties: Many(UncertaintyEntity);
    }

    /// A step of the field checklist.
    STEP: StepEntity as step = "step" {
        /// When it is taken, by the groups of the field checklist.
        required moment: OneOf(Moment);
        /// What to do, in a sentence that can be ticked: values stand in braces, and a piece in brackets is left out where a value in it is not written.
        required r#do: Text;
        /// Why.
        required why: Text;
        /// The type of part that it is about: there is a step for each, in the order of the file. The rocket where not said.
        optional r#for: Text;
        /// When it is taken, as a condition on that part; it is taken too where that is not known.
        optional when: Text;
        /// A value of the part that says its turn, the least first; those without one come last.
        optional order: Text;
        /// Whether the parts come the other way round, the first of them last.
        optional backwards: Truth;
        /// Whether the steps are numbered where there are several.
        optional numbered: Truth;
        /// A step above it about the same type, which it follows for each part, before the next part's turn.
        optional right_after: Text;
        /// Where it comes from.
        optional source: One(Citation);
    }

    /// How far a value may be off where the design states no tolerance.
    UNCERTAINTY: UncertaintyEntity as uncertainty = "uncertainty" {
        /// The field, by the type of part that has it, as in `motor.loaded_mass`. Of several packs in force that name it, the last one counts.
        required field: Text;
        /// How far it may be off to either side, as a share of its value.
        optional share: Text;
        /// How far it may be off to either side, in its own dimension; of a temperature a difference, of a place a length.
        optional within: Text;
        /// Fields of what is in the part that change by the same share, as the parts of a section with its mass.
        optional along: Texts;
        /// What the value is where it is not written; where this is not said, no spread is assumed of what is not written.
        optional where_not_written: Text;
        /// What is uncertain.
        required doc: Text;
        /// Where it comes from; not asked where the limits that say how far have their sources.
        optional source: One(Citation);
    }

    /// A clause that a person must see to.
    ASK: AskEntity as ask = "ask" {
        /// What must be so, in a sentence that can be ticked.
        required ask: Text;
        /// When it is asked, by the groups of the field checklist.
        required moment: OneOf(Moment);
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

    /// A table that the expressions of its pack look values up in.
    TABLE: TableEntity as table = "table" {
        /// What it is about.
        required doc: Text;
        /// The names of its columns, each with the unit of its numbers, `number` where they have none, or `text`. The first is the one that is looked up.
        required columns: Raw;
        /// The rows, each a list with a value for every column: a number in the unit of its column, a value with a unit of its own, or a text.
        required rows: Raw;
        /// Where it comes from.
        required source: One(Citation);
    }

    /// A function that the expressions of its pack call.
    FUNCTION: FunctionEntity as function = "function" {
        /// What it takes: names, each with what it stands for, as `length`, `mass`, `number`, `text`, `truth`, `date` or a type of part.
        required of: Raw;
        /// What it gives, as an expression that may use these names.
        required is: Text;
        /// What it means.
        required doc: Text;
        /// Where the formula comes from.
        optional source: One(Citation);
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
        required before: OneOf(HoldPoint);
        /// The type of part it is about.
        required r#for: Text;
        /// When it applies.
        optional when: Text;
        /// What must be so.
        required require: Text;
        /// How grave it is.
        required level: OneOf(Level);
        /// Whether it asks only that what is written agrees, or can be believed: a spread does not ask it of values that may be off.
        optional as_written: Truth;
        /// In what share of flights it must hold besides holding as drawn, each uncertain value anywhere within its limits, as in `95 %`.
        optional confidence: Number(Positive);
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
        /// The change in words; `{value}` is the value, and `{value in ft}` the value in a unit that you name.
        required say: Text;
        /// `false` where only a person can know, though the field is one that may be set without asking.
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
        required expect: OneOf(Verdict);
        /// Of a broken one, what the rule's remedy does for it; not asked where not said.
        optional remedy: OneOf(RemedyEffect);
    }
}

crate::words! {
    /// What a remedy does for the design that it is offered for.
    pub enum RemedyEffect {
        /// The rule is kept then.
        Settles = "settles",
        /// The rule is nearer to being kept.
        Helps = "helps",
        /// No remedy is offered, or it changes nothing.
        Nothing = "none",
    }
}

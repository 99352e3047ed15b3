//! Rules over a model: outcomes, findings with their places, remedies that were tried, hold points.

mod baseline;
mod checklist;
mod compare;
mod design_review;
mod disposition;
mod drill_sheet;
mod finding;
mod fingerprint;
mod incremental;
mod judged;
mod margins;
mod mend;
mod not_judged;
mod one_rule;
mod options;
mod pack_remedies;
mod packs;
mod passes;
mod places;
mod quantity_lookup;
mod remedy_trial;
mod spread;
mod switched_off;
mod totals;
mod unverified;
mod waiting;
mod waiver_fields;
mod waivers;
mod working;

pub use baseline::{BASELINE_FORMAT, Baseline};
pub use checklist::{ChecklistStep, steps};
pub use compare::{DesignComparison, HoldChange, MarginChange, Still, ValueAt, ValueChange, compare};
pub use design_review::{Counts, DesignReview, HoldState, MarginLine};
pub use disposition::{Compared, Disposition, DispositionName, WaiverUsed};
pub use drill_sheet::{DrillLine, drill_sheet, drill_words, hole_words};
pub use finding::{Finding, MissingValue, Tried, TriedRemedy};
pub use fingerprint::digest;
pub use incremental::{IncrementalReview, Reviewed, review, review_all};
pub use margins::stated;
pub use mend::{Changed, Choice, Mended, mend};
pub use not_judged::NotJudged;
pub use one_rule::{OnSubject, on_design};
pub use options::{Options, SpreadRequest};
pub use pack_remedies::{TrialRemedy, remedy_problems, trial_remedies};
pub use packs::{PackApplicability, applicable_packs};
pub use passes::{
    CountsAs, PASS, PASSED_VALUE, PASSES, Pass, Passed, PassedValue, Passes, hold_to, values_of,
};
pub use places::FindingPlace;
pub use quantity_lookup::{all_names, quantities_named, where_a_path_stops};
pub use spread::{
    AREA_SHARE, Band, Driver, LandingArea, Spread, SpreadCourses, SpreadInput, SpreadQuantity, SpreadRule,
    SpreadSource, spread_of, spread_of_rule,
};
pub use totals::{DispositionCounts, FailOn, show_from};
pub use unverified::OnWord;
pub use waiting::{
    Conflict, StepProgress, WaitedFor, WaitingPart, conflicts, is_in_conflict, is_waiting, progress, waiting,
    written,
};
pub use waiver_fields::{Waiver, WaiverFrom, waivers_of};
pub use waivers::waivers_of_several;
pub use working::Working;

use crate::model::{Model, Read};

/// How a quantity was worked out: what it rests on first, itself last.
#[must_use]
pub fn working_of(model: &Model<'_>, read: Read) -> Vec<Working> {
    working::describe(model, read)
}

//! Rule packs: limits, derived quantities, rules and their trials, read from YAML and checked when they are loaded.

mod active;
mod apply_settings;
mod built_in;
mod changed_specimen;
mod citation;
mod code;
mod compile;
mod compile_remedy;
mod coverage;
mod departure;
mod derived;
mod digest;
mod doubtful_texts;
mod draft;
mod fixed;
mod held_share;
mod hold_point;
mod inspect;
mod judge;
mod level;
mod library;
mod load;
mod messages;
mod metadata;
mod nominal;
mod own_rules;
mod pack;
mod pack_compiler;
mod pack_functions;
mod pack_tables;
mod parsed;
mod place;
mod problems;
mod remedy;
mod run;
mod sample_points;
mod settings;
mod steps;
mod target;
mod trial;
mod trial_run;
mod trial_words;
mod uncertain_inputs;
mod uncertainty;
mod variants;
mod verdict;

pub use active::{ActiveDerived, ActiveFunction, ActiveLimit, ActivePack, ActiveTable, Places, Rule};
pub use built_in::{BUILT_IN, BuiltIn};
pub use changed_specimen::TrialFault;
pub use citation::citation;
pub use code::{Applies, Ask};
pub use coverage::{Coverage, Lacking, coverage};
pub use departure::{Departure, DepartureKind};
pub use hold_point::{HoldPoint, Moment};
pub use inspect::{Remark, inspect};
pub use judge::{judge, lies_between};
pub use level::Level;
pub use library::Library;
pub use load::More;
pub use metadata::PackMetadata;
pub use nominal::{HoldsIn, Judgement, Margin, Size, judge_nominal};
pub use own_rules::{AboutOwnRule, OwnRule};
pub use pack::{
    ASK, DERIVED, FUNCTION, LIMIT, PACK, REMEDY, RULE, RemedyEffect, STEP, TABLE, TRIAL, UNCERTAINTY,
};
pub use place::PackPosition;
pub use remedy::{Change, Remedy};
pub use run::{TrialResult, run_trials};
pub(crate) use sample_points::SamplePoints;
pub use settings::{
    CLUB_WAIVER, ClubWaiver, LEVEL_SETTING, LIMIT_SETTING, LevelSetting, LimitSetting, OFF_SETTING,
    OffSetting, PACK_SETTING, PackLock, SETTINGS, Settings, SourceLocation, Spanned, normalize_path,
};
pub use steps::CheckStep;
pub use target::Target;
pub use trial::{TRIAL_DAY, Trial, TrialValue, specimens};
pub use trial_run::TrialRun;
pub use uncertain_inputs::{SpreadInput, SpreadSource};
pub(crate) use uncertain_inputs::{UncertainInput, in_its_unit, uncertain_inputs};
pub use uncertainty::{Amount, Uncertainty};
pub use variants::Variants;
pub use verdict::Verdict;

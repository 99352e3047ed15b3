//! Rule packs: limits, derived quantities, rules and their trials, read from YAML and checked when they are loaded.

mod active;
mod built_in;
mod code;
mod compile;
mod coverage;
mod digest;
mod inspect;
mod judge;
mod library;
mod own_rules;
mod pack;
mod place;
mod remedy;
mod settings;
mod target;
mod trial;
mod trial_run;
mod variants;

pub use active::{ActiveDerived, ActiveLimit, ActivePack, Places, Rule};
pub use built_in::{BUILT_IN, BuiltIn};
pub use code::{Applies, Ask};
pub use coverage::{Coverage, Lacking, coverage};
pub use inspect::{Remark, inspect};
pub use judge::{Judgement, Margin, judge, judge_as_drawn};
pub use library::{Library, More, citation};
pub use own_rules::{AboutOwnRule, OwnRule};
pub use pack::{ASK, DERIVED, HoldPoint, LIMIT, Level, Moment, PACK, REMEDY, RULE, TRIAL, Verdict};
pub use place::Place;
pub use remedy::{Change, Remedy};
pub use settings::{
    CLUB_WAIVER, ClubWaiver, LEVEL_SETTING, LIMIT_SETTING, LevelSetting, LimitSetting, SETTINGS, Settings,
    SourceLocation, Spanned, normalize_path,
};
pub use target::Target;
pub use trial::{TRIAL_DAY, Trial, TrialResult, run_trials, specimens};
pub use trial_run::TrialRun;
pub use variants::{Size, Variants};

//! Rule packs: limits, derived quantities, rules and their trials, read from YAML and checked when they are loaded.

mod judge;
mod library;
mod pack;
mod remedy;
mod settings;
mod target;
mod trial;

pub use judge::{Judgement, Margin, Verdict, judge, tolerances_hold};
pub use library::{BUILT_IN, Library, LimitInForce, PackInForce, Rule, citation};
pub use pack::{DERIVED, HoldPoint, LIMIT, Level, PACK, REMEDY, RULE, TRIAL};
pub use remedy::{Change, Remedy};
pub use settings::{
    CLUB_WAIVER, ClubWaiver, LEVEL_SETTING, LIMIT_SETTING, LevelSetting, LimitSetting, SETTINGS, Said,
    Settings, Written, tidy,
};
pub use target::Target;
pub use trial::{Expectation, Trial, TrialResult, run_trials, specimens};

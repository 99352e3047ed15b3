//! Rule packs: limits, derived quantities, rules and their trials, read from YAML and checked when they are loaded.

mod built_in;
mod code;
mod compile;
mod coverage;
mod digest;
mod in_force;
mod inspect;
mod judge;
mod library;
mod pack;
mod place;
mod remedy;
mod settings;
mod target;
mod trial;
mod variants;

pub use built_in::{BUILT_IN, BuiltIn};
pub use code::{Applies, Ask};
pub use coverage::{Coverage, Lacking, coverage};
pub use in_force::{DerivedInForce, LimitInForce, PackInForce, Places, Rule};
pub use inspect::{Remark, inspect};
pub use judge::{Judgement, Margin, Verdict, judge, judge_as_drawn};
pub use library::{Library, More, citation};
pub use pack::{ASK, DERIVED, HoldPoint, LIMIT, Level, PACK, REMEDY, RULE, TRIAL};
pub use place::Place;
pub use remedy::{Change, Remedy};
pub use settings::{
    CLUB_WAIVER, ClubWaiver, LEVEL_SETTING, LIMIT_SETTING, LevelSetting, LimitSetting, SETTINGS, Said,
    Settings, Written, tidy,
};
pub use target::Target;
pub use trial::{Expectation, TRIAL_DAY, Trial, TrialResult, run_trials, specimens};
pub use variants::{Size, Variants};

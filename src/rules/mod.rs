//! Rule packs: limits, derived quantities, rules and their trials, read from YAML and checked when they are loaded.

mod code;
mod judge;
mod library;
mod pack;
mod remedy;
mod target;
mod trial;

pub use code::{Applies, Ask};
pub use judge::{Judgement, Margin, Verdict, judge, tolerances_hold};
pub use library::{BUILT_IN, Library, LimitInForce, PackInForce, Rule, citation};
pub use pack::{ASK, DERIVED, HoldPoint, LIMIT, Level, PACK, REMEDY, RULE, TRIAL};
pub use remedy::{Change, Remedy};
pub use target::Target;
pub use trial::{Expectation, Trial, TrialResult, run_trials, specimens};

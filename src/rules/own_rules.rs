//! The rules that the program itself has: about what people keep beside a design, and about files that cannot be read.

use super::hold_point::HoldPoint;
use super::level::Level;

/// What is said of a rule that the program itself has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AboutOwnRule {
    /// The group that it is listed under, as a rule of a pack is under its pack.
    pub pack: &'static str,
    /// How grave it is, where no settings say otherwise.
    pub level: Level,
    /// Whether it is so grave whatever settings say: it guards that what was reviewed is what is told, and silence would pass
    /// for a review.
    pub fixed: bool,
    /// The step that waits for it; `None` where that is the step that the finding is about.
    pub before: Option<HoldPoint>,
    /// What is so where it is kept, in a sentence.
    pub title: &'static str,
    /// Why it matters.
    pub why: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

/// Declares the rules: name, group, level, whether that is fixed, step, title, why, source.
macro_rules! own_rules {
    ($(
        $(#[doc = $doc:literal])+
        $rule:ident = $code:literal of $pack:literal, $([$fixed:ident])? $level:ident $(before $before:ident)? {
            $title:literal, $why:expr, $source:expr
        }
    )+) => {
        $crate::words! {
            /// A rule that the program itself has. Its word is its name in reports.
            pub enum OwnRule {
                $( $(#[doc = $doc])+ $rule = $code, )+
            }
        }

        impl OwnRule {
            /// What is said of it.
            #[must_use]
            pub const fn about(self) -> AboutOwnRule {
                match self {
                    $( Self::$rule => AboutOwnRule {
                        pack: $pack,
                        level: Level::$level,
                        fixed: own_rules!(@fixed $($fixed)?),
                        before: own_rules!(@before $($before)?),
                        title: $title,
                        why: $why,
                        source: $source,
                    }, )+
                }
            }
        }
    };
    (@fixed) => { false };
    (@fixed fixed) => { true };
    (@before) => { None };
    (@before $point:ident) => { Some(HoldPoint::$point) };
}

const NOBODY_LOOKS: &str = "What is waived or passed over and looked at by nobody hides the next mistake.";
const WAIVERS: &str = "how waivers and baselines work";
const HOLD_POINTS: &str = "how hold points work";

own_rules! {
    /// A waiver names a rule that there is not.
    WaiverNamesNoRule = "waiver-names-no-rule" of "waivers", Warning before Parts {
        "Every waiver names a rule that is in force",
        "A waiver of no rule answers for nothing, and what it was meant for stands.", WAIVERS
    }
    /// A waiver covers no finding.
    WaiverUnused = "waiver-unused" of "waivers", Warning before Parts {
        "Every waiver covers a finding", NOBODY_LOOKS, WAIVERS
    }
    /// A waiver lacks what the settings ask for.
    WaiverIncomplete = "waiver-incomplete" of "waivers", Warning before Parts {
        "Every waiver says what the club asks of it", NOBODY_LOOKS, WAIVERS
    }
    /// The last day of a waiver is over.
    WaiverExpired = "waiver-expired" of "waivers", Warning before Parts {
        "Every waiver is within its time", NOBODY_LOOKS, WAIVERS
    }
    /// What a waiver covers is worse than it was.
    WaiverOutgrown = "waiver-outgrown" of "waivers", Warning before Parts {
        "What is waived is no worse than it was when it was waived", NOBODY_LOOKS, WAIVERS
    }
    /// A waiver of something measured states no margin.
    WaiverUnbound = "waiver-unbound" of "waivers", Warning before Parts {
        "A waiver of something measured states the margin that was waived",
        "Without its margin a waiver would cover the finding also when it gets worse.", WAIVERS
    }
    /// The baseline knows a finding that is not found any more.
    BaselineStale = "baseline-stale" of "baseline", Warning before Parts {
        "What the baseline knows is still found", NOBODY_LOOKS, WAIVERS
    }
    /// The baseline knows a finding that has a margin, and does not say which.
    BaselineUnbound = "baseline-unbound" of "baseline", Warning before Parts {
        "What the baseline knows of something measured, it knows at its margin",
        "Without its margin a baseline would pass over a finding also when it gets worse.", WAIVERS
    }
    /// A rule was switched off until a day that is over.
    SwitchedOffExpired = "switched-off-expired" of "settings", Warning before Parts {
        "Every rule that is switched off is within its time", NOBODY_LOOKS, WAIVERS
    }
    /// A name under `codes` is no pack in force.
    CodeInForce = "code-in-force" of "codes", [fixed] Error before Parts {
        "Every code that is named is a pack in force",
        "A code that is named and not in force is a code by which nothing was judged.", "how codes are switched on"
    }
    /// A value changed after the step that rests on it was passed.
    PassedValueChanged = "passed-value-changed" of "hold points", [fixed] Error {
        "What a passed hold point rests on is as it was",
        "What was built is as it was when the step was passed. Write down what was built; or change what is built, see \
         that the step is clear, and pass it again.", HOLD_POINTS
    }
    /// The record of a passed step is not as it was written.
    PassedRecordAltered = "passed-record-altered" of "hold points", [fixed] Error {
        "The record of a passed hold point is as it was written",
        "A record that was edited no longer says what was looked at. Pass the step again.", HOLD_POINTS
    }
    /// Rules wait for values that are not written down, or that make no sense together.
    NotWrittenDown = "not-written-down" of "values", [fixed] Error {
        "Every value that a rule needs is written down, and makes sense with the others",
        "What is not known cannot be judged, and silence is not approval. One line stands for all the rules that wait for the \
         values of a part.", "how reviews work"
    }
    /// A file cannot be read.
    Unreadable = "unreadable" of "files", [fixed] Error {
        "Every file that was named can be read and reviewed",
        "What cannot be read is not reviewed, and silence is not approval.", "how reviews work"
    }
}

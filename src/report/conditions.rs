//! Under which conditions a review came to what it says, in lines: for forms that have no section for each.

use crate::review::DesignReview;
use crate::yaml::clean_line;

/// What is said of a value that is taken on its author's word.
pub(super) const ON_WORD: &str = "taken on the author's word";
/// What is said of what settings change.
pub(super) const DEPARTS: &str = "not as the packs have it";

/// What is not as the packs have it, what is taken on the author's word, what was passed before, and by which codes the rocket
/// was judged.
pub(super) fn conditions(review: &DesignReview) -> Vec<String> {
    let departures = review.departures.iter().map(|one| format!("{DEPARTS}: {one}"));
    let words = review.on_word.iter().map(|one| format!("{ON_WORD}: {one}"));
    let passed = review.passed.iter();
    let passed = passed.map(|one| format!("{} passed on {} by {}", one.point, one.date, clean_line(&one.by)));
    let mut all: Vec<String> = departures.chain(words).chain(passed).collect();
    let named = |judged: bool| {
        let mine =
            review.packs.iter().filter(|pack| pack.judged == judged).map(|pack| clean_line(&pack.name));
        mine.map(|name| name.into_owned()).collect::<Vec<_>>().join(", ")
    };
    if !review.packs.is_empty() {
        let or_none = |names: String| if names.is_empty() { "none".to_owned() } else { names };
        all.push(format!("codes: judged by {}; not by {}", or_none(named(true)), or_none(named(false))));
    }
    all
}

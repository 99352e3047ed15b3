//! Rules that were switched off for a time, and the time is over: they judge again, and a finding says so.

use super::Options;
use super::finding::{About, Finding};
use crate::design::Design;
use crate::rules::{DepartureKind, Library, OwnRule};

/// A finding for each rule that is not switched off any more, and whose settings still say that it is.
pub(super) fn complaints(design: &Design, library: &Library, options: &Options) -> Vec<Finding> {
    let over = library
        .departures
        .iter()
        .filter(|one| one.kind == DepartureKind::Off && !one.holds_on(options.today))
        .filter(|one| {
            // Of a rule that is not asked about nothing is said.
            let rule = library.rule(&one.of);
            rule.is_some_and(|rule| {
                !rule.is_off(options.today) && options.before.is_none_or(|before| rule.before <= before)
            })
        });
    over.map(|one| {
        let until = one.until.map(|until| until.to_string()).unwrap_or_default();
        let words =
            format!("`{}` was switched off until {until}, and judges again ({})", one.of, one.at.in_words());
        let about = About::whole(design, format!("off\0{}", one.of));
        Finding::of_own_rule(OwnRule::SwitchedOffExpired, words, about)
    })
    .collect()
}

//! Which end of its bay a lid closes.

use super::{EvalContext, Outcome};
use crate::design::{Lid, Section, section};
use crate::vocabulary::Id;

/// Words in the name of a lid that say that it closes the fore end.
const FORE: [&str; 8] = ["fore", "forward", "front", "top", "upper", "up", "head", "nose"];
/// Words that say that it closes the aft end.
const AFT: [&str; 7] = ["aft", "rear", "back", "bottom", "lower", "down", "tail"];

/// Whether a lid closes the fore end of its section's bay: by its name, or, of two lids, by the order in which they are written,
/// the fore one first as all parts of a rocket are.
///
/// # Errors
/// When neither tells.
pub(super) fn closes_fore(ctx: &EvalContext<'_>, section: Id<Section>, id: Id<Lid>) -> Outcome<bool> {
    let by_name = |id: Id<Lid>| named_fore(&ctx.name(id));
    if let Some(fore) = by_name(id) {
        return Ok(fore);
    }
    let all: Vec<Id<Lid>> = ctx.entities(section, section::lids)?.iter().collect();
    match all.as_slice() {
        [first, second] => {
            let other = if *first == id { *second } else { *first };
            Ok(by_name(other).map_or(*first == id, |fore| !fore))
        }
        _ => Err(ctx.refuse("a lid is named `fore` or `aft`, or two lids are written, the fore one first")),
    }
}

/// What a name says of the end: `None` where it says nothing, or both.
fn named_fore(name: &str) -> Option<bool> {
    let name = name.to_lowercase();
    let says = |known: &[&str]| name.split(|c: char| !c.is_alphanumeric()).any(|word| known.contains(&word));
    match (says(&FORE), says(&AFT)) {
        (true, false) => Some(true),
        (false, true) => Some(false),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::named_fore;

    #[test]
    fn a_name_says_which_end_it_is() {
        for (name, end) in [
            ("fore", Some(true)),
            ("aft", Some(false)),
            ("Upper lid", Some(true)),
            ("lid_bottom", Some(false)),
            ("red", None),
            ("top_to_bottom", None),
            ("afternoon", None),
        ] {
            assert_eq!(named_fore(name), end, "{name}");
        }
    }
}

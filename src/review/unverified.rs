//! What a design says that is taken on its author's word.

use std::fmt;

use super::places::{FindingPlace, field_place};
use crate::design::{GRANTED, ON_WORD, granted_lines};
use crate::model::Model;
use crate::vocabulary::State;
use crate::yaml::{Source, Span, clean_line, shorten};

/// A longer text than this is cut.
const LONGEST: usize = 200;

/// A value that is taken on the author's word.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OnWord {
    /// Its path.
    pub key: String,
    /// What is written, on one line.
    pub says: String,
    /// Where.
    pub place: FindingPlace,
}

impl fmt::Display for OnWord {
    /// In words, on one line, with nothing in it that could change how a terminal shows it.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}: {}", clean_line(&self.key), clean_line(&self.says))
    }
}

/// All that a design says on its author's word, in the order of the file.
pub(super) fn on_word(model: &Model<'_>) -> Vec<OnWord> {
    let design = model.design();
    let mut all = Vec::new();
    for (id, entity) in design.store.all() {
        for key in ON_WORD.iter().filter(|key| key.entity_type == entity.entity_type) {
            let slot = entity.slot(key.slot);
            let (State::Known(_), Some(span)) = (&slot.state, slot.place) else { continue };
            let Some(place) = field_place(model, id, key.slot) else { continue };
            let words: Vec<&str> = design.source.slice(span).split_whitespace().collect();
            let says = shorten(&words.join(" "), LONGEST).to_string();
            all.push(OnWord { key: design.store.field_path(id, key.slot), says, place });
        }
    }
    all.extend(granted(&design.source));
    all
}

/// The lines whose value nobody was asked for and nobody has looked at since, as one entry at the first of them.
fn granted(source: &Source) -> Option<OnWord> {
    let text = source.text();
    let count = granted_lines(text);
    let start = text
        .find(&format!("{GRANTED}\n"))
        .or_else(|| text.ends_with(GRANTED).then(|| text.len() - GRANTED.len()))?;
    let span = Span::new(start, start + GRANTED.len());
    let key = if count == 1 { "1 line".to_owned() } else { format!("{count} lines") };
    let says =
        "a usual value that nobody was asked for; check it on the rocket, and take the mark out".to_owned();
    Some(OnWord { place: FindingPlace { key: key.clone(), span, label: GRANTED.to_owned() }, key, says })
}

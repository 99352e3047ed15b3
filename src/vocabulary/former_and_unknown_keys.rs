//! Keys that are not those of a type: former names, what is not covered yet, and misspelled ones.

use super::identity::EntityId;
use super::read::Reader;
use super::store::State;
use super::suggest::{listed, suggest};
use super::{EntityType, Field, Need};
use crate::yaml::{Edit, NodeId, Problem, Span};

/// What is wrong with a key that has another name now.
fn now_called(field: &Field, word: &str, span: Span) -> Problem {
    let (old, new) = (field.formerly.unwrap_or(word), field.name);
    let help = if old == word {
        format!("write `{new}`")
    } else {
        format!("write `{new}`: a program that writes YAML 1.1 has made `{word}` of `{old}`")
    };
    Problem::at(span, format!("`{old}` is now called `{new}`")).help(help)
}

impl Reader<'_> {
    /// The field of a key that has another name now, with its slot; none where that name stands in the map too.
    pub(super) fn former_key(
        &mut self,
        entity_type: &'static EntityType,
        map: NodeId,
        word: &str,
        span: Span,
    ) -> Option<(u16, &'static Field)> {
        let (slot, field) = entity_type.renamed(word)?;
        let mut keys = self.tree.entries(map).iter().filter_map(|e| self.tree.scalar(e.key));
        let is_alone = keys.all(|key| {
            key.value == word
                || key.value != field.name && entity_type.renamed(&key.value).is_none_or(|(s, _)| s != slot)
        });
        is_alone.then(|| {
            let edit = Edit { span, text: field.name.to_owned() };
            self.problem(Problem { edit: Some(Box::new(edit)), ..now_called(field, word, span) });
            (slot, field)
        })
    }

    /// Whether a key is the other half of a number, as in `{is: 8,5 ft}`, where the comma parts two entries: then this is told, and of
    /// the value before it nobody knows what it is.
    pub(super) fn is_cut_number(&mut self, id: EntityId, word: &str, span: Span) -> bool {
        let digits = word.chars().take_while(char::is_ascii_digit).count();
        let before = self.source.text().get(..span.range().start).and_then(|before| before.strip_suffix(','));
        let Some(before) = before.filter(|_| digits > 0) else { return false };
        let whole = before.get(before.trim_end_matches(|c: char| c.is_ascii_digit()).len()..).unwrap_or("");
        if whole.is_empty() {
            return false;
        }
        let help = match digits {
            3 => format!(
                "a number in braces has no comma: write `{whole}{word}`, or `{whole}.{word}` where that is meant"
            ),
            _ => format!("a decimal number has a point and no comma: `{whole}.{word}`"),
        };
        let slots = self.store.entities.get_mut(id.index()).map(|entity| entity.slots.iter_mut());
        let value =
            slots.into_iter().flatten().find(|slot| slot.place.is_some_and(|at| at.end + 1 == span.start));
        if let Some(value) = value {
            value.state = State::Wrong;
        }
        self.problem(Problem::at(span, "this comma parts two entries in braces").help(help));
        true
    }

    pub(super) fn unknown_key(&mut self, entity_type: &'static EntityType, word: &str, span: Span) {
        if let Some(refused) = entity_type.refused.iter().find(|r| r.name == word) {
            self.problem(Problem::at(span, format!("`{word}` is not covered yet: {}", refused.why)));
            return;
        }
        if let Some((_, field)) = entity_type.renamed(word) {
            let twice = format!("`{}` stands here under both names: remove one of them", field.name);
            self.problem(now_called(field, word, span).help(twice));
            return;
        }
        let written = entity_type.fields.iter().filter(|f| f.need != Need::Implied);
        let names: Vec<&str> = written.map(|f| f.name).collect();
        let is_hard_blank = |c: char| c.is_whitespace() && !c.is_ascii();
        let help = match suggest(word, names.iter().copied()) {
            Some(near) if word.contains(is_hard_blank) => {
                format!(
                    "a no-break space, which looks like any other, is part of this key: write `{near}` anew"
                )
            }
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("it may have {}", listed(&names)),
        };
        self.problem(Problem::at(span, format!("{} has no `{word}`", entity_type.with_article())).help(help));
    }
}

//! Keys that are not those of a type: former names, what is not covered yet, and misspelled ones.

use super::read::Reader;
use super::suggest::{listed, suggest};
use super::{EntityType, Field, Need};
use crate::text::{Edit, NodeId, Problem, Span};

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
        let help = match suggest(word, names.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("it may have {}", listed(&names)),
        };
        self.problem(Problem::at(span, format!("{} has no `{word}`", entity_type.with_article())).help(help));
    }
}

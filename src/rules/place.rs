//! Where the expressions of a pack stand in its file.

use std::ops::Range;
use std::sync::Arc;

use crate::yaml::{NodeId, Source, Span, Tree};

/// Where a text of a pack stands in its file, letter by letter where it can be known. Its lines are found when they are
/// asked for: a review of a rocket asks for none.
#[derive(Clone, Debug, Default)]
pub struct PackPosition(Option<(Arc<Source>, Arc<Tree>, NodeId)>);

impl PackPosition {
    pub(super) fn of(tree: &Arc<Tree>, source: &Arc<Source>, node: NodeId) -> Self {
        Self(Some((Arc::clone(source), Arc::clone(tree), node)))
    }

    /// Some bytes of the text as it is read, its lines joined; none where there is no text.
    #[must_use]
    pub fn text(&self, range: &Range<usize>) -> Option<&str> {
        let (_, tree, node) = self.0.as_ref()?;
        tree.scalar(*node)?.value.get(range.clone())
    }

    /// The bytes in the file of some bytes of the text; all of the text where they cannot be distinguished.
    #[must_use]
    pub fn span(&self, range: &Range<usize>) -> Span {
        let Some((source, tree, node)) = &self.0 else { return Span::default() };
        let whole = tree.span(*node);
        let Some(lines) = tree.content_lines(source, *node) else { return whole };
        let at = |offset: usize| {
            let before = |line: &&(u32, u32)| line.0 as usize <= offset;
            let (text, file) = lines.iter().take_while(before).last().copied().unwrap_or((0, whole.start));
            file as usize + offset - text as usize
        };
        if range.is_empty() {
            // At the end of the text there is nothing to underline but its last character.
            let to = range.end.checked_sub(1).map_or_else(|| at(0), |last| at(last) + 1);
            return Span::new(to.saturating_sub(1), to);
        }
        Span::new(at(range.start), at(range.end - 1) + 1)
    }
}

//! What is wrong with packs while they are compiled.

use std::sync::Arc;

use crate::yaml::{Problem, Source};

/// What is wrong with the packs, each with its file.
pub(super) struct Problems(pub(super) Vec<(Arc<Source>, Problem)>);

impl Problems {
    pub(super) fn take(&mut self, source: &Arc<Source>, problems: impl IntoIterator<Item = Problem>) {
        self.0.extend(problems.into_iter().map(|problem| (Arc::clone(source), problem)));
    }
}

//! What lies around the documents of an editor. The commands give it, since they alone look at files.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::review::{Options, Passes};
use crate::rules::Library;
use crate::yaml::{Problem, Source};

/// What a file is for the review.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// A design.
    Design,
    /// A club's settings.
    Settings,
    /// A rule pack.
    Pack,
    /// A table of the trade.
    Table,
    /// None of the review's business.
    Other,
}

/// What lies around the documents: settings, packs, records and designs on the disk.
pub trait Workspace {
    /// What a file of a name and a text is.
    fn role(&self, path: &Path, text: &str) -> Role;

    /// A path from the top.
    fn whole(&self, path: &Path) -> PathBuf;

    /// What is in force for a file, by a number that holds until [`Workspace::forget`].
    fn number(&mut self, path: &Path) -> usize;

    /// The packs that are in force under a number.
    fn library(&self, number: usize) -> Option<&Library>;

    /// How a design is reviewed, where others are reviewed as `common` says.
    fn options(&self, number: usize, design: &Path, common: &Options) -> Options;

    /// What is wrong with settings and packs that were found so far, each with the path of its file.
    fn problems(&self) -> Vec<(PathBuf, Arc<Source>, Problem)>;

    /// The packs as they would be with another text in the place of a file of settings, a pack or a table; and what would be wrong
    /// with any of them.
    fn library_with(&self, path: &Path, role: Role, source: Source)
    -> (Library, Vec<(Arc<Source>, Problem)>);

    /// The record of passed hold points beside a design; none where there is none that can be read, which is then a problem.
    fn record(&mut self, design: &Path) -> Option<Passes>;

    /// The designs of a folder.
    fn designs(&mut self, folder: &Path) -> Vec<PathBuf>;

    /// A file as it is on the disk.
    fn open(&self, path: &Path) -> Option<Source>;

    /// Forgets all settings and packs: the next question looks at the disk again.
    fn forget(&mut self);
}

//! What papers are bound to, and whether they still are.

use std::fmt;

use crate::review::{DesignReview, digest};
use crate::rules::Library;

/// The first words of the line that binds papers.
const LINE: &str = "holdpoint-papers/1";
/// What stands in place of the papers' own digest while it is worked out.
const OPEN: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// What papers are bound to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bound {
    /// SHA-256 of the design's bytes, in hexadecimal.
    pub design: String,
    /// SHA-256 of the rule packs in force.
    pub packs: String,
    /// The day they were made on.
    pub day: String,
    /// The version of the program.
    pub version: String,
}

/// What no longer fits between papers and a design.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Mismatch {
    /// The file is no papers of this program.
    NoPapers,
    /// The papers were changed after they were written.
    Altered,
    /// The design is another, or was changed.
    Design,
    /// The rule packs are others.
    Packs,
}

impl fmt::Display for Mismatch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NoPapers => "this is no file of papers: the line that binds them to a design is not in it",
            Self::Altered => "the papers were changed after they were written",
            Self::Design => "the design is not the one that the papers were written for: its bytes differ",
            Self::Packs => "the rules in force are not those that the papers were written under",
        })
    }
}

impl Bound {
    /// What the papers of a review are bound to.
    #[must_use]
    pub fn of(review: &DesignReview, library: &Library) -> Self {
        Self {
            design: review.digest.clone(),
            packs: library.digest(),
            day: review.today.to_string(),
            version: env!("CARGO_PKG_VERSION").to_owned(),
        }
    }

    /// The line that binds, with the papers' own digest still open.
    pub(super) fn line(&self) -> String {
        format!(
            "{LINE} design={} packs={} day={} version={} papers={OPEN}",
            self.design, self.packs, self.day, self.version
        )
    }

    /// The papers with their own digest in its place. A slip of the pen is found out so; a forger could do the same sum.
    pub(super) fn seal(&self, text: &str) -> String {
        text.replacen(OPEN, &digest(text.as_bytes()), 1)
    }

    /// What papers say that they are bound to, and whether they are as they were written.
    ///
    /// # Errors
    /// When the text is no papers.
    pub fn read(papers: &str) -> Result<(Self, bool), Mismatch> {
        let at = papers.find(LINE).ok_or(Mismatch::NoPapers)?;
        let line = papers.get(at..).unwrap_or("").lines().next().unwrap_or("");
        let field = |name: &str| -> Result<String, Mismatch> {
            let value = line.split(&format!("{name}=")).nth(1).ok_or(Mismatch::NoPapers)?;
            let end = |c: char| !(c.is_ascii_alphanumeric() || matches!(c, '.' | '-'));
            Ok(value.split(end).next().unwrap_or("").to_owned())
        };
        let bound = Self {
            design: field("design")?,
            packs: field("packs")?,
            day: field("day")?,
            version: field("version")?,
        };
        let own = field("papers")?;
        if own.len() != OPEN.len() {
            return Err(Mismatch::NoPapers);
        }
        let open = papers.replacen(&own, OPEN, 1);
        Ok((bound, digest(open.as_bytes()) == own))
    }

    /// What does not fit between some papers and what they should be bound to.
    #[must_use]
    pub fn against(&self, papers: &str) -> Vec<Mismatch> {
        match Self::read(papers) {
            Err(mismatch) => vec![mismatch],
            Ok((said, whole)) => {
                let mut found = Vec::new();
                if !whole {
                    found.push(Mismatch::Altered);
                }
                if said.design != self.design {
                    found.push(Mismatch::Design);
                }
                if said.packs != self.packs {
                    found.push(Mismatch::Packs);
                }
                found
            }
        }
    }
}

//! One number for the rules in force: papers and records are bound to it.

use sha2::{Digest, Sha256};

use super::library::Library;

impl Library {
    /// SHA-256 in hexadecimal of every pack in force: its text, and its limits as they count; and of every table of a club. A changed
    /// pack, an added one or a limit that a club set otherwise gives another.
    #[must_use]
    pub fn digest(&self) -> String {
        let mut hash = Sha256::new();
        let mut say = |words: &str| {
            // Lengths part the words, so that no two lists of words read alike.
            hash.update(words.len().to_le_bytes());
            hash.update(words.as_bytes());
        };
        for pack in &self.packs {
            say(&pack.name);
            say(pack.source.text());
            for limit in &pack.limits {
                say(&limit.name);
                say(&format!("{:?} {:e}", limit.value.dimension, limit.value.si));
            }
        }
        for table in self.tables.of_club() {
            say(table.text());
        }
        for rule in &self.rules {
            say(&rule.name);
            say(rule.level.name());
        }
        hash.finalize().iter().map(|b| format!("{b:02x}")).collect()
    }
}

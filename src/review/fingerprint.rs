//! Fingerprints of findings, which baselines and comparisons know them by, and digests of bytes.

use sha2::{Digest, Sha256};

/// The fingerprint of a finding: the rule and the subject's path, so that it survives moved lines and changed values.
pub(super) fn fingerprint(rule: &str, subject: &str) -> String {
    let mut hash = Sha256::new();
    for part in ["holdpoint\0", rule, "\0", subject] {
        hash.update(part.as_bytes());
    }
    hexadecimal(hash.finalize().first_chunk::<8>().map_or(&[], |first| first.as_slice()))
}

/// SHA-256 in hexadecimal.
#[must_use]
pub fn digest(bytes: &[u8]) -> String {
    hexadecimal(&Sha256::digest(bytes))
}

fn hexadecimal(bytes: &[u8]) -> String {
    let digit = |value: u8| char::from_digit(u32::from(value), 16).unwrap_or_default();
    bytes.iter().flat_map(|byte| [digit(byte >> 4), digit(byte & 15)]).collect()
}

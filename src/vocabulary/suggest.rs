//! Words that were meant by misspelled ones.

/// No key, word or name of the trade is longer, in bytes.
const LONGEST_NAME: usize = 80;

/// The candidate nearest to a misspelled word, when one is near; the first of equals.
#[must_use]
pub fn suggest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // The comparison takes time with the product of the lengths, and no name is this long.
    if word.len() > LONGEST_NAME {
        return None;
    }
    let lower = word.to_lowercase().replace([' ', '-'], "_");
    let mut best: Option<(usize, &str)> = None;
    for candidate in candidates {
        let other = candidate.to_lowercase().replace([' ', '-'], "_");
        let mut distance = strsim::damerau_levenshtein(&lower, &other);
        if distance > 1
            && lower.len() > 3
            && (other.starts_with(&lower) || lower.starts_with(&other))
            && other.len() > 3
        {
            distance = 1;
        }
        // The same words in another order.
        if distance > 1 && sorted_words(&lower) == sorted_words(&other) {
            distance = 1;
        }
        let limit = (lower.chars().count().max(other.chars().count()) / 3).max(1);
        if distance <= limit && best.is_none_or(|(d, _)| distance < d) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

fn sorted_words(name: &str) -> Vec<&str> {
    let mut words: Vec<&str> = name.split('_').collect();
    words.sort_unstable();
    words
}

pub(super) fn listed(words: &[&str]) -> String {
    words.iter().map(|w| format!("`{w}`")).collect::<Vec<_>>().join(", ")
}

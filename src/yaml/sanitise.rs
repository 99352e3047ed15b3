//! Keeping a file's control characters away from the terminal.

use std::borrow::Cow;

/// True for a character that can change how a terminal or an editor shows the text around it.
pub(crate) fn is_hostile(c: char) -> bool {
    (c.is_control() && c != '\n' && c != '\t')
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{61c}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{2028}' | '\u{2029}')
}

/// The text with every hostile character made visible as U+FFFD.
#[must_use]
pub fn clean(text: &str) -> Cow<'_, str> {
    if text.chars().any(is_hostile) {
        Cow::Owned(text.chars().map(|c| if is_hostile(c) { '\u{fffd}' } else { c }).collect())
    } else {
        Cow::Borrowed(text)
    }
}

/// The text on one line: hostile characters made visible, line ends and tabs turned into spaces, so that text from a
/// file cannot pass for a line of the report.
#[must_use]
pub fn clean_line(text: &str) -> Cow<'_, str> {
    let apart = |c: char| is_hostile(c) || c == '\n' || c == '\t';
    if text.chars().any(apart) {
        let visible = |c: char| match c {
            '\n' | '\t' => ' ',
            c if is_hostile(c) => '\u{fffd}',
            c => c,
        };
        Cow::Owned(text.chars().map(visible).collect())
    } else {
        Cow::Borrowed(text)
    }
}

/// The text, cut after so many characters, with an ellipsis where something is left out.
#[must_use]
pub fn shorten(text: &str, most: usize) -> Cow<'_, str> {
    match text.char_indices().nth(most) {
        None => Cow::Borrowed(text),
        Some((end, _)) => Cow::Owned(format!("{}…", text.get(..end).unwrap_or(text))),
    }
}

/// A report for people in which no line passes for a command of a program that watches the output: GitHub's runner takes
/// a line that starts with two colons for one, and `##[` anywhere.
#[must_use]
pub fn no_commands(report: String) -> String {
    let is_command = |line: &str| line.trim_start().starts_with("::") || line.contains("##[");
    if !report.lines().any(is_command) {
        return report;
    }
    let mut safe = String::with_capacity(report.len() + 8);
    for line in report.split_inclusive('\n') {
        let start = line.len() - line.trim_start().len();
        let (indent, words) = line.split_at(start);
        safe.push_str(indent);
        match words.strip_prefix("::") {
            Some(rest) => safe.push_str(&format!(": :{}", rest.replace("##[", "## ["))),
            None => safe.push_str(&words.replace("##[", "## [")),
        }
    }
    safe
}

/// JSON text with every hostile character of its strings written as an escape; a JSON reader gets the same document.
#[must_use]
pub fn clean_json(text: String) -> String {
    // What JSON itself forbids raw is escaped already; a line end stands between values only.
    if !text.chars().any(is_hostile) {
        return text;
    }
    let mut clean = String::with_capacity(text.len());
    for c in text.chars() {
        if is_hostile(c) {
            // Every hostile character lies in the basic plane, so four digits say it.
            clean.push_str(&format!("\\u{:04x}", u32::from(c)));
        } else {
            clean.push(c);
        }
    }
    clean
}

/// The text with every hostile character replaced by a visible one of the same length in bytes, so that spans stay right.
#[must_use]
pub fn clean_same_length(text: &str) -> Cow<'_, str> {
    if text.chars().any(is_hostile) {
        let visible = |c: char| match (is_hostile(c), c.len_utf8()) {
            (false, _) => c,
            // A carriage return ends a line of many files and shows nothing.
            (true, 1) if c == '\r' => ' ',
            (true, 1) => '?',
            (true, 2) => '¿',
            (true, _) => '\u{fffd}',
        };
        Cow::Owned(text.chars().map(visible).collect())
    } else {
        Cow::Borrowed(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_raw_reaches_the_terminal() {
        let hostile = "a\u{1b}[2Jb\u{9b}c\u{202e}d\u{7}\u{2028}é";
        let cleaned = clean_same_length(hostile);
        assert_eq!(cleaned.len(), hostile.len());
        assert_eq!(cleaned, "a?[2Jb¿c\u{fffd}d?\u{fffd}é");
        assert!(!clean(hostile).chars().any(is_hostile));
        assert!(matches!(clean("plain\ttext\n"), Cow::Borrowed(_)));
        assert_eq!(clean_line("a\nb\tc\u{1b}d"), "a b c\u{fffd}d");
        let json = clean_json(serde_json::to_string(hostile).unwrap_or_default());
        assert!(!json.chars().any(is_hostile), "{json}");
        assert_eq!(serde_json::from_str::<String>(&json).ok().as_deref(), Some(hostile));
    }
}

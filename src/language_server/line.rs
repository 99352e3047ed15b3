//! The line of the cursor before it is read: quotes, remarks, open braces.

/// Whether a line has a comment before the cursor.
pub(super) fn is_comment(before: &str) -> bool {
    before.trim_start().starts_with('#') || unquoted(before).any(|(at, c)| c == '#' && ends_blank(before, at))
}

/// Whether a blank stands before a byte.
pub(super) fn ends_blank(text: &str, at: usize) -> bool {
    text.get(..at).is_some_and(|before| before.ends_with([' ', '\t']))
}

/// The characters of a line outside quotes.
pub(super) fn unquoted(line: &str) -> impl Iterator<Item = (usize, char)> {
    let mut open = None;
    let mut last = ' ';
    line.char_indices().filter(move |(_, c)| {
        let before = std::mem::replace(&mut last, *c);
        match open {
            Some(quote) if quote == *c => {
                open = None;
                false
            }
            Some(_) => false,
            // A quote opens a scalar only where one may begin.
            None if matches!(c, '"' | '\'') && matches!(before, ' ' | ',' | '{' | '[') => {
                open = Some(*c);
                false
            }
            None => true,
        }
    })
}

/// A brace that is open for more lines than this is one that somebody forgot to close.
const LONGEST_BRACES: usize = 60;

/// Whether a brace or bracket is open at the end of a text: on its last line, or on one before it.
pub(super) fn is_open(before: &str) -> bool {
    let mut depth = 0_i32;
    before.lines().rev().take(LONGEST_BRACES).any(|line| {
        let remark = unquoted(line).find(|(at, c)| *c == '#' && (*at == 0 || ends_blank(line, *at)));
        let code = line.get(..remark.map_or(line.len(), |(at, _)| at)).unwrap_or(line);
        depth += unquoted(code).fold(0, |depth, (_, c)| match c {
            '{' | '[' => depth + 1,
            '}' | ']' => depth - 1,
            _ => depth,
        });
        depth > 0
    })
}

/// Where, in the part of a line before the cursor, the entry begins that the cursor is in.
pub(super) fn segment(before: &str, flow: bool) -> usize {
    if flow {
        let last = unquoted(before).filter(|(_, c)| matches!(c, '{' | '[' | ',')).last();
        let at = last.map_or(0, |(at, c)| at + c.len_utf8());
        let rest = before.get(at..).unwrap_or("");
        return at + rest.len() - rest.trim_start().len();
    }
    let mut at = before.len() - before.trim_start_matches(' ').len();
    while before.get(at..).is_some_and(|rest| rest.starts_with("- ")) {
        at += 2;
    }
    at
}

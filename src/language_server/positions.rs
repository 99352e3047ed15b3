//! Places of a text as the protocol counts them: a line, and in it code units of UTF-16 or of UTF-8.

use lsp_types::{Position, PositionEncodingKind, Range};

use crate::yaml::Span;

/// What the characters of a line are counted in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Encoding {
    /// Code units of UTF-16: what every client can do.
    #[default]
    Utf16,
    /// Bytes, where the client offers it.
    Utf8,
}

impl Encoding {
    /// Bytes where a client offers them, since they are what the rest of the program counts.
    #[must_use]
    pub fn chosen(offered: Option<&[PositionEncodingKind]>) -> Self {
        let has_bytes = offered.is_some_and(|all| all.contains(&PositionEncodingKind::UTF8));
        if has_bytes { Self::Utf8 } else { Self::Utf16 }
    }

    /// Its name in the protocol.
    #[must_use]
    pub fn kind(self) -> PositionEncodingKind {
        match self {
            Self::Utf16 => PositionEncodingKind::UTF16,
            Self::Utf8 => PositionEncodingKind::UTF8,
        }
    }

    fn units(self, c: char) -> usize {
        match self {
            Self::Utf16 => c.len_utf16(),
            Self::Utf8 => c.len_utf8(),
        }
    }
}

/// Where the lines of a text begin. The protocol ends a line at `\n`, `\r\n` and a lone `\r`.
#[derive(Clone, Debug, Default)]
pub struct Lines {
    starts: Vec<usize>,
}

impl Lines {
    /// The lines of a text.
    #[must_use]
    pub fn of(text: &str) -> Self {
        let bytes = text.as_bytes();
        let mut starts = vec![0];
        for (at, byte) in bytes.iter().enumerate() {
            let ends = match byte {
                b'\n' => true,
                b'\r' => bytes.get(at + 1) != Some(&b'\n'),
                _ => false,
            };
            if ends {
                starts.push(at + 1);
            }
        }
        Self { starts }
    }

    /// The number of the line, from 0, that holds a byte.
    #[must_use]
    pub fn line_at(&self, offset: usize) -> usize {
        self.starts.partition_point(|start| *start <= offset).saturating_sub(1)
    }

    /// The bytes of a line without what ends it; the end of the text for a line that there is not.
    #[must_use]
    pub fn line(&self, text: &str, number: usize) -> std::ops::Range<usize> {
        let Some(start) = self.starts.get(number).copied() else { return text.len()..text.len() };
        let next = self.starts.get(number + 1).copied().unwrap_or(text.len());
        let line = text.get(start..next).unwrap_or("");
        start..start + line.trim_end_matches(['\r', '\n']).len()
    }

    /// The byte of a position. One behind the end of its line is that end, one inside a character its beginning.
    #[must_use]
    pub fn offset(&self, text: &str, position: Position, encoding: Encoding) -> usize {
        let line = self.line(text, position.line as usize);
        let mut left = position.character as usize;
        let start = line.start;
        for (at, c) in text.get(line.clone()).unwrap_or("").char_indices() {
            let units = encoding.units(c);
            if left < units {
                return start + at;
            }
            left -= units;
        }
        line.end
    }

    /// The position of a byte; one inside a character is that of its beginning.
    #[must_use]
    pub fn position(&self, text: &str, offset: usize, encoding: Encoding) -> Position {
        let mut offset = offset.min(text.len());
        while !text.is_char_boundary(offset) {
            offset -= 1;
        }
        let number = self.line_at(offset);
        let line = self.line(text, number);
        let before = text.get(line.start..offset.min(line.end)).unwrap_or("");
        let character: usize = before.chars().map(|c| encoding.units(c)).sum();
        Position { line: whole(number), character: whole(character) }
    }

    /// The range of some bytes.
    #[must_use]
    pub fn range(&self, text: &str, span: Span, encoding: Encoding) -> Range {
        let at = |offset: u32| self.position(text, offset as usize, encoding);
        Range { start: at(span.start), end: at(span.end) }
    }
}

fn whole(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "a: µ°\r\nb: 𝄞 é x\rc: 日本\n\nend";

    fn at(line: u32, character: u32) -> Position {
        Position { line, character }
    }

    #[test]
    fn units_are_those_of_the_encoding() {
        let lines = Lines::of(TEXT);
        let find = |text: &str| TEXT.find(text).unwrap_or(usize::MAX);
        for (word, utf16, utf8) in [
            ("°", at(0, 4), at(0, 5)),
            ("𝄞", at(1, 3), at(1, 3)),
            // One character outside the basic plane is two units of UTF-16 and four bytes.
            ("é", at(1, 6), at(1, 8)),
            ("x", at(1, 8), at(1, 11)),
            ("本", at(2, 4), at(2, 6)),
            ("end", at(4, 0), at(4, 0)),
        ] {
            for (encoding, due) in [(Encoding::Utf16, utf16), (Encoding::Utf8, utf8)] {
                assert_eq!(lines.position(TEXT, find(word), encoding), due, "{word} in {encoding:?}");
                assert_eq!(lines.offset(TEXT, due, encoding), find(word), "{word} in {encoding:?}");
            }
        }
    }

    #[test]
    fn what_lies_outside_is_taken_back_into_the_text() {
        let lines = Lines::of(TEXT);
        // Behind the end of a line is its end, before the `\r\n`.
        assert_eq!(lines.offset(TEXT, at(0, 99), Encoding::Utf16), "a: µ°".len());
        assert_eq!(lines.offset(TEXT, at(99, 0), Encoding::Utf16), TEXT.len());
        // Between the two halves of a surrogate pair is before the character.
        let clef = TEXT.find('𝄞').unwrap_or(usize::MAX);
        assert_eq!(lines.offset(TEXT, at(1, 4), Encoding::Utf16), clef);
        assert_eq!(lines.position(TEXT, clef + 2, Encoding::Utf16), at(1, 3));
        assert_eq!(Lines::of("").offset("", at(3, 3), Encoding::Utf8), 0);
    }

    #[test]
    fn every_byte_of_a_character_comes_back() {
        let lines = Lines::of(TEXT);
        for encoding in [Encoding::Utf16, Encoding::Utf8] {
            let places = TEXT.char_indices().filter(|(_, c)| !matches!(c, '\r' | '\n'));
            for (offset, c) in places {
                let position = lines.position(TEXT, offset, encoding);
                assert_eq!(lines.offset(TEXT, position, encoding), offset, "{c:?} in {encoding:?}");
            }
        }
    }
}

//! JSON written straight into a text, laid out as `serde_json` lays it out (two blanks a level), with every character
//! that could change how a terminal shows the text written as an escape: see [`crate::yaml::clean_json`].

use std::fmt::Write as _;

/// A JSON text that grows.
pub(super) struct Pretty {
    out: String,
    depth: usize,
    /// Nothing stands yet in the list or object that is open.
    empty: bool,
}

impl Pretty {
    /// A value that stands so many levels deep.
    pub(super) const fn at(depth: usize) -> Self {
        Self { out: String::new(), depth, empty: true }
    }

    /// An item of a list: the line it begins on, and its value.
    pub(super) fn item(depth: usize, value: impl FnOnce(&mut Self)) -> String {
        let mut item = Self::at(depth);
        item.line();
        value(&mut item);
        item.out
    }

    pub(super) fn into_text(self) -> String {
        self.out
    }

    /// Text that is JSON already.
    pub(super) fn raw(&mut self, text: &str) {
        self.out.push_str(text);
    }

    fn line(&mut self) {
        const BLANKS: &str = "                                ";
        self.out.push('\n');
        let mut wanted = self.depth * 2;
        while wanted > 0 {
            let now = wanted.min(BLANKS.len());
            self.out.push_str(BLANKS.get(..now).unwrap_or(BLANKS));
            wanted -= now;
        }
    }

    fn next(&mut self) {
        if !self.empty {
            self.out.push(',');
        }
        self.empty = false;
        self.line();
    }

    fn inside(&mut self, signs: [char; 2], content: impl FnOnce(&mut Self)) {
        self.out.push(signs[0]);
        self.depth += 1;
        let before = std::mem::replace(&mut self.empty, true);
        content(self);
        self.depth -= 1;
        if !self.empty {
            self.line();
        }
        self.empty = before;
        self.out.push(signs[1]);
    }

    /// An object, whose keys `content` writes.
    pub(super) fn object(&mut self, content: impl FnOnce(&mut Self)) {
        self.inside(['{', '}'], content);
    }

    /// A list.
    pub(super) fn list<T>(&mut self, items: impl IntoIterator<Item = T>, mut each: impl FnMut(&mut Self, T)) {
        self.inside(['[', ']'], |p| {
            for item in items {
                p.next();
                each(p, item);
            }
        });
    }

    /// A list whose items are there already, each with the line it begins on.
    pub(super) fn list_of(&mut self, empty: bool, items: &str) {
        self.inside(['[', ']'], |p| {
            p.empty = empty;
            p.out.push_str(items);
        });
    }

    /// A key; its value is to follow.
    pub(super) fn key(&mut self, key: &'static str) -> &mut Self {
        self.next();
        self.out.push('"');
        self.out.push_str(key);
        self.out.push_str("\": ");
        self
    }

    /// A text.
    pub(super) fn text(&mut self, text: &str) {
        self.out.push('"');
        let bytes = text.as_bytes();
        let mut done = 0;
        for (at, byte) in bytes.iter().enumerate() {
            // Every character that is to be escaped begins with one of these bytes; most bytes are none of them.
            if !matches!(byte, 0..=0x1f | b'"' | b'\\' | 0x7f | 0xc2 | 0xd8 | 0xe2) {
                continue;
            }
            let Some(c) = text.get(at..).and_then(|rest| rest.chars().next()) else { continue };
            if *byte >= 0x80 && !crate::yaml::is_hostile(c) {
                continue;
            }
            self.out.push_str(text.get(done..at).unwrap_or(""));
            match c {
                '"' => self.out.push_str("\\\""),
                '\\' => self.out.push_str("\\\\"),
                '\n' => self.out.push_str("\\n"),
                '\r' => self.out.push_str("\\r"),
                '\t' => self.out.push_str("\\t"),
                '\u{8}' => self.out.push_str("\\b"),
                '\u{c}' => self.out.push_str("\\f"),
                // Every such character lies in the basic plane, so four digits say it.
                c => drop(write!(self.out, "\\u{:04x}", u32::from(c))),
            }
            done = at + c.len_utf8();
        }
        self.out.push_str(text.get(done..).unwrap_or(""));
        self.out.push('"');
    }

    /// A whole number.
    pub(super) fn count(&mut self, number: usize) {
        let _ = write!(self.out, "{number}");
    }

    /// A number; null where it is none.
    pub(super) fn number(&mut self, number: f64) {
        match serde_json::Number::from_f64(number) {
            Some(number) => drop(write!(self.out, "{number}")),
            None => self.null(),
        }
    }

    /// A truth.
    pub(super) fn truth(&mut self, truth: bool) {
        self.out.push_str(if truth { "true" } else { "false" });
    }

    /// Null.
    pub(super) fn null(&mut self) {
        self.out.push_str("null");
    }
}

#[cfg(test)]
mod tests {
    use super::Pretty;
    use crate::yaml::clean_json;

    #[test]
    fn it_writes_what_the_library_writes() {
        let texts = [
            "",
            "a \"b\" \\ \n\r\t\u{8}\u{c}\u{0}\u{1f}\u{7f}\u{85}",
            "µ ° é — … 日本 \u{61c}\u{200e}\u{202e}\u{2028}\u{2066}\u{feff}",
            "Ø½\u{600}",
        ];
        let numbers = [0.0, -0.0, 1.0, 0.1, 1e16, 1.5e300, 1e-7, -2.25, f64::NAN, f64::INFINITY];
        let mut pretty = Pretty::at(0);
        pretty.object(|p| {
            p.key("texts").list(texts, Pretty::text);
            p.key("numbers").list(numbers, Pretty::number);
            p.key("none").list([0_usize; 0], Pretty::count);
            p.key("deep").list([[1_usize, 2], [3, 4]], |p, inner| p.list(inner, Pretty::count));
            p.key("empty").object(|_| {});
            p.key("more").object(|p| {
                p.key("yes").truth(true);
                p.key("null").number(f64::NAN);
            });
        });
        let json = serde_json::json!({
            "texts": texts, "numbers": numbers, "none": [], "deep": [[1, 2], [3, 4]], "empty": {},
            "more": {"yes": true, "null": null},
        });
        assert_eq!(pretty.into_text(), clean_json(format!("{json:#}")));
    }
}

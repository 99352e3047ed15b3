//! What may be written at a place of a text that is still being written.
//!
//! A mark is put where the cursor is, and the one parser reads the text with the mark; where the text is broken elsewhere, only
//! what stands before the mark, or only the lines that hold it by their indentation. There is no second parser.

use std::ops::Range;

use super::cursor_path::{Expected, Found, MARK, Walk};
use super::line::{ends_blank, is_comment, is_open, segment, unquoted};
use crate::vocabulary::EntityType;
use crate::yaml::{Source, Tree};

/// A place in a text where something may be written.
#[derive(Clone, Debug)]
pub struct CompletionContext {
    /// What may be written there.
    pub what: Expected,
    /// The keys on the way to it.
    pub path: Vec<String>,
    /// In a rule or a derived quantity, the type that it is about.
    pub about: Option<String>,
    /// The bytes of what stands there now.
    pub word: Range<usize>,
    /// Whether it stands in braces or brackets.
    pub flow: bool,
    /// Whether the key has its colon already.
    pub has_colon: bool,
    /// How far the line is indented.
    pub indent: usize,
}

/// What may be open where the cursor is, and has to be closed for the text to be read.
const CLOSERS: [&str; 8] = ["", "}", "}}", "]", "]}", "}}}", "]}}", "}]"];

/// What may be written at a byte of a text whose root is of a type; `None` where nothing of the format may.
#[must_use]
pub fn completion_context_at(
    root: &'static EntityType,
    text: &str,
    offset: usize,
) -> Option<CompletionContext> {
    let start = text.get(..offset)?.rfind(['\n', '\r']).map_or(0, |at| at + 1);
    let end = text.get(offset..)?.find(['\n', '\r']).map_or(text.len(), |at| offset + at);
    let before = text.get(start..offset)?;
    if is_comment(before) {
        return None;
    }
    let indent = before.len() - before.trim_start_matches(' ').len();
    let flow = is_open(text.get(..offset)?);
    let mut seen = None;
    for flow in [flow, !flow] {
        let from = start + segment(before, flow);
        if seen == Some(from) {
            continue;
        }
        seen = Some(from);
        let cursor = Cursor { root, text, offset, line: start..end, from, indent, flow };
        if let Some(place) = cursor.place() {
            return Some(place);
        }
    }
    None
}

/// A cursor in a text, and the entry that it is taken to stand in.
struct Cursor<'t> {
    root: &'static EntityType,
    text: &'t str,
    offset: usize,
    line: Range<usize>,
    from: usize,
    indent: usize,
    flow: bool,
}

impl Cursor<'_> {
    fn place(&self) -> Option<CompletionContext> {
        let entry = self.text.get(self.from..self.offset)?;
        let colon = unquoted(entry).find(|(at, c)| {
            *c == ':' && entry.get(at + 1..).is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
        });
        let (word, has_colon) = match colon {
            Some((at, _)) => {
                let blank = entry.get(at + 1..)?;
                let start = self.from + at + 1 + (blank.len() - blank.trim_start().len());
                (start..self.value_end(start), false)
            }
            None => {
                let rest = self.text.get(self.offset..self.line.end)?;
                let more = rest.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(rest.len());
                let has_colon = rest.get(more..).is_some_and(|rest| rest.starts_with(':'));
                (self.from..self.offset + more, has_colon)
            }
        };
        let is_value = colon.is_some();
        // A list of names in brackets has items where a map has keys.
        let kinds: &[bool] = if is_value { &[true] } else { &[false, true] };
        for as_value in kinds {
            let mark = match (as_value, has_colon) {
                // `key:value` is no entry: the blank is needed.
                (true, _) if self.text.get(..word.start).is_some_and(|t| t.ends_with(':')) => {
                    format!(" {MARK}")
                }
                (true, _) | (false, true) => MARK.to_owned(),
                (false, false) => format!("{MARK}: ~"),
            };
            if let Some(Found { what, path, about }) = self.read(&mark, &word) {
                let (flow, indent) = (self.flow, self.indent);
                return Some(CompletionContext { what, path, about, word, flow, has_colon, indent });
            }
        }
        None
    }

    /// Where the value at the cursor ends, which begins at a byte.
    fn value_end(&self, start: usize) -> usize {
        let value = self.text.get(start..self.line.end).unwrap_or("");
        let ends = |(at, c): &(usize, char)| {
            let is_end = (*c == '#' && (*at == 0 || ends_blank(value, *at)))
                || (self.flow && matches!(c, ',' | '}' | ']'));
            is_end && start + at >= self.offset
        };
        let end = unquoted(value).find(ends).map_or(value.len(), |(at, _)| at);
        (start + value.get(..end).unwrap_or("").trim_end().len()).max(self.offset)
    }

    /// What the mark is in the first of some texts that can be read.
    fn read(&self, mark: &str, word: &Range<usize>) -> Option<Found> {
        let (head, tail) = (self.text.get(..word.start)?, self.text.get(word.end..)?);
        let holders = self.holders();
        let start = self.text.get(self.line.start..word.start)?;
        let whole = CLOSERS.iter().map(|close| format!("{head}{mark}{close}{tail}"));
        let cut = CLOSERS.iter().map(|close| format!("{head}{mark}{close}\n"));
        let bare = CLOSERS.iter().map(|close| format!("{holders}{start}{mark}{close}\n"));
        whole.chain(cut).chain(bare).find_map(|text| {
            let tree = Tree::parse(&Source::new("", text)).tree?;
            Walk::to_mark(&tree, self.root)
        })
    }

    /// The lines before the cursor's that hold it by their indentation.
    fn holders(&self) -> String {
        let mut least = self.indent;
        let mut held: Vec<&str> = Vec::new();
        for line in self.text.get(..self.line.start).unwrap_or("").lines().rev() {
            let indent = line.len() - line.trim_start_matches(' ').len();
            let words = line.trim();
            if least > 0 && indent < least && !words.is_empty() && !words.starts_with('#') {
                least = indent;
                held.push(line);
            }
        }
        held.iter().rev().map(|line| format!("{line}\n")).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::ROCKET;

    /// The place at the sign `|` of a text, in words.
    fn describe(text: &str) -> String {
        let at = text.find('|').unwrap_or(text.len());
        let text = text.replacen('|', "", 1);
        let Some(place) = completion_context_at(&ROCKET, &text, at) else { return "nothing".to_owned() };
        let word = text.get(place.word.clone()).unwrap_or("").to_owned();
        let way = place.path.join(".");
        match place.what {
            Expected::Key { entity_type, written, measured } => {
                let sort = if measured { "measure" } else { "key" };
                format!("{sort} of {} at {way}, beside {}, now `{word}`", entity_type.name, written.join(" "))
            }
            Expected::Name(entity_type) => format!("name of a {} at {way}", entity_type.name),
            Expected::Value(of, field) => {
                format!("value of {}.{} at {way}, now `{word}`", of.name, field.name)
            }
        }
    }

    #[test]
    fn keys_of_blocks() {
        let head = "holdpoint: 1\nsections:\n  nose:\n    nose_cone:\n      length: 4 in\n";
        for (tail, due) in [
            (
                "      sh|\n    mass: 1 lb\n",
                "key of nose_cone at sections.nose.nose_cone, beside length, now `sh`",
            ),
            ("      |\n", "key of nose_cone at sections.nose.nose_cone, beside length, now ``"),
            (
                "      sh|ape: cone\n",
                "key of nose_cone at sections.nose.nose_cone, beside length, now `shape`",
            ),
            ("    |\n  tail: {}\n", "key of section at sections.nose, beside nose_cone, now ``"),
            ("  |\n", "name of a section at sections"),
            ("|\n", "key of rocket at , beside holdpoint sections, now ``"),
            // The rest of the file is broken: what stands before counts.
            ("      sh|\n   x: [\n", "key of nose_cone at sections.nose.nose_cone, beside length, now `sh`"),
        ] {
            assert_eq!(describe(&format!("{head}{tail}")), due, "{tail}");
        }
    }

    #[test]
    fn keys_in_braces_that_are_open_or_closed() {
        let head = "holdpoint: 1\nsections:\n  bay:\n    vents:\n      statics: ";
        for (tail, due) in [
            ("{count: 2, dia|}\n", "key of vent at sections.bay.vents.statics, beside count, now `dia`"),
            ("{count: 2, |}\n", "key of vent at sections.bay.vents.statics, beside count, now ``"),
            ("{count: 2, |\n", "key of vent at sections.bay.vents.statics, beside count, now ``"),
            ("{|\n    mass: 1 lb\n", "key of vent at sections.bay.vents.statics, beside , now ``"),
            (
                "{diameter: 0.0|85 in, count: 2}\n",
                "value of vent.diameter at sections.bay.vents.statics.diameter, now `0.085 in`",
            ),
            ("{spaced: |\n", "value of vent.spaced at sections.bay.vents.statics.spaced, now ``"),
            (
                "{because: 'a, {b|'}\n",
                "value of vent.because at sections.bay.vents.statics.because, now `'a, {b'`",
            ),
        ] {
            assert_eq!(describe(&format!("{head}{tail}")), due, "{tail}");
        }
    }

    #[test]
    fn values_and_items() {
        for (text, due) in [
            ("holdpoint: 1\nseeks: lev|\n", "value of rocket.seeks at seeks, now `lev`"),
            ("holdpoint: 1\nseeks:|\n", "value of rocket.seeks at seeks, now ``"),
            ("holdpoint: 1\nseeks: | # a remark\n", "value of rocket.seeks at seeks, now ``"),
            (
                "joints:\n  a: {between: [nose, bo|]}\n",
                "value of joint.between at joints.a.between, now `bo`",
            ),
            ("joints:\n  a:\n    between: [|\n", "value of joint.between at joints.a.between, now ``"),
            ("waivers:\n  - rule: x\n    |\n", "key of waiver at waivers.1, beside rule, now ``"),
            ("waivers:\n  - ru|\n", "key of waiver at waivers.1, beside , now `ru`"),
            (
                "sections:\n  a:\n    tube: {measured: {le|}}\n",
                "measure of tube at sections.a.tube.measured, beside , now `le`",
            ),
            ("seeks: level 1 # rem|ark\n", "nothing"),
            ("# rem|ark\n", "nothing"),
            ("no_such: {a|}\n", "nothing"),
        ] {
            assert_eq!(describe(text), due, "{text}");
        }
    }
}

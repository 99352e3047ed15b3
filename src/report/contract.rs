//! What the JSON contracts share: pieces, how their text is laid out, and the schema of a document from its own structs.

use std::io::{self, Write};

use schemars::generate::SchemaSettings;
use schemars::transform::RecursiveTransform;
use schemars::{JsonSchema, Schema};
use serde::Serialize;
use serde_json::ser::{CompactFormatter, Formatter, Serializer};

use crate::rules;
use crate::yaml::is_hostile;

crate::words! {
    /// Whether a step may be taken.
    pub(super) enum Clearance {
        /// Nothing holds.
        Clear = "clear",
        /// Something holds, or the file has mistakes.
        Hold = "hold",
    }

    /// What a margin is measured by.
    pub(super) enum MarginKind {
        /// Value over limit, less one.
        Ratio = "ratio",
        /// The gap itself.
        Gap = "gap",
    }
}

impl Clearance {
    pub(super) const fn when(clear: bool) -> Self {
        if clear { Self::Clear } else { Self::Hold }
    }
}

/// The program that wrote a document.
#[derive(Serialize, JsonSchema)]
#[serde(rename = "tool")]
#[schemars(deny_unknown_fields)]
pub(super) struct Tool {
    name: &'static str,
    version: &'static str,
}

/// This program.
pub(super) const TOOL: Tool = Tool { name: "holdpoint", version: env!("CARGO_PKG_VERSION") };

/// How much there is to spare.
#[derive(Serialize, JsonSchema)]
#[serde(rename = "margin")]
#[schemars(deny_unknown_fields)]
pub(crate) struct Margin {
    /// value over limit less one, or the gap itself
    kind: MarginKind,
    value: f64,
    unit: String,
}

impl From<rules::Margin> for Margin {
    fn from(margin: rules::Margin) -> Self {
        let (kind, (value, unit)) = match margin {
            rules::Margin::Ratio(value) => (MarginKind::Ratio, (value, String::new())),
            rules::Margin::Gap(gap) => (MarginKind::Gap, gap.value_and_unit()),
        };
        Self { kind, value, unit }
    }
}

/// The outcome of a finding: one of those of a rule that is not kept.
#[derive(Serialize)]
pub(super) struct Outcome(pub(super) rules::Verdict);

impl JsonSchema for Outcome {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> std::borrow::Cow<'static, str> {
        "outcome".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> Schema {
        schemars::json_schema!({ "enum": rules::Verdict::OF_FINDINGS.map(rules::Verdict::name) })
    }
}

/// The JSON Schema (draft 2020-12) of a document, as it is written.
pub(super) fn schema_of<D: JsonSchema>(title: &str) -> serde_json::Value {
    let no_formats = RecursiveTransform(|schema: &mut Schema| {
        // The width of an integer in this program is no promise.
        schema.remove("format");
    });
    let settings = SchemaSettings::draft2020_12().for_serialize().with_transform(no_formats);
    let mut schema = settings.into_generator().into_root_schema_for::<D>();
    schema.insert("title".to_owned(), title.into());
    schema.remove("description");
    schema.into()
}

/// A value as JSON whose lines stand so many levels deep, without the line that it begins on. Every character that could
/// change how a terminal shows the text is an escape: see [`crate::yaml::clean_json`].
pub(super) fn json_text(value: &impl Serialize, depth: usize) -> String {
    laid_out(String::new(), value, depth, 1 << 12)
}

/// A text, and behind it a value as JSON that will take about so many bytes.
fn laid_out(before: String, value: &impl Serialize, depth: usize, room: usize) -> String {
    let mut out = before.into_bytes();
    out.reserve(room);
    let layout = Layout { depth, has_value: false, one_line: 0 };
    // Structs of texts and numbers always serialise.
    let _ = value.serialize(&mut Serializer::with_formatter(&mut out, layout));
    String::from_utf8(out).unwrap_or_default()
}

/// An item of a list that will take about so many bytes: the line it begins on, and its value.
pub(super) fn json_item(value: &impl Serialize, depth: usize, room: usize) -> String {
    let mut item = String::with_capacity(room);
    item.push('\n');
    item.push_str(BLANKS.get(..depth * 2).unwrap_or(BLANKS));
    laid_out(item, value, depth, room)
}

const BLANKS: &str = "                                ";

/// An object that begins so deep, or deeper, stands on one line: the places of a finding are read as a list.
const ONE_LINE: usize = 6;

/// Two blanks a level, as `serde_json` lays out for people, and one line for each small object within the items of a list.
struct Layout {
    depth: usize,
    has_value: bool,
    /// How deep the object is that stands on this line; 0 where none does.
    one_line: usize,
}

impl Layout {
    fn line(&self, out: &mut (impl ?Sized + Write), first: bool) -> io::Result<()> {
        if self.one_line > 0 {
            return out.write_all(if first { b"" } else { b", " });
        }
        out.write_all(if first { b"\n" } else { b",\n" })?;
        let mut wanted = self.depth * 2;
        while wanted > 0 {
            let now = wanted.min(BLANKS.len());
            out.write_all(BLANKS.as_bytes().get(..now).unwrap_or(BLANKS.as_bytes()))?;
            wanted -= now;
        }
        Ok(())
    }

    fn open(&mut self, out: &mut (impl ?Sized + Write), sign: &[u8]) -> io::Result<()> {
        self.depth += 1;
        self.has_value = false;
        out.write_all(sign)
    }

    fn close(&mut self, out: &mut (impl ?Sized + Write), sign: &[u8]) -> io::Result<()> {
        self.depth -= 1;
        if self.has_value {
            self.line(out, true)?;
        }
        if self.depth < self.one_line {
            self.one_line = 0;
        }
        self.has_value = true;
        out.write_all(sign)
    }
}

impl Formatter for Layout {
    fn begin_array<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        self.open(out, b"[")
    }

    fn end_array<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        self.close(out, b"]")
    }

    fn begin_array_value<W: ?Sized + Write>(&mut self, out: &mut W, first: bool) -> io::Result<()> {
        self.line(out, first)
    }

    fn end_array_value<W: ?Sized + Write>(&mut self, _: &mut W) -> io::Result<()> {
        self.has_value = true;
        Ok(())
    }

    fn begin_object<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        self.open(out, b"{")?;
        if self.one_line == 0 && self.depth >= ONE_LINE {
            self.one_line = self.depth;
        }
        Ok(())
    }

    fn end_object<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        self.close(out, b"}")
    }

    fn begin_object_key<W: ?Sized + Write>(&mut self, out: &mut W, first: bool) -> io::Result<()> {
        self.line(out, first)
    }

    fn begin_object_value<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        out.write_all(b": ")
    }

    fn end_object_value<W: ?Sized + Write>(&mut self, _: &mut W) -> io::Result<()> {
        self.has_value = true;
        Ok(())
    }

    fn write_string_fragment<W: ?Sized + Write>(&mut self, out: &mut W, fragment: &str) -> io::Result<()> {
        // Looked for in all bytes at once, since hardly any text has one.
        let may_be_hostile = |all: bool, byte: u8| all | matches!(byte, 0x7f | 0xc2 | 0xd8 | 0xe2);
        if !fragment.bytes().fold(false, may_be_hostile) {
            return CompactFormatter.write_string_fragment(out, fragment);
        }
        let mut done = 0;
        for (at, byte) in fragment.bytes().enumerate() {
            // Every character that is to be escaped begins with one of these bytes; most bytes are none of them.
            if !matches!(byte, 0x7f | 0xc2 | 0xd8 | 0xe2) {
                continue;
            }
            let Some(c) = fragment.get(at..).and_then(|rest| rest.chars().next()) else { continue };
            if !is_hostile(c) {
                continue;
            }
            out.write_all(fragment.get(done..at).unwrap_or("").as_bytes())?;
            // Every such character lies in the basic plane, so four digits say it.
            write!(out, "\\u{:04x}", u32::from(c))?;
            done = at + c.len_utf8();
        }
        CompactFormatter.write_string_fragment(out, fragment.get(done..).unwrap_or(""))
    }
}

#[cfg(test)]
mod tests {
    use super::{json_item, json_text};
    use crate::yaml::clean_json;

    #[test]
    fn it_writes_what_the_library_writes() {
        let json = serde_json::json!({
            "texts": [
                "",
                "a \"b\" \\ \n\r\t\u{8}\u{c}\u{0}\u{1f}\u{7f}\u{85}",
                "µ ° é — … 日本 \u{61c}\u{200e}\u{202e}\u{2028}\u{2066}\u{feff}",
                "Ø½\u{600}",
            ],
            "numbers": [0.0, -0.0, 1.0, 0.1, 1e16, 1.5e300, 1e-7, -2.25, f64::NAN, f64::INFINITY],
            "none": [], "deep": [[1, 2], [3, []]], "empty": {}, "more": {"yes": true, "null": null},
        });
        assert_eq!(json_text(&json, 0), clean_json(format!("{json:#}")));
        let listed = serde_json::json!([[json]]);
        let inner = json_item(&json, 2, 0);
        assert_eq!(format!("[\n  [{inner}\n  ]\n]"), clean_json(format!("{listed:#}")));
    }

    #[test]
    fn small_objects_deep_within_stand_on_one_line() {
        let json = serde_json::json!({"a": {"b": {"c": [{"d": {"e": 1, "f": [1, {"g": "h\u{202e}"}], "i": {}}}, {}]}}});
        let text = json_text(&json, 2);
        let back: Option<serde_json::Value> = serde_json::from_str(&text).ok();
        assert_eq!(back, Some(json));
        let lines: Vec<&str> = text.lines().map(str::trim).collect();
        let whole = r#"{"d": {"e": 1, "f": [1, {"g": "h\u202e"}], "i": {}}},"#;
        assert_eq!(
            lines,
            ["{", "\"a\": {", "\"b\": {", "\"c\": [", whole, "{}", "]", "}", "}", "}"],
            "{text}"
        );
    }
}

//! The failure table as text.

use std::fmt::Write as _;

use crate::model::Model;
use crate::report::failures::table;
use crate::report::reading::Reading;
use crate::report::{Style, caution};
use crate::yaml::clean_line;

/// The failure table of a rocket.
///
/// # Errors
/// In words, when it is not known what opens what.
pub fn failures_text(model: &Model<'_>, style: Style) -> Result<String, String> {
    let table = table(Reading::new(model));
    let design = model.design();
    let mut out = String::new();
    let _ = writeln!(
        out,
        "{}: one failure at a time ({})\n",
        clean_line(design.name()),
        clean_line(design.source.name())
    );
    let wrap = |out: &mut String, first: &str, rest: &str, words: &str| {
        let how = textwrap::Options::new(style.width).initial_indent(first).subsequent_indent(rest);
        let _ = writeln!(out, "{}", textwrap::fill(words, how));
    };
    wrap(&mut out, "", "", &table.about);
    if table.rows.is_empty() {
        return Err(out);
    }
    for row in &table.rows {
        let cell = |at: usize| row.get(at).map(ToString::to_string).unwrap_or_default();
        out.push('\n');
        wrap(&mut out, "  ", "    ", &cell(0));
        wrap(&mut out, "      opens: ", "             ", &cell(1));
        let lands = format!("{}, the worst piece with {}; {}", cell(2), cell(3), cell(4));
        wrap(&mut out, "      lands: ", "             ", &lands);
    }
    out.push('\n');
    out.push_str(caution());
    Ok(out)
}

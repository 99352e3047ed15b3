//! What was mended in a design, and what is left.

use std::fmt::Write as _;

use similar::{ChangeTag, TextDiff};

use crate::report::Style;
use crate::review::{Choice, Finding, Mended, Tried};
use crate::rules::Verdict;
use crate::yaml::{Source, clean_line};

/// A unified diff; line ends are not shown, so that a file of another system's reads the same.
#[must_use]
pub fn difference_text(old: &Source, new: &Source, style: Style) -> String {
    if old.text() == new.text() {
        return String::new();
    }
    let diff = TextDiff::from_lines(old.text(), new.text());
    let paint = |code: &str, line: &str| {
        if style.colour { format!("\u{1b}[{code}m{line}\u{1b}[0m\n") } else { format!("{line}\n") }
    };
    let name = clean_line(old.name());
    let mut text = paint("1", &format!("--- {name}"));
    text.push_str(&paint("1", &format!("+++ {name}")));
    for hunk in diff.unified_diff().context_radius(2).iter_hunks() {
        text.push_str(&paint("36", &hunk.header().to_string()));
        for change in hunk.iter_changes() {
            let line = clean_line(change.value().trim_end_matches(['\n', '\r'])).into_owned();
            text.push_str(&match change.tag() {
                ChangeTag::Equal => format!(" {line}\n"),
                ChangeTag::Delete => paint("31", &format!("-{line}")),
                ChangeTag::Insert => paint("32", &format!("+{line}")),
            });
        }
    }
    text.push('\n');
    text
}

/// What was mended, or would be where it was not written, and what is left.
#[must_use]
pub fn mended_text(mended: &Mended, choice: &Choice, written: bool, style: Style) -> String {
    let last = &mended.last;
    let source = &last.design.source;
    let title = match last.design.given_name() {
        Some(name) => format!("{} ({})", clean_line(name), clean_line(source.name())),
        None => clean_line(source.name()).into_owned(),
    };
    let left: Vec<&Finding> =
        last.findings.iter().filter(|f| f.waiver().is_none() && f.outcome != Verdict::Unproven).collect();
    let unproven =
        last.findings.iter().filter(|f| f.waiver().is_none() && f.outcome == Verdict::Unproven).count();
    let done = match (mended.changes.len(), written) {
        (0, _) => "nothing to mend".to_owned(),
        (count, false) => format!("{} would be mended", values(count)),
        (count, true) => format!("{} mended", values(count)),
    };
    let verdict = match last.hold_points.iter().find(|h| !h.clear) {
        Some(hold) => format!("HOLD before {}", hold.point),
        None => "nothing holds".to_owned(),
    };
    let mut text = format!("{title}: {done}; {} left; {verdict}\n", findings(left.len() + unproven));
    if !mended.changes.is_empty() {
        text.push('\n');
        for change in &mended.changes {
            let old = if change.old.is_empty() { "nothing" } else { &change.old };
            let why = change.rule.as_ref().map(|rule| format!("{rule}: ")).unwrap_or_default() + &change.say;
            let line = format!("line {}, {}: {old} -> {} ({why})", change.line, change.key, change.new);
            text.push_str(&wrapped(&line, "  mended  ", style));
        }
    }
    let mut before = None;
    for finding in &left {
        if before != Some(finding.before) {
            before = Some(finding.before);
            let _ = writeln!(text, "\n  left before {}", finding.before);
        }
        let line = format!("{} {}: {}", finding.level, finding.rule, finding.message);
        text.push_str(&wrapped(&line, "    ", style));
        for remedy in &finding.remedies {
            let line = match (remedy.tried, choice.takes(&finding.rule, remedy)) {
                (Some(Tried::Clears), false) => {
                    format!("for you to decide: {} (made by `--rule {}`)", remedy.say, finding.rule)
                }
                (Some(Tried::Breaks), _) => format!("not made, it would break another rule: {}", remedy.say),
                (Some(_), _) => format!("not made, it would not settle it alone: {}", remedy.say),
                (None, _) => format!("by hand: {}", remedy.say),
            };
            text.push_str(&wrapped(&line, "      ", style));
        }
    }
    if unproven > 0 {
        let line = format!(
            "{} of these cannot be judged yet; `holdpoint review` lists the values to write down",
            findings(unproven)
        );
        text.push('\n');
        text.push_str(&wrapped(&line, "  ", style));
    }
    text.push('\n');
    text
}

fn values(count: usize) -> String {
    if count == 1 { "1 value".to_owned() } else { format!("{count} values") }
}

fn findings(count: usize) -> String {
    if count == 1 { "1 finding".to_owned() } else { format!("{count} findings") }
}

fn wrapped(line: &str, indent: &str, style: Style) -> String {
    let deeper = format!("{}  ", " ".repeat(indent.len()));
    let how = textwrap::Options::new(style.width).initial_indent(indent).subsequent_indent(&deeper);
    format!("{}\n", textwrap::fill(&clean_line(line), how))
}

//! The texts that inputs grow from: what the project has of designs, packs and settings, and a few lines that are odd on purpose.

use std::path::Path;
use std::sync::LazyLock;

use super::choices::Choices;

fn read_all(folder: &str, end: &str) -> Vec<String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files: Vec<_> =
        std::fs::read_dir(root.join(folder)).unwrap().map(|e| e.unwrap().path()).collect();
    files.sort();
    let fits = |path: &Path| path.to_string_lossy().ends_with(end);
    files.iter().filter(|path| fits(path)).map(|path| std::fs::read_to_string(path).unwrap()).collect()
}

/// Designs in good order, and drafts.
pub(super) static DESIGNS: LazyLock<Vec<String>> = LazyLock::new(|| {
    let folders =
        ["rules/specimens", "examples", "examples/configurations", "examples/club/designs", "tests/ordinary"];
    let found: Vec<String> = folders.iter().flat_map(|folder| read_all(folder, ".rocket.yaml")).collect();
    assert!(found.len() > 20, "{}", found.len());
    found
});

/// Packs: small ones of clubs, and those that are built in.
pub(super) static PACKS: LazyLock<Vec<String>> = LazyLock::new(|| {
    let folders = ["examples/mentor", "examples/club/packs", "rules", "rules/codes"];
    let found: Vec<String> = folders.iter().flat_map(|folder| read_all(folder, ".yaml")).collect();
    assert!(found.len() > 20, "{}", found.len());
    found
});

/// Tables of the trade.
pub(super) static TABLES: LazyLock<Vec<String>> = LazyLock::new(|| read_all("rules/tables", ".yaml"));

/// Pieces that readers stumble over.
pub(super) const ODD: [&str; 74] = [
    "\u{feff}",
    "\t",
    "\r\n",
    "\r",
    "\n",
    "\0",
    "\u{1b}",
    "\u{85}",
    "\u{2028}",
    "\u{202e}",
    "é",
    "日本",
    "𝄞",
    "µ",
    "°",
    "±",
    "~",
    "null",
    "true",
    "none",
    "not known",
    "---\n",
    "...\n",
    "--- |\n",
    "? ",
    ": ",
    ":",
    "- ",
    "-",
    "&a ",
    "*a",
    "<<: *a\n",
    "!!str ",
    "!x ",
    "%YAML 1.2\n",
    "# c\n",
    " # ",
    "'",
    "\"",
    "''",
    "\\",
    "\"\\u0000\"",
    "{",
    "}",
    "[",
    "]",
    "{a: ",
    "[[",
    "{}",
    "[]",
    ",",
    "|",
    "|2-\n",
    ">",
    ">+\n  x\n\n",
    "0",
    "-1",
    "1e308",
    "1e-320",
    "nan",
    "inf",
    "-0",
    "1/0",
    "1 in ± 99 %",
    "2 lb 3 oz",
    "1,5 in",
    "0x1F",
    "2026-02-30",
    "9999-12-31",
    "2.25 in from aft",
    "a.b.c",
    "none of it",
    "12 gauge",
    "\"6\\\" tube\"",
];

/// A place on a border of characters.
fn place(text: &str, choices: &mut Choices<'_>) -> usize {
    let at = choices.below(text.len() + 1);
    (0..=at).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0)
}

fn line(text: &str, choices: &mut Choices<'_>) -> std::ops::Range<usize> {
    let at = place(text, choices);
    let start = text[..at].rfind('\n').map_or(0, |end| end + 1);
    start..text[at..].find('\n').map_or(text.len(), |end| at + end + 1)
}

/// A text with one piece of it changed: bytes, lines, indents, or what another text has.
pub(super) fn changed(text: &str, others: &[String], choices: &mut Choices<'_>) -> String {
    let mut out = text.to_owned();
    match choices.below(9) {
        0 => out.insert_str(place(text, choices), choices.one_of(&ODD)),
        1 => {
            let start = place(text, choices);
            let end = place(&text[start..], choices).min(20) + start;
            let end = (end..=text.len()).find(|end| text.is_char_boundary(*end)).unwrap_or(text.len());
            out.replace_range(start..end, choices.one_of(&ODD));
        }
        2 => out.replace_range(line(text, choices), ""),
        3 => {
            let range = line(text, choices);
            out.insert_str(range.end, &text[range]);
        }
        4 => {
            let range = line(text, choices);
            out.insert_str(range.start, choices.one_of(&[" ", "  ", "\t", "- ", "? ", "x: ", "{", "#"]));
        }
        5 => {
            let range = line(text, choices);
            if text[range.clone()].starts_with("  ") {
                out.replace_range(range.start..range.start + 2, "");
            }
        }
        6 => {
            let other = choices.member(others);
            let range = line(other, choices);
            out.insert_str(line(text, choices).start, &other[range]);
        }
        7 => out.truncate(place(text, choices)),
        _ => {
            let (a, b) = (line(text, choices), line(text, choices));
            if a.end <= b.start {
                out = [&text[..a.start], &text[b.clone()], &text[a.end..b.start], &text[a], &text[b.end..]]
                    .concat();
            }
        }
    }
    out
}

/// One of some texts, changed in a few places.
pub(super) fn mutated(texts: &[String], choices: &mut Choices<'_>) -> String {
    let mut text = choices.member(texts).clone();
    for _ in 0..=choices.below(6) {
        text = changed(&text, texts, choices);
    }
    text
}

/// A text of odd pieces alone.
pub(super) fn soup(choices: &mut Choices<'_>) -> String {
    let mut text = String::new();
    while !choices.is_out() {
        text.push_str(choices.one_of(&ODD));
        if choices.once_in(3) {
            text.push_str(choices.one_of(&["a", "b: 1\n", " ", "\n  ", "k"]));
        }
    }
    text
}

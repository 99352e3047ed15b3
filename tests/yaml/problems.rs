//! Broken text gives a problem in friendly words, at the culprit.
use holdpoint::yaml::{Source, Tree};

use crate::problem;

#[test]
fn each_mistake_is_named_at_its_place() {
    // Text, byte of the culprit, its text, a part of the message.
    for (text, start, culprit, words) in [
        ("a: *b\n", 3, "*b", "no anchor"),
        ("µ: [1, *b, 2]\n", 8, "*b", "no anchor"),
        ("a: &a [*a]\n", 7, "*a", "holds the alias itself"),
        ("a: 1\n---\nb: 2", 5, "---", "second document"),
        ("a:\n\tb: 1", 3, "\t", "tab"),
        ("a:\n  b: 1\n\tc: 2", 10, "\t", "tab"),
        ("µ: \"x\nb: 1\n", 4, "\"", "never closed"),
        ("a: \"x\nb: \"y\"\n", 3, "\"", "never closed"),
        ("µ: 'x\nb: 'y'\n", 4, "'", "never closed"),
        ("# it's\na: \"one\n  two\"\nb: 'x' y\n", 29, "y", "after the closing quote"),
        ("a: \"6\" tube\"\n", 7, "t", "after the closing quote"),
        ("a: \"one\n  two\"\nb: [1\n", 18, "[", "never closed"),
        ("a: {b: 1\n", 3, "{", "never closed"),
        ("a:\n  é: 1\n c: 2", 12, "c", "not indented like its neighbours"),
        ("a: 1\n  b: 2", 8, ":", "indented as if"),
        ("a: 1\nb\nc: 3", 5, "b", "neither `key: value`"),
        ("a: b: c", 4, ":", "second `: `"),
        ("日本: b: c", 9, ":", "second `: `"),
        ("a: x\u{1b}y", 4, "\u{1b}", "U+001B"),
        ("\0", 0, "\0", "U+0000"),
        ("[a]: b", 0, "[a]", "a key is a plain word"),
        ("? {a: b}\n: c", 2, "{a: b}", "a key is a plain word"),
        ("a: [1, 2\nb: 3", 10, ":", "brackets"),
        ("a: [1}", 3, "[", "other kind"),
        ("a: @x", 3, "@", "cannot start a value"),
        ("a: ,b", 3, ",", "cannot start a value"),
        ("d: {e: 1 f: 2}", 10, ":", "comma"),
        ("<<: 3", 4, "3", "merges maps"),
        ("a: - b", 3, "-", "list cannot start"),
        ("- a\nb: 1", 4, "b", "column of a list"),
        ("a: 1\nb: 2\nµ: 3\nb: 4", 16, "b", "written twice"),
        ("%YAML 9\n---\na", 0, "%", "starts with `%`"),
        ("a: \"\\q\"", 3, "\"", "backslash"),
        ("a: *", 3, "*", "name is missing"),
        ("{a:{b: 1}}", 2, ":", "space after this colon"),
        ("µ: [a,\nb,\n c]\n", 8, "b,", "no deeper than the key"),
        ("a: \"b\n\tc\"\n", 7, "c\"", "no deeper than the key"),
        ("a: 'b\nc'\n", 6, "c'", "no deeper than the key"),
        ("- a: {b: 1,\n  c: 2}\n", 14, "c: 2}", "no deeper than the key"),
    ] {
        let source = Source::new("t", text);
        let problem = problem(text);
        let span = problem.span.unwrap_or_else(|| panic!("no place: {text:?}"));
        assert!(problem.message.contains(words), "{text:?}: {problem}");
        assert!(!problem.message.contains("not YAML"), "{text:?}: {problem}");
        assert_eq!((span.start, source.slice(span)), (start, culprit), "{text:?}: {problem}");
    }
}

/// What is clear to a person and to most readers is taken.
#[test]
fn values_over_several_lines_are_taken() {
    for text in [
        "a: [\n  1,\n  2\n]\n",
        "a: {\n  b: 1,\n# c\n\n  c: 2\n} # d\n",
        "a:\n  [1,\n   2]\n",
        "\u{feff}a: \"b\n c\"\n",
        "- \"b\n c\"\n",
        "- - [1,\n   2]\n",
        "&x a: [1,\n 2]\nb: 1\n",
        "\"a\nb\"\n",
        "[1,\n2]\n",
    ] {
        crate::parsed(text);
    }
}

#[test]
fn a_key_written_twice_is_shown_at_both_places() {
    let problem = problem("µ: {b: 1, \"b\": 2}\n");
    assert_eq!(problem.span.unwrap().range(), 11..14);
    let [(first, label)] = problem.related.as_slice() else { panic!("{problem:?}") };
    assert_eq!(first.range(), 5..6);
    assert!(label.contains('b'));
}

#[test]
fn deep_files_are_refused() {
    let block: String = (0..2_000).map(|i| format!("{}a:\n", " ".repeat(i))).collect();
    let dashes = "- ".repeat(10_000);
    for deep in ["[".repeat(10_000), "{a: ".repeat(10_000), block, dashes, "? ".repeat(10_000)] {
        let problem = problem(&deep);
        assert!(problem.message.contains("nested deeper than 64"), "{problem}");
        let span = problem.span.unwrap();
        assert!(!span.is_empty() && (span.end as usize) <= deep.len());
    }
    let near = format!("{}1{}", "[".repeat(60), "]".repeat(60));
    assert!(Tree::parse(&Source::new("t", near)).tree.is_some());
}

#[test]
fn aliases_that_stand_for_too_much_are_refused() {
    let row = |i: usize, of: &str| format!("a{i}: &a{i} [{}]\n", [of; 10].join(", "));
    let bomb: String =
        (0..10).map(|i| row(i, &if i == 0 { "x".to_owned() } else { format!("*a{}", i - 1) })).collect();
    let problem = problem(&bomb);
    assert!(problem.message.contains("stand for too much"), "{problem}");
    let merges: String = (0..10)
        .map(|i| match i {
            0 => "a0: &a0 {x: 1}\n".to_owned(),
            _ => format!("a{i}: &a{i} {{k{i}: 1, <<: [{}]}}\n", vec![format!("*a{}", i - 1); 10].join(", ")),
        })
        .collect();
    assert!(Tree::parse(&Source::new("t", merges)).tree.is_none());
}

#[test]
fn a_list_cut_short_anywhere_gives_a_place_inside() {
    let text = "µ: [1, {b: \"x y\"}]\nc:\n  - 'd'  # e\n  - |\n    f\n  - &g {h: *g}\n";
    for (end, _) in text.char_indices() {
        let source = Source::new("t", &text[..end]);
        for problem in Tree::parse(&source).problems {
            let span = problem.span.unwrap();
            assert!(source.text().get(span.range()).is_some(), "{:?}: {problem:?}", source.text());
        }
    }
}

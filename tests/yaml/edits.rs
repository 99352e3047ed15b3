//! Edits change the bytes they mean, and nothing else.
use holdpoint::yaml::{
    Edit, EditError, NodeId, Source, Span, Tree, apply, insert_item, insert_key, remove_entry,
    replace_scalar, replace_value,
};

use crate::{at, parsed};

type Made = Result<Edit, EditError>;

fn edited(text: &str, make: impl Fn(&Source, &Tree) -> Made) -> String {
    let (s, t) = parsed(text);
    let edit = make(&s, &t).unwrap_or_else(|e| panic!("{text:?}: {e}"));
    let out = apply(text, &[edit]).unwrap();
    parsed(&out);
    out
}

fn check(cases: &[(&str, &str, &str)], make: impl Fn(&Source, &Tree, NodeId) -> Made) {
    for (text, path, want) in cases {
        assert_eq!(&edited(text, |s, t| make(s, t, at(t, path))), want, "{text:?}");
        if !text.contains('\n') {
            continue;
        }
        let crlf = |t: &str| t.replace('\n', "\r\n");
        assert_eq!(edited(&crlf(text), |s, t| make(s, t, at(t, path))), crlf(want), "CRLF {text:?}");
    }
}

#[test]
fn scalars_are_replaced() {
    check(
        &[
            ("µ: 2 in # c\nb: 1", "µ", "µ: 4 in # c\nb: 1"),
            ("µ: '2 in'", "µ", "µ: '4 in'"),
            ("µ: \"2 in\"\n", "µ", "µ: \"4 in\"\n"),
            ("a: {é: 1, b: 2}", "a.é", "a: {é: 4 in, b: 2}"),
            ("a: [1, 2]", "a.1", "a: [1, 4 in]"),
            ("a:\nb: 1", "a", "a: 4 in\nb: 1"),
            ("a: # c\nb: 1\n", "a", "a: 4 in # c\nb: 1\n"),
            ("{a:, b: 1}", "a", "{a: 4 in, b: 1}"),
            ("{b: 1, a:}", "a", "{b: 1, a: 4 in}"),
            ("- # c\n- 1\n", "0", "- 4 in # c\n- 1\n"),
            ("a: &x\nb: 1\n", "a", "a: &x 4 in\nb: 1\n"),
            ("a: x\n  y\nb: 1\n", "a", "a: 4 in\nb: 1\n"),
            ("", "", "4 in"),
            ("# c\n", "", "4 in\n# c\n"),
            ("\u{feff}# c\n", "", "\u{feff}4 in\n# c\n"),
            ("a: ~ # c\n", "a", "a: 4 in # c\n"),
        ],
        |s, t, n| replace_scalar(s, t, n, "4 in", false),
    );
    let block = |s: &Source, t: &Tree| replace_scalar(s, t, at(t, "a"), "x", false);
    let (s, t) = parsed("a: |\n  x\n");
    assert!(matches!(block(&s, &t), Err(EditError::NotHere(_))));
    let (s, t) = parsed("{a}");
    assert!(matches!(block(&s, &t), Err(EditError::NotHere(_))));
    // A second byte-order mark would stand in the document.
    let (s, t) = parsed("\u{feff}# c\n\u{feff}");
    assert!(matches!(replace_scalar(&s, &t, t.root(), "x", false), Err(EditError::NotHere(_))));
    let two_lines = edited("a: 'x'\n", |s, t| replace_scalar(s, t, at(t, "a"), "1\n2\u{85}", false));
    assert_eq!(two_lines, "a: \"1\\n2\\u0085\"\n");
}

#[test]
fn values_are_replaced() {
    check(
        &[
            ("a:\n  b: 1 # c\nd: 2\n", "a", "a: [1] # c\nd: 2\n"),
            ("a:\n- 1\n- 2\nd: 2\n", "a", "a: [1]\nd: 2\n"),
            ("a: {b: 1} # c", "a", "a: [1] # c"),
            ("a: |\n  x\n\nb: 1\n", "a", "a: [1]\n\nb: 1\n"),
            ("- b: 1\n  c: 2\n- 3\n", "0", "- [1]\n- 3\n"),
            ("# h\na: 1\nb: 2 # t\n", "", "# h\n[1] # t\n"),
            ("µ: \"1\"\n", "µ", "µ: [1]\n"),
        ],
        |s, t, n| replace_value(s, t, n, "[1]", false),
    );
    for text in ["a: # c:\n  b: 1\n", "a:\n  # c:\n  b: 1\n", "a: &x\n  b: 1\n"] {
        let (s, t) = parsed(text);
        assert!(
            matches!(replace_value(&s, &t, at(&t, "a"), "1", false), Err(EditError::NotHere(_))),
            "{text:?}"
        );
    }
}

#[test]
fn keys_are_inserted() {
    check(
        &[
            ("a: 1 # c\n# d\n", "", "a: 1 # c\nk: 4 in\n# d\n"),
            ("a: 1", "", "a: 1\nk: 4 in"),
            ("m:\n  µ: 1\n\nb: 2\n", "m", "m:\n  µ: 1\n  k: 4 in\n\nb: 2\n"),
            ("m:\n  n:\n    o: 1 # c\nb: 2\n", "m", "m:\n  n:\n    o: 1 # c\n  k: 4 in\nb: 2\n"),
            ("m:\n  a:\nb: 2\n", "m", "m:\n  a:\n  k: 4 in\nb: 2\n"),
            ("m:\n  a: # c\nb: 2\n", "m", "m:\n  a: # c\n  k: 4 in\nb: 2\n"),
            ("l:\n- a: 1\n- b: 2\n", "l.0", "l:\n- a: 1\n  k: 4 in\n- b: 2\n"),
            ("- - a: 1\n", "0.0", "- - a: 1\n    k: 4 in\n"),
            ("&x a: 1\nb: 2\n", "", "&x a: 1\nb: 2\nk: 4 in\n"),
            ("m: {}", "m", "m: {k: 4 in}"),
            ("m: { a: 1 } # c\n", "m", "m: { a: 1, k: 4 in } # c\n"),
            ("m: {a: 'é',}\n", "m", "m: {a: 'é', k: 4 in}\n"),
            ("m: {a:}\n", "m", "m: {a:, k: 4 in}\n"),
            ("m: {\n  a: 1, # c\n  b: 2\n}\n", "m", "m: {\n  a: 1, # c\n  b: 2, k: 4 in\n}\n"),
            ("m:\nb: 2\n", "m", "m: {k: 4 in}\nb: 2\n"),
            ("m: # c\nb: 2\n", "m", "m: {k: 4 in} # c\nb: 2\n"),
            ("m: ~\n", "m", "m: {k: 4 in}\n"),
            ("", "", "k: 4 in"),
            ("# c\n", "", "k: 4 in\n# c\n"),
            ("m:\n  a: |+\n    x\n\nb: 2\n", "m", "m:\n  a: |+\n    x\n\n  k: 4 in\nb: 2\n"),
            ("m:\n  a: |\n    x\n# c\n", "m", "m:\n  a: |\n    x\n  k: 4 in\n# c\n"),
            ("\u{feff}a: 1\n", "", "\u{feff}a: 1\nk: 4 in\n"),
            ("b: &b {x: 1}\nm: {<<: *b}\n", "m", "b: &b {x: 1}\nm: {<<: *b, k: 4 in}\n"),
        ],
        |s, t, n| insert_key(s, t, n, "k", "4 in", false),
    );
    for (text, path) in
        [("m: [a: b]", "m.0"), ("k: 1", ""), ("? a\n: 1", ""), ("{a: 1 # c\n}", ""), ("a: 1", "a")]
    {
        let (s, t) = parsed(text);
        let made = insert_key(&s, &t, at(&t, path), "k", "1", false);
        assert!(matches!(made, Err(EditError::NotHere(_))), "{text:?}: {made:?}");
    }
}

#[test]
fn items_are_added_at_the_end() {
    check(
        &[
            ("µ: [1, 'é']\n", "µ", "µ: [1, 'é', {k: 1}]\n"),
            ("a: []\n", "a", "a: [{k: 1}]\n"),
            ("a: [1,] # c\nb: 2\n", "a", "a: [1, {k: 1}] # c\nb: 2\n"),
            ("a: [\n  1,\n  2\n]\n", "a", "a: [\n  1,\n  2, {k: 1}\n]\n"),
            (
                "a:\n  - x: 1\n    y: 2 # c\n# d\nb: 2\n",
                "a",
                "a:\n  - x: 1\n    y: 2 # c\n  - {k: 1}\n# d\nb: 2\n",
            ),
            ("a:\n- 1\nb: 2\n", "a", "a:\n- 1\n- {k: 1}\nb: 2\n"),
            ("a:\n  - 1", "a", "a:\n  - 1\n  - {k: 1}"),
        ],
        |s, t, n| insert_item(s, t, n, "{k: 1}", false),
    );
    for (text, path) in
        [("a: {b: 1}", "a"), ("a: [1 # c\n]", "a"), ("- - 1\n", "0"), ("a:\n  - |\n    x\n", "a")]
    {
        let (s, t) = parsed(text);
        let made = insert_item(&s, &t, at(&t, path), "1", false);
        assert!(matches!(made, Err(EditError::NotHere(_))), "{text:?}: {made:?}");
    }
}

#[test]
fn entries_are_removed() {
    check(
        &[
            ("a: 1\nk: 2\nb: 3\n", "", "a: 1\nb: 3\n"),
            ("k: 1\n# c\nb: 3\n", "", "# c\nb: 3\n"),
            ("a: 1\nk: 2 # c\nb: 3\n", "", "a: 1\n# c\nb: 3\n"),
            ("a: 1\nk: 2", "", "a: 1\n"),
            ("m:\n  a:\nk: 1\n", "", "m:\n  a:\n"),
            ("m:\n  a:\n  k: 1\nb: 2\n", "m", "m:\n  a:\nb: 2\n"),
            ("m:\n  a: 1\n  k:\nb: 2\n", "m", "m:\n  a: 1\nb: 2\n"),
            ("m:\n  k:\nb: 2\n", "m", "m: {}\nb: 2\n"),
            ("m:\n  k: 1 # c\nb: 2\n", "m", "m: {} # c\nb: 2\n"),
            ("k: # c\nb: 2\n", "", "# c\nb: 2\n"),
            ("k:\n  d:\n    e: 1\nb: 2\n", "", "b: 2\n"),
            ("- k: 1\n  b: 2\n- 3\n", "0", "- b: 2\n- 3\n"),
            ("- k: 1 # c\n  b: 2\n", "0", "- # c\n  b: 2\n"),
            ("- k: 1\n- 3\n", "0", "- {}\n- 3\n"),
            ("k: 1", "", "{}"),
            ("\u{feff}k: 1\nb: 2\n", "", "\u{feff}b: 2\n"),
            ("m: {k: 1}", "m", "m: {}"),
            ("m: {k: 1, b: 2}", "m", "m: {b: 2}"),
            ("m: {é: 1, k: 'x', b: 2}", "m", "m: {é: 1, b: 2}"),
            ("m: {b: 2, k: 1}", "m", "m: {b: 2}"),
            ("m: {b: 2, k:}", "m", "m: {b: 2}"),
            ("m: {b:, k: 1,}", "m", "m: {b:, }"),
            ("m: { b: 2, # c, d,\n  k: 1 }\n", "m", "m: { b: 2, # c, d,\n   }\n"),
            ("m: {\n  k: 1, # c\n  b: 2 # d\n}\n", "m", "m: {\n  # c\n  b: 2 # d\n}\n"),
            ("a: &a {x: 1}\nm: {<<: *a, k: 1}\n", "m", "a: &a {x: 1}\nm: {<<: *a}\n"),
            ("a: &a {x: 1}\nm:\n  <<: *a\n  k: 1\n", "m", "a: &a {x: 1}\nm:\n  <<: *a\n"),
            ("a: |+\n  x\n\nk: 1\n\nb: 2\n", "", "a: |+\n  x\n\nb: 2\n"),
        ],
        |s, t, n| remove_entry(s, t, n, "k", false),
    );
    for (text, path) in
        [("m: [k: b]", "m.0"), ("? k\n: 1\n? b\n: 2", ""), ("a: 1", ""), ("{k: 1 # c\n, b: 2}", "")]
    {
        let (s, t) = parsed(text);
        let made = remove_entry(&s, &t, at(&t, path), "k", false);
        assert!(matches!(made, Err(EditError::NotHere(_))), "{text:?}: {made:?}");
    }
}

#[test]
fn what_is_shared_stays() {
    let (s, t) = parsed("a: &a {x: 1}\nb: *a\nc: {<<: *a, y: 2}\nd: &d {z: 1}\n");
    let shared = Err(EditError::Shared);
    for path in ["b", "a", "a.x", "b.x"] {
        assert_eq!(replace_value(&s, &t, at(&t, path), "1", false), shared, "{path}");
    }
    assert_eq!(replace_scalar(&s, &t, at(&t, "a.x"), "1", false), shared);
    assert_eq!(replace_scalar(&s, &t, at(&t, "c.y"), "1", true), shared);
    assert_eq!(insert_key(&s, &t, at(&t, "b"), "k", "1", false), shared);
    assert_eq!(remove_entry(&s, &t, at(&t, "c"), "x", false), shared);
    assert!(
        remove_entry(&s, &t, at(&t, "d"), "z", false).is_ok(),
        "an anchor that nothing uses shares nothing"
    );
}

#[test]
fn edits_are_applied_together_or_refused() {
    let edit = |start, end, text: &str| Edit { span: Span::new(start, end), text: text.to_owned() };
    assert_eq!(apply("abcdef", &[edit(4, 5, "E"), edit(0, 1, ""), edit(2, 2, "+")]).unwrap(), "b+cdEf");
    assert_eq!(apply("abc", &[edit(0, 2, ""), edit(1, 3, "")]), Err(EditError::Overlap));
    assert_eq!(apply("abc", &[edit(0, 3, ""), edit(1, 1, "x")]), Err(EditError::Overlap));
    assert_eq!(apply("abc", &[edit(2, 4, "")]), Err(EditError::OutOfRange));
    assert_eq!(apply("µ", &[edit(1, 2, "")]), Err(EditError::OutOfRange));
    assert_eq!(apply("abc", &[edit(2, 1, "")]), Err(EditError::OutOfRange));
}

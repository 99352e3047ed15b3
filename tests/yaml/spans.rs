//! Every node has exactly its own bytes.
use holdpoint::yaml::{NodeKind, Origin, ScalarStyle, Source, Tree};

use crate::{at, parsed, slice};

#[test]
fn scalars_maps_and_lists_have_their_bytes() {
    let text = "é: µ 日本\nq: 'it''s'  # c\nd: \"a\\\"b\"\nf: {x: [1, °], y: 2}\nl:\n  - µ: 1 # n\n    b: 2\n  - [a, b]\nz: 9\n";
    for crlf in [false, true] {
        for bom in ["", "\u{feff}"] {
            let text = format!("{bom}{}", if crlf { text.replace('\n', "\r\n") } else { text.to_owned() });
            let (s, t) = parsed(&text);
            let eol = if crlf { "\r\n" } else { "\n" };
            let item = format!("µ: 1 # n{eol}    b: 2");
            for (path, want) in [
                ("é", "µ 日本"),
                ("q", "'it''s'"),
                ("d", "\"a\\\"b\""),
                ("f", "{x: [1, °], y: 2}"),
                ("f.x", "[1, °]"),
                ("f.x.1", "°"),
                ("f.y", "2"),
                ("l.0", item.as_str()),
                ("l.0.µ", "1"),
                ("l.1", "[a, b]"),
                ("z", "9"),
            ] {
                assert_eq!(slice(&s, &t, path), want, "{path}");
            }
            assert_eq!(s.slice(t.span(t.get(t.root(), "é").unwrap().key)), "é");
            assert_eq!(s.slice(t.span(t.root())), text.trim_start_matches('\u{feff}').trim_end());
            assert!(t.is_flow(at(&t, "f")) && !t.is_flow(at(&t, "l")));
            assert_eq!(t.scalar(at(&t, "q")).unwrap().value, "it's");
            assert_eq!(t.content_start(&s, at(&t, "q")), None);
            assert_eq!(t.content_start(&s, at(&t, "é")), Some(t.span(at(&t, "é")).start));
        }
    }
}

#[test]
fn blocks_of_text_start_at_their_sign() {
    let text = "µ: |\n  x\n\nb: >- # a | b > c\n  y > z\n  w\nc: &n !t |+ # >\n  k\n\nl:\n- >\n  a\n# |\n- |2-\n   b\n";
    let s = Source::new("t.yaml", text);
    let read = Tree::parse(&s);
    let problems: Vec<&str> = read.problems.iter().map(|p| p.message.as_str()).collect();
    assert_eq!(problems, ["the tag `!t` means nothing here"]);
    let t = read.tree.unwrap();
    assert_eq!(slice(&s, &t, "µ"), "|\n  x");
    assert_eq!(slice(&s, &t, "b"), ">- # a | b > c\n  y > z\n  w");
    assert_eq!(slice(&s, &t, "c"), "|+ # >\n  k");
    assert_eq!(t.scalar(at(&t, "c")).unwrap().value, "k\n\n");
    assert_eq!(slice(&s, &t, "l"), "- >\n  a\n# |\n- |2-\n   b");
    assert_eq!(slice(&s, &t, "l.0"), ">\n  a");
    assert_eq!(slice(&s, &t, "l.1"), "|2-\n   b");
    assert_eq!(t.scalar(at(&t, "l.0")).unwrap().style, ScalarStyle::Folded);
}

#[test]
fn nothing_stands_right_after_its_colon_or_dash() {
    for (text, path, at_byte) in [
        ("a:\nb: 1", "a", 2),
        ("a:  # c\nb: 1", "a", 2),
        ("a:   \n# c\n\nb: 1", "a", 2),
        ("a:\r\nb: 1", "a", 2),
        ("{a:, b: , c: }", "a", 3),
        ("{a:, b: , c: }", "b", 7),
        ("{a:, b: , c: }", "c", 12),
        ("m:\n  a:\nb: 1\n", "m.a", 7),
        ("m:\n  µ: # c\n# d\nb: 1\n", "m.µ", 8),
        ("? µ\n: # c\nb: 1\n", "µ", 6),
        ("'a' :\nb: 1\n", "a", 5),
        ("m:\n  a:", "m.a", 7),
        ("- # c\n- 1", "0", 1),
        ("- 1 # - x\n\n- # c\n", "1", 12),
        ("- -1\n- -\n", "1.0", 8),
    ] {
        let (_, t) = parsed(text);
        let node = at(&t, path);
        assert!(t.is_null(node), "{text:?}");
        assert_eq!(t.scalar(node).unwrap().value, "", "nothing is written: {text:?}");
        let span = t.span(node);
        assert_eq!((span.start, span.end), (at_byte, at_byte), "{text:?}");
    }
    let (_, t) = parsed("a: ~\nb: null\nc: 'null'\n");
    assert!(t.is_null(at(&t, "a")) && t.is_null(at(&t, "b")) && !t.is_null(at(&t, "c")));
}

#[test]
fn files_with_nothing_in_them_have_an_empty_root() {
    for text in ["", "\n\n", "# only\n# c\n", "\u{feff}", "\u{feff}# c\r\n", "---\n"] {
        let (s, t) = parsed(text);
        assert!(t.is_null(t.root()), "{text:?}");
        assert_eq!(s.slice(t.span(t.root())), "");
    }
}

#[test]
fn aliases_keep_their_own_place() {
    let (s, t) = parsed("µ: &x {k: 1}\n日本: *x\nl: [*x, 2]\n");
    assert_eq!(slice(&s, &t, "µ"), "{k: 1}");
    assert_eq!(slice(&s, &t, "日本"), "*x");
    assert_eq!(slice(&s, &t, "l.0"), "*x");
    assert_eq!(slice(&s, &t, "l.0.k"), "1");
    assert!(t.node(at(&t, "µ")).anchored && !t.node(at(&t, "l")).anchored);
    assert_eq!(t.resolve(at(&t, "日本")), (at(&t, "µ"), true));
    assert!(matches!(t.node(at(&t, "日本")).kind, NodeKind::Alias(_)));
}

#[test]
fn merge_keys_bring_what_is_not_there() {
    // YAML's merge key type (yaml.org/type/merge.html): own keys win, then the earlier map of a list.
    let (s, t) =
        parsed("a: &a {x: 1, y: 2}\nb: &b {y: 3, z: 4}\nc: {x: 0, <<: [*a, *b]}\nd:\n  <<: *b\n  w: 5\n");
    for (path, want) in [("c.x", "0"), ("c.y", "2"), ("c.z", "4"), ("d.y", "3"), ("d.w", "5")] {
        assert_eq!(slice(&s, &t, path), want, "{path}");
    }
    let origin = |map: &str, key: &str| t.get(at(&t, map), key).unwrap().origin;
    assert_eq!(origin("c", "x"), Origin::Own);
    let Origin::Merged(span) = origin("c", "z") else { panic!("not merged") };
    assert_eq!(s.slice(span), "*b");
    assert!(t.get(at(&t, "c"), "<<").is_none());
}

#[test]
fn many_keys_stay_linear() {
    // Ten thousand keys, each twice; a square law would take minutes in a debug build.
    let keys: String = (0..20_000).map(|i| format!("k{}: {i}\n", i % 10_000)).collect();
    let source = Source::new("t", keys);
    let start = std::time::Instant::now();
    let parsed = Tree::parse(&source);
    assert!(start.elapsed().as_secs() < 5, "{:?}", start.elapsed());
    assert_eq!(parsed.problems.len(), 10_000);
    let tree = parsed.tree.unwrap();
    assert_eq!(tree.entries(tree.root()).len(), 10_000);
    assert_eq!(source.slice(tree.span(tree.get(tree.root(), "k7").unwrap().value)), "7");
}

#[test]
fn the_letters_of_a_folded_text_are_found_again() {
    let text = "a: >-\n  one two\n  µ four\n\n  five\nb: |\n  x\n  y\nc: one\n  two\nd: 'one\n  it''s'\ne: \"p\\tq\"\nf: plain\n";
    for crlf in [false, true] {
        let text = if crlf { text.replace('\n', "\r\n") } else { text.to_owned() };
        let (s, t) = parsed(&text);
        for path in ["a", "b", "c", "f"] {
            let value = &t.scalar(at(&t, path)).unwrap().value;
            let lines = t.content_lines(&s, at(&t, path)).unwrap_or_else(|| panic!("{path}"));
            for (word, offset) in value.split_whitespace().map(|w| (w, value.find(w).unwrap())) {
                let line = lines.iter().rev().find(|l| l.0 as usize <= offset).unwrap();
                let from = line.1 as usize + offset - line.0 as usize;
                assert_eq!(text.get(from..from + word.len()), Some(word), "{path} {lines:?}");
            }
        }
        assert_eq!(t.content_lines(&s, at(&t, "a")).unwrap().len(), 3);
        // A doubled quote or an escape is no letter of the value.
        assert_eq!(t.content_lines(&s, at(&t, "d")), None);
        assert_eq!(t.content_lines(&s, at(&t, "e")), None);
    }
}

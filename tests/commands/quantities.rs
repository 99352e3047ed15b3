//! What is said of each quantity fits what it gives.

use super::Bench;

/// The list of quantities: type, name, doc, and what it gives.
fn quantities() -> Vec<(String, String, String, String)> {
    let list = Bench::new().run(&["rules", "--quantities"]).code(0).out.clone();
    let (mut all, mut of) = (Vec::new(), String::new());
    for line in list.split("\nfunctions\n").next().unwrap().lines() {
        match line.strip_prefix("  ") {
            None => of = line.split(':').next().unwrap_or_default().to_owned(),
            Some(entry) => {
                let (name, rest) = entry.split_once(' ').unwrap();
                // A doc is a sentence; what it gives stands behind it.
                let (doc, gives) = rest.trim().rsplit_once(". (").unwrap_or_else(|| panic!("{of}: {entry}"));
                all.push((
                    of.clone(),
                    name.to_owned(),
                    doc.to_owned(),
                    gives.trim_end_matches(')').to_owned(),
                ));
            }
        }
    }
    all
}

#[test]
fn a_doc_says_what_its_quantity_gives() {
    let ratio = ["in calibres", "in diameters", "in body diameters", "as a share", "How many"];
    let all = quantities();
    for (of, name, doc, gives) in &all {
        let place = format!("{of}.{name}: {doc} ({gives})");
        assert_eq!(doc.starts_with("Whether"), gives.starts_with("a truth"), "{place}");
        let is_name = doc.starts_with("The name") || gives.starts_with("a text");
        let is_ratio = ratio.iter().any(|words| doc.contains(words)) && !is_name;
        assert!(!is_ratio || gives.starts_with("a plain number"), "{place}");
        for (gives_this, words) in [
            ("a mass", &["ass", "weigh", "powder"][..]),
            ("a force", &["orce", "ull", "oad", "hrust", "push"]),
            ("a speed", &["peed", "fast", "rate", "ind"]),
            ("a voltage", &["oltage"]),
            ("a date", &["day", "date", "When"]),
            ("an angle", &["ngle"]),
        ] {
            let is_this = gives.split(',').next() == Some(gives_this);
            assert!(!is_this || words.iter().any(|word| doc.contains(word)), "{place}");
        }
    }
    assert!(all.len() > 600, "{}", all.len());
}

#[test]
fn the_list_says_what_may_be_left_out_and_what_no_rule_names() {
    let bench = Bench::new();
    let list = bench.run(&["rules", "--quantities"]).code(0).out.clone();
    let line =
        |start: &str| list.lines().find(|line| line.starts_with(start)).unwrap_or_else(|| panic!("{start}"));
    assert!(line("  codes  ").ends_with(", optional)"), "{}", line("  codes  "));
    assert!(line("tap_drill: ").ends_with("(A row of a table, for functions: no expression names it)"));
    assert!(!line("thread: ").contains("A row of a table, for functions"));
    let document = bench.run(&["rules", "--quantities", "--format", "json"]).code(0).json();
    let types = document["types"].as_array().unwrap();
    let of = |name: &str| types.iter().find(|one| one["type"] == name).unwrap();
    assert_eq!((&of("tap_drill")["named"], &of("thread")["named"]), (&false.into(), &true.into()));
    let entry = |list: &str, name: &str| {
        let all = of("flight")[list].as_array().unwrap();
        all.iter().find(|one| one["name"] == name).unwrap_or_else(|| panic!("{name}")).clone()
    };
    assert_eq!(
        (&entry("fields", "rail")["gives"], &entry("fields", "rail")["need"]),
        (&"a length".into(), &"expected".into())
    );
    assert_eq!(entry("fields", "ceiling")["need"], "optional");
    assert_eq!(entry("worked_out", "air_density")["gives"], "a density");
    // All that the one list has stands in the other.
    let names = |list: &str| types.iter().map(|one| one[list].as_array().unwrap().len()).sum::<usize>();
    assert_eq!(names("fields") + names("worked_out"), quantities().len());
}

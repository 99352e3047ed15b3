//! Files do not import each other in circles, but for a few that are listed.

use std::collections::{BTreeMap, BTreeSet};

use regex::Regex;

use crate::house::library;

/// A file by its path below `src/`, without `.rs` and `/mod`.
type Module = Vec<String>;

/// The files of each circle that there is. They hold types that know each other: what is evaluated and in what, the
/// parachutes and how the rocket comes down by them. Two at most in one folder, and none across folders.
const CIRCLES: &[&[&str]] = &[
    &["commands", "commands/inputs", "commands/locks", "commands/settings"],
    &[
        "model",
        "model/catalogue",
        "model/computation",
        "model/context",
        "model/footprint",
        "model/inverse",
        "model/memo",
        "model/overlay",
    ],
    &["model/descent", "model/trains", "model/way_down"],
    &["report/drawing", "report/drawing/anchors", "report/drawing/parts"],
    &["report/page", "report/page/findings"],
    &["report/papers", "report/papers/content", "report/papers/html", "report/papers/markdown"],
    &["report/summary", "report/text"],
    &["review/baseline", "review/finding", "review/waiting"],
    &["rules/as_drawn", "rules/variants"],
    &["text/edit", "text/insert"],
    &["vocabulary", "vocabulary/typed"],
];

/// `a::{b, c::{d, e}}` as `a::b`, `a::c::d` and `a::c::e`.
fn spread(tree: &str) -> Vec<String> {
    let tree = tree.trim();
    let Some((before, inside)) = tree.strip_suffix('}').and_then(|t| t.split_once('{')) else {
        return vec![tree.split(" as ").next().unwrap().trim().to_owned()];
    };
    let (mut depth, mut parts) = (0, vec![String::new()]);
    for c in inside.chars() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                parts.push(String::new());
                continue;
            }
            _ => {}
        }
        parts.last_mut().unwrap().push(c);
    }
    let parts = parts.iter().filter(|part| !part.trim().is_empty());
    parts.flat_map(|part| spread(&format!("{before}{}", part.trim()))).collect()
}

struct Imports {
    texts: BTreeMap<Module, String>,
    /// What a file passes on under a name of its own: from which file.
    passed_on: BTreeMap<(Module, String), Module>,
}

impl Imports {
    fn read() -> (Self, BTreeMap<Module, BTreeSet<Module>>) {
        let comment = Regex::new(r"(?m)^\s*//.*$").unwrap();
        let module = |path: String| {
            let path =
                path.trim_start_matches("src/").trim_end_matches(".rs").trim_end_matches("/mod").to_owned();
            path.split('/').map(str::to_owned).collect()
        };
        let texts =
            library().into_iter().map(|(path, text)| (module(path), comment.replace_all(&text, "").into()));
        let mut imports = Self { texts: texts.collect(), passed_on: BTreeMap::new() };
        let used = Regex::new(r"(?m)^\s*(pub(?:\([a-z ]+\))? )?use ([^;]+);").unwrap();
        let path = Regex::new(r"\b(?:crate|super|self|[a-z_]+)(?:::\w+)+").unwrap();
        let mut paths: Vec<(Module, String)> = Vec::new();
        for (from, text) in &imports.texts {
            for found in used.captures_iter(text) {
                let flat = found[2].split_whitespace().collect::<Vec<_>>().join(" ");
                for one in spread(&flat) {
                    match (found.get(1), imports.resolve(from, &one)) {
                        (Some(_), Some((target, Some(name)))) => {
                            imports.passed_on.insert((from.clone(), name), target);
                        }
                        _ => paths.push((from.clone(), one)),
                    }
                }
            }
            let rest = used.replace_all(text, "");
            paths.extend(path.find_iter(&rest).map(|found| (from.clone(), found.as_str().to_owned())));
        }
        let mut edges: BTreeMap<Module, BTreeSet<Module>> = BTreeMap::new();
        for (from, path) in paths {
            let Some((mut target, name)) = imports.resolve(&from, &path) else { continue };
            while let Some(next) =
                name.as_ref().and_then(|n| imports.passed_on.get(&(target.clone(), n.clone())))
            {
                target.clone_from(next);
            }
            if target != from && imports.texts.contains_key(&target) {
                edges.entry(from).or_default().insert(target);
            }
        }
        (imports, edges)
    }

    /// The file that a path in another file leads to, and the name that it asks for there.
    fn resolve(&self, from: &Module, path: &str) -> Option<(Module, Option<String>)> {
        let mut words = path.split("::").peekable();
        let mut at = from.clone();
        match *words.peek()? {
            "crate" => {
                at.clear();
                words.next();
            }
            "self" => {
                words.next();
            }
            "super" => {
                while words.next_if_eq(&"super").is_some() {
                    at.pop();
                }
            }
            word => {
                at.push(word.to_owned());
                self.texts.get(&at)?;
                words.next();
            }
        }
        while let Some(word) = words.peek() {
            at.push((*word).to_owned());
            if !self.texts.contains_key(&at) {
                at.pop();
                break;
            }
            words.next();
        }
        Some((at, words.next().map(str::to_owned)))
    }
}

/// Everything that can be reached from a file.
fn reached<'e>(from: &'e Module, edges: &'e BTreeMap<Module, BTreeSet<Module>>) -> BTreeSet<&'e Module> {
    let (mut seen, mut next) = (BTreeSet::new(), vec![from]);
    while let Some(one) = next.pop() {
        next.extend(edges.get(one).into_iter().flatten().filter(|target| seen.insert(*target)));
    }
    seen
}

#[test]
fn files_import_each_other_in_no_other_circles() {
    let (imports, edges) = Imports::read();
    assert!(edges.values().map(BTreeSet::len).sum::<usize>() > 500, "imports are found");
    let all: BTreeMap<&Module, BTreeSet<&Module>> =
        imports.texts.keys().map(|from| (from, reached(from, &edges))).collect();
    let mut circles: BTreeSet<Vec<String>> = BTreeSet::new();
    for (from, targets) in all.iter().filter(|(from, targets)| targets.contains(*from)) {
        let back = targets.iter().filter(|target| all[**target].contains(from));
        circles.insert(back.map(|module| module.join("/")).collect());
    }
    let known: BTreeSet<Vec<String>> =
        CIRCLES.iter().map(|circle| circle.iter().map(|one| (*one).to_owned()).collect()).collect();
    assert_eq!(circles, known);
    // None across folders, and two at most in one.
    let folder = |circle: &Vec<String>| {
        let first = circle.iter().min_by_key(|one| one.len()).unwrap();
        if circle.iter().all(|one| one == first || one.starts_with(&format!("{first}/"))) {
            first.clone()
        } else {
            first.rsplit_once('/').map_or(String::new(), |(folder, _)| folder.to_owned())
        }
    };
    for circle in &circles {
        let mine = folder(circle);
        let inside = |one: &String| {
            one == &mine || one.strip_prefix(&format!("{mine}/")).is_some_and(|rest| !rest.contains('/'))
        };
        assert!(circle.iter().all(inside), "{circle:?} is a circle across folders");
        assert!(circles.iter().filter(|other| folder(other) == mine).count() <= 2, "{mine}");
    }
}

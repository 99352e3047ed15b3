//! Which file imports which: no file of one folder in a cycle with one of another, and each layer only from lower ones.

use std::collections::{BTreeMap, BTreeSet};

use regex::Regex;

use crate::architecture::{layers, library};

/// A file by its path below `src/`, without `.rs` and `/mod`.
type Module = Vec<String>;

/// The imports of each file.
type Edges = BTreeMap<Module, BTreeSet<Module>>;

/// The cycles that there are, all within one folder; at most two files each. A model is evaluated by the catalogue's quantities,
/// and these are functions of a context that leads to the model.
const CYCLES: &[&[&str]] = &[&["model", "model/catalogue"]];

/// `a::{b, c::{d, e}}` as `a::b`, `a::c::d` and `a::c::e`.
fn flattened(tree: &str) -> Vec<String> {
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
    parts.flat_map(|part| flattened(&format!("{before}{}", part.trim()))).collect()
}

struct Imports {
    texts: BTreeMap<Module, String>,
    /// What a file exports again under its own path: from which file.
    exported: BTreeMap<(Module, String), Module>,
}

impl Imports {
    fn read() -> (Self, Edges) {
        let comment = Regex::new(r"(?m)//.*$").unwrap();
        let module = |path: String| {
            let path =
                path.trim_start_matches("src/").trim_end_matches(".rs").trim_end_matches("/mod").to_owned();
            path.split('/').map(str::to_owned).collect()
        };
        let texts =
            library().into_iter().map(|(path, text)| (module(path), comment.replace_all(&text, "").into()));
        let mut imports = Self { texts: texts.collect(), exported: BTreeMap::new() };
        let used = Regex::new(r"(?m)^\s*(pub(?:\([a-z ]+\))? )?use ([^;]+);").unwrap();
        let path = Regex::new(r"\b(?:crate|super|self|[a-z_]+)(?:::\w+)+").unwrap();
        let mut paths: Vec<(Module, String)> = Vec::new();
        for (from, text) in &imports.texts {
            let rest = used.replace_all(text, "");
            for found in used.captures_iter(text) {
                let flat = found[2].split_whitespace().collect::<Vec<_>>().join(" ");
                for one in flattened(&flat) {
                    match (found.get(1), imports.resolve(from, &one)) {
                        (Some(_), Some((target, Some(name)))) => {
                            let names =
                                if name == "*" { declared(&imports.texts[&target]) } else { vec![name] };
                            // A name that is exported again and used in the same file is imported too.
                            if names.iter().any(|name| is_used(&rest, name)) {
                                paths.push((from.clone(), one));
                            }
                            let exported = names.into_iter().map(|name| (from.clone(), name));
                            imports.exported.extend(exported.map(|key| (key, target.clone())));
                        }
                        _ => paths.push((from.clone(), one)),
                    }
                }
            }
            paths.extend(path.find_iter(&rest).map(|found| (from.clone(), found.as_str().to_owned())));
        }
        let mut edges = Edges::new();
        for (from, path) in paths {
            let Some((mut target, name)) = imports.resolve(&from, &path) else { continue };
            while let Some(next) =
                name.as_ref().and_then(|n| imports.exported.get(&(target.clone(), n.clone())))
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

/// The names of the entity types that a file declares: of the static, the type and the module of its keys.
fn declared(text: &str) -> Vec<String> {
    let declaration = Regex::new(r#"(?m)^    ([A-Z_]+): (\w+) as (\w+) = ""#).unwrap();
    let names = declaration.captures_iter(text).flat_map(|found| [1, 2, 3].map(|at| found[at].to_owned()));
    names.collect()
}

/// Whether a text uses a type by its name, or calls a function.
fn is_used(text: &str, name: &str) -> bool {
    let is_type = name.starts_with(|c: char| c.is_uppercase());
    let call = if is_type { "" } else { r"\(" };
    let text = text.replace(&format!("fn {name}("), "");
    Regex::new(&format!(r"(?:^|[^\w.:]){name}\b{call}")).unwrap().is_match(&text)
}

/// Everything that can be reached from a file.
fn reached<'e>(from: &'e Module, edges: &'e Edges) -> BTreeSet<&'e Module> {
    let (mut seen, mut next) = (BTreeSet::new(), vec![from]);
    while let Some(one) = next.pop() {
        next.extend(edges.get(one).into_iter().flatten().filter(|target| seen.insert(*target)));
    }
    seen
}

#[test]
fn files_import_each_other_in_no_other_cycle() {
    let (imports, edges) = Imports::read();
    assert!(edges.values().map(BTreeSet::len).sum::<usize>() > 500, "imports are found");
    let all: BTreeMap<&Module, BTreeSet<&Module>> =
        imports.texts.keys().map(|from| (from, reached(from, &edges))).collect();
    let mut cycles: BTreeSet<Vec<String>> = BTreeSet::new();
    for (from, targets) in all.iter().filter(|(from, targets)| targets.contains(*from)) {
        let back = targets.iter().filter(|target| all[**target].contains(from));
        cycles.insert(back.map(|module| module.join("/")).collect());
    }
    let known: BTreeSet<Vec<String>> =
        CYCLES.iter().map(|cycle| cycle.iter().map(|one| (*one).to_owned()).collect()).collect();
    assert_eq!(cycles, known);
    for cycle in &cycles {
        let folder = |one: &String| one.split('/').next().unwrap().to_owned();
        assert!(cycle.iter().all(|one| folder(one) == folder(&cycle[0])), "{cycle:?} is across folders");
        assert!(cycle.len() <= 2, "{cycle:?}");
    }
}

#[test]
fn a_layer_imports_only_from_lower_ones() {
    let layers = layers();
    let height = |module: &Module| {
        let found = layers.iter().position(|layer| *layer == module[0]);
        found.unwrap_or_else(|| panic!("src/{}/ is not in the code map", module[0]))
    };
    let top: Vec<Module> = ["lib", "main"].map(|one| vec![one.to_owned()]).into();
    let (_, edges) = Imports::read();
    let mut seen = BTreeSet::new();
    for (from, targets) in edges.iter().filter(|(from, _)| !top.contains(from)) {
        for target in targets {
            assert!(
                height(target) <= height(from),
                "src/{} imports from a higher layer, src/{}",
                from.join("/"),
                target.join("/")
            );
            seen.insert((from[0].clone(), target[0].clone()));
        }
    }
    // The order is one that imports make, and no list of folders that have nothing to do with each other.
    for pair in layers.windows(2).filter(|pair| pair[0] != "quantity") {
        let low = layers.iter().position(|layer| *layer == pair[1]).unwrap();
        assert!(
            layers[..low].iter().any(|lower| seen.contains(&(pair[1].clone(), lower.clone()))),
            "src/{}/ imports from no lower layer",
            pair[1]
        );
    }
}

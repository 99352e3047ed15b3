//! Every public function of the computations is swept.

use std::collections::BTreeSet;
use std::path::Path;

use super::sweep::all;

/// What takes or gives no number that could be endless, and the integrator's own parts, which the flights go through.
const NOT_SWEPT: [&str; 16] = [
    "mod::because",
    "motors::class_range",
    "motors::designated",
    "motors::is_same_motor",
    "integrate::new",
    "integrate::time",
    "integrate::state",
    "integrate::restart",
    "integrate::advance",
    "integrate::start",
    "integrate::end",
    "integrate::last",
    "integrate::at",
    "integrate::rise",
    "integrate::root",
    "integrate::peak",
];

fn declared(folder: &Path, found: &mut BTreeSet<String>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            declared(&path, found);
        }
        let text = if path.extension().is_some_and(|e| e == "rs") {
            std::fs::read_to_string(&path).unwrap()
        } else {
            continue;
        };
        let module = path.file_stem().unwrap().to_string_lossy();
        for line in text.lines().map(str::trim_start) {
            let rest = line.strip_prefix("pub fn ").or_else(|| line.strip_prefix("pub const fn "));
            if let Some(rest) = rest {
                let name: String = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                found.insert(format!("{module}::{name}"));
            }
        }
    }
}

#[test]
fn every_public_function_of_the_computations_is_swept() {
    let mut declared_names = BTreeSet::new();
    declared(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src/engineering"), &mut declared_names);
    let swept = all();
    let mut named: BTreeSet<String> = swept.iter().map(|edge| edge.name.to_owned()).collect();
    named.extend(NOT_SWEPT.map(str::to_owned));
    let missing: Vec<_> = declared_names.difference(&named).collect();
    let unknown: Vec<_> = named.difference(&declared_names).collect();
    assert!(missing.is_empty() && unknown.is_empty(), "not swept: {missing:?}; not there: {unknown:?}");
}

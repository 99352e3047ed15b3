//! A review that shares what did not change comes out, byte for byte, as one from scratch.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test may panic")]
#![allow(clippy::indexing_slicing, reason = "a test may panic")]

use std::path::Path;

use holdpoint::design::Design;
use holdpoint::report::{Json, ReportForm as _};
use holdpoint::review::{DesignReview, IncrementalReview, Options, review};
use holdpoint::rules::{Library, TRIAL_DAY};
use holdpoint::yaml::{NodeId, Source, Tree, apply, insert_key, remove_entry, replace_value};

/// Numbers that come out the same on every run.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % sides
    }
}

fn designs() -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    for folder in ["examples", "rules/specimens"] {
        for entry in std::fs::read_dir(root.join(folder)).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if name.ends_with(".rocket.yaml") {
                found.push((name, std::fs::read_to_string(path).unwrap()));
            }
        }
    }
    found.sort();
    assert!(found.len() >= 7, "{}", found.len());
    found
}

/// Every entry of every map: the map, the key, the value.
fn entries(tree: &Tree, map: NodeId, found: &mut Vec<(NodeId, String, NodeId)>) {
    for entry in tree.entries(map) {
        let key = tree.scalar(entry.key).map(|s| s.value.to_string()).unwrap_or_default();
        found.push((map, key, entry.value));
        entries(tree, entry.value, found);
    }
    for item in tree.items(map) {
        entries(tree, *item, found);
    }
}

/// A scalar with its number a little or a lot larger, or another word in its place.
fn other(text: &str, dice: &mut Dice) -> String {
    let digits = text.find(|c: char| c.is_ascii_digit());
    let Some(start) = digits else {
        return ["none", "true", "false", "fore", "aft", "nylon", "epoxy", "1/4-20"][dice.roll(8)].to_owned();
    };
    let end = text[start..].find(|c: char| !c.is_ascii_digit() && c != '.').map_or(text.len(), |e| start + e);
    let number: f64 = text[start..end].parse().unwrap_or(1.0);
    let factor = [0.5, 0.97, 0.999, 1.001, 1.02, 1.5, 3.0][dice.roll(7)];
    let mut new = format!("{}{}{}", &text[..start], (number * factor * 1e4).round() / 1e4, &text[end..]);
    if dice.roll(6) == 0 && new.ends_with(" in") && !new.contains(['/', '±']) {
        new = new.replace(" in", " ± 0.02 in");
    }
    new
}

/// The text with one random edit: a value changed, removed or made `none`; a part repeated under another name.
fn edited(text: &str, dice: &mut Dice) -> Option<String> {
    let source = Source::new("edited", text);
    let tree = Tree::parse(&source).tree?;
    let mut all = Vec::new();
    entries(&tree, tree.root(), &mut all);
    let (map, key, value) = &all[dice.roll(all.len())];
    let edit = match dice.roll(8) {
        0 => remove_entry(&source, &tree, *map, key, false),
        1 => replace_value(&source, &tree, *value, "none", false),
        2 if tree.is_map(*value) && tree.is_flow(*value) => {
            let words = source.slice(tree.span(*value)).to_owned();
            insert_key(&source, &tree, *map, &format!("{key}_again"), &words, false)
        }
        _ => {
            let scalar = tree.scalar(*value)?.value.to_string();
            replace_value(&source, &tree, *value, &other(&scalar, dice), false)
        }
    };
    apply(text, &[edit.ok()?]).ok()
}

fn printed(library: &Library, review: &DesignReview) -> String {
    Json.design(review, library, 1).text().to_owned()
}

#[test]
fn a_review_after_edits_is_the_same_as_one_from_scratch() {
    let library = Library::built_in();
    let options = Options::on(TRIAL_DAY);
    let rounds: u64 = std::env::var("HOLDPOINT_ROUNDS").ok().and_then(|n| n.parse().ok()).unwrap_or(6);
    let mut compared = 0;
    for (name, start) in designs() {
        for seed in 0..rounds {
            let mut dice = Dice(seed * 7919 + start.len() as u64);
            let mut incremental = IncrementalReview::new(&library, options.clone());
            let mut text = start.clone();
            for turn in 0..5 {
                let read = || Design::read(Source::new(name.as_str(), text.as_str()), &library.tables);
                let again = printed(&library, &incremental.review(read()));
                let scratch = printed(&library, &review(read(), &library, &options));
                if again != scratch {
                    let (a, b) = again
                        .lines()
                        .zip(scratch.lines())
                        .find(|(a, b)| a != b)
                        .unwrap_or(("one is longer", ""));
                    panic!("{name}, seed {seed}, turn {turn}:\nincremental {a}\nfrom scratch {b}");
                }
                compared += 1;
                // Back to the start now and then: what was taken away comes again.
                if dice.roll(5) == 0 {
                    text = start.clone();
                }
                for _ in 0..=dice.roll(5) {
                    text = edited(&text, &mut dice).unwrap_or(text);
                }
            }
        }
    }
    assert!(compared > 100, "{compared}");
}

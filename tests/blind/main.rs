//! Blind sets: sound rockets, and single mistakes in them, by writers who had read the guide to a design file and its schema and nothing else.
//! A sound rocket is clear, or stands as held with the reason why that is fair. A mistake brings a new finding at the level that it deserves
//! with the words that its writer asked for, or stands with what is said of it in their place. All data are invented.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::indexing_slicing,
    reason = "a test may panic, and this one tells its figures"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use holdpoint::design::Design;
use holdpoint::review::{DesignReview, Finding, Options, review};
use holdpoint::rules::{Level, Library, Verdict};
use holdpoint::tables::Tables;
use holdpoint::yaml::Source;
use rayon::prelude::*;
use serde::Deserialize;
use serde_yaml::Value;

/// One set.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Set {
    /// The day of the review.
    day: String,
    /// What came of it when it was first reviewed, where that was written down.
    #[serde(rename = "first_review")]
    _first_review: Option<String>,
    /// Rockets that are held, each with the reason why that is fair.
    held: BTreeMap<String, String>,
    mistakes: Vec<Mistake>,
}

/// One mistake, and what should be said of it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Mistake {
    rocket: String,
    /// Values by their paths in the parsed file; null takes one away.
    edit: BTreeMap<String, Value>,
    /// What the mistake is.
    what: String,
    /// The level that it deserves.
    level: Deserved,
    /// Of each entry, one of the words between its bars stands in the finding.
    words: Vec<String>,
    #[serde(rename = "step")]
    _step: String,
    #[serde(rename = "subtle")]
    _subtle: bool,
    /// What is said of it where that is in other words, or at a lower level.
    instead: Option<String>,
}

/// A level by its word.
#[derive(Clone, Copy, Deserialize, PartialEq, Eq, PartialOrd, Ord)]
#[serde(rename_all = "snake_case")]
enum Deserved {
    Note,
    Warning,
    Error,
}

impl From<Level> for Deserved {
    fn from(level: Level) -> Self {
        match level {
            Level::Note => Self::Note,
            Level::Warning => Self::Warning,
            Level::Error => Self::Error,
        }
    }
}

fn sets() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/blind");
    let mut found: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|p| p.is_dir())
        .collect();
    found.sort();
    found
}

fn set(folder: &Path) -> Set {
    serde_yaml::from_str(&std::fs::read_to_string(folder.join("mistakes.yaml")).unwrap()).unwrap()
}

fn rockets(folder: &Path) -> BTreeMap<String, String> {
    let files = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let named = files.filter_map(|path| {
        let name = path.file_name()?.to_str()?.strip_suffix(".rocket.yaml")?.to_owned();
        Some((name, std::fs::read_to_string(&path).unwrap()))
    });
    named.collect()
}

fn reviewed(library: &Library, day: &str, text: &str) -> DesignReview {
    let mut options = Options::on(day.parse().unwrap());
    options.try_remedies = false;
    options.find_working = false;
    review(Design::read(Source::new("blind.rocket.yaml", text), Tables::built_in()), library, &options)
}

/// The parsed file with values changed, written back.
fn edited(text: &str, edit: &BTreeMap<String, Value>) -> String {
    let mut all: Value = serde_yaml::from_str(text).unwrap();
    for (path, value) in edit {
        let (way, last) =
            path.rsplit_once('.').map_or((None, path.as_str()), |(way, last)| (Some(way), last));
        let mut at = &mut all;
        for key in way.into_iter().flat_map(|way| way.split('.')) {
            at = at.get_mut(key).unwrap_or_else(|| panic!("{path}: there is no {key}"));
        }
        let map = at.as_mapping_mut().unwrap();
        if value.is_null() {
            map.remove(last).unwrap();
        } else {
            map.insert(last.into(), value.clone());
        }
    }
    serde_yaml::to_string(&all).unwrap()
}

/// The findings of a review that were not there before.
fn new<'r>(after: &'r DesignReview, before: &DesignReview) -> Vec<&'r Finding> {
    let mut left: Vec<_> = before.findings.iter().map(|f| (&f.rule, &f.subject, f.outcome)).collect();
    let is_new = |found: &&Finding| {
        let at = left.iter().position(|known| *known == (&found.rule, &found.subject, found.outcome));
        at.map(|at| left.swap_remove(at)).is_none()
    };
    after.findings.iter().filter(is_new).collect()
}

fn says(finding: &Finding, words: &[String]) -> bool {
    let text = format!("{} {} {}", finding.rule, finding.subject, finding.message).to_lowercase();
    words.iter().all(|word| word.split('|').any(|way| text.contains(&way.to_lowercase())))
}

/// What is wrong with what is said of a mistake; none where it is found as it stands.
fn wrong(library: &Library, day: &str, text: &str, mistake: &Mistake) -> Option<String> {
    let before = reviewed(library, day, &edited(text, &BTreeMap::new()));
    let after = reviewed(library, day, &edited(text, &mistake.edit));
    let new = new(&after, &before);
    let is_proven = |finding: &&&Finding| finding.outcome != Verdict::Unproven;
    let at_level = |finding: &&&Finding| Deserved::from(finding.level) >= mistake.level;
    let found = new.iter().filter(is_proven).filter(at_level).any(|finding| says(finding, &mistake.words));
    let told: Vec<String> = new.iter().map(|f| format!("{:?} {}: {}", f.level, f.rule, f.message)).collect();
    match &mistake.instead {
        None => (!found).then(|| format!("{}: {} {told:#?}", mistake.rocket, mistake.what)),
        Some(_) if found => Some(format!("{}: {} is found now", mistake.rocket, mistake.what)),
        Some(rule) => (!new.iter().any(|finding| finding.rule == *rule))
            .then(|| format!("{}: {} {told:#?}", mistake.rocket, mistake.what)),
    }
}

#[test]
fn sound_rockets_are_clear_unless_they_are_listed() {
    let library = Library::built_in();
    let (mut clear, mut all) = (0, 0);
    let mut wrong = Vec::new();
    for folder in sets() {
        let set = set(&folder);
        let rockets = rockets(&folder);
        let unknown: BTreeSet<_> = set.held.keys().filter(|name| !rockets.contains_key(*name)).collect();
        assert!(unknown.is_empty(), "{unknown:?}");
        for (name, text) in rockets {
            let review = reviewed(&library, &set.day, &text);
            let is_clear = review.is_clear() && review.problems().is_empty();
            all += 1;
            clear += usize::from(is_clear);
            if is_clear == set.held.contains_key(&name) {
                let held: Vec<_> = review.findings.iter().filter(|f| f.holds()).map(|f| &f.message).collect();
                wrong.push(format!("{}/{name}: {held:#?}", folder.display()));
            }
        }
    }
    println!("{clear} of {all} sound rockets are clear");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(all >= 76, "{all}");
}

#[test]
fn single_mistakes_are_found() {
    let library = Library::built_in();
    let mut all_wrong = Vec::new();
    for folder in sets() {
        let (set, rockets) = (set(&folder), rockets(&folder));
        let judge = |mistake: &Mistake| wrong(&library, &set.day, &rockets[&mistake.rocket], mistake);
        all_wrong.extend(set.mistakes.par_iter().filter_map(judge).collect::<Vec<_>>());
        let found = set.mistakes.iter().filter(|mistake| mistake.instead.is_none()).count();
        println!("{}: {found} of {} found", folder.display(), set.mistakes.len());
    }
    assert!(all_wrong.is_empty(), "{}", all_wrong.join("\n"));
}

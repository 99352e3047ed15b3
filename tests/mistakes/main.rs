//! Single mistakes on rockets in good order: each is found by the rule, at the level and at the value that stand beside it, and
//! what is not found stands with its reason. How many are found is printed.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::indexing_slicing,
    reason = "a test may panic, and this one tells its figures"
)]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use holdpoint::design::Design;
use holdpoint::review::{DesignReview, Finding, Options, review};
use holdpoint::rules::{Level, Library};
use holdpoint::tables::Tables;
use holdpoint::yaml::Source;
use rayon::prelude::*;
use serde::Deserialize;

/// One file of mistakes.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Mistakes {
    mistakes: Vec<Mistake>,
}

/// One mistake, and what should be said of it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Mistake {
    /// The rocket: one of `tests/ordinary/`, of `examples/` or of `examples/configurations/`.
    rocket: String,
    /// What the mistake is.
    name: String,
    /// Texts to replace; each stands once in the file.
    edits: Vec<(String, String)>,
    /// The level that whoever wrote it thinks it deserves.
    deserves: Deserved,
    /// Why.
    #[serde(rename = "because")]
    _because: String,
    /// Keys of which one is underlined.
    underlines: Vec<String>,
    /// The rule that finds it, where one does.
    found_by: Option<String>,
    /// The level of that rule, where it is not the one that is deserved.
    at_level: Option<Deserved>,
    /// Why it is not found at its place; for what is found all the same, by a problem of the file.
    missed: Option<String>,
    /// A mistake that the reader of the file tells of, before any rule.
    #[serde(default)]
    told_by_reader: bool,
}

/// A level by its word.
#[derive(Clone, Copy, Deserialize, PartialEq, Eq)]
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

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/mistakes")
}

fn mistakes(file: &str) -> Vec<Mistake> {
    let text = std::fs::read_to_string(folder().join(file)).unwrap();
    let read: Mistakes = serde_yaml::from_str(&text).unwrap();
    read.mistakes
}

fn text_of(rocket: &str) -> String {
    let file = format!("{rocket}.rocket.yaml");
    let folders = ["tests/ordinary", "examples", "examples/configurations"];
    let paths = folders.map(|folder| Path::new(env!("CARGO_MANIFEST_DIR")).join(folder).join(&file));
    std::fs::read_to_string(paths.iter().find(|path| path.exists()).unwrap()).unwrap()
}

fn reviewed(library: &Library, text: &str) -> DesignReview {
    let mut options = Options::on(jiff::civil::date(2026, 11, 29));
    options.try_remedies = false;
    options.find_working = false;
    review(Design::read(Source::new("mistake.rocket.yaml", text), Tables::built_in()), library, &options)
}

/// Whether a finding stands in a review already.
fn stands_in(finding: &Finding, review: &DesignReview) -> bool {
    review.findings.iter().any(|other| {
        other.rule == finding.rule
            && other.subject == finding.subject
            && other.outcome == finding.outcome
            && other.message == finding.message
    })
}

/// Whether a finding underlines one of these keys.
fn underlines(finding: &Finding, keys: &[String]) -> bool {
    let of = |place: &holdpoint::review::FindingPlace| match place.key.as_str() {
        "" => place.label.split(':').next().unwrap_or_default().to_owned(),
        key => key.to_owned(),
    };
    let places = finding.places.iter().map(of).chain([finding.subject.clone()]);
    places.into_iter().any(|place| keys.iter().any(|key| place.contains(key.as_str())))
}

/// What a review says of one mistake; none where all is as it is written.
fn judged(library: &Library, sound: &DesignReview, text: &str, mistake: &Mistake) -> Option<String> {
    let mut edited = text.to_owned();
    for (old, new) in &mistake.edits {
        assert_eq!(edited.matches(old.as_str()).count(), 1, "{}: {old}", mistake.name);
        edited = edited.replace(old.as_str(), new);
    }
    let review = reviewed(library, &edited);
    let reported = review.problems().len() > sound.problems().len();
    let new = || review.findings.iter().filter(|finding| !stands_in(finding, sound));
    let at_place: Vec<&Finding> = new().filter(|f| underlines(f, &mistake.underlines)).collect();
    let name = format!("{}: {}", mistake.rocket, mistake.name);
    if mistake.told_by_reader {
        return (!reported).then(|| format!("{name}: the reader no longer tells of it"));
    }
    let found: Vec<String> = at_place.iter().map(|f| format!("{} ({:?})", f.rule, f.level)).collect();
    let Some(rule) = &mistake.found_by else {
        return (mistake.missed.is_none() || !at_place.is_empty())
            .then(|| format!("{name}: found at its place by {}; it stands as missed", found.join(", ")));
    };
    let level = mistake.at_level.unwrap_or(mistake.deserves);
    let hit = at_place.iter().any(|f| f.rule == *rule && Deserved::from(f.level) == level);
    (!hit).then(|| {
        let elsewhere: Vec<&str> = new().map(|f| f.rule.as_str()).collect();
        format!("{name}: {rule} does not find it; at its place {found:?}, in all {elsewhere:?}")
    })
}

/// How many of a file's mistakes are found, and how many of those at the level that is deserved.
fn tell(file: &str, all: &[Mistake]) {
    let reported = |m: &&Mistake| m.found_by.is_some() || m.told_by_reader;
    let found = all.iter().filter(reported).count();
    let as_deserved = all.iter().filter(reported).filter(|m| m.at_level.is_none()).count();
    println!("{file}: {found} of {} found, {as_deserved} of them at the level that they deserve", all.len());
    for missed in all.iter().filter(|m| !reported(m)) {
        println!(
            "  not found: {}: {} ({})",
            missed.rocket,
            missed.name,
            missed.missed.as_deref().unwrap_or("")
        );
    }
}

#[test]
fn single_mistakes_are_found_at_their_places() {
    let library = Library::built_in();
    let files = [
        ("first.yaml", 232),
        ("second.yaml", 40),
        ("third.yaml", 60),
        ("fourth.yaml", 25),
        ("fifth.yaml", 178),
    ];
    let mut wrong = Vec::new();
    for (file, count) in files {
        let all = mistakes(file);
        assert_eq!(all.len(), count, "{file}");
        let mut sound: BTreeMap<&str, (String, DesignReview)> = BTreeMap::new();
        for mistake in &all {
            sound.entry(&mistake.rocket).or_insert_with(|| {
                let text = text_of(&mistake.rocket);
                let review = reviewed(&library, &text);
                (text, review)
            });
        }
        let judge = |mistake: &Mistake| {
            let (text, review) = &sound[mistake.rocket.as_str()];
            judged(&library, review, text, mistake)
        };
        wrong.extend(all.par_iter().filter_map(judge).collect::<Vec<_>>());
        tell(file, &all);
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

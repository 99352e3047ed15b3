//! SARIF 2.1.0 (OASIS, Static Analysis Results Interchange Format), for programs that show findings beside the code.
//!
//! Lines and columns count from 1, columns in Unicode code points (`columnKind`), the end column one past the last
//! character; a byte order mark is no character. Paths are relative to `SRCROOT`, the folder of the run, which the log
//! leaves for the reader to settle, so that it says the same wherever it was written. A file elsewhere has its whole path.
//!
//! An unproven finding is of kind `fail` and not `open`: a result of another kind has no level by the standard, and what
//! is not proven holds.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::caution::caution;
use super::contract::Clearance;
use super::form::{DESIGNS, List, PROBLEMS, Part, ReportForm, Totals};
use super::location::{from_base, uri};
use super::note::{Location, LogNote, Note};
use super::pretty::Pretty;
use crate::review::{DesignReview, Disposition, Finding, Remedy, Tried};
use crate::rules::{Level, Library, Margin, OwnRule};
use crate::text::{Problem, Source, Span, clean};

/// The schema that a log says it follows.
const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// A mark in a result, for a number that is known at the end: of a rule (`r`) or of a file (`f`).
const MARK: char = '\u{1}';

impl Location {
    fn keys(&self, p: &mut Pretty) {
        p.key("uri").text(&self.uri);
        if self.in_base {
            p.key("uriBaseId").text("SRCROOT");
        }
    }
}

/// Entities that both lists refer to, numbered by their first appearance: first those of the problems.
#[derive(Clone, Debug)]
struct Numbered<K, T> {
    known: BTreeMap<K, usize>,
    all: Vec<(K, [Option<T>; 2])>,
    order: [Vec<usize>; 2],
}

impl<K, T> Default for Numbered<K, T> {
    fn default() -> Self {
        Self { known: BTreeMap::new(), all: Vec::new(), order: [Vec::new(), Vec::new()] }
    }
}

impl<K: Clone + Ord, T> Numbered<K, T> {
    /// The number of an entity among those that are known; what a list says of it first stays.
    fn number(&mut self, list: List, key: K, about: T) -> usize {
        let next = self.all.len();
        let number = *self.known.entry(key.clone()).or_insert(next);
        if number == next {
            self.all.push((key, [None, None]));
        }
        let (place, order) = match (list, self.all.get_mut(number), &mut self.order) {
            (List::Problems, Some((_, [place, _])), [order, _]) => (place, order),
            (List::Designs, Some((_, [_, place])), [_, order]) => (place, order),
            (_, None, _) => return number,
        };
        if place.is_none() {
            *place = Some(about);
            order.push(number);
        }
        number
    }

    /// All of them in the order of the log.
    fn in_order(&self) -> Vec<usize> {
        let [problems, designs] = &self.order;
        let with_problem = |number: &usize| matches!(self.all.get(*number), Some((_, [Some(_), _])));
        problems.iter().chain(designs.iter().filter(|number| !with_problem(number))).copied().collect()
    }
}

/// A review as a SARIF log. What is waived is left out, unless it is asked for: then it is there with its suppression.
#[derive(Clone, Debug, Default)]
pub struct Sarif {
    base: PathBuf,
    waived_too: bool,
    rules: Numbered<String, String>,
    files: Numbered<Location, Option<String>>,
    /// The number in the log of each rule and of each file.
    places: [Vec<usize>; 2],
    lines: Vec<String>,
}

impl Sarif {
    /// A log of a run in a folder.
    #[must_use]
    pub fn new(base: &Path, waived_too: bool) -> Self {
        Self { base: base.to_path_buf(), waived_too, ..Self::default() }
    }

    fn location(&self, source: &Source) -> Location {
        let path = from_base(source.name(), &self.base);
        match path.strip_prefix('/') {
            Some(_) => Location { uri: format!("file://{}", uri(&path)), in_base: false },
            None => Location { uri: uri(&path), in_base: true },
        }
    }
}

impl ReportForm for Sarif {
    fn separator(&self) -> &'static str {
        ","
    }

    fn problem(&self, source: &Source, problem: &Problem) -> Part {
        let location = self.location(source);
        let help = problem.help.as_deref().map(|h| format!("\n{h}")).unwrap_or_default();
        let text = Pretty::item(4, |p| {
            p.object(|p| {
                p.key("ruleId").text(OwnRule::Unreadable.name());
                p.key("ruleIndex").raw(&mark('r', 0));
                p.key("level").text(Level::Error.name());
                message(p.key("message"), &format!("{}{help}", problem.message));
                p.key("locations").list([()], |p, ()| {
                    p.object(|p| {
                        place(p.key("physicalLocation"), source, &location, problem.span);
                        message(p.key("message"), &problem.message);
                    });
                });
                p.key("partialFingerprints").object(|p| {
                    p.key("message/v1").text(&crate::review::digest(problem.message.as_bytes()));
                });
            });
        });
        let rules = vec![(OwnRule::Unreadable.name().to_owned(), unreadable())];
        Part { text, note: Note::Log(LogNote { rules, location, digest: None, line: String::new() }) }
    }

    fn design(&self, review: &DesignReview, _: &Library, _: usize) -> Part {
        let source = &review.design.source;
        let location = self.location(source);
        let mut rules: Vec<(String, String)> = Vec::new();
        let mut text = String::new();
        for finding in &review.findings {
            let wanted = match finding.standing {
                Disposition::Shown => true,
                Disposition::Waived(_) => self.waived_too,
                Disposition::Baselined | Disposition::Below => false,
            };
            if !wanted {
                continue;
            }
            let known = rules.iter().position(|(id, _)| *id == finding.rule);
            let index = known.unwrap_or_else(|| {
                rules.push((finding.rule.clone(), rule(finding)));
                rules.len() - 1
            });
            if !text.is_empty() {
                text.push(',');
            }
            text.push_str(&Pretty::item(4, |p| result(p, source, &location, index, finding)));
        }
        let accounts = review.accounts();
        let line = Pretty::item(5, |p| {
            p.object(|p| {
                p.key("path").text(&from_base(source.name(), &self.base));
                p.key("verdict").text(Clearance::when(review.is_clear()).name());
                p.key("shown").count(accounts.shown);
                p.key("waived").count(accounts.waived);
                p.key("baselined").count(accounts.baselined);
                p.key("below").count(accounts.below);
                p.key("total").count(accounts.total);
            });
        });
        Part { text, note: Note::Log(LogNote { rules, location, digest: Some(review.digest.clone()), line }) }
    }

    fn take(&mut self, list: List, part: Part) -> String {
        let Note::Log(note) = part.note else { return part.text };
        let numbers: Vec<usize> =
            note.rules.into_iter().map(|(id, about)| self.rules.number(list, id, about)).collect();
        let file = self.files.number(list, note.location, note.digest);
        if !note.line.is_empty() {
            self.lines.push(note.line);
        }
        let mut text = String::with_capacity(part.text.len());
        for (at, stretch) in part.text.split(MARK).enumerate() {
            // Between two marks stands what they are about.
            match stretch.strip_prefix('r').filter(|_| at % 2 == 1) {
                _ if at % 2 == 0 => text.push_str(stretch),
                Some(local) => {
                    let local = local.parse().ok().and_then(|at: usize| numbers.get(at));
                    text.push_str(&mark('r', local.copied().unwrap_or(0)));
                }
                None => text.push_str(&mark('f', file)),
            }
        }
        text
    }

    fn has_marks(&self) -> bool {
        true
    }

    fn at_mark(&self, mark: &str) -> Option<String> {
        let [rules, files] = &self.places;
        let places = if mark.starts_with('r') { rules } else { files };
        let number: usize = mark.get(1..)?.parse().ok()?;
        places.get(number).map(usize::to_string)
    }

    fn frame(&mut self, totals: Totals) -> String {
        let (rules, files) = (self.rules.in_order(), self.files.in_order());
        self.places = [places_of(&rules), places_of(&files)];
        let mut described = Vec::new();
        for (_, [of_problems, of_designs]) in rules.iter().filter_map(|number| self.rules.all.get(*number)) {
            described.extend(of_problems.as_ref().or(of_designs.as_ref()).map(String::as_str));
        }
        let listed: Vec<String> =
            files.iter().filter_map(|number| self.files.all.get(*number)).map(artifact).collect();
        let between = if totals.problems_written && totals.designs_written { "," } else { "" };
        let results = format!("{PROBLEMS}{between}{DESIGNS}");
        let mut p = Pretty::at(0);
        p.object(|p| {
            p.key("$schema").text(SCHEMA);
            p.key("version").text("2.1.0");
            p.key("runs").list([()], |p, ()| {
                p.object(|p| {
                    p.key("tool").object(|p| {
                        p.key("driver").object(|p| {
                            p.key("name").text("Holdpoint");
                            p.key("semanticVersion").text(env!("CARGO_PKG_VERSION"));
                            p.key("version").text(env!("CARGO_PKG_VERSION"));
                            p.key("rules").list_of(described.is_empty(), &described.join(","));
                        });
                    });
                    p.key("invocations").list([totals.problems == 0 && totals.designs > 0], |p, whole| {
                        p.object(|p| p.key("executionSuccessful").truth(whole));
                    });
                    p.key("originalUriBaseIds").object(|p| {
                        p.key("SRCROOT").object(|p| {
                            p.key("description").object(|p| {
                                p.key("text").text("The folder that the review was run in.");
                            });
                        });
                    });
                    p.key("columnKind").text("unicodeCodePoints");
                    p.key("artifacts").list_of(listed.is_empty(), &listed.join(","));
                    let none = !totals.problems_written && !totals.designs_written;
                    p.key("results").list_of(none, &results);
                    p.key("properties").object(|p| {
                        p.key("designs").list_of(self.lines.is_empty(), &self.lines.join(","));
                        p.key("caution").text(&caution().trim().replace('\n', " "));
                    });
                });
            });
        });
        p.into_text() + "\n"
    }
}

fn mark(of: char, number: usize) -> String {
    format!("{MARK}{of}{number}{MARK}")
}

/// The place of each number in an order.
fn places_of(order: &[usize]) -> Vec<usize> {
    let mut places = vec![0; order.len()];
    for (place, number) in order.iter().enumerate() {
        if let Some(of) = places.get_mut(*number) {
            *of = place;
        }
    }
    places
}

/// A file in the log's list.
fn artifact((location, [_, design]): &(Location, [Option<Option<String>>; 2])) -> String {
    Pretty::item(4, |p| {
        p.object(|p| {
            p.key("location").object(|p| location.keys(p));
            if let Some(Some(digest)) = design {
                p.key("hashes").object(|p| p.key("sha-256").text(digest));
                p.key("encoding").text("UTF-8");
                p.key("sourceLanguage").text("yaml");
            }
        });
    })
}

fn file(p: &mut Pretty, location: &Location) {
    p.object(|p| {
        location.keys(p);
        p.key("index").raw(&mark('f', 0));
    });
}

fn place(p: &mut Pretty, source: &Source, location: &Location, span: Option<Span>) {
    p.object(|p| {
        file(p.key("artifactLocation"), location);
        p.key("region").object(|p| match span {
            Some(span) => {
                region(p, source, span);
                p.key("snippet").object(|p| p.key("text").text(source.slice(span)));
            }
            // Readers that show files want a line, and there is none in particular.
            None => p.key("startLine").count(1),
        });
    });
}

fn result(p: &mut Pretty, source: &Source, at: &Location, index: usize, finding: &Finding) {
    let one = |p: &mut Pretty, number: usize, found: &crate::review::Place| {
        p.object(|p| {
            place(p.key("physicalLocation"), source, at, Some(found.span));
            message(p.key("message"), &found.label);
            if !found.key.is_empty() {
                p.key("logicalLocations").list([()], |p, ()| {
                    p.object(|p| p.key("fullyQualifiedName").text(&found.key));
                });
            }
            if number > 0 {
                p.key("id").count(number);
            }
        });
    };
    p.object(|p| {
        p.key("ruleId").text(&finding.rule);
        p.key("ruleIndex").raw(&mark('r', index));
        p.key("level").text(finding.level.name());
        message(p.key("message"), &words(finding));
        p.key("locations").list([finding.places.first()], |p, first| match first {
            Some(first) => one(p, 0, first),
            None => p.object(|p| place(p.key("physicalLocation"), source, at, None)),
        });
        if finding.places.len() > 1 {
            let others = finding.places.iter().enumerate().skip(1);
            p.key("relatedLocations").list(others, |p, (number, other)| one(p, number, other));
        }
        p.key("partialFingerprints").object(|p| p.key("ruleAndSubject/v1").text(&finding.fingerprint));
        let fixes: Vec<&Remedy> = finding.remedies.iter().filter(|r| is_fix(r)).collect();
        if !fixes.is_empty() {
            p.key("fixes").list(fixes, |p, remedy| fix(p, source, at, remedy));
        }
        if let Some(waiver) = finding.waiver() {
            p.key("suppressions").list([waiver], |p, waiver| {
                p.object(|p| {
                    p.key("kind").text(if waiver.settings.is_some() { "external" } else { "inSource" });
                    p.key("status").text("accepted");
                    let words = format!("{} ({}, until {})", waiver.reason, waiver.by, waiver.until);
                    p.key("justification").text(&words);
                });
            });
        }
        p.key("properties").object(|p| {
            p.key("before").text(finding.before.name());
            p.key("outcome").text(finding.outcome.name());
            p.key("pack").text(&finding.pack);
            p.key("subject").text(&finding.subject);
            match finding.margin {
                None => p.key("margin").null(),
                Some(of) => margin(p.key("margin"), of),
            }
        });
    });
}

/// True for a remedy that was tried on a copy, cleared its finding and broke nothing else.
fn is_fix(remedy: &Remedy) -> bool {
    remedy.tried == Some(Tried::Clears) && !remedy.edits.is_empty()
}

fn fix(p: &mut Pretty, source: &Source, at: &Location, remedy: &Remedy) {
    p.object(|p| {
        message(p.key("description"), &remedy.say);
        p.key("artifactChanges").list([()], |p, ()| {
            p.object(|p| {
                file(p.key("artifactLocation"), at);
                p.key("replacements").list(&remedy.edits, |p, edit| {
                    p.object(|p| {
                        p.key("deletedRegion").object(|p| region(p, source, edit.span));
                        p.key("insertedContent").object(|p| p.key("text").text(&edit.text));
                    });
                });
            });
        });
    });
}

/// What a finding says: its message, and what would settle it.
fn words(finding: &Finding) -> String {
    let mut text = finding.message.clone();
    for remedy in &finding.remedies {
        let tried = if remedy.tried == Some(Tried::Clears) { " (tried on a copy: clears this)" } else { "" };
        text.push_str(&format!("\nchange: {}{tried}", remedy.say));
    }
    text
}

fn rule(finding: &Finding) -> String {
    let help = format!(
        "{}\n\nwhy: {}\nsource: {}\nThe step that waits for it: {}.",
        finding.title, finding.why, finding.source, finding.before
    );
    Pretty::item(6, |p| {
        p.object(|p| {
            p.key("id").text(&finding.rule);
            message(p.key("shortDescription"), &finding.title);
            message(p.key("fullDescription"), &finding.why);
            message(p.key("help"), &help);
            p.key("defaultConfiguration").object(|p| p.key("level").text(finding.level.name()));
            p.key("properties").object(|p| {
                let before = format!("before {}", finding.before);
                p.key("tags").list([finding.pack.as_str(), &before], Pretty::text);
            });
        });
    })
}

/// The rule of what could not be read, for the driver's list.
fn unreadable() -> String {
    let about = OwnRule::Unreadable.about();
    Pretty::item(6, |p| {
        p.object(|p| {
            p.key("id").text(OwnRule::Unreadable.name());
            message(p.key("shortDescription"), about.title);
            message(p.key("fullDescription"), about.why);
            message(p.key("help"), "Mend what the message names, and run the review again.");
            p.key("defaultConfiguration").object(|p| p.key("level").text(about.level.name()));
        });
    })
}

fn margin(p: &mut Pretty, margin: Margin) {
    p.object(|p| match margin {
        Margin::Ratio(value) => {
            p.key("kind").text("ratio");
            p.key("value").number(value);
        }
        Margin::Gap(gap) => {
            let (value, unit) = gap.value_and_unit();
            p.key("kind").text("gap");
            p.key("value").number(value);
            p.key("unit").text(&unit);
        }
    });
}

/// The keys of a region.
fn region(p: &mut Pretty, source: &Source, span: Span) {
    let (start, end) = (source.position(span.start), source.position(span.end));
    p.key("startLine").count(start.line as usize);
    p.key("startColumn").count(start.column as usize);
    p.key("endLine").count(end.line as usize);
    p.key("endColumn").count(end.column as usize);
}

fn message(p: &mut Pretty, text: &str) {
    p.object(|p| p.key("text").text(&escaped(text)));
}

/// A plain text message (§3.11): its braces are doubled, for single ones stand for arguments; and what a file says
/// never becomes a link, which is a text in brackets before a target in parentheses.
fn escaped(text: &str) -> String {
    clean(text).replace('{', "{{").replace('}', "}}").replace("](", "] (")
}

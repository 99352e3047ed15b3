//! SARIF 2.1.0 (OASIS, Static Analysis Results Interchange Format), for programs that show findings beside the code.
//!
//! Lines and columns count from 1, columns in Unicode code points (`columnKind`), the end column one past the last
//! character; a byte order mark is no character. Paths are relative to `SRCROOT`, the folder of the run, which the log
//! leaves for the reader to settle, so that it says the same wherever it was written.
//!
//! An unproven finding is of kind `fail` and not `open`: a result of another kind has no level by the standard, and what
//! is not proven holds.

mod regions;
mod results;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::caution::caution;
use super::conditions::conditions;
use super::contract::Clearance;
use super::form::{DESIGNS, List, PROBLEMS, Part, ReportForm, Totals};
use super::location::{from_base, uri};
use super::note::{Location, LogNote, Note};
use super::pretty::Pretty;
use crate::review::{DesignReview, Disposition};
use crate::rules::{Departure, DepartureKind, Level, Library, OwnRule};
use crate::yaml::{Problem, Source};
use results::{MARK, artifact, mark, message, notification, place, result, rule, unreadable};

/// The schema that a log says it follows.
const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

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

/// A review as a SARIF log. What is waived or known from the baseline is left out, unless it is asked for: then it is there with
/// its suppression. Where a baseline is held against a design, each result says how it compares (`baselineState`). What could
/// not be reviewed is a result and a notification of the invocation; how the rules were set is told by notifications.
#[derive(Clone, Debug, Default)]
pub struct Sarif {
    base: PathBuf,
    waived_too: bool,
    rules: Numbered<String, String>,
    files: Numbered<Location, Option<String>>,
    /// The number in the log of each rule and of each file.
    places: [Vec<usize>; 2],
    lines: Vec<String>,
    /// Of what could not be reviewed, and of how the rules were set.
    notifications: [Vec<String>; 2],
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
            // Of another drive: there is no way there from the folder of the run.
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
        let message = format!("{}{help}", problem.message);
        let unreadable = notification(Level::Error, &message, source, &location, problem.span);
        let notifications = [vec![unreadable], Vec::new()];
        Part {
            text,
            note: Note::Log(LogNote { rules, location, digest: None, line: String::new(), notifications }),
        }
    }

    fn design(&self, review: &DesignReview, _: &Library, _: usize) -> Part {
        let source = &review.design.source;
        let location = self.location(source);
        let mut rules: Vec<(String, String)> = Vec::new();
        let mut text = String::new();
        for finding in &review.findings {
            let wanted = match finding.disposition {
                Disposition::Shown => true,
                Disposition::Waived(_) | Disposition::Baselined => self.waived_too,
                Disposition::Below => false,
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
        let totals = review.totals();
        let line = Pretty::item(5, |p| {
            p.object(|p| {
                p.key("path").text(&from_base(source.name(), &self.base));
                p.key("verdict").text(Clearance::when(review.is_clear()).name());
                p.key("shown").count(totals.shown);
                p.key("waived").count(totals.waived);
                p.key("baselined").count(totals.baselined);
                p.key("below").count(totals.below);
                p.key("total").count(totals.total);
                p.key("conditions").list(conditions(review), |p, one| p.text(&one));
            });
        });
        let departure = |one: &Departure| {
            let span = (one.kind != DepartureKind::Ignored).then_some(one.at.span);
            let file = self.location(&one.at.source);
            notification(Level::Note, &one.to_string(), &one.at.source, &file, span)
        };
        let notifications = [Vec::new(), review.departures.iter().map(departure).collect()];
        let digest = Some(review.digest.clone());
        Part { text, note: Note::Log(LogNote { rules, location, digest, line, notifications }) }
    }

    fn take(&mut self, list: List, part: Part) -> String {
        let Note::Log(note) = part.note else { return part.text };
        let numbers: Vec<usize> =
            note.rules.into_iter().map(|(id, about)| self.rules.number(list, id, about)).collect();
        let file = self.files.number(list, note.location, note.digest);
        if !note.line.is_empty() {
            self.lines.push(note.line);
        }
        for (all, mine) in self.notifications.iter_mut().zip(note.notifications) {
            for one in mine {
                if !all.contains(&one) {
                    all.push(one);
                }
            }
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
                        p.object(|p| {
                            p.key("executionSuccessful").truth(whole);
                            let [of_problems, of_settings] = &self.notifications;
                            if !of_problems.is_empty() {
                                p.key("toolExecutionNotifications").list_of(false, &of_problems.join(","));
                            }
                            if !of_settings.is_empty() {
                                p.key("toolConfigurationNotifications")
                                    .list_of(false, &of_settings.join(","));
                            }
                        });
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

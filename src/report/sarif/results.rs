//! The elements of a SARIF log: results and their locations, files, rules, notifications.

use super::super::note::Location;
use super::super::pretty::Pretty;
use super::regions::region;
use crate::review::{Compared, Disposition, Finding, Tried, TriedRemedy};
use crate::rules::{Level, Margin, OwnRule};
use crate::yaml::{Source, Span, clean};

/// A mark in a result, for a number that is known at the end: of a rule (`r`) or of a file (`f`).
pub(super) const MARK: char = '\u{1}';

impl Location {
    fn keys(&self, p: &mut Pretty) {
        p.key("uri").text(&self.uri);
        if self.in_base {
            p.key("uriBaseId").text("SRCROOT");
        }
    }
}

pub(super) fn mark(of: char, number: usize) -> String {
    format!("{MARK}{of}{number}{MARK}")
}

/// A file in the log's list.
pub(super) fn artifact((location, [_, design]): &(Location, [Option<Option<String>>; 2])) -> String {
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

pub(super) fn file(p: &mut Pretty, location: &Location) {
    p.object(|p| {
        location.keys(p);
        p.key("index").raw(&mark('f', 0));
    });
}

/// A notification of the invocation.
pub(super) fn notification(
    level: Level,
    words: &str,
    source: &Source,
    location: &Location,
    span: Option<Span>,
) -> String {
    Pretty::item(6, |p| {
        p.object(|p| {
            p.key("level").text(level.name());
            message(p.key("message"), words);
            p.key("locations").list([()], |p, ()| {
                p.object(|p| {
                    p.key("physicalLocation").object(|p| {
                        p.key("artifactLocation").object(|p| location.keys(p));
                        p.key("region").object(|p| match span {
                            Some(span) => region(p, source, span),
                            None => p.key("startLine").count(1),
                        });
                    });
                });
            });
        });
    })
}

pub(super) fn place(p: &mut Pretty, source: &Source, location: &Location, span: Option<Span>) {
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

pub(super) fn result(p: &mut Pretty, source: &Source, at: &Location, index: usize, finding: &Finding) {
    let one = |p: &mut Pretty, number: usize, found: &crate::review::FindingPlace| {
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
        let fixes: Vec<&TriedRemedy> = finding.remedies.iter().filter(|r| is_fix(r)).collect();
        if !fixes.is_empty() {
            p.key("fixes").list(fixes, |p, remedy| fix(p, source, at, remedy));
        }
        if let Some(compared) = finding.compared {
            p.key("baselineState").text(match compared {
                Compared::New => "new",
                Compared::Unchanged => "unchanged",
                Compared::Worse => "updated",
            });
        }
        if finding.disposition == Disposition::Baselined {
            p.key("suppressions").list([()], |p, ()| {
                p.object(|p| {
                    p.key("kind").text("external");
                    p.key("status").text("accepted");
                    p.key("justification").text(
                        "known from the baseline, which only the exit code passes over: it still holds its step, and nobody answers for it",
                    );
                });
            });
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
pub(super) fn is_fix(remedy: &TriedRemedy) -> bool {
    remedy.tried == Some(Tried::Clears) && !remedy.edits.is_empty()
}

pub(super) fn fix(p: &mut Pretty, source: &Source, at: &Location, remedy: &TriedRemedy) {
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
pub(super) fn words(finding: &Finding) -> String {
    let mut text = finding.message.clone();
    for remedy in &finding.remedies {
        let tried = if remedy.tried == Some(Tried::Clears) { " (tried on a copy: clears this)" } else { "" };
        text.push_str(&format!("\nchange: {}{tried}", remedy.say));
    }
    text
}

pub(super) fn rule(finding: &Finding) -> String {
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
pub(super) fn unreadable() -> String {
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

pub(super) fn margin(p: &mut Pretty, margin: Margin) {
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

pub(super) fn message(p: &mut Pretty, text: &str) {
    p.object(|p| p.key("text").text(&escaped(text)));
}

/// A plain text message (§3.11): its braces are doubled, for single ones stand for arguments; and what a file says
/// never becomes a link, which is a text in brackets before a target in parentheses.
pub(super) fn escaped(text: &str) -> String {
    clean(text).replace('{', "{{").replace('}', "}}").replace("](", "] (")
}

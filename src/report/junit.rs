//! JUnit XML: a suite a design. A finding that makes the review fail is a failure; a waived one and one in the baseline
//! are skipped; any other passes and says its words. A hold point that nothing fails is a case that passes.
//!
//! The totals of each design stand in the suite's properties. No times are given: the same bytes give the same report.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use super::caution::caution;
use super::conditions::conditions;
use super::contract::Clearance;
use super::form::{DESIGNS, List, PROBLEMS, Part, ReportForm, Totals};
use super::location::from_base;
use super::note::{Note, Tally};
use crate::review::{DesignReview, Disposition, FailOn, Finding};
use crate::rules::{HoldPoint, Library, OwnRule};
use crate::yaml::{Problem, Source, clean, clean_line};

impl Tally {
    fn add(&mut self, other: &Self) {
        self.tests += other.tests;
        self.failures += other.failures;
        self.errors += other.errors;
        self.skipped += other.skipped;
    }

    fn attributes(&self) -> String {
        format!(
            "tests=\"{}\" failures=\"{}\" errors=\"{}\" skipped=\"{}\"",
            self.tests, self.failures, self.errors, self.skipped
        )
    }
}

/// A review as JUnit XML.
#[derive(Clone, Debug, Default)]
pub struct Junit {
    base: PathBuf,
    fail_on: FailOn,
    /// The cases of designs.
    tally: Tally,
}

impl Junit {
    /// A report of a run in a folder, with what makes a case of it fail.
    #[must_use]
    pub fn new(base: &Path, fail_on: FailOn) -> Self {
        Self { base: base.to_path_buf(), fail_on, tally: Tally::default() }
    }
}

impl ReportForm for Junit {
    fn problem(&self, source: &Source, problem: &Problem) -> Part {
        let mut case = String::new();
        unreadable(&mut case, source, problem, &self.base);
        Part::of(case)
    }

    fn design(&self, review: &DesignReview, _: &Library, _: usize) -> Part {
        let mut tally = Tally::default();
        let mut cases = String::new();
        for state in &review.hold_points {
            hold_point(&mut cases, self.fail_on, review, state.point, &self.base, &mut tally);
        }
        let totals = review.totals();
        let mut properties = String::new();
        let verdict = Clearance::when(review.is_clear());
        let words = caution().trim().replace('\n', " ");
        let _ = writeln!(properties, "      <property name=\"caution\" value=\"{}\"/>", attribute(&words));
        let _ = writeln!(properties, "      <property name=\"verdict\" value=\"{verdict}\"/>");
        for (name, count) in [
            ("shown", totals.shown),
            ("waived", totals.waived),
            ("baselined", totals.baselined),
            ("below", totals.below),
            ("total", totals.total),
        ] {
            let _ = writeln!(properties, "      <property name=\"{name}\" value=\"{count}\"/>");
        }
        for one in conditions(review) {
            let words = attribute(&one);
            let _ = writeln!(properties, "      <property name=\"condition\" value=\"{words}\"/>");
        }
        let name = from_base(review.design.source.name(), &self.base);
        let mut text = String::new();
        suite(&mut text, &name, &tally, &properties, &cases);
        Part { text, note: Note::Tally(tally) }
    }

    fn take(&mut self, _: List, part: Part) -> String {
        if let Note::Tally(tally) = &part.note {
            self.tally.add(tally);
        }
        part.text
    }

    fn frame(&mut self, totals: Totals) -> String {
        let unread = Tally { tests: totals.problems, errors: totals.problems, ..Tally::default() };
        let mut problems = String::new();
        if totals.problems > 0 {
            suite(&mut problems, "what could not be reviewed", &unread, "", PROBLEMS);
        }
        let mut all = self.tally;
        all.add(&unread);
        format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites name=\"holdpoint\" {}>\n{problems}{DESIGNS}</testsuites>\n",
            all.attributes()
        )
    }
}

fn suite(out: &mut String, name: &str, tally: &Tally, properties: &str, cases: &str) {
    let _ = writeln!(out, "  <testsuite name=\"{}\" {}>", attribute(name), tally.attributes());
    if !properties.is_empty() {
        let _ = writeln!(out, "    <properties>\n{properties}    </properties>");
    }
    let _ = writeln!(out, "{cases}  </testsuite>");
}

fn unreadable(out: &mut String, source: &Source, problem: &Problem, base: &Path) {
    let path = from_base(source.name(), base);
    let at = source.position(problem.span.map_or(0, |s| s.start));
    let help = problem.help.as_deref().map(|h| format!("\n{}", clean_line(h))).unwrap_or_default();
    let described =
        format!("{}:{}:{}: {}{help}", clean_line(&path), at.line, at.column, clean_line(&problem.message));
    let _ = writeln!(
        out,
        "    <testcase name=\"can be read\" classname=\"{0}\" file=\"{0}\" line=\"{1}\">\n      \
         <error type=\"{4}\" message=\"{2}\">{3}</error>\n    </testcase>",
        attribute(&path),
        at.line,
        attribute(&problem.message),
        content(&described),
        OwnRule::Unreadable
    );
}

fn hold_point(
    out: &mut String,
    fail_on: FailOn,
    design: &DesignReview,
    point: HoldPoint,
    base: &Path,
    tally: &mut Tally,
) {
    let source = &design.design.source;
    let path = from_base(source.name(), base);
    let mine: Vec<&Finding> = design.findings.iter().filter(|f| f.before == point).collect();
    let class = format!("{path}: before {point}");
    if !mine.iter().any(|f| fail_on.fails(f)) {
        tally.tests += 1;
        let held = mine.iter().any(|f| f.holds());
        let words = if held { "held by what this report passes over" } else { "clear" };
        let _ = writeln!(
            out,
            "    <testcase name=\"{point}\" classname=\"{0}\" file=\"{1}\" line=\"1\">\n      \
             <system-out>{words}</system-out>\n    </testcase>",
            attribute(&class),
            attribute(&path)
        );
    }
    for finding in mine {
        let at = source.position(finding.places.first().map_or(0, |p| p.span.start));
        let place = format!("{}:{}:{}", clean_line(&path), at.line, at.column);
        let inside = match &finding.disposition {
            Disposition::Below => continue,
            Disposition::Waived(waiver) => {
                tally.skipped += 1;
                let why = format!("waived by {} until {}: {}", waiver.by, waiver.until, waiver.reason);
                format!("<skipped message=\"{}\"/>", attribute(&why))
            }
            Disposition::Baselined => {
                tally.skipped += 1;
                "<skipped message=\"known from the baseline; it still holds its step\"/>".to_owned()
            }
            Disposition::Shown if fail_on.fails(finding) => {
                tally.failures += 1;
                format!(
                    "<failure type=\"{}\" message=\"{}\">{}</failure>",
                    finding.outcome.name(),
                    attribute(&finding.message),
                    content(&describe(&place, finding))
                )
            }
            Disposition::Shown => format!("<system-out>{}</system-out>", content(&describe(&place, finding))),
        };
        tally.tests += 1;
        let name = match finding.subject.as_str() {
            "" => finding.rule.clone(),
            subject => format!("{}: {subject}", finding.rule),
        };
        let _ = writeln!(
            out,
            "    <testcase name=\"{}\" classname=\"{}\" file=\"{}\" line=\"{}\">\n      {inside}\n    </testcase>",
            attribute(&name),
            attribute(&class),
            attribute(&path),
            at.line
        );
    }
}

fn describe(place: &str, finding: &Finding) -> String {
    let mut text = format!("{place}: {}: {}", finding.level, clean_line(&finding.message));
    for place in &finding.places {
        let _ = write!(text, "\n  {} ({})", clean_line(&place.label), clean_line(&place.key));
    }
    for remedy in &finding.remedies {
        let _ = write!(text, "\nchange: {}", clean_line(&remedy.say));
    }
    let _ = write!(text, "\nwhy: {}\nsource: {}", clean_line(&finding.why), clean_line(&finding.source));
    text
}

/// Text that an XML 1.0 reader takes, with what changes how text is shown made visible.
fn taken(text: &str) -> String {
    clean(text).chars().map(|c| if matches!(c, '\u{fffe}' | '\u{ffff}') { '\u{fffd}' } else { c }).collect()
}

/// Text between tags.
fn content(text: &str) -> String {
    // `>` too, so that no text closes a section that it is not in.
    taken(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

/// Text in a quoted attribute; line ends are kept, which a reader would else take for spaces.
fn attribute(text: &str) -> String {
    content(text).replace('"', "&quot;").replace('\'', "&#39;").replace('\n', "&#10;").replace('\t', "&#9;")
}

//! A baseline: the findings that were there when a club began to review, by fingerprint. It never grows by itself, what it
//! has and is not found any more is itself a finding, and what it has still holds its step: only the exit code passes it over.
//! It knows a finding at its margin: one that got worse is not known.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::finding::{About, set_own_levels};
use super::margins::{no_worse, stated};
use super::{Compared, DesignReview, Disposition, Finding, Options};
use crate::quantity::Quantity;
use crate::rules::{HoldPoint, Library, OwnRule};
use crate::yaml::{Problem, Source, Span, clean_json};

/// The name and version of the format.
pub const BASELINE_FORMAT: &str = "holdpoint-baseline/2";
/// The version before, which says nothing of margins.
const WITHOUT_MARGINS: &str = "holdpoint-baseline/1";

/// A baseline.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Baseline {
    /// What is known of each design, by its path from the folder of the baseline.
    designs: BTreeMap<String, Vec<Known>>,
}

/// A finding that is known.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Known {
    fingerprint: String,
    rule: String,
    subject: String,
    outcome: String,
    /// Its margin, with its unit where it is a gap; none for what has no margin, and where a version before wrote it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    margin: Option<String>,
}

impl Known {
    fn is_of(&self, finding: &Finding) -> bool {
        self.fingerprint == finding.fingerprint && self.outcome == finding.outcome.name()
    }

    /// True where the finding is no worse than it was, as far as that is written down.
    fn covers(&self, finding: &Finding) -> bool {
        match (&self.margin, finding.margin) {
            (None, _) => true,
            (Some(_), None) => false,
            (Some(then), Some(now)) => Quantity::read(then).is_ok_and(|then| no_worse(then, now)),
        }
    }
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    format: String,
    designs: BTreeMap<String, Vec<Known>>,
}

impl Baseline {
    /// Reads a baseline file.
    ///
    /// # Errors
    /// When the text is not such a file; with the place.
    pub fn read(source: &Source) -> Result<Self, Problem> {
        let document: Document = serde_json::from_str(source.text()).map_err(|error| {
            let line = u32::try_from(error.line()).unwrap_or(1);
            let start = source.line_start(line).unwrap_or(0) as usize;
            let at = (start + error.column().saturating_sub(1)).min(source.text().len());
            let at = (0..=at).rev().find(|i| source.text().is_char_boundary(*i)).unwrap_or(0);
            Problem::at(Span::new(at, at), format!("this is no baseline: {error}"))
                .help("`--write-baseline` writes one")
        })?;
        if document.format != BASELINE_FORMAT && document.format != WITHOUT_MARGINS {
            let message = format!("baseline format `{}` is not one this program reads", document.format);
            return Err(Problem::of_file(message).help(format!("it reads `{BASELINE_FORMAT}`")));
        }
        for margin in document.designs.values().flatten().filter_map(|known| known.margin.as_ref()) {
            if let Err(error) = Quantity::read(margin) {
                let message = format!("`{margin}` is no margin: {}", error.message);
                return Err(Problem::of_file(message).help("`--write-baseline` writes the margins"));
            }
        }
        Ok(Self { designs: document.designs })
    }

    /// The paths of the designs that it has findings of.
    pub fn paths(&self) -> impl Iterator<Item = &str> {
        self.designs.keys().map(String::as_str)
    }

    /// How many findings it has.
    #[must_use]
    pub fn len(&self) -> usize {
        self.designs.values().map(Vec::len).sum()
    }

    /// True when it has none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Takes a design's findings in, all that nobody waived, in place of what was known of it.
    pub fn take(&mut self, path: &str, review: &DesignReview) {
        let mut known: Vec<Known> = review
            .findings
            .iter()
            .filter(|f| f.waiver().is_none())
            .filter(|f| !matches!(f.own, Some(OwnRule::BaselineStale | OwnRule::BaselineUnbound)))
            .map(|f| Known {
                fingerprint: f.fingerprint.clone(),
                rule: f.rule.clone(),
                subject: f.subject.clone(),
                outcome: f.outcome.name().to_owned(),
                margin: f.margin.map(stated),
            })
            .collect();
        known.sort();
        known.dedup();
        if known.is_empty() {
            self.designs.remove(path);
        } else {
            self.designs.insert(path.to_owned(), known);
        }
    }

    /// Takes in what another baseline knows of a design, in place of what was known of it.
    pub fn replace(&mut self, path: &str, mut by: Self) {
        match by.designs.remove(path) {
            Some(known) => drop(self.designs.insert(path.to_owned(), known)),
            None => self.forget(path),
        }
    }

    /// Forgets a design.
    pub fn forget(&mut self, path: &str) {
        self.designs.remove(path);
    }

    /// As a file: the same findings give the same bytes.
    #[must_use]
    pub fn written(&self) -> String {
        let document = Document { format: BASELINE_FORMAT.to_owned(), designs: self.designs.clone() };
        // A map of lists of texts always serialises.
        clean_json(serde_json::to_string_pretty(&document).unwrap_or_default() + "\n")
    }

    /// Passes over what is known of a design, and adds a finding for each entity known that is not found any more. A
    /// finding whose outcome changed is a new one: what was unproven may turn out broken. So is one that got worse, and says so.
    pub fn apply(&self, path: &str, review: &mut DesignReview, library: &Library, options: &Options) {
        for finding in &mut review.findings {
            finding.compared = Some(Compared::New);
        }
        let Some(known) = self.designs.get(path) else { return };
        let mut unbound = 0;
        for finding in review.findings.iter_mut().filter(|f| f.is_shown()) {
            let mine: Vec<&Known> = known.iter().filter(|k| k.is_of(finding)).collect();
            if let Some(covering) = mine.iter().find(|k| k.covers(finding)) {
                finding.disposition = Disposition::Baselined;
                finding.compared = Some(Compared::Unchanged);
                unbound += usize::from(covering.margin.is_none() && finding.margin.is_some());
            } else if let Some(then) = mine.first().and_then(|k| k.margin.as_ref()) {
                let now = finding.margin.map_or_else(|| "not known".to_owned(), stated);
                finding.message.push_str(&format!(
                    "; worse than the baseline knows it: a margin of {then} there, and {now} now"
                ));
                finding.compared = Some(Compared::Worse);
            }
        }
        if unbound > 0 {
            let of = if unbound == 1 { "1 finding".to_owned() } else { format!("{unbound} findings") };
            let words = format!(
                "the baseline has {of} without a margin, and passes over them even if they get worse: write the baseline anew"
            );
            let about = About::whole(&review.design, "unbound".to_owned());
            review.findings.push(Finding::of_own_rule(OwnRule::BaselineUnbound, words, about));
            review.settle();
        }
        // Of a file with mistakes, or of steps that were not asked about, nobody knows what would be found.
        if !review.design.problems.is_empty() {
            return;
        }
        let asked = |point: HoldPoint| options.before.is_none_or(|b| point <= b);
        let mut stale = Vec::new();
        for entry in known {
            let there = review.findings.iter().any(|f| entry.is_of(f));
            if there || library.rule(&entry.rule).is_some_and(|r| !asked(r.before)) {
                continue;
            }
            let subject = if entry.subject.is_empty() { "the rocket" } else { &entry.subject };
            let words = format!(
                "the baseline has `{}` as {} on {subject}, which is not found any more: write the baseline anew",
                entry.rule, entry.outcome
            );
            let key = format!("{}\0{}", entry.fingerprint, entry.outcome);
            let about = About::whole(&review.design, key);
            stale.push(Finding::of_own_rule(OwnRule::BaselineStale, words, about));
        }
        stale.dedup_by(|a, b| a.fingerprint == b.fingerprint);
        review.findings.extend(stale);
        set_own_levels(&mut review.findings, library);
        review.settle();
    }
}

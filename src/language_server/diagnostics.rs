//! Findings and mistakes as the protocol's diagnostics.

use lsp_types::{
    Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, Location, NumberOrString, Range, Uri,
};

use super::positions::{Encoding, Lines};
use crate::report::margin_text;
use crate::review::{DesignReview, Finding, Tried};
use crate::rules::{Level, Verdict};
use crate::yaml::{Problem, Span, clean};

/// Who says it.
pub(super) const SOURCE: &str = "holdpoint";

/// A text under an address, for the places of diagnostics.
#[derive(Clone, Copy)]
pub(super) struct Placed<'t> {
    pub(super) uri: &'t Uri,
    pub(super) text: &'t str,
    pub(super) lines: &'t Lines,
    pub(super) encoding: Encoding,
    /// Whether the client shows further places beside a diagnostic.
    pub(super) with_related: bool,
}

impl Placed<'_> {
    fn range(&self, span: Span) -> Range {
        self.lines.range(self.text, span, self.encoding)
    }

    fn related(&self, places: &[(Span, String)]) -> Option<Vec<DiagnosticRelatedInformation>> {
        let one = |(span, label): &(Span, String)| DiagnosticRelatedInformation {
            location: Location { uri: self.uri.clone(), range: self.range(*span) },
            message: clean(label).into_owned(),
        };
        (self.with_related && !places.is_empty()).then(|| places.iter().map(one).collect())
    }

    fn diagnostic(
        &self,
        span: Span,
        severity: DiagnosticSeverity,
        code: Option<&str>,
        message: &str,
    ) -> Diagnostic {
        Diagnostic {
            range: self.range(span),
            severity: Some(severity),
            code: code.map(|code| NumberOrString::String(code.to_owned())),
            source: Some(SOURCE.to_owned()),
            message: clean(message).into_owned(),
            ..Diagnostic::default()
        }
    }

    /// A mistake of the file itself; one without a place stands at its beginning.
    pub(super) fn problem(&self, problem: &Problem, level: Level) -> Diagnostic {
        let message = match &problem.help {
            Some(help) => format!("{}\n{help}", problem.message),
            None => problem.message.clone(),
        };
        let span = problem.span.unwrap_or_default();
        let made = self.diagnostic(span, severity(level), None, &message);
        Diagnostic { related_information: self.related(&problem.related), ..made }
    }

    /// Everything that a review found in a design.
    pub(super) fn review(&self, review: &DesignReview) -> Vec<Diagnostic> {
        let mistakes = review.design.problems.iter().map(|problem| self.problem(problem, Level::Error));
        let shown = || review.findings.iter().filter(|finding| finding.is_shown());
        let found = shown().filter(|finding| !is_gap(finding)).map(|finding| self.finding(finding));
        let mut all: Vec<Diagnostic> = mistakes.chain(found).collect();
        all.extend(self.gaps(shown().filter(|finding| is_gap(finding))));
        all
    }

    fn finding(&self, finding: &Finding) -> Diagnostic {
        let mut message = finding.message.clone();
        let mut details = format!("\nbefore {}", finding.before);
        if let Some(margin) = finding.margin {
            details.push_str(&format!("; {}", margin_text(margin)));
        }
        message.push_str(&details);
        for remedy in &finding.remedies {
            let tried = match remedy.tried {
                Some(Tried::Clears) => " (tried on a copy: clears this and breaks nothing else)",
                Some(Tried::Partly) => " (tried on a copy: it is not enough by itself)",
                Some(Tried::Breaks) => " (tried on a copy: it breaks another rule)",
                None => "",
            };
            message.push_str(&format!("\nchange: {}{tried}", remedy.say));
        }
        message.push_str(&format!("\nwhy, and by which source: `holdpoint explain {}`", finding.rule));
        let places: Vec<(Span, String)> =
            finding.places.iter().map(|place| (place.span, place.label.clone())).collect();
        let span = places.first().map(|(span, _)| *span).unwrap_or_default();
        let severity = match finding.outcome {
            Verdict::Unproven => DiagnosticSeverity::HINT,
            _ => severity(finding.level),
        };
        let made = self.diagnostic(span, severity, Some(&finding.rule), &message);
        Diagnostic { related_information: self.related(&places), ..made }
    }

    /// Each key that is not written down, once, with the rules that wait for it: an unfinished file is not red all over.
    fn gaps<'f>(&self, findings: impl Iterator<Item = &'f Finding>) -> Vec<Diagnostic> {
        let mut keys: Vec<(&str, Vec<&Finding>)> = Vec::new();
        for finding in findings {
            for value in &finding.missing {
                match keys.iter_mut().find(|(key, _)| *key == value.key) {
                    Some((_, waiting)) => waiting.push(finding),
                    None => keys.push((&value.key, vec![finding])),
                }
            }
        }
        keys.iter().map(|(key, waiting)| self.gap(key, waiting)).collect()
    }

    fn gap(&self, key: &str, waiting: &[&Finding]) -> Diagnostic {
        let mut rules: Vec<&str> = waiting.iter().map(|finding| finding.rule.as_str()).collect();
        rules.sort_unstable();
        rules.dedup();
        let alone = waiting.iter().all(|finding| finding.missing.len() == 1);
        let helps = if alone { "settles" } else { "helps to settle" };
        let first = waiting.iter().min_by_key(|finding| finding.before);
        let before = first.map(|finding| format!(", first before {}", finding.before)).unwrap_or_default();
        let count = match rules.len() {
            1 => "1 rule".to_owned(),
            count => format!("{count} rules"),
        };
        let wrong = waiting.iter().flat_map(|finding| &finding.missing).any(|m| m.key == key && m.unreadable);
        let doing = if wrong { "mend" } else { "write down" };
        let message = format!("not proven: {doing} `{key}`\n{helps} {count}{before}: {}", rules.join(", "));
        let places = waiting.iter().flat_map(|finding| &finding.places);
        let place = places.clone().find(|place| place.key == key).or_else(|| places.clone().next());
        let code = first.map(|finding| finding.rule.as_str());
        let span = place.map(|place| place.span).unwrap_or_default();
        self.diagnostic(span, DiagnosticSeverity::HINT, code, &message)
    }
}

/// Whether a finding only waits for keys.
fn is_gap(finding: &Finding) -> bool {
    finding.outcome == Verdict::Unproven && !finding.missing.is_empty()
}

fn severity(level: Level) -> DiagnosticSeverity {
    match level {
        Level::Error => DiagnosticSeverity::ERROR,
        Level::Warning => DiagnosticSeverity::WARNING,
        Level::Note => DiagnosticSeverity::INFORMATION,
    }
}

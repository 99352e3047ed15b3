//! The design as it is written, line by line, with the bytes of each finding marked.

use maud::{Markup, html};

use super::{Numbered, Sheet, class};
use crate::yaml::{Span, clean_same_length};

/// A stretch of a line that belongs to the same findings throughout.
struct Piece<'r> {
    span: Span,
    findings: Vec<Numbered<'r>>,
}

impl Sheet<'_> {
    /// Every byte where a marked stretch begins or ends, in order.
    fn edges(&self) -> Vec<u32> {
        let spans = self.findings.iter().flat_map(|f| &f.finding.places).map(|p| p.span);
        let mut edges: Vec<u32> = spans.flat_map(|s| [s.start, s.end]).collect();
        edges.sort_unstable();
        edges.dedup();
        edges
    }

    fn pieces(&self, line: Span, edges: &[u32]) -> Vec<Piece<'_>> {
        let mut cuts = vec![line.start];
        cuts.extend(edges.iter().copied().filter(|e| *e > line.start && *e < line.end));
        cuts.push(line.end);
        cuts.windows(2)
            .filter_map(|w| {
                let span = Span { start: *w.first()?, end: *w.last()? };
                let covers = |f: &&Numbered<'_>| {
                    f.finding.places.iter().any(|p| p.span.start <= span.start && p.span.end >= span.end)
                };
                let findings = if span.is_empty() {
                    Vec::new()
                } else {
                    self.findings.iter().filter(covers).copied().collect()
                };
                Some(Piece { span, findings })
            })
            .collect()
    }

    /// The source with its line numbers and marks.
    pub(super) fn source(&self) -> Markup {
        let source = &self.review.design.source;
        let text = source.text();
        let edges = self.edges();
        let mut start = 0_usize;
        let mut lines = Vec::new();
        for line in text.split('\n') {
            lines.push(Span::new(start, start + line.len()));
            start += line.len() + 1;
        }
        // What follows the last line's end is no line.
        if text.ends_with('\n') {
            lines.pop();
        }
        html! {
            h2 id={ (self.prefix) "source" } { "The design as written" }
            details class="long written" { summary { (lines.len()) " lines" } div class="code" {
                @for (place, line) in lines.iter().enumerate() {
                    @let pieces = self.pieces(*line, &edges);
                    div class="line" id={ (self.prefix) "L" (place + 1) } {
                        a class="at" href={ "#" (self.prefix) "L" (place + 1) } { (place + 1) }
                        span class="text" {
                            @for piece in &pieces { (self.piece(piece)) }
                        }
                        span class="refs" {
                            @for one in self.on(*line) { (self.link(one)) " " }
                        }
                    }
                }
            } }
        }
    }

    /// The findings that have a place on a line.
    fn on(&self, line: Span) -> Vec<&Numbered<'_>> {
        let touches = |s: Span| s.start >= line.start && s.start <= line.end;
        self.findings.iter().filter(|f| f.finding.places.iter().any(|p| touches(p.span))).collect()
    }

    fn piece(&self, piece: &Piece<'_>) -> Markup {
        let text = clean_same_length(self.review.design.source.slice(piece.span));
        let Some(worst) = piece.findings.first() else { return html! { (text) } };
        let mut rules = Vec::new();
        for one in &piece.findings {
            rules.push(format!("{} {}", one.number, crate::yaml::clean_line(&one.finding.rule)));
        }
        html! {
            a class={ "mark " (class(worst.finding)) } id={ (self.prefix) "b" (piece.span.start) }
                href={ "#" (self.prefix) "f" (worst.number) } title=(rules.join(", "))
                data-from=(piece.span.start) data-to=(piece.span.end) { (text) }
        }
    }
}

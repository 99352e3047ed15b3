//! Regions: the lines and columns of a span of bytes.

use crate::report::pretty::Pretty;
use crate::yaml::{Source, Span};

/// The keys of a region.
pub(super) fn region(p: &mut Pretty, source: &Source, span: Span) {
    let (start, end) = (source.position(span.start), source.position(span.end));
    p.key("startLine").count(start.line as usize);
    p.key("startColumn").count(start.column as usize);
    p.key("endLine").count(end.line as usize);
    p.key("endColumn").count(end.column as usize);
}

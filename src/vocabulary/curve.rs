//! Reading curves: a list of pairs, or a table pasted as text with its units on top, its columns parted by commas or spaces.

use super::read::Reader;
use super::{Sign, Value};
use crate::quantity::{Dimension, Measure, Quantity};
use crate::yaml::{NodeId, Problem, Span};

/// What separates the two columns of a table.
const SEPARATORS: [char; 3] = [',', ';', '\t'];

impl Reader<'_> {
    /// A curve of one dimension against another, its points in rising order of the first.
    pub(super) fn curve(&mut self, node: NodeId, x: Dimension, y: Dimension) -> Result<Value, Problem> {
        let span = self.tree.span(node);
        let points = if self.tree.is_list(node) {
            self.pairs(node, x, y)?
        } else if let Some(scalar) = self.tree.scalar(node) {
            let text = scalar.value.to_string();
            self.table(node, &text, x, y)?
        } else {
            return Err(wants_pairs(span, x, y));
        };
        for ((first, _), (next, place)) in
            points.iter().zip(points.iter().skip(1)).map(|(a, b)| ((a.0, a.1), (b.0, b.2)))
        {
            if first.si >= next.si {
                return Err(Problem::at(
                    place,
                    "the points go forward: this one does not come after the last",
                ));
            }
        }
        if points.len() < 2 {
            return Err(Problem::at(span, "a curve has at least two points"));
        }
        Ok(Value::Curve(points.into_iter().map(|(a, b, _)| (a, b)).collect::<Vec<_>>().into()))
    }

    fn pairs(
        &self,
        node: NodeId,
        x: Dimension,
        y: Dimension,
    ) -> Result<Vec<(Quantity, Quantity, Span)>, Problem> {
        let mut points = Vec::new();
        for item in self.tree.items(node) {
            let wrong = || wants_pairs(self.tree.span(*item), x, y);
            let [a, b] = *self.tree.items(*item) else { return Err(wrong()) };
            let (Some(first), Some(second)) = (self.tree.scalar(a), self.tree.scalar(b)) else {
                return Err(wrong());
            };
            let first = self.measure(&first.value, a, x, Sign::NotNegative)?.nominal;
            let second = self.measure(&second.value, b, y, Sign::NotNegative)?.nominal;
            points.push((first, second, self.tree.span(a)));
        }
        Ok(points)
    }

    /// Two columns of numbers under a line that names their units, as `time (s), thrust (N)`.
    fn table(
        &self,
        node: NodeId,
        text: &str,
        x: Dimension,
        y: Dimension,
    ) -> Result<Vec<(Quantity, Quantity, Span)>, Problem> {
        let mut lines = text.lines().filter(|line| !line.trim().is_empty());
        let whole = self.tree.span(node);
        let Some((heading, Some((left, right)))) = lines.next().map(|line| (line, columns(line))) else {
            return Err(wants_pairs(whole, x, y));
        };
        let at = self.line_of(whole, heading, whole);
        let units = (unit(left, x, at)?, unit(right, y, at)?);
        let mut points = Vec::new();
        let mut from = at;
        for line in lines {
            let at = self.line_of(Span { start: from.end, end: whole.end }, line, whole);
            from = at;
            let Some((left, right)) = columns(line) else {
                return Err(Problem::at(
                    at,
                    "a row of the table has two columns, parted by a comma or by spaces",
                ));
            };
            points.push((number(left, units.0, x, at)?, number(right, units.1, y, at)?, at));
        }
        Ok(points)
    }

    /// Where a line of a text stands in the file: the first place that has it, else the whole text.
    fn line_of(&self, within: Span, line: &str, whole: Span) -> Span {
        let line = line.trim();
        let start = within.start as usize;
        let found = self.source.text().get(start..within.end as usize).and_then(|text| text.find(line));
        found.map_or(whole, |at| Span::new(start + at, start + at + line.len()))
    }
}

fn wants_pairs(span: Span, x: Dimension, y: Dimension) -> Problem {
    Problem::at(span, "expected a list of pairs").help(format!(
        "each pair is [{}, {}]; or paste a table as text, its first line naming both units: `time (s), thrust (N)`",
        x.name(),
        y.name()
    ))
}

fn columns(line: &str) -> Option<(&str, &str)> {
    let Some((left, right)) = line.split_once(SEPARATORS) else { return spaced_columns(line.trim()) };
    (!right.contains(SEPARATORS)).then(|| (left.trim(), right.trim()))
}

/// The two columns of a line that has only spaces between them: two words, or two groups of words further apart or each with
/// its unit in brackets.
fn spaced_columns(line: &str) -> Option<(&str, &str)> {
    let wide = || line.split_once("  ");
    let bracketed = || line.find([')', ']']).and_then(|end| line.split_at_checked(end + 1));
    let (left, right) = wide().or_else(bracketed).or_else(|| line.split_once(' '))?;
    let (left, right) = (left.trim(), right.trim());
    let is_one = |column: &str| {
        !column.is_empty() && !column.contains("  ") && (column.contains(['(', '[']) || !column.contains(' '))
    };
    (is_one(left) && is_one(right)).then_some((left, right))
}

/// The unit that a heading names in brackets, or the heading itself.
fn unit(heading: &str, dimension: Dimension, at: Span) -> Result<&str, Problem> {
    if dimension == Dimension::NUMBER {
        return Ok("");
    }
    let inner =
        heading.split_once(['(', '[']).map_or(heading, |(_, rest)| rest.trim_end_matches([')', ']'])).trim();
    Measure::read(&format!("1 {inner}"), dimension).map(|_| inner).map_err(|_| {
        Problem::at(at, format!("`{heading}` names no unit of {}", dimension.in_words()))
            .help("the first line of the table names the unit of each column in brackets, as `time (s), thrust (N)`")
    })
}

fn number(cell: &str, unit: &str, dimension: Dimension, at: Span) -> Result<Quantity, Problem> {
    let value = Measure::read(format!("{cell} {unit}").trim(), dimension)
        .map_err(|error| Problem::at(at, error.to_string()))?
        .nominal;
    if value.si < 0.0 {
        return Err(Problem::at(at, format!("`{cell}` is below zero, and this cannot be")));
    }
    Ok(value)
}

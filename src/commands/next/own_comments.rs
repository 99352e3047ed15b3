//! Remarks that this command wrote itself, taken out again once the values that they are about are written. What an author wrote stays.

use std::collections::BTreeSet;

use super::grow::DRILL_SHEET;
use super::lines::Examples;
use crate::design::{Design, ROCKET};
use crate::quantity::System;
use crate::rules::Library;
use crate::vocabulary::{EntityType, NOT_KNOWN, Shape};
use crate::yaml::Source;

/// A text without the remarks of this command above and behind values that are written by now.
pub(super) fn without_settled(name: &str, text: &str, library: &Library) -> String {
    let own = Own::new(library);
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let in_block = block_scalars(&lines);
    let mut out = String::with_capacity(text.len());
    for (at, line) in lines.iter().enumerate() {
        if in_block.contains(&at) {
            out.push_str(line);
        } else if own.is_reason(line) {
            if own.waits(lines.get(at + 1..).unwrap_or_default(), indent(line)) {
                out.push_str(line);
            }
        } else {
            out.push_str(&own.without_remark(line));
        }
    }
    // A comment that turned out to be none is no reason to change what is written.
    if says(name, &out, library) == says(name, text, library) { out } else { text.to_owned() }
}

/// How much a text says: its parts, its values that are known, and its mistakes.
fn says(name: &str, text: &str, library: &Library) -> (usize, usize, usize) {
    let design = Design::read(Source::new(name, text), &library.tables);
    let fields = |entity: &crate::vocabulary::Entity| {
        (0..).take(entity.entity_type.fields.len()).filter(|slot| entity.slot(*slot).key.is_some()).count()
    };
    let keys = design.store.all().map(|(_, entity)| fields(entity)).sum();
    (design.store.all().count(), keys, design.problems.len())
}

/// What this command writes behind `#`.
struct Own {
    /// The reasons above values.
    reasons: BTreeSet<String>,
    /// The remarks behind values.
    remarks: BTreeSet<String>,
}

impl Own {
    fn new(library: &Library) -> Self {
        let mut reasons: BTreeSet<String> = library.rules.iter().map(|rule| rule.title.clone()).collect();
        reasons.insert(DRILL_SHEET.to_owned());
        let mut remarks = BTreeSet::new();
        for system in [System::Imperial, System::Metric] {
            let examples = Examples::of(system);
            let mut seen = BTreeSet::new();
            remarks_of(&ROCKET, &examples, &mut seen, &mut remarks);
        }
        Self { reasons, remarks }
    }

    /// Whether a line says why the value below it is asked for.
    fn is_reason(&self, line: &str) -> bool {
        let Some(words) = line.trim().strip_prefix("# ") else { return false };
        let title = words
            .rsplit_once("; ")
            .filter(|(_, more)| {
                more.strip_suffix(" more rules")
                    .or_else(|| more.strip_suffix(" more rule"))
                    .is_some_and(|count| count.chars().all(|c| c.is_ascii_digit()))
            })
            .map_or(words, |(title, _)| title);
        self.reasons.contains(title)
    }

    /// Whether a value that a reason is about is still unknown: it is about all that follows as deep as it, up to the next reason.
    fn waits(&self, below: &[&str], depth: usize) -> bool {
        below
            .iter()
            .take_while(|line| !line.trim().is_empty() && indent(line) >= depth)
            .take_while(|line| indent(line) > depth || !self.is_reason(line))
            .any(|line| is_open(line))
    }

    /// A line without the remark of this command behind its value, where the value is written.
    fn without_remark(&self, line: &str) -> String {
        let end = line.trim_end();
        match end.rsplit_once("   # ") {
            Some((before, remark)) if self.remarks.contains(remark) && !is_open(line) => {
                format!("{before}{}", line.get(end.len()..).unwrap_or_default())
            }
            _ => line.to_owned(),
        }
    }
}

fn remarks_of(
    entity_type: &'static EntityType,
    examples: &Examples,
    seen: &mut BTreeSet<&'static str>,
    remarks: &mut BTreeSet<String>,
) {
    if !seen.insert(entity_type.name) {
        return;
    }
    for field in entity_type.fields {
        let all = examples.remarks(entity_type, field);
        remarks.extend(all.iter().map(|one| crate::yaml::clean_line(one).into_owned()));
        if let Shape::One(inner) | Shape::Many(inner) = field.shape {
            remarks_of(inner, examples, seen, remarks);
        }
    }
}

/// Whether a line has a key whose value nobody has written yet.
fn is_open(line: &str) -> bool {
    let Some((key, value)) = line.split_once(':') else { return false };
    let value = value.split(" #").next().unwrap_or_default().trim();
    // A key of its own line may hold a part, whose lines speak for themselves.
    !key.trim_start().starts_with('#') && (value == NOT_KNOWN || value == "?")
}

fn indent(line: &str) -> usize {
    line.len() - line.trim_start_matches(' ').len()
}

/// The numbers of the lines inside block scalars, where `#` begins no comment.
fn block_scalars(lines: &[&str]) -> BTreeSet<usize> {
    let mut inside = BTreeSet::new();
    let mut depth: Option<usize> = None;
    for (at, line) in lines.iter().enumerate() {
        if let Some(key) = depth
            && (line.trim().is_empty() || indent(line) > key)
        {
            inside.insert(at);
            continue;
        }
        let value =
            line.split_once(": ").map(|(_, value)| value.split(" #").next().unwrap_or_default().trim());
        depth = value.filter(|value| value.starts_with(['|', '>'])).map(|_| indent(line));
    }
    inside
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn own_remarks_go_when_the_value_is_written_and_an_authors_stay() {
        let library = Library::built_in();
        let title = library.rules.first().map(|rule| rule.title.clone()).unwrap_or_default();
        assert!(!title.is_empty());
        let text = |value: &str| {
            format!(
                "holdpoint: 1\nsections:\n  nose:\n    # mine\n    # {title}; 3 more rules\n    mass: {value}   # my note\n    # {title}\n    tube: unknown\n"
            )
        };
        assert_eq!(without_settled("a", &text("unknown"), &library), text("unknown"));
        let filled = without_settled("a", &text("1 kg"), &library);
        assert_eq!(
            filled,
            format!(
                "holdpoint: 1\nsections:\n  nose:\n    # mine\n    mass: 1 kg   # my note\n    # {title}\n    tube: unknown\n"
            )
        );
    }

    #[test]
    fn what_stands_in_a_block_of_text_is_no_remark() {
        let library = Library::built_in();
        let title = library.rules.first().map(|rule| rule.title.clone()).unwrap_or_default();
        assert!(!title.is_empty());
        let text = format!(
            "holdpoint: 1\nmotor:\n  thrust_curve: |\n    time (s), thrust (N)\n    # {title}\n    0 0\n"
        );
        assert_eq!(without_settled("a", &text, &library), text);
    }
}

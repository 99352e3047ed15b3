//! The rocket in ten lines: what it weighs, how it flies and lands, and where there is least to spare.

use std::fmt::Write as _;

use super::Style;
use super::margin::margin_text;
use super::reading::{Cell, Reading};
use crate::design::{FASTENING, SECTION};
use crate::model::Model;
use crate::quantity::Dimension;
use crate::review::{DesignReview, MarginLine};
use crate::rules::Margin;
use crate::yaml::clean_line;

/// So many of the narrowest margins are listed.
pub(super) const NARROWEST: usize = 5;
/// A share below this is an identity: one number that is written twice, or a count that is met.
const LEAST_SHARE: f64 = 0.005;

/// A line of a summary: what it is about, and what is known of it.
pub(super) struct Fact {
    pub(super) about: &'static str,
    /// None where it is not known yet.
    pub(super) words: Option<String>,
}

/// The words of a line: what a cell says with what stands around it. A line begins with what it is about, and where that is not
/// known, neither is the line.
type Pieces = &'static [(&'static str, &'static str, &'static str)];

const FACTS: &[(&str, Pieces)] = &[
    ("mass", &[("", "mass_at_ignition", " ready to fly")]),
    (
        "stability",
        &[
            ("", "stability_at_rail_exit", " calibres leaving the rail"),
            (", with the stated wind ", "stability_in_wind", ""),
            (", ", "stability_at_burnout", " at burnout"),
        ],
    ),
    (
        "rail exit",
        &[("", "rail_exit_speed", ""), (", thrust over weight ", "rail_exit_thrust_to_weight", "")],
    ),
    ("top speed", &[("", "top_speed", ""), (", Mach ", "top_mach", "")]),
    ("apogee", &[("", "apogee", " in still air"), (", ", "apogee_time", " after ignition")]),
    ("landing", &[("", "landing_speed", "")]),
    ("drift", &[("", "drift", " in the stated wind")]),
    ("weakest link", &[("", "weakest_link", ""), (", bears ", "train_bears", "")]),
];

/// What stands in place of a line that is not known yet.
const ESTIMATES: &[(&str, Pieces)] = &[(
    "stability",
    &[("", "stability_of_parts", " calibres, estimated from the parts: balance the finished rocket")],
)];

/// The quantities of the summary, as a spread is asked for.
#[must_use]
pub fn summary_quantities() -> Vec<String> {
    let of_rocket = FACTS.iter().flat_map(|(_, pieces)| pieces.iter().map(|(_, name, _)| (*name).to_owned()));
    of_rocket.chain(["hardest_opening", "section.landing_energy"].map(str::to_owned)).collect()
}

/// What is known of the rocket, in the order of a flight.
pub(super) fn facts(r: Reading<'_>) -> Vec<Fact> {
    let root = r.root();
    let in_words = |pieces: Pieces| {
        let mut words = String::new();
        for (place, (before, name, after)) in pieces.iter().enumerate() {
            match r.cell(root, name) {
                Cell::Known(value) => {
                    let _ = write!(words, "{before}{value}{after}");
                }
                _ if place == 0 => break,
                _ => {}
            }
        }
        words
    };
    let line = |(about, pieces): &(&'static str, Pieces)| {
        let mut words = in_words(pieces);
        let estimate = ESTIMATES.iter().find(|(of, _)| of == about && words.is_empty());
        if let Some((_, pieces)) = estimate {
            words = in_words(pieces);
        }
        if *about == "landing"
            && !words.is_empty()
            && let Some(energy) = hardest_landing(r)
        {
            words.push_str(&energy);
        }
        if *about == "weakest link" && !words.is_empty() {
            words.push_str(&pull_on_weakest(r).unwrap_or_default());
        }
        Fact { about, words: (!words.is_empty()).then_some(words) }
    };
    FACTS.iter().map(line).collect()
}

/// The pull on the weakest link: of a joint that never parts, what hangs beyond it; of anything else, the hardest opening whole.
fn pull_on_weakest(r: Reading<'_>) -> Option<String> {
    let Cell::Known(hardest) = r.cell(r.root(), "hardest_opening") else { return None };
    let Cell::Known(weakest) = r.cell(r.root(), "weakest_link") else { return None };
    let store = &r.model.design().store;
    let held = store.of_type(&FASTENING).find(|id| store.path(*id) == weakest);
    let joint = held.and_then(|id| store.get(id)).and_then(|held| held.parent);
    match joint.map(|joint| r.cell(joint, "opening_pull")) {
        Some(Cell::Known(there)) => {
            Some(format!("; pulled with {there} by the hardest opening of {hardest}"))
        }
        _ => Some(format!("; hardest opening: {hardest}")),
    }
}

/// The piece that lands with the most energy.
fn hardest_landing(r: Reading<'_>) -> Option<String> {
    let sections = r.model.design().store.of_type(&SECTION);
    let energies = sections.filter_map(|id| Some((id, r.number(id, "landing_energy").ok()?)));
    let (id, _) = energies.max_by(|a, b| a.1.total_cmp(&b.1))?;
    match r.cell(id, "landing_energy") {
        Cell::Known(energy) => Some(format!("; {energy} at most, of the piece with {}", r.name(id))),
        _ => None,
    }
}

/// Whether a margin says how much of something is left: neither how parts fit, nor what is met exactly or nearly so because it is one
/// number twice, nor what is twice as large as it must be.
pub(super) fn is_telling(line: &MarginLine) -> bool {
    !line.is_fit
        && match line.margin {
            Margin::Ratio(share) => (LEAST_SHARE..1.0).contains(&share),
            // A count that is one more than it must be says nothing.
            Margin::Gap(gap) => gap.si > 0.0 && gap.dimension != Dimension::NUMBER,
        }
}

/// The narrowest margins that are telling, one a rule.
pub(super) fn narrowest(margins: &[MarginLine]) -> Vec<&MarginLine> {
    let mut rules: Vec<&MarginLine> = Vec::new();
    for line in margins.iter().filter(|line| is_telling(line)) {
        if rules.len() < NARROWEST && !rules.iter().any(|known| known.rule == line.rule) {
            rules.push(line);
        }
    }
    rules
}

/// What a margin is of: the rule, and the part.
pub(super) fn margin_of(line: &MarginLine) -> String {
    let subject = if line.subject.is_empty() { "the rocket" } else { &line.subject };
    format!("{} ({})", clean_line(&line.rule), clean_line(subject))
}

/// What is not known yet, in one line; none where all is.
pub(super) fn not_known(facts: &[Fact]) -> Option<String> {
    let names: Vec<&str> = facts.iter().filter(|fact| fact.words.is_none()).map(|fact| fact.about).collect();
    (!names.is_empty()).then(|| names.join(", "))
}

/// The summary as text.
pub(super) fn summary_text(model: &Model<'_>, review: &DesignReview, style: Style) -> String {
    let facts = facts(Reading::new(model));
    let mut out = String::from("\n");
    let mut line = |about: &str, words: &str| {
        let first = format!("  {about:<14}  ");
        let options = textwrap::Options::new(style.width)
            .initial_indent(&first)
            .subsequent_indent("                  ");
        out.push_str(&textwrap::fill(words, options));
        out.push('\n');
    };
    for fact in &facts {
        if let Some(words) = &fact.words {
            line(fact.about, words);
        }
    }
    for (place, margin) in narrowest(&review.margins).into_iter().enumerate() {
        let about = if place == 0 { "least to spare" } else { "" };
        line(about, &format!("{}: {}", margin_text(margin.margin), margin_of(margin)));
    }
    if let Some(names) = not_known(&facts) {
        line("not known yet", &names);
    }
    out
}

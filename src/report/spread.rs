//! How sure each number is, as text: percentiles, how often rules do not hold, what both go with, and what is uncertain.

use std::fmt::Write as _;

use super::Style;
use super::landing_plan::{case_words, spot_words};
use super::reading::{Reading, short};
use crate::model::Model;
use crate::quantity::{Length, Quantity};
use crate::review::{
    DesignReview, Driver, Finding, LandingArea, Spread, SpreadInput, SpreadQuantity, SpreadRule, SpreadSource,
};
use crate::rules::Verdict;
use crate::yaml::clean_line;

/// The heads of the columns of percentiles.
pub(super) const HEADS: [&str; 4] = ["1 in 20 below", "middle", "1 in 20 above", "goes with"];

/// What a table of a spread is about.
pub(super) fn title(spread: &Spread) -> String {
    format!("how sure: {} flights, each uncertain value anywhere within its limits", spread.samples)
}

/// The name of a quantity as people read it, with the part that it is of.
pub(super) fn name_of(quantity: &SpreadQuantity) -> String {
    let name = quantity.name.replace('_', " ");
    match quantity.subject.rsplit('.').next() {
        Some(part) if !part.is_empty() => format!("{name} of {}", clean_line(part)),
        _ => name,
    }
}

/// The quantities that some uncertain value moves.
pub(super) fn varying(spread: &Spread) -> impl Iterator<Item = &SpreadQuantity> {
    spread.quantities.iter().filter(|quantity| quantity.low.si < quantity.high.si)
}

/// The low, the middle and the high end.
pub(super) fn percentiles(quantity: &SpreadQuantity) -> [String; 3] {
    [quantity.low, quantity.median, quantity.high].map(|one| one.rough())
}

/// The inputs that a result goes with, the largest share first.
pub(super) fn drivers(drivers: &[Driver]) -> String {
    let one = |driver: &Driver| {
        // The number is not to be torn from its sign.
        format!("{} {:.0}\u{a0}%", clean_line(short(&driver.key)), driver.share * 100.0)
    };
    drivers.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// The rules that do not hold, or cannot be judged, in some flight.
pub(super) fn failing(spread: &Spread) -> impl Iterator<Item = &SpreadRule> {
    spread.rules.iter().filter(|rule| rule.broken + rule.unproven > 0)
}

/// An area in words: what opens, its middle, how long and wide it is, where its longer axis points, and how far it reaches from the pad.
pub(super) fn area_words(reading: Reading<'_>, area: &LandingArea) -> [String; 5] {
    let size = |length: Length| reading.model.shown(Quantity::from(length).of_flight()).rough();
    let ellipse = &area.ellipse;
    let turn = ellipse.side.si().to_degrees().round();
    let side = match turn {
        0.0 => "along the wind".to_owned(),
        turn if turn.abs() >= 89.5 => "across the wind".to_owned(),
        turn => format!(
            "{}° {} from upwind",
            turn.abs(),
            if turn > 0.0 { "clockwise" } else { "counterclockwise" }
        ),
    };
    [
        case_words(area.case).to_owned(),
        spot_words(reading, ellipse.middle),
        format!("{} × {}", size(ellipse.long * 2.0), size(ellipse.short * 2.0)),
        side,
        size(ellipse.farthest()),
    ]
}

/// How often a rule does not hold, in words.
pub(super) fn how_often(rule: &SpreadRule, spread: &Spread) -> String {
    let of = |count: usize| match count == spread.samples {
        true => format!("all {count}"),
        false => format!("{count} of {}", spread.samples),
    };
    match (rule.broken, rule.unproven) {
        (broken, 0) => format!("broken in {}", of(broken)),
        (0, unproven) => format!("cannot be judged in {}", of(unproven)),
        (broken, unproven) => format!("broken in {}, cannot be judged in {unproven}", of(broken)),
    }
}

/// In how many flights the rule of a finding holds; nothing where that is the same in all of them.
pub(super) fn share_of(finding: &Finding, design: &DesignReview) -> Option<String> {
    let spread = design.spread.as_ref()?;
    let same = |rule: &&SpreadRule| rule.rule == finding.rule && rule.subject == finding.subject;
    let rule = spread.rules.iter().find(same)?;
    let held = spread.samples - rule.broken - rule.unproven;
    Some(format!("holds in {held} of {} flights", spread.samples))
}

/// A rule with its subject, and how it comes out in the review.
pub(super) fn rule_of(rule: &SpreadRule) -> String {
    let subject = if rule.subject.is_empty() { "the rocket" } else { &rule.subject };
    let drawn = match rule.outcome {
        Verdict::Held => "",
        Verdict::NotApplicable => ", does not apply as drawn",
        Verdict::Tight => ", tight as drawn",
        Verdict::Broken => ", broken as drawn",
        Verdict::Unproven => ", unproven as drawn",
    };
    format!("{} {} ({}{drawn})", rule.level, clean_line(&rule.rule), clean_line(subject))
}

/// What is said of the rules that hold in every flight.
pub(super) fn holding(spread: &Spread) -> String {
    let always = || spread.rules.iter().filter(|rule| rule.broken + rule.unproven == 0);
    let mut names: Vec<&str> = always().map(|rule| rule.rule.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    if names.is_empty() {
        return "no other rule moves with what is uncertain".to_owned();
    }
    let fails = always().filter(|rule| rule.failed_by_chance > 0).count();
    let bound = if fails == 0 {
        format!(
            "; so they do in {} more drawn by chance, and with a confidence of 95 % each holds in at least 95 of 100 flights",
            spread.by_chance
        )
    } else {
        format!("; in {} more drawn by chance, {fails} of them do not", spread.by_chance)
    };
    let (count, samples) = (names.len(), spread.samples);
    let (rules, shift, hold) =
        if count == 1 { ("rule", "moves", "holds") } else { ("rules", "move", "hold") };
    format!(
        "{count} other {rules} {shift} with what is uncertain, and {hold} in all {samples} flights{bound}"
    )
}

/// Values of one source: how far they may be off, the values, and who says so.
pub(super) struct Group {
    pub(super) off: String,
    pub(super) values: String,
    pub(super) source: String,
}

/// What is uncertain, by where that is known from.
pub(super) fn groups(spread: &Spread) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for input in &spread.inputs {
        let off = off(input);
        let key = clean_line(short(&input.key)).into_owned();
        let source = match &input.source {
            SpreadSource::Written => "as written".to_owned(),
            SpreadSource::Pack { citation, .. } => clean_line(citation).into_owned(),
        };
        match groups.iter_mut().find(|known| known.off == off && known.source == source) {
            Some(group) => {
                group.values.push_str(", ");
                group.values.push_str(&key);
            }
            None => groups.push(Group { off, values: key, source }),
        }
    }
    groups
}

/// How far a value may be off.
fn off(input: &SpreadInput) -> String {
    let between = |high: Quantity, low| high.minus(low).map(|gap| gap.rough()).unwrap_or_default();
    let (less, more) = (input.nominal.si - input.low.si, input.high.si - input.nominal.si);
    match &input.source {
        SpreadSource::Pack { is_share: true, .. } => {
            format!("±{}", Quantity::number(100.0 * more / input.nominal.si).rough() + " %")
        }
        _ if (less - more).abs() <= 1e-9 * (less + more) => {
            format!("±{}", between(input.high, input.nominal))
        }
        _ => {
            format!("+{} −{}", between(input.high, input.nominal), between(input.nominal, input.low))
        }
    }
}

/// The spread as text.
pub(super) fn spread_text(out: &mut String, model: &Model<'_>, design: &DesignReview, style: Style) {
    let Some(spread) = &design.spread else { return };
    let title = title(spread);
    let _ =
        writeln!(out, "\n── {title} {}\n", "─".repeat(style.width.saturating_sub(4 + title.chars().count())));
    if spread.inputs.is_empty() {
        out.push_str("  nothing that it rests on is uncertain\n");
        return;
    }
    let [below, middle, above, goes_with] = HEADS.map(str::to_owned);
    let mut rows = vec![[String::new(), below, middle, above, goes_with]];
    for quantity in varying(spread) {
        let [low, middle, high] = percentiles(quantity);
        let mut goes_with = drivers(&quantity.drivers);
        if quantity.unknown > 0 {
            let _ = write!(goes_with, "; not known in {}", quantity.unknown);
        }
        rows.push([name_of(quantity), low, middle, high, goes_with]);
    }
    let width =
        |at: usize| rows.iter().filter_map(|r| r.get(at)).map(|c| c.chars().count()).max().unwrap_or(0);
    let widths = [width(0), width(1), width(2), width(3)];
    for row in &rows {
        let mut first = String::from("  ");
        for (cell, width) in row.iter().zip(widths) {
            let _ = write!(first, "{cell:<width$}  ");
        }
        let [.., goes_with] = row;
        wrapped(out, &first, &" ".repeat(first.chars().count()), goes_with, style);
    }
    if !spread.courses.areas.is_empty() {
        out.push('\n');
        for area in &spread.courses.areas {
            let [case, middle, size, side, farthest] = area_words(Reading::new(model), area);
            let words = format!("{case}: {size}, {side}, around {middle}; up to {farthest} from the pad");
            wrapped(out, "  nine in ten land, ", "      ", &words, style);
        }
    }
    out.push('\n');
    for rule in failing(spread) {
        let words = match drivers(&rule.drivers) {
            words if words.is_empty() => format!("{}: {}", rule_of(rule), how_often(rule, spread)),
            words => format!("{}: {}; goes with {words}", rule_of(rule), how_often(rule, spread)),
        };
        wrapped(out, "  ", "      ", &words, style);
    }
    wrapped(out, "  ", "      ", &holding(spread), style);
    out.push('\n');
    for group in groups(spread) {
        let words = format!("{}: {} ({})", group.off, group.values, group.source);
        wrapped(out, "  may be off ", "      ", &words, style);
    }
}

fn wrapped(out: &mut String, first: &str, rest: &str, words: &str, style: Style) {
    let options = textwrap::Options::new(style.width)
        .break_words(false)
        .word_splitter(textwrap::WordSplitter::NoHyphenation)
        .initial_indent(first)
        .subsequent_indent(rest);
    let lines = textwrap::fill(words, options).replace('\u{a0}', " ");
    out.push_str(if words.is_empty() { first.trim_end() } else { &lines });
    out.push('\n');
}

//! The review as a mentor would write it: verdict first and last, hold points in build order, findings under their lines.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use super::caution::caution;
use super::conditions::{DEPARTS, ON_WORD};
use super::form::{DESIGNS, List, PROBLEMS, Part, ReportForm, Totals};
use super::margin::margin_text;
use super::note::Note;
use super::spread::{share_of, spread_text};
use super::summary::summary_text;
use super::total::Total;
use super::waiting::{
    part_name, proposed, rules_named, rules_of, rules_wait, values_before, values_named, waiting_values,
};
use super::{Diagram, Style, problem_text};
use crate::model::Model;
use crate::review::{
    DesignReview, Disposition, Finding, MarginLine, StepProgress, Tried, WaitingPart, conflicts, progress,
    waiting, written,
};
use crate::rules::{HoldPoint, Level, Library, OwnRule, Verdict};
use crate::yaml::{Problem, Source, Span, clean_line, no_commands};

/// A review as text.
#[derive(Clone, Debug, Default)]
pub struct Text {
    style: Style,
    lines: String,
    total: Total,
}

impl Text {
    /// A text in a style.
    #[must_use]
    pub fn new(style: Style) -> Self {
        Self { style, ..Self::default() }
    }
}

impl ReportForm for Text {
    fn problem(&self, source: &Source, problem: &Problem) -> Part {
        Part::of(no_commands(problem_text(source, problem, self.style) + "\n"))
    }

    fn design(&self, review: &DesignReview, library: &Library, _: usize) -> Part {
        let mut out = String::new();
        one(&mut out, review, library, self.style);
        let word = if review.is_clear() { "clear" } else { "HOLD" };
        let line = format!("{word:<5} {}\n", clean_line(review.design.source.name()));
        Part { text: no_commands(out), note: Note::Line(no_commands(line), Total::of(review)) }
    }

    fn take(&mut self, _: List, part: Part) -> String {
        if let Note::Line(line, total) = part.note {
            self.lines.push_str(&line);
            self.total.add(total);
        }
        part.text
    }

    fn frame(&mut self, totals: Totals) -> String {
        let lines =
            if totals.designs > 1 { format!("{}{}\n", self.lines, self.total.line()) } else { String::new() };
        let caution = if totals.designs > 0 { caution() } else { "" };
        format!("{PROBLEMS}{DESIGNS}{lines}{caution}")
    }
}

/// More lines of working than this hide the finding; the rest is for `explain`.
const MOST_WORKING: usize = 8;

fn one(out: &mut String, design: &DesignReview, library: &Library, style: Style) {
    let source = &design.design.source;
    let title = match design.design.given_name() {
        Some(name) => format!("{} ({})", clean_line(name), clean_line(source.name())),
        None => clean_line(source.name()).into_owned(),
    };
    let _ = writeln!(out, "{title}: {}\n", verdict_line(design));
    let model = Model::new(&design.design, library.environment(design.today));
    let parts = waiting(design.findings.iter().filter(|f| f.waiver().is_none()));
    hold_points(out, design, &parts, &written(&model, library, design));
    departures(out, design, style);
    to_write_next(out, design, &parts);
    out.push_str(&summary_text(&model, design, style));
    spread_text(out, &model, design, style);
    let mut drawn_before = BTreeSet::new();
    for state in &design.hold_points {
        let open: Vec<&Finding> =
            design.findings.iter().filter(|f| f.before == state.point && drawn(f)).collect();
        if open.is_empty() {
            continue;
        }
        let _ = writeln!(
            out,
            "\n── before {} {}\n",
            state.point,
            "─".repeat(style.width.saturating_sub(12 + state.point.name().len()))
        );
        let mut groups: Vec<Vec<&Finding>> = Vec::new();
        for finding in open {
            match groups
                .iter_mut()
                .find(|g| g.first().is_some_and(|f| f.rule == finding.rule && f.outcome == finding.outcome))
            {
                Some(group) => group.push(finding),
                None => groups.push(vec![finding]),
            }
        }
        // Part by part, as one has them in hand; the part with the worst finding first, as the findings come worst first.
        let mut parts: Vec<(&str, Vec<Vec<&Finding>>)> = Vec::new();
        for group in groups {
            let part = group.first().map_or("", |f| part_of(&f.subject));
            match parts.iter_mut().find(|(name, _)| *name == part) {
                Some((_, groups)) => groups.push(group),
                None => parts.push((part, vec![group])),
            }
        }
        let several = parts.len() > 1;
        for (part, groups) in parts {
            if several {
                let _ = writeln!(out, "  ·· {}\n", clean_line(part));
            }
            for group in groups {
                let (again, group): (Vec<&Finding>, Vec<&Finding>) =
                    group.into_iter().partition(|finding| is_repeated(finding, &mut drawn_before));
                if !group.is_empty() {
                    draw(out, design, &group, style);
                }
                for finding in again {
                    item(out, "so too", &finding.message, style);
                    out.push('\n');
                }
            }
        }
    }
    conflicts_drawn(out, design, style);
    not_written(out, design, &model, &parts);
    waived(out, design);
    codes(out, design, style);
    if let Some(settings) = &design.settings {
        let _ = writeln!(out, "\n  settings: {} (`--show-settings` shows each)", clean_line(settings));
    }
    every_margin(out, design, style);
    not_judged(out, design, style);
    let counts = design.counts;
    let _ = writeln!(
        out,
        "\n{} held, {} broken, {} tight, {} unproven, {} waived; {} do not apply to this rocket",
        counts.held, counts.broken, counts.tight, counts.unproven, counts.waived, counts.not_applicable
    );
    let _ = writeln!(out, "{}", design.totals().in_words());
    let _ = writeln!(out, "{title}: {}\n", verdict_line(design));
}

/// Whether a value that changed was drawn for an earlier step: the steps that read it differ, its place does not.
fn is_repeated(finding: &Finding, drawn_before: &mut BTreeSet<(u32, String)>) -> bool {
    let Some(place) = finding.places.first() else { return false };
    finding.own == Some(OwnRule::PassedValueChanged)
        && !drawn_before.insert((place.span.start, finding.subject.clone() + &place.key))
}

/// What is not as the packs have it, and what is taken on the author's word: it stands before the findings, since it may be why there are none.
fn departures(out: &mut String, design: &DesignReview, style: Style) {
    let mut list = |title: &str, items: Vec<(&str, String)>| {
        if !items.is_empty() {
            let _ =
                writeln!(out, "\n── {title} {}\n", "─".repeat(style.width.saturating_sub(4 + title.len())));
        }
        for (name, words) in items {
            item(out, name, &words, style);
        }
    };
    let departures = design.departures.iter().map(|one| (one.kind.name(), one.to_string()));
    list(DEPARTS, departures.collect());
    let words = design.on_word.iter().map(|one| {
        let line = design.design.source.position(one.place.span.start).line;
        ("word", format!("{one} (line {line})"))
    });
    list(ON_WORD, words.collect());
}

/// The part of the rocket that a subject belongs to: its section, its joint, or the group of keys it stands in.
fn part_of(subject: &str) -> &str {
    let mut steps = subject.split('.');
    match (steps.next(), steps.next()) {
        (Some("sections" | "joints"), Some(name)) => name,
        (Some(group), _) if !group.is_empty() => group,
        _ => "the rocket as a whole",
    }
}

/// Every margin of what is held, narrowest first, where they are asked for.
fn every_margin(out: &mut String, design: &DesignReview, style: Style) {
    // What is met exactly is a count or one number written twice; what is short was held by another branch of its rule.
    let mut rules: Vec<(&MarginLine, usize)> = Vec::new();
    for line in design.margins.iter().filter(|line| line.margin.size() > 0.0) {
        match rules.iter_mut().find(|(first, _)| first.rule == line.rule) {
            Some((_, more)) => *more += 1,
            None => rules.push((line, 0)),
        }
    }
    if rules.is_empty() || !style.margins {
        return;
    }
    let _ = writeln!(out, "\n── the margins of what is held, narrowest first\n");
    let texts: Vec<String> = rules.iter().map(|(line, _)| margin_text(line.margin)).collect();
    let width = texts.iter().map(|t| t.chars().count()).max().unwrap_or(0);
    for ((line, more), text) in rules.iter().zip(&texts) {
        let subject = if line.subject.is_empty() { "the rocket" } else { &line.subject };
        let others = if *more > 0 { format!(", and {more} wider") } else { String::new() };
        let _ =
            writeln!(out, "  {text:>width$}  {} ({}{others})", clean_line(&line.rule), clean_line(subject));
    }
}

/// What no rule in force spoke about, so that `clear` says how far it reaches.
fn not_judged(out: &mut String, design: &DesignReview, style: Style) {
    let Some(steps) = &design.not_judged else { return };
    if steps.is_empty() {
        let _ = writeln!(
            out,
            "\n  not judged: nothing; some rule spoke about every part and every value that is written"
        );
        return;
    }
    let _ = writeln!(out, "\n── written, and no rule in force spoke about it\n");
    for step in steps {
        item(out, step.before.name(), &step.in_words(), style);
    }
}

/// One item of a finding, wrapped with its continuation lines indented.
fn item(out: &mut String, name: &str, words: &str, style: Style) {
    let first = format!("  {name}: ");
    let options = textwrap::Options::new(style.width).initial_indent(&first).subsequent_indent("      ");
    out.push_str(&textwrap::fill(&clean_line(words), options));
    out.push('\n');
}

/// Findings that are drawn in full: an unproven one that only lacks a key is folded into the list of keys, and one that waits
/// for values that make no sense into what is said of those.
fn drawn(finding: &Finding) -> bool {
    let folded = !finding.missing.is_empty() || !finding.refused.is_empty();
    finding.is_shown() && (finding.outcome != Verdict::Unproven || !folded)
}

/// What is written and makes no sense together, each once, with the rules that wait for it.
fn conflicts_drawn(out: &mut String, design: &DesignReview, style: Style) {
    let conflicts = conflicts(design.findings.iter().filter(|f| f.is_shown()));
    if conflicts.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n── makes no sense as it is written, so not proven\n");
    for one in conflicts {
        let Some(first) = one.findings.iter().min_by_key(|f| (f.level, f.before)) else { continue };
        let places: Vec<(Span, String)> = first.places.iter().map(|p| (p.span, p.label.clone())).collect();
        let diagram = Diagram::new(&one.reason, first.level, &design.design.source, &places, None);
        out.push_str(&diagram.draw(style));
        let first = one.findings.iter().map(|f| f.before).min().map_or("", HoldPoint::name);
        item(out, "waits for it", &format!("{} (first before {first})", rules_of(&one).join(", ")), style);
        out.push('\n');
    }
}

/// The verdict in one line.
pub(super) fn verdict_line(design: &DesignReview) -> String {
    if design.is_clear() {
        if design.incomplete {
            return "nothing holds by what could be read, but some packs or settings could not be".to_owned();
        }
        return "clear, nothing holds".to_owned();
    }
    let first = design.hold_points.iter().find(|h| !h.clear).map(|h| h.point);
    match first {
        None => "HOLD, the file has mistakes".to_owned(),
        Some(HoldPoint::Parts) => "HOLD, settle the parts first".to_owned(),
        Some(point) => {
            let before = HoldPoint::ALL.into_iter().rfind(|p| *p < point);
            let so_far = before
                .map(|b| format!("you may go on to {point} work only when this is settled; {b} is clear"))
                .unwrap_or_default();
            format!("HOLD before {point}: {so_far}")
        }
    }
}

/// The hold points in build order: how many of their values are written, and how many findings are to be settled.
fn hold_points(
    out: &mut String,
    design: &DesignReview,
    parts: &[WaitingPart],
    written: &BTreeMap<HoldPoint, usize>,
) {
    let progress = progress(design, parts);
    for (state, step) in design.hold_points.iter().zip(&progress) {
        let mine = design.findings.iter().filter(|f| f.before == state.point && f.waiver().is_none());
        let (mut remarks, mut known, mut below) = (0, 0, 0);
        for finding in mine {
            match finding.disposition {
                Disposition::Baselined => known += 1,
                Disposition::Below => below += 1,
                Disposition::Shown if finding.level != Level::Error => remarks += 1,
                Disposition::Shown | Disposition::Waived(_) => {}
            }
        }
        let mut words = vec![values_of_step(*step, written)];
        if step.to_settle > 0 {
            words.push(format!("{} to settle", step.to_settle));
        }
        if remarks > 0 {
            words.push(format!("{remarks} to read"));
        }
        for (count, what) in [(known, "in the baseline"), (below, "below the level shown")] {
            if count > 0 {
                words.push(format!("{count} {what}"));
            }
        }
        if let Some(passed) = design.passed.iter().find(|p| p.point == state.point) {
            words.push(format!("passed on {} by {}", passed.date, clean_line(&passed.by)));
        }
        let state_word = if state.clear { "clear" } else { "HOLD" };
        let line = format!("  {:<9} {state_word:<6} {}", state.point, words.join(", "));
        let _ = writeln!(out, "{}", line.trim_end());
    }
}

/// `12 of 14 values`, `14 values`.
pub(super) fn values_of_step(step: StepProgress, written: &BTreeMap<HoldPoint, usize>) -> String {
    let written = written.get(&step.point).copied().unwrap_or(0);
    let total = written + step.missing;
    let plural = if total == 1 { "" } else { "s" };
    if step.missing == 0 {
        format!("{total} value{plural}")
    } else {
        format!("{written} of {total} value{plural}")
    }
}

/// What to write down next: the values of the first hold point that waits for some, part by part.
fn to_write_next(out: &mut String, design: &DesignReview, parts: &[WaitingPart]) {
    let Some(point) = next_step(parts) else { return };
    let name = clean_line(design.design.source.name()).into_owned();
    // What came from standard input cannot be written to.
    let how = if name.ends_with(".yaml") {
        format!(" (`holdpoint next {name}` puts the keys into the file)")
    } else {
        String::new()
    };
    let _ = writeln!(out, "\n  to write down next, for {point}{how}:");
    for part in parts {
        let values = values_before(part, point);
        if !values.is_empty() {
            let _ = writeln!(out, "    {}", waiting_values(part, values));
        }
    }
}

/// The first hold point that waits for values.
pub(super) fn next_step(parts: &[WaitingPart]) -> Option<HoldPoint> {
    parts
        .iter()
        .flat_map(|part| &part.values)
        .filter(|value| value.holds && !value.has_default)
        .map(|value| value.before)
        .min()
}

/// The codes: by which of them the rocket was judged, what they ask of a person, and which were left aside and why.
fn codes(out: &mut String, design: &DesignReview, style: Style) {
    if design.packs.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n── codes, laws and guides {}\n", "─".repeat(style.width.saturating_sub(26)));
    let mut aside: Vec<(&str, Vec<&str>)> = Vec::new();
    for pack in &design.packs {
        if !pack.judged {
            match aside.iter_mut().find(|(because, _)| *because == pack.because) {
                Some((_, names)) => names.push(&pack.name),
                None => aside.push((&pack.because, vec![&pack.name])),
            }
            continue;
        }
        let asks = match pack.asks.len() {
            0 => String::new(),
            1 => "; 1 more clause is for a person: see `holdpoint checklist`".to_owned(),
            many => format!("; {many} more clauses are for a person: see `holdpoint checklist`"),
        };
        let rules = if pack.rules == 1 { "rule" } else { "rules" };
        let words = format!("judged by its {} {rules}, since {}{asks}", pack.rules, pack.because);
        item(out, &clean_line(&pack.name), &words, style);
    }
    for (because, names) in aside {
        item(out, "not judged", &format!("{}: {because}", names.join(", ")), style);
    }
}

pub(super) fn draw(out: &mut String, design: &DesignReview, group: &[&Finding], style: Style) {
    let Some(first) = group.first() else { return };
    let mut places: Vec<(Span, String)> = Vec::new();
    for place in group.iter().flat_map(|f| &f.places) {
        if places.len() < 10 && !places.iter().any(|(span, _)| *span == place.span) {
            places.push((place.span, place.label.clone()));
        }
    }
    let diagram = Diagram::new(&first.message, first.level, &design.design.source, &places, None)
        .named(&format!("{} {}", first.level, first.rule));
    out.push_str(&diagram.draw(style));
    for other in group.iter().skip(1) {
        item(out, "and", &other.message, style);
    }
    item(out, "why", &first.why, style);
    let computed: Vec<_> = first.working.iter().filter(|w| !w.formula.is_empty()).collect();
    let deepest = (0..=u8::MAX)
        .take_while(|depth| computed.iter().filter(|w| w.depth <= *depth).count() <= MOST_WORKING)
        .last()
        .unwrap_or(0);
    for line in computed.iter().filter(|w| w.depth <= deepest) {
        item(out, "worked out", &format!("{} = {}  [{}]", line.name, line.value, line.formula), style);
    }
    if let Some(asked) = computed.iter().rfind(|w| w.depth == 0)
        && computed.iter().any(|w| w.depth > deepest)
    {
        let whole = format!("`holdpoint explain {} {}`", design.design.source.name(), asked.name);
        item(out, "in full", &whole, style);
    }
    if let Some(margin) = first.margin {
        let _ = writeln!(out, "  margin: {}", margin_text(margin));
    }
    for finding in group {
        if let Some(share) = share_of(finding, design) {
            let on = if group.len() > 1 { format!("{}: ", finding.subject) } else { String::new() };
            item(out, "how sure", &format!("{on}{share}"), style);
        }
    }
    item(out, "source", &first.source, style);
    for finding in group {
        for remedy in &finding.remedies {
            let tried = match remedy.tried {
                None => "",
                Some(Tried::Clears) => " (tried on a copy: clears this and breaks nothing else)",
                Some(Tried::Partly) => {
                    " (tried on a copy: breaks nothing, and leaves more to write down or to mend)"
                }
                Some(Tried::Breaks) => " (tried on a copy: breaks something else, so think twice)",
            };
            let on = if group.len() > 1 { format!("{}: ", finding.subject) } else { String::new() };
            item(out, "change", &format!("{on}{}{tried}", remedy.say), style);
        }
    }
    out.push('\n');
}

/// What is not written down, one line a part, in the order in which it is asked for.
fn not_written(out: &mut String, design: &DesignReview, model: &Model<'_>, parts: &[WaitingPart]) {
    if parts.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n── not written down yet, so not proven\n");
    for part in parts {
        let line = part.place.map(|span| design.design.source.position(span.start).line);
        let at = line.map(|line| format!(" (line {line})")).unwrap_or_default();
        let _ = writeln!(out, "  {}{at}: {}", part_name(part), values_named(&part.values));
        let first = part.before;
        let _ = writeln!(
            out,
            "      {} for {}, first before {first} ({})",
            rules_wait(part.rules.len()),
            if part.values.len() == 1 { "it" } else { "them" },
            rules_named(&part.rules)
        );
        for line in proposed(model, part) {
            let _ = writeln!(out, "      {line}");
        }
    }
}

fn waived(out: &mut String, design: &DesignReview) {
    for finding in &design.findings {
        if let Some(waiver) = finding.waiver() {
            let _ = writeln!(
                out,
                "  waived: {} on {}, by {} until {}: {}",
                clean_line(&finding.rule),
                clean_line(&finding.subject),
                clean_line(&waiver.by),
                waiver.until,
                clean_line(&waiver.reason)
            );
        }
    }
}

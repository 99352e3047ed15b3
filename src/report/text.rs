//! The review as a mentor would write it: verdict first and last, hold points in build order, findings under their lines.

use std::fmt::Write as _;

use super::caution::caution;
use super::form::{DESIGNS, List, PROBLEMS, Part, ReportForm, Totals};
use super::note::Note;
use super::{Diagram, Style, problem_text};
use crate::review::{DesignReview, Disposition, Finding, MarginLine, Tried};
use crate::rules::{HoldPoint, Level, Library, Margin, Verdict};
use crate::text::{Problem, Source, Span, clean_line, no_commands};

/// A review as text.
#[derive(Clone, Debug, Default)]
pub struct Text {
    style: Style,
    lines: String,
}

impl Text {
    /// A text in a style.
    #[must_use]
    pub const fn new(style: Style) -> Self {
        Self { style, lines: String::new() }
    }
}

impl ReportForm for Text {
    fn problem(&self, source: &Source, problem: &Problem) -> Part {
        Part::of(no_commands(problem_text(source, problem, self.style) + "\n"))
    }

    fn design(&self, review: &DesignReview, _: &Library, _: usize) -> Part {
        let mut out = String::new();
        one(&mut out, review, self.style);
        let word = if review.is_clear() { "clear" } else { "HOLD" };
        let line = format!("{word:<5} {}\n", clean_line(review.design.source.name()));
        Part { text: no_commands(out), note: Note::Line(no_commands(line)) }
    }

    fn take(&mut self, _: List, part: Part) -> String {
        if let Note::Line(line) = part.note {
            self.lines.push_str(&line);
        }
        part.text
    }

    fn frame(&mut self, totals: Totals) -> String {
        let lines = if totals.designs > 1 { format!("{}\n", self.lines) } else { String::new() };
        let caution = if totals.designs > 0 { caution() } else { "" };
        format!("{PROBLEMS}{DESIGNS}{lines}{caution}")
    }
}

/// More lines of working than this hide the finding; the rest is for `explain`.
const MOST_WORKING: usize = 8;

fn one(out: &mut String, design: &DesignReview, style: Style) {
    let source = &design.design.source;
    let title = match design.design.given_name() {
        Some(name) => format!("{} ({})", clean_line(name), clean_line(source.name())),
        None => clean_line(source.name()).into_owned(),
    };
    let _ = writeln!(out, "{title}: {}\n", verdict_line(design));
    hold_points(out, design);
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
                draw(out, design, &group, style);
            }
        }
    }
    conflicts(out, design, style);
    missing(out, design);
    waived(out, design);
    codes(out, design, style);
    if let Some(settings) = &design.settings {
        let _ = writeln!(out, "\n  settings: {} (`--show-settings` shows each)", clean_line(settings));
    }
    narrowest(out, design, style);
    not_judged(out, design, style);
    let counts = design.counts;
    let _ = writeln!(
        out,
        "\n{} held, {} broken, {} tight, {} unproven, {} waived; {} do not apply to this rocket",
        counts.held, counts.broken, counts.tight, counts.unproven, counts.waived, counts.not_applicable
    );
    let _ = writeln!(out, "{}", design.accounts().in_words());
    let _ = writeln!(out, "{title}: {}\n", verdict_line(design));
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

/// The margins of what is held, narrowest first: what a mentor asks about next.
fn narrowest(out: &mut String, design: &DesignReview, style: Style) {
    // What is met exactly is a count or one number written twice; what is short was held by another branch of its rule.
    let mut rules: Vec<(&MarginLine, usize)> = Vec::new();
    for line in design.margins.iter().filter(|line| line.margin.size() > 0.0) {
        match rules.iter_mut().find(|(first, _)| first.rule == line.rule) {
            Some((_, more)) => *more += 1,
            None => rules.push((line, 0)),
        }
    }
    if rules.is_empty() || style.margins == 0 {
        return;
    }
    let wider = rules.len().saturating_sub(style.margins);
    rules.truncate(style.margins);
    let _ = writeln!(out, "\n── the narrowest margins of what is held\n");
    let texts: Vec<String> = rules.iter().map(|(line, _)| margin_text(line.margin)).collect();
    let width = texts.iter().map(|t| t.chars().count()).max().unwrap_or(0);
    for ((line, more), text) in rules.iter().zip(&texts) {
        let subject = if line.subject.is_empty() { "the rocket" } else { &line.subject };
        let others = if *more > 0 { format!(", and {more} wider") } else { String::new() };
        let _ =
            writeln!(out, "  {text:>width$}  {} ({}{others})", clean_line(&line.rule), clean_line(subject));
    }
    if wider > 0 {
        let _ = writeln!(out, "  and {wider} more rules: `--margins`");
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
fn conflicts(out: &mut String, design: &DesignReview, style: Style) {
    let mut reasons: Vec<(String, Vec<&Finding>)> = Vec::new();
    let waiting = |f: &&Finding| f.is_shown() && f.outcome == Verdict::Unproven && f.missing.is_empty();
    for finding in design.findings.iter().filter(waiting).filter(|f| !f.refused.is_empty()) {
        let reason = finding.refused.join("; ");
        match reasons.iter_mut().find(|(known, _)| *known == reason) {
            Some((_, findings)) => findings.push(finding),
            None => reasons.push((reason, vec![finding])),
        }
    }
    if reasons.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n── makes no sense as it is written, so not proven\n");
    for (reason, findings) in reasons {
        let Some(first) = findings.iter().min_by_key(|f| (f.level, f.before)) else { continue };
        let places: Vec<(Span, String)> = first.places.iter().map(|p| (p.span, p.label.clone())).collect();
        let diagram = Diagram::new(&reason, first.level, &design.design.source, &places, None);
        out.push_str(&diagram.draw(style));
        let mut rules: Vec<&str> = findings.iter().map(|f| f.rule.as_str()).collect();
        rules.sort_unstable();
        rules.dedup();
        let first = findings.iter().map(|f| f.before).min().map_or("", HoldPoint::name);
        item(out, "waits for it", &format!("{} (first before {first})", rules.join(", ")), style);
        out.push('\n');
    }
}

/// The verdict in one line.
pub(super) fn verdict_line(design: &DesignReview) -> String {
    if design.is_clear() {
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

fn hold_points(out: &mut String, design: &DesignReview) {
    for state in &design.hold_points {
        let mine = design.findings.iter().filter(|f| f.before == state.point && f.waiver().is_none());
        let (mut broken, mut tight, mut unproven, mut remarks) = (0, 0, 0, 0);
        let (mut known, mut below) = (0, 0);
        for finding in mine {
            match finding.standing {
                Disposition::Baselined => known += 1,
                Disposition::Below => below += 1,
                Disposition::Shown | Disposition::Waived(_) => {}
            }
            if !finding.is_shown() {
                continue;
            }
            match (finding.level, finding.outcome) {
                (Level::Error, Verdict::Broken) => broken += 1,
                (Level::Error, Verdict::Tight) => tight += 1,
                (Level::Error, _) => unproven += 1,
                _ => remarks += 1,
            }
        }
        let mut words = Vec::new();
        for (count, what) in [(broken, "broken"), (tight, "tight"), (unproven, "unproven")] {
            if count > 0 {
                words.push(format!("{count} {what}"));
            }
        }
        if remarks > 0 {
            words.push(format!("{remarks} that do{} not hold", if remarks == 1 { "es" } else { "" }));
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

fn draw(out: &mut String, design: &DesignReview, group: &[&Finding], style: Style) {
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

/// A margin in words.
pub(super) fn margin_text(margin: Margin) -> String {
    match margin {
        Margin::Ratio(0.0) => "none, exactly on the limit".to_owned(),
        Margin::Ratio(ratio) => {
            let share = ratio.abs() * 100.0;
            let digits = usize::from(share < 1.0);
            format!("{share:.digits$} % {}", if ratio < 0.0 { "short" } else { "to spare" })
        }
        Margin::Gap(gap) if gap.si < 0.0 => format!("{} short", gap.abs()),
        Margin::Gap(gap) => format!("{gap} to spare"),
    }
}

/// What is not written down, by key, most useful first. A draft must not drown its author.
fn missing(out: &mut String, design: &DesignReview) {
    let mut keys: Vec<(&str, bool, Vec<&Finding>)> = Vec::new();
    for finding in design.findings.iter().filter(|f| f.is_shown() && f.outcome == Verdict::Unproven) {
        for value in &finding.missing {
            match keys.iter_mut().find(|(k, ..)| *k == value.key) {
                Some((.., findings)) => findings.push(finding),
                None => keys.push((&value.key, value.unreadable, vec![finding])),
            }
        }
    }
    if keys.is_empty() {
        return;
    }
    let rules_of = |findings: &[&Finding]| {
        let mut rules: Vec<String> = findings.iter().map(|f| f.rule.clone()).collect();
        rules.sort_unstable();
        rules.dedup();
        rules
    };
    keys.sort_by(|a, b| rules_of(&b.2).len().cmp(&rules_of(&a.2).len()).then_with(|| a.0.cmp(b.0)));
    let _ = writeln!(out, "\n── not written down yet, so not proven\n");
    for (key, unreadable, findings) in keys {
        let place = findings.iter().flat_map(|f| &f.places).find(|p| p.key == key);
        let line = place.map(|p| design.design.source.position(p.span.start).line);
        let at = line.map(|l| format!(" (line {l})")).unwrap_or_default();
        let rules = rules_of(&findings);
        let named = rules.get(..rules.len().min(3)).unwrap_or(&[]).join(", ");
        let more = if rules.len() > 3 { ", …" } else { "" };
        let first = findings
            .iter()
            .map(|f| f.before)
            .min()
            .map(|b| format!(", first before {b}"))
            .unwrap_or_default();
        let doing = if unreadable { "mend" } else { "write down" };
        let plural = if rules.len() == 1 { "" } else { "s" };
        let helps = if findings.iter().all(|f| f.missing.len() == 1) { "settles" } else { "helps to settle" };
        let _ = writeln!(
            out,
            "  {doing} `{}`{at}: {helps} {} rule{plural}{first} ({named}{more})",
            clean_line(key),
            rules.len()
        );
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

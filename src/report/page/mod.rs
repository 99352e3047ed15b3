//! The review as one page of HTML: nothing is fetched, nothing runs, and it prints.
//!
//! Every finding is numbered. Its number leads from the drawing and from the source to the finding, and its links lead
//! back to the bytes and to the part: plain anchors, which work on paper as numbers. All text from a file is made
//! harmless and escaped by the templates; nothing of it becomes markup.

mod findings;
mod follow;
mod plots;
mod prose;
mod results;
mod rows;
mod shown;
mod source;
mod spread;

use maud::{DOCTYPE, Markup, PreEscaped, html};

pub use follow::Follow;
pub(super) use shown::{figure, parts_table, table};

use super::caution::caution;
use super::concise::problem_line;
use super::drawing::{Balloon, Drawing, State, aft_view, sheet};
use super::form::{DESIGNS, List, PROBLEMS, Part, ReportForm, Totals};
use super::margin::margin_text;
use super::note::Note;
use super::reading::Reading;
use super::summary::{facts, margin_of, narrowest, not_known};
use super::tables::Table;
use super::text::{next_step, values_of_step, verdict_line};
use super::waiting::{values_before, waiting_values};
use crate::model::Model;
use crate::review::{DesignReview, Finding, progress, waiting, written};
use crate::rules::{HoldPoint, Level, Library, Verdict};
use crate::yaml::{Problem, Source, clean_line};

/// The colours and the layout of pages and papers.
pub(super) const STYLE: &str = include_str!("style.css");

/// Nothing may be fetched and nothing may run, whatever a reader's browser would allow.
pub(super) const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

/// The head of a page or of papers, and what these may do.
pub(super) fn head(title: &str, policy: &str) -> Markup {
    html! {
        meta charset="utf-8";
        meta http-equiv="Content-Security-Policy" content=(policy);
        meta name="viewport" content="width=device-width, initial-scale=1";
        meta name="color-scheme" content="light dark";
        title { (clean_line(title)) }
        style { (PreEscaped(STYLE)) }
    }
}

/// The caution, as every page and paper carries it.
pub(super) fn caution_box() -> Markup {
    html! { p class="caution" { strong { "Caution. " } (caution().replace('\n', " ").trim_end()) } }
}

/// A finding that the page draws, with its number.
#[derive(Clone, Copy)]
struct Numbered<'r> {
    number: usize,
    finding: &'r Finding,
}

/// One design on the page.
struct Sheet<'r> {
    review: &'r DesignReview,
    library: &'r Library,
    reading: Reading<'r>,
    drawing: Drawing,
    /// What every anchor of this design begins with.
    prefix: String,
    findings: Vec<Numbered<'r>>,
    /// The part that each finding is pinned to; 0 for the rocket as a whole.
    pinned: Vec<usize>,
}

/// A review as one page of HTML.
#[derive(Clone, Debug, Default)]
pub struct Page {
    /// The list of designs at the top.
    lines: String,
    /// The name of the first design.
    first: String,
    /// How it follows its file, where it is served.
    follow: Option<Follow>,
}

impl Page {
    /// A page that is served, and not written: it is loaded anew by a script.
    #[must_use]
    pub fn live(follow: Follow) -> Self {
        Self { follow: Some(follow), ..Self::default() }
    }
}

impl ReportForm for Page {
    fn problem(&self, source: &Source, problem: &Problem) -> Part {
        Part::of(html! { li { (problem_line(source, problem)) } }.into_string())
    }

    fn design(&self, review: &DesignReview, library: &Library, place: usize) -> Part {
        let name = review.design.name();
        let line = html! {
            li { a href={ "#d" (place) } { (clean_line(name)) } ": " (verdict_line(review)) }
        };
        Part {
            text: one(review, library, place).into_string(),
            note: Note::Named(name.to_owned(), line.into_string()),
        }
    }

    fn take(&mut self, _: List, part: Part) -> String {
        if let Note::Named(name, line) = part.note {
            if self.lines.is_empty() {
                self.first = name;
            }
            self.lines.push_str(&line);
        }
        part.text
    }

    fn frame(&mut self, totals: Totals) -> String {
        let title = match totals.designs {
            0 => "Design review".to_owned(),
            1 => format!("Design review: {}", self.first),
            many => format!("Design review of {many} rockets"),
        };
        let policy = self.follow.as_ref().map_or_else(|| POLICY.to_owned(), |follow| follow.policy(POLICY));
        let body = html! {
            (DOCTYPE)
            html lang="en" {
                head { (head(&title, &policy)) }
                body {
                    @if let Some(follow) = &self.follow { (follow.line()) }
                    main {
                        // What could not be read: of files, packs and designs.
                        @if totals.problems > 0 {
                            section class="problems" {
                                h2 { "What could not be read" }
                                ul { (PreEscaped(PROBLEMS)) }
                            }
                        }
                        @if totals.designs > 1 { nav class="designs" { ul { (PreEscaped(&self.lines)) } } }
                        (PreEscaped(DESIGNS))
                    }
                    footer {
                        (caution_box())
                        p { "Made by holdpoint " (env!("CARGO_PKG_VERSION")) "." }
                    }
                    @if let Some(follow) = &self.follow { (follow.script()) }
                }
            }
        };
        body.into_string()
    }
}

fn one(review: &DesignReview, library: &Library, place: usize) -> Markup {
    let model = Model::new(&review.design, library.environment(review.today));
    let drawing = Drawing::of(&model);
    let findings: Vec<Numbered<'_>> = review
        .findings
        .iter()
        .filter(|f| f.is_shown() || f.waiver().is_some())
        .enumerate()
        .map(|(at, finding)| Numbered { number: at + 1, finding })
        .collect();
    let pinned =
        findings.iter().map(|f| drawing.number_of(&model, f.finding.subject_id).unwrap_or(0)).collect();
    let prefix = format!("d{place}-");
    let sheet = Sheet { review, library, reading: Reading::new(&model), drawing, prefix, findings, pinned };
    html! {
        article id={ "d" (place) } {
            (sheet.header())
            (sheet.contents())
            (sheet.hold_points())
            (sheet.departures())
            (sheet.summary())
            (sheet.flight())
            (sheet.spread())
            (sheet.drawing())
            div class={ "beside" (if sheet.findings.is_empty() { " alone" } else { "" }) } {
                div class="findings" { (sheet.list()) }
                aside class="source" { (sheet.source()) }
            }
            (sheet.tables())
            (sheet.margins())
            (sheet.codes())
            (sheet.not_judged())
            (sheet.totals())
        }
    }
}

impl Sheet<'_> {
    fn header(&self) -> Markup {
        let design = &self.review.design;
        let clear = self.review.is_clear();
        html! {
            header {
                p class="kind" { "design review" }
                h1 { (clean_line(design.name())) }
                p class={ "verdict " (if clear { "clear" } else { "holds" }) } { (verdict_line(self.review)) }
                p class="about" {
                    "File " code { (clean_line(design.source.name())) } ", SHA-256 " code class="digest" { (self.review.digest) }
                    ", reviewed on " (self.review.today)
                    ". " (self.review.totals().in_words()) "."
                }
                (caution_box())
            }
        }
    }

    /// Where to find what.
    fn contents(&self) -> Markup {
        let all = [
            ("points", "Hold points"),
            ("short", "In short"),
            ("flight", "Flight"),
            ("landing", "Landing"),
            ("drawing", "Drawing"),
            ("findings", "Findings"),
            ("source", "The file"),
            ("tables", "What it comes to"),
            ("margins", "Margins"),
        ];
        html! {
            nav class="contents" aria-label="Contents" {
                ul { @for (id, title) in all { li { a href={ "#" (self.prefix) (id) } { (title) } } } }
            }
        }
    }

    fn hold_points(&self) -> Markup {
        let parts = waiting(self.review.findings.iter().filter(|f| f.waiver().is_none()));
        let steps = progress(self.review, &parts);
        let written = written(self.reading.model, self.library, self.review);
        let next = next_step(&parts);
        html! {
            section {
                h2 id={ (self.prefix) "points" } { "Hold points, in build order" }
                ol class="points" {
                    @for state in &self.review.hold_points {
                        @let mine: Vec<&Numbered<'_>> = self.before(state.point);
                        @let holding = steps.iter().find(|step| step.point == state.point).map_or(0, |step| step.to_settle);
                        @let remarks = mine.iter().filter(|f| !f.finding.holds()).count();
                        li class=(if state.clear { "clear" } else { "holds" }) {
                            span class="point" { (state.point.name()) }
                            strong { @if state.clear { "clear" } @else { "HOLD" } }

                            @if let Some(step) = steps.iter().find(|step| step.point == state.point) {
                                span class="values" { (values_of_step(*step, &written)) }
                            }
                            @if let Some(passed) = self.review.passed.iter().find(|p| p.point == state.point) {
                                span class="about" { "passed on " (passed.date) " by " (clean_line(&passed.by)) }
                            }
                            @if !mine.is_empty() {
                                a href={ "#" (self.prefix) "before-" (state.point.name()) } {
                                    @if holding > 0 { (holding) " to settle" }
                                    @if holding > 0 && remarks > 0 { ", " }
                                    @if remarks > 0 { (remarks) " to read" }
                                    @if holding == 0 && remarks == 0 { "to write down" }
                                }
                            }
                        }
                    }
                }
                @if let Some(point) = next {
                    p { "To write down next, for " (point.name()) ":" }
                    ul class="next" {
                        @for part in &parts {
                            @let values = values_before(part, point);
                            @if !values.is_empty() { li { (waiting_values(part, values)) } }
                        }
                    }
                }
            }
        }
    }

    /// What the rocket comes to, and where there is least to spare.
    fn summary(&self) -> Markup {
        let facts = facts(self.reading);
        let narrow = narrowest(&self.review.margins);
        html! {
            section class="summary" {
                h2 id={ (self.prefix) "short" } { "The rocket in short" }
                dl {
                    @for fact in &facts {
                        @if let Some(words) = &fact.words { dt { (fact.about) } dd { (words) } }
                    }
                    @if !narrow.is_empty() {
                        dt class="wide" { "least to spare" }
                        dd { ul { @for line in narrow { li { (margin_text(line.margin)) ": " (margin_of(line)) } } } }
                    }
                    @if let Some(names) = not_known(&facts) { dt class="wide" { "not known yet" } dd { (names) } }
                }
            }
        }
    }

    /// What is not as the packs have it, and what is taken on the author's word.
    fn departures(&self) -> Markup {
        html! {
            @if !self.review.departures.is_empty() {
                section class="departures" {
                    h2 { "Not as the packs have it" }
                    ul { @for one in &self.review.departures { li { (one) } } }
                }
            }
            @if !self.review.on_word.is_empty() {
                section class="on-word" {
                    h2 { "Taken on the author's word" }
                    ul { @for one in &self.review.on_word { li { (one) } } }
                }
            }
        }
    }

    fn before(&self, point: HoldPoint) -> Vec<&Numbered<'_>> {
        self.findings.iter().filter(|f| f.finding.before == point).collect()
    }

    /// The findings pinned to a part.
    fn pins(&self, part: usize) -> Vec<&Numbered<'_>> {
        self.findings.iter().zip(&self.pinned).filter(|(_, at)| **at == part).map(|(f, _)| f).collect()
    }

    fn drawing(&self) -> Markup {
        let balloon = |number: usize| {
            let mine = self.pins(number);
            let state = if mine.iter().any(|f| f.finding.holds()) {
                State::Holds
            } else if mine.is_empty() {
                State::Clear
            } else {
                State::Remark
            };
            let leads_to = match mine.as_slice() {
                [only] => format!("{}f{}", self.prefix, only.number),
                _ => format!("{}at-{number}", self.prefix),
            };
            Balloon { state, leads_to }
        };
        let links = |number: usize| self.links(&self.pins(number));
        html! {
            section class="drawing" {
                h2 id={ (self.prefix) "drawing" } { "The rocket, to scale" }
                (figure(sheet(&self.drawing, &self.prefix, &balloon), aft_view(&self.drawing), &self.drawing))
                p class="whole" id={ (self.prefix) "part-0" } {
                    "The rocket as a whole: " (links(0))
                    @if self.pins(0).is_empty() { "nothing to say" }
                }
                p class="key" {
                    "Numbers in the drawing are parts: " span class="holds" { "▪ in a square" } " something holds, "
                    span class="remark" { "◎ in a double ring" } " something is to be read, "
                    span { "○ in a plain ring" } " nothing is said against it. A number leads to what is said of the part. "
                    "F with a number is a finding. ◓ is the balance point with the motor in, ◈ the centre of pressure; a bracket is "
                    "how far two parts lie in one another; solid grey is cut material, brown is cloth, blue is an altimeter bay."
                }
                details class="table" { summary { "The parts by their numbers" } (table(&self.parts(), &self.prefix, &|row| links(row))) }
            }
        }
    }

    /// The parts by their numbers in the drawing.
    fn parts(&self) -> Table {
        parts_table(self.reading, &self.drawing)
    }

    fn links(&self, findings: &[&Numbered<'_>]) -> Markup {
        html! {
            @for (place, one) in findings.iter().enumerate() {
                @if place > 0 { " " }
                (self.link(one))
            }
        }
    }

    /// A link to a finding.
    fn link(&self, one: &Numbered<'_>) -> Markup {
        html! {
            a class={ "ref " (class(one.finding)) } href={ "#" (self.prefix) "f" (one.number) }
                title=(clean_line(&one.finding.rule)) { "F" (one.number) }
        }
    }

    /// By which codes the rocket was judged, and by which not and why.
    fn codes(&self) -> Markup {
        html! {
            @if !self.review.packs.is_empty() {
                section class="codes" {
                    h2 { "Codes, laws and guides" }
                    ul {
                        @for pack in &self.review.packs {
                            li {
                                strong { (clean_line(&pack.name)) }
                                @if pack.judged { ": judged, since " } @else { ": not judged, " }
                                (clean_line(&pack.because))
                                @if !pack.asks.is_empty() {
                                    "; " (pack.asks.len()) " clauses are for a person, in the field checklist"
                                }
                                "."
                            }
                        }
                    }
                }
            }
        }
    }

    /// What no rule in force spoke about, so that `clear` says how far it reaches.
    fn not_judged(&self) -> Markup {
        html! {
            @if let Some(steps) = &self.review.not_judged {
                section class="not-judged" {
                    h2 { "What no rule spoke about" }
                    @if steps.is_empty() {
                        p { "Some rule spoke about every part and every value that is written." }
                    } @else {
                        ul {
                            @for step in steps {
                                li { strong { (step.before.name()) } ": " (clean_line(&step.in_words())) }
                            }
                        }
                    }
                }
            }
        }
    }

    fn totals(&self) -> Markup {
        let counts = self.review.counts;
        html! {
            section class="totals" {
                h2 { "Accounts" }
                p {
                    (counts.held) " held, " (counts.broken) " broken, " (counts.tight) " tight, " (counts.unproven) " unproven, "
                    (counts.waived) " waived; " (counts.not_applicable) " do not apply to this rocket. "
                    (self.review.totals().in_words()) "."
                }
                p class={ "verdict " (if self.review.is_clear() { "clear" } else { "holds" }) } { (verdict_line(self.review)) }
            }
        }
    }
}

/// How grave a finding looks.
const fn grave(level: Level, outcome: Verdict) -> &'static str {
    match (level, outcome) {
        (Level::Error, Verdict::Unproven) => "unproven",
        (Level::Error, _) => "broken",
        _ => "remark",
    }
}

/// The class of a finding: how grave it looks.
fn class(finding: &Finding) -> &'static str {
    if finding.waiver().is_some() { "waived" } else { grave(finding.level, finding.outcome) }
}

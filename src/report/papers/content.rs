//! What stands in the papers, whatever form they have.

use maud::html;

use super::Bound;
use super::block::Block;
use crate::design::{ALTIMETER, BATTERY, SWITCH};
use crate::model::{Mark, Model, Outcome};
use crate::report::caution::caution;
use crate::report::drawing::{Balloon, Drawing, State, aft_view, sheet};
use crate::report::failures;
use crate::report::margin::margin_text;
use crate::report::page::{figure, parts_table};
use crate::report::reading::{Cell, Reading};
use crate::report::summary;
use crate::report::tables::{self, Spec, Table};
use crate::report::text::verdict_line;
use crate::report::timeline;
use crate::report::{landing_plan, spread, spread_tables};
use crate::review::{DesignReview, DrillLine, Spread, drill_sheet, steps};
use crate::rules::{Library, Moment};
use crate::vocabulary::Edge;
use crate::yaml::clean_line;

/// Empty rows in the log of ground tests.
const TESTS_TO_COME: usize = 4;

const ALTIMETERS: Spec = Spec {
    entity_type: &ALTIMETER,
    title: "Altimeters",
    about: "",
    columns: &[
        ("battery", "battery"),
        ("switch", "switch"),
        ("fires main at", "main_height"),
        ("fires apogee after", "apogee_delay"),
    ],
};

const BATTERIES: Spec = Spec {
    entity_type: &BATTERY,
    title: "Batteries",
    about: "",
    columns: &[
        ("voltage", "voltage"),
        ("capacity", "capacity"),
        ("cells", "cells"),
        ("connector", "connector"),
        ("held by", "held"),
    ],
};

const SWITCHES: Spec = Spec {
    entity_type: &SWITCH,
    title: "Arming switches",
    about: "",
    columns: &[("turn", "turn"), ("kind", "kind"), ("shown by", "shown_by")],
};

/// What a summary shows.
const SUMMARY: &[(&str, &str)] =
    &[("rocket", "name"), ("flown for", "seeks"), ("length", "length"), ("largest diameter", "calibre")];

/// What the rocket is, how it flies and lands, and where there is least to spare.
fn rocket_in_short(r: Reading<'_>, review: &DesignReview) -> Table {
    let mut table = tables::facts(r, Some(r.root()), "The rocket", "", SUMMARY);
    let row = |about: &str, words: String| vec![Cell::Known(about.to_owned()), Cell::Known(words)];
    for fact in summary::facts(r) {
        let words = fact.words.map_or(Cell::NotKnown("a value is not written down".to_owned()), Cell::Known);
        table.rows.push(vec![Cell::Known(fact.about.to_owned()), words]);
    }
    for line in summary::narrowest(&review.margins) {
        let words = format!("{}: {}", margin_text(line.margin), summary::margin_of(line));
        table.rows.push(row("least to spare", words));
    }
    table
}

fn heading(words: &str) -> Block {
    Block::Heading(words.to_owned())
}

/// How sure each number is.
fn how_sure(all: &mut Vec<Block>, r: Reading<'_>, spread: &Spread) {
    all.push(heading("How sure"));
    all.push(Block::Words(format!("{}.", spread::title(spread))));
    if spread.inputs.is_empty() {
        all.push(Block::Words("Nothing that it rests on is uncertain.".to_owned()));
        return;
    }
    all.push(Block::Table(spread_tables::quantities(spread)));
    if !spread.courses.areas.is_empty() {
        all.push(Block::Table(spread_tables::areas(r, spread)));
    }
    if spread::failing(spread).next().is_some() {
        all.push(Block::Table(spread_tables::rules(spread)));
    }
    all.push(Block::Words(format!("{}.", spread::holding(spread))));
    let off = |group: spread::Group| format!("{}: {} ({})", group.off, group.values, group.source);
    all.push(Block::Words("What is uncertain, and how far:".to_owned()));
    all.push(Block::List(spread::groups(spread).into_iter().map(off).collect()));
}

/// Everything that the papers hold, in order.
pub(super) fn blocks(
    review: &DesignReview,
    library: &Library,
    model: &Model<'_>,
    bound: &Bound,
) -> Vec<Block> {
    let r = Reading::new(model);
    let drawing = Drawing::of(model);
    let mut all = vec![
        Block::Words(format!("Verdict of the review on {}: {}.", bound.day, verdict_line(review))),
        Block::Words(caution().replace('\n', " ").trim_end().to_owned()),
        Block::Table(belongs_to(review, bound)),
        Block::Table(passed(review)),
        heading("Summary"),
        Block::Table(rocket_in_short(r, review)),
        Block::Table(tables::facts(r, tables::motor_of(r), "The motor", "", tables::MOTOR_FACTS)),
        heading("Drawing"),
    ];
    let plain = |_: usize| Balloon { state: State::Clear, leads_to: "parts".to_owned() };
    let drawn = figure(sheet(&drawing, "", &plain), aft_view(&drawing), &drawing);
    all.push(Block::Drawing(
        html! { div id="parts" { (drawn) } },
        "The drawing to scale is in the papers written as HTML; the stations of every part follow."
            .to_owned(),
    ));
    all.push(Block::Table(parts_table(r, &drawing)));
    all.push(heading("Weights, stability and flight"));
    all.push(Block::Table(tables::SECTIONS.table(r)));
    all.push(Block::Table(tables::facts(r, Some(r.root()), "Weight and stability", "", tables::STABILITY)));
    all.push(Block::Table(tables::facts(r, Some(r.root()), "Flight", "", tables::FLIGHT_FACTS)));
    all.push(beside(
        timeline::figure(r),
        "The plot of the flight is in the papers written as HTML; its events follow.",
        timeline::table(r),
    ));
    all.push(heading("Where it lands"));
    all.push(beside(
        landing_plan::figure(r, review.spread.as_ref().map(|spread| &spread.courses)),
        "The plan of the field is in the papers written as HTML; the places follow.",
        landing_plan::table(r),
    ));
    if let Some(spread) = &review.spread {
        how_sure(&mut all, r, spread);
    }
    all.push(heading("Recovery"));
    for spec in [
        &tables::PARACHUTES,
        &tables::HARNESSES,
        &tables::LINKS,
        &tables::ATTACHMENTS,
        &tables::RODS_TABLE,
        &tables::BULKHEADS,
        &tables::JOINTS,
        &tables::CHARGES,
        &tables::PINS,
    ] {
        all.push(Block::Table(spec.table(r)));
    }
    all.push(heading("Failures"));
    all.push(Block::Table(failures::table(r)));
    all.push(heading("Drill sheet"));
    all.extend(holes(r));
    all.push(heading("Wiring"));
    for spec in [&ALTIMETERS, &BATTERIES, &SWITCHES, &tables::CIRCUITS] {
        all.push(Block::Table(spec.table(r)));
    }
    all.push(heading("Ground tests"));
    all.push(Block::Table(tables::GROUND_TESTS.table(r)));
    all.push(Block::Words("Tests still to be made, and those after a change:".to_owned()));
    let log = ["date", "joint", "charge", "powder", "pins", "packed as flown", "result", "signed"];
    all.push(Block::Empty(log.map(str::to_owned).to_vec(), TESTS_TO_COME));
    all.extend(open(review));
    all.extend(codes(review));
    all.extend(not_judged(review));
    all.push(heading("Field checklist"));
    all.push(Block::Words(
        "What this rocket asks for, in order. A club's own list and the range safety officer's word come before it.".to_owned(),
    ));
    let steps = steps(model, library, &review.packs);
    for moment in Moment::ALL {
        let mine: Vec<(String, String)> = steps
            .iter()
            .filter(|s| s.group == moment)
            .map(|s| {
                let asked = s.source.as_ref().map(|source| format!(" Source: {source}.")).unwrap_or_default();
                (clean_line(&s.text).into_owned(), clean_line(&format!("{}{asked}", s.why)).into_owned())
            })
            .collect();
        if !mine.is_empty() {
            all.push(Block::Subheading(capital(&moment.to_string())));
            all.push(Block::Tick(mine));
        }
    }
    all.push(heading("Signatures"));
    all.push(Block::Words("Who signs has looked at the rocket, and not at these papers alone.".to_owned()));
    let who = ["flyer", "second pair of eyes", "range safety officer", "for the certifying body"];
    all.push(Block::Sign(who.map(str::to_owned).to_vec()));
    all.retain(|block| !matches!(block, Block::Table(table) if table.rows.is_empty()));
    if leave_open(&mut all) {
        let words = format!(
            "What nobody wrote down and no rule asks for is left open, as {OPEN}: fill it in by hand."
        );
        all.insert(2, Block::Words(words));
    }
    all
}

/// A drawing with its table, or whichever of the two there is.
fn beside(drawn: maud::Markup, called: &str, table: Table) -> Block {
    match (drawn.0.is_empty(), table.rows.is_empty()) {
        (true, _) => Block::Table(table),
        (_, true) => Block::Drawing(drawn, called.to_owned()),
        _ => Block::Beside(drawn, called.to_owned(), table),
    }
}

/// Where a person writes what is not in the design.
const OPEN: &str = "____________";

/// Leaves room to write in place of each value that is not known; whether there was any.
fn leave_open(all: &mut [Block]) -> bool {
    let mut any = false;
    for block in all {
        let (Block::Table(table) | Block::Beside(_, _, table)) = block else { continue };
        for cell in table.rows.iter_mut().flatten().filter(|cell| matches!(cell, Cell::NotKnown(_))) {
            *cell = Cell::Known(OPEN.to_owned());
            any = true;
        }
    }
    any
}

/// By which codes the rocket was judged, and by which not and why.
fn codes(review: &DesignReview) -> Vec<Block> {
    if review.packs.is_empty() {
        return Vec::new();
    }
    let rows = review.packs.iter().map(|pack| {
        let judged =
            if pack.judged { format!("judged by {} rules", pack.rules) } else { "not judged".to_owned() };
        let asks = pack.asks.len().to_string();
        [pack.name.as_str(), &judged, &pack.because, &asks]
            .map(|cell| Cell::Known(clean_line(cell).into_owned()))
            .to_vec()
    });
    let table = Table {
        title: "By which codes it was judged".to_owned(),
        about: "What no design file can settle stands in the field checklist, for a person to tick."
            .to_owned(),
        head: ["code", "", "why", "clauses for a person"].map(str::to_owned).to_vec(),
        rows: rows.collect(),
    };
    vec![heading("Codes, laws and guides"), Block::Table(table)]
}

/// What no rule in force spoke about, so that who signs knows how far `clear` reaches.
fn not_judged(review: &DesignReview) -> Vec<Block> {
    let Some(steps) = &review.not_judged else { return Vec::new() };
    let about = match steps.is_empty() {
        true => "Some rule spoke about every part and every value that is written.",
        false => "This is written in the design, and no rule in force spoke about it:",
    };
    let lines = steps.iter().map(|step| format!("{}: {}", step.before, clean_line(&step.in_words())));
    let mut all = vec![heading("What was not judged"), Block::Words(about.to_owned())];
    if !steps.is_empty() {
        all.push(Block::List(lines.collect()));
    }
    all
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().collect::<String>() + letters.as_str())
        .unwrap_or_default()
}

fn belongs_to(review: &DesignReview, bound: &Bound) -> Table {
    let row = |words: &str, value: &str| vec![Cell::Known(words.to_owned()), Cell::Known(value.to_owned())];
    Table {
        title: "What these papers belong to".to_owned(),
        about: "They hold for these bytes only; `holdpoint packet --verify PAPERS DESIGN` asks whether they still do.".to_owned(),
        head: Vec::new(),
        rows: vec![
            row("design", &clean_line(review.design.source.name())),
            row("SHA-256 of the design", &bound.design),
            row("SHA-256 of the rules in force", &bound.packs),
            row("settings", &clean_line(review.settings.as_deref().unwrap_or("none"))),
            row("reviewed on", &bound.day),
            row("by", &format!("holdpoint {}", bound.version)),
        ],
    }
}

/// The hold points with who passed them, where a record says so.
fn passed(review: &DesignReview) -> Table {
    let row = |state: &crate::review::HoldState| {
        let passed = review.passed.iter().find(|p| p.point == state.point);
        let by = passed.map_or(Cell::None, |p| Cell::Known(format!("{}, by {}", p.date, clean_line(&p.by))));
        let verdict = if state.clear { "clear" } else { "HOLD" };
        vec![Cell::Known(state.point.to_string()), Cell::Known(verdict.to_owned()), by]
    };
    Table {
        title: "Hold points".to_owned(),
        about: String::new(),
        head: ["", "verdict", "passed on"].map(str::to_owned).to_vec(),
        rows: review.hold_points.iter().map(row).collect(),
    }
}

/// Each part's holes, with the place along the tape, the clock angles and the drill to ask for.
fn holes(r: Reading<'_>) -> Vec<Block> {
    let lines = match drill_sheet(r.model) {
        Ok(lines) => lines,
        Err(gap) => {
            return vec![Block::Words(format!("It is not known which holes there are: {}.", r.why(&gap)))];
        }
    };
    fn cell<T>(r: Reading<'_>, outcome: &Outcome<T>, words: impl Fn(&T) -> String) -> Cell {
        match outcome {
            Ok(value) => Cell::Known(words(value)),
            Err(gap) => Cell::NotKnown(r.why(gap)),
        }
    }
    let rows = lines
        .iter()
        .map(|line| {
            vec![
                Cell::Known(clean_line(&line.part).into_owned()),
                Cell::Known(clean_line(&line.hole).into_owned()),
                cell(r, &line.count, ToString::to_string),
                cell(r, &line.place, |mark| match mark {
                    Mark::Along(distance, Edge::Fore) => format!("{} from fore", r.length(distance.si())),
                    Mark::Along(distance, Edge::Aft) => format!("{} from aft", r.length(distance.si())),
                    Mark::Face => match line.spots.as_deref() {
                        Ok([spot, ..]) if spot.from_axis.si() > 0.0 => {
                            format!("in its face, {} from its middle", r.length(spot.from_axis.si()))
                        }
                        Ok([_, ..]) => "in the middle of its face".to_owned(),
                        _ => "in its face".to_owned(),
                    },
                }),
                clock_angles(r, line),
                cell(r, &line.drill, |drill| r.model.shown(*drill).to_string()),
                line.drill_name
                    .clone()
                    .map_or(Cell::None, |name| Cell::Known(clean_line(&name).into_owned())),
                cell(r, &line.tapped, |tapped| if *tapped { "then tapped" } else { "" }.to_owned()),
            ]
        })
        .collect();
    let head = ["part", "for", "holes", "place", "clock angles", "drill", "asked for as", ""];
    vec![Block::Table(Table {
        title: "Holes".to_owned(),
        about: "Places are measured along the part; clock angles are read from aft, clockwise from the first fin. \
                Mark both on the part, and have a second person read them before the drill turns. `holdpoint templates` draws \
                the marks at true size, to wrap around the tubes."
            .to_owned(),
        head: head.map(str::to_owned).to_vec(),
        rows,
    })]
}

/// The clock angles of holes: those of a wall, or those of the places in a face, of which the middle has none.
fn clock_angles(r: Reading<'_>, line: &DrillLine) -> Cell {
    let words = |angles: &[f64]| angles.iter().map(|angle| degrees(*angle)).collect::<Vec<_>>().join(", ");
    let angles: Vec<f64> = match &line.clock {
        Ok(angles) => angles.iter().map(|angle| angle.si()).collect(),
        Err(gap) => return Cell::NotKnown(r.why(gap)),
    };
    match line.spots.as_deref() {
        _ if !angles.is_empty() => Cell::Known(words(&angles)),
        Ok([spot]) if spot.from_axis.si() == 0.0 => Cell::None,
        Ok(spots @ [_, ..]) => {
            let turns = spots.iter().map(|spot| spot.clock.si().rem_euclid(std::f64::consts::TAU));
            Cell::Known(words(&turns.collect::<Vec<_>>()))
        }
        _ => Cell::Known("anywhere".to_owned()),
    }
}

fn degrees(angle: f64) -> String {
    format!("{}°", (angle.to_degrees() * 10.0).round() / 10.0)
}

/// What is waived, and what was said and does not hold.
fn open(review: &DesignReview) -> Vec<Block> {
    let mut all = Vec::new();
    let waived: Vec<Vec<Cell>> = review
        .findings
        .iter()
        .filter_map(|finding| {
            let waiver = finding.waiver()?;
            let cells = [
                finding.rule.as_str(),
                finding.subject.as_str(),
                finding.message.as_str(),
                waiver.reason.as_str(),
                waiver.by.as_str(),
                waiver.until.as_str(),
            ];
            Some(cells.map(|words| Cell::Known(clean_line(words).into_owned())).to_vec())
        })
        .collect();
    all.push(heading("Waivers"));
    if waived.is_empty() {
        all.push(Block::Words("Nothing is waived.".to_owned()));
    }
    all.push(Block::Table(Table {
        title: "Waived".to_owned(),
        about: String::new(),
        head: ["rule", "on", "what was found", "why it is acceptable", "by", "until"]
            .map(str::to_owned)
            .to_vec(),
        rows: waived,
    }));
    if !review.departures.is_empty() {
        all.push(heading("Not as the packs have it"));
        all.push(Block::List(review.departures.iter().map(ToString::to_string).collect()));
    }
    if !review.on_word.is_empty() {
        all.push(heading("Taken on the author's word"));
        all.push(Block::List(review.on_word.iter().map(ToString::to_string).collect()));
    }
    let remarks: Vec<String> = review
        .findings
        .iter()
        .filter(|f| f.waiver().is_none())
        .map(|f| format!("{}: {} ({})", f.level.name(), clean_line(&f.message), clean_line(&f.rule)))
        .collect();
    if !remarks.is_empty() {
        all.push(heading("To read: remarks that stop no step"));
        all.push(Block::List(remarks));
    }
    all
}

//! Templates at true size: strips to wrap around tubes with every mark, and outlines of flat parts to cut.
//!
//! The figures are geometry in millimetres; [`figure`] alone knows how it becomes SVG, and [`sheets`] how it comes onto paper.

mod figure;
mod flats;
mod names;
mod sheets;
mod strips;
mod walls;

use maud::{DOCTYPE, PreEscaped, html};

pub use names::LeftOut;
pub use sheets::Paper;

use super::caution::caution;
use super::page::POLICY;
use super::reading::Reading;
use crate::model::{DrilledPart, Model};
use crate::quantity::Length;
use crate::review::DesignReview;
use crate::rules::{HoldPoint, Library};
use crate::yaml::clean_line;
use figure::{Figure, document, groups};
use flats::Flats;
use names::MM;
use sheets::{Head, sheets};
use walls::Walls;

/// What each file of templates says of itself, so that nothing else is written over.
pub const MADE: &str = "holdpoint-templates/1";
/// More sheets than this are printed by nobody.
const MOST_SHEETS: usize = 300;

/// How templates are drawn.
#[derive(Clone, Copy, Debug)]
pub struct TemplateOptions {
    /// The paper.
    pub paper: Paper,
    /// How thick it is: a strip that is wrapped around is longer by it.
    pub thickness: Length,
}

/// A file of templates.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TemplateFile {
    /// What its name ends with, after the design's: `sheet-01.svg`.
    pub name: String,
    /// Its text.
    pub text: String,
    /// What it is, in words.
    pub about: String,
}

/// The templates of a design.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Templates {
    /// All sheets in one file, to be printed.
    pub print: Option<TemplateFile>,
    /// The sheets, one by one.
    pub sheets: Vec<TemplateFile>,
    /// The flat parts, each to be cut.
    pub cuts: Vec<TemplateFile>,
    /// What is not drawn, and why.
    pub left_out: Vec<LeftOut>,
    /// Whether something holds up to drilling.
    pub holds: bool,
}

/// Draws the templates of a design. Whatever is asked for is drawn as far as it is known; each sheet says whether something
/// holds up to drilling.
#[must_use]
pub fn templates(review: &DesignReview, library: &Library, options: TemplateOptions) -> Templates {
    let model = Model::new(&review.design, library.environment(review.today));
    let r = Reading::new(&model);
    let mut left_out = Vec::new();
    let drilled: Vec<DrilledPart> = match model.drilled() {
        Ok(drilled) => drilled,
        Err(gap) => {
            left_out.push(LeftOut { what: "all holes".to_owned(), why: r.why(&gap) });
            Vec::new()
        }
    };
    let walls = Walls { r, drilled: &drilled, left_out: &mut left_out }.all();
    let thickness = options.thickness.si() * MM;
    let mut figures: Vec<Figure> = walls.iter().flat_map(|wall| strips::strips(r, wall, thickness)).collect();
    figures.extend(Flats { r, drilled: &drilled, left_out: &mut left_out }.all());
    name_apart(&mut figures);
    let states = review.hold_points.iter().filter(|state| state.point <= HoldPoint::Drilling);
    let holding: Vec<&str> = states.filter(|state| !state.clear).map(|state| state.point.name()).collect();
    let verdict = match holding.as_slice() {
        [] => format!("Review on {}: nothing holds up to drilling.", review.today),
        some => format!(
            "Review on {}: HOLD before {}. Do not drill or cut by this sheet.",
            review.today,
            some.join(", ")
        ),
    };
    let belongs = format!(
        "Design {}, SHA-256 {}…, holdpoint {}. For this design only: print anew after a change.",
        clean_line(review.design.source.name()),
        review.digest.get(..16).unwrap_or(&review.digest),
        env!("CARGO_PKG_VERSION")
    );
    let bound = format!("{MADE} design={} day={}", review.digest, review.today);
    let rocket = clean_line(review.design.name()).into_owned();
    let head =
        Head { paper: options.paper, rocket: &rocket, belongs: &belongs, verdict: &verdict, bound: &bound };
    let pages = sheets(&figures, &head);
    let mut all = Templates { left_out, holds: !holding.is_empty(), ..Templates::default() };
    if pages.len() > MOST_SHEETS {
        let why = format!("{} sheets would be due, and {MOST_SHEETS} are the most", pages.len());
        all.left_out.push(LeftOut { what: "the sheets".to_owned(), why });
    } else if !pages.is_empty() {
        let size = match options.paper {
            Paper::A4 => "A4",
            Paper::Letter => "letter",
        };
        let style = format!(
            "@page {{ size: {size}; margin: 0 }} html, body {{ margin: 0; background: #fff }} svg {{ display: block; break-after: page }} \
             svg:last-of-type {{ break-after: auto }}"
        );
        let page = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta http-equiv="Content-Security-Policy" content=(POLICY);
                    meta name="color-scheme" content="light";
                    meta name="holdpoint-templates" content=(bound);
                    title { "Templates of " (rocket) }
                    style { (PreEscaped(style)) }
                }
                body { @for page in &pages { (page) } }
            }
        };
        let about = format!("all {} sheets, to be printed at 100 %", pages.len());
        all.print = Some(TemplateFile { name: "templates.html".to_owned(), text: page.into_string(), about });
        let digits = pages.len().to_string().len().max(2);
        for (place, page) in (1_usize..).zip(pages) {
            let name = format!("sheet-{place:0digits$}.svg");
            all.sheets.push(TemplateFile { name, text: alone(page), about: format!("sheet {place}") });
        }
    }
    for figure in figures.iter().filter(|figure| figure.is_cut) {
        let about = format!(
            "At true size, one unit is one millimetre. The outline is that of the finished part: nothing is added or taken off for the kerf. {} {belongs} {verdict} {}",
            figure.about.join(" "),
            caution().replace('\n', " ").trim_end()
        );
        let title = format!("{rocket}: {}", figure.title);
        let inside = groups(&figure.layers, "", (0.0, 0.0), None);
        let text = alone(document(figure.size, &title, &about, &bound, inside));
        all.cuts.push(TemplateFile {
            name: format!("cut-{}.svg", figure.slug),
            text,
            about: figure.title.clone(),
        });
    }
    all
}

/// A drawing as a file by itself.
fn alone(svg: maud::Markup) -> String {
    format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{}\n", svg.into_string())
}

/// Gives figures whose names came to the same a number each.
fn name_apart(figures: &mut [Figure]) {
    let mut taken: std::collections::BTreeSet<String> = std::collections::BTreeSet::new();
    for figure in figures {
        let mut name = figure.slug.clone();
        let mut number = 2;
        while !taken.insert(name.clone()) {
            name = format!("{}-{number}", figure.slug);
            number += 1;
        }
        figure.slug = name;
    }
}

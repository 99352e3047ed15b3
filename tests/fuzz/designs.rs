//! The whole review of a design, with every form of report.

use std::path::Path;
use std::sync::LazyLock;

use holdpoint::design::Design;
use holdpoint::report::{Format, Json, List, Piece, ReportForm, ReportOptions, Style, Totals, pieces};
use holdpoint::review::{DesignReview, FailOn, IncrementalReview, Options, review};
use holdpoint::rules::{Library, TRIAL_DAY};
use holdpoint::yaml::Source;
use serde_json::Value as Tree;

use super::choices::Choices;
use super::driver::fuzz;
use super::generated::{design, scaled, varied};

pub(super) static LIBRARY: LazyLock<Library> = LazyLock::new(Library::built_in);

static SCHEMA: LazyLock<jsonschema::Validator> =
    LazyLock::new(|| jsonschema::draft202012::new(&holdpoint::report::review_schema()).unwrap());

pub(super) fn read(text: &str) -> Option<Design> {
    let source = Source::from_bytes("t.rocket.yaml", text.as_bytes().to_vec()).ok()?;
    Some(Design::read(source, &LIBRARY.tables))
}

/// A report of one design in a form, whole.
fn report(review: &DesignReview, format: Format) -> String {
    let options = ReportOptions {
        style: Style::default(),
        base: Path::new("/"),
        show_waived: true,
        fail_on: FailOn::default(),
    };
    let mut form = format.report(options);
    let part = form.design(review, &LIBRARY, 1);
    let text = form.take(List::Designs, part);
    let totals = Totals { designs: 1, designs_written: !text.is_empty(), ..Totals::default() };
    let frame = form.frame(totals);
    // What hangs on the whole stands for a mark, between two signs that no text has.
    let stretches = text.split('\u{1}').enumerate();
    let text: String = stretches
        .map(
            |(at, stretch)| {
                if at % 2 == 1 { form.at_mark(stretch).unwrap_or_default() } else { stretch.to_owned() }
            },
        )
        .collect();
    pieces(&frame)
        .into_iter()
        .map(|piece| match piece {
            Piece::Text(text) => text,
            Piece::Parts(List::Designs) => text.as_str(),
            Piece::Parts(List::Problems) => "",
        })
        .collect()
}

fn is_hostile(c: char) -> bool {
    (c.is_control() && c != '\n')
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{61c}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Each place is one of the text, and its label says what stands there.
fn places_are_right(text: &str, document: &Tree) {
    for finding in document["findings"].as_array().unwrap() {
        for place in finding["places"].as_array().unwrap() {
            let at = |key: &str| usize::try_from(place[key].as_u64().unwrap()).unwrap();
            let there =
                text.get(at("start_byte")..at("end_byte")).unwrap_or_else(|| panic!("{place} in {text}"));
            let label = place["label"].as_str().unwrap();
            let one_line = !there.contains('\n') && !there.chars().any(is_hostile);
            assert!(
                !one_line || label.contains(there),
                "`{there}` is not in `{label}` of {finding} in {text}"
            );
            let line = text[..at("start_byte")].matches('\n').count() + 1;
            assert_eq!(place["line"], line, "{place} in {text}");
        }
    }
}

fn reviewed(text: &str, options: &Options) -> Option<DesignReview> {
    Some(review(read(text)?, &LIBRARY, options))
}

#[test]
fn any_design_is_reviewed_to_its_end_and_every_report_is_whole() {
    fuzz("designs", 1, 160, |choices| {
        let text = design(choices);
        let Some(review) = reviewed(&text, &Options::on(TRIAL_DAY)) else { return };
        for format in Format::ALL {
            let report = report(&review, format);
            // A page shows the file as it is written, with its tabs.
            let is_told = |c: char| is_hostile(c) && !(format == Format::Html && c == '\t');
            assert!(!report.chars().any(is_told), "{format:?} of {text:?}");
            match format {
                Format::Json => {
                    let document: Tree =
                        serde_json::from_str(&report).unwrap_or_else(|e| panic!("{e}: {text}"));
                    let errors: Vec<String> = SCHEMA.iter_errors(&document).map(|e| e.to_string()).collect();
                    assert!(errors.is_empty(), "{errors:?}: {text}");
                    places_are_right(&text, &document["designs"][0]);
                }
                Format::Sarif => {
                    drop(serde_json::from_str::<Tree>(&report).unwrap_or_else(|e| panic!("{e}: {text}")))
                }
                Format::Junit => {
                    roxmltree::Document::parse(&report).unwrap_or_else(|e| panic!("{e}: {text}"));
                }
                _ => {}
            }
        }
    });
}

#[test]
fn a_review_after_edits_is_the_same_as_one_from_scratch() {
    let step = |text: &str, choices: &mut Choices<'_>| {
        let next = if choices.once_in(2) { scaled(text, choices) } else { varied(text, choices) };
        next.unwrap_or_else(|| text.to_owned())
    };
    fuzz("incremental", 1, 160, |choices| {
        let options = Options::on(TRIAL_DAY);
        let mut incremental = IncrementalReview::new(&LIBRARY, options.clone());
        let mut text = design(choices);
        for _ in 0..3 {
            let Some(now) = read(&text) else { return };
            let again = Json.design(&incremental.review(now), &LIBRARY, 1).text().to_owned();
            let scratch = Json.design(&reviewed(&text, &options).unwrap(), &LIBRARY, 1).text().to_owned();
            if again != scratch {
                let differing = again.lines().zip(scratch.lines()).find(|(a, b)| a != b);
                panic!("incremental and from scratch differ: {differing:?}\n{text}");
            }
            text = step(&text, choices);
        }
    });
}

//! How long the steps of a review take, each by itself: reading, judging, rendering.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a bench may panic")]

use divan::{Bencher, black_box};
use holdpoint::design::Design;
use holdpoint::model::Model;
use holdpoint::report::{Json, ReportForm as _};
use holdpoint::review::{DesignReview, IncrementalReview, Options, review};
use holdpoint::rules::{Library, Variants, judge};
use holdpoint::vocabulary::Date;
use holdpoint::yaml::{Source, Tree};

/// That of the program.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Nothing holds this one.
const CLEAN: &str = include_str!("../examples/marsh-harrier.rocket.yaml");
/// Of this one much is wrong, and more is not written down.
const DRAFT: &str = include_str!("../examples/first-draft.rocket.yaml");

const BOTH: [&str; 2] = ["clean", "draft"];

fn main() {
    divan::main();
}

fn source(name: &str) -> Source {
    Source::new("a.rocket.yaml", if name == "clean" { CLEAN } else { DRAFT })
}

fn today() -> Date {
    "2026-06-01".parse().unwrap()
}

fn reviewed(name: &str, library: &Library) -> DesignReview {
    review(Design::read(source(name), &library.tables), library, &Options::on(today()))
}

#[divan::bench(args = BOTH)]
fn parse(bencher: Bencher<'_, '_>, name: &str) {
    let source = source(name);
    bencher.bench_local(|| Tree::parse(black_box(&source)));
}

/// Parsing included: a design is read in one go.
#[divan::bench(args = BOTH)]
fn decode(bencher: Bencher<'_, '_>, name: &str) {
    let library = Library::load(Vec::new());
    bencher.with_inputs(|| source(name)).bench_local_values(|source| Design::read(source, &library.tables));
}

/// The built-in packs, made ready from their text.
#[divan::bench]
fn packs() -> Library {
    Library::load(Vec::new())
}

/// One rule on the whole rocket, with nothing worked out before.
#[divan::bench]
fn judgement(bencher: Bencher<'_, '_>) {
    let library = Library::load(Vec::new());
    let rule = library.rule("stable-off-the-rail").unwrap();
    let design = Design::read(source("clean"), &library.tables);
    let root = design.store.root();
    bencher.bench_local(|| {
        let model = Model::new(&design, library.environment(today()));
        judge(black_box(rule), &Variants::of(&model), root)
    });
}

/// What `holdpoint review` does with a file that is read, without the report.
#[divan::bench(args = BOTH)]
fn whole_review(bencher: Bencher<'_, '_>, name: &str) {
    let library = Library::load(Vec::new());
    let options = Options::on(today());
    bencher
        .with_inputs(|| Design::read(source(name), &library.tables))
        .bench_local_values(|design| review(design, &library, &options));
}

/// One field changed, and the design reviewed again: one that no flight reads, and one that the flight rests on.
#[divan::bench(args = ["no flight reads it", "the flight rests on it"])]
fn change(bencher: Bencher<'_, '_>, name: &str) {
    let (old, new) = match name {
        "no flight reads it" => ("recovery_radius: 2600 ft", "recovery_radius: 2601 ft"),
        _ => ("rail: 96 in", "rail: 96.5 in"),
    };
    let library = Library::load(Vec::new());
    let mut incremental = IncrementalReview::new(&library, Options::on(today()));
    let texts = [CLEAN.to_owned(), CLEAN.replacen(old, new, 1)];
    assert_ne!(texts[0], texts[1], "the example says `{old}` no more");
    incremental.review(Design::read(Source::new("a", texts[0].as_str()), &library.tables));
    let mut turn = 0;
    bencher
        .with_inputs(|| {
            turn += 1;
            Design::read(Source::new("a", texts[turn % 2].as_str()), &library.tables)
        })
        .bench_local_values(|design| incremental.review(design));
}

#[divan::bench(args = BOTH)]
fn render_json(bencher: Bencher<'_, '_>, name: &str) {
    let library = Library::load(Vec::new());
    let review = reviewed(name, &library);
    bencher.bench_local(|| Json.design(black_box(&review), &library, 1));
}

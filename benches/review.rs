//! How long the steps of a review take, each by itself: reading, judging, rendering.
#![allow(clippy::unwrap_used, reason = "a bench may panic")]

use divan::{Bencher, black_box};
use holdpoint::design::Design;
use holdpoint::model::Model;
use holdpoint::report::{Json, ReportForm as _};
use holdpoint::review::{DesignReview, Options, review};
use holdpoint::rules::{Library, judge};
use holdpoint::text::{Source, Tree};
use holdpoint::vocabulary::Date;

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
    review(Design::read(source(name)), library, &Options::on(today()))
}

#[divan::bench(args = BOTH)]
fn parse(bencher: Bencher<'_, '_>, name: &str) {
    let source = source(name);
    bencher.bench_local(|| Tree::parse(black_box(&source)));
}

/// Parsing included: a design is read in one go.
#[divan::bench(args = BOTH)]
fn decode(bencher: Bencher<'_, '_>, name: &str) {
    bencher.with_inputs(|| source(name)).bench_local_values(Design::read);
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
    let design = Design::read(source("clean"));
    let root = design.store.root();
    bencher.bench_local(|| {
        let model = Model::new(&design, &library.catalogue).on_day(Some(today()));
        judge(black_box(rule), &model, root)
    });
}

/// What `holdpoint review` does with one file, without the report.
#[divan::bench(args = BOTH)]
fn whole_review(bencher: Bencher<'_, '_>, name: &str) {
    let library = Library::load(Vec::new());
    let options = Options::on(today());
    bencher
        .with_inputs(|| source(name))
        .bench_local_values(|source| review(Design::read(source), &library, &options));
}

#[divan::bench(args = BOTH)]
fn render_json(bencher: Bencher<'_, '_>, name: &str) {
    let library = Library::load(Vec::new());
    let review = reviewed(name, &library);
    bencher.bench_local(|| Json.design(black_box(&review), &library, 1));
}

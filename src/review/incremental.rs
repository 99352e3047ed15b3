//! A design reviewed, and reviewed again as its text changes.

use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use rayon::prelude::*;

use super::judged::{Deciding, Judged, Judgements, judge_all};
use super::remedy_trial::{self, Attempt};
use super::waiver_fields::{Waiver, waivers_of};
use super::waivers;
use super::{
    Counts, DesignReview, HoldState, MarginLine, Options, digest, finding, not_judged, packs, places, spread,
    switched_off, unverified,
};
use crate::design::Design;
use crate::model::{Memo, Model};
use crate::quantity::{Dimension, Quantity};
use crate::rules::{HoldPoint, Judgement, Library, Margin, Variants, Verdict};
use crate::tables::Tables;
use crate::vocabulary::{Date, EntityId};

/// Reviews of one design as its text changes. Each review shares with the one before it whatever does not rest on a changed
/// field, and comes out as one from scratch would.
///
/// A clone goes on from the same review on a way of its own.
#[derive(Clone, Debug)]
pub struct IncrementalReview<'l> {
    library: &'l Library,
    options: Options,
    last: Option<Rc<Last>>,
}

/// What a review leaves for the next one of the same design, by the same library and options.
#[derive(Clone, Debug)]
pub struct Reviewed(Rc<Last>);

impl Reviewed {
    /// The design as it was reviewed.
    #[must_use]
    pub fn design(&self) -> &Arc<Design> {
        &self.0.design
    }

    /// Its model, with whatever the review has worked out.
    #[must_use]
    pub fn model<'d>(&'d self, library: &'d Library, today: Date) -> Model<'d> {
        let design = &*self.0.design;
        Model::resumed(design, library.environment(today), design, &self.0.memo)
    }

    /// Whether parts that have gone since the first review take more room than those that are there: then the next review is
    /// better made from the start.
    #[must_use]
    pub fn is_crowded(&self) -> bool {
        let store = &self.0.design.store;
        store.identities().count() > 4 * store.all().count() + 100
    }

    /// Every judgement: the number of the rule in the library, the subject, and what the rule says of it.
    pub fn judgements(&self) -> impl Iterator<Item = (usize, EntityId, &Judgement)> {
        self.0.kept.iter().map(|((number, subject), kept)| (*number, *subject, &*kept.judgement))
    }
}

/// What a review leaves for the next one.
#[derive(Debug)]
struct Last {
    design: Arc<Design>,
    memo: Memo,
    /// By the number of the rule and the subject.
    kept: BTreeMap<(usize, EntityId), Kept>,
}

/// What is known of one rule on one subject.
#[derive(Debug)]
struct Kept {
    judgement: Rc<Judgement>,
    deciding: Option<Deciding>,
    attempt: Option<Attempt>,
}

impl<'l> IncrementalReview<'l> {
    /// Nothing reviewed yet.
    #[must_use]
    pub fn new(library: &'l Library, options: Options) -> Self {
        Self { library, options, last: None }
    }

    /// Goes on from what an earlier review left, which was by the same library and the same options.
    #[must_use]
    pub fn resumed(library: &'l Library, options: Options, last: Option<Reviewed>) -> Self {
        Self { library, options, last: last.map(|reviewed| reviewed.0) }
    }

    /// What the last review leaves; none where nothing was reviewed.
    #[must_use]
    pub fn reviewed(&self) -> Option<Reviewed> {
        self.last.clone().map(Reviewed)
    }

    /// The tables that its designs are read by.
    #[must_use]
    pub fn tables(&self) -> &'l Tables {
        &self.library.tables
    }

    /// The waivers outside the design, from the next review on.
    pub fn set_waivers(&mut self, waivers: Vec<Waiver>) {
        self.options.waivers = waivers;
    }

    /// Reviews the design as it is now.
    pub fn review(&mut self, design: impl Into<Arc<Design>>) -> DesignReview {
        let design = design.into();
        let (review, last) = match self.last.take() {
            // What could not be read has nothing to share.
            Some(last) if design.is_readable() && last.design.is_readable() => {
                let mut design = Arc::unwrap_or_clone(design);
                design.store = std::mem::take(&mut design.store).aligned_with(&last.design.store);
                let design = Arc::new(design);
                let environment = self.library.environment(self.options.today);
                let model = Model::resumed(&design, environment, &last.design, &last.memo);
                let (review, kept) = run(&design, &model, self.library, &self.options, Some(&last.kept));
                (review, Last { memo: model.into_memo(), kept, design: Arc::clone(&design) })
            }
            _ => {
                let model = Model::new(&design, self.library.environment(self.options.today));
                let (review, kept) = run(&design, &model, self.library, &self.options, Some(&Known::new()));
                (review, Last { memo: model.into_memo(), kept, design: Arc::clone(&design) })
            }
        };
        self.last = Some(Rc::new(last));
        review
    }
}

/// Reviews a design.
#[must_use]
pub fn review(design: impl Into<Arc<Design>>, library: &Library, options: &Options) -> DesignReview {
    let design = design.into();
    let model = Model::new(&design, library.environment(options.today));
    run(&design, &model, library, options, None).0
}

/// Reviews many designs on all cores; the order is kept.
#[must_use]
pub fn review_all(designs: Vec<Design>, library: &Library, options: &Options) -> Vec<DesignReview> {
    designs.into_par_iter().map(|design| review(design, library, options)).collect()
}

type Known = BTreeMap<(usize, EntityId), Kept>;

/// Reviews a model of a design, with what is known from an earlier text; keeps what a later one needs where there is anyone to
/// come back.
fn run(
    design: &Arc<Design>,
    model: &Model<'_>,
    library: &Library,
    options: &Options,
    earlier: Option<&Known>,
) -> (DesignReview, Known) {
    let points: Vec<HoldPoint> =
        HoldPoint::ALL.into_iter().filter(|p| options.before.is_none_or(|b| *p <= b)).collect();
    let mut review = DesignReview {
        design: Arc::clone(design),
        digest: digest(design.source.text().as_bytes()),
        settings: options.settings.clone(),
        incomplete: options.incomplete,
        departures: library
            .departures
            .iter()
            .filter(|one| one.holds_on(options.today))
            .chain(&options.ignored)
            .cloned()
            .collect(),
        on_word: Vec::new(),
        today: options.today,
        findings: Vec::new(),
        hold_points: points.into_iter().map(|point| HoldState { point, clear: true }).collect(),
        passed: Vec::new(),
        counts: Counts::default(),
        margins: Vec::new(),
        packs: Vec::new(),
        not_judged: None,
        spread: None,
    };
    let mut known = Known::new();
    if design.is_readable() {
        let touched = model.touched();
        let same = |number: usize, subject: EntityId| {
            let kept = &earlier?.get(&(number, subject))?.judgement;
            (!kept.footprint.meets(touched)).then(|| Rc::clone(kept))
        };
        let variants = Variants::of(model).by(library);
        let judgements = judge_all(&variants, library, options, &same);
        known = find(&mut review, &variants, &judgements, library, options, earlier);
        if options.find_not_judged && options.before.is_none() {
            review.not_judged = Some(not_judged::not_judged(model, library, &judgements));
        }
        if let Some(request) = &options.spread {
            review.spread = Some(spread::spread(model, &judgements, library, request));
        }
        review.packs = judgements.packs;
        review.on_word = unverified::on_word(model);
    }
    sort_margins(&mut review.margins);
    review.settle();
    (review, known)
}

/// Fills a review with what the judgements come to.
fn find<'l>(
    review: &mut DesignReview,
    variants: &Variants<'_>,
    judgements: &Judgements<'l>,
    library: &'l Library,
    options: &Options,
    earlier: Option<&Known>,
) -> Known {
    let model = variants.base();
    let design = model.design();
    let mut waivers = waivers_of(design);
    waivers.extend(options.waivers.iter().cloned());
    let keep = earlier.is_some();
    let none_known = Known::new();
    let earlier = earlier.unwrap_or(&none_known);
    let mut known = Known::new();
    let mut open: Vec<&Judged<'l>> = Vec::new();
    // Made for the first finding whose deciding values are looked for.
    let (coarse, variants_of_coarse) = (OnceCell::new(), OnceCell::new());
    let slopes =
        || variants_of_coarse.get_or_init(|| Variants::of(coarse.get_or_init(|| model.for_slopes())));
    for one in &judgements.all {
        let mut deciding = None;
        match one.judgement.verdict {
            Verdict::Held => {
                review.counts.held += 1;
                if let Some(margin) = one.judgement.margin.filter(|_| options.find_margins) {
                    let subject = design.store.path(one.subject);
                    let margin = margin.shown(model);
                    let is_fit = one.rule.before == HoldPoint::Parts || compares_sizes(&one.judgement);
                    review.margins.push(MarginLine { rule: one.rule.name.clone(), subject, margin, is_fit });
                }
            }
            Verdict::NotApplicable => review.counts.not_applicable += 1,
            _ => {
                deciding = options.find_places.then(|| decided(slopes, model, one, earlier));
                let reads = deciding.as_ref().map_or(&[][..], |d| &d.reads);
                let working = options.find_working;
                let found = finding::make(model, one.rule, one.subject, &one.judgement, reads, working);
                review.findings.push(found);
                open.push(one);
            }
        }
        if keep {
            let judgement = Rc::clone(&one.judgement);
            known.insert((one.number, one.subject), Kept { judgement, deciding, attempt: None });
        }
    }
    waivers::apply(&mut review.findings, &waivers, options);
    for finding in &review.findings {
        match (finding.waiver().is_some(), finding.outcome) {
            (true, _) => review.counts.waived += 1,
            (false, Verdict::Broken) => review.counts.broken += 1,
            (false, Verdict::Tight) => review.counts.tight += 1,
            _ => review.counts.unproven += 1,
        }
    }
    if options.try_remedies {
        let tryout = remedy_trial::Tryout { variants, judgements, library, options };
        for (finding, one) in review.findings.iter_mut().zip(&open) {
            if finding.outcome == Verdict::Unproven {
                continue;
            }
            let before = earlier.get(&(one.number, one.subject)).and_then(|kept| kept.attempt.as_ref());
            let attempt = tryout.offer(finding, one, before);
            if let Some(kept) = known.get_mut(&(one.number, one.subject)) {
                kept.attempt = attempt;
            }
        }
    }
    let complaints = waivers::complaints(design, &waivers, &review.findings, library, options);
    review.findings.extend(complaints);
    review.findings.extend(packs::complaints(design, library));
    review.findings.extend(switched_off::complaints(design, library, options));
    finding::set_own_levels(&mut review.findings, library);
    known
}

/// A length below this, in m, is the size of a part and no distance of the flight.
const LARGEST_SIZE: f64 = 10.0;

/// True of a judgement that compared nothing but sizes of parts.
fn compares_sizes(judgement: &Judgement) -> bool {
    let is_size = |q: Quantity| q.dimension == Dimension::LENGTH && q.si.abs() < LARGEST_SIZE;
    judgement.trace.comparisons.iter().all(|one| is_size(one.left) && is_size(one.right))
}

/// The fields that decided a judgement, by an earlier text where that is the same.
fn decided<'s, 'm: 's>(
    slopes: impl FnOnce() -> &'s Variants<'m>,
    model: &Model<'_>,
    one: &Judged<'_>,
    earlier: &Known,
) -> Deciding {
    let kept = earlier.get(&(one.number, one.subject)).and_then(|kept| kept.deciding.as_ref());
    if let Some(kept) = kept.filter(|kept| !kept.footprint.meets(model.touched())) {
        return kept.clone();
    }
    let slopes = slopes();
    let (reads, mut footprint) =
        slopes.base().track_reads(|| places::deciding(slopes, one.rule, one.subject, &one.judgement));
    footprint.join(&one.judgement.footprint);
    Deciding { reads, footprint }
}

/// Shares of a limit first, narrowest first; then gaps: a gap has a unit, so it cannot be set against a share.
fn sort_margins(margins: &mut [MarginLine]) {
    let is_gap = |line: &MarginLine| matches!(line.margin, Margin::Gap(_));
    margins.sort_by(|a, b| {
        is_gap(a)
            .cmp(&is_gap(b))
            .then_with(|| a.margin.size().total_cmp(&b.margin.size()))
            .then_with(|| (&a.rule, &a.subject).cmp(&(&b.rule, &b.subject)))
    });
}

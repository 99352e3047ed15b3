//! How often a rule holds where each uncertain value lies anywhere within its limits: for rules that ask for a share.

use super::active::Rule;
use super::code::Applies;
use super::library::Library;
use super::nominal::{HoldsIn, judge_nominal};
use super::sample_points::SamplePoints;
use super::uncertain_inputs::uncertain_inputs;
use super::verdict::Verdict;
use crate::model::{Footprint, Model};
use crate::vocabulary::EntityId;

/// So many flights are asked. Evenly spread, they give a share to about a hundredth.
const FLIGHTS: usize = 200;

/// In how many flights a rule holds on a subject whose judgement rests on `read`. How far values may be off is said by the packs that are
/// about every rocket, and by that of the rule. What is read for it counts as read by the model.
pub(super) fn held_share(
    rule: &Rule,
    (model, library): (&Model<'_>, &Library),
    subject: EntityId,
    read: &Footprint,
    asked: f64,
) -> HoldsIn {
    let others = library.packs.iter().filter(|pack| !matches!(pack.applies, Applies::Always));
    let silent: Vec<String> =
        others.filter(|pack| pack.name != rule.pack).map(|pack| pack.name.clone()).collect();
    let inputs = uncertain_inputs(model, library, &silent, read);
    if inputs.is_empty() {
        return HoldsIn { held: FLIGHTS, of: FLIGHTS, asked };
    }
    let points = SamplePoints::even(FLIGHTS, inputs.len());
    let holds = |number: &usize| {
        let inputs = inputs.iter().enumerate();
        let changes =
            inputs.flat_map(|(at, input)| input.changes(model, points.share(*number, at))).collect();
        let flight = model.with_changes(changes);
        let (judgement, read) = flight.track_reads(|| judge_nominal(rule, &flight, subject));
        model.record_reads(&read);
        !matches!(judgement.verdict, Verdict::Broken | Verdict::Unproven)
    };
    HoldsIn { held: (0..FLIGHTS).filter(holds).count(), of: FLIGHTS, asked }
}

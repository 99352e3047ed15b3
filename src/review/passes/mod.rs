//! Hold points that were passed: a record of who passed one, when, and of every value that its rules read then. What is
//! built stands as it was built, so a value that changes later is a finding that names the old one and the new one.

mod layout;
mod record;
mod values;

pub use record::{PASS, PASSED_VALUE, PASSES, Pass, Passed, Passes};
pub use values::{CountsAs, PassedValue, values_of};

use super::finding::{About, Finding};
use super::{DesignReview, places};
use crate::model::Model;
use crate::rules::{Library, OwnRule};
use crate::yaml::clean_line;

/// Holds a reviewed design to the record of its passed hold points: each value that has changed since becomes a finding.
pub fn hold_to(review: &mut DesignReview, passes: &Passes, library: &Library) {
    let mut found = Vec::new();
    {
        let model = Model::new(&review.design, library.environment(review.today));
        let asked = |pass: &&Pass| review.hold_points.iter().any(|h| h.point == pass.point);
        for pass in passes.all.iter().filter(asked) {
            let now = values_of(&model, library, &review.packs, pass.point);
            if !pass.is_whole() {
                found.push(altered(&model, passes, pass));
            }
            for was in &pass.values {
                let is = now.iter().find(|n| n.key == was.key).cloned();
                // A rule that asks for less than it did says nothing of the value; the file does.
                let is = is.unwrap_or_else(|| values::now(&model, &was.key));
                if !is.counts_as.is_same(&was.counts_as) {
                    found.extend(changed(&model, pass, was, &is));
                }
            }
        }
    }
    review.passed =
        passes.all.iter().map(|p| Passed { point: p.point, date: p.date, by: p.by.clone() }).collect();
    review.counts.broken += found.len();
    review.findings.extend(found);
    review.settle();
}

/// A finding for a value that changed, or one for each entity that came or went.
fn changed(model: &Model<'_>, pass: &Pass, was: &PassedValue, is: &PassedValue) -> Vec<Finding> {
    let when = format!("when {} was passed on {} by {}", pass.point, pass.date, clean_line(&pass.by));
    let one = |key: &str, message: String| {
        let place = values::place_of(model, key);
        let subject = place.as_ref().map_or(model.design().store.root(), |(id, _)| *id);
        let about = About {
            before: pass.point,
            subject: model.design().store.path(subject),
            subject_id: subject,
            key: key.to_owned(),
            place: place.map(|(_, place)| place),
        };
        Finding::of_own_rule(OwnRule::PassedValueChanged, message, about)
    };
    if let Some(entity_type) = was.key.strip_prefix(values::EVERY) {
        let entity_type = entity_type.replace('_', " ");
        let paths = |value: &PassedValue| -> Vec<String> {
            value.counts_as.text().split(", ").filter(|p| !p.is_empty()).map(str::to_owned).collect()
        };
        let (before, after) = (paths(was), paths(is));
        let came = after.iter().filter(|p| !before.contains(p));
        let went = before.iter().filter(|p| !after.contains(p));
        let came = came.map(|p| one(p, format!("{entity_type} `{}` was not there {when}", clean_line(p))));
        let went =
            went.map(|p| one(p, format!("{entity_type} `{}` was there {when}, and is gone", clean_line(p))));
        return came.chain(went).collect();
    }
    let was_written = |value: &PassedValue| match value.written.as_str() {
        "" => "not written down".to_owned(),
        words => clean_line(words).into_owned(),
    };
    let message =
        format!("`{}` was {} {when}; it is {} now", clean_line(&was.key), was_written(was), was_written(is));
    vec![one(&was.key, message)]
}

fn altered(model: &Model<'_>, passes: &Passes, pass: &Pass) -> Finding {
    let root = model.design().store.root();
    let message = format!(
        "the record that {} was passed, in {}, is not as it was written: its values and its digest differ",
        pass.point,
        clean_line(&passes.name)
    );
    let about = About {
        before: pass.point,
        subject: model.design().store.path(root),
        subject_id: root,
        key: pass.point.name().to_owned(),
        place: places::entity_place(model, root),
    };
    Finding::of_own_rule(OwnRule::PassedRecordAltered, message, about)
}

//! Findings.

use crate::language::value_text;
use crate::model::{Model, Read, Unknown};
use crate::quantity::Quantity;
use crate::rules::{
    HoldPoint, Judgement, Level, Library, Margin, OwnRule, Rule, Size, Variants, Verdict, lies_between,
};
use crate::vocabulary::{EntityId, Field, State, Value};
use crate::yaml::Edit;

use super::disposition::{Compared, Disposition, WaiverUsed};
use super::fingerprint::fingerprint;
use super::places::{self, FindingPlace};
use super::working::{Working, working};

crate::words! {
    /// What came of trying a remedy on a copy.
    pub enum Tried {
        /// The finding is gone and no other came.
        Clears = "clears",
        /// The finding is still there, or another rule then wants a value that is not written down; nothing breaks.
        Partly = "partly",
        /// Another finding came.
        Breaks = "breaks",
    }
}

/// A remedy that is offered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TriedRemedy {
    /// In words.
    pub say: String,
    /// What came of trying it; `None` for words only.
    pub tried: Option<Tried>,
    /// The edits.
    pub edits: Vec<Edit>,
    /// Whether it may be made without asking a person first.
    pub safe: bool,
}

/// A key whose value an unproven finding wants.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MissingValue {
    /// Its path.
    pub key: String,
    /// The entity that lacks it.
    pub entity: EntityId,
    /// Its slot there.
    pub slot: u16,
    /// Something is written there that could not be read.
    pub unreadable: bool,
    /// Where it is not said, something else counts: what settles the finding is rather one of the other values.
    pub has_default: bool,
}

/// What a rule found.
#[derive(Clone, Debug)]
pub struct Finding {
    /// The rule.
    pub rule: String,
    /// Which of the program's own rules it is, where it is one.
    pub own: Option<OwnRule>,
    /// Its pack.
    pub pack: String,
    /// What a rocket that keeps the rule is like.
    pub title: String,
    /// The outcome: broken, tight or unproven.
    pub outcome: Verdict,
    /// How grave it is.
    pub level: Level,
    /// The step that waits.
    pub before: HoldPoint,
    /// The subject's path; empty for the whole rocket.
    pub subject: String,
    /// The subject, for looking further.
    pub subject_id: EntityId,
    /// The message, with numbers in the author's units.
    pub message: String,
    /// Why it matters.
    pub why: String,
    /// The deciding places, the first one first.
    pub places: Vec<FindingPlace>,
    /// How the numbers came about.
    pub working: Vec<Working>,
    /// How much there is to spare.
    pub margin: Option<Margin>,
    /// Where the rule comes from.
    pub source: String,
    /// The same for the same rule on the same subject.
    pub fingerprint: String,
    /// Where it stands in a report: shown, waived, known from the baseline, or below the level that is shown.
    pub disposition: Disposition,
    /// How it compares with the baseline, where one is held against it.
    pub compared: Option<Compared>,
    /// Remedies.
    pub remedies: Vec<TriedRemedy>,
    /// The keys that would settle it, when unproven.
    pub missing: Vec<MissingValue>,
    /// Why values that are there make no sense together, when unproven for that.
    pub refused: Vec<String>,
}

impl Finding {
    /// True when a report draws it.
    #[must_use]
    pub fn is_shown(&self) -> bool {
        self.disposition == Disposition::Shown
    }

    /// The waiver that covers it.
    #[must_use]
    pub const fn waiver(&self) -> Option<&WaiverUsed> {
        match &self.disposition {
            Disposition::Waived(waiver) => Some(waiver),
            _ => None,
        }
    }

    /// True when the step may not be taken because of it.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.level == Level::Error && self.waiver().is_none()
    }
}

/// What a finding of one of the program's own rules is about.
pub(super) struct About {
    /// The step that waits, for a rule that has none of its own.
    pub(super) before: HoldPoint,
    /// The subject's path; empty for the whole rocket.
    pub(super) subject: String,
    /// The subject.
    pub(super) subject_id: EntityId,
    /// What its fingerprint is made of, besides the rule.
    pub(super) key: String,
    /// The place that decided it.
    pub(super) place: Option<FindingPlace>,
}

impl Finding {
    /// A finding of one of the program's own rules.
    pub(super) fn of_own_rule(rule: OwnRule, message: String, about: About) -> Self {
        let of = rule.about();
        let print = match of.before {
            Some(_) => rule.name().to_owned(),
            None => format!("{rule} {}", about.before),
        };
        Self {
            rule: rule.name().to_owned(),
            own: Some(rule),
            pack: of.pack.to_owned(),
            title: of.title.to_owned(),
            outcome: Verdict::Broken,
            level: of.level,
            before: of.before.unwrap_or(about.before),
            fingerprint: fingerprint(&print, &about.key),
            subject: about.subject,
            subject_id: about.subject_id,
            message,
            why: of.why.to_owned(),
            places: about.place.into_iter().collect(),
            working: Vec::new(),
            margin: None,
            source: of.source.to_owned(),
            disposition: Disposition::Shown,
            compared: None,
            remedies: Vec::new(),
            missing: Vec::new(),
            refused: Vec::new(),
        }
    }
}

/// Takes the findings of the program's own rules as gravely as the settings do.
pub(super) fn set_own_levels(findings: &mut [Finding], library: &Library) {
    for finding in findings {
        if let Some(own) = finding.own {
            finding.level = library.own_level(own);
        }
    }
}

/// A finding from a judgement that is broken, tight or unproven.
pub(super) fn make(
    model: &Model<'_>,
    rule: &Rule,
    subject: EntityId,
    judgement: &Judgement,
    deciding: &[Read],
    find_working: bool,
) -> Finding {
    let store = &model.design().store;
    let path = store.path(subject);
    let mut missing = Vec::new();
    let mut refused = Vec::new();
    let message = match judgement.verdict {
        Verdict::Unproven => {
            let none = Unknown::default();
            let gap = judgement.gap.as_ref().unwrap_or(&none);
            missing = gap
                .keys()
                .iter()
                .map(|k| {
                    let entity = store.get(k.entity);
                    MissingValue {
                        key: store.field_path(k.entity, k.slot),
                        entity: k.entity,
                        slot: k.slot,
                        unreadable: entity.is_some_and(|e| e.slot(k.slot).state == State::Wrong),
                        has_default: entity
                            .and_then(|e| e.entity_type.field(k.slot))
                            .is_some_and(Field::has_default),
                    }
                })
                .collect();
            refused = gap.refusals().iter().map(|r| r.reason.to_string()).collect();
            let root = model.design().store.root();
            let of = (subject != root).then(|| value_text(model, &Value::Entity(subject)));
            unproven(of, &rule.title, &missing, &refused)
        }
        Verdict::Tight if judgement.worst.is_empty() => {
            let says = rule.finding().fill(model, subject, &judgement.trace.members);
            let (held, of, asked) =
                judgement.holds_in.map_or((0, 0, 1.0), |one| (one.held, one.of, one.asked));
            let asked = Quantity::number(100.0 * asked).rough();
            format!(
                "right as drawn, but it holds in {held} of {of} flights in which each uncertain value lies anywhere within its limits, and {asked} % is asked: {says}"
            )
        }
        Verdict::Tight => {
            let at_worst = Variants::of(model).variant(&judgement.worst);
            let says = rule.finding().fill(&at_worst, subject, &judgement.trace.members);
            let sizes = sizes_in_words(model, &judgement.worst);
            if judgement.worst.iter().any(|size| lies_between(model, *size)) {
                format!(
                    "right as drawn and at the ends of the stated tolerances, but not between them, {sizes}: {says}"
                )
            } else {
                format!("right as drawn, but not at the worst of the stated tolerances, {sizes}: {says}")
            }
        }
        _ => rule.finding().fill(model, subject, &judgement.trace.members),
    };
    Finding {
        rule: rule.name.clone(),
        own: None,
        pack: rule.pack.clone(),
        title: rule.title.clone(),
        outcome: judgement.verdict,
        level: rule.level,
        before: rule.before,
        fingerprint: fingerprint(&rule.name, &path),
        subject: path,
        subject_id: subject,
        message,
        why: rule.why.trim().to_owned(),
        places: places::places(model, subject, judgement, deciding),
        working: if find_working { working(model, judgement, deciding) } else { Vec::new() },
        margin: judgement.margin.map(|margin| margin.shown(model)),
        source: rule.citation.clone(),
        disposition: Disposition::Shown,
        compared: None,
        remedies: Vec::new(),
        missing,
        refused,
    }
}

/// Sizes within their stated tolerances in words: `with tube.inner_diameter at 3.87 in`.
fn sizes_in_words(model: &Model<'_>, sizes: &[Size]) -> String {
    let store = &model.design().store;
    let each = sizes.iter().take(3).map(|size| {
        let written = match model.field(size.entity, size.slot) {
            Ok(Value::Quantity(quantity)) => Some(quantity),
            Ok(Value::Position(position)) => Some(position.distance),
            _ => None,
        };
        let value = written.map(|written| Quantity { si: size.si, ..written }.to_string());
        format!("`{}` at {}", store.field_path(size.entity, size.slot), value.unwrap_or_default())
    });
    let more = if sizes.len() > 3 { format!(" and {} more", sizes.len() - 3) } else { String::new() };
    format!("with {}{more}", each.collect::<Vec<_>>().join(", "))
}

fn unproven(of: Option<String>, title: &str, missing: &[MissingValue], refused: &[String]) -> String {
    let mut reasons = Vec::new();
    match missing {
        [] => {}
        [one] if one.unreadable => reasons.push(format!("`{}` cannot be read", one.key)),
        [one] => reasons.push(format!("`{}` is not written down", one.key)),
        several => {
            let names: Vec<String> = several.iter().take(4).map(|m| format!("`{}`", m.key)).collect();
            let more =
                if several.len() > 4 { format!(" and {} more", several.len() - 4) } else { String::new() };
            reasons.push(format!("{}{more} are not written down", names.join(", ")));
        }
    }
    reasons.extend(refused.iter().cloned());
    let of = of.map(|of| format!(" for {of}")).unwrap_or_default();
    format!("not proven{of}: {title} ({})", reasons.join("; "))
}

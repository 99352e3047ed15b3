//! Waivers as they are written, in a design or in a club's settings.

use crate::design::{Design, WAIVER, waiver};
use crate::quantity::Quantity;
use crate::rules::ClubWaiver;
use crate::vocabulary::{Date, EntityId};

/// Where a waiver is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WaiverFrom {
    /// In the design.
    Design(EntityId),
    /// In a club's settings: the file and the line in words.
    Settings(String),
}

/// A waiver as written.
#[derive(Clone, Debug)]
pub struct Waiver {
    /// Where it is written.
    pub from: WaiverFrom,
    /// The rule.
    pub rule: String,
    /// The subject's path or the end of it; every subject where not said.
    pub subject: Option<String>,
    /// Why it is acceptable.
    pub reason: String,
    /// Who answers for it.
    pub by: String,
    /// The last day it holds.
    pub until: Date,
    /// The margin when it was waived.
    pub margin: Option<Quantity>,
    /// Whether it is meant for several designs, some of which may have nothing that it covers.
    pub of_several: bool,
}

impl From<&ClubWaiver> for Waiver {
    fn from(waiver: &ClubWaiver) -> Self {
        Self {
            from: WaiverFrom::Settings(waiver.at.in_words()),
            rule: waiver.rule.clone(),
            subject: waiver.subject.clone(),
            reason: waiver.reason.clone(),
            by: waiver.by.clone(),
            until: waiver.until,
            margin: waiver.margin,
            of_several: waiver.is_pattern(),
        }
    }
}

/// The waivers of a design; one that lacks a required field, or whose margin is none, has been reported by the reader and
/// is left out.
#[must_use]
pub fn waivers_of(design: &Design) -> Vec<Waiver> {
    let store = &design.store;
    let text = |id, key| {
        store.value::<crate::design::Waiver, std::sync::Arc<str>>(id, key).map(|text| text.to_string())
    };
    store
        .of_type(&WAIVER)
        .filter_map(|id| {
            let until = store.value(id, waiver::until)?;
            let margin = text(id, waiver::margin).map(|m| Quantity::read(&m)).transpose().ok()?;
            Some(Waiver {
                from: WaiverFrom::Design(id),
                rule: text(id, waiver::rule)?,
                subject: text(id, waiver::subject),
                reason: text(id, waiver::reason)?,
                by: text(id, waiver::by)?,
                until,
                margin,
                of_several: false,
            })
        })
        .collect()
}

//! A pack that is read, before its expressions are checked and its limits are set.

use super::active::{ActiveFunction, ActiveLimit, ActiveTable};
use super::metadata::PackMetadata;
use super::parsed::ParsedPack;
use crate::yaml::Span;

/// A pack that is read, and what needs no expression checked.
pub(super) struct Draft {
    pub(super) parsed: ParsedPack,
    pub(super) limits: Vec<ActiveLimit>,
    pub(super) tables: Vec<ActiveTable>,
    pub(super) functions: Vec<ActiveFunction>,
    pub(super) about: String,
    pub(super) card: PackMetadata,
    /// The bytes of its sources that name nothing.
    pub(super) unsourced: Vec<Span>,
}

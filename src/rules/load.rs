//! A library from what is built in and from sources of a club.

use super::built_in::{BUILT_IN, BuiltIn};
use super::library::Library;
use super::pack_compiler::compile;
use super::settings::Settings;
use crate::yaml::Source;

/// What comes into force beside what is built in.
#[derive(Clone, Debug, Default)]
pub struct More {
    /// Packs.
    pub packs: Vec<Source>,
    /// Tables.
    pub tables: Vec<Source>,
}

impl From<Vec<Source>> for More {
    fn from(packs: Vec<Source>) -> Self {
        Self { packs, tables: Vec::new() }
    }
}

impl Library {
    /// The packs built into the program.
    #[must_use]
    pub fn built_in() -> Self {
        Self::load(Vec::new())
    }

    /// The built-in packs and tables, and more.
    #[must_use]
    pub fn load(more: impl Into<More>) -> Self {
        Self::load_set(more, &Settings::default())
    }

    /// The built-in packs and tables, and more, with the limits and levels of a club's settings.
    #[must_use]
    pub fn load_set(more: impl Into<More>, settings: &Settings) -> Self {
        let More { packs, tables } = more.into();
        let own = BUILT_IN.iter().map(BuiltIn::source);
        compile(own.chain(packs).collect(), tables, settings)
    }

    /// The built-in packs and tables, and more, without some of the built-in packs, by the names of their files: of these there
    /// is an edited copy among the others.
    #[must_use]
    pub fn load_without(left_out: &[&str], more: impl Into<More>) -> Self {
        let More { packs, tables } = more.into();
        let own = BUILT_IN.iter().filter(|pack| !left_out.contains(&pack.name)).map(BuiltIn::source);
        compile(own.chain(packs).collect(), tables, &Settings::default())
    }

    /// Compiles packs, in order; later packs may use the derived quantities of earlier ones.
    #[must_use]
    pub fn compile(sources: Vec<Source>) -> Self {
        compile(sources, Vec::new(), &Settings::default())
    }
}

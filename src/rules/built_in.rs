//! The packs that are built into the program, with the trees that were prepared of them.

use crate::yaml::{Source, Tree};

/// A pack that is built into the program.
#[derive(Debug)]
pub struct BuiltIn {
    /// Its file in the repository.
    pub name: &'static str,
    /// Its text.
    pub text: &'static str,
    /// Its tree without the trials, as the build script wrote it down.
    tree: &'static [u8],
}

impl BuiltIn {
    /// The built-in pack of a text, under whatever name.
    #[must_use]
    pub fn of(source: &Source) -> Option<&'static Self> {
        BUILT_IN.iter().find(|pack| pack.text == source.text())
    }

    /// Its text under its name.
    #[must_use]
    pub fn source(&self) -> Source {
        Source::built_in(self.name, self.text)
    }

    /// Its tree without the trials of its rules; `None` where what was prepared cannot be read, as never happens.
    pub(super) fn tree(&self) -> Option<Tree> {
        Tree::prepared(self.text, self.tree)
    }
}

macro_rules! packs {
    ($($name:literal)*) => { &[ $( BuiltIn {
        name: concat!("rules/", $name, ".yaml"),
        text: include_str!(concat!("../../rules/", $name, ".yaml")),
        tree: include_bytes!(concat!(env!("OUT_DIR"), "/rules/", $name, ".tree")),
    } ),* ] };
}

/// The packs built into the program, in the order in which they are in force.
pub static BUILT_IN: &[BuiltIn] = packs! {
    "slips"
    "strengths"
    "structure"
    "airframe"
    "motor_mount"
    "fins"
    "motor"
    "rail"
    "altimeter_bay"
    "bulkheads"
    "joints"
    "venting"
    "drilling"
    "power"
    "wiring"
    "backups"
    "charges"
    "packing"
    "parting"
    "recovery"
    "recovery_hardware"
    "snatch"
    "radio"
    "ground_tests"
    "bonds"
    "stability"
    "ascent"
    "descent"
    "as_built"
    "field"
    "checklist"
    "uncertainties"
    "codes/high_power_code"
    "codes/cfr_14_101"
    "codes/student_launch_2025"
    "codes/irec_guide_2023"
    "codes/euroc_guide_4"
};

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may panic")]
    use super::super::Library;
    use super::*;
    use crate::yaml::without_trials;

    #[test]
    fn a_prepared_pack_is_the_pack_as_it_is_written() {
        for pack in BUILT_IN {
            let parsed = Tree::parse(&pack.source());
            assert_eq!(parsed.problems, [], "{}", pack.name);
            // Whatever stands in a rule file under `trials` of a rule, and nothing else, is left out.
            let expected = without_trials(parsed.tree.unwrap()).unwrap();
            assert_eq!(pack.tree().unwrap(), expected, "{}", pack.name);
        }
    }

    /// A copy of a pack that differs by a comment at its end is read as a club's own pack is.
    #[test]
    fn prepared_packs_have_the_rules_and_trials_of_packs_that_are_read() {
        let copies = BUILT_IN.iter().map(|pack| Source::new(pack.name, format!("{}# a copy\n", pack.text)));
        let (read, prepared) = (Library::compile(copies.collect()), Library::built_in());
        assert_eq!(read.problems.len() + prepared.problems.len(), 0, "{:?}", read.problems);
        assert_eq!(prepared.trial_problems().len(), 0);
        let names = |library: &Library| library.rules.iter().map(|r| r.name.clone()).collect::<Vec<_>>();
        assert_eq!(names(&read), names(&prepared));
        for (one, other) in read.rules.iter().zip(&prepared.rules) {
            assert_eq!(one.trials(), other.trials(), "{}", one.name);
            assert!(!one.trials().is_empty(), "{}", one.name);
            assert_eq!(one.place, other.place, "{}", one.name);
            for (place, prepared) in one.places.all().into_iter().zip(other.places.all()) {
                for range in [0..1, 3..9] {
                    assert_eq!(place.span(&range), prepared.span(&range), "{}", one.name);
                }
            }
        }
        assert_eq!(
            format!("{:?}", read.derived.iter().map(|d| (&d.text, d.place)).collect::<Vec<_>>()),
            format!("{:?}", prepared.derived.iter().map(|d| (&d.text, d.place)).collect::<Vec<_>>())
        );
    }
}

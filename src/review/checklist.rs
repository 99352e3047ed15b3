//! What the flyer of this rocket does on the day, in order: the steps of the packs in force, filled with what the design has.
//!
//! The steps are words for a person at a field. They are no permission, and a club's own list comes before them. Texts
//! hold names from the design as they are written; whoever prints them cleans them.

use super::PackApplicability;
use super::packs::holds;
use crate::language::evaluate;
use crate::model::Model;
use crate::rules::{ActivePack, CheckStep, Library, Moment};
use crate::vocabulary::{EntityId, Value};

/// A step of the checklist.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChecklistStep {
    /// When it is taken.
    pub group: Moment,
    /// What to do.
    pub text: String,
    /// Why.
    pub why: String,
    /// The clause that asks for it, where a code does.
    pub source: Option<String>,
}

/// The steps of a rocket's day, in order. What the design does not say is left out of a step, not guessed. With them
/// stand the clauses that the codes in force ask of a person, to be ticked and never taken as kept.
///
/// What a later pack adds comes after the steps of those before it, but on the pad it comes first, with the clauses: there
/// nothing may be left to look up or to do once the igniter is in.
#[must_use]
pub fn steps(model: &Model<'_>, library: &Library, packs: &[PackApplicability]) -> Vec<ChecklistStep> {
    let judged = |pack: &&ActivePack| packs.iter().all(|one| one.judged || one.name != pack.name);
    let in_force: Vec<&ActivePack> = library.packs.iter().filter(judged).collect();
    let mut all = Vec::new();
    for moment in Moment::ALL {
        if moment == Moment::AtThePad {
            clauses(packs, moment, &mut all);
            in_force.iter().rev().for_each(|pack| of_pack(model, pack, moment, &mut all));
        } else {
            in_force.iter().for_each(|pack| of_pack(model, pack, moment, &mut all));
            clauses(packs, moment, &mut all);
        }
    }
    all
}

/// What the codes in force ask at one moment.
fn clauses(packs: &[PackApplicability], group: Moment, all: &mut Vec<ChecklistStep>) {
    for pack in packs {
        for ask in pack.asks.iter().filter(|ask| ask.moment == group) {
            all.push(ChecklistStep {
                group,
                text: ask.ask.clone(),
                why: format!("{} asks for it, and no design file can show it.", pack.name),
                source: Some(ask.citation.clone()),
            });
        }
    }
}

/// The steps of a pack at one moment: each for its parts in turn, and those that are joined on to it part by part.
fn of_pack(model: &Model<'_>, pack: &ActivePack, moment: Moment, all: &mut Vec<ChecklistStep>) {
    for round in pack.steps().chunk_by(|_, next| next.joined_on) {
        let Some(first) = round.first().filter(|step| step.moment == moment) else { continue };
        let subjects = subjects(model, first);
        let several = subjects.iter().filter(|subject| is_taken(model, first, **subject)).count() > 1;
        let mut number = 0;
        for subject in subjects {
            for step in round.iter().filter(|step| is_taken(model, step, subject)) {
                let mut text = step.sentence.fill(model, subject);
                if step.numbered && several {
                    number += 1;
                    text.insert_str(0, &format!("{number}. "));
                }
                let (why, source) = (step.why.clone(), step.citation.clone());
                all.push(ChecklistStep { group: moment, text, why, source });
            }
        }
    }
}

/// A step is taken where its condition is true, and where it cannot be known.
fn is_taken(model: &Model<'_>, step: &CheckStep, subject: EntityId) -> bool {
    step.when.as_ref().is_none_or(|when| holds(model, when, subject) != Ok(false))
}

/// The parts that a step is about, in their turn.
fn subjects(model: &Model<'_>, step: &CheckStep) -> Vec<EntityId> {
    let mut all: Vec<EntityId> = model.design().store.of_type(step.entity_type).collect();
    if let Some(order) = &step.order {
        let turn = |id: &EntityId| match evaluate(order, model, None, *id).value {
            Ok(Value::Quantity(turn)) => turn.si,
            _ => f64::MAX,
        };
        all.sort_by(|a, b| turn(a).total_cmp(&turn(b)));
    }
    if step.backwards {
        all.reverse();
    }
    all
}

#[cfg(test)]
mod tests {
    use std::fmt::Write as _;

    use super::{ChecklistStep, Moment, steps};
    use crate::design::Design;
    use crate::model::Model;
    use crate::review::applicable_packs;
    use crate::rules::{Library, TRIAL_DAY, specimens};
    use crate::yaml::Source;

    fn by(library: &Library, name: &str, changed: fn(&str) -> String) -> Vec<ChecklistStep> {
        assert!(library.problems.is_empty(), "{:?}", library.problems);
        let (_, text) = specimens().iter().find(|(n, _)| *n == name).copied().unwrap_or_default();
        let design = Design::read(Source::new(name, changed(text)), &library.tables);
        assert!(design.problems.is_empty(), "{:?}", design.problems);
        let model = Model::new(&design, library.environment(TRIAL_DAY));
        steps(&model, library, &applicable_packs(&model, library, &[]))
    }

    fn of(name: &str, changed: fn(&str) -> String) -> Vec<ChecklistStep> {
        by(&Library::built_in(), name, changed)
    }

    /// The built-in packs and a club's, which adds a step and a clause at each moment.
    fn with_a_club() -> Library {
        let mut text = "pack: our-club\nabout: More to do.\nchecklist:\n".to_owned();
        for (number, moment) in Moment::ALL.iter().enumerate() {
            let _ = writeln!(text, "  more-{number}: {{moment: {moment}, do: Do more., why: We do.}}");
        }
        text.push_str("asks:\n");
        for (number, moment) in Moment::ALL.iter().enumerate() {
            let _ = writeln!(
                text,
                "  clause-{number}: {{ask: See to it., moment: {moment}, source: {{club: rules}}}}"
            );
        }
        Library::load(vec![Source::new("club.yaml", text)])
    }

    fn at(steps: &[ChecklistStep], words: &str) -> Option<usize> {
        steps.iter().position(|s| s.text.contains(words))
    }

    #[test]
    fn the_motor_igniter_is_last_in_and_first_out() {
        let (own, with_a_club) = (Library::built_in(), with_a_club());
        for (name, library) in ["dual_deployment", "motor_ejection"]
            .into_iter()
            .flat_map(|name| [(name, &own), (name, &with_a_club)])
        {
            let all = by(library, name, str::to_owned);
            let pad: Vec<&ChecklistStep> = all.iter().filter(|s| s.group == Moment::AtThePad).collect();
            let joined = pad.iter().position(|s| s.text.starts_with("Last of all")).unwrap_or(usize::MAX);
            assert_eq!(joined + 2, pad.len(), "only going back comes after the igniter");
            let back: Vec<&ChecklistStep> =
                all.iter().filter(|s| s.group == Moment::IfItDoesNotFly).collect();
            let out = back.iter().position(|s| s.text.contains("igniter out")).unwrap_or(usize::MAX);
            assert_eq!(out, 1, "only making the controller dead comes before it");
            assert!(back.iter().skip(out + 1).all(|s| !s.text.contains("motor's igniter")));
            assert!(back.iter().take(out).all(|s| !s.text.contains("Switch off")));
        }
    }

    /// Whatever a club adds, it adds where the altimeters are off.
    #[test]
    fn altimeters_are_disarmed_before_anyone_works_on_the_rocket() {
        for library in [Library::built_in(), with_a_club()] {
            let all = by(&library, "dual_deployment", str::to_owned);
            for (group, off, work) in [
                (
                    Moment::AfterFlight,
                    "then switch it off at",
                    ["part what has not parted", "Do more", "See to it"],
                ),
                (Moment::IfItDoesNotFly, "Switch off", ["lower the rail", "Do more", "See to it"]),
            ] {
                let mine: Vec<&ChecklistStep> = all.iter().filter(|s| s.group == group).collect();
                let last_off = mine.iter().rposition(|s| s.text.contains(off)).unwrap_or(usize::MAX);
                assert_eq!(mine.iter().filter(|s| s.text.contains(off)).count(), 2);
                for word in work {
                    let at = mine.iter().position(|s| s.text.contains(word));
                    assert!(at.is_none_or(|at| at > last_off), "{group}: {word}");
                }
            }
            let at_the_table: Vec<&ChecklistStep> =
                all.iter().filter(|s| s.group == Moment::AtTheTable).collect();
            assert!(at_the_table.first().is_some_and(|s| s.text.starts_with("All arming switches off")));
        }
    }

    #[test]
    fn altimeters_are_armed_in_their_turn_and_switched_off_the_other_way_round() {
        let all = of("dual_deployment", |t| t.replace("turn: 1", "turn: 9"));
        let (a, b) = (at(&all, "Arm primary"), at(&all, "Arm backup"));
        assert!(a.is_some() && b < a, "{a:?} {b:?}");
        let (a, b) = (at(&all, "Switch off primary"), at(&all, "Switch off backup"));
        assert!(b.is_some() && a < b, "{a:?} {b:?}");
    }

    #[test]
    fn a_rocket_without_electronics_is_asked_for_none() {
        let all = of("motor_ejection", str::to_owned);
        for word in ["altimeter", "switch", "Arm ", "charge", "shear"] {
            assert_eq!(at(&all, word), None, "{word}");
        }
        assert!(at(&all, "delay set to 9 s").is_some());
        let groups: Vec<Moment> = all.iter().map(|s| s.group).collect();
        assert!(groups.is_sorted());
    }
}

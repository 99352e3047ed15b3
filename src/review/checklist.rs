//! What the flyer of this rocket does on the day, in order: only what the design has.
//!
//! The steps are words for a person at a field. They are no permission, and a club's own list comes before them. Texts
//! hold names from the design as they are written; whoever prints them cleans them.

use super::PackApplicability;
use crate::design::{
    ALTIMETER, BATTERY, CHARGE, CIRCUIT, HARNESS, JOINT, PARACHUTE, RECORDER, Rocket, SWITCH, altimeter,
    battery, charge, circuit, fastening, flight, igniter, joint, lid, motor, motor_mount, pad, parachute,
    recorder, release, retainer, rocket, section, shear_pins, switch,
};
use crate::model::Model;
use crate::rules::Moment;
use crate::vocabulary::{EntityId, Id, IdOf, Key, Typed, Value};

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
/// stand the clauses that the codes in force ask of a person, to be ticked and never taken as kept; on the pad they come
/// first, so that nothing is left to look up once the igniter is in.
#[must_use]
pub fn steps(model: &Model<'_>, packs: &[PackApplicability]) -> Vec<ChecklistStep> {
    let mut list = List { model, steps: Vec::new() };
    list.before_leaving();
    list.clauses(packs, Moment::BeforeLeaving);
    list.at_the_table();
    list.clauses(packs, Moment::AtTheTable);
    list.clauses(packs, Moment::AtThePad);
    list.at_the_pad();
    list.after_flight();
    list.clauses(packs, Moment::AfterFlight);
    list.if_it_does_not_fly();
    list.clauses(packs, Moment::IfItDoesNotFly);
    list.steps
}

struct List<'m> {
    model: &'m Model<'m>,
    steps: Vec<ChecklistStep>,
}

impl List<'_> {
    fn add(&mut self, group: Moment, text: impl Into<String>, why: &str) {
        self.steps.push(ChecklistStep { group, text: text.into(), why: why.to_owned(), source: None });
    }

    /// What the codes in force ask at one moment.
    fn clauses(&mut self, packs: &[PackApplicability], group: Moment) {
        for pack in packs {
            for ask in pack.asks.iter().filter(|ask| ask.moment == group) {
                self.steps.push(ChecklistStep {
                    group,
                    text: ask.ask.clone(),
                    why: format!("{} asks for it, and no design file can show it.", pack.name),
                    source: Some(ask.citation.clone()),
                });
            }
        }
    }

    fn all(&self, kind: &'static crate::vocabulary::EntityType) -> Vec<EntityId> {
        self.model.design().store.of_kind(kind).collect()
    }

    fn name(&self, id: EntityId) -> String {
        self.model.entity(id).map(|e| e.name.to_string()).unwrap_or_default()
    }

    /// A part that is named by a field.
    fn part<E: Typed, K>(&self, id: impl IdOf<E>, key: Key<E, Id<K>>) -> Option<Id<K>> {
        self.model.get(id, key)
    }

    /// A field in words, where it is written.
    fn said<E: Typed, T>(&self, id: impl IdOf<E>, key: Key<E, T>) -> Option<String> {
        match self.model.value(id, key)? {
            Value::Quantity(quantity) => Some(self.model.shown(quantity).to_string()),
            Value::Text(text) => Some(text.to_string()),
            Value::Word(word) => Some(word.to_owned()),
            Value::Entity(one) => Some(self.name(one)),
            _ => None,
        }
    }

    /// `before` and the field in words, or nothing where it is not written.
    fn after<E: Typed, T>(&self, before: &str, id: impl IdOf<E>, key: Key<E, T>) -> String {
        self.said(id, key).map(|said| format!("{before}{said}")).unwrap_or_default()
    }

    fn root_part<K>(&self, key: Key<Rocket, Id<K>>) -> Option<Id<K>> {
        self.part(self.model.rocket(), key)
    }

    /// The arming switches, in the turn that the design gives them, else in the order of the file.
    fn switches(&self) -> Vec<EntityId> {
        let turn = |id: EntityId| self.model.get(id, switch::turn).map_or(f64::MAX, f64::from);
        let mut all = self.all(&SWITCH);
        all.sort_by(|a, b| turn(*a).total_cmp(&turn(*b)));
        all
    }

    /// What a switch starts.
    fn started_by(&self, one: EntityId) -> String {
        let started: Vec<String> = self
            .all(&ALTIMETER)
            .into_iter()
            .filter(|id| self.part(*id, altimeter::switch).is_some_and(|s| s == one))
            .map(|id| self.name(id))
            .collect();
        if started.is_empty() { "nothing that is written down".to_owned() } else { started.join(" and ") }
    }

    fn before_leaving(&mut self) {
        let at = Moment::BeforeLeaving;
        for one in self.all(&BATTERY) {
            let (voltage, capacity) =
                (self.after(", ", one, battery::voltage), self.after(", ", one, battery::capacity));
            let text = format!(
                "Charge or renew battery {}{voltage}{capacity}; measure it under load.",
                self.name(one)
            );
            self.add(at, text, "A tired battery shows its full voltage until it has to give a current.");
        }
        for one in self.all(&CIRCUIT) {
            if let Some(part) = self.part(one, circuit::igniter) {
                let about = self.after(", about ", part, igniter::resistance);
                let text = format!(
                    "Measure each igniter of {}{about}, with a meter made for igniters.",
                    self.name(one)
                );
                self.add(
                    at,
                    text,
                    "An open bridge looks like a good one; an ordinary meter can set an igniter off.",
                );
            }
        }
        for one in self.all(&PARACHUTE) {
            let text = format!("Look over parachute {}: canopy, lines, swivel.", self.name(one));
            self.add(at, text, "A burn or a cut from the last flight opens into a tear under load.");
        }
        for one in self.all(&HARNESS) {
            let text =
                format!("Look over harness {} from end to end, and its knots or sewing.", self.name(one));
            self.add(at, text, "A cord that the last charge scorched breaks at the next jerk.");
        }
        if !self.all(&CHARGE).is_empty() {
            self.add(
                at,
                "Pack spare igniters, shear pins and screws, and the record of the ground tests.",
                "What is borrowed at the field is not what was tested.",
            );
        }
        if let Some(one) = self.root_part(rocket::motor) {
            let text = format!(
                "Pack the motor{} with its maker's instructions, and the flyer's certification.",
                self.after(" ", one, motor::designation)
            );
            self.add(at, text, "The safety officer asks for both.");
        }
    }

    fn at_the_table(&mut self) {
        let at = Moment::AtTheTable;
        let switches = self.switches();
        if !switches.is_empty() {
            let names: Vec<String> = switches.iter().map(|id| self.name(*id)).collect();
            let text = format!("All arming switches off: {}.", names.join(", "));
            self.add(at, text, "No charge is handled while an altimeter could fire it.");
        }
        for one in self.all(&BATTERY) {
            let held = self.after(", held by ", one, battery::held);
            let text = format!(
                "Battery {} in its place{held}; its connector right way round and tied.",
                self.name(one)
            );
            self.add(at, text, "Boost makes it many times heavier.");
        }
        for one in self.all(&ALTIMETER) {
            let main = self.after("; main at ", one, altimeter::main_height);
            let delay = self.after("; after apogee ", one, altimeter::apogee_delay);
            let text = format!(
                "With no igniter joined, switch {} on and read its settings{main}{delay}. Switch it off.",
                self.name(one)
            );
            self.add(at, text, "A setting left from another rocket opens the wrong parachute.");
        }
        for one in self.all(&CIRCUIT) {
            let (from, fires) =
                (self.after(" from ", one, circuit::altimeter), self.after(" to ", one, circuit::fires));
            let terminal = self.after(", terminal ", one, circuit::terminal);
            let text = format!(
                "Join the connector of {}{from}{fires}{terminal}; read the label aloud.",
                self.name(one)
            );
            self.add(at, text, "Drogue and main changed over are not seen again until the flight.");
        }
        if self
            .all(&crate::design::LID)
            .iter()
            .any(|id| self.model.has(*id, lid::pass_throughs.slot) == Ok(true))
        {
            self.add(
                at,
                "Close the bay; see that every hole for wires is sealed.",
                "The charge's gas must not reach the altimeters.",
            );
        }
        for one in self.all(&CHARGE) {
            let (powder, opens) =
                (self.after(" of ", one, charge::powder), self.after(", for ", one, charge::joint));
            let text = format!(
                "With switches off, the person licensed for it loads {}{powder}{opens}; eyes shielded, nobody in front of it.",
                self.name(one)
            );
            self.add(at, text, "Loose powder and a live igniter go off in a hand as well as in a tube.");
        }
        for one in self.all(&PARACHUTE) {
            let (place, shield) = (
                self.after(" into ", one, parachute::packed_in),
                self.after(", protected by ", one, parachute::protected_by),
            );
            let tied = self.part(one, parachute::hangs_on).map(|cord| {
                let along = self.after(", ", one, parachute::hangs_at);
                let from = if along.is_empty() { "" } else { " from its fore end" };
                format!(" Tie it to {}{along}{from}.", self.name(cord.any()))
            });
            let text = format!(
                "Fold and pack parachute {}{place}{shield}.{}",
                self.name(one),
                tied.unwrap_or_default()
            );
            self.add(at, text, "It goes in as it was tested, loose enough to be pulled out by hand.");
            if let Some(device) = self.part(one, parachute::release) {
                let height = self.after(" to ", device, release::height);
                let text = format!(
                    "Close the release around {}, set it{height}, tie it on; its battery is charged.",
                    self.name(one)
                );
                self.add(
                    at,
                    text,
                    "A release that was not switched on keeps the parachute shut to the ground.",
                );
            }
        }
        if !self.all(&HARNESS).is_empty() {
            self.add(
                at,
                "Every link closed and screwed tight; pull at each harness from end to end.",
                "An open link lets a piece fall on its own.",
            );
        }
        for one in self.all(&JOINT) {
            if let Some(pins) = self.part(one, joint::shear_pins) {
                let (count, thread) =
                    (self.after(" ", pins, shear_pins::count), self.after(" ", pins, shear_pins::thread));
                let text = format!("Close {} and push in its{count}{thread} shear pins.", self.name(one));
                self.add(at, text, "The charge was proved with this many.");
            } else if let Some(held) = self.part(one, joint::held_by) {
                let (count, kind) =
                    (self.after(", ", held, fastening::count), self.after(" ", held, fastening::kind));
                let text = format!("Close {}{count}{kind}.", self.name(one));
                self.add(at, text, "A joint that is left loose opens at burnout.");
            }
        }
        if let Some(one) = self.root_part(rocket::motor) {
            let name = self.after(" ", one, motor::designation);
            let delay = self.after(", delay set to ", one, motor::delay);
            let by = self.retainer().map(|kind| format!(" Fasten it: {kind}.")).unwrap_or_default();
            let text = format!("Put the motor in{name}{delay}, without its igniter.{by}");
            self.add(
                at,
                text,
                "The igniter stays out until the rocket stands on the pad and people are away.",
            );
        }
        self.add(
            at,
            "Show the rocket and its papers to the range safety officer.",
            "A second pair of eyes decides, not this list.",
        );
    }

    fn retainer(&self) -> Option<String> {
        let sections = self.all(&crate::design::SECTION);
        let mount = sections.into_iter().find_map(|id| self.part(id, section::motor_mount))?;
        self.said(self.part(mount, motor_mount::retainer)?, retainer::kind)
    }

    fn at_the_pad(&mut self) {
        let at = Moment::AtThePad;
        let field = self.root_part(rocket::flight);
        let rail = field.map(|id| self.after(", ", id, flight::rail)).unwrap_or_default();
        self.add(
            at,
            "See that the launch controller is off and its clips are dead.",
            "A live lead lights the motor as the igniter is joined.",
        );
        self.add(at, format!("Slide the rocket onto the rail{rail}; it slides freely to the end. Raise the rail and lock it."), "A rocket that binds leaves the rail too slowly or not at all.");
        self.add(at, "Nobody stays at the pad who is not needed there.", "From here on things are live.");
        for one in self.all(&RECORDER) {
            let text = format!(
                "Switch on {} ({}).",
                self.name(one),
                self.said(one, recorder::kind).unwrap_or_else(|| "recorder".to_owned())
            );
            self.add(at, text, "It fires nothing, so it goes first.");
        }
        let switches = self.switches();
        let many = switches.len() > 1;
        for (turn, one) in switches.into_iter().enumerate() {
            let (kind, shown) = (
                self.after(", ", one, switch::kind),
                self.after("; it is shown by its ", one, switch::shown_by),
            );
            let order = if many { format!("{}. ", turn + 1) } else { String::new() };
            let text = format!(
                "{order}Arm {} ({}{kind}): wait until it reports every charge{shown}.",
                self.started_by(one),
                self.name(one)
            );
            self.add(at, text, "An altimeter that complains is switched off and taken back to the table.");
        }
        let back = field
            .and_then(|id| self.part(id, flight::pad))
            .map(|id| self.after(" to at least ", id, pad::people_distance))
            .unwrap_or_default();
        self.add(
            at,
            "Last of all, put the motor's igniter in up to its end, fasten it and join the clips.",
            "Until then nothing can lift the rocket off, whatever else goes wrong.",
        );
        self.add(
            at,
            format!("Go back{back}; tell the range that the pad is armed."),
            "Distance is what protects when the rest has failed.",
        );
    }

    fn after_flight(&mut self) {
        let at = Moment::AfterFlight;
        self.add(
            at,
            "Wait for the range's word; watch where each piece comes down.",
            "Other rockets may be armed.",
        );
        let armed = self.armed_backwards();
        if !self.all(&CHARGE).is_empty() {
            self.add(at, "Before touching it, stand aside of both ends of every tube, and look which charges have not fired.", "A charge that has not fired still can.");
        }
        for one in armed {
            let text = format!(
                "Write down what {} reports, then switch it off at {}.",
                self.started_by(one),
                self.name(one)
            );
            self.add(at, text, "Disarm before anyone works on the rocket or carries it.");
        }
        if !self.all(&CHARGE).is_empty() {
            self.add(at, "Only then part what has not parted; the person licensed for it takes out unfired charges, igniters first.", "The way home is by car, with other people in it.");
        }
        self.add(
            at,
            "Let the motor cool before it is taken out.",
            "It burns a hand long after it has burnt out.",
        );
        self.add(at, "Look over cords, parachutes, pins and fins; write down what must be mended before the next flight.", "What is not written down is forgotten.");
    }

    fn armed_backwards(&self) -> Vec<EntityId> {
        let mut armed = self.switches();
        armed.reverse();
        armed
    }

    fn if_it_does_not_fly(&mut self) {
        let at = Moment::IfItDoesNotFly;
        self.add(
            at,
            "Controller off and key out; wait at least a minute and for the range's word before going near.",
            "A motor can take a long time to make up its mind.",
        );
        self.add(
            at,
            "First of all, take the clips off and the motor's igniter out.",
            "Then nothing can lift it off while hands are on it.",
        );
        for one in self.armed_backwards() {
            let text = format!(
                "Switch off {} at {}, the rocket still upright; see that it is silent.",
                self.started_by(one),
                self.name(one)
            );
            self.add(at, text, "Lowered or shaken, an armed altimeter can take it for a flight.");
        }
        self.add(
            at,
            "Only then lower the rail and carry the rocket, both ends pointing away from people.",
            "A charge pushes out of both ends.",
        );
        if !self.all(&CHARGE).is_empty() {
            self.add(at, "At the table, part the igniters from the altimeters before anything else is opened; the person licensed for it takes the charges out.", "A rocket is not stored or driven with live charges.");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{ChecklistStep, Moment, steps};
    use crate::design::Design;
    use crate::model::{Environment, Model, catalogue};
    use crate::rules::{TRIAL_DAY, specimens};
    use crate::tables::Tables;
    use crate::text::Source;

    fn of(name: &str, changed: fn(&str) -> String) -> Vec<ChecklistStep> {
        let (_, text) = specimens().iter().find(|(n, _)| *n == name).copied().unwrap_or_default();
        let design = Design::read(Source::new(name, changed(text)), Tables::built_in());
        assert!(design.problems.is_empty(), "{:?}", design.problems);
        let catalogue = catalogue();
        let tables = Tables::built_in();
        let environment = Environment { catalogue: &catalogue, tables, today: TRIAL_DAY };
        steps(&Model::new(&design, environment), &[])
    }

    fn at(steps: &[ChecklistStep], words: &str) -> Option<usize> {
        steps.iter().position(|s| s.text.contains(words))
    }

    #[test]
    fn the_motor_igniter_is_last_in_and_first_out() {
        for name in ["dual_deployment", "motor_ejection"] {
            let all = of(name, str::to_owned);
            let pad: Vec<&ChecklistStep> = all.iter().filter(|s| s.group == Moment::AtThePad).collect();
            let joined = pad.iter().position(|s| s.text.starts_with("Last of all")).unwrap_or(usize::MAX);
            assert_eq!(joined + 2, pad.len(), "only going back comes after the igniter");
            let back: Vec<&ChecklistStep> =
                all.iter().filter(|s| s.group == Moment::IfItDoesNotFly).collect();
            let out = back.iter().position(|s| s.text.contains("igniter out")).unwrap_or(usize::MAX);
            assert!(back.iter().skip(out + 1).all(|s| !s.text.contains("motor's igniter")));
            assert!(back.iter().take(out).all(|s| !s.text.contains("Switch off")));
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

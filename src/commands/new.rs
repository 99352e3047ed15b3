//! `holdpoint new`: a starter design whose structure is there and whose numbers wait for the builder.

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::PathBuf;

use super::{Invocation, Output};
use crate::design::{
    Design, altimeter, attachment, coupler, fastening, fins, harness, igniter, lid, motor, nose_cone,
    parachute, rail_button, ring, rocket, rods, switch, tube, vent,
};
use crate::engineering::motors;
use crate::quantity::{Dimension, Quantity, System, unit_of};
use crate::tables::Tables;
use crate::text::{Source, clean_line, scalar_text};
use crate::vocabulary::{AnyKey, Entity, EntityId, Field, Need, Shape, State, Value};
use clap::Args;

crate::words! {
    /// How the rocket comes apart.
    pub enum Deployment {
        /// A drogue at apogee and a main low down, by two altimeters.
        Dual = "dual",
        /// One parachute at apogee, by two altimeters.
        Single = "single",
        /// One parachute, by the motor's own charge.
        MotorEjection = "motor-ejection",
    }
}

/// Write a starter design: the structure is there, and the numbers wait for you
///
/// On a terminal it asks for what no flag says.
#[derive(Args, Clone, Debug)]
pub struct NewOptions {
    /// The file to write, `….rocket.yaml`, which must not be there yet; `-` prints it
    pub file: PathBuf,
    /// What the rocket is called
    #[arg(long)]
    pub name: Option<String>,
    /// How it comes apart
    #[arg(long, value_enum)]
    pub deployment: Option<Deployment>,
    /// Outside diameter of the body, with its unit
    #[arg(long, value_name = "LENGTH")]
    pub diameter: Option<String>,
    /// Diameter of the motor, with its unit
    #[arg(long, value_name = "LENGTH")]
    pub motor_diameter: Option<String>,
    /// The class of the motor, a letter
    #[arg(long, value_name = "LETTER")]
    pub motor_class: Option<String>,
}

const DUAL: &str = include_str!("starters/dual.yaml");
const SINGLE: &str = include_str!("starters/single.yaml");
const MOTOR_EJECTION: &str = include_str!("starters/motor_ejection.yaml");

/// What the options say, and what a person at a terminal answered besides.
struct Answers {
    name: Option<String>,
    deployment: Deployment,
    diameter: Option<String>,
    motor_diameter: Option<String>,
    motor_class: Option<String>,
}

/// Writes a starter design.
pub(super) fn new(options: &NewOptions, invocation: &Invocation<'_>) -> Output {
    let ask = |given: &Option<String>, question| given.clone().or_else(|| (invocation.ask)(question));
    // Dual where a person does not choose, and where no person is.
    let deployment = options
        .deployment
        .or_else(|| {
            let ways = Deployment::WORDS.join(", ");
            Deployment::of(&(invocation.ask)(&format!("How does it come apart: {ways}?"))?.to_lowercase())
        })
        .unwrap_or(Deployment::Dual);
    let answers = Answers {
        name: ask(&options.name, "What is it called?"),
        deployment,
        diameter: ask(&options.diameter, "Outside diameter of the body (like 98 mm or 4.02 in)?"),
        motor_diameter: ask(&options.motor_diameter, "Diameter of the motor (like 54 mm)?"),
        motor_class: ask(&options.motor_class, "Class of the motor (a letter, like K)?"),
    };
    let text = match starter(&answers) {
        Ok(text) => text,
        Err(complaint) => return Output::failed(format!("{complaint}\n")),
    };
    if options.file.as_os_str() == "-" {
        return Output { report: text, ..Output::default() };
    }
    let name = options.file.to_string_lossy().into_owned();
    let shown = clean_line(&name).into_owned();
    if !(name.ends_with(".rocket.yaml") || name.ends_with("rocket.yaml")) {
        return Output::failed(format!(
            "{shown}: a design is called `….rocket.yaml`, so that it is found in its folder\n"
        ));
    }
    // Never over a file that is there: it may be someone's rocket.
    let made = std::fs::File::options().write(true).create_new(true).open(&options.file);
    if let Err(error) = made.and_then(|mut file| file.write_all(text.as_bytes())) {
        return Output::failed(format!("{shown}: {error}\n"));
    }
    let report = format!(
        "{shown} is written: fill in its numbers from the parts in hand, and review it as often as you like\n  holdpoint review {shown}\n"
    );
    Output { report, ..Output::default() }
}

fn starter(options: &Answers) -> Result<String, String> {
    let outline = match options.deployment {
        Deployment::Dual => DUAL,
        Deployment::Single => SINGLE,
        Deployment::MotorEjection => MOTOR_EJECTION,
    };
    let outline = filled(outline, "DIAMETER", length(options.diameter.as_deref(), "--diameter")?.as_deref());
    let outline =
        filled(&outline, "MOTOR", length(options.motor_diameter.as_deref(), "--motor-diameter")?.as_deref());
    let design = Design::read(Source::new("starter", outline), Tables::built_in());
    if let Some(problem) = design.problems.first() {
        return Err(format!("the starter cannot be read: {}", problem.message));
    }
    let root = design.store.root();
    let entity = design.store.get(root).ok_or("the starter is empty")?;
    let mut text = String::from(HEAD);
    let class = options.motor_class.as_deref().map(class_of).transpose()?;
    let name = options.name.as_deref().map(scalar).transpose()?;
    let given = options.diameter.as_deref().and_then(|text| Quantity::read(text.trim()).ok());
    let system = given.map_or(System::Unknown, |quantity| quantity.style.system);
    let by_motor = options.deployment == Deployment::MotorEjection;
    Writer { design: &design, text: &mut text, name, class, system, by_motor }.entity(root, entity, 0);
    Ok(text)
}

/// What may be left out, and what most rockets have: asked for beside what is expected.
const ALSO: &[AnyKey] = &[
    nose_cone::wall.any(),
    nose_cone::material.any(),
    tube::material.any(),
    coupler::material.any(),
    lid::recess.any(),
    attachment::thread.any(),
    attachment::locked.any(),
    attachment::backing.any(),
    rods::thread.any(),
    rods::material.any(),
    vent::spaced.any(),
    fins::material.any(),
    fins::fillet_radius.any(),
    rail_button::thread.any(),
    rail_button::clock.any(),
    rail_button::width.any(),
    rail_button::height.any(),
    ring::material.any(),
    fastening::count.any(),
    fastening::thread.any(),
    fastening::at.any(),
    parachute::diameter.any(),
    harness::material.any(),
    altimeter::main_height.any(),
    altimeter::apogee_delay.any(),
    switch::kind.any(),
    switch::turn.any(),
    igniter::resistance.any(),
    igniter::all_fire.any(),
];

const HEAD: &str = "\
# A starter: the structure is a usual one, the numbers are yours. Take the `# ` from a line and write the value in, from the part in hand;
# rename, add and take away parts as your rocket has them. What is not written down is shown as not proven, and never passed.
# `holdpoint review` may be asked at any time, `holdpoint review --before bonding` about what is due by then.
";

/// The outline with a word filled in, or the fields that have it taken out.
fn filled(outline: &str, word: &str, value: Option<&str>) -> String {
    match value {
        Some(value) => outline.replace(word, value),
        None => ["outer_diameter", "diameter"].iter().fold(outline.to_owned(), |text, key| {
            text.replace(&format!("{key}: {word}, "), "").replace(&format!("{key}: {word}"), "")
        }),
    }
}

/// A length as it was given, if it is one.
fn length(given: Option<&str>, flag: &str) -> Result<Option<String>, String> {
    let Some(given) = given else { return Ok(None) };
    match Quantity::read(given.trim()) {
        Ok(Quantity { dimension: Dimension::LENGTH, si, .. }) if si > 0.0 => {
            Ok(Some(given.trim().to_owned()))
        }
        Ok(_) => Err(format!(
            "{flag} `{}` is no length above zero: write it like `98 mm` or `4 in`",
            clean_line(given)
        )),
        Err(problem) => Err(format!("{flag} `{}`: {problem}", clean_line(given))),
    }
}

/// The class of a motor and the total impulse that it spans, as a remark.
fn class_of(letter: &str) -> Result<String, String> {
    let letter = letter.trim().to_uppercase();
    let (from, to) = motors::class_range(&letter)
        .ok_or_else(|| format!("`{}` is no class of motor: a letter from A to O", clean_line(&letter)))?;
    Ok(format!("class {letter} is above {:.0} N·s and up to {:.0} N·s", from.si(), to.si()))
}

/// A text as a YAML scalar on one line.
fn scalar(text: &str) -> Result<String, String> {
    if clean_line(text) != text {
        return Err(
            "a name is plain text: no control characters, and none that turn the writing round".to_owned()
        );
    }
    Ok(scalar_text(text))
}

struct Writer<'a> {
    design: &'a Design,
    text: &'a mut String,
    name: Option<String>,
    class: Option<String>,
    system: System,
    by_motor: bool,
}

impl Writer<'_> {
    /// An entity's fields: those of the outline as they are, those that are expected and not there as remarks.
    fn entity(&mut self, id: EntityId, entity: &Entity, depth: usize) {
        let indent = "  ".repeat(depth);
        for (slot, field) in entity.entity_type.fields.iter().enumerate() {
            let Ok(slot) = u16::try_from(slot) else { continue };
            // What comes with a part by itself is never written.
            if field.need == Need::Implied {
                continue;
            }
            let written = entity.slot(slot);
            match &written.state {
                State::Known(Value::Entity(part)) if matches!(field.shape, Shape::One(_)) => {
                    self.heading(field, depth);
                    let _ = writeln!(self.text, "{indent}{}:", field.name);
                    self.inside(*part, depth + 1);
                }
                State::Known(Value::Entities(parts)) if matches!(field.shape, Shape::Many(_)) => {
                    self.heading(field, depth);
                    let _ = writeln!(self.text, "{indent}{}:", field.name);
                    for part in parts.iter() {
                        let name =
                            self.design.store.get(*part).map(|e| e.name.to_string()).unwrap_or_default();
                        let _ = writeln!(self.text, "{indent}  {name}:");
                        self.inside(*part, depth + 2);
                    }
                }
                State::Absent | State::Wrong if self.asks(id, entity, slot, field) => {
                    let hint = hint(field, self.system);
                    let _ = writeln!(self.text, "{indent}# {}:   {}{hint}", field.name, field.about());
                    if field.name == "total_impulse"
                        && let Some(class) = &self.class
                    {
                        let _ = writeln!(self.text, "{indent}#   {class}");
                    }
                }
                State::Absent | State::Wrong => {}
                State::None | State::Known(_) => {
                    let value =
                        written.place.map(|place| self.design.source.slice(place)).unwrap_or_default();
                    let _ = writeln!(self.text, "{indent}{}: {value}", field.name);
                    if id == self.design.store.root()
                        && field.name == "holdpoint"
                        && let Some(name) = &self.name
                    {
                        let _ = writeln!(self.text, "name: {name}");
                    }
                }
            }
        }
    }

    /// Whether a field that is not written is put before the builder.
    fn asks(&self, id: EntityId, entity: &Entity, slot: u16, field: &Field) -> bool {
        // The scales come last, when there is a rocket to lay on them.
        let later = id == self.design.store.root() && slot == rocket::measured.slot;
        let key = AnyKey { entity_type: entity.entity_type, slot };
        let delay = key == motor::delay.any() && self.by_motor;
        let also = ALSO.contains(&key);
        (field.need == Need::Expected && !later) || also || delay
    }

    fn heading(&mut self, field: &Field, depth: usize) {
        if depth == 0 {
            let _ = write!(self.text, "\n# {}\n", field.about());
        }
    }

    fn inside(&mut self, id: EntityId, depth: usize) {
        // The outline of the starter is a few levels deep, and no entity holds itself.
        if let Some(entity) = self.design.store.get(id) {
            self.entity(id, entity, depth);
        }
    }
}

/// How a value of a field is written.
fn hint(field: &Field, system: System) -> String {
    match field.shape {
        Shape::Measure(dimension, _) => {
            unit_of(dimension, system).map(|unit| format!(" (like 1 {unit})")).unwrap_or_default()
        }
        Shape::Count(_) => " (a count)".to_owned(),
        Shape::Truth => " (true or false)".to_owned(),
        Shape::Date => " (year-month-day)".to_owned(),
        Shape::Word(words) => format!(" (one of {})", words.join(", ")),
        Shape::Position if system == System::Metric => " (like 50 mm from aft)".to_owned(),
        Shape::Position => " (like 2 in from aft)".to_owned(),
        Shape::Curve(..) => " (pairs, like [[0 s, 0 N], [0.1 s, 500 N]])".to_owned(),
        Shape::Refers(_) => " (by its name)".to_owned(),
        _ => String::new(),
    }
}

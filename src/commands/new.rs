//! `holdpoint new`: a short starter: the structure of a usual rocket, and the values that are due first.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use clap::Args;

use super::deployment::Deployment;
use super::invocation::{Invocation, Output};
use super::next::{
    Answers, Examples, Growth, Portion, granted_line, in_order, light, outline, portioned, ways_on,
};
use super::writing::not_written;
use crate::design::{ROCKET, rocket};
use crate::engineering::motors;
use crate::quantity::{Dimension, Measure, Quantity, System};
use crate::rules::{HoldPoint, Library};
use crate::vocabulary::{NOT_KNOWN, Shape, Words, suggest};
use crate::yaml::{clean_line, scalar_text};

crate::words! {
    /// What the kit is made of.
    enum Kit {
        /// Tubes of cardboard, fins and rings of plywood.
        Paper = "paper",
        /// Tubes, fins and rings of fibreglass.
        Glass = "glass",
    }
}

/// A body wider than this, in metres, was given in the wrong unit.
const WIDEST: f64 = 0.7;

/// Write a short starter: the structure is there, and the values that are due first wait for you
///
/// On a terminal it asks for what no flag says, one question after the other. What later steps need is added by `holdpoint next`.
#[derive(Args, Clone, Debug)]
pub struct NewOptions {
    /// The file to write, `….rocket.yaml`, which must not be there yet; `-` prints it
    pub file: PathBuf,
    /// Write a rule pack of this name instead, with one rule and its trials
    #[arg(long, value_name = "NAME")]
    pub pack: Option<String>,
    /// What the rocket is called
    #[arg(long)]
    pub name: Option<String>,
    /// What the kit is made of: paper (cardboard tubes, plywood) or glass (fibreglass)
    #[arg(long, value_name = "WORD")]
    pub kit: Option<String>,
    /// Outside diameter of the body, with its unit
    #[arg(long, value_name = "LENGTH")]
    pub diameter: Option<String>,
    /// Diameter of the motor, with its unit
    #[arg(long, value_name = "LENGTH")]
    pub motor_diameter: Option<String>,
    /// The class of the motor, a letter
    #[arg(long, value_name = "LETTER")]
    pub motor_class: Option<String>,
    /// How it comes apart
    #[arg(long, value_enum)]
    pub deployment: Option<Deployment>,
    /// The certification that is sought: nothing, level 1, level 2, level 3 or student launch
    #[arg(long, value_name = "WORDS")]
    pub seeks: Option<String>,
}

/// Writes a starter design.
pub(super) fn new(options: &NewOptions, invocation: &Invocation<'_>) -> Output {
    if let Some(name) = &options.pack {
        return super::new_pack::new_pack(name, &options.file);
    }
    match started(options, invocation) {
        Ok(report) => Output { report, ..Output::default() },
        Err(complaint) => Output::failed(format!("{complaint}\n")),
    }
}

fn started(options: &NewOptions, invocation: &Invocation<'_>) -> Result<String, String> {
    let printed = options.file.as_os_str() == "-";
    let shown = clean_line(&options.file.to_string_lossy()).into_owned();
    if !printed {
        may_be_written(&options.file, &shown)?;
    }
    // Flags are checked before anything is asked.
    let flag = |given: &Option<String>, name: &str, check: &dyn Fn(&str) -> Result<String, String>| {
        let checked = given.as_deref().map(check).transpose();
        checked.map_err(|why| format!("{name}: {why}"))
    };
    let name = flag(&options.name, "--name", &plain_name)?;
    let kit = options.kit.as_deref().map(kit_of).transpose().map_err(|why| format!("--kit: {why}"))?;
    let diameter = flag(&options.diameter, "--diameter", &body_diameter)?;
    let fits = |body: &Option<String>, text: &str| fitting(body.as_deref(), text);
    let motor = flag(&options.motor_diameter, "--motor-diameter", &|text| fits(&diameter, text))?;
    let seeks = flag(&options.seeks, "--seeks", &certification)?;
    let class = options.motor_class.as_deref().map(class_of).transpose()?;
    let ask = invocation.ask;
    let name = name.or_else(|| asked(ask, "What is the rocket called?", plain_name));
    let kit = kit.or_else(|| asked(ask, &format!("What is the kit made of?{}", choices::<Kit>()), kit_of));
    let diameter = diameter.or_else(|| {
        asked(ask, "Outside diameter of the body, as measured, like 78 mm or 4.02 in?", |text| {
            let body = body_diameter(text)?;
            motor.as_deref().map_or(Ok(()), |motor| fitting(Some(&body), motor).map(|_| ()))?;
            Ok(body)
        })
    });
    let motor =
        motor.or_else(|| asked(ask, "Diameter of the motor, like 38 mm?", |text| fits(&diameter, text)));
    let question = format!("How does it come apart?{}", choices::<Deployment>());
    // With two altimeters where a person does not choose, and where no person is.
    let said = options.deployment.or_else(|| asked(ask, &question, chosen::<Deployment>));
    let deployment = said.unwrap_or(Deployment::Dual);
    let question = format!("Which certification is sought: {}?", certifications().join(", "));
    let seeks = seeks.or_else(|| asked(ask, &question, certification));
    let answers = Answers {
        diameter: diameter.clone(),
        motor,
        materials: match kit {
            Some(Kit::Paper) => [Some("cardboard"), Some("plywood"), None],
            Some(Kit::Glass) => [Some("fibreglass"); 3],
            None => [None; 3],
        },
    };
    let given = diameter.and_then(|text| Quantity::read(&text).ok());
    let system = given.map_or(System::Unknown, |quantity| quantity.style.system);
    let trade_size = given.is_some_and(is_trade_size);
    let text = starter(&head(name, seeks, class, system), deployment, &answers, system, invocation);
    if printed {
        return Ok(text);
    }
    // Never over a file that is there: it may be someone's rocket.
    let made = std::fs::File::options().write(true).create_new(true).open(&options.file);
    made.and_then(|mut file| file.write_all(text.as_bytes())).map_err(|error| not_written(&shown, &error))?;
    let values = text.lines().filter(|line| line.contains(": unknown   #")).count();
    let granted = crate::design::granted_lines(&text);
    let called = match answers.diameter.as_deref() {
        Some(size) if trade_size => format!(
            "  tubes are called by {}, mostly after their inside: measure across the outside, and correct each `outer_diameter`\n",
            clean_line(size)
        ),
        _ => String::new(),
    };
    let assumed = match said {
        Some(_) => String::new(),
        None => format!(
            "  laid out as `--deployment {}`, since nobody said another: {}\n",
            deployment.word(),
            deployment.meaning().trim().trim_end_matches('.').to_lowercase()
        ),
    };
    Ok(format!(
        "{shown} is written. It asks for {values} values first, what a calliper measures: write each in place of `unknown`\n{assumed}{called}{}{}",
        granted_line(granted),
        ways_on(&shown, HoldPoint::Parts)
    ))
}

/// Whether a file of this name may be written: at once, before any question.
fn may_be_written(file: &Path, shown: &str) -> Result<(), String> {
    if !file.to_string_lossy().ends_with("rocket.yaml") {
        return Err(format!(
            "{shown}: a design is called `….rocket.yaml`, so that it is found in its folder"
        ));
    }
    if file.symlink_metadata().is_ok() {
        return Err(format!(
            "{shown} exists, and nothing is written over it: choose another name, or go on with `holdpoint next {shown}`"
        ));
    }
    match file.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        Some(folder) if !folder.is_dir() => {
            Err(format!("{shown}: there is no folder {}", clean_line(&folder.to_string_lossy())))
        }
        _ => Ok(()),
    }
}

/// Asks until an answer makes sense; none where a person gives none, or says with `?` that it is not known yet.
fn asked<T>(
    ask: fn(&str) -> Option<String>,
    question: &str,
    check: impl Fn(&str) -> Result<T, String>,
) -> Option<T> {
    let mut now = question.to_owned();
    loop {
        let answer = ask(&now)?;
        if matches!(answer.trim(), "?" | NOT_KNOWN) {
            return None;
        }
        match check(answer.trim()) {
            Ok(answer) => return Some(answer),
            Err(why) => now = format!("{why}\n{question}"),
        }
    }
}

/// The words that may be chosen, a line each with what it means.
fn choices<W: Words>() -> String {
    let wide = W::WORDS.iter().map(|word| word.len()).max().unwrap_or_default();
    let line = |one: &W| format!("\n  {:<wide$}  {}", one.word(), one.meaning().trim());
    W::ALL.iter().map(line).collect::<String>() + "\n "
}

/// Words of an answer that tell nothing apart.
const FILLING: &[&str] = &["a", "and", "as", "at", "by", "for", "is", "my", "of", "the", "with"];

/// The word that was meant; its beginning is enough where only one word begins so, and so are words that only one has or is explained by.
fn chosen<W: Words>(given: &str) -> Result<W, String> {
    let word = given.to_lowercase().replace([' ', '_'], "-");
    let begins: Vec<W> = W::ALL.iter().copied().filter(|one| one.word().starts_with(&word)).collect();
    match (W::ALL.iter().find(|one| one.word() == word), begins.as_slice()) {
        (Some(exact), _) => return Ok(*exact),
        (None, [only]) => return Ok(*only),
        _ => {}
    }
    let told: Vec<W> = W::ALL
        .iter()
        .copied()
        .filter(|one| tells(given, &format!("{} {}", one.word(), one.meaning())))
        .collect();
    match (told.as_slice(), suggest(&word, W::WORDS.iter().copied())) {
        ([only], _) => Ok(*only),
        ([_, _, ..], _) => {
            let all: Vec<&str> = told.iter().map(|one| one.word()).collect();
            Err(format!("`{}` fits {}: which is it?", clean_line(given), all.join(" and ")))
        }
        (_, Some(near)) => Err(format!("`{}` is none of these: did you mean `{near}`?", clean_line(given))),
        _ => Err(format!("`{}` is none of {}", clean_line(given), W::WORDS.join(", "))),
    }
}

/// Whether every telling word of an answer stands in a text.
fn tells(answer: &str, text: &str) -> bool {
    let words = |of: &str| -> Vec<String> {
        let split =
            of.split(|c: char| !c.is_alphanumeric()).map(|word| word.trim_end_matches('s').to_lowercase());
        split.filter(|word| !word.is_empty() && !FILLING.contains(&&**word)).collect()
    };
    let (asked, known) = (words(answer), words(text));
    !asked.is_empty() && asked.iter().all(|word| known.contains(word))
}

/// The certifications that a design may seek.
fn certifications() -> &'static [&'static str] {
    match ROCKET.field(rocket::seeks.slot).map(|field| &field.shape) {
        Some(Shape::Word(words)) => words,
        _ => &[],
    }
}

fn certification(text: &str) -> Result<String, String> {
    let words = certifications();
    let text = text.trim().to_lowercase();
    let level = format!("level {}", text.trim_start_matches(['l', ' ']));
    match words.iter().find(|word| **word == text || **word == level) {
        Some(word) => Ok((*word).to_owned()),
        None => Err(format!("`{}` is none of {}", clean_line(&text), words.join(", "))),
    }
}

/// What the kit is made of, also by the names of the materials.
fn kit_of(word: &str) -> Result<Kit, String> {
    match word.trim().to_lowercase().as_str() {
        "cardboard" | "card" | "wood and paper" => Ok(Kit::Paper),
        "fibreglass" | "fiberglass" | "g10" | "g12" => Ok(Kit::Glass),
        other => chosen::<Kit>(other),
    }
}

/// The diameter of a body as it was given, if one of these rockets can be as wide.
fn body_diameter(given: &str) -> Result<String, String> {
    let text = length(given)?;
    match si(&text) {
        Some(across) if across > WIDEST => Err(format!(
            "a body {} across is wider than any that this is for: is the unit right?",
            clean_line(&text)
        )),
        _ => Ok(text),
    }
}

/// The diameter of a motor as it was given, if it goes into a body of this one.
fn fitting(body: Option<&str>, given: &str) -> Result<String, String> {
    let text = length(given)?;
    match body.map(|body| (body, si(body), si(&text))) {
        Some((body, Some(outside), Some(motor))) if motor >= outside => Err(format!(
            "a motor {} across does not go into a body {} across",
            clean_line(&text),
            clean_line(body)
        )),
        _ => Ok(text),
    }
}

fn si(length: &str) -> Option<f64> {
    Measure::read(length, Dimension::LENGTH).ok().map(|measure| measure.nominal.si)
}

/// Whether a diameter is one that tubes are called by. Source: common practice, in millimetres after the motor that goes in, in inches
/// by whole ones; from memory.
fn is_trade_size(diameter: Quantity) -> bool {
    let called = |unit: f64, sizes: &[f64]| sizes.iter().any(|size| (diameter.si / unit - size).abs() < 1e-6);
    called(1e-3, &[29.0, 38.0, 54.0, 75.0, 98.0]) || called(0.0254, &[2.0, 3.0, 4.0, 5.0, 6.0, 8.0])
}

/// A length as it was given, if it is one.
fn length(given: &str) -> Result<String, String> {
    let shown = clean_line(given);
    match Measure::read(given.trim(), Dimension::LENGTH) {
        Ok(Measure { nominal, tolerance: None }) if nominal.si > 0.0 => Ok(given.trim().to_owned()),
        Ok(_) => Err(format!("`{shown}` is no length above zero: write it like `98 mm` or `4 in`")),
        Err(problem) => {
            let help = problem.help.map(|help| format!("; {help}")).unwrap_or_default();
            Err(format!("{}{help}", clean_line(&problem.message)))
        }
    }
}

/// The class of a motor and the total impulse that it spans, as a remark.
fn class_of(letter: &str) -> Result<String, String> {
    let letter = letter.trim().to_uppercase();
    let (from, to) = motors::class_range(&letter)
        .ok_or_else(|| format!("`{}` is no class of motor: a letter from A to O", clean_line(&letter)))?;
    Ok(format!("class {letter} is above {:.0} N·s and up to {:.0} N·s", from.si(), to.si()))
}

/// A name as a YAML scalar on one line.
fn plain_name(text: &str) -> Result<String, String> {
    if clean_line(text) != text {
        return Err(
            "a name is plain text: no control characters, and none that turn the writing round".to_owned()
        );
    }
    Ok(scalar_text(text))
}

const HEAD: &str = "\
# Write each value in place of `unknown`, from the part in hand; behind the `#` stands what it is, with an example. Rename, add and
# take away parts as your rocket has them. What is unknown is not proven, and never passed.
";

/// What a starter begins with.
fn head(name: Option<String>, seeks: Option<String>, class: Option<String>, system: System) -> String {
    let class = class.map(|words| format!("# The motor: {words}.\n")).unwrap_or_default();
    let name = name.map(|name| format!("name: {name}\n")).unwrap_or_default();
    let seeks = seeks.map(|words| format!("seeks: {words}\n")).unwrap_or_default();
    let units = match system {
        System::Imperial => "units: inch\n",
        System::Metric => "units: metric\n",
        System::Unknown => "",
    };
    format!("{HEAD}{class}holdpoint: 1\n{name}{seeks}{units}")
}

/// The starter: the structure, and what the first step asks for.
fn starter(
    head: &str,
    deployment: Deployment,
    answers: &Answers,
    system: System,
    invocation: &Invocation<'_>,
) -> String {
    let library = Library::built_in();
    let (options, examples) = (light(invocation.today), Examples::of(system));
    let growth = |outline| Growth {
        library: &library,
        options: &options,
        outline,
        examples: &examples,
        step: HoldPoint::Parts,
        portion: Portion::Diameters,
        reasons: false,
        open: 0,
    };
    let structure = portioned(&outline(deployment, answers), Portion::Diameters);
    let asked = growth(&structure).grow("starter", head).added;
    growth(&in_order(&structure, &asked)).grow("starter", head).text
}

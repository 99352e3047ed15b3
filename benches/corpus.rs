//! Writes different designs into a folder, the same for the same seed: `cargo bench --bench corpus -- FOLDER`.
//!
//! Each is one of `examples/`, with values nudged as rockets differ (masses, lengths of tubes, motors, parachutes, wind,
//! the field), in inches or in millimetres, with tolerances in some, under a name and with remarks of its own. A share of
//! them are drafts, of which much is not written down yet.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    clippy::indexing_slicing,
    reason = "a tool of the benches may panic"
)]

use std::path::PathBuf;

use regex::{Captures, Regex};

/// Designs in good order, and the one that is a draft.
const GOOD: [&str; 4] = [
    include_str!("../examples/marsh-harrier.rocket.yaml"),
    include_str!("../examples/sand-martin.rocket.yaml"),
    include_str!("../examples/bittern.rocket.yaml"),
    include_str!("../examples/jack-snipe.rocket.yaml"),
];
const DRAFT: &str = include_str!("../examples/first-draft.rocket.yaml");

const BIRDS: [&str; 12] = [
    "Redshank",
    "Water Rail",
    "Spoonbill",
    "Reed Bunting",
    "Lapwing",
    "Ruff",
    "Avocet",
    "Teal",
    "Garganey",
    "Curlew",
    "Spotted Crake",
    "Osprey",
];
const WORDS: [&str; 8] = [
    "weighed twice on the kitchen scales",
    "by calliper, at three places",
    "from the last rocket; measure again",
    "drilled with the jig",
    "ordered, not here yet",
    "dry fit was good",
    "see the build log",
    "as on the drawing",
];
/// What the author of a draft has not written down yet.
const OPEN: [&str; 24] = [
    "mass",
    "packed_volume",
    "strength",
    "glued",
    "resistance",
    "all_fire",
    "standby_current",
    "wire",
    "free_volume",
    "locked",
    "ends",
    "material",
    "capacity",
    "held",
    "sealed",
    "drag_coefficient",
    "clock",
    "backing",
    "strain_relief",
    "working_load",
    "at",
    "hangs_at",
    "engagement",
    "width",
];

/// Numbers that look like chance and are the same each time: the generator "splitmix64".
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 up to 1.
    fn share(&mut self) -> f64 {
        f64::from(u32::try_from(self.next() >> 32).unwrap()) / 4_294_967_296.0
    }

    fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.share()
    }

    fn one_of<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        let at = (self.share() * of.len() as f64) as usize;
        &of[at.min(of.len() - 1)]
    }
}

/// The patterns, compiled once.
struct Patterns {
    section_tube: Regex,
    mass: Regex,
    site: Regex,
    charge: Regex,
    parachute: Regex,
    curve: Regex,
    table: Regex,
    motor: Regex,
    diameter: Regex,
    measure: Regex,
    entry: Regex,
}

impl Patterns {
    fn new() -> Self {
        let regex = |text| Regex::new(text).unwrap();
        Self {
            section_tube: regex(r"(?m)(^    tube:\s*\{[^}\n]*length: )([\d.]+)( (?:in|mm))"),
            mass: regex(r"(\bmass: )([\d.]+)( (?:oz|g|kg|lb)\b)"),
            site: regex(
                r"(\b(?:site_elevation|wind|temperature|field_across|ceiling): )([\d.]+)( (?:ft|m|mph|m/s|degF|degC)\b)",
            ),
            charge: regex(
                r"(\b(?:capacity|strength|standby_current|length): )([\d.]+)( (?:mAh|lbf|kN|mA|ft|m)\b)",
            ),
            parachute: regex(r"(opens_at: [a-z ]+, diameter: )([\d.]+)( (?:in|mm|m)\b)"),
            curve: regex(r"\[([\d.]+) s, ([\d.]+) N\]"),
            table: regex(r"(?m)^(    [\d.]+, )([\d.]+)$"),
            motor: regex(r"(\b(?:total_impulse|average_thrust): )([\d.]+)( (?:N\*s|N)\b)"),
            diameter: regex(r"(\b(?:outer_diameter|inner_diameter): )([\d.]+)( (?:in|mm))([,}\n])"),
            measure: regex(
                r"([:\[ ])(?:(\d+) )?(\d+(?:\.\d+)?)(?:/(\d+))? (in\^3|in|oz|ft|lbf|mph|degF)([ ,}\]\n#])",
            ),
            entry: regex(r", ([a-z_]+): [^,{}\[\]\n]+"),
        }
    }
}

/// A number with at most so many decimals, and no zeros at its end.
fn short(number: f64, decimals: usize) -> String {
    let text = format!("{number:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Each number after a pattern's words times a factor of its own.
fn nudge(text: &str, pattern: &Regex, mut factor: impl FnMut() -> f64) -> String {
    let nudged = |c: &Captures<'_>| {
        let number: f64 = c[2].parse().unwrap();
        format!("{}{}{}", &c[1], short(number * factor(), 3), c.get(3).map_or("", |m| m.as_str()))
    };
    pattern.replace_all(text, nudged).into_owned()
}

/// In metric units what was in inches, ounces and feet.
fn metric(text: &str, patterns: &Patterns) -> String {
    let turned = |c: &Captures<'_>| {
        let mut number: f64 = c[3].parse().unwrap();
        if let Some(below) = c.get(4) {
            number /= below.as_str().parse::<f64>().unwrap();
        }
        if let Some(whole) = c.get(2) {
            number += whole.as_str().parse::<f64>().unwrap();
        }
        let (number, unit, decimals) = match &c[5] {
            "in^3" => (number * 16.387_064, "cm^3", 1),
            "in" => (number * 25.4, "mm", 2),
            "oz" => (number * 28.349_523_125, "g", 1),
            "ft" => (number * 0.3048, "m", 2),
            "lbf" => (number * 4.448_221_6, "N", 0),
            "mph" => (number * 0.44704, "m/s", 2),
            _ => ((number - 32.0) / 1.8, "degC", 1),
        };
        format!("{}{} {unit}{}", &c[1], short(number, decimals), &c[6])
    };
    text.lines()
        .map(|line| {
            // Two measures in a row share the blank between them, so each line is read twice.
            let whole = format!("{line}\n");
            let once = patterns.measure.replace_all(&whole, turned).into_owned();
            patterns.measure.replace_all(&once, turned).into_owned()
        })
        .collect()
}

/// A design as its author left it.
fn design(number: usize, is_draft: bool, chance: &mut Chance, patterns: &Patterns) -> String {
    let base = if is_draft && chance.share() < 0.5 { DRAFT } else { *chance.one_of(&GOOD) };
    let mut text = base.to_owned();
    let stretch = chance.between(0.97, 1.06);
    text = nudge(&text, &patterns.section_tube, || stretch);
    let scale = chance.between(0.96, 1.05);
    text = nudge(&text, &patterns.mass, || scale * chance.between(0.98, 1.02));
    text = nudge(&text, &patterns.site, || chance.between(0.75, 1.15));
    text = nudge(&text, &patterns.charge, || chance.between(0.95, 1.2));
    text = nudge(&text, &patterns.parachute, || chance.between(0.97, 1.05));
    let thrust = chance.between(0.95, 1.05);
    text = nudge(&text, &patterns.motor, || thrust);
    text = nudge(&text, &patterns.table, || thrust);
    let at =
        |c: &Captures<'_>| format!("[{} s, {} N]", &c[1], short(c[2].parse::<f64>().unwrap() * thrust, 1));
    text = patterns.curve.replace_all(&text, at).into_owned();
    if chance.share() < 0.3 {
        let stated = |c: &Captures<'_>| {
            // Who states tolerances does so for the parts that they had in hand.
            if chance.share() > 0.15 {
                return c[0].to_owned();
            }
            let tolerance = if &c[3] == " in" { "0.004" } else { "0.1" };
            format!("{}{} ± {tolerance}{}{}", &c[1], &c[2], &c[3], &c[4])
        };
        text = patterns.diameter.replace_all(&text, stated).into_owned();
    }
    if chance.share() < 0.5 {
        text = metric(&text, patterns);
    }
    if is_draft {
        let share = chance.between(0.1, 0.5);
        let open = |c: &Captures<'_>| {
            if OPEN.contains(&&c[1]) && chance.share() < share { String::new() } else { c[0].to_owned() }
        };
        text = patterns.entry.replace_all(&text, open).into_owned();
    }
    let name = format!("{} {number}", chance.one_of(&BIRDS));
    let mut out = String::new();
    for line in text.lines() {
        if line.starts_with("name:") {
            out.push_str(&format!("name: {name}\n"));
            continue;
        }
        out.push_str(line);
        if !line.contains('#') && line.ends_with([':', '}']) && chance.share() < 0.06 {
            out.push_str(&format!("  # {}", chance.one_of(&WORDS)));
        }
        out.push('\n');
    }
    out
}

fn main() {
    let (mut designs, mut seed, mut drafts) = (1_000_usize, 1_u64, 0.2_f64);
    let mut folder = None;
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        let mut value = || arguments.next().expect("a value is due after the flag");
        match argument.as_str() {
            "--designs" => designs = value().parse().expect("a number of designs"),
            "--seed" => seed = value().parse().expect("a seed: a whole number"),
            "--drafts" => drafts = value().parse().expect("the share of drafts: 0 to 1"),
            // Cargo says so to every bench.
            "--bench" => {}
            path => folder = Some(PathBuf::from(path)),
        }
    }
    let Some(folder) = folder else {
        println!("corpus FOLDER [--designs 1000] [--seed 1] [--drafts 0.2]");
        return;
    };
    let patterns = Patterns::new();
    let mut chance = Chance(seed);
    for number in 0..designs {
        // A hundred to a folder, as designs lie in folders of their own.
        let within = folder.join(format!("{:03}", number / 100));
        std::fs::create_dir_all(&within).expect("the folder can be made");
        let is_draft = chance.share() < drafts;
        let mut own = Chance(chance.next());
        let text = design(number, is_draft, &mut own, &patterns);
        std::fs::write(within.join(format!("{number:05}.rocket.yaml")), text)
            .expect("the design can be written");
    }
}

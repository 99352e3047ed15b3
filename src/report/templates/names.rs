//! What marks and parts are called, and what is left out.

use crate::model::DrilledPart;
use crate::quantity::{Angle, Length};
use crate::report::reading::Reading;

/// Something that is not drawn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// What.
    pub what: String,
    /// Why, with the keys that are missing.
    pub why: String,
}

/// A wall longer or wider than this is drawn on no paper, mm.
pub(super) const LARGEST: f64 = 4000.0;
/// Millimetres in a metre.
pub(super) const MM: f64 = 1000.0;

/// What a hole is for, short enough to stand beside it.
pub(super) fn short(r: Reading<'_>, line: &DrilledPart) -> String {
    let own = r.name(line.owner);
    let of = r.model.entity(line.owner).and_then(|one| one.parent).map(|one| r.name(one));
    let of = of.unwrap_or_default();
    match line.purpose {
        "shear pins" => format!("shear pin, {of}"),
        "screws" => format!("screw, {of}"),
        "vents" => format!("vent {own}"),
        "switch access" => format!("switch {of}"),
        "rods" | "eye" => line.purpose.to_owned(),
        purpose => format!("{purpose} {own}"),
    }
}

/// An angle in degrees, to a tenth.
pub(super) fn degrees(angle: Angle) -> f64 {
    let turn = (angle.si().to_degrees() * 10.0).round() / 10.0;
    turn.rem_euclid(360.0)
}

/// A length of so many millimetres in the author's unit.
pub(super) fn shown(r: Reading<'_>, mm: f64) -> String {
    r.length(Length::from_si(mm / MM).si())
}

/// A part of a file's name: small letters, digits and dashes, whatever the path has.
pub(super) fn slug(path: &str) -> String {
    let mut found = String::new();
    for letter in path.chars().take(60) {
        match letter.to_ascii_lowercase() {
            plain if plain.is_ascii_alphanumeric() => found.push(plain),
            _ if found.ends_with('-') || found.is_empty() => {}
            _ => found.push('-'),
        }
    }
    let found = found.trim_end_matches('-');
    if found.is_empty() { "part".to_owned() } else { found.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::slug;

    #[test]
    fn a_name_leads_nowhere_else() {
        assert_eq!(slug("booster.motor_mount.rings.fore"), "booster-motor-mount-rings-fore");
        assert_eq!(slug("../../etc/passwd\u{0}"), "etc-passwd");
        assert_eq!((slug("…").as_str(), slug("Ärmel").as_str()), ("part", "rmel"));
    }
}

//! Motors: class letters, and what designations say.

use super::{Unworkable, above_zero};
use crate::quantity::{Force, Impulse, Time};

/// The highest impulse of each class from 1/8A (up to 0.3125 N s) on: each twice the one before.
const CLASSES: [&str; 18] =
    ["1/8A", "1/4A", "1/2A", "A", "B", "C", "D", "E", "F", "G", "H", "I", "J", "K", "L", "M", "N", "O"];

/// Class of a motor by its total impulse: A up to 2.5 N s, each letter up to twice the one before, to O at 40 960 N s; 1/2A,
/// 1/4A, 1/8A below A.
///
/// Source: table of motor classes after NFPA 1125 (the standard itself from memory).
///
/// # Errors
/// An impulse that is not above zero, or beyond O, which is more than a high-power rocket may carry.
pub fn class(impulse: Impulse) -> Result<&'static str, Unworkable> {
    let it = above_zero("the total impulse", impulse.si())?;
    let mut most = 0.3125;
    for name in CLASSES {
        if it <= most {
            return Ok(name);
        }
        most *= 2.0;
    }
    Err(Unworkable::because("the total impulse is beyond class O"))
}

/// The total impulses that a class spans, above the first and up to the second; `None` for what is no class.
///
/// Source: as of [`class`].
#[must_use]
pub fn class_range(name: &str) -> Option<(Impulse, Impulse)> {
    let place = CLASSES.iter().position(|class| *class == name)?;
    let most = 0.3125 * 2.0_f64.powi(i32::try_from(place).ok()?);
    Some((Impulse::from_si(if place == 0 { 0.0 } else { most / 2.0 }), Impulse::from_si(most)))
}

/// Level of certification that a total impulse asks of the flyer: 1 for H and I, 2 for J to L, 3 for M to O, none up to G.
///
/// A motor of class G can be high power for another reason (thrust, sparks, propellant mass), which the impulse does not show.
/// Source: the certification rules of the hobby's national associations.
///
/// # Errors
/// Those of [`class`].
pub fn certification_level(impulse: Impulse) -> Result<Option<u8>, Unworkable> {
    Ok(match class(impulse)? {
        "H" | "I" => Some(1),
        "J" | "K" | "L" => Some(2),
        "M" | "N" | "O" => Some(3),
        _ => None,
    })
}

/// What the designation of a motor says: its class, its average thrust in newtons, its propellant and its delay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Designated<'t> {
    /// Its class.
    pub class: &'static str,
    /// Its average thrust.
    pub average_thrust: Force,
    /// The letters behind the thrust, which stand for the propellant; empty where there are none.
    pub propellant: &'t str,
    /// The delay behind the dash; none where it is plugged, named by a letter or left out.
    pub delay: Option<Time>,
}

impl Designated<'_> {
    /// Whether both designations may be of one motor: delays differ by how a motor is set, and letters are often left out.
    #[must_use]
    pub fn is_same_motor(&self, other: &Designated<'_>) -> bool {
        let named = |one: &Self, other: &Designated<'_>| {
            one.propellant.is_empty()
                || other.propellant.is_empty()
                || one.propellant.eq_ignore_ascii_case(other.propellant)
        };
        self.class == other.class && self.average_thrust == other.average_thrust && named(self, other)
    }
}

/// Reads a designation: a total impulse or nothing, the letter of the class, the average thrust in newtons, letters of the
/// propellant, and the delay behind a dash, as in `K540`, `1500K480-P`, `J375W-14A` or `1/2A3-4`. `None` where it is none.
///
/// Source: common practice of motor designations, after NFPA 1125 (the standard itself from memory).
#[must_use]
pub fn designated(text: &str) -> Option<Designated<'_>> {
    let text = text.trim();
    let fraction = CLASSES.iter().find(|class| class.len() > 1 && text.starts_with(**class));
    let start = match fraction {
        Some(_) => text,
        None => text.trim_start_matches(|c: char| c.is_ascii_digit()),
    };
    let class = fraction.or_else(|| CLASSES.iter().find(|class| start.starts_with(**class)))?;
    let behind = start.get(class.len()..)?;
    let digits = behind.get(..behind.bytes().take_while(u8::is_ascii_digit).count())?;
    let (letters, setting) =
        behind.get(digits.len()..)?.split_once('-').unwrap_or((behind.get(digits.len()..)?, ""));
    let setting = setting.trim();
    let delay = setting.get(..setting.bytes().take_while(u8::is_ascii_digit).count())?;
    let average_thrust = (digits.len() <= 6).then(|| digits.parse().ok()).flatten()?;
    Some(Designated {
        class,
        average_thrust: Force::from_si(average_thrust),
        propellant: letters.trim(),
        delay: delay.parse().ok().map(Time::from_si),
    })
}

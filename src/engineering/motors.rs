//! Motors: class letters, and what designations say.

use super::{Unworkable, above_zero};
use crate::quantity::{Force, Impulse};

/// The highest impulse of each class from 1/8A (up to 0.3125 N s) on: each twice the one before.
const CLASSES: [&str; 18] =
    ["1/8A", "1/4A", "1/2A", "A", "B", "C", "D", "E", "F", "G", "H", "I", "J", "K", "L", "M", "N", "O"];

/// Class of a motor by its total impulse: A up to 2.5 N s, each letter up to twice the one before, to O at 40 960 N s; 1/2A, 1/4A, 1/8A below A.
///
/// Errors: an impulse that is not above zero, or beyond O, which is more than a high-power rocket may carry. Source: table of motor classes
/// after NFPA 1125 (the standard itself from memory).
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
/// A motor of class G can be high power for another reason (thrust, sparks, propellant mass), which the impulse does not show. Errors: those of
/// [`class`]. Source: the certification rules of the hobby's national associations.
pub fn certification_level(impulse: Impulse) -> Result<Option<u8>, Unworkable> {
    Ok(match class(impulse)? {
        "H" | "I" => Some(1),
        "J" | "K" | "L" => Some(2),
        "M" | "N" | "O" => Some(3),
        _ => None,
    })
}

/// What the designation of a motor says: its class, and its average thrust in newtons.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Designated {
    /// Its class.
    pub class: &'static str,
    /// Its average thrust.
    pub average_thrust: Force,
}

/// Reads a designation: a total impulse or nothing, the letter of the class, the average thrust in newtons, and what follows, as in
/// `K540`, `1500K480-P` or `1/2A3-4`. `None` where it is none.
///
/// Source: common practice of motor designations, after NFPA 1125 (the standard itself from memory).
#[must_use]
pub fn designated(text: &str) -> Option<Designated> {
    let text = text.trim_start();
    let fraction = CLASSES.iter().find(|class| class.len() > 1 && text.starts_with(**class));
    let start = match fraction {
        Some(_) => text,
        None => text.trim_start_matches(|c: char| c.is_ascii_digit()),
    };
    let class = fraction.or_else(|| CLASSES.iter().find(|class| start.starts_with(**class)))?;
    let digits: String = start.get(class.len()..)?.chars().take_while(char::is_ascii_digit).take(6).collect();
    Some(Designated { class, average_thrust: Force::from_si(digits.parse().ok()?) })
}

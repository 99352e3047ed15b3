//! Places on a part, measured as with a tape.

use std::sync::Arc;

use crate::quantity::{Dimension, Measure, Quantity, ReadError, Tolerance};

/// One end of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// The end nearer the nose.
    Fore,
    /// The end nearer the motor.
    Aft,
}

/// A place on a part: `2.25 in from aft`, `0.5 in past aft`, `flush with fore`, `3 in from aft of shoulder`.
///
/// For a part that has a length of its own (a ring, a bulkhead) it is the place of the face that the
/// tape meets first.
#[derive(Clone, Debug, PartialEq)]
pub struct Position {
    /// How far; negative when it lies beyond the end (`past`).
    pub distance: Quantity,
    /// The tolerance stated with the distance.
    pub tolerance: Option<Tolerance>,
    /// From which end.
    pub edge: Edge,
    /// Of which part of the section; the section's main body where not said.
    pub of: Option<Arc<str>>,
}

impl Position {
    /// Reads a position.
    ///
    /// # Errors
    /// When it is not of the form `LENGTH from|past fore|aft [of PART]` or `flush with fore|aft [of PART]`.
    pub fn read(text: &str) -> Result<Self, ReadError> {
        let fault = |message: &str, range: std::ops::Range<usize>| ReadError {
            message: message.to_owned(),
            range,
            help: Some(
                "write it as on a tape: `2.25 in from aft`, `0.5 in past aft`, `flush with fore`".to_owned(),
            ),
        };
        let whole = 0..text.len();
        let (head, tail) = if let Some(rest) = text.strip_prefix("flush with ") {
            (None, rest)
        } else if let Some(at) = text.find(" from ") {
            (Some((text.get(..at).unwrap_or(""), 1.0)), text.get(at + 6..).unwrap_or(""))
        } else if let Some(at) = text.find(" past ") {
            (Some((text.get(..at).unwrap_or(""), -1.0)), text.get(at + 6..).unwrap_or(""))
        } else {
            return Err(fault(&format!("`{text}` does not say from which end it is measured"), whole));
        };
        let tail_at = text.len() - tail.len();
        let (edge, of) = match tail.split_once(" of ") {
            Some((edge, of)) => (edge.trim(), Some(of.trim())),
            None => (tail.trim(), None),
        };
        let edge = match edge {
            "fore" => Edge::Fore,
            "aft" => Edge::Aft,
            other => {
                return Err(fault(
                    &format!("`{other}` is not an end: it is `fore` or `aft`"),
                    tail_at..text.len(),
                ));
            }
        };
        if of == Some("") {
            return Err(fault("the part is not named after `of`", tail_at..text.len()));
        }
        let (distance, tolerance) = match head {
            None => (Quantity::new(0.0, Dimension::LENGTH), None),
            Some((measure, sign)) => {
                let measure = Measure::read(measure, Dimension::LENGTH)?;
                if measure.nominal.si < 0.0 {
                    return Err(fault(
                        "a distance along the tape is not negative; say `past` for beyond the end",
                        whole,
                    ));
                }
                let mut distance = measure.nominal;
                distance.si *= sign;
                (distance, measure.tolerance)
            }
        };
        Ok(Self { distance, tolerance, edge, of: of.map(Arc::from) })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may panic")]
    use super::*;

    #[test]
    fn reads_what_a_tape_says() {
        let at = Position::read("2.25 in from aft").unwrap();
        assert_eq!((at.edge, at.of.as_deref()), (Edge::Aft, None));
        assert!((at.distance.si - 0.05715).abs() < 1e-12);
        let at = Position::read("10 mm past aft of tube").unwrap();
        assert_eq!((at.distance.si, at.of.as_deref()), (-0.01, Some("tube")));
        assert!(Position::read("flush with fore").unwrap().distance.si.abs() < f64::EPSILON);
        for wrong in ["2 in", "2 from aft", "2 in from side", "-2 in from aft", "2 in from aft of "] {
            assert!(Position::read(wrong).is_err(), "{wrong}");
        }
    }
}

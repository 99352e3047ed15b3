//! What a tape measure says of a part on another: where it lies, and how a formula puts it.

use crate::vocabulary::{Edge, Position};

/// The fore and the aft end of a part, in metres aft of the nose tip.
#[derive(Clone, Copy, Debug)]
pub(super) struct Extent {
    pub(super) fore: f64,
    pub(super) aft: f64,
}

pub(super) fn span_of(fore: f64, length: f64) -> Extent {
    Extent { fore, aft: fore + length }
}

/// A distance as a formula adds it and takes it away. What is past an end is written without a sign; what is flush has no distance.
pub(super) fn distance_text(position: &Position, line: &str) -> (String, String) {
    let (plus, minus) = (format!(" + {line}"), format!(" − {line}"));
    match position.distance.si {
        0.0 => (String::new(), String::new()),
        past if past < 0.0 => (minus, plus),
        _ => (plus, minus),
    }
}

/// Where a part of length `own` lies on a base.
pub(super) fn on_base(position: &Position, own: f64, base: Extent) -> Extent {
    let distance = position.distance.si;
    match position.edge {
        Edge::Fore => span_of(base.fore + distance, own),
        Edge::Aft => Extent { fore: base.aft - distance - own, aft: base.aft - distance },
    }
}

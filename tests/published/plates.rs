//! Round plates pulled at a stiff washer, against their equation solved apart from this program.

use crate::sheet::{close, rows};
use holdpoint::engineering::plate::{Edge, hub_factor};
use holdpoint::quantity::Length;

/// β of σ = β W/t² at the rim of the washer, for plates of two to ten washers' width.
#[test]
fn stress_at_a_stiff_washer() {
    let table = rows("plates.csv");
    assert_eq!(table.len(), 12);
    for row in table {
        let edge = match row.text("edge") {
            "clamped" => Edge::Clamped,
            _ => Edge::SimplySupported,
        };
        let ratio = row.number("ratio");
        let beta = hub_factor(Length::from_si(0.1), Length::from_si(0.1 / ratio), edge).unwrap();
        close(row.text("edge"), beta, row.number("expected"), 2e-3);
    }
}

/// A washer as wide as the plate is refused, and so is none.
#[test]
fn a_washer_is_smaller_than_its_plate() {
    let size = Length::from_si;
    assert!(hub_factor(size(0.1), size(0.1), Edge::SimplySupported).is_err());
    assert!(hub_factor(size(0.1), size(0.0), Edge::Clamped).is_err());
}

//! Bending of a free body and buckling of thin tubes, against `data/bending.csv`: figures that were worked out apart from this program.

use crate::sheet::{close, rows};
use holdpoint::engineering::bending::{SideForce, Stretch, Wall, knock_down, moment};
use holdpoint::quantity::{Energy, Force, Length, Mass, Pressure};

fn m(value: f64) -> Length {
    Length::from_si(value)
}

fn stretch(fore: f64, aft: f64, mass: f64) -> Stretch {
    Stretch { fore: m(fore), aft: m(aft), mass: Mass::from_si(mass) }
}

fn push(at: f64, newtons: f64) -> SideForce {
    SideForce { at: m(at), force: Force::from_si(newtons) }
}

/// The figure of a row by its name.
fn expected(id: &str) -> f64 {
    rows("bending.csv").iter().find(|row| row.text("id") == id).unwrap().number("expected")
}

/// A uniform free beam that is pushed at one end bends most at a third of its length, by 4 P L/27.
#[test]
fn a_uniform_beam_pushed_at_its_end() {
    let (beam, force) = ([stretch(0.0, 2.0, 5.0)], [push(0.0, 100.0)]);
    let at = |x: f64| moment(&beam, &force, m(x)).unwrap().si();
    close("greatest", at(2.0 / 3.0), expected("uniform beam"), 1e-6);
    let most = (0..=2000).map(|i| at(f64::from(i) * 1e-3)).fold(0.0, f64::max);
    close("nowhere more", most, expected("uniform beam"), 1e-6);
    // Both ends are free.
    assert!(at(0.0).abs() < 1e-9 && at(2.0).abs() < 1e-9);
}

/// How the beam is cut into stretches does not matter, and neither does how heavy it is.
#[test]
fn a_beam_is_the_same_in_pieces() {
    let force = [push(0.1, 30.0), push(1.7, 80.0)];
    let whole = moment(&[stretch(0.0, 2.0, 5.0)], &force, m(0.8)).unwrap().si();
    let pieces = [stretch(0.0, 0.7, 3.5), stretch(0.7, 2.0, 6.5)];
    close("in pieces", moment(&pieces, &force, m(0.8)).unwrap().si(), whole, 1e-9);
}

/// The knock-down of NASA SP-8007 for bending.
#[test]
fn thin_tubes_buckle_early() {
    close("r/t 50", knock_down(50.0), expected("knock-down 50"), 1e-5);
    close("r/t 500", knock_down(500.0), expected("knock-down 500"), 1e-5);
}

/// Stress and buckling of a paper tube.
#[test]
fn a_paper_tube_bends() {
    let wall = Wall { radius: m(0.0508), thickness: m(0.0016) };
    close("stress", wall.stress(Energy::from_si(30.0)).unwrap().si() / 1e6, expected("stress"), 1e-4);
    let buckles = wall.buckles_at(Pressure::from_si(2.5e9)).unwrap().si() / 1e6;
    close("buckles", buckles, expected("buckling"), 2e-2);
}

#[test]
fn what_makes_no_sense_is_refused() {
    assert!(moment(&[], &[], m(1.0)).is_err());
    assert!(moment(&[stretch(1.0, 1.0, 2.0)], &[], m(1.0)).is_err());
    assert!(Wall::between(m(0.1), m(0.1)).is_err());
    assert!(Wall { radius: m(2.0), thickness: m(0.001) }.buckles_at(Pressure::from_si(1e9)).is_err());
}

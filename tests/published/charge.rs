//! Ejection charges against practitioners' published figures and an evaluation apart from this program.

use crate::sheet::{close, near, rows};
use holdpoint::engineering::charge;
use holdpoint::quantity::{Force, Length, Mass, Pressure, Volume};

const INCH: f64 = 0.0254;
const CUBIC_INCH: f64 = INCH * INCH * INCH;
const PSI: f64 = 6_894.757_293_168;
const POUND_FORCE: f64 = 4.448_221_615_26;

#[test]
fn powder_and_force_agree_with_the_published_constants() {
    for row in rows("black_powder.csv") {
        let rise = Pressure::from_si(row.number("P_psig") * PSI);
        let bore = Length::from_si(row.number("D_in") * INCH);
        let volume = Volume::from_si(row.number("V_in3") * CUBIC_INCH);
        let tube = std::f64::consts::PI / 4.0 * bore.si().powi(2) * row.number("L_in") * INCH;
        close("the row's own volume", volume.si(), tube, 1e-5);
        let powder = charge::mass_for(rise, volume).unwrap();
        close("mass", powder.si() * 1e3, row.number("m_g"), 0.005);
        // The practitioners' shorthand m = 0.006 D² L P/15 is 1.3 % low, as its own constants say.
        close("shorthand", powder.si() * 1e3, row.number("shorthand_0.006_scaled_g"), 0.014);
        close("back", charge::pressure_rise(powder, volume).unwrap().si(), rise.si(), 1e-12);
        let force = charge::bulkhead_force(rise, bore).unwrap();
        close("force", force.si() / POUND_FORCE, row.number("force_on_bulkhead_lbf"), 1e-4);
        close("back", charge::pressure_for_force(force, bore).unwrap().si(), rise.si(), 1e-12);
    }
}

/// A practitioner's article prints R = 266 in lbf/(lbm °R), and m[g] = 0.00052 F[lbf] L[in] as a shorthand.
#[test]
fn the_constants_are_the_published_ones() {
    let in_inches = charge::POWDER_GAS_CONSTANT / (INCH * 9.806_65 * 1.8);
    near("gas constant", in_inches, 266.0, 0.5);
    let bore = Length::from_si(4.0 * INCH);
    let length = 10.0;
    let force = Force::from_si(100.0 * POUND_FORCE);
    let rise = charge::pressure_for_force(force, bore).unwrap();
    let volume = Volume::from_si(std::f64::consts::PI / 4.0 * 16.0 * length * CUBIC_INCH);
    let grams = charge::mass_for(rise, volume).unwrap().si() * 1e3;
    close("shorthand", grams, 0.000_52 * 100.0 * length, 0.01);
}

/// Practitioners' sanity figures: 15 psi in a 7.5 in bore is more than 660 lbf; 15 psi in a 5.5 in bore is about the 350 lbf that
/// they call enough.
#[test]
fn bulkhead_forces_match_the_published_figures() {
    let force = |inches: f64| {
        let f =
            charge::bulkhead_force(Pressure::from_si(15.0 * PSI), Length::from_si(inches * INCH)).unwrap();
        f.si() / POUND_FORCE
    };
    assert!((660.0..665.0).contains(&force(7.5)), "{}", force(7.5));
    near("5.5 in", force(5.5), 350.0, 10.0);
}

#[test]
fn refuses_what_makes_no_sense() {
    let mass = Mass::from_si(1e-3);
    let rise = Pressure::from_si(1e5);
    for bad in [0.0, -1e-3, f64::NAN, f64::INFINITY] {
        assert!(charge::pressure_rise(mass, Volume::from_si(bad)).is_err(), "{bad}");
        assert!(charge::mass_for(rise, Volume::from_si(bad)).is_err(), "{bad}");
        assert!(charge::bulkhead_force(rise, Length::from_si(bad)).is_err(), "{bad}");
        assert!(charge::pressure_for_force(Force::from_si(1.0), Length::from_si(bad)).is_err(), "{bad}");
    }
    assert!(charge::pressure_rise(Mass::from_si(-1e-3), Volume::from_si(1e-3)).is_err());
    assert!(charge::mass_for(Pressure::from_si(-1.0), Volume::from_si(1e-3)).is_err());
    assert!(charge::pressure_rise(Mass::from_si(1e308), Volume::from_si(1e-300)).is_err());
}

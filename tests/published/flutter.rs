//! Flutter speeds against evaluations of NACA TN 4197's equation 18 apart from this program.

use crate::sheet::{close, rows};
use holdpoint::engineering::atmosphere::{self, Air};
use holdpoint::engineering::flutter::{self, Plate};
use holdpoint::quantity::{Length, Pressure, Speed};

const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;
const PSI: f64 = 6_894.757_293_168;

fn air(geopotential: f64) -> Air {
    atmosphere::at(atmosphere::geometric(Length::from_si(geopotential))).unwrap()
}

fn plate(g_psi: f64, [root, tip, thickness, span]: [f64; 4]) -> Plate {
    let inches = |value: f64| Length::from_si(value * INCH);
    Plate {
        root_chord: inches(root),
        tip_chord: inches(tip),
        span: inches(span),
        thickness: inches(thickness),
        shear_modulus: Pressure::from_si(g_psi * PSI),
    }
}

fn feet(fin: &Plate, air: &Air) -> f64 {
    flutter::speed(fin, air).unwrap().si() / FOOT
}

/// The table, with the rounded 39.3 psi and with the exact constant.
#[test]
fn speeds_agree_with_the_table() {
    let table = rows("flutter.csv");
    assert_eq!(table.len(), 3);
    for row in &table {
        let fin =
            plate(row.number("G_psi"), ["cr_in", "ct_in", "t_in", "semispan_in"].map(|c| row.number(c)));
        let air = air(row.number("altitude"));
        let speed = feet(&fin, &air);
        close(row.text("case"), speed, row.number("Vf_ft_s"), 1e-3);
        close(row.text("case"), speed, row.number("Vf_exactconst"), 2e-5);
        close(row.text("case"), speed * FOOT / air.speed_of_sound.si(), row.number("Mf"), 1e-3);
    }
}

/// Two more evaluated apart from this program: aluminium at 5000 ft, and a square fin at sea level.
#[test]
fn more_cases_agree() {
    let aluminium = plate(3.8e6, [12.0, 2.25, 0.1875, 4.0]);
    close("aluminium", feet(&aluminium, &air(5000.0 * FOOT)), 3606.780, 1e-3);
    close("square", feet(&plate(6e5, [6.0, 6.0, 0.125, 6.0]), &air(0.0)), 718.486, 1e-3);
}

/// The coefficient is the note's 39.3 psi at the standard pressure of 14.696 psi; half of it is the copied form that overstates by √2.
#[test]
fn the_coefficient_is_the_published_one() {
    close("39.3 psi", flutter::COEFFICIENT * 14.696, 39.3, 2e-4);
    close("without a unit", flutter::COEFFICIENT, 2.6738, 1e-5);
    close("√2", (flutter::COEFFICIENT / 1.337).sqrt(), 2_f64.sqrt(), 1e-4);
}

/// V_f goes with √G, with t^1.5, and with p^−0.5 at one speed of sound.
#[test]
fn speeds_scale_as_the_equation_says() {
    let fin = plate(6e5, [8.0, 4.0, 0.125, 4.0]);
    let here = air(0.0);
    let speed = feet(&fin, &here);
    let stiffer = Plate { shear_modulus: fin.shear_modulus * 4.0, ..fin };
    close("G", feet(&stiffer, &here), 2.0 * speed, 1e-12);
    let thicker = Plate { thickness: fin.thickness * 4.0, ..fin };
    close("t", feet(&thicker, &here), 8.0 * speed, 1e-12);
    let thin = Air { pressure: here.pressure / 4.0, ..here };
    close("p", feet(&fin, &thin), 2.0 * speed, 1e-12);
    let fast = Air { speed_of_sound: here.speed_of_sound * 2.0, ..here };
    close("a", feet(&fin, &fast), 2.0 * speed, 1e-12);
    let longer = Plate { span: fin.span * 1.1, ..fin };
    assert!(feet(&longer, &here) < speed);
}

#[test]
fn refuses_what_makes_no_sense() {
    let fin = plate(6e5, [8.0, 4.0, 0.125, 4.0]);
    let here = air(0.0);
    let none = Length::from_si(0.0);
    assert!(flutter::speed(&Plate { root_chord: none, ..fin }, &here).is_err());
    assert!(flutter::speed(&Plate { span: none, ..fin }, &here).is_err());
    assert!(flutter::speed(&Plate { thickness: none, ..fin }, &here).is_err());
    assert!(flutter::speed(&Plate { tip_chord: fin.root_chord * 1.5, ..fin }, &here).is_err());
    assert!(flutter::speed(&Plate { tip_chord: none, ..fin }, &here).is_ok());
    assert!(flutter::speed(&Plate { shear_modulus: Pressure::from_si(f64::NAN), ..fin }, &here).is_err());
    assert!(flutter::speed(&fin, &Air { pressure: Pressure::from_si(0.0), ..here }).is_err());
    assert!(flutter::speed(&fin, &Air { speed_of_sound: Speed::from_si(0.0), ..here }).is_err());
}

/// Of two materials alike the laminate is a sheet of the whole thickness; a core without stiffness leaves what its skins give, 7/8 where they are
/// half of the thickness; a skin that counts for nothing leaves the sheet, spread over the whole. D₆₆ = Σ G (z_k³ − z_(k−1)³)/3.
#[test]
fn skins_stiffen_as_lamination_theory_says() {
    let (mm, gpa) = (|t: f64| Length::from_si(t * 1e-3), |g: f64| Pressure::from_si(g * 1e9));
    let of = |sheet: (f64, f64), skin: (f64, f64)| {
        let (t, g) = flutter::with_skins((mm(sheet.0), gpa(sheet.1)), (mm(skin.0), gpa(skin.1))).unwrap();
        (t.si() * 1e3, g.si() / 1e9)
    };
    let (t, g) = of((2.0, 4.0), (0.5, 4.0));
    close("alike, thickness", t, 3.0, 1e-12);
    close("alike, modulus", g, 4.0, 1e-12);
    close("skins alone", of((2.0, 1e-9), (1.0, 4.0)).1, 4.0 * 7.0 / 8.0, 1e-6);
    close("sheet alone", of((2.0, 4.0), (1.0, 1e-9)).1, 4.0 / 8.0, 1e-6);
    // Plywood of 3 mm and 0.62 GPa under 0.5 mm of glass of 3 GPa: (0.62 × 27 + 3 × (64 − 27)) / 64 = 1.996 GPa.
    close("plywood under glass", of((3.0, 0.62), (0.5, 3.0)).1, 1.995_9, 1e-4);
    assert!(flutter::with_skins((mm(0.0), gpa(4.0)), (mm(1.0), gpa(4.0))).is_err());
    assert!(flutter::with_skins((mm(2.0), gpa(4.0)), (mm(-1.0), gpa(4.0))).is_err());
}

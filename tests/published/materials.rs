//! `rules/tables/materials.yaml`: shear moduli against published ranges, and a reading of every measure in it.

use crate::rule_table::{self, row};
use crate::sheet::rows;
use holdpoint::quantity::Dimension;

/// Each modulus stands at the low end of the range that the source column of the table names, or at its single value.
#[test]
fn shear_moduli_stand_at_the_low_end_of_the_published_range() {
    let table = rule_table::rows("materials");
    let published = rows("shear_modulus.csv");
    let pairs = [
        ("fibreglass", "G10/FR4 woven glass/epoxy, in-plane, 0/90"),
        ("plywood", "Birch plywood, edgewise (panel) shear"),
        ("aluminium", "Aluminium 6061-T6"),
        ("carbon", "Carbon/epoxy UD tape G12"),
        ("phenolic", "Paper phenolic / cardboard"),
        ("cardboard", "Paper phenolic / cardboard"),
        ("balsa", "Balsa"),
        ("basswood", "Basswood"),
        ("pine", "Pine, spruce, fir"),
        ("beech", "Beech, oak, ash, maple"),
    ];
    for (material, name) in pairs {
        let range = published.iter().find(|r| r.text("material") == name).unwrap().text("G_GPa");
        let low: f64 = range.split('-').next().unwrap().parse().unwrap();
        let modulus = row(&table, material).si("shear_modulus", Dimension::PRESSURE) / 1e9;
        assert!((modulus - low).abs() < 1e-9, "{material}: {modulus} against {range}");
    }
    // Plastics and metals are alike in all directions: E / (2 G) - 1 is Poisson's ratio, a quarter to a half in all of them.
    let others =
        table.iter().filter(|r| r.has("shear_modulus") && pairs.iter().all(|(name, _)| r.key != *name));
    let mut seen = 0;
    for material in others {
        let of = |key: &str| material.si(key, Dimension::PRESSURE);
        let poisson = of("elastic_modulus") / (2.0 * of("shear_modulus")) - 1.0;
        assert!((0.25..=0.5).contains(&poisson), "{}: {poisson}", material.key);
        seen += 1;
    }
    assert_eq!(seen, 16);
}

/// Every measure reads as what it is, no solid is lighter than balsa or heavier than stainless steel, and a strength band is a band.
#[test]
fn every_measure_reads() {
    let table = rule_table::rows("materials");
    let stainless = row(&table, "stainless").si("density", Dimension::DENSITY);
    for material in table.iter().filter(|r| r.has("density")) {
        let density = material.si("density", Dimension::DENSITY);
        assert!((150.0..=stainless).contains(&density), "{}: {density}", material.key);
    }
    for material in table.iter().filter(|r| r.has("tensile_strength")) {
        assert!(material.si("tensile_strength", Dimension::PRESSURE) > 5e7, "{}", material.key);
    }
    let nylon = row(&table, "nylon");
    let low = nylon.si("shear_strength_low", Dimension::PRESSURE);
    let high = nylon.si("shear_strength_high", Dimension::PRESSURE);
    // A practitioner's rule: shear strength is 0.60 of the tensile strength; another counts with all of it.
    let tensile = nylon.si("tensile_strength", Dimension::PRESSURE);
    assert!((low / tensile - 0.60).abs() < 1e-9 && (high / tensile - 1.0).abs() < 1e-9);
}

/// Metals shield a radio, as conductors do, and so does carbon fibre.
#[test]
fn metals_are_not_transparent_to_radio() {
    for material in rule_table::rows("materials") {
        let conducts = material.truth("metal") || material.key == "carbon";
        assert_eq!(material.truth("transparent_to_radio"), !conducts, "{}", material.key);
    }
}

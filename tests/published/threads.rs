//! `rules/tables/threads.yaml` against the formulas of ASME B1.1 and of ISO 724 and ISO 898-1, and against printed areas.

use crate::rule_table::{self, row};
use crate::sheet::{close, near, rows};
use holdpoint::quantity::Dimension;
use std::f64::consts::PI;

const INCH: f64 = 0.0254;
const MM: f64 = 1e-3;

/// Threads for each inch, out of a name such as `1/4-20`.
fn threads_per_inch(name: &str) -> Option<f64> {
    name.rsplit_once('-').map(|(_, n)| n.parse().unwrap())
}

/// Major diameter of a unified thread in inches, out of its name: a fraction, or number n = 0.060 + 0.013 n in (ASME B1.1).
fn unified_major(name: &str) -> f64 {
    let (size, _) = name.rsplit_once('-').unwrap();
    match size.split_once('/') {
        Some((over, under)) => over.parse::<f64>().unwrap() / under.parse::<f64>().unwrap(),
        None => 0.060 + 0.013 * size.parse::<f64>().unwrap(),
    }
}

#[test]
fn the_usual_threads_are_there() {
    let table = rule_table::rows("threads");
    let keys: Vec<&str> = table.iter().map(|r| r.key.as_str()).collect();
    let usual = [
        "0-80", "1-64", "1-72", "2-56", "4-40", "6-32", "8-32", "10-24", "10-32", "1/4-20", "5/16-18",
        "3/8-16", "M1.6", "M2", "M2.5", "M3", "M3.5", "M4", "M5", "M6", "M8", "M10",
    ];
    assert_eq!(keys, usual);
}

/// Basic profile: d₂ = D − (3√3/8) P, D₁ = D − (5√3/8) P, d₃ = D − (17√3/24) P (ASME B1.1, ISO 68-1, ISO 724).
#[test]
fn diameters_follow_the_basic_profile() {
    let sqrt3 = 3_f64.sqrt();
    for thread in rule_table::rows("threads") {
        let get = |field| thread.si(field, Dimension::LENGTH);
        let (d, p) = (get("major_diameter"), get("pitch"));
        // Tabulated to 0.00001 in or 0.00001 mm.
        let step = if thread.key.starts_with('M') { 1e-5 * MM } else { 1e-5 * INCH };
        near(&thread.key, get("pitch_diameter"), d - 3.0 * sqrt3 / 8.0 * p, 0.51 * step);
        near(&thread.key, get("minor_diameter"), d - 5.0 * sqrt3 / 8.0 * p, 0.51 * step);
    }
}

/// Names carry the sizes: number sizes and fractions of an inch, threads for each inch, millimetres (ASME B1.1, ISO 261).
#[test]
fn names_and_sizes_agree() {
    let coarse = [
        ("M1.6", 0.35),
        ("M2", 0.4),
        ("M2.5", 0.45),
        ("M3", 0.5),
        ("M3.5", 0.6),
        ("M4", 0.7),
        ("M5", 0.8),
        ("M6", 1.0),
        ("M8", 1.25),
        ("M10", 1.5),
    ];
    for thread in rule_table::rows("threads") {
        let (d, p) = (thread.si("major_diameter", Dimension::LENGTH), thread.si("pitch", Dimension::LENGTH));
        if let Some(size) = thread.key.strip_prefix('M') {
            near(&thread.key, d, size.parse::<f64>().unwrap() * MM, 1e-12);
            let (_, pitch) = coarse.iter().find(|(name, _)| *name == thread.key).unwrap();
            near(&thread.key, p, pitch * MM, 1e-12);
        } else {
            near(&thread.key, d, unified_major(&thread.key) * INCH, 1e-12);
            near(&thread.key, p, INCH / threads_per_inch(&thread.key).unwrap(), 1e-12);
        }
    }
}

/// Areas: (π/4)(D − 0.9743 P)² and (π/4)(D − 1.3 P)² in ASME B1.1; ((d₂ + d₃)/2)² π/4 in ISO 898-1, and π/4 d₃².
#[test]
fn areas_follow_the_formulas() {
    for thread in rule_table::rows("threads") {
        let (d, p) = (thread.si("major_diameter", Dimension::LENGTH), thread.si("pitch", Dimension::LENGTH));
        let (stress, root) =
            (thread.si("stress_area", Dimension::AREA), thread.si("root_area", Dimension::AREA));
        if thread.key.starts_with('M') {
            let d2 = d - 0.649_519 * p;
            let d3 = d - 1.226_869 * p;
            near(&thread.key, stress, PI / 4.0 * ((d2 + d3) / 2.0).powi(2), 1e-5 * MM * MM);
            near(&thread.key, root, PI / 4.0 * d3 * d3, 1e-5 * MM * MM);
        } else {
            near(&thread.key, stress, PI / 4.0 * (d - 0.9743 * p).powi(2), 1e-6 * INCH * INCH);
            near(&thread.key, root, PI / 4.0 * (d - 1.3 * p).powi(2), 1e-6 * INCH * INCH);
        }
    }
}

/// Printed areas of fastener references (source column), within their printed rounding: 1 % for inch threads, 0.5 % for metric.
#[test]
fn areas_agree_with_printed_tables() {
    let table = rule_table::rows("threads");
    let printed = rows("threads.csv");
    assert_eq!(printed.len(), table.len());
    for sheet in &printed {
        let thread = row(&table, sheet.text("thread").trim_start_matches('#'));
        let (unit, tolerance) = if sheet.text("unit") == "in" { (INCH, 0.01) } else { (MM, 0.005) };
        let length =
            |field, head| near(head, thread.si(field, Dimension::LENGTH) / unit, sheet.number(head), 5e-5);
        length("major_diameter", "major");
        length("pitch_diameter", "pitch_dia_d2");
        length("minor_diameter", "minor_internal_basic_D1");
        let area = |field, head| {
            // Two references that differ in the last digit stand as `low..high`; a note may follow the number.
            for number in
                sheet.text(head).split("..").filter_map(|t| t.split(' ').next()).filter(|t| !t.is_empty())
            {
                close(
                    head,
                    thread.si(field, Dimension::AREA) / (unit * unit),
                    number.parse().unwrap(),
                    tolerance,
                );
            }
        };
        assert!(!sheet.text("printed_stress_area").is_empty());
        area("stress_area", "printed_stress_area");
        area("root_area", "printed_root_area");
        let root = if unit == INCH { "root_area_pi4(D-1.3/n)^2" } else { "root_area_d3" };
        area("root_area", root);
    }
}

/// Least diameters of nuts and external pitch diameters by the limits of ASME B1.1-2019 (three sizes, as the data of
/// screw-thread-lib 0.0.6 list them).
#[test]
fn basic_sizes_agree_with_the_printed_limits() {
    let table = rule_table::rows("threads");
    for (name, pitch_diameter, minor_diameter) in
        [("10-24", 0.1629, 0.145), ("10-32", 0.1697, 0.156), ("1/4-20", 0.2175, 0.196)]
    {
        let thread = row(&table, name);
        near(name, thread.si("pitch_diameter", Dimension::LENGTH) / INCH, pitch_diameter, 5e-5);
        // The standard rounds the least minor diameter of the nut to 0.001 in.
        near(name, thread.si("minor_diameter", Dimension::LENGTH) / INCH, minor_diameter, 5e-4);
    }
}

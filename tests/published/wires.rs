//! Wire sizes against the definition of the American wire gauge.

use std::f64::consts::FRAC_PI_4;

use holdpoint::quantity::Dimension;

use crate::rule_table::rows;

/// ASTM B258, from memory: 0.0050 in for gauge 36, 0.4600 in for gauge 0000, and 39 equal ratios between.
#[test]
fn gauges_follow_their_definition() {
    let mut seen = 0;
    for row in rows("wires") {
        let Some(gauge) = row.key.strip_suffix(" AWG") else { continue };
        let gauge: f64 = gauge.parse().unwrap();
        let across = 0.0050 * 0.0254 * (0.4600_f64 / 0.0050).powf((36.0 - gauge) / 39.0);
        let area = FRAC_PI_4 * across * across;
        let written = row.si("area", Dimension::AREA);
        assert!((written / area - 1.0).abs() < 1e-3, "{}: {written} m², {area} m²", row.key);
        seen += 1;
    }
    assert_eq!(seen, 8);
}

#[test]
fn metric_wires_have_the_cross_section_of_their_name() {
    for row in rows("wires") {
        let Some(name) = row.key.strip_suffix(" mm²") else { continue };
        let area: f64 = name.parse().unwrap();
        assert!((row.si("area", Dimension::AREA) / (area * 1e-6) - 1.0).abs() < 1e-9, "{}", row.key);
    }
}

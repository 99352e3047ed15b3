//! `rules/tables/drills.yaml` and `tap_drills.yaml` against the sizes of ASME B94.11M and a printed tap-drill table.

use crate::rule_table::{self, Row, row};
use crate::sheet::{near, rows};
use holdpoint::quantity::Dimension;

const INCH: f64 = 0.0254;
const MM: f64 = 1e-3;

/// The key that the table gives to a drill named as in the standard: `#50`, `F`, `11/64 in`.
fn key(series: &str, name: &str) -> String {
    match series {
        "number" => format!("no_{}", name.trim_start_matches('#')),
        "letter" => format!("letter_{}", name.to_lowercase()),
        _ => format!("frac_{}", name.trim_end_matches(" in").replace('/', "_")),
    }
}

fn diameter(drill: &Row) -> f64 {
    drill.si("diameter", Dimension::LENGTH)
}

/// Each size of the standard stands in the table exactly as the standard writes it.
#[test]
fn sizes_are_exactly_those_of_the_standard() {
    let table = rule_table::rows("drills");
    let standard = rows("drills.csv");
    assert_eq!(standard.len(), 80 + 26 + 64);
    for size in &standard {
        let (series, name) = (size.text("series"), size.text("name"));
        let drill = row(&table, &key(series, name));
        assert_eq!(drill.text("series"), series, "{name}");
        near(name, diameter(drill) / INCH, size.number("inch"), 1e-12);
        if series != "fraction" {
            assert_eq!(drill.text("diameter"), format!("{} in", size.text("inch")));
        }
        let shown = match series {
            "number" => name.replace('#', "no. "),
            "letter" => format!("letter {name}"),
            _ => name.to_owned(),
        };
        assert_eq!(drill.text("size"), shown);
    }
    let inch = table.iter().filter(|d| d.text("series") != "metric").count();
    assert_eq!(inch, standard.len(), "a size that the standard does not have");
}

/// Within a series each drill is larger than the one before it: numbers fall from 80 to 1 as the drills grow.
#[test]
fn each_series_grows() {
    let table = rule_table::rows("drills");
    for series in ["number", "letter", "fraction", "metric"] {
        let mut drills: Vec<&Row> = table.iter().filter(|d| d.text("series") == series).collect();
        if series == "number" {
            let number = |d: &&Row| d.key.trim_start_matches("no_").parse::<u8>().unwrap();
            drills.sort_by_key(|d| std::cmp::Reverse(number(d)));
            assert_eq!(drills.iter().map(number).collect::<Vec<_>>(), (1..=80).rev().collect::<Vec<_>>());
        }
        for pair in drills.windows(2) {
            let [small, large] = pair else { unreachable!() };
            assert!(diameter(small) < diameter(large), "{} and {}", small.key, large.key);
        }
    }
}

/// A fraction is its own size, to the last bit that floating point allows, and every 64th up to one inch is there.
#[test]
fn fractions_are_exact() {
    let table = rule_table::rows("drills");
    let drills: Vec<&Row> = table.iter().filter(|d| d.text("series") == "fraction").collect();
    assert_eq!(drills.len(), 64);
    for (drill, sixty_fourths) in drills.iter().zip(1_u32..) {
        let exact = f64::from(sixty_fourths) / 64.0 * INCH;
        near(&drill.key, diameter(drill), exact, 2.0 * f64::EPSILON * exact);
    }
}

/// A metric drill's key, size and diameter say the same, and tenths of a millimetre run without a gap from 1 to 10.
#[test]
fn metric_sizes_are_what_they_say() {
    let table = rule_table::rows("drills");
    let drills: Vec<&Row> = table.iter().filter(|d| d.text("series") == "metric").collect();
    for drill in &drills {
        assert_eq!(drill.text("size"), drill.text("diameter"));
        let named: f64 = drill.key.trim_start_matches("mm_").replace('_', ".").parse().unwrap();
        near(&drill.key, diameter(drill), named * MM, 1e-15);
    }
    for tenths in 10..=100 {
        row(&table, &format!("mm_{}_{}", tenths / 10, tenths % 10));
    }
    for halves in 20..=26 {
        row(&table, &format!("mm_{}_{}", halves / 2, if halves % 2 == 0 { 0 } else { 5 }));
    }
}

/// The usual tap drills and their percentages; *Machinery's Handbook*, 31st edition, p. 2155 prints 69 % for 2-56 through no. 50.
#[test]
fn tap_drills_agree_with_the_published_table() {
    let taps = rule_table::rows("tap_drills");
    let drills = rule_table::rows("drills");
    let published = rows("tap_drills.csv");
    let usual: Vec<_> = published.iter().filter(|r| r.text("role") == "usual").collect();
    assert_eq!(usual.len(), 7);
    for sheet in usual {
        let tap = row(&taps, sheet.text("thread").trim_start_matches('#'));
        let series = if sheet.text("drill").starts_with('#') { "number" } else { "letter" };
        assert_eq!(tap.text("drill"), key(series, sheet.text("drill")));
        near(
            "percent",
            tap.si("percent_thread", Dimension::NUMBER) * 100.0,
            sheet.number("percent_thread"),
            0.5,
        );
        near("diameter", diameter(row(&drills, tap.text("drill"))) / INCH, sheet.number("inch"), 1e-12);
    }
    let two = row(&taps, "2-56").si("percent_thread", Dimension::NUMBER);
    near("printed", two, 0.69, 0.005);
}

/// Every thread has its tap drill, out of the drill table, and leaves the percentage that its row says.
#[test]
fn tap_drills_fit_the_threads_and_the_drills() {
    let (taps, drills, threads) =
        (rule_table::rows("tap_drills"), rule_table::rows("drills"), rule_table::rows("threads"));
    assert_eq!(taps.len(), threads.len());
    for tap in &taps {
        assert_eq!(tap.text("thread"), tap.key);
        let thread = row(&threads, &tap.key);
        let drill = diameter(tap);
        near(&tap.key, drill, diameter(row(&drills, tap.text("drill"))), 1e-15);
        let (d, p) = (thread.si("major_diameter", Dimension::LENGTH), thread.si("pitch", Dimension::LENGTH));
        // Share of the full height: twice (3√3/8) P on the diameter is 1.299038 P (ASME B1.1 and ISO 68-1 basic profile).
        let share = (d - drill) / (1.299_038 * p);
        near(&tap.key, tap.si("percent_thread", Dimension::NUMBER), share, 5.1e-4);
        assert!(drill > thread.si("minor_diameter", Dimension::LENGTH) * 0.98 && drill < d, "{}", tap.key);
        if tap.key.starts_with('M') {
            // Common practice: major diameter less pitch, up to the next tenth.
            assert!(drill >= d - p - 1e-12 && drill <= d - p + 0.1 * MM, "{}", tap.key);
        }
    }
}

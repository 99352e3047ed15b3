//! Small files made to keep a review busy: each is answered within bounds of memory and of the processor's time.
#![cfg(unix)]

use super::{Bench, DUAL};

/// Of address space, of which the allocator reserves more than it uses (200 MB at most), and of the processor: an unoptimised program on a
/// busy machine is given more than the 2 s that a release takes at most. Neither counts the time that others take.
const MEMORY_KB: u32 = 400 * 1024;
const PROCESSOR_S: u32 = 20;

/// Reviews a file within the bounds; gives the exit code and what was printed.
fn bounded(bench: &Bench, arguments: &[&str]) -> (Option<i32>, String) {
    let within =
        format!("ulimit -v {MEMORY_KB}; ulimit -t {PROCESSOR_S}; RAYON_NUM_THREADS=1 exec \"$0\" \"$@\"");
    let output = std::process::Command::new("sh")
        .args(["-c", &within, env!("CARGO_BIN_EXE_holdpoint")])
        .args(arguments)
        .current_dir(bench.path())
        .output()
        .unwrap();
    let all = [output.stdout, output.stderr].concat();
    (output.status.code(), String::from_utf8_lossy(&all).into_owned())
}

/// As many lines as a number says, each with its number.
fn lines(number: usize, line: impl Fn(usize) -> String) -> String {
    (0..number).map(line).collect()
}

fn section(i: usize) -> String {
    format!(" s{i}: {{mass: 1 oz, tube: {{length: 3 in, outer_diameter: 4 in}}}}\n")
}

fn vent(i: usize) -> String {
    format!("   v{i}: {{count: 1, diameter: 3 mm, at: 0.5 m from fore}}\n")
}

fn joint(i: usize) -> String {
    format!(" j{i}: {{between: [a, b]}}\n")
}

fn waiver(_: usize) -> String {
    " - {rule: rail-length, reason: r, by: b, until: 2030-01-01}\n".to_owned()
}

fn sections(number: usize) -> String {
    format!("holdpoint: 1\nsections:\n{}", lines(number, section))
}

fn vents(number: usize) -> String {
    let tube = "holdpoint: 1\nsections:\n a:\n  tube: {length: 1 m, outer_diameter: 10 cm}\n  vents:\n";
    format!("{tube}{}", lines(number, vent))
}

fn joints(number: usize) -> String {
    format!("holdpoint: 1\nsections: {{a: {{}}, b: {{}}}}\njoints:\n{}", lines(number, joint))
}

fn waivers(number: usize) -> String {
    format!("{}\nwaivers:\n{}", DUAL.trim_end(), lines(number, waiver))
}

#[test]
fn more_parts_than_a_rocket_has_are_not_reviewed() {
    for (number, make, words) in [
        (15_000, sections as fn(usize) -> String, "more than 150 of the type `section`"),
        (151, sections, "more than 150 of the type `section`"),
        (24_000, vents, "more than 150 of the type `vent`"),
        (30_000, joints, "more than 150 of the type `joint`"),
        (20_000, waivers, "more than 150 of the type `waiver`"),
        (1_000_000, waivers, "above 4 MiB"),
        (60_000, waivers, "too many values to be a design"),
    ] {
        let bench = Bench::new();
        bench.write("a.rocket.yaml", make(number));
        let (code, all) = bounded(&bench, &["review", "a.rocket.yaml", "--format", "concise"]);
        assert_eq!(code, Some(2), "{number}, {words}: {all:.500}");
        assert!(all.contains(words), "{number}: `{words}` is not in {all:.500}");
    }
    // Many of each of several types are many all the same.
    let bench = Bench::new();
    let all = format!("{}joints:\n{}waivers:\n{}", sections(150), lines(150, joint), lines(150, waiver))
        .replace("between: [a, b]", "between: [s0, s1]");
    bench.write("a.rocket.yaml", all);
    let (code, all) = bounded(&bench, &["review", "a.rocket.yaml", "--format", "concise"]);
    assert_eq!(code, Some(2), "{all:.500}");
    assert!(all.contains("more than 500 parts"), "{all:.500}");
}

#[test]
fn as_many_parts_as_are_reviewed_are_reviewed_within_bounds() {
    for make in [sections as fn(usize) -> String, vents, joints] {
        let bench = Bench::new();
        bench.write("a.rocket.yaml", make(150));
        for form in ["concise", "json"] {
            let (code, all) = bounded(&bench, &["review", "a.rocket.yaml", "--format", form]);
            assert_eq!(code, Some(1), "{form}: {all:.500}");
        }
    }
}

#[test]
fn values_and_keys_without_end_are_answered_within_bounds() {
    let head = "holdpoint: 1\n";
    for text in [
        format!("{head}{}", lines(98_000, |i| format!("k{i}: 1\n"))),
        format!("{head}{}", lines(390_000, |i| format!("k{i}: 1\n"))),
        format!("{head}name: [{}]\n", "[],".repeat(1_300_000)),
        format!("{head}a: &a 1\nname: [{}]\n", "*a,".repeat(1_300_000)),
        format!("{head}sections: {{a: {{mass: {} kg}}}}\n", "9".repeat(4_000_000)),
        format!("{head}sections: {{a: {{mass: 0.{}1 kg}}}}\n", "0".repeat(4_000_000)),
        format!("{head}sections: {{a: {{tube: {{length: 1e-300 m, outer_diameter: 1e999999999 m}}}}}}\n"),
        format!(
            "{head}sections: {{a: {{tube: {{length: 1 m, outer_diameter: 1 m}}, vents: {{v: {{count: 1000000, diameter: 3 mm, at: 1 in from fore}}}}}}}}\n"
        ),
    ] {
        let bench = Bench::new();
        bench.write("a.rocket.yaml", &text);
        let (code, all) = bounded(&bench, &["review", "a.rocket.yaml", "--format", "concise"]);
        assert!(matches!(code, Some(1 | 2)), "{text:.60}: {code:?} {all:.500}");
    }
    let rule = |require: &str| {
        format!(
            "pack: bomb\nabout: x\nrules:\n  a:\n    title: x\n    before: parts\n    for: rocket\n    require: {require}\n    level: error\n    finding: x\n    why: x\n    source: {{club: x}}\n"
        )
    };
    for require in [
        "rocket.flight.rail^99 * 1e300 * 1e300 > 1",
        "((2^99)^99)^99 < rocket.flight.rail / 1 in",
        "1e999 > 1",
    ] {
        let bench = Bench::new();
        bench.write("a.rocket.yaml", DUAL);
        bench.write("pack.yaml", rule(require));
        let (code, all) = bounded(&bench, &["review", "a.rocket.yaml", "--rules", "pack.yaml"]);
        assert_eq!(code, Some(2), "{require}: {all:.500}");
    }
}

//! The JSON contract, the schemas, and that every report says the same.

use serde_json::Value as Json;

use super::formats::names;
use super::{Bench, DUAL, MOTOR, swap};

/// Rules that find something in every specimen, with remedies that edit.
const PACK: &str = "\
pack: trying
about: For trying the contract.
rules:
  wide-vents:
    title: Vents are wide
    before: drilling
    for: section
    when: section has vents
    require: every v of section.vents has v.diameter >= 1/2 in
    level: error
    finding: \"{section} has narrow vents\"
    why: Air.
    source: {club: trying}
    remedy: {set: section.vents.diameter, to: 1/2 in, say: \"drill to {value}\"}
  windless:
    title: The wind is known and low
    before: flight
    for: rocket
    require: rocket.flight.wind < 1 m/s
    level: warning
    finding: \"the wind is {rocket.flight.wind}\"
    why: Drift.
    source: {club: trying}
    remedy: {say: wait}
";

/// A design with text of more than one byte a character before what is found, on the same line.
pub(super) const WIDE: &str = "holdpoint: 1\nname: 日本 é\nsections:\n  \"é 日本\": {filled: 20 µm^3, vents: {\"µ°\": {count: 1, diameter: 3 mm}, b: {diameter: 4 mm, clock: [60°]}}}\nflight: {temperature: 20 °C, wind: 3 m/s}\n";

fn schema(of: &str) -> (Json, jsonschema::Validator) {
    let schema = Bench::new().run(&["schema", of]).code(0).json();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    assert!(jsonschema::draft202012::meta::is_valid(&schema), "{of}: no valid schema");
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    (schema, validator)
}

/// A folder with a clear, a holding and a broken design, one with many characters, and the pack.
pub(super) fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("pack.yaml", PACK);
    bench.write("dual.rocket.yaml", DUAL);
    bench.write("motor.rocket.yaml", MOTOR);
    bench.write("wide.rocket.yaml", WIDE);
    bench.write("wide-crlf.rocket.yaml", format!("\u{feff}{}", WIDE.replace('\n', "\r\n")));
    bench.write(
        "calm.rocket.yaml",
        swap(MOTOR, "wind: 3 m/s", "wind: 0.5 m/s").replace("diameter: 4 mm", "diameter: 14 mm"),
    );
    bench.write("faulty.rocket.yaml", swap(DUAL, "name: Reed Bunting", "name: \"µ\"\nnmae: é"));
    bench.write("broken.rocket.yaml", "holdpoint: 1\nname: [\n");
    bench.write("bytes.rocket.yaml", b"holdpoint: 1\nname: \xff\n");
    bench
}

pub(super) const FILES: [&str; 8] =
    ["dual", "motor", "wide", "wide-crlf", "calm", "faulty", "broken", "bytes"];

#[test]
fn every_report_follows_its_schema() {
    let (_, validator) = schema("review");
    let bench = bench();
    let check = |paths: &[&str]| {
        let document =
            bench.run(&[&["review", "--rules", "pack.yaml", "--format", "json"], paths].concat()).json();
        let errors: Vec<String> = validator.iter_errors(&document).map(|e| e.to_string()).collect();
        assert!(errors.is_empty(), "{paths:?}: {errors:?}");
        document
    };
    for file in FILES {
        check(&[&format!("{file}.rocket.yaml")]);
    }
    let mut document = check(&["."]);
    check(&["nowhere"]);
    // The schema is closed: what it does not name is refused.
    document["designs"][0]["extra"] = Json::from(1);
    assert!(!validator.is_valid(&document));
}

#[test]
fn the_exit_code_is_the_same_in_every_format() {
    let bench = bench();
    assert_eq!(
        bench.words(&["review", "--format"]),
        names(),
        "the command line and the library know the same forms"
    );
    let mut seen = Vec::new();
    for file in FILES.map(|f| format!("{f}.rocket.yaml")).iter().map(String::as_str).chain([".", "nowhere"]) {
        let codes: Vec<i32> = names()
            .iter()
            .map(|format| bench.run(&["review", file, "--rules", "pack.yaml", "--format", format]).code)
            .collect();
        assert!(codes.windows(2).all(|w| w[0] == w[1]), "{file}: {codes:?}");
        seen.push(codes[0]);
    }
    assert_eq!(seen.get(5..), Some(&[2, 2, 2, 2, 2][..]));
    assert!(seen.contains(&1), "{seen:?}");
}

#[test]
fn the_same_bytes_give_the_same_report_with_any_number_of_threads() {
    let bench = bench();
    for number in 0..4 {
        bench.write(
            &format!("more/{number}.rocket.yaml"),
            swap(DUAL, "wind: 8 mph", &format!("wind: {number} mph")),
        );
    }
    for format in names() {
        let arguments = ["review", ".", "--rules", "pack.yaml", "--format", format, "--today", "2026-01-01"];
        let first = bench.run(&arguments);
        assert!(first.out.len() > 5000);
        assert_eq!(first, bench.run(&arguments));
        for threads in ["1", "4"] {
            assert_eq!(first, bench.run_with(&arguments, None, &[("RAYON_NUM_THREADS", threads)]));
        }
    }
}

/// The line and column of a byte, counted from the text alone.
fn counted(text: &str, byte: u64) -> (u64, u64) {
    let before = &text[..usize::try_from(byte).unwrap()];
    let line = before.matches('\n').count() as u64 + 1;
    let last = before.rsplit('\n').next().unwrap();
    (line, last.strip_prefix('\u{feff}').unwrap_or(last).chars().count() as u64 + 1)
}

fn whole(place: &Json, key: &str) -> u64 {
    place[key].as_u64().unwrap()
}

#[test]
fn places_are_where_they_say() {
    let bench = bench();
    let mut places = 0;
    for file in FILES.iter().map(|f| format!("{f}.rocket.yaml")) {
        let Ok(text) = std::fs::read_to_string(bench.path().join(&file)) else { continue };
        let document = bench.run(&["review", &file, "--rules", "pack.yaml", "--format", "json"]).json();
        let in_findings =
            document["designs"].as_array().unwrap().iter().flat_map(|d| d["findings"].as_array().unwrap());
        let labelled: Vec<&Json> = in_findings.flat_map(|f| f["places"].as_array().unwrap()).collect();
        let problems =
            document["problems"].as_array().unwrap().iter().map(|p| &p["place"]).filter(|p| !p.is_null());
        for (place, labelled) in labelled.iter().map(|p| (*p, true)).chain(problems.map(|p| (p, false))) {
            places += 1;
            assert_eq!(place["path"], file.as_str());
            let (start, end) = (whole(place, "start_byte"), whole(place, "end_byte"));
            let slice = text.get(start as usize..end as usize).unwrap_or_else(|| panic!("{file}: {place}"));
            assert_eq!(
                (whole(place, "line"), whole(place, "column")),
                counted(&text, start),
                "{file}: {place}"
            );
            assert_eq!(
                (whole(place, "end_line"), whole(place, "end_column")),
                counted(&text, end),
                "{file}: {place}"
            );
            let label = place["label"].as_str().unwrap();
            if labelled {
                assert!(!slice.is_empty() && label.contains(slice), "{file}: `{slice}` is not in `{label}`");
            }
        }
    }
    assert!(places > 12, "{places}");
}

#[test]
fn columns_count_characters_and_not_bytes() {
    let bench = bench();
    let document =
        bench.run(&["review", "wide.rocket.yaml", "--rules", "pack.yaml", "--format", "json"]).json();
    let found =
        document["designs"][0]["findings"].as_array().unwrap().iter().find(|f| f["rule"] == "wide-vents");
    let place = &found.unwrap()["places"][0];
    let line = WIDE.lines().nth(3).unwrap();
    let byte = line.find("3 mm").unwrap();
    let column = line[..byte].chars().count() + 1;
    assert_eq!((whole(place, "line"), whole(place, "column")), (4, column as u64));
    assert_ne!(column, byte + 1, "the line has characters of several bytes");
    assert_eq!(place["label"], "diameter: 3 mm");
}

#[test]
fn the_edits_of_remedies_give_a_file_that_reads() {
    let bench = bench();
    let mut tried = 0;
    for file in FILES.iter().map(|f| format!("{f}.rocket.yaml")) {
        let Ok(text) = std::fs::read_to_string(bench.path().join(&file)) else { continue };
        let document = bench.run(&["review", &file, "--rules", "pack.yaml", "--format", "json"]).json();
        let before = document["problems"].as_array().unwrap().len();
        for finding in
            document["designs"].as_array().unwrap().iter().flat_map(|d| d["findings"].as_array().unwrap())
        {
            for remedy in finding["remedies"].as_array().unwrap() {
                let mut edits: Vec<&Json> = remedy["edits"].as_array().unwrap().iter().collect();
                if edits.is_empty() {
                    continue;
                }
                edits.sort_by_key(|e| std::cmp::Reverse(whole(e, "start_byte")));
                let mut changed = text.clone();
                for edit in edits {
                    let range = whole(edit, "start_byte") as usize..whole(edit, "end_byte") as usize;
                    changed.replace_range(range, edit["text"].as_str().unwrap());
                }
                bench.write("tried/rocket.yaml", &changed);
                let again = bench
                    .run(&["review", "tried/rocket.yaml", "--rules", "pack.yaml", "--format", "json"])
                    .json();
                assert_eq!(again["problems"].as_array().unwrap().len(), before, "{file}: {changed}");
                let still = again["designs"][0]["findings"]
                    .as_array()
                    .unwrap()
                    .iter()
                    .any(|f| f["fingerprint"] == finding["fingerprint"]);
                assert_eq!(still, remedy["tried"] == "partly", "{file}: {finding}");
                tried += 1;
            }
        }
    }
    assert!(tried >= 5, "{tried}");
}

#[test]
fn the_fingerprint_is_of_rule_and_subject_and_survives_moved_lines() {
    let bench = bench();
    let prints = |text: &str| {
        bench.write("moved/rocket.yaml", text);
        let document =
            bench.run(&["review", "moved/rocket.yaml", "--rules", "pack.yaml", "--format", "json"]).json();
        let found = document["designs"][0]["findings"].as_array().unwrap().clone();
        found.iter().map(|f| f["fingerprint"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    let first = prints(WIDE);
    // Baselines and the hosts of SARIF keep these for years. `printf 'holdpoint\0wide-vents\0sections.é 日本' | sha256sum` begins
    // with the first, `printf 'holdpoint\0windless\0' | sha256sum` with the second (the rocket's own path is empty).
    for known in ["d5fe66b99ea22a80", "b54bfe7b0fd9c2cf"] {
        assert!(first.iter().any(|print| print == known), "{known} is not in {first:?}");
    }
    assert_eq!(first, prints(&WIDE.replace("\nflight", "\n\n# moved\n\nflight").replace("3 mm", "5 mm")));
}

#[test]
fn the_design_schema_takes_the_specimens_and_refuses_what_is_unknown() {
    let (_, validator) = schema("design");
    for text in [DUAL, MOTOR] {
        let mut design: Json = serde_yaml::from_str(text).unwrap();
        let errors: Vec<String> =
            validator.iter_errors(&design).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(errors.is_empty(), "{errors:?}");
        for (pointer, key) in
            [("", "nmae"), ("/sections/booster", "fin_slot"), ("/sections/booster/tube", "lenght")]
        {
            let mut wrong = design.clone();
            wrong.pointer_mut(pointer).unwrap()[key] = Json::from("x");
            assert!(!validator.is_valid(&wrong), "{key} was taken");
        }
        design["holdpoint"] = Json::from("one");
        assert!(!validator.is_valid(&design));
    }
}

#[test]
fn the_pack_schema_takes_a_pack() {
    let (_, validator) = schema("pack");
    let mut pack: Json = serde_yaml::from_str(PACK).unwrap();
    let errors: Vec<String> =
        validator.iter_errors(&pack).map(|e| format!("{}: {e}", e.instance_path())).collect();
    assert!(errors.is_empty(), "{errors:?}");
    pack["rules"]["windless"]["levle"] = Json::from("error");
    assert!(!validator.is_valid(&pack));
}

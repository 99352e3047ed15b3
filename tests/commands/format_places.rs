//! The places in SARIF and in workflow commands, read back by readers that were written elsewhere.

use std::collections::BTreeMap;

use serde_json::Value as Json;

use super::designs::examples;
use super::formats::{all_files, report, with_waivers};

/// The validator of SARIF 2.1.0, from the standard's own schema.
fn sarif_validator() -> jsonschema::Validator {
    // The one pattern of it (used twice) that is no regular expression to a strict reader: a bracket closes what none opened.
    let text = include_str!("../data/sarif-schema-2.1.0.json");
    assert_eq!(text.matches("2}]?$\"").count(), 2);
    let schema: Json = serde_json::from_str(&text.replace("2}]?$\"", "2}$\"")).unwrap();
    jsonschema::draft7::new(&schema).unwrap()
}

#[test]
fn sarif_follows_the_schema_of_the_standard() {
    let validator = sarif_validator();
    let bench = with_waivers();
    for name in examples() {
        let path = format!("{}/examples/{name}", env!("CARGO_MANIFEST_DIR"));
        bench.write(&format!("examples/{name}"), std::fs::read_to_string(path).unwrap());
    }
    let files = all_files();
    let mut paths: Vec<Vec<&str>> = files.iter().map(|f| vec![f.as_str()]).collect();
    paths.extend([vec!["."], vec!["examples"], vec!["nowhere"]]);
    let mut results = 0;
    for paths in paths {
        for form in ["sarif", "sarif --show-waived"] {
            let log = report(&bench, &paths, form).json();
            let errors: Vec<String> =
                validator.iter_errors(&log).map(|e| format!("{}: {e}", e.instance_path())).collect();
            assert!(errors.is_empty(), "{paths:?}: {errors:?}");
            results += log["runs"][0]["results"].as_array().unwrap().len();
        }
    }
    assert!(results > 100, "{results}");
    let mut log = report(&bench, &["."], "sarif").json();
    log["runs"][0]["results"][0]["extra"] = Json::from(1);
    assert!(!validator.is_valid(&log), "the schema is closed");
}

/// The text between two places, counted in characters from 1, read from the text alone.
fn between(text: &str, from: (u64, u64), to: (u64, u64)) -> String {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let (mut line, mut column) = (1, 1);
    let mut found = String::new();
    for c in text.chars() {
        if (line, column) >= from && (line, column) < to {
            found.push(c);
        }
        if c == '\n' {
            (line, column) = (line + 1, 1);
        } else {
            column += 1;
        }
    }
    found
}

pub(super) fn whole(json: &Json, key: &str) -> u64 {
    json[key].as_u64().unwrap_or_else(|| panic!("{key} of {json}"))
}

/// A path of a URI reference, with its percent signs read.
pub(super) fn unescaped(uri: &str) -> String {
    let mut bytes = Vec::new();
    let mut rest = uri.bytes();
    while let Some(byte) = rest.next() {
        if byte == b'%' {
            let digits: Vec<u8> = rest.by_ref().take(2).collect();
            bytes.push(u8::from_str_radix(std::str::from_utf8(&digits).unwrap(), 16).unwrap());
        } else {
            bytes.push(byte);
        }
    }
    String::from_utf8(bytes).unwrap()
}

#[test]
fn the_places_of_sarif_hold_the_text_they_show() {
    let bench = with_waivers();
    let (mut places, mut wide, mut all_fixes) = (0, 0, 0);
    for file in all_files() {
        let Ok(text) = std::fs::read_to_string(bench.path().join(&file)) else { continue };
        let log = report(&bench, &[&file], "sarif --show-waived").json();
        let run = &log["runs"][0];
        let mut fixes = Vec::new();
        assert_eq!(run["columnKind"], "unicodeCodePoints");
        for result in run["results"].as_array().unwrap() {
            let rule = &run["tool"]["driver"]["rules"][whole(result, "ruleIndex") as usize];
            assert_eq!(rule["id"], result["ruleId"]);
            assert!(rule["help"]["text"].as_str().is_some_and(|t| t.len() > 20), "{rule}");
            let none = Vec::new();
            let related = result["relatedLocations"].as_array().unwrap_or(&none);
            for location in result["locations"].as_array().unwrap().iter().chain(related) {
                let place = &location["physicalLocation"];
                let artifact = &place["artifactLocation"];
                assert_eq!(artifact["uriBaseId"], "SRCROOT");
                let uri = unescaped(artifact["uri"].as_str().unwrap());
                assert_eq!(uri, file);
                let listed = &run["artifacts"][whole(artifact, "index") as usize]["location"];
                assert_eq!(listed["uri"], artifact["uri"]);
                let region = &place["region"];
                let Some(snippet) = region["snippet"]["text"].as_str() else { continue };
                let from = (whole(region, "startLine"), whole(region, "startColumn"));
                let to = (whole(region, "endLine"), whole(region, "endColumn"));
                assert_eq!(between(&text, from, to), snippet, "{file}: {region}");
                if result["ruleId"] != "unreadable" {
                    let label = location["message"]["text"].as_str().unwrap();
                    // In a message of the standard, braces that hold no argument stand twice.
                    let label = label.replace("{{", "{").replace("}}", "}");
                    let snippet = snippet.replace("{{", "{").replace("}}", "}");
                    assert!(!snippet.is_empty() && label.contains(&snippet), "{label}: {snippet}");
                }
                let line = text.lines().nth(from.0 as usize - 1).unwrap_or("");
                let before: String = line.chars().take(from.1 as usize - 1).collect();
                wide += usize::from(!before.is_ascii());
                places += 1;
            }
            for fix in result["fixes"].as_array().unwrap_or(&none) {
                for replacement in fix["artifactChanges"][0]["replacements"].as_array().unwrap() {
                    let region = &replacement["deletedRegion"];
                    let from = (whole(region, "startLine"), whole(region, "startColumn"));
                    let to = (whole(region, "endLine"), whole(region, "endColumn"));
                    let new = replacement["insertedContent"]["text"].as_str().unwrap();
                    fixes.push((between(&text, from, to), new.to_owned()));
                }
            }
        }
        // The contract's own edits, by bytes.
        let document = report(&bench, &[&file], "json").json();
        let findings =
            document["designs"].as_array().unwrap().iter().flat_map(|d| d["findings"].as_array().unwrap());
        let remedies =
            findings.flat_map(|f| f["remedies"].as_array().unwrap()).filter(|r| r["tried"] == "clears");
        let edits: Vec<(String, String)> = remedies
            .flat_map(|r| r["edits"].as_array().unwrap())
            .map(|e| {
                let bytes = whole(e, "start_byte") as usize..whole(e, "end_byte") as usize;
                (text[bytes].to_owned(), e["text"].as_str().unwrap().to_owned())
            })
            .collect();
        assert_eq!(fixes, edits, "{file}");
        all_fixes += fixes.len();
    }
    assert!(places > 20 && wide > 5 && all_fixes >= 5, "{places} {wide} {all_fixes}");
}

/// A workflow command: its level, its properties and its message, with the escapes read back.
pub(super) struct Annotation {
    pub(super) level: String,
    pub(super) properties: BTreeMap<String, String>,
    pub(super) message: String,
}

/// Reads a line as GitHub's runner does, by the documented form: `::name key=value,key=value::message`.
pub(super) fn annotation(line: &str) -> Option<Annotation> {
    let (head, message) = line.trim_start().strip_prefix("::")?.split_once("::")?;
    let (level, properties) = head.split_once(' ')?;
    let data = |t: &str| t.replace("%0D", "\r").replace("%0A", "\n").replace("%25", "%");
    let property = |t: &str| {
        t.replace("%0D", "\r")
            .replace("%0A", "\n")
            .replace("%3A", ":")
            .replace("%2C", ",")
            .replace("%25", "%")
    };
    let properties = properties
        .split(',')
        .map(|pair| pair.split_once('=').unwrap_or_else(|| panic!("{line}")))
        .map(|(key, value)| (key.to_owned(), property(value)))
        .collect();
    Some(Annotation { level: level.to_owned(), properties, message: data(message) })
}

/// Whether an annotation says what is not written down, for several rules at once.
pub(super) fn is_grouped(annotation: &Annotation) -> bool {
    annotation.properties["title"].starts_with("not-written-down")
}

#[test]
fn the_places_of_workflow_commands_are_those_of_the_contract() {
    let bench = with_waivers();
    let mut compared = 0;
    for file in all_files() {
        let Ok(text) = std::fs::read_to_string(bench.path().join(&file)) else { continue };
        let document = report(&bench, &[&file], "json").json();
        let run = report(&bench, &[&file], "github");
        let reported: Vec<Annotation> = run.out.lines().filter_map(annotation).collect();
        let all: Vec<&Json> = document["designs"]
            .as_array()
            .unwrap()
            .iter()
            .flat_map(|d| d["findings"].as_array().unwrap())
            .filter(|f| f["outcome"] != "unproven" || f["standing"] != "shown")
            .collect();
        let standing = |at: &str| all.iter().copied().filter(|f| f["standing"] == at).collect::<Vec<&Json>>();
        let (findings, waived) = (standing("shown"), standing("waived"));
        let (grouped, reported): (Vec<Annotation>, Vec<Annotation>) =
            reported.into_iter().partition(is_grouped);
        assert!(grouped.iter().all(|one| one.message.contains(" wait")), "{file}");
        let problems = document["problems"].as_array().unwrap();
        // What is waived is a notice at its place, after what is shown.
        assert_eq!(reported.len(), findings.len() + problems.len() + waived.len(), "{file}");
        for (annotation, finding) in reported.iter().skip(problems.len()).zip(findings) {
            let number = |key: &str| annotation.properties[key].parse::<u64>().unwrap();
            let place = &finding["places"][0];
            assert_eq!(annotation.properties["file"], file);
            let level = finding["level"].as_str().unwrap().replace("note", "notice");
            assert_eq!(annotation.level, level);
            assert!(annotation.message.starts_with(finding["message"].as_str().unwrap()));
            let found =
                between(&text, (number("line"), number("col")), (number("endLine"), number("endColumn")));
            let bytes = whole(place, "start_byte") as usize..whole(place, "end_byte") as usize;
            assert_eq!(found, text[bytes], "{file}: {:?}", annotation.properties);
            compared += 1;
        }
    }
    assert!(compared > 10, "{compared}");
}

//! What changes how a design is judged: none of it works unseen, in any form of report.

use serde_json::Value as Json;

use super::{Bench, DUAL, swap};

/// A club with settings and the specimen on a rail that is too short by the pack's own limit.
fn club(settings: &str) -> Bench {
    let bench = Bench::new();
    bench.write("holdpoint.yaml", format!("settings: 1\n{settings}"));
    bench.write("designs/a.rocket.yaml", swap(DUAL, "rail: 96 in", "rail: 60 in"));
    bench
}

/// A report of a club's designs in a form, with all that is in it on one line.
fn report(bench: &Bench, format: &str, more: &[&str]) -> String {
    let own = ["review", "designs", "--today", "2026-06-01", "--format", format];
    let run = bench.run(&[&own, more].concat());
    let marked = |word: &&str| !["│", "×", "·"].contains(word);
    let all = run.all().split_whitespace().filter(marked).collect::<Vec<_>>().join(" ");
    // A page sets as code what the others quote.
    all.replace("<code>", "`").replace("</code>", "`")
}

/// Words that every form of report has.
#[track_caller]
fn in_every_form(bench: &Bench, words: &str, more: &[&str]) {
    for format in bench.words(&["review", "--format"]) {
        let report = report(bench, &format, more);
        // JSON says the same in pieces.
        assert!(format == "json" || report.contains(words), "{format}: `{words}` is not in {report}");
    }
}

fn json(bench: &Bench, more: &[&str]) -> Json {
    let own = ["review", "designs", "--today", "2026-06-01", "--format", "json"];
    bench.run(&[&own, more].concat()).json()
}

fn findings(report: &Json, rule: &str) -> Vec<Json> {
    let all = report["designs"][0]["findings"].as_array().unwrap();
    all.iter().filter(|finding| finding["rule"] == rule).cloned().collect()
}

const SLOW: &str = "rail-exit-fast-enough";

#[test]
fn a_limit_on_the_other_side_of_zero_is_refused() {
    for is in ["0 ft/s", "-5 ft/s"] {
        let bench = club(&format!(
            "limits: [{{pack: rail, limit: least_rail_exit_speed, is: {is}, reason: ours}}]\n"
        ));
        let run = bench.run(&["review", "designs"]);
        run.code(2)
            .has(&format!("`least_rail_exit_speed` is 45 ft/s in its pack; at {is}"))
            .has("under `switched_off`");
        // The pack's own value is judged by.
        assert_eq!(findings(&json(&bench, &[]), SLOW).len(), 1, "{is}");
    }
    let bench = club("limits: [{pack: charges, limit: break_factor, is: 0, reason: ours}]\n");
    bench.run(&["review", "designs"]).code(2).has("`break_factor` is 1.5 in its pack; at 0");
}

#[test]
fn a_limit_by_which_a_condition_is_fixed_is_refused() {
    let bench = club("limits: [{pack: joints, limit: least_pins, is: 1, reason: ours}]\n");
    bench
        .run(&["review", "designs", "--format", "concise"])
        .code(2)
        .has("holdpoint.yaml:2:48: error[unreadable] with `least_pins` at 1, `shear_pins.count >= least_pins` of `pins-not-alone` always comes out true");
    let bench = club("limits: [{pack: joints, limit: least_pins, is: 3, reason: ours}]\n");
    assert!(bench.run(&["review", "designs"]).code < 2);
}

#[test]
fn limits_and_levels_that_depart_from_a_pack_stand_in_every_report() {
    let bench = club(
        "limits: [{pack: rail, limit: least_rail_exit_speed, is: 30 ft/s, reason: our rail is stiff}]\n\
         levels: [{rule: bay-vent-area, level: note, reason: our launcher is a tower}]\n",
    );
    in_every_form(
        &bench,
        "limit rail.least_rail_exit_speed is 30 ft/s, and its pack says 45 ft/s (holdpoint.yaml, line 2: our rail is stiff)",
        &[],
    );
    in_every_form(
        &bench,
        "rule bay-vent-area is of level note, and its pack says error (holdpoint.yaml, line 3: our launcher is a tower)",
        &[],
    );
    let report = json(&bench, &[]);
    assert!(findings(&report, SLOW).is_empty());
    let departures = &report["designs"][0]["departures"];
    assert_eq!(departures[0]["kind"], "limit");
    assert_eq!((&departures[0]["was"], &departures[0]["is"]), (&"45 ft/s".into(), &"30 ft/s".into()));
    assert_eq!((&departures[1]["kind"], &departures[1]["was"]), (&"level".into(), &"error".into()));
    // What says the same as the pack departs from nothing.
    let bench = club("limits: [{pack: rail, limit: least_rail_exit_speed, is: 45 ft/s, reason: ours}]\n");
    assert_eq!(json(&bench, &[])["designs"][0]["departures"].as_array().unwrap().len(), 0);
}

fn off(until: &str) -> Bench {
    club(&format!(
        "switched_off:\n  - {{rule: {SLOW}, reason: our launcher is a tower, by: Club Officer, until: {until}}}\n"
    ))
}

#[test]
fn a_rule_that_is_switched_off_judges_nothing_and_every_report_says_so() {
    let bench = off("2026-06-01");
    in_every_form(
        &bench,
        &format!(
            "rule {SLOW} is switched off until 2026-06-01, by Club Officer (holdpoint.yaml, line 3: our launcher is a tower)"
        ),
        &[],
    );
    // Nothing hides it: neither the level that is shown nor a baseline.
    in_every_form(&bench, "is switched off until", &["--level", "error"]);
    bench.run(&["review", "designs", "--baseline", "known.json", "--write-baseline"]).code(0);
    in_every_form(&bench, "is switched off until", &["--baseline", "known.json"]);
    let report = json(&bench, &[]);
    assert!(findings(&report, SLOW).is_empty());
    assert_eq!(report["designs"][0]["departures"][0]["by"], "Club Officer");
    assert_eq!(report["designs"][0]["departures"][0]["until"], "2026-06-01");
    bench
        .run(&["review", "--show-settings", "designs/a.rocket.yaml"])
        .code(0)
        .has("off until 2026-06-01, by Club Officer");
}

#[test]
fn a_rule_whose_time_off_is_over_judges_again_and_says_so() {
    let bench = off("2026-05-31");
    let report = json(&bench, &[]);
    assert_eq!(findings(&report, SLOW)[0]["level"], "error");
    assert_eq!(report["designs"][0]["departures"].as_array().unwrap().len(), 0);
    let over = findings(&report, "switched-off-expired");
    assert_eq!(over[0]["level"], "warning");
    let words =
        format!("`{SLOW}` was switched off until 2026-05-31, and judges again (holdpoint.yaml, line 3)");
    assert_eq!(over[0]["message"], words.as_str());
    in_every_form(&bench, &words, &[]);
}

#[test]
fn only_a_rule_of_a_pack_is_switched_off_and_by_someone() {
    for (entry, words) in [
        (
            "{rule: rail-exit-fast-enouhg, reason: r, by: b, until: 2027-01-01}",
            "did you mean `rail-exit-fast-enough`?",
        ),
        ("{rule: waiver-expired, reason: r, by: b, until: 2027-01-01}", "is a rule of the program itself"),
        ("{rule: rail-exit-fast-enough, by: b, until: 2027-01-01}", "reason"),
        ("{rule: rail-exit-fast-enough, reason: r, until: 2027-01-01}", "by"),
        ("{rule: rail-exit-fast-enough, reason: r, by: b}", "until"),
    ] {
        let bench = club(&format!("switched_off: [{entry}]\n"));
        bench.run(&["review", "designs"]).code(2).has(words);
        assert_eq!(findings(&json(&bench, &[]), SLOW).len(), 1, "{entry}");
    }
}

/// A club's CI takes no lever from what a pull request brings.
#[test]
fn a_run_that_is_locked_to_settings_ignores_nearer_ones_and_names_them() {
    let bench = off("2027-01-01");
    bench.write(
        "ci/club.yaml",
        "settings: 1\nlevels: [{rule: bay-vent-area, level: warning, reason: ours}]\n",
    );
    bench.write("designs/holdpoint.yaml", "settings: 1\nextends: ../holdpoint.yaml\npacks: [nowhere]\n");
    bench.run(&["review", "designs"]).code(2);
    let locked = ["--locked", "ci/club.yaml"];
    let report = json(&bench, &locked);
    assert_eq!(findings(&report, SLOW)[0]["level"], "error");
    assert_eq!(report["problems"].as_array().unwrap().len(), 0);
    in_every_form(
        &bench,
        "settings designs/holdpoint.yaml are ignored: the run is locked to ci/club.yaml",
        &locked,
    );
    in_every_form(&bench, "rule bay-vent-area is of level warning", &locked);
    // Settings that the locked ones extend are theirs.
    bench.write("ci/club.yaml", "settings: 1\nextends: ../designs/more.yaml\n");
    bench.write(
        "designs/more.yaml",
        "settings: 1\nlevels: [{rule: rail-exit-fast-enough, level: note, reason: r}]\n",
    );
    assert_eq!(findings(&json(&bench, &locked), SLOW)[0]["level"], "note");
    bench
        .run(&["review", "designs", "--locked", "gone.yaml"])
        .code(2)
        .has("gone.yaml")
        .has("there is no such file");
    let ignored = "settings designs/holdpoint.yaml are ignored";
    let design = "designs/a.rocket.yaml";
    for arguments in [
        &["mend", "--diff", design][..],
        &["compare", design, design],
        &["explain", design, "apogee"],
        &["checklist", design],
        &["failures", design],
        &["packet", design],
        &["pass", "parts", design, "--by", "A. Mentor"],
    ] {
        let run = bench.run(&[arguments, &locked].concat());
        assert!(run.has(ignored).code < 2, "{arguments:?}: {run:?}");
    }
}

#[test]
fn settings_may_ask_that_no_design_waives_by_itself() {
    let bench = club("waivers_need: [settings]\n");
    let waiver =
        "\nwaivers:\n  - {rule: rail-exit-fast-enough, reason: r, by: b, until: 2027-01-01, margin: -0.06}\n";
    let text = std::fs::read_to_string(bench.path().join("designs/a.rocket.yaml")).unwrap();
    bench.write("designs/a.rocket.yaml", text + waiver);
    let report = json(&bench, &[]);
    assert_eq!(findings(&report, SLOW)[0]["standing"], "shown");
    let about = findings(&report, "waiver-incomplete");
    assert!(about[0]["message"].as_str().unwrap().contains("the club's settings alone waive"), "{about:?}");
    bench.write("holdpoint.yaml", "settings: 1\n");
    assert_eq!(findings(&json(&bench, &[]), SLOW)[0]["standing"], "waived");
}

#[test]
fn a_log_says_what_could_not_be_reviewed_and_how_results_compare_with_a_baseline() {
    let bench = club("");
    let log = |more: &[&str]| -> Json {
        let own = ["review", "--today", "2026-06-01", "--format", "sarif"];
        bench.run(&[&own, more].concat()).json()["runs"][0].clone()
    };
    let run = log(&["designs", "gone.rocket.yaml"]);
    let invocation = &run["invocations"][0];
    assert_eq!(invocation["executionSuccessful"], false);
    let reported = &invocation["toolExecutionNotifications"];
    assert_eq!(reported.as_array().unwrap().len(), 1, "{reported}");
    assert_eq!(reported[0]["level"], "error");
    let place = &reported[0]["locations"][0]["physicalLocation"]["artifactLocation"];
    assert_eq!(place["uri"], "gone.rocket.yaml");
    assert!(log(&["designs"])["invocations"][0].get("toolExecutionNotifications").is_none());

    bench
        .run(&["review", "designs", "--today", "2026-06-01", "--baseline", "known.json", "--write-baseline"])
        .code(0);
    let known = ["designs", "--baseline", "known.json"];
    assert_eq!(log(&known)["results"].as_array().unwrap().len(), 0);
    let all = log(&[&known[..], &["--show-waived"]].concat())["results"].clone();
    let all = all.as_array().unwrap();
    assert!(!all.is_empty());
    for result in all {
        assert_eq!(result["baselineState"], "unchanged");
        assert_eq!(result["suppressions"][0]["kind"], "external");
    }
    bench.write("designs/a.rocket.yaml", swap(DUAL, "rail: 96 in", "rail: 48 in"));
    let results = log(&known)["results"].clone();
    let states = |rule: &str| -> Vec<Json> {
        let mine = results.as_array().unwrap().iter().filter(|r| r["ruleId"] == rule);
        mine.map(|r| r["baselineState"].clone()).collect()
    };
    assert_eq!(states(SLOW), ["updated"]);
}

#[test]
fn no_report_says_where_the_folder_of_the_run_lies() {
    let bench = club("");
    bench.write("ci/empty", "");
    let whole = bench.path().canonicalize().unwrap();
    let design = whole.join("designs/a.rocket.yaml");
    let from = |folder: &str, form: &str| {
        let output = std::process::Command::new(env!("CARGO_BIN_EXE_holdpoint"))
            .args(["review", design.to_str().unwrap(), "--today", "2026-06-01", "--format", form])
            .current_dir(whole.join(folder))
            .output()
            .unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    for form in ["sarif", "github", "junit"] {
        for (folder, path) in [("", "designs/a.rocket.yaml"), ("ci", "../designs/a.rocket.yaml")] {
            let report = from(folder, form);
            assert!(report.contains(path), "{form} from `{folder}`: {report}");
            assert!(
                !report.contains(whole.to_str().unwrap()) && !report.contains("file://"),
                "{form}: {report}"
            );
        }
    }
}

#[test]
fn what_is_taken_on_the_authors_word_stands_in_every_report() {
    let bench = club("");
    let design = swap(
        DUAL,
        "statics: {count: 3,",
        "statics: {count: 1, because: \"one large port,\n        by its maker\",",
    ) + "\ndrag: {coefficient: 0.4}\n";
    bench.write("designs/a.rocket.yaml", design);
    for words in
        ["sections.av_bay.vents.statics.because: \"one large port, by its maker\"", "drag.coefficient: 0.4"]
    {
        for format in ["text", "concise", "junit", "github", "html", "sarif"] {
            let quoted = match format {
                "junit" | "html" => words.replace('"', "&quot;"),
                "sarif" => words.replace('"', "\\\""),
                _ => words.to_owned(),
            };
            let report = report(&bench, format, &["--level", "error"]);
            assert!(report.contains(&quoted), "{format}: `{quoted}` is not in {report}");
            assert!(report.to_lowercase().contains("taken on the author"), "{format}: {report}");
        }
    }
    let report = json(&bench, &[]);
    let said = report["designs"][0]["on_word"].as_array().unwrap();
    assert_eq!(said.len(), 2, "{said:?}");
    assert_eq!(said[0]["place"]["key"], "sections.av_bay.vents.statics.because");
    // It is in no report of a design that says nothing so.
    bench.write("designs/a.rocket.yaml", DUAL);
    for format in bench.words(&["review", "--format"]) {
        assert!(
            !super::levers::report(&bench, &format, &[]).to_lowercase().contains("on the author"),
            "{format}"
        );
    }
}

/// A value that the starter put in as usual is shown as such until its mark is taken out.
#[test]
fn what_was_taken_for_granted_stands_in_every_report() {
    let bench = club("");
    bench.write(
        "designs/a.rocket.yaml",
        swap(DUAL, "rail: 96 in", "rail: 96 in   # taken for granted: check it"),
    );
    for format in ["text", "concise", "junit", "github", "html", "sarif"] {
        let report = report(&bench, format, &["--level", "error"]);
        assert!(report.contains("1 line: a usual value that nobody was asked for"), "{format}: {report}");
    }
    let report = json(&bench, &[]);
    let said = &report["designs"][0]["on_word"][0];
    assert_eq!(said["place"]["label"], "# taken for granted: check it");
}

#[test]
fn a_waiver_in_a_design_stands_in_every_report() {
    let bench = club("");
    let waiver = "\nwaivers:\n  - {rule: rail-exit-fast-enough, reason: a calm field, by: Club Officer, until: 2027-01-01, margin: -0.06}\n";
    bench.write("designs/a.rocket.yaml", swap(DUAL, "rail: 96 in", "rail: 60 in") + waiver);
    for format in bench.words(&["review", "--format"]) {
        let more: &[&str] = if format == "sarif" { &["--show-waived"] } else { &[] };
        let report = report(&bench, &format, more);
        assert!(report.contains("2027-01-01") && report.contains(SLOW), "{format}: {report}");
        assert!(
            report.contains("waived") || report.contains("Waived") || report.contains("suppressions"),
            "{format}"
        );
    }
}

#[test]
fn by_which_codes_a_rocket_was_judged_and_what_was_passed_stands_in_reports() {
    let bench = Bench::new();
    bench.write("designs/a.rocket.yaml", DUAL);
    bench
        .run(&["pass", "parts", "designs/a.rocket.yaml", "--by", "A. Mentor", "--today", "2026-06-01"])
        .code(0);
    for (code, judged) in [("", false), ("\ncodes: [irec_guide_2023]\n", true)] {
        bench.write("designs/a.rocket.yaml", format!("{DUAL}{code}"));
        let report = json(&bench, &[]);
        let codes = report["designs"][0]["codes"].as_array().unwrap();
        assert_eq!(codes.iter().find(|c| c["pack"] == "irec_guide_2023").unwrap()["judged"], judged);
        assert_eq!(report["designs"][0]["passed"][0]["by"], "A. Mentor");
        for format in ["concise", "junit", "sarif"] {
            let report = super::levers::report(&bench, format, &[]);
            let (yes, no) =
                report.split_once("codes: judged by ").unwrap().1.split_once("; not by ").unwrap();
            assert_eq!(yes.contains("irec_guide_2023"), judged, "{format}");
            assert_eq!(
                no.split(['"', '\n', ':']).next().unwrap().contains("irec_guide_2023"),
                !judged,
                "{format}"
            );
            assert!(report.contains("parts passed on 2026-06-01 by A. Mentor"), "{format}");
        }
        for format in ["text", "html"] {
            let report = super::levers::report(&bench, format, &[]);
            assert!(
                report.contains("irec_guide_2023") && report.contains("passed on 2026-06-01 by A. Mentor"),
                "{format}"
            );
        }
    }
}

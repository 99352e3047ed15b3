//! Files that cannot be read, whole or in part: the message, the place, the exit code, and that the rest goes on.

use std::fs::File;
use std::io::Write as _;

use super::{Bench, DUAL, swap};

/// Reviews one bad file beside a good one, and checks that the message stands at its place and that the good one is reviewed.
#[track_caller]
fn refused(bytes: impl AsRef<[u8]>, place: &str, message: &str, help: &str) {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", bytes);
    bench.write("b.rocket.yaml", DUAL);
    let run = bench.run(&["review", "a.rocket.yaml", "b.rocket.yaml", "--format", "concise"]);
    run.code(2).has(&format!("a.rocket.yaml:{place}: error[unreadable] ")).has("b.rocket.yaml: ");
    let line = run.out.lines().find(|l| l.starts_with(&format!("a.rocket.yaml:{place}: ")));
    assert!(line.unwrap().contains(message), "{message} is not in {line:?}");
    let json = bench.run(&["review", "a.rocket.yaml", "b.rocket.yaml", "--format", "json"]);
    let document = json.code(2).json();
    let problem = document["problems"]
        .as_array()
        .unwrap()
        .iter()
        .find(|p| p["message"].as_str().unwrap().contains(message))
        .unwrap();
    assert!(problem["help"].as_str().unwrap_or("").contains(help), "{help} is not in {problem}");
    if !problem["place"].is_null() {
        assert_eq!(format!("{}:{}", problem["place"]["line"], problem["place"]["column"]), place);
    }
    let good = document["designs"].as_array().unwrap().iter().any(|d| d["path"] == "b.rocket.yaml");
    assert!(good, "the good file was not reviewed: {document}");
    bench.run(&["review", "a.rocket.yaml", "b.rocket.yaml"]).code(2).has(message.split(' ').next().unwrap());
}

#[test]
fn text_that_is_no_yaml() {
    refused(b"holdpoint: 1\nname: A\xff\n", "2:8", "not UTF-8 text: byte 20, in line 2", "save it as UTF-8");
    refused(
        "holdpoint: 1\nname: é\n".as_bytes().iter().copied().chain(*b"\xc3").collect::<Vec<u8>>(),
        "3:1",
        "not UTF-8",
        "",
    );
    refused("holdpoint: 1\nsections:\n\tnose: {}\n", "3:1", "a tab indents this line", "spaces");
    refused("holdpoint: 1\nsections: {nose: [\n", "2:18", "a `[` is never closed", "");
    refused("", "1:1", "the file is empty", "it starts with `holdpoint: …`");
    refused("# only\n# comments\n", "1:1", "the file is empty", "holdpoint");
    refused("- a\n- b\n", "1:1", "there is no rocket here", "holdpoint");
    refused("holdpoint: 1\n---\nholdpoint: 1\n", "2:1", "a second document starts here", "split the file");
}

#[test]
fn keys_that_are_twice_or_unknown() {
    refused("holdpoint: 1\nname: A\nname: B\n", "3:1", "`name` is written twice", "");
    refused("holdpoint: 1\nnmae: A\n", "2:1", "a rocket has no `nmae`", "did you mean `name`?");
    refused("holdpoint: 1\nzzzzzzzz: A\n", "2:1", "a rocket has no `zzzzzzzz`", "it may have `holdpoint`");
    refused("name: A\n", "1:1", "`holdpoint` is missing here", "version of the design format");
    refused(
        "holdpoint: 2\n",
        "1:12",
        "design format 2 is not one this program reads",
        "write `holdpoint: 1`",
    );
    refused("holdpoint: 1\nmotors: {}\n", "2:1", "`motors` is not covered yet: clusters", "");
    refused("holdpoint: 1\nstages: []\n", "2:1", "`stages` is not covered yet: more than one stage", "");
    refused("holdpoint: 1\nboosters: []\n", "2:1", "`boosters` is not covered yet", "");
}

#[test]
fn values_that_make_no_sense() {
    let mass = |value: &str| format!("holdpoint: 1\nsections: {{a: {{mass: {value}}}}}\n");
    for (value, message, help) in [
        ("24", "`24` has no unit; expected a mass", "`24 oz`"),
        ("24 ft", "expected a mass, found `24 ft`, a length", ""),
        ("24 ounzes", "`ounzes` is not a unit known here", ""),
        ("-1 oz", "`-1 oz` is not more than zero", ""),
        ("0 oz", "`0 oz` is not more than zero", ""),
        ("1 oz ± 2 oz", "is not more than zero", ""),
        ("nan kg", "`nan kg` is not a number", ""),
        (".nan", "`.nan` is not a number", ""),
        ("inf kg", "`inf kg` is not a number", ""),
        ("-.inf", "is not a number", ""),
        ("1e308 kg", "no rocket has a value this large", ""),
        ("1e999 kg", "no rocket has a value this large", ""),
        ("[1 oz]", "expected a mass, not a map or a list", ""),
        ("{a: 1}", "expected a mass, not a map or a list", ""),
    ] {
        let bench = Bench::new();
        bench.write("a.rocket.yaml", mass(value));
        let run = bench.run(&["review", "a.rocket.yaml", "--format", "json"]);
        let document = run.code(2).json();
        let problem = &document["problems"][0];
        assert!(problem["message"].as_str().unwrap().contains(message), "{value}: {problem}");
        assert!(problem["help"].as_str().unwrap_or("").contains(help), "{value}: {problem}");
        assert_eq!(problem["place"]["line"], 2, "{value}");
        let column = problem["place"]["column"].as_u64().unwrap();
        assert!((22..23 + value.len() as u64).contains(&column), "{value}: {problem}");
    }
    refused("holdpoint: 1\nsections: 3 in\n", "2:11", "each section is written under its own name", "a_name");
    refused(
        "holdpoint: 1\nseeks: level 9\n",
        "2:8",
        "`level 9` is not a word known here",
        "did you mean `level",
    );
    changed(
        "arm_a: {kind: screw, reachable_from_outside: true",
        "arm_a: {kind: screw, reachable_from_outside: yes",
        "yes",
        "expected `true` or `false`",
        "write `true`",
    );
    changed(
        "rods: {count: 2,",
        "rods: {count: two,",
        "two",
        "expected a whole number, not `two`",
        "write `2`",
    );
    changed("rods: {count: 2,", "rods: {count: 1.5,", "1.5", "expected a whole number, not `1.5`", "");
    changed("rods: {count: 2,", "rods: {count: 0,", "0", "expected a whole number of at least 1", "");
}

/// A specimen with one piece changed, refused at `at` inside what was written instead.
#[track_caller]
fn changed(old: &str, new: &str, at: &str, message: &str, help: &str) {
    let text = swap(DUAL, old, new);
    let byte = text.find(new).unwrap() + new.find(at).unwrap();
    let line = text[..byte].matches('\n').count() + 1;
    let column = text[..byte].rsplit('\n').next().unwrap().chars().count() + 1;
    refused(text, &format!("{line}:{column}"), message, help);
}

#[test]
fn references_that_lead_nowhere() {
    changed(
        "main_joint:\n    between: [nose, payload]",
        "main_joint:\n    between: [nose, paylaod]",
        "paylaod",
        "no section is named `paylaod`",
        "did you mean `payload`?",
    );
    changed(
        "fires: drogue_primary",
        "fires: starter",
        "starter",
        "no charge is named `starter`",
        "`drogue_primary`",
    );
    // A thing of another kind bears the name.
    changed(
        "main_primary: {joint: main_joint,",
        "main_primary: {joint: payload,",
        "payload",
        "no joint is named `payload`",
        "apogee_joint",
    );
    changed(
        "drogue: {packed_in: booster,",
        "drogue: {packed_in: apogee_joint,",
        "apogee_joint",
        "no section is named `apogee_joint`",
        "",
    );
    changed("fires: main_backup", "fires: arm_a", "arm_a", "no charge is named `arm_a`", "");
    // `primary` is the name of two altimeters once another section has one.
    let two = swap(DUAL, "  payload:\n    tube:", "  payload:\n    altimeters: {primary: {}}\n    tube:");
    let line = two.lines().position(|l| l == "      altimeter: primary").unwrap() + 1;
    refused(two, &format!("{line}:18"), "more than one altimeter is named `primary`", "`payload.primary`");
    changed(
        "drogue_primary: {",
        "drogue_primary: {backs_up: drogue_backup, ",
        "drogue_backup",
        "backs up itself in a circle",
        "fires first",
    );
    changed(
        "backs_up: main_primary",
        "backs_up: main_backup",
        "main_backup",
        "`main_backup` backs up itself",
        "",
    );
}

#[test]
fn files_made_to_harm() {
    let mut bomb = String::from("holdpoint: 1\na0: &a0 [x,x,x,x,x,x,x,x,x]\n");
    for i in 1..12 {
        bomb.push_str(&format!("a{i}: &a{i} [{}]\n", vec![format!("*a{}", i - 1); 9].join(",")));
    }
    refused(bomb, "7:10", "the aliases of this file stand for too much", "");
    refused(
        format!("holdpoint: 1\nname: {}{}\n", "[".repeat(10_000), "]".repeat(10_000)),
        "2:71",
        "nested deeper than 64 levels",
        "",
    );
    // A level a line, each one column further in, up to the largest file.
    let steps: String = (0..2_000).map(|i| format!("{}a:\n", " ".repeat(i))).collect();
    refused(format!("holdpoint: 1\n{steps}"), "66:65", "nested deeper than 64 levels", "");
    refused("holdpoint: 1\nname: &a [*a]\n", "2:11", "stands for a part that holds the alias itself", "");
    let long = "k".repeat(300_000);
    refused(format!("holdpoint: 1\n? {long}\n: 1\n"), "2:3", "a rocket has no `kkkk", "");
    refused(
        vec![b'#'; 5 << 20],
        "1:1",
        "the file has 5242880 bytes; one above 4 MiB is not read",
        "is this the right file?",
    );
}

#[test]
fn a_file_of_nothing_but_mistakes_gets_a_report_of_a_length_to_read() {
    let bench = Bench::new();
    let keys: String = (0..5_000).map(|i| format!("k{i}: 1\n")).collect();
    bench.write("a.rocket.yaml", format!("holdpoint: 1\n{keys}"));
    let started = std::time::Instant::now();
    let run = bench.run(&["review", "a.rocket.yaml"]);
    run.code(2).has("a rocket has no `k0`").has("and 4900 more mistakes in this file");
    assert!(started.elapsed().as_secs() < 10, "{:?}", started.elapsed());
    let long = format!("holdpoint: 1\n? {}\n: 1\n", "k".repeat(300_000));
    bench.write("a.rocket.yaml", long);
    let run = bench.run(&["review", "a.rocket.yaml", "--format", "concise"]);
    assert!(run.code(2).out.len() < 10_000, "{}", run.out.len());
}

#[test]
fn ten_mistakes_of_one_file_are_told_in_one_run() {
    let bench = Bench::new();
    bench.write(
        "ten.rocket.yaml",
        "holdpoint: 1\nnmae: A\nseeks: level 9\nsections:\n  a:\n    mass: 24\n    filled: 3 ft\n    tube: {length: 0 in, outer_diameter: [1], material: fibreglas}\n    vents: {v: {count: 1.5, at: 3 in from}}\njoints:\n  j: {between: [a, b]}\n",
    );
    let run = bench.run(&["review", "ten.rocket.yaml", "--format", "concise"]);
    let places: Vec<&str> = run
        .code(2)
        .out
        .lines()
        .filter(|l| l.contains("[unreadable]"))
        .filter_map(|l| l.split(": ").next())
        .collect();
    let expected = ["2:1", "3:8", "6:11", "7:13", "8:20", "8:42", "8:57", "9:24", "9:33", "11:20"];
    let expected: Vec<String> = expected.iter().map(|p| format!("ten.rocket.yaml:{p}")).collect();
    assert_eq!(places, expected);
}

#[test]
fn a_file_of_100_mb_is_not_read() {
    let bench = Bench::new();
    File::create(bench.path().join("huge.rocket.yaml")).unwrap().set_len(100 << 20).unwrap();
    bench.write("ok.rocket.yaml", DUAL);
    // The shell's limit on memory leaves room for the program, not for the file.
    let output = std::process::Command::new("sh")
        .args(["-c", "ulimit -v 90000; RAYON_NUM_THREADS=1 exec \"$0\" review . --format concise"])
        .arg(env!("CARGO_BIN_EXE_holdpoint"))
        .current_dir(bench.path())
        .output()
        .unwrap();
    let out = String::from_utf8_lossy(&output.stdout);
    assert_eq!(output.status.code(), Some(2), "{output:?}");
    assert!(out.contains("huge.rocket.yaml:1:1: error[unreadable] the file has 104857600 bytes"), "{out}");
    assert!(out.contains("ok.rocket.yaml: "), "{out}");
}

#[cfg(unix)]
#[test]
fn an_input_without_end_is_left_off() {
    let endless = std::fs::File::open("/dev/zero").unwrap();
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_holdpoint"))
        .args(["review", "-", "--format", "concise"])
        .stdin(endless)
        .output()
        .unwrap();
    let out = String::from_utf8_lossy(&output.stdout);
    assert_eq!(output.status.code(), Some(2), "{output:?}");
    assert!(out.contains("standard input:1:1: error[unreadable] the text goes on after 4 MiB"), "{out}");
    let run = Bench::new().run(&["review", "/dev/zero", "--format", "concise"]);
    run.code(2).has("/dev/zero:1:1: error[unreadable] this is a device, not a plain file");
}

/// A pipe that nobody writes to would be waited for without end.
#[cfg(unix)]
#[test]
fn only_plain_files_are_read_and_the_others_are_named() {
    let bench = Bench::new();
    bench.write("club/ok.rocket.yaml", DUAL);
    bench.write("packs/p.yaml", "pack: ours\nabout: Ours.\nrules: {}\n");
    let pipe = |name: &str| {
        let made = std::process::Command::new("mkfifo").arg(bench.path().join(name)).status().unwrap();
        assert!(made.success(), "mkfifo {name}");
    };
    pipe("club/x.rocket.yaml");
    std::os::unix::fs::symlink("/dev/zero", bench.path().join("club/z.rocket.yaml")).unwrap();
    let _socket = std::os::unix::net::UnixListener::bind(bench.path().join("club/s.rocket.yaml")).unwrap();
    let run = bench.run(&["review", "club", "--format", "concise"]);
    run.code(2)
        .has("club/x.rocket.yaml:1:1: error[unreadable] this is a named pipe, not a plain file")
        .has("club/s.rocket.yaml:1:1: error[unreadable] this is a socket, not a plain file")
        .has("club/z.rocket.yaml:1:1: error[unreadable] this link leads out of the folders")
        .has("club/ok.rocket.yaml: clear");
    for arguments in [
        &["review", "club/x.rocket.yaml"][..],
        &["explain", "club/x.rocket.yaml", "apogee"],
        &["mend", "club/x.rocket.yaml"],
        &["compare", "club/x.rocket.yaml", "club/ok.rocket.yaml"],
        &["review", "club/ok.rocket.yaml", "--baseline", "club/x.rocket.yaml"],
    ] {
        bench.run(arguments).code(2).has("this is a named pipe, not a plain file");
    }
    pipe("packs/q.yaml");
    for arguments in [&["review", "club/ok.rocket.yaml", "--rules", "packs"][..], &["trial", "packs"]] {
        bench.run(arguments).code(2).has("this is a named pipe, not a plain file");
    }
    pipe("club/ok.passed.yaml");
    bench.run(&["review", "club/ok.rocket.yaml"]).code(2).has("this is a named pipe, not a plain file");
    std::fs::remove_file(bench.path().join("club/ok.passed.yaml")).unwrap();
    pipe("club/holdpoint.yaml");
    bench.run(&["review", "club/ok.rocket.yaml"]).code(2).has("this is a named pipe, not a plain file");
}

#[cfg(unix)]
#[test]
fn a_design_is_reviewed_once_whatever_it_is_called() {
    let bench = Bench::new();
    bench.write("club/ok.rocket.yaml", DUAL);
    bench.write("elsewhere/far.rocket.yaml", DUAL);
    std::os::unix::fs::symlink("ok.rocket.yaml", bench.path().join("club/again.rocket.yaml")).unwrap();
    let reviewed = |paths: &[&str]| -> Vec<String> {
        let run = bench.run(&[&["review", "--format", "json"], paths].concat());
        let designs = run.json()["designs"].as_array().unwrap().clone();
        designs.iter().map(|d| d["path"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(reviewed(&["club"]), ["club/ok.rocket.yaml"]);
    assert_eq!(reviewed(&["club", "./club/ok.rocket.yaml"]), ["club/ok.rocket.yaml"]);
    assert_eq!(reviewed(&["club/again.rocket.yaml"]), ["club/again.rocket.yaml"]);
    // One that leads out of what was named is no design of the folder, and is not passed over in silence either.
    std::os::unix::fs::symlink("../elsewhere/far.rocket.yaml", bench.path().join("club/far.rocket.yaml"))
        .unwrap();
    bench
        .run(&["review", "club"])
        .code(2)
        .has("club/far.rocket.yaml")
        .has("leads out of the folders that are reviewed");
    assert_eq!(reviewed(&["club", "elsewhere"]), ["club/ok.rocket.yaml", "elsewhere/far.rocket.yaml"]);
}

/// What the keys of another format mean is not known, so nothing is judged by them.
#[test]
fn a_design_of_another_version_is_refused_and_not_judged() {
    let bench = Bench::new();
    bench.write("later.rocket.yaml", swap(DUAL, "holdpoint: 1", "holdpoint: 2\nwings: 4"));
    let run = bench.run(&["review", "later.rocket.yaml", "--format", "json"]);
    let report = run.code(2).json();
    assert_eq!(report["designs"].as_array().unwrap().len(), 0, "{run:?}");
    let problems = report["problems"].as_array().unwrap();
    assert_eq!(problems.len(), 1, "{problems:?}");
    assert_eq!(problems[0]["message"], "design format 2 is not one this program reads");
    for command in ["explain", "checklist", "failures"] {
        let more: &[&str] = if command == "explain" { &["apogee"] } else { &[] };
        let run = bench.run(&[&[command, "later.rocket.yaml"], more].concat());
        run.code(2).has("design format 2 is not one this program reads");
        assert_eq!(run.out, "", "{command}");
    }
}

#[test]
fn what_is_too_small_or_too_large_to_compute_with_is_no_value() {
    let bench = Bench::new();
    for (mass, words) in [
        ("1e-320 oz", "no rocket has a value this small that is not zero"),
        ("1e-31 oz", "no rocket has a value this small that is not zero"),
        ("1e19 oz", "no rocket has a value this large"),
        ("3 oz ± 1e300 oz", "no rocket has a tolerance this large"),
    ] {
        bench.write("a.rocket.yaml", format!("holdpoint: 1\nsections: {{nose: {{mass: {mass}}}}}\n"));
        bench.run(&["review", "a.rocket.yaml", "--format", "concise"]).code(2).has(words);
    }
}

#[cfg(unix)]
#[test]
fn links_and_folders() {
    let bench = Bench::new();
    bench.write("club/ok.rocket.yaml", DUAL);
    std::os::unix::fs::symlink("../club", bench.path().join("club/again")).unwrap();
    let run = bench.run(&["review", "club", "--format", "concise"]);
    assert!(run.code < 2, "{run:?}");
    assert_eq!(run.out.lines().filter(|l| l.contains("ok.rocket.yaml: clear, ")).count(), 1, "{run:?}");

    std::os::unix::fs::symlink("nowhere", bench.path().join("club/gone.rocket.yaml")).unwrap();
    std::fs::create_dir(bench.path().join("club/folder.rocket.yaml")).unwrap();
    let run = bench.run(&["review", "club", "--format", "concise"]);
    run.code(2).has("gone.rocket.yaml:1:1: error[unreadable] there is no such file").has("ok.rocket.yaml: ");
    assert!(!run.out.contains("folder.rocket.yaml"), "{run:?}");

    bench.run(&["review", "club/folder.rocket.yaml", "--format", "concise"]).code(2).has("no designs here");
    bench
        .run(&["review", "club/gone.rocket.yaml", "--format", "concise"])
        .code(2)
        .has("there is no such file");
    let run = bench.run(&["review", "not-there", "club/ok.rocket.yaml", "--format", "concise"]);
    run.code(2).has("not-there:1:1: error[unreadable] there is no such file").has("club/ok.rocket.yaml: ");
    bench.run(&["explain", "club", "name"]).code(2).has("this is a folder");
    bench.run(&["review"]).code(2);
}

#[cfg(unix)]
#[test]
fn a_file_that_may_not_be_read() {
    use std::os::unix::fs::PermissionsExt as _;
    let bench = Bench::new();
    let path = bench.write("shut.rocket.yaml", DUAL);
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o000)).unwrap();
    if File::open(&path).is_ok() {
        // The superuser may read every file, so there is nothing to see, in CI neither.
        let _ = writeln!(std::io::stderr(), "SKIPPED: the superuser may read every file");
        return;
    }
    bench
        .run(&["review", ".", "--format", "concise"])
        .code(2)
        .has("shut.rocket.yaml:1:1: error[unreadable] Permission denied");
}

#[test]
fn standard_input() {
    let bench = Bench::new();
    let run = bench.run_with(&["review", "-", "--format", "concise"], Some(DUAL.as_bytes()), &[]);
    assert!(run.code < 2, "{run:?}");
    run.has("standard input: ");
    let run = bench.run_with(&["review", "-", "--format", "concise"], Some(b"holdpoint: 1\nnmae: A\n"), &[]);
    run.code(2).has("standard input:2:1: error[unreadable] a rocket has no `nmae`");
    let run = bench.run_with(&["review", "-", "--format", "concise"], Some(b""), &[]);
    run.code(2).has("standard input:1:1: error[unreadable] the file is empty");
    let run = bench.run_with(&["review", "-", "--format", "concise"], Some(&vec![b'#'; 6 << 20]), &[]);
    run.code(2).has("standard input:1:1: error[unreadable] the text goes on after 4 MiB");
}

#[test]
fn no_name_is_looked_for_near_a_word_far_longer_than_any() {
    use holdpoint::vocabulary::suggest;
    assert_eq!(suggest("names", ["name"]), Some("name"));
    // It begins like a name, and comparing the two takes time with the product of their lengths.
    assert_eq!(suggest(&format!("name{}", "s".repeat(1000)), ["name"]), None);
}

//! A run that is ended at any moment leaves each file as it was, or as the run makes it, and a later run goes through.
#![cfg(unix)]

use std::collections::BTreeMap;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

use super::{Bench, DUAL, swap};

/// Each command that writes files, but for `mend`, whose file is its input and is asked for beside it.
const RUNS: [&str; 7] = [
    "review b.rocket.yaml --output json=report.json --output html=report.html",
    "review b.rocket.yaml --baseline known.json --write-baseline",
    "pass drilling c.rocket.yaml --by Mentor",
    "packet c.rocket.yaml --output papers.html",
    "templates a.rocket.yaml --output drawings",
    "new new.rocket.yaml",
    "review . --output sarif=report.sarif",
];

const DAY: [&str; 2] = ["--today", "2026-05-20"];

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    bench.write("b.rocket.yaml", swap(DUAL, "rail: 96 in", "rail: 48 in"));
    let good = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/marsh-harrier.rocket.yaml");
    bench.write("c.rocket.yaml", std::fs::read(good).unwrap());
    for name in ["report.json", "report.html"] {
        bench.write(name, "what was here\n");
    }
    bench
}

/// All files of a folder but those that a run made for itself, which is ended before it could remove them.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(one) = folders.pop() {
        for entry in std::fs::read_dir(one).unwrap() {
            let path = entry.unwrap().path();
            let name = path.strip_prefix(folder).unwrap().to_string_lossy().into_owned();
            if path.is_dir() {
                folders.push(path);
            } else if !path.file_name().unwrap().to_string_lossy().ends_with(".part") {
                all.insert(name, std::fs::read(path).unwrap());
            }
        }
    }
    all
}

#[test]
fn a_run_that_is_ended_leaves_whole_files() {
    let (mut ended_early, mut ended_late) = (0, 0);
    for words in RUNS {
        let mut arguments: Vec<&str> = words.split(' ').collect();
        if !words.starts_with("new") && !words.starts_with("templates") {
            arguments.extend(DAY);
        }
        let whole_bench = bench();
        let before = files(whole_bench.path());
        let started = Instant::now();
        let whole_run = whole_bench.run(&arguments);
        let takes = started.elapsed();
        let after = files(whole_bench.path());
        assert!(before != after, "{words}: {whole_run:?}");
        // From the start to past the end; no moment is hoped for.
        for (share, signal) in [0.0, 0.2, 0.4, 0.6, 0.7, 0.8, 0.9, 0.95, 1.0, 1.1]
            .into_iter()
            .zip(["KILL", "INT", "TERM"].into_iter().cycle())
        {
            let bench = bench();
            let mut child = bench.spawn(&arguments);
            std::thread::sleep(takes.mul_f64(share));
            Command::new("kill")
                .args(["-s", signal, &child.id().to_string()])
                .stderr(Stdio::null())
                .status()
                .unwrap();
            let status = child.wait().unwrap();
            match status.code() {
                None => ended_early += 1,
                Some(code) => {
                    ended_late += 1;
                    assert_eq!(code, whole_run.code, "{words}");
                    assert!(files(bench.path()) == after, "{words}: it came to its end, and did not write");
                }
            }
            for (name, text) in files(bench.path()) {
                let is_whole = before.get(&name) == Some(&text) || after.get(&name) == Some(&text);
                assert!(
                    is_whole,
                    "{words}, {signal} at {share}: {name} is neither as it was nor as it is to be"
                );
            }
            assert!(before.keys().all(|name| bench.path().join(name).exists()), "{words}: a file is gone");
            if words.starts_with("review") {
                assert_eq!(bench.run(&arguments).code, whole_run.code, "{words}, {signal} at {share}");
                assert!(
                    files(bench.path()) == after,
                    "{words}, {signal} at {share}: a later run gives another file"
                );
            }
        }
    }
    assert!(ended_early > 10 && ended_late > 0, "{ended_early} ended early, {ended_late} came to their end");
}

//! A file system that is not as one expects: rights that lack, files that vanish or grow, links in a circle, programs that are not there.
#![cfg(unix)]

use std::os::unix::fs::{PermissionsExt as _, symlink};
use std::path::Path;
use std::process::{Command, Output};
use std::sync::atomic::{AtomicBool, Ordering};

use super::{Bench, DUAL, skips, swap};

fn may(path: &Path, mode: u32) {
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
}

/// A run in the bench's folder as a user who may do nothing but what the files' modes say; none where there is no way to become one.
fn as_ordinary(bench: &Bench, folder: &str, arguments: &[&str]) -> Option<Output> {
    let program = bench.path().join("holdpoint");
    if !program.exists() {
        std::fs::copy(env!("CARGO_BIN_EXE_holdpoint"), &program).unwrap();
        may(&program, 0o755);
        may(bench.path(), 0o755);
    }
    let is_root = std::fs::read("/etc/shadow").is_ok();
    let mut command = if is_root { Command::new("setpriv") } else { Command::new(&program) };
    if is_root {
        command.args(["--reuid=65534", "--regid=65534", "--clear-groups"]).arg(&program);
    }
    let output = command.args(arguments).current_dir(bench.path().join(folder)).output();
    match output {
        Ok(output) if !String::from_utf8_lossy(&output.stderr).contains("setpriv:") => Some(output),
        _ => {
            skips::skipped("what an ordinary user may not: setpriv is not installed, or may not be used");
            None
        }
    }
}

fn words(output: &Output) -> String {
    String::from_utf8_lossy(&[output.stdout.as_slice(), &output.stderr].concat()).into_owned()
}

#[test]
fn what_a_user_may_not_read_is_named_and_the_rest_is_reviewed() {
    let bench = Bench::new();
    may(&bench.write("club/shut.rocket.yaml", DUAL), 0o000);
    bench.write("club/open.rocket.yaml", DUAL);
    bench.write("club/closed/in.rocket.yaml", DUAL);
    may(&bench.path().join("club/closed"), 0o000);
    let Some(output) = as_ordinary(&bench, "club", &["review", ".", "--format", "concise"]) else { return };
    let said = words(&output);
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("shut.rocket.yaml:1:1: error[unreadable] Permission denied"), "{said}");
    assert!(said.contains("open.rocket.yaml: clear"), "{said}");
    assert!(said.contains("closed") && said.matches("Permission denied").count() >= 2, "{said}");
    for name in ["pack.yaml", "base.json", "open.passed.yaml"] {
        may(&bench.write(&format!("club/{name}"), "{}"), 0o000);
    }
    for more in [&["--rules", "pack.yaml"][..], &["--baseline", "base.json"], &[]] {
        let arguments = [&["review", "open.rocket.yaml"], more].concat();
        let Some(output) = as_ordinary(&bench, "club", &arguments) else { return };
        assert_eq!(output.status.code(), Some(2), "{more:?}: {}", words(&output));
        assert!(words(&output).contains("Permission denied"), "{more:?}: {}", words(&output));
    }
    may(&bench.path().join("club/closed"), 0o755);
}

#[test]
fn a_folder_that_may_not_be_written_to_stays_as_it_is() {
    let bench = Bench::new();
    bench.write("club/a.rocket.yaml", swap(DUAL, "rail: 96 in", "rail: 48 in"));
    bench.write("club/good.rocket.yaml", include_str!("../../examples/marsh-harrier.rocket.yaml"));
    let before = |path: &Path| {
        let mut names: Vec<_> = std::fs::read_dir(path).unwrap().map(|e| e.unwrap().file_name()).collect();
        names.sort();
        names
    };
    let club = bench.path().join("club");
    may(&club, 0o555);
    let there = before(&club);
    for arguments in [
        &["review", "a.rocket.yaml", "--output", "json=report.json"][..],
        &["review", "a.rocket.yaml", "--baseline", "known.json", "--write-baseline"],
        &["packet", "good.rocket.yaml", "--output", "papers.html", "--today", "2026-05-20"],
        &["pass", "parts", "a.rocket.yaml", "--by", "Mentor"],
        &["new", "b.rocket.yaml"],
        &["templates", "a.rocket.yaml", "--output", "drawings"],
    ] {
        let Some(output) = as_ordinary(&bench, "club", arguments) else { return };
        let said = words(&output);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
        let is_told = ["written", "write", "denied"].iter().any(|word| said.contains(word));
        assert!(is_told, "{arguments:?}: {said}");
        assert_eq!(before(&club), there, "{arguments:?}");
    }
    may(&club, 0o755);
}

#[test]
fn links_that_lead_in_a_circle_are_named() {
    let bench = Bench::new();
    bench.write("club/a.rocket.yaml", DUAL);
    symlink("self.rocket.yaml", bench.path().join("club/self.rocket.yaml")).unwrap();
    symlink("two", bench.path().join("club/one")).unwrap();
    symlink("one", bench.path().join("club/two")).unwrap();
    symlink("..", bench.path().join("club/up")).unwrap();
    let run = bench.run(&["review", "club", "--format", "concise"]);
    run.code(2).has("club/self.rocket.yaml:1:1: error[unreadable]").has("club/a.rocket.yaml: clear");
    assert_eq!(run.out.matches("a.rocket.yaml: clear").count(), 1, "{run:?}");
    bench.run(&["review", "club/self.rocket.yaml"]).code(2);
    bench.run(&["review", "club/a.rocket.yaml", "--rules", "club/one"]).code(2);
}

/// While a folder is reviewed over and over, its files vanish, come back, grow and are replaced: each run says what it saw, and ends.
#[test]
fn files_that_change_while_they_are_read_are_reviewed_or_named() {
    let bench = Bench::new();
    let names: Vec<String> = (0..12).map(|i| format!("club/r{i}.rocket.yaml")).collect();
    for name in &names {
        bench.write(name, DUAL);
    }
    bench.write("club/quiet.rocket.yaml", DUAL);
    let over = AtomicBool::new(false);
    let mut seen = std::collections::BTreeSet::new();
    std::thread::scope(|scope| {
        scope.spawn(|| {
            let mut turn = 0_usize;
            while !over.load(Ordering::Relaxed) {
                let path = bench.path().join(&names[turn % names.len()]);
                match turn % 5 {
                    0 => drop(std::fs::remove_file(&path)),
                    1 => drop(std::fs::write(&path, &DUAL[..DUAL.len() / 2])),
                    2 => drop(std::fs::write(&path, [DUAL, "# more\n".repeat(2000).as_str()].concat())),
                    3 => {
                        let beside = bench.path().join("club/new.part");
                        drop(std::fs::write(&beside, DUAL).and_then(|()| std::fs::rename(&beside, &path)));
                    }
                    _ => drop(std::fs::write(&path, DUAL)),
                }
                turn += 1;
                std::thread::yield_now();
            }
        });
        for _ in 0..15 {
            let run = bench.run(&["review", "club", "--format", "concise"]);
            seen.insert(run.code);
            assert!((0..=2).contains(&run.code), "{run:?}");
            assert!(run.out.contains("quiet.rocket.yaml: clear"), "{run:?}");
            assert!(!run.all().contains("panicked"), "{run:?}");
        }
        over.store(true, Ordering::Relaxed);
    });
    assert!(!seen.is_empty());
}

#[test]
fn without_git_a_comparison_with_an_earlier_text_says_so() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    let arguments = ["compare", "a.rocket.yaml", "--since", "HEAD"];
    let run = bench.run_with(&arguments, None, &[("PATH", "/not/there")]);
    run.code(2).has("git");
    // There is git, and no repository.
    bench.run_with(&arguments, None, &[("GIT_CEILING_DIRECTORIES", "/")]).code(2);
}

/// Reports of many designs are gathered in temporary files: without a folder for them, a run says so or does without.
#[test]
fn without_a_folder_for_temporary_files_no_report_is_cut_short() {
    let bench = Bench::new();
    for i in 0..40 {
        bench.write(&format!("club/r{i}.rocket.yaml"), DUAL);
    }
    for form in ["html", "sarif", "json"] {
        let arguments = ["review", "club", "--format", form, "--today", "2026-06-01"];
        let usual = bench.run(&arguments);
        let without = bench.run_with(&arguments, None, &[("TMPDIR", "/not/there")]);
        if without.code == 2 {
            assert!(!without.err.trim().is_empty(), "{form}: {}", without.err);
        } else {
            assert!(without == usual, "{form}");
        }
    }
}

//! What a review of strangers' designs opens: the files that it is given, and nothing else.
#![cfg(target_os = "linux")]

use std::process::Command;

use super::{Bench, DUAL, skips};

/// What the system itself opens to start a program, and to count the cores that it may use.
const OF_THE_SYSTEM: [&str; 8] = [
    "/etc/ld.so.",
    "/lib",
    "/usr/lib",
    "/proc/self/",
    "/proc/sys/vm/",
    "/sys/fs/cgroup/",
    "/sys/kernel/mm/",
    "/sys/devices/system/cpu",
];

#[test]
fn a_review_opens_no_connection_and_no_file_that_it_was_not_given() {
    if Command::new("strace").arg("--version").output().is_err() {
        skips::skipped("what a review opens: strace is not installed");
        return;
    }
    let bench = Bench::new();
    bench.write("club/.git/HEAD", "ref: refs/heads/main\n");
    bench.write("club/holdpoint.yaml", "settings: 1\npacks: [packs]\n");
    bench.write("club/packs/ours.yaml", "pack: ours\nabout: Ours.\nrules: {}\n");
    bench.write("club/designs/a.rocket.yaml", DUAL);
    bench.write(
        "club/designs/b.rocket.yaml",
        "holdpoint: 1\nname: \"/etc/passwd\"\nnotes: https://localhost/\n",
    );
    bench.write("secret.rocket.yaml", DUAL);
    std::os::unix::fs::symlink("../../secret.rocket.yaml", bench.path().join("club/designs/c.rocket.yaml"))
        .unwrap();
    let log = bench.path().join("log");
    let output = Command::new("strace")
        .args(["-f", "-qq", "-e", "trace=%network,open,openat,openat2,execve", "-o"])
        .arg(&log)
        .arg(env!("CARGO_BIN_EXE_holdpoint"))
        .args(["review", "designs", "--today", "2026-06-01", "--format", "json"])
        .current_dir(bench.path().join("club"))
        .output()
        .unwrap();
    let reported = String::from_utf8_lossy(&output.stderr);
    let log = std::fs::read_to_string(&log).unwrap_or_default();
    if log.is_empty() && reported.contains("strace") {
        skips::skipped(&format!("what a review opens: strace may not follow a program here: {reported}"));
        return;
    }
    assert_eq!(output.status.code(), Some(2), "{reported}");
    let club = bench.path().join("club").canonicalize().unwrap();
    let mut opened = 0;
    for line in log.lines() {
        let Some((call, rest)) =
            line.split_whitespace().nth(1).zip(line.split_once('(').map(|(_, rest)| rest))
        else {
            continue;
        };
        let starts = |name: &str| call.starts_with(name);
        assert!(!starts("socket") && !starts("connect") && !starts("bind"), "{line}");
        if !starts("open") {
            continue;
        }
        let Some(path) = rest.split('"').nth(1) else { continue };
        let whole = club.join(path);
        let ours = whole.starts_with(&club) && !path.contains("..");
        // Where the folders above have a `.gitignore`, and settings, is asked; nothing that is not there is read.
        let absent = line.contains("ENOENT");
        assert!(ours || absent || OF_THE_SYSTEM.iter().any(|known| path.starts_with(known)), "{line}");
        opened += usize::from(ours && !absent);
    }
    assert!(opened >= 4, "{opened}: {log}");
    assert_eq!(log.lines().filter(|line| line.contains("execve(")).count(), 1, "{log}");
}

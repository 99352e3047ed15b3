//! `watch`: a design reviewed again on each save.

use std::io::{BufRead as _, BufReader};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use super::{Bench, DUAL, swap};

/// So long is waited for what must come; only a failure takes it.
const PATIENCE: Duration = Duration::from_secs(60);

pub(super) struct Watch {
    pub(super) child: Child,
    lines: Receiver<String>,
}

impl Watch {
    pub(super) fn of(bench: &Bench, arguments: &[&str]) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_holdpoint"))
            .arg("watch")
            .args(arguments)
            .current_dir(bench.path())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (sender, lines) = channel();
        let out = BufReader::new(child.stdout.take().unwrap());
        std::thread::spawn(move || out.lines().map_while(Result::ok).try_for_each(|line| sender.send(line)));
        Self { child, lines }
    }

    /// What is printed until a line has some words.
    #[track_caller]
    pub(super) fn until(&self, words: &str) -> String {
        let (mut seen, start) = (String::new(), Instant::now());
        while start.elapsed() < PATIENCE {
            let Ok(line) = self.lines.recv_timeout(Duration::from_millis(200)) else { continue };
            seen.push_str(&line);
            seen.push('\n');
            if line.contains(words) {
                return seen;
            }
        }
        panic!("`{words}` never came:\n{seen}");
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn each_save_tells_what_it_changed() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    let watch = Watch::of(&bench, &["a.rocket.yaml", "--today", "2026-06-01"]);
    let first = watch.until("flight  ");
    assert!(first.starts_with("watching a.rocket.yaml") && !first.contains("HOLD"), "{first}");

    bench.write("a.rocket.yaml", swap(DUAL, "rail: 96 in", "rail: 20 in"));
    let seen = watch.until("flight  ");
    assert!(seen.contains("flight.rail: 96 in -> 20 in"), "{seen}");
    assert!(seen.contains("error rail-exit-fast-enough (before flight)"), "{seen}");
    assert!(seen.contains("1 to settle") || seen.contains("to settle"), "{seen}");

    // An editor that writes another file and puts it in place, a half-written file, and none at all.
    bench.write("b", "sections: {tube: [");
    std::fs::rename(bench.path().join("b"), bench.path().join("a.rocket.yaml")).unwrap();
    watch.until("waiting for a file that can be read");
    std::fs::remove_file(bench.path().join("a.rocket.yaml")).unwrap();
    watch.until("waiting for the file");
    bench.write("a.rocket.yaml", DUAL);
    let seen = watch.until("flight  ");
    assert!(
        seen.contains("flight.rail: 20 in -> 96 in") && seen.contains("findings that are gone"),
        "{seen}"
    );
}

#[test]
fn it_ends_once_nothing_holds() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", swap(DUAL, "rail: 96 in", "rail: 20 in"));
    let mut watch = Watch::of(&bench, &["a.rocket.yaml", "--until-clear", "--today", "2026-06-01"]);
    watch.until("flight  ");
    bench.write("a.rocket.yaml", DUAL);
    assert!(watch.child.wait().unwrap().success());
    watch.until("not permission");
}

#[test]
fn a_folder_that_is_not_there_is_told() {
    let bench = Bench::new();
    bench.run(&["watch", "nowhere/a.rocket.yaml"]).code(2).has("nowhere: cannot be watched");
}

//! The program as a whole: what it prints, where, and with which exit code.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may panic"
)]

mod bad_input;
mod baseline;
mod bombs;
mod builders_words;
mod checklist;
mod club;
mod codes;
mod compare;
mod confined;
mod contract;
#[path = "../helpers/designs.rs"]
mod designs;
mod evaluation;
mod explaining;
mod failures;
mod faults;
mod first_rocket;
mod format_places;
mod formats;
mod former_names;
mod hostile;
mod installing;
mod killed;
mod landing;
mod levers;
mod mend;
mod new;
mod next;
mod own_names;
mod own_rules;
mod pack_language;
mod pack_lints;
mod pack_messages;
mod packs;
mod passing;
mod quantities;
mod settings;
mod shell;
#[path = "../helpers/skips.rs"]
mod skips;
mod spread;
mod steady;
mod streaming;
mod tables;
mod tolerance;
mod travelling;
mod watch;
mod watch_page;

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value as Json;
use tempfile::TempDir;

/// A specimen in good order, with dual deployment.
const DUAL: &str = include_str!("../../rules/specimens/dual_deployment.rocket.yaml");
/// A specimen in good order, opened by its motor.
const MOTOR: &str = include_str!("../../rules/specimens/motor_ejection.rocket.yaml");

/// What a run of the program gave.
#[derive(Debug, PartialEq)]
struct Run {
    code: i32,
    out: String,
    err: String,
}

impl Run {
    fn json(&self) -> Json {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}: {self:?}"))
    }

    /// All that was printed.
    fn all(&self) -> String {
        format!("{}{}", self.out, self.err)
    }

    #[track_caller]
    fn has(&self, text: &str) -> &Self {
        assert!(self.all().contains(text), "`{text}` is not in:\n{}{}", self.out, self.err);
        self
    }

    #[track_caller]
    fn code(&self, code: i32) -> &Self {
        assert_eq!(self.code, code, "{}{}", self.out, self.err);
        self
    }
}

/// A folder to run the program in.
struct Bench {
    folder: TempDir,
}

impl Bench {
    fn new() -> Self {
        Self { folder: TempDir::new().unwrap() }
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }

    fn write(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        let path = self.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, text).unwrap();
        path
    }

    fn run(&self, arguments: &[&str]) -> Run {
        self.run_with(arguments, None, &[])
    }

    /// The words that the last of some arguments can be, as the program itself lists them: so a new one is tested by being there.
    #[track_caller]
    fn words(&self, before: &[&str]) -> Vec<String> {
        let run = self.run(&[before, &["?"]].concat());
        let (_, list) = run.code(2).err.split_once("[possible values: ").unwrap_or_else(|| panic!("{run:?}"));
        list.split_once(']').unwrap().0.split(", ").map(str::to_owned).collect()
    }

    /// A run that says nothing and is not waited for.
    fn spawn(&self, arguments: &[&str]) -> std::process::Child {
        Command::new(env!("CARGO_BIN_EXE_holdpoint"))
            .args(arguments)
            .current_dir(self.path())
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap()
    }

    #[track_caller]
    fn run_with(&self, arguments: &[&str], input: Option<&[u8]>, environment: &[(&str, &str)]) -> Run {
        let mut child = Command::new(env!("CARGO_BIN_EXE_holdpoint"))
            .args(arguments)
            .envs(environment.iter().copied())
            .current_dir(self.path())
            .stdin(if input.is_some() { Stdio::piped() } else { Stdio::null() })
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        if let Some(input) = input {
            // The program may stop reading before the end.
            let _ = child.stdin.take().unwrap().write_all(input);
        }
        let output = child.wait_with_output().unwrap();
        let run = Run {
            code: output.status.code().expect("ended by a signal"),
            out: String::from_utf8(output.stdout).expect("reports are UTF-8"),
            err: String::from_utf8(output.stderr).expect("complaints are UTF-8"),
        };
        for word in ["panicked", "RUST_BACKTRACE", "overflowed its stack"] {
            assert!(!run.all().contains(word), "{}", run.all());
        }
        run
    }
}

/// The text with one piece of it replaced; the piece must be there once.
#[track_caller]
fn swap(text: &str, old: &str, new: &str) -> String {
    assert_eq!(text.matches(old).count(), 1, "`{old}`");
    text.replace(old, new)
}

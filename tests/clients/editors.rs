//! The language server by clients that were written elsewhere: a test client that holds every message against the protocol, and
//! an editor without its window.

use std::process::{Command, Stdio};

use super::{client, own, root};

const PROGRAM: &str = env!("CARGO_BIN_EXE_holdpoint");

/// Each feature, by scripts for a test client.
#[test]
fn a_test_client_finds_every_feature() {
    let Some(pytest) = own("pytest-lsp", "python/bin/pytest") else { return };
    let output = Command::new(pytest)
        .args(["-q", "-p", "no:cacheprovider", "--tb=short", "--timeout=120", "-c", "/dev/null"])
        .arg(root().join("tests/clients/editor"))
        .env("HOLDPOINT", PROGRAM)
        .env("PYTHONDONTWRITEBYTECODE", "1")
        .stdin(Stdio::null())
        .output()
        .unwrap();
    let words = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(output.status.success(), "{words}{}", String::from_utf8_lossy(&output.stderr));
    let passed =
        words.lines().last().and_then(|line| line.split(" passed").next()?.trim().parse::<u32>().ok());
    assert!(passed.is_some_and(|passed| passed > 20), "{words}");
}

/// Diagnostics, completion and a code action in an editor that people use.
#[test]
fn neovim_marks_completes_and_mends() {
    let Some(editor) = client("nvim", "bin/nvim") else { return };
    let folder = tempfile::tempdir().unwrap();
    let draft = folder.path().join("draft.rocket.yaml");
    std::fs::copy(root().join("examples/first-draft.rocket.yaml"), &draft).unwrap();
    let output = Command::new(editor)
        .args(["--headless", "-u", "NONE", "-i", "NONE", "-n", "-S"])
        .arg(root().join("tests/clients/editor/editor.lua"))
        .env("HOLDPOINT", PROGRAM)
        .env("DRAFT", &draft)
        .env("XDG_STATE_HOME", folder.path())
        .env("XDG_CACHE_HOME", folder.path())
        .stdin(Stdio::null())
        .output()
        .unwrap();
    let words =
        format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success() && words.contains("DONE"), "{words}");
}

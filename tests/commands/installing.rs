//! The scripts of a release and of the action, on this system: packing, fetching with the checksum, the action's review.
#![cfg(target_os = "linux")]

use std::fmt::Write as _;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;
use std::process::{Command, Output};

use sha2::Digest as _;

use crate::Bench;
use crate::skips::skipped;

const ROOT: &str = env!("CARGO_MANIFEST_DIR");
const VERSION: &str = env!("CARGO_PKG_VERSION");

fn script(name: &str, arguments: &[&str], releases: &Path) -> Output {
    let script = Path::new(ROOT).join(".ci").join(name);
    let releases = format!("file://{}", releases.display());
    Command::new(script).args(arguments).env("HOLDPOINT_RELEASES", releases).output().unwrap()
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// A program in place of ours, which is large: it says what it was asked.
const STAND_IN: &str = "#!/bin/sh\necho \"asked: $*\"\n";

/// A folder of releases with one of a stand-in for this system.
fn released(bench: &Bench) -> String {
    let program = bench.write("holdpoint", STAND_IN);
    std::fs::set_permissions(&program, std::fs::Permissions::from_mode(0o755)).unwrap();
    let processor = if cfg!(target_arch = "aarch64") { "arm64" } else { "x86_64" };
    let system = format!("linux-{processor}");
    let folder = bench.path().join(format!("v{VERSION}"));
    let packed = script("package", &[text(&program), &system, text(&folder)], bench.path());
    assert!(packed.status.success(), "{packed:?}");
    let archive = format!("holdpoint-{VERSION}-{system}.tar.gz");
    assert_eq!(String::from_utf8_lossy(&packed.stdout).trim(), text(&folder.join(&archive)));
    let bytes = std::fs::read(folder.join(&archive)).unwrap();
    let digest = sha2::Sha256::digest(bytes).iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    });
    std::fs::write(folder.join("SHA256SUMS"), format!("{digest}  {archive}\n")).unwrap();
    archive
}

#[test]
fn a_release_is_installed_only_as_its_checksum_says() {
    if Command::new("curl").arg("--version").output().is_err() {
        return skipped("curl is not installed: no release is fetched");
    }
    let bench = Bench::new();
    let archive = released(&bench);
    let into = bench.path().join("bin");
    let install = || script("install", &["marsh/holdpoint", VERSION, text(&into)], bench.path());
    let done = install();
    assert!(done.status.success(), "{done:?}");
    let run = Command::new(into.join("holdpoint")).arg("--version").output().unwrap();
    assert_eq!(String::from_utf8_lossy(&run.stdout), "asked: --version\n");

    std::fs::remove_dir_all(&into).unwrap();
    let packed = bench.path().join(format!("v{VERSION}")).join(&archive);
    let mut bytes = std::fs::read(&packed).unwrap();
    *bytes.last_mut().unwrap() ^= 1;
    std::fs::write(&packed, bytes).unwrap();
    let refused = install();
    assert_eq!(refused.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("is not what SHA256SUMS says"), "{refused:?}");
    assert!(!into.exists());

    // A list that does not name the file says nothing for it.
    std::fs::write(packed.with_file_name("SHA256SUMS"), "").unwrap();
    assert_eq!(install().status.code(), Some(1));
    std::fs::remove_file(&packed).unwrap();
    let refused = install();
    assert!(String::from_utf8_lossy(&refused.stderr).contains("cannot be fetched"), "{refused:?}");
    assert!(!into.exists());
}

/// The step of the action that reviews, as the action's file writes it.
fn action_step(bench: &Bench, designs: &str, arguments: &str) -> Output {
    let action = std::fs::read_to_string(Path::new(ROOT).join("action.yml")).unwrap();
    let action: serde_yaml::Value = serde_yaml::from_str(&action).unwrap();
    let steps = action["runs"]["steps"].as_sequence().unwrap();
    let step = steps.iter().find(|step| step["id"].as_str() == Some("review")).unwrap();
    // As a runner calls it.
    Command::new("bash")
        .args(["--noprofile", "--norc", "-eo", "pipefail", "-c", step["run"].as_str().unwrap()])
        .current_dir(bench.path().join("club"))
        .env("DESIGNS", designs)
        .env("ARGUMENTS", arguments)
        .env("RUNNER_TEMP", bench.path())
        .env("GITHUB_OUTPUT", bench.path().join("output"))
        .env("GITHUB_STEP_SUMMARY", bench.path().join("summary"))
        .output()
        .unwrap()
}

#[test]
fn the_action_reviews_and_writes_its_reports() {
    let bench = Bench::new();
    let program = bench.path().join("holdpoint").join("holdpoint");
    std::fs::create_dir(program.parent().unwrap()).unwrap();
    std::os::unix::fs::symlink(env!("CARGO_BIN_EXE_holdpoint"), &program).unwrap();
    for example in ["first-draft", "sand-martin"] {
        let design = std::fs::read(Path::new(ROOT).join(format!("examples/{example}.rocket.yaml"))).unwrap();
        // A name with a space, and one that begins as an option does.
        bench.write(&format!("club/my designs/--{example}.rocket.yaml"), design);
    }
    let run = action_step(&bench, "my designs", "");
    assert_eq!(run.status.code(), Some(1), "{run:?}");
    let log = String::from_utf8_lossy(&run.stdout).into_owned();
    assert!(log.contains("::error file=my designs/--first-draft.rocket.yaml,line="), "{log}");
    let outputs = std::fs::read_to_string(bench.path().join("output")).unwrap();
    for name in ["sarif", "page"] {
        let path = outputs.lines().find_map(|l| l.strip_prefix(&format!("{name}="))).unwrap();
        assert!(Path::new(path).is_file(), "{outputs}");
    }
    let summary = std::fs::read_to_string(bench.path().join("summary")).unwrap();
    assert!(summary.lines().all(|line| line.starts_with("    ")), "{summary}");
    assert!(summary.contains("--sand-martin.rocket.yaml: clear"), "{summary}");

    let only = action_step(&bench, "my designs/--sand-martin.rocket.yaml\n", "--today\n2026-06-01\n");
    assert_eq!(only.status.code(), Some(0), "{only:?}");
    assert_eq!(action_step(&bench, ".", "--fail-on=never").status.code(), Some(0));
    assert_eq!(action_step(&bench, "nowhere", "").status.code(), Some(2));
}

/// A tag that was moved is other code: the tags of workflows become digests, the tag stays behind them.
#[test]
fn actions_are_pinned_by_the_digest_that_their_repository_says() {
    let bench = Bench::new();
    let git = |folder: &Path, words: &[&str]| {
        let named = ["-c", "user.name=A", "-c", "user.email=a@example.org"];
        let run = Command::new("git").arg("-C").arg(folder).args(named).args(words).output().unwrap();
        assert!(run.status.success(), "{run:?}");
        String::from_utf8(run.stdout).unwrap().trim().to_owned()
    };
    let repository = bench.path().join("actions/checkout");
    std::fs::create_dir_all(&repository).unwrap();
    git(&repository, &["init", "-q"]);
    git(&repository, &["commit", "-q", "--allow-empty", "-m", "one"]);
    git(&repository, &["tag", "-a", "v4", "-m", "four"]);
    let digest = git(&repository, &["rev-parse", "HEAD"]);
    let workflow =
        "steps:\n      - uses: actions/checkout@v4\n      - uses: ./.github/workflows/check.yaml\n";
    let file = bench.write("here/.github/workflows/check.yaml", workflow);
    let script =
        bench.write("here/.ci/pin-actions", std::fs::read(Path::new(ROOT).join(".ci/pin-actions")).unwrap());
    let pin = || {
        let instead = format!("url.file://{}/.insteadOf", bench.path().display());
        let environment = [("GIT_CONFIG_COUNT", "1"), ("GIT_CONFIG_KEY_0", &instead)];
        let value = ("GIT_CONFIG_VALUE_0", "https://github.com/");
        Command::new("bash").arg(&script).envs(environment).envs([value]).output().unwrap()
    };
    let run = pin();
    assert!(run.status.success(), "{run:?}");
    let pinned = workflow.replace("checkout@v4", &format!("checkout@{digest} # v4"));
    assert_eq!(std::fs::read_to_string(&file).unwrap(), pinned);
    assert!(pin().status.success());
    assert_eq!(std::fs::read_to_string(&file).unwrap(), pinned);
    std::fs::write(&file, workflow.replace("@v4", "@v9")).unwrap();
    let run = pin();
    assert!(String::from_utf8_lossy(&run.stderr).contains("actions/checkout has no tag v9"), "{run:?}");
    assert!(!run.status.success());
}

//! A file as it was at a revision: the one place that runs another program, and it runs `git show` only.

use std::io::Read as _;
use std::path::Path;
use std::process::{Command, Stdio};

use super::files::{Placed, of_path, read_source};
use crate::yaml::{Problem, Source, clean_line};

/// So much of what git says is reported when it fails.
const MOST_WORDS: u64 = 2_000;

/// A file at a revision, under the name `REVISION:FILE`.
pub(super) fn at_revision(path: &Path, revision: &str) -> Result<Source, Placed> {
    let failed = |words: String| of_path(path, Problem::of_file(words));
    let file = path.file_name().map(|n| n.to_string_lossy().into_owned());
    let Some(file) = file else { return Err(failed("this is no file in a repository".to_owned())) };
    if revision.is_empty() || revision.starts_with('-') || revision.contains(':') {
        return Err(failed(format!("`{}` is no revision", clean_line(revision))));
    }
    let folder = path.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let name = format!("{revision}:{}", path.to_string_lossy());
    let mut git = Command::new("git")
        .arg("-C")
        .arg(folder)
        // A name is a name, and no pattern or option; nothing is fetched and no pager or filter of others is run.
        .args(["--literal-pathspecs", "--no-pager", "show", "--no-textconv", "--end-of-options"])
        .arg(format!("{revision}:./{file}"))
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|error| failed(format!("git cannot be run: {error}")))?;
    let source = match git.stdout.take() {
        Some(out) => read_source(&name, out),
        None => Err(failed("git gave nothing".to_owned())),
    };
    let mut words = String::new();
    if let Some(from) = git.stderr.take() {
        let _ = from.take(MOST_WORDS).read_to_string(&mut words);
    }
    // A text that was too long is not read to its end, and git would wait for ever to write it.
    if source.is_err() {
        let _ = git.kill();
    }
    match git.wait() {
        Ok(status) if status.success() => source,
        Ok(_) if source.is_err() && words.trim().is_empty() => source,
        Ok(_) => Err(failed(format!("git has no `{}`: {}", clean_line(&name), clean_line(words.trim())))),
        Err(error) => Err(failed(format!("git cannot be waited for: {error}"))),
    }
}

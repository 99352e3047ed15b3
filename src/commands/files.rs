//! Files as they lie on the disk: which of them bring rules, and reading one as a source.

use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::yaml::{LARGEST_FILE, Problem, Source, Span, too_large};

/// The file of a club's settings.
pub(super) const SETTINGS: &str = "holdpoint.yaml";
/// The folder whose files are tables.
pub(super) const TABLES: &str = "tables";

/// The files of a path that bring rules and rows.
#[derive(Default)]
pub(super) struct RuleFiles {
    pub(super) packs: Vec<PathBuf>,
    pub(super) tables: Vec<PathBuf>,
}

impl RuleFiles {
    pub(super) fn is_empty(&self) -> bool {
        self.packs.is_empty() && self.tables.is_empty()
    }
}

/// What lies in a folder and below, without what a `.gitignore` names. What the person who runs it has set for all of their
/// repositories has no say: a folder holds the same designs for everyone.
pub(super) fn walk(folder: &Path) -> ignore::Walk {
    ignore::WalkBuilder::new(folder).git_global(false).git_exclude(false).build()
}

/// The rule files of a path: the file itself, or every `*.yaml` of a folder and those below; designs, records and settings are
/// left out. A file in a folder named `tables` is a table, another one a pack.
pub(super) fn rule_files(path: &Path) -> RuleFiles {
    let in_tables = |folder: &Path| folder.file_name().is_some_and(|name| name == TABLES);
    if !path.is_dir() {
        let file = vec![path.to_path_buf()];
        return if path.parent().is_some_and(in_tables) {
            RuleFiles { tables: file, ..RuleFiles::default() }
        } else {
            RuleFiles { packs: file, ..RuleFiles::default() }
        };
    }
    let mut found: Vec<PathBuf> = walk(path)
        .filter_map(Result::ok)
        .map(ignore::DirEntry::into_path)
        .filter(|p| p.extension().is_some_and(|e| e == "yaml" || e == "yml"))
        .filter(|p| [".rocket.yaml", ".passed.yaml"].iter().all(|end| !p.to_string_lossy().ends_with(end)))
        .filter(|p| !p.file_name().is_some_and(|name| name == SETTINGS || name == "rocket.yaml"))
        .collect();
    found.sort();
    // What stands above the path that was named says nothing of it.
    let inside = |file: &PathBuf| file.ancestors().skip(1).take_while(|a| a.starts_with(path)).any(in_tables);
    let (tables, packs) = found.into_iter().partition(inside);
    RuleFiles { packs, tables }
}

/// A problem with the source it is about.
pub(super) type Placed = (Arc<Source>, Problem);

/// A problem of a path that gave no text.
pub(super) fn of_path(path: &Path, problem: Problem) -> Placed {
    (Arc::new(Source::new(path.to_string_lossy(), "")), problem)
}

/// A file as a source under the name it was asked for by. No more of it is read than a design may have, and nothing of what
/// is no plain file: a pipe that nobody writes to would be waited for without end.
pub(super) fn open(path: &Path) -> Result<Source, Placed> {
    let failed = |error: std::io::Error| {
        let words = match error.kind() {
            std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
            _ => error.to_string(),
        };
        of_path(path, Problem::of_file(words))
    };
    let about = std::fs::metadata(path).map_err(failed)?;
    if about.is_dir() {
        return Err(of_path(path, Problem::of_file("this is a folder, not a file")));
    }
    if !about.is_file() {
        let message = format!("this is {}, not a plain file", sort_of(about.file_type()));
        return Err(of_path(path, Problem::of_file(message).help("`-` reads a design from standard input")));
    }
    if about.len() > LARGEST_FILE as u64 {
        return Err(of_path(path, too_large(about.len())));
    }
    read_source(&path.to_string_lossy(), std::fs::File::open(path).map_err(failed)?)
}

/// What a file is that is neither a plain file nor a folder.
#[cfg(unix)]
fn sort_of(file_type: std::fs::FileType) -> &'static str {
    use std::os::unix::fs::FileTypeExt as _;
    if file_type.is_fifo() {
        "a named pipe"
    } else if file_type.is_socket() {
        "a socket"
    } else {
        "a device"
    }
}

#[cfg(not(unix))]
fn sort_of(_: std::fs::FileType) -> &'static str {
    "a device"
}

/// Reads a source to its end, or to where it is too large: standard input may have no end.
pub(super) fn read_source(name: &str, from: impl Read) -> Result<Source, Placed> {
    let named = |problem| (Arc::new(Source::new(name, "")), problem);
    let mut bytes = Vec::new();
    from.take(LARGEST_FILE as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| named(Problem::of_file(error.to_string())))?;
    if bytes.len() > LARGEST_FILE {
        let message = format!("the text goes on after {} MiB; no more is read", LARGEST_FILE >> 20);
        return Err(named(Problem::of_file(message).help("a design takes a few hundred lines")));
    }
    // What stands before a byte that is no text shows where it is.
    let good = match std::str::from_utf8(&bytes) {
        Ok(_) => String::new(),
        Err(error) => String::from_utf8_lossy(bytes.get(..error.valid_up_to()).unwrap_or(&[])).into_owned(),
    };
    Source::from_bytes(name, bytes).map_err(|problem| {
        let end = Span::new(good.len(), good.len());
        (Arc::new(Source::new(name, good)), Problem { span: Some(end), ..problem })
    })
}

/// True when a rule file or a table is one of those built in, so that it is not loaded twice.
pub(super) fn is_built_in(source: &Source) -> bool {
    crate::rules::BuiltIn::of(source).is_some() || crate::tables::Tables::has_built_in(source)
}

//! Writing files so that whatever happens leaves the old one or the new one, never a half.

use std::io::{self, BufWriter, Write};
use std::path::Path;

use tempfile::{NamedTempFile, TempPath};

/// Replaces a file by a new text: a temporary file beside it, brought to the disk, then renamed over it. A link stays a
/// link, and what it leads to is replaced. Permissions stay, and the owner where the system lets us.
///
/// # Errors
/// In words: when the file is not a plain one, is read-only, does not hold what was read any more, or cannot be written.
pub(super) fn replace(path: &Path, as_read: &str, text: &str) -> Result<(), String> {
    let words = |error: io::Error| error.to_string();
    let target = std::fs::canonicalize(path).map_err(words)?;
    let about = std::fs::metadata(&target).map_err(words)?;
    if !about.is_file() {
        return Err("it is not a plain file".to_owned());
    }
    if about.permissions().readonly() {
        return Err("it is read-only".to_owned());
    }
    let part = beside(&target, |out| out.write_all(text.as_bytes()))?;
    keep_owner(&part, &about);
    std::fs::set_permissions(&part, about.permissions()).map_err(words)?;
    // As late as can be: an editor may have saved it since it was read.
    if std::fs::read(&target).map_err(words)? != as_read.as_bytes() {
        return Err("it changed after it was read; run the command again".to_owned());
    }
    part.persist(&target).map_err(|error| words(error.error))?;
    settle_folder(&target);
    Ok(())
}

/// Writes a file that is not there yet, whole or not at all.
///
/// # Errors
/// In words: when there is one by now, or it cannot be written.
pub(super) fn create(path: &Path, text: &str) -> Result<(), String> {
    let part = beside(path, |out| out.write_all(text.as_bytes()))?;
    open_to_others(&part, None).map_err(|error| error.to_string())?;
    part.persist_noclobber(path).map_err(|error| error.error.to_string())?;
    settle_folder(path);
    Ok(())
}

/// Writes a file of our own making, anew or over an old one, whole or not at all; `fill` writes its text. What is no
/// plain file (a pipe, a device) is written to as it is.
///
/// # Errors
/// In words: when it is a folder, or cannot be written.
pub(super) fn write_whole(
    path: &Path,
    fill: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<(), String> {
    let words = |error: io::Error| error.to_string();
    let target = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    let about = std::fs::metadata(&target).ok();
    match &about {
        Some(about) if about.is_dir() => return Err("it is a folder".to_owned()),
        Some(about) if !about.is_file() => {
            return std::fs::File::create(&target).and_then(|mut file| fill(&mut file)).map_err(words);
        }
        Some(about) if about.permissions().readonly() => return Err("it is read-only".to_owned()),
        _ => {}
    }
    let part = beside(&target, fill)?;
    open_to_others(&part, about.as_ref()).map_err(words)?;
    part.persist(&target).map_err(|error| words(error.error))?;
    settle_folder(&target);
    Ok(())
}

/// True for a plain file and for what is not there yet: nobody reads what is written before all of it is.
pub(super) fn is_written_whole(path: &Path) -> bool {
    std::fs::metadata(path).map_or(true, |about| about.is_file() || about.is_dir())
}

/// A temporary file is for its owner alone; a report is for whoever may read the folder, as the old one was.
#[cfg(unix)]
fn open_to_others(part: &Path, old: Option<&std::fs::Metadata>) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt as _;
    let mode = old.map_or(std::fs::Permissions::from_mode(0o644), std::fs::Metadata::permissions);
    std::fs::set_permissions(part, mode)
}

#[cfg(not(unix))]
fn open_to_others(_: &Path, _: Option<&std::fs::Metadata>) -> io::Result<()> {
    Ok(())
}

/// A text on the disk, in a hidden file beside its target, that goes away by itself unless it is put in place.
fn beside(target: &Path, fill: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> Result<TempPath, String> {
    let folder = target.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let name = target.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let make = || -> io::Result<NamedTempFile> {
        let mut part =
            tempfile::Builder::new().prefix(&format!(".{name}.")).suffix(".part").tempfile_in(folder)?;
        let mut out = BufWriter::new(&mut part);
        fill(&mut out)?;
        out.flush()?;
        drop(out);
        part.as_file().sync_all()?;
        Ok(part)
    };
    make().map(NamedTempFile::into_temp_path).map_err(|error| match error.kind() {
        // The temporary file's name means nothing to a reader.
        io::ErrorKind::PermissionDenied => "its folder cannot be written to".to_owned(),
        _ => error.to_string(),
    })
}

#[cfg(unix)]
fn keep_owner(part: &Path, about: &std::fs::Metadata) {
    use std::os::unix::fs::{MetadataExt as _, chown};
    // Only an administrator may give a file away; anyone else owns both already, or leaves theirs as the group allows.
    let _ = chown(part, Some(about.uid()), Some(about.gid()));
}

#[cfg(not(unix))]
fn keep_owner(_: &Path, _: &std::fs::Metadata) {}

/// A rename is only on the disk when its folder is.
fn settle_folder(target: &Path) {
    if let Some(Ok(folder)) = target.parent().map(std::fs::File::open) {
        let _ = folder.sync_all();
    }
}

/// Why a starter is not written, in words of a person.
pub(super) fn not_written(shown: &str, error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::AlreadyExists => format!("{shown} exists by now, and nothing is written over it"),
        io::ErrorKind::PermissionDenied => format!("{shown}: you may not write in this folder"),
        io::ErrorKind::NotFound => format!("{shown}: there is no such folder"),
        kind => format!("{shown} is not written: {kind}"),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may panic")]

    use super::replace;

    #[test]
    fn a_file_that_changed_after_it_was_read_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.rocket.yaml");
        std::fs::write(&path, "as an editor saved it").unwrap();
        assert!(
            replace(&path, "as it was read", "mended").unwrap_err().contains("changed after it was read")
        );
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "as an editor saved it");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
        replace(&path, "as an editor saved it", "mended").unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "mended");
    }

    #[test]
    fn a_read_only_file_and_a_folder_are_refused() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.rocket.yaml");
        std::fs::write(&path, "old").unwrap();
        let mut locked = std::fs::metadata(&path).unwrap().permissions();
        locked.set_readonly(true);
        std::fs::set_permissions(&path, locked).unwrap();
        assert!(replace(&path, "old", "new").unwrap_err().contains("read-only"));
        assert!(replace(folder.path(), "", "new").unwrap_err().contains("not a plain file"));
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "old");
    }
}

//! Paths as the addresses of the protocol, and back.

use std::path::{Path, PathBuf};
use std::str::FromStr as _;

use lsp_types::Uri;
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, percent_decode_str, utf8_percent_encode};

/// What stands in a path as it is.
const KEPT: &AsciiSet = &NON_ALPHANUMERIC.remove(b'/').remove(b'-').remove(b'.').remove(b'_').remove(b'~');

/// The path of a file; `None` for what is no file of this machine.
#[must_use]
pub fn path_of(uri: &Uri) -> Option<PathBuf> {
    let rest = uri.as_str().strip_prefix("file://")?;
    let path = rest.strip_prefix("localhost").unwrap_or(rest);
    let path = path.split(['?', '#']).next().filter(|path| path.starts_with('/'))?;
    let decoded = percent_decode_str(path).decode_utf8().ok()?;
    // A drive stands behind a slash that is no part of the path.
    let drive = decoded.as_bytes().get(2) == Some(&b':');
    Some(PathBuf::from(if drive { decoded.trim_start_matches('/') } else { &*decoded }))
}

/// The address of a path from the top; `None` where it cannot be one.
#[must_use]
pub fn uri_of(path: &Path) -> Option<Uri> {
    let path = path.to_string_lossy().replace('\\', "/");
    let slash = if path.starts_with('/') { "" } else { "/" };
    Uri::from_str(&format!("file://{slash}{}", utf8_percent_encode(&path, KEPT))).ok()
}

/// The last part of an address, for documents that are no file yet.
pub(super) fn name_of(uri: &Uri) -> String {
    let last = uri.as_str().rsplit(['/', ':']).next().unwrap_or_default();
    percent_decode_str(last).decode_utf8_lossy().into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_comes_back() {
        for path in ["/tmp/a b/ä°.rocket.yaml", "/x/100%/#1?.yaml", "/plain/first-draft.rocket.yaml"] {
            let uri = uri_of(Path::new(path));
            assert_eq!(uri.as_ref().and_then(path_of).as_deref(), Some(Path::new(path)), "{uri:?}");
        }
        let other = Uri::from_str("untitled:Untitled-1.rocket.yaml").ok();
        assert_eq!(other.as_ref().and_then(path_of), None);
        assert_eq!(other.as_ref().map(name_of).as_deref(), Some("Untitled-1.rocket.yaml"));
    }
}

//! How a file is named to a program that was not told where it ran: by a path from the folder of the run.

use std::path::{Component, Path};

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};

/// A path as other programs want it: with slashes, from the folder of the run, also where it does not lie in it: where the
/// folder itself lies is nobody's business. A name that is no path (that of standard input) comes back as it is.
pub(crate) fn from_base(name: &str, base: &Path) -> String {
    let whole = base.join(name);
    let mut parts: Vec<String> = Vec::new();
    for part in whole.components() {
        match part {
            Component::Normal(part) => parts.push(part.to_string_lossy().into_owned()),
            Component::ParentDir => {
                parts.pop();
            }
            Component::Prefix(prefix) => parts.push(prefix.as_os_str().to_string_lossy().into_owned()),
            Component::RootDir | Component::CurDir => {}
        }
    }
    let above: Vec<String> = base
        .components()
        .filter(|c| matches!(c, Component::Normal(_) | Component::Prefix(_)))
        .map(|c| c.as_os_str().to_string_lossy().into_owned())
        .collect();
    let shared = parts.iter().zip(&above).take_while(|(a, b)| a == b).count();
    let has_drives = matches!(base.components().next(), Some(Component::Prefix(_)));
    if shared == 0 && has_drives {
        return format!("/{}", parts.join("/"));
    }
    let up = std::iter::repeat_n("..", above.len() - shared);
    let down = parts.iter().skip(shared).map(String::as_str);
    let way: Vec<&str> = up.chain(down).collect();
    if way.is_empty() { ".".to_owned() } else { way.join("/") }
}

/// What is not plain in a path.
const NOT_PLAIN: &AsciiSet =
    &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_').remove(b'~').remove(b'/');

/// A path as a URI reference (RFC 3986): what is not plain in a path is written as percent and two digits a byte.
pub(super) fn uri(path: &str) -> String {
    utf8_percent_encode(path, NOT_PLAIN).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_start_where_the_run_did() {
        let base = Path::new("/club/designs");
        for (name, path) in [
            ("a.rocket.yaml", "a.rocket.yaml"),
            ("./level 1/../b é.yaml", "b é.yaml"),
            ("/club/designs/c.yaml", "c.yaml"),
            ("../other/d.yaml", "../other/d.yaml"),
            ("/club/other/d.yaml", "../other/d.yaml"),
            ("/elsewhere/e.yaml", "../../elsewhere/e.yaml"),
            ("/club/designs", "."),
            ("../../../..", "../.."),
        ] {
            assert_eq!(from_base(name, base), path);
        }
        assert_eq!(uri("b é%:?#[\"].yaml"), "b%20%C3%A9%25%3A%3F%23%5B%22%5D.yaml");
    }
}

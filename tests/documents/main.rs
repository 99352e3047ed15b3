//! What the documents say is so: their examples run, the paths they name exist, their lists are complete.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may panic"
)]

mod architecture;
mod examples;
mod imports;
mod lists;
mod paths;
mod release;
mod supply;

/// The documents that a newcomer reads, by their paths.
fn documents() -> Vec<String> {
    let mut all = vec!["README.md".to_owned(), "DEVELOPERS.md".to_owned(), "rules/README.md".to_owned()];
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("docs");
    for entry in std::fs::read_dir(folder).unwrap() {
        let name = entry.unwrap().file_name().to_string_lossy().into_owned();
        if name.ends_with(".md") {
            all.push(format!("docs/{name}"));
        }
    }
    all.sort();
    all
}

/// A file of the project as text.
fn file(path: &str) -> String {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// A fenced block: what stands behind the fence, the text, and the line it begins on.
struct Block {
    info: String,
    text: String,
    line: usize,
}

/// The fenced blocks of a document.
fn blocks(document: &str) -> Vec<Block> {
    let mut found: Vec<Block> = Vec::new();
    let mut open = false;
    for (number, line) in document.lines().enumerate() {
        match line.strip_prefix("```") {
            Some(_) if open => open = false,
            Some(info) => {
                open = true;
                found.push(Block { info: info.to_owned(), text: String::new(), line: number + 2 });
            }
            None if open => {
                let block = found.last_mut().unwrap();
                block.text.push_str(line);
                block.text.push('\n');
            }
            None => {}
        }
    }
    assert!(!open, "a fence is left open");
    found
}

/// The part of a document between `<!-- name -->` and `<!-- end of name -->`.
fn between<'d>(document: &'d str, name: &str) -> &'d str {
    let (from, to) = (format!("<!-- {name} -->\n"), format!("<!-- end of {name} -->"));
    let start = document.find(&from).unwrap_or_else(|| panic!("no {from}")) + from.len();
    let length = document[start..].find(&to).unwrap_or_else(|| panic!("no {to}"));
    &document[start..start + length]
}

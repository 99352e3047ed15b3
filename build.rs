//! Prepares the packs and tables that are built in: each is parsed here, once, by the program's own tree builder, and its
//! tree goes into the program as bytes. One that is not YAML, or says a key twice, fails the build with its place.

#![allow(clippy::print_stdout, reason = "this is how a build script speaks to cargo")]

use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// The files of the library's `yaml` module that make a tree of a text; the same files, so that there is one way to do it.
#[path = "src/yaml"]
#[allow(dead_code, unreachable_pub, missing_docs, reason = "the library uses the rest of it")]
mod yaml {
    mod explain;
    mod node;
    mod parser;
    mod prebuilt;
    pub(crate) mod prebuilt_writer;
    mod source;
    mod span;
    mod tree;

    pub(crate) use source::{Problem, Source};
    pub(crate) use span::Span;
    pub(crate) use tree::Tree;
}

/// Folders of texts that are built in, and whether they are packs, whose trials are left out.
const FOLDERS: [(&str, bool); 3] = [("rules", true), ("rules/codes", true), ("rules/tables", false)];

fn place(source: &yaml::Source, problem: &yaml::Problem) -> String {
    let at =
        problem.span.map(|span| source.position(span.start)).map(|p| format!(":{}:{}", p.line, p.column));
    let help = problem.help.as_ref().map(|help| format!(" ({help})")).unwrap_or_default();
    format!("{}{}: {}{help}", source.name(), at.unwrap_or_default(), problem.message)
}

/// Prepares one file; what is wrong with it comes back as lines.
fn prepare(file: &Path, out: &Path, pack: bool) -> Result<(), Vec<String>> {
    let name = file.to_string_lossy().into_owned();
    let bytes = std::fs::read(file).map_err(|e| vec![format!("{name}: {e}")])?;
    let source = yaml::Source::from_bytes(name.clone(), bytes).map_err(|p| vec![format!("{name}: {p}")])?;
    let parsed = yaml::Tree::parse(&source);
    let Some(tree) = parsed.tree.filter(|_| parsed.problems.is_empty()) else {
        return Err(parsed.problems.iter().map(|problem| place(&source, problem)).collect());
    };
    let tree = if pack { yaml::prebuilt_writer::without_trials(tree) } else { Ok(tree) };
    let tree = tree.map_err(|why| vec![format!("{name}: {why}")])?;
    let to = out.join(file).with_extension("tree");
    let written = to.parent().map_or(Ok(()), std::fs::create_dir_all);
    written
        .and_then(|()| std::fs::write(&to, yaml::prebuilt_writer::bytes(source.text(), &tree)))
        .map_err(|e| vec![format!("{}: {e}", to.display())])
}

fn main() -> ExitCode {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-changed=src/yaml");
    let Some(out) = std::env::var_os("OUT_DIR").map(PathBuf::from) else {
        println!("cargo::error=cargo names no OUT_DIR");
        return ExitCode::FAILURE;
    };
    let mut code = ExitCode::SUCCESS;
    for (folder, pack) in FOLDERS {
        println!("cargo::rerun-if-changed={folder}");
        let files = std::fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path());
        for file in files.filter(|file| file.extension().is_some_and(|e| e == "yaml")) {
            for problem in prepare(&file, &out, pack).err().into_iter().flatten() {
                println!("cargo::error={problem}");
                code = ExitCode::FAILURE;
            }
        }
    }
    code
}

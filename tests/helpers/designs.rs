//! The designs of `examples/`.

/// Their files, in order of name.
pub(crate) fn examples() -> Vec<String> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/examples");
    let names =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<String> = names.filter(|name| name.ends_with(".rocket.yaml")).collect();
    names.sort();
    names
}

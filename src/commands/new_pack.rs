//! `holdpoint new --pack`: a starter of a rule pack, with one rule and its trials.

use std::io::Write as _;
use std::path::Path;

use super::invocation::Output;
use crate::yaml::clean_line;

const STARTER: &str = include_str!("starters/pack.yaml");

/// Writes a starter pack of a name to a file that is not there yet; `-` prints it.
pub(super) fn new_pack(name: &str, file: &Path) -> Output {
    let is_plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-' || b == b'_';
    if !name.starts_with(|c: char| c.is_ascii_lowercase()) || !name.bytes().all(is_plain) {
        let name = clean_line(name);
        return Output::failed(format!(
            "`{name}` is no name for a pack: small letters, digits and dashes, a letter first\n"
        ));
    }
    let shown = clean_line(&file.to_string_lossy()).into_owned();
    let program = env!("CARGO_PKG_VERSION");
    let program = program.rsplit_once('.').map_or(program, |(least, _)| least);
    let text = STARTER.replace("NAME", name).replace("PROGRAM", program);
    if file.as_os_str() == "-" {
        return Output { report: text.replace("FILE", "our-pack.yaml"), ..Output::default() };
    }
    let is_rule_file = [".yaml", ".yml"].iter().any(|end| shown.ends_with(end));
    let is_other =
        ["rocket.yaml", ".passed.yaml", super::files::SETTINGS].iter().any(|end| shown.ends_with(end));
    if !is_rule_file || is_other {
        return Output::failed(format!(
            "{shown}: a pack is called `….yaml`, and not as designs, their records and settings are\n"
        ));
    }
    if file.symlink_metadata().is_ok() {
        return Output::failed(format!(
            "{shown} exists, and nothing is written over it: choose another name\n"
        ));
    }
    let text = text.replace("FILE", &shown);
    // Never over a file that is there: it may be someone's rules.
    let made = std::fs::File::options().write(true).create_new(true).open(file);
    if let Err(error) = made.and_then(|mut file| file.write_all(text.as_bytes())) {
        return Output::failed(format!("{}\n", super::writing::not_written(&shown, &error)));
    }
    let report = format!(
        "{shown} is written, with one rule and its trials: change them, and try them as often as you like\n  holdpoint trial {shown}\n"
    );
    Output { report, ..Output::default() }
}

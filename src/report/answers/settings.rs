//! The settings that hold for a design, with where each comes from.

use std::path::{Path, PathBuf};

use crate::rules::{ActiveLimit, Library, LimitSetting, PackLock, Settings};
use crate::yaml::clean_line;

/// The settings that hold for a design, and where each comes from; `file` is what a settings file is called, and `rules` are
/// the packs that the command line names.
#[must_use]
pub fn settings_text(
    design: &Path,
    settings: Option<&Settings>,
    library: &Library,
    rules: &[PathBuf],
    file: &str,
) -> String {
    let mut lines = vec![format!("settings for {}", design.to_string_lossy())];
    let mut line = |depth: usize, words: String| {
        lines.push(format!("{}{}", "  ".repeat(depth), clean_line(&words)));
    };
    let none = Settings::default();
    let settings = settings.unwrap_or(&none);
    if settings.files.is_empty() {
        line(1, format!("no {file} in its folder or above: the packs' own limits and levels hold"));
    }
    for (number, source) in settings.files.iter().enumerate() {
        let how = if number == 0 { "the nearest" } else { "extended" };
        line(1, format!("file {} ({how})", source.name()));
    }
    let limits: Vec<LimitHere<'_>> = library
        .packs
        .iter()
        .flat_map(|pack| pack.limits.iter().map(move |limit| (pack.name.as_str(), limit)))
        .map(|(pack, limit)| {
            let set = settings.limits.iter().find(|l| l.pack == pack && l.limit == limit.name);
            (pack, limit, set)
        })
        .collect();
    for path in rules {
        line(1, format!("pack {} (command line)", path.to_string_lossy()));
    }
    for pack in &settings.packs {
        let is_this =
            |lock: &&PackLock| lock.pack.at.in_words() == pack.at.in_words() && lock.pack.text == pack.text;
        let held = match settings.locks.iter().find(is_this) {
            Some(lock) => format!("; held to its digest {}", lock.sha256.text),
            None => String::new(),
        };
        line(1, format!("pack {} ({}{held})", pack.path().to_string_lossy(), pack.at.in_words()));
    }
    for table in library.tables.of_club() {
        line(1, format!("table {}", table.name()));
    }
    for code in &settings.codes {
        line(1, format!("code {} ({})", code.text, code.at.in_words()));
    }
    for path in &settings.paths {
        line(1, format!("path {} ({})", path.text, path.at.in_words()));
    }
    for limit in limits.iter().filter(|(_, _, set)| set.is_some()) {
        line(1, limit_line(limit));
    }
    for level in &settings.levels {
        line(
            1,
            format!("level of {} = {} ({}: {})", level.rule, level.level, level.at.in_words(), level.reason),
        );
    }
    for off in &settings.off {
        let (rule, until, by) = (&off.rule, off.until, &off.by);
        line(1, format!("rule {rule} off until {until}, by {by} ({}: {})", off.at.in_words(), off.reason));
    }
    for needed in &settings.waivers_need {
        line(1, format!("a waiver says its {} ({})", needed.text, needed.at.in_words()));
    }
    for waiver in &settings.waivers {
        let subject = waiver.subject.as_deref().unwrap_or("every subject");
        let until = waiver.until;
        line(
            1,
            format!(
                "waiver of {} on {subject} in {}, by {} until {until} ({})",
                waiver.rule,
                waiver.design.path().to_string_lossy(),
                waiver.by,
                waiver.at.in_words()
            ),
        );
    }
    let rest: Vec<_> = limits.iter().filter(|(_, _, set)| set.is_none()).collect();
    if !rest.is_empty() {
        line(1, "and as the packs have them:".to_owned());
    }
    for limit in rest {
        line(1, limit_line(limit));
    }
    lines.join("\n") + "\n"
}

/// A limit of a pack, and what the settings say of it.
type LimitHere<'s> = (&'s str, &'s ActiveLimit, Option<&'s LimitSetting>);

fn limit_line((pack, limit, set): &LimitHere<'_>) -> String {
    let whence = match set {
        Some(set) => format!("{}: {}", set.at.in_words(), set.reason),
        None => "the pack".to_owned(),
    };
    format!("limit {pack}.{} = {} ({whence})", limit.name, limit.value)
}

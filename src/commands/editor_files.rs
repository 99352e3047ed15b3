//! The files around the documents of an editor: settings, packs, records, designs.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::files::{Placed, SETTINGS, TABLES, open};
use super::inputs::{designs, is_design, rule_sources};
use super::records::read_record;
use super::settings::{ActiveSettings, RuleSources, SettingsCache, whole};
use crate::language_server::{Role, Workspace};
use crate::review::{Options, Passes};
use crate::rules::{BUILT_IN, Library, normalize_path};
use crate::yaml::{Problem, Source};

/// So many designs of a folder are reviewed that are not open.
const MOST_DESIGNS: usize = 500;

/// What lies on the disk.
pub(super) struct EditorFiles {
    sources: RuleSources,
    settings_cache: SettingsCache,
    problems: Vec<Placed>,
}

impl EditorFiles {
    /// With more packs, which hold beside those of any settings.
    pub(super) fn new(rules: &[PathBuf]) -> Self {
        let sources = RuleSources { rules: rules.to_vec(), locked: None };
        let settings_cache = SettingsCache::new(&sources);
        Self { sources, settings_cache, problems: Vec::new() }
    }

    /// What a pack or table would be among those in force, if this were its text.
    fn with_rule_file(&self, path: &Path, role: Role, source: Source) -> (Library, Vec<Placed>) {
        let mut problems = Vec::new();
        let mut settings_cache = SettingsCache::new(&self.sources);
        let number = settings_cache.number(path, &mut Vec::new());
        let settings = settings_cache.get(number).and_then(|force| force.settings.as_ref());
        let mut more = rule_sources(&self.sources.rules, settings, &mut Vec::new());
        let sources = if role == Role::Table { &mut more.tables } else { &mut more.packs };
        let file = whole(path);
        match sources.iter_mut().find(|one| whole(Path::new(one.name())) == file) {
            Some(place) => *place = source,
            None => sources.push(source),
        }
        let library = match settings {
            Some(settings) => Library::load_set(more, settings),
            // The file of a built-in pack that is edited takes its place.
            None => {
                let edited: Vec<&str> =
                    BUILT_IN.iter().map(|pack| pack.name).filter(|name| file.ends_with(name)).collect();
                Library::load_without(&edited, more)
            }
        };
        problems.extend(library.problems.iter().cloned());
        problems.extend(library.trial_problems());
        (library, problems)
    }
}

/// Whether a key stands at the beginning of some line.
fn has_key(text: &str, key: &str) -> bool {
    text.lines().any(|line| line.strip_prefix(key).is_some_and(|rest| rest.starts_with(':')))
}

impl Workspace for EditorFiles {
    fn role(&self, path: &Path, text: &str) -> Role {
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        let is_yaml = path.extension().is_some_and(|end| end == "yaml" || end == "yml");
        if is_design(path) {
            Role::Design
        } else if name == SETTINGS {
            Role::Settings
        } else if !is_yaml || name.ends_with(".passed.yaml") {
            Role::Other
        } else if has_key(text, "pack") {
            Role::Pack
        } else if has_key(text, "table") && path.ancestors().skip(1).any(|folder| folder.ends_with(TABLES)) {
            Role::Table
        } else {
            Role::Other
        }
    }

    fn whole(&self, path: &Path) -> PathBuf {
        whole(path)
    }

    fn number(&mut self, path: &Path) -> usize {
        self.settings_cache.number(path, &mut self.problems)
    }

    fn library(&self, number: usize) -> Option<&Library> {
        self.settings_cache.get(number).map(|force| &force.library)
    }

    fn options(&self, number: usize, design: &Path, common: &Options) -> Options {
        self.settings_cache.get(number).map_or_else(|| common.clone(), |force| force.options(design, common))
    }

    fn problems(&self) -> Vec<(PathBuf, Arc<Source>, Problem)> {
        let placed = self.problems.iter().cloned();
        placed.map(|(source, problem)| (whole(Path::new(source.name())), source, problem)).collect()
    }

    fn library_with(&self, path: &Path, role: Role, source: Source) -> (Library, Vec<Placed>) {
        if role == Role::Settings {
            let mut problems = Vec::new();
            let force = ActiveSettings::of_text(source, &self.sources.rules, &mut problems);
            return (force.library, problems);
        }
        self.with_rule_file(path, role, source)
    }

    fn record(&mut self, design: &Path) -> Option<Passes> {
        match read_record(design) {
            Ok(found) => found.map(|(passes, _)| passes),
            Err(found) => {
                for (source, problem) in found {
                    let known = |one: &Placed| one.0.name() == source.name() && one.1 == problem;
                    if !self.problems.iter().any(known) {
                        self.problems.push((source, problem));
                    }
                }
                None
            }
        }
    }

    fn designs(&mut self, folder: &Path) -> Vec<PathBuf> {
        let asked = [folder.to_path_buf()];
        // What is no design, or left out by settings, is nobody's mistake here.
        let mut files = designs(&asked, &mut Vec::new());
        self.settings_cache.keep(&mut files, &asked, &mut self.problems, &mut String::new());
        files.truncate(MOST_DESIGNS);
        files.into_iter().map(|file| normalize_path(&whole(&file))).collect()
    }

    fn open(&self, path: &Path) -> Option<Source> {
        open(path).ok()
    }

    fn forget(&mut self) {
        self.settings_cache = SettingsCache::new(&self.sources);
        self.problems.clear();
    }
}

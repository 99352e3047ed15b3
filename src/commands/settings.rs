//! A club's settings found for each design: the nearest `holdpoint.yaml`, and the packs it brings into force.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::Args;

use super::files::{Placed, SETTINGS, open};
use super::inputs::{is_design, library_set};
use super::invocation::Output;
use crate::report::{Style, settings_text};
use crate::review::{Options, Waiver};
use crate::rules::{
    ClubWaiver, Departure, DepartureKind, Library, Settings, SourceLocation, Spanned, normalize_path,
};
use crate::yaml::{Problem, Source, Span, clean_line};

/// Where the rules of a run come from.
#[derive(Args, Clone, Debug, Default)]
pub struct RuleSources {
    /// Rule packs of your own, besides the built-in ones: files or folders
    #[arg(long, value_name = "PATH")]
    pub rules: Vec<PathBuf>,
    /// Take packs, limits, levels, rules that are off and what waivers need from these settings alone; nearer ones are ignored and named
    #[arg(long, value_name = "SETTINGS")]
    pub locked: Option<PathBuf>,
}

/// What is in force for some designs.
pub(super) struct ActiveSettings {
    /// The settings; none where no file was found.
    pub(super) settings: Option<Settings>,
    /// The packs, with the settings' limits and levels.
    pub(super) library: Library,
    /// Nearer settings that are left aside, since the run is locked to others.
    ignored: Option<Departure>,
    /// Whether something is wrong with the settings or the packs.
    incomplete: bool,
}

impl ActiveSettings {
    /// What settings bring into force, with more packs beside theirs.
    fn of(settings: Option<Settings>, rules: &[PathBuf], problems: &mut Vec<Placed>) -> Self {
        let before = problems.len();
        let library = library_set(rules, settings.as_ref(), problems);
        if let Some(settings) = &settings {
            for waiver in settings.waivers.iter().filter(|w| !has_design(w)) {
                let at = &waiver.design.at;
                let message = format!("there is no design `{}` to waive anything in", waiver.design.text);
                problems.push((Arc::clone(&at.source), Problem::at(at.span, message)));
            }
        }
        Self { settings, library, ignored: None, incomplete: problems.len() > before }
    }

    /// What a settings file would bring into force if this were its text.
    pub(super) fn of_text(source: Source, rules: &[PathBuf], problems: &mut Vec<Placed>) -> Self {
        let file = PathBuf::from(source.name());
        let settings = with_extended(&file, settings_of(source, problems), problems);
        Self::of(Some(settings), rules, problems)
    }

    /// The codes that count whatever a design says: those of the settings, and those that were asked for.
    pub(super) fn codes(&self, asked: &[String]) -> Vec<String> {
        let club = self.settings.iter().flat_map(|settings| &settings.codes).map(|code| code.text.clone());
        asked.iter().cloned().chain(club).collect()
    }

    /// How a design is reviewed: with the waivers that the settings have for it.
    pub(super) fn options(&self, design: &Path, common: &Options) -> Options {
        let mut options = common.clone();
        options.codes = self.codes(&common.codes);
        options.incomplete = self.incomplete;
        if let Some(settings) = &self.settings {
            let mine = settings.waivers.iter().filter(|w| is_of(w, design));
            options.waivers = mine.map(Waiver::from).collect();
            options.settings = settings.in_words();
            options.ignored.extend(self.ignored.clone());
            options.waivers_need = settings.waivers_need.iter().map(|n| n.text.clone()).collect();
        }
        options
    }
}

/// The settings and packs of all designs of a run; those that share a settings file share its packs, compiled once.
pub(super) struct SettingsCache {
    rules: Vec<PathBuf>,
    locked: Option<PathBuf>,
    found: BTreeMap<PathBuf, Option<PathBuf>>,
    in_force: BTreeMap<Option<PathBuf>, usize>,
    all: Vec<ActiveSettings>,
}

impl SettingsCache {
    /// A cache with more packs, which hold beside those of any settings, and perhaps locked to some settings.
    pub(super) fn new(sources: &RuleSources) -> Self {
        Self {
            rules: sources.rules.clone(),
            locked: sources.locked.as_deref().map(whole),
            found: BTreeMap::new(),
            in_force: BTreeMap::new(),
            all: Vec::new(),
        }
    }

    /// What is in force for a design, by a number for [`Self::get`]; `-` counts as a file of the folder of the run.
    pub(super) fn number(&mut self, design: &Path, problems: &mut Vec<Placed>) -> usize {
        let file = self.settings_file(design);
        if let Some(number) = self.in_force.get(&file) {
            return *number;
        }
        let first = self.all.is_empty();
        let mut later = Vec::new();
        // What is wrong with the settings that a run is locked to is told once.
        let heard = if first || self.locked.is_none() { &mut *problems } else { &mut later };
        let known = heard.len();
        let (settings, ignored) = match &self.locked {
            None => (file.as_deref().map(|file| read_chain(file, heard)), None),
            Some(locked) => {
                let settings = read_chain(locked, heard);
                let ignored = file.as_deref().and_then(|file| left_aside(file, locked, &settings));
                (Some(settings), ignored)
            }
        };
        let problems = heard;
        let wrong = problems.len() > known;
        let active = ActiveSettings::of(settings, &self.rules, problems);
        let incomplete = wrong || active.incomplete;
        self.all.push(ActiveSettings { ignored, incomplete, ..active });
        self.in_force.insert(file, self.all.len() - 1);
        self.all.len() - 1
    }

    /// The nearer settings that were left aside so far, a line each: for a command whose report does not name them.
    pub(super) fn ignored(&self) -> String {
        let mut lines: Vec<String> = self
            .all
            .iter()
            .filter_map(|force| force.ignored.as_ref())
            .map(|one| format!("{one}\n"))
            .collect();
        lines.sort();
        lines.dedup();
        lines.concat()
    }

    /// What is in force under a number.
    pub(super) fn get(&self, number: usize) -> Option<&ActiveSettings> {
        self.all.get(number)
    }

    /// What to complain of in the names of codes that were asked for: those that are a pack for none of the designs.
    pub(super) fn unknown_codes(&self, codes: &[String]) -> Option<String> {
        let render = |name: &String| {
            let known = self.all.iter().any(|force| force.library.unknown_code(name).is_none());
            if known { None } else { self.all.first()?.library.unknown_code(name) }
        };
        let all: Vec<String> = codes.iter().filter_map(render).collect();
        (!all.is_empty()).then(|| format!("{}\n", clean_line(&all.join(" "))))
    }

    /// The settings file of a design: in its folder or the nearest one above it, as far as the root of its repository.
    fn settings_file(&mut self, design: &Path) -> Option<PathBuf> {
        let here = if design.as_os_str() == "-" { PathBuf::from(".") } else { design.to_path_buf() };
        let folder = if design.as_os_str() == "-" {
            whole(&here)
        } else {
            whole(&here).parent().map(Path::to_path_buf).unwrap_or_default()
        };
        if let Some(known) = self.found.get(&folder) {
            return known.clone();
        }
        let mut found = None;
        for above in folder.ancestors() {
            let candidate = above.join(SETTINGS);
            // What stands there and is no plain file is not passed over: reading it says what it is.
            if candidate.symlink_metadata().is_ok() {
                found = Some(candidate);
                break;
            }
            if above.join(".git").exists() {
                break;
            }
        }
        self.found.insert(folder, found.clone());
        found
    }

    /// Leaves out the designs that were found in folders and that the settings' `paths` do not take in; what was asked
    /// for by name stays. How many were left out is complaints: silence would pass for a review.
    pub(super) fn keep(
        &mut self,
        files: &mut Vec<PathBuf>,
        asked: &[PathBuf],
        problems: &mut Vec<Placed>,
        complaints: &mut String,
    ) {
        let mut left_out: BTreeMap<String, usize> = BTreeMap::new();
        files.retain(|file| {
            if asked.contains(file) {
                return true;
            }
            let number = self.number(file, problems);
            let Some(settings) = self.get(number).and_then(|f| f.settings.as_ref()) else { return true };
            let Some(first) = settings.paths.first() else { return true };
            let taken = takes(&settings.paths, first, file);
            if !taken {
                *left_out.entry(first.at.in_words()).or_default() += 1;
            }
            taken
        });
        for (place, count) in left_out {
            let designs = if count == 1 { "1 design".to_owned() } else { format!("{count} designs") };
            complaints.push_str(&format!("{designs} left out by `paths` of {}\n", clean_line(&place)));
        }
    }
}

/// The folder that a settings file stands in.
fn folder_of(said: &Spanned) -> PathBuf {
    whole(Path::new(said.at.source.name())).parent().map(Path::to_path_buf).unwrap_or_default()
}

/// True when a club's waiver is of a design.
fn is_of(waiver: &ClubWaiver, design: &Path) -> bool {
    if waiver.is_pattern() {
        let is_below = whole(design).starts_with(folder_of(&waiver.design));
        return is_below && takes(std::slice::from_ref(&waiver.design), &waiver.design, design);
    }
    whole(&waiver.design.path()) == whole(design)
}

/// True when there is a design that a club's waiver is of.
fn has_design(waiver: &ClubWaiver) -> bool {
    if !waiver.is_pattern() {
        return waiver.design.path().is_file();
    }
    let files = ignore::WalkBuilder::new(folder_of(&waiver.design)).build().filter_map(Result::ok);
    files.into_iter().any(|entry| is_design(entry.path()) && is_of(waiver, entry.path()))
}

/// True when patterns take in a design.
fn takes(patterns: &[Spanned], first: &Spanned, design: &Path) -> bool {
    let folder = folder_of(first);
    let mut builder = ignore::overrides::OverrideBuilder::new(&folder);
    for pattern in patterns {
        // One that is no pattern was reported when the settings were read.
        let _ = builder.add(&pattern.text);
    }
    let Ok(chosen) = builder.build() else { return true };
    let design = whole(design);
    let above = design.ancestors().skip(1).take_while(|a| a.starts_with(&folder));
    !chosen.matched(&design, false).is_ignore()
        && !above.into_iter().any(|a| chosen.matched(a, true).is_ignore())
}

/// A path from the top, without links looked into.
pub(super) fn whole(path: &Path) -> PathBuf {
    normalize_path(&std::env::current_dir().unwrap_or_default().join(path))
}

/// A path as reports name it: from the folder of the run where it lies in it.
fn named(path: &Path) -> PathBuf {
    let here = std::env::current_dir().unwrap_or_default();
    path.strip_prefix(&here).map_or_else(|_| path.to_path_buf(), Path::to_path_buf)
}

/// The settings of a file and of those that it extends.
fn read_chain(file: &Path, problems: &mut Vec<Placed>) -> Settings {
    let settings = read_one(&named(file), None, problems).unwrap_or_default();
    with_extended(file, settings, problems)
}

/// The settings of a file with those that it extends.
fn with_extended(file: &Path, mut settings: Settings, problems: &mut Vec<Placed>) -> Settings {
    let mut seen = vec![file.to_path_buf()];
    while let Some(next) = settings.extends.take() {
        let path = whole(&next.path());
        if seen.contains(&path) {
            let message = "these settings extend each other in a circle";
            problems.push((Arc::clone(&next.at.source), Problem::at(next.at.span, message)));
            break;
        }
        seen.push(path.clone());
        match read_one(&named(&path), Some(&next), problems) {
            Some(further) => settings = settings.over(further),
            None => break,
        }
    }
    settings
}

/// Settings that are left aside, since a run is locked to others that do not extend them.
fn left_aside(file: &Path, locked: &Path, settings: &Settings) -> Option<Departure> {
    let place = |path: &Path| std::fs::canonicalize(path).unwrap_or_else(|_| whole(path));
    let here = place(file);
    let used = settings.files.iter().any(|source| place(Path::new(source.name())) == here);
    (!used && place(locked) != here).then(|| Departure {
        kind: DepartureKind::Ignored,
        of: named(file).to_string_lossy().into_owned(),
        was: String::new(),
        is: named(locked).to_string_lossy().into_owned(),
        reason: String::new(),
        by: None,
        until: None,
        at: SourceLocation {
            source: Arc::new(Source::new(named(file).to_string_lossy(), "")),
            span: Span::default(),
        },
    })
}

/// One settings file; why it cannot be read is complaints where it is named, if it is.
fn read_one(path: &Path, named_by: Option<&Spanned>, problems: &mut Vec<Placed>) -> Option<Settings> {
    match open(path) {
        Ok(source) => Some(settings_of(source, problems)),
        Err(placed) => {
            problems.push(match named_by {
                Some(said) => {
                    let message = format!("`{}` cannot be read: {}", said.text, placed.1.message);
                    (Arc::clone(&said.at.source), Problem::at(said.at.span, message))
                }
                None => placed,
            });
            None
        }
    }
}

/// The settings that a text says.
fn settings_of(source: Source, problems: &mut Vec<Placed>) -> Settings {
    let source = Arc::new(source);
    let (settings, found) = Settings::read(&source);
    problems.extend(found.into_iter().map(|p| (Arc::clone(&source), p)));
    let of_waivers = settings.waivers.iter().filter(|w| w.is_pattern()).map(|w| &w.design);
    for pattern in settings.paths.iter().chain(of_waivers) {
        if let Err(error) = ignore::overrides::OverrideBuilder::new(".").add(&pattern.text) {
            let problem = Problem::at(pattern.at.span, format!("this is no pattern: {error}"));
            problems.push((Arc::clone(&source), problem));
        }
    }
    settings
}

/// Says which settings hold for a design, and where each of them comes from.
pub(super) fn show(design: &Path, sources: &RuleSources, style: Style) -> Output {
    let mut problems = Vec::new();
    let mut settings_cache = SettingsCache::new(sources);
    let number = settings_cache.number(design, &mut problems);
    let mut output = Output::default();
    if let Some(force) = settings_cache.get(number) {
        output.report =
            settings_text(design, force.settings.as_ref(), &force.library, &sources.rules, SETTINGS);
        output.report.push_str(&settings_cache.ignored());
    }
    if design.as_os_str() != "-" && !design.exists() {
        let message = Problem::of_file("there is no such file; these would be its settings");
        problems.push(super::files::of_path(design, message));
    }
    output.complain(&problems, style);
    output
}

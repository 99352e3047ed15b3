//! A club's settings: its packs, limits, levels, rules that are switched off and waivers, and which designs a folder's review takes in.
//!
//! Settings are read from a text like designs and packs; finding the file for a design is the commands' work.

use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

use super::citation::text;
use super::level::Level;
use crate::quantity::Quantity;
use crate::vocabulary::{Date, EntityId, Key, Store, read};
use crate::yaml::{Problem, Source, Span, Tree, in_order};

crate::entity_types! {
    /// The settings of a club for the designs in the folder of this file and in those below.
    SETTINGS: SettingsEntity as settings = "settings" {
        /// The version of the settings format; this program reads version 1.
        required settings: Count(1);
        /// Another settings file, from the folder of this one: what it says holds too, where this one says nothing of the kind.
        optional extends: Text;
        /// Rule packs of the club's own: files or folders, from the folder of this file; each as a path, or with the digest that it must have.
        optional packs: Listed(PackSettingEntity);
        /// Codes, laws and guides that every design is judged by, besides those that it names itself: names of packs.
        optional codes: Texts;
        /// Which designs the review of a folder takes in: patterns as in a `.gitignore`, from the folder of this file; one that starts with `!` leaves out.
        optional paths: Texts;
        /// Limits of packs that the club sets otherwise.
        optional limits: List(LimitSettingEntity);
        /// Rules that the club takes more or less gravely.
        optional levels: List(LevelSettingEntity);
        /// Rules that the club does without for a time.
        optional switched_off: List(OffSettingEntity);
        /// What a waiver must say besides what every waiver must: `subject`, `margin`; with `settings`, one that is written in a design holds for nothing.
        optional waivers_need: Texts;
        /// Findings of single designs that someone answers for.
        optional waivers: List(ClubWaiverEntity);
    }

    /// A pack of the club's own.
    PACK_SETTING: PackSettingEntity as pack_setting = "pack_setting" {
        /// The file or folder, from the folder of this file.
        required path: Text;
        /// Its SHA-256 in hexadecimal, as `holdpoint rules --digest` prints it: a pack that is not the same any more is a mistake.
        optional sha256: Text;
    }

    /// A limit that a club sets otherwise.
    LIMIT_SETTING: LimitSettingEntity as limit_setting = "limit_setting" {
        /// The pack that has the limit.
        required pack: Text;
        /// Its name there.
        required limit: Text;
        /// The value, with its unit.
        required is: Text;
        /// Why the club departs from the pack.
        required reason: Text;
    }

    /// A rule that a club takes more or less gravely.
    LEVEL_SETTING: LevelSettingEntity as level_setting = "level_setting" {
        /// The rule.
        required rule: Text;
        /// How grave it is here.
        required level: OneOf(Level);
        /// Why the club departs from the pack.
        required reason: Text;
    }

    /// A rule that a club does without for a time.
    OFF_SETTING: OffSettingEntity as off_setting = "off_setting" {
        /// The rule.
        required rule: Text;
        /// Why the club does without it.
        required reason: Text;
        /// Who answers for it.
        required by: Text;
        /// The last day it is switched off; after that it judges again.
        required until: Date;
    }

    /// A finding of a design that someone answers for.
    CLUB_WAIVER: ClubWaiverEntity as club_waiver = "club_waiver" {
        /// The design, from the folder of this file; or several, by a pattern as in a `.gitignore`.
        required design: Text;
        /// The rule.
        required rule: Text;
        /// The part it is waived for; every part where not said.
        optional subject: Text;
        /// Why it is acceptable.
        required reason: Text;
        /// Who answers for it.
        required by: Text;
        /// The last day it holds.
        required until: Date;
        /// The margin when it was waived, with its unit where it is a gap: it holds only while the margin is no worse.
        optional margin: Text;
    }
}

/// The fields that `waivers_need` may ask for.
const MAY_BE_NEEDED: [&str; 3] = ["subject", "margin", "settings"];

/// Where a setting stands.
#[derive(Clone, Debug)]
pub struct SourceLocation {
    /// The file.
    pub source: Arc<Source>,
    /// The bytes there.
    pub span: Span,
}

impl SourceLocation {
    /// The line, counted from 1.
    #[must_use]
    pub fn line(&self) -> u32 {
        self.source.position(self.span.start).line
    }

    /// The file and the line, as reports name them.
    #[must_use]
    pub fn in_words(&self) -> String {
        format!("{}, line {}", self.source.name(), self.line())
    }

    pub(super) fn problem(&self, message: String) -> (Arc<Source>, Problem) {
        (Arc::clone(&self.source), Problem::at(self.span, message))
    }
}

/// A text of a settings file.
#[derive(Clone, Debug)]
pub struct Spanned {
    /// The text.
    pub text: String,
    /// Where.
    pub at: SourceLocation,
}

impl Spanned {
    /// The text as a path from the folder of its file, with `..` worked out.
    #[must_use]
    pub fn path(&self) -> PathBuf {
        let folder = Path::new(self.at.source.name()).parent().unwrap_or(Path::new(""));
        normalize_path(&folder.join(&self.text))
    }
}

/// A path without `.` and, where a folder stands before it, without `..`.
#[must_use]
pub fn normalize_path(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir if matches!(out.components().next_back(), Some(Component::Normal(_))) => {
                out.pop();
            }
            part => out.push(part),
        }
    }
    out
}

/// The digest that a pack must have.
#[derive(Clone, Debug)]
pub struct PackLock {
    /// The file or folder.
    pub pack: Spanned,
    /// SHA-256 in hexadecimal.
    pub sha256: Spanned,
}

/// A limit that a club sets otherwise.
#[derive(Clone, Debug)]
pub struct LimitSetting {
    /// The pack.
    pub pack: String,
    /// The limit.
    pub limit: String,
    /// The value.
    pub is: Quantity,
    /// Why.
    pub reason: String,
    /// Where the value stands, and where the names of the pack and the limit do.
    pub at: SourceLocation,
    pub(super) pack_at: SourceLocation,
    pub(super) limit_at: SourceLocation,
}

/// A rule that a club takes more or less gravely.
#[derive(Clone, Debug)]
pub struct LevelSetting {
    /// The rule.
    pub rule: String,
    /// How grave it is here.
    pub level: Level,
    /// Why.
    pub reason: String,
    /// Where.
    pub at: SourceLocation,
}

/// A rule that a club does without for a time.
#[derive(Clone, Debug)]
pub struct OffSetting {
    /// The rule.
    pub rule: String,
    /// Why.
    pub reason: String,
    /// Who answers for it.
    pub by: String,
    /// The last day.
    pub until: Date,
    /// Where.
    pub at: SourceLocation,
}

/// A waiver of a finding of one design.
#[derive(Clone, Debug)]
pub struct ClubWaiver {
    /// The design, as a path from the folder of the file; or a pattern of several.
    pub design: Spanned,
    /// The rule.
    pub rule: String,
    /// The subject's path or the end of it; every subject where not said.
    pub subject: Option<String>,
    /// Why it is acceptable.
    pub reason: String,
    /// Who answers for it.
    pub by: String,
    /// The last day it holds.
    pub until: Date,
    /// The margin when it was waived.
    pub margin: Option<Quantity>,
    /// Where.
    pub at: SourceLocation,
}

impl ClubWaiver {
    /// Whether its design is a pattern, for several designs.
    #[must_use]
    pub fn is_pattern(&self) -> bool {
        self.design.text.contains(['*', '?', '['])
    }
}

/// The settings in force for a design, each one with the place where it is said.
#[derive(Clone, Debug, Default)]
pub struct Settings {
    /// The files, nearest first.
    pub files: Vec<Arc<Source>>,
    /// Another file to go on with.
    pub extends: Option<Spanned>,
    /// Packs of the club's own.
    pub packs: Vec<Spanned>,
    /// Digests that packs of the club's own must have.
    pub locks: Vec<PackLock>,
    /// Codes that every design is judged by.
    pub codes: Vec<Spanned>,
    /// Patterns of the designs that a folder's review takes in.
    pub paths: Vec<Spanned>,
    /// Limits.
    pub limits: Vec<LimitSetting>,
    /// Levels of rules.
    pub levels: Vec<LevelSetting>,
    /// Rules that are switched off.
    pub off: Vec<OffSetting>,
    /// What a waiver must say besides.
    pub waivers_need: Vec<Spanned>,
    /// Waivers.
    pub waivers: Vec<ClubWaiver>,
}

impl Settings {
    /// Reads a settings file. What is wrong comes back beside what could be read.
    #[must_use]
    pub fn read(source: &Arc<Source>) -> (Self, Vec<Problem>) {
        let mut settings = Self { files: vec![Arc::clone(source)], ..Self::default() };
        let parsed = Tree::parse(source);
        let mut problems = parsed.problems;
        if let Some(tree) = &parsed.tree {
            let reading = read(&SETTINGS, source, tree, None);
            problems.extend(reading.problems);
            settings.gather(source, tree, &reading.store, &mut problems);
        }
        (settings, in_order(problems))
    }

    fn gather(&mut self, source: &Arc<Source>, tree: &Tree, store: &Store, problems: &mut Vec<Problem>) {
        let Some(root) = store.get(store.root()) else { return };
        let at = |span: Option<Span>| SourceLocation {
            source: Arc::clone(source),
            span: span.unwrap_or_default(),
        };
        if let Some(number) = root.get(settings::settings)
            && number != 1
        {
            problems.push(
                Problem::at(
                    root.slot(settings::settings.slot).place.unwrap_or_default(),
                    format!("settings format {number} is not one this program reads"),
                )
                .help("write `settings: 1`"),
            );
        }
        self.extends = text(store, store.root(), settings::extends)
            .map(|text| Spanned { text, at: at(root.slot(settings::extends.slot).place) });
        let list = |key: Key<SettingsEntity, Arc<[Arc<str>]>>| -> Vec<Spanned> {
            let Some(texts) = root.get(key) else { return Vec::new() };
            let items = root.slot(key.slot).node.map(|node| tree.items(node)).unwrap_or_default();
            let place = |i: usize| items.get(i).map(|item| tree.span(*item));
            let said = |(i, text): (usize, &Arc<str>)| Spanned { text: text.to_string(), at: at(place(i)) };
            texts.iter().enumerate().map(said).collect()
        };
        self.codes = list(settings::codes);
        self.paths = list(settings::paths);
        for needed in list(settings::waivers_need) {
            if MAY_BE_NEEDED.contains(&needed.text.as_str()) {
                self.waivers_need.push(needed);
            } else {
                let message =
                    format!("`{}` is nothing that a waiver may be asked to say besides", needed.text);
                let help = "it is one of `subject`, `margin`, `settings`; the reason, who and until when every waiver says";
                problems.push(Problem::at(needed.at.span, message).help(help));
            }
        }
        let place = |id: EntityId, slot: u16| store.get(id).and_then(|e| e.slot(slot).place);
        for id in store.of_type(&PACK_SETTING) {
            let said = |key: Key<PackSettingEntity, Arc<str>>| {
                text(store, id, key).map(|text| Spanned { text, at: at(place(id, key.slot)) })
            };
            let Some(pack) = said(pack_setting::path) else { continue };
            self.packs.push(pack.clone());
            match said(pack_setting::sha256) {
                Some(lock) if lock.text.len() != 64 || !lock.text.bytes().all(|b| b.is_ascii_hexdigit()) => {
                    problems.push(
                        Problem::at(lock.at.span, "a SHA-256 is 64 hexadecimal digits")
                            .help("`holdpoint rules --digest --rules PATH` prints it"),
                    );
                }
                Some(sha256) => self.locks.push(PackLock { pack, sha256 }),
                None => {}
            }
        }
        for id in store.of_type(&LIMIT_SETTING) {
            let get = |key| text(store, id, key);
            let (Some(pack), Some(limit), Some(is), Some(reason)) = (
                get(limit_setting::pack),
                get(limit_setting::limit),
                get(limit_setting::is),
                get(limit_setting::reason),
            ) else {
                continue;
            };
            let (pack_at, limit_at) =
                (at(place(id, limit_setting::pack.slot)), at(place(id, limit_setting::limit.slot)));
            let at = at(place(id, limit_setting::is.slot));
            match Quantity::read(&is) {
                Ok(is) => {
                    self.limits.push(LimitSetting { pack, limit, is, reason, at, pack_at, limit_at });
                }
                Err(error) => problems.push(Problem::at(at.span, error.message).maybe_help(error.help)),
            }
        }
        for id in store.of_type(&LEVEL_SETTING) {
            let Some(level) = store.value(id, level_setting::level) else { continue };
            let get = |key| text(store, id, key);
            if let (Some(rule), Some(reason)) = (get(level_setting::rule), get(level_setting::reason)) {
                let at = at(place(id, level_setting::rule.slot));
                self.levels.push(LevelSetting { rule, level, reason, at });
            }
        }
        for id in store.of_type(&OFF_SETTING) {
            let get = |key| text(store, id, key);
            if let (Some(rule), Some(reason), Some(by), Some(until)) = (
                get(off_setting::rule),
                get(off_setting::reason),
                get(off_setting::by),
                store.value(id, off_setting::until),
            ) {
                let at = at(place(id, off_setting::rule.slot));
                self.off.push(OffSetting { rule, reason, by, until, at });
            }
        }
        for id in store.of_type(&CLUB_WAIVER) {
            let get = |key| text(store, id, key);
            let Some(until) = store.value(id, club_waiver::until) else { continue };
            let margin = match get(club_waiver::margin).map(|m| Quantity::read(&m)).transpose() {
                Ok(margin) => margin,
                Err(error) => {
                    let span = place(id, club_waiver::margin.slot).unwrap_or_default();
                    problems.push(Problem::at(span, error.message).maybe_help(error.help));
                    continue;
                }
            };
            let (Some(design), Some(rule), Some(reason), Some(by)) = (
                get(club_waiver::design),
                get(club_waiver::rule),
                get(club_waiver::reason),
                get(club_waiver::by),
            ) else {
                continue;
            };
            self.waivers.push(ClubWaiver {
                design: Spanned { text: design, at: at(place(id, club_waiver::design.slot)) },
                rule,
                subject: get(club_waiver::subject),
                reason,
                by,
                until,
                margin,
                at: at(place(id, club_waiver::rule.slot)),
            });
        }
    }

    /// What the settings change, in a line for a report; `None` where there are none.
    #[must_use]
    pub fn in_words(&self) -> Option<String> {
        let nearest = self.files.first()?;
        let several = |count: usize, what: &str| match count {
            0 => None,
            1 => Some(format!("1 {what}")),
            count => Some(format!("{count} {what}s")),
        };
        let parts: Vec<String> = [
            several(self.packs.len(), "pack"),
            several(self.codes.len(), "code"),
            several(self.limits.len(), "limit"),
            several(self.levels.len(), "level"),
            several(self.off.len(), "rule").map(|rules| format!("{rules} off")),
        ]
        .into_iter()
        .flatten()
        .collect();
        let changes = if parts.is_empty() { "nothing".to_owned() } else { parts.join(", ") };
        Some(format!("{}: {changes} set by the club", nearest.name()))
    }

    /// These settings with those of the file they extend: packs, codes, waivers and what waivers need are joined; of limits,
    /// levels and rules that are off, of one name the nearer one wins; patterns of designs are the nearest file's that has any.
    #[must_use]
    pub fn over(mut self, further: Self) -> Self {
        self.files.extend(further.files);
        self.extends = further.extends;
        let own = std::mem::take(&mut self.packs);
        self.packs = further.packs.into_iter().chain(own).collect();
        self.locks.extend(further.locks);
        self.codes.extend(further.codes);
        if self.paths.is_empty() {
            self.paths = further.paths;
        }
        for limit in further.limits {
            if !self.limits.iter().any(|l| l.pack == limit.pack && l.limit == limit.limit) {
                self.limits.push(limit);
            }
        }
        for level in further.levels {
            if !self.levels.iter().any(|l| l.rule == level.rule) {
                self.levels.push(level);
            }
        }
        for off in further.off {
            if !self.off.iter().any(|o| o.rule == off.rule) {
                self.off.push(off);
            }
        }
        self.waivers_need.extend(further.waivers_need);
        self.waivers.extend(further.waivers);
        self
    }
}

//! `holdpoint watch`: a design reviewed again on each save, and what the save changed.

use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use clap::Args;
use notify::{RecursiveMode, Watcher};

use super::files::{Placed, open};
use super::invocation::{Invocation, Output};
use super::settings::{RuleSources, SettingsCache};
use crate::design::Design;
use crate::report::{Style, caution, problem_text, watch_text, watched_text};
use crate::review::{DesignReview, Options, compare, review};
use crate::rules::HoldPoint;
use crate::text::{clean_line, no_commands};
use crate::vocabulary::Date;

/// A save is over when nothing more happens for so long: editors write in several steps.
const QUIET: Duration = Duration::from_millis(80);

/// Review a design again on each save, and tell what that changed
///
/// Ends when it is interrupted, or with --until-clear once nothing holds. The settings and packs are read anew each time. A file that
/// is half written, cannot be read or is gone for a moment is waited for.
///
/// Exit: 0 nothing holds any more (with --until-clear); 2 the folder of the design cannot be watched.
#[derive(Args, Clone, Debug)]
pub struct WatchOptions {
    /// The design file
    pub design: PathBuf,
    /// Only what must be settled before this step
    #[arg(long, value_enum, value_name = "STEP")]
    pub before: Option<HoldPoint>,
    /// End once nothing holds
    #[arg(long)]
    pub until_clear: bool,
    #[allow(missing_docs, reason = "the flags say what each is for")]
    #[command(flatten)]
    pub sources: RuleSources,
    /// The day it is, for waivers and dates (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
}

/// Watches a design.
pub(super) fn watch(options: &WatchOptions, invocation: &mut Invocation<'_>) -> Output {
    let (style, today) = (invocation.style, invocation.day(options.today));
    let (sender, events) = channel();
    // Editors replace a file by another one: its folder is watched, and not the file.
    let folder = options.design.parent().filter(|folder| !folder.as_os_str().is_empty());
    let folder = folder.unwrap_or(Path::new("."));
    let watcher = notify::recommended_watcher(move |event| drop(sender.send(event)));
    let watcher = watcher.and_then(|mut watcher| {
        watcher.watch(folder, RecursiveMode::NonRecursive)?;
        Ok(watcher)
    });
    let watcher = match watcher {
        Ok(watcher) => watcher,
        Err(error) => {
            let folder = folder.to_string_lossy();
            return Output::failed(format!("{}: cannot be watched: {error}\n", clean_line(&folder)));
        }
    };
    let mut state = State { options, style, today, seen: None, last: None };
    let output = state.follow(invocation, &events);
    drop(watcher);
    output
}

/// What was seen last.
struct State<'o> {
    options: &'o WatchOptions,
    style: Style,
    today: Date,
    /// The bytes, or why there are none.
    seen: Option<Result<String, String>>,
    last: Option<DesignReview>,
}

impl State<'_> {
    fn follow(
        &mut self,
        invocation: &mut Invocation<'_>,
        events: &Receiver<notify::Result<notify::Event>>,
    ) -> Output {
        let mut output = Output::default();
        loop {
            if let Some(text) = self.look() {
                let printed = invocation.out.write_all(no_commands(text).as_bytes());
                if let Err(error) = printed.and_then(|()| invocation.out.flush()) {
                    output.not_printed(&error);
                    return output;
                }
            }
            if self.options.until_clear && self.last.as_ref().is_some_and(DesignReview::is_clear) {
                caution().clone_into(&mut output.report);
                return output;
            }
            if events.recv().is_err() {
                return output;
            }
            while events.recv_timeout(QUIET).is_ok() {}
        }
    }

    /// What is to be told of the file as it is now; nothing where it is as it was.
    fn look(&mut self) -> Option<String> {
        let source = open(&self.options.design);
        let now = match &source {
            Ok(source) => Ok(source.text().to_owned()),
            Err((_, problem)) => Err(problem.message.clone()),
        };
        if self.seen.as_ref() == Some(&now) {
            return None;
        }
        self.seen = Some(now);
        let source = match source {
            Ok(source) => source,
            Err((source, problem)) => {
                return Some(problem_text(&source, &problem, self.style) + "waiting for the file\n\n");
            }
        };
        let mut problems: Vec<Placed> = Vec::new();
        let mut settings_cache = SettingsCache::new(&self.options.sources);
        let number = settings_cache.number(&self.options.design, &mut problems);
        let mut text: String =
            problems.iter().map(|(source, problem)| problem_text(source, problem, self.style)).collect();
        let Some(force) = settings_cache.get(number) else { return Some(text) };
        let design = Design::read(source, &force.library.tables);
        if !design.is_readable() {
            text.extend(
                design.problems.iter().map(|problem| problem_text(&design.source, problem, self.style)),
            );
            return Some(text + "waiting for a file that can be read\n\n");
        }
        let mut how = Options::on(self.today);
        how.before = self.options.before;
        how.try_remedies = false;
        how.find_working = false;
        let now = review(design, &force.library, &force.options(&self.options.design, &how));
        text.push_str(&match &self.last {
            None => watch_text(&now, self.style),
            Some(last) => watched_text(&compare(last, &now), self.style),
        });
        self.last = Some(now);
        Some(text)
    }
}

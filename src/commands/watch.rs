//! `holdpoint watch`: a design reviewed again on each save, and what the save changed.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use clap::Args;
use notify::{RecursiveMode, Watcher};

use super::files::{Placed, open};
use super::invocation::{Invocation, Output};
use super::page_server::{PageServer, random_word};
use super::records::hold_to_records;
use super::report_writer::ReportWriter;
use super::settings::{RuleSources, SettingsCache};
use crate::design::Design;
use crate::report::{Follow, List, Page, Style, caution, problem_text, watch_text, watched_text};
use crate::review::{DesignReview, Options, compare, review};
use crate::rules::{HoldPoint, Library};
use crate::vocabulary::Date;
use crate::yaml::{clean_line, no_commands};

/// A save is over when nothing more happens for so long: editors write in several steps.
const QUIET: Duration = Duration::from_millis(80);

/// Review a design again on each save, and tell what that changed
///
/// Ends when it is interrupted (Ctrl-C), or with --until-clear once nothing holds. The settings and packs are read anew each time. A
/// file that is half written, cannot be read or is gone for a moment is waited for.
///
/// Exit, by the file as it was last: 0 nothing holds; 1 something holds; 2 it could not be reviewed, or its folder cannot be watched.
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
    /// Serve the page of the review to a browser on this computer, and load it anew on each save
    #[arg(long)]
    pub page: bool,
    #[allow(missing_docs, reason = "the flags say what each is for")]
    #[command(flatten)]
    pub sources: RuleSources,
    /// The day it is, for waivers and dates (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
}

/// What ends a wait.
enum Event {
    /// Something happened in the folder.
    Folder,
    /// The person wants to end.
    Interrupted,
}

/// Watches a design.
pub(super) fn watch(options: &WatchOptions, invocation: &mut Invocation<'_>) -> Output {
    let (style, today) = (invocation.style, invocation.day(options.today));
    let (sender, events) = channel();
    // Editors replace a file by another one: its folder is watched, and not the file.
    let folder = options.design.parent().filter(|folder| !folder.as_os_str().is_empty());
    let folder = folder.unwrap_or(Path::new("."));
    let interrupted = sender.clone();
    let watcher = notify::recommended_watcher(move |_| drop(sender.send(Event::Folder)));
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
    let page = match options.page.then(PageServer::start).transpose() {
        Ok(page) => page,
        Err(error) => return Output::failed(format!("the page cannot be served: {error}\n")),
    };
    // Where the system takes no handler, an interrupt ends the program as it ends any other.
    let _ = ctrlc::set_handler(move || drop(interrupted.send(Event::Interrupted)));
    let mut state = State { options, style, today, page, version: 0, seen: None, last: None };
    let output = state.follow(invocation, &events);
    drop(watcher);
    output
}

/// What was seen last.
struct State<'o> {
    options: &'o WatchOptions,
    style: Style,
    today: Date,
    page: Option<PageServer>,
    /// How many pages were shown.
    version: u64,
    /// The bytes, or why there are none.
    seen: Option<Result<String, String>>,
    last: Option<DesignReview>,
}

impl State<'_> {
    fn follow(&mut self, invocation: &mut Invocation<'_>, events: &Receiver<Event>) -> Output {
        let mut output = Output::default();
        let mut lead = self.page.as_ref().map(|page| format!("page: {}\n\n", page.url()));
        loop {
            if let Some(told) = self.look() {
                let text = lead.take().unwrap_or_default() + &told.text;
                let printed = invocation.out.write_all(no_commands(text).as_bytes());
                if let Err(error) = printed.and_then(|()| invocation.out.flush()) {
                    output.not_printed(&error);
                    return output;
                }
                output.code = told.code;
            }
            if self.options.until_clear && output.code == 0 {
                caution().clone_into(&mut output.report);
                return output;
            }
            if !saved(events) {
                return output;
            }
        }
    }

    /// What is to be told of the file as it is now; nothing where it is as it was.
    fn look(&mut self) -> Option<Told> {
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
            Err(placed) => return Some(self.unreadable(&[placed], "waiting for the file\n\n")),
        };
        let mut problems: Vec<Placed> = Vec::new();
        let mut settings_cache = SettingsCache::new(&self.options.sources);
        let number = settings_cache.number(&self.options.design, &mut problems);
        let Some(force) = settings_cache.get(number) else { return Some(self.unreadable(&problems, "")) };
        let design = Design::read(source, &force.library.tables);
        if !design.is_readable() {
            let source = Arc::new(design.source);
            problems.extend(design.problems.into_iter().map(|problem| (Arc::clone(&source), problem)));
            return Some(self.unreadable(&problems, "waiting for a file that can be read\n\n"));
        }
        let mut how = Options::on(self.today);
        how.before = self.options.before;
        how.try_remedies = self.page.is_some();
        how.find_working = self.page.is_some();
        let now = review(design, &force.library, &force.options(&self.options.design, &how));
        let text: String =
            problems.iter().map(|(source, problem)| problem_text(source, problem, self.style)).collect();
        let news = match &self.last {
            None => watch_text(&now, self.style),
            Some(last) => watched_text(&compare(last, &now), self.style),
        };
        self.show(problems, Some((&now, &force.library)));
        let code = u8::from(!now.is_clear());
        self.last = Some(now);
        Some(Told { text: text + &news, code })
    }

    /// The messages for a file that cannot be reviewed.
    fn unreadable(&mut self, problems: &[Placed], then: &str) -> Told {
        self.show(problems.to_vec(), None);
        let text = problems.iter().map(|(source, problem)| problem_text(source, problem, self.style));
        Told { text: text.collect::<String>() + then, code: 2 }
    }

    /// Shows on the page what is wrong with files, and the review where there is one: as `review` does, with the record of what
    /// was passed.
    fn show(&mut self, mut problems: Vec<Placed>, reviewed: Option<(&DesignReview, &Library)>) {
        let Some(server) = &self.page else { return };
        // Without random numbers no page could have its script; the system gave some at the start.
        let Ok(nonce) = random_word() else { return };
        self.version += 1;
        let version = self.version;
        let mut page = ReportWriter::new(Box::new(Page::live(Follow { version, nonce })));
        let held = reviewed.map(|(review, library)| {
            let mut review = review.clone();
            hold_to_records(std::slice::from_mut(&mut review), &[library], &mut problems);
            page.form().design(&review, library, 1)
        });
        for (source, problem) in &problems {
            let part = page.form().problem(source, problem);
            page.put(List::Problems, part);
        }
        if let Some(part) = held {
            page.put(List::Designs, part);
        }
        let mut written = Vec::new();
        // A page that could not be put together, on a full disk, is not shown as if it were whole.
        if let Err(error) = page.finish(&mut written) {
            written = format!("the page could not be made: {error}").into_bytes();
        }
        server.show(version, written);
    }
}

/// What is printed of a file, and the exit code that it deserves.
struct Told {
    text: String,
    code: u8,
}

/// Waits until the folder has been changed and is quiet again; false where the person wants to end.
fn saved(events: &Receiver<Event>) -> bool {
    let mut event = events.recv().ok();
    while matches!(event, Some(Event::Folder)) {
        match events.recv_timeout(QUIET) {
            Ok(next) => event = Some(next),
            Err(_) => return true,
        }
    }
    false
}

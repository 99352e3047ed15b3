//! One editor's session: its documents, their reviews, and what is published of them.

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::io::Write;
use std::path::{Path, PathBuf};

use lsp_server::{ErrorCode, Message, Notification, Request, RequestId};
use lsp_types::{Diagnostic, PublishDiagnosticsParams, Uri};
use serde_json::{Value as Json, json};

use super::configuration::Configuration;
use super::diagnostics::Placed;
use super::document::Document;
use super::due::Due;
use super::phase::Phase;
use super::positions::Lines;
use super::request_context::Client;
use super::rule_files;
use super::uris::uri_of;
use super::workspace::{Role, Workspace};
use crate::design::Design;
use crate::review::{DesignReview, IncrementalReview, Options, Reviewed, hold_to};
use crate::rules::Level;
use crate::yaml::Source;

/// One editor's session.
pub(super) struct Session<'o, W> {
    output: &'o mut dyn Write,
    is_gone: bool,
    pub(super) phase: Phase,
    pub(super) workspace: W,
    pub(super) options: Options,
    /// What holds where the editor says nothing.
    pub(super) otherwise: Configuration,
    pub(super) configuration: Configuration,
    pub(super) client: Client,
    /// By their addresses.
    pub(super) documents: BTreeMap<String, Document>,
    pub(super) folders: Vec<PathBuf>,
    /// Designs that are not open and wait for their review.
    pub(super) waiting: VecDeque<PathBuf>,
    /// Files that are not open, and of which something is published.
    published: BTreeSet<PathBuf>,
    pub(super) due: BTreeMap<usize, Due>,
    turns: u64,
    asked: i32,
}

impl<'o, W: Workspace> Session<'o, W> {
    pub(super) fn new(output: &'o mut dyn Write, workspace: W, options: Options) -> Self {
        let configuration = Configuration { before: options.before, folders: true };
        // No diagnostic shows a working, or the margin of what is held.
        let options = Options { find_working: false, find_margins: false, ..options };
        Self {
            output,
            is_gone: false,
            phase: Phase::default(),
            workspace,
            options,
            otherwise: configuration,
            configuration,
            client: Client::default(),
            documents: BTreeMap::new(),
            folders: Vec::new(),
            waiting: VecDeque::new(),
            published: BTreeSet::new(),
            due: BTreeMap::new(),
            turns: 0,
            asked: 0,
        }
    }

    pub(super) fn is_over(&self) -> bool {
        self.is_gone || self.phase.is_over()
    }

    pub(super) fn exit_code(&self) -> u8 {
        self.phase.exit_code()
    }

    pub(super) fn send(&mut self, message: impl Into<Message>) {
        // Whoever does not read any more has gone.
        self.is_gone |= message.into().write(&mut self.output).is_err();
    }

    pub(super) fn notify(&mut self, method: &str, params: Json) {
        self.send(Notification { method: method.to_owned(), params });
    }

    /// Asks the client something; the answer comes to [`Session::answered`] under this name and a number.
    pub(super) fn ask(&mut self, name: &str, method: &str, params: Json) {
        self.asked += 1;
        let id = RequestId::from(format!("{name}-{}", self.asked));
        self.send(Request { id, method: method.to_owned(), params });
    }

    /// Says what is wrong with a message of which not even the number is known.
    pub(super) fn send_error_without_id(&mut self, code: ErrorCode, why: &str) {
        let error = json!({"code": code as i32, "message": why});
        let text = json!({"jsonrpc": "2.0", "id": null, "error": error}).to_string();
        let framed = format!("Content-Length: {}\r\n\r\n{text}", text.len());
        let written = self.output.write_all(framed.as_bytes()).and_then(|()| self.output.flush());
        self.is_gone |= written.is_err();
    }

    /// The next turn of a changed document.
    pub(super) fn turn(&mut self) -> u64 {
        self.turns += 1;
        self.turns
    }

    /// Reviews what was changed last, or one design that is not open; false where nothing is left to do.
    pub(super) fn work(&mut self) -> bool {
        if !self.phase.is_running() {
            return false;
        }
        let changed = self.documents.iter().filter(|(_, document)| document.is_dirty);
        if let Some(uri) = changed.max_by_key(|(_, document)| document.turn).map(|(uri, _)| uri.clone()) {
            self.look_at(&uri, false);
            return true;
        }
        match self.waiting.pop_front() {
            Some(path) => {
                self.look_at_file(&path);
                true
            }
            None => false,
        }
    }

    /// Everything is looked at anew: settings, packs or records have changed.
    pub(super) fn start_over(&mut self) {
        self.workspace.forget();
        self.due.clear();
        self.documents.values_mut().for_each(Document::forget);
        self.find_designs();
        if self.client.refreshes_hints {
            self.ask("hints", "workspace/inlayHint/refresh", Json::Null);
        }
    }

    /// The designs of the folders wait for their review.
    pub(super) fn find_designs(&mut self) {
        self.waiting.clear();
        if self.configuration.folders {
            for folder in &self.folders {
                self.waiting.extend(self.workspace.designs(folder));
            }
        }
        let gone: Vec<PathBuf> =
            self.published.iter().filter(|path| !self.waiting.contains(path)).cloned().collect();
        for path in gone {
            self.publish_file(&path, Vec::new());
        }
    }

    pub(super) fn is_open(&self, path: &Path) -> bool {
        self.documents.values().any(|document| document.path == path)
    }

    /// How designs are reviewed in this session.
    fn common(&self) -> Options {
        Options { before: self.configuration.before, ..self.options.clone() }
    }

    /// Reviews a text as the design of a file, going on from an earlier review.
    fn review(
        &mut self,
        path: &Path,
        text: &str,
        earlier: Option<Reviewed>,
    ) -> Option<(DesignReview, Option<Reviewed>)> {
        let number = self.workspace.number(path);
        let passes = self.workspace.record(path);
        let options = self.workspace.options(number, path, &self.common());
        let library = self.workspace.library(number)?;
        let design = Design::read(Source::new(path.to_string_lossy(), text), &library.tables);
        let earlier = earlier.filter(|earlier| !earlier.is_crowded());
        let mut incremental = IncrementalReview::resumed(library, options, earlier);
        let mut review = incremental.review(design);
        if let Some(passes) = passes {
            hold_to(&mut review, &passes, library);
        }
        Some((review, incremental.reviewed()))
    }

    /// Looks at an open document, and publishes what is found. The trials of a pack are run where they are asked for.
    pub(super) fn look_at(&mut self, uri: &str, with_trials: bool) {
        let Some(document) = self.documents.get_mut(uri) else { return };
        document.is_dirty = false;
        document.role = self.workspace.role(&document.path, &document.text);
        let (role, path, text) = (document.role, document.path.clone(), document.text.clone());
        let earlier = document.reviewed.take();
        let found = match role {
            Role::Design => {
                let Some((review, reviewed)) = self.review(&path, &text, earlier) else { return };
                self.publish_problems();
                let Some(document) = self.documents.get_mut(uri) else { return };
                if review.design.tree.is_some() && review.design.is_readable() {
                    document.good = Some(std::sync::Arc::clone(&review.design));
                }
                let found = placed(document, self.client).review(&review);
                document.review = Some(review);
                document.reviewed = reviewed;
                found
            }
            Role::Settings | Role::Pack | Role::Table => {
                let source = Source::new(path.to_string_lossy(), text);
                let Some(document) = self.documents.get(uri) else { return };
                let placed = placed(document, self.client);
                rule_files::diagnostics(&self.workspace, &path, role, source, placed, with_trials)
            }
            Role::Other => Vec::new(),
        };
        if let Some(document) = self.documents.get(uri) {
            let (uri, version) = (document.uri.clone(), document.version);
            self.publish(uri, found, Some(version));
        }
    }

    /// Reviews a design that is not open.
    fn look_at_file(&mut self, path: &Path) {
        if self.is_open(path) {
            return;
        }
        let found = match self.workspace.open(path) {
            Some(source) => {
                let Some((review, _)) = self.review(path, source.text(), None) else { return };
                self.publish_problems();
                self.on_file(path, source.text(), |placed| placed.review(&review))
            }
            None => Vec::new(),
        };
        self.publish_file(path, found);
    }

    /// Diagnostics of a text that is not open.
    fn on_file(
        &self,
        path: &Path,
        text: &str,
        make: impl FnOnce(Placed<'_>) -> Vec<Diagnostic>,
    ) -> Vec<Diagnostic> {
        let Some(uri) = uri_of(path) else { return Vec::new() };
        let lines = Lines::of(text);
        let (encoding, with_related) = (self.client.encoding, self.client.has_related_places);
        make(Placed { uri: &uri, text, lines: &lines, encoding, with_related })
    }

    /// Publishes what is wrong with settings and packs that are not open; those that are open have their own.
    fn publish_problems(&mut self) {
        let mut files: BTreeMap<PathBuf, Vec<Diagnostic>> = BTreeMap::new();
        for (path, source, problem) in self.workspace.problems() {
            let found = self.on_file(&path, source.text(), |p| vec![p.problem(&problem, Level::Error)]);
            files.entry(path).or_default().extend(found);
        }
        for (path, found) in files {
            // What was published of a file before is the same: it is asked for anew only when all is looked at anew.
            if !self.published.contains(&path) && !self.is_open(&path) {
                self.publish_file(&path, found);
            }
        }
    }

    pub(super) fn publish_file(&mut self, path: &Path, found: Vec<Diagnostic>) {
        let had_some = if found.is_empty() {
            self.published.remove(path)
        } else {
            self.published.insert(path.to_path_buf());
            true
        };
        if let (true, Some(uri)) = (had_some, uri_of(path)) {
            self.publish(uri, found, None);
        }
    }

    pub(super) fn publish(&mut self, uri: Uri, diagnostics: Vec<Diagnostic>, version: Option<i32>) {
        let params = PublishDiagnosticsParams { uri, diagnostics, version };
        let params = serde_json::to_value(params).unwrap_or_default();
        self.notify("textDocument/publishDiagnostics", params);
    }
}

/// An open document, for the places of diagnostics.
fn placed(document: &Document, client: Client) -> Placed<'_> {
    Placed {
        uri: &document.uri,
        text: &document.text,
        lines: &document.lines,
        encoding: client.encoding,
        with_related: client.has_related_places,
    }
}

//! How a session begins and ends, and what the editor tells on the way.

use lsp_server::{ErrorCode, RequestId, ResponseError};
use lsp_types::{
    CodeActionKind, CodeActionOptions, CodeActionProviderCapability, CompletionOptions,
    DidChangeConfigurationParams, DidChangeTextDocumentParams, DidChangeWatchedFilesParams,
    DidChangeWorkspaceFoldersParams, DidCloseTextDocumentParams, DidOpenTextDocumentParams,
    DidSaveTextDocumentParams, FoldingRangeProviderCapability, HoverProviderCapability, InitializeParams,
    InitializeResult, OneOf, RenameOptions, SaveOptions, ServerCapabilities, ServerInfo,
    TextDocumentSyncCapability, TextDocumentSyncKind, TextDocumentSyncOptions, TextDocumentSyncSaveOptions,
    WorkDoneProgressOptions, WorkspaceFoldersServerCapabilities, WorkspaceServerCapabilities,
};
use serde::de::DeserializeOwned;
use serde_json::{Value as Json, json};

use super::actions::MEND_ALL;
use super::configuration::Configuration;
use super::document::Document;
use super::phase::Phase;
use super::request_context::Client;
use super::session::Session;
use super::uris::{name_of, path_of};
use super::workspace::{Role, Workspace};

pub(super) fn failure(code: ErrorCode, message: impl Into<String>) -> ResponseError {
    ResponseError { code: code as i32, message: message.into(), data: None }
}

/// The parameters of a message as what is due.
pub(super) fn read<P: DeserializeOwned>(params: Json) -> Result<P, ResponseError> {
    serde_json::from_value(params).map_err(|error| failure(ErrorCode::InvalidParams, error.to_string()))
}

fn capabilities(client: Client) -> ServerCapabilities {
    let sync = TextDocumentSyncOptions {
        open_close: Some(true),
        change: Some(TextDocumentSyncKind::INCREMENTAL),
        save: Some(TextDocumentSyncSaveOptions::SaveOptions(SaveOptions { include_text: Some(false) })),
        ..TextDocumentSyncOptions::default()
    };
    ServerCapabilities {
        position_encoding: Some(client.encoding.kind()),
        text_document_sync: Some(TextDocumentSyncCapability::Options(sync)),
        completion_provider: Some(CompletionOptions {
            trigger_characters: Some([" ", ":", "{", "[", ",", "."].map(str::to_owned).to_vec()),
            ..CompletionOptions::default()
        }),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        code_action_provider: Some(CodeActionProviderCapability::Options(CodeActionOptions {
            code_action_kinds: Some(vec![CodeActionKind::QUICKFIX, MEND_ALL]),
            ..CodeActionOptions::default()
        })),
        inlay_hint_provider: Some(OneOf::Left(true)),
        definition_provider: Some(OneOf::Left(true)),
        references_provider: Some(OneOf::Left(true)),
        rename_provider: Some(OneOf::Right(RenameOptions {
            prepare_provider: Some(true),
            work_done_progress_options: WorkDoneProgressOptions::default(),
        })),
        document_symbol_provider: Some(OneOf::Left(true)),
        folding_range_provider: Some(FoldingRangeProviderCapability::Simple(true)),
        workspace: Some(WorkspaceServerCapabilities {
            workspace_folders: Some(WorkspaceFoldersServerCapabilities {
                supported: Some(true),
                change_notifications: Some(OneOf::Left(true)),
            }),
            file_operations: None,
        }),
        ..ServerCapabilities::default()
    }
}

impl<W: Workspace> Session<'_, W> {
    pub(super) fn initialize(&mut self, params: Json) -> Result<Json, ResponseError> {
        if self.phase != Phase::New {
            return Err(failure(ErrorCode::InvalidRequest, "the session is initialized already"));
        }
        let params: InitializeParams = read(params)?;
        self.client = Client::of(&params.capabilities);
        #[allow(deprecated, reason = "clients that know no folders name one root")]
        let root = params.root_uri.as_ref().and_then(path_of);
        self.folders = match &params.workspace_folders {
            Some(folders) => folders.iter().filter_map(|folder| path_of(&folder.uri)).collect(),
            None => root.into_iter().collect(),
        };
        self.phase = Phase::Running;
        if let Some(said) = &params.initialization_options {
            self.configure(said);
            self.otherwise = self.configuration;
        }
        let result = InitializeResult {
            capabilities: capabilities(self.client),
            server_info: Some(ServerInfo {
                name: "holdpoint".to_owned(),
                version: Some(env!("CARGO_PKG_VERSION").to_owned()),
            }),
        };
        serde_json::to_value(result).map_err(|error| failure(ErrorCode::InternalError, error.to_string()))
    }

    /// Takes in what the editor's settings say.
    fn configure(&mut self, said: &Json) {
        let (read, wrong) = Configuration::read(said, self.otherwise);
        for message in wrong {
            self.notify("window/showMessage", json!({"type": 2, "message": message}));
        }
        if read != self.configuration {
            self.configuration = read;
            self.start_over();
        }
    }

    /// Takes in an answer of the client.
    pub(super) fn answered(&mut self, id: &RequestId, result: Option<Json>) {
        // Names of requests are texts, and are shown in quotes.
        if id.to_string().starts_with("\"settings-")
            && let Some(said) = result.as_ref().and_then(|all| all.get(0))
        {
            self.configure(said);
        }
    }

    fn ask_for_settings(&mut self) {
        if self.client.has_configuration {
            let items = json!({"items": [{"section": "holdpoint"}]});
            self.ask("settings", "workspace/configuration", items);
        }
    }

    /// Takes in a notification. One that is not known, or not understood, is passed over, as the protocol wants it.
    pub(super) fn notice(&mut self, method: &str, params: Json) {
        if method == "exit" {
            self.phase = Phase::Over(u8::from(self.phase != Phase::ShutDown));
            return;
        }
        if !self.phase.is_running() {
            return;
        }
        match method {
            "initialized" => self.initialized(),
            "textDocument/didOpen" => self.with(params, Self::opened),
            "textDocument/didChange" => self.with(params, Self::changed),
            "textDocument/didSave" => self.with(params, Self::saved),
            "textDocument/didClose" => self.with(params, Self::closed),
            "workspace/didChangeWatchedFiles" => self.with(params, Self::files_changed),
            "workspace/didChangeWorkspaceFolders" => self.with(params, Self::folders_changed),
            "workspace/didChangeConfiguration" => {
                self.with(params, |session, params: DidChangeConfigurationParams| {
                    if session.client.has_configuration {
                        session.ask_for_settings();
                    } else {
                        session.configure(&params.settings);
                    }
                })
            }
            _ => {}
        }
    }

    fn with<P: DeserializeOwned>(&mut self, params: Json, take: impl FnOnce(&mut Self, P)) {
        match read(params) {
            Ok(params) => take(self, params),
            Err(error) => {
                let message = format!("a notification is not as the protocol has it: {}", error.message);
                self.notify("window/logMessage", json!({"type": 1, "message": message}));
            }
        }
    }

    fn initialized(&mut self) {
        self.ask_for_settings();
        if self.client.watches_files {
            let watchers = json!([{"globPattern": "**/*.{yaml,yml}"}]);
            let registration = json!({
                "id": "files", "method": "workspace/didChangeWatchedFiles", "registerOptions": {"watchers": watchers},
            });
            let params = json!({"registrations": [registration]});
            self.ask("files", "client/registerCapability", params);
        }
        self.find_designs();
    }

    fn opened(&mut self, params: DidOpenTextDocumentParams) {
        let item = params.text_document;
        let path = path_of(&item.uri).unwrap_or_else(|| {
            // A document that is no file yet is taken for one of the folder of the run.
            self.workspace.whole(std::path::Path::new(&name_of(&item.uri)))
        });
        let role = self.workspace.role(&path, &item.text);
        // What was published of the file before is its document's own from now on.
        let turn = self.turn();
        let document =
            Document { turn, ..Document::new(item.uri.clone(), path, role, item.version, item.text) };
        self.documents.insert(item.uri.as_str().to_owned(), document);
    }

    fn changed(&mut self, params: DidChangeTextDocumentParams) {
        let (turn, encoding) = (self.turn(), self.client.encoding);
        if let Some(document) = self.documents.get_mut(params.text_document.uri.as_str()) {
            document.turn = turn;
            document.change(params.text_document.version, params.content_changes, encoding);
        }
    }

    fn saved(&mut self, params: DidSaveTextDocumentParams) {
        let uri = params.text_document.uri.as_str();
        match self.documents.get(uri).map(|document| document.role) {
            Some(Role::Settings | Role::Table) => self.start_over(),
            Some(Role::Pack) => {
                self.start_over();
                self.look_at(uri, true);
            }
            _ => {}
        }
    }

    fn closed(&mut self, params: DidCloseTextDocumentParams) {
        let Some(document) = self.documents.remove(params.text_document.uri.as_str()) else { return };
        self.publish(document.uri, Vec::new(), None);
        let is_ours = self.folders.iter().any(|folder| document.path.starts_with(folder));
        if document.role == Role::Design && is_ours && self.configuration.folders {
            self.waiting.push_back(document.path);
        }
    }

    fn files_changed(&mut self, params: DidChangeWatchedFilesParams) {
        let mut others = false;
        for path in params.changes.iter().filter_map(|change| path_of(&change.uri)) {
            if self.workspace.role(&path, "") == Role::Design {
                if self.configuration.folders && !self.is_open(&path) {
                    self.waiting.push_back(path);
                }
            } else {
                others = true;
            }
        }
        if others {
            self.start_over();
        }
    }

    fn folders_changed(&mut self, params: DidChangeWorkspaceFoldersParams) {
        let gone: Vec<_> = params.event.removed.iter().filter_map(|folder| path_of(&folder.uri)).collect();
        self.folders.retain(|folder| !gone.contains(folder));
        self.folders.extend(params.event.added.iter().filter_map(|folder| path_of(&folder.uri)));
        self.find_designs();
    }
}

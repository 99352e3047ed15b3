//! Requests about a document, each answered for its text as it is when the request comes.

use lsp_server::{ErrorCode, ResponseError};
use lsp_types::{
    CodeActionOrCommand, CodeActionParams, CompletionItem, CompletionList, CompletionParams,
    DocumentSymbolParams, FoldingRangeParams, GotoDefinitionParams, Hover, HoverContents, HoverParams,
    InlayHintParams, Location, PrepareRenameResponse, ReferenceParams, RenameParams,
    TextDocumentPositionParams, Uri,
};
use serde::Serialize;
use serde_json::Value as Json;

use super::document::Document;
use super::due::Due;
use super::lifecycle::{failure, read};
use super::pack_names::PackNames;
use super::phase::Phase;
use super::positions::Lines;
use super::request_context::RequestContext;
use super::session::Session;
use super::uris::uri_of;
use super::workspace::{Role, Workspace};
use super::{actions, completion, completion_context, cursor_target, hints, hover, navigation, outline};
use crate::design::ROCKET;
use crate::rules::{PACK, SETTINGS};
use crate::vocabulary::EntityType;
use crate::yaml::Span;

type Answer = Result<Json, ResponseError>;

fn json(value: impl Serialize) -> Answer {
    serde_json::to_value(value).map_err(|error| failure(ErrorCode::InternalError, error.to_string()))
}

/// What the whole of a file is.
fn root_of(role: Role) -> Option<&'static EntityType> {
    match role {
        Role::Design => Some(&ROCKET),
        Role::Settings => Some(&SETTINGS),
        Role::Pack => Some(&PACK),
        Role::Table | Role::Other => None,
    }
}

impl<W: Workspace> Session<'_, W> {
    /// Answers a request.
    pub(super) fn answer(&mut self, method: &str, params: Json) -> Answer {
        match (self.phase, method) {
            (_, "initialize") => return self.initialize(params),
            (Phase::New, _) => {
                return Err(failure(ErrorCode::ServerNotInitialized, "`initialize` comes first"));
            }
            (Phase::ShutDown | Phase::Over(_), _) => {
                return Err(failure(ErrorCode::InvalidRequest, "the session is shut down"));
            }
            (Phase::Running, "shutdown") => {
                self.phase = Phase::ShutDown;
                return Ok(Json::Null);
            }
            (Phase::Running, _) => {}
        }
        match method {
            "textDocument/completion" => self.complete(read(params)?),
            "textDocument/hover" => self.hover(read(params)?),
            "textDocument/codeAction" => self.act(read(params)?),
            "textDocument/inlayHint" => self.hint(read(params)?),
            "textDocument/definition" => self.define(read(params)?),
            "textDocument/references" => self.refer(read(params)?),
            "textDocument/prepareRename" => self.prepare_rename(read(params)?),
            "textDocument/rename" => self.rename(read(params)?),
            "textDocument/documentSymbol" => self.outline(read(params)?),
            "textDocument/foldingRange" => self.fold(read(params)?),
            _ => Err(failure(ErrorCode::MethodNotFound, format!("`{method}` is not offered"))),
        }
    }

    fn document(&self, uri: &Uri) -> Result<&Document, ResponseError> {
        let words = || failure(ErrorCode::InvalidParams, format!("{} is not open", uri.as_str()));
        self.documents.get(uri.as_str()).ok_or_else(words)
    }

    /// A design as it is now, reviewed; none for a document of another sort, or one that cannot be read at all.
    fn view(&mut self, uri: &Uri) -> Result<Option<RequestContext<'_>>, ResponseError> {
        if self.document(uri)?.is_dirty {
            self.look_at(uri.as_str(), false);
        }
        let path = self.document(uri)?.path.clone();
        let number = self.workspace.number(&path);
        let (client, today) = (self.client, self.options.today);
        let (document, library) = (self.document(uri)?, self.workspace.library(number));
        let made =
            |review, reviewed, library| RequestContext { document, review, reviewed, library, today, client };
        Ok(match (&document.review, &document.reviewed, library, document.role) {
            (Some(review), Some(reviewed), Some(library), Role::Design) => {
                Some(made(review, reviewed, library))
            }
            _ => None,
        })
    }

    /// By which step keys are due, by the packs in force for a document.
    fn load_first_steps(&mut self, uri: &Uri) -> Result<usize, ResponseError> {
        let path = self.document(uri)?.path.clone();
        let number = self.workspace.number(&path);
        if let (false, Some(library)) = (self.due.contains_key(&number), self.workspace.library(number)) {
            let due = Due::of(library, self.options.today);
            self.due.insert(number, due);
        }
        Ok(number)
    }

    fn complete(&mut self, params: CompletionParams) -> Answer {
        let TextDocumentPositionParams { text_document, position } = params.text_document_position;
        let number = self.load_first_steps(&text_document.uri)?;
        let document = self.document(&text_document.uri)?;
        let none: Vec<CompletionItem> = Vec::new();
        let Some(root) = root_of(document.role) else { return json(none) };
        let encoding = self.client.encoding;
        let offset = document.offset(position, encoding);
        let Some(place) = completion_context::completion_context_at(root, &document.text, offset) else {
            return json(none);
        };
        let (Some(library), Some(due)) = (self.workspace.library(number), self.due.get(&number)) else {
            return json(none);
        };
        let design = document.good.as_deref();
        let value = document.text.get(place.word.clone()).unwrap_or("");
        let own = &match document.role {
            Role::Pack => PackNames::read(&document.text, &place.path, offset),
            _ => PackNames::default(),
        };
        let (client, today) = (self.client, self.options.today);
        let known = completion::Known { client, library, due, design, value, own, today };
        let now = document.text.get(place.word.start..offset).unwrap_or("");
        let range_of = |bytes: std::ops::Range<usize>| {
            let end = bytes.end.max(bytes.start);
            document.range(Span::new(bytes.start, end), encoding)
        };
        let items = completion::items(&place, &known, now, &range_of);
        json(CompletionList { is_incomplete: false, items })
    }

    fn hover(&mut self, params: HoverParams) -> Answer {
        let TextDocumentPositionParams { text_document, position } = params.text_document_position_params;
        let number = self.load_first_steps(&text_document.uri)?;
        let client = self.client;
        let document = self.document(&text_document.uri)?;
        if document.role != Role::Design {
            let offset = document.offset(position, client.encoding);
            let root = root_of(document.role);
            let library = self.workspace.library(number);
            let found = root
                .zip(library)
                .and_then(|(root, library)| hover::in_rule_file(root, library, &document.text, offset));
            let made = found.map(|(text, span)| Hover {
                contents: HoverContents::Markup(client.markup(text)),
                range: Some(document.range(span, client.encoding)),
            });
            return json(made);
        }
        // The steps are taken out while the view is borrowed.
        let due = self.due.remove(&number).unwrap_or_default();
        let found = self.view(&text_document.uri).map(|view| {
            let view = view?;
            let offset = view.document.offset(position, client.encoding);
            let (text, span) = hover::hover(&view, &due, offset)?;
            Some(Hover {
                contents: HoverContents::Markup(client.markup(text)),
                range: Some(view.range(span)),
            })
        });
        self.due.insert(number, due);
        json(found?)
    }

    fn act(&mut self, params: CodeActionParams) -> Answer {
        let none: Vec<CodeActionOrCommand> = Vec::new();
        let encoding = self.client.encoding;
        if !self.client.has_action_literals {
            return json(none);
        }
        let Some(view) = self.view(&params.text_document.uri)? else { return json(none) };
        let at = |position| view.document.offset(position, encoding);
        let within = at(params.range.start)..at(params.range.end);
        let found =
            actions::actions(&view, within, &params.context.diagnostics, params.context.only.as_deref());
        json(found.into_iter().map(CodeActionOrCommand::CodeAction).collect::<Vec<_>>())
    }

    fn hint(&mut self, params: InlayHintParams) -> Answer {
        let encoding = self.client.encoding;
        let Some(view) = self.view(&params.text_document.uri)? else { return Ok(Json::Null) };
        let at = |position| view.document.offset(position, encoding);
        json(hints::hints(&view, at(params.range.start)..at(params.range.end)))
    }

    fn define(&mut self, params: GotoDefinitionParams) -> Answer {
        let TextDocumentPositionParams { text_document, position } = params.text_document_position_params;
        let encoding = self.client.encoding;
        let Some(view) = self.view(&text_document.uri)? else { return Ok(Json::Null) };
        let (design, offset) = (view.design(), view.document.offset(position, encoding));
        if let Some((source, place)) = navigation::rule_named_at(design, view.library, offset) {
            let range = Lines::of(source.text()).range(source.text(), place, encoding);
            let path = std::path::PathBuf::from(source.name());
            let uri = uri_of(&self.workspace.whole(&path));
            return json(uri.map(|uri| Location { uri, range }));
        }
        let key = navigation::entity_named_at(design, offset).and_then(|id| navigation::key_of(design, id));
        json(key.map(|key| Location { uri: text_document.uri.clone(), range: view.range(key) }))
    }

    fn refer(&mut self, params: ReferenceParams) -> Answer {
        let TextDocumentPositionParams { text_document, position } = params.text_document_position;
        let encoding = self.client.encoding;
        let Some(view) = self.view(&text_document.uri)? else { return Ok(Json::Null) };
        let (design, offset) = (view.design(), view.document.offset(position, encoding));
        let Some(id) = navigation::entity_named_at(design, offset) else { return Ok(Json::Null) };
        let declared = navigation::key_of(design, id).filter(|_| params.context.include_declaration);
        let named = cursor_target::references_to(design, id).into_iter().map(|(_, span)| span);
        let places = declared.into_iter().chain(named);
        let location = |span| Location { uri: text_document.uri.clone(), range: view.range(span) };
        json(places.map(location).collect::<Vec<_>>())
    }

    fn prepare_rename(&mut self, params: TextDocumentPositionParams) -> Answer {
        let encoding = self.client.encoding;
        let Some(view) = self.view(&params.text_document.uri)? else { return Ok(Json::Null) };
        let (design, offset) = (view.design(), view.document.offset(params.position, encoding));
        let (id, span) =
            navigation::renamable(design, offset).map_err(|why| failure(ErrorCode::RequestFailed, why))?;
        let placeholder = design.store.get(id).map(|entity| entity.name.to_string()).unwrap_or_default();
        json(PrepareRenameResponse::RangeWithPlaceholder { range: view.range(span), placeholder })
    }

    fn rename(&mut self, params: RenameParams) -> Answer {
        let TextDocumentPositionParams { text_document, position } = params.text_document_position;
        let client = self.client;
        let Some(view) = self.view(&text_document.uri)? else {
            return Err(failure(
                ErrorCode::RequestFailed,
                "only parts of a design can be renamed, and none can be read here",
            ));
        };
        let (design, offset) = (view.design(), view.document.offset(position, client.encoding));
        let edits = navigation::rename(design, &view.library.tables, offset, &params.new_name)
            .map_err(|why| failure(ErrorCode::RequestFailed, why))?;
        json(client.edits(view.document, view.text_edits(&edits)))
    }

    fn outline(&mut self, params: DocumentSymbolParams) -> Answer {
        let nested = self.client.has_nested_symbols;
        let Some(view) = self.view(&params.text_document.uri)? else { return Ok(Json::Null) };
        let symbols = outline::symbols(&view);
        if nested { json(symbols) } else { json(outline::flat(&params.text_document.uri, symbols)) }
    }

    fn fold(&mut self, params: FoldingRangeParams) -> Answer {
        let Some(view) = self.view(&params.text_document.uri)? else { return Ok(Json::Null) };
        json(outline::folds(&view))
    }
}

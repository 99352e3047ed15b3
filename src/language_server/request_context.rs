//! What the answers about one design are made from, and what the client can do.

use lsp_types::{
    ClientCapabilities, DocumentChangeOperation, DocumentChanges, MarkupContent, MarkupKind, OneOf,
    OptionalVersionedTextDocumentIdentifier, Range, TextDocumentEdit, TextEdit, WorkspaceEdit,
};

use super::document::Document;
use super::positions::Encoding;
use crate::design::Design;
use crate::model::Model;
use crate::review::{DesignReview, Reviewed};
use crate::rules::Library;
use crate::vocabulary::Date;
use crate::yaml::{Edit, Span};

/// What the client can do.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Client {
    pub(super) encoding: Encoding,
    pub(super) has_snippets: bool,
    pub(super) has_markdown: bool,
    pub(super) has_document_changes: bool,
    pub(super) has_related_places: bool,
    pub(super) has_nested_symbols: bool,
    pub(super) has_action_literals: bool,
    pub(super) has_configuration: bool,
    pub(super) watches_files: bool,
    pub(super) refreshes_hints: bool,
}

impl Client {
    pub(super) fn of(capabilities: &ClientCapabilities) -> Self {
        let text = capabilities.text_document.as_ref();
        let workspace = capabilities.workspace.as_ref();
        let offered = capabilities.general.as_ref().and_then(|general| general.position_encodings.as_deref());
        let completion = text.and_then(|t| t.completion.as_ref()).and_then(|c| c.completion_item.as_ref());
        let hover = text.and_then(|t| t.hover.as_ref()).and_then(|h| h.content_format.as_ref());
        let edits = workspace.and_then(|w| w.workspace_edit.as_ref());
        let published = text.and_then(|t| t.publish_diagnostics.as_ref());
        let symbols = text.and_then(|t| t.document_symbol.as_ref());
        let watched = workspace.and_then(|w| w.did_change_watched_files);
        let hints = workspace.and_then(|w| w.inlay_hint.as_ref());
        Self {
            encoding: Encoding::chosen(offered),
            has_snippets: completion.and_then(|c| c.snippet_support) == Some(true),
            has_markdown: hover.is_some_and(|formats| formats.contains(&MarkupKind::Markdown)),
            has_document_changes: edits.and_then(|e| e.document_changes) == Some(true),
            has_related_places: published.and_then(|p| p.related_information) == Some(true),
            has_nested_symbols: symbols.and_then(|s| s.hierarchical_document_symbol_support) == Some(true),
            has_action_literals: text
                .and_then(|t| t.code_action.as_ref())
                .is_some_and(|actions| actions.code_action_literal_support.is_some()),
            has_configuration: workspace.and_then(|w| w.configuration) == Some(true),
            watches_files: watched.and_then(|w| w.dynamic_registration) == Some(true),
            refreshes_hints: hints.and_then(|h| h.refresh_support) == Some(true),
        }
    }

    /// A text in Markdown, or as it reads without its marks.
    pub(super) fn markup(self, markdown: String) -> MarkupContent {
        if self.has_markdown {
            return MarkupContent { kind: MarkupKind::Markdown, value: markdown };
        }
        MarkupContent { kind: MarkupKind::PlainText, value: markdown.replace(['`', '*'], "") }
    }

    /// Edits of a document as the client takes them; bound to the version that they were made for where it can.
    #[allow(clippy::mutable_key_type, reason = "an address never changes while it is a key")]
    pub(super) fn edits(self, document: &Document, edits: Vec<TextEdit>) -> WorkspaceEdit {
        if !self.has_document_changes {
            let changes = [(document.uri.clone(), edits)].into_iter().collect();
            return WorkspaceEdit { changes: Some(changes), ..WorkspaceEdit::default() };
        }
        let edit = TextDocumentEdit {
            text_document: OptionalVersionedTextDocumentIdentifier {
                uri: document.uri.clone(),
                version: Some(document.version),
            },
            edits: edits.into_iter().map(OneOf::Left).collect(),
        };
        let all = DocumentChanges::Operations(vec![DocumentChangeOperation::Edit(edit)]);
        WorkspaceEdit { document_changes: Some(all), ..WorkspaceEdit::default() }
    }
}

/// One design as it is now, reviewed.
pub(super) struct RequestContext<'v> {
    pub(super) document: &'v Document,
    pub(super) review: &'v DesignReview,
    pub(super) reviewed: &'v Reviewed,
    pub(super) library: &'v Library,
    pub(super) today: Date,
    pub(super) client: Client,
}

impl<'v> RequestContext<'v> {
    pub(super) fn design(&self) -> &'v Design {
        self.reviewed.design()
    }

    pub(super) fn model(&self) -> Model<'v> {
        self.reviewed.model(self.library, self.today)
    }

    pub(super) fn range(&self, span: Span) -> Range {
        self.document.range(span, self.client.encoding)
    }

    pub(super) fn text_edits(&self, edits: &[Edit]) -> Vec<TextEdit> {
        let one = |edit: &Edit| TextEdit { range: self.range(edit.span), new_text: edit.text.clone() };
        edits.iter().map(one).collect()
    }
}

"""Sessions of a client that was written elsewhere: it holds every message against the protocol."""

import asyncio
import os
import pathlib

import pytest
import pytest_lsp
from lsprotocol import types
from pytest_lsp import ClientServerConfig, LanguageClient

ROOT = pathlib.Path(__file__).resolve().parents[3]
DRAFT = (ROOT / "examples/first-draft.rocket.yaml").read_text(encoding="utf-8")
SERVER = ClientServerConfig(server_command=[os.environ["HOLDPOINT"], "language-server", "--today", "2026-06-01"])


def capabilities(encodings=None):
    """What a client of these days can do."""
    actions = types.ClientCodeActionLiteralOptions(
        code_action_kind=types.ClientCodeActionKindOptions(value_set=["quickfix", "source.fixAll"])
    )
    return types.ClientCapabilities(
        general=types.GeneralClientCapabilities(position_encodings=encodings),
        text_document=types.TextDocumentClientCapabilities(
            synchronization=types.TextDocumentSyncClientCapabilities(did_save=True),
            completion=types.CompletionClientCapabilities(
                completion_item=types.ClientCompletionItemOptions(
                    snippet_support=True, documentation_format=[types.MarkupKind.Markdown]
                )
            ),
            hover=types.HoverClientCapabilities(content_format=[types.MarkupKind.Markdown]),
            code_action=types.CodeActionClientCapabilities(
                code_action_literal_support=actions, is_preferred_support=True
            ),
            document_symbol=types.DocumentSymbolClientCapabilities(hierarchical_document_symbol_support=True),
            publish_diagnostics=types.PublishDiagnosticsClientCapabilities(
                related_information=True, version_support=True
            ),
            rename=types.RenameClientCapabilities(prepare_support=True),
            folding_range=types.FoldingRangeClientCapabilities(),
            inlay_hint=types.InlayHintClientCapabilities(),
        ),
        workspace=types.WorkspaceClientCapabilities(
            configuration=True,
            workspace_folders=True,
            workspace_edit=types.WorkspaceEditClientCapabilities(document_changes=True),
            did_change_watched_files=types.DidChangeWatchedFilesClientCapabilities(dynamic_registration=True),
        ),
    )


def folder(path):
    return types.WorkspaceFolder(uri=path.as_uri(), name=path.name)


class Editor:
    """A client with a folder, and texts of which it keeps the versions."""

    def __init__(self, client, path):
        self.client, self.path, self.registered = client, path, []
        self.texts, self.versions, self.published = {}, {}, []
        self.inbox = asyncio.Queue()
        self.listen()

        # The client that this is made of knows no registrations.
        @client.feature(types.CLIENT_REGISTER_CAPABILITY)
        def register(params: types.RegistrationParams):
            self.registered.extend(params.registrations)

    def listen(self):
        """Keeps every diagnostics that come, however fast one follows the other."""

        def take(params):
            self.inbox.put_nowait(params)
            self.listen()

        self.client.protocol.wait_for_notification(types.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS, take)

    def uri(self, name="draft.rocket.yaml"):
        return (self.path / name).as_uri()

    def open(self, text=DRAFT, name="draft.rocket.yaml"):
        uri = self.uri(name)
        self.texts[uri], self.versions[uri] = text, 1
        self.client.text_document_did_open(
            types.DidOpenTextDocumentParams(
                text_document=types.TextDocumentItem(uri=uri, language_id="yaml", version=1, text=text)
            )
        )
        return uri

    def write(self, uri, text):
        """Changes a document as a whole."""
        self.texts[uri] = text
        self.versions[uri] += 1
        self.client.text_document_did_change(
            types.DidChangeTextDocumentParams(
                text_document=types.VersionedTextDocumentIdentifier(uri=uri, version=self.versions[uri]),
                content_changes=[types.TextDocumentContentChangeWholeDocument(text=text)],
            )
        )

    async def told(self, uri, version=None):
        """The next diagnostics of a document, or those of a version."""
        while True:
            params = await asyncio.wait_for(self.inbox.get(), 60)
            self.published.append((params.uri, params.version))
            if params.uri == uri and version in (None, params.version):
                return params.diagnostics

    def at(self, uri, words, past=0):
        """The position of some words in a document, counted in UTF-16."""
        offset = self.texts[uri].index(words) + past
        before = self.texts[uri][:offset]
        line = before[before.rfind("\n") + 1 :]
        return types.Position(line=before.count("\n"), character=len(line.encode("utf-16-le")) // 2)

    def params(self, kind, uri, words, past=0, **more):
        document = types.TextDocumentIdentifier(uri=uri)
        return kind(text_document=document, position=self.at(uri, words, past), **more)

    async def complete(self, uri, words, past=0):
        params = self.params(types.CompletionParams, uri, words, past)
        found = await self.client.text_document_completion_async(params)
        return {item.label: item for item in getattr(found, "items", found)}

    async def actions(self, uri, words, only=None, diagnostics=()):
        start, end = self.at(uri, words), self.at(uri, words, len(words))
        return await self.client.text_document_code_action_async(
            types.CodeActionParams(
                text_document=types.TextDocumentIdentifier(uri=uri),
                range=types.Range(start=start, end=end),
                context=types.CodeActionContext(diagnostics=list(diagnostics), only=only),
            )
        )

    def edited(self, uri, edit):
        """The text of a document after an edit that was offered, which is bound to its version."""
        [change] = edit.document_changes
        assert change.text_document.uri == uri and change.text_document.version == self.versions[uri]
        lines = self.texts[uri].splitlines(keepends=True)
        starts = [sum(map(len, lines[:n])) for n in range(len(lines) + 1)]
        text = self.texts[uri]
        offset = lambda position: starts[position.line] + position.character
        # Of two edits at one place, the first one's text stands first.
        spans = sorted(((offset(e.range.start), offset(e.range.end), n, e.new_text) for n, e in enumerate(change.edits)), reverse=True)
        for start, end, _, new in spans:
            text = text[:start] + new + text[end:]
        return text


def sliced(text, range_, encoding="utf-16"):
    """What stands at a range of one line, by code units."""
    assert range_.start.line == range_.end.line
    line = text.split("\n")[range_.start.line]
    if encoding == "utf-8":
        return line.encode()[range_.start.character : range_.end.character].decode()
    return line.encode("utf-16-le")[2 * range_.start.character : 2 * range_.end.character].decode("utf-16-le")


@pytest_lsp.fixture(config=SERVER)
async def editor_session(lsp_client: LanguageClient, tmp_path):
    params = types.InitializeParams(capabilities=capabilities(), workspace_folders=[folder(tmp_path)])
    lsp_client.editor = Editor(lsp_client, tmp_path)
    await lsp_client.initialize_session(params)
    yield
    await lsp_client.shutdown_session()


@pytest.fixture
def editor(editor_session):
    return editor_session.editor

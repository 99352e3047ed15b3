"""Settings, packs, folders and the editor's own settings, by a client that was written elsewhere."""

import pytest
import pytest_lsp
from lsprotocol import types
from pytest_lsp import LanguageClient

from conftest import DRAFT, SERVER, Editor, capabilities, folder, sliced

PACK = """pack: club
about: What the club asks besides.
rules:
  named-after-a-bird:
    title: A rocket of the club has a name
    before: parts
    for: rocket
    require: rocket.name is given
    level: error
    finding: it has no name
    why: So that we can call it.
    source: {club: the members' meeting}
    trials:
      - {without: name, expect: unproven}
      - {expect: held}
"""


def messages(told):
    return [one.message for one in told]


@pytest.mark.asyncio
async def test_a_pack_is_compiled_as_one_types_and_tried_when_it_is_saved(editor):
    wrong = PACK.replace("rocket.name is given", "rocket.nam is given")
    (editor.path / "club.yaml").write_text(wrong)
    uri = editor.open(wrong, "club.yaml")
    [found] = [one for one in await editor.told(uri, 1) if "has no `nam`" in one.message]
    assert sliced(wrong, found.range) == "nam" and "did you mean `name`?" in found.message
    editor.write(uri, PACK)
    assert not [one for one in await editor.told(uri, 2) if "nam" in one.message]
    (editor.path / "club.yaml").write_text(PACK)
    editor.client.text_document_did_save(
        types.DidSaveTextDocumentParams(text_document=types.TextDocumentIdentifier(uri=uri))
    )
    told = messages(await editor.told(uri))
    assert any("`named-after-a-bird` has no trial that comes out broken" in one for one in told), told


@pytest.mark.asyncio
async def test_keys_of_packs_and_settings_are_completed(editor):
    uri = editor.open(PACK.replace("    level: error\n", "    \n"), "club.yaml")
    offered = await editor.complete(uri, "is given\n    ", len("is given\n    "))
    assert "level" in offered and "when" in offered and "title" not in offered
    uri = editor.open("settings: 1\nlevels:\n  - rule: bay-\n", "holdpoint.yaml")
    assert "bay-vent-area" in await editor.complete(uri, "rule: bay-", len("rule: bay-"))


@pytest.mark.asyncio
async def test_settings_that_change_are_in_force_at_once(editor):
    uri = editor.open()
    before = await editor.told(uri, 1)
    assert [one.severity for one in before if one.code == "bay-vent-area"] == [types.DiagnosticSeverity.Error]
    assert [one.method for one in editor.registered] == ["workspace/didChangeWatchedFiles"]
    settings = editor.path / "holdpoint.yaml"
    settings.write_text(
        "settings: 1\nlevels:\n  - {rule: bay-vent-area, level: note, reason: a test}\n  - {rule: no-such, level: note, reason: x}\n"
    )
    change = types.FileEvent(uri=settings.as_uri(), type=types.FileChangeType.Created)
    editor.client.workspace_did_change_watched_files(types.DidChangeWatchedFilesParams(changes=[change]))
    after = await editor.told(uri)
    assert [one.severity for one in after if one.code == "bay-vent-area"] == [types.DiagnosticSeverity.Information]
    # What is wrong with the settings stands in the settings.
    wrong = editor.client.diagnostics[settings.as_uri()]
    assert any("no-such" in one.message for one in wrong), wrong


@pytest.mark.asyncio
async def test_settings_are_checked_as_one_types(editor):
    text = "settings: 1\nlimits:\n  - {pack: venting, limit: vents_per_volum, is: 500 in, reason: a test}\n"
    uri = editor.open(text, "holdpoint.yaml")
    told = await editor.told(uri, 1)
    assert any("vents_per_volum" in one.message for one in told), messages(told)


@pytest.mark.asyncio
async def test_the_editors_settings_say_how_far_to_judge(editor):
    uri = editor.open()
    whole = await editor.told(uri, 1)
    editor.client.set_configuration({"before": "bonding"}, section="holdpoint")
    editor.client.workspace_did_change_configuration(types.DidChangeConfigurationParams(settings=None))
    some = await editor.told(uri)
    codes = {one.code for one in some}
    assert "plug-goes-into-tube" in codes and "bay-vent-area" not in codes and len(some) < len(whole)


@pytest_lsp.fixture(config=SERVER)
async def of_two_session(lsp_client: LanguageClient, tmp_path):
    lsp_client.editor = Editor(lsp_client, tmp_path)
    for name in ["one", "two"]:
        (tmp_path / name).mkdir()
        (tmp_path / name / f"{name}.rocket.yaml").write_text(DRAFT)
    await lsp_client.initialize_session(
        types.InitializeParams(
            capabilities=capabilities(),
            workspace_folders=[folder(tmp_path / "one"), folder(tmp_path / "two")],
            initialization_options={"before": "parts"},
        )
    )
    yield
    await lsp_client.shutdown_session()


@pytest.fixture
def of_two(of_two_session):
    return of_two_session.editor


@pytest.mark.asyncio
async def test_designs_of_all_folders_are_reviewed_that_are_not_open(of_two):
    for name in ["two/two.rocket.yaml", "one/one.rocket.yaml"]:
        uri = of_two.uri(name)
        told = of_two.client.diagnostics.get(uri) or await of_two.told(uri)
        codes = {one.code for one in told}
        assert "plug-goes-into-tube" in codes and "bay-vent-area" not in codes
    # Opened, closed and opened again: what is published is the open text's, and then the file's.
    uri = of_two.open("holdpoint: 1\n", "one/one.rocket.yaml")
    assert not [one for one in await of_two.told(uri, 1) if one.code == "plug-goes-into-tube"]
    of_two.client.text_document_did_close(
        types.DidCloseTextDocumentParams(text_document=types.TextDocumentIdentifier(uri=uri))
    )
    assert not await of_two.told(uri)
    assert "plug-goes-into-tube" in {one.code for one in await of_two.told(uri)}


@pytest.mark.asyncio
async def test_quantities_are_offered_and_told_inside_expressions(editor):
    text = PACK.replace("for: rocket", "for: section").replace(
        "require: rocket.name is given", "require: section.vent_area > 1 in^2 and section.tube."
    )
    uri = editor.open(text, "club.yaml")
    offered = await editor.complete(uri, "section.tube.", len("section.tube."))
    assert "inner_diameter" in offered and "vent_area" not in offered
    assert offered["inner_diameter"].detail == "a length"
    hover = await editor.client.text_document_hover_async(
        editor.params(types.HoverParams, uri, "section.vent_area", len("section.vent_"))
    )
    assert "an area, worked out" in hover.contents.value and sliced(text, hover.range) == "section.vent_area"
    key = await editor.client.text_document_hover_async(editor.params(types.HoverParams, uri, "before: parts", 1))
    assert "The step that may not be taken before it is kept." in key.contents.value

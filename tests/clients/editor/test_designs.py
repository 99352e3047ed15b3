"""Each feature for designs, by a client that was written elsewhere."""

import re

import pytest
import pytest_lsp
from lsprotocol import types
from pytest_lsp import LanguageClient

from conftest import DRAFT, SERVER, Editor, capabilities, folder, sliced

ERROR, HINT = types.DiagnosticSeverity.Error, types.DiagnosticSeverity.Hint


def of_rule(diagnostics, rule):
    return [one for one in diagnostics if one.code == rule]


@pytest.mark.asyncio
async def test_findings_follow_the_text_as_it_is_typed(editor):
    uri = editor.open()
    first = await editor.told(uri, 1)
    [found] = of_rule(first, "bay-vent-area")
    assert found.severity == ERROR and found.source == "holdpoint"
    assert "0.01135 in²" in found.message and "54 % short" in found.message
    assert "holdpoint explain bay-vent-area" in found.message
    # Every value that decided it is named at its place.
    places = {sliced(DRAFT, one.location.range) for one in found.related_information}
    assert {"0.085 in", "2", "3.77 in", "6 in"} <= places, places
    editor.write(uri, DRAFT.replace("0.085 in", "5/32 in"))
    second = await editor.told(uri, 2)
    assert not of_rule(second, "bay-vent-area")
    assert len(second) < len(first)


@pytest.mark.asyncio
async def test_what_is_unproven_is_a_hint_for_each_key(editor):
    uri = editor.open()
    told = await editor.told(uri, 1)
    unproven = [one for one in told if one.message.startswith("not proven")]
    assert unproven and all(one.severity == HINT for one in unproven)
    assert len({one.message.split("`")[1] for one in unproven}) == len(unproven)
    [measured] = [one for one in unproven if "write down `measured`" in one.message]
    assert re.search(r"settles \d+ rules, first before flight: .*stable-off-the-rail", measured.message)


@pytest.mark.asyncio
async def test_of_many_keystrokes_the_newest_is_reviewed(editor):
    uri = editor.open()
    await editor.told(uri, 1)
    for step in range(100):
        editor.write(uri, DRAFT.replace("0.085 in", f"0.{100 + step} in"))
    last = await editor.told(uri, 101)
    assert not of_rule(last, "bay-vent-area")
    versions = [version for known, version in editor.published if known == uri]
    assert versions == sorted(versions) and len(versions) < 60, versions


@pytest.mark.asyncio
async def test_edits_of_a_part_of_the_text_are_put_in_their_place(editor):
    uri = editor.open()
    await editor.told(uri, 1)
    start, end = editor.at(uri, "0.085 in"), editor.at(uri, "0.085 in", len("0.085"))
    change = types.TextDocumentContentChangePartial(range=types.Range(start=start, end=end), text="0.2")
    editor.client.text_document_did_change(
        types.DidChangeTextDocumentParams(
            text_document=types.VersionedTextDocumentIdentifier(uri=uri, version=7), content_changes=[change]
        )
    )
    assert not of_rule(await editor.told(uri, 7), "bay-vent-area")


@pytest.mark.asyncio
async def test_a_broken_file_shows_where_and_still_completes_names(editor):
    uri = editor.open()
    await editor.told(uri, 1)
    editor.write(uri, DRAFT.replace("outer_diameter: 3.885 in}", "outer_diameter: 3.885 in"))
    [told] = await editor.told(uri, 2)
    assert told.severity == ERROR and "`}` is missing here" in told.message, told
    offered = await editor.complete(uri, "glued: quick", len("glued: "))
    assert "quick" in offered, list(offered)


NOT_ASCII = 'holdpoint: 1\nname: Bläßhuhn 𝄞\nsections:\n  "Σ 𝄞": {vents: {é𝄞: {count: 2, diameter: 3 furlong}}}\n'


@pytest.mark.asyncio
async def test_places_are_counted_in_utf_16(editor):
    uri = editor.open(NOT_ASCII)
    told = await editor.told(uri, 1)
    assert "furlong" in [sliced(NOT_ASCII, one.range) for one in told], told
    hover = await editor.client.text_document_hover_async(editor.params(types.HoverParams, uri, "diameter", 3))
    assert sliced(NOT_ASCII, hover.range) == "diameter"
    offered = await editor.complete(uri, "count: 2, ", len("count: 2, "))
    assert sliced(NOT_ASCII, offered["clock"].text_edit.range) == "diameter"


@pytest_lsp.fixture(config=SERVER)
async def in_bytes_session(lsp_client: LanguageClient, tmp_path):
    lsp_client.editor = Editor(lsp_client, tmp_path)
    told = await lsp_client.initialize_session(
        types.InitializeParams(
            capabilities=capabilities([types.PositionEncodingKind.Utf8, types.PositionEncodingKind.Utf16]),
            workspace_folders=[folder(tmp_path)],
        )
    )
    assert told.capabilities.position_encoding == types.PositionEncodingKind.Utf8
    yield
    await lsp_client.shutdown_session()


@pytest.fixture
def in_bytes(in_bytes_session):
    return in_bytes_session.editor


@pytest.mark.asyncio
async def test_places_are_counted_in_bytes_where_the_client_offers_it(in_bytes):
    uri = in_bytes.open(NOT_ASCII)
    told = await in_bytes.told(uri, 1)
    assert "furlong" in [sliced(NOT_ASCII, one.range, "utf-8") for one in told], told


@pytest.mark.asyncio
async def test_completion_offers_what_may_stand_there(editor):
    text = DRAFT.replace("      shape: tangent ogive\n", "      shape: \n").replace(
        "      length: 16 in\n", "      length: 16 \n      \n"
    )
    uri = editor.open(text)
    await editor.told(uri, 1)
    keys = await editor.complete(uri, "16 \n      ", len("16 \n      "))
    assert {"wall", "mass", "attach"} <= set(keys)
    assert not {"shape", "length", "shoulder"} & set(keys), "what is written is not offered again"
    assert "Wall thickness." in keys["wall"].documentation.value and "Due before" in keys["wall"].documentation.value
    words = await editor.complete(uri, "shape: ", len("shape: "))
    assert "tangent ogive" in words and "von karman" in words
    units = await editor.complete(uri, "16 ", len("16 "))
    assert {"in", "mm"} <= set(units) and "lb" not in units
    names = await editor.complete(uri, "between: [av_bay", len("between: [av_"))
    assert {"nose", "av_bay", "booster"} <= set(names)
    bonds = await editor.complete(uri, "glued: quick", len("glued: "))
    assert bonds["quick"].kind == types.CompletionItemKind.Reference
    tape = await editor.complete(uri, "15 in from aft", len("15 in "))
    assert {"from fore", "from aft", "past aft"} <= set(tape)


@pytest.mark.asyncio
async def test_hover_tells_the_value_in_both_units_and_what_rests_on_it(editor):
    uri = editor.open()
    hover = await editor.client.text_document_hover_async(editor.params(types.HoverParams, uri, "0.085 in", 2))
    told = hover.contents.value
    assert "Diameter of each." in told and "a length" in told and "Due before drilling" in told
    assert "`0.085 in` = `2.159 mm`" in told
    assert "`sections.av_bay.vent_area` 0.01135 in²" in told
    assert "`bay-vent-area` of `sections.av_bay`: broken, 54 % short" in told
    part = await editor.client.text_document_hover_async(editor.params(types.HoverParams, uri, "  av_bay:", 3))
    assert "`sections.av_bay.vent_area_by_rule` 0.03259 in²" in part.contents.value, part.contents.value


@pytest.mark.asyncio
async def test_a_remedy_settles_its_finding(editor):
    uri = editor.open()
    told = await editor.told(uri, 1)
    actions = await editor.actions(uri, "0.085 in", diagnostics=of_rule(told, "bay-vent-area"))
    [remedy] = [one for one in actions if one.title.startswith("drill each of the 2 holes 5/32 in")]
    assert remedy.is_preferred and [one.code for one in remedy.diagnostics] == ["bay-vent-area"]
    editor.write(uri, editor.edited(uri, remedy.edit))
    assert not of_rule(await editor.told(uri, 2), "bay-vent-area")
    [all_of_them] = await editor.actions(uri, "holdpoint", only=["source.fixAll"])
    editor.write(uri, editor.edited(uri, all_of_them.edit))
    await editor.told(uri, 3)
    assert await editor.actions(uri, "holdpoint", only=["source.fixAll"]) == ()


@pytest.mark.asyncio
async def test_no_remedy_touches_a_charge(editor):
    uri = editor.open()
    await editor.told(uri, 1)
    lines = DRAFT.split("\n")
    start = lines.index("  charges:")
    end = next(n for n in range(start + 1, len(lines)) if not lines[n].startswith("    "))
    whole = types.Range(start=types.Position(line=0, character=0), end=types.Position(line=len(lines), character=0))
    actions = await editor.client.text_document_code_action_async(
        types.CodeActionParams(
            text_document=types.TextDocumentIdentifier(uri=uri),
            range=whole,
            context=types.CodeActionContext(diagnostics=[]),
        )
    )
    remedies = [one for one in actions if not one.title.startswith(("waive", "write"))]
    assert len(remedies) > 3
    for one in remedies:
        for edit in one.edit.document_changes[0].edits:
            assert not start < edit.range.start.line < end, one.title


@pytest.mark.asyncio
async def test_a_waiver_waits_for_who_answers_for_it(editor):
    uri = editor.open()
    await editor.told(uri, 1)
    actions = await editor.actions(uri, "0.085 in")
    [waiver] = [one for one in actions if one.title.startswith("waive bay-vent-area")]
    text = editor.edited(uri, waiver.edit)
    assert "{rule: bay-vent-area, subject: sections.av_bay, margin: -0.5357, reason: , by: , until: }" in text
    editor.write(uri, text)
    told = await editor.told(uri, 2)
    missing = [one.message for one in told if "is missing here" in one.message]
    assert len(missing) == 3 and of_rule(told, "bay-vent-area"), missing
    filled = text.replace("reason: , by: , until: ", "reason: a test, by: A. Mentor, until: 2026-12-31")
    editor.write(uri, filled)
    assert not of_rule(await editor.told(uri, 3), "bay-vent-area")
    # A second one goes into the same list.
    again = await editor.actions(uri, "0.11 in")
    [second] = [one for one in again if one.title.startswith("waive fin-slot-wide-enough")]
    assert editor.edited(uri, second.edit).count("waivers:") == 1


@pytest.mark.asyncio
async def test_the_missing_keys_of_a_part_are_written_and_judged_as_missing_still(editor):
    uri = editor.open()
    first = await editor.told(uri, 1)
    [keys] = [one for one in await editor.actions(uri, "rods: {count: 2") if one.title.startswith("write the missing keys")]
    assert keys.title == "write the missing keys of sections.av_bay.rods: nuts, clock"
    editor.write(uri, editor.edited(uri, keys.edit))
    second = await editor.told(uri, 2)
    assert "nuts: , clock: }" in editor.texts[uri]
    counted = lambda told: sorted(str(one.code) for one in told)
    assert counted(first) == counted(second), "an empty key says nothing"


@pytest.mark.asyncio
async def test_inlay_hints_are_few_and_of_the_range_that_is_asked_for(editor):
    uri = editor.open()

    async def hints(first, last):
        found = await editor.client.text_document_inlay_hint_async(
            types.InlayHintParams(
                text_document=types.TextDocumentIdentifier(uri=uri),
                range=types.Range(
                    start=types.Position(line=first, character=0), end=types.Position(line=last, character=0)
                ),
            )
        )
        return {(one.position.line, one.label) for one in found}

    whole = await hints(0, 999)
    line = lambda words: editor.at(uri, words).line
    assert (line("  av_bay:"), "40 in to 41 in") in whole, whole
    assert (line("      statics:") - 1, "0.01135 in² open, 0.03259 in² by the rule") in whole
    assert (line("      statics:"), "54 % short") in whole
    assert len(whole) < 40 and len({line for line, _ in whole}) == len(whole)
    assert await hints(line("  av_bay:"), line("  av_bay:") + 1) < whole


@pytest.mark.asyncio
async def test_a_name_leads_to_what_it_names_and_back(editor):
    uri = editor.open()
    here = editor.params(types.DefinitionParams, uri, "glued: quick", len("glued: q"))
    found = await editor.client.text_document_definition_async(here)
    assert found.range.start == editor.at(uri, "quick: {adhesive")
    places = await editor.client.text_document_references_async(
        editor.params(
            types.ReferenceParams, uri, "quick: {adhesive", 1, context=types.ReferenceContext(include_declaration=True)
        )
    )
    assert len(places) == DRAFT.count("quick") - DRAFT.count("quick link")
    assert all(sliced(DRAFT, one.range) == "quick" for one in places)
    along = editor.params(types.DefinitionParams, uri, "from fore of switch_band", len("from fore of sw"))
    band = await editor.client.text_document_definition_async(along)
    assert band.range.start == editor.at(uri, "switch_band:")


@pytest.mark.asyncio
async def test_a_part_is_renamed_wherever_it_is_named(editor):
    uri = editor.open()
    before = await editor.told(uri, 1)
    prepared = await editor.client.text_document_prepare_rename_async(
        editor.params(types.PrepareRenameParams, uri, "  av_bay:", 3)
    )
    assert prepared.placeholder == "av_bay"
    edit = await editor.client.text_document_rename_async(
        editor.params(types.RenameParams, uri, "  av_bay:", 3, new_name="electronics")
    )
    text = editor.edited(uri, edit)
    assert "av_bay" not in text and text.count("electronics") == DRAFT.count("av_bay")
    editor.write(uri, text)
    after = await editor.told(uri, 2)
    assert sorted(str(one.code) for one in before) == sorted(str(one.code) for one in after)
    for words, name in [("    coupler:", "sleeve"), ("  av_bay:", "nose")]:
        with pytest.raises(Exception, match="key of the format|another one beside it"):
            editor.texts[uri] = text.replace("electronics", "av_bay")
            editor.write(uri, editor.texts[uri])
            await editor.client.text_document_rename_async(
                editor.params(types.RenameParams, uri, words, 5 if name == "sleeve" else 3, new_name=name)
            )


@pytest.mark.asyncio
async def test_the_parts_are_an_outline_and_can_be_folded(editor):
    uri = editor.open()
    document = types.TextDocumentIdentifier(uri=uri)
    symbols = await editor.client.text_document_document_symbol_async(types.DocumentSymbolParams(text_document=document))
    names = {one.name: one for one in symbols}
    assert {"nose", "av_bay", "apogee_joint", "quick"} <= set(names)
    assert "first before parts" in names["booster"].detail or "first before" in names["booster"].detail
    assert "altimeters" not in names and "left" in {child.name for child in names["av_bay"].children}
    folds = await editor.client.text_document_folding_range_async(types.FoldingRangeParams(text_document=document))
    spans = {(one.start_line, one.end_line) for one in folds}
    line = lambda words: editor.at(uri, words).line
    assert (line("  av_bay:"), line("  booster:") - 1) in spans
    assert (0, 1) in spans, "the remarks at the beginning"


@pytest.mark.asyncio
async def test_a_long_session_says_what_a_fresh_one_does(editor):
    uri = editor.open()
    await editor.told(uri, 1)
    for step in range(60):
        # A name as it is typed: each is that of another part than before.
        text = DRAFT.replace("      left: {battery", f"      left{'x' * (step % 7)}{step}: {{battery")
        if step % 5 == 4:
            text = text.replace("sections:", "sections", 1)
        editor.write(uri, text)
        await editor.told(uri, editor.versions[uri])
    last = DRAFT.replace("0.085 in", "0.09 in").replace("      left: {", "      starboard: {")
    editor.write(uri, last)
    here = await editor.told(uri, editor.versions[uri])
    other = editor.open(last, "other.rocket.yaml")
    fresh = await editor.told(other, 1)
    key = lambda one: (one.range, one.severity, one.code, one.message)
    assert [key(one) for one in here] == [key(one) for one in fresh]

"""What is shown in and between the lines."""

import random
import re

import pytest
from lsprotocol import types as t

import plans
from clients import able
from laws import tokens_of


async def tokens(editor, uri, **of):
    """The tokens of a document as (words, type, modifiers)."""
    if of:
        params = t.SemanticTokensRangeParams(editor.document(uri), editor.texts[uri].range(of["of"]))
        answer = await editor.ask(t.TEXT_DOCUMENT_SEMANTIC_TOKENS_RANGE, params)
    else:
        answer = await editor.ask(t.TEXT_DOCUMENT_SEMANTIC_TOKENS_FULL, t.SemanticTokensParams(editor.document(uri)))
    text = editor.texts[uri]
    return [(text.said(place), kind, marks) for place, kind, marks in tokens_of(editor, uri, answer.data)], answer


async def test_each_word_has_its_kind(tug, port):
    found, _ = await tokens(tug, port.tug)
    assert ("lamp", "keyword", []) in found
    assert ("\U00020bb7-1", "variable", ["declaration"]) in found and ("\U00020bb7-1", "variable", []) in found
    assert ("pearl", "class", []) in found and ("resistor", "property", []) in found
    assert ("# \U0001f526 \U00020bb7, the upper deck", "comment", []) in found
    assert ('"Tug \U0001f6a2, 1:50"', "string", []) in found and ("dusk", "event", ["declaration"]) in found
    # Nothing between the tokens but blanks, commas, dots.
    rest = tug.texts[port.tug].text
    for words, _, _ in found:
        assert words in rest
        rest = rest[rest.index(words) + len(words) :]
    assert rest.strip() == ""


async def test_the_tokens_of_a_range_are_those_of_the_whole(tug, port):
    whole, _ = await tokens(tug, port.tug)
    some, _ = await tokens(tug, port.tug, of="lamp   stern")
    at = whole.index(("stern", "variable", ["declaration"]))
    assert some and some[:2] == whole[at - 1 : at + 1]
    assert len(some) < len(whole) / 4


async def test_what_has_changed_since_gives_the_whole(tug, port):
    """The differences, put together as the specification says, give what is answered when all is asked for."""
    uri = port.tug
    _, last = await tokens(tug, uri)
    data, chance = list(last.data), random.Random(7)
    for _ in range(25):
        text = tug.texts[uri]
        at = chance.randrange(len(text.text))
        while text.text[at - 1 : at + 1] == "\r\n":
            at += 1
        place = text.place(at)
        word = chance.choice(["x", "\U00020bb7", " ", "\r\n", "lamp a of pearl", "# ", '"', ","])
        tug.edit(uri, [t.TextEdit(t.Range(place, place), word)])
        params = t.SemanticTokensDeltaParams(tug.document(uri), last.result_id)
        last = await tug.ask(t.TEXT_DOCUMENT_SEMANTIC_TOKENS_FULL_DELTA, params)
        if isinstance(last, t.SemanticTokensDelta):
            for edit in sorted(last.edits, key=lambda edit: edit.start, reverse=True):
                assert edit.start + edit.delete_count <= len(data)
                data[edit.start : edit.start + edit.delete_count] = edit.data or []
        else:
            data = list(last.data)
        _, whole = await tokens(tug, uri)
        assert data == list(whole.data), text.text
        last = whole
    params = t.SemanticTokensDeltaParams(tug.document(uri), "of another day")
    assert isinstance(await tug.ask(t.TEXT_DOCUMENT_SEMANTIC_TOKENS_FULL_DELTA, params), t.SemanticTokens)


async def test_settings_are_asked_for_and_hold_at_once(editor_of, port):
    editor = await editor_of(able(), [port.folder], {"pages": "https://example.org/first/"})
    page = lambda: editor.findings_of[port.tug].diagnostics[0].code_description.href  # noqa: E731
    editor.open(port.tug, plans.FAULTY)
    await editor.findings(port.tug)
    assert page() == "https://example.org/first/wrong-unit.md"
    await editor.until(lambda: t.WORKSPACE_DID_CHANGE_CONFIGURATION in editor.registrations, "a registration")
    editor.set_configuration({"pages": "https://example.org/second/"}, section="glimloom")
    editor.workspace_did_change_configuration(t.DidChangeConfigurationParams(settings=None))
    await editor.until(lambda: page() == "https://example.org/second/wrong-unit.md", "the new setting")
    editor.set_configuration({"pages": 12, "no-such-setting": True}, section="glimloom")
    editor.workspace_did_change_configuration(t.DidChangeConfigurationParams(settings=None))
    await editor.until(lambda: len(editor.log_messages) >= 2, "complaints")
    said = " ".join(message.message for message in editor.log_messages)
    assert "pages" in said and "no-such-setting" in said


async def hints(editor, uri, words=None):
    text = editor.texts[uri]
    stretch = text.range(words) if words else text.everything()
    found = await editor.ask(t.TEXT_DOCUMENT_INLAY_HINT, t.InlayHintParams(editor.document(uri), stretch))
    label = lambda hint: hint.label if isinstance(hint.label, str) else "".join(part.value for part in hint.label)  # noqa: E731
    line = lambda hint: text.text.split("\r\n")[hint.position.line].split()[1]  # noqa: E731
    return [(line(hint), label(hint)) for hint in found], found


async def test_figures_between_the_words(editor_of, port, encoding):
    tug = await editor_of(able(encoding), [port.folder], {"hints": {"cut": True}})
    tug.open(port.tug, plans.TUG)
    found, whole = await hints(tug, port.tug)
    # 6 lamps are 2 groups of 25 mm, by the stock; each group draws 18 mA at 12 V.
    assert ("saloon", "50 mm") in found
    assert any(name == "saloon" and "12 V" in label and "mA" in label for name, label in found)
    assert any(name == "\U00020bb7-1" and "mA" in label for name, label in found)
    some, _ = await hints(tug, port.tug, "strip  saloon of warm 6 lamps            from keel    over 70 mm of fine")
    assert some == [hint for hint in found if hint[0] == "saloon"]
    resolved = await tug.ask(t.INLAY_HINT_RESOLVE, whole[0])
    assert resolved.label == whole[0].label and resolved.tooltip


# What each kind of hint says, of which item: the stock and the runs give the figures.
HINTS = {
    # Two groups of 25 mm.
    "cut": ("saloon", r"50 mm"),
    # Ohm's law: (12 V - 3.0 V) squared, by 560 ohm.
    "resistor": ("bow", r"14[4-6] mW"),
    # 120 mm, and what is left at each end, for both legs.
    "wire": ("bow", r"cut 2 × 1[2-9]0 mm"),
    "lights": ("bow", r"12 V 1[56](\.\d)? mA"),
    "feed": ("keel", r"12 V 1\d\d mA"),
    "dark": ("keel", r"break: 5 dark"),
}


@pytest.mark.parametrize("kind", HINTS)
async def test_each_kind_of_hint_has_its_switch(editor_of, port, kind):
    alone = {name: name == kind for name in HINTS}
    editor = await editor_of(able(), [port.folder], {"hints": alone})
    editor.open(port.tug, plans.TUG)
    name, label = HINTS[kind]
    found, _ = await hints(editor, port.tug)
    assert [said for item, said in found if item == name and re.fullmatch(label, said)], found
    of_others = [said for other, (_, label) in HINTS.items() if other != kind for _, said in found if re.fullmatch(label, said) and other not in ("lights", "feed")]
    assert not of_others
    editor.set_configuration({"hints": {kind: False}}, section="glimloom")
    editor.workspace_did_change_configuration(t.DidChangeConfigurationParams(settings=None))
    await editor.until(lambda: editor.refreshes[t.WORKSPACE_INLAY_HINT_REFRESH], "a refresh")
    assert await hints(editor, port.tug) == ([], [])


async def test_settings_that_are_told_and_not_asked_for(editor_of, port):
    said = able()
    said["workspace"]["configuration"] = False
    editor = await editor_of(said, [port.folder])
    editor.open(port.tug, plans.TUG)
    first, _ = await hints(editor, port.tug)
    assert ("bow", "12 V 16.1 mA") in first and ("keel", "break: 5 dark") not in first
    told = t.DidChangeConfigurationParams(settings={"glimloom": {"hints": {"lights": False, "dark": True}}})
    editor.workspace_did_change_configuration(told)
    await editor.until(lambda: editor.refreshes[t.WORKSPACE_INLAY_HINT_REFRESH], "a refresh")
    then, _ = await hints(editor, port.tug)
    assert ("keel", "break: 5 dark") in then and ("bow", "12 V 16.1 mA") not in then


async def test_hints_are_switched_while_the_editor_runs(editor_of, port):
    editor = await editor_of(able(), [port.folder], {"hints": {"lights": False, "cut": True}})
    editor.open(port.tug, plans.TUG)
    assert (await hints(editor, port.tug))[0] == [("saloon", "50 mm")]
    await editor.until(lambda: t.WORKSPACE_DID_CHANGE_CONFIGURATION in editor.registrations, "a registration")
    editor.set_configuration({"hints": {"cut": False, "dark": True}}, section="glimloom")
    editor.workspace_did_change_configuration(t.DidChangeConfigurationParams(settings=None))
    await editor.until(lambda: editor.refreshes[t.WORKSPACE_INLAY_HINT_REFRESH], "a refresh")
    found, _ = await hints(editor, port.tug)
    # Two lights hang on the upper deck, five on the keel.
    assert ("\U00020bb7-deck", "break: 2 dark") in found and ("keel", "break: 5 dark") in found
    assert ("saloon", "50 mm") not in found


async def test_lines_above_a_stanza(editor_of, port, encoding):
    editor = await editor_of(able(encoding), [port.folder], {"lenses": {"feeds": True}})
    editor.open(port.tug, plans.TUG)
    text = editor.texts[port.tug]
    titles, told = {}, {}
    for lens in await editor.ask(t.TEXT_DOCUMENT_CODE_LENS, t.CodeLensParams(editor.document(port.tug))):
        command = (await editor.ask(t.CODE_LENS_RESOLVE, lens)).command
        stanza = text.text.split("\r\n")[lens.range.start.line].split()[:2]
        titles[" ".join(stanza)] = command.title
        before = len(editor.messages)
        await editor.ask(t.WORKSPACE_EXECUTE_COMMAND, t.ExecuteCommandParams(command.command, arguments=command.arguments))
        await editor.until(lambda: len(editor.messages) > before, "words")
        told[command.command] = editor.messages[-1].message
    assert "of 1 A" in titles["supply adapter"] and "dusk" in titles["supply adapter"]
    assert titles["joint \U00020bb7-deck"] == "feeds 2: \U00020bb7-1, stern"
    assert "5 of 5 lights" in titles['harness "Tug']
    # The others open papers (test_papers.py, test_suspects.py).
    others = {"glimloom.sheet", "glimloom.parts", "glimloom.drawing", "glimloom.suspects"}
    assert set(told) == set(editor.offered.execute_command_provider.commands) - others
    [shown] = editor.shown_documents
    assert shown.uri == port.tug and text.said(shown.selection) in ("F1", "keel")
    editor.set_configuration({"lenses": {"feeds": False, "budget": False, "worst": False}}, section="glimloom")
    editor.workspace_did_change_configuration(t.DidChangeConfigurationParams(settings=None))
    await editor.until(lambda: editor.refreshes[t.WORKSPACE_CODE_LENS_REFRESH], "a refresh")
    assert not await editor.ask(t.TEXT_DOCUMENT_CODE_LENS, t.CodeLensParams(editor.document(port.tug)))


async def test_colours(tug, port):
    words = "wire \U00020bb7 gauge 30 AWG insulation enamel colours red, green"
    tug.rewrite(port.tug, plans.TUG + words)
    found = await tug.ask(t.TEXT_DOCUMENT_DOCUMENT_COLOR, t.DocumentColorParams(tug.document(port.tug)))
    text = tug.texts[port.tug]
    assert [text.said(colour.range) for colour in found] == ["red", "green"]
    red = found[0].color
    assert red.red > max(red.green, red.blue)
    params = t.ColorPresentationParams(text_document=tug.document(port.tug), color=t.Color(0.1, 0.1, 0.9, 1.0), range=found[0].range)
    nearest = (await tug.ask(t.TEXT_DOCUMENT_COLOR_PRESENTATION, params))[0]
    assert nearest.label == "blue"
    tug.edit(port.tug, [nearest.text_edit])
    assert tug.texts[port.tug].text.endswith("colours blue, green")


async def test_the_load_of_the_supplies(editor_of, port, encoding):
    editor = await editor_of(able(encoding), [port.folder])
    editor.open(port.tug, plans.TUG)
    # An answer that is not of the protocol comes as its members, one after the other.
    [[adapter]] = await editor.ask("glimloom/load", {"textDocument": {"uri": port.tug}})
    assert adapter.name == "adapter" and adapter.scene == "all-on" and adapter.fit == "fits"
    assert adapter.limit == 1 and 0.05 < adapter.given < 0.2 and "of 1 A" in adapter.says
    editor.replace(port.tug, "12 V 1 A", "12 V 100 mA")
    [[adapter]] = await editor.ask("glimloom/load", {"textDocument": {"uri": port.tug}})
    assert adapter.fit in ("tight", "over") and adapter.limit == 0.1

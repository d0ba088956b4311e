"""Mends and refactorings: listed, chosen, made in the text, and what was wrong is gone."""

import pytest
from lsprotocol import types as t

import plans
from clients import able

# A tug with a chain of lights and a row of joints.
CHAINED = plans.TUG.replace("from keel    over 120 mm of fine", "from saloon  over 120 mm of fine").replace("6 lamps", "12 lamps")


async def listed(editor, uri, stretch, only=None):
    context = t.CodeActionContext(diagnostics=[], only=only, trigger_kind=t.CodeActionTriggerKind.Invoked)
    return await editor.ask(t.TEXT_DOCUMENT_CODE_ACTION, t.CodeActionParams(editor.document(uri), stretch, context)) or []


async def made(editor, action):
    """Makes the edits of an action, which come when it is chosen."""
    if action.edit is None:
        action = await editor.ask(t.CODE_ACTION_RESOLVE, action)
    return editor.apply(action.edit)


async def mends_of(editor, uri, finding):
    fixes = await listed(editor, uri, finding.range, ["quickfix"])
    mends = [action for action in fixes if finding in (action.diagnostics or [])]
    assert [action.is_preferred for action in mends].count(True) <= 1
    return mends


@pytest.mark.parametrize("text", [plans.FAULTY, plans.TIRED], ids=["faulty", "tired"])
async def test_each_finding_with_a_mend_is_mended(editor_of, port, encoding, text):
    editor = await editor_of(able(encoding), [port.folder])
    editor.open(port.tug, text)
    found = await editor.findings(port.tug)
    assert len(found) >= 2
    mended = 0
    for finding in found:
        number = 0
        while mends := (await mends_of(editor, port.tug, finding))[number:]:
            await made(editor, mends[0])
            said = lambda findings: [(f.code, f.message) for f in findings].count((finding.code, finding.message))  # noqa: E731
            assert said(await editor.findings(port.tug)) == said(found) - 1, (finding, mends[0])
            editor.rewrite(port.tug, text)
            assert await editor.findings(port.tug) == found
            number += 1
        mended += number > 0
    assert mended >= 2


async def test_all_mends_at_once(editor_of, port, encoding):
    editor = await editor_of(able(encoding), [port.folder])
    editor.open(port.tug, plans.FAULTY)
    before = await editor.findings(port.tug)
    [action] = await listed(editor, port.tug, editor.texts[port.tug].everything(), ["source.fixAll"])
    await made(editor, action)
    after = await editor.findings(port.tug)
    assert len(after) < len(before)
    assert {"wrong-unit", "unknown-name"}.isdisjoint({f.code for f in after}), after
    assert editor.texts[port.tug].text.count("\r\n") == editor.texts[port.tug].text.count("\n")


async def test_an_action_for_a_text_of_before_is_refused(tug, port):
    tug.rewrite(port.tug, plans.FAULTY)
    action = (await listed(tug, port.tug, tug.texts[port.tug].everything(), ["quickfix"]))[0]
    tug.replace(port.tug, "supply adapter", "# a ship\r\nsupply adapter")
    error = await tug.refused(t.CODE_ACTION_RESOLVE, action)
    assert error.code == t.LSPErrorCodes.ContentModified.value


@pytest.mark.parametrize("member", ["resolveSupport", "dataSupport", "isPreferredSupport", "codeActionLiteralSupport"])
async def test_a_client_that_can_do_less(editor_of, port, member):
    said = able()
    del said["textDocument"]["codeAction"][member]
    editor = await editor_of(said, [port.folder])
    editor.open(port.tug, plans.FAULTY)
    if member == "codeActionLiteralSupport":
        assert editor.offered.code_action_provider is None
        return
    actions = await listed(editor, port.tug, editor.texts[port.tug].range("1,5 A"), ["quickfix"])
    assert actions and await made(editor, actions[0])
    assert "wrong-unit" not in await editor.checks(port.tug)
    if member == "isPreferredSupport":
        assert all(action.is_preferred is None for action in actions)
    elif member != "isPreferredSupport":
        assert all(action.edit for action in actions)


async def refactored(editor, uri, kind, marked):
    """The actions of a kind at a place that can be done, and why others cannot."""
    place = editor.at(uri, marked)["position"]
    actions = await listed(editor, uri, t.Range(place, place), [kind])
    return [a for a in actions if not a.disabled], [a.disabled.reason for a in actions if a.disabled]


async def test_stanzas_in_order(tug, port):
    lines = plans.TUG.split("\r\n")
    mixed = "\r\n".join([lines[0], *lines[12:15], *lines[6:12], *lines[1:6], ""])
    assert sorted(mixed) == sorted(plans.TUG)
    tug.rewrite(port.tug, mixed)
    assert await tug.findings(port.tug) == []
    [action] = await listed(tug, port.tug, tug.texts[port.tug].everything(), ["source.sort"])
    await made(tug, action)
    after = tug.texts[port.tug].text
    # No line is lost; blank ones may come between.
    assert sorted(filter(None, after.split("\r\n"))) == sorted(filter(None, mixed.split("\r\n"))) and after != mixed
    assert after.index("supply adapter") < after.index("fuse   F1") < after.index("joint  keel") < after.index("lamp   stern") < after.index("scene")
    assert await tug.findings(port.tug) == []
    assert not await listed(tug, port.tug, tug.texts[port.tug].everything(), ["source.sort"])


@pytest.mark.parametrize("all_stock", [False, True])
async def test_stock_moves_into_a_file_of_its_own_and_back(editor_of, port, encoding, all_stock):
    editor = await editor_of(able(encoding), [port.folder])
    stock = plans.STOCK.replace("\n", "\r\n")
    uri = port.write("barge.harness", plans.TUG.replace('use "stock.harness"\r\n', stock))
    editor.open(uri, editor.text_of(uri).text)
    before = editor.texts[uri].text
    assert await editor.findings(uri) == []
    extracts, _ = await refactored(editor, uri, "refactor.extract", "led pe|arl drops")
    [extract] = [a for a in extracts if ("all stock" in a.title) == all_stock]
    [new] = {*await made(editor, extract)} - {uri}
    pearl = "led pearl drops 3.0 V at 20 mA limit 25 mA colour white"
    assert editor.texts[new].text.count(pearl) == 1 and pearl not in editor.texts[uri].text
    assert ("module blinker" in editor.texts[new].text) == all_stock
    assert await editor.findings(uri) == []
    name = new.rsplit("/", 1)[-1]
    inlines, _ = await refactored(editor, uri, "refactor.inline", f'us|e "{name}"')
    await made(editor, inlines[0])
    assert editor.texts[uri].text.count(pearl) == 1 and f'use "{name}"' not in editor.texts[uri].text
    assert await editor.findings(uri) == []
    lines = lambda text: sorted(line for line in text.split("\r\n") if line)  # noqa: E731
    assert lines(editor.texts[uri].text) == lines(before)


async def test_what_cannot_be_done_says_why(tug, port):
    can, reasons = await refactored(tug, port.tug, "refactor.inline", "scene  d|usk")
    assert not can and all(reason.strip().endswith(".") for reason in reasons) and reasons
    # Who did not ask for it is not told.
    assert all(action.disabled is None for action in await listed(tug, port.tug, tug.texts[port.tug].everything()))


async def test_each_refactoring_leaves_a_good_plan(tug, port, encoding):
    """At every stanza; each encoding tries a third of what is offered."""
    turn = ["utf-8", "utf-16", "utf-32"].index(encoding)
    tug.rewrite(port.tug, CHAINED)
    wrong = lambda found: sorted(f.code for f in found if f.severity != t.DiagnosticSeverity.Hint)  # noqa: E731
    good = wrong(await tug.findings(port.tug))
    tried = 0
    for number, line in enumerate(CHAINED.split("\r\n")):
        if line.split(" ")[0] not in ("joint", "lamp", "strip", "board", "link", "fuse"):
            continue
        stretch = t.Range(t.Position(number, 2), t.Position(number, 2))
        count = len(await listed(tug, port.tug, stretch, ["refactor"]))
        for index in range((number + turn) % 3, count, 3):
            action = [a for a in await listed(tug, port.tug, stretch, ["refactor"])][index]
            if action.disabled:
                continue
            await made(tug, action)
            assert tug.texts[port.tug].text != CHAINED, action
            assert wrong(await tug.findings(port.tug)) == good, (action, tug.texts[port.tug].text)
            tug.rewrite(port.tug, CHAINED)
            tried += 1
    assert tried >= 3

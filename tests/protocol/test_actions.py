"""Mends and refactorings: listed, chosen, made in the text, and what was wrong is gone."""

import pytest
from lsprotocol import types as t

import plans
from clients import able


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

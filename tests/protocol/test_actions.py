"""Mends and refactorings: listed, chosen, made in the text, and what was wrong is gone."""

import re

import pytest
from lsprotocol import types as t
from pygls.exceptions import JsonRpcException

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


@pytest.mark.parametrize("member", ["resolveSupport", "dataSupport", "isPreferredSupport"])
async def test_a_client_that_can_do_less(editor_of, port, member):
    said = able()
    del said["textDocument"]["codeAction"][member]
    editor = await editor_of(said, [port.folder])
    editor.open(port.tug, plans.FAULTY)
    actions = await listed(editor, port.tug, editor.texts[port.tug].range("1,5 A"), ["quickfix"])
    assert actions and await made(editor, actions[0])
    assert "wrong-unit" not in await editor.checks(port.tug)
    if member == "isPreferredSupport":
        assert all(action.is_preferred is None for action in actions)
    else:
        assert all(action.edit for action in actions)


def of_commands(encoding="utf-16"):
    """A client that takes actions only as commands."""
    said = able(encoding)
    said["textDocument"]["codeAction"] = {}
    return said


async def run(editor, command):
    params = t.ExecuteCommandParams(command.command, arguments=command.arguments)
    return await editor.ask(t.WORKSPACE_EXECUTE_COMMAND, params)


async def changed(editor, uri, version):
    await editor.until(lambda: editor.versions[uri] > version, "an edit")


async def test_a_client_of_commands_mends_by_them(editor_of, port, encoding):
    editor = await editor_of(of_commands(encoding), [port.folder])
    assert editor.offered.code_action_provider is True
    assert "glimloom.apply" in editor.offered.execute_command_provider.commands
    editor.open(port.tug, plans.FAULTY)
    able_too = await editor_of(able(encoding), [port.folder])
    able_too.open(port.tug, plans.FAULTY)
    for words in ("1,5 A", "blnk.a"):
        stretch = editor.texts[port.tug].range(words)
        commands = await listed(editor, port.tug, stretch)
        assert commands and all(isinstance(command, t.Command) for command in commands)
        # The same as others get, in the same order.
        assert [command.title for command in commands] == [action.title for action in await listed(able_too, port.tug, stretch)]
        version = editor.versions[port.tug]
        assert await run(editor, commands[0]) is None
        await changed(editor, port.tug, version)
        assert words not in editor.texts[port.tug].text
        able_too.rewrite(port.tug, editor.texts[port.tug].text)
    assert {"wrong-unit", "unknown-name"}.isdisjoint(await editor.checks(port.tug))


async def test_a_command_for_all_mends_and_one_for_a_trial(editor_of, port):
    editor = await editor_of(of_commands(), [port.folder])
    editor.open(port.tug, plans.FAULTY)
    [command] = await listed(editor, port.tug, editor.texts[port.tug].everything(), ["source.fixAll"])
    await run(editor, command)
    await changed(editor, port.tug, 1)
    assert {"wrong-unit", "unknown-name"}.isdisjoint(await editor.checks(port.tug))
    place = editor.at(port.tug, "lamp   b|ow")["position"]
    [trial] = [c for c in await listed(editor, port.tug, t.Range(place, place)) if "when tried" in c.title]
    await run(editor, trial)
    await changed(editor, port.tug, 2)
    assert "tried" in editor.texts[port.tug].text


async def test_a_command_for_a_text_of_before_is_refused(editor_of, port):
    editor = await editor_of(of_commands(), [port.folder])
    editor.open(port.tug, plans.FAULTY)
    command = (await listed(editor, port.tug, editor.texts[port.tug].range("1,5 A")))[0]
    editor.replace(port.tug, "supply adapter", "# a ship\r\nsupply adapter")
    text = editor.texts[port.tug].text
    params = t.ExecuteCommandParams(command.command, arguments=command.arguments)
    error = await editor.refused(t.WORKSPACE_EXECUTE_COMMAND, params)
    assert error.code == t.LSPErrorCodes.ContentModified.value
    for wrong in ([], [{}], [7], [{"uri": port.tug}]):
        error = await editor.refused(t.WORKSPACE_EXECUTE_COMMAND, t.ExecuteCommandParams("glimloom.apply", arguments=wrong))
        assert error.code == -32602
    await editor.settled()
    assert editor.texts[port.tug].text == text


async def test_who_makes_no_edits_is_offered_none(editor_of, port):
    said = of_commands()
    said["workspace"]["applyEdit"] = False
    editor = await editor_of(said, [port.folder])
    assert editor.offered.code_action_provider is None
    assert "glimloom.apply" not in editor.offered.execute_command_provider.commands


def street(houses: int) -> str:
    """Houses that nothing ties to each other, each with a cut that falls inside of a group and a lamp without its resistor; so
    many that the plan is looked at in parts."""
    house = """\
# house {k}
supply cell-{k} 12 V 1 A
fuse   main-{k} 400 mA                    from cell-{k}
joint  hall-{k}                           from main-{k} over 150 mm of hook
strip  shelf-{k} of warm 7 lamps          from hall-{k} over 70 mm of fine
lamp   door-{k}  of pearl                 from hall-{k} over 90 mm of fine
lamp   roof-{k}  of ruby resistor 560 ohm from hall-{k} over 60 mm of fine
"""
    return 'use "stock.harness"\n' + "\n".join(house.replace("{k}", str(k)) for k in range(houses))


async def test_all_mends_of_many_circuits(editor_of, port):
    """While they are worked out others are answered, and keys are; stopping it stops it; it comes out as one by one would."""
    editor = await editor_of(able(), [port.folder])
    count = 30
    editor.open(port.tug, street(count))
    found = await editor.findings(port.tug)
    assert len([f for f in found if f.code == "lamp-without-resistor"]) == count
    [action] = await listed(editor, port.tug, editor.texts[port.tug].range("supply cell-0"), ["source.fixAll"])
    name, answer = await editor.begun(t.CODE_ACTION_RESOLVE, action)
    hover = await editor.ask(t.TEXT_DOCUMENT_HOVER, t.HoverParams(**editor.at(port.tug, "lamp   do|or-7 ")))
    assert "door-7" in hover.contents.value
    editor.cancel_request(t.CancelParams(id=name))
    try:
        assert (await answer).edit
    except JsonRpcException as error:
        assert error.code == t.LSPErrorCodes.RequestCancelled.value
    assert editor.answers[name] == 1
    await made(editor, action)
    after = await editor.checks(port.tug)
    assert "lamp-without-resistor" not in after and "cut-not-whole" not in after
    text = editor.texts[port.tug].text
    assert len(set(re.findall(r"shelf-\d+ +of warm (\d+) lamps", text))) == 1
    resistors = re.findall(r"door-\d+ +of pearl +resistor (\d+ ohm)", text)
    assert len(resistors) == count and len(set(resistors)) == 1


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

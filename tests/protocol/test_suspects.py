"""What may be wrong where lights are dark: listed by a command, asked for by a panel; a trial is written down."""

import pathlib
import re
import urllib.parse

from lsprotocol import types as t

import plans
from clients import able


async def offered(editor, uri, marked, kind):
    place = editor.at(uri, marked)["position"]
    context = t.CodeActionContext(diagnostics=[], only=[kind], trigger_kind=t.CodeActionTriggerKind.Invoked)
    return await editor.ask(t.TEXT_DOCUMENT_CODE_ACTION, t.CodeActionParams(editor.document(uri), t.Range(place, place), context))


async def test_suspects_open_as_a_document(editor_of, port, encoding):
    editor = await editor_of(able(encoding), [port.folder])
    editor.open(port.tug, plans.TUG)
    dark, dim = await offered(editor, port.tug, "lamp   b|ow", "suspects")
    assert (dark.title, dim.title) == ("List what may be wrong if bow is dark", "List what may be wrong if bow is dim")
    command = dark.command
    before = len(editor.shown_documents)
    await editor.ask(t.WORKSPACE_EXECUTE_COMMAND, t.ExecuteCommandParams(command.command, arguments=command.arguments))
    await editor.until(lambda: len(editor.shown_documents) > before, "a document")
    shown = editor.shown_documents[-1]
    path = pathlib.Path(urllib.parse.unquote(urllib.parse.urlsplit(shown.uri).path))
    text = path.read_text(encoding="utf-8")
    assert text.startswith("# `bow` dark, the others as they should be") and "## Measure next" in text
    assert "from `keel` to `bow` is broken" in text and path.name == "tug-suspects.md"


async def test_a_trial_is_written_down(tug, port):
    actions = await offered(tug, port.tug, "lamp   b|ow", "refactor.rewrite")
    [trial] = [action for action in actions if "when tried" in action.title]
    tug.apply(trial.edit)
    [record] = re.findall(r"tried +bow +(\S+) mA +at +12 V +on +(\d{4}-\d\d-\d\d)", tug.texts[port.tug].text)
    assert 10 < float(record[0]) < 20
    assert "tried-off" not in await tug.checks(port.tug)

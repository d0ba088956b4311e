"""Papers that a command opens, of the text as it is being edited."""

from pathlib import Path
from urllib.parse import unquote, urlparse

from lsprotocol import types as t

import plans
from clients import able


async def test_papers_are_opened(editor_of, port, encoding):
    editor = await editor_of(able(encoding), [port.folder])
    editor.open(port.tug, plans.TUG)
    for command, external, said in [("glimloom.sheet", True, "Test before sealing"), ("glimloom.parts", False, "## To buy"), ("glimloom.drawing", True, "</svg>")]:
        before = len(editor.shown_documents)
        params = t.ExecuteCommandParams(command, arguments=[{"uri": port.tug}])
        made = await editor.ask(t.WORKSPACE_EXECUTE_COMMAND, params)
        await editor.until(lambda: len(editor.shown_documents) > before, "a paper that is shown")
        shown = editor.shown_documents[-1]
        assert shown.external is external and shown.uri == made["uri"]
        path = Path(unquote(urlparse(shown.uri).path))
        text = path.read_text(encoding="utf-8")
        assert said in text and "\U00020bb7-1" in text
        path.unlink()
        path.parent.rmdir()

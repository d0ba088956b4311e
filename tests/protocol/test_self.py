"""The client is no easy judge: what is wrong is a fault."""

import pytest
from lsprotocol import types as t

import laws
from editor import Editor
from texts import Text, length

URI = "file:///a.harness"


def heard(**message):
    editor = Editor()
    editor.protocol._result_types["1"] = t.HoverResponse
    try:
        editor.protocol.structure_message({"jsonrpc": "2.0", **message})
    except Exception:
        assert editor.faults
    return editor.faults


@pytest.mark.parametrize(
    "message",
    [
        {"id": "1", "result": {"contents": "a", "colour": "red"}},
        {"id": "1", "result": {"contents": {"kind": "rich", "value": "a"}}},
        {"id": "1", "result": {"range": None}},
        {"id": "1"},
        {"id": "1", "result": None, "error": {"code": 1, "message": "a"}},
        {"method": "glimloom/of-our-own", "params": {}},
        {"method": "textDocument/publishDiagnostics", "params": {"uri": URI, "diagnostics": [{"message": "no range"}]}},
        {"method": "textDocument/publishDiagnostics", "params": {"uri": URI, "diagnostics": [], "verison": 1}},
    ],
)
def test_what_is_not_of_the_protocol_is_a_fault(message):
    assert heard(**message)


def test_what_is_of_the_protocol_is_none():
    assert not heard(id="1", result={"contents": {"kind": "markdown", "value": "a"}, "range": None})
    assert not heard(id="1", result=None)
    assert not heard(method="textDocument/publishDiagnostics", params={"uri": URI, "version": 1, "diagnostics": []})


def test_what_is_told_of_work():
    begin, report, end = t.WorkDoneProgressBegin("a", percentage=10), t.WorkDoneProgressReport(percentage=20), t.WorkDoneProgressEnd()
    for before, value in [([], begin), ([begin], report), ([begin, report], end)]:
        laws.work(before, value)
    for before, value in [
        ([begin], begin),
        ([], report),
        ([], end),
        ([begin, end], report),
        ([begin, end], end),
        ([begin, report], t.WorkDoneProgressReport(percentage=19)),
        ([begin], t.WorkDoneProgressReport(percentage=101)),
        ([t.WorkDoneProgressBegin("a")], report),
        ([], t.WorkDoneProgressBegin(" ")),
    ]:
        with pytest.raises(AssertionError):
            laws.work(before, value)


def test_a_request_is_answered_once():
    editor = Editor()
    params = t.ReferenceParams(t.ReferenceContext(True), t.TextDocumentIdentifier(URI), t.Position(0, 0), work_done_token="a")
    editor._tokens["1"] = [params.work_done_token]
    editor.answered("1")
    assert not editor.faults and editor._spent == {"a"}
    editor.answered("1")
    assert editor.faults


# A clef takes four bytes of UTF-8, two units of UTF-16, one of UTF-32 (the Unicode Standard, chapter 3.9).
@pytest.mark.parametrize("encoding, columns", [("utf-8", 4), ("utf-16", 2), ("utf-32", 1)])
def test_columns(encoding, columns):
    assert length("\U0001d11e", encoding) == columns
    text = Text("\U0001d11ea\r\nb", encoding)
    assert text.place(1) == t.Position(0, columns) and text.place(4) == t.Position(1, 0)
    assert [text.offset(t.Position(0, column)) for column in (0, columns, columns + 1)] == [0, 1, 2]
    outside = [t.Position(0, columns + 2), t.Position(2, 0), t.Position(1, 2)] + [t.Position(0, 1)] * (columns > 1)
    for place in outside:
        with pytest.raises(AssertionError):
            text.offset(place)


def test_laws():
    editor = Editor()
    editor.texts[URI], editor.versions[URI] = Text("lamp a\nlamp b\n", "utf-16"), 3
    here = t.TextDocumentIdentifier(URI)
    stretch = lambda *n: t.Range(t.Position(n[0], n[1]), t.Position(n[2], n[3]))  # noqa: E731
    place = t.Position(0, 2)
    edits = lambda *all: [t.TextEdit(s, "x") for s in all]  # noqa: E731
    document = lambda version: t.TextDocumentEdit(t.OptionalVersionedTextDocumentIdentifier(URI, version), edits(stretch(0, 0, 0, 1)))  # noqa: E731
    broken = [
        (t.TEXT_DOCUMENT_HOVER, t.HoverParams(here, place), t.Hover("a", stretch(0, 0, 0, 7))),
        (t.TEXT_DOCUMENT_DEFINITION, t.DefinitionParams(here, place), [t.Location(URI, stretch(0, 3, 0, 1))]),
        (t.TEXT_DOCUMENT_DEFINITION, t.DefinitionParams(here, place), [t.Location("file:///not/there", stretch(0, 0, 0, 0))]),
        (t.TEXT_DOCUMENT_FORMATTING, t.DocumentFormattingParams(here, t.FormattingOptions(2, True)), edits(stretch(0, 0, 0, 4), stretch(0, 3, 0, 5))),
        (t.TEXT_DOCUMENT_RENAME, t.RenameParams(here, place, "b"), t.WorkspaceEdit(document_changes=[document(2)])),
        (t.TEXT_DOCUMENT_FOLDING_RANGE, t.FoldingRangeParams(here), [t.FoldingRange(1, 1)]),
        (t.TEXT_DOCUMENT_COMPLETION, t.CompletionParams(here, place), [t.CompletionItem("a", text_edit=edits(stretch(0, 3, 0, 4))[0])]),
        (t.TEXT_DOCUMENT_LINKED_EDITING_RANGE, t.LinkedEditingRangeParams(here, place), t.LinkedEditingRanges([stretch(0, 0, 0, 4), stretch(1, 0, 1, 5)])),
    ]
    for method, params, answer in broken:
        with pytest.raises(AssertionError):
            laws.check(editor, method, params, answer)
    laws.check(editor, t.TEXT_DOCUMENT_RENAME, t.RenameParams(here, place, "b"), t.WorkspaceEdit(document_changes=[document(3)]))

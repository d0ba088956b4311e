"""Findings of an editor that asks for them, of one plan and of all; work that is shown, and stopped."""

import pytest
import pytest_asyncio
from lsprotocol import types as t
from pygls.exceptions import JsonRpcException

import plans
from clients import able, asking
from editor import TOP


@pytest_asyncio.fixture
async def asker(editor_of, port, encoding):
    return await editor_of(asking(encoding), [port.folder])


async def pull(editor, uri, before=None):
    params = t.DocumentDiagnosticParams(editor.document(uri), identifier="glimloom", previous_result_id=before)
    return await editor.ask(t.TEXT_DOCUMENT_DIAGNOSTIC, params)


async def pull_all(editor, before=(), **more):
    params = t.WorkspaceDiagnosticParams(previous_result_ids=list(before), identifier="glimloom", **more)
    return await editor.ask(t.WORKSPACE_DIAGNOSTIC, params)


async def test_what_is_asked_for_is_what_is_told(asker, editor_of, port, encoding):
    told = await editor_of(able(encoding), [port.folder])
    for text in (plans.FAULTY, plans.TIRED, plans.TUG):
        for editor in (asker, told):
            editor.open(port.tug, text)
        report = await pull(asker, port.tug)
        assert list(report.items) == await told.findings(port.tug)
        again = await pull(asker, port.tug, report.result_id)
        assert (again.kind, again.result_id) == ("unchanged", report.result_id)
        asker.replace(port.tug, "fuse   F1", "fuse   F2")
        changed = await pull(asker, port.tug, report.result_id)
        assert changed.kind == "full" and changed.result_id != report.result_id
        for editor in (asker, told):
            editor.close(port.tug)
    # And not twice.
    assert not asker.findings_of


async def test_used_files_are_part_of_the_report(asker, port):
    port.write("stock.harness", plans.STOCK + "led ruby drops 2.0 V at 20 mA\n")
    asker.open(port.tug, plans.TUG)
    report = await pull(asker, port.tug)
    [(uri, related)] = report.related_documents.items()
    assert uri == port.stock
    assert "name-taken" in [finding.code for finding in related.items]


async def test_it_is_asked_again_when_another_file_has_changed(asker, port):
    asker.open(port.tug, plans.TUG)
    report = await pull(asker, port.tug)
    assert not report.items
    asker.open(port.stock, plans.STOCK)
    asker.replace(port.stock, "led ruby", "led amber")
    await asker.until(lambda: asker.refreshes[t.WORKSPACE_DIAGNOSTIC_REFRESH], "a refresh")
    report = await pull(asker, port.tug, report.result_id)
    assert "unknown-name" in [finding.code for finding in report.items]


async def test_all_plans_of_the_folders(asker, port):
    bad = port.write("hulls/bad.harness", plans.FAULTY.replace('"stock.', '"../stock.'))
    asker.open(port.tug, plans.TIRED)
    first = await pull_all(asker)
    reports = {report.uri: report for report in first.items}
    assert {bad, port.tug} <= set(reports)
    assert {"wrong-unit", "unknown-name"} <= {finding.code for finding in reports[bad].items}
    alone = await pull(asker, port.tug)
    assert (alone.items, alone.result_id) == (reports[port.tug].items, reports[port.tug].result_id)
    known = [t.PreviousResultId(uri=report.uri, value=report.result_id) for report in first.items]
    again = await pull_all(asker, known)
    assert {report.kind for report in again.items} == {"unchanged"}


async def test_an_answer_in_pieces_is_the_answer(editor_of, port):
    editor = await editor_of(asking(), [port.folder])
    for number in range(30):
        port.write(f"plan-{number}.harness", "fuse F1\n")
    whole = await pull_all(editor)
    editor.progress_reports["pieces"] = []
    last = await pull_all(editor, partial_result_token="pieces")
    pieces = [report for piece in editor.progress_reports["pieces"] for report in piece.items]
    by_name = lambda reports: sorted((report.uri, report.result_id) for report in reports)  # noqa: E731
    assert by_name([*pieces, *last.items]) == by_name(whole.items)
    assert len(pieces) + len(last.items) == 30


async def test_long_work_is_shown(editor_of, port):
    editor = await editor_of(asking(), [port.folder])
    for number in range(60):
        port.write(f"tug-{number}.harness", plans.TIRED + f"# {number}\r\n")
    editor.progress_reports["shown"] = []
    await pull_all(editor, work_done_token="shown")
    kinds = [value.kind for value in editor.progress_reports["shown"]]
    assert (kinds[0], kinds[-1], set(kinds[1:-1])) == ("begin", "end", {"report"})


async def test_the_user_stops_long_work(editor_of, port):
    harbour = (TOP / "docs" / "examples" / "lock-harbour.harness").read_text()
    port.write("lock-stock.harness", (TOP / "docs" / "examples" / "lock-stock.harness").read_text())
    for number in range(200):
        port.write(f"harbour-{number}.harness", harbour + f"# {number}\n")
    editor = await editor_of(asking(), [port.folder])
    editor.progress_reports["stopped"] = []
    editor.unwanted.add("stopped")
    with pytest.raises(JsonRpcException) as stopped:
        await pull_all(editor, work_done_token="stopped")
    assert stopped.value.code == t.LSPErrorCodes.RequestCancelled.value
    # The server goes on.
    editor.open(port.tug, plans.TUG)
    assert not (await pull(editor, port.tug)).items

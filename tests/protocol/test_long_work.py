"""Work on many plans: how far it is, by a token of the client's and by one of the server's own; and stopping it, by the request
and by the token. What holds of all that is told (one beginning, one end, nothing behind the answer, one answer) is looked for in
`editor.py` and `laws.py`."""

import asyncio

import pytest
import pytest_asyncio
from lsprotocol import types as t
from pygls.exceptions import JsonRpcException

import plans
from clients import asking
from editor import PATIENCE

# So many that whoever is told of the beginning can still stop it.
MANY = 150
BASINS = 4


def basin(number: int) -> str:
    """A plan of our own invention: a lock with basins, each its own row of lights; one slip of the pen in every third."""
    lines = ['use "stock.harness"', f'harness "Lock {number}"', "supply adapter 12 V 1 A", "fuse F1 1 A from adapter"]
    for k in range(BASINS):
        lines += [
            f"joint sluice-{k} from F1 over {100 + number} mm of hook",
            f"lamp red-{k} of ruby resistor 560 ohm from sluice-{k} over {40 + k} mm of fine",
            f"lamp white-{k} of pearl resistor 560 ohm from sluice-{k} over {60 + k} mm of fine",
            f"strip quay-{k} of warm 3 lamps from sluice-{k} over {30 + k} mm of fine",
        ]
    lines += [f"lamp gate of amber-{number} resistor 560 ohm from F1 over 50 mm of fine"] * (number % 3 == 0)
    lines += [f"scene lock-{number} off quay-0", ""]
    return "\n".join(lines)


@pytest.fixture
def locks(port):
    for number in range(MANY):
        port.write(f"lock-{number}.harness", basin(number))
    return port


@pytest_asyncio.fixture
async def keeper(editor_of, locks):
    """An editor that asks for its findings, with the stock and the tug open, in a folder of many plans."""
    editor = await editor_of(asking(), [locks.folder])
    editor.open(locks.stock, plans.STOCK)
    editor.open(locks.tug, plans.TUG)
    return editor


def findings(editor, port, **more):
    return t.WorkspaceDiagnosticParams(previous_result_ids=[], identifier="glimloom", **more)


def references(editor, port, **more):
    context = t.ReferenceContext(include_declaration=True)
    return t.ReferenceParams(**editor.at(port.stock, "led p|earl"), context=context, **more)


def renaming(editor, port, **more):
    return t.RenameParams(**editor.at(port.stock, "led p|earl"), new_name="opal", **more)


def symbols(editor, port, **more):
    return t.WorkspaceSymbolParams(query="gate", **more)


WORK = {
    t.WORKSPACE_DIAGNOSTIC: findings,
    t.TEXT_DOCUMENT_REFERENCES: references,
    t.TEXT_DOCUMENT_RENAME: renaming,
    t.WORKSPACE_SYMBOL: symbols,
}
work = pytest.mark.parametrize("method", WORK)


def plain(answer):
    """What an answer comes to, whatever the order of the files in it."""
    if isinstance(answer, t.WorkspaceDiagnosticReport):
        return sorted((r.uri, [(f.code, f.range.start.line, f.message) for f in r.items]) for r in answer.items)
    if isinstance(answer, t.WorkspaceEdit):
        changes = answer.document_changes
        return sorted((c.text_document.uri, [(e.range.start.line, e.new_text) for e in c.edits]) for c in changes)
    places = [place if isinstance(place, t.Location) else place.location for place in answer]
    return sorted((place.uri, place.range.start.line, place.range.start.character) for place in places)


def is_whole(method, answer):
    """All plans are in it."""
    files = len({entry[0] for entry in plain(answer)})
    slips = (MANY + 2) // 3
    wanted = {
        t.WORKSPACE_DIAGNOSTIC: slips,
        t.TEXT_DOCUMENT_REFERENCES: MANY + 2,  # the stock and the tug, too
        t.TEXT_DOCUMENT_RENAME: MANY + 2,
        t.WORKSPACE_SYMBOL: slips,
    }
    return files >= wanted[method]


async def outcome(answer):
    """The answer, or the code that it was refused with."""
    try:
        return await asyncio.wait_for(answer, PATIENCE)
    except JsonRpcException as refused:
        return refused.code


CANCELLED = t.LSPErrorCodes.RequestCancelled.value


def kinds(editor, token):
    return [report.kind for report in editor.progress_reports[token]]


async def ended(editor, token):
    await editor.until(lambda: "end" in kinds(editor, token), f"the end of {token}")


@work
@pytest.mark.parametrize("token", ["of mine", 7])
async def test_it_is_shown_by_the_token_of_the_request(keeper, locks, method, token):
    keeper.progress_reports[token] = []
    answer = await keeper.ask(method, WORK[method](keeper, locks, work_done_token=token))
    assert is_whole(method, answer)
    told = keeper.progress_reports[token]
    assert kinds(keeper, token)[0] == "begin" and kinds(keeper, token)[-1] == "end"
    assert len(told) > 10 and all(report.cancellable and report.percentage < 100 for report in told[:-1])
    assert all(f" of {MANY}: lock-" in report.message for report in told[:-1]), told
    # The client has a place for it: no other is asked for.
    assert set(keeper.progress_reports) == {token}


@pytest.mark.parametrize("method", [m for m in WORK if m != t.WORKSPACE_DIAGNOSTIC])
async def test_it_is_shown_by_a_token_of_the_server(keeper, locks, method):
    answer = await keeper.ask(method, WORK[method](keeper, locks))
    assert is_whole(method, answer)
    [token] = keeper.progress_reports
    await ended(keeper, token)
    assert kinds(keeper, token)[0] == "begin" and set(kinds(keeper, token)[1:-1]) <= {"report"}
    # The next work has a token of its own; what is known already takes less time, and may need none.
    await keeper.ask(method, WORK[method](keeper, locks))


@work
async def test_who_shows_no_progress_is_not_asked_to(editor_of, locks, method):
    said = asking()
    del said["window"]["workDoneProgress"]
    editor = await editor_of(said, [locks.folder])
    editor.open(locks.stock, plans.STOCK)
    editor.open(locks.tug, plans.TUG)
    assert is_whole(method, await editor.ask(method, WORK[method](editor, locks)))
    assert not editor.progress_reports


@work
@pytest.mark.parametrize("by", ["request", "token"])
async def test_it_is_stopped_and_asked_for_again(keeper, locks, method, by):
    token = "unwanted"
    keeper.progress_reports[token] = []
    if by == "token":
        keeper.unwanted.add(token)
    name, answer = await keeper.begun(method, WORK[method](keeper, locks, work_done_token=token))
    if by == "request":
        keeper.on_begin[token] = lambda: keeper.cancel_request(t.CancelParams(id=name))
    got = await outcome(answer)
    assert got == CANCELLED or is_whole(method, got)
    assert kinds(keeper, token)[0] == "begin"
    # The end was told before the answer.
    assert kinds(keeper, token)[-1] == "end"
    # It goes on as if nothing had been.
    again = await keeper.ask(method, WORK[method](keeper, locks))
    assert is_whole(method, again)
    assert keeper.answers[name] == 1


@pytest.mark.parametrize("method", [m for m in WORK if m != t.WORKSPACE_DIAGNOSTIC])
async def test_work_by_a_token_of_the_server_is_stopped(keeper, locks, method):
    name, answer = await keeper.begun(method, WORK[method](keeper, locks))
    await keeper.until(lambda: any(keeper.progress_reports.values()) or keeper.answers[name], "a beginning")
    [token] = keeper.progress_reports
    keeper.window_work_done_progress_cancel(t.WorkDoneProgressCancelParams(token=token))
    got = await outcome(answer)
    assert got == CANCELLED or is_whole(method, got)
    await ended(keeper, token)
    again = await keeper.ask(method, WORK[method](keeper, locks))
    assert is_whole(method, again) and keeper.answers[name] == 1


@work
async def test_what_is_stopped_changes_nothing(keeper, editor_of, locks, method):
    """A text is edited while work is under way that is then stopped: its findings are those of the text as it is, and all that is
    asked afterwards is answered as by a server that never heard of it."""
    token = "in between"
    keeper.progress_reports[token] = []

    def edit_and_stop():
        keeper.replace(locks.tug, "12 V 1 A", "12 V 1,5 A")
        keeper.cancel_request(t.CancelParams(id=name))

    name, answer = await keeper.begun(method, WORK[method](keeper, locks, work_done_token=token))
    keeper.on_begin[token] = edit_and_stop
    await outcome(answer)
    assert not keeper.on_begin, "it never began"
    report = await keeper.ask(t.TEXT_DOCUMENT_DIAGNOSTIC, t.DocumentDiagnosticParams(keeper.document(locks.tug)))
    assert "wrong-unit" in [finding.code for finding in report.items]
    fresh = await editor_of(asking(), [locks.folder])
    for uri in (locks.stock, locks.tug):
        fresh.open(uri, keeper.texts[uri].text)
    for other, params in WORK.items():
        assert plain(await keeper.ask(other, params(keeper, locks))) == plain(await fresh.ask(other, params(fresh, locks))), other


async def test_findings_in_pieces_stop_with_their_request(keeper, locks):
    keeper.progress_reports.update({"work": [], "pieces": []})
    name, answer = await keeper.begun(t.WORKSPACE_DIAGNOSTIC, findings(keeper, locks, work_done_token="work", partial_result_token="pieces"))
    keeper.on_begin["work"] = lambda: keeper.cancel_request(t.CancelParams(id=name))
    assert await outcome(answer) == CANCELLED
    pieces = len(keeper.progress_reports["pieces"])
    whole = await keeper.ask(t.WORKSPACE_DIAGNOSTIC, findings(keeper, locks))
    assert is_whole(t.WORKSPACE_DIAGNOSTIC, whole)
    assert len(keeper.progress_reports["pieces"]) == pieces


async def test_several_at_once_are_stopped_one_by_one(keeper, locks):
    names, answers = {}, {}
    for method, params in WORK.items():
        keeper.progress_reports[method] = []
        names[method], answers[method] = await keeper.begun(method, params(keeper, locks, work_done_token=method))
    # One by its id, one by its token; the others are wanted.
    keeper.cancel_request(t.CancelParams(id=names[t.TEXT_DOCUMENT_REFERENCES]))
    keeper.window_work_done_progress_cancel(t.WorkDoneProgressCancelParams(token=t.TEXT_DOCUMENT_RENAME))
    got = {method: await outcome(answer) for method, answer in answers.items()}
    for method in (t.TEXT_DOCUMENT_REFERENCES, t.TEXT_DOCUMENT_RENAME):
        assert got[method] == CANCELLED or is_whole(method, got[method]), method
    for method in (t.WORKSPACE_DIAGNOSTIC, t.WORKSPACE_SYMBOL):
        assert is_whole(method, got[method]), method
    for method in WORK:
        assert kinds(keeper, method) == [] or kinds(keeper, method)[-1] == "end"
        assert keeper.answers[names[method]] == 1


async def test_stopping_what_is_not_there_is_passed_over(keeper, locks):
    keeper.cancel_request(t.CancelParams(id="never asked"))
    keeper.cancel_request(t.CancelParams(id=12345))
    keeper.window_work_done_progress_cancel(t.WorkDoneProgressCancelParams(token="never given"))
    name, answer = await keeper.begun(t.WORKSPACE_SYMBOL, symbols(keeper, locks))
    assert is_whole(t.WORKSPACE_SYMBOL, await outcome(answer))
    # It has been answered.
    keeper.cancel_request(t.CancelParams(id=name))
    for token in list(keeper.progress_reports):
        keeper.window_work_done_progress_cancel(t.WorkDoneProgressCancelParams(token=token))
    assert is_whole(t.WORKSPACE_SYMBOL, await keeper.ask(t.WORKSPACE_SYMBOL, symbols(keeper, locks)))
    assert keeper.answers[name] == 1

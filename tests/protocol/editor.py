"""The client: pytest-lsp's, which reads every message by the types of the protocol's model, made to pass over nothing."""

from __future__ import annotations

import asyncio
import copy
import itertools
import json
import os
from collections import Counter
from pathlib import Path
from typing import Union

from lsprotocol import types as t
from pygls import uris
from pygls.exceptions import JsonRpcException
from pygls.protocol import default_converter
from pytest_lsp.client import DEFAULT_CLIENT_FEATURES, LanguageClient, register_lsp_features
from pytest_lsp.protocol import LanguageClientProtocol

import laws
from texts import Text

TOP = Path(__file__).resolve().parents[2]
# No answer takes this long on the slowest machine; only a failing test ever waits for it.
PATIENCE = float(os.environ.get("PATIENCE", "60"))
# How the names of the questions begin that are not of the protocol, and the ids of those that are asked.
OURS = "glimloom/"

# How often each method was answered with something: what `test_every_feature.py` asks for at the end.
ANSWERED: Counter[str] = Counter()
# The kinds of code actions that were offered, and the commands that were run.
KINDS: set[str] = set()
COMMANDS: set[str] = set()


def without_nulls(value):
    """JSON with what is null taken for absent, as the protocol has it."""
    if isinstance(value, dict):
        return {key: without_nulls(held) for key, held in value.items() if held is not None}
    if isinstance(value, list):
        return [without_nulls(held) for held in value]
    return value


def converter():
    """The library's, which takes every code action that has a command for a bare command; the protocol's model tells them
    apart by what `command` is, a text or an object."""
    made = default_converter()

    def action(value, _):
        return made.structure(value, t.Command if isinstance(value.get("command"), str) else t.CodeAction)

    made.register_structure_hook(Union[t.Command, t.CodeAction], action)
    return made


class Protocol(LanguageClientProtocol):
    """Each message is read by its type of the model and written again. What is lost on the way is not of the protocol."""

    def structure_message(self, data):
        if "jsonrpc" not in data:
            return data
        raw = copy.deepcopy(data)
        editor = self._server
        typed = "method" not in raw or self.get_message_type(raw["method"]) is not None
        # What answers a question of our own is of no type that the protocol knows.
        is_ours = "method" not in raw and str(raw.get("id")).startswith(OURS)
        if not typed:
            editor.faults.append(f"no method of the protocol: {raw}")
        if "method" not in raw and ("result" in raw) == ("error" in raw):
            editor.faults.append(f"an answer needs a result or an error: {raw}")
        try:
            message = super().structure_message(data)
        except Exception as why:
            editor.faults.append(f"not of the protocol ({why.__cause__ or why}): {raw}")
            raise
        again = json.loads(json.dumps(self._converter.unstructure(message)))
        if typed and not is_ours and without_nulls(again) != without_nulls(raw):
            editor.faults.append(f"the protocol does not know all of\n  {raw}, but only of\n  {again}")
        if "method" in raw:
            ANSWERED[raw["method"]] += 1
        else:
            editor.answered(raw.get("id"))
        return message


class Editor(LanguageClient):
    """An editor with some open texts. It believes what the specification says, and notes as a fault whatever does not hold."""

    def __init__(self):
        super().__init__(protocol_cls=Protocol, converter_factory=converter)
        register_lsp_features(self, {**DEFAULT_CLIENT_FEATURES, **ANSWERS})
        self.faults: list[str] = []
        self._count = itertools.count()
        # How often each of the requests that were made by name was answered, and what is shown of it.
        self.answers: Counter[str] = Counter()
        self._tokens: dict[str, object] = {}
        self._spent: set[object] = set()
        self.encoding = "utf-16"
        self.legend: t.SemanticTokensLegend | None = None
        self.offered: t.ServerCapabilities | None = None
        self.registrations: dict[str, object] = {}
        self.texts: dict[str, Text] = {}
        self.versions: dict[str, int] = {}
        self.last_versions: Counter[str] = Counter()
        # What was published last, with its version.
        self.findings_of: dict[str, t.PublishDiagnosticsParams] = {}
        self.refreshes: Counter[str] = Counter()
        # Work that the user stops as soon as it is shown, and what else is to be done then.
        self.unwanted: set[str] = set()
        self.on_begin: dict[object, object] = {}
        self._news = asyncio.Condition()

    # -- the session -------------------------------------------------------------------------------------------------

    async def begin(self, capabilities: t.ClientCapabilities, folders: list[Path] = (), options: object = None):
        """Starts the server and shakes hands."""
        program = os.environ.get("GLIMLOOM") or TOP / "target" / "release" / "glimloom"
        await self.start_io(str(program), "serve")
        named = [t.WorkspaceFolder(uri=folder.as_uri(), name=folder.name) for folder in folders]
        params = t.InitializeParams(
            capabilities=capabilities,
            workspace_folders=named or None,
            root_uri=folders[0].as_uri() if folders else None,
            initialization_options=options,
        )
        answer = await asyncio.wait_for(self.initialize_session(params), PATIENCE)
        self.offered = answer.capabilities
        self.encoding = str(getattr(self.offered.position_encoding, "value", self.offered.position_encoding or "utf-16"))
        asked_for = capabilities.general and capabilities.general.position_encodings
        assert self.encoding in [getattr(e, "value", e) for e in asked_for or ["utf-16"]]
        tokens = self.offered.semantic_tokens_provider
        self.legend = tokens.legend if tokens else None
        return answer

    async def end(self):
        """The end as the protocol wants it, and nothing that was wrong on the way."""
        process = self._server
        if self.error is None:
            await asyncio.wait_for(self.shutdown_session(), PATIENCE)
            await asyncio.wait_for(process.wait(), PATIENCE)
        elif process.returncode is None:
            process.kill()
        await self.stop()
        assert not self.faults, "\n".join(self.faults)
        assert self.error is None, self.error
        assert process.returncode == 0

    # -- texts -------------------------------------------------------------------------------------------------------

    def open(self, uri: str, text: str):
        """Opens a text, under a version that this file never had."""
        self.texts[uri] = Text(text, self.encoding)
        version = self.versions[uri] = self.last_versions[uri] = self.last_versions[uri] + 1
        item = t.TextDocumentItem(uri=uri, language_id="harness", version=version, text=text)
        self.text_document_did_open(t.DidOpenTextDocumentParams(text_document=item))

    def edit(self, uri: str, edits: list[t.TextEdit]):
        """Makes edits that are all meant for the text as it stands, sent one behind the other from the last to the first."""
        text = self.texts[uri]
        edited = text.edited(edits)
        order = sorted(range(len(edits)), key=lambda n: (*text.span(edits[n].range), n), reverse=True)
        changes = [t.TextDocumentContentChangePartial(range=edits[n].range, text=edits[n].new_text) for n in order]
        self._changed(uri, edited, changes)

    def replace(self, uri: str, words: str, by: str):
        """Replaces a piece of the text that stands there once."""
        self.edit(uri, [t.TextEdit(range=self.texts[uri].range(words), new_text=by)])

    def rewrite(self, uri: str, text: str):
        """Replaces the whole text."""
        self._changed(uri, text, [t.TextDocumentContentChangeWholeDocument(text=text)])

    def _changed(self, uri, text, changes):
        self.texts[uri] = Text(text, self.encoding)
        self.versions[uri] = self.last_versions[uri] = self.last_versions[uri] + 1
        document = t.VersionedTextDocumentIdentifier(uri=uri, version=self.versions[uri])
        self.text_document_did_change(t.DidChangeTextDocumentParams(text_document=document, content_changes=changes))

    def close(self, uri: str):
        del self.texts[uri], self.versions[uri]
        self.text_document_did_close(t.DidCloseTextDocumentParams(text_document=t.TextDocumentIdentifier(uri=uri)))

    def apply(self, edit: t.WorkspaceEdit) -> list[str]:
        """Makes the edits of the server in the open texts; the files that were changed."""
        assert not (edit.changes and edit.document_changes), "one or the other"
        touched = []
        for uri, edits in (edit.changes or {}).items():
            self.edit(uri, edits)
            touched.append(uri)
        for change in edit.document_changes or []:
            if isinstance(change, t.CreateFile):
                assert change.uri not in self.texts
                self.open(change.uri, "")
                touched.append(change.uri)
                continue
            assert isinstance(change, t.TextDocumentEdit), change
            uri, version = change.text_document.uri, change.text_document.version
            assert version is None or version == self.versions[uri], f"{uri} is at {self.versions[uri]}, the edit for {version}"
            self.edit(uri, change.edits)
            touched.append(uri)
        return touched

    # -- questions ---------------------------------------------------------------------------------------------------

    async def ask(self, method: str, params):
        """A request; its answer, after the laws that the specification puts on it."""
        _, answer = await self.begun(method, params)
        answer = await asyncio.wait_for(answer, PATIENCE)
        if isinstance(answer, tuple):
            answer = list(answer)
        if answer not in (None, []):
            ANSWERED[method] += 1
        if method == t.TEXT_DOCUMENT_CODE_ACTION:
            KINDS.update(str(getattr(a.kind, "value", a.kind)) for a in answer or [] if getattr(a, "kind", None))
        if method == t.WORKSPACE_EXECUTE_COMMAND:
            COMMANDS.add(params.command)
        try:
            laws.check(self, method, params, answer)
        except AssertionError as why:
            self.faults.append(f"{method} {params}: {why}")
        return answer

    async def begun(self, method: str, params):
        """Sends a request whose answer somebody else waits for; its id, and what becomes of it."""
        name = f"{method} {next(self._count)}"
        for token in (getattr(params, field, None) for field in ("work_done_token", "partial_result_token")):
            if token is not None:
                self._tokens.setdefault(name, []).append(token)
        answer = asyncio.ensure_future(self.protocol.send_request_async(method, params, name))
        await asyncio.sleep(0)
        return name, answer

    def answered(self, name):
        """An answer has come: there is one, and what is told of a work by the token of its request is told before."""
        self.answers[name] += 1
        if self.answers[name] > 1:
            self.faults.append(f"{name} was answered again")
        self._spent.update(self._tokens.pop(name, []))

    async def refused(self, method: str, params) -> JsonRpcException:
        """A request that must be refused; the error."""
        try:
            answer = await self.ask(method, params)
        except JsonRpcException as error:
            return error
        raise AssertionError(f"{method} was answered: {answer}")

    def text_of(self, uri: str) -> Text | None:
        """The text of a file, as it is open, else as it is on the disk."""
        if uri in self.texts:
            return self.texts[uri]
        path = Path(uris.to_fs_path(uri) or "")
        return Text(path.read_bytes().decode(), self.encoding) if path.is_file() else None

    def document(self, uri: str) -> t.TextDocumentIdentifier:
        return t.TextDocumentIdentifier(uri=uri)

    def at(self, uri: str, marked: str) -> dict:
        """The place of the `|` in a piece of an open text."""
        text = self.texts[uri]
        return {"text_document": self.document(uri), "position": text.place(text.find(marked))}

    def said(self, location: t.Location) -> str:
        """The words at a place in an open text."""
        return self.texts[location.uri].said(location.range)

    # -- what is told ------------------------------------------------------------------------------------------------

    async def findings(self, uri: str) -> list[t.Diagnostic]:
        """The findings of an open text, as it stands."""
        version = self.versions[uri]
        newest = lambda: uri in self.findings_of and self.findings_of[uri].version == version  # noqa: E731
        await self.until(newest, f"findings of {uri}, {version}")
        return list(self.findings_of[uri].diagnostics)

    async def settled(self):
        """All that was to be told of the texts as they are has been told: a plan of no other concern has come and gone."""
        uri = "untitled:passing-by"
        told = lambda wanted: uri in self.findings_of and bool(self.findings_of[uri].diagnostics) == wanted  # noqa: E731
        self.open(uri, "@@\n")
        await self.until(lambda: told(True), "a finding in a plan that passes by")
        self.close(uri)
        await self.until(lambda: told(False), "its end")

    async def checks(self, uri: str) -> list[str]:
        """The names of the checks of the findings, in their order."""
        return [finding.code for finding in await self.findings(uri)]

    async def until(self, there, what: str):
        """Waits until something that the server tells makes `there` true. Of what the library keeps by itself, as documents that are to be
        shown, there is no news: it is looked for again and again."""
        late = asyncio.get_running_loop().time() + PATIENCE
        while not there():
            if asyncio.get_running_loop().time() > late:
                raise AssertionError(f"{what} did not come; told: {self.findings_of}; logged: {self.log_messages}")
            async with self._news:
                try:
                    await asyncio.wait_for(self._news.wait(), 0.05)
                except asyncio.TimeoutError:
                    pass

    async def told(self):
        async with self._news:
            self._news.notify_all()


# -- what the server tells and asks -----------------------------------------------------------------------------------


async def published(editor: Editor, params: t.PublishDiagnosticsParams):
    editor.findings_of[params.uri] = params
    try:
        laws.published(editor, params)
    except AssertionError as why:
        editor.faults.append(f"published {params}: {why}")
    await editor.told()


async def registered(editor: Editor, params: t.RegistrationParams):
    for registration in params.registrations:
        assert registration.method not in editor.registrations
        editor.registrations[registration.method] = registration.register_options
    await editor.told()


async def apply_edit(editor: Editor, params: t.ApplyWorkspaceEditParams):
    editor.apply(params.edit)
    return t.ApplyWorkspaceEditResult(applied=True)


WORK = {"begin": t.WorkDoneProgressBegin, "report": t.WorkDoneProgressReport, "end": t.WorkDoneProgressEnd}


def progress(editor: Editor, params: t.ProgressParams):
    """How far work is, or a piece of an answer: of those we ask for the reports on all plans alone."""
    value = params.value
    kind = WORK.get(value.get("kind"), t.WorkspaceDiagnosticReportPartialResult)
    typed = editor.protocol._converter.structure(copy.deepcopy(value), kind)
    again = editor.protocol._converter.unstructure(typed)
    if without_nulls(again) != without_nulls(value):
        editor.faults.append(f"the protocol does not know all of {value}")
    if params.token not in editor.progress_reports:
        editor.faults.append(f"progress of what nobody asked for: {params}")
    if params.token in editor._spent:
        editor.faults.append(f"its request has been answered: {params}")
    reports = editor.progress_reports.setdefault(params.token, [])
    if kind in WORK.values():
        try:
            laws.work(reports, typed)
        except AssertionError as why:
            editor.faults.append(f"{params} behind {reports[-1:]}: {why}")
    reports.append(typed)
    if isinstance(typed, t.WorkDoneProgressBegin):
        if params.token in editor.unwanted:
            editor.window_work_done_progress_cancel(t.WorkDoneProgressCancelParams(token=params.token))
        editor.on_begin.pop(params.token, lambda: None)()
    asyncio.ensure_future(editor.told())


async def message(editor: Editor, params: t.ShowMessageParams):
    editor.messages.append(params)
    await editor.told()


async def log(editor: Editor, params: t.LogMessageParams):
    editor.log_messages.append(params)
    await editor.told()


def refreshed(method: str):
    async def count(editor: Editor, _: None):
        editor.refreshes[method] += 1
        await editor.told()

    return count


REFRESHES = (
    t.WORKSPACE_DIAGNOSTIC_REFRESH,
    t.WORKSPACE_INLAY_HINT_REFRESH,
    t.WORKSPACE_CODE_LENS_REFRESH,
    t.WORKSPACE_SEMANTIC_TOKENS_REFRESH,
)
ANSWERS = {
    t.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS: published,
    t.CLIENT_REGISTER_CAPABILITY: registered,
    t.PROGRESS: progress,
    t.WINDOW_SHOW_MESSAGE: message,
    t.WINDOW_LOG_MESSAGE: log,
    t.WORKSPACE_APPLY_EDIT: apply_edit,
    **{method: refreshed(method) for method in REFRESHES},
}

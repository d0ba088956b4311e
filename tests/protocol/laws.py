"""What the specification demands of an answer beyond its shape, checked on every answer of every test.

Sources: the Language Server Protocol, version 3.17, the section of each method.
"""

from __future__ import annotations

import attrs
from lsprotocol import types as t

from texts import Text


def check(editor, method: str, params, answer):
    """Fails if an answer breaks a law."""
    if answer is None:
        return
    uri = params.text_document.uri if hasattr(params, "text_document") else None
    if uri is None and isinstance(getattr(params, "data", None), dict):
        uri = params.data.get("uri")
    for home, stretch in ranges(answer, uri, params):
        if home is None and type(params) is type(answer):
            continue  # An entry that was resolved need not say which document it is of.
        text = text_before(editor, home, answer)
        assert text is not None, f"{home} is no file"
        text.span(stretch)
    law = LAWS.get(method)
    if law:
        law(editor, params, answer)


def text_before(editor, uri: str, answer) -> Text | None:
    """The text that edits of a file are for: nothing, in one that the same answer makes."""
    edit = getattr(answer, "edit", None) or answer
    made = [change.uri for change in getattr(edit, "document_changes", None) or [] if isinstance(change, t.CreateFile)]
    if uri in made:
        assert editor.text_of(uri) is None, f"{uri} is there already"
        return Text("", editor.encoding)
    return editor.text_of(uri)


def published(editor, params: t.PublishDiagnosticsParams):
    """Findings stand in the text of the version that they name, and point to places that are there."""
    open_now = editor.versions.get(params.uri)
    if open_now is not None and params.version == open_now:
        findings(editor, params.uri, params.diagnostics)


def work(before, value):
    """What is told of a work: one beginning, one end, and a percentage that never falls between them."""
    if isinstance(value, t.WorkDoneProgressBegin):
        assert not before, "it has begun already"
        assert value.title.strip()
    else:
        assert before, "it has not begun"
        assert not isinstance(before[-1], t.WorkDoneProgressEnd), "it has ended"
    percent = getattr(value, "percentage", None)
    if percent is not None:
        told = [p for p in (getattr(v, "percentage", None) for v in before) if p is not None]
        assert 0 <= percent <= 100 and all(p <= percent for p in told)
        # LSP 3.17: who does not begin with one must not have one later.
        assert not before or before[0].percentage is not None


def findings(editor, uri: str, diagnostics):
    for finding in diagnostics:
        editor.text_of(uri).span(finding.range)
        assert finding.message and finding.severity and finding.source == "glimloom" and finding.code
        for related in finding.related_information or []:
            editor.text_of(related.location.uri).span(related.location.range)
            assert related.message


def ranges(value, uri, params):
    """Every range in an answer, with the file that it is of."""
    if isinstance(value, t.Range):
        yield uri, value
    elif isinstance(value, (list, tuple)):
        for held in value:
            yield from ranges(held, uri, params)
    elif isinstance(value, dict):
        for key, held in value.items():
            home = key if isinstance(key, str) and ":" in key else uri
            yield from ranges(held, home, params)
    elif isinstance(value, t.CallHierarchyIncomingCall):
        yield from ranges([value.from_, list(value.from_ranges)], value.from_.uri, params)
    elif isinstance(value, t.CallHierarchyOutgoingCall):
        yield from ranges(value.to, value.to.uri, params)
        yield from ranges(list(value.from_ranges), params.item.uri, params)
    elif isinstance(value, t.LocationLink):
        yield uri, value.origin_selection_range
        yield value.target_uri, value.target_range
        yield value.target_uri, value.target_selection_range
    elif attrs.has(type(value)):
        own = getattr(value, "uri", None) or getattr(getattr(value, "text_document", None), "uri", None) or uri
        for field in attrs.fields(type(value)):
            if field.name not in ("data", "diagnostics"):
                yield from ranges(getattr(value, field.name), own, params)


def within(inner: t.Range, outer: t.Range) -> bool:
    return outer.start <= inner.start and inner.end <= outer.end


def outline(editor, params, answer):
    for symbol in answer:
        if isinstance(symbol, t.DocumentSymbol):
            assert symbol.name.strip()
            assert within(symbol.selection_range, symbol.range), symbol
            outline(editor, params, symbol.children or [])


def completion(editor, params, answer):
    items = answer.items if isinstance(answer, t.CompletionList) else answer
    labels = [item.label for item in items]
    assert all(labels)
    for item in items:
        edit = item.text_edit
        if edit is None:
            continue
        stretches = [edit.range] if isinstance(edit, t.TextEdit) else [edit.insert, edit.replace]
        for stretch in stretches:
            assert stretch.start.line == stretch.end.line == params.position.line, item
            assert stretch.start <= params.position <= stretch.end, item
        if len(stretches) == 2:
            assert stretches[0].start == stretches[1].start and stretches[0].end <= stretches[1].end, item


def forms(editor, params, answer):
    for form in answer.signatures:
        for place in form.parameters or []:
            if isinstance(place.label, str):
                assert place.label in form.label
            else:
                start, end = place.label
                assert 0 <= start <= end <= len(form.label.encode("utf-16-le")) // 2


def folds(editor, params, answer):
    last = len(editor.texts[params.text_document.uri].starts)
    assert all(fold.start_line < fold.end_line < last for fold in answer), answer


def selections(editor, params, answer):
    assert len(answer) == len(params.positions)
    for place, grown in zip(params.positions, answer):
        assert grown.range.start <= place <= grown.range.end
        while grown.parent is not None:
            assert within(grown.range, grown.parent.range) and grown.range != grown.parent.range
            grown = grown.parent


def linked(editor, params, answer):
    text = editor.texts[params.text_document.uri]
    assert len({text.said(stretch) for stretch in answer.ranges}) == 1
    assert any(s.start <= params.position <= s.end for s in answer.ranges)


def highlights(editor, params, answer):
    assert any(h.range.start <= params.position <= h.range.end for h in answer) or not answer


def prepared(editor, params, answer):
    if isinstance(answer, t.Range):
        assert answer.start <= params.position <= answer.end


def layout(editor, params, answer):
    editor.texts[params.text_document.uri].edited(answer)


def files(editor, params, answer):
    """Edits of several files fit the texts that they are for."""
    for uri, edits in (answer.changes or {}).items():
        editor.text_of(uri).edited(edits)
    for change in answer.document_changes or []:
        if isinstance(change, t.TextDocumentEdit):
            uri, version = change.text_document.uri, change.text_document.version
            assert version == editor.versions.get(uri), f"{uri}: version {version}"
            text_before(editor, uri, answer).edited(change.edits)


def actions(editor, params, answer):
    wanted = params.context.only
    for action in answer:
        assert action.title
        if isinstance(action, t.Command):
            assert editor.offered.code_action_provider is True, "a command, where the client takes actions"
            assert action.command in editor.offered.execute_command_provider.commands
            continue
        kind = str(getattr(action.kind, "value", action.kind))
        asked = [str(getattr(w, "value", w)) for w in wanted or [""]]
        assert any(kind == w or kind.startswith(w + ".") or not w for w in asked), f"{kind}, asked for {asked}"
        resolves = editor.offered.code_action_provider.resolve_provider
        assert action.edit or action.command or action.disabled or (resolves and action.data), action
        if action.edit:
            files(editor, params, action.edit)


def action(editor, params, answer):
    if answer.edit:
        files(editor, params, answer.edit)


def hierarchy(editor, params, answer):
    for item in answer:
        assert within(item.selection_range, item.range)


def calls(editor, params, answer):
    for call in answer:
        item = getattr(call, "from_", None) or call.to
        assert within(item.selection_range, item.range) and call.from_ranges


def tokens_of(editor, uri: str, data) -> list[tuple[t.Range, str, list[str]]]:
    """Semantic tokens, decoded: where, which type, which modifiers."""
    assert len(data) % 5 == 0
    line = column = 0
    decoded = []
    for at in range(0, len(data), 5):
        down, right, length, kind, marks = data[at : at + 5]
        assert min(down, right, length - 1, kind, marks) >= 0
        line, column = (line + down, right) if down else (line, column + right)
        stretch = t.Range(t.Position(line, column), t.Position(line, column + length))
        editor.texts[uri].span(stretch)
        if decoded:
            assert decoded[-1][0].end <= stretch.start, f"tokens overlap at {stretch}"
        names = editor.legend.token_modifiers
        assert marks < 1 << len(names)
        decoded.append((stretch, editor.legend.token_types[kind], [n for i, n in enumerate(names) if marks >> i & 1]))
    return decoded


def tokens(editor, params, answer):
    if isinstance(answer, t.SemanticTokens):
        tokens_of(editor, params.text_document.uri, answer.data)


def hints(editor, params, answer):
    text = editor.texts[params.text_document.uri]
    for hint in answer:
        text.offset(hint.position)
        assert params.range.start <= hint.position <= params.range.end
        assert hint.label


def lenses(editor, params, answer):
    for lens in answer:
        assert lens.range.start.line == lens.range.end.line
        assert lens.command or (lens.data is not None and editor.offered.code_lens_provider.resolve_provider)


def colours(editor, params, answer):
    for colour in answer:
        c = colour.color
        assert all(0 <= part <= 1 for part in (c.red, c.green, c.blue, c.alpha))


def presentations(editor, params, answer):
    assert all(p.label for p in answer)


def report(editor, params, answer):
    if isinstance(answer, t.RelatedFullDocumentDiagnosticReport):
        findings(editor, params.text_document.uri, answer.items)
    for uri, related in (answer.related_documents or {}).items():
        if isinstance(related, t.FullDocumentDiagnosticReport):
            findings(editor, uri, related.items)


def reports(editor, params, answer):
    for item in answer.items:
        if isinstance(item, t.WorkspaceFullDocumentDiagnosticReport):
            findings(editor, item.uri, item.items)
            assert item.version == editor.versions.get(item.uri)


LAWS = {
    t.TEXT_DOCUMENT_DOCUMENT_SYMBOL: outline,
    t.TEXT_DOCUMENT_COMPLETION: completion,
    t.TEXT_DOCUMENT_SIGNATURE_HELP: forms,
    t.TEXT_DOCUMENT_FOLDING_RANGE: folds,
    t.TEXT_DOCUMENT_SELECTION_RANGE: selections,
    t.TEXT_DOCUMENT_LINKED_EDITING_RANGE: linked,
    t.TEXT_DOCUMENT_DOCUMENT_HIGHLIGHT: highlights,
    t.TEXT_DOCUMENT_PREPARE_RENAME: prepared,
    t.TEXT_DOCUMENT_RENAME: files,
    t.WORKSPACE_WILL_RENAME_FILES: files,
    t.TEXT_DOCUMENT_FORMATTING: layout,
    t.TEXT_DOCUMENT_RANGE_FORMATTING: layout,
    t.TEXT_DOCUMENT_RANGES_FORMATTING: layout,
    t.TEXT_DOCUMENT_ON_TYPE_FORMATTING: layout,
    t.TEXT_DOCUMENT_CODE_ACTION: actions,
    t.CODE_ACTION_RESOLVE: action,
    t.TEXT_DOCUMENT_PREPARE_CALL_HIERARCHY: hierarchy,
    t.CALL_HIERARCHY_INCOMING_CALLS: calls,
    t.CALL_HIERARCHY_OUTGOING_CALLS: calls,
    t.TEXT_DOCUMENT_SEMANTIC_TOKENS_FULL: tokens,
    t.TEXT_DOCUMENT_SEMANTIC_TOKENS_FULL_DELTA: tokens,
    t.TEXT_DOCUMENT_SEMANTIC_TOKENS_RANGE: tokens,
    t.TEXT_DOCUMENT_INLAY_HINT: hints,
    t.TEXT_DOCUMENT_CODE_LENS: lenses,
    t.TEXT_DOCUMENT_DOCUMENT_COLOR: colours,
    t.TEXT_DOCUMENT_COLOR_PRESENTATION: presentations,
    t.TEXT_DOCUMENT_DIAGNOSTIC: report,
    t.WORKSPACE_DIAGNOSTIC: reports,
}

"""Where names lead, what they are called, who uses them."""

import pytest
from lsprotocol import types as t

import plans


def names(editor, locations):
    return [(location.uri.rsplit("/", 1)[-1], editor.text_of(location.uri).said(location.range)) for location in locations]


@pytest.mark.parametrize("method", [t.TEXT_DOCUMENT_DEFINITION, t.TEXT_DOCUMENT_DECLARATION])
async def test_definition(tug, port, method):
    uri = port.tug
    there = await tug.ask(method, t.DefinitionParams(**tug.at(uri, "ruby  resistor 560 ohm  from \U00020bb7-d|eck over 90")))
    assert names(tug, there) == [("tug.harness", "\U00020bb7-deck")]
    assert there[0].range.start.line == 5
    there = await tug.ask(method, t.DefinitionParams(**tug.at(uri, "stern  of r|uby")))
    assert names(tug, there) == [("stock.harness", "ruby")]
    there = await tug.ask(method, t.DefinitionParams(**tug.at(uri, 'use "sto|ck')))
    assert [place.uri for place in there] == [port.stock]


async def test_type_definition(tug, port):
    ask = lambda marked: tug.ask(t.TEXT_DOCUMENT_TYPE_DEFINITION, t.TypeDefinitionParams(**tug.at(port.tug, marked)))  # noqa: E731
    assert names(tug, await ask("strip  sal|oon")) == [("stock.harness", "warm")]
    assert names(tug, await ask("  \U00020bb7-|1\r")) == [("stock.harness", "pearl")]
    assert names(tug, await ask("board  bl|ink")) == [("stock.harness", "blinker")]


@pytest.mark.parametrize("own", [True, False])
async def test_references(tug, port, own):
    tug.open(port.stock, plans.STOCK)
    context = t.ReferenceContext(include_declaration=own)
    params = t.ReferenceParams(**tug.at(port.stock, "led p|earl"), context=context)
    uses = names(tug, await tug.ask(t.TEXT_DOCUMENT_REFERENCES, params))
    assert sorted(uses) == [("stock.harness", "pearl")] * own + [("tug.harness", "pearl")] * 2


async def test_highlights(tug, port):
    params = t.DocumentHighlightParams(**tug.at(port.tug, "joint  \U00020bb7-|deck"))
    marked = await tug.ask(t.TEXT_DOCUMENT_DOCUMENT_HIGHLIGHT, params)
    text = tug.texts[port.tug]
    assert [text.said(m.range) for m in marked] == ["\U00020bb7-deck"] * 3
    write, read = t.DocumentHighlightKind.Write, t.DocumentHighlightKind.Read
    assert [m.kind for m in marked] == [write, read, read]


async def test_hover(tug, port):
    params = t.HoverParams(**tug.at(port.tug, "lamp   \U00020bb7|-1"))
    said = await tug.ask(t.TEXT_DOCUMENT_HOVER, params)
    assert said.contents.kind == t.MarkupKind.Markdown
    # (12 V - 3.0 V) / 560 ohm is 16 mA: Ohm's law; the wire takes a little.
    assert "mA" in said.contents.value and "\U00020bb7-1" in said.contents.value
    assert tug.texts[port.tug].said(said.range) == "\U00020bb7-1"


async def test_rename_in_all_open_plans(tug, port):
    tug.open(port.stock, plans.STOCK)
    at = tug.at(port.tug, "top    of r|uby")
    prepared = await tug.ask(t.TEXT_DOCUMENT_PREPARE_RENAME, t.PrepareRenameParams(**at))
    assert tug.texts[port.tug].said(getattr(prepared, "range", prepared)) == "ruby"
    edit = await tug.ask(t.TEXT_DOCUMENT_RENAME, t.RenameParams(**at, new_name="\U00020bb7-red"))
    assert sorted(tug.apply(edit)) == [port.stock, port.tug]
    assert tug.texts[port.stock].text.count("\U00020bb7-red") == 1
    assert tug.texts[port.tug].text.count("\U00020bb7-red") == 2
    assert "ruby" not in tug.texts[port.tug].text
    assert await tug.findings(port.tug) == []
    error = await tug.refused(t.TEXT_DOCUMENT_RENAME, t.RenameParams(**tug.at(port.tug, "joint  k|eel"), new_name="stern"))
    assert (error.code, "stern" in error.message) == (t.LSPErrorCodes.RequestFailed.value, True)
    nothing = await tug.ask(t.TEXT_DOCUMENT_PREPARE_RENAME, t.PrepareRenameParams(**tug.at(port.tug, "sup|ply")))
    assert nothing is None


async def test_linked_editing(tug, port):
    params = t.LinkedEditingRangeParams(**tug.at(port.tug, "joint  \U00020bb7-|deck"))
    linked = await tug.ask(t.TEXT_DOCUMENT_LINKED_EDITING_RANGE, params)
    text = tug.texts[port.tug]
    assert [text.said(stretch) for stretch in linked.ranges] == ["\U00020bb7-deck"] * 3
    tug.edit(port.tug, [t.TextEdit(stretch, "\U00020bb7-top") for stretch in linked.ranges])
    assert await tug.findings(port.tug) == []


async def test_outline(tug, port):
    outline = await tug.ask(t.TEXT_DOCUMENT_DOCUMENT_SYMBOL, t.DocumentSymbolParams(tug.document(port.tug)))
    text = tug.texts[port.tug]

    def flat(symbols):
        for symbol in symbols:
            yield symbol
            yield from flat(symbol.children or [])

    named = {symbol.name: symbol for symbol in flat(outline)}
    for name in ("adapter", "F1", "keel", "\U00020bb7-deck", "\U00020bb7-1", "saloon", "blink", "dusk"):
        assert text.said(named[name].selection_range) == name
    assert text.said(named["\U00020bb7-deck"].range).startswith("joint  \U00020bb7-deck")

    def tree(symbols):
        return {symbol.name: tree(symbol.children or []) for symbol in symbols}

    # It follows the power, each with what it feeds.
    deck = {"\U00020bb7-1": {}, "stern": {}}
    keel = {"\U00020bb7-deck": deck, "bow": {}, "saloon": {}, "blink": {"top": {}}}
    assert tree(outline)["adapter"] == {"F1": {"keel": keel}}


async def test_symbols_of_all_plans(tug, port):
    found = await tug.ask(t.WORKSPACE_SYMBOL, t.WorkspaceSymbolParams(query="\U00020bb7-d"))
    assert [(symbol.name, bool(symbol.container_name)) for symbol in found] == [("\U00020bb7-deck", True)]
    [(file, words)] = names(tug, [symbol.location for symbol in found])
    assert file == "tug.harness" and words.startswith("joint  \U00020bb7-deck")


async def test_the_way_of_the_power(tug, port):
    at = tug.at(port.tug, "joint  \U00020bb7-|deck")
    [deck] = await tug.ask(t.TEXT_DOCUMENT_PREPARE_CALL_HIERARCHY, t.CallHierarchyPrepareParams(**at))
    fed = await tug.ask(t.CALL_HIERARCHY_OUTGOING_CALLS, t.CallHierarchyOutgoingCallsParams(deck))
    assert [call.to.name for call in fed] == ["\U00020bb7-1", "stern"]
    text = tug.texts[port.tug]
    assert [text.said(stretch) for call in fed for stretch in call.from_ranges] == ["\U00020bb7-deck"] * 2
    way = [deck]
    while True:
        feeders = await tug.ask(t.CALL_HIERARCHY_INCOMING_CALLS, t.CallHierarchyIncomingCallsParams(way[-1]))
        if not feeders:
            break
        way.append(feeders[0].from_)
    assert [item.name for item in way] == ["\U00020bb7-deck", "keel", "F1", "adapter"]


async def test_links_lead_to_used_files(tug, port):
    [link] = await tug.ask(t.TEXT_DOCUMENT_DOCUMENT_LINK, t.DocumentLinkParams(tug.document(port.tug)))
    assert link.target == port.stock
    assert "stock.harness" in tug.texts[port.tug].said(link.range)

"""What helps while a plan is written: lists, forms, layout, folding, selecting."""

from lsprotocol import types as t

import plans

OPTIONS = t.FormattingOptions(tab_size=4, insert_spaces=True)


def typed(editor, uri, words):
    """Types a line of its own at the end of the text; the place behind it."""
    end = editor.texts[uri].everything().end
    editor.edit(uri, [t.TextEdit(t.Range(end, end), words)])
    return {"text_document": editor.document(uri), "position": editor.texts[uri].everything().end}


async def offers(editor, at):
    answer = await editor.ask(t.TEXT_DOCUMENT_COMPLETION, t.CompletionParams(**at))
    return answer.items if isinstance(answer, t.CompletionList) else answer


async def test_names_that_fit(tug, port):
    at = typed(tug, port.tug, "lamp \U0001d11e of pearl resistor 560 ohm from ")
    labels = [item.label for item in await offers(tug, at)]
    assert {"keel", "\U00020bb7-deck", "F1", "blink.a"} <= set(labels)
    assert "dusk" not in labels and "pearl" not in labels


async def test_an_offer_is_explained_and_taken(tug, port):
    at = typed(tug, port.tug, "lamp mast of pearl resistor  from keel over 50 mm of fine")
    # Between the two blanks behind `resistor`.
    at = tug.at(port.tug, "mast of pearl resistor | from")
    items = await offers(tug, at)
    assert len(items) > 2 and all("ohm" in item.label for item in items)
    resolved = await tug.ask(t.COMPLETION_ITEM_RESOLVE, items[0])
    assert resolved.label == items[0].label
    assert "mA" in getattr(resolved.documentation, "value", resolved.documentation)
    edit = resolved.text_edit
    stretch = edit.range if isinstance(edit, t.TextEdit) else edit.insert
    tug.edit(port.tug, [t.TextEdit(stretch, edit.new_text)])
    assert f"resistor {items[0].label} from" in tug.texts[port.tug].text.replace("  ", " ")
    assert await tug.findings(port.tug) == []


async def test_stanzas_at_the_margin(tug, port):
    items = await offers(tug, typed(tug, port.tug, "la"))
    assert [item.label for item in items if item.label.startswith("la")], items
    form = [item for item in items if item.insert_text_format == t.InsertTextFormat.Snippet and "lamp" in item.text_edit.new_text][0]
    assert "${1:" in form.text_edit.new_text


async def test_the_form_at_hand(tug, port):
    at = typed(tug, port.tug, "strip \U00020bb7-2 of ")
    help = await tug.ask(t.TEXT_DOCUMENT_SIGNATURE_HELP, t.SignatureHelpParams(**at))
    form = help.signatures[help.active_signature or 0]
    place = form.parameters[help.active_parameter if help.active_parameter is not None else form.active_parameter]
    label = place.label if isinstance(place.label, str) else form.label[slice(*place.label)]
    assert label == "TAPE"


async def test_layout_of_a_document_and_of_some_lines(tug, port):
    uri = port.tug
    neat = plans.TUG
    document = t.DocumentFormattingParams(tug.document(uri), OPTIONS)
    assert await tug.ask(t.TEXT_DOCUMENT_FORMATTING, document) == []
    crooked = neat.replace("fuse   F1 400 mA                         from", "fuse F1 400 mA from").replace("board  blink  of", "board blink of")
    tug.rewrite(uri, crooked)
    lines = t.DocumentRangeFormattingParams(tug.document(uri), tug.texts[uri].range("fuse F1"), OPTIONS)
    one = tug.texts[uri].edited(await tug.ask(t.TEXT_DOCUMENT_RANGE_FORMATTING, lines))
    assert one == crooked.replace("fuse F1 400 mA from", "fuse   F1 400 mA                         from")
    tug.edit(uri, await tug.ask(t.TEXT_DOCUMENT_FORMATTING, document))
    assert tug.texts[uri].text == neat
    assert await tug.ask(t.TEXT_DOCUMENT_FORMATTING, document) == []


async def test_layout_while_typing(tug, port):
    at = typed(tug, port.tug, "wire thin\r\n")
    params = t.DocumentOnTypeFormattingParams(**at, ch="\n", options=OPTIONS)
    edits = await tug.ask(t.TEXT_DOCUMENT_ON_TYPE_FORMATTING, params)
    assert tug.texts[port.tug].edited(edits).endswith("wire thin\r\n  ")


async def test_folding(tug, port):
    tug.open(port.stock, plans.STOCK)
    folds = await tug.ask(t.TEXT_DOCUMENT_FOLDING_RANGE, t.FoldingRangeParams(tug.document(port.stock)))
    lines = plans.STOCK.split("\n")
    assert [lines[fold.start_line].split()[0] for fold in folds] == ["tape", "module"]
    assert [lines[fold.end_line + 1].split()[0:1] for fold in folds] == [["led"], []]


async def test_selection_grows(tug, port):
    text = tug.texts[port.tug]
    marks = ["from \U00020bb7-deck over 9|0 mm of fine", "\U0001f526 \U00020bb7, the up|per"]
    places = [text.place(text.find(marked)) for marked in marks]
    params = t.SelectionRangeParams(tug.document(port.tug), places)
    first, second = await tug.ask(t.TEXT_DOCUMENT_SELECTION_RANGE, params)
    grown = []
    while first:
        grown.append(text.said(first.range))
        first = first.parent
    assert grown[0] in ("90", "90 mm") and "90 mm" in grown
    assert any(piece.startswith("lamp   stern") and piece.endswith("fine") for piece in grown)
    assert grown[-1] == text.text
    assert "upper" in text.said(second.range)

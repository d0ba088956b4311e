"""What helps while a plan is written: lists, forms, layout, folding, selecting."""

import re

import pytest
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


async def test_resistors_stand_with_the_current_that_they_would_give(tug, port):
    items = await offers(tug, tug.at(port.tug, "stern  of ruby  resistor |560 ohm"))
    # IEC 60063, E24: the values of a decade, from memory.
    e24 = {1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1}
    values = {float(item.label.removesuffix(" ohm")): item.detail for item in items if re.fullmatch(r"\d+ ohm", item.label)}
    assert len(values) >= 6 and {value / 100 for value in values} <= e24
    for value, detail in values.items():
        # Ohm's law: what is left of 12 V behind 2.0 V, or a tenth less where less flows; little is lost in the wire.
        milliamps = float(re.match(r"about ([0-9.]+) mA", detail)[1])
        assert 9_700 / value < milliamps < 10_200 / value
        assert ("over its limit of 25 mA" in detail) == (milliamps > 25), detail


async def test_fuses_are_of_the_series_of_r10(tug, port):
    typed(tug, port.tug, "fuse F2  from adapter")
    items = await offers(tug, tug.at(port.tug, "fuse F2 | from adapter"))
    # ISO 3, R10 as rounded for fuses (IEC 60127-1 lists these ratings), from memory.
    r10 = {1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0}
    ratings = [float(item.label.removesuffix(" mA")) for item in items if item.label.endswith(" mA")]
    assert len(ratings) > 5
    for rating in ratings:
        while rating >= 10:
            rating /= 10
        assert round(rating, 3) in r10
    taken = next(item for item in items if item.label == "400 mA")
    resolved = await tug.ask(t.COMPLETION_ITEM_RESOLVE, taken)
    assert "400 mA" in getattr(resolved.documentation, "value", resolved.documentation)


@pytest.mark.parametrize("words, units", [("wire thin gauge 30 ", {"AWG"}), ("fuse F2 400 ", {"mA", "A", "uA"}), ("lamp mast of ruby resistor 560 ", {"ohm", "kohm"})])
async def test_units_that_fit(tug, port, words, units):
    labels = {item.label for item in await offers(tug, typed(tug, port.tug, words))}
    assert units <= labels
    assert not labels & ({"mA", "V", "AWG", "ohm", "mm"} - units)


async def test_clauses_that_are_missing_still(tug, port):
    first = await offers(tug, typed(tug, port.tug, "lamp mast of ruby "))
    assert first[0].label == "from" and "required" in first[0].detail
    assert "resistor" in [item.label for item in first] and "of" not in [item.label for item in first]
    then = await offers(tug, typed(tug, port.tug, "resistor 560 ohm from keel "))
    labels = [item.label for item in then]
    assert labels[0] == "over" and not {"from", "resistor", "of"} & set(labels)


async def test_names_that_fit_stand_with_what_they_are(tug, port):
    points = {item.label: item for item in await offers(tug, typed(tug, port.tug, "lamp mast of ruby resistor 560 ohm from "))}
    assert points["keel"].detail.startswith("joint, 12 V, passes ")
    assert points["blink.a"].detail and "fine" not in points
    kinds = {item.label: item.detail for item in await offers(tug, typed(tug, port.tug, "keel over 50 mm of "))}
    assert set(kinds) == {"fine", "hook"} and all(detail.startswith("wire, ") for detail in kinds.values())


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


async def test_the_clause_at_hand(tug, port):
    at = typed(tug, port.tug, "lamp \U00020bb7-2 of ruby from keel over 50 mm of ")
    help = await tug.ask(t.TEXT_DOCUMENT_SIGNATURE_HELP, t.SignatureHelpParams(**at))
    form = help.signatures[help.active_signature or 0]
    assert form.label.startswith("over ")
    place = form.parameters[help.active_parameter if help.active_parameter is not None else form.active_parameter]
    label = place.label if isinstance(place.label, str) else form.label[slice(*place.label)]
    assert label == "WIRE"


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

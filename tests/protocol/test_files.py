"""Files that use each other: their paths, when they are renamed and when they are written."""

from lsprotocol import types as t

import plans


async def test_paths_follow_a_file_that_is_renamed(tug, port):
    closed = port.write("hulls/barge.harness", 'use "../stock.harness"\n')
    old, new = port.stock, port.uri("drawer/\U0001f4e6.harness")
    params = t.RenameFilesParams(files=[t.FileRename(old_uri=old, new_uri=new)])
    edit = await tug.ask(t.WORKSPACE_WILL_RENAME_FILES, params)
    changes = {change.text_document.uri: change for change in edit.document_changes}
    assert set(changes) == {port.tug, closed}
    assert tug.text_of(closed).edited(changes[closed].edits) == 'use "../drawer/\U0001f4e6.harness"\n'
    port.write("drawer/\U0001f4e6.harness", plans.STOCK)
    tug.edit(port.tug, changes[port.tug].edits)
    assert tug.texts[port.tug].text.startswith('use "drawer/\U0001f4e6.harness"\r\n')
    assert await tug.findings(port.tug) == []


async def test_paths_follow_a_folder_and_what_is_in_it(tug, port):
    port.write("hulls/barge.harness", 'use "../stock.harness"\n')
    fleet = port.write("fleet.harness", 'use "hulls/barge.harness"\n')
    params = t.RenameFilesParams(files=[t.FileRename(old_uri=port.uri("hulls"), new_uri=port.uri("deep/down/hulls"))])
    edit = await tug.ask(t.WORKSPACE_WILL_RENAME_FILES, params)
    after = {change.text_document.uri: tug.text_of(change.text_document.uri).edited(change.edits) for change in edit.document_changes}
    assert after == {
        fleet: 'use "deep/down/hulls/barge.harness"\n',
        port.uri("hulls/barge.harness"): 'use "../../../stock.harness"\n',
    }


async def test_paths_are_offered_while_they_are_written(tug, port):
    port.write("hulls/\U00020bb7.harness", "")
    port.write("drawer.harness", "")
    port.write("notes.txt", "")
    barge = port.uri("barge.harness")
    tug.open(barge, 'use "')

    async def offered():
        end = tug.texts[barge].everything().end
        params = t.CompletionParams(text_document=tug.document(barge), position=end)
        answer = await tug.ask(t.TEXT_DOCUMENT_COMPLETION, params)
        return {item.label: item.text_edit for item in getattr(answer, "items", answer) or []}

    def take(edit):
        stretch = edit.range if isinstance(edit, t.TextEdit) else edit.insert
        tug.edit(barge, [t.TextEdit(stretch, edit.new_text)])

    # The tug is no file yet, but it is open.
    found = await offered()
    assert set(found) == {"drawer.harness", "stock.harness", "tug.harness", "hulls/"}
    take(found["hulls/"])
    found = await offered()
    assert [name for name in found if name.endswith("\U00020bb7.harness")]
    take(list(found.values())[0])
    assert tug.texts[barge].text.strip('"') == 'use "hulls/\U00020bb7.harness'

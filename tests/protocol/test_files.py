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

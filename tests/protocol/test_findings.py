"""What is told of a plan without being asked."""

from lsprotocol import types as t

import plans
from clients import able


async def test_a_good_plan_has_no_findings(tug, port):
    assert await tug.findings(port.tug) == []


async def test_each_finding_stands_at_its_words(editor_of, port, encoding):
    editor = await editor_of(able(encoding), [port.folder])
    editor.open(port.tug, plans.FAULTY)
    found = await editor.findings(port.tug)
    text = editor.texts[port.tug]
    said = {finding.code: text.said(finding.range) for finding in found}
    assert said["wrong-unit"] == "1,5 A"
    assert said["unknown-name"] == "blnk.a"
    severities = {finding.code: finding.severity for finding in found}
    assert severities["wrong-unit"] == t.DiagnosticSeverity.Error
    for finding in found:
        page = editor.text_of(finding.code_description.href)
        assert page.text.startswith(f"# `{finding.code}`")


async def test_what_nothing_uses_is_tagged(editor_of, port, encoding):
    editor = await editor_of(able(encoding), [port.folder])
    spare = "led \U00020bb7-spare drops 3.0 V at 20 mA\r\n"
    editor.open(port.tug, plans.TUG + spare)
    [finding] = await editor.findings(port.tug)
    assert finding.code == "unused-stock"
    assert list(finding.tags) == [t.DiagnosticTag.Unnecessary]
    assert finding.severity == t.DiagnosticSeverity.Hint
    assert editor.texts[port.tug].said(finding.range) == "\U00020bb7-spare"
    editor.replace(port.tug, spare, "")
    assert await editor.findings(port.tug) == []


async def test_related_places_lie_in_other_files(editor_of, port, encoding):
    editor = await editor_of(able(encoding), [port.folder])
    editor.open(port.tug, plans.TUG + "led ruby drops 2 V at 10 mA\r\n")
    [finding] = [f for f in await editor.findings(port.tug) if f.code == "name-taken"]
    [related] = finding.related_information
    assert related.location.uri == port.stock
    assert editor.text_of(port.stock).said(related.location.range) == "ruby"


async def test_a_used_file_changes_in_the_editor_and_on_the_disk(editor_of, port):
    editor = await editor_of(folders=[port.folder])
    editor.open(port.tug, plans.TUG)
    assert await editor.findings(port.tug) == []
    editor.open(port.stock, plans.STOCK)

    async def lost(what):
        there = lambda: [f.code for f in editor.findings_of[port.tug].diagnostics]  # noqa: E731
        await editor.until(lambda: ("unknown-name" in there()) == what, f"unknown-name: {what}")

    editor.replace(port.stock, "led ruby", "led amber")
    await lost(True)
    editor.close(port.stock)
    await lost(False)
    # The watch was asked for at the start.
    await editor.until(lambda: t.WORKSPACE_DID_CHANGE_WATCHED_FILES in editor.registrations, "a watch")
    port.write("stock.harness", plans.STOCK.replace("led ruby", "led amber"))
    change = t.FileEvent(uri=port.stock, type=t.FileChangeType.Changed)
    editor.workspace_did_change_watched_files(t.DidChangeWatchedFilesParams(changes=[change]))
    await lost(True)
    port.write("stock.harness", plans.STOCK)
    editor.text_document_did_save(t.DidSaveTextDocumentParams(text_document=editor.document(port.tug)))
    await lost(False)


async def test_a_buffer_without_a_file(editor_of):
    editor = await editor_of()
    uri = "untitled:Untitled-1"
    editor.open(uri, "supply cells 4.5 V\nlamp a of nothing from cells\n")
    [finding] = await editor.findings(uri)
    assert editor.texts[uri].said(finding.range) == "nothing"
    editor.close(uri)
    await editor.until(lambda: not editor.findings_of[uri].diagnostics, "the end of the findings")
    editor.open(uri, "supply cells 4.5 V\nload a draws 5 mA from cells\n")
    assert await editor.findings(uri) == []


async def test_a_file_without_a_folder(editor_of, port):
    editor = await editor_of()
    editor.open(port.tug, plans.TUG)
    assert await editor.findings(port.tug) == []


async def test_several_folders_that_come_and_go(editor_of, tmp_path):
    from conftest import Port

    roots = []
    for name in ("east", "west"):
        (tmp_path / name / "hulls").mkdir(parents=True)
        roots.append(Port(tmp_path / name))
    east, west = roots
    editor = await editor_of(folders=[east.folder, west.folder])
    text = plans.TUG.replace('"stock.harness"', '"../stock.harness"')
    for port in roots:
        editor.open(port.uri("hulls/tug.harness"), text)
        assert await editor.findings(port.uri("hulls/tug.harness")) == []
    gone = t.WorkspaceFolder(uri=west.folder.as_uri(), name="west")
    event = t.WorkspaceFoldersChangeEvent(added=[], removed=[gone])
    editor.workspace_did_change_workspace_folders(t.DidChangeWorkspaceFoldersParams(event=event))
    lost = west.uri("hulls/tug.harness")
    await editor.until(lambda: editor.findings_of[lost].diagnostics, "a finding outside of all folders")
    first = editor.findings_of[lost].diagnostics[0]
    assert first.code == "use-failed", first
    event = t.WorkspaceFoldersChangeEvent(added=[gone], removed=[])
    editor.workspace_did_change_workspace_folders(t.DidChangeWorkspaceFoldersParams(event=event))
    await editor.until(lambda: not editor.findings_of[lost].diagnostics, "the folder again")
    assert await editor.findings(east.uri("hulls/tug.harness")) == []


async def test_a_burst_of_typing_ends_with_the_findings_of_the_last_text(tug, port):
    uri = port.tug
    for letter in "# \U0001f6a2 and so on":
        place = tug.texts[uri].everything().end
        tug.edit(uri, [t.TextEdit(t.Range(place, place), letter)])
    tug.replace(uri, "fuse   F1 400 mA", "fuse   F1 400")
    [finding] = [f for f in await tug.findings(uri) if f.severity == t.DiagnosticSeverity.Error]
    assert tug.texts[uri].said(finding.range) == "400"

"""Real editors, by what they say of themselves (recorded by pytest-lsp): all that can be asked, asked all over the examples.
What is looked for stands in `editor.py` and `laws.py`: answers of the protocol's shape, that keep its laws, to what this client can."""

import random

import pytest
from lsprotocol import types as t
from pygls.exceptions import JsonRpcException

from clients import RECORDED, recorded
from editor import TOP

EXAMPLES = sorted((TOP / "docs" / "examples").glob("*.harness"))
PLACES = 4

AT = {
    "hover_provider": (t.TEXT_DOCUMENT_HOVER, t.HoverParams),
    "definition_provider": (t.TEXT_DOCUMENT_DEFINITION, t.DefinitionParams),
    "declaration_provider": (t.TEXT_DOCUMENT_DECLARATION, t.DeclarationParams),
    "type_definition_provider": (t.TEXT_DOCUMENT_TYPE_DEFINITION, t.TypeDefinitionParams),
    "document_highlight_provider": (t.TEXT_DOCUMENT_DOCUMENT_HIGHLIGHT, t.DocumentHighlightParams),
    "linked_editing_range_provider": (t.TEXT_DOCUMENT_LINKED_EDITING_RANGE, t.LinkedEditingRangeParams),
    "call_hierarchy_provider": (t.TEXT_DOCUMENT_PREPARE_CALL_HIERARCHY, t.CallHierarchyPrepareParams),
    "signature_help_provider": (t.TEXT_DOCUMENT_SIGNATURE_HELP, t.SignatureHelpParams),
    "completion_provider": (t.TEXT_DOCUMENT_COMPLETION, t.CompletionParams),
}
OF = {
    "document_symbol_provider": (t.TEXT_DOCUMENT_DOCUMENT_SYMBOL, t.DocumentSymbolParams),
    "document_link_provider": (t.TEXT_DOCUMENT_DOCUMENT_LINK, t.DocumentLinkParams),
    "folding_range_provider": (t.TEXT_DOCUMENT_FOLDING_RANGE, t.FoldingRangeParams),
    "code_lens_provider": (t.TEXT_DOCUMENT_CODE_LENS, t.CodeLensParams),
    "color_provider": (t.TEXT_DOCUMENT_DOCUMENT_COLOR, t.DocumentColorParams),
    "semantic_tokens_provider": (t.TEXT_DOCUMENT_SEMANTIC_TOKENS_FULL, t.SemanticTokensParams),
}


@pytest.mark.parametrize("plan", EXAMPLES, ids=lambda path: path.stem)
@pytest.mark.parametrize("name", RECORDED)
async def test_all_that_can_be_asked(editor_of, name, plan):
    said = recorded(name)
    editor = await editor_of(said, [plan.parent])
    uri = plan.as_uri()
    text = plan.read_bytes().decode()
    chance = random.Random(f"{name} {plan.stem}")
    editor.open(uri, text)
    await everything(editor, uri, chance)
    # The same, half-written: a piece is gone from the middle.
    cut = sorted(chance.randrange(len(text)) for _ in range(2))
    editor.rewrite(uri, text[: cut[0]] + text[min(cut[1], cut[0] + 200) :])
    await everything(editor, uri, chance)
    if editor.offered.diagnostic_provider:
        assert not editor.findings_of
    else:
        await editor.settled()
        assert uri in editor.findings_of


async def everything(editor, uri, chance):
    text, document, offered = editor.texts[uri], editor.document(uri), editor.offered
    for provider, (method, params) in OF.items():
        if getattr(offered, provider):
            found = await editor.ask(method, params(text_document=document))
            if method == t.TEXT_DOCUMENT_CODE_LENS and found:
                await editor.ask(t.CODE_LENS_RESOLVE, chance.choice(found))
    if offered.diagnostic_provider:
        await editor.ask(t.TEXT_DOCUMENT_DIAGNOSTIC, t.DocumentDiagnosticParams(document))
    options = t.FormattingOptions(tab_size=4, insert_spaces=True)
    await editor.ask(t.TEXT_DOCUMENT_FORMATTING, t.DocumentFormattingParams(document, options))
    words = [at for at in range(1, len(text.text)) if text.text[at - 1].isspace() != text.text[at].isspace() and text.text[at - 1 : at + 1] != "\r\n"]
    for at in chance.sample(words, PLACES):
        place = text.place(at)
        for provider, (method, params) in AT.items():
            if getattr(offered, provider):
                found = await editor.ask(method, params(text_document=document, position=place))
                if method == t.TEXT_DOCUMENT_COMPLETION and found:
                    await editor.ask(t.COMPLETION_ITEM_RESOLVE, chance.choice(getattr(found, "items", found)))
        context = t.ReferenceContext(include_declaration=True)
        await editor.ask(t.TEXT_DOCUMENT_REFERENCES, t.ReferenceParams(context=context, text_document=document, position=place))
        await editor.ask(t.TEXT_DOCUMENT_SELECTION_RANGE, t.SelectionRangeParams(document, [place]))
        try:
            await editor.ask(t.TEXT_DOCUMENT_RENAME, t.RenameParams(document, place, "zz-9"))
        except JsonRpcException as refused:
            assert refused.code == t.LSPErrorCodes.RequestFailed.value, refused
    await editor.ask(t.WORKSPACE_SYMBOL, t.WorkspaceSymbolParams(query="a"))
    here = t.Range(text.place(0), text.place(min(len(text.text), 1500)))
    if offered.inlay_hint_provider:
        hints = await editor.ask(t.TEXT_DOCUMENT_INLAY_HINT, t.InlayHintParams(document, here))
        if hints and getattr(offered.inlay_hint_provider, "resolve_provider", False):
            await editor.ask(t.INLAY_HINT_RESOLVE, chance.choice(hints))
    if offered.code_action_provider:
        context = t.CodeActionContext(diagnostics=[])
        line = text.place(chance.choice(words)).line
        stretch = t.Range(t.Position(line, 0), t.Position(line, 0))
        actions = await editor.ask(t.TEXT_DOCUMENT_CODE_ACTION, t.CodeActionParams(document, stretch, context))
        if actions and offered.code_action_provider.resolve_provider:
            await editor.ask(t.CODE_ACTION_RESOLVE, chance.choice(actions))

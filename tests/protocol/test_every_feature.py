"""Whatever the server says that it can do has been asked of it by the tests before this one, and was answered with something."""

from lsprotocol import types as t

import editor as kept
from clients import able, asking

# What a capability is asked by. A capability that does not stand here fails the test: write the tests, then the line.
ASKED_BY = {
    "position_encoding": [],
    "text_document_sync": [t.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS],
    "hover_provider": [t.TEXT_DOCUMENT_HOVER],
    "completion_provider": [t.TEXT_DOCUMENT_COMPLETION],
    "completion_provider.resolve_provider": [t.COMPLETION_ITEM_RESOLVE],
    "signature_help_provider": [t.TEXT_DOCUMENT_SIGNATURE_HELP],
    "definition_provider": [t.TEXT_DOCUMENT_DEFINITION],
    "declaration_provider": [t.TEXT_DOCUMENT_DECLARATION],
    "type_definition_provider": [t.TEXT_DOCUMENT_TYPE_DEFINITION],
    "references_provider": [t.TEXT_DOCUMENT_REFERENCES],
    "document_highlight_provider": [t.TEXT_DOCUMENT_DOCUMENT_HIGHLIGHT],
    "document_symbol_provider": [t.TEXT_DOCUMENT_DOCUMENT_SYMBOL],
    "workspace_symbol_provider": [t.WORKSPACE_SYMBOL],
    "call_hierarchy_provider": [t.TEXT_DOCUMENT_PREPARE_CALL_HIERARCHY, t.CALL_HIERARCHY_INCOMING_CALLS, t.CALL_HIERARCHY_OUTGOING_CALLS],
    "rename_provider": [t.TEXT_DOCUMENT_RENAME],
    "rename_provider.prepare_provider": [t.TEXT_DOCUMENT_PREPARE_RENAME],
    "linked_editing_range_provider": [t.TEXT_DOCUMENT_LINKED_EDITING_RANGE],
    "document_link_provider": [t.TEXT_DOCUMENT_DOCUMENT_LINK],
    "folding_range_provider": [t.TEXT_DOCUMENT_FOLDING_RANGE],
    "selection_range_provider": [t.TEXT_DOCUMENT_SELECTION_RANGE],
    "code_action_provider": [t.TEXT_DOCUMENT_CODE_ACTION],
    "code_action_provider.resolve_provider": [t.CODE_ACTION_RESOLVE],
    "semantic_tokens_provider": [t.TEXT_DOCUMENT_SEMANTIC_TOKENS_FULL],
    "semantic_tokens_provider.range": [t.TEXT_DOCUMENT_SEMANTIC_TOKENS_RANGE],
    "semantic_tokens_provider.full": [t.TEXT_DOCUMENT_SEMANTIC_TOKENS_FULL, t.TEXT_DOCUMENT_SEMANTIC_TOKENS_FULL_DELTA],
    "inlay_hint_provider": [t.TEXT_DOCUMENT_INLAY_HINT],
    "inlay_hint_provider.resolve_provider": [t.INLAY_HINT_RESOLVE],
    "code_lens_provider": [t.TEXT_DOCUMENT_CODE_LENS],
    "code_lens_provider.resolve_provider": [t.CODE_LENS_RESOLVE],
    "color_provider": [t.TEXT_DOCUMENT_DOCUMENT_COLOR, t.TEXT_DOCUMENT_COLOR_PRESENTATION],
    "execute_command_provider": [],
    "document_formatting_provider": [t.TEXT_DOCUMENT_FORMATTING],
    "document_range_formatting_provider": [t.TEXT_DOCUMENT_RANGE_FORMATTING],
    "document_on_type_formatting_provider": [t.TEXT_DOCUMENT_ON_TYPE_FORMATTING],
    "diagnostic_provider": [t.TEXT_DOCUMENT_DIAGNOSTIC],
    "diagnostic_provider.workspace_diagnostics": [t.WORKSPACE_DIAGNOSTIC],
    "workspace": [],
    "workspace.workspace_folders": [],
    "workspace.file_operations": [t.WORKSPACE_WILL_RENAME_FILES],
    # What the server asks and tells of itself.
    "registered": [t.CLIENT_REGISTER_CAPABILITY],
    "settings": [t.WORKSPACE_CONFIGURATION, t.WINDOW_LOG_MESSAGE],
    "progress": [t.PROGRESS, t.WORKSPACE_DIAGNOSTIC_REFRESH],
}
# These say how something is done, not that it is.
MANNERS = {
    "work_done_progress", "trigger_characters", "retrigger_characters", "all_commit_characters", "legend", "identifier", "commands",
    "inter_file_dependencies", "code_action_kinds", "first_trigger_character", "more_trigger_character", "open_close", "change",
    "save", "supported", "change_notifications", "will_rename", "document_selector", "id", "label",
}  # fmt: skip


def said(value, name=""):
    """The names of all that is switched on."""
    if value in (None, False) or name.rsplit(".", 1)[-1] in MANNERS:
        return
    if name:
        yield name
    for field in getattr(type(value), "__attrs_attrs__", ()):
        yield from said(getattr(value, field.name), f"{name}.{field.name}" if name else field.name)


async def test_every_capability_is_known_here(editor_of):
    for capabilities in (able(), asking()):
        editor = await editor_of(capabilities)
        unknown = {name for name in said(editor.offered) if name not in ASKED_BY and not name.endswith(".delta")}
        assert not unknown, f"without a test: {unknown}"


async def test_every_feature_was_answered_with_something(editor_of):
    offered = [(await editor_of(capabilities)).offered for capabilities in (able(), asking())]
    names = {name for capabilities in offered for name in said(capabilities)}
    names |= {"registered", "settings", "progress"}
    silent = {method for name in names for method in ASKED_BY.get(name, []) if not kept.ANSWERED[method]}
    assert not silent, f"never answered with something: {silent}"
    kinds = {str(getattr(kind, "value", kind)) for kind in offered[0].code_action_provider.code_action_kinds}
    assert kinds <= kept.KINDS, f"kinds of actions that nobody was offered: {kinds - kept.KINDS}"
    of_commands = (await editor_of({"workspace": {"applyEdit": True}})).offered
    commands = {command for each in (offered[0], of_commands) for command in each.execute_command_provider.commands}
    assert commands == kept.COMMANDS, f"commands that nobody ran: {commands - kept.COMMANDS}"

"""What editors can do."""

from lsprotocol import types as t
from lsprotocol.converters import get_converter
from pytest_lsp import client_capabilities

# As pytest-lsp has recorded them. VS Code and the older Neovim and Emacs know UTF-16 alone.
RECORDED = ["visual-studio-code@v1.65.2", "neovim@v0.11.0", "neovim@v0.8.0", "emacs@v29.1"]

KINDS = ["", "quickfix", "refactor", "refactor.extract", "refactor.inline", "refactor.rewrite", "source", "source.organizeImports", "source.fixAll"]
MARKUP = ["markdown", "plaintext"]


def made(said: dict) -> t.ClientCapabilities:
    """Capabilities from JSON."""
    return get_converter().structure(said, t.ClientCapabilities)


def recorded(name: str) -> t.ClientCapabilities:
    return client_capabilities(name)


def able(encoding: str = "utf-16", **also) -> dict:
    """A client that can do all that the protocol has and this server knows of, but is told its findings. Names in `also`
    stand for capabilities of text documents that are added."""
    moves = {"dynamicRegistration": True}
    said = {
        "general": {"positionEncodings": [encoding]},
        "window": {"workDoneProgress": True, "showDocument": {"support": True}},
        "workspace": {
            "applyEdit": True,
            "configuration": True,
            "workspaceFolders": True,
            "didChangeConfiguration": moves,
            "didChangeWatchedFiles": {**moves, "relativePatternSupport": True},
            "workspaceEdit": {"documentChanges": True, "resourceOperations": ["create", "rename", "delete"]},
            "symbol": {"symbolKind": {"valueSet": list(range(1, 27))}},
            "executeCommand": {},
            "fileOperations": {"willRename": True},
            "inlayHint": {"refreshSupport": True},
            "codeLens": {"refreshSupport": True},
            "semanticTokens": {"refreshSupport": True},
            "diagnostics": {"refreshSupport": True},
        },
        "textDocument": {
            "synchronization": {"didSave": True},
            "publishDiagnostics": {"relatedInformation": True, "versionSupport": True, "codeDescriptionSupport": True, "tagSupport": {"valueSet": [1, 2]}},
            "completion": {
                "contextSupport": True,
                "completionItem": {
                    "snippetSupport": True,
                    "insertReplaceSupport": True,
                    "documentationFormat": MARKUP,
                    "deprecatedSupport": True,
                    "preselectSupport": True,
                    "labelDetailsSupport": True,
                    "resolveSupport": {"properties": ["documentation", "detail"]},
                },
            },
            "hover": {"contentFormat": MARKUP},
            "signatureHelp": {"signatureInformation": {"documentationFormat": MARKUP, "activeParameterSupport": True, "parameterInformation": {"labelOffsetSupport": True}}},
            "declaration": {"linkSupport": True},
            "definition": {"linkSupport": True},
            "typeDefinition": {"linkSupport": True},
            "references": {},
            "documentHighlight": {},
            "documentSymbol": {"hierarchicalDocumentSymbolSupport": True},
            "codeAction": {
                "isPreferredSupport": True,
                "disabledSupport": True,
                "dataSupport": True,
                "resolveSupport": {"properties": ["edit"]},
                "codeActionLiteralSupport": {"codeActionKind": {"valueSet": KINDS}},
            },
            "codeLens": {"resolveSupport": {"properties": ["command"]}},
            "documentLink": {"tooltipSupport": True},
            "colorProvider": {},
            "formatting": {},
            "rangeFormatting": {},
            "onTypeFormatting": {},
            "rename": {"prepareSupport": True},
            "foldingRange": {"rangeLimit": 5000},
            "selectionRange": {},
            "linkedEditingRange": {},
            "callHierarchy": {},
            "semanticTokens": {
                "requests": {"range": True, "full": {"delta": True}},
                "tokenTypes": [kind.value for kind in t.SemanticTokenTypes],
                "tokenModifiers": [mark.value for mark in t.SemanticTokenModifiers],
                "formats": ["relative"],
            },
            "inlayHint": {"resolveSupport": {"properties": ["tooltip", "textEdits", "label.tooltip"]}},
        },
    }
    said["textDocument"].update(also)
    return said


def asking(encoding: str = "utf-16") -> dict:
    """The same, but it asks for its findings."""
    return able(encoding, diagnostic={"relatedDocumentSupport": True})

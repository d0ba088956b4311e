"""Writes and checks the list of the functions that every sitting uses. The standard library alone; see run.sh."""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
TOP = HERE.parents[2]
if "--check" not in sys.argv:
    # It takes a later Python than looking at the list does.
    sys.path.insert(0, str(HERE.parent / "others"))
    from measure import Server, text_of

PROGRAM = TOP / "target/release/glimloom"
LIST = TOP / "src/layout/often.txt"
SHOPS = {"head_file": "../shops.head.harness", "unit_file": "../shops.unit.harness"}
# What an editor asks for by itself, as the text is written and looked at, and what is asked for now and then.
SPOTS = ["hover", "completion", "documentHighlight", "signatureHelp"]
TEXTS = ["documentSymbol", "semanticTokens/full", "foldingRange", "codeLens", "documentColor", "documentLink", "diagnostic"]
RARE_SPOTS = ["definition", "prepareRename", "selectionRange", "references", "linkedEditingRange"]
RARE_TEXTS = ["formatting"]
CAPABILITIES = {
    "general": {"positionEncodings": ["utf-16"]},
    "workspace": {"configuration": True, "workspaceFolders": True, "didChangeConfiguration": {"dynamicRegistration": True}},
    "window": {"workDoneProgress": True},
    "textDocument": {
        "publishDiagnostics": {"relatedInformation": True, "versionSupport": True, "tagSupport": {"valueSet": [1]}},
        "hover": {"contentFormat": ["markdown", "plaintext"]},
        "completion": {"completionItem": {"snippetSupport": True, "documentationFormat": ["markdown"], "resolveSupport": {"properties": ["documentation"]}}},
        "documentSymbol": {"hierarchicalDocumentSymbolSupport": True},
        "codeAction": {"codeActionLiteralSupport": {"codeActionKind": {"valueSet": ["quickfix", "refactor", "source"]}}, "resolveSupport": {"properties": ["edit"]}},
        "semanticTokens": {"requests": {"full": {"delta": True}, "range": True}, "formats": ["relative"], "tokenTypes": [], "tokenModifiers": []},
    },
}


def sitting(client: Server, path: Path, text: str, texts: list[str], spots: list[str], is_rare: bool):
    """One plan: opened, written in, looked at, closed."""
    uri = path.as_uri()
    client.ask("initialize", {"processId": None, "rootUri": path.parent.as_uri(), "capabilities": CAPABILITIES})
    client.send({"method": "initialized", "params": {}})
    client.send({"method": "textDocument/didOpen", "params": {"textDocument": {"uri": uri, "languageId": "harness", "version": 1, "text": text}}})
    document = {"textDocument": {"uri": uri}}
    lines = text.split("\n")
    whole = {"start": {"line": 0, "character": 0}, "end": {"line": len(lines), "character": 0}}
    version = 1

    def edit(line: int, start: int, end: int, words: str):
        nonlocal version
        version += 1
        place = {"start": {"line": line, "character": start}, "end": {"line": line, "character": end}}
        change = [{"range": place, "text": words}]
        client.send({"method": "textDocument/didChange", "params": {"textDocument": {"uri": uri, "version": version}, "contentChanges": change}})

    def ask(method: str, more: dict | None = None):
        return client.ask(f"textDocument/{method}", {**document, **(more or {})})[1].get("result")

    # Every so many lines a number, a letter and a line are written and taken back, and it is looked at.
    for line in range(3, len(lines), max(1, len(lines) // 60)):
        if number := re.search(r" (\d+)", lines[line]):
            edit(line, number.end(1), number.end(1), "1")
            ask("hover", {"position": {"line": line, "character": number.start(1)}})
            edit(line, number.end(1), number.end(1) + 1, "")
        edit(line, len(lines[line]), len(lines[line]), " x")
        edit(line, len(lines[line]), len(lines[line]) + 2, "")
        edit(line, 0, 0, "# ")
        edit(line, 0, 2, "")
        for method in spots:
            for word in list(re.finditer(r"[\w.]+", lines[line]))[:3]:
                more = {"positions": [{"line": line, "character": word.start()}]} if method == "selectionRange" else {}
                context = {"context": {"includeDeclaration": True}} if method == "references" else {}
                ask(method, {"position": {"line": line, "character": word.start() + 1}, **more, **context})
    for method in texts:
        ask(method, {"options": {"tabSize": 2, "insertSpaces": True}} if method == "formatting" else None)
    ask("inlayHint", {"range": whole})
    ask("semanticTokens/range", {"range": whole})
    if is_rare:
        actions = ask("codeAction", {"range": whole, "context": {"diagnostics": []}}) or []
        for action in actions[:12]:
            client.ask("codeAction/resolve", action)
    client.ask("shutdown", None)
    client.send({"method": "exit"})
    client.process.wait()


def functions(path: Path, text: str, *how) -> set[str]:
    """The functions that one sitting runs through, as the linker knows them."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "calls"
        (Path(folder) / path.name).write_text(text)
        valgrind = ["valgrind", "--tool=callgrind", "--demangle=no", f"--callgrind-out-file={out}"]
        sitting(Server([*valgrind, str(PROGRAM), "serve"], Path(folder)), Path(folder) / path.name, text, *how)
        return set(re.findall(r"^c?fn=\(\d+\) (\S+)", out.read_text(), re.M))


def names() -> list[str]:
    """All functions of the program, in the order in which they stand."""
    listed = subprocess.run(["nm", "--defined-only", "--numeric-sort", PROGRAM], check=True, capture_output=True, text=True).stdout
    return [name for _, kind, name in (line.split() for line in listed.splitlines()) if kind in "tTwW"]


def compiler() -> str:
    return subprocess.run(["rustc", "--version"], check=True, capture_output=True, text=True, cwd=TOP).stdout.strip()


def write():
    street = (Path("street.harness"), text_of(SHOPS, 200))
    examples = [(path, path.read_text()) for path in sorted((TOP / "docs/examples").glob("*.harness"))]
    always = functions(*street, ["documentSymbol"], ["hover", "completion"], False)
    mostly = set().union(*(functions(path, text, TEXTS, SPOTS, False) for path, text in [street, *examples]))
    rarely = set().union(*(functions(path, text, RARE_TEXTS, RARE_SPOTS, True) for path, text in examples))
    ordered, seen = [], set()
    for tier in (always, mostly, rarely):
        fresh = [name for name in names() if name in tier and name not in seen]
        print(f"{len(fresh)} functions more")
        seen.update(fresh)
        ordered += fresh
    LIST.write_text("".join(f"{line}\n" for line in [f"# {compiler()}", *ordered]))


def check() -> str | None:
    """What is wrong with the list. Each compiler makes names of its own: where it is another one, nothing can be said."""
    first, *wanted = LIST.read_text().splitlines()
    there = set(names())
    found = sum(name in there for name in wanted)
    print(f"{found} of the {len(wanted)} functions of {LIST.relative_to(TOP)} are in the program")
    if found < 0.9 * len(wanted) and first == f"# {compiler()}":
        return f"the list is old: {HERE.relative_to(TOP)}/run.sh writes it anew"
    return None


if __name__ == "__main__":
    sys.exit(check()) if "--check" in sys.argv else write()

#!/usr/bin/env python3
"""The same scenario for every editor, on any plan that has a chain of lights.

    scenario.py before PLAN FOLDER    makes two plans of it in FOLDER, with what an editor is to find: scenario.json
    scenario.py after FOLDER          holds that what an editor has saved is right

What is to be found is asked of the program itself (GLIMLOOM). The second plan has line ends of two letters, and letters beyond the first
plane in the name of the first light of the chain, in UTF-16 two units each and in UTF-8 four.
"""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

BEYOND = "\U00010437\U00010428-"
PLAIN, ODD = "plan.harness", "odd.harness"


def told(*args):
    return subprocess.run([os.environ["GLIMLOOM"], *map(str, args)], capture_output=True, text=True, encoding="utf-8")


def findings(plan):
    return json.loads(told("check", "--json", plan).stdout)["findings"]


def must(condition, what, seen=""):
    if not condition:
        sys.exit(f"FAILED: {what} {seen}")
    print("ok", what)


def renamed(text, name, by):
    """The text with another name for an item, wherever it stands as a word."""
    return re.sub(rf"(?<![\w.-]){re.escape(name)}(?![\w-])", by, text)


def scenario(folder, name):
    """What an editor is to find in a plan, and to do with it."""
    text = (folder / name).read_text(encoding="utf-8").replace("\r\n", "\n")
    lines = text.split("\n")
    all_found = findings(folder / name)
    chain = next((one for one in all_found if one["check"] == "single-path" and one["fixes"]), None)
    must(chain, f"{name} has a chain of lights that can be mended", [one["check"] for one in all_found])
    stock = re.search(r"^(led|tape) (\S+)", text, re.MULTILINE)
    must(stock, f"{name} names its stock")
    annex = f"annex-{name}"
    (folder / annex).write_text(f'use "{name}"\n\njoint annex from {chain["item"]}\n', encoding="utf-8")
    return {
        "plan": name,
        "annex": annex,
        "item": chain["item"],
        "fix": chain["fixes"][0],
        "half": f"{'lamp' if stock[1] == 'led' else 'strip'} late of ",
        "stock": stock[2],
        "new": "quite-another",
        "wrong": "lamp late of nobody from nowhere",
        "findings": [
            {
                "check": one["check"],
                "severity": one["severity"],
                "message": one["message"],
                **{key: one[key] for key in ("line", "column", "end_line", "end_column")},
                # The first line of what it stands on.
                "words": lines[one["line"] - 1][one["column"] - 1 : one["end_column"] - 1 if one["line"] == one["end_line"] else None],
            }
            for one in all_found
        ],
    }


def before(plan, folder):
    (folder / ".git").mkdir(parents=True)
    text = Path(plan).read_text(encoding="utf-8").replace("\r\n", "\n")
    (folder / PLAIN).write_text(text, encoding="utf-8")
    plain = scenario(folder, PLAIN)
    odd = renamed(text, plain["item"], BEYOND + plain["item"])
    (folder / ODD).write_bytes(odd.replace("\n", "\r\n").encode())
    (folder / "scenario.json").write_text(json.dumps([plain, scenario(folder, ODD)], indent=2))


def after(folder):
    for one in json.loads((folder / "scenario.json").read_text()):
        plan, annex = folder / one["plan"], folder / one["annex"]
        text = plan.read_bytes()
        must(one["new"] in text.decode(), f"{plan.name}: the new name is on the disk")
        must(f"from {one['new']}" in annex.read_text(encoding="utf-8"), f"{annex.name}: there too")
        words = re.sub("#.*", "", text.decode())
        must(renamed(words, one["item"], "") == words, f"{plan.name}: the old one is nowhere but in comments")
        left = sorted(found["check"] for found in findings(plan) if found["severity"] != "hint")
        was = sorted(found["check"] for found in one["findings"] if found["severity"] != "hint")
        was.remove("single-path")
        must(left == was, f"{plan.name}: the chain is mended on the disk, and all else as it was", (left, was))
        must(told("format", "--check", plan).returncode == 0, f"{plan.name}: it is laid out")
        ends = text.count(b"\r\n"), text.count(b"\n")
        must(ends == ((ends[1],) * 2 if one["plan"] == ODD else (0, ends[1])), f"{plan.name}: its lines end as they did", ends)


match sys.argv[1:]:
    case ["before", plan, folder]:
        before(plan, Path(folder))
    case ["after", folder]:
        after(Path(folder))
    case _:
        sys.exit(__doc__)

"""Runs the program under test."""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def binary() -> Path:
    """The program: GLIMLOOM_BIN, else the release build of this repository."""
    given = os.environ.get("GLIMLOOM_BIN")
    path = Path(given).resolve() if given else ROOT / "target" / "release" / "glimloom"
    assert path.is_file(), f"no program to test at {path}: build it, or set GLIMLOOM_BIN"
    return path


def run(*words: str) -> dict:
    """The JSON that the program prints. A plan may hold findings; that is no failure here."""
    done = subprocess.run([str(binary()), *words, "--json"], capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode in (0, 1), f"exit status {done.returncode} for {words}: {done.stderr.strip()}"
    return json.loads(done.stdout)


def figures(plan: Path) -> dict:
    """What `glimloom figures PLAN --json` prints."""
    return run("figures", str(plan))


def full(plan: Path) -> dict:
    """The same with what breaks and shorts do, and what the places are like."""
    return run("figures", str(plan), "--full")


def parts(plan: Path, *words: str) -> dict:
    """What `glimloom parts PLAN --json` prints."""
    return run("parts", str(plan), *words)


def findings(plan: Path) -> list[dict]:
    """The findings of one file."""
    return run("check", str(plan))["findings"]

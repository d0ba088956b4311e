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


def figures(plan: Path) -> dict:
    """What `glimloom figures PLAN --json` prints. A plan may hold findings; that is no failure here."""
    done = subprocess.run(
        [str(binary()), "figures", str(plan), "--json"], capture_output=True, text=True, timeout=120, check=False
    )
    assert done.returncode in (0, 1), f"exit status {done.returncode} for {plan.name}: {done.stderr.strip()}"
    return json.loads(done.stdout)

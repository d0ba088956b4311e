"""The program's figures against published values (published.toml: a copy of the rows that figures can show)."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import laws

ROWS = tomllib.loads((Path(__file__).resolve().parent / "published.toml").read_text(encoding="utf-8"))["row"]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_published(row, tmp_path):
    got, want = laws.seen(tmp_path, row), row["expected"]
    source = row["source"] + (" (from memory)" if row["from_memory"] else "")
    if isinstance(want, bool):
        assert got is want, f"{row['id']}: {row['quantity']}: {got}, {source} says {want}"
        return
    gots, wants = (got, want) if isinstance(want, list) else ([got], [want])
    for one, other in zip(gots, wants, strict=True):
        allowed = row["tolerance"] * (abs(other) if row.get("tolerance_kind", "rel") == "rel" else 1.0)
        allowed = max(allowed, laws.accuracy(row) * abs(other))
        assert abs(one - other) <= allowed, (
            f"{row['id']}: {row['quantity']} {row['inputs']}: {one:.7g} {row['unit']}, {source} says {other}"
        )

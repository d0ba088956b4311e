"""The program against published values (published.toml: a copy of the rows that figures or findings can show)."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import laws
import limits

HERE = Path(__file__).resolve().parent
ROWS = tomllib.loads((HERE / "published.toml").read_text(encoding="utf-8"))["row"]
LAWS = laws.LAWS | limits.LAWS


def longest(table: dict, name: str):
    """The longest beginning of the name that the table has."""
    return max((key for key in table if name.startswith(key)), key=len, default=None)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_published(row, tmp_path):
    law = longest(LAWS, row["id"])
    assert law is not None, f"nothing shows {row['id']}"
    got, want = LAWS[law](tmp_path, row), row["expected"]
    source = row["source"] + (" (from memory)" if row["from_memory"] else "")
    says = f"{row['id']}: {row['quantity']} {row['inputs']}: {got} {row['unit']}, {source} says {want}"
    bound = limits.BOUNDS.get(longest(limits.BOUNDS, row["id"]), "same")

    def allowed(value: float) -> float:
        part = row["tolerance"] * (abs(value) if row.get("tolerance_kind", "rel") == "rel" else 1.0)
        return max(part, laws.accuracy(row) * abs(value), 1e-12 * abs(value))  # the last: the digits of the machine

    if isinstance(want, (bool, str)):
        assert got == want, says
    elif bound == limits.LONGEST:
        assert got == want[-1] or abs(got - want[-1]) <= allowed(want[-1]), says
    elif bound == limits.WITHIN:
        assert want[0] - allowed(want[0]) <= got <= want[-1] + allowed(want[-1]), says
    elif bound == limits.NO_MORE:
        least = want[0] if isinstance(want, list) else want
        assert 0.0 < got <= least + allowed(least), says
    elif bound == limits.NO_LESS:
        assert got >= want - allowed(want), says
    else:
        gots, wants = (got, want) if isinstance(want, list) else ([got], [want])
        for one, other in zip(gots, wants, strict=True):
            assert abs(one - other) <= allowed(other), says


def test_every_row_is_used_once():
    """No row stands twice, and no way of seeing one is idle or shown twice over."""
    names = [row["id"] for row in ROWS]
    assert len(names) == len(set(names))
    assert not laws.LAWS.keys() & limits.LAWS.keys()
    used = {longest(LAWS, name) for name in names}
    assert None not in used and used == set(LAWS), set(LAWS) - used
    bounds = {longest(limits.BOUNDS, name) for name in names} - {None}
    assert bounds == set(limits.BOUNDS), set(limits.BOUNDS) - bounds

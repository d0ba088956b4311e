"""Preferred values of resistors against the library eseries (IEC 60063), whole decades and values by chance."""

from __future__ import annotations

import random
import re

import eseries
import pytest

import program

DECADES = [1.0, 10.0, 100.0, 1e3, 1e4, 1e5]  # what resistors beside lights have, and far beyond


def written(ohms: float) -> str:
    return f"{ohms:.6g} ohm" if ohms < 1e5 else f"{ohms / 1e3:.6g} kohm"


def found(folder, values: list[float]) -> dict[float, dict]:
    """The findings on resistors of these values, fifty to a plan."""
    path = folder / "series.harness"
    out = {}
    for first in range(0, len(values), 50):
        some = values[first : first + 50]
        lines = ["supply s 12 V 1 A"] + [f"resistor r{n} {written(v)} from s" for n, v in enumerate(some)]
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        for finding in program.findings(path):
            if finding["check"] == "resistor-not-preferred":
                out[some[int(finding["item"][1:])]] = finding
    return out


def in_decades(name) -> list[float]:
    """All values of a series from 1 ohm to under 1 megohm."""
    return [v for d in DECADES for v in eseries.erange(name, d, 9.999 * d)]


@pytest.mark.parametrize("name", [eseries.E3, eseries.E6, eseries.E12, eseries.E24], ids=str)
def test_values_of_the_series(name, tmp_path):
    """E24 and all that it holds are preferred."""
    values = in_decades(name)
    assert len(values) == len(DECADES) * len(eseries.series(name))
    assert found(tmp_path, values) == {}


@pytest.mark.parametrize("name", [eseries.E48, eseries.E96, eseries.E192], ids=str)
def test_values_of_finer_series(name, tmp_path):
    """A value of a finer series is found exactly where E24 does not have it."""
    values = in_decades(name)
    preferred = {f"{v:.6g}" for v in in_decades(eseries.E24)}
    got = found(tmp_path, values)
    assert {f"{v:.6g}" for v in got} == {f"{v:.6g}" for v in values if f"{v:.6g}" not in preferred}


def ohms_of(text: str) -> float:
    number, prefix = re.search(r"(\d+(?:\.\d+)?) (k|M)?ohm", text).groups()
    return float(number) * {"k": 1e3, "M": 1e6, None: 1.0}[prefix]


def test_mends_are_the_neighbours(tmp_path):
    """The two mends are the next value down and up, the nearer one (as a ratio) first."""
    chance = random.Random(24)
    values = sorted({float(f"{10 ** chance.uniform(0.05, 5.9):.3g}") for _ in range(400)})
    got = found(tmp_path, values)
    seen = 0
    for value in values:
        below, above = eseries.find_less_than_or_equal(eseries.E24, value), eseries.find_greater_than_or_equal(eseries.E24, value)
        if below == pytest.approx(value, rel=1e-9) or above == pytest.approx(value, rel=1e-9):
            assert value not in got, f"{value} is preferred"
            continue
        seen += 1
        offered = [ohms_of(title) for title in got[value]["fixes"]]
        nearer = sorted((below, above), key=lambda v: max(v / value, value / v))
        assert offered == pytest.approx(nearer, rel=1e-9), f"{value} ohm: {got[value]['fixes']}"
    assert seen > 300


def test_nearest(tmp_path):
    """Where the library's nearest (by difference) and the nearest by ratio are one, it is the first mend."""
    chance = random.Random(60063)
    values = sorted({float(f"{10 ** chance.uniform(0.05, 5.9):.3g}") for _ in range(200)})
    got = found(tmp_path, values)
    same = 0
    for value, finding in got.items():
        below, above = eseries.find_less_than(eseries.E24, value), eseries.find_greater_than(eseries.E24, value)
        nearest = eseries.find_nearest(eseries.E24, value)
        if nearest == min((below, above), key=lambda v: max(v / value, value / v)):
            same += 1
            assert ohms_of(finding["fixes"][0]) == pytest.approx(nearest, rel=1e-9), f"{value} ohm: {finding['fixes']}"
    assert same > 150

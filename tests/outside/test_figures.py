"""Every figure of the program against the independent solution, plan by plan.

Plans: those beside this file, the examples of the documentation, and invented ones (invented.py). Tolerances: 1 uA and 10 uV (the accuracy
that the physics page asks for) and as much again as 1e-5 of the figure; the same for watts (10 uW).
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

import circuit
import invented
import program
import reading

HERE = Path(__file__).resolve().parent
PLANS = sorted((HERE / "plans").glob("*.harness")) + sorted((program.ROOT / "docs" / "examples").glob("*.harness"))

SEEDS = range(int(os.environ.get("INVENTED", "40")))  # how many invented plans

ALLOWED = {
    "volts": 1e-5, "volts_low": 1e-5, "volts_high": 1e-5, "drop": 1e-5,
    "amps": 1e-6, "amps_low": 1e-6, "amps_high": 1e-6, "passes": 1e-6,
    "watts": 1e-5,
}
RELATIVE = 1e-5

LARGEST: dict[str, tuple[float, str]] = {}  # by figure, for the summary line (conftest.py prints it)


def test_there_are_plans_enough():
    assert len(list((HERE / "plans").glob("*.harness"))) >= 34


def compare(path: Path) -> None:
    """Asserts that the program prints our figures for this plan."""
    ours = circuit.figures(reading.plan_of(path))
    theirs = program.figures(path)
    assert [s["name"] for s in theirs["scenes"]] == [s["name"] for s in ours["scenes"]], "scenes and their order"
    wrong = []
    for mine, other in zip(ours["scenes"], theirs["scenes"]):
        scene = mine["name"]
        for key in ("no_solution", "corner"):
            if mine.get(key) != other.get(key):
                wrong.append(f"{scene}: {key} {other.get(key)!r}, wanted {mine.get(key)!r}")
        if "no_solution" in mine or "no_solution" in other:
            if "no_solution" in other and other.get("items") != []:
                wrong.append(f"{scene}: items listed although there is no solution")
            continue
        rows = {row["name"]: row for row in other["items"]}
        if len(rows) != len(other["items"]):
            wrong.append(f"{scene}: an item is listed twice")
        expected = {row["name"]: row for row in mine["items"]}
        for name in sorted(set(rows) ^ set(expected)):
            wrong.append(f"{scene}: {name} is {'not ' if name in expected else 'wrongly '}listed")
        for name in sorted(set(rows) & set(expected)):
            if rows[name]["kind"] != expected[name]["kind"]:
                wrong.append(f"{scene}: {name} is a {rows[name]['kind']}, wanted {expected[name]['kind']}")
            for key, allowed in ALLOWED.items():
                want, got = expected[name][key], rows[name][key]
                off = abs(got - want)
                if off > LARGEST.get(key, (-1.0, ""))[0]:
                    LARGEST[key] = (off, f"{path.stem}, {scene}, {name}")
                if not off <= allowed + RELATIVE * abs(want):
                    wrong.append(f"{scene}: {name} {key} {got:.9g}, wanted {want:.9g}")
    assert not wrong, "\n".join([f"{len(wrong)} differences in {path.name}"] + wrong[:40])


@pytest.mark.parametrize("path", PLANS, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_figures(path):
    compare(path)


@pytest.mark.parametrize("seed", SEEDS)
def test_invented(seed, tmp_path):
    path = tmp_path / f"invented-{seed}.harness"
    path.write_text(invented.plan(seed), encoding="utf-8")
    compare(path)

"""Every figure of the program against the independent solution, plan by plan.

Plans: those beside this file, the examples of the documentation, and invented ones (invented.py). Tolerances: 1 uA and 10 uV
(the accuracy that the physics page asks for), 10 uW of watts.
"""

from __future__ import annotations

import collections
import multiprocessing
import os
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import pytest

import circuit
import corners
import invented
import program
import reading

HERE = Path(__file__).resolve().parent
PLANS = sorted((HERE / "plans").glob("*.harness")) + sorted((program.ROOT / "docs" / "examples").glob("*.harness"))

STANDING = 330  # invented plans of the standing run
SEEDS = range(int(os.environ.get("INVENTED", STANDING)))

ALLOWED = {
    "volts": 1e-5, "volts_low": 1e-5, "volts_high": 1e-5, "drop": 1e-5,
    "amps": 1e-6, "amps_low": 1e-6, "amps_high": 1e-6, "passes": 1e-6,
    "watts": 1e-5,
}

LARGEST: dict[str, tuple[float, str]] = {}  # by figure, for the summary line (conftest.py prints it)


def test_there_are_plans_enough():
    assert len(list((HERE / "plans").glob("*.harness"))) >= 34


def differences(path: Path, ours: dict) -> tuple[list[str], dict[str, tuple[float, str]]]:
    """What the program prints otherwise than we do, and the largest difference of each figure."""
    theirs = program.figures(path)
    wrong: list[str] = []
    largest: dict[str, tuple[float, str]] = {}
    names = [s["name"] for s in ours["scenes"]], [s["name"] for s in theirs["scenes"]]
    if names[0] != names[1]:
        return [f"scenes are {names[1]}, wanted {names[0]}"], largest
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
                if off > largest.get(key, (-1.0, ""))[0]:
                    largest[key] = (off, f"{path.stem}, {scene}, {name}")
                if not off <= allowed:
                    wrong.append(f"{scene}: {name} {key} {got:.9g}, wanted {want:.9g}")
    return wrong, largest


def note(largest: dict[str, tuple[float, str]]) -> None:
    """Keeps the largest differences for the summary line."""
    for key, found in largest.items():
        LARGEST[key] = max(LARGEST.get(key, (-1.0, "")), found)


def agree(path: Path, wrong: list[str]) -> None:
    assert not wrong, "\n".join([f"{len(wrong)} differences in {path}"] + wrong[:40])


@pytest.mark.parametrize("path", PLANS, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_figures(path):
    wrong, largest = differences(path, circuit.figures(reading.plan_of(path)))
    note(largest)
    agree(path, wrong)


def held(seed: int, folder: Path):
    """One invented plan: what differs, by how much, and what corners it holds."""
    path = invented.write(seed, folder)
    try:
        ours, seen = corners.of(reading.plan_of(path), path.read_text(encoding="utf-8"))
    except circuit.Unsettled as unsettled:  # told by its own test, not by a torn pool
        return path, [f"the independent solution: {unsettled}"], {}, set()
    return path, *differences(path, ours), seen


@pytest.fixture(scope="session")
def results(tmp_path_factory):
    """All invented plans, worked out by as many processes as there are processors."""
    folder = tmp_path_factory.mktemp("invented")
    invented.write(0, folder)  # the stock that some use
    with ProcessPoolExecutor(os.cpu_count(), mp_context=multiprocessing.get_context("spawn")) as pool:
        found = dict(zip(SEEDS, pool.map(held, SEEDS, [folder] * len(SEEDS), chunksize=5)))
    for _, _, largest, _ in found.values():
        note(largest)
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_invented(seed, results):
    path, wrong, _, _ = results[seed]
    agree(path, wrong)


@pytest.mark.skipif(len(SEEDS) < STANDING, reason="a part of the invented plans holds a part of the corners")
@pytest.mark.parametrize("corner", corners.WANTED)
def test_corner_occurs(corner, results):
    """The invented plans hold what they are to hold, often enough."""
    count = collections.Counter(c for _, _, _, seen in results.values() for c in seen)
    assert count[corner] >= corners.WANTED[corner], f"{corner}: in {count[corner]} plans"

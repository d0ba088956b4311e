"""The lists of `glimloom parts` against a count from the text, and its cutting of tape against an integer programme."""

from __future__ import annotations

import collections
import csv
import io
import random
import subprocess
from pathlib import Path

import numpy
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

import invented
import program
import reading

PLANS = sorted((program.ROOT / "docs" / "examples").glob("*.harness")) + sorted(
    (program.ROOT / "tests" / "plans" / "good").glob("*.harness")
)
SEEDS = range(60)
WASTE, REEL = 0.10, 5.0  # common practice; docs/sheet.md says so
COUNTED = {"supply", "fuse", "switch", "connector", "diode", "rectifier", "regulator", "load"}


def clean(plan: Path) -> bool:
    """Whether the program reads all of a plan: it counts nothing that is in error, and this reading does not read that."""
    return not program.parts(plan)["left_out"]


def wires(plan: reading.Plan) -> dict[tuple[str, str | None], tuple[int, float]]:
    """Of each wire and colour: how many pieces, and how long they are together."""
    out: dict[tuple[str, str | None], tuple[int, float]] = collections.defaultdict(lambda: (0, 0.0))

    def cut(run: reading.Run | None, leg: int) -> None:
        if run is None or run.length <= 0.0:
            return
        colours = plan.wires[run.wire].colours
        colour = None if not colours else colours[0] if leg == 0 else colours[-1]
        pieces, length = out[run.wire, colour]
        out[run.wire, colour] = pieces + 1, length + run.length + 2 * plan.slack

    for item in plan.items.values():
        cut(item.run, 0)
        cut(item.back_run if item.back is not None else item.run, 1)
    for link in plan.links:
        cut(link.run, 0)
        cut(link.run, 1)
    return dict(out)


def check_totals(plan: reading.Plan, told: dict) -> None:
    theirs = {
        (wire["name"], colour["colour"]): (colour["pieces"], colour["metres"]) for wire in told["wires"] for colour in wire["colours"]
    }
    ours = wires(plan)
    assert theirs.keys() == ours.keys()
    for key, (pieces, length) in ours.items():
        assert theirs[key][0] == pieces
        assert theirs[key][1] == pytest.approx(length, abs=1e-8)
    for wire in told["wires"]:
        cut = sum(length for (name, _), (_, length) in ours.items() if name == wire["name"])
        assert wire["metres"] == pytest.approx(cut, abs=1e-8)
        assert wire["pieces"] == sum(pieces for (name, _), (pieces, _) in ours.items() if name == wire["name"])
        have = plan.wires[wire["name"]].have
        if not isinstance(have, int):
            assert wire["buy_metres"] == pytest.approx(max(0.0, cut * (1 + WASTE) - (have or 0.0)), abs=1e-8)

    groups: dict[str, int] = collections.Counter()
    lamps: dict[str, int] = collections.Counter()
    boards: dict[str, int] = collections.Counter()
    kinds: dict[str, int] = collections.Counter()
    fuses: dict[tuple[float, str], int] = collections.Counter()
    ohms: dict[float, int] = collections.Counter()
    for item in plan.items.values():
        if item.kind == "strip":
            groups[item.of] += plan.groups_of(item)
        elif item.kind in ("lamp", "string"):
            lamps[item.of] += item.lamps
            if item.resistance is not None:
                ohms[round(item.resistance, 6)] += 1
        elif item.kind == "board":
            boards[item.of] += 1
        elif item.kind == "resistor":
            ohms[round(item.resistance, 6)] += 1
        elif item.kind in COUNTED:
            kinds[item.kind] += 1
        if item.kind == "fuse":
            fuses[round(item.amps, 6), item.acts] += 1
    assert {tape["name"]: tape["groups"] for tape in told["tapes"]} == groups
    for tape in told["tapes"]:
        assert tape["metres"] == pytest.approx(groups[tape["name"]] * plan.tapes[tape["name"]].length, abs=1e-8)
    told_of = lambda kind: [part for part in told["parts"] if part["kind"] == kind]
    assert {part["name"]: part["used"] for part in told_of("led")} == lamps
    assert {part["name"]: part["used"] for part in told_of("module")} == boards
    for kind in COUNTED:
        assert sum(part["used"] for part in told_of(kind)) == kinds[kind], kind
    said = collections.Counter()
    for part in told_of("fuse"):
        amount, acts = part["what"].rsplit(" ", 1)
        number, unit = amount.split(" ")
        said[round(float(number) * {"A": 1.0, "mA": 1e-3}[unit], 6), acts] += part["used"]
        assert part["spare"] == (0 if acts == "resettable" else 2)
    assert said == fuses
    said = collections.Counter()
    for resistor in told["resistors"]:
        said[round(resistor["ohms"], 6)] += resistor["used"]
        assert len(resistor["for"]) == resistor["used"]
        assert resistor["spare"] == -(-resistor["used"] // 10)
    assert said == ohms
    for name, have in [(led.name, led.have) for led in plan.leds.values()]:
        for part in told_of("led"):
            if part["name"] == name:
                wanted = part["used"] + -(-part["used"] // 10)
                assert part["buy"] == max(0, wanted - int(have or 0))


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.name)
def test_totals_of_plans_by_hand(path):
    if not clean(path):
        pytest.skip("part of it is left out")
    check_totals(reading.plan_of(path), program.parts(path))


@pytest.mark.parametrize("seed", SEEDS)
def test_totals_of_invented_plans(seed, tmp_path):
    path = invented.write(seed, tmp_path)
    check_totals(reading.plan_of(path), program.parts(path))


def fewest(cuts: list[int], reel: int, at_hand: int) -> int:
    """The fewest reels, by mixed-integer programming: which cut is from which reel, and which reels are begun."""
    if not cuts:
        return 0
    reels = len(cuts)
    places = reels + 1  # the last is the piece at hand
    count = len(cuts) * places + reels
    cost = numpy.zeros(count)
    cost[len(cuts) * places:] = 1.0
    rows, low, high = [], [], []
    for cut in range(len(cuts)):
        row = numpy.zeros(count)
        row[cut * places:(cut + 1) * places] = 1.0
        rows.append(row), low.append(1.0), high.append(1.0)
    for place in range(places):
        row = numpy.zeros(count)
        row[place:len(cuts) * places:places] = cuts
        if place < reels:
            row[len(cuts) * places + place] = -reel
        rows.append(row), low.append(-numpy.inf), high.append(0.0 if place < reels else at_hand)
    done = milp(cost, constraints=LinearConstraint(numpy.array(rows), low, high), integrality=numpy.ones(count), bounds=Bounds(0, 1))
    assert done.success, done.message
    return round(done.fun)


@pytest.mark.parametrize("seed", range(40))
def test_the_fewest_reels(seed, tmp_path):
    chance = random.Random(seed)
    reel = chance.randint(8, 16)  # groups; each group is 25 mm
    have = chance.choice([None, chance.randint(1, 20)])
    cuts = [chance.randint(1, reel) for _ in range(chance.randint(1, 9))]
    at_hand = f" have {25 * have} mm" if have else ""
    text = f"tape t group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V{at_hand}\nsupply s 12 V 9 A\n"
    text += "".join(f"strip u-{n} of t {cut} groups from s\n" for n, cut in enumerate(cuts))
    path = tmp_path / "cuts.harness"
    path.write_text(text, encoding="utf-8")
    (tape,) = program.parts(path, "--reel", f"{25 * reel} mm")["tapes"]
    assert tape["buy_reels"] == tape["at_least"] == fewest(cuts, reel, have or 0)
    left = collections.Counter()
    for cut, told in zip(cuts, tape["cuts"], strict=True):
        assert told["groups"] == cut
        left[told["reel"]] += cut
    assert left.pop(None, 0) <= (have or 0)
    assert sorted(left) == list(range(1, len(left) + 1)) and all(used <= reel for used in left.values())


def test_the_spreadsheet_holds_the_same():
    path = program.ROOT / "docs" / "examples" / "night-ferry.harness"
    told = program.parts(path)
    done = subprocess.run([str(program.binary()), "parts", str(path), "--csv"], capture_output=True, text=True, check=True)
    lines = list(csv.DictReader(io.StringIO(done.stdout)))
    by_list = collections.defaultdict(list)
    for line in lines:
        assert line["name"][:1] not in tuple("=+-@\t\r") and line["what"][:1] not in tuple("=+-@\t\r")
        by_list[line["list"]].append(line)
    assert [float(line["used"]) for line in by_list["wire"]] == [pytest.approx(w["metres"], abs=1e-4) for w in told["wires"]]
    assert [float(line["used"]) for line in by_list["tape"]] == [pytest.approx(t["metres"], abs=1e-4) for t in told["tapes"]]
    assert [int(line["used"]) for line in by_list["resistor"]] == [r["used"] for r in told["resistors"]]
    assert [int(line["to buy"]) for line in by_list["led"]] == [p["buy"] for p in told["parts"] if p["kind"] == "led"]

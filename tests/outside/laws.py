"""Published values, seen through the figures of tiny plans.

Each function writes a plan into a folder, runs the program on it, and works the value of the row back from the
printed figures. No law of the project is used on the way, only Ohm's: what a run loses at a known current is
twice the resistance of one leg.
"""

from __future__ import annotations

import math
from pathlib import Path

import program

INCH = 0.0254
FOOT = 0.3048
RHO = 0.017241e-6  # ohm m, IEC 60028: turns a measured resistance of an AWG wire into its diameter


def items(folder: Path, text: str) -> dict[str, dict]:
    """The figures of the tiny plan, everything on, by item."""
    path = folder / "tiny.harness"
    path.write_text(text, encoding="utf-8")
    scene = program.figures(path)["scenes"][-1]
    assert "no_solution" not in scene, scene
    return {item["name"]: item for item in scene["items"]}


def ohm_per_metre(folder: Path, size: str, ambient: float = 20.0) -> float:
    """Resistance of one leg of a wire of this size: a run of 10 m at a current that loses about 4 V."""

    def measured(milliamps: float) -> float:
        text = (
            f'harness "one run" ambient {ambient:g} degC\nwire w {size}\nsupply s 48 V\n'
            f"load l draws {milliamps:.4f} mA from s over 10 m of w\n"
        )
        return items(folder, text)["l"]["drop"] / (milliamps * 1e-3) / 20.0

    rough = measured(1.0)
    return measured(min(4.0 / (20.0 * rough), 50.0) * 1e3)


def gauge(folder: Path, number: float) -> float:
    return ohm_per_metre(folder, f"gauge {number:g} AWG")


def diameter(folder: Path, number: float) -> float:
    """Of an AWG wire, m, from its resistance."""
    return math.sqrt(4.0 * RHO / (math.pi * gauge(folder, number)))


def rounded_inches(folder: Path, row: dict) -> float:
    """NBS Handbook 100 rounds the diameter to 0.1 mil; the plan states that diameter in inches."""
    number = row["inputs"]["gauge"]
    mils = round(5.0 * 92.0 ** ((36 - number) / 39.0), 1)
    return ohm_per_metre(folder, f"diameter {mils / 1000.0:.4f}in") * FOOT * 1000.0


def tape_amps(folder: Path, pitch_mm: float, lamps: int, milliamps: float, strips: int = 1) -> float:
    """Current of strips of one metre of a tape with groups of three at 12 V."""
    text = (
        f"tape t group 3 lamps long {pitch_mm:g} mm works 9 V to 13 V draws {milliamps:g} mA at 12 V\n"
        "supply s 12 V 10 A\n"
    ) + "".join(f"strip a{n} of t {lamps} lamps from s\n" for n in range(strips))
    got = items(folder, text)
    return sum(got[f"a{n}"]["amps"] for n in range(strips))


def ohms_read(folder: Path, mark: str) -> float:
    """What the program takes a way to write ohms for: a load at 10 V."""
    load = items(folder, f"supply s 10 V 1 A\nload l resistance {mark} from s\n")["l"]
    return load["volts"] / load["amps"]


def accuracy(row: dict) -> float:
    """Relative accuracy with which the figures show the value, where that is coarser than an exact row.

    The figures are promised to 1 uA: of 100 mA (tape), of 1 mA and more (the resistances at 10 V).
    """
    if row["topic"] == "strip":
        return 1e-5
    if row["topic"] == "resistor" and row["id"].startswith(("eseries.e", "res.led.")):
        return 1e-3
    return 0.0


def ratio(folder: Path, row: dict) -> float:
    """So many gauge numbers thicker is that power of the ratio of diameters (three numbers: of areas, so six)."""
    return math.sqrt(gauge(folder, 36) / gauge(folder, 36 - row["inputs"]["power"]))


def warmth(folder: Path, row: dict) -> float:
    """Resistance at a temperature against that at 20 degC."""
    return ohm_per_metre(folder, "area 1 mm2", row["inputs"]["temp_c"]) / ohm_per_metre(folder, "area 1 mm2")


def marked(folder: Path, row: dict) -> bool:
    """The row says that the value is preferred; the figures show that its mark is read as that value."""
    value = row["inputs"]["value"]
    mark = f"{value:.2f}".replace(".", "k")
    return abs(ohms_read(folder, mark) / (value * 1e3) - 1.0) < accuracy(row)


def series_resistor(folder: Path, row: dict) -> float:
    """The lamp drops its Vf at its rated current, so the row's resistor is right if that current flows."""
    given = row["inputs"]
    text = (
        f"led p drops {given['vf_sum']:g} V at {given['current'] * 1e3:g} mA\nsupply s {given['supply']:g} V 1 A\n"
        f"lamp l of p resistor {row['expected']:g} ohm from s\n"
    )
    return (given["supply"] - given["vf_sum"]) / items(folder, text)["l"]["amps"]


def tape_metre(folder: Path, row: dict) -> float:
    """Current of a metre of tape, of as many strips as it has colours."""
    given = row["inputs"]
    per_metre = given["lamps_per_m"]
    return tape_amps(folder, 3000.0 / per_metre, per_metre, given["group_ma"], given.get("channels", 1))


def groups(folder: Path, row: dict) -> float:
    """Groups in a metre, from its current at 10 mA a group."""
    per_metre = row["inputs"]["lamps_per_m"]
    return tape_amps(folder, 3000.0 / per_metre, per_metre, 10.0) / 0.010


# How a row is seen: the beginning of its id, and what works its value out.
LAWS = {
    "awg.ratio.": ratio,
    "awg.every3": ratio,
    "awg.diam.mm.": lambda f, row: diameter(f, row["inputs"]["gauge"]) * 1e3,
    "awg.diam.in.": lambda f, row: diameter(f, row["inputs"]["gauge"]) / INCH,
    "awg.cmil.": lambda f, row: (diameter(f, row["inputs"]["gauge"]) / INCH * 1e3) ** 2,
    "awg.ohm.kft.hb100.": rounded_inches,
    "awg.ohm.kft.": lambda f, row: gauge(f, row["inputs"]["gauge"]) * FOOT * 1000.0,
    "awg.ohm.m.": lambda f, row: gauge(f, row["inputs"]["gauge"]),
    "cu.rho20": lambda f, row: ohm_per_metre(f, "area 1 mm2"),
    "cu.alpha20": lambda f, row: (
        (ohm_per_metre(f, "area 1 mm2", 70.0) / ohm_per_metre(f, "area 1 mm2") - 1.0) / 50.0
    ),
    "cu.factor.": warmth,
    "cu.kt.": lambda f, row: 1.0 / warmth(f, row),
    "enam.ohm.max.": lambda f, row: ohm_per_metre(
        f, f"diameter {row['inputs']['d_mm'] - row['inputs']['tol_mm']:.4f} mm insulation enamel"
    ),
    "eseries.e6": lambda f, row: [ohms_read(f, f"{v:.1f}".replace(".", "k")) / 1e3 for v in row["expected"]],
    "eseries.e96.": marked,
    "res.led.": series_resistor,
    "strip.rgb": tape_metre,
    "strip.mono": tape_metre,
    "strip.groups.": groups,
    "strip.pitch.": lambda f, row: 1000.0 / groups(f, row),
    # one square of a sheet is as one metre of wire whose section is the thickness times one metre
    "strip.sheet.": lambda f, row: ohm_per_metre(f, f"area {row['inputs']['thickness_um'] * 1e-6 * 1e6:g} mm2") * 1e3,
    "strip.rail.": lambda f, row: ohm_per_metre(
        f, f"area {row['inputs']['width_mm'] * row['inputs']['thickness_um'] * 1e-3:g} mm2"
    ),
}

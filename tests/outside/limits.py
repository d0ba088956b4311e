"""Published values, seen through findings and the full figures of tiny plans (`figures --full`, `check`).

A limit is seen by trying both sides of it: a plan a millionth under it and one a millionth over it.
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import program

NAN = math.nan
HAIR = 1e-6  # how far to each side of a limit is tried, of its value


def write(folder: Path, text: str) -> Path:
    path = folder / "tiny.harness"
    path.write_text(text, encoding="utf-8")
    return path


def full(folder: Path, text: str) -> dict:
    return program.full(write(folder, text))


def found(folder: Path, text: str, check: str) -> list[dict]:
    """The findings of one check."""
    return [f for f in program.findings(write(folder, text)) if f["check"] == check]


def limit(value: float, broken, hair: float = HAIR) -> float:
    """The value, if the limit lies there: kept just under it, broken just over it."""
    return value if not broken(value * (1.0 - hair)) and broken(value * (1.0 + hair)) else NAN


def searched(low: float, high: float, broken) -> float:
    """Where, between the two, a limit lies: by halving."""
    assert not broken(low) and broken(high)
    for _ in range(24):
        middle = (low + high) / 2.0
        low, high = (low, middle) if broken(middle) else (middle, high)
    return (low + high) / 2.0


# Wire


def run(folder: Path, size: str, head: str = "") -> dict:
    text = f"{head}wire w {size}\nsupply s 10 V 1 A\nload l draws 1 mA from s over 1 m of w\n"
    return full(folder, text)["runs"][0]


def may_carry(folder: Path, row: dict) -> float:
    """A wire of this gauge with thin insulation (0.3 mm all round)."""
    copper = 0.127 * 92.0 ** ((36 - row["inputs"].get("gauge", 20)) / 39.0)
    return run(folder, f"gauge {row['inputs'].get('gauge', 20)} AWG insulation pvc outer {copper + 0.6:.3f} mm")["may_carry"]


def convection(folder: Path, row: dict) -> float:
    """The coefficient of heat, from what a bare wire may carry: twice that warms it by 20 K (I2 R' = h pi D 20 K)."""
    diameter = row["inputs"]["d_m"]
    size = f"diameter {diameter * 1e3:g} mm insulation none"
    warm = run(folder, size, 'harness "warm" ambient 40 degC\n')["ohms"]  # 20 K over 20 degC
    return (2.0 * run(folder, size)["may_carry"]) ** 2 * warm / (math.pi * diameter * row["inputs"]["delta_t"])


def class_ohms(folder: Path, row: dict) -> float:
    """Ohms a kilometre of a wire of this nominal section."""
    return run(folder, f"area {row['inputs']['area_mm2']:g} mm2")["ohms"] * 1e3


# Fuses


def shorted(folder: Path, kind: str, rated: float, multiple: float) -> dict:
    """A short behind a fuse, from a supply that gives just this multiple of the rating."""
    text = (
        f"wire w area 2 mm2\nsupply s 12 V {rated * multiple:.6g} A\nfuse F {rated:g} A {kind} from s\n"
        "load l draws 1 mA from F over 1 cm of w\n"
    )
    return full(folder, text)["runs"][0]


def opens(folder: Path, row: dict) -> float:
    """The longest time until it opens; without end where it may hold for good."""
    name = row["id"]
    kind = "slow" if name.startswith("fuse.t.") else "quick"
    rated = 0.063 if ".small." in name else 0.5
    got = shorted(folder, kind, rated, row["inputs"]["multiple"])
    return got["within_seconds"] if got["clears"] == "surely" else math.inf


def least_rating(folder: Path, row: dict) -> float:
    """The smallest R10 rating that is not too small for this load."""
    load = row["inputs"]["load_a"]
    for rated in (0.1, 0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1.0):
        text = f"supply s 12 V 5 A\nfuse F {rated:g} A from s\nload l draws {load:g} A from F\n"
        if not found(folder, text, "fuse-too-small"):
            return rated
    return NAN


def amps_of(title: str) -> float:
    """`F of 0.5 A instead of …`"""
    number, unit = re.search(r" of ([\d.]+) (m?A) ", title).groups()
    return float(number) * {"A": 1.0, "mA": 1e-3}[unit]


def next_rating(folder: Path, row: dict) -> float:
    """The value itself if it is preferred, else the mend that goes up."""
    amps = row["inputs"]["amps"]
    text = f"supply s 12 V 5 A\nfuse F {amps:g} A from s\nload l draws 50 mA from F\n"
    hints = found(folder, text, "fuse-not-preferred")
    if not hints:
        return amps
    return min(a for a in map(amps_of, hints[0]["fixes"]) if a > amps)


# Resistors


def preferred_count(folder: Path, row: dict) -> int:
    """How many of the two-digit values of a decade are preferred."""
    text = "supply s 12 V 1 A\n" + "".join(f"resistor r{n} {n} ohm from s\n" for n in range(10, 100))
    return 90 - len(found(folder, text, "resistor-not-preferred"))


def next_resistor(folder: Path, row: dict) -> float:
    """The value itself if it is preferred (the rows of E24 are)."""
    ohms = row["inputs"]["ohms"]
    text = f"supply s 12 V 1 A\nresistor r {ohms:g} ohm from s\n"
    return NAN if found(folder, text, "resistor-not-preferred") else ohms


def margin(folder: Path, row: dict) -> float:
    """The share of the rating from which a resistor is called hot: the page of the check says 60 %, and it lies there.

    100 ohm and, in a corner, 5 % more, at 50 mA, against its rating.
    """
    def hot(share: float) -> bool:
        text = (
            f"supply s 12 V 1 A tolerance 0 %\nresistor r 100 ohm {0.25 * 1.05 / share:.9f} W from s\n"
            "load l draws 50 mA from r\n"
        )
        return bool(found(folder, text, "resistor-too-hot"))

    return limit(0.6, hot, 1e-4)


# Lamps


COLOUR_OF = {
    "led.vf.white-3000K": "warm-white", "led.vf.white": "white", "led.vf.red-alingap": "red", "led.vf.amber": "amber",
    "led.vf.yellow": "yellow", "led.vf.yellow-gaasp": "yellow", "led.vf.green-ingan": "green", "led.vf.blue": "blue",
    "led.vf.uv-400": "uv",
}


def usual_drop(folder: Path, row: dict) -> list[float]:
    """What a lamp of a tape is taken to drop: as much as leaves nothing for the resistor of a group of one lamp."""
    low, typical, high = row["expected"]

    def possible(volts: float) -> bool:
        text = (
            f"tape t group 1 lamps long 10 mm works 1 V to 12 V draws 20 mA at {volts:.7f} V colour {COLOUR_OF[row['id']]}\n"
            "supply s 12 V 1 A\nstrip l of t 1 lamps from s\n"
        )
        return not found(folder, text, "drops-impossible")

    drop = searched(1.0, 6.0, possible)

    def unlikely(volts: float) -> bool:
        text = f"led p drops {volts:g} V at 20 mA colour {COLOUR_OF[row['id']]}\nsupply s 12 V 1 A\nlamp l of p resistor 560 ohm from s\n"
        return bool(found(folder, text, "figure-unlikely"))

    # what a data sheet allows is not called unlikely
    return [NAN if unlikely(low) else low, drop, NAN if unlikely(high) else high]


def cone(folder: Path, row: dict) -> float:
    given = row["inputs"]
    text = (
        f"led p drops 3.0 V at 20 mA gives {given['candela']:g} cd over {given['full_angle_deg']:g} deg\nzone z\n"
        "supply s 10 V 1 A\nlamp l of p resistor 350 ohm from s in z\n"
    )
    return full(folder, text)["scenes"][-1]["zones"][0]["lumens"]


# Light and heat


def gain(folder: Path, finish: str, lumens: float, area: float, openings: float) -> float:
    """Light on the windows of a zone, lux."""
    text = (
        f"led p drops 3.0 V at 20 mA gives {lumens:g} lm\nzone z inside {area * 1e4:g} cm2 windows {area * openings * 1e4:g} cm2 "
        f"finish {finish}\nsupply s 10 V 1 A\nlamp l of p resistor 350 ohm from s in z\n"
    )
    return full(folder, text)["scenes"][-1]["zones"][0]["windows_lux"]


FINISH = {0.85: "white", 0.8: "silver", 0.4: "bare", 0.05: "black"}


def multiplier(folder: Path, row: dict) -> float:
    """Of the light without the first hit: (E A / flux - 1) / (1 - f)."""
    f = row["inputs"]["f"]
    return (gain(folder, FINISH[row["inputs"]["rho"]], 1.0, 0.01, f) * 0.01 - 1.0) / (1.0 - f)


def cavity(folder: Path, row: dict) -> float:
    given = row["inputs"]
    return gain(folder, FINISH[given["rho"]], given["lumen"], given["area_m2"], given["f"])


def reflectance(folder: Path, row: dict) -> float:
    """Of the finish of this name, from the gain with next to no openings."""
    openings = 1e-6
    return (1.0 - 1.0 / (gain(folder, row["inputs"]["surface"], 1.0, 0.01, openings) * 0.01)) / (1.0 - openings)


def unseen(folder: Path, row: dict) -> float:
    """How much brighter one of two like zones must be before that is said."""
    def uneven(more: float) -> bool:
        text = (
            "led p drops 3.0 V at 20 mA gives 5 lm\n" f"led q drops 3.0 V at 20 mA gives {5.0 * (1.0 + more):.9f} lm\n"
            "zone a inside 100 cm2 windows 10 cm2\nzone b inside 100 cm2 windows 10 cm2 as bright as a\nsupply s 10 V 1 A\n"
            "lamp l of p resistor 350 ohm from s in a\nlamp m of q resistor 350 ohm from s in b\n"
        )
        return bool(found(folder, text, "zone-uneven"))

    return limit(row["expected"], uneven, 1e-4)


def softening(folder: Path, row: dict) -> float:
    """The warmest that a resistor's body may be on this plastic: raised by the ambient, at next to no power."""
    material = {"heat.ps.tg": "styrene", "heat.abs.tg": "abs"}[row["id"]]

    def soft(celsius: float) -> bool:
        text = (
            f'harness "warm" ambient {celsius:.6f} degC\nled p drops 3.0 V at 20 mA\nzone z material {material}\nsupply s 12 V 1 A\n'
            "fuse F 100 mA from s\nresistor r 1 ohm 10 W from F in z\nload l draws 1 mA from r in z\n"
        )
        return bool(found(folder, text, "resistor-softens-plastic"))

    return searched(30.0, 150.0, soft)


# Batteries


def hours(folder: Path, supply: str, amps: float) -> float:
    return full(folder, f"supply s {supply}\nload l draws {amps * 1e3:g} mA from s\n")["batteries"][0]["hours"]


def whole_battery(folder: Path, row: dict) -> float:
    """A battery run down flat, at a steady current; a thousand times as large, for the row is exact to 1e-9 and the
    very small load of the figures takes some 1e-11 A."""
    given = row["inputs"]
    return hours(folder, f"9 V capacity {given['mah']:g} Ah spent 5.4 V", given["ma"])


def empty_volts(folder: Path, row: dict) -> float:
    """Where the straight line of a battery's voltage ends: its first tenth of volts takes a known part of its hours."""
    volts = {"bat.end.alkaline-cell": 1.5, "bat.end.9V-alkaline": 9.0}[row["id"]]
    capacity, amps = 1.0, 0.010
    part = hours(folder, f"{volts} V capacity {capacity} Ah spent {0.9 * volts} V", amps) / (capacity / amps)
    return volts - 0.1 * volts / part


# Bundles


def bundle(folder: Path, row: dict) -> float:
    """The smallest hole for so many equal wires, in diameters of one: pairs, and for the odd one a single leg."""
    n = row["inputs"]["n"]
    lines = ["wire w diameter 0.5 mm insulation pvc outer 1 mm", "zone a", "zone b", "passage p between a and b bore 30 mm",
             "passage q between a and b bore 30 mm", "supply s 10 V 1 A in a"]
    lines += [f"load l{k} draws 1 mA from s over 9 cm of w via p in b" for k in range(n // 2)]
    if n % 2:
        lines.append("load odd draws 1 mA from s over 9 cm of w via p return to s over 9 cm of w via q in b")
    got = full(folder, "\n".join(lines) + "\n")["passages"][0]
    assert got["wires_mm"] == [1.0] * n
    return got["smallest_mm"]


def jam(folder: Path, row: dict) -> list[float]:
    """The bores, in diameters, between which three wires are said to wedge."""
    def wedges(bore: float) -> bool:
        text = (
            f"wire w diameter 0.5 mm insulation pvc outer 1 mm\nzone a\nzone b\npassage p between a and b bore {bore:.8f} mm\n"
            "passage q between a and b bore 30 mm\nsupply s 10 V 1 A in a\nload l draws 1 mA from s over 9 cm of w via p in b\n"
            "load odd draws 1 mA from s over 9 cm of w via p return to s over 9 cm of w via q in b\n"
        )
        return bool(found(folder, text, "bundle-jams"))

    low, high = row["expected"]
    return [limit(low, wedges), limit(high, lambda bore: not wedges(bore))]


# Safety and colours


def flashes(folder: Path, row: dict) -> float:
    def fast(hertz: float) -> bool:
        text = (
            f"led p drops 3.0 V at 20 mA\nmodule m works 5 V to 14 V draws 5 mA output a 100 mA flash {hertz:.8f} Hz\n"
            "supply s 12 V 1 A\nboard b of m from s\nlamp l of p resistor 470 ohm from b.a\n"
        )
        return bool(found(folder, text, "fast-flash"))

    return limit(row["expected"], fast)


def low_voltage(folder: Path, row: dict) -> float:
    """The source from which on the tool is not for."""
    def over(volts: float) -> bool:
        return bool(found(folder, f"supply s {volts:.6f} V 1 A\nload l draws 1 mA from s\n", "above-low-voltage"))

    return searched(12.0, 240.0, over)


def colour_word(folder: Path, row: dict) -> str:
    """The word, if a wire of that colour is taken as it is, and one of another word is not."""
    def unusual(word: str) -> bool:
        text = f"wire w gauge 24 AWG colour {word}\nsupply s 12 V 1 A\nload l draws 1 mA from s over 9 cm of w\n"
        return bool(found(folder, text, "colour-unusual"))

    return row["expected"] if not unusual(row["expected"]) and unusual(row["expected"] + "ish") else "unusual"


def polarity(folder: Path, row: dict) -> str:
    """The code of the colour that plus (or minus) is taken to have: the other way round is a clash."""
    def clashes(colours: str) -> bool:
        text = f"wire w gauge 24 AWG colours {colours}\nsupply s 12 V 1 A\nload l draws 1 mA from s over 9 cm of w\n"
        return bool(found(folder, text, "colour-clash"))

    plus = row["id"] == "colour.dc.plus"
    right, wrong = ("red, blue", "blue, red") if plus else ("blue, black", "black, blue")
    return {True: "RD", False: "BK"}[plus] if not clashes(right) and clashes(wrong) else "either"


LAWS = {
    "iec60228.": class_ohms,
    "amp.chassis.": may_carry, "amp.single.nasa.": may_carry,
    "heat.h.short.": convection,
    "fuse.t.low.": opens, "fuse.f.low.": opens,
    "fuse.75.": least_rating,
    "fuse.r10.": next_rating,
    "eseries.count.E24": preferred_count,
    "res.next.E24.": next_resistor,
    "res.margin": margin,
    "led.vf.": usual_drop,
    "led.flux.cone.": cone,
    "light.cavity.": multiplier, "light.cavity.total": cavity,
    "light.reflectance.": reflectance,
    "light.unseen": unseen,
    "heat.ps.tg": softening, "heat.abs.tg": softening,
    "bat.hours": whole_battery,
    "bat.end.": empty_volts,
    "bundle.pack.": bundle, "bundle.rule12.": bundle,
    "bundle.jam": jam,
    "flick.wcag": flashes,
    "elv.limit.dc": low_voltage,
    "colour.iec.": colour_word,
    "colour.dc.": polarity,
}

# How the program's value is held against that of the row, where it is not to be the same.
NO_MORE, NO_LESS, WITHIN, LONGEST = "no more", "no less", "within", "longest"
BOUNDS = {
    "iec60228.": NO_MORE,  # the largest permitted resistance of a conductor
    "amp.chassis.": NO_MORE, "amp.single.nasa.": NO_MORE,  # the most that others let it carry
    "fuse.t.low.": LONGEST, "fuse.f.low.": LONGEST,  # [shortest, longest]: the program tells the longest
    "heat.ps.tg": NO_MORE, "heat.abs.tg": NO_MORE,  # [begins, is soft]: the program's limit is to lie under the first
    "bat.end.": WITHIN,
    "elv.limit.dc": NO_MORE,
    # the program takes the larger of the packing and the trade rule, so each of them is a least
    "bundle.pack.": NO_LESS, "bundle.rule12.": NO_LESS,
}
# ... and where the one that governs is this one, it is the value itself
for n in (2, 4, 6, 10):
    BOUNDS[f"bundle.pack.{n}"] = "same"
for n in (7, 11, 12):
    BOUNDS[f"bundle.rule12.{n}"] = "same"

"""Every unit of the language, as the program reads it, against the unit library pint.

Each row is a way to write a quantity in a plan, the same quantity in pint's own words, and where the figures show it.
"""

from __future__ import annotations

import math

import pint
import pytest

import program

UNITS = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
Q = UNITS.Quantity

# The unit words of section 2 of the language page; each must be used below.
WORDS = """V mV A mA uA ohm kohm Mohm Ω kΩ MΩ W mW mm cm m ft inch in mm2 cm2 in2 AWG mAh Ah degC degF Hz ms s min h lm mcd cd
deg % R k M""".split()

LED = "led p drops 3.0 V at 20 mA gives 6 lm\n"
TEN_VOLTS = "supply s 10 V 5 A\n"


def seen(folder, text: str) -> dict:
    path = folder / "unit.harness"
    path.write_text(text, encoding="utf-8")
    return program.full(path)


def item(figures: dict, name: str) -> dict:
    scene = figures["scenes"][-1]
    assert "no_solution" not in scene, scene
    return next(i for i in scene["items"] if i["name"] == name)


def volts(folder, written):  # of a supply
    return Q(item(seen(folder, f"supply s {written} 1 A\nload l resistance 1k from s\n"), "l")["volts"], "volt")


def amps(folder, written):  # of a load
    return Q(item(seen(folder, f"{TEN_VOLTS}load l draws {written} from s\n"), "l")["amps"], "ampere")


def ohms(folder, written):
    load = item(seen(folder, f"{TEN_VOLTS}load l resistance {written} from s\n"), "l")
    return Q(load["volts"] / load["amps"], "ohm")


def watts(folder, written):
    return Q(item(seen(folder, f"{TEN_VOLTS}load l takes {written} from s\n"), "l")["watts"], "watt")


def length(folder, written):
    text = f"wire w area 1 mm2\n{TEN_VOLTS}load l draws 1 mA from s over {written} of w\n"
    return Q(seen(folder, text)["runs"][0]["metres"], "metre")


def diameter(folder, written):  # of a wire, from its resistance against that of 1 mm2
    def per_metre(size):
        return seen(folder, f"wire w {size}\n{TEN_VOLTS}load l draws 1 mA from s over 1 m of w\n")["runs"][0]["ohms"]

    square_mm = per_metre("area 1 mm2") / per_metre(f"diameter {written}")
    return Q(math.sqrt(4.0 * square_mm / math.pi), "millimetre")


def area(folder, written):  # of copper, against a wire of a diameter of 1 mm
    def per_metre(size):
        return seen(folder, f"wire w {size}\n{TEN_VOLTS}load l draws 1 mA from s over 1 m of w\n")["runs"][0]["ohms"]

    return Q(math.pi / 4.0 * per_metre("diameter 1 mm") / per_metre(f"area {written}"), "millimetre ** 2")


def inside(folder, written):  # of a zone: its light on a window of no size to speak of goes as 1 / area
    def lux(size):
        text = f"{LED}zone z inside {size} windows {size} finish black\n{TEN_VOLTS}lamp l of p resistor 350 ohm from s in z\n"
        return seen(folder, text)["scenes"][-1]["zones"][0]["windows_lux"]

    return Q(lux("10000 mm2") / lux(written) * 1e-2, "metre ** 2")


def bore(folder, written):  # of a passage: the least bore that two wires of 1 mm need is 2 mm
    text = (
        "wire w diameter 0.5 mm insulation pvc outer 1 mm\nzone a\nzone b\n"
        f"passage p between a and b bore {written}\nsupply s 10 V in a\nload l draws 1 mA from s over 9 cm of w via p in b\n"
    )
    path = folder / "unit.harness"
    path.write_text(text, encoding="utf-8")
    return not any(f["check"] == "passage-too-tight" for f in program.findings(path))


def charge(folder, written):  # a battery that falls to 0.6 of its volts gives half of its charge until 0.8
    text = f"supply s 10 V capacity {written} spent 8 V\nload l draws 10 mA from s\n"
    return Q(seen(folder, text)["batteries"][0]["hours"] * 0.010 * 2.0, "ampere * hour")


def ambient(folder, written):  # copper has 0.393 % more ohms a kelvin (IEC 60028)
    def per_metre(head):
        text = f"{head}wire w area 1 mm2\n{TEN_VOLTS}load l draws 1 mA from s over 1 m of w\n"
        return seen(folder, text)["runs"][0]["ohms"]

    return Q(20.0 + (per_metre(f'harness "t" ambient {written}\n') / per_metre("") - 1.0) / 0.00393, "degC")


def lumens(folder, written):
    text = f"led p drops 3.0 V at 20 mA gives {written}\nzone z\n{TEN_VOLTS}lamp l of p resistor 350 ohm from s in z\n"
    return Q(seen(folder, text)["scenes"][-1]["zones"][0]["lumens"], "lumen")


def part(folder, written):  # the tolerance of a supply
    got = item(seen(folder, f"supply s 10 V 1 A tolerance {written}\nload l resistance 1k from s\n"), "l")
    return Q(got["volts_high"] / 10.0 - 1.0, "dimensionless")


def cone(candela, degrees):
    """Lumens of a cone that is lit evenly: candela times its solid angle."""
    half = Q(degrees, "degree").to("radian").magnitude / 2.0
    return (candela * Q(2.0 * math.pi * (1.0 - math.cos(half)), "steradian")).to("lumen")


ROWS = [
    (volts, "12 V", Q(12, "volt")), (volts, "12V", Q(12, "volt")), (volts, "4500 mV", Q(4500, "millivolt")),
    (amps, "0.25 A", Q(0.25, "ampere")), (amps, "25mA", Q(25, "milliampere")), (amps, "2500 uA", Q(2500, "microampere")),
    (ohms, "47 ohm", Q(47, "ohm")), (ohms, "1.5 kohm", Q(1.5, "kiloohm")), (ohms, "0.02 Mohm", Q(0.02, "megaohm")),
    (ohms, "47 Ω", Q(47, "ohm")), (ohms, "1.5kΩ", Q(1.5, "kiloohm")), (ohms, "0.02 MΩ", Q(0.02, "megaohm")),
    (ohms, "470R", Q(470, "ohm")), (ohms, "4R7", Q(4.7, "ohm")), (ohms, "2k2", Q(2.2, "kiloohm")), (ohms, "2.2k", Q(2.2, "kiloohm")),
    (ohms, "0.01M", Q(0.01, "megaohm")),
    (watts, "0.5 W", Q(0.5, "watt")), (watts, "1/4 W", Q(0.25, "watt")), (watts, "60 mW", Q(60, "milliwatt")),
    (length, "350 mm", Q(350, "millimetre")), (length, "12.5cm", Q(12.5, "centimetre")), (length, "1.25 m", Q(1.25, "metre")),
    (length, "2 ft", Q(2, "foot")), (length, "7 inch", Q(7, "inch")), (length, "4in", Q(4, "inch")),
    (diameter, "0.25 mm", Q(0.25, "millimetre")), (diameter, "1/16in", Q(1 / 16, "inch")),
    (area, "0.14 mm2", Q(0.14, "millimetre ** 2")), (area, "0.002 cm2", Q(0.002, "centimetre ** 2")),
    (area, "0.001 in2", Q(0.001, "inch ** 2")),
    (inside, "9000 mm2", Q(9000, "millimetre ** 2")), (inside, "60 cm2", Q(60, "centimetre ** 2")), (inside, "9 in2", Q(9, "inch ** 2")),
    (charge, "500 mAh", Q(500, "milliampere * hour")), (charge, "1.2 Ah", Q(1.2, "ampere * hour")),
    (ambient, "35 degC", Q(35, "degC")), (ambient, "-5 degC", Q(-5, "degC")), (ambient, "95 degF", Q(95, "degF")),
    (ambient, "-4degF", Q(-4, "degF")),
    (lumens, "7 lm", Q(7, "lumen")), (lumens, "2 cd over 60 deg", cone(Q(2, "candela"), 60)),
    (lumens, "900 mcd over 110 deg", cone(Q(900, "millicandela"), 110)),
    (part, "3 %", Q(3, "percent")), (part, "2.5%", Q(2.5, "percent")),
]


@pytest.mark.parametrize("how, written, wanted", ROWS, ids=lambda part: getattr(part, "__name__", str(part)).replace(" ", "_"))
def test_unit(how, written, wanted, tmp_path):
    got = how(tmp_path, written)
    want = wanted.to(got.units)
    assert got.magnitude == pytest.approx(want.magnitude, rel=1e-6), f"{written}: {got}, wanted {want}"


@pytest.mark.parametrize("unit, name", [("ms", "millisecond"), ("s", "second"), ("min", "minute"), ("h", "hour")])
def test_time(unit, name, tmp_path):
    """`lasts` is a limit: a battery is short from just over its hours on."""
    def short(seconds) -> bool:
        figure = Q(seconds, "second").to(name).magnitude
        text = f"supply s 10 V capacity 500 mAh spent 8 V lasts {figure:.6f} {unit}\nload l draws 50 mA from s\n"
        path = tmp_path / "unit.harness"
        path.write_text(text, encoding="utf-8")
        return any(f["check"] == "battery-short" for f in program.findings(path))

    hours = seen(tmp_path, "supply s 10 V capacity 500 mAh spent 8 V\nload l draws 50 mA from s\n")["batteries"][0]["hours"]
    seconds = Q(hours, "hour").to("second").magnitude
    assert hours == pytest.approx(5.0, rel=1e-6)
    assert not short(0.999 * seconds)
    assert short(1.001 * seconds)


def test_frequency(tmp_path):
    """`flash` has its limit at 3 Hz (WCAG 2, success criterion 2.3.1: no more than three flashes in any one second)."""
    def fast(hertz: float) -> bool:
        path = tmp_path / "unit.harness"
        path.write_text(
            f"led p drops 3.0 V at 20 mA\nmodule m works 5 V to 14 V draws 5 mA output a 100 mA flash {hertz:g} Hz\n"
            "supply s 12 V 1 A\nboard b of m from s\nlamp l of p resistor 470 ohm from b.a\n", encoding="utf-8",
        )
        return any(f["check"] == "fast-flash" for f in program.findings(path))

    limit = Q(3, "count / second").to("count * hertz").magnitude
    assert not fast(limit) and fast(1.01 * limit)


@pytest.mark.parametrize("written, wanted", [("2.01 mm", True), ("1.99 mm", False), ("0.21 cm", True), ("0.19 cm", False),
                                             ("0.08in", True), ("0.078in", False)])
def test_bore(written, wanted, tmp_path):
    """Of a passage: two wires of 1 mm side by side want 2 mm."""
    figure = Q(written.replace("in", " inch")).to("millimetre").magnitude
    assert (figure >= 2.0) is wanted
    assert bore(tmp_path, written) is wanted


@pytest.mark.parametrize("number", [18, 24, 30, 36])
def test_gauge(number, tmp_path):
    """AWG is no unit of pint's; its definition (ASTM B258) has two fixed ends: 36 is 5 mils, 0000 is 460, 39 steps between."""
    def per_metre(size):
        text = f"wire w {size}\n{TEN_VOLTS}load l draws 1 mA from s over 1 m of w\n"
        return seen(tmp_path, text)["runs"][0]["ohms"]

    mils = Q(5.0 * (460.0 / 5.0) ** ((36 - number) / 39.0) * 1e-3, "inch").to("millimetre").magnitude
    ratio = per_metre("diameter 1 mm") / per_metre(f"gauge {number} AWG")
    assert math.sqrt(ratio) == pytest.approx(mils, rel=1e-6)


def test_every_unit_is_used():
    """No unit word of the language is left out here."""
    text = " ".join(written for _, written, _ in ROWS) + " 1 ms 1 s 1 min 1 h 3 Hz 24 AWG"
    for word in WORDS:
        glued = text.replace("/", " ")
        assert any(
            part.lstrip("-0123456789.") == word or (word in "RkM" and word in part) for part in glued.split()
        ), word

"""The independent reading and solution against cases worked out by hand (numbers in the comments)."""

import math

import pytest

import circuit
import reading


def items(tmp_path, text, scene="all-on"):
    """Figures of one scene by item name."""
    path = tmp_path / "plan.harness"
    path.write_bytes(text.encode())
    out = circuit.figures(reading.plan_of(path))
    found = next(s for s in out["scenes"] if s["name"] == scene)
    assert "no_solution" not in found, found
    return {item["name"]: item for item in found["items"]}


def failed(tmp_path, text, scene="all-on"):
    path = tmp_path / "plan.harness"
    path.write_bytes(text.encode())
    out = circuit.figures(reading.plan_of(path))
    found = next(s for s in out["scenes"] if s["name"] == scene)
    return found.get("no_solution"), found.get("corner")


def near(value, wanted, allow=1e-9):
    assert value == pytest.approx(wanted, abs=allow, rel=0.0)


def test_loop_resistance_of_a_run(tmp_path):
    # 1 mm2 copper at 20 degC: 0.017241 ohm per m; 10 m out, 10 m back, 2 A: 20 m * 0.017241 * 2 = 0.68964 V
    got = items(tmp_path, "wire w area 1 mm2\nsupply s 12 V\nload l draws 2 A from s over 10 m of w\n")
    near(got["l"]["drop"], 0.68964)
    near(got["l"]["volts"], 12 - 0.68964)
    near(got["l"]["watts"], 2 * (12 - 0.68964))
    near(got["s"]["passes"], 2.0)
    near(got["l"]["volts_low"], 11.4 - 0.68964)  # 5 % tolerance
    near(got["l"]["volts_high"], 12.6 - 0.68964)


def test_copper_warms(tmp_path):
    # 40 K warmer: 1 + 40 * 0.00393 = 1.1572
    got = items(
        tmp_path,
        'harness "warm" ambient 60 degC\nwire w area 1 mm2\nsupply s 12 V\nload l draws 1 A from s over 1 m of w\n',
    )
    near(got["l"]["drop"], 2 * 0.017241 * 1.1572)


def test_lamp_at_its_own_point(tmp_path):
    # 12 V, lamp of 3 V at 20 mA, (12 - 3) / 20 mA = 450 ohm: exactly 20 mA, whatever the curve
    got = items(
        tmp_path, "led a drops 3.0 V at 20 mA colour white\nsupply s 12 V\nlamp l of a resistor 450 ohm from s\n"
    )
    near(got["l"]["amps"], 0.020)
    near(got["l"]["volts"], 12.0)
    near(got["l"]["watts"], 0.24)
    # dim: 11.4 V, 472.5 ohm, 3.1 V at 20 mA; bright: 12.6 V, 427.5 ohm, 2.9 V. Both by the law itself:
    for key, volts, ohms, vf in (("amps_low", 11.4, 472.5, 3.1), ("amps_high", 12.6, 427.5, 2.9)):
        i = got["l"][key]
        near(vf + 0.051386 * math.log(i / 0.02) + 10.0 * (i - 0.02) + ohms * i, volts, 1e-8)


def test_lamp_with_two_points(tmp_path):
    # 3.1 V at 20 mA, 2.8 V at 5 mA: Rs = (0.3 - 0.051386 ln 4) / 15 mA; the curve passes both points:
    # (5 - 2.8) / 5 mA = 440 ohm gives 5 mA
    got = items(
        tmp_path, "led a drops 3.1 V at 20 mA, 2.8 V at 5 mA\nsupply s 5 V\nlamp l of a resistor 440 ohm from s\n"
    )
    near(got["l"]["amps"], 0.005)
    # so close that Rs would be negative: m = 0.02 / ln 4, Rs = 0; (5 - 3.08) / 5 mA = 384 ohm
    got = items(
        tmp_path, "led a drops 3.1 V at 20 mA, 3.08 V at 5 mA\nsupply s 5 V\nlamp l of a resistor 384 ohm from s\n"
    )
    near(got["l"]["amps"], 0.005)


def test_tape_group_draws_what_it_says(tmp_path):
    # 2 groups at 12 V draw 2 * 18 mA; the track's 0 ohm changes nothing
    tape = "tape t group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white"
    got = items(tmp_path, f"{tape}\nsupply s 12 V\nstrip a of t 6 lamps from s\n")
    near(got["a"]["amps"], 0.036)
    # 14.4 W per m at 12 V, 25 mm groups: 14.4 * 0.025 / 12 = 30 mA
    tape = "tape t group 3 lamps long 25 mm works 7 V to 12.6 V draws 14.4 W per m at 12 V"
    got = items(tmp_path, f"{tape}\nsupply s 12 V\nstrip a of t 50 mm from s\n")
    near(got["a"]["amps"], 0.060)


def test_diodes_and_a_battery_with_resistance(tmp_path):
    # 9 V behind 2 ohm, diode 0.7 V, 100 ohm: I = 8.3 / 102
    got = items(
        tmp_path, "supply s 9 V resistance 2 ohm\ndiode d from s\nload l resistance 100 ohm from d\n"
    )
    i = 8.3 / 102
    near(got["l"]["amps"], i)
    near(got["s"]["volts"], 9 - 2 * i)
    near(got["s"]["watts"], 2 * i * i)
    near(got["d"]["watts"], 0.7 * i)
    near(got["d"]["volts"], 9 - 2 * i)
    near(got["l"]["volts"], 100 * i)


def test_two_supplies_behind_diodes(tmp_path):
    # 12 V beats 9 V; the other diode gives nothing
    text = "supply a 12 V\nsupply b 9 V\ndiode da from a\ndiode db from b\njoint j from da\nlink k between j and db\n"
    got = items(tmp_path, text + "load l resistance 113 ohm from j\n")
    near(got["l"]["amps"], 0.1)
    near(got["a"]["passes"], 0.1)
    near(got["b"]["passes"], 0.0)


def test_linear_and_switching_regulators(tmp_path):
    # linear 5 V from 12 V, 50 ohm: 100 mA, 0.7 W of heat
    got = items(tmp_path, "supply s 12 V\nregulator r 5 V 1 A from s\nload l resistance 50 ohm from r\n")
    near(got["l"]["amps"], 0.1)
    near(got["r"]["watts"], 0.7)
    near(got["r"]["passes"], 0.1)
    # drop-out: 6 V - 1.5 V = 4.5 V
    got = items(tmp_path, "supply s 6 V\nregulator r 5 V 1 A from s\nload l resistance 45 ohm from r\n")
    near(got["l"]["volts"], 4.5)
    # switching 5 V, 80 %: 0.5 W out, 0.625 W in: 12 V, 52.0833 mA
    got = items(
        tmp_path, "supply s 12 V\nregulator r 5 V 1 A efficiency 80 % from s\nload l resistance 50 ohm from r\n"
    )
    near(got["r"]["passes"], 0.625 / 12)
    near(got["r"]["watts"], 0.125)
    # behind 10 ohm: Vin^2 - 12 Vin + 6.25 = 0, the higher root
    got = items(
        tmp_path,
        "supply s 12 V resistance 10 ohm\nregulator r 5 V 1 A efficiency 80 % from s\n"
        "load l resistance 50 ohm from r\n",
    )
    near(got["r"]["volts"], (12 + math.sqrt(144 - 25)) / 2)


def test_takes_near_its_limit(tmp_path):
    # 12 V behind 10 ohm gives at most 3.6 W, dim (11.4 V) 3.249 W
    def plan(watts):
        return f"supply s 12 V resistance 10 ohm\nload l takes {watts} W from s\n"

    got = items(tmp_path, plan(3.24))
    near(got["l"]["volts"], (12 + math.sqrt(144 - 40 * 3.24)) / 2)
    near(got["l"]["volts_low"], (11.4 + math.sqrt(11.4**2 - 40 * 3.24)) / 2, 1e-8)
    assert failed(tmp_path, plan(3.5)) == ("l", "dim")
    assert failed(tmp_path, plan(3.7)) == ("l", "typical")


def test_draws_that_cannot_be(tmp_path):
    assert failed(tmp_path, "supply s 12 V resistance 10 ohm\nload l draws 1.3 A from s\n") == ("l", "typical")
    assert failed(tmp_path, "supply s 12 V resistance 10 ohm\nload l draws 1.18 A from s\n") == ("l", "dim")


def test_board_at_its_lower_limit(tmp_path):
    # 12 V behind 100 ohm, works from 10 V, draws 50 mA: at 10 V only 20 mA come
    text = "module m works 10 V to 15 V draws 50 mA\nsupply s 12 V resistance 100 ohm\nboard b of m from s\n"
    got = items(tmp_path, text)
    near(got["b"]["amps"], 0.020)
    near(got["b"]["volts"], 10.0)
    near(got["b"]["watts"], 0.2)
    near(got["b"]["amps_low"], 0.014)


def test_board_that_just_has_its_lower_limit(tmp_path):
    # no run, so 12 V are there in full: all of its draw; dim (11.4 V) nothing, bright all
    text = "module m works 12 V to 15 V draws 50 mA\nsupply s 12 V\njoint j from s\nboard b of m from j\nload l draws 2 A from j\n"
    got = items(tmp_path, text)
    near(got["b"]["amps"], 0.050)
    near(got["b"]["amps_low"], 0.0)
    near(got["s"]["passes"], 2.05, 1e-8)


def test_board_outputs(tmp_path):
    # regulated 5 V, 100 ohm: 50 mA; passing: 12 V, 120 ohm: 100 mA; sinking: 12 V, 240 ohm: 50 mA; own 10 mA
    text = (
        "module m works 10 V to 15 V draws 10 mA output r 5 V 1 A output p 1 A output k 1 A sinks\n"
        "supply s 12 V\nboard b of m from s\nload lr resistance 100 ohm from b.r\nload lp resistance 120 ohm from b.p\n"
        "load lk resistance 240 ohm from s return to b.k\nscene one off b.k\n"
    )
    got = items(tmp_path, text)
    near(got["lr"]["amps"], 0.05)
    near(got["lp"]["amps"], 0.1)
    near(got["lk"]["amps"], 0.05)
    near(got["b"]["passes"], 0.16)  # the plus of the sinking one does not come through the board
    near(got["b"]["watts"], 0.12 + 7 * 0.05)
    near(got["s"]["passes"], 0.21)
    assert items(tmp_path, text, "one")["lk"]["volts"] == 0.0


def test_ring_of_legs_without_resistance(tmp_path):
    # a to b: once by b's own leg, once by the link: half each
    text = "supply s 12 V\njoint a from s\njoint b from a\nlink k between a and b\nload l resistance 120 ohm from b\n"
    got = items(tmp_path, text)
    near(got["b"]["passes"], 0.05)
    near(got["a"]["passes"], 0.1)
    # from both ends: s -> a -> b -> c, link c to a; load at c: 1/3 by b, 2/3 by the link
    text = (
        "supply s 12 V\njoint a from s\njoint b from a\njoint c from b\nlink k between c and a\n"
        "load l resistance 120 ohm from c\n"
    )
    got = items(tmp_path, text)
    near(got["b"]["passes"], 0.1 / 3)


def test_off_joint_with_a_link(tmp_path):
    # j is off: its leg is cut and its point stays; the link keeps it lit
    text = (
        "supply s 12 V\njoint a from s\njoint j from s\nlink k between a and j\nload l resistance 120 ohm from j\n"
        "scene x off j\n"
    )
    got = items(tmp_path, text, "x")
    near(got["l"]["amps"], 0.1)
    near(got["a"]["passes"], 0.1)
    assert got["j"]["volts"] == 0.0 and got["j"]["passes"] == 0.0


def test_words_and_units(tmp_path):
    def ohms(text):
        plan = tmp_path / "u.harness"
        plan.write_bytes(text.encode())
        return reading.plan_of(plan)

    plan = ohms("\ufeffsupply s 5 V\r\nload a resistance 2k2 from s # x\r\n\r\n  note \"a \\\" # b\"\r\nresistor r 4R7 1/4 W from s\r\n")
    assert plan.items["a"].resistance == pytest.approx(2200)
    assert plan.items["r"].resistance == pytest.approx(4.7)
    plan = ohms("wire w diameter 1/16in\nsupply s 5V 0.75A tolerance ±2 %\nload la\u0308mp draws 2.5mA from s over 4in of w\n")
    assert plan.wires["w"].area == pytest.approx(math.pi * (25.4e-3 / 16) ** 2 / 4)
    assert plan.items["l\u00e4mp"].run.length == pytest.approx(0.1016)
    assert plan.items["s"].tolerance == pytest.approx(0.02)

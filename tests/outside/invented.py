"""Plans made up by chance from a seed: valid, and of a size that nobody would write by hand for a test.

What makes no promise of figures is kept out: no point has two sources, links join points of one voltage, and at
most one load can ask for more than there is (so that a plan without a solution has one item to name).
"""

from __future__ import annotations

import random

STOCK = """\
wire trunk gauge 26 AWG insulation pvc colours red, black
wire fine gauge 34 AWG insulation enamel
wire hair diameter 0.1 mm insulation enamel
tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white
tape copper group 3 lamps long 16.6 mm works 7 V to 12.6 V draws 12 mA at 12 V drops 2.95 V track 1.9 ohm per m
tape small group 1 lamp long 10 mm works 3 V to 5.5 V draws 8 mA at 5 V colour red track 3 ohm per m
led pearl drops 3.0 V at 20 mA colour white
led ruby drops 2.0 V at 15 mA colour red
led jade drops 3.2 V at 20 mA, 2.85 V at 4 mA colour green
led flat drops 3.0 V at 20 mA, 2.95 V at 5 mA
module pulse works 4 V to 14 V draws 7 mA output keep 3.3 V 100 mA output hand 200 mA output sunk 100 mA sinks
module turner works 3 V to 14 V draws 4 mA output first 150 mA output second 150 mA turns first, second
"""


def run(chance: random.Random) -> str:
    if chance.random() < 0.25:
        return ""
    length = chance.choice([0, 15, 40, 90, 150, 400, 900])
    return f" over {length} mm of {chance.choice(['trunk', 'fine', 'fine', 'hair'])}"


def plan(seed: int) -> str:
    """The text of the plan of this seed."""
    chance = random.Random(seed)
    lines = [f'harness "Invented {seed}" ambient {chance.choice([-5, 15, 20, 25, 40])} degC', STOCK.rstrip()]
    names: list[str] = []
    greedy = False
    for tree in range(chance.choice([1, 1, 1, 2])):
        volts = chance.choice([5, 9, 12, 12, 12])
        inner = chance.choice(["", "", " resistance 0.4 ohm", " resistance 2 ohm"])
        root = f"s{tree}"
        lines.append(f"supply {root} {volts} V 3 A{inner}{chance.choice(['', ' tolerance 2 %'])}")
        names.append(root)
        # points: name, voltage domain, usual volts there
        points: list[tuple[str, int, float]] = [(root, 0, float(volts))]
        sinks: list[str] = []
        domain = 0
        turned = False
        for number in range(chance.randint(5, 26)):
            name = f"i{tree}-{number}"
            point, where, usual = chance.choice(points[-8:] if chance.random() < 0.7 else points)
            back = ""
            if chance.random() < 0.15:
                back = f" return to {chance.choice(points)[0]}{run(chance)}"
            feed = f" from {point}{run(chance)}{back}"
            kind = chance.choice(
                ["joint", "joint", "joint", "strip", "strip", "strip", "lamp", "lamp", "lamp", "string", "load", "load",
                 "fuse", "switch", "connector", "resistor", "diode", "regulator", "board", "board", "sunk"]
            )
            if kind == "sunk" and not sinks:
                kind = "lamp"
            hands = (name, where, usual)
            if kind in ("joint", "switch"):
                lines.append(f"{kind} {name}{feed}")
            elif kind == "fuse":
                lines.append(f"fuse {name} 1 A{chance.choice(['', ' resistance 0.15 ohm'])}{feed}")
            elif kind == "connector":
                lines.append(f"connector {name}{chance.choice(['', ' contact 0.02 ohm'])}{feed}")
            elif kind == "resistor":
                lines.append(f"resistor {name} {chance.choice(['1R5', '4R7', '22 ohm', '100 ohm'])}{feed}")
            elif kind == "diode":
                lines.append(f"{chance.choice(['diode', 'rectifier'])} {name}{chance.choice(['', ' drops 0.3 V'])}{feed}")
                domain += 1
                hands = (name, domain, usual - 0.7)
            elif kind == "regulator":
                out = chance.choice([3, 3.3, 5])
                how = chance.choice(["", " dropout 0.4 V", " efficiency 85 %", " efficiency 92 %"])
                lines.append(f"regulator {name} {out} V 1 A{how}{feed}")
                domain += 1
                hands = (name, domain, min(out, usual))
            elif kind == "strip":
                tape = "small" if usual < 6.5 else chance.choice(["warm", "copper", "copper"])
                lines.append(f"strip {name} of {tape} {chance.randint(1, 9)} groups{feed}")
            elif kind in ("lamp", "sunk"):
                led = chance.choice(["pearl", "ruby", "jade", "flat"])
                ohms = chance.choice([100, 220, 470, 680, 1500]) if usual > 4.5 else chance.choice([0, 33, 68])
                if led == "flat":  # has next to no resistance of its own
                    ohms = ohms or 33
                own = f" resistor {ohms} ohm" if ohms else ""
                if kind == "sunk":
                    feed = f" from {point}{run(chance)} return to {chance.choice(sinks)}{run(chance)}"
                lines.append(f"lamp {name} of {led}{own}{feed}")
                if kind == "sunk":
                    hands = None
            elif kind == "string":
                lines.append(f"string {name} of ruby {chance.randint(1, 4)} lamps resistor {chance.choice([68, 150, 330])} ohm{feed}")
            elif kind == "load":
                what = chance.choice(["resistance", "resistance", "takes", "draws"])
                if what == "resistance":
                    lines.append(f"load {name} resistance {chance.choice(['47R', '150R', '1k', '2k2'])}{feed}")
                elif not greedy and chance.random() < 0.2:
                    greedy = True
                    lines.append(f"load {name} {what} {'4 W' if what == 'takes' else '1.2 A'}{feed}")
                else:
                    lines.append(f"load {name} {what} {'60 mW' if what == 'takes' else '12 mA'}{feed}")
                hands = None
            elif kind == "board":
                module = chance.choice(["pulse", "turner"])
                if module == "turner" and turned:  # what takes turns behind what takes turns has no one answer
                    module = "pulse"
                turned = turned or module == "turner"
                lines.append(f"board {name} of {module}{feed}")
                hands = None
                if module == "pulse":
                    domain += 1
                    points.append((name + ".keep", domain, min(3.3, usual)))
                    points.append((name + ".hand", where, usual))
                    sinks.append(name + ".sunk")
                else:
                    points.append((name + ".first", where, usual))
                    points.append((name + ".second", where, usual))
            names.append(name)
            if hands is not None:
                points.append(hands)
        whole = [p for p in points if "." not in p[0]]
        for number in range(chance.choice([0, 0, 1, 1, 2, 3])):
            one = chance.choice(whole)
            others = [p for p in whole if p[1] == one[1] and p[0] != one[0]]
            if others:
                lines.append(f"link l{tree}-{number} between {one[0]} and {chance.choice(others)[0]}{run(chance)}")
    lines.append(f"scene some off {', '.join(sorted(chance.sample(names, min(2, len(names)))))}")
    lights = [line.split()[1] for line in lines if line.split()[0] in ("lamp", "strip", "string")]
    if lights:
        lines.append(f"scene few only {chance.choice(lights)}, {chance.choice(names)}")
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    import sys

    sys.stdout.write(plan(int(sys.argv[1])))

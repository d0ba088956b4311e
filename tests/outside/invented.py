"""Plans made up by chance from a seed: valid, and of a size that nobody would write by hand for a test.

A plan is grown from blocks: each seed takes the next block of `BLOCKS` for certain, some more by chance, and between
them grows items of every kind anywhere. `corners.py` counts what a set of plans really holds.

What makes no promise of figures is kept out: no point has two sources without a diode each, links join points of one
voltage, and at most one load can ask for more than there is (so that a plan without a solution has one item to name).
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from pathlib import Path

STOCK = """\
wire trunk gauge 26 AWG insulation pvc colours red, black
wire fine gauge 34 AWG insulation enamel
wire hair diameter 0.1 mm insulation enamel
wire bar area 0.5 mm2 insulation none carries 3 A
tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white gives 4 lm
tape copper group 3 lamps long 16.6 mm works 7 V to 12.6 V draws 12 mA at 12 V drops 2.95 V track 1.9 ohm per m
tape small group 1 lamp long 10 mm works 3 V to 5.5 V draws 8 mA at 5 V colour red track 3 ohm per m
tape bright group 3 lamps long 5 cm works 9 V to 12.6 V draws 7.2 W per m at 12 V track 0.8 ohm per m
led pearl drops 3.0 V at 20 mA colour white gives 6 lm
led ruby drops 2.0 V at 15 mA colour red
led jade drops 3.2 V at 20 mA, 2.85 V at 4 mA colour green gives 900 mcd over 60 deg
led flat drops 3.0 V at 20 mA, 2.95 V at 5 mA
led glow drops 1.3 V at 20 mA limit 40 mA colour infrared
module pulse works 4 V to 14 V draws 7 mA output keep 3.3 V 100 mA output hand 200 mA output sunk 100 mA sinks
module turner works 3 V to 14 V draws 4 mA output first 150 mA flash 1 Hz output second 150 mA turns first, second
module twin works 5 V to 14 V draws 3 mA output left 80 mA sinks output right 80 mA sinks flickers turns left, right
module high works 8.5 V to 14 V draws 30 mA output five 5 V 200 mA duty 60 %
"""


@dataclass
class Point:
    """Where an item can be fed: links join points of one domain alone."""

    name: str
    domain: int
    volts: float  # usual volts there, to choose what may hang on it
    tree: int  # minus legs return within it


class Maker:
    """Grows one plan."""

    def __init__(self, seed: int):
        self.seed = seed
        self.chance = random.Random(seed)
        self.lines: list[str] = []
        self.kinds: dict[str, str] = {}  # of all items
        self.outputs: list[str] = []  # for scenes
        self.points: list[Point] = []
        self.sinks: list[tuple[str, Point]] = []  # sinking outputs, and where their board is fed
        self.pieces: list[str] = []
        self.domains = 0
        self.links = 0
        self.greedy = False
        self.turned = False
        self.copied = False
        self.placed = False

    # Small choices

    def one(self, *of):
        return self.chance.choice(of)

    def likely(self, part: float) -> bool:
        return self.chance.random() < part

    def name(self, kind: str) -> str:
        name = f"{self.one('bow', 'deck', 'hold', 'keel', 'mäst', 'rail')}-{len(self.kinds)}"
        self.kinds[name] = kind
        return name

    def run(self) -> str:
        if self.likely(0.25):
            return ""
        wire = self.one("trunk", "fine", "fine", "hair", "bar")
        length = self.one("0 mm", "15 mm", "40mm", "90 mm", "15 cm", "400 mm", "0.9 m", "4in", "1/2 ft", "3 inch")
        return f" over {length} of {wire}"

    def new_domain(self) -> int:
        self.domains += 1
        return self.domains

    def put(self, kind: str, head: str, at: Point, *clauses: str, run: str | None = None, back: str = "") -> str:
        """An item of this kind fed from the point; its name."""
        name = self.name(kind)
        parts = [c for c in (f"from {at.name}{self.run() if run is None else run}{back}", *clauses) if c]
        self.chance.shuffle(parts)
        self.lines.append(" ".join(w for w in (kind, name, head, *parts) if w))
        return name

    def point(self, name: str, like: Point, volts: float | None = None, own: bool = False) -> Point:
        """The item hands power on: a new point."""
        domain = self.new_domain() if own else like.domain
        point = Point(name, domain, like.volts if volts is None else volts, like.tree)
        self.points.append(point)
        return point

    def somewhere(self) -> Point:
        return self.chance.choice(self.points[-8:] if self.likely(0.7) else self.points)

    # Items

    def supply(self, volts: float, *clauses: str, amps: str = "3 A") -> Point:
        name = self.name("supply")
        self.lines.append(" ".join(w for w in ("supply", name, f"{volts:g} V", amps, *clauses) if w))
        point = Point(name, self.new_domain(), volts, len(self.kinds))
        self.points.append(point)
        return point

    def light(self, at: Point, back: str = "") -> None:
        kind = self.one("strip", "strip", "lamp", "lamp", "string")
        if kind == "strip":
            tape = "small" if at.volts < 6.5 else self.one("warm", "copper", "copper", "bright")
            groups = self.chance.randint(1, 8)
            lamps, length = {"small": (1, 10), "warm": (3, 25), "copper": (3, 16.6), "bright": (3, 50)}[tape]
            size = self.one(
                f"{groups} groups", f"{groups} groups", f"{groups * lamps} lamps", f"{groups * length:g} mm",
                f"{groups * lamps + (1 if lamps > 1 else 0)} lamps", f"{groups * length + 0.4:.1f} mm",
            )
            size = {"1 groups": "1 group", "1 lamps": "1 lamp"}.get(size, size)
            self.point(self.put("strip", f"of {tape} {size}", at, self.one("", "", "dimmed"), back=back), at)
            return
        if kind == "lamp":
            led = self.one("pearl", "ruby", "jade", "flat", "glow")
            ohms = self.one("100 ohm", "220R", "470 ohm 1/4 W", "680 ohm", "1k5")
            if at.volts <= 4.5:
                ohms = self.one("33 ohm", "68 ohm", "" if led != "flat" else "33R")
            where = self.one("", "", " at start", " at lamp") if ohms else ""
            own = f"resistor {ohms}{where}" if ohms else self.one("", "runs at 10 mA")
            self.point(self.put("lamp", f"of {led}", at, own, back=back), at)
            return
        many = self.chance.randint(1, 4)
        head = f"of {self.one('ruby', 'glow')} {many} lamp{'s' if many > 1 else ''}"
        own = f"resistor {self.one('68 ohm', '150 ohm', '330 ohm')}"
        self.point(self.put("string", head, at, own, self.one("", "runs at 8 mA"), back=back), at)

    def load(self, at: Point, back: str = "") -> None:
        what = self.one("resistance", "takes", "draws")
        size = {
            "resistance": self.one("47R", "150R", "1k", "2k2"),
            "takes": self.one("60 mW", "0.06 W", "25 mW"),
            "draws": self.one("12 mA", "0.012A", "5 mA", "12 mA at 5 V"),
        }[what]
        self.put("load", "", at, f"{what} {size}", back=back)

    def board(self, at: Point, module: str = "", back: str = "") -> None:
        module = module or self.one("pulse", "pulse", "turner", "twin", "high")
        if module in ("turner", "twin"):  # what takes turns behind what takes turns has no one answer
            module = "pulse" if self.turned else module
            self.turned = self.turned or module != "pulse"
        # boards at their limit with nothing between them: how they share is not said, so each has a run
        run = ""
        while not run or " 0 mm" in run:
            run = self.run()
        name = self.put("board", f"of {module}", at, run=run, back=back)
        if module == "pulse":
            self.point(name + ".keep", at, min(3.3, at.volts), own=True)
            self.point(name + ".hand", at)
            self.sinks.append((name + ".sunk", at))
            self.outputs += [name + ".keep", name + ".hand", name + ".sunk"]
        elif module == "turner":
            self.point(name + ".first", at)
            self.point(name + ".second", at)
            self.outputs += [name + ".first", name + ".second"]
        elif module == "twin":
            self.sinks += [(name + ".left", at), (name + ".right", at)]
            self.outputs += [name + ".left", name + ".right"]
        else:
            self.point(name + ".five", at, min(5.0, at.volts), own=True)
            self.outputs.append(name + ".five")

    def sunk(self) -> None:
        """A light whose minus is switched."""
        sink, board = self.chance.choice(self.sinks)
        feeds = [p for p in self.points if p.domain == board.domain and p.volts == board.volts and "." not in p.name]
        if feeds:
            self.light(self.chance.choice(feeds), back=f" return to {sink}{self.run()}")
            self.points.pop()  # its own minus is the switched one: nothing else hangs on it

    def regulator(self, at: Point, how: str | None = None, volts: float | None = None) -> Point:
        volts = volts or self.one(3.0, 3.3, 5.0)
        if how is None:
            how = self.one("", "dropout 0.4 V", "efficiency 85 %", "efficiency 92 %")
        name = self.put("regulator", f"{volts:g} V 1 A", at, how)
        return self.point(name, at, min(volts, at.volts), own=True)

    def passive(self, at: Point, kind: str | None = None, back: str = "") -> Point:
        kind = kind or self.one("joint", "joint", "joint", "fuse", "switch", "connector", "resistor", "diode", "rectifier")
        if kind == "diode" or kind == "rectifier":
            name = self.put(kind, "", at, self.one("", "drops 0.3 V"), back=back)
            return self.point(name, at, at.volts - 0.7, own=True)
        head, clause = "", ""
        if kind == "fuse":
            head, clause = self.one("1 A", "800 mA"), self.one("", "resistance 0.15 ohm", "slow", "resettable")
        elif kind == "connector":
            clause = self.one("", "contact 0.02 ohm", "rated 2 A")
        elif kind == "switch":
            clause = self.one("", "rated 2 A")
        elif kind == "resistor":
            head = self.one("1R5", "4R7 1/4 W", "22 ohm", "0.47 ohm", "100 ohm")
        return self.point(self.put(kind, head, at, clause, back=back), at)

    def link(self, one: str, other: str, run: str | None = None) -> None:
        self.links += 1
        self.lines.append(f"link way-{self.links} between {one} and {other}{self.run() if run is None else run}")

    def anything(self) -> None:
        at = self.somewhere()
        back = ""
        if self.likely(0.12):
            back = f" return to {self.chance.choice([p for p in self.points if p.tree == at.tree]).name}{self.run()}"
        kind = self.one("light", "light", "light", "load", "passive", "passive", "regulator", "board", "sunk")
        if kind == "light" or kind == "sunk" and not self.sinks:
            self.light(at, back)
        elif kind == "load":
            self.load(at, back)
        elif kind == "passive":
            self.passive(at, back=back)
        elif kind == "regulator":
            self.regulator(at)
        elif kind == "board":
            self.board(at, back=back)
        else:
            self.sunk()

    # Blocks: what a plan holds for certain

    def root(self) -> Point:
        return self.chance.choice([p for p in self.points if self.kinds.get(p.name) == "supply"])

    def brown_out(self) -> None:
        """A source that gives way, and boards that are left with too little."""
        at = self.supply(self.one(5, 9, 9), f"resistance {self.one(8, 15, 15, 30, 30)} ohm", amps="")
        joint = self.passive(at, "joint")
        self.board(joint, "high" if at.volts > 8 else "pulse")
        if self.likely(0.5):
            self.light(joint)
        self.board(joint, "pulse")
        self.put("load", "", joint, f"resistance {self.one('68R', '100R', '150R', '220R', '470R', '1k')}")

    def drop_out(self) -> None:
        """Regulators and outputs with hardly more ahead of them than they should hold."""
        at = self.supply(self.one(3.6, 4.2, 5, 5.5), self.one("", "resistance 1 ohm"))
        for how in self.chance.sample(["", "dropout 0.3 V", "efficiency 90 %", "efficiency 80 %"], 2):
            behind = self.regulator(at, how, self.one(3.3, 5.0))
            self.light(behind)
        self.board(at, self.one("pulse", "high", "high"))
        self.light(next(p for p in reversed(self.points) if p.name.endswith((".keep", ".five"))))

    def ring(self) -> None:
        """Joints one behind the other, closed to a ring, of wire or of none."""
        start = here = self.root()
        bare = self.likely(0.5)
        for _ in range(self.chance.randint(2, 5)):
            here = replace(self.point(self.put("joint", "", here, run="" if bare else None), here))
            if self.likely(0.6):
                self.light(here)
        self.link(here.name, start.name, "" if bare else None)

    def chain(self) -> None:
        """Lights chained through each other."""
        here = self.root()
        tape = "small" if here.volts < 6.5 else self.one("warm", "copper", "bright")
        ring = self.likely(0.4)
        start = here
        for _ in range(self.chance.randint(2, 4)):
            name = self.put("strip", f"of {tape} {self.chance.randint(2, 6)} groups", here)
            here = self.point(name, here)
        if ring:
            self.link(here.name, start.name)

    def sinking(self) -> None:
        self.board(self.root(), "pulse")
        self.sunk()
        self.sunk()

    def turns(self) -> None:
        if self.turned:
            return
        module = self.one("turner", "twin")
        self.board(self.root(), module)
        if module == "twin":
            for _ in range(3):
                self.sunk()
        else:
            for point in self.points[-2:]:
                self.light(point)
                self.light(point)

    def two_supplies(self) -> None:
        """Two supplies, each behind a diode, that meet."""
        volts = self.one(5, 9, 12)
        one = self.supply(volts, self.one("", "resistance 0.5 ohm"))
        two = self.supply(self.one(volts, volts, volts - 0.3, volts + 2), self.one("", "resistance 1 ohm"))
        a, b = self.passive(one, "diode"), self.passive(two, self.one("diode", "rectifier"))
        self.points.remove(b)
        for point in self.points:
            point.tree = one.tree if point.tree == two.tree else point.tree
        self.link(a.name, b.name)
        meets = self.passive(replace(a, volts=volts - 0.7), "joint")
        self.light(meets)
        self.light(meets)
        self.load(meets)

    def copies(self) -> None:
        """A pattern and its copies."""
        if self.copied:
            return
        self.copied = True
        at = self.root()
        low = at.volts < 6.5
        ohms = self.one("220 ohm", "470 ohm", "560R")
        tape = "small" if low else "copper"
        needs = self.likely(0.6)
        lens = "wing.lens" if needs else "ruby"
        self.lines.append(f"pattern wing{' needs lens' if needs else ''}")
        self.lines.append(f"lamp wing.tip of {lens} resistor {ohms} from wing{self.run()}")
        self.lines.append(f"joint wing.root from wing{self.run()}")
        self.lines.append(f"strip wing.edge of {tape} {self.chance.randint(1, 4)} groups from wing.root{self.run()}")
        if self.likely(0.5):
            self.lines.append(f"string wing.row of glow 2 lamps resistor 150 ohm from wing.edge{self.run()}")
        where = lambda: f" where lens {self.one('ruby', 'jade', 'pearl')}" if needs else ""
        changes = ["", "", f" but tip resistor {self.one('680 ohm', '1k')}", f" but edge from wing.tip{self.run()}"]
        for side in ["port", "starboard", "spare"][: self.chance.randint(2, 3)]:
            self.kinds[side] = "copy"
            self.lines.append(f"copy {side} of wing from {at.name}{self.run()}{where()}{self.chance.choice(changes)}")
            self.point(side, at)
            self.pieces += [f"{side}.tip", f"{side}.root", f"{side}.edge"]

    def either_way(self) -> None:
        at = self.supply(self.one(9, 12), "either-way")
        behind = self.passive(at, "rectifier")
        self.light(behind)
        self.board(behind, "pulse")
        self.load(behind)

    def battery(self) -> None:
        volts = self.one(3, 4.5, 9)
        at = self.supply(
            volts, f"capacity {self.one('500 mAh', '1.2 Ah')}", f"resistance {self.one('0.3 ohm', '1R5', '4 ohm')}",
            self.one("", f"spent {volts * 0.7:g} V"), self.one("", "lasts 3 h"), amps="",
        )
        behind = self.passive(at, "switch")
        self.light(behind)
        self.light(behind)

    def regulators(self) -> None:
        """Regulators one behind the other, of both kinds."""
        at = self.root()
        first = self.regulator(at, self.one("", "efficiency 90 %"), 5.0)
        second = self.regulator(first, self.one("dropout 0.4 V", "efficiency 85 %"), self.one(3.0, 3.3))
        for point in (first, second):
            self.light(point)
            self.load(point)

    def loads(self) -> None:
        at = self.root()
        inner = self.passive(at, self.one("joint", "resistor", "connector"))
        for _ in range(3):
            self.load(inner)

    def returns(self) -> None:
        """Minus legs that go home by another way."""
        at = self.root()
        rail = self.passive(at, "joint")
        for _ in range(3):
            self.light(self.somewhere_of(at.domain), back=f" return to {rail.name}{self.run()}")

    def somewhere_of(self, domain: int) -> Point:
        return self.chance.choice([p for p in self.points if p.domain == domain])

    def nothing_doing(self) -> None:
        """What asks for more than there is."""
        if self.greedy:
            return
        self.greedy = True
        what = self.one("takes", "takes", "takes", "draws", "draws", "short", "bare")
        if what == "short":  # more than 1 kA
            at = self.supply(12, amps="5 A")
            self.put("load", "", at, f"resistance {self.one('0.004 ohm', '0.0122 ohm')}", run="")
        elif what == "bare":
            at = self.supply(self.one(3.2, 4.5, 9), amps="5 A")
            self.put("lamp", "of flat", at, run="")
        else:
            volts = self.one(5, 12)
            ohms = self.one(2, 5)
            at = self.supply(volts, f"resistance {ohms} ohm")
            self.light(at)
            most = volts * volts / (4 * ohms) if what == "takes" else volts / ohms
            # from just too little when dim to far too much
            self.put("load", "", at, f"{what} {most * self.one(0.7, 0.88, 0.93, 0.97, 1.04, 1.3):.4g} "
                     f"{'W' if what == 'takes' else 'A'}")

    def places(self) -> None:
        """What says nothing of the circuit."""
        if self.placed:
            return
        self.placed = True
        self.lines += [
            'zone cabin inside 60 cm2 windows 4 cm2 finish white note "fore \\"and\\" aft"',
            "zone nook inside 2 in2 material resin sealed",
            "passage hatch between cabin and nook bore 3 mm",
        ]
        at = self.root()
        joint = self.put("joint", "", at, "in cabin")
        lamp = self.put("lamp", "of pearl resistor 470 ohm", replace(at, name=joint),
                        "in nook", 'accept way-missing because "it fits"')
        self.lines += [f"stage hull fits {joint}, {lamp} done 2026-03-14", f"tried {lamp} 14 mA at 9 V on 2026-03-15"]

    def plan(self) -> str:
        """The text of the plan."""
        block = BLOCKS[self.seed % len(BLOCKS)]
        volts = self.one(5, 9, 12, 12, 12)
        inner = self.one("", "", "resistance 0.4 ohm", "resistance 2 ohm", "tolerance 2 %")
        self.supply(volts, inner)
        blocks = [block] + [self.chance.choice(BLOCKS) for _ in range(self.chance.choice([0, 0, 1, 1, 2]))]
        for one in blocks:
            for _ in range(self.chance.randint(0, 4)):
                self.anything()
            getattr(self, one)()
        for _ in range(self.chance.randint(0, 5)):
            self.anything()
        whole = [p for p in self.points if "." not in p.name]
        for _ in range(self.chance.choice([0, 0, 1, 1, 2])):
            one = self.chance.choice(whole)
            others = [p for p in whole if p.domain == one.domain and p.name != one.name]
            if others:
                self.link(one.name, self.chance.choice(others).name)
        self.scenes()
        ambient = self.one("", " ambient -5 degC", " ambient 15 degC", " ambient 77 degF", " ambient 40degC")
        tolerance = self.one("", "", " tolerance 3 %", " tolerance 10 %")
        stock = 'use "stock.harness"' if self.seed % 7 == 3 else STOCK.rstrip()
        text = "\n".join([f'harness "Invented {self.seed}"{ambient}{tolerance}', stock, *self.lines]) + "\n"
        return text.replace("\n", "\r\n") if self.seed % 11 == 5 else text

    def scenes(self) -> None:
        names = list(self.kinds)
        off = self.chance.sample(names + self.outputs + self.pieces, min(2, len(names)))
        self.lines.append(f"scene some off {', '.join(off)}")
        lights = [n for n, k in self.kinds.items() if k in ("lamp", "strip", "string")]
        lights += [p for p in self.pieces if not p.endswith(".root")]
        others = [n for n, k in self.kinds.items() if k not in ("lamp", "strip", "string", "load")] + self.outputs
        if lights and self.likely(0.6):
            named = [self.chance.choice(lights)] + ([self.chance.choice(others)] if self.likely(0.5) else [])
            self.lines.append(f"scene few only {', '.join(named)}")
        if self.likely(0.3):
            self.lines.append("scene full")


BLOCKS = [
    "brown_out", "drop_out", "ring", "chain", "sinking", "turns", "two_supplies", "copies", "either_way", "battery",
    "regulators", "loads", "returns", "nothing_doing", "places",
]


def plan(seed: int) -> str:
    """The text of the plan of this seed; it may use a file `stock.harness` beside it."""
    return Maker(seed).plan()


def write(seed: int, folder: Path) -> Path:
    """The plan of this seed as files in the folder."""
    stock = folder / "stock.harness"
    if not stock.exists():
        stock.write_text(STOCK, encoding="utf-8")
    path = folder / f"invented-{seed}.harness"
    path.write_bytes(plan(seed).encode("utf-8"))
    return path


if __name__ == "__main__":
    import sys

    sys.stdout.write(plan(int(sys.argv[1])))

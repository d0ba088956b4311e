"""Random networks of wiring, and what each single break in them darkens, by graph theory (networkx).

The plus side and the minus side of a plan are two multigraphs: nodes are ends and points, edges are the legs of runs,
the insides of items and the links; what passes one way only (diode, rectifier, regulated output) is an edge one way. A light is lit while both its ends hang together with the two poles of one supply.
So what one broken leg darkens is what lies beyond a *bridge*, and what a joint that comes apart darkens is what lies
beyond an *articulation point*. The first is worked out for every plan by taking the edge out and looking who still hangs
together; that it agrees with the bridges and articulation points is held by test_networks.py on all plans without one-way parts.

`networkx.bridges` takes no multigraphs, and two wires side by side (a link beside a feed, two links) are never a
bridge. So the multigraph is folded into a plain graph that counts its edges: an edge that stands there more than once
is left out of the answer, all others are bridges of the multigraph exactly where they are bridges of the plain graph
(a second edge between the same two nodes changes neither paths nor components).
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field

import networkx as nx

from reading import Item, Plan

LIGHTS = ("strip", "lamp", "string")

STOCK = """\
wire fine gauge 32 AWG insulation enamel colours red, green
tape warm group 3 lamps long 25 mm works 7 V to 12.6 V draws 18 mA at 12 V colour warm-white
tape copper group 3 lamps long 16.6 mm works 7 V to 12.6 V draws 12 mA at 12 V track 1.9 ohm per m
led pearl drops 3.0 V at 20 mA colour white
led ruby drops 2.0 V at 15 mA colour red
module pulse works 4 V to 14 V draws 7 mA output keep 5 V 100 mA output hand 200 mA output sunk 100 mA sinks
"""
ONE_WAY = ("diode", "rectifier", "regulator")


def plan(seed: int) -> str:
    """The text of the plan of this seed: one to three circuits of joints, chains, rings and links."""
    chance = random.Random(1000 + seed)
    lines = [f'harness "Network {seed}"', STOCK.rstrip()]
    number = 0

    def run() -> str:
        return chance.choice(["", " over 40 mm of fine", " over 90 mm of fine", " over 200 mm of fine"])

    one_way = seed % 3 == 0  # a third of the plans has one-way parts and boards
    for circuit in range(chance.choice([1, 1, 1, 2, 3])):
        supply = f"s{circuit}"
        lines.append(f"supply {supply} 12 V 2 A")
        points = [supply]
        if one_way and chance.random() < 0.5:  # a second supply comes in through a diode
            lines += [
                f"supply {supply}x 12 V 2 A", f"diode {supply}d from {supply}{run()}", f"diode {supply}e from {supply}x{run()}",
                f"link {supply}k between {supply}d and {supply}e{run()}", f"joint {supply}m from {supply}d{run()}",
                f"lamp {supply}l of pearl resistor 560 ohm from {supply}x{run()}",
            ]
            points = [f"{supply}m"]
        for _ in range(chance.randint(4, 22)):
            name = f"n{number}"
            number += 1
            point = chance.choice(points[-4:] if chance.random() < 0.6 else points)
            feed = f" from {point}{run()}"
            if chance.random() < 0.2:
                feed += f" return to {chance.choice(points)}{run()}"
            more = ["diode", "board"] if one_way else []
            kind = chance.choice(more + ["joint"] * 5 + ["strip"] * 3 + ["lamp"] * 4 + ["string", "fuse", "switch", "connector", "resistor", "load"])
            head = {
                "joint": "", "switch": "", "connector": chance.choice(["", " contact 0.02 ohm"]), "fuse": " 1 A",
                "resistor": " 1 ohm", "lamp": " of pearl resistor 560 ohm", "string": " of ruby 3 lamps resistor 330 ohm",
                "strip": f" of {chance.choice(['warm', 'copper'])} {chance.randint(1, 4)} groups",
                "load": " resistance 1k", "diode": " drops 0.3 V", "board": " of pulse",
            }[kind]
            lines.append(f"{kind} {name}{head}{feed}")
            if kind == "diode":  # its point has another voltage: no link goes there
                lines.append(f"lamp {name}-l of pearl resistor 560 ohm from {name}{run()}")
                behind = f"{name}-j"
                lines.append(f"joint {behind} from {name}{run()}")
                lines.append(f"lamp {name}-m of pearl resistor 560 ohm from {behind}{run()}")
                lines.append(f"link {name}-k between {name} and {behind}{run()}")
            elif kind == "board":
                lines.append(f"lamp {name}-k of ruby resistor 220 ohm from {name}.keep{run()}")
                lines.append(f"lamp {name}-h of pearl resistor 560 ohm from {name}.hand{run()}")
                lines.append(f"lamp {name}-s of pearl resistor 560 ohm from {point}{run()} return to {name}.sunk{run()}")
            elif kind != "load":
                points.append(name)
        for _ in range(chance.choice([0, 1, 1, 2, 3, 4])):
            one = chance.choice(points)
            other = chance.choice([p for p in points if p != one])
            for _ in range(chance.choice([1, 1, 1, 2])):  # two links side by side
                lines.append(f"link l{number} between {one} and {other}{run()}")
                number += 1
        for line in [l for l in lines if l.startswith("joint ")]:  # a link beside a feed
            words = line.split()
            if chance.random() < 0.08:
                lines.append(f"link l{number} between {words[1]} and {words[3]}{run()}")
                number += 1
    return "\n".join(lines) + "\n"


@dataclass
class Network:
    """The two sides of a plan, each edge with its key: what it is, and of which item or link."""

    plan: Plan
    plus: nx.MultiDiGraph = field(default_factory=nx.MultiDiGraph)
    minus: nx.MultiDiGraph = field(default_factory=nx.MultiDiGraph)

    def __post_init__(self):
        self.one_way = False
        for item in self.plan.items.values():
            name = item.name
            end, point = (name, "end"), (name, "point")
            self.add(self.plus, end, point, ("inside", name), item.kind in ONE_WAY)
            self.add(self.minus, end, point, ("inside", name))
            if item.source is not None:
                self.add(self.plus, (item.source, "point"), end, ("leg", name))
                self.add(self.minus, (item.back or item.source, "point"), end, ("leg", name))
            if item.kind == "board":
                for output in self.plan.modules[item.of].outputs.values():
                    out = (f"{name}.{output.name}", "point")
                    if not output.sinks:
                        self.add(self.plus, end, out, ("inside", name), output.volts is not None)
                    self.add(self.minus, end, out, ("inside", name))
        for link in self.plan.links:
            for side in (self.plus, self.minus):
                self.add(side, (link.one, "point"), (link.other, "point"), ("link", link.name))
        self.supplies = [i.name for i in self.plan.items.values() if i.kind == "supply"]
        self.lights = [i.name for i in self.plan.items.values() if i.kind in LIGHTS]

    def add(self, side: nx.MultiDiGraph, one, other, key, one_way: bool = False) -> None:
        """An edge; both ways unless it passes one way only."""
        side.add_edge(one, other, key=key)
        if one_way:
            self.one_way = True
        else:
            side.add_edge(other, one, key=key)

    def lit(self, plus: nx.MultiDiGraph, minus: nx.MultiDiGraph) -> set[str]:
        """Lights whose ends hang together with both poles of one supply."""
        out: set[str] = set()
        for supply in self.supplies:
            pole = (supply, "point")
            if pole not in plus:
                continue
            a, b = nx.descendants(plus, pole) | {pole}, nx.descendants(minus, pole) | {pole}
            out |= {light for light in self.lights if (light, "end") in a and (light, "end") in b}
        return out

    def without(self, plus=(), minus=(), nodes=()) -> list[str]:
        """The lights that go dark, in the order of the plan, without these edges (by key) and nodes."""
        sides = []
        for side, gone in ((self.plus, set(plus)), (self.minus, set(minus))):
            copy = side.copy()
            copy.remove_edges_from([(u, v, k) for u, v, k in side.edges(keys=True) if k in gone])
            copy.remove_nodes_from(list(nodes))
            sides.append(copy)
        still = self.lit(*sides)
        return [light for light in self.lights if light not in still]

    @staticmethod
    def plain(side: nx.MultiDiGraph) -> tuple[nx.Graph, dict]:
        """One side folded into a plain graph, and the keys of the edges between each two nodes."""
        plain, keys = nx.Graph(), {}
        plain.add_nodes_from(side)
        for u, v, key in side.edges(keys=True):
            plain.add_edge(u, v)
            keys.setdefault(frozenset((u, v)), set()).add(key)
        return plain, keys

    def bridges(self, side: nx.MultiDiGraph) -> set:
        """The keys of the bridges of one side (no one-way parts): single edges without which a part hangs alone."""
        plain, keys = self.plain(side)
        between = [keys[frozenset(edge)] for edge in nx.bridges(plain)]
        return {key for found in between if len(found) == 1 for key in found}

    def joints_that_part(self) -> set[str]:
        """Joints whose point is an articulation point of the plus or of the minus side."""
        cuts = set(nx.articulation_points(self.plain(self.plus)[0])) | set(nx.articulation_points(self.plain(self.minus)[0]))
        return {i.name for i in self.plan.items.values() if i.kind == "joint" and (i.name, "point") in cuts}

    def breaks(self) -> dict[tuple[str, str], list[str]]:
        """All single breaks: what breaks, of which item, and the lights that go dark."""
        out = {(what, item.name): dark for item in self.plan.items.values() for what, dark in self.of(item)}
        for link in self.plan.links:
            if link.run is not None:
                out["plus leg", link.name] = self.without(plus=[("link", link.name)])
                out["minus leg", link.name] = self.without(minus=[("link", link.name)])
        return out

    def of(self, item: Item):
        leg, inside = ("leg", item.name), ("inside", item.name)
        if item.kind == "supply":
            return
        if item.run is not None:
            yield "plus leg", self.without(plus=[leg])
        if (item.run if item.back is None else item.back_run) is not None:
            yield "minus leg", self.without(minus=[leg])
        yield "item", self.with_itself(item, self.without(plus=[leg, inside], minus=[leg, inside]))
        if item.kind == "joint":
            yield "joint", self.without(nodes=[(item.name, "point")])
        if item.kind == "connector":
            yield "plus contact", self.without(plus=[inside])
            yield "minus contact", self.without(minus=[inside])
        if item.kind == "strip":
            yield "tape", self.without(plus=[inside], minus=[inside])

    def with_itself(self, item: Item, dark: list[str]) -> list[str]:
        """A broken light is dark whatever still hangs together with it."""
        gone = set(dark) | ({item.name} if item.kind in LIGHTS else set())
        return [light for light in self.lights if light in gone]

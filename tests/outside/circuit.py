"""An independent solution of a plan's circuit, written from the physics page alone.

Method: the full tableau of the network (every node's voltage and every branch's current is an unknown), solved
by Newton's method on a sparse LU. Parts that pass current one way only, and boards at their lower limit, have
states; the states are searched until every one of them is consistent, by flipping, else by going through them
all. What draws more at less voltage (`takes`, switching regulators) is raised from nothing: an outer iteration
that only ever grows, and so ends at the state of the highest voltages. Legs without resistance are given one
small resistance, and the answers at that and at twice that are extrapolated to none. The result is then put
back into every law and every node's balance, and refused when one does not hold.

    python circuit.py PLAN        prints the figures as JSON
"""

from __future__ import annotations

import itertools
import json
import math
import random
import sys
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import root
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu
from scipy.special import wrightomega

from reading import Item, Plan, plan_of

RHO_20 = 1.7241e-8  # ohm m at 20 degC, IEC 60028
ALPHA = 0.00393  # per K, IEC 60028
LAMP_M = 0.051386  # V: 2 kT/q at 25 degC
SHUNT = 1e-12  # S: the very small load
SMALL = 1e-7  # ohm: the small resistance of a leg without one, before extrapolation
TOO_MUCH = 1000.0  # A
ON_MET = 1e-6  # V: a board's lower limit counts as met
CORNERS = ("typical", "dim", "bright")
LOW_DROP_COLOURS = {"red", "amber", "yellow", "infrared"}
USUAL_DROP = {
    "red": 2.0, "amber": 2.0, "yellow": 2.1, "green": 3.1, "blue": 3.1, "white": 3.0, "warm-white": 3.0,
    "uv": 3.4, "infrared": 1.3,
}


class NoSolution(Exception):
    """The circuit has no state it can settle in; the item at fault."""

    def __init__(self, item: str):
        super().__init__(item)
        self.item = item


class Unsettled(Exception):
    """This solver found no answer it can vouch for (a fault of the solver or of the plan)."""


# ---------------------------------------------------------------------------------------------------------
# Branches


@dataclass
class Branch:
    """A two-ended part; its current flows from `a` to `b` and is an unknown of the tableau."""

    a: str
    b: str
    owner: str = ""

    number: int = field(default=-1, repr=False)


@dataclass
class Ohm(Branch):
    """A resistance, or a leg without one (`ohm == 0`)."""

    ohm: float = 0.0


@dataclass
class Source(Branch):
    """An electromotive force behind a resistance; the current is what it gives at its plus, `b`."""

    volts: float = 0.0
    ohm: float = 0.0


@dataclass
class Light(Branch):
    """`many` equal branches side by side, each of `lamps` in series with `ohm`."""

    lamps: int = 1
    vf: float = 3.0
    at: float = 0.02
    rs: float = 10.0
    m: float = LAMP_M
    ohm: float = 0.0
    many: int = 1

    def current(self, volts: float) -> tuple[float, float]:
        """Current and its slope at the voltage."""
        current, slope = Lights([self]).currents(np.array([volts]))
        return float(current[0]), float(slope[0])


class Lights:
    """The law of many lights at once."""

    def __init__(self, lights: list[Light]):
        def column(of):
            return np.array([of(b) for b in lights], dtype=float)

        self.many = column(lambda b: b.many)
        self.nm = column(lambda b: b.lamps * b.m)
        self.at = column(lambda b: b.at)
        self.knee = column(lambda b: b.lamps * (b.vf - b.rs * b.at))
        r = column(lambda b: b.ohm + b.lamps * b.rs)
        self.bare = r == 0.0
        self.r = np.where(self.bare, 1.0, r)
        self.shift = np.log(self.r * self.at / self.nm)
        self.most = np.log(1e5 / self.at)  # a bare junction is followed up to 100 kA, from there by its tangent

    def currents(self, volts):
        """Currents and their slopes at these voltages."""
        # ln w + w = z with w = r I / (n m)
        z = (volts - self.knee) / self.nm
        w = wrightomega(z + self.shift).real
        current, slope = w * self.nm / self.r, w / (1.0 + w) / self.r
        if self.bare.any():
            cut = np.minimum(z, self.most)
            i = self.at * np.exp(cut)
            current = np.where(self.bare, i * (1.0 + z - cut), current)
            slope = np.where(self.bare, i / self.nm, slope)
        on = volts > 0.0
        return np.where(on, self.many * current, 0.0), np.where(on, self.many * slope, 0.0)


@dataclass
class Sink(Branch):
    """A stated current, above the voltage `low`: state full, limit (held at `low`) or none."""

    amps: float = 0.0
    low: float = 0.0
    state: str = "full"


@dataclass
class Takes(Branch):
    """A stated power; `amps` is what the outer iteration has come to."""

    watts: float = 0.0
    amps: float = 0.0


@dataclass
class OneWay(Branch):
    """From an input `a` to an output `b`, both against their own minus; passes current one way.

    The output's own voltage is min(cap, Vin - below); the input gives `gain` times the output's current.
    """

    a_minus: str = ""
    b_minus: str = ""
    cap: float = math.inf
    below: float = 0.0
    efficiency: float | None = None
    gain: float = 1.0
    state: str = "drop"


@dataclass
class Shunt(Branch):
    """The very small load."""


# ---------------------------------------------------------------------------------------------------------
# The plan as a network


def wire_ohm(plan: Plan, run) -> float:
    """Resistance of one leg of a run at the plan's ambient."""
    if run is None or run.length == 0.0:
        return 0.0
    area = plan.wires[run.wire].area
    return RHO_20 * (1.0 + ALPHA * (plan.ambient - 20.0)) * run.length / area


def lamp_law(points: list[tuple[float, float]], colour: str) -> tuple[float, float, float, float]:
    """Vf, If, Rs, m of a led."""
    vf, i_f = points[0]
    if len(points) == 1:
        return vf, i_f, (0.1 if colour in LOW_DROP_COLOURS else 0.2) / i_f, LAMP_M
    v2, i2 = points[1]
    log = math.log(i2 / i_f)
    rs = (v2 - vf - LAMP_M * log) / (i2 - i_f)
    if rs >= 0.0:
        return vf, i_f, rs, LAMP_M
    m = (v2 - vf) / log
    if m <= 0.0:
        raise ValueError("drops-impossible")
    return vf, i_f, 0.0, m


@dataclass
class Network:
    """The branches of one scene at one corner, and where each item's figures are to be read."""

    plan: Plan
    off: set[str]
    corner: str
    branches: list[Branch] = field(default_factory=list)
    plus_leg: dict[str, Ohm] = field(default_factory=dict)
    minus_leg: dict[str, Ohm] = field(default_factory=dict)
    inside: dict[str, list[Branch]] = field(default_factory=dict)
    reached: set[str] = field(default_factory=set)

    # Nodes: `name+` `name-` the input ends, `name>` `name<` the point that the item hands on (plus, minus).

    def ends(self, point: str) -> tuple[str, str]:
        """Plus and minus node of a point."""
        item = self.plan.items.get(point)
        if item is not None:
            return point + ">", self.out_minus(item)
        board, _, output = point.rpartition(".")
        made = self.plan.modules[self.plan.items[board].of].outputs[output]
        return point + ">", point + "<" if made.sinks else board + "-"

    def out_minus(self, item: Item) -> str:
        tracked = item.kind == "strip" and self.plan.tapes[item.of].track > 0.0 and self.plan.groups_of(item) > 0
        if tracked or (item.kind == "connector" and item.contact > 0.0):
            return item.name + "<"
        return item.name + "-"

    def add(self, branch: Branch) -> Branch:
        self.branches.append(branch)
        if branch.owner:
            self.inside.setdefault(branch.owner, []).append(branch)
        return branch

    def build(self) -> None:
        plan = self.plan
        vary = {"typical": 0.0, "dim": -1.0, "bright": 1.0}[self.corner]
        ohms = 1.0 - 0.05 * vary
        lamp_shift = -0.1 * vary
        for item in plan.items.values():
            name, off = item.name, item.name in self.off
            plus, minus, out = name + "+", name + "-", name + ">"
            out_minus = self.out_minus(item)
            if item.source is not None:
                r = wire_ohm(plan, item.run)
                back = item.back or item.source
                if not off:
                    self.plus_leg[name] = self.add(Ohm(self.ends(item.source)[0], plus, ohm=r))
                r_back = wire_ohm(plan, item.back_run) if item.back else r
                self.minus_leg[name] = self.add(Ohm(minus, self.ends(back)[1], ohm=r_back))
            # what stays of an item that is off: its minus
            if item.kind == "connector" and out_minus != minus:
                self.add(Ohm(out_minus, minus, owner=name, ohm=item.contact))
            if item.kind == "strip":
                self.build_strip(item, off, ohms, lamp_shift)
                continue
            if off:
                continue
            if item.kind == "supply":
                part = item.tolerance if item.tolerance is not None else plan.tolerance
                volts = item.volts * (1.0 + part * vary)
                self.add(Source(minus, plus, owner=name, volts=volts, ohm=item.resistance or 0.0))
                self.tie(plus, out)
            elif item.kind in ("switch", "joint"):
                self.tie(plus, out)
            elif item.kind in ("fuse", "connector", "resistor"):
                r = item.contact if item.kind == "connector" else item.resistance or 0.0
                if item.kind == "resistor":
                    r *= ohms
                if r == 0.0:
                    self.tie(plus, out)
                else:
                    self.add(Ohm(plus, out, owner=name, ohm=r))
            elif item.kind in ("diode", "rectifier"):
                self.add(OneWay(plus, out, owner=name, a_minus=minus, b_minus=out_minus, below=item.drops))
            elif item.kind == "regulator":
                if item.efficiency is None:
                    self.add(OneWay(plus, out, owner=name, a_minus=minus, b_minus=out_minus, cap=item.volts,
                                    below=item.dropout, state="cap"))
                else:
                    self.add(OneWay(plus, out, owner=name, a_minus=minus, b_minus=out_minus, cap=item.volts,
                                    efficiency=item.efficiency, gain=0.0, state="cap"))
            elif item.kind in ("lamp", "string"):
                self.tie(plus, out)
                led = plan.leds[item.of]
                vf, at, rs, m = lamp_law(led.points, led.colour)
                self.add(Light(plus, minus, owner=name, lamps=item.lamps, vf=vf + lamp_shift, at=at, rs=rs, m=m,
                               ohm=(item.resistance or 0.0) * ohms))
            elif item.kind == "load":
                if item.draws is not None:
                    self.add(Sink(plus, minus, owner=name, amps=item.draws))
                elif item.takes is not None:
                    self.add(Takes(plus, minus, owner=name, watts=item.takes))
                else:
                    self.add(Ohm(plus, minus, owner=name, ohm=item.resistance))
            elif item.kind == "board":
                module = plan.modules[item.of]
                if module.draws > 0.0:
                    self.add(Sink(plus, minus, owner=name, amps=module.draws, low=module.low))
                for output in module.outputs.values():
                    point = f"{name}.{output.name}"
                    if point in self.off:
                        continue
                    if output.sinks:
                        self.tie(point + "<", minus)
                    elif output.volts is None:
                        self.tie(plus, point + ">")
                    else:
                        self.add(OneWay(plus, point + ">", owner=name, a_minus=minus, b_minus=minus,
                                        cap=output.volts, state="cap"))
        for link in plan.links:
            r = wire_ohm(plan, link.run)
            (plus_1, minus_1), (plus_2, minus_2) = self.ends(link.one), self.ends(link.other)
            self.add(Ohm(plus_1, plus_2, ohm=r))
            self.add(Ohm(minus_1, minus_2, ohm=r))

    def build_strip(self, item: Item, off: bool, ohms: float, lamp_shift: float) -> None:
        tape = self.plan.tapes[item.of]
        name, groups = item.name, self.plan.groups_of(item)
        vf = tape.drops if tape.drops is not None else USUAL_DROP[tape.colour]
        rs = (0.1 if tape.colour in LOW_DROP_COLOURS else 0.2) / tape.current
        own = (tape.at - tape.lamps * vf) / tape.current  # what makes it draw that, from nominal values
        light = dict(owner=name, lamps=tape.lamps, vf=vf + lamp_shift, at=tape.current, rs=rs, ohm=own * ohms)
        plus, minus, out, out_minus = name + "+", name + "-", name + ">", self.out_minus(item)
        if out_minus == minus:  # no track resistance
            if not off:
                self.tie(plus, out)
                if groups:
                    self.add(Light(plus, minus, many=groups, **light))
            return
        half = tape.track * tape.length / 2.0  # one copper track along one group
        if off:
            self.add(Ohm(out_minus, minus, owner=name, ohm=half * groups))
            return
        before, before_minus = plus, minus
        for k in range(1, groups + 1):
            here, here_minus = f"{name}+{k}", f"{name}-{k}"
            part = half / 2.0 if k == 1 else half
            self.add(Ohm(before, here, owner=name, ohm=part))
            self.add(Ohm(here_minus, before_minus, owner=name, ohm=part))
            self.add(Light(here, here_minus, **light))
            before, before_minus = here, here_minus
        self.add(Ohm(before, out, owner=name, ohm=half / 2.0))
        self.add(Ohm(out_minus, before_minus, owner=name, ohm=half / 2.0))

    # Nodes that are one and the same

    def tie(self, one: str, other: str) -> None:
        self.parent = getattr(self, "parent", {})
        self.parent[self.top(one)] = self.top(other)

    def top(self, node: str) -> str:
        parent = getattr(self, "parent", {})
        while node in parent and parent[node] != node:
            node = parent[node]
        return node

    def settle_nodes(self) -> None:
        """Names of nodes become those of the tied groups; what is not reached is taken out; small loads put in."""
        for branch in self.branches:
            branch.a, branch.b = self.top(branch.a), self.top(branch.b)
            if isinstance(branch, OneWay):
                branch.a_minus, branch.b_minus = self.top(branch.a_minus), self.top(branch.b_minus)
        self.find_reached()
        kept = []
        for branch in self.branches:
            two_ended = isinstance(branch, (Light, Sink, Takes, OneWay)) or (
                isinstance(branch, Ohm) and branch.owner and self.plan.items[branch.owner].kind == "load"
            )
            if two_ended and branch.owner not in self.reached:
                self.inside[branch.owner] = [b for b in self.inside[branch.owner] if b is not branch]
                continue
            kept.append(branch)
        self.branches = kept
        for name in sorted(self.reached):
            self.branches.append(Shunt(self.top(name + "+"), self.top(name + "-")))
        for branch in list(kept):
            if isinstance(branch, OneWay):
                self.branches.append(Shunt(branch.b, branch.b_minus))
        for number, branch in enumerate(self.branches):
            branch.number = number

    def find_reached(self) -> None:
        """An item is reached if its ends connect to plus and minus of one supply that is on."""
        ahead: dict[str, list[str]] = {}
        for branch in self.branches:
            passive = isinstance(branch, Ohm) and not (
                branch.owner and self.plan.items[branch.owner].kind == "load"
            )
            if passive:
                ahead.setdefault(branch.a, []).append(branch.b)
                ahead.setdefault(branch.b, []).append(branch.a)
            elif isinstance(branch, OneWay):
                ahead.setdefault(branch.a, []).append(branch.b)  # one way only

        def flood(start: str) -> set[str]:
            seen, todo = {start}, [start]
            while todo:
                for node in ahead.get(todo.pop(), []):
                    if node not in seen:
                        seen.add(node)
                        todo.append(node)
            return seen

        for supply in self.plan.items.values():
            if supply.kind != "supply" or supply.name in self.off:
                continue
            plus, minus = flood(self.top(supply.name + "+")), flood(self.top(supply.name + "-"))
            for item in self.plan.items.values():
                if item.name in self.off:
                    continue
                if self.top(item.name + "+") in plus and self.top(item.name + "-") in minus:
                    self.reached.add(item.name)


# ---------------------------------------------------------------------------------------------------------
# Solving


class Pattern:
    """The equations for one set of states: what is linear, and where the slopes of the lights go."""

    def __init__(self, tableau: Tableau, entries: list[tuple[int, int, float]], constant):
        lights = [b for b in tableau.branches if isinstance(b, Light)]
        self.law = Lights(lights) if lights else None
        self.k = np.array([tableau.row[id(b)] for b in lights], dtype=int)
        self.a = np.array([tableau.nodes[b.a] for b in lights], dtype=int)
        self.c = np.array([tableau.nodes[b.b] for b in lights], dtype=int)
        self.constant, self.size = constant, tableau.size
        table = np.array([(row, col) for row, col, _ in entries], dtype=np.int64)
        places = np.concatenate([
            table[:, 1] * self.size + table[:, 0], self.a * self.size + self.k, self.c * self.size + self.k
        ])
        found, self.slot = np.unique(places, return_inverse=True)
        self.vals = np.array([value for _, _, value in entries])
        starts = np.searchsorted(found, np.arange(self.size + 1) * self.size)
        data = np.bincount(self.slot[: len(entries)], self.vals, minlength=len(found))
        self.fixed = csc_matrix((data, (found % self.size).astype(np.int32), starts.astype(np.int32)),
                                shape=(self.size, self.size))

    def at(self, x):
        """Residuals and their derivatives."""
        f = self.fixed @ x + self.constant
        jacobian = self.fixed
        if self.law is not None:
            current, slope = self.law.currents(x[self.a] - x[self.c])
            f[self.k] -= current
            data = np.bincount(self.slot, np.concatenate([self.vals, -slope, slope]), minlength=self.fixed.nnz)
            jacobian = self.fixed.copy()
            jacobian.data = data
        return f, jacobian


class Corners:
    """The laws of one-way parts and of boards with round corners of the size `mu`, volts."""

    OHM = 10.0  # weighs current against voltage

    def __init__(self, tableau: Tableau, parts: list[Branch]):
        self.tableau = tableau
        self.ways = [b for b in parts if isinstance(b, OneWay)]
        self.sinks = [b for b in parts if isinstance(b, Sink)]
        nodes, row = tableau.nodes, tableau.row

        def column(of, of_what, kind):
            return np.array([of(b) for b in of_what], dtype=kind)

        self.k = column(lambda b: row[id(b)], self.ways, int)
        self.a = column(lambda b: nodes[b.a], self.ways, int)
        self.am = column(lambda b: nodes[b.a_minus], self.ways, int)
        self.c = column(lambda b: nodes[b.b], self.ways, int)
        self.cm = column(lambda b: nodes[b.b_minus], self.ways, int)
        self.cap = column(lambda b: min(b.cap, 1e9), self.ways, float)
        self.below = column(lambda b: b.below, self.ways, float)
        self.ks = column(lambda b: row[id(b)], self.sinks, int)
        self.sa = column(lambda b: nodes[b.a], self.sinks, int)
        self.sc = column(lambda b: nodes[b.b], self.sinks, int)
        self.amps = column(lambda b: b.amps, self.sinks, float)
        self.low = column(lambda b: b.low, self.sinks, float)

    def own(self, x, mu):
        """What a one-way part would have at its output, and its slope over its input."""
        drop = x[self.a] - x[self.am] - self.below
        gap = np.sqrt((self.cap - drop) ** 2 + 4.0 * mu * mu)
        return (self.cap + drop - gap) / 2.0, (1.0 + (self.cap - drop) / gap) / 2.0

    def at(self, x, mu):
        """What to add to the residuals, and their slopes."""
        f = np.zeros(self.tableau.size)
        i = x[self.k]
        own, slope = self.own(x, mu)
        over = x[self.c] - x[self.cm] - own  # zero where current flows, else no less
        root_ = np.sqrt((i * self.OHM) ** 2 + over**2 + 2.0 * mu * mu)
        f[self.k] = i * self.OHM + over - root_ - i
        by_i, by_v = self.OHM - self.OHM**2 * i / root_ - 1.0, 1.0 - over / root_
        j = x[self.ks]
        want = j + (x[self.sa] - x[self.sc] - self.low) / self.OHM
        small = mu / self.OHM
        one, two = np.sqrt(want**2 + 4.0 * small**2), np.sqrt((want - self.amps) ** 2 + 4.0 * small**2)
        f[self.ks] = -(self.amps + one - two) / 2.0
        by_w = -(want / one - (want - self.amps) / two) / 2.0
        rows = np.concatenate([self.k] * 5 + [self.ks] * 3)
        cols = np.concatenate([self.k, self.c, self.cm, self.a, self.am, self.ks, self.sa, self.sc])
        vals = np.concatenate([by_i, by_v, -by_v, -by_v * slope, by_v * slope, by_w, by_w / self.OHM, -by_w / self.OHM])
        return f, csc_matrix((vals, (rows, cols)), shape=(self.tableau.size,) * 2)

    def settle(self, x):
        """Puts every part into the state that fits best."""
        own, _ = self.own(x, 1e-12)
        for b, i, v, k, drop in zip(self.ways, x[self.k], own, x[self.c] - x[self.cm], x[self.a] - x[self.am]):
            flows = i * self.OHM > k - v and v > 0.0
            b.state = "off" if not flows else "cap" if b.cap < drop - b.below else "drop"
        want = x[self.ks] + (x[self.sa] - x[self.sc] - self.low) / self.OHM
        for b, w in zip(self.sinks, want):
            b.state = "none" if w < 0.0 else "full" if w > b.amps else "limit"


class Tableau:
    """Unknowns: the voltage of each node, then the current of each branch (of a one-way part: its output's)."""

    def __init__(self, network: Network, small: float):
        self.small = small
        self.cached = None
        self.branches = [b for b in network.branches]
        # only what hangs together with a supply that is on
        neighbours: dict[str, set[str]] = {}
        for b in self.branches:
            nodes = {b.a, b.b} | ({b.a_minus, b.b_minus} if isinstance(b, OneWay) else set())
            for node in nodes:
                neighbours.setdefault(node, set()).update(nodes)
        self.ground: list[str] = []
        seen: set[str] = set()
        for b in self.branches:
            if isinstance(b, Source) and b.a not in seen:
                self.ground.append(b.a)
                todo = [b.a]
                seen.add(b.a)
                while todo:
                    for node in neighbours[todo.pop()]:
                        if node not in seen:
                            seen.add(node)
                            todo.append(node)
        self.branches = [b for b in self.branches if b.a in seen]
        self.nodes = {node: n for n, node in enumerate(sorted(seen))}
        self.row = {id(b): len(self.nodes) + n for n, b in enumerate(self.branches)}
        self.size = len(self.nodes) + len(self.branches)

    def volts(self, x, a: str, b: str) -> float:
        return x[self.nodes[a]] - x[self.nodes[b]]

    def current(self, x, b: Branch) -> float:
        return x[self.row[id(b)]] if id(b) in self.row else 0.0

    def linear(self):
        """All that is linear for the states, gains and draws as they are: rows, columns, values, constants.

        Rows of nodes are balances (A), rows of branches laws (V or A). The rows of lights hold their current
        alone here; what they pass is put in at each step.
        """
        key = tuple(
            (b.state, b.gain) if isinstance(b, OneWay) else b.state if isinstance(b, Sink)
            else b.amps if isinstance(b, Takes) else 0
            for b in self.branches
        )
        if self.cached is not None and self.cached[0] == key:
            return self.cached[1]
        entries: list[tuple[int, int, float]] = []
        constant = np.zeros(self.size)
        for b in self.branches:
            a, c, k = self.nodes[b.a], self.nodes[b.b], self.row[id(b)]
            gain = b.gain if isinstance(b, OneWay) else 1.0
            entries += [(a, k, -gain), (c, k, 1.0)]  # the current leaves a and enters b
            if isinstance(b, OneWay):
                # what is taken at the input and given at the output comes back through minus
                am, bm = self.nodes[b.a_minus], self.nodes[b.b_minus]
                entries += [(am, k, gain), (bm, k, -1.0)]
                if b.state == "off":
                    entries.append((k, k, 1.0))
                    continue
                entries += [(k, c, 1.0), (k, bm, -1.0)]
                if b.state == "cap":
                    constant[k] = -b.cap
                else:
                    entries += [(k, a, -1.0), (k, am, 1.0)]
                    constant[k] = b.below
            elif isinstance(b, Ohm):
                r = b.ohm if b.ohm > 0.0 else self.small
                entries += [(k, a, 1.0), (k, c, -1.0), (k, k, -r)]
            elif isinstance(b, Source):  # from minus (a) to plus (b) inside
                entries += [(k, a, 1.0), (k, c, -1.0), (k, k, -b.ohm)]
                constant[k] = b.volts
            elif isinstance(b, Light):
                entries.append((k, k, 1.0))
            elif isinstance(b, Shunt):
                entries += [(k, k, 1.0), (k, a, -SHUNT), (k, c, SHUNT)]
            elif isinstance(b, Sink) and b.state == "limit":
                entries += [(k, a, 1.0), (k, c, -1.0)]
                constant[k] = -b.low
            elif isinstance(b, Sink):
                entries.append((k, k, 1.0))
                constant[k] = -b.amps if b.state == "full" else 0.0
            elif isinstance(b, Takes):
                entries.append((k, k, 1.0))
                constant[k] = -b.amps
        # the balance of one node of a circuit follows from all others: its row makes it the reference
        grounds = {self.nodes[node] for node in self.ground}
        entries = [e for e in entries if e[0] not in grounds] + [(n, n, 1.0) for n in grounds]
        self.cached = key, Pattern(self, entries, constant)
        return self.cached[1]

    def equations(self, x):
        """Residuals and their derivatives."""
        return self.linear().at(x)

    def newton(self, x):
        """The solution for the states as they are, or None."""
        best, since = math.inf, 0
        for _ in range(400):
            f, jacobian = self.equations(x)
            try:
                lu = splu(jacobian)
            except RuntimeError:
                return None
            step = lu.solve(f)
            step += lu.solve(f - jacobian @ step)
            if not np.all(np.isfinite(step)):
                return None
            x = x - step
            off = np.max(np.abs(self.equations(x)[0]))
            # rounding keeps the last digits of the division among legs of the small resistance moving; of currents
            # that are no solution anyway only the size counts
            most = np.max(np.abs(x))
            fine = 1e-12 if most < 2.0 * TOO_MUCH else 1e-9 * most
            if np.max(np.abs(step[: len(self.nodes)])) < fine and off < fine:
                return x
            # these states leave something that nothing settles: no step makes it better
            best, since = (off, 0) if off < 0.9 * best else (best, since + 1)
            if since > 30:
                return None
        return None

    def flaws(self, x) -> list[tuple[float, Branch, str]]:
        """Parts whose state does not fit the voltages and currents: by how much, which, the state to try."""
        out = []
        for b in self.branches:
            if isinstance(b, OneWay):
                i = self.current(x, b)
                vin = self.volts(x, b.a, b.a_minus)
                vout = self.volts(x, b.b, b.b_minus)
                own, state = min((b.cap, "cap"), (vin - b.below, "drop"))
                if b.state == "off":
                    if own > 1e-9 and vout < own - 1e-9:
                        out.append((own - vout, b, state))
                elif own <= 0.0:
                    if abs(i) > 1e-11 or b.state == "cap":
                        out.append((1.0, b, "off"))
                elif i < -1e-10:
                    out.append((-i, b, "off"))
                elif state != b.state and abs(vout - own) > 1e-9:
                    out.append((abs(vout - own), b, state))
            elif isinstance(b, Sink):
                i, v = self.current(x, b), self.volts(x, b.a, b.b)
                if b.state == "full" and v < b.low - ON_MET:
                    out.append((b.low - v, b, "limit"))
                elif b.state == "none" and v > b.low + 1e-9:
                    out.append((v - b.low, b, "limit"))
                elif b.state == "limit" and i > b.amps + 1e-10:
                    out.append((i - b.amps, b, "full"))
                elif b.state == "limit" and i < -1e-10:
                    out.append((-i, b, "none"))
        return out

    @staticmethod
    def choices(b: Branch) -> tuple[str, ...]:
        """The states that a part can have."""
        if isinstance(b, OneWay):
            return ("off", "drop") if math.isinf(b.cap) else ("cap", "drop", "off")
        return "full", "limit", "none"

    def start(self):
        x = np.zeros(self.size)
        top = max((b.volts for b in self.branches if isinstance(b, Source)), default=0.0)
        for node, n in self.nodes.items():
            if "+" in node or ">" in node:
                x[n] = top
        return x

    def smoothed(self):
        """Voltages and currents near the solution, by laws with round corners that are sharpened step by step.

        Puts every part into the state that fits them best. A guess only: the search goes on from it, and what it
        ends at is checked.
        """
        parts = [b for b in self.branches if isinstance(b, (OneWay, Sink))]
        for b in parts:
            b.state = "off" if isinstance(b, OneWay) else "none"  # their rows hold their current alone
        law = self.linear()
        corners = Corners(self, parts)
        x, mu = self.start(), 1.0

        def equations(x):
            f, jacobian = law.at(x)
            more, slopes = corners.at(x, mu)
            return f + more, jacobian + slopes

        while mu > 1e-8:
            mu *= 0.3
            f, jacobian = equations(x)
            for _ in range(4):
                try:
                    step = splu(jacobian.tocsc()).solve(f)
                except RuntimeError:
                    break
                size, part = np.linalg.norm(f), 1.0
                if not np.all(np.isfinite(step)):
                    break
                while True:
                    y = x - part * step
                    f, jacobian = equations(y)
                    if np.linalg.norm(f) < size or part < 0.01:
                        break
                    part *= 0.5
                x = y
                if np.max(np.abs(part * step)) < 0.1 * mu:
                    break
        corners.settle(x)
        return x

    def monotone(self, x):
        """The one solution with the draw of `takes` and the gain of switching regulators held.

        A board that is 1 uV short of its lower limit has met it, so one that stands at the limit is tried in full;
        not where that would only take from another board at its limit.
        """
        x = self.consistent(x)
        boards = [b for b in self.branches if isinstance(b, Sink) and b.low > 0.0]
        parts = [b for b in self.branches if isinstance(b, (OneWay, Sink))]
        near = [b for b in boards if abs(self.volts(x, b.a, b.b) - b.low) <= ON_MET]
        before = [part.state for part in parts]
        if len(near) > 1:  # several at the limit share what there is, not first come, first served
            for b in near:
                b.state = "limit"
            y = self.newton(x)
            if y is not None and not self.flaws(y):
                x = y
            else:
                for part, state in zip(parts, before):
                    part.state = state
        held = [b for b in boards if b.state != "full" and self.volts(x, b.a, b.b) >= b.low - ON_MET]
        for b in held:
            before = [part.state for part in parts]
            others = [self.current(x, o) for o in boards if o is not b]
            b.state = "full"
            y = self.newton(x)
            if y is not None and not self.flaws(y):
                if np.allclose(others, [self.current(y, o) for o in boards if o is not b], rtol=0.0, atol=1e-7):
                    x = y
                    continue
            for part, state in zip(parts, before):
                part.state = state
        return x

    def consistent(self, x):
        """A solution in which every part's state fits."""
        parts = [b for b in self.branches if isinstance(b, (OneWay, Sink))]
        if x is None:
            x = self.start()
        chance = random.Random(1)
        seen = set()
        last = None  # the states that had a solution last, and what was wrong with it
        for turn in range(100 + 40 * len(parts)):
            if turn == 8:  # flipping alone does not find them
                x = self.smoothed()
            y = self.newton(x)
            if y is None:
                y = self.newton(self.start())
            if y is None:  # no such state: back, and change one part only
                if not parts:
                    break
                if last is None or turn % 10 == 9:
                    b = chance.choice(parts)
                    b.state = chance.choice(self.choices(b))
                    continue
                for b, state in zip(parts, last[0]):
                    b.state = state
                _, b, state = chance.choice(last[1])
                b.state = state
                continue
            x = y
            flaws = self.flaws(y)
            if not flaws:
                return y
            states = tuple(b.state for b in parts)
            last = states, flaws
            # all at once; where that has led in a circle, one of them
            if states in seen:
                flaws = [chance.choice(flaws)]
            seen.add(states)
            for _, b, state in flaws:
                b.state = state
        # go through them all
        choices = [self.choices(b) for b in parts]
        if math.prod(len(c) for c in choices) > 50000:
            raise Unsettled("too many states to go through")
        for states in itertools.product(*choices):
            for b, state in zip(parts, states):
                b.state = state
            y = self.newton(self.start())
            if y is not None and not self.flaws(y):
                return y
        raise Unsettled("no consistent state")

    def solve(self, near: bool = False):
        """Raises the draw of `takes` and switching regulators from nothing to what they really draw.

        `near`: they hold the draw that was found at half the small resistance, and only follow it.
        """
        takes = [b for b in self.branches if isinstance(b, Takes)]
        switching = [b for b in self.branches if isinstance(b, OneWay) and b.efficiency is not None]
        if near:
            found = np.array([b.amps for b in takes] + [b.gain for b in switching])
        for b in takes:
            b.amps = 0.0
        for b in switching:
            b.gain = 0.0
        state = {"x": None}

        def wanted(draw):
            """What is drawn at the voltages that this draw leaves."""
            for b, value in zip(takes, draw):
                b.amps = value
            for b, value in zip(switching, draw[len(takes):]):
                b.gain = value
            x = self.monotone(state["x"])
            state["x"] = x
            out = []
            for b in takes:
                v = self.volts(x, b.a, b.b)
                out.append(b.watts / v if v > 1e-6 else math.inf)
            for b in switching:
                vin, vout = self.volts(x, b.a, b.a_minus), self.volts(x, b.b, b.b_minus)
                if b.state == "off" or vin <= 0.0:
                    out.append(0.0 if b.state == "off" else 1.0 / b.efficiency)
                else:
                    out.append(min(vout, vin) / (b.efficiency * vin))
            return np.array(out)

        draw = np.zeros(len(takes) + len(switching))
        if len(draw) == 0:
            return self.monotone(None)
        if near:
            for _ in range(30):
                found, before = wanted(found), found
                if not np.all(np.isfinite(found)):
                    break
                if np.max(np.abs(found - before)) < 1e-13:
                    wanted(found)
                    return state["x"]
        for turn in range(1, 20001):
            new = wanted(draw)
            lost = [b for b, value in zip(takes, new) if not math.isfinite(value)]
            if lost:
                low = min(lost, key=lambda b: self.volts(state["x"], b.a, b.b))
                raise NoSolution(low.owner)
            # of one that gives nothing the part is of no account
            idle = np.array([False] * len(takes) + [self.current(state["x"], b) < 1e-10 for b in switching])
            moved = np.max(np.where(idle, 0.0, np.abs(new - draw)))
            draw = np.maximum(draw, new) if turn > 1 else new
            if moved < 1e-13:
                wanted(draw)
                return state["x"]
            if turn % 40 == 0 or moved < 1e-5:
                sharp = self.sharpen(wanted, draw)
                if sharp is not None:
                    wanted(sharp)
                    return state["x"]
        raise Unsettled("the draw of loads did not settle")

    @staticmethod
    def sharpen(wanted, draw):
        """The fixed point next above, if it is the least one (the iteration is stable there)."""

        def off(d):
            w = wanted(np.maximum(d, 0.0))
            return np.where(np.isfinite(w), w, 1e6) - d

        try:
            found = root(off, draw, tol=1e-14)
        except (Unsettled, NoSolution):
            return None
        y = found.x
        if np.max(np.abs(off(y))) > 1e-12 or np.any(y < draw - 1e-9):
            return None
        n = len(y)
        slope = np.zeros((n, n))
        for k in range(n):
            h = 1e-7 * max(1e-3, abs(y[k]))
            up, down = y.copy(), y.copy()
            up[k] += h
            down[k] -= h
            slope[:, k] = (wanted(up) - wanted(down)) / (2.0 * h)
        if not np.all(np.isfinite(slope)) or np.max(np.abs(np.linalg.eigvals(slope))) >= 1.0:
            return None
        return y


@dataclass
class Solved:
    """Voltages by node and currents by branch of one scene at one corner."""

    network: Network
    nodes: dict[str, float]
    currents: dict[int, float]

    def volts(self, plus: str, minus: str) -> float:
        top = self.network.top
        return self.nodes.get(top(plus), 0.0) - self.nodes.get(top(minus), 0.0)

    def current(self, branch: Branch | None) -> float:
        return 0.0 if branch is None else self.currents.get(id(branch), 0.0)


def solve(plan: Plan, off: set[str], corner: str) -> Solved:
    """The network's state, checked against every law."""
    network = Network(plan, off, corner)
    network.build()
    network.settle_nodes()
    if not network.reached:
        return Solved(network, {}, {})
    one = Tableau(network, SMALL)
    x1 = one.solve()
    gains_1 = [b.gain if isinstance(b, OneWay) else b.amps if isinstance(b, Takes) else 0.0 for b in one.branches]
    states_1 = [getattr(b, "state", "") for b in one.branches]
    for b in one.branches:
        if isinstance(b, Sink) and network.plan.items[b.owner].kind == "load":
            if b.state != "full" or one.volts(x1, b.a, b.b) <= 1e-9:
                starved = [
                    s for s in one.branches
                    if isinstance(s, Sink) and network.plan.items[s.owner].kind == "load"
                    and (s.state != "full" or one.volts(x1, s.a, s.b) <= 1e-9)
                ]
                worst = min(starved, key=lambda s: one.current(x1, s) / s.amps)
                raise NoSolution(worst.owner)
    # the leg that carries too much: its item
    heavy = [(abs(one.current(x1, b)), b.owner) for b in one.branches if b.owner]
    if heavy and max(heavy)[0] > TOO_MUCH:
        takers = [(abs(one.current(x1, b)), b.owner) for b in one.branches
                  if b.owner and isinstance(b, (Light, Takes, Sink))
                  or b.owner and network.plan.items[b.owner].kind == "load"]
        takers = [t for t in takers if t[0] > TOO_MUCH]
        raise NoSolution(max(takers or heavy)[1])
    zero_legs = [b for b in one.branches if isinstance(b, Ohm) and b.ohm == 0.0]
    if zero_legs:
        two = Tableau(network, 2.0 * SMALL)
        x2 = two.solve(near=True)
        gains_2 = [b.gain if isinstance(b, OneWay) else b.amps if isinstance(b, Takes) else 0.0 for b in two.branches]
        states_2 = [getattr(b, "state", "") for b in two.branches]
        same = states_1 == states_2
        x = 2.0 * x1 - x2 if same else x1
        for b, g1, g2, s1 in zip(one.branches, gains_1, gains_2, states_1):
            g = 2.0 * g1 - g2 if same else g1
            if isinstance(b, OneWay):
                b.gain, b.state = g, s1
            elif isinstance(b, Takes):
                b.amps = g
            elif isinstance(b, Sink):
                b.state = s1
    else:
        same, x = True, x1
    verify(network, one, x, same)
    nodes = {node: x[n] for node, n in one.nodes.items()}
    currents = {id(b): x[one.row[id(b)]] for b in one.branches}
    return Solved(network, nodes, currents)


def verify(network: Network, tableau: Tableau, x, exact: bool) -> None:
    """Every node's balance to 1e-9 A and every law to 1e-9 (V; A where the law gives the current; of amperes above
    one, 1e-9 of them)."""
    allow = 1e-9 if exact else 1e-5
    balance: dict[str, float] = {}

    def flows(node: str, amps: float) -> None:
        balance[node] = balance.get(node, 0.0) + amps

    for b in tableau.branches:
        i, v = tableau.current(x, b), tableau.volts(x, b.a, b.b)
        error = 0.0
        if isinstance(b, OneWay):
            vin, vout = tableau.volts(x, b.a, b.a_minus), tableau.volts(x, b.b, b.b_minus)
            own = min(b.cap, vin - b.below)
            gain = 1.0
            if b.efficiency is not None:
                gain = vout / (b.efficiency * vin) if i > 1e-11 else b.gain
            flows(b.a, -gain * i)
            flows(b.a_minus, gain * i)
            flows(b.b, i)
            flows(b.b_minus, -i)
            if i < -1e-9:
                error = -i
            elif i > 1e-9:
                error = abs(vout - own)
            elif own > 0.0:
                error = max(0.0, own - vout)
        else:
            flows(b.a, -i)
            flows(b.b, i)
            if isinstance(b, Ohm):
                error = abs(v - b.ohm * i)
            elif isinstance(b, Source):
                error = abs(v + b.volts - b.ohm * i)
            elif isinstance(b, Light):
                error = abs(i - b.current(v)[0])
                if b.many == 1 and i > 1e-9:  # the law as the page writes it
                    each = b.lamps * (b.vf + b.m * math.log(i / b.at) + b.rs * (i - b.at)) + b.ohm * i
                    error = max(error, abs(each - v))
            elif isinstance(b, Takes):
                error = abs(i - b.watts / v)
            elif isinstance(b, Shunt):
                error = abs(i - SHUNT * v)
            elif isinstance(b, Sink):
                if b.state == "full":
                    error = max(abs(i - b.amps), b.low - v - ON_MET)
                elif b.state == "limit":
                    error = max(abs(v - b.low), -i, i - b.amps)
                else:
                    error = max(abs(i), v - b.low)
        if not error < allow * max(1.0, abs(i)):
            raise Unsettled(f"law of {b} is off by {error}")
    for node, amps in balance.items():
        if not abs(amps) < allow:
            raise Unsettled(f"{node} is off balance by {amps} A")


# ---------------------------------------------------------------------------------------------------------
# Figures


def figures_of(plan: Plan, solved: Solved) -> dict[str, dict[str, float]]:
    net = solved.network
    out = {}
    for item in plan.items.values():
        zero = dict(volts=0.0, amps=0.0, passes=0.0, watts=0.0, drop=0.0)
        out[item.name] = zero
        name = item.name
        if name not in net.reached:
            continue
        inside = net.inside.get(name, [])
        v = solved.volts(name + "+", name + "-")
        passes = solved.current(net.plus_leg.get(name))
        amps = watts = 0.0
        if item.kind == "supply":
            passes = solved.current(inside[0])
            watts = passes**2 * (item.resistance or 0.0)
        elif item.kind in ("lamp", "string", "load"):
            amps = sum(solved.current(b) for b in inside)
            watts = v * amps
        elif item.kind == "strip":
            for b in inside:
                i = solved.current(b)
                watts += i * solved.volts(b.a, b.b)
                if isinstance(b, Light):
                    amps += i
        elif item.kind == "board":
            for b in inside:
                i = solved.current(b)
                if isinstance(b, Sink):
                    amps += i
                    watts += v * i
                else:
                    watts += (v - solved.volts(b.b, b.b_minus)) * i
        elif item.kind in ("fuse", "resistor", "connector"):
            watts = sum(solved.current(b) ** 2 * b.ohm for b in inside)
        elif item.kind in ("diode", "rectifier"):
            watts = sum(solved.current(b) for b in inside) * item.drops
        elif item.kind == "regulator":
            for b in inside:
                i = solved.current(b)
                vout = solved.volts(b.b, b.b_minus)
                watts += v * b.gain * i - vout * i
        out[name] = dict(volts=v, amps=amps, passes=passes, watts=watts, drop=drop_of(plan, solved, item))
    return out


def drop_of(plan: Plan, solved: Solved, item: Item) -> float:
    """What wire, track, contacts and fuses take, back to the nearest supply, regulator or regulated output."""
    net = solved.network

    def back(start: Item, plus: bool) -> float:
        lost, here, seen = 0.0, start, set()
        while here.kind != "supply" and here.name not in seen:
            seen.add(here.name)
            leg = (net.plus_leg if plus else net.minus_leg).get(here.name)
            if leg is not None:
                lost += leg.ohm * solved.current(leg)
            point = here.source if plus else here.back or here.source
            before = plan.items.get(point)
            if before is None:  # an output
                board, _, output = point.rpartition(".")
                made = plan.modules[plan.items[board].of].outputs[output]
                if made.volts is not None and not made.sinks:
                    return lost
                here = plan.items[board]
                continue
            if before.kind == "regulator":
                return lost
            if before.kind in ("fuse", "connector", "strip"):
                for b in net.inside.get(before.name, []):
                    # the plus ones run in the direction of feed from `+` to `>`, the minus ones back
                    if isinstance(b, Ohm) and on_plus(net, before.name, b) == plus:
                        lost += b.ohm * solved.current(b)
            here = before
        return lost

    return back(item, True) + back(item, False)


def on_plus(net: Network, name: str, b: Branch) -> bool:
    return not (b.b == net.top(name + "-") or b.b.startswith(name + "-"))


def off_in(plan: Plan, off: list[str], only: list[str] | None) -> set[str]:
    """What a scene turns off, before `turns`."""
    out = set(off)
    if only is not None:
        spared = set()
        for item in plan.items.values():
            if item.kind in ("strip", "lamp", "string") and item.name not in only and not hangs(plan, item, only):
                out.add(item.name)
            else:
                spared.add(item.name)
    return out


def hangs(plan: Plan, item: Item, named: list[str]) -> bool:
    """Whether the item hangs, by `from` or `return to`, on a named thing that takes along what hangs on it."""
    todo, seen = [item], set()
    while todo:
        here = todo.pop()
        for point in (here.source, here.back):
            if point is None or point in seen:
                continue
            seen.add(point)
            before = plan.items.get(point)
            light = before is not None and before.kind in ("strip", "lamp", "string")
            if point in named and not light:
                return True
            if before is None:
                before = plan.items[point.rpartition(".")[0]]
                if before.name in named:
                    return True
            todo.append(before)
    return False


def with_turns(plan: Plan, off: set[str], solve=solve) -> set[str]:
    """Of the outputs that take turns and are on, only the one that draws most stays on."""
    groups = []
    for item in plan.items.values():
        if item.kind == "board":
            for group in plan.modules[item.of].turns:
                groups.append([f"{item.name}.{output}" for output in group])
    out = set(off)
    for group in groups:
        on = [point for point in group if point not in off]
        if len(on) < 2:
            continue
        best, most = on[0], -math.inf
        for point in on:
            trial = off | (set(group) - {point})  # all else as the scene has it
            try:
                amps = through(plan, solve(plan, trial, "typical"), point)
            except NoSolution:
                amps = math.inf
            if amps > most + 1e-9:
                best, most = point, amps
        out |= set(group) - {best}
    return out


def through(plan: Plan, solved: Solved, point: str) -> float:
    """Current through an output: in the plus legs (or, of a sinking one, the minus legs) of what hangs on it."""
    total = 0.0
    board, _, output = point.rpartition(".")
    sinks = plan.modules[plan.items[board].of].outputs[output].sinks
    for item in plan.items.values():
        if sinks and (item.back or item.source) == point:
            total += solved.current(solved.network.minus_leg.get(item.name))
        elif not sinks and item.source == point:
            total += solved.current(solved.network.plus_leg.get(item.name))
    return total  # a link that starts at an output that takes turns is not counted: no plan has one


def figures(plan: Plan, title: str = "", watch=None) -> dict:
    """The object that `figures --json` prints. `watch` is called with each scene, corner and its solution."""
    scenes = [(s.name, s.off, s.only) for s in plan.scenes] + [("all-on", [], None)]
    known: dict = {}

    def solved(plan: Plan, off: set[str], corner: str) -> Solved:
        """Scenes that turn off the same are solved once."""
        key = frozenset(off), corner
        if key not in known:
            try:
                known[key] = solve(plan, off, corner)
            except NoSolution as no:
                known[key] = no
        if isinstance(known[key], NoSolution):
            raise known[key]
        return known[key]

    out = {"plan": title or plan.title, "scenes": []}
    for name, off, only in scenes:
        corners = []
        try:
            turned = with_turns(plan, off_in(plan, off, only), solved)
            # a board that is off has no output that is on
            for item in plan.items.values():
                if item.kind == "board" and item.name in turned:
                    turned |= {f"{item.name}.{o}" for o in plan.modules[item.of].outputs}
            for corner in CORNERS:
                state = solved(plan, turned, corner)
                if watch is not None:
                    watch(name, turned, corner, state)
                corners.append(figures_of(plan, state))
        except NoSolution as no:
            out["scenes"].append(
                {"name": name, "no_solution": no.item, "corner": CORNERS[len(corners)], "items": []}
            )
            continue
        items = []
        for item in plan.items.values():
            three = [corner[item.name] for corner in corners]
            typical = three[0]
            row = {"name": item.name, "kind": item.kind}
            for key in ("volts", "amps"):
                values = [c[key] for c in three]
                row |= {key: typical[key], key + "_low": min(values), key + "_high": max(values)}
            row |= {key: typical[key] for key in ("passes", "watts", "drop")}
            items.append(row)
        out["scenes"].append({"name": name, "items": items})
    return out


def main() -> None:
    plan = plan_of(sys.argv[1])
    json.dump(figures(plan), sys.stdout, indent=1, ensure_ascii=False)
    print()


if __name__ == "__main__":
    main()

"""What a plan really holds: the kinds of stanza, the ways of wiring and the states of its parts, by name.

The states are read from the independent solution, so that a plan counts as a brown-out only where a board really has
too little, and a diode as blocked only where nothing flows.
"""

from __future__ import annotations

import circuit
from reading import Plan, stanzas_of

LIGHTS = ("strip", "lamp", "string")

# Each of these must occur in at least so many of the 330 plans of the standing run (test_invented.py).
WANTED = {
    # stanzas
    "stanza harness": 330, "stanza use": 30, "stanza wire": 250, "stanza tape": 250, "stanza led": 250,
    "stanza module": 250, "stanza supply": 330, "stanza fuse": 40, "stanza switch": 40, "stanza connector": 50,
    "stanza joint": 200, "stanza resistor": 40, "stanza diode": 60, "stanza rectifier": 60, "stanza regulator": 100,
    "stanza strip": 250, "stanza lamp": 250, "stanza string": 150, "stanza board": 150, "stanza load": 150,
    "stanza link": 120, "stanza zone": 20, "stanza passage": 20, "stanza scene": 330, "stanza stage": 20,
    "stanza tried": 20, "stanza pattern": 25, "stanza copy": 25,
    # wiring
    "chained: two deep": 60, "chained: three and more deep": 25, "ring": 60, "ring without resistance": 8,
    "return to another point": 100, "return by a run of its own": 80, "two supplies behind diodes": 20,
    "two separate circuits": 100, "copy with a word put in": 15, "copy with a but": 15, "either-way behind a rectifier": 20,
    "battery": 20, "supply with resistance": 100, "string in series": 80, "strip with track": 120,
    "strip not of whole groups": 20, "lamp without a resistor": 15, "lamp of two points": 60,
    "load that draws": 80, "load that takes": 80, "load of a resistance": 100, "regulators one behind the other": 20,
    "light at a sinking output": 40, "run of no length": 100, "not at 20 degC": 150,
    # scenes
    "off: light": 60, "off: joint": 20, "off: supply": 20, "off: board": 15, "off: output": 40, "off: regulator": 15,
    "off: copy": 5, "off: piece of a copy": 5, "off: switch, connector or fuse": 15, "only: lights": 80,
    "only: what hangs on": 60, "lit by a link past what is off": 5,
    # states of parts, in some scene and corner
    "linear regulator holds": 50, "linear regulator in drop-out": 25, "linear regulator gives nothing": 8,
    "switching regulator holds": 50, "switching regulator in drop-out": 15,
    "output holds": 60, "output in drop-out": 20, "output gives nothing": 20,
    "diode passes": 70, "diode blocks": 25, "two supplies share": 5,
    "board has enough": 120, "board at its limit": 12, "board below its limit": 25,
    "light under a tenth of its current": 60, "item not reached": 60, "turns decided": 25,
    # no solution
    "no solution: takes": 6, "no solution: draws": 4, "no solution: over 1 kA": 4,
    "no solution: typical": 10, "no solution: dim": 3, "no solution: bright": 1,
}


def written(plan: Plan, text: str) -> set[str]:
    """Corners that the text shows."""
    out = {f"stanza {stanza[0].text}" for stanza in stanzas_of(text)}
    items = plan.items
    for stanza in stanzas_of(text):
        words = [token.text for token in stanza]
        if words[0] == "copy":
            out |= {"copy with a word put in"} if "where" in words else set()
            out |= {"copy with a but"} if "but" in words else set()
        if words[0] == "supply" and "capacity" in words:
            out.add("battery")
        if words[0] == "supply" and "either-way" in words:
            name = words[1]
            if any(i.kind == "rectifier" and i.source == name for i in items.values()):
                out.add("either-way behind a rectifier")
    if plan.ambient != 20.0:
        out.add("not at 20 degC")
    for item in items.values():
        out |= wired(plan, item)
    for item in items.values():
        deep, here = 0, item
        while here is not None and here.kind != "supply":
            before = items.get(here.source)
            deep += 1 if here.kind in LIGHTS and before is not None and before.kind in LIGHTS else 0
            here = before
        if deep >= 1:
            out.add("chained: two deep")
        if deep >= 2:
            out.add("chained: three and more deep")
    if closed(plan, False):
        out.add("ring")
    if closed(plan, True):
        out.add("ring without resistance")
    for scene in plan.scenes:
        for name in scene.off:
            item = items.get(name)
            kind = "output" if item is None else item.kind
            if "." in name and item is not None:
                kind = "piece of a copy"
            elif f"copy {name} " in text:
                kind = "copy"
            elif kind in LIGHTS:
                kind = "light"
            elif kind in ("switch", "connector", "fuse"):
                kind = "switch, connector or fuse"
            out.add(f"off: {kind}")
        if scene.only is not None:
            plain = all(n in items and items[n].kind in LIGHTS for n in scene.only)
            out.add("only: lights" if plain else "only: what hangs on")
    return out


def wired(plan: Plan, item) -> set[str]:
    """Corners of one item."""
    out = set()
    before = plan.items.get(item.source)
    if item.back is not None and item.back != item.source:
        out.add("return to another point")
        if item.back_run is not None and item.back_run is not item.run:
            out.add("return by a run of its own")
        if item.back not in plan.items and item.kind in LIGHTS:
            board, _, output = item.back.rpartition(".")
            if plan.modules[plan.items[board].of].outputs[output].sinks:
                out.add("light at a sinking output")
    if item.run is not None and item.run.length == 0.0:
        out.add("run of no length")
    if item.kind == "supply" and item.resistance:
        out.add("supply with resistance")
    if item.kind == "string" and item.lamps > 1:
        out.add("string in series")
    if item.kind == "strip":
        tape = plan.tapes[item.of]
        if tape.track:
            out.add("strip with track")
        if item.lamps is not None and item.lamps % tape.lamps:
            out.add("strip not of whole groups")
    if item.kind == "lamp" and item.resistance is None:
        out.add("lamp without a resistor")
    if item.kind in ("lamp", "string") and len(plan.leds[item.of].points) > 1:
        out.add("lamp of two points")
    if item.kind == "load":
        kind = "that draws" if item.draws is not None else "that takes" if item.takes is not None else "of a resistance"
        out.add(f"load {kind}")
    if item.kind == "regulator" and before is not None and before.kind == "regulator":
        out.add("regulators one behind the other")
    return out


def closed(plan: Plan, bare: bool) -> bool:
    """Whether plus legs and links (`bare`: those without resistance alone) close a ring."""
    parent: dict[str, str] = {}

    def top(name: str) -> str:
        while parent.get(name, name) != name:
            name = parent[name]
        return name

    edges = [(i.source, i.name, i.run) for i in plan.items.values() if i.source is not None]
    edges += [(link.one, link.other, link.run) for link in plan.links]
    for one, other, run in edges:
        if bare and circuit.wire_ohm(plan, run) > 0.0:
            continue
        if bare and other in plan.items and plan.items[other].kind not in ("joint", "switch") + LIGHTS:
            continue
        if top(one) == top(other):
            return True
        parent[top(one)] = top(other)
    return False


class Watch:
    """Gathers the states that a plan's parts are in, over all scenes and corners."""

    def __init__(self, plan: Plan):
        self.plan = plan
        self.seen: set[str] = set()

    def __call__(self, scene: str, off: set[str], corner: str, solved: circuit.Solved) -> None:
        plan, net = self.plan, solved.network
        for branch in net.branches:
            if id(branch) in solved.currents:
                self.branch(branch, solved)
        for item in plan.items.values():
            if item.name not in off and item.name not in net.reached:
                self.seen.add("item not reached")
            if item.kind == "board":
                for group in plan.modules[item.of].turns:
                    points = {f"{item.name}.{output}" for output in group}
                    if points & off and not points <= off and item.name in net.reached:
                        self.seen.add("turns decided")
        if sum(1 for b in net.branches if isinstance(b, circuit.Source)) > 1:
            self.seen.add("two separate circuits")
        self.meeting(solved)
        if len(off & set(plan.items)):
            self.past(off, solved)

    def branch(self, b, solved: circuit.Solved) -> None:
        current, volts = solved.current(b), solved.volts(b.a, b.b)
        if isinstance(b, circuit.OneWay):
            item = self.plan.items[b.owner]
            flows = current > 1e-9
            if item.kind in ("diode", "rectifier"):
                self.seen.add("diode passes" if flows else "diode blocks")
                return
            what = "output" if item.kind == "board" else "linear regulator" if b.efficiency is None else "switching regulator"
            own = min(b.cap, solved.volts(b.a, b.a_minus) - b.below)
            state = "holds" if own >= b.cap - 1e-9 else "in drop-out"
            self.seen.add(f"{what} {state}" if flows else f"{what} gives nothing")
        elif isinstance(b, circuit.Sink) and b.low > 0.0:
            where = {"full": "has enough", "limit": "at its limit", "none": "below its limit"}[b.state]
            self.seen.add(f"board {where}")
        elif isinstance(b, circuit.Light) and volts > 1e-6 and current < 0.1 * b.at * b.many:
            self.seen.add("light under a tenth of its current")

    def meeting(self, solved: circuit.Solved) -> None:
        """Supplies whose diodes meet at one point."""
        ways: dict[str, set[str]] = {}
        given: dict[str, float] = {}
        for b in solved.network.branches:
            if isinstance(b, circuit.OneWay) and self.plan.items[b.owner].kind in ("diode", "rectifier"):
                source = self.plan.items[b.owner].source
                if source in self.plan.items and self.plan.items[source].kind == "supply":
                    ways.setdefault(self.side(solved, b.b), set()).add(source)
                    given[source] = max(given.get(source, 0.0), solved.current(b))
        for sources in ways.values():
            if len(sources) > 1:
                self.seen.add("two supplies behind diodes")
                if sum(1 for s in sources if given[s] > 1e-6) > 1:
                    self.seen.add("two supplies share")

    @staticmethod
    def side(solved: circuit.Solved, start: str) -> str:
        """All that hangs together with this node by resistances: its least name."""
        near: dict[str, list[str]] = {}
        for b in solved.network.branches:
            if isinstance(b, circuit.Ohm):
                near.setdefault(b.a, []).append(b.b)
                near.setdefault(b.b, []).append(b.a)
        seen, todo = {start}, [start]
        while todo:
            for node in near.get(todo.pop(), []):
                if node not in seen:
                    seen.add(node)
                    todo.append(node)
        return min(seen)

    def past(self, off: set[str], solved: circuit.Solved) -> None:
        """Something is lit although what it is fed from is off."""
        for item in self.plan.items.values():
            here = item
            while here is not None and here.kind != "supply" and here.source is not None:
                if here.source in off and item.name in solved.network.reached:
                    if solved.volts(item.name + "+", item.name + "-") > 1.0:
                        self.seen.add("lit by a link past what is off")
                here = self.plan.items.get(here.source)


def of(plan: Plan, text: str) -> tuple[dict, set[str]]:
    """Our figures of the plan, and all its corners."""
    watch = Watch(plan)
    figures = circuit.figures(plan, watch=watch)
    seen = watch.seen | written(plan, text)
    for scene in figures["scenes"]:
        if "no_solution" in scene:
            item = plan.items[scene["no_solution"]]
            why = "takes" if item.takes is not None else "draws" if item.draws is not None else "over 1 kA"
            seen |= {f"no solution: {why}", f"no solution: {scene['corner']}"}
    return figures, seen

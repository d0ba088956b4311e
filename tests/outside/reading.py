"""An independent reading of harness files (language page, edition 1).

Reads a *valid* plan into plain dataclasses in SI units (V, A, ohm, W, m, m2, degC, s, C for charge).
It is written from the language page alone and shares nothing with the program it is held against.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field, replace
from pathlib import Path

# ---------------------------------------------------------------------------------------------------------
# Words and units

INCH = 0.0254
UNITS = {
    # word: (kind, factor to SI)
    "V": ("V", 1.0), "mV": ("V", 1e-3),
    "A": ("A", 1.0), "mA": ("A", 1e-3), "uA": ("A", 1e-6), "µA": ("A", 1e-6), "μA": ("A", 1e-6),
    "ohm": ("ohm", 1.0), "kohm": ("ohm", 1e3), "Mohm": ("ohm", 1e6),
    "Ω": ("ohm", 1.0), "kΩ": ("ohm", 1e3), "MΩ": ("ohm", 1e6),
    "W": ("W", 1.0), "mW": ("W", 1e-3),
    "mm": ("m", 1e-3), "cm": ("m", 1e-2), "m": ("m", 1.0), "ft": ("m", 0.3048), "inch": ("m", INCH),
    "mm2": ("m2", 1e-6), "cm2": ("m2", 1e-4), "in2": ("m2", INCH * INCH),
    "AWG": ("AWG", 1.0),
    "mAh": ("C", 3.6), "Ah": ("C", 3600.0),
    "degC": ("degC", 1.0), "degF": ("degF", 1.0),
    "Hz": ("Hz", 1.0),
    "ms": ("s", 1e-3), "s": ("s", 1.0), "min": ("s", 60.0), "h": ("s", 3600.0),
    "lm": ("lm", 1.0), "mcd": ("cd", 1e-3), "cd": ("cd", 1.0), "deg": ("deg", 1.0),
    "%": ("%", 0.01),
}
# Written with nothing between number and unit: what stands apart does not mean the same thing (`in`), or
# is the bench's way to write ohms.
GLUED = {"in": ("m", INCH), "R": ("ohm", 1.0), "k": ("ohm", 1e3), "K": ("ohm", 1e3), "M": ("ohm", 1e6)}

STANZAS = {
    "harness", "use", "wire", "tape", "led", "module", "supply", "fuse", "switch", "connector", "joint",
    "resistor", "diode", "rectifier", "regulator", "strip", "lamp", "string", "board", "load", "link",
    "zone", "passage", "scene", "stage", "tried", "pattern", "copy",
}
ITEM_KINDS = {
    "supply", "fuse", "switch", "connector", "joint", "resistor", "diode", "rectifier", "regulator",
    "strip", "lamp", "string", "board", "load", "copy",
}


class Unreadable(Exception):
    """The text is not a valid plan, or this reading does not know the form."""


@dataclass(frozen=True)
class Token:
    """One word, text, number or comma, with where it stands."""

    kind: str  # word, text, number, ratio, date, comma
    text: str
    value: float = 0.0
    unit: str = ""  # what is glued to a number
    line: int = 0


TOKEN = re.compile(
    r"""
    (?P<space>[\ \t\r\n\ufeff]+)
  | (?P<comment>\#[^\n]*)
  | (?P<text>"(?:[^"\\\n]|\\["\\])*")
  | (?P<date>\d{4}-\d{2}-\d{2}(?![\w-]))
  | (?P<ratio>\d+(?:\.\d+)?:\d+(?:\.\d+)?)
  | (?P<marked>\d+(?:[RkKM])\d+(?![\w.]))
  | (?P<number>[-+±−]?\s?(?:\d+(?:\.\d+)?|\.\d+)(?:/\d+)?)(?P<unit>%|[A-Za-zµμΩ]+2?)?
  | (?P<comma>,)
  | (?P<percent>%)
  | (?P<word>[^\W\d_][\w\-.\u0300-\u036f]*)
    """,
    re.VERBOSE,
)


def tokens_of(text: str, line: int) -> list[Token]:
    """All tokens of one stanza, comments left out."""
    out: list[Token] = []
    at = 0
    while at < len(text):
        hit = TOKEN.match(text, at)
        if hit is None:
            raise Unreadable(f"line {line + text.count(chr(10), 0, at)}: cannot read {text[at:at + 20]!r}")
        where = line + text.count("\n", 0, at)
        kind = hit.lastgroup
        if hit.group("text"):
            body = hit.group("text")[1:-1]
            out.append(Token("text", re.sub(r"\\(.)", r"\1", body), line=where))
        elif hit.group("date"):
            out.append(Token("date", hit.group("date"), line=where))
        elif hit.group("ratio"):
            out.append(Token("ratio", hit.group("ratio"), line=where))
        elif hit.group("marked"):
            whole = hit.group("marked")
            mark = re.search(r"[RkKM]", whole).group()
            number = float(whole.replace(mark, "."))
            out.append(Token("number", whole, number, mark, where))
        elif hit.group("number"):
            number = re.sub(r"\s", "", hit.group("number")).replace("±", "").replace("−", "-")
            if "/" in number:
                top, bottom = number.split("/")
                value = float(top) / float(bottom)
            else:
                value = float(number)
            out.append(Token("number", hit.group(0), value, hit.group("unit") or "", where))
        elif kind == "comma":
            out.append(Token("comma", ",", line=where))
        elif kind == "percent":
            out.append(Token("word", "%", line=where))
        elif kind == "word":
            out.append(Token("word", unicodedata.normalize("NFC", hit.group("word")), line=where))
        at = hit.end()
    return out


def stanzas_of(text: str) -> list[list[Token]]:
    """The file cut into stanzas: a word at the margin starts one, all that is indented carries it on."""
    if text.startswith("\ufeff"):
        text = text[1:]
    groups: list[tuple[int, list[str]]] = []
    for number, line in enumerate(text.replace("\r\n", "\n").split("\n"), start=1):
        if not line.strip() or line.lstrip(" \t").startswith("#"):
            if groups:
                groups[-1][1].append("")
            continue
        if line[0] in " \t":
            if not groups:
                raise Unreadable(f"line {number}: indented before the first stanza")
            groups[-1][1].append(line)
        else:
            groups.append((number, [line]))
    return [tokens_of("\n".join(lines), number) for number, lines in groups]


class Cursor:
    """Walks over the tokens of one stanza."""

    def __init__(self, tokens: list[Token]):
        self.tokens = tokens
        self.at = 0

    def done(self) -> bool:
        return self.at >= len(self.tokens)

    def peek(self, ahead: int = 0) -> Token | None:
        place = self.at + ahead
        return self.tokens[place] if place < len(self.tokens) else None

    def fail(self, wanted: str) -> Unreadable:
        token = self.peek()
        seen = "the end of the stanza" if token is None else f"{token.text!r} in line {token.line}"
        return Unreadable(f"wanted {wanted}, found {seen} ({' '.join(t.text for t in self.tokens)})")

    def word(self, *wanted: str) -> str:
        token = self.peek()
        if token is None or token.kind != "word" or (wanted and token.text not in wanted):
            raise self.fail(" or ".join(wanted) or "a word")
        self.at += 1
        return token.text

    def have(self, *words: str) -> bool:
        """Takes the given words if they all stand here."""
        for ahead, word in enumerate(words):
            token = self.peek(ahead)
            if token is None or token.kind != "word" or token.text != word:
                return False
        self.at += len(words)
        return True

    def text(self) -> str:
        token = self.peek()
        if token is None or token.kind != "text":
            raise self.fail("a text")
        self.at += 1
        return token.text

    def names(self) -> list[str]:
        out = [self.word()]
        while self.comma():
            out.append(self.word())
        return out

    def comma(self) -> bool:
        token = self.peek()
        if token is not None and token.kind == "comma":
            self.at += 1
            return True
        return False

    def measure(self) -> tuple[str, float, int] | None:
        """The kind, SI value and token count of the quantity that stands here, if one does."""
        token = self.peek()
        if token is None:
            return None
        if token.kind == "word":
            mark = re.fullmatch(r"R(\d+)", token.text)  # R47 is 0.47 ohm (IEC 60062)
            return ("ohm", float("0." + mark.group(1)), 1) if mark else None
        if token.kind != "number":
            return None
        if token.unit:
            known = UNITS.get(token.unit) or GLUED.get(token.unit)
            if known is None:
                return None
            return known[0], token.value * known[1], 1
        after = self.peek(1)
        if after is not None and after.kind == "word" and after.text in UNITS:
            kind, factor = UNITS[after.text]
            return kind, token.value * factor, 2
        return None

    def quantity(self, *kinds: str) -> float:
        found = self.measure()
        if found is None or found[0] not in kinds:
            raise self.fail("a quantity in " + " or ".join(kinds))
        self.at += found[2]
        return found[1]

    def maybe(self, kind: str) -> float | None:
        found = self.measure()
        if found is None or found[0] != kind:
            return None
        self.at += found[2]
        return found[1]

    def temperature(self) -> float:
        found = self.measure()
        if found is None or found[0] not in ("degC", "degF"):
            raise self.fail("a temperature")
        self.at += found[2]
        return found[1] if found[0] == "degC" else (found[1] - 32.0) / 1.8

    def count(self) -> int:
        token = self.peek()
        if token is None or token.kind != "number" or token.unit or token.value != int(token.value):
            raise self.fail("a count")
        self.at += 1
        return int(token.value)


# ---------------------------------------------------------------------------------------------------------
# What a plan is made of


@dataclass
class Wire:
    name: str
    area: float = 0.0  # m2 of copper
    colours: list[str] = field(default_factory=list)
    have: float | None = None  # m, or a count


@dataclass
class Led:
    name: str
    points: list[tuple[float, float]] = field(default_factory=list)  # (V, A)
    colour: str = "white"
    have: float | None = None


@dataclass
class Tape:
    name: str
    lamps: int = 0  # in a group
    length: float = 0.0  # of a group, m
    current: float = 0.0  # of a group, A
    at: float = 0.0  # V where it draws that
    drops: float | None = None
    colour: str = "white"
    track: float = 0.0  # ohm per m, both copper tracks together
    have: float | None = None  # m, or a count


@dataclass
class Output:
    name: str
    volts: float | None = None  # regulated to
    amps: float = 0.0
    sinks: bool = False


@dataclass
class Module:
    name: str
    low: float = 0.0
    high: float = 0.0
    draws: float = 0.0
    outputs: dict[str, Output] = field(default_factory=dict)
    turns: list[list[str]] = field(default_factory=list)
    have: float | None = None


@dataclass
class Run:
    length: float = 0.0
    wire: str = ""


@dataclass
class Item:
    kind: str
    name: str
    source: str | None = None  # the `from` point
    run: Run | None = None
    back: str | None = None  # the `return to` point
    back_run: Run | None = None
    of: str = ""
    volts: float = 0.0  # supply, regulator
    amps: float | None = None
    resistance: float | None = None  # supply, fuse, resistor, load; a light's own resistor
    contact: float = 0.0
    drops: float = 0.0  # diode, rectifier
    dropout: float = 1.5
    efficiency: float | None = None
    tolerance: float | None = None
    lamps: int | None = None
    groups: int | None = None
    length: float | None = None
    draws: float | None = None
    takes: float | None = None
    acts: str = "quick"  # a fuse
    rating: float | None = None  # W, of a resistor


@dataclass
class Link:
    name: str
    one: str
    other: str
    run: Run | None = None


@dataclass
class Scene:
    name: str
    off: list[str] = field(default_factory=list)
    only: list[str] | None = None


@dataclass
class Plan:
    title: str = ""
    ambient: float = 20.0
    tolerance: float = 0.05
    slack: float = 0.015
    wires: dict[str, Wire] = field(default_factory=dict)
    leds: dict[str, Led] = field(default_factory=dict)
    tapes: dict[str, Tape] = field(default_factory=dict)
    modules: dict[str, Module] = field(default_factory=dict)
    items: dict[str, Item] = field(default_factory=dict)
    links: list[Link] = field(default_factory=list)
    scenes: list[Scene] = field(default_factory=list)

    def groups_of(self, item: Item) -> int:
        """Whole groups of a strip."""
        tape = self.tapes[item.of]
        if item.groups is not None:
            return item.groups
        if item.lamps is not None:
            return item.lamps // tape.lamps
        return int((item.length + 0.5e-3 + 1e-12) / tape.length)


# ---------------------------------------------------------------------------------------------------------
# Reading


def area_of_awg(gauge: float) -> float:
    """m2 of copper: diameter 0.127 mm * 92^((36 - n)/39), ASTM B258."""
    return area_of_diameter(0.127e-3 * 92.0 ** ((36.0 - gauge) / 39.0))


def area_of_diameter(diameter: float) -> float:
    return 3.141592653589793 * diameter * diameter / 4.0


def plan_of(path: str | Path) -> Plan:
    """Reads the file and all that it uses."""
    path = Path(path).resolve()
    plan = Plan()
    collected: list[tuple[Path, list[Token]]] = []
    seen: set[Path] = set()

    def collect(file: Path) -> None:
        if file in seen:
            return
        seen.add(file)
        for stanza in stanzas_of(file.read_bytes().decode("utf-8")):
            if stanza[0].text == "use":
                collect((file.parent / stanza[1].text).resolve())
            else:
                collected.append((file, stanza))

    collect(path)
    patterns: dict[str, list[str]] = {}
    for file, stanza in collected:
        if stanza[0].text == "pattern":
            patterns[stanza[1].text] = []
    pieces: dict[str, list[list[Token]]] = {name: [] for name in patterns}

    def written_out(stanza: list[Token]) -> list[list[Token]]:
        """The stanza, or, for a copy, its joint and its pieces under its own name."""
        if stanza[0].text != "copy":
            return [stanza]
        cursor = Cursor(stanza)
        cursor.word("copy")
        name = cursor.word()
        cursor.word("of")
        pattern = cursor.word()
        feed: list[Token] = []
        words: dict[str, str] = {}
        buts: dict[str, list[list[Token]]] = {}
        while not cursor.done():
            if cursor.have("where"):
                while True:
                    word = cursor.word()
                    words[word] = cursor.word()
                    if not cursor.comma():
                        break
            elif cursor.have("but"):
                piece = cursor.word()
                taken: list[Token] = []
                while not cursor.done() and cursor.peek().text not in ("but", "where", "note", "accept"):
                    taken.append(cursor.peek())
                    cursor.at += 1
                buts.setdefault(piece, []).append(taken)
            elif cursor.have("note"):
                cursor.text()
            else:
                feed.append(cursor.peek())
                cursor.at += 1
        out = [[Token("word", "joint"), Token("word", name)] + feed]
        out[0][0] = Token("word", "copy")  # told apart from a plain copy stanza by having no `of`

        def renamed(token: Token) -> Token:
            if token.kind != "word":
                return token
            if token.text == pattern:
                return replace(token, text=name)
            if token.text.startswith(pattern + "."):
                rest = token.text[len(pattern) + 1:]
                first, dot, more = rest.partition(".")
                if first in words:
                    return replace(token, text=words[first] + dot + more)
                return replace(token, text=name + "." + rest)
            return token

        for piece in pieces[pattern]:
            short = piece[1].text[len(pattern) + 1:]
            body = piece
            for change in buts.get(short, []):
                body = changed(body, change)
            for inner in written_out([renamed(token) for token in body]):
                out.append(inner)
        return out

    ready: list[tuple[Path, list[Token]]] = []
    for file, stanza in collected:
        head = stanza[1].text.split(".")[0] if len(stanza) > 1 and "." in stanza[1].text else None
        if head in pieces and stanza[0].text in ITEM_KINDS | {"link"}:
            pieces[head].append(stanza)
        elif stanza[0].text != "pattern":
            ready.append((file, stanza))
    for file, stanza in ready:
        if stanza[0].text == "harness" and file != path:
            continue
        for one in written_out(stanza):
            read_stanza(plan, one)
    return plan


CLAUSE_WORDS = {
    "from", "resistor", "runs", "in", "note", "accept", "rated", "contact", "resistance", "drops", "dropout",
    "efficiency", "draws", "takes", "dimmed", "quick", "slow", "resettable", "tolerance", "capacity", "spent",
    "lasts", "either-way", "have",
}


def clauses(tokens: list[Token]) -> list[list[Token]]:
    """The tokens behind a head, cut where a clause starts. A `from` clause takes its runs and its return along."""
    out: list[list[Token]] = []
    for token in tokens:
        if token.kind == "word" and token.text in CLAUSE_WORDS:
            out.append([token])
        elif out:
            out[-1].append(token)
        else:
            out.append([token])
    return out


def changed(piece: list[Token], change: list[Token]) -> list[Token]:
    """A piece with the clauses of a `but` in the place of its own of the same word."""
    cut = next((n for n, t in enumerate(piece) if n >= 2 and t.kind == "word" and t.text in CLAUSE_WORDS), len(piece))
    head, own = piece[:cut], clauses(piece[cut:])
    if piece[0].text in ("resistor", "fuse", "supply", "regulator") and change and change[0].kind == "number":
        raise Unreadable("`but` replaces clauses, not heads")
    new = clauses(change)
    words = {clause[0].text for clause in new}
    kept = [clause for clause in own if clause[0].text not in words]
    return head + [token for clause in kept + new for token in clause]


def read_stanza(plan: Plan, tokens: list[Token]) -> None:
    cursor = Cursor(tokens)
    stanza = cursor.word()
    if stanza not in STANZAS:
        raise Unreadable(f"{stanza!r} in line {tokens[0].line} starts no stanza")
    if stanza in ITEM_KINDS:
        item = read_item(stanza, cursor)
        if item.name in plan.items:
            raise Unreadable(f"{item.name} is defined twice")
        plan.items[item.name] = item
    else:
        globals()["read_" + stanza](plan, cursor)
    if not cursor.done():
        raise cursor.fail("the end of the stanza")


def common(cursor: Cursor, stock: Wire | Tape | Led | Module | None = None) -> bool:
    """The clauses that any stanza may have; of stock, what is at hand."""
    if cursor.have("note"):
        cursor.text()
    elif cursor.have("accept"):
        cursor.word()
        cursor.word("because")
        cursor.text()
    elif cursor.have("have"):
        have = cursor.maybe("m")
        have = cursor.count() if have is None else have
        if stock is not None:
            stock.have = have
    else:
        return False
    return True


def read_harness(plan: Plan, c: Cursor) -> None:
    plan.title = c.text()
    while not c.done():
        if common(c):
            pass
        elif c.have("edition"):
            c.count()
        elif c.have("scale"):
            c.at += 1
        elif c.have("ambient"):
            plan.ambient = c.temperature()
        elif c.have("tolerance"):
            plan.tolerance = c.quantity("%")
        elif c.have("headroom") or c.have("max-drop"):
            c.quantity("%")
        elif c.have("bench"):
            c.quantity("V")
        elif c.have("slack"):
            plan.slack = c.quantity("m")
        elif c.have("survives", "one", "break"):
            pass
        elif c.have("treat"):
            c.word()
            c.word("as")
            c.word("off", "hint", "warning", "error")
        else:
            raise c.fail("a clause of harness")


def read_wire(plan: Plan, c: Cursor) -> None:
    wire = Wire(c.word())
    while not c.done():
        if common(c, wire):
            pass
        elif c.have("gauge"):
            wire.area = area_of_awg(c.quantity("AWG"))
        elif c.have("diameter"):
            wire.area = area_of_diameter(c.quantity("m"))
        elif c.have("area"):
            wire.area = c.quantity("m2")
        elif c.have("insulation"):
            c.word("enamel", "pvc", "silicone", "ptfe", "none")
            if c.have("outer"):
                c.quantity("m")
        elif c.have("outer"):
            c.quantity("m")
        elif c.have("colours"):
            wire.colours = c.names()
        elif c.have("colour"):
            wire.colours = [c.word()]
        elif c.have("carries"):
            c.quantity("A")
        else:
            raise c.fail("a clause of wire")
    plan.wires[wire.name] = wire


def gives(c: Cursor) -> None:
    if c.maybe("lm") is None:
        c.quantity("cd")
        c.word("over")
        c.quantity("deg")


def read_tape(plan: Plan, c: Cursor) -> None:
    tape = Tape(c.word())
    per_metre = None
    while not c.done():
        if common(c, tape):
            pass
        elif c.have("group"):
            tape.lamps = c.count()
            c.word("lamps", "lamp")
            c.word("long")
            tape.length = c.quantity("m")
        elif c.have("works"):
            c.quantity("V")
            c.word("to")
            c.quantity("V")
        elif c.have("draws"):
            amps = c.maybe("A")
            if amps is None:
                per_metre = c.quantity("W")
                c.word("per")
                c.word("m")
            else:
                tape.current = amps
            c.word("at")
            tape.at = c.quantity("V")
        elif c.have("drops"):
            tape.drops = c.quantity("V")
        elif c.have("colour"):
            tape.colour = c.word()
        elif c.have("gives"):
            gives(c)
        elif c.have("track"):
            tape.track = c.quantity("ohm")
            c.word("per")
            c.word("m")
        else:
            raise c.fail("a clause of tape")
    if per_metre is not None:
        tape.current = per_metre * tape.length / tape.at
    plan.tapes[tape.name] = tape


def read_led(plan: Plan, c: Cursor) -> None:
    led = Led(c.word())
    while not c.done():
        if common(c, led):
            pass
        elif c.have("drops"):
            while True:
                volts = c.quantity("V")
                c.word("at")
                led.points.append((volts, c.quantity("A")))
                if not c.comma():
                    break
        elif c.have("limit"):
            c.quantity("A")
        elif c.have("colour"):
            led.colour = c.word()
        elif c.have("gives"):
            gives(c)
        else:
            raise c.fail("a clause of led")
    plan.leds[led.name] = led


def read_module(plan: Plan, c: Cursor) -> None:
    module = Module(c.word())
    while not c.done():
        if common(c, module):
            pass
        elif c.have("works"):
            module.low = c.quantity("V")
            c.word("to")
            module.high = c.quantity("V")
        elif c.have("draws"):
            module.draws = c.quantity("A")
        elif c.have("output"):
            output = Output(c.word())
            output.volts = c.maybe("V")
            output.amps = c.quantity("A")
            while True:
                if c.have("duty"):
                    c.quantity("%")
                elif c.have("flash"):
                    c.quantity("Hz")
                elif c.have("flickers"):
                    pass
                elif c.have("sinks"):
                    output.sinks = True
                else:
                    break
            module.outputs[output.name] = output
        elif c.have("turns"):
            module.turns.append(c.names())
        else:
            raise c.fail("a clause of module")
    plan.modules[module.name] = module


def read_run(c: Cursor) -> Run | None:
    """`[over LENGTH of WIRE] [via PASSAGE, …]`, in either order."""
    run = None
    while True:
        if c.have("over"):
            length = c.quantity("m")
            c.word("of")
            run = Run(length, c.word())
        elif c.have("via"):
            c.names()
        else:
            return run


def read_item(kind: str, c: Cursor) -> Item:
    item = Item("joint" if kind == "copy" else kind, c.word())
    if kind == "supply":
        item.volts = c.quantity("V")
        item.amps = c.maybe("A")
    elif kind == "fuse":
        item.amps = c.quantity("A")
    elif kind == "resistor":
        item.resistance = c.quantity("ohm")
        item.rating = c.maybe("W")
    elif kind == "diode":
        item.drops = 0.7
    elif kind == "rectifier":
        item.drops = 1.4
    elif kind == "regulator":
        item.volts = c.quantity("V")
        item.amps = c.quantity("A")
    elif kind in ("strip", "lamp", "string", "board"):
        c.word("of")
        item.of = c.word()
        if kind == "strip":
            item.length = c.maybe("m")
            if item.length is None:
                count = c.count()
                if c.word("lamp", "lamps", "group", "groups").startswith("lamp"):
                    item.lamps = count
                else:
                    item.groups = count
        elif kind == "string":
            item.lamps = c.count()
            c.word("lamp", "lamps")
        elif kind == "lamp":
            item.lamps = 1
    while not c.done():
        if common(c):
            pass
        elif c.have("from"):
            item.source = c.word()
            item.run = read_run(c)
            if c.have("return", "to"):
                item.back = c.word()
                item.back_run = read_run(c)
        elif c.have("return", "to"):
            item.back = c.word()
            item.back_run = read_run(c)
        elif c.have("in"):
            c.word()
        elif c.have("resistor"):
            item.resistance = c.quantity("ohm")
            item.rating = c.maybe("W")
            if c.have("at"):
                c.word("start", "lamp")
        elif c.have("runs", "at"):
            c.quantity("A")
        elif c.have("resistance"):
            item.resistance = c.quantity("ohm")
        elif c.have("contact"):
            item.contact = c.quantity("ohm")
        elif c.have("rated"):
            c.quantity("A")
        elif c.have("drops"):
            item.drops = c.quantity("V")
        elif c.have("dropout"):
            item.dropout = c.quantity("V")
        elif c.have("efficiency"):
            item.efficiency = c.quantity("%")
        elif c.have("tolerance"):
            item.tolerance = c.quantity("%")
        elif c.have("capacity"):
            c.quantity("C")
        elif c.have("spent"):
            c.quantity("V")
        elif c.have("lasts"):
            c.quantity("s")
        elif c.have("draws"):
            item.draws = c.quantity("A")
            if c.have("at"):
                c.quantity("V")
        elif c.have("takes"):
            item.takes = c.quantity("W")
        elif c.have("either-way") or c.have("dimmed"):
            pass
        elif c.have("quick") or c.have("slow") or c.have("resettable"):
            item.acts = c.tokens[c.at - 1].text
        else:
            raise c.fail(f"a clause of {kind}")
    if item.back is not None and item.back_run is None:
        item.back_run = item.run
    return item


def read_link(plan: Plan, c: Cursor) -> None:
    name = c.word()
    c.word("between")
    one = c.word()
    c.word("and")
    other = c.word()
    link = Link(name, one, other)
    while not c.done():
        if common(c):
            continue
        before = c.at
        run = read_run(c)
        link.run = run or link.run
        if c.at == before:
            raise c.fail("a clause of link")
    plan.links.append(link)


def read_zone(plan: Plan, c: Cursor) -> None:
    c.word()
    while not c.done():
        if common(c) or c.have("sealed") or c.have("lifts", "off"):
            pass
        elif c.have("inside") or c.have("windows"):
            c.quantity("m2")
        elif c.have("finish"):
            c.word("white", "silver", "bare", "black")
        elif c.have("material"):
            c.word("styrene", "abs", "resin", "wood", "metal")
        elif c.have("as", "bright", "as"):
            c.word()
        else:
            raise c.fail("a clause of zone")


def read_passage(plan: Plan, c: Cursor) -> None:
    c.word()
    c.word("between")
    c.word()
    c.word("and")
    c.word()
    while not c.done():
        if common(c):
            pass
        elif c.have("bore"):
            c.quantity("m")
        elif c.have("slot"):
            c.quantity("m")
            c.word("by")
            c.quantity("m")
        else:
            raise c.fail("a clause of passage")


def read_scene(plan: Plan, c: Cursor) -> None:
    scene = Scene(c.word())
    while not c.done():
        if common(c):
            pass
        elif c.have("off"):
            scene.off = c.names()
        elif c.have("only"):
            scene.only = c.names()
        else:
            raise c.fail("a clause of scene")
    plan.scenes.append(scene)


def read_stage(plan: Plan, c: Cursor) -> None:
    c.word()
    while not c.done():
        if common(c):
            pass
        elif c.have("fits") or c.have("seals"):
            c.names()
        elif c.have("done"):
            c.at += 1
        else:
            raise c.fail("a clause of stage")


def read_tried(plan: Plan, c: Cursor) -> None:
    c.word()
    c.quantity("A")
    c.word("at")
    c.quantity("V")
    while not c.done():
        if common(c):
            pass
        elif c.have("on"):
            c.at += 1
        else:
            raise c.fail("a clause of tried")

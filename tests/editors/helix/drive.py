"""Drives a real Helix as a builder would use it. Prints `ok …` for each step; any failure ends with what is on the screen."""

import json
import os
import pathlib
import re
import subprocess

from terminal import Terminal, written

WORK = pathlib.Path(os.environ["WORK"])
ESCAPE, ENTER, DOWN = "\x1b", "\r", "\x0e"


def must(what, condition, told=""):
    if not condition:
        raise SystemExit(f"FAILED: {what} {told}")
    print("ok", what, flush=True)


def start(*files, **size):
    command = ["sh", os.environ["TRY"], *map(str, files)]
    return Terminal(command, env={**os.environ, "TERM": "xterm-256color", "COLORTERM": "truecolor"}, **size)


def position(text):
    """The line and column of the cursor, as the line at the bottom tells them."""
    found = re.findall(r"\s(\d+):(\d+)\s", text)
    return tuple(map(int, found[-1])) if found else None


def at(hx, what, line, column):
    hx.wait(what, lambda text: position(text) == (line, column))


def command(hx, words):
    """Types a command. The escape ahead leaves whatever is open."""
    hx.keys(ESCAPE, ":", *words, ENTER)


def choose(hx, what, title, look=lambda: None):
    """Opens the list of what can be done here and takes the entry that begins so, after a look at it."""
    hx.keys(" ", "a")
    hx.sees(f"the list has: {title}", title)
    look()

    def chosen():
        """Whether it is the one line of the list whose ground is like no other's."""
        lines = hx.screen.display
        y = next(y for y, line in enumerate(lines) if title in line)
        x = lines[y].index(title)
        ground = [hx.screen.buffer[y][x].bg for y in range(hx.screen.lines)]
        first, last = y, y
        while first > 0 and ground[first - 1] != ground[0]:
            first -= 1
        while last + 1 < len(lines) and ground[last + 1] != ground[0]:
            last += 1
        return last > first and ground[first : last + 1].count(ground[y]) == 1

    for _ in range(20):
        if chosen():
            break
        hx.keys(DOWN)
    else:
        raise SystemExit(f"FAILED: {title} cannot be chosen\n{hx.text()}")
    hx.keys(ENTER)
    hx.sees_no(what, title)


def find(hx, words):
    """Selects these words where they stand next behind the cursor."""
    hx.keys("/", *words, ENTER)


def findings(*plans):
    """The checks of what the program itself finds in saved plans."""
    told = subprocess.run([os.environ["GLIMLOOM"], "check", "--json", *map(str, plans)], capture_output=True, text=True).stdout
    return [found["check"] for found in json.loads(told)["findings"]]


def save(hx, *plans):
    """Saves all and waits until no file on the disk is the one that was."""
    before = [plan.read_bytes() for plan in plans]
    command(hx, "wa")
    hx.wait("it is saved", lambda _: all(plan.read_bytes() != was for plan, was in zip(plans, before)))


def mend_chain(plan, light="saloon"):
    """Opens a plan with a chain, looks around, mends the chain by its first repair, saves."""
    lines = plan.read_text().splitlines()
    first = next(n for n, line in enumerate(lines, 1) if line.startswith(f"strip {light}-1 "))
    hx = start(plan)
    hx.sees("the chain is found, and says so behind its line", f"`{light}-2`, ")
    command(hx, str(first - 2))
    hx.keys("]", "d")
    # The cursor stands on the last letter of the words at fault. Columns are counted in letters.
    at(hx, "the finding stands on the name of the first light", first, len(f"strip {light}-1"))
    hx.sees("its whole message stands below the line", "Branch them from `keel`")
    return hx, first


def on_the_joint(plan):
    """Holds that the chain was branched, and that the program finds nothing more in the saved file."""
    lights = [line for line in plan.read_text().splitlines() if line.startswith("strip")]
    must("each light hangs on the joint", len(lights) == 4 and all(" from keel " in line for line in lights), lights)
    must("the saved file is clean for the program itself", findings(plan) == [], findings(plan))


def looks():
    """What a builder sees of the example with four mistakes, on a screen of the usual size."""
    plan = WORK / "mistakes.harness"
    hx = start(plan, columns=116, lines=32)
    hx.sees("findings come", "● 2 ● 2")
    command(hx, "42")
    hx.keys("z", "z")
    find(hx, "baker")
    hx.sees("volts and amps stand behind the lights", "V 99.4 mA")
    hx.sees("what is wrong stands below its line", "alone: one break there")
    picture(hx, "helix")
    hx.keys(" ", "k")
    hx.sees("hover shows the way of the power", "adapter → S1 → cellar → baker")
    rows = [line for line in hx.text().split("\n") if re.match(r" *\|", line)]
    must("no row of its table is broken", len(rows) >= 4 and len({line.rstrip("▐▌█ ").rstrip().count("|") for line in rows}) == 1, rows)
    picture(hx, "helix-hover")
    hx.keys(ESCAPE)
    choose(hx, "the lights are branched", "branch draper and grocer from cellar", lambda: picture(hx, "helix-mends"))
    hx.sees("each from the cellar", "from cellar over 340 mm")
    hx.sees_no("what hung on one path is found no more", "alone: one break there")
    picture(hx, "helix-branched")
    save(hx, plan)
    must("the saved plan has the other mistakes still", sorted(findings(plan)) == ["cut-inside-group", "feed-unfused", "supply-over-budget"])
    leave(hx)


def chain():
    plan = WORK / "chain.harness"
    hx, first = mend_chain(plan)

    colours = [hx.colour(*where) for where in (("strip saloon-1", "strip"), ("fuse F1", "F1"), ("from keel", "from"), ("adapter 12 V", "12"), ("# chained", "#"), ("of warm 6", "warm"))]
    must("stanzas, names, clauses, figures, comments and stock have a colour each", len(set(colours)) == len(colours), colours)

    hx.keys(" ", "k")
    hx.sees("hover shows the figures", "35.7 mA")
    for _ in range(6):
        hx.keys("\x04")
    hx.sees("hover shows what a break does", "4 lights go dark")
    hx.keys(ESCAPE)

    command(hx, str(first + 1))
    find(hx, "6 lamps")
    hx.keys("c", *"7 lamps", ESCAPE)
    hx.sees("a cut inside a group is found while typing", "`saloon-2` is cut through a group")
    hx.keys("u")
    hx.sees_no("it goes when the cut is put right", "is cut through a group")

    hx.keys("g", "e", "o", *"joint x from ")
    hx.sees("completion offers the points", "adapter  variable")
    hx.keys(ESCAPE)
    # One undo for what was typed.
    hx.keys("u")
    hx.sees_no("it is taken back", "joint x")

    command(hx, str(first - 2))
    hx.keys("]", "d")
    at(hx, "back on the finding", first, len("strip saloon-1"))
    choose(hx, "the chain is mended", "branch saloon-2 to -4 from keel")
    hx.sees_no("the finding is gone", "have their power through")
    save(hx, plan)
    on_the_joint(plan)

    command(hx, "format")
    hx.wait("formatted", lambda text: "strip  saloon-1" in text)
    save(hx, plan)
    checked = subprocess.run([os.environ["GLIMLOOM"], "format", "--check", str(plan)], capture_output=True)
    must("it is formatted as the program does it", checked.returncode == 0, checked.stdout)
    leave(hx)


def rename():
    """A name of the stock that another file uses."""
    plan, stock = WORK / "row.harness", WORK / "stock.harness"
    hx = start(plan)
    hx.sees("a plan that uses another has its figures", "35.9 mA")
    find(hx, "of warm")
    hx.keys(" ", "r")
    hx.sees("the name is asked for", "rename-to:warm")
    hx.keys("\x15", *"amber-tape", ENTER)
    hx.sees("it is renamed here", "strip a of amber-tape")
    save(hx, plan, stock)
    must("and in the file that it comes from", stock.read_text().startswith("tape amber-tape\n"), stock.read_text())
    must("nowhere is the old name", "warm " not in plan.read_text())
    must("both are clean", findings(plan) == [], findings(plan))
    leave(hx)


def beyond():
    """CRLF, and letters beyond the first plane in names and remarks."""
    plan = WORK / "beyond.harness"
    hx, _ = mend_chain(plan, "s\U00010437\U00010428")
    hx.sees("the line ends are known", "CRLF")
    choose(hx, "the chain is mended", "branch s")
    hx.sees_no("the finding is gone", "have their power through")
    save(hx, plan)
    after = plan.read_bytes()
    must("every line ends as it did", after.count(b"\r\n") == after.count(b"\n") > 20)
    on_the_joint(plan)
    must("what stands around is untouched", "# \U0001F600 chained for now\r\n".encode() in after)
    leave(hx)


def scenario(one):
    """The scenario that is the same for every editor: see ../scenario.py."""
    plan, annex = WORK / one["plan"], WORK / one["annex"]
    hx = start(plan)
    found = sorted(one["findings"], key=lambda found: (found["line"], found["column"]))
    hx.sees("findings come", f"● {sum(found['severity'] == 'warning' for found in found)}")
    command(hx, "1")
    cursor = (1, 0)
    for finding in found:
        # Helix goes to the next one that begins behind the cursor, and puts it on the last letter of the words.
        if (finding["line"], finding["column"]) <= cursor:
            continue
        hx.keys("]", "d")
        cursor = (finding["end_line"], finding["end_column"] - 1)
        at(hx, f"{finding['check']} is found in line {finding['line']}, at its words: {finding['words']}", *cursor)
        hx.sees("it says what is wrong", " ".join(finding["message"].split()[:3]))

    line = next(finding["line"] for finding in found if finding["check"] == "single-path")

    def there():
        command(hx, str(line - 1))
        hx.keys("g", "l")
        find(hx, one["item"])

    there()
    hx.keys(" ", "k")
    hx.sees("hover tells what it is about", f" {one['item']}: ")
    hx.keys(ESCAPE)

    hx.keys("g", "e", "o", *one["half"])
    hx.wait(f"completion offers {one['stock']}", lambda text: re.search(rf"{re.escape(one['stock'])} +class", text))
    hx.keys(ESCAPE, "u", "g", "e", "o", *one["wrong"], ESCAPE)
    hx.sees("what is typed wrong is found", "`nobody`")
    hx.keys("u")
    hx.sees_no("and goes", "`nobody`")

    there()
    choose(hx, "the chain is mended", one["fix"][:60])
    hx.sees_no("the finding is gone", "power through")
    save(hx, plan)
    there()
    hx.keys(" ", "r")
    hx.sees("the name is asked for", f"rename-to:{one['item']}")
    hx.keys("\x15", *one["new"], ENTER)
    hx.sees("it is renamed", one["new"])
    command(hx, "format")
    save(hx, plan, annex)
    leave(hx)


def leave(hx):
    command(hx, "qa!")
    must("Helix ends well", hx.stop() == 0)


def picture(hx, name):
    """Writes down what is on the screen, where pictures are wanted."""
    if folder := os.environ.get("PICTURES"):
        hx.settle()
        (pathlib.Path(folder) / name).write_text(written(hx))


os.chdir(WORK)
if (WORK / "scenario.json").exists():
    for one in json.loads((WORK / "scenario.json").read_text()):
        scenario(one)
else:
    looks()
    chain()
    rename()
    beyond()

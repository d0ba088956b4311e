#!/usr/bin/env python3
"""A picture of a terminal's screen: picture.py SCREEN PICTURE.png

SCREEN is text with colours as `tmux capture-pane -e -p` writes it (ECMA-48 SGR); Chromium draws it, Pillow makes the file small.
"""

import html
import re
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

from PIL import Image

COLUMN, ROW, SIZE, EDGE = 8.4287, 18, 14, 10
INK, PAPER = "#e0e2ea", "#14161b"
NAMED = ["#2b2f36", "#ff8e8e", "#a3d7a0", "#f0d48a", "#9cc4ff", "#e3a8e8", "#8adfe0", "#d6d9e0"]
BRIGHT = ["#6b727d", "#ffb0b0", "#bfe8bd", "#ffe6ab", "#bcd8ff", "#f2c8f5", "#b0f0f1", "#ffffff"]


def indexed(n: int) -> str:
    """A colour of the 256."""
    if n < 16:
        return (NAMED + BRIGHT)[n]
    if n >= 232:
        return "#" + f"{8 + 10 * (n - 232):02x}" * 3
    steps = [0, 95, 135, 175, 215, 255]
    return "#" + "".join(f"{steps[(n - 16) // by % 6]:02x}" for by in (36, 6, 1))


class Pen:
    """How letters are drawn from here on."""

    def __init__(self):
        self.reset()

    def reset(self):
        self.ink = self.paper = self.line_ink = self.line = None
        self.marks = set()

    def take(self, codes: str):
        rest = [part for part in (codes or "0").split(";")]
        while rest:
            code = rest.pop(0)
            if code.startswith(("4:", "58:")):
                kind, *parts = code.split(":")
                if kind == "4":
                    self.line = {"0": None, "2": "double", "3": "wavy", "4": "dotted", "5": "dashed"}.get(parts[0], "solid")
                else:
                    self.line_ink = self.colour([part for part in parts if part])
                continue
            n = int(code or 0)
            if n == 0:
                self.reset()
            elif n in (1, 2, 3, 7, 9):
                self.marks.add(n)
            elif n == 4:
                self.line = "solid"
            elif n == 22:
                self.marks -= {1, 2}
            elif n in (23, 27, 29):
                self.marks.discard(n - 20)
            elif n == 24:
                self.line = None
            elif n in (38, 48, 58):
                long = 4 if rest and rest[0] == "2" else 2
                colour, rest = self.colour(rest[:long]), rest[long:]
                setattr(self, {38: "ink", 48: "paper", 58: "line_ink"}[n], colour)
            elif n == 39:
                self.ink = None
            elif n == 49:
                self.paper = None
            elif n == 59:
                self.line_ink = None
            elif 30 <= n <= 37:
                self.ink = NAMED[n - 30]
            elif 40 <= n <= 47:
                self.paper = NAMED[n - 40]
            elif 90 <= n <= 97:
                self.ink = BRIGHT[n - 90]
            elif 100 <= n <= 107:
                self.paper = BRIGHT[n - 100]

    @staticmethod
    def colour(parts: list[str]) -> str:
        if parts[0] == "2":
            return "#" + "".join(f"{int(part):02x}" for part in parts[-3:])
        return indexed(int(parts[-1]))

    def style(self) -> str:
        ink, paper = self.ink or INK, self.paper or PAPER
        if 7 in self.marks:
            ink, paper = paper, ink
        said = [f"color:{ink}"]
        if paper != PAPER:
            said.append(f"background:{paper}")
        if 1 in self.marks:
            said.append("font-weight:bold")
        if 2 in self.marks:
            said.append("opacity:.7")
        if 3 in self.marks:
            said.append("font-style:italic")
        lines = (["underline"] if self.line else []) + (["line-through"] if 9 in self.marks else [])
        if lines:
            said.append(f"text-decoration:{' '.join(lines)} {self.line or ''} {self.line_ink or ''}")
        return ";".join(said)


def page(screen: str) -> tuple[str, int, int]:
    """The screen as HTML, and how wide and high it is."""
    pen, rows, widest, papers = Pen(), [], 0, Counter()
    lines = screen.rstrip("\n").split("\n")
    for line in lines:
        out, width = "", 0
        for codes, words in re.findall(r"\x1b\[([0-9;:]*)m|([^\x1b]+)", line):
            if not words:
                pen.take(codes)
                continue
            width += len(words)
            papers[(pen.paper or PAPER) if 7 not in pen.marks else PAPER] += len(words)
            out += f'<span style="{pen.style()}">{html.escape(words)}</span>'
        rows.append(f"<div>{out or ' '}</div>")
        widest = max(widest, width)
    # Around the screen, and where it says nothing, the ground is that of most of it.
    ground = papers.most_common(1)[0][0] if papers else PAPER
    style = f"""body {{ margin: 0; padding: {EDGE}px; background: {ground}; font: {SIZE}px/{ROW}px 'DejaVu Sans Mono', monospace; }}
        div {{ white-space: pre; height: {ROW}px; }} span {{ display: inline-block; height: {ROW}px; text-underline-offset: 2px; }}"""
    return (
        f"<!doctype html><meta charset=utf-8><style>{style}</style>{''.join(rows)}",
        round(widest * COLUMN) + 2 * EDGE,
        len(lines) * ROW + 2 * EDGE,
    )


def main(screen: str, picture: str):
    chromium = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if not chromium:
        sys.exit("cannot draw pictures: chromium is missing")
    text, width, height = page(Path(screen).read_text())
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "screen.html")
        file.write_text(text)
        command = [chromium, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", f"--user-data-dir={folder}/profile"]
        command += [f"--window-size={width},{height}", f"--screenshot={Path(picture).resolve()}", file.as_uri()]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    # A screen has few colours: kept by number, the file is small. Of the ways to choose them this one keeps those of a few thin lines.
    Image.open(picture).convert("RGB").quantize(256, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE).save(picture, optimize=True)


main(*sys.argv[1:])

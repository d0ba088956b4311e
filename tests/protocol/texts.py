"""Texts as an editor holds them: places in lines and columns of an encoding, edits. Written from the specification alone."""

from __future__ import annotations

import re

from lsprotocol.types import Position, Range

UNITS = {"utf-8": 1, "utf-16": 2, "utf-32": 4}


def length(text: str, encoding: str) -> int:
    """How many columns `text` takes."""
    codec = encoding if encoding == "utf-8" else encoding + "-le"
    return len(text.encode(codec)) // UNITS[encoding]


class Text:
    """A text and what its columns count."""

    def __init__(self, text: str, encoding: str):
        self.text = text
        self.encoding = encoding
        ends = [(m.start(), m.end()) for m in re.finditer(r"\r\n|\n|\r", text)]
        self.starts = [0] + [end for _, end in ends]
        self.stops = [start for start, _ in ends] + [len(text)]

    def place(self, offset: int) -> Position:
        """The place of an offset in characters."""
        line = max(n for n, start in enumerate(self.starts) if start <= offset)
        return Position(line, length(self.text[self.starts[line] : offset], self.encoding))

    def offset(self, place: Position) -> int:
        """The offset of a place, which must be one of the text: on a line that is there, not inside of a character or a line end."""
        assert place.line < len(self.starts), f"{place}: there are {len(self.starts)} lines"
        start, stop = self.starts[place.line], self.stops[place.line]
        column = 0
        for offset in range(start, stop + 1):
            if column == place.character:
                return offset
            assert column < place.character, f"{place} is inside of a character"
            if offset < stop:
                column += length(self.text[offset], self.encoding)
        raise AssertionError(f"{place} is behind the end of its line, {column}")

    def span(self, stretch: Range) -> tuple[int, int]:
        start, end = self.offset(stretch.start), self.offset(stretch.end)
        assert start <= end, f"{stretch} ends before it starts"
        return start, end

    def said(self, stretch: Range) -> str:
        """The words of a range."""
        start, end = self.span(stretch)
        return self.text[start:end]

    def find(self, marked: str) -> int:
        """The offset of the `|` in a piece of the text that stands there once."""
        before, after = marked.split("|")
        piece = before + after
        assert self.text.count(piece) == 1, f"{piece!r} stands there {self.text.count(piece)} times"
        return self.text.index(piece) + len(before)

    def range(self, words: str) -> Range:
        """The range of a piece of the text that stands there once."""
        start = self.find("|" + words)
        return Range(self.place(start), self.place(start + len(words)))

    def everything(self) -> Range:
        return Range(Position(0, 0), self.place(len(self.text)))

    def edited(self, edits) -> str:
        """The text after edits that are all meant for this one. They may not overlap."""
        spans = sorted(((*self.span(edit.range), number) for number, edit in enumerate(edits)))
        for (_, end, _), (start, _, _) in zip(spans, spans[1:]):
            assert end <= start, f"edits overlap at {start}"
        text = self.text
        for start, end, number in reversed(spans):
            text = text[:start] + edits[number].new_text + text[end:]
        return text

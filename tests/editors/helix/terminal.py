"""A program in a terminal of our own: what stands on its screen, in which colours, and keys for it."""

import fcntl
import os
import pty
import re
import select
import struct
import termios
import time

import pyte

# What the terminal of pyte does not know, of the keyboard and of modes: an answer is not needed.
UNKNOWN = re.compile(rb"\x1b\[[<>=?][0-9;]*[um]|\x1b\[[0-9;]*\x20q|\x1b\[[?>][0-9;]*\$?[pq]|\x1bP.*?\x1b\\|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)")


class Terminal:
    """A program that runs in a terminal of so many columns and lines."""

    def __init__(self, command, columns=120, lines=36, env=None):
        self.screen = pyte.Screen(columns, lines)
        self.stream = pyte.ByteStream(self.screen)
        self.rest = b""
        self.pid, self.end = pty.fork()
        if self.pid == 0:
            try:
                os.execvpe(command[0], command, env or os.environ)
            finally:
                os._exit(127)
        fcntl.ioctl(self.end, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))
        self.screen.write_process_input = lambda answer: os.write(self.end, answer.encode())

    def read(self, seconds):
        """Takes what the program writes in the next seconds; returns whether it still runs."""
        ready, _, _ = select.select([self.end], [], [], seconds)
        if not ready:
            return True
        try:
            written = os.read(self.end, 65536)
        except OSError:
            return False
        text = UNKNOWN.sub(b"", self.rest + written)
        # A sequence that is not whole yet waits for the rest of it.
        cut = text.rfind(b"\x1b")
        self.rest = b""
        if cut >= 0 and len(text) - cut < 64 and not re.match(rb"\x1b(?:\[[0-9;?<>=]*[@-~]|[^\[\]P])", text[cut:]):
            text, self.rest = text[:cut], text[cut:]
        self.stream.feed(text)
        return bool(written)

    def keys(self, *keys):
        """Presses keys: letters as they are, `\\x1b` and its like too, one after the other as a hand would."""
        for key in keys:
            os.write(self.end, key.encode())
            # An escape and a letter right behind it would be one key.
            end = time.monotonic() + (0.3 if key == "\x1b" else 0.01)
            while (left := end - time.monotonic()) > 0:
                self.read(left)

    def text(self):
        """The lines on the screen."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def wait(self, what, ready, seconds=60):
        """Waits until `ready` of the screen's text gives something that is true, and gives it back."""
        end = time.monotonic() + seconds
        while True:
            if found := ready(self.text()):
                print("ok", what, flush=True)
                return found
            if time.monotonic() > end or not self.read(0.05):
                raise SystemExit(f"FAILED: {what}\n--- on the screen:\n{self.text()}")

    def settle(self):
        """Waits until nothing more is written for a while: a screen comes in pieces."""
        quiet = time.monotonic()
        while time.monotonic() - quiet < 1:
            before = self.text()
            self.read(0.1)
            quiet = quiet if self.text() == before else time.monotonic()

    def sees(self, what, words, seconds=60):
        """Waits until these words stand on the screen."""
        return self.wait(what, lambda text: words in text, seconds)

    def sees_no(self, what, words, seconds=60):
        """Waits until these words stand on the screen no more."""
        return self.wait(what, lambda text: words not in text, seconds)

    def colour(self, words, of=None, lines=None):
        """The colour of the first letter of `of` where `words` stand first on the screen."""
        for y, line in enumerate(self.screen.display):
            x = line.find(words)
            if x >= 0 and (lines is None or y in lines):
                return self.screen.buffer[y][x + words.index(of or words)].fg
        raise SystemExit(f"FAILED: `{words}` is not on the screen:\n{self.text()}")

    def stop(self):
        """Waits for the program's end."""
        end = time.monotonic() + 20
        while time.monotonic() < end and self.read(0.1):
            pass
        _, status = os.waitpid(self.pid, 0)
        return status


def written(terminal):
    """What is on the screen as text with its colours (ECMA-48 SGR)."""

    def shade(code, colour):
        return f";{code};2;{int(colour[:2], 16)};{int(colour[2:4], 16)};{int(colour[4:], 16)}" if re.fullmatch("[0-9a-f]{6}", colour) else ""

    screen = terminal.screen
    lines = []
    for y in range(screen.lines):
        line = ""
        for x in range(screen.columns):
            cell = screen.buffer[y][x]
            marks = ";1" * cell.bold + ";4" * cell.underscore + ";7" * cell.reverse
            line += f"\x1b[0{marks}{shade(38, cell.fg)}{shade(48, cell.bg)}m{cell.data}"
        lines.append(line)
    return "\n".join(lines)

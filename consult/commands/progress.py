"""How far a long command has come, on one line of the terminal that it takes away again."""

from __future__ import annotations

from typing import TextIO

_WIDE = 20


class Progress:
    """Writes nothing to a file or a pipe, or when told to be quiet."""

    def __init__(self, total: int, stream: TextIO, *, quiet: bool = False, what: str = "") -> None:
        """``what`` is being done stands before the bar."""
        self.total, self._stream, self._what = total, stream, f"{what} " if what else ""
        self._shows = not quiet and stream.isatty()

    def at(self, done: int) -> None:
        """Show that this many are done."""
        if self._shows:
            filled = _WIDE * done // max(self.total, 1)
            bar = "#" * filled + "." * (_WIDE - filled)
            self._write(f"\r{self._what}[{bar}] {done} of {self.total}")

    def clear(self) -> None:
        """Leave the line empty, for what is printed next."""
        if self._shows:
            self._write(f"\r{' ' * (len(self._what) + _WIDE + 25)}\r")

    def _write(self, text: str) -> None:
        self._stream.write(text)
        self._stream.flush()

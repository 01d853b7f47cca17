"""The screens in a real terminal: their start, and each answer of a whole demo call.

A demo call is typed, every question answered by its name; the first answer that is given back ends
the benchmark as failed. An answer is timed from Enter until the words of the next question have
been drawn (first change), and to the end of all that is drawn (last change: the chair is chosen
meanwhile). Beside it a screen of Textual and nothing else answers the same key.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from consult.call.basis import load_basis
from consult.call.call import Call
from consult.call.session import Session
from consult.call.transcript import load_transcript
from consult.paths import default_tree, demo_folder
from consult.tree.model import Question
from tests.benchmarks.measure import Family, Size
from tests.benchmarks.starts import installed
from tests.benchmarks.terminal import Terminal, plain

DEMO = "01"
AT = datetime(2026, 11, 25, 9, 0)
_LETTERS = 40
"""Measured one by one; the rest of what is said is typed at once."""
BARE, ECHO = "a bare Textual screen", "the echo of cat"
_BARE_SCREEN = """
from textual.app import App
from textual.widgets import Input, Static

class Bare(App):
    number = 0
    def compose(self):
        yield Static("ready 0")
        yield Input()
    def on_input_submitted(self, event):
        self.number += 1
        self.query_one(Static).update(f"ready {self.number}")
        event.input.value = ""

Bare().run()
"""


class RefusedError(Exception):
    """An answer was given back, or there was none: what was measured would be no call."""


class Typed:
    """A demo call as it is typed: the same answers go into a session beside the terminal."""

    def __init__(self) -> None:
        (path,) = demo_folder().glob(f"{DEMO}*.yaml")
        transcript, _ = load_transcript(path)
        basis, _ = load_basis(default_tree())
        assert transcript is not None
        assert basis is not None
        self.answers = transcript.call.latest()
        self.session = Session(basis, Call(transcript.call.today, transcript.call.system), AT)
        self.options = ["--units", transcript.call.system]
        self.letters: list[float] = []
        self.questions: list[float] = []
        self.chairs: list[float] = []
        self.bare: list[float] = []

    def whole(self, desk: Terminal, beside: Terminal) -> None:
        """Answer every question until none is left."""
        while (asked := self.session.asking) is not None:
            self.one(desk, asked)
            self.bare.append(beside.enter(f"{len(self.bare) + 1}")[0])
            beside.settle()

    def one(self, desk: Terminal, asked: Question) -> None:
        """Type the answer to a question, and see the next one come."""
        answer = self.answers.get(asked.name)
        said = answer.said if answer else "?"
        reply = self.session.offer(said, AT)
        again = not reply.taken and answer is not None and answer.confirmed
        if again:
            reply = self.session.offer(said, AT)
        if not reply.taken:
            raise RefusedError(f"{asked.name}: {said}: {reply.tell}")
        if len(self.letters) < _LETTERS:
            self.letters += [desk.key(letter)[0] for letter in said]
        else:
            desk.key(said)
        if again:
            desk.key("\r")
            desk.settle()
        cautions = self.session.now.to_say
        following = self.session.asking
        words = first_words(following) if following else "last question"
        for number, raised in enumerate(cautions):
            desk.enter("once you have") if number == 0 else desk.key("s")
            desk.settle()
            self.session.said(raised, AT)
        try:
            if cautions:
                desk.key("s")
                desk.wait_for(words)
            else:
                question, chair = desk.enter(words)
                self.questions.append(question)
                self.chairs.append(chair)
        except TimeoutError:
            drawn = plain(desk.seen)[-500:]
            told = f"{asked.name}: {said}: '{words}' did not come. Drawn last: {drawn}"
            raise RefusedError(told) from None
        desk.settle()


def first_words(question: Question) -> str:
    """The beginning of a question, short enough for one line of any window."""
    return question.ask[:24].rsplit(" ", 1)[0] if len(question.ask) > 24 else question.ask


def desk(size: Size) -> Family:
    """A whole demo call, typed in windows of each size."""
    family = Family("desk", size)
    for width, height in size.windows:
        typed, window = Typed(), f"{width}x{height}"
        assert typed.session.asking is not None
        with (
            _records(),
            Terminal(_consult("call", *typed.options), width, height) as screen,
            Terminal([sys.executable, "-c", _BARE_SCREEN], width, height) as beside,
            Terminal(["cat"], width, height) as echo,
        ):
            screen.wait_for(first_words(typed.session.asking))
            beside.wait_for("ready 0")
            screen.settle()
            beside.settle()
            typed.whole(screen, beside)
            echoes = [echo.key("x")[0] for _ in typed.letters[:30]]
        family.add(f"a letter, {window}", typed.letters, ECHO, _as_many(echoes, typed.letters))
        for what, took in (("first", typed.questions), ("last", typed.chairs)):
            name = f"an answer to its {what} change, {window}"
            family.add(name, took, BARE, _as_many(typed.bare, took))
    return family


def screens(size: Size) -> Family:
    """Each of the three screens from its start to its first words."""
    family = Family("screens", size)
    typed = Typed()
    assert typed.session.asking is not None
    programs = {
        BARE: ([sys.executable, "-c", _BARE_SCREEN], "ready 0"),
        "call": (_consult("call", *typed.options), first_words(typed.session.asking)),
        "edit": (_consult("edit"), "Reading age"),
        "practise": (_consult("practise"), "not practised yet"),
    }
    took: dict[str, list[float]] = {name: [] for name in programs}
    for number in range(size.few + 1):
        for name, (words, hello) in programs.items():
            found = _start(words, hello)
            if number:  # the first only compiles
                took[name].append(found)
    for name in list(programs)[1:]:
        family.add(f"consult {name}", took[name], BARE, took[BARE])
    return family


def _start(words: list[str], hello: str) -> float:
    with _records():
        start = time.perf_counter()
        with Terminal(words, 120, 40) as screen:
            screen.wait_for(hello)
            return time.perf_counter() - start


def _consult(*words: str) -> list[str]:
    return [sys.executable, "-m", "consult", *words]


@contextmanager
def _records() -> Iterator[None]:
    """Records of its own for whatever is started, as installed: what was compiled is kept."""
    before = dict(os.environ)
    with tempfile.TemporaryDirectory() as folder:
        os.environ.update(installed(str(Path(folder) / "records.db")))
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        try:
            yield
        finally:
            os.environ.clear()
            os.environ.update(before)


def _as_many(reference: list[float], work: list[float]) -> list[float]:
    """The median of the reference for each sample of the work, where they are not pairs."""
    return [statistics.median(reference)] * len(work)

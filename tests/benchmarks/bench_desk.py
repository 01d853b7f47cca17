"""Key press to updated screen, and cold start, in a real terminal of its own.

``python -m tests.benchmarks.bench_desk [120x40]``. A demo call is typed, every question answered by
its name; the first answer that is given back ends the run with exit code 1. A letter is measured
from its write to the terminal to the end of what is drawn for it, an answer from Enter until the
words of the next question have been drawn, and the chair until all is drawn. Ratios are to an echo
by ``cat`` in the same kind of terminal, and to an empty Python process; milliseconds stand beside.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from datetime import datetime

from consult.call.basis import load_basis
from consult.call.call import Call
from consult.call.session import Session
from consult.call.transcript import load_transcript
from consult.paths import default_tree, demo_folder
from consult.tree.model import Question
from tests.benchmarks.terminal import Terminal

DEMO = "01"
AT = datetime(2026, 11, 25, 9, 0)


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

    def whole(self, desk: Terminal) -> None:
        """Answer every question until none is left."""
        while (asked := self.session.asking) is not None:
            self.one(desk, asked)

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
        self.letters += [desk.key(letter)[0] for letter in said]
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
            raise RefusedError(f"{asked.name}: {said}: the next question did not come") from None
        desk.settle()


def first_words(question: Question) -> str:
    """The beginning of a question, short enough for one line of any window."""
    return question.ask[:24].rsplit(" ", 1)[0] if len(question.ask) > 24 else question.ask


def spread(seconds: list[float]) -> str:
    """Median and 95th percentile, in ms."""
    ordered = sorted(seconds)
    high = ordered[min(len(ordered) - 1, round(0.95 * (len(ordered) - 1)))]
    return f"median {1000 * statistics.median(ordered):6.1f} ms   p95 {1000 * high:6.1f} ms"


def echo() -> float:
    """Seconds for a key to come back from ``cat``, median of fifty."""
    with Terminal(["cat"], 80, 24) as bare:
        return statistics.median(bare.key("x")[0] for _ in range(30))


def python() -> float:
    """Seconds for a Python that does nothing, the best of five."""
    found = []
    for _ in range(5):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-I", "-c", ""], check=True)
        found.append(time.perf_counter() - start)
    return min(found)


_PHASES = """
import time; start = time.perf_counter()
import {module}
print("{label:<34}", f"{{1000 * (time.perf_counter() - start):7.0f}} ms")
"""


def phases() -> None:
    """Where a cold start spends its time, each part in a process of its own."""
    for module, label in (
        ("textual.app", "import textual"),
        ("consult.ui.app", "import the desk, textual with it"),
        ("numpy", "import numpy"),
        ("jsonschema", "import jsonschema"),
        ("sqlalchemy", "import sqlalchemy"),
    ):
        subprocess.run(
            [sys.executable, "-c", _PHASES.format(module=module, label=f"  {label}")], check=True
        )
    load = (
        "import time; from consult.call.basis import load_basis; "
        "from consult.paths import default_tree; start = time.perf_counter(); "
        "load_basis(default_tree()); "
        "print(f'  {\"read tree, contacts and range\":<34}', "
        "f'{1000 * (time.perf_counter() - start):7.0f} ms')"
    )
    subprocess.run([sys.executable, "-c", load], check=True)


def main() -> None:
    """Print the figures."""
    width, height = map(int, (sys.argv[1] if len(sys.argv) > 1 else "120x40").split("x"))
    base, empty = echo(), python()
    typed, starts = Typed(), []
    program = [sys.executable, "-m", "consult", "call", *typed.options]
    assert typed.session.asking is not None
    hello = first_words(typed.session.asking)
    with tempfile.TemporaryDirectory() as folder:
        os.environ["CONSULT_RECORDS"] = f"{folder}/records.db"
        # As installed: what was compiled once is kept.
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        for run in range(5):
            start = time.perf_counter()
            with Terminal(program, width, height) as desk:
                desk.wait_for(hello)
                starts.append(time.perf_counter() - start)
                desk.settle()
                if run == 0:
                    try:
                        typed.whole(desk)
                    except RefusedError as refused:
                        sys.exit(f"Given back: {refused}")
    letters, answers, chairs = typed.letters, typed.questions, typed.chairs
    print(f"{width}x{height}")
    print(f"a letter typed     {spread(letters)}   {statistics.median(letters) / base:6.1f}x echo")
    print(f"next question      {spread(answers)}   {statistics.median(answers) / base:6.1f}x echo")
    print(f"its chair shown    {spread(chairs)}   {statistics.median(chairs) / base:6.1f}x echo")
    print(f"cold start         {spread(starts)}   {min(starts) / empty:6.1f}x empty python")
    print("of a cold start:")
    phases()


if __name__ == "__main__":
    main()

"""A call in plain lines: the same words, records and results as on the screen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import chdir
from dataclasses import replace
from pathlib import Path

import pytest

from consult.call.call import Answer, Call
from consult.call.expectation import disappointments
from consult.call.session import Session
from consult.call.state import state
from consult.records.call_trees import FirstCalls
from consult.records.desk_calls import DeskCalls
from consult.records.kept import Kept
from consult.records.store import open_store
from consult.tree.placeholders import in_units
from consult.ui.plain_call import PlainCall
from consult.ui.plain_words import PLAIN_CALL_WORDS
from tests.long import LONG
from tests.test_set_up import set_up
from tests.ui.desk import NOON, Clock, before, demo, demo_basis
from tests.ui.test_first_card import TO_THE_LEVER
from tests.ui.test_follow_up import REFERENCE, keep
from tests.ui.test_whole_calls import basis_of

NAMES = ["04", "06", "24", *(["01", "03", "12", "16", "31", "34", "53"] if LONG else [])]


class Line:
    """A plain call under test: what is typed comes from a list, or from the call as it stands."""

    def __init__(self, folder: Path, call: Call, tree: str = "seating") -> None:
        folder.mkdir(parents=True, exist_ok=True)  # the keeper makes it too, in its own time
        self.folder, self.written, self.seen = folder, list[str](), 0
        self.waiting: list[str] = []
        self.next: Callable[[], str] = self._end
        basis, clock = basis_of(tree), Clock()
        self.kept = DeskCalls(basis, folder / "records.db", "Ann", clock)
        self.kept.start()
        self.name = self.kept.new(NOON)
        self.session = Session(basis, call, NOON)
        firsts = FirstCalls(folder / "records.db")
        self.call = PlainCall(
            self.session, self.kept, self.name, clock, firsts, self._read, self.written.append
        )

    def _end(self) -> str:
        raise EOFError

    def _read(self) -> str:
        if self.written and self.written[-1].startswith("Type s once"):
            return "s"
        return self.waiting.pop(0) if self.waiting else self.next()

    def type(self, *lines: str) -> list[str]:
        """Lead the call with these lines; what it wrote."""
        self.waiting = list(lines)
        with chdir(self.folder):
            self.call.run()
        self.kept.leave(self.name, self.session, self.call.firsts)
        return self.written

    def stored(self) -> Kept:
        """The call as it is in the records."""
        store = open_store(self.folder / "records.db")
        try:
            return store.read(self.kept.reference(self.name))
        finally:
            store.close()


def typed_for(line: Line, answers: Sequence[Answer]) -> Callable[[], str]:
    """Types the answers of a demo call: in turn, early by name, or amending."""
    left = list(answers)
    confirm = [False]

    def read() -> str:
        if confirm[0]:
            confirm[0] = False
            return ""
        if not left:
            return "/quit"
        answer, asking = left[0], line.session.asking
        if asking is None or asking.name != answer.question:
            if answer.question in line.session.now.call.latest():
                return f"/amend {answer.question}"
            del left[0]
            return f"/{answer.question} {answer.said}"
        del left[0]
        confirm[0] = answer.confirmed
        return answer.said

    return read


@pytest.mark.parametrize("name", NAMES)
def test_a_whole_demo_call(name: str, tmp_path: Path) -> None:
    """It ends as the demo call expects, with its answers stored, and each question was written."""
    transcript = demo(name)
    line = Line(tmp_path, replace(transcript.call, answers=()), transcript.tree)
    line.next = typed_for(line, transcript.call.answers)
    written = line.type()
    end = state(line.session.basis, line.session.now.call)
    assert disappointments(transcript, end) == []
    kept = line.stored()
    assert kept.status == ("stopped" if end.stopped else "finished")
    assert [one.question for one in kept.call.answers] == [
        one.question for one in line.session.now.call.answers
    ]
    system = transcript.call.system
    for step in end.steps:
        early = f"Noted: {step.question.name.replace('_', ' ').capitalize()}"
        asked = in_units(step.question.ask, system)
        assert any(asked in text or text.startswith(early) for text in written), step.question.name
    for raised in end.cautions:
        if raised.caution.level != "note" and not raised.outranked:
            assert raised.say in written
            assert raised.said is not None
    assert not any("\x1b" in text for text in written)


def test_without_consent_nothing_of_health_is_stored(tmp_path: Path) -> None:
    """As on the screen: the list is read, the answer is not kept."""
    line = Line(tmp_path, before("consent"))
    line.type("no", "none", "none")
    said = {one.question: one.said for one in line.stored().call.answers}
    assert said["consent"] == "no"
    assert said.get("warning_signs") != "none"


def test_unfinished_calls_are_told_of_without_a_key(tmp_path: Path) -> None:
    """No key does anything in plain lines."""
    Line(tmp_path, before("consent")).type("/hold")
    told = [text for text in Line(tmp_path, before("consent")).type("/hold") if "finished:" in text]
    assert told == ["! 1 call of yours is not finished: consult records list."]


def test_a_caution_waits_until_it_is_said(tmp_path: Path) -> None:
    """No answer passes it; in another country it has the contact of that country."""
    line = Line(tmp_path, before("warning_signs"))
    line.call._read = iter(["2", "go on", "/country Germany", "s"]).__next__
    with pytest.raises(StopIteration):
        line.call.run()
    told = "\n".join(line.written)
    assert told.count("STOP. Say this now, word for word:") == 2
    assert "999" in told
    assert "112" in told[told.index("Germany") :]
    assert line.session.now.stopped is not None
    assert line.session.now.to_say == ()
    assert line.session.now.country == "DE"


def test_a_stop_is_lifted_with_a_reason_alone(tmp_path: Path) -> None:
    """The word without a reason lifts nothing."""
    line = Line(tmp_path, before("warning_signs"))
    written = line.type("2", "/lift", "/cautions", "/lift her doctor saw her")
    assert "! A stop can be lifted only with a reason." in written
    assert "/lift and a reason lifts a stop." in written
    assert line.session.now.stopped is None


def test_what_cannot_be_read_is_given_back(tmp_path: Path) -> None:
    """Two readings by letter; an odd measure by Enter; of several facts the rest."""
    line = Line(tmp_path, before("weight"))
    written = line.type("140", "b", "")
    assert any(text.startswith("Enter: ") for text in written)
    assert any(text.startswith("b: ") for text in written)
    assert line.session.asking is not None
    assert line.session.asking.name != "weight"
    several = Line(tmp_path / "other", before("stature"))
    written = several.type("/desk 73 cm, lower leg zzz")
    assert "Not noted: /lower leg zzz" in written
    assert several.session.now.workplace.desk.height == 730


def test_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every word of the help does something, and none ends the call but two."""
    monkeypatch.chdir(tmp_path)  # the measuring sheet is written there
    line = Line(tmp_path, before("agreed"))
    words = [word for word in PLAIN_CALL_WORDS if word not in ("quit", "hold", "finish")]
    for word in words:
        was = len(line.written)
        line.call.typed(f"/{word}")
        assert len(line.written) > was, word
    told = "\n".join(line.written)
    assert "GBP" in told
    assert "Seat height" in told
    assert not line.call.left
    line.call.typed("/finsh")
    assert "Did you mean /finish?" in line.written[-1]
    line.call.typed("/try desk 66 cm")
    assert any("→" in text for text in line.written)
    line.call.typed("/hold")
    assert line.call.left


def test_the_end_is_saved_and_the_day_agreed(tmp_path: Path) -> None:
    """The summary by a letter under a name, the call finished by that."""
    line = Line(tmp_path, before(""))
    written = line.type("", f"s {tmp_path}/ada", f"c {tmp_path}/ada", "x", "", "/quit")
    assert (tmp_path / "ada.pdf").is_file()
    assert (tmp_path / "ada-card.pdf").is_file()
    assert "Read back" in written
    assert "Type s, c, e, o, f or day and a date. Enter goes back to the call." in written
    assert line.stored().status == "finished"


def test_a_chair_is_set_up_with_its_card(tmp_path: Path) -> None:
    """The reference is typed, the caller is known, and the lever is read."""
    keep(tmp_path / "records.db", demo("01").call, demo_basis())
    line = Line(tmp_path, Call(NOON.date()), "set_up")
    written = line.type("7k3m2q", *TO_THE_LEVER, "/why")
    assert any(text.startswith(f"First call: {REFERENCE}") for text in written)
    assert any(text.startswith("This chair: Set the top of the seat") for text in written)
    assert set_up().tree.questions["caller_name"].ask not in " ".join(written[3:])
    assert line.session.now.caller_name == "Ada Fenwick"


def test_what_steers_a_terminal_is_shown(tmp_path: Path) -> None:
    """A name with an escape in it is written as signs."""
    line = Line(tmp_path, Call(NOON.date()))
    written = line.type("Ada \x1b[2J", "/said")
    assert not any("\x1b" in text for text in written)
    assert any("␛[2J" in text for text in written)

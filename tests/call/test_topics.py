"""Topics: asked where they are open, counted where told, opened by answer or by the adviser."""

from __future__ import annotations

from datetime import datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.body.population import load_population
from consult.call.basis import Basis
from consult.call.call import Answer, Call
from consult.call.session import Session
from consult.call.state import State, state
from consult.call.worth import seconds_of
from consult.content.callers.simulation import CallerSource, led_state
from consult.tree.shares import NO_SHARES
from tests.call.calls import TODAY, call_of, derived, told, whole_call
from tests.call.topical import topical
from tests.long import examples

AT = datetime(2026, 11, 25, 9, 0)


@cache
def _basis() -> Basis:
    with TemporaryDirectory() as folder:
        return topical(Path(folder))


@pytest.fixture
def basis() -> Basis:
    return _basis()


def names(now: State) -> list[str]:
    return [step.question.name for step in now.steps]


def led_by(basis: Basis, **answers: str) -> Session:
    return Session(basis, call_of(answers), AT)


def lines(session: Session) -> dict[str, tuple[str, int]]:
    return {one.name: (one.status, one.questions) for one in session.topics()}


def test_the_tree_says_what_its_topics_are(basis: Basis) -> None:
    """In the order of the main tree, each with its questions and the condition that opens it."""
    screen, sharing = basis.tree.topics.values()
    assert (screen.name, screen.title, screen.changes) == (
        "screen",
        "Screen and glasses",
        "where the screen stands",
    )
    assert screen.questions == ("glasses", "varifocal", "screens")
    assert sharing.open_when is None
    assert basis.tree.questions["glasses"].topic == "screen"
    assert basis.tree.questions["goodbye"].topic is None
    gate = basis.tree.questions["shared"].gate
    assert gate is not None
    assert gate.text == "sharing in opened or sharing in more"


def test_closed_until_opened(basis: Basis) -> None:
    """Its questions are not asked, the adviser's question never is, the caller's is."""
    assert names(told(basis, neck="no")) == ["neck", "more", "goodbye"]


@pytest.mark.parametrize(
    "answers",
    [{"neck": "yes"}, {"neck": "no", "opened": "screen"}, {"neck": "?", "opened": "1, 2"}],
)
def test_opened_by_a_condition_or_the_adviser(basis: Basis, answers: dict[str, str]) -> None:
    """Then it is asked like any other part."""
    assert {"glasses", "screens"} <= set(names(told(basis, **answers)))


def test_opened_by_the_caller(basis: Basis) -> None:
    """The answer to a question with sets: topics opens what it names and nothing else."""
    now = told(basis, neck="no", more="sharing")
    assert names(now) == ["neck", "more", "shared", "goodbye"]
    assert "shared" not in names(told(basis, neck="no", more="none"))


def test_what_is_told_out_of_turn_counts(basis: Basis) -> None:
    """Though the topic is closed; the rest of it stays unasked."""
    now = told(basis, neck="no", glasses="yes", screens="one")
    assert names(now) == ["neck", "glasses", "screens", "more", "goodbye"]
    assert [given.advice.name for given in now.advice] == ["screen_down"]
    assert names(told(basis, neck="no", glasses="?"))[1] == "glasses"


def test_skipping_holds_inside(basis: Basis) -> None:
    """skip_when holds in an open topic, and for what is told out of turn."""
    assert "screens" not in names(told(basis, neck="yes", glasses="no"))
    assert "screens" not in names(told(basis, neck="no", glasses="no", screens="one"))


def test_in_full(basis: Basis) -> None:
    """A thorough call goes through every topic."""
    now = state(basis, call_of({"neck": "no"}).led_in_full(True))
    assert names(now) == ["neck", "glasses", "screens", "more", "shared", "goodbye"]


@settings(max_examples=examples(60), deadline=None)
@given(said=whole_call(_basis()), order=st.randoms(use_true_random=False))
def test_order_does_not_matter(said: dict[str, str], order: object) -> None:
    """The same answers in any order come to the same state."""
    turned = sorted(said.items(), key=lambda _: order.random())  # type: ignore[attr-defined]
    assert derived(state(_basis(), call_of(said))) == derived(state(_basis(), call_of(turned)))


def test_simulated_callers(basis: Basis) -> None:
    """They open what they wish for, are asked it, and never the adviser's question."""
    source = CallerSource(NO_SHARES, load_population(), 7, TODAY)
    wished = 0
    for number in range(1, 40):
        now = state(basis, led_state(basis, source, number).call)
        answered = {answer.question: answer.said for answer in now.call.answers}
        assert now.finished
        assert "opened" not in answered
        assert set(answered) == set(names(now))
        assert ("glasses" in answered) == (answered["neck"] == "yes")
        wished += "shared" in answered
    assert 0 < wished < 39


# -- the list the adviser opens them from --------------------------------------------------------


def test_the_list(basis: Basis) -> None:
    """What each could change and what it takes; the seconds are those of its questions."""
    screen, sharing = led_by(basis, neck="no").topics()
    assert (screen.title, screen.changes, screen.status) == (
        "Screen and glasses",
        "where the screen stands",
        "closed",
    )
    # Who wears no glasses is not asked about them.
    asked = [basis.tree.questions[name] for name in ("glasses", "screens")]
    assert screen.questions == 2
    assert screen.seconds == pytest.approx(sum(map(seconds_of, asked)))
    assert (sharing.status, sharing.questions) == ("closed", 1)


def test_the_list_follows_the_call(basis: Basis) -> None:
    """Open while something is left to ask, done after that; told of in full, done as well."""
    assert lines(led_by(basis)) == {"screen": ("closed", 2), "sharing": ("closed", 1)}
    assert lines(led_by(basis, neck="yes"))["screen"] == ("open", 2)
    assert lines(led_by(basis, neck="yes", glasses="yes"))["screen"] == ("open", 2)
    assert lines(led_by(basis, neck="yes", glasses="no"))["screen"] == ("done", 0)
    assert lines(led_by(basis, neck="no", glasses="no"))["screen"] == ("done", 0)
    assert lines(led_by(basis, neck="no", glasses="yes"))["screen"] == ("closed", 2)
    assert lines(led_by(basis, more="2", shared="3"))["sharing"] == ("done", 0)


def test_opening_one(basis: Basis) -> None:
    """Its questions are asked; what was open stays open, and so does what was told."""
    session = led_by(basis, neck="no", more="none")
    session.open_topic("sharing")
    assert session.asking is not None
    assert session.asking.name == "shared"
    session.open_topic("screen")
    assert session.asking.name == "glasses"
    assert session.now.call.answers[-1].said == "screen, sharing"
    assert lines(session) == {"screen": ("open", 2), "sharing": ("open", 1)}


def test_opening_one_twice_changes_nothing(basis: Basis) -> None:
    """Nor does it take anything back."""
    session = led_by(basis, neck="no")
    session.open_topic("screen")
    before = derived(session.now)
    session.open_topic("screen")
    assert derived(session.now) == before


def test_closing(basis: Basis) -> None:
    """The adviser's answer amended or taken back closes the topic; nothing said is lost."""
    session = led_by(basis, neck="no")
    session.open_topic("screen")
    assert session.offer("yes", AT).taken
    assert session.offer("/opened ?", AT).taken
    assert lines(session)["screen"][0] == "closed"
    assert "glasses" in names(session.now)
    assert "screens" not in names(session.now)


def test_an_adviser_leads_it_to_its_end(basis: Basis) -> None:
    """Every question of an opened topic once, then the rest of the call."""
    session = Session(basis, Call(TODAY, answers=(Answer("neck", "no"),)), AT)
    session.open_topic("screen")
    asked = []
    while session.asking is not None:
        asked.append(session.asking.name)
        assert session.offer({"glasses": "yes"}.get(asked[-1], "?"), AT).taken
    assert asked == ["glasses", "varifocal", "screens", "more", "goodbye"]


def test_a_stop_keeps_what_was_told_past_a_closed_topic(tmp_path: Path) -> None:
    """A stop that was said holds though its answer was amended; what follows stays in sight."""
    stop = "cautions: [{name: ill, level: stop, when: neck, say: Stop.}]\n"
    basis = topical(tmp_path, stop)
    call = call_of([("neck", "yes")]).handle("ill")
    for name, said in (("neck", "no"), ("more", "none"), ("goodbye", "no")):
        call = call.add(Answer(name, said))
    now = state(basis, call)
    assert now.stopped is not None
    assert names(now) == ["neck", "more", "goodbye"]

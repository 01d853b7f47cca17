"""What a simulated call comes to: its length by hand, and its chair against the true body."""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from consult.call.basis import Basis
from consult.call.state import State, with_chair
from consult.content.callers.chance import normal
from consult.content.callers.simulation import (
    OFFER_WORDS,
    CallResult,
    FeaturesKept,
    call_result,
    came_to,
    led_state,
    questions_in,
    seconds_spoken,
)
from consult.fit.workplace import Desk
from consult.paths import trees_folder
from consult.range.model import Range
from consult.range.parts import Kind, Part
from consult.tree.shares import QuestionShares, Shares
from tests.call.calls import question, small, told
from tests.content.callers.people import source, survey
from tests.fit.slow_choose import part, range_of

SIGNS = """
  list: {include: safety, next: stature}
"""
TREE = """
tree: little
title: Little
version: 1
first: FIRST
questions:
  stature: {ask: How tall are you?, coach: C., answer: length, unit: cm, measures: stature,
            next: desk_kind}
  desk_kind: {ask: Which desk?, answer: choice, choices: {fixed: Fixed, none: None},
              sets: desk_kind, next: desk_height}
  desk_height: {ask: How high is it?, coach: Measure it., answer: length, unit: cm,
                sets: desk_height, ask_when: desk_kind == fixed, next: slides}
  slides: {ask: Shall they slide? Or tilt?, answer: yes-no, next: arms}
  arms: {ask: Do you want armrests?, answer: yes-no, next: agreed}
  agreed: {ask: Shall I note it?, answer: choice, sets: agreed, next: bye,
           choices: {recommended: Yes, other: Other parts, none: No}}
  bye: {ask: What else?, answer: text, next: LAST}
  late: {ask: Well?, answer: yes-no, read_by: people, next: consent}
  consent: {ask: May I store it?, answer: yes-no, sets: consent, next: end}
needs:
  - {name: must, when: slides, feature: arms_slide_back, strength: must, source: invented}
  - {name: too, when: slides and desk_kind == none, feature: arms_slide_back, strength: must,
     source: invented}
  - {name: like, when: slides, feature: seat_angle, strength: prefer, source: invented}
  - {name: bare, when: not arms, feature: no_arms, strength: must, source: invented}
"""
SAID = {
    "warning_signs": "none",
    "stature": "170 cm",
    "desk_kind": "none",
    "slides": "no",
    "arms": "yes",
    "agreed": "recommended",
    "bye": "no",
    "late": "no",
    "consent": "yes",
}
ANY_CHAIR = range_of()


@cache
def little(text: str) -> Basis:
    """A tree beside the shipped list of signs; loaded without a range, which is put in later."""
    with TemporaryDirectory() as folder:
        shutil.copy(trees_folder() / "safety.yaml", folder)
        return small(Path(folder), text)


def basis(range_: Range = ANY_CHAIR, *, signs: str = "first") -> Basis:
    """The tree with a range, and with the list of signs first, last or not at all."""
    text = TREE.replace("FIRST", "list" if signs == "first" else "stature")
    text = text.replace("LAST", "list" if signs == "last" else "late")
    if signs != "none":
        goes = "stature" if signs == "first" else "late"
        text = text.replace("questions:\n", f"questions:{SIGNS.replace('stature', goes)}", 1)
    return replace(little(text), range=range_)


@cache
def somebody(**changed: float) -> Mapping[str, float]:
    """The mean woman of the survey, but for what is changed; mm and kg."""
    people = survey()
    mean = people.groups["female"].mean
    return dict(zip(people.order, map(float, mean), strict=True)) | changed


def ended(range_: Range = ANY_CHAIR, *, signs: str = "first", **said: str) -> State:
    """A call to its end; '' leaves a question open."""
    answers = {name: words for name, words in (SAID | said).items() if words}
    return told(basis(range_, signs=signs), **answers)


def result(
    range_: Range = ANY_CHAIR,
    now: State | None = None,
    full: State | None = None,
    *,
    seed: int = 1,
    signs: str = "first",
    body: Mapping[str, float] | None = None,
    **said: str,
) -> CallResult:
    """What a call comes to; led in full it is the same, unless ``full`` is given."""
    now = now or ended(range_, signs=signs, **said)
    there = basis(range_, signs=signs)
    return call_result(there, now, full or now, body or somebody(), "female", seed)


@pytest.mark.parametrize(
    ("ask", "count"),
    [("Is it?", 1), ("Please measure it.", 1), ("Is it? Since when?", 2), ("A? B? C? D.", 3)],
)
def test_questions_by_their_marks(ask: str, count: int) -> None:
    """Each question mark is a question to the caller; a request without one is a question, too."""
    assert questions_in(replace(question("text"), ask=ask)) == count


def test_questions_of_a_call() -> None:
    """Those to the chair end before it is offered; what was not asked does not count."""
    # By hand: the list (no mark counts once), stature, desk, two in "slides", arms; then four more.
    short = result()
    assert (short.to_chair, short.questions) == (6, 10)
    desk = result(desk_kind="fixed", desk_height="73 cm")
    assert (desk.to_chair, desk.questions) == (7, 11)


SPOKEN = """
tree: little
title: Little
version: 1
first: fond
works_out: nothing
questions:
  fond: {ask: Are you fond of it?, answer: yes-no, next: pick}
  pick: {ask: Which one is it?, answer: choice, choices: {red: The red one, blue: Blue}, next: long}
  long: {ask: How long is it, answer: length, unit: cm, coach: "Hold the tape to it, please.",
         read_by: people, next: end}
cautions:
  - {name: hot, level: note, when: fond, say: Take care that it cools., source: invented}
"""


def test_seconds_by_hand(tmp_path: Path) -> None:
    """Words at 150 a minute, an answer by its kind, a tape 45 seconds, and the cautions."""
    there = small(tmp_path, SPOKEN)
    pick = (4 + 4) / 2.5 + 5
    measured = (4 + 6) / 2.5 + 45
    without = told(there, fond="no", pick="red", long="40 cm")
    assert seconds_spoken(without) == pytest.approx(5 / 2.5 + 3 + pick + measured)
    warned = told(there, fond="yes", pick="red", long="40 cm")
    assert seconds_spoken(warned) - seconds_spoken(without) == pytest.approx(5 / 2.5)


def test_the_offer_takes_its_time() -> None:
    """A call with a chair says it; one that has none worked out does not."""
    now = ended()
    assert now.chosen is not None
    silent = replace(now, chosen=None)
    assert seconds_spoken(now) - seconds_spoken(silent) == pytest.approx(OFFER_WORDS / 2.5)
    assert result().seconds == seconds_spoken(now)


LIFT = range_of(part("gas_lift", "LIFT", seat_height=(400.0, 440.0)))
LONG_LEGS = range_of(part("gas_lift", "HIGH", seat_height=(440.0, 900.0)))


def test_the_true_body_decides() -> None:
    """The chair that is chosen by what was told is judged by the body nobody measured."""
    for legs, fits in ((400.0, True), (330.0, False), (520.0, False)):
        found = result(LIFT, body=somebody(popliteal_height=legs))
        assert (found.could_fit, found.fits) == (fits, fits), legs


def test_a_chair_that_another_would_have_beaten() -> None:
    """Somebody whom another chair of the range fits counts, though the one offered does not."""
    both = range_of(
        part("gas_lift", "LIFT", price=5.0, seat_height=(360.0, 460.0)),
        part("gas_lift", "HIGH", price=90.0, seat_height=(470.0, 700.0)),
    )
    found = result(both, body=somebody(popliteal_height=520.0))
    assert (found.could_fit, found.fits) == (True, False)
    assert result(both).fits


def test_the_desk_is_not_where_it_was_read() -> None:
    """A height read off a tape has an error of 5 mm as a rule, the same for the same caller."""
    # Elbows 22 cm above the seat ask for 51 at a desk of 73, where this lift ends.
    lift = part("gas_lift", "LIFT", seat_height=(380.0, 510.0))
    range_ = range_of(lift, part("footrest", "REST", height=(20.0, 250.0)))
    body = somebody(elbow_rest_height=220.0, popliteal_height=430.0)
    now = ended(range_, desk_kind="fixed", desk_height="73 cm")
    errors: dict[bool, list[float]] = {True: [], False: []}
    for seed in range(40):
        fits = result(range_, now, seed=seed, body=body).fits
        errors[fits].append(5.0 * normal(seed, "desk_height", "true"))
        assert result(range_, now, seed=seed, body=body).fits is fits
    # It reaches every desk that is lower than it was read, and none that is higher.
    assert min(errors[False]) - max(errors[True]) > 0
    assert -3 < max(errors[True]) < 3
    assert len(errors[True]) > 5
    assert len(errors[False]) > 5


@pytest.mark.parametrize(
    ("kind", "top", "sd"), [("fixed", 732.0, 18.0), ("adjustable", 660.0, 35.0)]
)
def test_a_desk_nobody_measured_stands_somewhere(kind: str, top: float, sd: float) -> None:
    """A chair that ends where the usual desk just needs it fits half of such callers, not all."""
    lift = part("gas_lift", "LIFT", seat_height=(380.0, top - 220.0))
    range_ = range_of(lift, part("footrest", "REST", height=(20.0, 250.0)))
    body = somebody(elbow_rest_height=220.0, popliteal_height=400.0, thigh_clearance=120.0)
    name = "desk_height" if kind == "fixed" else "desk_lowest"
    now = ended(range_, desk_kind="none")
    now = replace(now, workplace=replace(now.workplace, desk=Desk(kind)))  # type: ignore[arg-type]
    fits = {seed: result(range_, now, seed=seed, body=body).fits for seed in range(30)}
    lower = {seed: sd * normal(seed, name, "true") < 0 for seed in range(30)}
    assert fits == lower
    assert 8 < sum(lower.values()) < 22


def test_a_footrest_is_left_where_the_desk_is_not_known() -> None:
    """At a desk nobody measured the footrest may follow; elsewhere it is on the order."""
    rest = part("footrest", "REST", height=(20.0, 250.0))
    high = part("gas_lift", "HIGH", seat_height=(520.0, 900.0))
    short = somebody(popliteal_height=360.0)
    with_rest = range_of(high, rest)
    later = result(with_rest, desk_kind="?", body=short)
    assert (later.could_fit, later.fits) == (True, True)
    never = result(range_of(high), desk_kind="?", body=short)
    assert (never.could_fit, never.fits) == (False, False)
    # With no desk yet to go by, the chair stands for itself.
    now = ended(with_rest, desk_kind="none")
    assert now.chosen is not None
    best = now.chosen.choice.best
    assert best is not None
    chair: dict[Kind, Part] = {k: one for k, one in best.parts.items() if k != "footrest"}
    bare = replace(now.chosen.choice, best=replace(best, parts=chair))
    found = result(
        with_rest, replace(now, chosen=replace(now.chosen, choice=bare)), now, body=short
    )
    assert (found.could_fit, found.fits) == (True, False)


ARMS = range_of(
    part("arms", "PLAIN", price=5.0),
    part("arms", "SLIDE", price=90.0, features=frozenset({"arms_slide_back"})),
    part("arms", "BARE", price=95.0, height=None, features=frozenset({"no_arms"})),
)


def test_musts_and_preferences_of_the_full_call() -> None:
    """What the full call calls for counts, each feature once, whether the short one heard it."""
    full = ended(ARMS, slides="yes")
    short = result(ARMS, ended(ARMS), full)
    assert (short.musts, short.preferences) == (FeaturesKept(0, 1), FeaturesKept(0, 1))
    heard = result(ARMS, full, full)
    assert (heard.musts, heard.preferences) == (FeaturesKept(1, 1), FeaturesKept(0, 1))
    nothing = result(ARMS, full, ended(ARMS))
    assert (nothing.musts, nothing.preferences) == (FeaturesKept(0, 0), FeaturesKept(0, 0))


def test_a_chair_without_armrests_where_none_are_wanted() -> None:
    """It is no misfit for who wants none, and it is one for everybody else."""
    bare = ended(ARMS, arms="no")
    assert bare.chosen is not None
    assert bare.chosen.picked.parts["arms"].code == "BARE"
    assert result(ARMS, bare, bare).fits
    assert not result(ARMS, bare, ended(ARMS)).fits


def test_the_chair_of_the_full_call() -> None:
    """It is held against the same body; a full call that stops, or has no chair, says nothing."""
    both = range_of(
        part("gas_lift", "LIFT", price=5.0, seat_height=(360.0, 440.0)),
        part("gas_lift", "HIGH", price=90.0, seat_height=(450.0, 700.0)),
    )
    tall = somebody(popliteal_height=500.0)
    better = ended(both, stature="200 cm")
    assert result(both, None, better, body=tall).fits_in_full is True
    assert result(both, better, None, body=tall).fits_in_full is True
    assert result(both, better, ended(both), body=tall).fits_in_full is False
    stopped = with_chair(basis(both), ended(both, warning_signs="stroke"))
    assert result(both, None, stopped).fits_in_full is None
    assert better.chosen is not None
    none = replace(better.chosen, choice=replace(better.chosen.choice, best=None))
    assert result(both, None, replace(better, chosen=none)).fits_in_full is None


@pytest.mark.parametrize(("signs", "heard"), [("first", True), ("last", False), ("none", False)])
def test_signs_heard_before_the_chair(signs: str, heard: bool) -> None:
    """A list that comes after the offer, or never, was not heard in time."""
    assert result(signs=signs).heard_signs is heard


EVERYBODY = Shares(
    unknown=0.0,
    questions={
        "warning_signs": QuestionShares(chances={"none": 100.0}),
        "agreed": QuestionShares(shares={"recommended": 100.0, "other": 0.0, "none": 0.0}),
    },
)


def test_calls_that_come_to_a_chair() -> None:
    """One result of each, led once more in full; whoever wants no chair has none."""
    there, callers = basis(ARMS), source(EVERYBODY)
    now = with_chair(there, led_state(there, callers, 3))
    (found,) = came_to(there, callers, 3, now)
    assert found.questions == sum(questions_in(step.question) for step in now.steps)
    assert found.fits_in_full is not None
    assert found.fits == found.fits_in_full
    assert came_to(there, callers, 3, replace(now, agreed="other")) == [found]
    for agreed in ("none", ""):
        assert came_to(there, callers, 3, replace(now, agreed=agreed)) == []
    assert came_to(there, callers, 3, replace(now, chosen=None)) == []
    assert came_to(replace(there, range=None), callers, 3, now) == []
    stopped = ended(ARMS, warning_signs="stroke")
    assert came_to(there, callers, 3, replace(now, stopped=stopped.stopped)) == []

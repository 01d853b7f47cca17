"""The adviser who does everything right."""

from __future__ import annotations

import ast
import inspect
from datetime import timedelta

import pytest

from consult.body.population import load_population
from consult.practice import model_call
from consult.practice.load import load_persona
from consult.practice.log import Again, Coach, Recommend, Say
from consult.practice.model import LEVELS, Guidance
from consult.practice.model_call import SECONDS, led_exercise
from consult.practice.score import as_it_should_be, score_of
from consult.practice.scoring.evidence import Led
from tests.call.calls import basis_of
from tests.long import LONG
from tests.practice.callers import SHIPPED
from tests.practice.callers_by_hand import HEALTH_SIGNS, LATE_SIGNS, NAMES, caller
from tests.practice.trainees import BEGAN

SELDOM = ("team", "remembers", *LATE_SIGNS)
BY_HAND = NAMES if LONG else [name for name in NAMES if name not in SELDOM]
SEEDS = range(1, 9) if LONG else range(1, 2)


def led(name: str) -> Led:
    """The perfect call with a caller made by hand."""
    basis, persona = caller(name)
    return as_it_should_be(basis, persona, 1, BEGAN.date())


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", BY_HAND)
def test_full_marks_can_be_had_of_callers_made_by_hand(name: str, seed: int) -> None:
    """Led as it should be, no criterion loses a point."""
    basis, persona = caller(name, seed)
    found = score_of(as_it_should_be(basis, persona, seed, BEGAN.date()).log, persona, basis)
    assert found.full, [item for item in found.items if item.got < item.of or item.fails]
    assert found.passed
    assert found.out_of > 0


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("name", NAMES if LONG else ("late_sign", "set_up"))
def test_full_marks_can_be_had_at_every_level(name: str, level: Guidance) -> None:
    """Levels change what the desk shows and the pace that is allowed, and nothing else."""
    basis, persona = caller(name)
    assert score_of(led_exercise(basis, persona, 1, level, BEGAN), persona, basis).full


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", sorted(SHIPPED) if LONG else [])
def test_full_marks_can_be_had_of_every_shipped_caller(name: str, seed: int) -> None:
    """Nobody is practised on who cannot be advised without a fault."""
    one = SHIPPED[name]
    basis = basis_of(one.tree)
    # A seed of its own for each, so that few calls see many bodies.
    seed = 100 * seed + len(name)
    persona, problems = load_persona(one.path, basis.tree, load_population(), seed)
    assert persona is not None, problems
    found = score_of(as_it_should_be(basis, persona, seed, BEGAN.date()).log, persona, basis)
    assert found.full, [item for item in found.items if item.got < item.of or item.fails]


def test_every_level_is_led_alike() -> None:
    """What stands on the desk changes nothing of what a perfect adviser says."""
    basis, persona = caller("in_passing")
    turns = [led_exercise(basis, persona, 1, level, BEGAN).turns for level in LEVELS]
    assert turns[0] == turns[1] == turns[2]


def test_the_same_call_comes_out_the_same() -> None:
    """Same caller, seed and time, same log."""
    basis, persona = caller("emergency")
    assert led_exercise(basis, persona, 1, "unaided", BEGAN) == led_exercise(
        basis, persona, 1, "unaided", BEGAN
    )


@pytest.mark.parametrize("name", HEALTH_SIGNS)
def test_signs_end_or_turn_the_call(name: str) -> None:
    """Every sign that the tree knows is found, said, and a stop respected."""
    turns = led(name).log.turns
    said = [at for at, turn in enumerate(turns) if isinstance(turn.act, Say)]
    assert said
    if any(isinstance(act := turns[at].act, Say) and act.level == "stop" for at in said):
        assert not any(isinstance(turn.act, (Coach, Recommend)) for turn in turns[said[0] :])


def test_a_sign_of_a_topic_comes_out_after_the_chair() -> None:
    """What the caller tells of an ache that was gone through at the end stops the call then, and
    the chair that was named before is marked as it would be without."""
    basis, persona = caller("late_sign")
    found = score_of(led("late_sign").log, persona, basis)
    turns = led("late_sign").log.turns
    named = next(at for at, turn in enumerate(turns) if isinstance(turn.act, Recommend))
    stopped = next(at for at, turn in enumerate(turns) if isinstance(turn.act, Say))
    assert named < stopped
    assert [(item.got, item.of) for item in found.of("chair")] == [(15, 15)]


@pytest.mark.parametrize(
    ("name", "remark"), [("in_passing", "legs_give_way"), ("denies", "legs_tingle")]
)
def test_a_sign_in_passing_is_acted_on_at_once(name: str, remark: str) -> None:
    """The very next act after the remark says the stop, also where the list was denied before."""
    turns = led(name).log.turns
    at = next(at for at, turn in enumerate(turns) if remark in turn.shown)
    before = [turn.tells["warning_signs"] for turn in turns[:at] if turn.about == "warning_signs"]
    assert before == (["none"] if name == "denies" else [])
    act = turns[at + 1].act
    assert isinstance(act, Say)
    assert act.level == "stop"


def test_a_sign_that_contradicts_an_answer_is_asked_about() -> None:
    """Nobody is sent to hospital for a slip of the tongue: the answer is had once more first."""
    turns = led("muddles").log.turns
    at = next(at for at, turn in enumerate(turns) if "both_after_all" in turn.shown)
    assert turns[at + 1].act == Again("lower_back_runs")
    assert not any(isinstance(turn.act, Say) for turn in turns)


def test_measures_are_coached_and_contradictions_asked_about() -> None:
    """Wrong figures never come up, and a remark that speaks against an answer is settled."""
    turns = led("wrong_everywhere").log.turns
    desk = next(turn for turn in turns if turn.about == "desk_height")
    assert isinstance(desk.act, Coach)
    assert not desk.shown
    remark = next(turn for turn in turns if "other_height" in turn.shown)
    assert any(t.act == Again("desk_kind") and t.number > remark.number for t in turns)


def test_a_fact_told_early_is_not_asked_for() -> None:
    """What a plain remark answered is entered and not asked again."""
    found = led("wrong_everywhere")
    assert "floor" not in found.asked
    assert "floor" in found.state.call.latest()


def test_no_chair_is_named_where_nothing_is_worked_out() -> None:
    """Trees that look back at a chair recommend none; the main tree does so once."""
    assert led("follow_up").log.recommended is None
    assert sum(isinstance(t.act, Recommend) for t in led("plain").log.turns) == 1


def test_a_refusal_of_consent_is_kept() -> None:
    """Somebody who said no hears the list of warning signs, and is asked nothing else of health."""
    found = led("says_no_first")
    questions = caller("says_no_first")[0].tree.questions
    assert "consent" in found.asked
    health = [name for name in found.asked if questions[name].private == "health"]
    assert health == ["warning_signs"]


def test_time_moves_on_evenly() -> None:
    """Times are the caller's of the function, not a clock's."""
    log = led("child").log
    assert log.closed is not None
    assert log.closed - log.began >= timedelta(seconds=SECONDS * len(log.turns))


def test_the_truth_is_not_looked_at() -> None:
    """The source reads neither the true answers, the body nor the careful readings."""
    tree = ast.parse(inspect.getsource(model_call))
    read = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
    assert not read & {"truth", "true", "body", "measured", "listed"}

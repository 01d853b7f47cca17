"""The callers and words that come with the program."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.call.understand import is_unknown, understand
from consult.practice.load import practice_problems
from consult.practice.log import Say
from consult.practice.model import OPENING, STOP
from consult.practice.speech import reply
from consult.units import Unclear
from tests.call.calls import TODAY, basis_of
from tests.long import LONG, every_case
from tests.practice.callers import CALLERS, SHIPPED, begun, listen, shipped

SEEDS = range(1, 13 if LONG else 2)


@every_case(sorted(CALLERS.glob("*.yaml")))
def test_every_file_is_sound(file: Path) -> None:
    """Nothing is wrong with any file of the shipped practice folder."""
    assert practice_problems(file) == []


@every_case(SHIPPED)
def test_files_are_called_as_their_callers(name: str) -> None:
    """A caller is found by the name of its file."""
    assert SHIPPED[name].path.stem == name


@every_case(sorted({one.tree: name for name, one in SHIPPED.items()}.values()))
def test_no_words_are_taken_for_another_answer(name: str) -> None:
    """What callers say, typed as it is: the right answer or none, and nothing wrong about health.

    Of all the choices that are proposed, at least nine in ten are those that were meant.
    """
    persona, proposed = shipped(name, 1), list[bool]()
    assert persona.ways is not None
    for asked, of_choice in persona.ways.answers.items():
        question = persona.questions.get(asked)
        if question is None or question.answer not in ("choice", "choices", "yes-no"):
            continue
        for choice, said in ((c, words) for c, phrases in of_choice.items() for words in phrases):
            try:
                heard = understand(question, said, TODAY).value
            except Unclear as unclear:
                offered = [understand(question, one.said, TODAY).value for one in unclear.proposals]
                right = any(choice == one or {choice} == one for one in offered)
                assert right or not offered or question.private != "health", said
                proposed += [right] if offered else []
            else:
                meant = {"yes": True, "no": False, "?": None}.get(choice, choice)
                assert heard in (meant, {choice}), f"{asked}: {said}"
    assert sum(proposed) >= 0.9 * len(proposed)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", SHIPPED)
def test_what_a_careful_listener_enters_is_taken(name: str, seed: int) -> None:
    """Whatever a caller tells, entered as heard, the desk takes; then the call comes to its end."""
    persona = shipped(name, seed)
    exercise = begun(basis_of(SHIPPED[name].tree), persona, seed)
    assert listen(exercise) == []
    assert exercise.session.asking is None
    assert not exercise.session.now.to_say


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", SHIPPED)
def test_signs_said_in_passing_are_true_when_the_list_is_read(name: str, seed: int) -> None:
    """Whoever mentions a sign says so again when asked, also who said no to the list before."""
    persona = shipped(name, seed)
    for one in persona.behaviours:
        if one.kind == "sign_in_passing":
            question = persona.questions[one.about]
            exercise = begun(basis_of(SHIPPED[name].tree), persona, seed)
            asked = exercise.ask(one.about)
            if one.about not in asked.tells:
                asked = exercise.again(one.about)
            at_first = asked.tells[one.about]
            assert (at_first == "none") == one.denied_first
            assert one.name in exercise.ask(one.at).shown
            heard = exercise.ask(one.about).tells[one.about]
            said = understand(question, heard, TODAY).value
            mentioned = understand(question, one.answer, TODAY).value
            if isinstance(said, frozenset) and isinstance(mentioned, frozenset):
                assert mentioned <= said
            else:
                assert said == mentioned


@every_case(SHIPPED)
def test_every_behaviour_can_show(name: str) -> None:
    """Asked everything, and again what was not answered, a caller shows every behaviour."""
    persona = shipped(name, 1)
    exercise = begun(basis_of(SHIPPED[name].tree), persona)
    shown = set(exercise.opening().shown)
    shown.update(
        reply(persona, 1, exercise.turns, Say("any", "stop", "I have to stop here.")).shown
    )
    for question in persona.questions:
        turn = exercise.ask(question)
        shown.update(turn.shown)
        if question not in turn.tells:
            shown.update(exercise.again(question).shown)
    expected = {one.name for one in persona.behaviours}
    for one in persona.behaviours:
        at = one.at if one.at not in (OPENING, STOP) else ""
        withheld = any(
            other.at == at and other is not one and other.kind in ("vague", "hurry")
            for other in persona.behaviours
            if at
        )
        if (at and is_unknown(persona.truth[at])) or withheld:
            expected.discard(one.name)
    assert expected <= shown

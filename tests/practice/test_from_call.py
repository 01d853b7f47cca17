"""An exercise made from a real call, and the proof that nothing personal is left in it."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.body.population import Population
from consult.call.basis import Basis
from consult.call.call import CAME, ODDS, Answer, Call
from consult.call.closing_lines import ChairOutcome, MeasuredAgain, StatedOdds
from consult.call.transcript import load_transcript
from consult.paths import demo_folder
from consult.practice.from_call import ExerciseRefused, exercise_from_call
from consult.practice.load import load_persona
from consult.practice.model import Persona
from tests.call.calls import HOSTILE, basis_of
from tests.long import examples
from tests.practice.callers import begun, listen, little, survey

DAY = date(2026, 11, 25)
NAME = "case_a"


@cache
def demo(number: str) -> tuple[Call, Basis]:
    """An invented call of the demo folder and what it was led with."""
    (path,) = demo_folder().glob(f"{number}_*.yaml")
    transcript, _ = load_transcript(path)
    assert transcript is not None
    return transcript.call, basis_of(transcript.tree)


def made(call: Call, basis: Basis, seed: int = 1, *, health: bool = True) -> str:
    return exercise_from_call(
        call,
        basis,
        name=NAME,
        seed=seed,
        caller_agreed=call.today,
        agreed_by="Trainer",
        health=health,
    )


def persona_of(text: str, basis: Basis, folder: Path, population: Population) -> Persona:
    path = folder / f"{NAME}.yaml"
    path.write_text(text, "utf-8")
    persona, problems = load_persona(path, basis.tree, population, 1)
    assert persona is not None, problems
    return persona


def test_choices_stay_and_everything_personal_goes() -> None:
    """What was chosen is kept by name; names, contacts, dates, notes and free text are not."""
    call, basis = demo("01")
    text = made(call, basis)
    assert 'desk_kind: "fixed"' in text
    assert 'reasons: ["feet_dangle"' in text
    names = ("caller_name", "delivery_address", "follow_up", "budget")
    for gone in ("Ada", "Fenwick", "Marlhaven", "example", "2026", "door", *names):
        assert gone.casefold() not in text.casefold()


@pytest.mark.parametrize("number", ["01", "06", "14", "22", "31", "36", "55"])
def test_a_real_call_can_be_practised(number: str, tmp_path: Path) -> None:
    """The file loads as a caller, and the call can be led to its end with the same choices."""
    call, basis = demo(number)
    persona = persona_of(made(call, basis), basis, tmp_path, survey())
    exercise = begun(basis, persona)
    # An unusual caller stays unusual: the desk asks to have such a figure measured again.
    assert all("If it was measured again and is right" in one for one in listen(exercise))
    assert exercise.session.asking is None


def test_figures_are_moved_and_rounded() -> None:
    """Every figure differs from what was said, by little, and ends on half a centimetre."""
    call, basis = demo("01")
    figures = dict(re.findall(r'  (\w+): "([\d.]+) (?:cm|kg)"', made(call, basis)))
    # As said, by hand: 5 ft 2, 46 cm, 30 in; 9 st 4.
    said = {
        "stature": 157.5,
        "buttock_popliteal_length": 46.0,
        "desk_height": 76.2,
        "weight": 59.0,
    }
    for name, value in said.items():
        moved = float(figures[name])
        assert moved * 2 == round(moved * 2)
        assert moved != value
        assert abs(moved - value) < 5


def test_the_seed_and_the_call_move_the_figures() -> None:
    """Same seed, same file; another seed or another call moves otherwise."""
    call, basis = demo("06")
    assert made(call, basis) == made(call, basis)
    assert len({made(call, basis, seed) for seed in range(4)}) > 1


def test_health_is_kept_only_with_consent() -> None:
    """Without a yes, after a no, or where the trainer leaves it out, nothing of health stays."""
    call, basis = demo("06")
    health = {name for name, one in basis.tree.questions.items() if one.private == "health"}

    def kept(text: str) -> set[str]:
        return {name for name in health if f"  {name}:" in text}

    assert kept(made(call, basis))
    assert not kept(made(call, basis, health=False))
    refused = call.add(Answer("consent", "no"))
    assert not kept(made(refused, basis))
    assert 'consent: "no"' in made(refused, basis)
    assert "warning_signs" in refused.latest()
    never = replace(call, answers=tuple(a for a in call.answers if a.question != "consent"))
    assert not kept(made(never, basis))


def test_a_measure_said_wrongly_at_first_becomes_a_behaviour(tmp_path: Path) -> None:
    """The caller of the exercise errs where the real one did, by about as much."""
    call, basis = demo("01")
    persona = persona_of(made(call, basis), basis, tmp_path, survey())
    (one,) = persona.behaviours
    assert (one.kind, one.at, one.off) == ("wrong_tape", "stature", 25.0)


def test_a_trainer_has_to_agree() -> None:
    """Without somebody's yes no exercise is made, and whose it was is not in the file."""
    call, basis = demo("01")
    with pytest.raises(ExerciseRefused, match="trainer must agree"):
        exercise_from_call(call, basis, name=NAME, seed=1, caller_agreed=DAY, agreed_by=" ")
    with pytest.raises(ExerciseRefused, match="who agreed"):
        exercise_from_call(
            call, basis, name="by_mabel", seed=1, caller_agreed=DAY, agreed_by="Mabel Sykes"
        )
    assert "Trainer" not in made(call, basis)


def test_the_caller_has_to_agree_to_training() -> None:
    """Consent to advice is no consent to training: it is asked for by itself, after the call."""
    call, basis = demo("03")
    assert call.latest()["consent"].said == "yes"
    with pytest.raises(ExerciseRefused, match="must agree to training use"):
        exercise_from_call(call, basis, name=NAME, seed=1, caller_agreed=None, agreed_by="Trainer")
    before = call.today - timedelta(days=1)
    with pytest.raises(ExerciseRefused, match="cannot have agreed before"):
        exercise_from_call(
            call, basis, name=NAME, seed=1, caller_agreed=before, agreed_by="Trainer"
        )


@pytest.mark.parametrize("name", ["", "Case", "a b", "../x", "1st", "x" * 61, "caf\u00e9"])
def test_a_name_that_no_file_should_have_is_refused(name: str) -> None:
    """Only plain names."""
    call, basis = demo("01")
    with pytest.raises(ExerciseRefused, match="small letters"):
        exercise_from_call(call, basis, name=name, seed=1, caller_agreed=DAY, agreed_by="Trainer")


def test_a_name_out_of_the_call_is_refused() -> None:
    """Nobody's surname becomes the name of an exercise."""
    call, basis = demo("01")
    with pytest.raises(ExerciseRefused, match="fenwick"):
        exercise_from_call(
            call, basis, name="mrs_fenwick", seed=1, caller_agreed=DAY, agreed_by="Trainer"
        )


def test_an_empty_call_is_refused() -> None:
    """There has to be something to practise on."""
    with pytest.raises(ExerciseRefused, match="no answers to practise"):
        made(Call(DAY), basis_of("seating"))


def named(name: str, call: Call, basis: Basis) -> str:
    return exercise_from_call(
        call, basis, name=name, seed=1, caller_agreed=DAY, agreed_by="Trainer"
    )


def test_a_figure_out_of_the_call_is_no_name() -> None:
    """As it was said, and in another unit: 46 cm is 460 mm."""
    call, basis = demo("01")
    for name in ("case_46", "case_460"):
        with pytest.raises(ExerciseRefused, match="number 46"):
            named(name, call, basis)
    assert named("case_9", call, basis)


def test_what_a_call_left_for_later_is_not_what_the_caller_said() -> None:
    """The words of its odds and of what came of the chair are ours; a measure in them is not."""
    call, basis = demo("01")
    odds = StatedOdds(0.98, 33, ("SEAT-M",), 540).text
    came = ChairOutcome(
        "7K3-M2Q", "adjusted", again={"popliteal_height": MeasuredAgain("told", 391, 383)}
    )
    then = call.add(Answer(ODDS, odds)).add(Answer(CAME, came.text))
    assert named("adjusted_540", then, basis)
    with pytest.raises(ExerciseRefused, match="383"):
        named("case_383", then, basis)


def test_the_tree_may_say_what_the_caller_said_too() -> None:
    """A word of the tree's own may be in a name, but not where it is somebody's name."""
    call, basis = demo("01")
    assert named("armrests", call.add(Answer("request", "armrests, please")), basis)
    with pytest.raises(ExerciseRefused, match="caller_name"):
        named("armrests", call.add(Answer("caller_name", "Mr Armrests")), basis)
    with pytest.raises(ExerciseRefused, match="note on request"):
        named("zebra", call.add(Answer("request", "a chair", note="Zebra on the phone")), basis)


_NASTY = st.one_of(
    st.sampled_from(HOSTILE),
    st.sampled_from(
        [
            "Neck",
            "lower_back",
            "truth: fixed",
            "The chair, read out",
            "\N{FAMILY}\N{SLIGHTLY SMILING FACE}",
            "\u05e9\u05dc\u05d5\u05dd \u202eabc",
            "[bold]Ann[/bold]",
            "07700 900123",
            "38.5 76.5 158.0",
            " ".join(f"{number / 2:.1f}" for number in range(20, 400)),
            "\u0663\u0668",
            "9" * 10_000,
        ]
    ),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=60),
)


@given(
    texts=st.dictionaries(
        st.sampled_from(
            ["caller_name", "request", "agreed_parts", "caller_contact", "lower_leg", "reasons"]
        ),
        _NASTY,
        max_size=4,
    ),
    note=_NASTY,
    lifted=_NASTY,
    seed=st.integers(0, 9),
)
@settings(max_examples=examples(40), deadline=None)
def test_nothing_personal_is_left_whatever_was_said(
    texts: dict[str, str], note: str, lifted: str, seed: int
) -> None:
    """Hostile texts anywhere in a call leave no word, number or sign, and break no file."""
    call, basis = demo("01")
    for question, said in texts.items():
        call = call.add(Answer(question, said, note=note, at=datetime(2026, 11, 25, 9)))
    call = call.handle("one_person_at_a_time", lifted=lifted)
    try:
        text = made(call, basis, seed)
    except ExerciseRefused as refused:
        # Whoever says "case" or "a" cannot have an exercise of that name; nothing else refuses.
        if "Choose another" not in str(refused):
            raise
        return
    # The file is made of these signs and of these names alone.
    assert re.fullmatch(r"[A-Za-z0-9_:.,\[\]\"? \n-]*", text)
    names = {
        NAME,
        *basis.tree.questions,
        *(c for q in basis.tree.questions.values() for c in q.choices),
    }
    values = re.findall(r'"([^"]*)"', text.partition("truth:\n")[2].partition("behaviours:")[0])
    for value in values:
        assert value in names | {"yes", "no", "?"} or re.fullmatch(r"\d+(\.\d (cm|kg))?", value)


def test_what_was_made_of_hostile_texts_loads(tmp_path: Path) -> None:
    """The worst texts at once still give a caller that can be played."""
    call, basis = demo("03")
    for said in HOSTILE:
        call = call.add(Answer("caller_name", said, note=said)).add(Answer("request", said))
    persona = persona_of(made(call, basis), basis, tmp_path, survey())
    exercise = begun(basis, persona)
    listen(exercise)
    assert exercise.session.asking is None


def test_every_figure_said_leaves_none(tmp_path: Path) -> None:
    """Where every near figure was said in the call, the measure is left out, not repeated."""
    basis, _ = little(tmp_path)
    said = " ".join(f"{number / 2:.1f}" for number in range(20, 420))
    answers = (Answer("name", said), Answer("stature", "161 cm"), Answer("heel", "2 cm"))
    text = made(Call(DAY, answers=answers), basis)
    assert "stature" not in text
    assert 'heel: "2.0 cm"' in text

"""What the adviser types, as a value of the question's kind."""

from __future__ import annotations

from contextlib import suppress
from datetime import date

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from consult.call.understand import UNKNOWN_WORDS, Understood, is_unknown, understand
from consult.tree.model import Question
from consult.units import Unclear
from tests.call.calls import HOSTILE, TODAY, question, seating
from tests.long import every_case

PAIN = question(
    "choices",
    choices={
        "none": "Nowhere",
        "neck": "Neck",
        "upper_back": "Upper back, between the blades",
        "lower_back": "Lower back",
        "legs": "Thighs and calves",
    },
    exclusive="none",
)
DESK = question(
    "choice",
    choices={
        "fixed": "Fixed height",
        "adjustable": "Height can be changed",
        "fixed_low": "Fixed and low",
        "none": "No desk yet",
    },
)


def value(asked: Question, said: str) -> object:
    return understand(asked, said, TODAY).value


def unclear(asked: Question, said: str) -> str:
    with pytest.raises(Unclear) as caught:
        understand(asked, said, TODAY)
    return str(caught.value)


@every_case(
    [
        ("2", "adjustable"),
        (" 4 ", "none"),
        ("adjustable", "adjustable"),
        ("ADJUSTABLE", "adjustable"),
        ("fixed_low", "fixed_low"),
        ("fixed low", "fixed_low"),
        ("Height can be changed.", "adjustable"),
        ("height", "adjustable"),
        ("no d", "none"),
        ("fixed h", "fixed"),
        ("fixed", "fixed"),
        ("٢", "adjustable"),
    ]
)
def test_one_choice(said: str, name: str) -> None:
    """A choice is taken by number, name, label or the first letters that only one has."""
    assert value(DESK, said) == name


@pytest.mark.parametrize(
    ("said", "name"),
    [("no", "fixed"), ("n", "fixed"), ("no desk yet", "none"), ("yes", "adjustable")],
)
def test_a_plain_no_to_the_desk(said: str, name: str) -> None:
    """Callers say "no" when their desk cannot be moved; no name that begins so is in the way."""
    assert value(seating().tree.questions["desk_kind"], said) == name


@pytest.mark.parametrize("name", ["caller_contact", "delivery_address"])
@pytest.mark.parametrize("said", ["yes", "No", "y", "no thanks"])
def test_yes_is_no_address(name: str, said: str) -> None:
    """What a summary or a chair is sent to is never a yes or a no; other texts may be."""
    asked = seating().tree.questions[name]
    assert unclear(asked, said).startswith("What exactly did the caller say?")
    assert value(asked, "Noah Yes, 12 No Street") == "Noah Yes, 12 No Street"
    assert value(question("text"), said) == said


def test_ambiguous_letters_are_asked_back() -> None:
    """Letters that begin two labels bring both labels back, to choose from."""
    asked = unclear(DESK, "fix")
    assert "Fixed height or Fixed and low" in asked


@pytest.mark.parametrize("said", ["0", "5", "99999", "²", "-1", "1.5", "banana", ",", "!"])
def test_no_such_choice(said: str) -> None:
    """A number or word that is none of the answers is asked back, with how to answer."""
    assert "not one of the answers" in unclear(DESK, said)


def test_a_near_miss_names_the_nearest() -> None:
    """A slip of the finger is answered with the label that was probably meant."""
    assert "Did they say Height can be changed?" in unclear(DESK, "heigth can be changed")


def test_two_where_one_can_be_chosen() -> None:
    """Two answers to a question for one are asked back as such."""
    assert "Only one" in unclear(DESK, "1 and 2")


@every_case(
    [
        ("2", {"neck"}),
        ("2, 4", {"neck", "lower_back"}),
        ("2 4 5", {"neck", "lower_back", "legs"}),
        ("neck and lower back", {"neck", "lower_back"}),
        ("neck AND low", {"neck", "lower_back"}),
        ("neck; low & upper", {"neck", "lower_back", "upper_back"}),
        ("neck\nlow", {"neck", "lower_back"}),
        ("neck, neck", {"neck"}),
        ("thighs and calves", {"legs"}),
        ("Upper back, between the blades", {"upper_back"}),
        ("nowhere", {"none"}),
        ("now", {"none"}),
    ]
)
def test_several_choices(said: str, names: set[str]) -> None:
    """Several may be given, however they are joined; a label with a comma is still one label."""
    assert value(PAIN, said) == names


def test_the_exclusive_choice_stands_alone() -> None:
    """'Nowhere' beside a place is asked back, never silently dropped."""
    assert "Nowhere" in unclear(PAIN, "1, 2")


def test_one_bad_part_spoils_the_answer() -> None:
    """Where one of several cannot be read, none is taken, and the bad one is named."""
    assert "elbwo" in unclear(PAIN, "neck, elbwo")


@pytest.mark.parametrize(
    "said", [*sorted(UNKNOWN_WORDS), "Don’t know.", "  NOT  SURE ", "Unknown!"]
)
@pytest.mark.parametrize("kind", ["text", "date", "count", "yes-no"])
def test_not_known(said: str, kind: str) -> None:
    """Every way to say that the caller does not know is an answer, to every kind of question."""
    assert is_unknown(said)
    assert understand(question(kind), said, TODAY) == Understood(None)


def test_not_known_refused() -> None:
    """Where an answer is needed, 'not known' is asked back."""
    asked = unclear(question("yes-no", unknown_allowed=False), "dunno")
    assert "cannot continue without" in asked


@pytest.mark.parametrize("kind", ["length", "mass", "count", "choice", "choices", "yes-no", "date"])
def test_nothing_typed(kind: str) -> None:
    """An empty line is no answer, save to a question for free text."""
    more = {"choices": {"one": "One"}} if kind.startswith("choice") else {}
    assert "Nothing was typed" in unclear(question(kind, **more), "  ")
    assert value(question("text"), "") == ""


@every_case(
    [
        ("8", 8),
        ("8 hours a day", 8),
        ("8h", 8),
        ("7.5hrs", 7.5),
        ("7 and a half hours", 7.5),
        ("six to eight hours, on most days", 7),
        ("3 people", 3),
        ("£500", 500),
        ("500 pounds", 500),
        ("about 500 quid", 500),
        ("1,200 euros", 1200),
    ]
)
def test_count(said: str, count: float) -> None:
    """What is counted may be said with the number."""
    assert value(question("count", expect=(2.0, 3000.0)), said) == count


def test_count_that_says_no_number() -> None:
    """'All day' is no number; the question back repeats nothing but asks how much."""
    assert "no number" in unclear(question("count"), "hours")


def test_lengths_and_masses_come_in_mm_and_kg() -> None:
    """A bare number is in the question's unit; any other unit may be said."""
    leg = question("length", unit="cm", expect=(320.0, 520.0))
    assert value(leg, "41") == pytest.approx(410)
    assert value(leg, "16 in") == pytest.approx(406.4)
    assert understand(leg, "about 41 cm", TODAY).spread == 10
    mass = question("mass", unit="kg", expect=(40.0, 160.0))
    assert value(mass, "9st 4") == pytest.approx(130 * 0.45359237)


@pytest.mark.parametrize("said", ["y", "Yes", "yes, of course", "OK", "sure.", "yeah go on"])
def test_yes(said: str) -> None:
    """A plain yes, with or without more words."""
    assert value(question("yes-no"), said) is True


@pytest.mark.parametrize("said", ["n", "No", "no thanks", "nope.", "never", "no, that's right"])
def test_no(said: str) -> None:
    """A plain no, with or without more words."""
    assert value(question("yes-no"), said) is False


@every_case(
    [
        ",",
        "...",
        "maybe",
        "no arms, casters for hard floor",
        "no idea about that",
        "ok no",
        "sure, but not that",
        "yes, though I don't like it",
        "y/n",
        "no, I do",
        "yes, I won't",
    ]
)
def test_neither_yes_nor_no(said: str) -> None:
    """Anything less than a clear yes or no is asked back: consent hangs on it."""
    assert "Yes or no" in unclear(question("yes-no"), said)


def test_dates() -> None:
    """A date counts from the day of the call."""
    assert value(question("date"), "in a week") == date(2026, 12, 2)


@every_case(HOSTILE)
def test_text_is_kept_exactly(said: str) -> None:
    """Free text is the caller's own, to the last space, 10,000 characters and more."""
    assert value(question("text"), said) == said


def test_text_without_end_is_asked_back() -> None:
    """There is a limit, so that nothing pasted by mistake swamps the call."""
    assert "20,000" in unclear(question("text"), "x" * 20_001)


@pytest.mark.parametrize("answer", sorted({q.answer for q in seating().tree.questions.values()}))
def test_long_answers_are_taken_or_asked_back(answer: str) -> None:
    """Ten thousand characters pasted into any question raise nothing but a question back."""
    asked = next(q for q in seating().tree.questions.values() if q.answer == answer)
    texts = ("8" + " " * 10_000 + "x", "1," * 5_000, "and " * 2_500, "h" * 10_000, "9" * 10_000)
    for text in texts:
        with suppress(Unclear):
            understand(asked, text, TODAY)


texts = (
    st.text(max_size=60)
    | st.text(alphabet="0123456789 .,/'\"½²-–?!and hdmcft", max_size=30)
    | st.sampled_from(HOSTILE)
)


@given(said=texts, asked=st.sampled_from(list(seating().tree.questions.values())))
def test_any_text_is_understood_or_asked_back(said: str, asked: Question) -> None:
    """Whatever is typed to any question of the tree is a value or a question back in words."""
    asked_back, heard = "", None
    try:
        heard = understand(asked, said, TODAY).value
    except Unclear as back:
        asked_back = str(back)
        event("asked back")
    assert asked_back.strip() or not isinstance(heard, (str, frozenset)) or _belongs(asked, heard)


def _belongs(asked: Question, heard: str | frozenset[str]) -> bool:
    if isinstance(heard, frozenset):
        return bool(heard) and heard <= asked.choices.keys()
    return asked.answer == "text" or heard in asked.choices


def test_the_same_words_mean_what_this_question_and_this_day_make_of_them() -> None:
    """What was understood before is never taken for the answer to something else."""
    said = "in 3 days"
    asked = question("date")
    first, second = (understand(asked, said, date(2026, 11, day)).value for day in (1, 2))
    assert (first, second) == (date(2026, 11, 4), date(2026, 11, 5))
    assert understand(question("text"), said, TODAY).value == said

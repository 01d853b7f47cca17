"""What simulated callers say to one question."""

from __future__ import annotations

import math
from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.call.understand import understand
from consult.content.callers.chance import rounded
from consult.content.callers.says import SAYS_NOT_KNOWN, says
from consult.tree.shares import Amount, QuestionShares, Shares, chances_of, load_shares, weights_of
from tests.call.calls import TODAY, question, seating
from tests.content.callers.people import FILE, anybody, caller, near, said, survey

MANY = 3000
LEG = question("length", unit="cm", measures="popliteal_height", expect=(320.0, 520.0))
TALL = question("length", unit="cm", measures="stature", expect=(1400.0, 2050.0))
DESK = question("length", unit="cm", sets="desk_height", expect=(600.0, 950.0))
THREE = {"one": "The first", "two": "The second", "three": "The third"}


def number_in(text: str) -> float:
    """The number a caller said."""
    return float(text.split()[0])


def test_a_measure_is_the_body_with_the_error_people_make() -> None:
    """Mean error 0 and SD 15 mm of the population file (from memory there), plus the rounding."""
    errors = []
    for number in range(1, MANY + 1):
        heard = number_in(said(LEG, number)) * 10
        errors.append(heard - anybody(number).body["popliteal_height"])
    sd = math.hypot(survey().measurement_sd("popliteal_height"), 5 / math.sqrt(12))
    assert abs(np.mean(errors)) <= 4 * sd / math.sqrt(MANY)
    assert abs(np.std(errors) - sd) <= 4 * sd / math.sqrt(2 * MANY)


def test_a_remembered_stature_is_overstated() -> None:
    """By what the population file says, and with its SD; a measured one is not."""
    remembered: list[float] = []
    measured: list[float] = []
    shares = Shares(remembered=50.0, unknown=0.0)
    for number in range(1, MANY + 1):
        who = caller(number, shares)
        heard = number_in(says(TALL, who, survey(), shares, "asked")) * 10
        (remembered if who.remembers else measured).append(heard - who.body["stature"])
    bias, sd = survey().remembered_bias, survey().remembered_sd
    assert bias is not None
    assert sd is not None
    assert abs(np.mean(remembered) - bias) <= 4 * sd / math.sqrt(len(remembered))
    own = survey().measurement_sd("stature")
    assert abs(np.mean(measured)) <= 4 * (own + 1) / math.sqrt(len(measured))


def test_who_remembers_says_so() -> None:
    """The answer about the origin of a stature is true."""
    origin = question(
        "choice", sets="stature_origin", choices={"measured": "Measured", "remembered": "Recalled"}
    )
    for number in range(1, 200):
        true = "remembered" if anybody(number).remembers else "measured"
        assert said(origin, number) == true


def test_the_sex_that_is_said_is_the_true_one_or_none() -> None:
    """A stated share would rather not say; nobody says the other."""
    sex = question(
        "choice", sets="sex", choices={"female": "Women's", "male": "Men's", "either": "Both"}
    )
    told = [
        said(sex, number, QuestionShares(shares={"either": 10.0})) for number in range(1, MANY + 1)
    ]
    assert near(told.count("either"), 0.1, MANY)
    for number, word in enumerate(told, 1):
        assert word in ("either", anybody(number).sex)


def test_shares_of_a_choice_are_met() -> None:
    """Within the error of counting, and all three evenly where nothing is stated."""
    asked = question("choice", choices=THREE)
    entry = QuestionShares(shares={"one": 70.0, "two": 25.0, "three": 5.0})
    found = Counter(said(asked, number, entry) for number in range(MANY))
    assert all(near(found[name], share / 100, MANY) for name, share in entry.shares.items())
    even = Counter(said(asked, number) for number in range(MANY))
    assert all(near(even[name], 1 / 3, MANY) for name in THREE)


def test_shares_of_yes_and_no_are_met() -> None:
    """85 of 100 say yes."""
    asked, entry = question("yes-no"), QuestionShares(shares={"yes": 85.0, "no": 15.0})
    found = Counter(said(asked, number, entry) for number in range(MANY))
    assert near(found["yes"], 0.85, MANY)
    assert found.keys() == {"yes", "no"}


def test_chances_of_several_choices_are_met() -> None:
    """Each as often as stated; the exclusive one stands alone."""
    asked = question("choices", choices={"none": "None", **THREE}, exclusive="none")
    entry = QuestionShares(chances={"none": 40.0, "one": 40.0, "two": 30.0, "three": 4.0})
    told = [set(said(asked, number, entry).split(", ")) for number in range(MANY)]
    for name, share in entry.chances.items():
        assert near(sum(name in one for one in told), share / 100, MANY)
    assert all(one == {"none"} for one in told if "none" in one)


def test_those_who_do_not_know() -> None:
    """As many as the entry says, none where the question has to be answered, else by default."""
    told = [said(LEG, number, QuestionShares(unknown=15.0)) for number in range(MANY)]
    assert near(told.count(SAYS_NOT_KNOWN), 0.15, MANY)
    needed = question("choice", choices=THREE, unknown_allowed=False)
    assert SAYS_NOT_KNOWN not in {
        said(needed, number, QuestionShares(unknown=90.0)) for number in range(200)
    }
    shares = Shares()
    found = [says(LEG, anybody(n), survey(), shares, "asked") for n in range(MANY)]
    assert near(found.count(SAYS_NOT_KNOWN), 0.05, MANY)


def test_a_length_not_of_the_body() -> None:
    """Mean and spread as stated, to half a centimetre."""
    entry = QuestionShares(mean=Amount("length", 735.0, 735.0), spread=Amount("length", 25.0, 25.0))
    heard = [number_in(said(DESK, number, entry)) * 10 for number in range(MANY)]
    assert abs(np.mean(heard) - 735) <= 4 * 25 / math.sqrt(MANY)
    assert abs(np.std(heard) - math.hypot(25, 5 / math.sqrt(12))) <= 4 * 25 / math.sqrt(2 * MANY)
    assert {one % 5 for one in heard} == {0.0}


def test_bounds_hold() -> None:
    """Nobody lies outside ``within``."""
    entry = QuestionShares(
        mean=Amount("length", 700.0, 700.0),
        spread=Amount("length", 100.0, 100.0),
        within=Amount("length", 650.0, 800.0),
    )
    heard = [number_in(said(DESK, number, entry)) for number in range(500)]
    assert min(heard) >= 65
    assert max(heard) <= 80


@pytest.mark.parametrize(
    "entry", [QuestionShares(shares={"one": 100.0}), QuestionShares(mean=Amount("mass", 7, 7))]
)
def test_an_entry_of_another_kind_breaks_nothing(entry: QuestionShares) -> None:
    """Where a question became one of lengths, what was stated of it is left aside."""
    assert said(DESK, 3, entry) == said(DESK, 3)


def test_only_seed_number_and_name_count() -> None:
    """Another wording, other questions' shares and another place change no answer."""
    asked = question("choice", choices=THREE)
    reworded = question("choice", choices=dict(reversed(THREE.items())), coach="Read it slowly.")
    for number in range(100):
        assert said(asked, number) == said(reworded, number)
    assert [said(asked, n, known_as="other") for n in range(50)] != [
        said(asked, n) for n in range(50)
    ]
    assert [said(asked, n, seed=2) for n in range(50)] != [said(asked, n) for n in range(50)]


@given(
    st.sampled_from(["cm", "mm", "m", "in", "kg", "lb", "st", None]),
    st.floats(0, 2500, allow_nan=False),
)
def test_whatever_is_said_can_be_heard(unit: str | None, value: float) -> None:
    """Rounded in its unit, a figure is read back to within what it was rounded by."""
    kind = "count" if unit is None else "mass" if unit in ("kg", "lb", "st") else "length"
    if kind == "mass":
        value = min(value, 400.0)
    asked = question(kind, unit=unit)
    text = rounded(asked, value)
    heard = understand(asked, text, TODAY).value
    assert isinstance(heard, float)
    most = {"length": 12.7, "mass": 1.0, "count": 50.0}[kind]
    assert abs(heard - value) <= most + 1e-6


def test_stones_are_said_with_pounds() -> None:
    """As people do: 9 st 4 lb, and below a stone pounds alone."""
    asked = question("mass", unit="st")
    assert rounded(asked, 59.0) == "9 st 4 lb"
    assert rounded(asked, 5.0) == "11 lb"


def test_every_answer_of_the_tree_can_be_taken_and_every_choice_is_met() -> None:
    """With the shipped shares no caller says what the desk cannot take, nor misses a choice."""
    shares, problems = load_shares(FILE)
    assert shares is not None, problems
    callers = [caller(number, shares) for number in range(1, 401)]
    for name, asked in seating().tree.questions.items():
        told = {says(asked, who, survey(), shares, name) for who in callers}
        met: set[str] = set()
        for text in told:
            value = understand(asked, text, TODAY).value
            met |= {value} if isinstance(value, str) else set()
            met |= value if isinstance(value, frozenset) else set()
        assert set(asked.choices) <= met, name


def test_choices_not_named_share_what_is_left() -> None:
    """And where nothing is left, a new choice still gets an even share."""
    assert weights_of(["a", "b", "c"], {"a": 60.0}) == {"a": 60.0, "b": 20.0, "c": 20.0}
    assert weights_of(["a", "b"], {"a": 100.0}) == {"a": 100.0, "b": 50.0}
    assert weights_of(["a", "b"], {"gone": 100.0}) == {"a": 50.0, "b": 50.0}


def test_chances_not_stated() -> None:
    """Half as many again as one each, so that some name several."""
    asked = question("choices", choices={"none": "None", **THREE}, exclusive="none")
    alone, others = chances_of(asked, {})
    assert alone == 0.25
    assert others == pytest.approx(dict.fromkeys(THREE, 0.5))
    only = question("choices", choices={"none": "None"}, exclusive="none")
    assert chances_of(only, {}) == (1.0, {})
    assert said(only, 1) == "none"


def test_texts_and_dates() -> None:
    """A name is the caller's number, a stated text is one of those stated, a date is to come."""
    assert said(question("text", sets="caller_name"), 17) == "Caller 17"
    assert said(question("text"), 17, QuestionShares(says=("small seat",))) == "small seat"
    asked = question("date")
    for number in range(30):
        understand(asked, said(asked, number), TODAY)


def test_a_choice_more_takes_no_other_answer_away() -> None:
    """Whoever named some of several names them still; the new one comes as often as stated."""
    named = {"one": 60.0, "two": 50.0, "three": 30.0}
    shares = Shares(questions={"asked": QuestionShares(chances=named, unknown=0.0)})
    before = question("choices", choices={"one": "The first", "two": "The second"})
    after = question("choices", choices=THREE)
    new = 0
    for number in range(1, MANY + 1):
        who = caller(number, shares)
        first = set(says(before, who, survey(), shares, "asked").split(", "))
        then = says(after, who, survey(), shares, "asked", frozenset(before.choices))
        assert set(then.split(", ")) - {"three"} == first
        new += "three" in then
    assert abs(new / MANY - 0.3) < 0.04

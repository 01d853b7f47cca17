"""What may be heard to a question, and how likely."""

from __future__ import annotations

import numpy as np
import pytest

from consult.call.answers import likely_answers
from tests.call.test_gains import basis, facts


def heard(name: str) -> dict[object, float]:
    return {value: share for share, value in likely_answers(basis().tree.questions[name], facts())}


def test_shares_of_the_file() -> None:
    """One choice, yes and no, and several choices each alone."""
    assert heard("floor") == {"hard": 0.3, "soft": 0.6, "other": 0.1}
    assert heard("several") == {True: 0.25, False: 0.75}
    found = heard("wishes")
    assert found == {
        frozenset(("none",)): 0.6,
        frozenset(("lean",)): pytest.approx(0.3),
        frozenset(("tilt",)): pytest.approx(0.2),
    }


def test_even_shares() -> None:
    """Of a question that the file says nothing of."""
    assert heard("kind") == {"fixed": 0.5, "adjustable": 0.5}


def test_a_body_measure_as_the_body_is_estimated() -> None:
    """Whatever the file says of numbers, a body is drawn from the survey."""
    told = facts().body[0].dimensions["weight"]
    values = np.array(list(heard("weight")), float)
    assert values.mean() == pytest.approx(told.mean)
    assert values.std() == pytest.approx(told.sd, rel=0.1)


def test_other_numbers_as_the_file_has_them() -> None:
    """Six equally likely readings around the mean."""
    values = np.array(list(heard("hours")), float)
    assert len(values) == 6
    assert values.mean() == pytest.approx(7.0)
    assert values.std() == pytest.approx(2.0, rel=0.1)


def test_words_say_nothing() -> None:
    """Nobody can tell what a text will be."""
    assert heard("words") == {}

"""Every form of the table is heard as people mean it, or asked with the readings in it."""

from __future__ import annotations

from collections import Counter

import pytest

from consult.call.understand import Understood, understand
from consult.tree.quantities import BODY_DIMENSIONS
from consult.units import Unclear
from tests.call.calls import TODAY
from tests.hearing.forms import FORMS, QUESTIONS, Form


def heard(form: Form) -> Understood | Unclear:
    try:
        return understand(form.question, form.said, TODAY, form.system)
    except Unclear as unclear:
        return unclear


@pytest.mark.parametrize("asked", QUESTIONS)
def test_forms(asked: str) -> None:
    """What is said is taken as it is meant, or asked with every reading that it may have."""
    for form in FORMS:
        if form.asked != asked:
            continue
        result = heard(form)
        if form.outcome == "taken":
            assert isinstance(result, Understood), (form, result)
            readings = [(result.value, result.spread)]
        else:
            assert isinstance(result, Unclear), (form, result)
            assert str(result).endswith(("?", ")")), (form, "what comes back is a question")
            readings = []
            for proposal in result.proposals:
                chosen = understand(form.question, proposal.said, TODAY)
                readings.append((chosen.value, chosen.spread))
        wanted = [pytest.approx(reading, abs=1e-3) for reading in form.readings]
        assert readings == wanted, (form, result)


def test_the_table_measures_what_trees_measure() -> None:
    """Words that hang on what a question measures are heard in a call too."""
    measured = {one.measures for one in QUESTIONS.values() if one.measures}
    assert measured <= BODY_DIMENSIONS.keys()


def test_the_table_is_large_and_mostly_understood() -> None:
    """Of what a person would understand, at least 92 in 100 are taken or settled with one key."""
    count = Counter(form.outcome for form in FORMS)
    assert len({(form.asked, form.system, form.said) for form in FORMS}) >= 600
    understandable = count["taken"] + count["asked"] + count["missed"]
    assert count["taken"] + count["asked"] >= 0.92 * understandable

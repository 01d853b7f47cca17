"""The chair the caller settled on is weighed like any other, and never one too weak for them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.call.call import Answer
from consult.call.chosen import Chosen
from consult.call.state import State, state
from consult.fit.range_model import CHAIR_KINDS, Part
from tests.call.calls import seating
from tests.ui.desk import demo


def settled(*said: tuple[str, str], name: str = "01") -> State:
    """A demo call in which this was said besides."""
    call = demo(name).call
    for question, words in said:
        call = call.add(Answer(question, words))
    return state(seating(), call)


def other(parts: str, name: str = "01") -> Chosen:
    found = settled(("agreed", "other"), ("agreed_parts", parts), name=name).chosen
    assert found is not None
    return found


def parts_on_sale() -> list[Part]:
    range_ = seating().range
    assert range_ is not None
    return [part for kind in CHAIR_KINDS[:-1] for part in range_.on_sale(kind)]


def test_as_suggested_changes_nothing() -> None:
    """Agreed as suggested, the chair is the one that was."""
    found = settled(("agreed", "as suggested")).chosen
    assert found is not None
    assert found.agreed is None
    assert found.ordered is found.choice.best


def test_other_parts_are_ordered_and_the_rest_stays() -> None:
    """Only what was named is other, and a back that does not go with such arms gives way."""
    found = other("swing-away arms please")
    best = found.choice.best
    assert best is not None
    assert found.ordered is not None
    assert found.ordered.parts["arms"].code == "ARMS-SWING"
    assert found.picked.parts["arms"].code == "ARMS-SWING"
    for kind in CHAIR_KINDS[:-1]:
        if kind not in ("arms", "back"):
            assert found.ordered.parts[kind] == best.parts[kind]


def test_a_chair_without_armrests_fits_body_and_desk() -> None:
    """Who settles on one wants none: no misfit of everybody, and told beside the odds."""
    found = other("no arms")
    best = found.choice.best
    assert best is not None
    assert found.ordered is not None
    assert found.ordered.parts["arms"].code == "ARMS-NONE"
    assert found.ordered.p_fits > best.p_fits - 0.02
    assert "no armrests" in " ".join(one.say.text("metric") for one in found.picked.shortfalls)


def test_what_the_chair_cannot_do_is_told() -> None:
    """A gas lift too low for this desk says by how much it falls short, and fits hardly anybody."""
    found = other("LIFT-LOW")
    assert found.ordered is not None
    assert found.choice.best is not None
    assert found.ordered.p_fits < found.choice.best.p_fits
    assert [short.requirement for short in found.picked.shortfalls]


def test_no_part_named_is_said() -> None:
    """Nothing is guessed from a text that names no part."""
    found = other("the blue one")
    assert found.ordered is None
    assert found.picked.parts == {}
    assert "That names no part of the price list" in found.picked.shortfalls[0].say.text("metric")


def test_parts_that_do_not_go_together_are_said() -> None:
    """Every pair of parts the range keeps apart is named, not put on one chair."""
    range_ = seating().range
    assert range_ is not None
    apart = [
        (one, two)
        for one in parts_on_sale()
        for two in parts_on_sale()
        if one.kind != two.kind and not range_.compatible(one, two)
    ]
    assert apart
    for one, two in apart[:6]:
        # Named together, neither gives way.
        found = other(f"{one.code} {two.code}")
        assert found.ordered is None
        assert "does not go with" in found.picked.shortfalls[0].say.text("metric")


def test_still_to_be_named() -> None:
    """Between 'other parts' and the parts, the suggestion stands."""
    found = settled(("agreed", "other")).chosen
    assert found is not None
    assert found.agreed is None or found.ordered is not None


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(parts_on_sale()), st.sampled_from(["95 kg", "118 kg", "140 kg", "151 kg"]))
def test_a_chair_too_weak_is_never_ordered(part: Part, mass: str) -> None:
    """Whatever part is asked for, nothing rated below the person who will sit there is ordered."""
    now = settled(("weight", mass), ("agreed", "other"), ("agreed_parts", part.code))
    assert now.chosen is not None
    heard = float(mass.split()[0])
    for one in now.chosen.picked.parts.values():
        assert one.rating is None or one.rating >= heard


@pytest.mark.parametrize("name", ["01", "02", "03", "05", "06"])
def test_agreeing_on_the_very_parts_is_the_same_chair(name: str) -> None:
    """Naming the suggested parts one by one comes to the suggested chair."""
    plain = settled(("agreed", "as suggested"), name=name).chosen
    assert plain is not None
    assert plain.choice.best is not None
    codes = " ".join(plain.choice.best.parts[kind].code for kind in CHAIR_KINDS[:-1])
    again = other(codes, name)
    assert again.ordered is not None
    assert dict(again.ordered.parts) == dict(plain.choice.best.parts)
    assert again.ordered.p_fits == pytest.approx(plain.choice.best.p_fits)

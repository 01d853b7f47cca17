"""What heavy callers hear follows the range on sale, and nothing of it contradicts the rest.

The shipped questions with the shipped range made stronger (200 kg in every part) or weaker (130 kg,
and nothing of it heavy duty).
"""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.call.basis import Basis, load_basis
from consult.call.state import State, state
from consult.paths import shipped_trees
from consult.summary import PAPERS
from consult.summary.closing import closing
from consult.summary.model import summarise
from consult.summary.render import Writer
from tests.call.calls import call_of
from tests.long import examples

NONE_OFFERED = ("won't suggest one", "none of them may be offered", "I can't offer you")
OFFERED = (
    "I only offer chairs that are rated for more",
    "chair we agreed on",
    "one I would suggest",
    "before the chair is sent",
)
ANSWERS = {
    "who_sits": "caller",
    "reasons": "old chair",
    "warning_signs": "none",
    "stature": "178 cm",
    "agreed": "as suggested",
    "delivery_address": "14 Quay Street",
}


@cache
def of_rating(kg: int, folder: Path) -> Basis:
    """The shipped questions with a range of which every part is rated so."""
    trees = folder / str(kg)
    shutil.copytree(shipped_trees(), trees)
    text = (trees / "range.yaml").read_text("utf-8")
    text = re.sub(r"rating: \d+", f"rating: {kg}", text)
    if kg < 150:
        text = re.sub(r"(, )?heavy_duty", "", text)
    (trees / "range.yaml").write_text(text, "utf-8")
    basis, problems = load_basis(trees / "seating.yaml")
    assert basis is not None, problems
    return basis


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("ranges")


def said(basis: Basis, now: State) -> str:
    """Every document of a call, and its closing words, as one text."""
    made = [Writer(basis, now).write("text", paper).decode() for paper in PAPERS]
    end = closing(basis, now, summarise(basis, now), now.call.system)
    made += [line for _, lines in end.sections() for line in lines]
    return " ".join(" ".join(text.replace("!!", "").split()) for text in made)


def heard(basis: Basis, kg: float) -> State:
    return state(basis, call_of({**ANSWERS, "weight": f"{kg:.1f} kg"}))


@settings(deadline=None, max_examples=examples(40))
@given(rating=st.sampled_from([130, 200]), kg=st.floats(100, 240))
def test_either_a_chair_or_the_reason(folder: Path, rating: int, kg: float) -> None:
    """Who is told that no chair is rated for them hears of none, and everybody else hears of one
    that is."""
    basis = of_rating(rating, folder)
    now = heard(basis, kg)
    text = said(basis, now)
    cautions = {one.caution.name for one in now.cautions}
    assert now.picked is not None
    if now.picked.parts:
        assert not [words for words in NONE_OFFERED if words in text]
        assert "chair we agreed on" in text
        assert ("rating_must_cover" in cautions) is (round(kg, 1) > 110)
        assert all(one.rating is None or one.rating > kg for one in now.picked.parts.values())
    else:
        assert not [words for words in OFFERED if words in text]
        assert all(words in text for words in NONE_OFFERED)
        assert "heavier_than_our_range" in cautions
        assert f"rated for {rating} kg" in text
        assert "agreed" not in {step.question.name for step in now.steps}
    assert "rated for 180 kg" not in text


@pytest.mark.parametrize(("rating", "kg", "offered"), [(200, 175, True), (130, 150, False)])
def test_the_range_decides(folder: Path, rating: int, kg: float, offered: bool) -> None:
    """A caller too heavy for the shipped range has a chair in a stronger one, and the other way."""
    now = heard(of_rating(rating, folder), kg)
    assert now.picked is not None
    assert bool(now.picked.parts) is offered


def test_imperial_callers_read_stones(folder: Path) -> None:
    """The rating is said in the caller's units."""
    call = replace(call_of({**ANSWERS, "weight": "24 st"}), system="imperial")
    now = state(of_rating(130, folder), call)
    caution = next(one for one in now.cautions if one.caution.name == "heavier_than_our_range")
    assert "rated for 20 st 7 lb" in " ".join(caution.say.split())

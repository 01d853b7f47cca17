"""No cell of a table is taken for a formula."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.cells import FORMULA, guarded


@pytest.mark.parametrize("sign", sorted("=+-@＝＋－＠"))
@pytest.mark.parametrize("before", ["", " ", "\t", "\n \u2009", "\u3000"])
def test_a_formula_is_disarmed(sign: str, before: str) -> None:
    """Also the wide signs, and behind blanks."""
    assert guarded(f"{before}{sign}1+1") == f"'{before}{sign}1+1"


@pytest.mark.parametrize("text", ["", " ", "1+1", "a=b", "'=1", "\t", "[red]", "e-mail"])
def test_other_texts_stay(text: str) -> None:
    """Signs further on are none, and an apostrophe that is there is not doubled unasked."""
    assert guarded(text) == text


@pytest.mark.parametrize("text", ["'", "'a", "\tb"])
def test_more_signs_on_request(text: str) -> None:
    """They count where they are the very first."""
    assert guarded(text, frozenset("'\t")) == f"'{text}"
    assert guarded(f" {text}", frozenset("'\t")) == f" {text}"


@given(st.text())
def test_nothing_else_is_changed(text: str) -> None:
    """At most an apostrophe is put before it, and no formula is left."""
    made = guarded(text)
    assert made in (text, f"'{text}")
    assert made.lstrip()[:1] not in FORMULA

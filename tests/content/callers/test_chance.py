"""Chance that depends on names alone."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from collections import Counter

import pytest
import scipy  # type: ignore[import-untyped]
from hypothesis import given
from hypothesis import strategies as st

from consult.content.callers.chance import normal, normal_within, one_of, some_of, uniform
from tests.content.callers.people import near

MANY = 4000
KEYS = st.text(max_size=20)
WEIGHTS = st.dictionaries(
    st.text("abcdef", min_size=1, max_size=3), st.floats(0.1, 100), min_size=1
)


@given(KEYS, st.integers())
def test_a_uniform_lies_between(name: str, number: int) -> None:
    """Never 0 nor 1, whose normal would be without end, and the same each time."""
    drawn = uniform(name, number)
    assert 0.0 < drawn < 1.0
    assert drawn == uniform(name, number)
    assert math.isfinite(normal(name, number))


def test_the_ends_are_never_reached(monkeypatch: pytest.MonkeyPatch) -> None:
    """Even a digest of all zeros or all ones is neither 0 nor 1."""
    for byte in (b"\x00", b"\xff"):

        class Digest:
            def __init__(self, _: bytes, digest_size: int) -> None:
                self.size = digest_size

            def digest(self, byte: bytes = byte) -> bytes:
                return byte * self.size

        monkeypatch.setattr("consult.content.callers.chance.blake2b", Digest)
        assert 0.0 < uniform("any") < 1.0


def test_words_are_kept_apart() -> None:
    """The same letters cut elsewhere are another draw."""
    assert uniform("a", "bc") != uniform("ab", "c")


def test_uniforms_and_normals_are_what_they_are_called() -> None:
    """Kolmogorov and Smirnov find nothing odd about either, against SciPy's distributions."""
    flat = [uniform("flat", number) for number in range(MANY)]
    bell = [normal("bell", number) for number in range(MANY)]
    assert scipy.stats.kstest(flat, "uniform").pvalue > 0.001
    assert scipy.stats.kstest(bell, "norm").pvalue > 0.001


@given(st.floats(-50, 50), st.floats(0.1, 30), st.floats(-60, 60), st.floats(0.01, 50), KEYS)
def test_a_normal_kept_within_bounds(
    mean: float, sd: float, low: float, width: float, key: str
) -> None:
    """Nobody lies outside, wherever the mean is."""
    drawn = normal_within(mean, sd, low, low + width, key)
    assert low <= drawn <= low + width


def test_a_normal_within_bounds_keeps_its_shape() -> None:
    """It is SciPy's truncated normal."""
    drawn = [normal_within(25.0, 15.0, 0.0, 80.0, "heel", number) for number in range(MANY)]
    expected = scipy.stats.truncnorm((0 - 25) / 15, (80 - 25) / 15, loc=25, scale=15)
    assert scipy.stats.kstest(drawn, expected.cdf).pvalue > 0.001


def test_one_name_comes_as_often_as_its_weight() -> None:
    """Three weights, met within the error of counting."""
    found = Counter(one_of({"a": 70, "b": 25, "c": 5}, "draw", n) for n in range(MANY))
    assert near(found["a"], 0.70, MANY)
    assert near(found["b"], 0.25, MANY)
    assert near(found["c"], 0.05, MANY)


@given(WEIGHTS, KEYS, st.floats(0.1, 100))
def test_one_more_name_moves_nobody_between_the_others(
    weights: dict[str, float], key: str, weight: float
) -> None:
    """Whoever does not take the new answer keeps the old one, in whatever order they stand."""
    before = one_of(weights, key)
    after = one_of({"new": weight, **dict(reversed(weights.items()))}, key)
    assert after in (before, "new")


def test_several_names_come_as_often_as_stated() -> None:
    """Each by its own chance, though nobody names nothing."""
    chances = {"a": 0.8, "b": 0.3, "c": 0.1, "d": 0.05}
    drawn = [some_of(chances, "several", n) for n in range(MANY)]
    assert all(drawn)
    for name, chance in chances.items():
        assert near(sum(name in one for one in drawn), chance, MANY)
    assert any(len(one) > 1 for one in drawn)


def test_chances_that_leave_room_for_one_name() -> None:
    """Adding up to 1, each caller names just one; a certain name is always named."""
    drawn = [some_of({"a": 0.6, "b": 0.4}, "one", n) for n in range(MANY)]
    assert {len(one) for one in drawn} == {1}
    assert near(sum("a" in one for one in drawn), 0.6, MANY)
    assert all("a" in some_of({"a": 1.0, "b": 0.5}, "sure", n) for n in range(200))


def test_chances_just_over_one_end() -> None:
    """Where naming nothing is the rule, the tries still come to an end, with a name."""
    assert all(some_of({"a": 0.5, "b": 0.5 + 1e-6}, "hard", n) for n in range(50))


def test_another_process_draws_the_same() -> None:
    """Python's own hash differs from run to run; nothing here hangs on it."""
    code = (
        "from consult.content.callers.chance import *;"
        "print(uniform('a', 1), normal('b', 2), one_of({'x': 1, 'y': 2}, 'c'),"
        " sorted(some_of({'x': .9, 'y': .9, 'z': .9}, 'd')))"
    )
    told = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
            text=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(told) == 1

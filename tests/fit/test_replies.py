"""As which readings lengths are told, and how likely each is."""

from __future__ import annotations

import numpy as np
import pytest

from consult.fit.replies import told_as


@pytest.mark.parametrize("wide", [20.0, 60.0])
def test_readings_are_equally_likely(wide: float) -> None:
    """However the lengths are spread: where few are, each reading stands for a wider stretch."""
    dice = np.random.default_rng(1)
    lengths = np.concatenate([dice.normal(400.0, 5.0, 4000), dice.normal(400.0, wide, 4000)])
    odds, readings = told_as(lengths[None], [8.0], 10)
    assert odds[0].sum(axis=0) == pytest.approx(1.0, abs=1e-4)
    assert np.all(np.diff(readings[0]) > 0)
    assert odds[0].mean(axis=1) == pytest.approx(0.1, abs=0.03)


def test_the_nearer_a_reading_the_likelier() -> None:
    """A length is told within a few of its errors, wherever the lengths stand."""
    lengths = np.linspace(300.0, 500.0, 400)
    odds, readings = told_as(np.stack([lengths, lengths + 5000.0]), [8.0, 8.0], 10)
    off = np.abs(readings[0][:, None] - lengths)
    assert odds[0][off > 60.0].max() < 0.001
    assert odds[0][off < 4.0].min() > 0.5
    assert odds[0] == pytest.approx(odds[1], abs=1e-3)

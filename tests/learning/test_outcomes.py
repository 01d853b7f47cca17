"""The two plots: what is drawn where, and in words."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from consult.learning.comparison import FEW, bands_of
from consult.learning.outcomes import (
    calibration_plot,
    calibration_words,
    coarse_minutes,
    minutes_plot,
    minutes_words,
)

SVG = "{http://www.w3.org/2000/svg}"
BANDS = bands_of([(0.92, at >= 5) for at in range(20)] + [(0.98, True)] * 100)


def parts(svg: str, name: str) -> list[ET.Element]:
    """The shapes of one kind."""
    return [one for one in ET.fromstring(svg).iter() if one.get("data-part") == name]


def test_a_circle_for_each_band_with_its_interval() -> None:
    """On the paper, the better one higher and further right; one that is off is filled."""
    svg = calibration_plot(BANDS)
    low, high = parts(svg, "band")
    assert len(parts(svg, "interval")) == 2
    assert float(low.get("cx", "")) < float(high.get("cx", ""))
    assert float(low.get("cy", "")) > float(high.get("cy", ""))
    assert (low.get("fill"), high.get("fill")) == (None, "#ffffff")
    title, told = (ET.fromstring(svg).find(f"{SVG}{tag}") for tag in ("title", "desc"))
    assert title is not None
    assert told is not None
    assert told.text == calibration_words(BANDS)
    assert "20 calls: 92 of 100 stated, 75 observed (51 to 91)." in calibration_words(BANDS)


@settings(deadline=None)
@given(st.lists(st.integers(0, 30), max_size=40))
def test_no_bar_of_few_calls(minutes: list[int]) -> None:
    """Minutes are joined until five calls are in each bar, and no call is lost."""
    bars = coarse_minutes(minutes)
    assert all(count >= FEW and low < high for low, high, count in bars)
    assert sum(count for *_, count in bars) == (sum(minutes) if bars else 0)
    assert bars or sum(minutes) < FEW
    assert all(a[1] <= b[0] for a, b in pairwise(bars))
    assert len(parts(minutes_plot(minutes), "bar")) == len(bars)


def test_the_bars_by_hand() -> None:
    """Three calls of under five minutes join those of five to six; the longest join the last."""
    minutes = [0, 0, 0, 0, 3, 4, 9, 2]
    assert coarse_minutes(minutes) == ((4, 6, 7), (6, 8, 11))
    assert minutes_words(minutes) == "4 to 6 minutes: 7 calls. 6 to 8 minutes: 11 calls."
    first, second = (one.get("points", "").split() for one in parts(minutes_plot(minutes), "bar"))
    heights = [float(one[0].split(",")[1]) - float(one[1].split(",")[1]) for one in (first, second)]
    assert round(heights[0] / heights[1], 2) == round(7 / 11, 2)


def test_nothing_to_draw() -> None:
    """Axes and a sentence."""
    assert "Too few" in calibration_plot(())
    assert "Too few" in minutes_plot(())

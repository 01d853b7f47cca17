"""The file of what was learned: read, added to, taken back, and refused where it has mistakes."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.marked.marks import load_marked
from consult.tree.learned import (
    LEARNED_FILE,
    NOTHING_LEARNED,
    AcceptedValue,
    Learned,
    learned_file,
    learned_text,
    load_learned,
)

DAY = date(2026, 11, 29)
ONE = AcceptedValue("time.lower_leg", 120.5, 81.4, 200, "2026-11-29", "Ann: #1 “lead”")
ENTRIES = st.builds(
    AcceptedValue,
    st.sampled_from(["time.lower_leg", "share.reasons.sinks", "mean.stature", "fault.L-1/B"]),
    st.floats(-1e6, 1e6),
    st.floats(-1e6, 1e6),
    st.integers(1, 10**6),
    st.just("2026-11-29"),
    st.text(st.characters(exclude_categories=("C", "Z")), max_size=20),
    st.sampled_from(["", "2026-12-01"]),
    st.sampled_from(["", "Bo"]),
)


def read(folder: Path, text: str) -> Learned | None:
    """A file with this text."""
    (folder / LEARNED_FILE).write_text(text, encoding="utf-8")
    return load_learned(folder / LEARNED_FILE)[0]


@settings(deadline=None)
@given(entries=st.lists(ENTRIES, max_size=4))
def test_it_is_read_as_it_was_written(
    entries: list[AcceptedValue], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Every value to the bit, every name to the letter."""
    learned = Learned(tuple(entries))
    assert read(tmp_path_factory.mktemp("learned"), learned_text(learned)) == learned


def test_taking_back_brings_back_what_was_before() -> None:
    """The entry stays in the file with the day; the one before counts again, then none."""
    later = AcceptedValue("time.lower_leg", 140, 81.4, 400, "2027-02-01")
    both = NOTHING_LEARNED.with_accepted(ONE).with_accepted(later)
    assert (both.of("time"), both.version(ONE.name)) == ({"lower_leg": 140}, 2)
    once = both.without(ONE.name, DAY, "Bo")
    assert (once.of("time"), once.version(ONE.name)) == ({"lower_leg": 120.5}, 1)
    assert once.accepted[1].taken_back == "2026-11-29"
    assert (once.accepted[1].taken_back_by, once.accepted[0].taken_back_by) == ("Bo", "")
    twice = once.without(ONE.name, DAY, "Bo")
    assert (twice.of("time"), twice.version(ONE.name), len(twice.accepted)) == ({}, 0, 2)
    assert twice.without(ONE.name, DAY, "Bo") == twice
    assert both.of("share") == {}


def test_no_file_and_a_broken_one(tmp_path: Path) -> None:
    """Without a file nothing is learned; one with a mistake is told at its place."""
    assert load_learned(tmp_path / LEARNED_FILE) == (NOTHING_LEARNED, [])
    text = learned_text(Learned((ONE,))).replace("120.5", '"long"')
    assert read(tmp_path, text) is None
    (problem,) = load_learned(tmp_path / LEARNED_FILE)[1]
    assert problem.where.line == 5


def test_it_lies_beside_the_settings(tmp_path: Path) -> None:
    """So that the draft and every version read the same one."""
    trees = tmp_path / "library" / "draft"
    trees.mkdir(parents=True)
    assert learned_file(trees) == trees / LEARNED_FILE
    (tmp_path / "settings.yaml").write_text("settings: 1\n")
    assert learned_file(trees) == tmp_path / LEARNED_FILE


def test_the_text_is_plain_yaml(tmp_path: Path) -> None:
    """A content lead can read it, and it begins with what it is."""
    (tmp_path / LEARNED_FILE).write_text(learned_text(Learned((ONE,))), encoding="utf-8")
    marked, problems = load_marked(tmp_path / LEARNED_FILE)
    assert problems == []
    assert marked is not None
    assert marked.data["accepted"][0]["name"] == "time.lower_leg"

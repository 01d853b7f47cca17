"""The journal: every text comes back as it was given, and damage is said."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from consult.content.library.files import LibraryTrouble
from consult.content.library.library import (
    LIBRARY_FILE,
    AcceptedLoss,
    JournalEntry,
    read_journal,
    write_journal,
)
from tests.call.calls import HOSTILE
from tests.long import examples

# -- the journal: every text comes back as it was given, and damage is said -----------------------

_TEXT = st.text(st.characters(), max_size=60) | st.sampled_from(HOSTILE)
_ENTRIES = st.builds(
    JournalEntry,
    version=_TEXT,
    kind=st.sampled_from(["begun", "published", "brought back"]),
    day=st.dates(),
    by=_TEXT,
    reason=_TEXT,
    changes=st.lists(_TEXT, max_size=3).map(tuple),
    accepted=st.lists(st.builds(AcceptedLoss, _TEXT, _TEXT), max_size=2).map(tuple),
    digest=_TEXT,
)


@settings(max_examples=examples(80), suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(_ENTRIES, max_size=4).map(tuple))
def test_every_text_comes_back(tmp_path: Path, entries: tuple[JournalEntry, ...]) -> None:
    """Lone surrogates, control characters, line breaks of every kind and long texts too."""
    write_journal(tmp_path, entries)
    assert read_journal(tmp_path) == entries


def test_no_journal_is_an_empty_one(tmp_path: Path) -> None:
    """Before anything is published there is none."""
    assert read_journal(tmp_path) == ()


@pytest.mark.parametrize(
    "line",
    [
        b"\xff",
        b"no",
        b"[]",
        b"{}",
        b"[" * 10_000,
        b'{"version": 1}',
        b'{"version":"a","kind":"odd","day":"2026-11-25","by":"","reason":"","changes":[],'
        b'"accepted":[],"digest":""}',
        b'{"version":"a","kind":"begun","day":"soon","by":"","reason":"","changes":[],'
        b'"accepted":[],"digest":""}',
        b'{"version":"a","kind":"begun","day":"2026-11-25","by":"","reason":"","changes":[1],'
        b'"accepted":[],"digest":""}',
        b'{"version":"a","kind":"begun","day":"2026-11-25","by":"","reason":"","changes":[],'
        b'"accepted":[{"caution":"a"}],"digest":""}',
    ],
)
def test_damage_is_said(tmp_path: Path, line: bytes) -> None:
    """The line is named and no entry is made up."""
    entry = JournalEntry("1", "begun", date(2026, 11, 25), "", "", (), (), "")
    write_journal(tmp_path, (entry,))
    with (tmp_path / LIBRARY_FILE).open("ab") as file:
        file.write(line + b"\n")
    with pytest.raises(LibraryTrouble, match=r"journal\.jsonl:2: this line .* damaged"):
        read_journal(tmp_path)

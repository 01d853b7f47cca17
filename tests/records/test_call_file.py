"""The call at hand on disk."""

from __future__ import annotations

import os
import stat
from datetime import datetime
from pathlib import Path

import pytest

from consult.call.call import Answer
from consult.call.state import State, state
from consult.call.transcript import load_transcript
from consult.records.call_file import calls_folder, keep, new_call_file, write_whole
from tests.call.calls import HOSTILE, derived, seating, told

TREE = seating().tree
ACHES = {
    "who_sits": "caller",
    "pain_sites": "lower back",
    "emergency_signs": "none",
    "urgent_signs": "none",
    "pain_since": "days",
    "special_care": "none",
    "stature": "157 cm",
}
HEALTH = {name for name, asked in TREE.questions.items() if asked.private == "health"}


def kept(path: Path) -> State:
    """The state of the call as the file has it."""
    transcript, problems = load_transcript(path)
    assert transcript is not None, problems
    return state(seating(), transcript.call)


def test_with_consent_everything_is_kept(tmp_path: Path) -> None:
    """A call with consent is replayed from its file to the very same state."""
    now = told(seating(), consent="yes", **ACHES)
    keep(tmp_path / "call.yaml", TREE, now)
    assert derived(kept(tmp_path / "call.yaml")) == derived(now)


@pytest.mark.parametrize("consent", [None, "no", "maybe"])
def test_without_consent_no_health_is_kept(tmp_path: Path, consent: str | None) -> None:
    """Consent refused, unclear or not asked: not a word about health reaches the disk."""
    answers = ACHES | {"pain_sites": "lower back", "stature": "157 cm"}
    if consent is not None:
        answers["consent"] = consent
    now = told(seating(), **answers)
    file = tmp_path / "call.yaml"
    keep(file, TREE, now)
    text = file.read_text("utf-8")
    assert "lower back" not in text
    assert not any(name in text for name in HEALTH)
    assert "157 cm" in text


def test_consent_taken_back_takes_health_off_the_disk(tmp_path: Path) -> None:
    """The file of a moment ago is replaced; nothing of it is left beside it."""
    file = tmp_path / "call.yaml"
    now = told(seating(), consent="yes", **ACHES)
    keep(file, TREE, now)
    assert "lower back" in file.read_text("utf-8")
    keep(file, TREE, state(seating(), now.call.add(Answer("consent", "no"))))
    assert "lower back" not in file.read_text("utf-8")
    assert list(tmp_path.iterdir()) == [file]


def test_notes_on_health_go_with_it(tmp_path: Path) -> None:
    """What the adviser noted beside a health answer is as private as the answer."""
    now = told(seating(), who_sits="caller")
    call = now.call.add(Answer("pain_sites", "neck", note="since the accident"))
    keep(tmp_path / "call.yaml", TREE, state(seating(), call))
    assert "accident" not in (tmp_path / "call.yaml").read_text("utf-8")


def test_hostile_answers_survive(tmp_path: Path) -> None:
    """Every awkward text is kept to the character."""
    file = tmp_path / "call.yaml"
    for said in HOSTILE:
        now = told(seating(), caller_name=said)
        keep(file, TREE, now)
        assert kept(file).call.latest()["caller_name"].said == said


@pytest.mark.skipif(os.name != "posix", reason="permissions as POSIX has them")
def test_for_this_user_only(tmp_path: Path) -> None:
    """Neither the file nor its new folder can be read by others."""
    file = tmp_path / "calls" / "call.yaml"
    keep(file, TREE, told(seating(), who_sits="caller"))
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) & 0o077 == 0


def test_a_disk_that_refuses_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When writing fails, the file of the previous answer is whole and no part is left over."""
    file = tmp_path / "call.yaml"
    write_whole(file, "old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_whole(file, "new and longer")
    assert file.read_text("utf-8") == "old"
    assert list(tmp_path.iterdir()) == [file]


def test_where_calls_are_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """CONSULT_CALLS chooses the folder; names tell the time, and nobody's name."""
    monkeypatch.setenv("CONSULT_CALLS", str(tmp_path))
    file = new_call_file(datetime(2026, 11, 25, 9, 5, 7))
    assert file.parent == tmp_path
    assert file.name.startswith("call-20261125-090507-")
    assert file.suffix == ".yaml"
    monkeypatch.delenv("CONSULT_CALLS")
    assert calls_folder().name == "calls"

"""The levels of a practice call."""

import pytest

from consult.practice.model import LEVELS, level_called, level_words


@pytest.mark.parametrize("name", LEVELS)
def test_a_level_is_found_by_its_name(name: str) -> None:
    assert level_called(name) == name


def test_earlier_names_are_read() -> None:
    """They are in courses and records of earlier versions."""
    assert [level_called(name) for name in ("loose", "bare")] == ["partly_guided", "unaided"]


def test_another_name_is_refused() -> None:
    with pytest.raises(ValueError, match="no level called 'hard'"):
        level_called("hard")


def test_people_read_words() -> None:
    assert level_words("partly_guided") == "partly guided"

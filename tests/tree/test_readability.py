"""How hard a text is to take in."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.tree.readability import age, score, sentences

# -- how hard a text is to take in ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Sit down. Stand up!", [2, 2]),
        ("Is it 2.5 cm? Say it (twice).", [4, 3]),
        ('He said "Stop." Then he left.', [3, 3]),
        ("At <fit.seat_height> your feet rest", [5]),
        ("One line\nand another", [2, 2]),
        ("", []),
        ("... - !", []),
    ],
)
def test_sentences(text: str, words: list[int]) -> None:
    """Sentences end at a full stop, question mark, "!" or new line; a blank is one word."""
    assert [each.words for each in sentences(text)] == words


def test_places() -> None:
    """Each sentence knows where it begins."""
    text = "Sit down.  Then stand."
    assert [text[each.offset :] for each in sentences(text)] == [text, "Then stand."]


def test_score() -> None:
    """The published formula: 4.71 letters a word, 0.5 words a sentence, less 21.43.

    Smith and Senter 1967, worked out by hand: 5 words of 20 letters in 1 sentence give
    4.71 x 4 + 0.5 x 5 - 21.43 = -0.09.
    """
    found = list(sentences("Abcd abcd abcd abcd abcd."))
    assert score(found) == pytest.approx(-0.09)
    assert score([]) == 0.0


@pytest.mark.parametrize(
    ("found", "years"), [(-5.0, 6), (1.0, 6), (8.2, 14), (9.0, 14), (40.0, 19)]
)
def test_age(found: float, years: int) -> None:
    """A score of 1 is read at six, one more for each year, up to the table's end."""
    assert age(found) == years


@given(st.text(max_size=300))
def test_any_text(text: str) -> None:
    """Any text has sentences that stand in it, and a score."""
    found = list(sentences(text))
    assert all(each.text in text and each.words > 0 for each in found)
    assert isinstance(score(found), float)

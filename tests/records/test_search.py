"""Calls found again by what a caller on the line can say."""

from __future__ import annotations

from consult.records.kept import ALPHABET, as_reference, new_reference
from consult.records.search import words_of_name
from consult.records.store import Store
from tests.records.samples import append, begin, call_of, keep


def test_names_are_found_by_the_beginning_of_any_word(store: Store) -> None:
    """Case, accents, apostrophes and order of the words are no matter; newest first."""
    names = ["Zoë O'Neill-Ash", "zoe Marsh", "Ashby, Zo", "Bo", "", "李 雷", "x" * 10_000]
    made = {name: keep(store, call_of(("a", "1")), name=name).reference for name in names}
    for text, expected in {
        "zoe": ["zoe Marsh", "Zoë O'Neill-Ash"],
        "ZO": ["Ashby, Zo", "zoe Marsh", "Zoë O'Neill-Ash"],
        "ash zo": ["Ashby, Zo", "Zoë O'Neill-Ash"],
        "o'n": ["Zoë O'Neill-Ash"],
        "oneill z": ["Zoë O'Neill-Ash"],
        "李": ["李 雷"],
        "xxxx": ["x" * 10_000],
        "zoe b": [],
        "%": [],
        "_": [],
        "": [],
        "\ud800": [],
        "\0": [],
    }.items():
        found = store.find(text)
        by_name = [one.caller_name for one in found]
        assert by_name == expected, text
        assert all(made[one.caller_name] == one.reference for one in found)


def test_references_are_found_by_their_beginning(store: Store) -> None:
    """Three signs are enough where no other begins so."""
    opened = keep(store, call_of(("a", "1")), name="Nobody")
    for text in (opened.reference, opened.reference[:3], opened.reference[:5].lower()):
        assert opened.reference in [one.reference for one in store.find(text)]


def test_a_name_that_changes_is_found_by_the_new_one_alone(store: Store) -> None:
    """A name misheard at first is not kept in the search."""
    call = call_of(("a", "1"))
    opened = begin(store)
    append(store, opened, call, name="Mary Wrong")
    append(store, opened, call, name="Mary Right")
    assert store.find("wrong") == ()
    assert [one.caller_name for one in store.find("mary")] == ["Mary Right"]


def test_the_latest_come_first(store: Store) -> None:
    """In the order in which they came, as many as asked for."""
    made = [keep(store, call_of(("a", "1"))).reference for _ in range(5)]
    assert [one.reference for one in store.latest(3)] == made[:1:-1]
    assert [one.reference for one in store.held(2)] == made[:2:-1]


def test_references_can_be_said() -> None:
    """Six signs, none like another, and never the same twice."""
    made = {new_reference() for _ in range(2_000)}
    assert len(made) == 2_000
    assert not set("01OILSBZUAE") & set(ALPHABET)
    assert all(as_reference(one.lower()) == one for one in made)
    assert as_reference("hello") is None


def test_words_of_a_name_are_few() -> None:
    """A text that is no name does not fill the search."""
    assert len(words_of_name(" ".join(f"w{n}" for n in range(1_000)))) == 20
    assert words_of_name("\N{GRINNING FACE} ... ") == ()

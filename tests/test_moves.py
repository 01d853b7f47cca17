"""Which pairs of directions are opposed, and that the tree language knows the same ways."""

from __future__ import annotations

import json
from pathlib import Path

import consult.tree
from consult.moves import ORDERED, WAYS, MovePiece, Opposed, opposed, opposed_things
from tests.long import every_case

SCHEMA = json.loads((Path(consult.tree.__file__).parent / "tree.schema.json").read_text("utf-8"))


def test_the_tree_language_has_the_same_ways() -> None:
    """The schema allows exactly the things and ways of the table, and never 'ordered'."""
    allowed = {
        thing: tuple(one["enum"]) for thing, one in SCHEMA["$defs"]["moves"]["properties"].items()
    }
    assert allowed == dict(WAYS)
    assert not any(ORDERED in ways for ways in allowed.values())


@every_case(
    [
        # By hand, from what each pair would mean to somebody who has to do both.
        ("raise", "lower", True),
        ("lengthen", "shorten", True),
        ("forward", "back", True),
        ("add", "remove", True),
        ("lock", "unlock", True),
        ("tighten", "loosen", True),
        ("remove", "raise", True),
        ("remove", "lower", True),
        ("remove", "set", True),
        ("remove", "leave", True),
        ("remove", ORDERED, True),
        ("buy", ORDERED, True),
        ("leave", "raise", True),
        ("leave", "set", True),
        ("leave", "loosen", True),
        ("set", "raise", False),
        ("set", "lower", False),
        ("add", "set", False),
        ("add", ORDERED, False),
        ("add", "buy", False),
        ("leave", "add", False),
        ("leave", ORDERED, False),
        ("raise", "raise", False),
        ("remove", "remove", False),
        ("raise", "forward", False),
    ]
)
def test_opposed_ways(one: str, other: str, apart: bool) -> None:
    """In either order, and of one thing only."""
    expected = ("armrests",) if apart else ()
    assert opposed_things({"armrests": one}, {"armrests": other}) == expected
    assert opposed_things({"armrests": other}, {"armrests": one}) == expected
    assert opposed_things({"armrests": one}, {"desk": other}) == ()


def test_pairs_are_named() -> None:
    """Each pair once; what is said under a condition opposes nothing, and lowers all the same."""
    up = MovePiece("note 'high'", {"seat": "raise", "desk": "lower"})
    down = MovePiece("step 'desk'", {"desk": "raise", "seat": "set"})
    maybe = MovePiece("advice 'if'", {"footrest": "add"}, {"seat": "lower", "desk": "lower"})
    assert list(opposed([up, maybe, down])) == [Opposed(up, down, "desk")]
    assert str(Opposed(up, down, "desk")) == "note 'high' with step 'desk': desk lower and raise"
    assert [one.name for one in (up, down, maybe) if "lower" in one.ways("seat")] == [maybe.name]

"""Between them the demo calls show everything that the trees can ask, warn of and advise."""

from __future__ import annotations

from functools import cache

import pytest

from consult.call.expectation import Coverage, coverage
from consult.call.state import state_so_far
from consult.paths import trees_folder
from consult.range.parts import OPTIONS
from consult.tree.folder import main_trees
from tests.call.calls import DEMOS, basis_of, transcript_of

TREES = main_trees(trees_folder())


@cache
def covered() -> dict[str, Coverage]:
    """What all demo calls come to, by main tree."""
    calls = []
    for file in DEMOS:
        basis, transcript = basis_of(transcript_of(file).tree), transcript_of(file)
        calls.append((file.stem, basis.tree, state_so_far(basis, transcript.call)))
    return {one.tree: one for one in coverage(calls)}


@pytest.mark.parametrize("tree", TREES)
def test_some_call_comes_to_everything(tree: str) -> None:
    """Every question, caution, piece of advice and need is reached by a demo call."""
    assert tree in covered(), f"no demo call is led with {tree}"
    # The demo range lists no headrests and fabrics, so nobody is asked for one.
    asked = basis_of(tree).tree.questions
    missed = [
        f"{one.part} {one.name}"
        for one in covered()[tree].missed
        if one.part != "question" or asked[one.name].sets not in OPTIONS
    ]
    assert missed == []

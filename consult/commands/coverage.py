"""``consult replay --coverage``: what call files come to of their trees, and what none comes to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from consult.call.coverage import Coverage, coverage
from consult.call.state import State, state_so_far
from consult.commands.outcome import Outcome, number_of, print_json, print_problems
from consult.commands.piece_lines import piece_lines
from consult.commands.reading import read_call
from consult.visible import visible

if TYPE_CHECKING:
    from consult.body.population import Population
    from consult.tree.model import Tree

_NAMED = 3
"""Calls named for one piece; of more only how many others there are."""


def run(files: Sequence[str], population: Population, *, as_json: bool) -> Outcome:
    """Tell it for every main tree met. What the files expect is not looked at."""
    outcome = Outcome.DONE
    calls: list[tuple[str, Tree, State]] = []
    for name in files:
        read, problems = read_call(Path(name), population)
        print_problems(problems)
        if read is None:
            outcome = Outcome.BAD_USE
            continue
        transcript, basis = read
        calls.append((_called(name, files), basis.tree, state_so_far(basis, transcript.call)))
    found = coverage(calls)
    if as_json:
        print_json({"trees": [_json(one) for one in found]})
    else:
        for one in found:
            for line in _lines(one):
                print(visible(line))
    if any(one.missed for one in found):
        outcome = max(outcome, Outcome.FAILED)
    return outcome


def _called(name: str, files: Sequence[str]) -> str:
    """A file by its own name, unless another file has the same."""
    stem = Path(name).stem
    return stem if sum(Path(other).stem == stem for other in files) == 1 else name


def _lines(one: Coverage) -> Iterator[str]:
    reached = len(one.reached) - len(one.missed)
    yield (
        f"{one.tree} {one.version}: {number_of(len(one.calls), 'call')}, {reached} of "
        f"{len(one.reached)} questions, cautions, advice and needs reached"
        f"{f', {len(one.elsewhere)} by calls of other trees alone' if one.elsewhere else ''}."
    )
    said = {piece: _by(calls) for piece, calls in one.reached.items() if calls}
    yield from piece_lines(said, one.missed, none="reached by none")


def _by(calls: tuple[str, ...]) -> str:
    if len(calls) <= _NAMED:
        return ", ".join(calls)
    return f"{', '.join(calls[:_NAMED])} and {len(calls) - _NAMED} more"


def _json(one: Coverage) -> dict[str, object]:
    return {
        "tree": one.tree,
        "version": one.version,
        "calls": list(one.calls),
        "pieces": [
            {
                "part": piece.part,
                "name": piece.name,
                "file": piece.where.file,
                "line": piece.where.line,
                "calls": list(calls),
            }
            for piece, calls in one.reached.items()
        ],
        "elsewhere": [{"part": piece.part, "name": piece.name} for piece in one.elsewhere],
        "missed": [{"part": piece.part, "name": piece.name} for piece in one.missed],
    }

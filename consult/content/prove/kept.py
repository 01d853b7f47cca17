"""What is certain about a tree for every caller there could be, and callers who show the rest.

A solver (the extra ``content``) goes through all calls at once. Without it callers drawn at random
still show what can appear and which promises are broken; nothing is proven then.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass, fields, is_dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from consult.call.call import Answer
from consult.content.prove.promises import Property, floor_promises, promise_problems, properties
from consult.content.prove.trying import Caller, Trying
from consult.content.prove.ways import (
    Seeking,
    Witness,
    appearing_problems,
    can_appear,
    pieces_to_appear,
    way_problems,
    witness,
)
from consult.durable import write_whole
from consult.problems import Problem, Where
from consult.tree.condition import SETTLED, Condition
from consult.tree.model import Tree

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.content.prove.solving import Solving


NO_SOLVER = (
    "Nothing was proven, because the solver is not installed: pip install 'consult[content]'."
)


@dataclass(frozen=True, slots=True)
class Proofs:
    """All that was found out about one tree."""

    tree: str
    files: tuple[str, ...]
    """Every file of the tree."""
    problems: tuple[Problem, ...]
    witnesses: tuple[Witness, ...]
    properties: tuple[Property, ...]
    not_proven: str = ""
    """Why nothing could be proven, or not everything; empty where nothing stood in the way."""


def prove(
    tree: Tree,
    basis: Basis,
    progress: Callable[[int, int], None] | None = None,
    *,
    witnesses: bool = True,
) -> Proofs:
    """Find out all that can be known of the calls held with a tree.

    ``basis`` is what callers are tried on; its tree is the same. Same tree, same result.
    ``progress`` hears how many of how many pieces are done. Without ``witnesses`` nobody is thought
    up who gets what is possible: nine tenths of the time.
    """
    seeking = Seeking(Trying(basis), _solving(tree, basis))
    results = []
    pieces = list(pieces_to_appear(tree))
    for done, item in enumerate(pieces):
        if progress is not None:
            progress(done, len(pieces))
        results.append((witness if witnesses else can_appear)(item, seeking))
    floor = tuple(floor_promises(tree, with_chairs=basis.range is not None))
    standings = list(properties(tree, floor, seeking))
    problems = [
        *appearing_problems(tree, results, seeking),
        *promise_problems(tree, standings, seeking),
        *_at_once(tree),
    ]
    if seeking.solving is not None:
        problems += way_problems(seeking.solving, seeking)
    problems.sort(key=lambda problem: (problem.where, problem.rule, problem.message))
    all_problems = tuple(dict.fromkeys(problems))
    left_open = _left_open(tree, seeking.solving)
    return Proofs(
        tree.name,
        tree.files,
        all_problems,
        tuple(results if witnesses else ()),
        tuple(standings),
        left_open,
    )


def _solving(tree: Tree, basis: Basis) -> Solving | None:
    try:
        from consult.content.prove.solving import Solving
        from consult.content.prove.walk import Walked
    except ImportError:
        return None
    return Solving(Walked(tree, basis.range is not None))


def _left_open(tree: Tree, solving: Solving | None) -> str:
    if solving is None:
        return NO_SOLVER
    if at_once := _at_once(tree):
        return f"{at_once[0].message} The proofs do not cover the calls that it ends."
    if solving.undecided:
        return "Some of it takes the solver too long, and is neither proven nor refuted."
    return ""


def _at_once(tree: Tree) -> list[Problem]:
    """Stops that hold before anything was answered, so that no call gets anywhere."""
    return [
        Problem(
            caution.where,
            f"The stop '{caution.name}' applies before any of its questions is asked.",
            "Ask for what was answered: known(...) and ..., or a comparison.",
            "stops-at-once",
        )
        for caution in tree.cautions
        if caution.level == "stop"
        and not any("." in name for name in caution.when.names)
        and caution.when.evaluate(lambda _: None) is True
    ]


# -- proofs kept in a folder, so that a tree that did not change is not proven again --------------
# A proof is known by the digest of all it rests on: what the tree means without the words that are
# said, what the range can reach, and the program itself. So a question reworded or a price changed
# needs no new proof. What cannot be read is proven anew.

_PACKAGE = Path(__file__).parents[2]
_WORDS = frozenset(
    ("where", "ask", "coach", "say", "because", "source", "employer", "title", "changes", "seconds")
)
"""Fields of a tree's pieces that nothing proven hangs on."""
_RESTS_ON = ("hearing", "tree", "call", "fit", "body", "content/drawing", "content/prove")
"""Parts of the program that a proof rests on; the order of the way is that of the drawing."""
MOST_PROOFS = 40
"""Proofs kept; the oldest go."""


def proofs_of(
    basis: Basis,
    kept: Path,
    progress: Callable[[int, int], None] | None = None,
    *,
    witnesses: bool = True,
) -> Proofs:
    """What is proven of a tree: as it was kept, else found out now and kept.

    Kept are pieces of the tree and not lines, so that the same tree elsewhere is known.
    ``progress`` hears how many of how many pieces are done. Without ``witnesses``, proofs that have
    them serve as well.
    """
    digest = digest_of_proof(basis)
    whole, bare = kept / f"{digest}.json", kept / f"{digest}-bare.json"
    for path in (whole,) if witnesses else (whole, bare):
        with suppress(OSError, ValueError, LookupError, TypeError):
            return _read(json.loads(path.read_text("utf-8")), basis)
    proofs = prove(basis.tree, basis, progress, witnesses=witnesses)
    with suppress(OSError, KeyError):
        kept.mkdir(parents=True, exist_ok=True)
        write_whole(whole if witnesses else bare, json.dumps(_written(proofs, basis.tree)).encode())
        for old in sorted(kept.glob("*.json"), key=lambda file: -file.stat().st_mtime)[
            MOST_PROOFS:
        ]:
            old.unlink(missing_ok=True)
    return proofs


def digest_of_proof(basis: Basis) -> str:
    """Of everything that the proofs of a tree rest on."""
    tree, people = basis.tree, basis.population
    # What could not be proven for want of the solver can be once it is installed.
    solver = find_spec("z3") is not None
    reads = {name for condition in _conditions(tree) for name in condition.names}
    # Only whether a chair is settled hangs on all of the range; a set-up on what it can reach.
    range_: object = basis.range
    chairs = basis.range if basis.range is None or basis.range.fitting is None else None
    if chairs is not None and not reads & {SETTLED, f"fit.{SETTLED}"}:
        range_ = chairs.reach()
    # Means and errors may be those of the maker's own calls.
    means = [(sex, group.mean.tolist()) for sex, group in people.groups.items()]
    bodies = (people.id, people.version, means, dict(people.traits))
    rests_on = (_program(), solver, bodies, range_, _meaning(tree))
    return hashlib.sha256(repr(rests_on).encode()).hexdigest()


def _meaning(piece: object) -> object:
    """A tree, or a piece of one, without its words and places; in an order that stays."""
    if isinstance(piece, Condition):
        return piece.text, repr(piece.node)
    if is_dataclass(piece):
        named = ((field.name, getattr(piece, field.name)) for field in fields(piece))
        return tuple(
            (name, _meaning(value))
            for name, value in named
            if name not in _WORDS and not (isinstance(piece, Tree) and name in ("files", "version"))
        )
    if isinstance(piece, Mapping):
        return tuple((key, _meaning(value)) for key, value in piece.items())
    if isinstance(piece, tuple):
        return tuple(map(_meaning, piece))
    return sorted(piece) if isinstance(piece, frozenset) else piece


def _conditions(piece: object) -> Iterator[Condition]:
    if isinstance(piece, Condition):
        yield piece
    elif is_dataclass(piece):
        for field in fields(piece):
            yield from _conditions(getattr(piece, field.name))
    elif isinstance(piece, (Mapping, tuple)):
        for inside in piece.values() if isinstance(piece, Mapping) else piece:
            yield from _conditions(inside)


def _places(tree: Tree) -> list[Where]:
    """Where the pieces of a tree stand, in an order that hangs on its meaning alone."""
    return [
        *(question.where for question in tree.questions.values()),
        *(route.where for question in tree.questions.values() for route in question.routes),
        *(caution.where for caution in tree.cautions),
        *(advice.where for advice in tree.advice),
        *(need.where for need in tree.needs),
        *(always.where for always in tree.always),
        *(topic.where for topic in tree.topics.values()),
    ]


def _written(proofs: Proofs, tree: Tree) -> dict[str, Any]:
    """KeyError where something stands at no piece of the tree."""
    numbers = {where: at for at, where in reversed([*enumerate(_places(tree))])}

    def written(entry: Problem | Witness | Property) -> dict[str, Any]:
        return {**asdict(entry), "where": numbers[entry.where]}

    return {
        "problems": list(map(written, proofs.problems)),
        "witnesses": list(map(written, proofs.witnesses)),
        "properties": list(map(written, proofs.properties)),
        "not_proven": proofs.not_proven,
    }


def _read(record: dict[str, Any], basis: Basis) -> Proofs:
    places = _places(basis.tree)

    def caller(kept: dict[str, Any] | None) -> Caller | None:
        if kept is None:
            return None
        answers = tuple(Answer(**answer) for answer in kept["answers"])
        telling = None if kept["telling"] is None else tuple(kept["telling"])
        return Caller(answers, telling, tuple(kept["lifted"]))

    def again(entry: dict[str, Any]) -> dict[str, Any]:
        read = {"caller": caller(entry["caller"])} if "caller" in entry else {}
        return {**entry, "where": places[entry["where"]], **read}

    return Proofs(
        basis.tree.name,
        basis.tree.files,
        tuple(Problem(**again(entry)) for entry in record["problems"]),
        tuple(Witness(**again(entry)) for entry in record["witnesses"]),
        tuple(Property(**again(entry)) for entry in record["properties"]),
        record["not_proven"],
    )


@cache
def _program() -> str:
    """The program as it is; another line in it may prove something else."""
    whole = hashlib.sha256()
    for part in _RESTS_ON:
        for path in sorted((_PACKAGE / part).rglob("*.[pyj][yas]*")):
            if path.is_file() and path.suffix in (".py", ".yaml", ".json"):
                whole.update(path.read_bytes())
    return whole.hexdigest()
